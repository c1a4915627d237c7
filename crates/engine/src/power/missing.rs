//! What is missing for a run, told so that a person can find it: in plain words, in the order in which it is found, with the very
//! lines to write, and with what may stand instead.

use crate::document::{Shape, field_unit, shape_at};
use crate::quantity::{Dimension, UnitSystem};
use serde::{Deserialize, Serialize};

/// Something without which power cannot be computed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Missing {
    /// In words.
    pub what: String,
    /// Place to read or key of the document.
    pub path: String,
    /// True where it is a place to read, false where it is a key of the document.
    pub measured: bool,
    /// Cylinders that lack it, where it belongs to each; `path` is the place of the first.
    pub cylinders: Vec<u32>,
}

/// Where a person finds an input, the nearest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FoundIn {
    /// On the engine, by counting, tape, caliper, gauge or burette.
    Engine,
    /// On a maker's sheet or cam card.
    Maker,
    /// On a bench.
    Bench,
    /// In a standard or handbook, or it is what the builder aims at.
    Handbook,
}

impl FoundIn {
    /// In the order in which they are looked up.
    pub const ALL: [Self; 4] = [Self::Engine, Self::Maker, Self::Bench, Self::Handbook];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Engine => "read off the engine",
            Self::Maker => "off the maker's sheet or the cam card",
            Self::Bench => "off a bench",
            Self::Handbook => "off a standard or a handbook, or chosen by you",
        }
    }
}

