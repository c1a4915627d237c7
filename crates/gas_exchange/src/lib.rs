//! Gas exchange and combustion of a whole engine: from sizes, lift, flow-bench readings and maps to torque.
//!
//! | module | what |
//! |---|---|
//! | [`gas`] | species, fuels, mixtures, equilibrium products, tables built once |
//! | [`ducts`] | one-dimensional unsteady flow in all ducts at once, second order |
//! | [`valves`] | lift over angle, discharge coefficients from the flow bench |
//! | [`cylinder`] | volume, two-zone combustion, heat transfer, blow-by, knock, friction |
//! | [`turbocharger`] | compressor and turbine maps, shaft, wastegate |
//! | [`network`] | what joins ducts, volumes and valves, conserving mass and energy exactly |
//! | [`whole_engine`] | an engine run to a periodic cycle, curves, sweeps |
//! | [`ambient`] | standard atmosphere, humidity |
//! | [`correction`] | power at standard conditions |
//!
//! SI `f64` inside (metres, kilograms, seconds, kelvin, pascals, radians). Angles of the crank are in radians, 0 at the top
//! dead centre of firing of the cylinder that is meant.
//!
//! Must be absent: engine documents, units and their printing, file formats, clocks, disks, networks of computers, and
//! every other crate of this workspace except `mechanics`.

pub mod ambient;
pub mod correction;
pub mod cylinder;
pub mod ducts;
pub mod gas;
mod monotone;
pub mod network;
pub mod turbocharger;
pub mod valves;
pub mod whole_engine;
