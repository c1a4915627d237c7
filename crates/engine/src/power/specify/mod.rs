//! From document and sizes to a specification. Nothing is taken silently: an input is read, stated, or a usual figure that is
//! shown as such; what has no usual figure is missing.

mod cylinder;
mod exhaust;
mod fuel;
mod intake;
mod turbocharger;
mod valves;

pub(super) use fuel::SETTLED_BY_OTHERS;

use super::missing::Missing;
use super::specification::{Doubt, Group, InputOrigin, Parts, SpecInput, Specification};
use crate::assess::Assessment;
use crate::document::{BurnTiming, field_words};
use crate::engine::Engine;
use crate::findings::Bench;
use crate::quantity::{Dimension, Quantity};
use gas_exchange::ducts::{DuctSpec, Station};
use gas_exchange::whole_engine::{EngineSpec, Timing};
use mechanics::metrology::Uncertain;
use std::f64::consts::TAU;

/// Length of a cell in the ducts, m. Halving it moves torque by less than 1 % (tested in `gas_exchange`).
const CELL_LENGTH: f64 = 0.015;
/// Roughness of drawn tube and cast ports together, m (from memory: 15 to 45 µm for drawn steel to smooth castings).
const ROUGHNESS: f64 = 3e-5;

/// Collects inputs and what is missing.
pub(super) struct Builder<'a> {
    pub bench: Bench<'a>,
    pub inputs: Vec<SpecInput>,
    pub missing: Vec<Missing>,
    pub problems: Vec<String>,
    pub left_out: Vec<String>,
    pub doubts: Vec<Doubt>,
    /// Cylinder that is being looked at.
    pub cylinder: Option<u32>,
}

