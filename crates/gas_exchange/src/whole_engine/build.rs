//! From what an engine is made of to the network of its gas.

use super::spec::{Collector, EngineSpec, TurbochargerUnit};
use crate::cylinder::{Cylinder, CylinderError};
use crate::ducts::{DuctEnd, DuctError, DuctSpec, Ducts, Side as End, Station};
use crate::gas::{Composition, GasError, WorkingGas};
use crate::network::volume::Volume;
use crate::network::{
    Connection, Injection, Junction, Network, Node, Opening, Passage, Rotor, RotorPlace, Route, Side, Unit,
    atmosphere,
};
use core::f64::consts::PI;

/// Why an engine cannot be set up.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BuildError {
    /// The gas.
    #[error(transparent)]
    Gas(#[from] GasError),
    /// A duct.
    #[error("{place}: {source}")]
    Duct {
        /// Where it is.
        place: String,
        /// Why.
        source: DuctError,
    },
    /// A cylinder, counted from 0.
    #[error("cylinder {}: {source}", .cylinder + 1)]
    Cylinder {
        /// Which.
        cylinder: usize,
        /// Why.
        source: CylinderError,
    },
    /// No cylinders.
    #[error("an engine needs at least one cylinder")]
    NoCylinder,
    /// A cylinder's exhaust ends nowhere or in two places.
    #[error("cylinder {} stands in {times} groups of the exhaust; it must stand in exactly one", .cylinder + 1)]
    Groups {
        /// Which, from 0.
        cylinder: usize,
        /// How often it was named.
        times: usize,
    },
    /// Angle of a junction.
    #[error(
        "the angle at which exhaust pipes meet is {value} rad, but must be from 0 (straight on) to below π"
    )]
    Angle {
        /// What was given, rad.
        value: f64,
    },
    /// A size is not positive.
    #[error("{what} is {value}, but must be above {least}")]
    Size {
        /// Which size.
        what: &'static str,
        /// What was given, SI.
        value: f64,
        /// Bound, SI.
        least: f64,
    },
}

/// Places that the cycle looks at.
#[derive(Clone, Debug)]
pub struct Places {
    /// Plenum.
    pub plenum: Option<usize>,
    /// Volumes in which the exhaust pipes meet.
    pub collectors: Vec<usize>,
    /// Intake and exhaust duct of each cylinder.
    pub intake_duct: Vec<usize>,
    /// The same.
    pub exhaust_duct: Vec<usize>,
    /// Connection of each cylinder's intake and exhaust valves.
    pub valve_connection: Vec<(usize, usize)>,
    /// Where each duct is, in words.
    pub duct_names: Vec<String>,
    /// Connections at which exhaust pipes enter their junction.
    pub junction_connection: Vec<usize>,
    /// Connections at which runners have throttles of their own.
    pub runner_throttle: Vec<usize>,
    /// Connection of the pipe behind each junction.
    pub leaving: Vec<Option<usize>>,
}

struct Plan<'a> {
    spec: &'a EngineSpec,
    gas: WorkingGas,
    ducts: Vec<DuctSpec>,
    volumes: Vec<Volume>,
    connections: Vec<Connection>,
    passages: Vec<Passage>,
    places: Places,
}

/// Sets up the network of an engine at rest, volumes and ducts filled near the state expected. `made` is a gas at hand, whose tables
/// are taken over where it is the one of this engine: they take longer than all the rest.
///
/// # Errors
/// [`BuildError`] says which part and why.
pub fn build(spec: &EngineSpec, made: Option<&WorkingGas>) -> Result<(Network, Places), BuildError> {
    check(spec)?;
    let gas = match made.filter(|gas| gas.is_of(&spec.fuel, spec.lambda, &spec.ambient.air)) {
        Some(gas) => gas.clone(),
        None => WorkingGas::new(&spec.fuel, spec.lambda, &spec.ambient.air)?.with_other_mixtures()?,
    };
    let places = Places {
        plenum: None,
        collectors: Vec::new(),
        intake_duct: Vec::new(),
        exhaust_duct: Vec::new(),
        valve_connection: Vec::new(),
        duct_names: Vec::new(),
        junction_connection: Vec::new(),
        runner_throttle: Vec::new(),
        leaving: vec![None; spec.exhaust.collectors.len()],
    };
    let mut plan = Plan {
        spec,
        gas,
        ducts: Vec::new(),
        volumes: Vec::new(),
        connections: Vec::new(),
        passages: Vec::new(),
        places,
    };
    plan.intake();
    plan.exhaust();
    let rotor = spec.turbocharger.as_ref().map(|unit| plan.turbocharger(unit));
    plan.finish(rotor)
}

