//! What stands in the fields.

use crate::frame::View;
use engine::document::OperationKind;
use engine::features::{Feature, Table};
use engine::quantity::{
    Dimension, Unit, UnitSystem, display_unit, find_unit, format_fixed, has_exponent, parse_quantity,
    units_of,
};
use engine::readings::{Reading, is_stale, moves, operations_since};
use serde::Serialize;
use std::collections::{HashMap, HashSet};

/// What one field shows.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Cell {
    /// Number of the reading that stands here; none where nothing was read since the last operation on the place.
    pub number: Option<u64>,
    /// Its value in the sheet's unit, without the unit.
    pub shown: String,
    /// What was read before an operation moved the place, where nothing has been read since: the field is empty then.
    pub before: String,
    /// A word under the value: "stale", "asked about", "mean of 2".
    pub flag: String,
    /// Values that were corrected, oldest first.
    pub struck: Vec<String>,
    /// Name of the gauge that read it, several with commas; empty where nothing was read.
    pub gauge: String,
    /// Temperature of the part at which it was read, without its unit; empty where none was given.
    pub temperature: String,
}

/// Unit and digits of a field.
pub(super) struct Place {
    /// Unit in which the field is typed.
    pub unit: &'static str,
    /// Decimals in that unit.
    pub decimals: usize,
    dimension: Dimension,
}

impl Place {
    pub(super) fn of(view: &View, feature: &Feature, table: &Table) -> Self {
        let units = view.units();
        let unit = unit_of(view, feature, table);
        let decimals = match (feature.dimension, units) {
            (Dimension::Length, UnitSystem::Metric) => table.decimals,
            (Dimension::Length, UnitSystem::Inch) => (table.decimals + 1).min(5),
            (Dimension::Roughness, UnitSystem::Metric) | (Dimension::Volume, _) => 2,
            (Dimension::Roughness | Dimension::Mass, _) => 1,
            // A step of one cubic foot a minute is too coarse.
            (Dimension::VolumeFlow, _) if unit.factor > CUBIC_FOOT_A_MINUTE / 2.0 => 1,
            _ => 0,
        };
        Self { unit: unit.symbol, decimals, dimension: feature.dimension }
    }

    /// The unit as a screen reader should say it.
    pub(super) fn unit_words(&self) -> &'static str {
        match self.unit {
            "mm" => "millimetres",
            "in" => "inches",
            "cm³" => "cubic centimetres",
            "g" => "grams",
            "N" => "newtons",
            "lbf" => "pounds force",
            "HB" => "Brinell",
            "L/min" => "litres a minute",
            "cm³/min" | "cm3/min" => "cubic centimetres a minute",
            "ft3/min" => "cubic feet a minute",
            "µm" => "micrometres",
            "µin" => "microinches",
            other => other,
        }
    }

    /// A reading as the field shows it: as it was typed, where it was typed in the field's unit.
    pub(super) fn show(&self, reading: &Reading) -> String {
        let typed = parse_quantity(&reading.text, self.dimension)
            .ok()
            .filter(|(_, unit)| same_unit(unit.symbol, self.unit));
        // As typed, save a number with an exponent: what stands in the field is always the whole value.
        if typed.is_some() && !has_exponent(&reading.text) {
            let end = reading
                .text
                .trim()
                .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '\u{2212}')));
            return reading.text.trim()[..end.unwrap_or(reading.text.trim().len())].to_owned();
        }
        self.number(reading.value)
    }

    /// The number as the field shows it.
    pub(super) fn number(&self, si: f64) -> String {
        let Some(unit) = units_of(self.dimension).find(|u| u.symbol == self.unit) else {
            return String::new();
        };
        format_fixed((si - unit.offset) / unit.factor, self.decimals)
    }
}

/// One unit, written with a raised figure or without: cm³, cm3.
fn same_unit(one: &str, other: &str) -> bool {
    let plain = |symbol: &str| symbol.replace('³', "3").replace('²', "2");
    one == other || plain(one) == plain(other)
}

const CUBIC_FOOT_A_MINUTE: f64 = 4.719_474_432e-4;

/// The unit that the bench which read a table of flows shows: the hand compares the screen with the bench.
fn unit_of_bench(view: &View, table: &Table) -> Option<&'static Unit> {
    let last = super::bar::last_reading(view, table)?;
    let symbol = view.engine.document.instruments.get(&last.instrument)?.unit.as_deref()?;
    let unit = find_unit(symbol, Dimension::VolumeFlow)?;
    units_of(Dimension::VolumeFlow).filter(|u| same_unit(u.symbol, unit.symbol)).last()
}

