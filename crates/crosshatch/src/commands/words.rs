//! Figures of a finding in words.

use engine::Engine;
pub(super) use engine::findings::percent as per_cent;
use engine::findings::{Finding, LimitFigures, LimitUsed, limit_figures, stated_in_document, usual_decimals};
pub(super) use engine::quantity::counted as count;
use engine::quantity::{Dimension, UnitSystem, format_fixed, format_value, format_with_uncertainty};

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

/// "0.046 to 0.060", "at most 0.010", "at least 2.80", in the unit of the value; empty where there is none.
pub(super) fn limit(finding: &Finding, units: UnitSystem) -> String {
    figures(finding, units).map(range).unwrap_or_default()
}

/// As [`limit`], with the unit.
pub(super) fn limit_with_unit(finding: &Finding, units: UnitSystem) -> String {
    let with_unit = |figures: LimitFigures| {
        let unit = figures.unit;
        format!("{} {unit}", range(figures))
    };
    figures(finding, units).map(with_unit).unwrap_or_default().trim().to_owned()
}

fn figures(finding: &Finding, units: UnitSystem) -> Option<LimitFigures> {
    let used = finding.limit.as_ref()?;
    let dimension = finding.value.map_or_else(|| dimension_of(used), |v| v.dimension);
    Some(limit_figures(used, finding.value.as_ref(), dimension, units))
}

fn range(figures: LimitFigures) -> String {
    match (figures.min, figures.max) {
        (Some(min), Some(max)) => format!("{min} to {max}"),
        (Some(min), None) => format!("at least {min}"),
        (None, Some(max)) => format!("at most {max}"),
        (None, None) => String::new(),
    }
}

fn dimension_of(used: &LimitUsed) -> Dimension {
    engine::document::Limits::NAMES
        .iter()
        .find(|(n, _)| *n == used.name)
        .map_or(Dimension::Length, |(_, d)| *d)
}

/// What is missing in words: the places to read, and the fields of the document to state.
pub(super) fn missing(engine: &Engine, paths: &[String]) -> (String, String) {
    let (fields, places): (Vec<&String>, Vec<&String>) =
        paths.iter().partition(|path| stated_in_document(path).is_some());
    let label =
        |path: &String| engine.catalogue.feature(path).map_or_else(|| path.clone(), |f| f.label.clone());
    let fields: Vec<&str> = fields.into_iter().filter_map(|path| stated_in_document(path)).collect();
    (places.into_iter().map(label).collect::<Vec<_>>().join("; "), fields.join(", "))
}

/// Verdict; "stale, was good" where an operation has moved what was read.
pub(super) fn verdict(finding: &Finding) -> String {
    let stale = if finding.stale { "stale, was " } else { "" };
    format!("{stale}{}", finding.verdict.word())
}

/// A caution behind a sentence; nothing where there is none.
pub(super) fn caution(said: Option<&str>) -> String {
    said.map(|words| format!(" Caution: {words}")).unwrap_or_default()
}

/// "3 days", "1 day".
pub(super) fn days(days: f64) -> String {
    let number = format_fixed(days, usize::from((days - days.round()).abs() > 1e-9));
    if number == "1" { "1 day".to_owned() } else { format!("{number} days") }
}