fn check(spec: &EngineSpec) -> Result<(), BuildError> {
    if spec.cylinders.is_empty() {
        return Err(BuildError::NoCylinder);
    }
    for cylinder in 0..spec.cylinders.len() {
        let times = spec
            .exhaust
            .collectors
            .iter()
            .flat_map(|c| &c.cylinders)
            .filter(|number| **number == cylinder)
            .count();
        if times != 1 {
            return Err(BuildError::Groups { cylinder, times });
        }
    }
    let positive = [
        ("cell length", spec.cell_length),
        ("ambient pressure", spec.ambient.pressure),
        ("ambient temperature", spec.ambient.temperature),
        ("plenum volume", spec.intake.plenum.unwrap_or(1.0)),
        ("throttle area", spec.intake.throttle.unwrap_or(1.0)),
        ("discharge coefficient of the intake mouth", spec.intake.mouth),
        ("discharge coefficient of the exhaust mouth", spec.exhaust.mouth),
    ];
    let angle = spec.exhaust.collectors.iter().filter_map(|c| c.angle).find(|a| !(0.0..PI).contains(a));
    match (positive.into_iter().find(|(_, value)| !(*value > 0.0 && value.is_finite())), angle) {
        (Some((what, value)), _) => Err(BuildError::Size { what, value, least: 0.0 }),
        (None, Some(value)) => Err(BuildError::Angle { value }),
        (None, None) => Ok(()),
    }
}

/// The same duct with cells near the length wanted.
fn divided(duct: &DuctSpec, cell_length: f64) -> DuctSpec {
    let length = match (duct.stations.first(), duct.stations.last()) {
        (Some(first), Some(last)) => last.x - first.x,
        _ => 0.0,
    };
    let cells = (length / cell_length).round().max(4.0) as usize;
    DuctSpec { cells, ..duct.clone() }
}

fn end_area(duct: &DuctSpec) -> f64 {
    duct.stations.last().map_or(0.0, |s| 0.25 * PI * s.diameter * s.diameter)
}

fn start_area(duct: &DuctSpec) -> f64 {
    duct.stations.first().map_or(0.0, |s| 0.25 * PI * s.diameter * s.diameter)
}

/// The same duct, longer by so many radii of its end.
fn lengthened(duct: &DuctSpec, radii: f64) -> DuctSpec {
    let mut longer = duct.clone();
    if let Some(last) = longer.stations.last().copied()
        && radii > 0.0
    {
        longer.stations.push(Station { x: last.x + 0.5 * radii * last.diameter, ..last });
    }
    longer
}

