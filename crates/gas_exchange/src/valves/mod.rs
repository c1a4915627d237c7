//! Poppet valves: lift over crank angle, effective area from the flow bench or a published mean curve, flow through an orifice.

pub mod flow_bench;
pub mod lift;
pub mod orifice;
pub mod published;

pub use flow_bench::{FlowBench, FlowBenchError, FlowCoefficients, Reading, ReferenceArea, ReverseFlow};
pub use lift::{Follower, Lift, LiftError, Lobe, Placement, Side};
pub use orifice::Nozzle;
pub use published::PublishedFlow;
