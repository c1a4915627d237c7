//! One-dimensional unsteady flow in all ducts of an engine at once.
//!
//! Euler's equations with variable area, wall friction, wall heat and two carried mass fractions, second order in space
//! and time: limited slopes of the primitive variables, Hancock's half step, HLLC flux. All ducts share one set of rows.
//!
//! A step is: [`Ducts::step_limit`], [`Ducts::predict`], then for each end [`Ducts::end_state`] and
//! [`Ducts::set_end_flux`], then [`Ducts::update`]. An end to which nobody gives a flux is a closed wall.
//! Formulas, validity and checks: `docs/physics/ducts.md`.

#![allow(
    clippy::inline_always,
    reason = "the lanes must be inlined into the function that has the target features"
)]

mod bare;
mod error;
pub mod exact_riemann;
mod fields;
mod geometry;
mod kernel;
mod lanes;
#[cfg(target_arch = "x86_64")]
mod lanes_x86;
mod path;
mod riemann;
mod row;
mod set;
mod walls;

pub use bare::IdealTube;
pub use error::DuctError;
pub use path::Path;
pub use set::Ducts;

use crate::gas::Composition;

/// A place along a duct and the diameter there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// Distance from where the duct is measured, m; stations increase.
    pub x: f64,
    /// Diameter, m, more than 0; between stations the duct is a cone.
    pub diameter: f64,
}

/// One duct as it is built.
#[derive(Clone, Debug, PartialEq)]
pub struct DuctSpec {
    /// At least two; the first is the start of the duct, the last its end.
    pub stations: Vec<Station>,
    /// Number of cells of equal length, at least 3.
    pub cells: usize,
    /// Temperature of the inner wall, K.
    pub wall_temperature: f64,
    /// Equivalent sand roughness of the wall, m; 0 is smooth.
    pub roughness: f64,
    /// Multiplies the heat that the analogy with friction gives; 1 changes nothing, 0 insulates.
    pub heat_factor: f64,
    /// Multiplies the friction factor; 1 changes nothing, 0 takes friction away (heat is not touched).
    pub friction_factor_scale: f64,
}

/// Which end of a duct.
#[derive(Clone, Copy, Debug, Eq, Hash, PartialEq)]
pub enum Side {
    /// At the first station.
    Start,
    /// At the last station.
    End,
}

/// One end of one duct.
#[derive(Clone, Copy, Debug, Eq, Hash, PartialEq)]
pub struct DuctEnd {
    /// Number of the duct, counted from 0.
    pub duct: usize,
    /// Which of its ends.
    pub side: Side,
}

/// The gas just inside an end, at half the step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndState {
    /// kg/m³.
    pub density: f64,
    /// m/s, positive from the duct's start to its end.
    pub velocity: f64,
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// m/s.
    pub sound_speed: f64,
    /// Ratio of the specific heats, that of the cell.
    pub gamma: f64,
    /// J/(kg K).
    pub gas_constant: f64,
    /// What the gas is.
    pub composition: Composition,
    /// Area of the end, m².
    pub area: f64,
}

/// What flows through an end, integrated over its area; positive from the duct's start to its end.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EndFlux {
    /// kg/s.
    pub mass: f64,
    /// N: mass · velocity + pressure · area.
    pub momentum: f64,
    /// Sensible total enthalpy, W.
    pub energy: f64,
    /// Burned gas, kg/s.
    pub burned: f64,
    /// Fuel vapour, kg/s.
    pub fuel: f64,
}

/// What all ducts hold together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// kg.
    pub mass: f64,
    /// Sensible internal energy and kinetic energy, J.
    pub energy: f64,
    /// Burned gas, kg.
    pub burned: f64,
    /// Fuel vapour, kg.
    pub fuel: f64,
}

/// The mean state of one cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellState {
    /// Place of its centre, m, in the measure of the stations.
    pub x: f64,
    /// m³.
    pub volume: f64,
    /// kg/m³.
    pub density: f64,
    /// m/s, positive from the duct's start to its end.
    pub velocity: f64,
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// m/s.
    pub sound_speed: f64,
    /// Ratio of the specific heats.
    pub gamma: f64,
    /// What the gas is.
    pub composition: Composition,
}