impl Plan<'_> {
    fn boost(&self) -> f64 {
        self.spec.turbocharger.as_ref().map_or(self.spec.ambient.pressure, |t| t.boost_target)
    }

    fn volume(&mut self, volume: f64, pressure: f64, temperature: f64, composition: Composition) -> usize {
        self.volumes.push(Volume::filled(volume, pressure, temperature, composition, &self.gas));
        self.volumes.len() - 1
    }

    fn duct(&mut self, duct: &DuctSpec, name: String) -> usize {
        self.places.duct_names.push(name);
        self.ducts.push(divided(duct, self.spec.cell_length));
        self.ducts.len() - 1
    }

    fn join(&mut self, duct: usize, side: End, node: Node, opening: Opening) -> usize {
        self.connections.push(Connection::new(DuctEnd { duct, side }, node, opening));
        self.connections.len() - 1
    }

    fn intake(&mut self) {
        let (spec, boost) = (self.spec, self.boost());
        if let Some(volume) = spec.intake.plenum {
            let number = self.volume(volume, boost, spec.ambient.temperature + 15.0, Composition::default());
            self.places.plenum = Some(number);
            if spec.turbocharger.is_none() {
                self.throttle(number);
            }
        }
        let node = self.places.plenum.map_or(Node::Atmosphere, Node::Volume);
        for (number, unit) in spec.cylinders.iter().enumerate() {
            let open = lengthened(&unit.intake_duct, spec.intake.end_correction);
            let duct = self.duct(&open, format!("intake duct of cylinder {}", number + 1));
            let valves = self.join(duct, End::Start, Node::Cylinder(number), Opening::Valves(Side::Intake));
            let mut area = end_area(&unit.intake_duct);
            if let (None, Some(throttle)) = (spec.intake.plenum, spec.intake.throttle) {
                area = area.min(throttle);
            }
            let mouth = Opening::Fixed { out: area, into: area * spec.intake.mouth };
            let mouth = self.join(duct, End::End, node, mouth);
            if spec.intake.plenum.is_none() && spec.intake.throttle.is_some() {
                self.places.runner_throttle.push(mouth);
            }
            self.places.intake_duct.push(duct);
            self.places.valve_connection.push((valves, valves));
        }
    }

    /// Throttle and restrictor, one behind the other, between the air outside and the plenum.
    fn throttle(&mut self, plenum: usize) {
        let resistances: f64 = [self.spec.intake.throttle, self.spec.intake.restrictor]
            .into_iter()
            .flatten()
            .map(|area| 1.0 / (area * area))
            .sum();
        // Neither: the plenum's mouth, as wide as all runners together.
        let runners: f64 = self.spec.cylinders.iter().map(|c| end_area(&c.intake_duct)).sum();
        let area = if resistances > 0.0 { 1.0 / resistances.sqrt() } else { runners };
        self.passages.push(Passage {
            from: Node::Atmosphere,
            to: Node::Volume(plenum),
            route: Route::Orifice { area },
        });
    }

    fn exhaust(&mut self) {
        let spec = self.spec;
        let burned = Composition { burned: 1.0, fuel: 0.0 };
        let pressure = if spec.turbocharger.is_some() { self.boost() } else { spec.ambient.pressure };
        let mut node_of = vec![(Node::Atmosphere, spec.exhaust.mouth); spec.cylinders.len()];
        for collector in &spec.exhaust.collectors {
            let number = self.volume(self.junction_volume(collector), pressure, 1000.0, burned);
            self.places.collectors.push(number);
            for cylinder in &collector.cylinders {
                node_of[*cylinder] = (Node::Volume(number), self.junction_mouth(collector));
            }
        }
        for (number, unit) in spec.cylinders.iter().enumerate() {
            let duct = self.duct(&unit.exhaust_duct, format!("exhaust duct of cylinder {}", number + 1));
            let valves = self.join(duct, End::Start, Node::Cylinder(number), Opening::Valves(Side::Exhaust));
            self.places.valve_connection[number].1 = valves;
            let area = end_area(&unit.exhaust_duct);
            let (node, mouth) = node_of[number];
            let opening = Opening::Fixed { out: area, into: area * mouth };
            let junction = self.join(duct, End::End, node, opening);
            self.places.exhaust_duct.push(duct);
            self.places.junction_connection.push(junction);
        }
        if spec.turbocharger.is_none() {
            self.tail_pipes();
        }
    }

    /// Discharge coefficient of the mouths in a junction. The losses by angle hold the contraction behind the edge already.
    fn junction_mouth(&self, collector: &Collector) -> f64 {
        if collector.angle.is_some() { 1.0 } else { self.spec.exhaust.mouth }
    }

    /// Joins the pipe behind a junction to it.
    fn leave_junction(&mut self, index: usize, duct: usize, area: f64) {
        let mouth = self.junction_mouth(&self.spec.exhaust.collectors[index]);
        let opening = Opening::Fixed { out: area, into: area * mouth };
        let connection = self.join(duct, End::Start, Node::Volume(self.places.collectors[index]), opening);
        self.places.leaving[index] = Some(connection);
    }

    /// Junctions with a stated angle; without a pipe behind, its place is that of what the gas leaves through.
    fn junctions(&self) -> Vec<Junction> {
        let collectors = self.spec.exhaust.collectors.iter().enumerate();
        collectors
            .filter_map(|(index, collector)| {
                let axes = Junction::cone(collector.cylinders.len(), collector.angle?);
                let mut connections: Vec<usize> =
                    collector.cylinders.iter().map(|c| self.places.junction_connection[*c]).collect();
                connections.extend(self.places.leaving[index]);
                let volume = self.places.collectors[index];
                Some(Junction::new(volume, connections.clone(), &axes[..connections.len()]))
            })
            .collect()
    }

    /// A junction is at least as large as half the cells that meet in it, so that a step cannot empty it.
    fn junction_volume(&self, collector: &Collector) -> f64 {
        let mouths: f64 =
            collector.cylinders.iter().map(|c| end_area(&self.spec.cylinders[*c].exhaust_duct)).sum();
        collector.volume.max(0.5 * mouths * self.spec.cell_length)
    }

    fn tail_pipes(&mut self) {
        let spec = self.spec;
        for (index, collector) in spec.exhaust.collectors.iter().enumerate() {
            let junction = Node::Volume(self.places.collectors[index]);
            let Some(pipe) = &collector.duct else {
                let mouths: f64 = collector
                    .cylinders
                    .iter()
                    .map(|c| end_area(&spec.cylinders[*c].exhaust_duct))
                    .fold(0.0, f64::max);
                let area = spec.exhaust.outlet.unwrap_or(2.0 * mouths);
                self.passages.push(Passage {
                    from: junction,
                    to: Node::Atmosphere,
                    route: Route::Orifice { area },
                });
                continue;
            };
            let duct = self.duct(
                &lengthened(pipe, spec.exhaust.end_correction),
                format!("pipe behind exhaust group {}", index + 1),
            );
            let (near, far) = (start_area(pipe), end_area(pipe));
            self.leave_junction(index, duct, near);
            let out = spec.exhaust.outlet.map_or(far, |outlet| outlet.min(far));
            self.join(
                duct,
                End::End,
                Node::Atmosphere,
                Opening::Fixed { out, into: out * spec.exhaust.mouth },
            );
        }
    }

    fn turbocharger(&mut self, unit: &TurbochargerUnit) -> Rotor {
        let spec = self.spec;
        let ambient = spec.ambient;
        let air = Composition::default();
        let inlet = match spec.intake.restrictor {
            None => Node::Atmosphere,
            Some(area) => {
                let before = self.volume(2e-3, ambient.pressure, ambient.temperature, air);
                self.passages.push(Passage {
                    from: Node::Atmosphere,
                    to: Node::Volume(before),
                    route: Route::Orifice { area },
                });
                Node::Volume(before)
            }
        };
        let hot = ambient.temperature * 1.45;
        let delivery = self.volume(unit.charge_pipe_volume, self.boost(), hot, air);
        let throttle = spec.intake.throttle.map_or(0.0, |area| 0.5 / (area * area));
        let (loss, effectiveness, coolant) =
            unit.cooler.map_or((0.0, 0.0, ambient.temperature), |c| (c.loss, c.effectiveness, c.coolant));
        let pipe: f64 = spec.cylinders.iter().map(|c| end_area(&c.intake_duct)).sum();
        let loss = (loss + throttle).max(0.5 / (pipe * pipe));
        if let Some(plenum) = self.places.plenum {
            self.passages.push(Passage {
                from: Node::Volume(delivery),
                to: Node::Volume(plenum),
                route: Route::Cooler { loss, effectiveness, coolant },
            });
        }
        let outlet = self.volume(
            unit.outlet_volume,
            ambient.pressure * 1.1,
            1000.0,
            Composition { burned: 1.0, fuel: 0.0 },
        );
        let scrolls = self.scrolls();
        let area = spec.exhaust.outlet.unwrap_or(4e-3);
        self.passages.push(Passage {
            from: Node::Volume(outlet),
            to: Node::Atmosphere,
            route: Route::Orifice { area },
        });
        let place = RotorPlace { inlet, delivery, scrolls, outlet };
        let speed = 0.8 * unit.compressor.greatest_speed();
        let mut rotor = Rotor::new(unit.count, &unit.compressor, &unit.turbine, place, speed);
        rotor.set_speed(speed, ambient.temperature);
        rotor
    }

    /// Volumes before the turbine: the junctions themselves, or what lies behind their pipes.
    fn scrolls(&mut self) -> Vec<usize> {
        let spec = self.spec;
        let mut scrolls = Vec::new();
        for (index, collector) in spec.exhaust.collectors.iter().enumerate() {
            let junction = self.places.collectors[index];
            let Some(pipe) = &collector.duct else {
                scrolls.push(junction);
                continue;
            };
            let duct = self.duct(pipe, format!("pipe behind exhaust group {}", index + 1));
            let (near, far) = (start_area(pipe), end_area(pipe));
            let mouth = spec.exhaust.mouth;
            self.leave_junction(index, duct, near);
            let scroll = self.volume(
                (2.0 * far * spec.cell_length).max(1e-4),
                self.boost(),
                1000.0,
                Composition { burned: 1.0, fuel: 0.0 },
            );
            self.join(duct, End::End, Node::Volume(scroll), Opening::Fixed { out: far, into: far * mouth });
            scrolls.push(scroll);
        }
        scrolls
    }

    fn finish(self, rotor: Option<Rotor>) -> Result<(Network, Places), BuildError> {
        let spec = self.spec;
        let named = |source: DuctError| BuildError::Duct {
            place: source.duct().and_then(|d| self.places.duct_names.get(d)).cloned().unwrap_or_default(),
            source,
        };
        let mut ducts = Ducts::new(&self.ducts, self.gas.duct_gas()).map_err(named)?;
        let boost = self.boost();
        let fresh = Composition::default();
        let burned = Composition { burned: 1.0, fuel: 0.0 };
        for duct in 0..self.ducts.len() {
            if self.places.intake_duct.contains(&duct) {
                ducts.fill(duct, boost, spec.ambient.temperature + 15.0, 0.0, fresh).map_err(named)?;
            } else {
                let p = if spec.turbocharger.is_some() { boost } else { spec.ambient.pressure };
                ducts.fill(duct, p, 1000.0, 0.0, burned).map_err(named)?;
            }
        }
        let mut units = Vec::with_capacity(spec.cylinders.len());
        for (number, unit) in spec.cylinders.iter().enumerate() {
            let start = Unit::angle_of(0.0, unit.firing);
            let cylinder = Cylinder::new(&unit.cylinder, &self.gas, start, 1.2 * boost, 400.0, burned)
                .map_err(|source| BuildError::Cylinder { cylinder: number, source })?;
            let cell_length = ducts.cell_length(self.places.intake_duct[number]);
            let cells = ducts.duct_cells(self.places.intake_duct[number]).len();
            let injection = (spec.port_evaporation > 0.0).then_some(Injection {
                duct: self.places.intake_duct[number],
                cell: ((unit.injector_distance / cell_length) as usize).min(cells - 1),
                share: spec.port_evaporation,
            });
            let ratio = unit.fuel_factor / (spec.lambda * self.gas.stoichiometric_humid_air_fuel());
            units.push(Unit::new(
                cylinder,
                unit.firing,
                unit.intake.clone(),
                unit.exhaust.clone(),
                ratio,
                injection,
            ));
        }
        // What the walls give to evaporate the fuel stands in the books as if the fuel had brought it.
        let liquid =
            self.gas.liquid_enthalpy(298.15) + (1.0 - spec.charge_cooling) * self.gas.latent_heat(298.15);
        let outside = atmosphere(spec.ambient.pressure, spec.ambient.temperature, &self.gas);
        let junctions = self.junctions();
        let mut network = Network::new(
            self.gas,
            ducts,
            outside,
            self.volumes,
            units,
            self.connections,
            self.passages,
            rotor,
            liquid,
        );
        network.junctions = junctions;
        Ok((network, self.places))
    }
}
