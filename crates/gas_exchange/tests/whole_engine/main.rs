//! Whole engines: books that close, cycles that repeat, figures that an engine of this kind can have.
#![expect(clippy::print_stdout, reason = "figures for the log")]

mod engines;
#[path = "../invented/mod.rs"]
mod invented;
mod wave_tuning;

use gas_exchange::whole_engine::{Settings, Simulation};
use std::f64::consts::PI;

const RPM: f64 = PI / 30.0;

/// Mass and energy of a cycle: what came in and what was done, against what is there.
#[test]
fn books_close_over_every_cycle() {
    let mut simulation = Simulation::new(&engines::turbo_four(), 8200.0 * RPM).expect("an engine");
    let settings = Settings { tolerance: 0.0, most_cycles: 6 };
    let point = simulation.converge(&settings, |_, _| true).expect("it runs");
    println!("mass {:e}, energy {:e}", point.closure.mass_residual, point.closure.energy_residual);
    assert!(!point.closure.converged);
    assert!(point.closure.mass_residual.abs() < 1e-10);
    assert!(point.closure.energy_residual.abs() < 1e-10);
}