impl Builder<'_> {
    fn note(
        &mut self,
        group: Group,
        label: &str,
        path: &str,
        dimension: Dimension,
        value: f64,
        origin: InputOrigin,
    ) {
        // The same key is one input, however many cylinders ask for it.
        if self.inputs.iter().any(|i| i.path == path && i.label == label) {
            return;
        }
        self.inputs.push(SpecInput {
            group,
            label: label.to_owned(),
            value,
            dimension,
            expanded: 0.0,
            origin,
            path: path.to_owned(),
        });
    }

    /// What must be stated.
    fn stated<Q: Quantity>(
        &mut self,
        group: Group,
        label: &str,
        path: &str,
        given: Option<Q>,
    ) -> Option<f64> {
        let Some(q) = given else {
            self.lacks(label, path, false);
            return None;
        };
        self.note(group, label, path, Q::DIMENSION, q.si(), InputOrigin::Document);
        Some(q.si())
    }

    /// What is stated where it matters, and a usual figure otherwise.
    fn stated_or<Q: Quantity>(
        &mut self,
        group: Group,
        label: &str,
        path: &str,
        given: Option<Q>,
        usual: f64,
    ) -> f64 {
        let (value, origin) = match given {
            Some(q) => (q.si(), InputOrigin::Document),
            None => (usual, InputOrigin::CommonPractice),
        };
        self.note(group, label, path, Q::DIMENSION, value, origin);
        value
    }

    fn usual(&mut self, group: Group, label: &str, dimension: Dimension, value: f64) -> f64 {
        self.note(group, label, "", dimension, value, InputOrigin::CommonPractice);
        value
    }

    /// A figure of a published mean curve that the document names, with its half-width (k = 2).
    fn published(&mut self, label: &str, path: &str, value: f64, expanded: f64) {
        self.note(Group::Valves, label, path, Dimension::Ratio, value, InputOrigin::Published);
        if let Some(input) = self.inputs.iter_mut().find(|i| i.path == path && i.label == label) {
            input.expanded = expanded;
        }
    }

    /// What is left out because fields are not stated: what, the fields by their paths, and what follows.
    fn leaves_out(&mut self, what: &str, paths: &[&str], so: &str) {
        let fields: Vec<String> = paths.iter().map(|path| field_words(path)).collect();
        let words = format!("{what} (not stated: {}){so}", fields.join("; "));
        if !self.left_out.contains(&words) {
            self.left_out.push(words);
        }
    }

    /// A field that is stated and not used: by its path, why, and the path of the one that counts instead.
    fn leaves_unused(&mut self, path: &str, why: &str, counts: &str) {
        self.left_out.push(format!(
            "{} (stated and not used): {why} ({})",
            field_words(path),
            field_words(counts)
        ));
    }

    /// What does not go together, by the field that it stands in.
    fn problem(&mut self, path: &str, why: impl std::fmt::Display) {
        self.problems.push(format!("{}: {why}", field_words(path)));
    }

    fn lacks(&mut self, what: &str, path: &str, measured: bool) {
        let own = self.cylinder.filter(|_| measured);
        if let Some(known) = self.missing.iter_mut().find(|m| m.measured == measured && m.what == what) {
            if let Some(cylinder) = own.filter(|c| !known.cylinders.contains(c)) {
                known.cylinders.push(cylinder);
            }
        } else if !self.missing.iter().any(|m| m.path == path) {
            self.missing.push(Missing {
                what: what.to_owned(),
                path: path.to_owned(),
                measured,
                cylinders: own.into_iter().collect(),
            });
        }
    }

    /// What was read at a place.
    fn read(&mut self, group: Group, path: &str) -> Option<f64> {
        let place = self.bench.engine.catalogue.find(path)?;
        let size = self.bench.sizes.of_feature[place].as_ref()?;
        let feature = &self.bench.engine.catalogue.features[place];
        let origin = if size.stale { InputOrigin::Stale } else { InputOrigin::Measured };
        self.inputs.push(SpecInput {
            group,
            label: feature.label.clone(),
            value: size.value.value(),
            dimension: feature.dimension,
            expanded: size.value.expanded(),
            origin,
            path: path.to_owned(),
        });
        Some(size.value.value())
    }

    /// A size that is computed from several readings.
    fn computed(
        &mut self,
        group: Group,
        label: &str,
        path: &str,
        dimension: Dimension,
        value: &Uncertain,
    ) -> f64 {
        self.inputs.push(SpecInput {
            group,
            label: label.to_owned(),
            value: value.value(),
            dimension,
            expanded: value.expanded(),
            origin: InputOrigin::Measured,
            path: path.to_owned(),
        });
        value.value()
    }

    /// What was read at a place, else what the document states; missing as a reading when neither is there.
    fn read_or<Q: Quantity>(
        &mut self,
        group: Group,
        label: &str,
        place: &str,
        path: &str,
        given: Option<Q>,
    ) -> Option<f64> {
        if let Some(value) = self.read(group, place) {
            return Some(value);
        }
        if given.is_none() {
            self.lacks(label, place, true);
            return None;
        }
        self.stated(group, label, path, given)
    }

    /// Pieces of pipe in a row as one duct.
    fn duct(
        &mut self,
        group: Group,
        name: &str,
        section: &str,
        pieces: &[crate::document::Duct],
        wall: f64,
    ) -> Option<DuctSpec> {
        if pieces.is_empty() {
            self.lacks(&format!("{name}: length and diameters"), section, false);
            return None;
        }
        let mut stations: Vec<Station> = Vec::new();
        let (mut x, mut warmth, mut sound) = (0.0, 0.0, true);
        for (i, piece) in pieces.iter().enumerate() {
            let key = |k: &str| format!("{section}.{}.{k}", i + 1);
            let label = |k: &str| format!("{name}, piece {}, {k}", i + 1);
            let length = self.stated(group, &label("length"), &key("length"), piece.length);
            let near = self.stated(group, &label("diameter"), &key("diameter"), piece.diameter);
            let (Some(length), Some(near)) = (length, near) else {
                sound = false;
                continue;
            };
            let far = match piece.far_diameter {
                Some(_) => {
                    self.stated(group, &label("far diameter"), &key("far_diameter"), piece.far_diameter)?
                }
                None => near,
            };
            let t = self.stated_or(group, &label("wall temperature"), &key("wall"), piece.wall, wall);
            match stations.last() {
                None => stations.push(Station { x, diameter: near }),
                // A step in diameter is a short cone.
                Some(last) if (last.diameter - near).abs() > 1e-6 => {
                    x += 1e-3;
                    stations.push(Station { x, diameter: near });
                }
                Some(_) => {}
            }
            x += length;
            warmth += t * length;
            stations.push(Station { x, diameter: far });
        }
        sound.then(|| DuctSpec {
            stations,
            cells: 4,
            wall_temperature: warmth / pieces.iter().filter_map(|p| p.length).map(|l| l.0).sum::<f64>(),
            roughness: ROUGHNESS,
            heat_factor: 1.0,
            friction_factor_scale: 1.0,
        })
    }
}

