//! The engine document, readings, limits, findings and plan.
//!
//! Flow: document and readings → [`Engine`](crate::document::Document) → `assess` → findings → `plan`.
//! Absent on purpose: clock, disk, network, database, HTML. `assess` and `plan` are pure functions.

pub mod assess;
pub mod cautions;
pub mod document;
mod engine;
pub mod features;
pub mod figures;
pub mod findings;
pub mod plan;
pub mod power;
pub mod quantity;
pub mod readings;
pub mod sizes;

pub use assess::{Assessment, assess};
pub use engine::Engine;
pub use figures::{Figure, PistonMotion, figures, piston_motion};
pub use plan::{Plan, plan};
