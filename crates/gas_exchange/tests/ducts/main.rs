//! The ducts against solutions found elsewhere: exact, tabulated or from theory.

#![allow(clippy::print_stdout, reason = "the figures of the checks are worth reading")]

mod common;
mod conserve;
mod paths;
mod shock_tubes;
mod steady;
mod waves;
