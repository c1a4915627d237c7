//! Figures of a run in the reader's units.

use super::PowerView;
use crate::words::{field_words, grouped, path_query, sentence};
use engine::power::{Change, InputOrigin, SpecInput, pressure_decimals};
use engine::quantity::{
    Dimension, UnitSystem, display_unit, display_unit_at, format_fixed, format_with_uncertainty,
};
use mechanics::math::log10;

/// Crank speed in rev/min from rad/s, as it is written.
pub(super) fn rev(speed: f64) -> String {
    grouped(&format_fixed(rpm(speed), 0))
}

/// Crank speed in rev/min from rad/s.
pub(super) fn rpm(speed: f64) -> f64 {
    speed * 60.0 / std::f64::consts::TAU
}

/// Speed of a turbocharger in rev/min from rad/s, to the hundred.
pub(super) fn hundreds(speed: f64) -> String {
    grouped(&format_fixed((rpm(speed) / 100.0).round() * 100.0, 0))
}

/// An input in the reader's words: boost can be read as over the air outside, so it is named for what it is; a part stands after
/// another on the way of the gas, not behind it. The label itself stays, because kept results are compared by it.
pub(super) fn input_label(label: &str) -> String {
    let words = [
        ("boost aimed at", "plenum pressure aimed at, absolute"),
        ("air to fuel against the exact ratio", "\u{3bb}"),
        ("exact air to fuel ratio", "stoichiometric air\u{2013}fuel ratio"),
        ("half burned", "50 % burned"),
        ("behind the cooler", "after the intercooler"),
        ("cooler, ", "intercooler, "),
        ("behind the", "after the"),
    ];
    words.into_iter().fold(label.to_owned(), |label, (stored, shown)| label.replacen(stored, shown, 1))
}

/// Degrees from radians.
pub(super) fn degrees(angle: f64) -> f64 {
    angle.to_degrees()
}

/// A number with its unit; the sign of degrees stands close to it (SI brochure, 5.4.3).
fn with_unit(number: &str, symbol: &str) -> String {
    let space = if matches!(symbol, "" | "\u{b0}") { "" } else { " " };
    format!("{number}{space}{symbol}")
}

/// The reader's units.
#[derive(Clone, Copy)]
pub(super) struct Shown {
    pub units: UnitSystem,
}

impl Shown {
    /// Factor and symbol of a unit that pages about power write otherwise: a cylinder's volume in inches.
    fn own(self, dimension: Dimension) -> Option<(f64, &'static str)> {
        // 0.0254³ m³, exact by the definition of the inch.
        (self.units == UnitSystem::Inch && dimension == Dimension::Volume)
            .then_some((1.638_706_4e-5, "in\u{b3}"))
    }