/// How an input is found: the start of its path, where, the question in plain words, what may stand instead.
struct Way(&'static str, FoundIn, &'static str, &'static str);

use FoundIn::{Bench, Engine, Handbook, Maker};

/// The mean curve that may be named where no bench is at hand.
const NAMED_CURVE: &str = "a published mean curve, named by `published = \"mean_poppet_valve\"` in [flow_bench.intake] and [flow_bench.exhaust]; then nothing else of the bench is asked for, the curve is worth less and each result says so";
const NOT_WITH_A_CURVE: &str =
    "not needed where a published mean curve is named (see the lifts of the bench)";
const ACROSS: &str = "two thermometers and a pressure gauge across it";
const CARD_OR_DIAL: &str = "a dial gauge at the valve and a degree wheel on the crank";

/// The first whose start fits counts, so longer starts stand above shorter ones. Figures in them are ranges of the trade, never
/// values of this engine.
const WAYS: &[Way] = &[
    Way("layout.cylinders", Engine, "How many cylinders the engine has", ""),
    Way(
        "layout.firing_order",
        Engine,
        "How the cylinders are arranged and in which order they fire, from cylinder 1",
        "the firing order cast or stamped on the engine, or found by turning it",
    ),
    Way("layout.intake_valves", Engine, "How many intake valves each cylinder has", ""),
    Way("layout.exhaust_valves", Engine, "How many exhaust valves each cylinder has", ""),
    Way(
        "layout.stroke",
        Engine,
        "The stroke: how far a piston travels",
        "the stroke on the sheet of the crank",
    ),
    Way("layout.bore", Engine, "The bore", ""),
    Way("block.bore.", Engine, "The bore, read with the bore gauge", "the bore that is aimed at"),
    Way(
        "rod.",
        Engine,
        "The length of the rods between the centres of their eyes",
        "the length on the sheet of the rods",
    ),
    Way(
        "head.chamber",
        Engine,
        "The volume of each chamber in the head, by burette",
        "the volume that is aimed at",
    ),
    Way(
        "gasket.fire_ring",
        Engine,
        "The inside diameter of the gasket's ring around the bore, by caliper",
        "the figure on the sheet of the gasket",
    ),
    Way(
        "gasket.",
        Engine,
        "The thickness of the head gasket when it is pressed",
        "the figure on the sheet of the gasket",
    ),
    Way(
        "cylinder.",
        Engine,
        "How far each piston stands below the deck at top dead centre",
        "deck height of the block and compression height of the pistons",
    ),
    Way(
        "pistons.dish",
        Engine,
        "The volume of the dish in the crown, or of the dome; 0 where it is flat",
        "the figure on the sheet of the pistons",
    ),
    Way("valves.intake.head_diameter", Engine, "The diameter of an intake valve's head, by caliper", ""),
    Way("valves.exhaust.head_diameter", Engine, "The diameter of an exhaust valve's head, by caliper", ""),
    Way("head.port_flow.", Bench, "The flow of each port at the stated lifts", NAMED_CURVE),
    Way("head.", Engine, "The lash of the valves, by feeler gauge", "the lash that its limit aims at"),
    Way(
        "intake.runner",
        Engine,
        "The intake duct of one cylinder from the valve outward: length and diameter of port and runner, by tape and caliper",
        "",
    ),
    Way(
        "exhaust.primary",
        Engine,
        "The exhaust duct of one cylinder from the valve outward: length and diameter of port and primary pipe, by tape and caliper",
        "",
    ),
    Way("exhaust.groups", Engine, "Which cylinders meet in each collector", ""),
    Way("intake.plenum", Engine, "The volume of the plenum, by filling it or by its sizes", ""),
    Way(
        "turbocharger.charge_pipe",
        Engine,
        "The volume of the pipes between compressor and intercooler, by their sizes",
        "",
    ),
    Way(
        "turbocharger.wastegate",
        Engine,
        "The diameter of the hole that the wastegate opens",
        "the figure on the sheet of the wastegate",
    ),
    Way("turbocharger.outlet", Engine, "The volume behind the turbine", ""),
    Way("intake.throttle_coefficient", Handbook, "How well the open throttle passes", ""),
    Way("intake.restrictor_coefficient", Handbook, "How well the restrictor passes", ""),
    Way("intake.mouth", Handbook, "How well the mouth of a runner passes", ""),
    Way("exhaust.mouth", Handbook, "How well the mouth of a pipe passes", ""),
    Way("intake.end_correction", Handbook, "The end correction of a runner's mouth", ""),
    Way("exhaust.end_correction", Handbook, "The end correction of the last pipe", ""),
    Way("intake.", Engine, "", ""),
    Way("exhaust.", Engine, "", ""),
    Way("valves.intake.lobe_centre", Maker, "The lobe centre of the intake cam", CARD_OR_DIAL),
    Way("valves.exhaust.lobe_centre", Maker, "The lobe centre of the exhaust cam", CARD_OR_DIAL),
    Way(
        "valves.intake.duration_at",
        Maker,
        "The lift at which the card states the duration of the intake cam",
        CARD_OR_DIAL,
    ),
    Way(
        "valves.exhaust.duration_at",
        Maker,
        "The lift at which the card states the duration of the exhaust cam",
        CARD_OR_DIAL,
    ),
    Way("valves.intake.duration", Maker, "The duration of the intake cam at that lift", CARD_OR_DIAL),
    Way("valves.exhaust.duration", Maker, "The duration of the exhaust cam at that lift", CARD_OR_DIAL),
    Way("valves.intake.lift", Maker, "The greatest lift of the intake valves", CARD_OR_DIAL),
    Way("valves.exhaust.lift", Maker, "The greatest lift of the exhaust valves", CARD_OR_DIAL),
    Way("cams.lobe_lift", Maker, "The lift of the lobes", "a dial gauge at the follower"),
    Way("valves.", Maker, "", CARD_OR_DIAL),
    Way(
        "turbocharger.plenum_pressure",
        Handbook,
        "The boost that is aimed at, as absolute pressure in the plenum",
        "",
    ),
    Way(
        "turbocharger.compressor",
        Maker,
        "The speed lines of the compressor map, each from surge to choke",
        "",
    ),
    Way("turbocharger.inertia", Maker, "The inertia of a rotor", ""),
    Way(
        "turbocharger.cooler.effectiveness",
        Maker,
        "The effectiveness of the intercooler: the share of the difference to its coolant that it takes away",
        ACROSS,
    ),
    Way(
        "turbocharger.cooler.coolant",
        Engine,
        "The temperature of the air or water that cools the intercooler",
        "",
    ),
    Way(
        "turbocharger.cooler.pressure_loss",
        Maker,
        "The pressure loss of the intercooler at the flow stated for it",
        ACROSS,
    ),
    Way("turbocharger.cooler.loss_flow", Maker, "The mass flow at which that loss is stated", ""),
    Way("turbocharger.", Maker, "", ""),
    Way("fuel.ethanol", Maker, "The share of ethanol in the fuel, by volume", "a fuel tester"),
    Way("fuel.kind", Handbook, "Which kind of fuel the engine burns", ""),
    Way(
        "fuel.lambda",
        Handbook,
        "The mixture that is aimed at with open throttle, \u{3bb}",
        "the \u{3bb} of a log; petrol is usually run from 0.80 to 0.92 there (common practice, no source)",
    ),
    Way("fuel.port_evaporation", Handbook, "", ""),
    Way("fuel.charge_cooling", Handbook, "", ""),
    Way("fuel.", Maker, "", ""),
    Way(
        "burn.half_burned",
        Handbook,
        "When half of the charge has burned, after top dead centre; the ignition is set for it",
        "a pressure indicator in the cylinder; best torque lies near 8 to 10\u{b0} where knock allows it (Heywood, ch. 9, from memory)",
    ),
    Way("burn.", Handbook, "", ""),
    Way("duty.ambient", Handbook, "", "the reference air of SAE J1349 or ISO 1585"),
    Way("duty.humidity", Handbook, "", ""),
    Way(
        "duty.intake_temperature",
        Handbook,
        "The temperature of the charge after the intercooler at the duty",
        "",
    ),
    Way("duty.", Handbook, "", ""),
    Way(
        "flow_bench.depression",
        Bench,
        "The depression of the flow bench, at which the flows are stated",
        NOT_WITH_A_CURVE,
    ),
    Way(
        "flow_bench.intake.lift",
        Bench,
        "The lifts at which the intake ports are read on the flow bench; the flows are then asked for",
        NAMED_CURVE,
    ),
    Way(
        "flow_bench.exhaust.lift",
        Bench,
        "The lifts at which the exhaust ports are read on the flow bench; the flows are then asked for",
        NAMED_CURVE,
    ),
    Way(
        "flow_bench.intake.reverse_factor",
        Bench,
        "The flow of the intake ports blown backwards, as a share of the usual flow",
        NOT_WITH_A_CURVE,
    ),
    Way(
        "flow_bench.exhaust.reverse_factor",
        Bench,
        "The flow of the exhaust ports blown backwards, as a share of the usual flow",
        NOT_WITH_A_CURVE,
    ),
    Way("flow_bench.", Bench, "", ""),
];

fn way(path: &str) -> Option<&'static Way> {
    WAYS.iter().find(|way| path.starts_with(way.0))
}

