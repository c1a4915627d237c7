//! A whole engine run to a periodic cycle.

mod build;
mod curve;
mod cycle;
mod results;
mod spec;
mod turbo;

pub use build::{BuildError, Places};
pub use curve::{CHAINS, Progress, curve, run_points, run_points_with};
pub use cycle::{RunError, Settings, Simulation};
pub use results::{Closure, CylinderResult, OperatingPoint, RotorResult, Trace};
pub use spec::{
    Ambient, BurnPoint, Collector, Cooler, CylinderUnit, EngineSpec, ExhaustSpec, IntakeSpec, Timing,
    TurbochargerUnit,
};
