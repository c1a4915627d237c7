//! Turbochargers in the network: compressor, turbine and wastegate between volumes.
//!
//! Within a cycle the rotor turns at a constant speed; from cycle to cycle its speed and the wastegate are moved until the
//! powers balance and the boost is the one aimed at (or the gate is shut and cannot give more).

use super::connection::{Behind, Node};
use super::passage::orifice;
use super::step::{Books, behind_volume};
use super::volume::{Amount, Volume};
use crate::gas::WorkingGas;
use crate::turbocharger::{Compressor, Turbine};

/// Turbochargers, equal units in parallel.
#[derive(Clone, Debug)]
pub struct Rotor {
    /// How many in parallel.
    pub count: f64,
    /// Compressor of one.
    pub compressor: Compressor,
    /// Turbine of one.
    pub turbine: Turbine,
    /// Where the compressor draws from.
    pub inlet: Node,
    /// Volume into which it delivers.
    pub delivery: usize,
    /// Volumes before the turbine: one, or one for each scroll.
    pub scrolls: Vec<usize>,
    /// Volume behind the turbine.
    pub outlet: usize,
    /// Speed, rad/s.
    pub speed: f64,
    /// Effective area of the open wastegate, all units together, m².
    pub wastegate: f64,
    /// Sums of the cycle under way.
    pub cycle: RotorCycle,
}

/// What a cycle summed up; divide by `time` for means.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RotorCycle {
    /// s.
    pub time: f64,
    /// Work taken by the compressors, J.
    pub compressor_work: f64,
    /// Work given by the turbines, J.
    pub turbine_work: f64,
    /// Gas through the compressors, kg.
    pub compressor_mass: f64,
    /// Gas through the turbines, kg.
    pub turbine_mass: f64,
    /// Gas through the wastegate, kg.
    pub wastegate_mass: f64,
    /// Pressure ratio of the compressor, times time.
    pub pressure_ratio: f64,
    /// Delivery pressure, Pa s.
    pub delivery_pressure: f64,
    /// Turbine inlet pressure, Pa s.
    pub turbine_pressure: f64,
    /// Turbine inlet temperature weighted by mass, K kg.
    pub turbine_temperature: f64,
    /// Time spent beyond the surge line, s.
    pub surge_time: f64,
    /// Time spent choked, s.
    pub choke_time: f64,
}

impl Rotor {
    /// todo
    pub fn new(unit: &crate::whole_engine::TurbochargerUnit, inlet: Node, delivery: usize, scrolls: Vec<usize>, outlet: usize, p: f64, t: f64) -> Self {
        todo!()
    }
    /// todo
    pub fn flow(&mut self, volumes: &mut [Volume], atmosphere: &Behind, gas: &WorkingGas, books: &mut Books, dt: f64) {
        todo!()
    }
}
