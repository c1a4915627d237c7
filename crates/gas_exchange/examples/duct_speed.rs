//! How many cells go through a step in a second: `cargo run --release -p gas_exchange --example duct_speed -- CELLS`.
//! Prints one line a kernel: name, path, M cell-steps/s. `reference/bench/clawpack.py` runs it beside Clawpack.

#![allow(clippy::print_stdout, reason = "it prints what it measures")]

use gas_exchange::ducts::exact_riemann::Primitive;
use gas_exchange::ducts::{DuctSpec, Ducts, IdealTube, Path, Station};
use gas_exchange::gas::{Composition, DuctGas};
use std::time::Instant;

/// Sod's two states.
const LEFT: Primitive = Primitive { density: 1.0, velocity: 0.0, pressure: 1.0 };
const RIGHT: Primitive = Primitive { density: 0.125, velocity: 0.0, pressure: 0.1 };
/// Sod's end of time in a tube of length 1, and the Courant number of the comparison.
const END: f64 = 0.2;
const COURANT: f64 = 0.9;

fn main() {
    let cells: usize = std::env::args().nth(1).map_or(250, |text| text.parse().expect("a number of cells"));
    let seconds = std::env::args().nth(2).map_or(0.5, |text| text.parse().expect("a number of seconds"));
    for path in Path::ALL {
        if !path.here() {
            println!("{path:?} not run: this machine has not got the instructions");
            continue;
        }
        report("bare", path, cells, fastest(cells, seconds, || bare(cells, path)));
        report("all_constant_gamma", path, cells, fastest(cells, seconds, || all(1, cells, path, &ideal())));
        report("all_real_gas", path, cells, fastest(cells, seconds, || all(1, cells, path, &real())));
        report(
            "ten_ducts_real_gas",
            path,
            cells,
            fastest(cells, seconds, || all(10, cells / 10, path, &real())),
        );
    }
}

fn report(name: &str, path: Path, cells: usize, speed: f64) {
    println!("{name} {path:?} {cells} {speed:.1}");
}

/// The fastest of many runs, M cell-steps/s: other load on the machine only ever slows a run.
fn fastest(cells: usize, seconds: f64, mut run: impl FnMut() -> (usize, f64)) -> f64 {
    let start = Instant::now();
    let mut best = 0.0_f64;
    while start.elapsed().as_secs_f64() < seconds {
        let (steps, taken) = run();
        best = best.max((steps * cells) as f64 / taken * 1e-6);
    }
    best
}

fn bare(cells: usize, path: Path) -> (usize, f64) {
    let mut tube =
        IdealTube::new(cells, 1.0 / cells as f64, 1.4, |i| if i < cells / 2 { LEFT } else { RIGHT });
    tube.set_path(path).expect("a path of this machine");
    let start = Instant::now();
    let (mut t, mut steps) = (0.0, 0);
    while t < END {
        let dt = tube.step_limit(COURANT).min(END - t);
        tube.step(dt).expect("the step holds");
        t += dt;
        steps += 1;
    }
    (steps, start.elapsed().as_secs_f64())
}

/// The same pressures and temperatures as Sod's in air, in a duct that widens, with friction, heat and composition.
fn all(count: usize, cells: usize, path: Path, gas: &DuctGas) -> (usize, f64) {
    let spec = DuctSpec {
        stations: vec![Station { x: 0.0, diameter: 0.04 }, Station { x: 1.0, diameter: 0.05 }],
        cells,
        wall_temperature: 350.0,
        roughness: 1e-5,
        heat_factor: 1.0,
        friction_factor_scale: 1.0,
    };
    let mut ducts = Ducts::new(&vec![spec; count], gas).expect("ducts");
    ducts.set_path(path).expect("a path of this machine");
    let burned = |burned| Composition { burned, fuel: 0.05 * (1.0 - burned) };
    for duct in 0..count {
        ducts
            .fill_cells(duct, |i| {
                if i < cells / 2 { (1e6, 500.0, 0.0, burned(1.0)) } else { (1e5, 400.0, 0.0, burned(0.0)) }
            })
            .expect("a state");
    }
    let end = END / 430.0;
    let start = Instant::now();
    let (mut t, mut steps) = (0.0, 0);
    while t < end {
        let dt = ducts.step_limit(COURANT).min(end - t);
        ducts.predict(dt);
        ducts.update(dt).expect("the step holds");
        t += dt;
        steps += 1;
    }
    (steps, start.elapsed().as_secs_f64())
}

/// Three times the same ideal gas.
fn ideal() -> DuctGas {
    let energy = [-717.5 * 298.15, 717.5e3, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
    DuctGas { gas_constant: [287.0; 3], energy: [energy; 3], formation: [0.0; 3] }
}

/// Invented coefficients of the right size.
fn real() -> DuctGas {
    let air = [-210e3, 690e3, 60e3, 40e3, -12e3, 20.0, 0.0, 0.0];
    let fuel = [-300e3, 700e3, 1400e3, -300e3, 20e3, 20.0, 0.0, 0.0];
    let burned = [-230e3, 730e3, 150e3, 20e3, -10e3, 20.0, 0.0, 0.0];
    DuctGas { gas_constant: [287.05, 80.0, 290.0], energy: [air, fuel, burned], formation: [0.0; 3] }
}
