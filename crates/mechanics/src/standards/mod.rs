//! Values of standards and handbooks, each with its origin.

pub mod expansion;
pub mod iso286;
