//! Printing: the unit of a reader's choice, and no more digits than the uncertainty supports.

use super::units::{Dimension, Unit, units_of};
use serde::{Deserialize, Serialize};

/// The units in which a person reads and writes sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema, Default)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Millimetres, newtons, bar, degrees Celsius.
    #[default]
    Metric,
    /// Inches, pounds, psi, degrees Fahrenheit.
    Inch,
}

/// The unit in which a dimension is shown.
///
/// # Panics
/// Never: every dimension has a first unit in the table.
pub fn display_unit(dimension: Dimension, system: UnitSystem) -> &'static Unit {
    use Dimension as D;
    let symbol = match (dimension, system) {
        (D::Length, UnitSystem::Inch) => "in",
        (D::Roughness, UnitSystem::Inch) => "µin",
        (D::Volume, _) => "cm³",
        (D::Pressure, UnitSystem::Inch) => "psi",
        (D::Force, UnitSystem::Inch) => "lbf",
        (D::Stiffness, UnitSystem::Inch) => "lbf/in",
        (D::Temperature | D::TemperatureDifference, UnitSystem::Inch) => "°F",
        (D::Torque, UnitSystem::Inch) => "lbf·ft",
        (D::Power, UnitSystem::Inch) => "hp",
        (D::MassFlow, UnitSystem::Inch) => "lb/min",
        (D::Area, UnitSystem::Metric) => "mm²",
        (D::Area, UnitSystem::Inch) => "in²",
        (D::Angle, _) => "°",
        _ => "",
    };
    let mut units = units_of(dimension);
    let first = units.next();
    first
        .into_iter()
        .chain(units)
        .find(|u| !symbol.is_empty() && u.symbol == symbol)
        .or(first)
        .expect("every dimension has a unit")
}

/// The unit in which this value is shown: a swept volume of an inch engine in cubic inches, a chamber in cubic centimetres.
pub fn display_unit_at(si: f64, dimension: Dimension, system: UnitSystem) -> &'static Unit {
    /// From 200 cm³ on it is a swept volume and not a chamber.
    const SWEPT: f64 = 200e-6;
    if dimension == Dimension::Volume && system == UnitSystem::Inch && si >= SWEPT {
        return units_of(dimension).find(|u| u.symbol == "in³").unwrap_or(display_unit(dimension, system));
    }
    display_unit(dimension, system)
}

/// A number with that many decimals; "-0.000" is printed as "0.000".
pub fn format_fixed(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    if text.starts_with('-') && text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.')) {
        text[1..].to_owned()
    } else {
        text
    }
}

/// An amount of money with its currency: "85.00 EUR"; no currency where none is known.
pub fn format_money(amount: f64, currency: &str) -> String {
    // Digits of the minor unit, ISO 4217 (from memory).
    let decimals = match currency {
        "JPY" | "KRW" | "CLP" | "ISK" | "VND" => 0,
        "KWD" | "BHD" | "OMR" | "JOD" | "TND" => 3,
        _ => 2,
    };
    format!("{} {currency}", format_fixed(amount, decimals)).trim_end().to_owned()
}

/// How many decimals an expanded uncertainty supports: its first significant digit, two when that digit is 1.
/// GUM (JCGM 100:2008) 7.2.6: at most two significant digits of the uncertainty, the value to the same place.
pub fn decimals_for(expanded: f64) -> usize {
    if !(expanded > 0.0 && expanded.is_finite()) {
        return 3;
    }
    let mut place = 0_usize;
    let mut scaled = expanded;
    while scaled < 0.95 && place < 6 {
        scaled *= 10.0;
        place += 1;
    }
    if scaled < 1.95 { (place + 1).min(6) } else { place }
}

/// A value in the unit in which another one of the same dimension is shown, such as a term of its uncertainty.
pub fn format_value_beside(
    si: f64,
    beside: f64,
    dimension: Dimension,
    system: UnitSystem,
    decimals: usize,
) -> String {
    let unit = display_unit_at(beside, dimension, system);
    format!("{} {}", format_fixed(si / unit.factor, decimals), unit.symbol).trim_end().to_owned()
}

/// Value without uncertainty, in the reader's unit.
pub fn format_value(si: f64, dimension: Dimension, system: UnitSystem, decimals: usize) -> String {
    let unit = display_unit_at(si, dimension, system);
    let (number, symbol) = shown(si, unit, dimension);
    if symbol.is_empty() {
        format_fixed(number, decimals)
    } else {
        format!("{} {symbol}", format_fixed(number, decimals))
    }
}

