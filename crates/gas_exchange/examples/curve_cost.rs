//! Where the time of a full-throttle curve goes: cycles, steps and seconds of each point, one chain after the other; and the cycles of a
//! row of cams.
//! `cargo run --release -p gas_exchange --example curve_cost`

#![allow(clippy::print_stdout, reason = "it prints what it measures")]

use gas_exchange::whole_engine::{Settings, Simulation};
use std::f64::consts::PI;
use std::time::Instant;

#[path = "../tests/whole_engine/engines.rs"]
#[expect(dead_code, reason = "shared with tests")]
mod engines;
#[path = "../tests/invented/mod.rs"]
mod invented;

/// Cycles of a row of ten cams, 1° apart, at 7,000 rev/min.
fn cams() {
    let spec = engines::turbo_four();
    let unit = &spec.cylinders[0];
    let mut running = Simulation::new(&spec, 7000.0 * PI / 30.0).expect("an engine");
    let settings = Settings { tolerance: 1e-3, most_cycles: 60 };
    let mut row = Vec::new();
    for place in 0..20 {
        let shift = |steps: i32| (f64::from(steps) - 4.5) * PI / 180.0;
        let intake = unit.intake.lift.advanced(shift(if place < 10 { place } else { 19 - place }));
        running.set_lift(&intake, &unit.exhaust.lift.advanced(shift(place / 10)));
        let point = running.converge(&settings, |_, _| true).expect("it runs");
        let settled = running
            .clone()
            .converge(&Settings { tolerance: 1e-5, most_cycles: 200 }, |_, _| true)
            .expect("it runs");
        let off = 100.0 * (point.torque / settled.torque - 1.0);
        row.push(format!("{} ({off:+.2} %)", point.closure.cycles));
    }
    println!("cycles of cams (torque off by): {}", row.join(" "));
}

fn main() {
    cams();
    let spec = engines::turbo_four();
    let settings = Settings { tolerance: 1e-3, most_cycles: 60 };
    let speeds: Vec<f64> = (0..16).map(|i| (3000.0 + 350.0 * f64::from(i)) * PI / 30.0).collect();
    for chain in [0..7, 7..16] {
        let mut simulation: Option<Simulation> = None;
        let whole = Instant::now();
        let mut cycles = 0;
        for speed in &speeds[chain] {
            let begun = Instant::now();
            let mut running =
                simulation.take().unwrap_or_else(|| Simulation::new(&spec, *speed).expect("an engine"));
            running.set_speed(*speed);
            let mut drifts = Vec::new();
            let point = running
                .converge(&settings, |_, drift| {
                    drifts.push(format!("{drift:.0e}"));
                    true
                })
                .expect("it runs");
            let took = begun.elapsed().as_secs_f64();
            cycles += point.closure.cycles;
            let settled = running
                .clone()
                .converge(&Settings { tolerance: 1e-5, most_cycles: 200 }, |_, _| true)
                .expect("it runs");
            println!(
                "{:5.0} rev/min: {:2} cycles of {} steps, {:.3} s, torque off by {:+.3} % ({} cycles more), {}",
                speed * 30.0 / PI,
                point.closure.cycles,
                point.closure.steps,
                took,
                100.0 * (point.torque / settled.torque - 1.0),
                settled.closure.cycles,
                drifts.join(" "),
            );
            simulation = Some(running);
        }
        println!("{cycles} cycles, {:.2} s", whole.elapsed().as_secs_f64());
    }
}
