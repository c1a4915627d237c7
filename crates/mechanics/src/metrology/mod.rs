//! Measured sizes and what can be said from them: uncertainty with shared terms, expansion,
//! instruments, decisions, form, wall thickness, surface, slips of the pen.
//!
//! SI units throughout (metres, kelvin, radians) unless a doc comment says that a function is
//! free of units. See `docs/physics/metrology.md` for formulas, sources and measured rates.

pub mod budget;
pub mod circle;
pub mod decision;
pub mod expansion;
pub mod form;
mod linear;
pub mod monte_carlo;
pub mod plane;
pub mod slips;
pub mod surface;
pub mod thickness;
mod uncertain;

pub use uncertain::{Shape, Source, SourceId, SourceKind, Sources, Uncertain};
