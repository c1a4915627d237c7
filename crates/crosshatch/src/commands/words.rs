//! Figures of a finding in words.

use engine::findings::{Finding, LimitUsed};
use engine::quantity::{
    Dimension, UnitSystem, decimals_for, display_unit, format_fixed, format_value, format_with_uncertainty,
};

/// Decimals of a value without uncertainty.
fn usual_decimals(dimension: Dimension, units: UnitSystem) -> usize {
    match (dimension, units) {
        (Dimension::Length, UnitSystem::Metric) => 3,
        (Dimension::Length, UnitSystem::Inch) => 4,
        (Dimension::Volume | Dimension::Ratio | Dimension::Money, _) => 2,
        (Dimension::Mass | Dimension::Temperature | Dimension::Stiffness | Dimension::Angle, _) => 1,
        _ => 0,
    }
}

/// "31 %", "0.4 %".
pub(super) fn per_cent(share: f64) -> String {
    let hundred = share * 100.0;
    if hundred < 0.1 {
        "under 0.1 %".to_owned()
    } else if hundred > 99.9 {
        "over 99.9 %".to_owned()
    } else {
        format!("{} %", format_fixed(hundred, usize::from(!(10.0..=90.0).contains(&hundred))))
    }
}

/// A plain value in the reader's unit.
pub(super) fn plain(si: f64, dimension: Dimension, units: UnitSystem) -> String {
    format_value(si, dimension, units, usual_decimals(dimension, units))
}

/// Value ± U; empty where there is none.
pub(super) fn value(finding: &Finding, units: UnitSystem) -> String {
    match &finding.value {
        None => String::new(),
        Some(v) if v.expanded > 0.0 => format_with_uncertainty(v.value, v.expanded, v.dimension, units),
        Some(v) => plain(v.value, v.dimension, units),
    }
}

/// "0.046 to 0.060", "max 0.010", "min 2.80", in the unit of the value; empty where there is none.
pub(super) fn limit(finding: &Finding, units: UnitSystem) -> String {
    let Some(used) = &finding.limit else { return String::new() };
    let dimension = finding.value.map_or_else(|| dimension_of(used), |v| v.dimension);
    let unit = display_unit(dimension, units);
    let shown = |si: f64| (si - unit.offset) / unit.factor;
    let supported =
        finding.value.filter(|v| v.expanded > 0.0).map_or(0, |v| decimals_for(v.expanded / unit.factor));
    let most = usual_decimals(dimension, units).max(supported);
    // Both ends to one place, which is the fewest that write them as they are, and what U supports.
    let needed = [used.min, used.max].into_iter().flatten().map(|si| needed_decimals(shown(si), most)).max();
    let decimals = needed.unwrap_or(0).max(supported);
    let number = |si: f64| format_fixed(shown(si), decimals);
    match (used.min, used.max) {
        (Some(min), Some(max)) => format!("{} to {}", number(min), number(max)),
        (Some(min), None) => format!("min {}", number(min)),
        (None, Some(max)) => format!("max {}", number(max)),
        (None, None) => String::new(),
    }
}

fn dimension_of(used: &LimitUsed) -> Dimension {
    engine::document::Limits::NAMES
        .iter()
        .find(|(n, _)| *n == used.name)
        .map_or(Dimension::Length, |(_, d)| *d)
}

/// The fewest decimals that write a number as it is, at most `most`.
fn needed_decimals(number: f64, most: usize) -> usize {
    let value = |decimals: usize| format_fixed(number, decimals).parse::<f64>().unwrap_or(f64::NAN);
    (0..most).find(|d| (value(*d) - value(most)).abs() < 1e-9).unwrap_or(most)
}

/// Verdict, with "stale" beside it.
pub(super) fn verdict(finding: &Finding) -> String {
    let stale = if finding.stale { ", stale" } else { "" };
    format!("{}{stale}", finding.verdict.word())
}

/// "3 days", "1 day".
pub(super) fn days(days: f64) -> String {
    let number = format_fixed(days, usize::from((days - days.round()).abs() > 1e-9));
    if number == "1" { "1 day".to_owned() } else { format!("{number} days") }
}

/// "1 action", "7 actions".
pub(super) fn count(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}
