//! What happens in one cylinder: volume, two-zone combustion, heat transfer, crevices and blow-by, knock, friction.
//!
//! | file | what |
//! |---|---|
//! | [`spec`] | what a cylinder is made of |
//! | [`working_cylinder`] | the cylinder that runs: state, steps |
//! | [`zone`] | a body of gas and the equations of a step |
//! | [`closed_cycle`] | intake closing to exhaust opening alone, knock limit, best ignition |
//! | [`chamber`] | volume and surfaces over angle |
//! | [`totals`] | sums of a cycle |
//! | [`crevice`], [`blow_by`] | what hides above the rings and leaks past them |
//! | [`wiebe`] | share burned over angle |
//! | [`burn_estimate`] | how long a charge burns, from speed, load, mixture, residual, compression |
//! | [`spread`] | the strong cycle beside the mean |
//! | [`temperatures`] | crown, ring land, liner, head, valves, plug |
//! | [`heat_transfer`] | Woschni, Hohenberg |
//! | [`knock`] | ignition delays, Livengood–Wu integral |
//! | [`friction`] | friction mean effective pressure with its band |

pub mod blow_by;
pub mod burn_estimate;
pub mod chamber;
pub mod closed_cycle;
pub mod crevice;
pub mod friction;
pub mod heat_transfer;
pub mod knock;
pub mod spec;
pub mod spread;
pub mod temperatures;
pub mod totals;
pub mod wiebe;
pub mod working_cylinder;
pub mod zone;

pub use spec::{CreviceSpec, CylinderSpec, RingSpec};
pub use totals::CycleTotals;
pub use wiebe::Wiebe;
pub use working_cylinder::{Cylinder, CylinderError, CylinderState, PortFlow};
