//! One step of everything in time.

use super::boundary::Reservoir;
use super::connection::{Behind, Connection, Node, Opening, Side, formation};
use super::junction::Junction;
use super::passage::{Passage, Route, cooled};
use super::rotor::Rotor;
use super::volume::{Amount, Volume};
use crate::cylinder::{Cylinder, CylinderError, PortFlow};
use crate::ducts::{DuctError, Ducts};
use crate::gas::{Composition, WorkingGas};
use crate::valves::{FlowCoefficients, Lift};
use core::f64::consts::PI;

/// The valves of one side of a cylinder.
#[derive(Clone, Debug)]
pub struct ValveGroup {
    /// Lift over the crank angle of the cylinder (0 at the top dead centre of firing).
    pub lift: Lift,
    /// What one valve with its port lets through.
    pub flow: FlowCoefficients,
    /// How many valves.
    pub count: f64,
}

impl ValveGroup {
    /// Effective areas into and out of the cylinder, m².
    fn areas(&self, angle: f64, side: Side) -> (f64, f64) {
        let lift = self.lift.at(angle);
        if lift <= 0.0 {
            return (0.0, 0.0);
        }
        let (forward, reverse) = (
            self.count * self.flow.effective_area(lift),
            self.count * self.flow.reverse_effective_area(lift),
        );
        match side {
            Side::Intake => (forward, reverse),
            Side::Exhaust => (reverse, forward),
        }
    }
}

/// A cylinder with its valves and its fuel.
#[derive(Clone, Debug)]
pub struct Unit {
    /// What happens inside.
    pub cylinder: Cylinder,
    /// Crank angle at which it fires, rad, 0 to 4π.
    pub firing: f64,
    /// Intake valves.
    pub intake: ValveGroup,
    /// Exhaust valves.
    pub exhaust: ValveGroup,
    /// Fuel to air by mass that its injectors give.
    pub fuel_air_ratio: f64,
    /// Duct and cell into which the injectors spray, and the share of the fuel that evaporates there.
    pub injection: Option<Injection>,
    /// Gains of the step under way.
    gain: Amount,
    /// Air that came in through the intake valves in this cycle, less what went back, kg.
    pub air: f64,
    /// Fuel given in this cycle, kg.
    pub fuel: f64,
}

/// Where fuel evaporates before the valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Injection {
    /// Number of the duct.
    pub duct: usize,
    /// Cell in it.
    pub cell: usize,
    /// Share of the fuel that evaporates there, 0 to 1; the rest evaporates in the cylinder.
    pub share: f64,
}

impl Unit {
    /// A cylinder with its valves, before its first step.
    pub fn new(
        cylinder: Cylinder,
        firing: f64,
        intake: ValveGroup,
        exhaust: ValveGroup,
        fuel_air_ratio: f64,
        injection: Option<Injection>,
    ) -> Self {
        Self {
            cylinder,
            firing,
            intake,
            exhaust,
            fuel_air_ratio,
            injection,
            gain: Amount::default(),
            air: 0.0,
            fuel: 0.0,
        }
    }

    /// Angle of this cylinder, 0 at its top dead centre of firing, −2π up to 2π.
    pub fn angle(&self, crank: f64) -> f64 {
        Self::angle_of(crank, self.firing)
    }

    /// The same for a cylinder that fires at a crank angle.
    pub fn angle_of(crank: f64, firing: f64) -> f64 {
        let turn = 4.0 * PI;
        let angle = (crank - firing).rem_euclid(turn);
        if angle >= 2.0 * PI { angle - turn } else { angle }
    }
}

/// What crossed the border of the engine's gas since the books were opened, and what was done to it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Books {
    /// From the air outside.
    pub atmosphere: Amount,
    /// Fuel as it was injected (energy: liquid, with that of formation).
    pub injected: Amount,
    /// Taken by the intercooler, J.
    pub cooler_heat: f64,
    /// Given to the gas by the compressor, J.
    pub compressor_work: f64,
    /// Taken from the gas by the turbine, J.
    pub turbine_work: f64,
}

/// Why a step could not be done.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// A duct.
    #[error(transparent)]
    Duct(#[from] DuctError),
    /// A cylinder, counted from 0.
    #[error("cylinder {}: {source}", .cylinder + 1)]
    Cylinder {
        /// Which.
        cylinder: usize,
        /// Why.
        source: CylinderError,
    },
    /// A volume emptied or its state is not a number.
    #[error(
        "the gas in volume {volume} came to {pressure} Pa and {temperature} K at {degrees:.1}° of the crank"
    )]
    Volume {
        /// Which.
        volume: usize,
        /// Pa.
        pressure: f64,
        /// K.
        temperature: f64,
        /// Crank angle in degrees.
        degrees: f64,
    },
}

