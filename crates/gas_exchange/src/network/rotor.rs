//! Turbochargers in the network: compressor, turbine and wastegate between volumes.
//!
//! Within a cycle the rotor turns at a constant speed; from cycle to cycle its speed and the wastegate are moved until the
//! powers balance and the boost is the one aimed at (or the gate is shut and cannot give more).

use super::boundary::Reservoir;
use super::connection::{Behind, Node};
use super::passage::orifice;
use super::step::{Books, behind_volume};
use super::volume::{Amount, Volume};
use crate::gas::{Composition, WorkingGas};
use crate::turbocharger::compressor::{Inlet, compression};
use crate::turbocharger::turbine::TurbineInlet;
use crate::turbocharger::{CompressorMap, SpeedLine, Turbine};

/// Turbochargers, equal units in parallel.
#[derive(Clone, Debug)]
pub struct Rotor {
    /// How many in parallel.
    pub count: f64,
    /// Compressor of one.
    pub compressor: CompressorMap,
    /// Turbines of all units.
    pub turbine: Turbine,
    /// Where the compressor draws from.
    pub inlet: Node,
    /// Volume into which it delivers.
    pub delivery: usize,
    /// Volumes before the turbine: one, or one for each scroll.
    pub scrolls: Vec<usize>,
    /// Volume behind the turbine.
    pub outlet: usize,
    /// Effective area of the open wastegate, all units together, m².
    pub wastegate: f64,
    /// Sums of the cycle under way.
    pub cycle: RotorCycle,
    speed: f64,
    line: SpeedLine,
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
    /// Pressure before the compressor, Pa s.
    pub inlet_pressure: f64,
    /// Temperature before the compressor, K s.
    pub inlet_temperature: f64,
    /// Pressure ratio of the compressor, times time.
    pub pressure_ratio: f64,
    /// Pressure behind the compressor, Pa s.
    pub delivery_pressure: f64,
    /// Temperature of what leaves the compressor, K kg.
    pub outlet_temperature: f64,
    /// Temperature in the volume behind the compressor, K s.
    pub delivery_temperature: f64,
    /// Pressure before the turbine, Pa s.
    pub turbine_pressure: f64,
    /// Temperature of what enters the turbine, K kg.
    pub turbine_temperature: f64,
}

/// Where a rotor stands in the network.
#[derive(Clone, Debug)]
pub struct RotorPlace {
    /// Where the compressor draws from.
    pub inlet: Node,
    /// Volume into which it delivers.
    pub delivery: usize,
    /// Volumes before the turbine.
    pub scrolls: Vec<usize>,
    /// Volume behind it.
    pub outlet: usize,
}

impl Rotor {
    /// A rotor at a speed in rad/s.
    pub fn new(
        count: f64,
        compressor: &CompressorMap,
        turbine: &Turbine,
        place: RotorPlace,
        speed: f64,
    ) -> Self {
        let line = compressor.at_speed(speed);
        Self {
            count,
            compressor: compressor.clone(),
            turbine: turbine.clone(),
            inlet: place.inlet,
            delivery: place.delivery,
            scrolls: place.scrolls,
            outlet: place.outlet,
            wastegate: 0.0,
            cycle: RotorCycle::default(),
            speed,
            line,
        }
    }

    /// Speed, rad/s.
    pub fn speed(&self) -> f64 {
        self.speed
    }

    /// Speed over the corrected speed for air at a temperature, K.
    fn per_corrected(&self, inlet_temperature: f64) -> f64 {
        (inlet_temperature / self.compressor.reference().temperature).sqrt()
    }

    /// Sets the speed, rad/s, up to the end of the map; the compressor's line of it is for air at a temperature, K.
    pub fn set_speed(&mut self, speed: f64, inlet_temperature: f64) {
        let per_corrected = self.per_corrected(inlet_temperature);
        self.speed = speed.min(self.compressor.end_of_map() * per_corrected);
        self.compressor.set_speed(self.speed / per_corrected, &mut self.line);
    }

    /// It turns as fast as the map is read: what it asks for beyond is not known.
    pub fn at_end_of_map(&self, inlet_temperature: f64) -> bool {
        self.speed / self.per_corrected(inlet_temperature) >= (1.0 - 1e-9) * self.compressor.end_of_map()
    }

