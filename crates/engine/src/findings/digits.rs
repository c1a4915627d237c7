//! Digits of a value and its limit, which stand side by side and are read against each other.

use super::model::{LimitUsed, Measured};
use crate::quantity::{Dimension, UnitSystem, decimals_for, display_unit_at, format_fixed, format_value};
use mechanics::math::powi;

/// Both ends of a limit as they are printed, in one unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LimitFigures {
    /// Least allowed.
    pub min: Option<String>,
    /// Most allowed.
    pub max: Option<String>,
    /// Unit of both; empty where there is none.
    pub unit: &'static str,
}

/// Decimals of a value without uncertainty, in its display unit.
pub const fn usual_decimals(dimension: Dimension, units: UnitSystem) -> usize {
    match (dimension, units) {
        (Dimension::Length, UnitSystem::Metric) => 3,
        (Dimension::Length, UnitSystem::Inch) => 4,
        (Dimension::Volume | Dimension::Ratio | Dimension::Money | Dimension::Roughness, _) => 2,
        (
            Dimension::Mass
            | Dimension::Temperature
            | Dimension::Stiffness
            | Dimension::Angle
            | Dimension::Share,
            _,
        ) => 1,
        _ => 0,
    }
}

/// An input without uncertainty to four digits, or to its usual decimals where those are more, so that a reader can work with it;
/// zeros behind the usual decimals are left out.
pub fn exact_figure(si: f64, dimension: Dimension, units: UnitSystem) -> String {
    let unit = display_unit_at(si, dimension, units);
    let size = ((si - unit.offset) / unit.factor).abs();
    let usual = usual_decimals(dimension, units);
    let four = if size > 0.0 { (0..7_i32).find(|d| size * powi(10.0, *d) >= 999.5).unwrap_or(7) } else { 0 };
    let mut decimals = usual.max(usize::try_from(four).unwrap_or(0));
    let number = |decimals: usize| format_value(si, dimension, units, decimals);
    let zero_last = |text: &str| text.split(' ').next().is_some_and(|n| n.ends_with('0'));
    while decimals > usual && zero_last(&number(decimals)) {
        decimals -= 1;
    }
    number(decimals)
}

/// A limit to as many decimals as the value beside it has by its U, and to no fewer than it was written with; in the unit of
/// the value.
pub fn limit_figures(
    limit: &LimitUsed,
    value: Option<&Measured>,
    dimension: Dimension,
    units: UnitSystem,
) -> LimitFigures {
    let ends = || [limit.min, limit.max].into_iter().flatten();
    let at = value.map_or_else(|| ends().last().unwrap_or_default(), |v| v.value);
    let unit = display_unit_at(at, dimension, units);
    let shown = |si: f64| (si - unit.offset) / unit.factor;
    let usual = usual_decimals(dimension, units);
    let supported = match value {
        Some(v) if v.expanded > 0.0 => decimals_for(v.expanded / unit.factor),
        Some(_) => usual,
        None => usual.min(2),
    };
    let written = ends().map(|si| written_decimals(shown(si), usual)).max().unwrap_or(0);
    let decimals = supported.max(written);
    let number = |si: f64| format_fixed(shown(si), decimals);
    LimitFigures { min: limit.min.map(number), max: limit.max.map(number), unit: unit.symbol }
}

/// The fewest decimals that write a number as it is; the usual ones where it was written in another unit and is odd in this.
fn written_decimals(number: f64, usual: usize) -> usize {
    const MOST: usize = 6;
    let exact = |decimals: usize| {
        let read: f64 = format_fixed(number, decimals).parse().unwrap_or(f64::NAN);
        // Only rounding of the conversion to SI and back: 31.496063 in is not how 800 mm were written.
        (read - number).abs() <= 1e-12 * number.abs().max(1e-3)
    };
    (0..=MOST).find(|d| exact(*d)).unwrap_or(usual)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Origin;

    fn limit(min: Option<f64>, max: Option<f64>) -> LimitUsed {
        let (name, source) = ("limit".to_owned(), String::new());
        LimitUsed { name, min, max, target: None, origin: Origin::Builder, source, guard_band: false }
    }

    fn figures(
        limit: &LimitUsed,
        value: f64,
        expanded: f64,
        units: UnitSystem,
    ) -> (Option<String>, Option<String>) {
        let value = Measured { value, expanded, dimension: Dimension::Length, predicted: false };
        let shown = limit_figures(limit, Some(&value), Dimension::Length, units);
        (shown.min, shown.max)
    }

    #[test]
    fn a_limit_has_the_digits_of_the_value_and_never_fewer_than_its_own() {
        let some = |text: &str| Some(text.to_owned());
        // Taper 0.021 +- 0.002 against 0.01: both to the micrometre.
        assert_eq!(
            figures(&limit(None, Some(0.01e-3)), 0.021e-3, 2e-6, UnitSystem::Metric),
            (None, some("0.010"))
        );
        // Wall 2.7 +- 0.3 against 2.80, written with two digits.
        assert_eq!(
            figures(&limit(Some(2.85e-3), None), 2.7e-3, 0.3e-3, UnitSystem::Metric),
            (some("2.85"), None)
        );
        // Written to a tenth of a micrometre, measured to the micrometre: nothing of it is lost.
        assert_eq!(
            figures(&limit(None, Some(0.0125e-3)), 0.021e-3, 2e-6, UnitSystem::Metric),
            (None, some("0.0125"))
        );
        // Written in millimetres, read in inches: the usual digits of an inch.
        assert_eq!(
            figures(&limit(Some(0.046e-3), Some(0.062e-3)), 0.067e-3, 5e-6, UnitSystem::Inch),
            (some("0.0018"), some("0.0024"))
        );
        // 800 mm is 31.496063 in to 8e-9: chance, not digits that somebody wrote.
        assert_eq!(figures(&limit(None, Some(0.8)), 0.79, 1e-4, UnitSystem::Inch), (None, some("31.4961")));
    }

    #[test]
    fn an_exact_input_has_the_digits_to_work_with() {
        let metric = |si, dimension| exact_figure(si, dimension, UnitSystem::Metric);
        assert_eq!(metric(0.462_31, Dimension::MassFlow), "0.4623 kg/s");
        assert_eq!(metric(0.058_41, Dimension::MassFlow), "0.05841 kg/s");
        assert_eq!(metric(33.174e5, Dimension::Pressure), "33.17 bar");
        assert_eq!(metric(-3.124e5, Dimension::Pressure), "-3.124 bar");
        assert_eq!(metric(90e-3, Dimension::Length), "90.000 mm");
        assert_eq!(metric(12.5e-6, Dimension::Volume), "12.50 cm³");
        assert_eq!(metric(0.0, Dimension::Pressure), "0 bar");
    }

    #[test]
    fn nothing_is_said_twice_about_where_a_limit_comes_from() {
        let said = |origin, source: &str| {
            LimitUsed { origin, source: source.into(), ..limit(None, None) }.origin_words()
        };
        assert_eq!(said(Origin::Builder, "shop's own, cold"), "builder's own: cold");
        assert_eq!(said(Origin::Builder, "shop's own"), "builder's own");
        assert_eq!(said(Origin::CommonPractice, "no source"), "common practice, no source");
        assert_eq!(said(Origin::CommonPractice, "common practice, no source"), "common practice, no source");
        assert_eq!(said(Origin::PartMaker, "ring sheet"), "part maker: ring sheet");
    }
}
