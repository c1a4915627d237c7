//! Finished parts of a computation, told as they come, so that a stop loses only the part in work.

use super::result::PowerPoint;
use serde::{Deserialize, Serialize};

/// What came of one part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Note {
    /// A point of a curve.
    Point(Box<PowerPoint>),
    /// Torque (N m) and greatest knock integral of a variation; none where it did not settle.
    Variation(Option<(f64, f64)>),
    /// Torque at each measured speed with one set of factors, N m.
    Torques(Vec<f64>),
}

/// Where finished parts are noted. A part that is known already is not computed again.
pub trait Notes: Sync {
    /// What came of a part before.
    fn known(&self, name: &str) -> Option<Note>;
    /// Notes a part that has just ended; called from the threads that compute.
    fn note(&self, name: &str, note: Note);
}

/// Notes nothing.
impl Notes for () {
    fn known(&self, _: &str) -> Option<Note> {
        None
    }

    fn note(&self, _: &str, _: Note) {}
}

/// Name of a part by the figures that set it: exact, so that only the same part is taken for the same.
pub(super) fn name(figures: &[f64]) -> String {
    figures.iter().map(|f| format!("{:016x}", f.to_bits())).collect::<Vec<_>>().join(".")
}
