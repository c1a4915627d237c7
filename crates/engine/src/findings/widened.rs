//! A limit that has to give where no answer is inside all of them.

use super::bench::{Bench, decimals};
use crate::document::{Limits, field_title};
use crate::quantity::{Dimension, Phrase, UnitSystem};

/// A limit that has to give, in the words of the form: which, from what, to what.
pub struct Widened {
    title: String,
    ends: (Option<f64>, Option<f64>),
    /// What it is of, and its decimals in metric units.
    shown: (Dimension, usize),
    units: UnitSystem,
}

impl Widened {
    /// The limit of that name; none where this engine has none.
    pub fn of(bench: Bench<'_>, limit: &'static str) -> Option<Self> {
        let used = bench.limit(limit)?.used;
        let (_, dimension) = Limits::NAMES.iter().find(|(name, _)| *name == limit)?;
        Some(Self {
            title: field_title(["limits", limit]),
            ends: (used.min, used.max),
            shown: (*dimension, decimals(*dimension)),
            units: bench.engine.units(),
        })
    }

    /// "Main bearing oil clearance on diameter, most: from 0.060 mm to 0.064 mm".
    pub fn end(&self, upper: bool, by: f64) -> Option<Phrase> {
        Some(Phrase::words(format!("{}, ", self.title)).join(self.one_end(upper, by)?))
    }

    /// "…, least: from 0.040 mm to 0.038 mm, and most: from 0.060 mm to 0.062 mm".
    pub fn both_ends(&self, by: f64) -> Phrase {
        let ends = [false, true].into_iter().filter_map(|upper| self.one_end(upper, by));
        let words = ends.reduce(|least, most| least.say(", and ").join(most)).unwrap_or_default();
        Phrase::words(format!("{}, ", self.title)).join(words)
    }

    /// How wide it is; none where a side is open.
    pub fn width(&self) -> Option<f64> {
        Some(self.ends.1? - self.ends.0?)
    }

    fn one_end(&self, upper: bool, by: f64) -> Option<Phrase> {
        let (word, from) = if upper { ("most", self.ends.1?) } else { ("least", self.ends.0?) };
        let to = if upper { from + by } else { from - by };
        let from_words = Phrase::words(format!("{word}: from ")).value(from, self.shown.0, self.shown.1);
        Some(from_words.say(" to ").outward(to, upper, self.shown, self.units))
    }
}
