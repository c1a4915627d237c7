//! Power: from the engine as measured to the torque curve, what limits it, and what each choice is worth.
//!
//! | file | what |
//! |---|---|
//! | `specification` | every input of the computation with where it comes from, and what is missing |
//! | `missing` | what is missing, told so that a person can find it |
//! | `specify` | builds it from the document and the sizes |
//! | `request`, `result`, `run` | what is asked, what comes out, the run itself |
//! | `breathing` | what holds the air back: Mach index of the intake valves, choked throats, pumping |
//! | `blank` | a finding of power before anything is said in it |
//! | `findings` | does it reach the duty, how sure is that, what limits it |
//! | `kept` | what is kept of them joins the findings of the engine |
//! | `notes` | finished parts, so that a stop loses only the part in work |
//! | `study` | what each choice is worth; a sweep of cam timing |
//! | `worth` | what a curve is worth, in one place |
//! | `curve`, `calibrate` | a measured curve, and the named factors adjusted to it |
//!
//! A run is a plain value that can be kept as text; [`changes`] says what has changed since.

mod blank;
mod breathing;
mod calibrate;
mod curve;
mod findings;
mod kept;
mod limits;
mod missing;
mod notes;
mod request;
mod result;
mod run;
mod shown_inputs;
mod specification;
mod specify;
mod study;
mod worth;

pub use breathing::INLET_MACH;
pub use calibrate::{Adjusted, Calibration, Compared, Factor, calibrate, calibrate_noted, compared_in};
pub use curve::{
    Column, Columns, CurveError, CurveRead, MeasuredCurve, MeasuredPoint, curve_headings, heading_unit,
    read_curve,
};
pub use findings::{ABOUT, cam_finding, findings};
pub use gas_exchange::whole_engine::Progress;
pub use kept::{KeptPower, is_power, speaks};
pub use missing::{FoundIn, Missing, found_in};
pub use notes::{Note, Notes};
pub use request::{CorrectionMode, Request, TimingMode};
pub use result::{
    ClosurePoint, CylinderPoint, DuctTrace, Failure, Flag, MapLine, MapLines, PowerPoint, PowerRun,
    PowerTrace, RotorPoint, ValveFlow, pressure_decimals,
};
pub use run::{GoOn, PowerError, run, run_noted};
pub use specification::{
    Change, Doubt, DoubtKind, Group, InputOrigin, SpecInput, Specification, changes, input_changes,
};
pub use specify::specify;
pub use study::{
    CamSweep, Choice, Effect, cam_sweep, cam_sweep_noted, cam_sweep_so_far, sensitivity, sensitivity_noted,
    sensitivity_so_far, share_done,
};
pub use worth::{UNCALIBRATED_BAND, UNCALIBRATED_SOURCE, Worth, published_flow, rests_on_published};
