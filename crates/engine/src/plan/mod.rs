//! The plan: orders, cuts, who goes where, what to measure next.

mod cuts;
mod measure;
mod model;

pub use model::{Cut, MeasureGroup, OrderLine, Outcome, Placement, Plan, Selection};

use crate::assess::{Assessment, Engine};

/// Makes the plan from what was found. Pure: same input, same output.
pub fn plan(engine: &Engine, assessment: &Assessment) -> Plan {
    Plan {
        cuts: cuts::cuts(engine, assessment),
        measure_next: measure::measure_next(engine, assessment),
        ..Plan::default()
    }
}
