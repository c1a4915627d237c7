//! How a working is shown, the same on the pages and on the command line.

use super::Finding;
use super::model::Input;
use crate::engine::Engine;
use crate::quantity::{Dimension, UnitSystem, display_unit_at, format_value, format_value_beside};
use crate::sizes::{expansion_at, stack_rate};

/// Where an input comes from, with its readings as they were taken: "no. 136: 89.105 mm at 24.0 °C".
pub fn origin_as_read(engine: &Engine, input: &Input, units: UnitSystem) -> String {
    if input.readings.is_empty() {
        return input.origin();
    }
    input.readings.iter().map(|number| as_read(engine, *number, units)).collect::<Vec<_>>().join(", ")
}

fn as_read(engine: &Engine, number: u64, units: UnitSystem) -> String {
    let Some(reading) = engine.readings.iter().find(|r| r.number == number) else {
        return format!("no. {number}");
    };
    let warm = reading
        .temperature
        .map_or_else(String::new, |t| format!(" at {}", format_value(t, Dimension::Temperature, units, 1)));
    format!("no. {number}: {}{warm}", reading.text)
}

/// How the readings among the inputs were brought to 20 °C, with the expansion of each kind of part; `None` where none was.
pub fn brought_to_20(engine: &Engine, inputs: &[Input]) -> Option<String> {
    let catalogue = &engine.catalogue;
    let mut each: Vec<String> = Vec::new();
    for path in inputs.iter().filter(|i| !i.readings.is_empty()).filter_map(|i| i.feature.as_deref()) {
        let Some(feature) = catalogue.find(path).map(|at| &catalogue.features[at]) else { continue };
        let Some(expansion) = expansion_at(engine, feature) else { continue };
        let of = feature.material.map_or("any engine metal, none is given", |m| m.words());
        let words = format!("{of} \u{3b1} = {:.2}\u{b7}10\u{207b}\u{2076} per K", expansion * 1e6);
        if !each.contains(&words) {
            each.push(words);
        }
    }
    let of_stack = |i: &&Input| i.feature.as_deref().is_some_and(|path| path.contains(".below_deck."));
    let below = inputs.iter().filter(|i| !i.readings.is_empty()).find(of_stack);
    let below = below.and_then(|_| stack_rate(&engine.document)).map(|rate| {
        let sign = if rate < 0.0 { '+' } else { '\u{2212}' };
        format!(
            "piston below deck at 20 \u{b0}C: as read {sign} {:.2} \u{b5}m per K (temperature \u{2212} 20 \u{b0}C): deck height by the block, less rod, crank radius and compression height by theirs",
            rate.abs() * 1e6
        )
    });
    let sizes = (!each.is_empty()).then(|| {
        format!(
            "at 20 \u{b0}C: as read/(1 + \u{3b1} (temperature \u{2212} 20 \u{b0}C)); {}; a temperature that was not given is taken as 20 \u{b0}C",
            each.join("; ")
        )
    });
    let all: Vec<String> = sizes.into_iter().chain(below).collect();
    (!all.is_empty()).then(|| all.join(". "))
}

/// One line of the budget of an uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct BudgetLine<'a> {
    /// What contributes.
    pub name: &'a str,
    /// Standard uncertainty in the unit of the value; one that does not count is only said to be small.
    pub standard: String,
    /// Share of the variance, 0 to 1.
    pub share: f64,
}

/// What the uncertainty of a value is made of (JCGM 100, 5.1); empty where it has none.
pub fn budget(finding: &Finding, units: UnitSystem) -> Vec<BudgetLine<'_>> {
    let list = &finding.working.contributions;
    let variance: f64 = list.iter().map(|(_, u)| u * u).sum();
    if variance <= 0.0 {
        return Vec::new();
    }
    let dimension = finding.value.map_or(Dimension::Length, |v| v.dimension);
    list.iter()
        .map(|(name, u)| {
            let share = u * u / variance;
            let of = finding.value.map_or(*u, |v| v.value);
            BudgetLine { name, standard: term(*u, of, share, dimension, units), share }
        })
        .collect()
}

/// A standard uncertainty in the unit of the value `of`.
fn term(u: f64, of: f64, share: f64, dimension: Dimension, units: UnitSystem) -> String {
    let decimals = match dimension {
        Dimension::Length if units == UnitSystem::Inch => 5,
        Dimension::Length => 4,
        Dimension::Power | Dimension::Torque => 1,
        _ => 3,
    };
    let dimension = difference(dimension);
    let unit = display_unit_at(of, dimension, units);
    let small = 1.0 / (0..decimals).fold(1.0, |p, _| p * 10.0);
    if share < 1e-3 && u < small * unit.factor {
        return format!("under {}", format_value_beside(small * unit.factor, of, dimension, units, decimals));
    }
    format_value_beside(u, of, dimension, units, two_digits(u / unit.factor).max(decimals))
}

/// An uncertainty of a temperature is a difference of temperatures.
const fn difference(dimension: Dimension) -> Dimension {
    match dimension {
        Dimension::Temperature => Dimension::TemperatureDifference,
        other => other,
    }
}

/// Decimals that show two digits of a small figure, eight at most.
fn two_digits(number: f64) -> usize {
    let mut shown = number.abs();
    let mut decimals = 1;
    while shown < 1.0 && shown > 0.0 && decimals < 8 {
        shown *= 10.0;
        decimals += 1;
    }
    decimals
}