    /// Unit of specific fuel consumption.
    pub const fn consumption_unit(self) -> &'static str {
        match self.units {
            UnitSystem::Metric => "g/kWh",
            UnitSystem::Inch => "lb/(hp\u{b7}h)",
        }
    }

    /// Specific fuel consumption from kg/J, in that unit.
    pub fn consumption_number(self, si: f64) -> String {
        match self.units {
            UnitSystem::Metric => format_fixed(si * 3.6e9, 0),
            // 1 lb = 0.45359237 kg, 1 hp = 550 ft·lbf/s = 745.699872 W (exact definitions of pound and foot).
            UnitSystem::Inch => format_fixed(si * 745.699_871_582_270_2 * 3600.0 / 0.453_592_37, 3),
        }
    }

    /// Number in the reader's unit.
    pub fn number(self, si: f64, dimension: Dimension) -> f64 {
        if let Some((factor, _)) = self.own(dimension) {
            return si / factor;
        }
        let unit = display_unit(dimension, self.units);
        (si - unit.offset) / unit.factor
    }

    /// Its symbol.
    pub fn symbol(self, dimension: Dimension) -> &'static str {
        if let Some((_, symbol)) = self.own(dimension) {
            return symbol;
        }
        display_unit(dimension, self.units).symbol
    }

    /// "437 N·m"
    pub fn value(self, si: f64, dimension: Dimension, decimals: usize) -> String {
        let number = grouped(&format_fixed(self.number(si, dimension), decimals));
        with_unit(&number, self.symbol(dimension))
    }

    /// A computed gas pressure, the number alone.
    pub fn pressure_number(self, si: f64) -> String {
        grouped(&format_fixed(self.number(si, Dimension::Pressure), pressure_decimals(self.units)))
    }

    /// A computed gas pressure with its unit.
    pub fn pressure(self, si: f64) -> String {
        self.value(si, Dimension::Pressure, pressure_decimals(self.units))
    }

    /// A computed mean effective pressure, the number alone: ten times a gas pressure, one place less.
    pub fn mean_pressure_number(self, si: f64) -> String {
        grouped(&format_fixed(self.number(si, Dimension::Pressure), pressure_decimals(self.units) - 1))
    }

    /// With as many figures as a person reads, about four.
    pub fn about(self, si: f64, dimension: Dimension) -> String {
        let number = self.number(si, dimension);
        let size = number.abs();
        let decimals =
            [1000.0, 100.0, 10.0, 1.0, 0.1, 0.01].iter().take_while(|s| size < **s && size > 0.0).count();
        let text = format_fixed(number, decimals);
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        with_unit(&grouped(text), self.symbol(dimension))
    }

    /// Value of an input with its uncertainty.
    pub fn input(self, input: &SpecInput) -> String {
        if input.expanded > 0.0 {
            grouped(&format_with_uncertainty(input.value, input.expanded, input.dimension, self.units))
        } else if input.origin == InputOrigin::CommonPractice {
            self.usual(input.value, input.dimension)
        } else {
            self.about(input.value, input.dimension)
        }
    }

    /// A figure of common practice: three digits, since nobody has stated or read it here.
    fn usual(self, si: f64, dimension: Dimension) -> String {
        let unit = display_unit_at(si, dimension, self.units);
        let shown = (si - unit.offset) / unit.factor;
        let whole = if shown == 0.0 { 1 } else { log10(shown.abs()).floor() as i32 + 1 };
        let decimals = usize::try_from(3 - whole).unwrap_or(0).min(6);
        let text = format_fixed(shown, decimals);
        let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
        with_unit(&grouped(text), unit.symbol)
    }

    /// "Bore 1: was 89.100 mm, is 89.105 mm"
    pub fn change(self, change: &Change) -> String {
        let label = sentence(&input_label(&change.label));
        let show = |si: f64| self.about(si, change.dimension);
        match (change.before, change.now) {
            (Some(before), Some(now)) if show(before) == show(now) => {
                format!("{label}: {}, in a place beyond the figures shown or by its origin", show(now))
            }
            (Some(before), Some(now)) => format!("{label}: was {}, is {}", show(before), show(now)),
            (Some(before), None) => format!("{label}: was {}, is not known any more", show(before)),
            (None, Some(now)) => format!("{label}: was not known, is {}", show(now)),
            (None, None) => label,
        }
    }
}

/// Where a missing input is read or stated.
pub(super) fn place(power: &PowerView, path: &str, measured: bool) -> String {
    if measured && let Some(at) = power.view.feature_at(path) {
        return at;
    }
    let section = path.split(['.', '[']).next().unwrap_or(path);
    if section.is_empty() {
        power.view.at("parts")
    } else {
        power.view.at(&format!("parts/{}", path_query(section)))
    }
}

/// That place in words: what is read there, or the section and the field as their form names them.
pub(super) fn place_words(power: &PowerView, path: &str) -> String {
    match power.view.engine.catalogue.feature(path) {
        Some(feature) => sentence(&feature.label),
        None => field_words(path),
    }
}

/// Said once on each page that writes it.
pub(super) const LAMBDA_IS: &str = "\u{3bb}: air\u{2013}fuel ratio over the stoichiometric one.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inch_engines_show_inches_throughout() {
        let inch = Shown { units: UnitSystem::Inch };
        // 0.5 lb/(hp·h) is 304.1 g/kWh: the conversion of the handbooks is 608.277.
        assert_eq!(inch.consumption_number(304.138_7 / 3.6e9), "0.500");
        assert_eq!(inch.consumption_unit(), "lb/(hp\u{b7}h)");
        let metric = Shown { units: UnitSystem::Metric };
        assert_eq!(metric.consumption_number(304.138_7 / 3.6e9), "304");
        assert_eq!(metric.about(4_f64.to_radians(), Dimension::Angle), "4\u{b0}");
        assert_eq!(metric.about(2e-3, Dimension::Length), "2 mm");
        assert_eq!(inch.value(1.638_706_4e-3, Dimension::Volume, 1), "100.0 in\u{b3}");
        assert_eq!(inch.value(-82_737.0, Dimension::Pressure, 0), "\u{2212}12 psi");
    }
}
