//! What the enlarged drawings share: a measured value, its words, a limit.

use engine::quantity::{Dimension, UnitSystem, display_unit, format_fixed, shown_uncertainty};

/// A value in SI with its expanded uncertainty.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Value {
    /// SI
    pub value: f64,
    /// Expanded uncertainty, k = 2, SI.
    pub expanded: f64,
    /// Not measured here.
    pub predicted: bool,
    /// An operation moved it.
    pub stale: bool,
}

impl Value {
    /// A measured value.
    pub const fn of(value: f64, expanded: f64) -> Self {
        Self { value, expanded, predicted: false, stale: false }
    }
}

/// An allowed range in SI; either end may be open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Allowed {
    /// Least.
    pub min: Option<f64>,
    /// Most.
    pub max: Option<f64>,
}

impl Allowed {
    /// Both ends that are there.
    pub fn ends(self) -> impl Iterator<Item = f64> {
        [self.min, self.max].into_iter().flatten()
    }

    /// Is the value inside?
    pub fn holds(self, value: f64) -> bool {
        self.min.is_none_or(|m| value >= m) && self.max.is_none_or(|m| value <= m)
    }
}

/// How figures are written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// The reader's units.
    pub units: UnitSystem,
    /// What is measured.
    pub dimension: Dimension,
    /// Decimals in that unit.
    pub decimals: usize,
}

impl Figures {
    /// Lengths to the thousandth of a millimetre, or the tenth of a thousandth of an inch.
    pub const fn fine_lengths(units: UnitSystem) -> Self {
        let decimals = match units {
            UnitSystem::Metric => 3,
            UnitSystem::Inch => 4,
        };
        Self { units, dimension: Dimension::Length, decimals }
    }

    /// Lengths to the hundredth of a millimetre, or the thousandth of an inch.
    pub const fn lengths(units: UnitSystem) -> Self {
        let decimals = match units {
            UnitSystem::Metric => 2,
            UnitSystem::Inch => 3,
        };
        Self { units, dimension: Dimension::Length, decimals }
    }

    /// The number without its unit.
    pub fn number(self, si: f64) -> String {
        let unit = display_unit(self.dimension, self.units);
        format_fixed((si - unit.offset) / unit.factor, self.decimals).replace('-', "\u{2212}")
    }

    /// An expanded uncertainty to the same decimals, never as less than it is.
    pub fn uncertainty(self, expanded: f64) -> String {
        let shown =
            shown_uncertainty(expanded / display_unit(self.dimension, self.units).factor, self.decimals);
        format_fixed(shown, self.decimals)
    }

    /// The unit's symbol.
    pub fn unit(self) -> &'static str {
        display_unit(self.dimension, self.units).symbol
    }

    /// Number and unit.
    pub fn with_unit(self, si: f64) -> String {
        format!("{} {}", self.number(si), self.unit()).trim_end().to_owned()
    }

    /// The range in words: "allowed 0.046 to 0.062", "at least 2.80", "at most 0.010".
    pub fn range(self, allowed: Allowed) -> String {
        match (allowed.min, allowed.max) {
            (Some(a), Some(b)) => format!("allowed {} to {}", self.number(a), self.number(b)),
            (Some(a), None) => format!("at least {}", self.number(a)),
            (None, Some(b)) => format!("at most {}", self.number(b)),
            (None, None) => "no limit given".to_owned(),
        }
    }
}
