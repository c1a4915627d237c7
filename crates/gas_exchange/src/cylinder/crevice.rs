//! The crevice above the top ring: it breathes with the cylinder's pressure at the temperature of its walls.

use crate::gas::{Composition, WorkingGas};

use super::spec::CreviceSpec;
use super::zone::{Zone, burnt};

/// Gas of this temperature or more burns part of what comes back unburned, K (judgement: fuel that mixes into gas below about
/// 1300 K is not consumed in the time of an expansion).
pub const OXIDATION_ABOVE: f64 = 1300.0;

/// The gas in a crevice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crevice {
    spec: CreviceSpec,
    gas: Zone,
}

/// What a step moved from the cylinder into the crevice; negative masses came back.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Exchange {
    /// kg into the crevice.
    pub mass: f64,
    /// What crossed.
    pub composition: Composition,
    /// J into the crevice, with formation.
    pub energy: f64,
}

impl Crevice {
    /// A crevice in balance with gas of composition `c` at `pressure` (Pa).
    pub fn new(spec: CreviceSpec, gas: &WorkingGas, pressure: f64, c: Composition) -> Self {
        let mut crevice = Self {
            spec,
            gas: Zone { temperature: spec.temperature, volume: spec.volume, ..Zone::default() },
        };
        crevice.gas.add(pressure * spec.volume / (gas.gas_constant(c) * spec.temperature), c);
        crevice.gas.energy = crevice.gas.mass * gas.energy(spec.temperature, c);
        crevice
    }

    /// What it holds.
    pub fn gas(&self) -> &Zone {
        &self.gas
    }

    /// Temperature of its walls and of what it holds, K.
    pub fn temperature(&self) -> f64 {
        self.spec.temperature
    }

    /// Mass that must come in (kg; negative: leaves) for the crevice to hold `pressure` (Pa).
    #[inline]
    pub fn demand(&self, gas: &WorkingGas, pressure: f64) -> f64 {
        let held = gas.gas_constant(self.gas.composition()) * self.spec.temperature;
        pressure * self.spec.volume / held - self.gas.mass
    }

    /// Takes in `mass` (kg) of composition `c` that brings `enthalpy` (J/kg). Returns what crossed and the heat to the walls, J.
    #[inline]
    pub fn take(&mut self, gas: &WorkingGas, mass: f64, c: Composition, enthalpy: f64) -> (Exchange, f64) {
        let energy = mass * enthalpy;
        self.gas.add(mass, c);
        let heat = self.settle(gas, energy);
        (Exchange { mass, composition: c, energy }, heat)
    }

    /// Gives back `mass` (kg, above 0) at its own temperature; part of what can burn burns at once when `hot`. Returns what
    /// crossed (with a negative mass and energy) and the heat to the walls, J.
    #[inline]
    pub fn give(&mut self, gas: &WorkingGas, mass: f64, hot: bool) -> (Exchange, f64) {
        let c = self.gas.composition();
        let enthalpy = gas.enthalpy(self.spec.temperature, c);
        self.gas.add(-mass, c);
        let heat = self.settle(gas, -mass * enthalpy);
        let composition = if hot { burnt(gas, c, self.spec.late_oxidation) } else { c };
        (Exchange { mass: -mass, composition, energy: -mass * enthalpy }, heat)
    }

    /// Brings the energy to that of the walls' temperature after `energy` (J) came in; what is over goes to the walls, J.
    #[inline]
    fn settle(&mut self, gas: &WorkingGas, energy: f64) -> f64 {
        let before = self.gas.energy;
        self.gas.energy = self.gas.mass * gas.energy(self.spec.temperature, self.gas.composition());
        before + energy - self.gas.energy
    }
}