    /// Flow through compressor, turbine and wastegate over a step.
    pub fn flow(
        &mut self,
        volumes: &mut [Volume],
        atmosphere: &Behind,
        gas: &WorkingGas,
        books: &mut Books,
        dt: f64,
    ) {
        self.cycle.time += dt;
        self.compress(volumes, atmosphere, gas, books, dt);
        self.expand(volumes, gas, books, dt);
        self.bypass(volumes, dt);
    }

    fn compress(
        &mut self,
        volumes: &mut [Volume],
        atmosphere: &Behind,
        gas: &WorkingGas,
        books: &mut Books,
        dt: f64,
    ) {
        let before = match self.inlet {
            Node::Volume(number) => behind_volume(&volumes[number]),
            _ => *atmosphere,
        };
        let Reservoir { pressure, temperature, gamma, gas_constant } = before.reservoir;
        let inlet =
            Inlet { pressure, temperature, specific_heat: gas_constant * gamma / (gamma - 1.0), gamma };
        let ratio = (volumes[self.delivery].expected_pressure / pressure).max(1.0);
        let (corrected, _) = self.line.flow_at(ratio);
        let mass = corrected * self.compressor.flow_scale(&inlet);
        let (outlet, _) = compression(&inlet, mass, ratio, self.line.efficiency_at(corrected));
        let rise = gas.enthalpy(outlet, before.composition) - gas.enthalpy(temperature, before.composition);
        let all = mass * self.count;
        let rate = Amount {
            mass: all,
            energy: all * before.enthalpy,
            burned: all * before.composition.burned,
            fuel: all * before.composition.fuel,
        };
        match self.inlet {
            Node::Volume(number) => volumes[number].gain.add(&rate, -dt),
            _ => books.atmosphere.add(&rate, dt),
        }
        let work = all * rise * dt;
        volumes[self.delivery].gain.add(&rate, dt);
        volumes[self.delivery].gain.energy += work;
        books.compressor_work += work;
        let cycle = &mut self.cycle;
        cycle.compressor_work += work;
        cycle.compressor_mass += all * dt;
        cycle.inlet_pressure += pressure * dt;
        cycle.inlet_temperature += temperature * dt;
        cycle.pressure_ratio += ratio * dt;
        cycle.outlet_temperature += outlet * all * dt;
        cycle.delivery_pressure += volumes[self.delivery].pressure * dt;
        cycle.delivery_temperature += volumes[self.delivery].temperature * dt;
    }

    fn expand(&mut self, volumes: &mut [Volume], gas: &WorkingGas, books: &mut Books, dt: f64) {
        let behind = volumes[self.outlet].expected_pressure;
        for number in &self.scrolls {
            let before = &volumes[*number];
            let inlet = TurbineInlet {
                pressure: before.expected_pressure,
                temperature: before.temperature,
                specific_heat: before.gas_constant * before.gamma / (before.gamma - 1.0),
                gamma: before.gamma,
            };
            let expansion = self.turbine.expand(&inlet, self.speed, behind);
            let (mass, composition) = (expansion.mass_flow, before.composition);
            let drop = before.enthalpy - gas.enthalpy(expansion.outlet_temperature, composition);
            let work = mass * drop * dt;
            let rate = Amount {
                mass,
                energy: mass * before.enthalpy,
                burned: mass * composition.burned,
                fuel: mass * composition.fuel,
            };
            self.cycle.turbine_mass += mass * dt;
            self.cycle.turbine_temperature += before.temperature * mass * dt;
            self.cycle.turbine_work += work;
            self.cycle.turbine_pressure += before.pressure * dt / self.scrolls.len() as f64;
            books.turbine_work += work;
            volumes[*number].gain.add(&rate, -dt);
            volumes[self.outlet].gain.add(&rate, dt);
            volumes[self.outlet].gain.energy -= work;
        }
    }

    fn bypass(&mut self, volumes: &mut [Volume], dt: f64) {
        if self.wastegate <= 0.0 {
            return;
        }
        let area = self.wastegate / self.scrolls.len() as f64;
        for number in &self.scrolls {
            let (before, behind) = (behind_volume(&volumes[*number]), behind_volume(&volumes[self.outlet]));
            let mass = orifice(&before.reservoir, &behind.reservoir, area);
            let source = if mass >= 0.0 { &before } else { &behind };
            let Composition { burned, fuel } = source.composition;
            let rate =
                Amount { mass, energy: mass * source.enthalpy, burned: mass * burned, fuel: mass * fuel };
            self.cycle.wastegate_mass += mass * dt;
            volumes[*number].gain.add(&rate, -dt);
            volumes[self.outlet].gain.add(&rate, dt);
        }
    }
}
