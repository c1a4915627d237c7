//! Drawings as SVG text: pure functions of engine types, one hand for all of them.
//!
//! Every function takes what it shows and gives a whole `<svg>`; widths are px at which the drawing is meant to be
//! shown, and text is never below 13 px there. Colours are fixed, so screen, print and PDF are the same.

pub mod gauge;
pub mod hand;
pub mod places;
pub mod section;
pub mod sizes;
pub mod svg;

pub use gauge::{GaugeFigure, gauge_figure};
pub use section::{Anchor, Balloon, Region, SectionOptions, engine_section};