/// Where the input at this place or key is found.
pub fn found_in(path: &str) -> FoundIn {
    way(path).map_or(FoundIn::Maker, |way| way.1)
}

impl Missing {
    /// What is missing, with the cylinders that lack it.
    pub fn words(&self) -> String {
        format!("{}{}", self.what, self.of_cylinders())
    }

    fn of_cylinders(&self) -> String {
        match self.cylinders.as_slice() {
            [] => String::new(),
            [one] => format!(", cylinder {one}"),
            many => format!(", cylinders {}", spans(many)),
        }
    }

    /// Where it is found.
    pub fn found_in(&self) -> FoundIn {
        found_in(&self.path)
    }

    /// What is wanted, in plain words, without a full stop.
    pub fn sentence(&self) -> String {
        let told = way(&self.path).map_or("", |way| way.2);
        let told = if told.is_empty() { crate::document::sentence(&self.what) } else { told.to_owned() };
        format!("{told}{}", self.of_cylinders())
    }

    /// What may stand instead, in plain words; none where nothing may.
    pub fn instead(&self) -> Option<&'static str> {
        way(&self.path).map(|way| way.3).filter(|instead| !instead.is_empty())
    }

    /// The lines to write in the document: the section, and each key with its unit. "…" stands for what only this engine says. For a
    /// place to read they are what may stand in its place; empty where nothing may.
    pub fn lines(&self, units: UnitSystem) -> Vec<String> {
        let keys = if self.measured { in_place_of(&self.path) } else { vec![self.path.clone()] };
        let mut lines: Vec<String> = Vec::new();
        for key in keys {
            for line in lines_of(&key, units) {
                // Two keys of one section stand under one heading.
                if !(line.starts_with('[') && lines.contains(&line)) {
                    lines.push(line);
                }
            }
        }
        lines
    }
}

