//! Everything that the kernel knows of the cells, one row a quantity.

use super::row::{MARGIN, Row, RowMaker};
use crate::gas::duct_fit::HOLDS;
use crate::gas::{CONSTITUENTS, DuctGas, ENERGY_COEFFICIENTS};

/// Cells that go through half step and fluxes together: their faces stay in the first-level cache.
pub const STRIP: usize = 128;

/// The gas inside one end at the half step.
#[derive(Clone, Copy, Debug, Default)]
pub struct InsideEnd {
    /// Row of the cell.
    pub cell: usize,
    /// Whether its right face is the end.
    pub right: bool,
    pub density: f64,
    pub velocity: f64,
    pub pressure: f64,
    pub burned: f64,
    pub fuel: f64,
}

/// Rows of all cells, ghost cells and margin included. Row index `i` is cell `i`; face `i` is the left face of cell `i`.
#[derive(Clone, Debug)]
pub struct Fields {
    /// Length of every row.
    pub length: usize,
    // What is kept: density, kg/m³, and energy, J/m³, by volume, the rest by mass.
    pub density: Row,
    pub energy: Row,
    pub velocity: Row,
    pub burned: Row,
    pub fuel: Row,
    // What follows from it.
    pub pressure: Row,
    pub temperature: Row,
    /// R/cv = γ − 1.
    pub excess: Row,
    /// ∂(ρe)/∂Y of burned gas at constant p and ρ, by ρ, J/kg.
    pub burned_energy: Row,
    /// The same for fuel vapour.
    pub fuel_energy: Row,
    /// e − cv T, J/kg: `ρe = (cv/R) p + ρ (intercept + …)` about the cell.
    pub intercept: Row,
    pub sound_speed: Row,
    // Geometry. Ghost cells have 1/length and 1/volume 0, their faces area 0.
    pub inverse_length: Row,
    pub inverse_volume: Row,
    pub area: Row,
    /// (area right − area left)/volume, 1/m.
    pub widening: Row,
    // Walls, by volume; refreshed now and then (`walls`).
    /// 2 f/D, 1/m.
    pub drag: Row,
    /// Drag where the flow is laminar, 1/s.
    pub drag_laminar: Row,
    /// 4 St cp/D by (ρ|u|), J/(kg m K).
    pub heat: Row,
    /// Heat where the flow is laminar, W/(m³ K).
    pub heat_laminar: Row,
    pub wall_temperature: Row,
    /// 1/D, 1/m.
    pub inverse_diameter: Row,
    /// (ε/(3.7 D))^1.11.
    pub rough_term: Row,
    /// Multiplies the friction.
    pub friction_scale: Row,
    /// Multiplies the heat.
    pub heat_factor: Row,
    /// Heat that the gas has given to the wall so far, J/m³ of gas.
    pub heat_lost: Row,
    // Half step: centre.
    /// dt times the force by volume, kg/(m² s).
    pub impulse: Row,
    /// Heat by volume, W/m³.
    pub warmth: Row,
    /// Half step: left and right face of each cell of one strip; the strip's first cell stands at the margin.
    pub left: FaceRows,
    pub right: FaceRows,
    /// What the half step left inside the ends of the ducts, in the order of their cells.
    pub ends: Vec<InsideEnd>,
    /// Fluxes through the left face of each cell, integrated over it: mass, momentum, energy, burned gas, fuel vapour.
    pub flux: [Row; 5],
}

/// State inside one face of every cell at the half step.
#[derive(Clone, Debug)]
pub struct FaceRows {
    pub density: Row,
    pub velocity: Row,
    pub pressure: Row,
    pub internal: Row,
    pub burned: Row,
    pub fuel: Row,
}

impl FaceRows {
    /// All rows.
    #[inline(always)]
    pub fn rows(&mut self) -> [&mut Row; 6] {
        let Self { density, velocity, pressure, internal, burned, fuel } = self;
        [density, velocity, pressure, internal, burned, fuel]
    }

    fn new(maker: &mut RowMaker) -> Self {
        let mut row = |value| maker.row(STRIP + 2 * MARGIN, value);
        Self {
            density: row(1.0),
            velocity: row(0.0),
            pressure: row(1e5),
            internal: row(2.5e5),
            burned: row(0.0),
            fuel: row(0.0),
        }
    }
}