/// The least amount that prints with as many decimals and is not below `si`, SI: what a limit has to give must be enough as printed.
pub fn rounded_up(si: f64, dimension: Dimension, system: UnitSystem, decimals: usize) -> f64 {
    let tens = (0..decimals).fold(1.0, |product, _| product * 10.0);
    let step = display_unit_at(si, dimension, system).factor / tens;
    // A ten-thousandth of the step is rounding.
    (si / step - 1e-4).ceil() * step
}

fn shown(si: f64, unit: &Unit, dimension: Dimension) -> (f64, &'static str) {
    if dimension == Dimension::Money { (si, "") } else { ((si - unit.offset) / unit.factor, unit.symbol) }
}

/// An expanded uncertainty as it is printed with so many decimals: to the nearest, but up where that would take more than a twentieth
/// off it, so that no U is shown as less than it is. JCGM 100:2008 7.2.6: an uncertainty may have to be rounded up rather than to the
/// nearest digit, with common sense (28.05 becomes 28); the twentieth is that of EA-4/02 M:2022 6.3 (from memory).
pub fn shown_uncertainty(expanded: f64, decimals: usize) -> f64 {
    const MOST_TAKEN_OFF: f64 = 0.05;
    let step = (0..decimals).fold(1.0, |step, _| step / 10.0);
    let nearest = (expanded / step).round() * step;
    if nearest < expanded * (1.0 - MOST_TAKEN_OFF) { nearest + step } else { nearest }
}

/// `value ± U unit`, both to the place that U supports.
pub fn format_with_uncertainty(
    si: f64,
    expanded_si: f64,
    dimension: Dimension,
    system: UnitSystem,
) -> String {
    let unit = display_unit_at(si, dimension, system);
    let expanded = expanded_si / unit.factor;
    let decimals = decimals_for(expanded);
    let number = format_fixed((si - unit.offset) / unit.factor, decimals);
    let expanded = format_fixed(shown_uncertainty(expanded, decimals), decimals);
    if dimension == Dimension::Expansion {
        return format!("({number} ± {expanded})·10⁻⁶/K");
    }
    format!("{number} ± {expanded} {}", unit.symbol).trim_end().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_uncertainty_is_printed_as_less_than_it_is() {
        let printed = |expanded: f64| {
            format_with_uncertainty(89.1 * 1e-3, expanded * 1e-3, Dimension::Length, UnitSystem::Metric)
        };
        assert_eq!(printed(0.0024), "89.100 \u{b1} 0.003 mm");
        // 28.05 is 28 (JCGM 100 7.2.6), 10.47 is 11.
        assert_eq!(printed(0.002_805), "89.100 \u{b1} 0.003 mm");
        assert_eq!(printed(0.002_05), "89.100 \u{b1} 0.002 mm");
        assert_eq!(printed(0.001_24), "89.1000 \u{b1} 0.0012 mm");
        assert_eq!(printed(0.0044), "89.100 \u{b1} 0.005 mm");
        for tenth in 1..2000 {
            let expanded = f64::from(tenth) * 1e-5;
            let shown: f64 = printed(expanded)
                .split(' ')
                .nth(2)
                .and_then(|number| number.parse().ok())
                .unwrap_or_else(|| panic!("{}", printed(expanded)));
            assert!(shown >= 0.95 * expanded - 1e-12, "{expanded} as {shown}");
        }
    }

    #[test]
    fn what_has_to_give_is_never_printed_as_nothing_or_too_little() {
        let printed = |by: f64, system: UnitSystem, decimals: usize| {
            format_value(
                rounded_up(by, Dimension::Length, system, decimals),
                Dimension::Length,
                system,
                decimals,
            )
        };
        assert_eq!(printed(0.2e-6, UnitSystem::Metric, 3), "0.001 mm");
        assert_eq!(printed(12.0e-6, UnitSystem::Metric, 3), "0.012 mm");
        assert_eq!(printed(12.1e-6, UnitSystem::Metric, 3), "0.013 mm");
        assert_eq!(printed(0.2e-6, UnitSystem::Inch, 4), "0.0001 in");
        assert_eq!(printed(25.4e-6, UnitSystem::Inch, 4), "0.0010 in");
        assert_eq!(printed(0.0, UnitSystem::Inch, 4), "0.0000 in");
    }
}
