//! Sentences with quantities in them. The engine says what; the view prints units and digits.

use super::print::{UnitSystem, format_value, format_with_uncertainty, rounded_up};
use super::units::Dimension;
use serde::{Deserialize, Serialize};

/// One piece of a sentence.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Piece {
    /// Plain words.
    Words {
        /// The text.
        text: String,
    },
    /// A quantity in SI.
    Value {
        /// SI value.
        si: f64,
        /// Expanded uncertainty in SI, where there is one.
        expanded: Option<f64>,
        /// What it measures.
        dimension: Dimension,
        /// Decimals when shown in metric units; inches get one more (two for lengths).
        decimals: usize,
    },
    /// From one quantity to another, in SI: printed once where both print alike.
    Range {
        /// The lesser, SI.
        low: f64,
        /// The greater, SI.
        high: f64,
        /// What they measure.
        dimension: Dimension,
        /// Decimals when shown in metric units.
        decimals: usize,
    },
}

/// A sentence.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Phrase(pub Vec<Piece>);

impl Phrase {
    /// An empty sentence.
    pub fn new() -> Self {
        Self::default()
    }

    /// A sentence of plain words.
    pub fn words(text: impl Into<String>) -> Self {
        Self::new().say(text)
    }

    /// Adds words.
    #[must_use]
    pub fn say(mut self, text: impl Into<String>) -> Self {
        self.0.push(Piece::Words { text: text.into() });
        self
    }

    /// Adds a quantity, given in SI, with the decimals it has in metric display units.
    #[must_use]
    pub fn value(mut self, si: f64, dimension: Dimension, decimals: usize) -> Self {
        self.0.push(Piece::Value { si, expanded: None, dimension, decimals });
        self
    }

    /// Adds "1.02 mm to 1.10 mm", and "1.02 mm" where both print alike.
    #[must_use]
    pub fn range(mut self, low: f64, high: f64, dimension: Dimension, decimals: usize) -> Self {
        self.0.push(Piece::Range { low, high, dimension, decimals });
        self
    }

    /// Adds an amount by which a limit has to give, rounded up to what is printed so that it is enough: zero only where it is.
    #[must_use]
    pub fn at_least(self, si: f64, dimension: Dimension, decimals: usize, system: UnitSystem) -> Self {
        let shown = shown_decimals(dimension, system, decimals);
        self.value(rounded_up(si, dimension, system, shown), dimension, decimals)
    }

    /// Adds the end to which a limit has to give, rounded outward to what is printed so that it is enough: up or down.
    #[must_use]
    pub fn outward(
        self,
        si: f64,
        up: bool,
        (dimension, decimals): (Dimension, usize),
        system: UnitSystem,
    ) -> Self {
        let shown = shown_decimals(dimension, system, decimals);
        let sign = if up { 1.0 } else { -1.0 };
        self.value(sign * rounded_up(sign * si, dimension, system, shown), dimension, decimals)
    }

    /// Adds a length in metres, to the micrometre.
    #[must_use]
    pub fn length(self, metres: f64) -> Self {
        self.value(metres, Dimension::Length, 3)
    }

    /// Adds a length in metres, to the hundredth of a millimetre.
    #[must_use]
    pub fn length_2(self, metres: f64) -> Self {
        self.value(metres, Dimension::Length, 2)
    }

    /// Adds a quantity with its expanded uncertainty.
    #[must_use]
    pub fn measured(mut self, si: f64, expanded: f64, dimension: Dimension) -> Self {
        self.0.push(Piece::Value { si, expanded: Some(expanded), dimension, decimals: 0 });
        self
    }

    /// Adds another sentence.
    #[must_use]
    pub fn join(mut self, other: Phrase) -> Self {
        self.0.extend(other.0);
        self
    }

    /// Adds words behind a semicolon, or alone where nothing is said yet.
    #[must_use]
    pub fn also(self, words: impl Into<String>) -> Self {
        if self.is_empty() { self } else { self.say("; ") }.say(words)
    }

    /// True when there is nothing to say.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The sentence in a reader's units.
    pub fn print(&self, system: UnitSystem) -> String {
        self.0.iter().map(|piece| print_piece(piece, system)).collect()
    }
}

fn print_piece(piece: &Piece, system: UnitSystem) -> String {
    match piece {
        Piece::Words { text } => text.clone(),
        Piece::Value { si, expanded: Some(u), dimension, .. } => {
            format_with_uncertainty(*si, *u, *dimension, system)
        }
        Piece::Value { si, expanded: None, dimension, decimals } => {
            format_value(*si, *dimension, system, shown_decimals(*dimension, system, *decimals))
        }
        Piece::Range { low, high, dimension, decimals } => {
            let shown = shown_decimals(*dimension, system, *decimals);
            let [low, high] = [low, high].map(|si| format_value(*si, *dimension, system, shown));
            if low == high { low } else { format!("{low} to {high}") }
        }
    }
}

/// Decimals in the reader's unit for those in metric units.
fn shown_decimals(dimension: Dimension, system: UnitSystem, decimals: usize) -> usize {
    match (dimension, system) {
        (Dimension::Length, UnitSystem::Inch) => (decimals + 1).min(4),
        _ => decimals,
    }
}

/// "1 shim changes", "3 shims change": a count with the words that go with it.
pub fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// "a", "a and b", "a, b and c".
pub fn phrase_list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