impl Fields {
    /// Whether a pass over `from..to` by whole lanes stays in the rows with its neighbours.
    pub fn fits(&self, from: usize, to: usize) -> bool {
        from >= MARGIN && to >= from && (to - from).is_multiple_of(MARGIN) && to + MARGIN <= self.length
    }

    /// Rows for `length` cells, filled with a gas at rest that harms no neighbour.
    pub fn new(length: usize) -> Self {
        let mut maker = RowMaker::default();
        let (left, right) = (FaceRows::new(&mut maker), FaceRows::new(&mut maker));
        let mut row = |value| maker.row(length, value);
        Self {
            length,
            density: row(1.0),
            energy: row(2.5e5),
            velocity: row(0.0),
            pressure: row(1e5),
            burned: row(0.0),
            fuel: row(0.0),
            temperature: row(300.0),
            excess: row(0.4),
            burned_energy: row(0.0),
            fuel_energy: row(0.0),
            intercept: row(0.0),
            sound_speed: row(340.0),
            inverse_length: row(0.0),
            inverse_volume: row(0.0),
            area: row(0.0),
            widening: row(0.0),
            drag: row(0.0),
            drag_laminar: row(0.0),
            heat: row(0.0),
            heat_laminar: row(0.0),
            wall_temperature: row(300.0),
            inverse_diameter: row(1.0),
            rough_term: row(0.0),
            friction_scale: row(0.0),
            heat_factor: row(0.0),
            heat_lost: row(0.0),
            impulse: row(0.0),
            warmth: row(0.0),
            flux: std::array::from_fn(|_| row(0.0)),
            left,
            right,
            ends: Vec::new(),
        }
    }
}

/// The polynomials of a [`DuctGas`] as the kernel wants them: air, and what burned gas and fuel vapour differ by.
#[derive(Clone, Copy, Debug)]
pub struct Mixing {
    /// R of air, J/(kg K).
    pub gas_constant: f64,
    /// R of burned gas and of fuel vapour, less that of air.
    pub gas_constant_more: [f64; 2],
    /// Sensible internal energy of air, J/kg, powers of T in K.
    pub energy: [f64; ENERGY_COEFFICIENTS],
    /// Of burned gas and of fuel vapour, less that of air.
    pub energy_more: [[f64; ENERGY_COEFFICIENTS]; 2],
    /// Whether all constituents have one and the same constant specific heat: then no iteration is needed.
    pub constant: bool,
}

impl Mixing {
    /// From the working gas; the polynomials are rescaled to powers of T itself.
    pub fn new(gas: &DuctGas) -> Self {
        const ORDER: [usize; CONSTITUENTS] = [0, 2, 1];
        let mut scaled = gas.energy;
        for row in &mut scaled {
            let mut scale = 1.0;
            for value in row {
                *value *= scale;
                scale *= 1e-3;
            }
        }
        let less_air = |k: usize| std::array::from_fn(|i| scaled[k][i] - scaled[0][i]);
        let energy_more = [less_air(ORDER[1]), less_air(ORDER[2])];
        let constant = scaled[0][2..].iter().chain(energy_more.as_flattened()).all(|&c| c == 0.0);
        Self {
            constant,
            gas_constant: gas.gas_constant[0],
            gas_constant_more: [ORDER[1], ORDER[2]].map(|k| gas.gas_constant[k] - gas.gas_constant[0]),
            energy: scaled[0],
            energy_more,
        }
    }

    /// R of a mixture, J/(kg K).
    pub fn gas_constant(&self, burned: f64, fuel: f64) -> f64 {
        self.gas_constant + burned * self.gas_constant_more[0] + fuel * self.gas_constant_more[1]
    }

    /// Sensible internal energy, J/kg, of a mixture at a temperature.
    pub fn energy(&self, temperature: f64, burned: f64, fuel: f64) -> f64 {
        let coefficient =
            |i: usize| self.energy[i] + burned * self.energy_more[0][i] + fuel * self.energy_more[1][i];
        let inside = temperature.clamp(HOLDS[0] * 1e3, HOLDS[1] * 1e3);
        let powers = (0..ENERGY_COEFFICIENTS).rev();
        let [value, slope] = powers
            .fold([0.0; 2], |[value, slope], i| [value * inside + coefficient(i), slope * inside + value]);
        value + slope * (temperature - inside)
    }
}