/// The engine as measured, each input with its origin; complete when nothing is missing and everything goes together.
pub fn specify(engine: &Engine, assessment: &Assessment) -> Specification {
    let bench = Bench { engine, sizes: &assessment.sizes };
    let mut builder = Builder {
        bench,
        inputs: Vec::new(),
        missing: Vec::new(),
        problems: Vec::new(),
        left_out: Vec::new(),
        doubts: Vec::new(),
        cylinder: None,
    };
    let parts = parts(&mut builder).filter(|_| builder.missing.is_empty() && builder.problems.is_empty());
    builder.inputs.sort_by_key(|i| i.group);
    builder.missing.sort_by_key(Missing::found_in);
    Specification {
        name: engine.document.engine.name.clone(),
        inputs: builder.inputs,
        missing: builder.missing,
        problems: builder.problems,
        doubts: builder.doubts,
        left_out: builder.left_out,
        parts: parts.map(Box::new),
    }
}

fn parts(b: &mut Builder<'_>) -> Option<Parts> {
    let document = b.bench.document();
    let (ambient, vapour) = fuel::ambient(b);
    let fuel = fuel::fuel(b);
    let (lambda, lambda_by_speed) = fuel::lambda(b);
    let burn = fuel::burn(b);
    let cylinders = cylinder::cylinders(b, fuel.as_ref());
    let intake = intake::intake(b);
    intake::unused_state(b);
    let exhaust = exhaust::exhaust(b);
    let turbo = turbocharger::unit(b);
    let port_evaporation = b.stated_or(
        Group::Fuel,
        "share of the fuel that evaporates in the port",
        "fuel.port_evaporation",
        document.fuel.port_evaporation,
        0.3,
    );
    let charge_cooling = b.stated_or(
        Group::Fuel,
        "share of the latent heat that the charge gives, the rest comes from hot walls",
        "fuel.charge_cooling",
        document.fuel.charge_cooling,
        0.4,
    );
    let friction = fuel::friction(b);
    let spread = fuel::spread(b);
    fuel::residual(b);
    let limits = fuel::system(b, fuel.as_ref());
    b.usual(Group::Intake, "length of a cell in the ducts", Dimension::Length, CELL_LENGTH);
    b.usual(Group::Intake, "roughness of ports and pipes", Dimension::Length, ROUGHNESS);
    let (fuel, cylinders) = (fuel?, cylinders?);
    let fuel::BurnInput { law, points: burn_by_speed, estimate: burn_estimate } = burn?;
    let earliest = burn_by_speed.first()?.half_burned;
    let knock_integral = document.burn.knock_integral.map_or(1.0, |k| k.0);
    let timing = match document.burn.timing {
        Some(BurnTiming::KnockLimited) => Timing::KnockLimited { earliest, integral: knock_integral },
        _ => Timing::HalfBurned(earliest),
    };
    let mut cylinders = cylinders;
    let completeness = fuel::completeness(b);
    for unit in &mut cylinders {
        unit.cylinder.burn = Some(law);
        unit.cylinder.completeness = completeness;
    }
    let spec = EngineSpec {
        ambient: ambient?,
        fuel,
        lambda: lambda?,
        lambda_by_speed,
        cylinders,
        intake: intake?,
        exhaust: exhaust?,
        turbocharger: turbo?,
        port_evaporation,
        charge_cooling,
        timing,
        burn_by_speed,
        burn_estimate,
        spread,
        friction,
        cell_length: CELL_LENGTH,
    };
    Some(Parts {
        boosted: spec.turbocharger.is_some(),
        engine: spec,
        fuel_system: limits,
        knock_integral,
        vapour,
        map_speeds: document
            .turbocharger
            .iter()
            .flat_map(|t| &t.compressor)
            .filter_map(|line| line.speed.map(|s| s.0 * TAU))
            .collect(),
    })
}
