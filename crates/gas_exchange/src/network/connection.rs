//! A duct's end joined to a node.

use super::boundary::{self, Face, Inside, Memory, Reservoir};
use super::volume::Amount;
use crate::ducts::{self, DuctEnd, Ducts, EndFlux, EndState};
use crate::gas::{Composition, DuctGas, WorkingGas};

/// What a duct or a passage can be joined to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Node {
    /// The air outside.
    Atmosphere,
    /// A volume by its number.
    Volume(usize),
    /// A cylinder by its number.
    Cylinder(usize),
}

/// Intake or exhaust.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Intake valves.
    Intake,
    /// Exhaust valves.
    Exhaust,
}

/// What the gas passes between duct and node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Opening {
    /// Effective areas for gas that leaves the duct and gas that enters it, m².
    Fixed {
        /// Out of the duct.
        out: f64,
        /// Into the duct.
        into: f64,
    },
    /// The valves of the cylinder to which the duct is joined.
    Valves(Side),
}

/// A duct's end joined to a node through an opening.
#[derive(Clone, Debug)]
pub struct Connection {
    /// Which end.
    pub end: DuctEnd,
    /// What it is joined to.
    pub node: Node,
    /// What the gas passes.
    pub opening: Opening,
    /// The last solution.
    pub face: Face,
    /// What flowed out of the duct in the last step, a second.
    pub rate: Amount,
    /// Total pressure that its node offers to the duct over the node's own; 1 unless a junction keeps some of the velocity head.
    pub(super) offered: f64,
    memory: Memory,
}

/// What a node offers to a connection.
#[derive(Clone, Copy, Debug)]
pub struct Behind {
    /// Its state at rest.
    pub reservoir: Reservoir,
    /// Enthalpy, J/kg, with that of formation.
    pub enthalpy: f64,
    /// Mass fractions.
    pub composition: Composition,
}

impl Connection {
    /// A connection that has not flowed yet.
    pub fn new(end: DuctEnd, node: Node, opening: Opening) -> Self {
        let face = Face { mass: 0.0, velocity: 0.0, pressure: 0.0, temperature: 0.0, choked: false };
        Self { end, node, opening, face, rate: Amount::default(), offered: 1.0, memory: Memory::default() }
    }

    /// Sets the flux of the duct's end and returns what flows out of the duct, a second.
    pub fn flow(
        &mut self,
        ducts: &mut Ducts,
        gas: &WorkingGas,
        behind: &Behind,
        out_area: f64,
        in_area: f64,
        work: &mut u64,
    ) -> Amount {
        let state = ducts.end_state(self.end);
        let outward = match self.end.side {
            ducts::Side::End => 1.0,
            ducts::Side::Start => -1.0,
        };
        let inside = inside(&state, outward);
        let node = Reservoir { pressure: self.offered * behind.reservoir.pressure, ..behind.reservoir };
        self.face = boundary::solve(&inside, &node, out_area, in_area, &mut self.memory, work);
        let rate = rate(&self.face, &state, behind, gas);
        ducts.set_end_flux(self.end, end_flux(&self.face, &rate, outward, state.area, gas.duct_gas()));
        self.rate = rate;
        rate
    }
}

fn inside(state: &EndState, outward: f64) -> Inside {
    Inside {
        density: state.density,
        velocity: outward * state.velocity,
        pressure: state.pressure,
        gamma: state.gamma,
        gas_constant: state.gas_constant,
        area: state.area,
    }
}

fn rate(face: &Face, state: &EndState, behind: &Behind, gas: &WorkingGas) -> Amount {
    let mass = face.mass;
    let (enthalpy, composition) = if mass >= 0.0 {
        let kinetic = 0.5 * face.velocity * face.velocity;
        (gas.enthalpy(face.temperature, state.composition) + kinetic, state.composition)
    } else {
        (behind.enthalpy, behind.composition)
    };
    Amount { mass, energy: mass * enthalpy, burned: mass * composition.burned, fuel: mass * composition.fuel }
}

/// Energy of formation carried by an amount, J.
pub fn formation(amount: &Amount, gas: &DuctGas) -> f64 {
    let air = amount.mass - amount.burned - amount.fuel;
    air * gas.formation[0] + amount.fuel * gas.formation[1] + amount.burned * gas.formation[2]
}

fn end_flux(face: &Face, rate: &Amount, outward: f64, area: f64, gas: &DuctGas) -> EndFlux {
    EndFlux {
        mass: outward * rate.mass,
        momentum: face.pressure * area + rate.mass * face.velocity,
        energy: outward * (rate.energy - formation(rate, gas)),
        burned: outward * rate.burned,
        fuel: outward * rate.fuel,
    }
}
