//! Readings that are probably slips.

use super::{Reading, Slip};
use crate::assess::Engine;

/// Suspicions among all readings that count.
pub fn slips(_engine: &Engine) -> Vec<Slip> {
    Vec::new()
}

/// Would this reading, not yet stored, be a slip?
pub fn check_new(_engine: &Engine, _reading: &Reading) -> Option<Slip> {
    None
}
