//! Readings and operations as the engine understands them: values in SI, places checked.

use crate::document::{Held, OperationKind};
use serde::{Deserialize, Serialize};

/// One value taken at a feature. Readings are never changed: a correction is another reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Number, 1 first, in the order of arrival.
    pub number: u64,
    /// Feature path.
    pub feature: String,
    /// Value in SI, as read (no correction).
    pub value: f64,
    /// The same as it was typed, with its unit.
    pub text: String,
    /// Gauge, by its name in the document; empty when not said.
    #[serde(default)]
    pub instrument: String,
    /// Temperature of the part in kelvin; None when not said.
    #[serde(default)]
    pub temperature: Option<f64>,
    /// Name of the last operation on the part before this reading; empty: before any.
    #[serde(default)]
    pub after: String,
    /// How the part was held.
    #[serde(default)]
    pub held: Vec<Held>,
    /// Number of the reading that this one corrects.
    #[serde(default)]
    pub corrects: Option<u64>,
    /// The builder looked at a flag on this reading and confirmed it.
    #[serde(default)]
    pub confirmed: bool,
    /// Taken back without a new value (undo of a reading that should not be there).
    #[serde(default)]
    pub withdrawn: bool,
    /// Who.
    #[serde(default)]
    pub who: String,
    /// When (RFC 3339).
    #[serde(default)]
    pub when: String,
    /// A word beside it.
    #[serde(default)]
    pub note: String,
}

/// Something that was done to a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Operation {
    /// Unique short name.
    pub name: String,
    /// What.
    pub kind: OperationKind,
    /// Instances it touched (cylinders, mains, banks, valves); empty: all.
    #[serde(default)]
    pub only: Vec<String>,
    /// In words.
    #[serde(default)]
    pub note: String,
    /// Material taken off in m, where it is one figure: on the diameter of a bore or a journal, in depth on a face.
    #[serde(default)]
    pub amount: Option<f64>,
    /// It was not done after all: it moves nothing, and stays in the record.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub withdrawn: bool,
    /// Who.
    #[serde(default)]
    pub who: String,
    /// When (RFC 3339).
    #[serde(default)]
    pub when: String,
}

impl Operation {
    /// One that is only planned, on these places.
    pub(crate) fn planned(kind: OperationKind, only: Vec<String>) -> Self {
        Self {
            name: String::new(),
            kind,
            only,
            note: String::new(),
            amount: None,
            withdrawn: false,
            who: String::new(),
            when: String::new(),
        }
    }

    /// Was this done? Not where it was taken back.
    pub fn did(&self, kind: OperationKind) -> bool {
        !self.withdrawn && self.kind == kind
    }
}

/// What may have slipped.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum SlipKind {
    /// Inches among millimetres: a factor of 25.4.
    Inches,
    /// Millimetres among inches: a factor of 25.4.
    Millimetres,
    /// Micrometres among millimetres: a factor of 1000.
    Micrometres,
    /// Thousandths of an inch among millimetres: a factor of 39.37.
    Thousandths,
    /// Decimal point: a factor of ten, or several.
    TenTimes,
    /// A wrong digit.
    Digit,
    /// Exchanged with another row.
    Swapped {
        /// The other feature.
        with: String,
    },
    /// A second reading of a place that differs from the first by more than the uncertainties allow.
    Differs {
        /// What was read there before, SI.
        from: f64,
    },
    /// On the wrong side of what was read before operations that only take metal off: a bore that shrank in a hone.
    AgainstTheCut {
        /// What was read there before, SI.
        from: f64,
        /// The operations between, by their names.
        operations: String,
    },
    /// Far from the other readings of its part, which agree; no likely slip found.
    Apart {
        /// What those others say, SI.
        from: f64,
    },
    /// Out of all proportion, no likely slip found.
    Implausible,
}

impl SlipKind {
    /// What may have happened, in words.
    pub fn words(&self) -> String {
        match self {
            Self::Inches => "inches among millimetres".into(),
            Self::Millimetres => "millimetres among inches".into(),
            Self::Micrometres => "micrometres among millimetres".into(),
            Self::Thousandths => "thousandths of an inch".into(),
            Self::TenTimes => "a decimal point".into(),
            Self::Digit => "a wrong digit".into(),
            Self::Swapped { with } => format!("exchanged with {with}"),
            Self::Differs { .. } => "another place: it differs from the first reading".into(),
            Self::AgainstTheCut { operations, .. } => {
                format!("a slip, or operations in the wrong order: {operations} only takes metal off")
            }
            Self::Apart { .. } => "far from the other readings of its part".into(),
            Self::Implausible => "out of all proportion".into(),
        }
    }
}

/// A reading that is probably a slip: asked about, never dropped or converted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Slip {
    /// Reading.
    pub reading: u64,
    /// Feature.
    pub feature: String,
    /// What may have slipped.
    pub slip: SlipKind,
    /// What was read, SI.
    pub read: f64,
    /// What was probably meant, SI.
    pub likely: Option<f64>,
    /// Confirmed by the builder: shown, but no longer asked.
    pub confirmed: bool,
}
