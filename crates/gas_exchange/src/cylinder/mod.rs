//! What happens in one cylinder: volume, two-zone combustion, heat transfer, crevices and blow-by, knock, friction.
//!
//! | file | what |
//! |---|---|
//! | [`wiebe`] | share burned over angle |
//! | [`heat_transfer`] | Woschni, Hohenberg |
//! | [`knock`] | ignition delays, Livengood–Wu integral |
//! | [`friction`] | friction mean effective pressure with its band |

pub mod friction;
pub mod heat_transfer;
pub mod knock;
pub mod wiebe;
