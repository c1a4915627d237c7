//! Readings, operations, slips: what was taken at the bench and in which state of the part.

mod entries;
mod gauges;
mod model;
mod sizes;
mod slips;
mod state;

pub use entries::{from_entries, operations_of, reading};
pub use gauges::{GaugeFigures, alpha_of, before_measuring, gauge_figures, standard_of};
pub use model::{Operation, Reading, Slip, SlipKind};
pub use sizes::{Doubt, Size, Sizes, active_readings, sizes};
pub use slips::{check_new, slips};
pub use state::{is_stale, moves, opens_again, operations_since};
