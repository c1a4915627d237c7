//! Readings, operations, slips: what was taken at the bench and in which state of the part.

mod model;

pub use model::{Operation, Reading, Slip, SlipKind};
