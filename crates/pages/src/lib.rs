//! HTML sheets and SVG drawings: pure functions of findings and plan.
//!
//! Absent on purpose: clock, disk, network, database, physics. A page is a function of plain values.

mod assets;
pub mod drawing;
mod engine_sheet;
mod figures;
mod fits;
mod frame;
mod plan_sheet;
mod reading_sheet;
mod words;

pub use assets::asset;
pub use engine_sheet::engine_page;
pub use fits::fits_page;
pub use frame::View;
pub use plan_sheet::plan_page;
pub use reading_sheet::{Cell, SheetParts, sheet_page, sheet_parts};
