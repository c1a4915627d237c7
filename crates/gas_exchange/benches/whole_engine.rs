//! A full-throttle curve of 16 points of the turbocharged four, and cam variations at one speed.
//! `cargo bench -p gas_exchange --bench whole_engine`

use criterion::{Criterion, criterion_group, criterion_main};
use gas_exchange::valves::Lift;
use gas_exchange::whole_engine::{EngineSpec, Settings, Simulation, curve, run_points};
use std::f64::consts::PI;
use std::time::Duration;

#[path = "../tests/whole_engine/engines.rs"]
#[expect(dead_code, reason = "shared with tests")]
mod engines;
#[path = "../tests/invented/mod.rs"]
mod invented;

const RPM: f64 = PI / 30.0;

fn sixteen_points(c: &mut Criterion) {
    let spec = engines::turbo_four();
    let speeds: Vec<f64> = (0..16).map(|i| (3000.0 + 350.0 * f64::from(i)) * RPM).collect();
    c.bench_function("curve of 16 points, turbo four, two chains", |b| {
        b.iter(|| {
            let points = curve(&spec, &speeds, &settings(), |_| true);
            assert!(points.iter().all(|p| p.as_ref().is_ok_and(|p| p.closure.converged)));
        });
    });
}

/// Torque to 0.15 % (root mean square over the 16 points, 0.23 % at the worst, against cycles that repeat to 1e-5: `--example curve_cost`).
fn settings() -> Settings {
    Settings { tolerance: 1e-3, most_cycles: 60 }
}

/// Cams shifted by degrees: intake and exhaust of variation `i` of ten by ten.
fn cams(spec: &EngineSpec, i: usize) -> (Lift, Lift) {
    // Back and forth, so that each variation is the neighbour of the one before.
    let (row, place) = (i / 10, i % 10);
    let column = if row.is_multiple_of(2) { place } else { 9 - place };
    let shift = |steps: usize| (steps as f64 - 4.5) * PI / 180.0;
    let unit = &spec.cylinders[0];
    (unit.intake.lift.advanced(shift(column)), unit.exhaust.lift.advanced(shift(row)))
}

/// A hundred of the thousand that the promise is about: multiply by ten.
fn hundred_cams(c: &mut Criterion) {
    let spec = engines::turbo_four();
    let speed = 7000.0 * RPM;
    let prepare = |simulation: &mut Simulation, i: usize| {
        let (intake, exhaust) = cams(&spec, i);
        simulation.set_lift(&intake, &exhaust);
    };
    c.bench_function("100 cam variations at one speed, turbo four, two chains", |b| {
        b.iter(|| {
            let points = run_points(&spec, &[1.0; 100], &settings(), |_| speed, prepare, |_| true);
            assert!(points.iter().all(|p| p.as_ref().is_ok_and(|p| p.closure.converged)));
        });
    });
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(10).measurement_time(Duration::from_secs(30));
    targets = sixteen_points, hundred_cams
}
criterion_main!(benches);
