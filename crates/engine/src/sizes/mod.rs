//! What readings say: gauges and their uncertainty, sizes at 20 °C with shared terms, slips.

mod gauge_question;
mod gauges;
mod size;
mod slip_question;
mod slips;
mod stack;

pub use gauge_question::gauge_question;
pub use gauges::{
    GaugeFigures, Reach, alpha_is_stated, alpha_of, can_settle, figures_at, gauge_figures, reach,
    says_something, standard_of,
};
pub(crate) use size::TEMPERATURE_OF;
pub use size::{Disagreement, Doubt, Size, Sizes, disagreement, expansion_at, sizes, state_at};
pub use slip_question::slip_question;
pub(crate) use slips::ENDS_ALIKE;
pub use slips::{check_new, slips, waits_for_an_answer};
pub use stack::stack_rate;