/// The unit of a place: an injector's flow is a small one, and is read in cubic centimetres.
fn unit_of(view: &View, feature: &Feature, table: &Table) -> &'static Unit {
    /// From 5 L/min on it is the flow of a port.
    const OF_A_PORT: f64 = 5e-3 / 60.0;
    let units = view.units();
    if feature.dimension == Dimension::VolumeFlow
        && let Some(unit) = unit_of_bench(view, table)
    {
        return unit;
    }
    let small = feature.nominal.is_some_and(|flow| flow < OF_A_PORT) || feature.path.contains("injector");
    if feature.dimension == Dimension::VolumeFlow && small {
        return units_of(Dimension::VolumeFlow)
            .find(|u| u.symbol == "cm³/min")
            .unwrap_or(display_unit(feature.dimension, units));
    }
    display_unit(feature.dimension, units)
}

/// Readings by place, and what is known about them.
pub(super) struct Places<'a> {
    by_feature: HashMap<&'a str, Vec<&'a Reading>>,
    corrected: HashSet<u64>,
}

/// Sorts the readings of an engine by place.
pub(super) fn places<'a>(view: &View<'a>) -> Places<'a> {
    let mut by_feature: HashMap<&str, Vec<&Reading>> = HashMap::new();
    for reading in &view.engine.readings {
        by_feature.entry(reading.feature.as_str()).or_default().push(reading);
    }
    let corrected = view.engine.readings.iter().filter_map(|r| r.corrects).collect();
    Places { by_feature, corrected }
}

impl Places<'_> {
    /// Readings that count at a place: neither corrected nor taken back, of the newest state only.
    pub(super) fn standing(&self, path: &str) -> Vec<&Reading> {
        let all: Vec<&Reading> = self
            .by_feature
            .get(path)
            .into_iter()
            .flatten()
            .copied()
            .filter(|r| !r.withdrawn && !self.corrected.contains(&r.number))
            .collect();
        let newest = all.last().map(|r| r.after.clone());
        all.into_iter().filter(|r| Some(&r.after) == newest.as_ref()).collect()
    }

    /// Is nothing read here in the state in which the part is now?
    pub(super) fn is_to_read(&self, view: &View, feature: &Feature) -> bool {
        let standing = self.standing(&feature.path);
        standing.is_empty() || is_stale_place(view, feature, &standing)
    }

    /// What moved a place since it was last read; none where nothing did, or nothing was read.
    pub(super) fn moved_by(&self, view: &View, feature: &Feature) -> Option<OperationKind> {
        let last = *self.standing(&feature.path).last()?;
        operations_since(last, &view.engine.operations).find(|o| moves(o, feature)).map(|o| o.kind)
    }

    /// What the field of a place shows.
    pub(super) fn cell(&self, view: &View, feature: &Feature, table: &Table) -> Cell {
        let place = Place::of(view, feature, table);
        let standing = self.standing(&feature.path);
        let struck = self
            .by_feature
            .get(feature.path.as_str())
            .into_iter()
            .flatten()
            .filter(|r| self.corrected.contains(&r.number) && !r.withdrawn)
            .map(|r| place.show(r))
            .collect();
        let shown = match standing.as_slice() {
            [] => String::new(),
            [one] => place.show(one),
            many => place.number(many.iter().map(|r| r.value).sum::<f64>() / many.len() as f64),
        };
        // What was read before a cut is no answer any more: the field takes the new reading as an empty one does.
        if is_stale_place(view, feature, &standing) {
            return Cell {
                number: None,
                shown: String::new(),
                before: shown,
                flag: "stale".to_owned(),
                struck,
                gauge: String::new(),
                temperature: String::new(),
            };
        }
        Cell {
            number: standing.last().map(|r| r.number),
            shown,
            before: String::new(),
            flag: flag(view, &standing),
            struck,
            gauge: each_once(standing.iter().map(|r| named(&r.instrument))),
            temperature: each_once(standing.iter().map(|r| temperature_of(r, view.units()))),
        }
    }
}

fn each_once(words: impl Iterator<Item = String>) -> String {
    let mut seen: Vec<String> = Vec::new();
    for word in words {
        if !seen.contains(&word) {
            seen.push(word);
        }
    }
    seen.join(", ")
}

fn named(gauge: &str) -> String {
    if gauge.is_empty() { "no gauge".to_owned() } else { gauge.to_owned() }
}

/// Temperature of the part at a reading, as the head of the table says it.
pub(super) fn temperature_of(reading: &Reading, units: UnitSystem) -> String {
    let unit = display_unit(Dimension::Temperature, units);
    reading.temperature.map(|k| format_fixed((k - unit.offset) / unit.factor, 1)).unwrap_or_default()
}

/// Has an operation moved the place since it was last read?
fn is_stale_place(view: &View, feature: &Feature, standing: &[&Reading]) -> bool {
    standing.last().is_some_and(|last| is_stale(last, feature, &view.engine.operations))
}

/// A word under the value, for the reading that stands there.
fn flag(view: &View, standing: &[&Reading]) -> String {
    let Some(last) = standing.last() else { return String::new() };
    if view.assessment.slips.iter().any(|s| !s.confirmed && s.reading == last.number) {
        return "asked about".to_owned();
    }
    match standing.len() {
        0 | 1 => String::new(),
        n => format!("mean of {n}"),
    }
}
