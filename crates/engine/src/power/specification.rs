//! What a power computation starts from, each input with where it comes from.

use super::missing::{FoundIn, Missing, found_in};
use super::result::PowerRun;
use super::specify::SETTLED_BY_OTHERS;
use crate::quantity::Dimension;
use gas_exchange::whole_engine::{EngineSpec, Timing};
use serde::{Deserialize, Serialize};

/// Part of the engine to which an input belongs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Group {
    /// Air outside.
    Air,
    /// Cylinders.
    Cylinder,
    /// Valves and ports.
    Valves,
    /// Intake side.
    Intake,
    /// Exhaust side.
    Exhaust,
    /// Turbocharger and cooler.
    Turbocharger,
    /// Fuel.
    Fuel,
    /// Burn, heat, knock.
    Burn,
    /// Named factors.
    Calibration,
}

impl Group {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Air => "air outside",
            Self::Cylinder => "cylinders",
            Self::Valves => "valves and ports",
            Self::Intake => "intake",
            Self::Exhaust => "exhaust",
            Self::Turbocharger => "turbocharger",
            Self::Fuel => "fuel",
            Self::Burn => "burn",
            Self::Calibration => "calibration factors",
        }
    }
}

/// Where an input comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum InputOrigin {
    /// Read on this engine.
    Measured,
    /// Read on this engine, but an operation has moved the place since.
    Stale,
    /// Stands in the document.
    Document,
    /// A mean curve of a handbook that the document names in place of a reading; never a reading.
    Published,
    /// Nobody has said it: a usual figure, shown so that it can be replaced.
    CommonPractice,
}

impl InputOrigin {
    /// All, the surest first.
    pub const ALL: [Self; 5] =
        [Self::Measured, Self::Stale, Self::Document, Self::Published, Self::CommonPractice];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Stale => "measured before the part was cut",
            Self::Document => "from the document",
            Self::Published => "published mean curve, not of this engine",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// One input.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SpecInput {
    /// Where it belongs.
    pub group: Group,
    /// What it is.
    pub label: String,
    /// SI.
    pub value: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// Expanded uncertainty, k = 2, where it was read, or the band of a published curve; zero elsewhere.
    pub expanded: f64,
    /// Where it comes from.
    pub origin: InputOrigin,
    /// Place where it was read, or key of the document; empty for a usual figure that no key holds.
    pub path: String,
}

/// An input that is taken as it stands but hardly can be so.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Doubt {
    /// Which kind.
    pub kind: DoubtKind,
    /// Of what, in words.
    pub label: String,
    /// Place where it was read, or key of the document.
    pub path: String,
    /// Why, in words.
    pub why: String,
}

/// Kinds of doubt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DoubtKind {
    /// The gap of a ring closes before its working temperature.
    RingButts,
    /// A port passes less or more than ports do.
    PortFlow,
}

/// Fuel system, for duty of the injectors and the pump.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct FuelSystem {
    /// Density of the liquid, kg/m³.
    pub density: f64,
    /// Flow of the injectors of each cylinder together, m³/s; the mean of the engine where they were read.
    pub injectors: Option<f64>,
    /// m³/s.
    pub pump: Option<f64>,
    /// Greatest duty that is allowed, 0 to 1.
    pub greatest_duty: f64,
    /// Highest exhaust temperature that is allowed, K.
    pub greatest_exhaust: Option<f64>,
}

/// Everything that a run needs.
#[derive(Clone, Debug)]
pub(super) struct Parts {
    pub engine: EngineSpec,
    pub fuel_system: FuelSystem,
    pub knock_integral: f64,
    /// Relative humidity's vapour pressure, Pa.
    pub vapour: f64,
    /// Is the boost controlled?
    pub boosted: bool,
    /// Corrected speeds of the compressor map's lines, rad/s.
    pub map_speeds: Vec<f64>,
}

impl Parts {
    /// Half-burned angle at the slowest speed stated, rad.
    pub fn earliest(&self) -> f64 {
        self.engine.burn_by_speed.first().map_or(0.0, |b| b.half_burned)
    }

    /// Timing that knock may put later.
    pub fn knock_limited(&self) -> Timing {
        Timing::KnockLimited { earliest: self.earliest(), integral: self.knock_integral }
    }
}

