//! The mechanics of engine building: pure functions of numbers.
//!
//! Holds: portable [`math`], [`metrology`] (uncertainty, expansion, decisions, form, surface, slips),
//! kinematics, compression, fits and exact selection. SI `f64` inside (metres, kilograms, seconds, kelvin, radians);
//! a function that works in any unit says so.
//!
//! Must be absent: engine documents and their types, units and their parsing or printing, file
//! formats and serialisation, clocks, disks, networks, and any other crate of this workspace.

pub mod compression;
pub mod fit;
pub mod kinematics;
pub mod math;
pub mod metrology;
pub mod selection;
pub mod sensitivity;
pub mod standards;
