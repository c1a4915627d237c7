//! A volume of well-mixed gas at rest: a plenum, a junction of pipes, the gas in an intercooler or before a turbine.

use super::boundary::Reservoir;
use crate::gas::{Composition, WorkingGas};

/// Amounts that cross a face or a step: kilograms and joules (energy absolute, with that of formation).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Amount {
    /// kg.
    pub mass: f64,
    /// Internal energy with that of formation, or enthalpy with kinetic energy where it flows, J.
    pub energy: f64,
    /// Burned gas, kg.
    pub burned: f64,
    /// Fuel vapour, kg.
    pub fuel: f64,
}

impl Amount {
    /// Adds `share` times another amount.
    pub fn add(&mut self, other: &Amount, share: f64) {
        self.mass += share * other.mass;
        self.energy += share * other.energy;
        self.burned += share * other.burned;
        self.fuel += share * other.fuel;
    }

    /// Mass fractions.
    pub fn composition(&self) -> Composition {
        Composition { burned: self.burned / self.mass, fuel: self.fuel / self.mass }
    }
}

/// A volume with its gas.
#[derive(Clone, Debug)]
pub struct Volume {
    /// m³.
    pub volume: f64,
    /// What it holds.
    pub held: Amount,
    /// State that follows from `held`.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// Ratio of specific heats.
    pub gamma: f64,
    /// J/(kg K).
    pub gas_constant: f64,
    /// Enthalpy, J/kg, with that of formation.
    pub enthalpy: f64,
    /// Mass fractions.
    pub composition: Composition,
    /// Gains of the step under way.
    pub gain: Amount,
    /// Pressure expected half a step ahead, from the rate of the last one.
    pub expected_pressure: f64,
}

impl Volume {
    /// A volume filled with gas.
    pub fn filled(
        volume: f64,
        pressure: f64,
        temperature: f64,
        composition: Composition,
        gas: &WorkingGas,
    ) -> Self {
        let mass = pressure * volume / (gas.gas_constant(composition) * temperature);
        let held = Amount {
            mass,
            energy: mass * gas.energy(temperature, composition),
            burned: mass * composition.burned,
            fuel: mass * composition.fuel,
        };
        let mut it = Self {
            volume,
            held,
            pressure,
            temperature,
            gamma: 1.4,
            gas_constant: 287.0,
            enthalpy: 0.0,
            composition,
            gain: Amount::default(),
            expected_pressure: pressure,
        };
        it.settle(gas);
        it.expected_pressure = it.pressure;
        it
    }

    /// Takes in the gains of a step; the state follows.
    pub fn take(&mut self, gas: &WorkingGas) {
        let before = self.pressure;
        let gain = std::mem::take(&mut self.gain);
        self.held.add(&gain, 1.0);
        self.settle(gas);
        self.expected_pressure = (self.pressure + 0.5 * (self.pressure - before)).max(0.5 * self.pressure);
    }

    /// Holds `factor` times as much of the same gas: a start for the next run, outside of every book.
    pub fn scale(&mut self, factor: f64, gas: &WorkingGas) {
        let held = self.held;
        self.held.add(&held, factor - 1.0);
        self.settle(gas);
        self.expected_pressure = self.pressure;
    }

    fn settle(&mut self, gas: &WorkingGas) {
        self.composition = self.held.composition();
        self.temperature = gas.temperature_from_energy(
            self.held.energy / self.held.mass,
            self.composition,
            self.temperature,
        );
        self.gas_constant = gas.gas_constant(self.composition);
        self.pressure = self.held.mass * self.gas_constant * self.temperature / self.volume;
        self.enthalpy = self.held.energy / self.held.mass + self.gas_constant * self.temperature;
        self.gamma = gas.gamma(self.temperature, self.composition);
    }

    /// What an opening sees of it.
    pub fn reservoir(&self) -> Reservoir {
        Reservoir {
            pressure: self.expected_pressure,
            temperature: self.temperature,
            gamma: self.gamma,
            gas_constant: self.gas_constant,
        }
    }
}