/// Keys of the document that may stand in place of a reading.
fn in_place_of(place: &str) -> Vec<String> {
    let parts: Vec<&str> = place.split('.').collect();
    let keys: &[&str] = match parts.as_slice() {
        ["block", "bore", ..] => &["layout.bore"],
        ["rod", ..] => &["rods.length"],
        ["head", "chamber", ..] => &["head.chamber"],
        ["head", "port_flow", "intake", ..] => &["flow_bench.intake.flow"],
        ["head", "port_flow", "exhaust", ..] => &["flow_bench.exhaust.flow"],
        ["head", "intake", _, "lash"] => &["limits.lash_intake"],
        ["head", "exhaust", _, "lash"] => &["limits.lash_exhaust"],
        ["gasket", ..] => &["gasket.compressed"],
        ["cylinder", ..] => &["block.deck_height", "pistons.compression_height"],
        _ => &[],
    };
    keys.iter().map(|key| (*key).to_owned()).collect()
}

/// Keys of one entry of a list of tables that a run cannot do without.
fn needed(path: &str) -> &'static [&'static str] {
    match path {
        "turbocharger.compressor" => &["speed", "flow", "pressure_ratio", "efficiency"],
        _ => &["length", "diameter"],
    }
}

/// Heading and key of one path.
fn lines_of(path: &str, units: UnitSystem) -> Vec<String> {
    let parts: Vec<&str> = path.split('.').collect();
    let Some((key, above)) = parts.split_last() else { return Vec::new() };
    let Some((shape, _)) = shape_at(parts.iter().copied()) else { return Vec::new() };
    if let Shape::List(inner) = shape
        && matches!(**inner, Shape::Table(_))
    {
        let keys = needed(path).iter().map(|key| key_line(&format!("{path}.1.{key}"), key, units));
        return std::iter::once(format!("[[{path}]]")).chain(keys.flatten()).collect();
    }
    // An entry of a list of tables: "intake.runner.2.length" stands in the second [[intake.runner]].
    let number = above.iter().find(|part| part.parse::<usize>().is_ok());
    let table: Vec<&str> = above.iter().copied().filter(|part| part.parse::<usize>().is_err()).collect();
    let heading = match number {
        Some(number) => format!("[[{}]]  # number {number}", table.join(".")),
        None => format!("[{}]", table.join(".")),
    };
    std::iter::once(heading).chain(key_line(path, key, units)).collect()
}

fn key_line(path: &str, key: &str, units: UnitSystem) -> Option<String> {
    let (shape, _) = shape_at(path.split('.'))?;
    let (value, remark) = value_of(path, shape, units)?;
    Some(format!("{key} = {value}{remark}"))
}

/// How a value is written, and which words may stand there.
fn value_of(path: &str, shape: &Shape, units: UnitSystem) -> Option<(String, String)> {
    let quantity = |dimension: Dimension| {
        let unit = field_unit(path, None, dimension, units).symbol;
        if unit.is_empty() { "\"\u{2026}\"".to_owned() } else { format!("\"\u{2026} {unit}\"") }
    };
    let value = match shape {
        Shape::Quantity(q) => quantity(q.dimension?),
        Shape::Integer { .. } | Shape::Number { .. } => "\u{2026}".to_owned(),
        Shape::Text => "\"\u{2026}\"".to_owned(),
        Shape::Words(words) => {
            let words: Vec<&str> = words.iter().map(|(word, _)| word.as_str()).collect();
            return Some(("\"\u{2026}\"".to_owned(), format!("  # {}", words.join(", "))));
        }
        Shape::List(inner) => {
            let (one, remark) = value_of(path, inner, units)?;
            // Of the burn one entry holds at all speeds; a speed line of a map needs three.
            let entries = match path {
                path if path.starts_with("burn.") => 1,
                path if path.starts_with("turbocharger.compressor.") => 3,
                _ => 2,
            };
            return Some((format!("[{}]", vec![one.as_str(); entries].join(", ")), remark));
        }
        // A limit by what it aims at.
        Shape::Table(table) if table.is_range() => {
            let Some(Shape::Quantity(q)) = table.fields.get("target").map(|f| &f.shape) else { return None };
            format!("{{ target = {}, origin = \"builder\", source = \"\u{2026}\" }}", quantity(q.dimension?))
        }
        _ => return None,
    };
    Some((value, String::new()))
}

/// Rising numbers in words: "1 to 4", "1, 3".
fn spans(numbers: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for number in numbers {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == *number => *last = *number,
            _ => runs.push((*number, *number)),
        }
    }
    let words: Vec<String> = runs
        .into_iter()
        .map(|(first, last)| match last - first {
            0 => first.to_string(),
            1 => format!("{first}, {last}"),
            _ => format!("{first} to {last}"),
        })
        .collect();
    words.join(", ")
}
