//! The plan: orders, cuts, who goes where, what to measure next.

mod model;

pub use model::{Cut, MeasureGroup, OrderLine, Outcome, Placement, Plan, Selection};

use crate::assess::{Assessment, Engine};

/// Makes the plan from what was found. Pure: same input, same output.
pub fn plan(_engine: &Engine, _assessment: &Assessment) -> Plan {
    Plan::default()
}