/// The engine as measured, ready to be computed, or what is missing for it.
#[derive(Clone, Debug, Serialize)]
pub struct Specification {
    /// Name of the engine.
    pub name: String,
    /// Inputs in the order of the parts.
    pub inputs: Vec<SpecInput>,
    /// What must be read or stated first.
    pub missing: Vec<Missing>,
    /// What does not go together, in words.
    pub problems: Vec<String>,
    /// Inputs that hardly can be so.
    pub doubts: Vec<Doubt>,
    /// Things that are left out of the computation because nobody stated them, in words.
    pub left_out: Vec<String>,
    #[serde(skip)]
    pub(super) parts: Option<Box<Parts>>,
}

impl Specification {
    /// Can it be run?
    pub fn is_complete(&self) -> bool {
        self.parts.is_some()
    }

    /// What the gas-exchange computation is given.
    pub fn engine(&self) -> Option<&EngineSpec> {
        self.parts.as_ref().map(|p| &p.engine)
    }

    /// Has any factor been moved from 1?
    pub fn is_calibrated(&self) -> bool {
        self.inputs.iter().any(|i| {
            i.group == Group::Calibration && (i.value - 1.0).abs() > 1e-12 && i.path != "power.residual"
        })
    }

    /// What is missing, in the order in which a person can find it; groups without any are left out.
    pub fn to_find(&self) -> Vec<(FoundIn, Vec<&Missing>)> {
        grouped(&self.missing.iter(), Missing::found_in)
    }

    /// Usual figures that stand in until somebody states them, in the same order. Factors that are 1 until a calibration are none.
    pub fn usual_figures(&self) -> Vec<(FoundIn, Vec<&SpecInput>)> {
        let stand_in = |i: &&SpecInput| {
            i.origin == InputOrigin::CommonPractice && !i.path.is_empty() && i.group != Group::Calibration
        };
        grouped(&self.inputs.iter().filter(stand_in), |i| found_in(&i.path))
    }

    /// An input by the path it was read or stated at.
    pub fn input(&self, path: &str) -> Option<&SpecInput> {
        self.inputs.iter().find(|i| i.path == path)
    }
}

fn grouped<'a, T>(
    all: &(impl Iterator<Item = &'a T> + Clone),
    of: impl Fn(&T) -> FoundIn,
) -> Vec<(FoundIn, Vec<&'a T>)> {
    let group = |found: FoundIn| (found, all.clone().filter(|one| of(one) == found).collect::<Vec<_>>());
    FoundIn::ALL.into_iter().map(group).filter(|(_, group)| !group.is_empty()).collect()
}

/// One difference between the inputs of a run and those of today.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// What.
    pub label: String,
    /// Place or key.
    pub path: String,
    /// SI, in the run; `None`: was not there.
    pub before: Option<f64>,
    /// SI, today; `None`: is not there any more.
    pub now: Option<f64>,
    /// What it measures.
    pub dimension: Dimension,
}

/// What differs between the inputs of a run and the engine as it is now. Empty: the run is current.
pub fn changes(specification: &Specification, run: &PowerRun) -> Vec<Change> {
    input_changes(specification, &run.inputs)
}

/// What differs between the inputs that a result was made from and the engine as it is now.
pub fn input_changes(specification: &Specification, inputs: &[SpecInput]) -> Vec<Change> {
    let key = |i: &SpecInput| (i.group, i.label.clone(), i.path.clone());
    let before: std::collections::BTreeMap<_, &SpecInput> = inputs.iter().map(|i| (key(i), i)).collect();
    let now: std::collections::BTreeMap<_, &SpecInput> =
        specification.inputs.iter().map(|i| (key(i), i)).collect();
    let same = |a: &SpecInput, b: &SpecInput| {
        (a.value - b.value).abs() <= 1e-12 * a.value.abs().max(b.value.abs()) && a.origin == b.origin
    };
    let mut all = Vec::new();
    for (key, old) in &before {
        let new = now.get(key).copied();
        if new.is_none_or(|new| !same(old, new)) {
            all.push(Change {
                label: old.label.clone(),
                path: old.path.clone(),
                before: Some(old.value),
                now: new.map(|n| n.value),
                dimension: old.dimension,
            });
        }
    }
    let settled = |i: &SpecInput| SETTLED_BY_OTHERS.contains(&i.label.as_str());
    for (_, new) in now.iter().filter(|(key, new)| !before.contains_key(*key) && !settled(new)) {
        all.push(Change {
            label: new.label.clone(),
            path: new.path.clone(),
            before: None,
            now: Some(new.value),
            dimension: new.dimension,
        });
    }
    all
}
