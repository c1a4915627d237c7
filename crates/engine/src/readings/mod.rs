//! Readings and operations: what was taken at the bench and in which state of the part.

mod amounts;
mod entries;
mod model;
mod new_part;
mod state;

pub use amounts::usual_most;
pub(crate) use entries::name_places;
pub use entries::{from_entries, operations_of, reading};
pub use model::{Operation, Reading, Slip, SlipKind};
pub(crate) use new_part::name_new_parts;
pub use new_part::{parts_not_said, replaced_part};
pub use state::{active_readings, is_stale, moves, opens_again, operations_after, operations_since};