/// All gas of an engine.
#[derive(Clone, Debug)]
pub struct Network {
    /// Properties.
    pub gas: WorkingGas,
    /// All ducts.
    pub ducts: Ducts,
    /// The air outside.
    pub atmosphere: Behind,
    /// Volumes.
    pub volumes: Vec<Volume>,
    /// Cylinders.
    pub units: Vec<Unit>,
    /// Ends of ducts.
    pub connections: Vec<Connection>,
    /// Volumes in which pipes meet at stated angles.
    pub junctions: Vec<Junction>,
    /// Passages between volumes.
    pub passages: Vec<Passage>,
    /// Turbocharger.
    pub rotor: Option<Rotor>,
    /// What crossed.
    pub books: Books,
    /// Crank angle, rad.
    pub angle: f64,
    /// Steps done since the start.
    pub steps: u64,
    /// Evaluations of the boundary equations since the start.
    pub evaluations: u64,
    /// Enthalpy of the liquid fuel with that of formation, J/kg.
    pub liquid_fuel: f64,
}

/// Share of the stability limit of the ducts that a step takes.
const COURANT: f64 = 0.9;

impl Network {
    /// A network before its first step.
    #[expect(clippy::too_many_arguments, reason = "these are its parts")]
    pub fn new(
        gas: WorkingGas,
        ducts: Ducts,
        atmosphere: Behind,
        volumes: Vec<Volume>,
        units: Vec<Unit>,
        connections: Vec<Connection>,
        passages: Vec<Passage>,
        rotor: Option<Rotor>,
        liquid_fuel: f64,
    ) -> Self {
        Self {
            gas,
            ducts,
            atmosphere,
            volumes,
            units,
            connections,
            junctions: Vec::new(),
            passages,
            rotor,
            books: Books::default(),
            angle: 0.0,
            steps: 0,
            evaluations: 0,
            liquid_fuel,
        }
    }

    /// One step at a crank speed in rad/s, at most to `angle_limit`; returns its length in seconds.
    ///
    /// # Errors
    /// [`NetworkError`]: where, and what came out.
    pub fn step(&mut self, speed: f64, angle_limit: f64, longest: f64) -> Result<f64, NetworkError> {
        let left = (angle_limit - self.angle) / speed;
        let mut dt = self.ducts.step_limit(COURANT).min(longest / speed);
        if dt >= left {
            dt = left;
        } else if dt > 0.5 * left {
            dt = 0.5 * left;
        }
        let middle = self.angle + 0.5 * speed * dt;
        self.ducts.predict(dt);
        self.flow_through_ends(middle, dt);
        self.flow_through_passages(dt);
        if let Some(rotor) = &mut self.rotor {
            rotor.flow(&mut self.volumes, &self.atmosphere, &self.gas, &mut self.books, dt);
        }
        self.ducts.update(dt)?;
        self.settle_volumes()?;
        self.advance_cylinders(speed, dt)?;
        self.angle = if dt >= left { angle_limit } else { self.angle + speed * dt };
        self.steps += 1;
        Ok(dt)
    }

    /// Mass and energy in all ducts, volumes and cylinders (burned gas and fuel: without the cylinders').
    pub fn stored(&self) -> Amount {
        let ducts = self.ducts.total();
        let mut all =
            Amount { mass: ducts.mass, energy: ducts.energy, burned: ducts.burned, fuel: ducts.fuel };
        all.energy += formation(&all, self.gas.duct_gas());
        for volume in &self.volumes {
            all.add(&volume.held, 1.0);
        }
        for unit in &self.units {
            all.mass += unit.cylinder.total_mass();
            all.energy += unit.cylinder.total_energy();
        }
        all
    }

    fn behind(&self, node: Node) -> Behind {
        match node {
            Node::Atmosphere => self.atmosphere,
            Node::Volume(number) => behind_volume(&self.volumes[number]),
            Node::Cylinder(number) => {
                let state = self.units[number].cylinder.state();
                Behind {
                    reservoir: Reservoir {
                        pressure: state.pressure,
                        temperature: state.temperature,
                        gamma: state.gamma,
                        gas_constant: state.gas_constant,
                    },
                    enthalpy: state.enthalpy,
                    composition: state.composition,
                }
            }
        }
    }

    fn flow_through_ends(&mut self, angle: f64, dt: f64) {
        for junction in &self.junctions {
            let reservoir = self.volumes[junction.volume()].reservoir();
            junction.offer(&mut self.connections, &reservoir);
        }
        for index in 0..self.connections.len() {
            let (node, opening) = (self.connections[index].node, self.connections[index].opening);
            let (out, into) = match (opening, node) {
                (Opening::Fixed { out, into }, _) => (out, into),
                (Opening::Valves(side), Node::Cylinder(number)) => {
                    let unit = &self.units[number];
                    let group = match side {
                        Side::Intake => &unit.intake,
                        Side::Exhaust => &unit.exhaust,
                    };
                    group.areas(unit.angle(angle), side)
                }
                (Opening::Valves(_), _) => (0.0, 0.0),
            };
            if out <= 0.0 && into <= 0.0 {
                self.connections[index].rate = Amount::default();
                continue;
            }
            let behind = self.behind(node);
            let connection = &mut self.connections[index];
            let rate = connection.flow(&mut self.ducts, &self.gas, &behind, out, into, &mut self.evaluations);
            match node {
                Node::Atmosphere => self.books.atmosphere.add(&rate, -dt),
                Node::Volume(number) => self.volumes[number].gain.add(&rate, dt),
                Node::Cylinder(number) => self.through_valves(number, opening, &rate, dt),
            }
        }
    }

    /// Books what comes through a cylinder's valves, with the fuel that goes with it.
    fn through_valves(&mut self, number: usize, opening: Opening, rate: &Amount, dt: f64) {
        let unit = &mut self.units[number];
        unit.gain.add(rate, dt);
        if opening != Opening::Valves(Side::Intake) {
            return;
        }
        let air = (rate.mass - rate.burned - rate.fuel) * dt;
        unit.air += air;
        if rate.mass <= 0.0 {
            return;
        }
        let wanted = unit.fuel_air_ratio * air;
        let mut given = 0.0;
        if let Some(port) = unit.injection {
            let sprayed = port.share * wanted;
            let sensible = self.liquid_fuel - self.gas.duct_gas().formation[1];
            self.ducts.add_source(port.duct, port.cell, sprayed, sprayed * sensible, 0.0, sprayed);
            given += sprayed;
        }
        let rest = (wanted - rate.fuel * dt).max(0.0);
        unit.gain.add(&fuel(rest, self.liquid_fuel), 1.0);
        given += rest;
        unit.fuel += given;
        self.books.injected.add(&fuel(given, self.liquid_fuel), 1.0);
    }

    fn flow_through_passages(&mut self, dt: f64) {
        for index in 0..self.passages.len() {
            let passage = self.passages[index];
            let (first, second) = (self.behind(passage.from), self.behind(passage.to));
            let mass = passage.flow(&first.reservoir, &second.reservoir);
            let source = if mass >= 0.0 { &first } else { &second };
            let mut rate = Amount {
                mass,
                energy: mass * source.enthalpy,
                burned: mass * source.composition.burned,
                fuel: mass * source.composition.fuel,
            };
            self.add_to(passage.from, &rate, -dt);
            if let Route::Cooler { effectiveness, coolant, .. } = passage.route
                && mass > 0.0
            {
                let left = cooled(first.reservoir.temperature, effectiveness, coolant);
                let after = mass * self.gas.enthalpy(left, first.composition);
                self.books.cooler_heat += (rate.energy - after) * dt;
                rate.energy = after;
            }
            self.add_to(passage.to, &rate, dt);
        }
    }

    fn add_to(&mut self, node: Node, rate: &Amount, dt: f64) {
        match node {
            Node::Atmosphere => self.books.atmosphere.add(rate, -dt),
            Node::Volume(number) => self.volumes[number].gain.add(rate, dt),
            Node::Cylinder(number) => self.units[number].gain.add(rate, dt),
        }
    }

    fn settle_volumes(&mut self) -> Result<(), NetworkError> {
        for (number, volume) in self.volumes.iter_mut().enumerate() {
            volume.take(&self.gas);
            if !(volume.pressure > 0.0 && volume.temperature > 0.0 && volume.pressure.is_finite()) {
                return Err(NetworkError::Volume {
                    volume: number,
                    pressure: volume.pressure,
                    temperature: volume.temperature,
                    degrees: self.angle.to_degrees(),
                });
            }
        }
        Ok(())
    }

    fn advance_cylinders(&mut self, speed: f64, dt: f64) -> Result<(), NetworkError> {
        for (number, unit) in self.units.iter_mut().enumerate() {
            let gain = std::mem::take(&mut unit.gain);
            let from = unit.angle(self.angle);
            let to = from + speed * dt;
            let closed = unit.intake.lift.at(from) <= 0.0
                && unit.exhaust.lift.at(from) <= 0.0
                && unit.intake.lift.at(to) <= 0.0
                && unit.exhaust.lift.at(to) <= 0.0;
            let flow =
                PortFlow { mass: gain.mass, enthalpy: gain.energy, burned: gain.burned, fuel: gain.fuel };
            unit.cylinder
                .advance(&self.gas, [from, to], dt, flow, closed)
                .map_err(|source| NetworkError::Cylinder { cylinder: number, source })?;
        }
        Ok(())
    }
}

/// State of a volume as a connection sees it.
pub(super) fn behind_volume(volume: &Volume) -> Behind {
    Behind { reservoir: volume.reservoir(), enthalpy: volume.enthalpy, composition: volume.composition }
}

fn fuel(mass: f64, liquid: f64) -> Amount {
    Amount { mass, energy: mass * liquid, burned: 0.0, fuel: mass }
}

/// The air outside as a connection sees it.
pub fn atmosphere(pressure: f64, temperature: f64, gas: &WorkingGas) -> Behind {
    let air = Composition::default();
    Behind {
        reservoir: Reservoir {
            pressure,
            temperature,
            gamma: gas.gamma(temperature, air),
            gas_constant: gas.gas_constant(air),
        },
        enthalpy: gas.enthalpy(temperature, air),
        composition: air,
    }
}
