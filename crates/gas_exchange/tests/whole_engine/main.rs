//! Whole engines.

mod engines;

use gas_exchange::whole_engine::{Settings, Simulation};
use std::f64::consts::PI;

#[test]
fn try_it() {
    let spec = engines::turbo_four();
    let rpm = PI / 30.0;
    let mut simulation = Simulation::new(&spec, 8200.0 * rpm).expect("an engine");
    let started = std::time::Instant::now();
    let point = simulation.converge(&Settings { tolerance: 2e-4, most_cycles: 60 }, |n, d| {
        println!("{n} {d:.5}");
        true
    });
    println!("{:?} {:#?}", started.elapsed(), point);
    if let Ok(p) = point {
        println!(
            "power {:.1} kW torque {:.1} VE {:.3}",
            p.power / 1e3,
            p.torque,
            p.plenum_volumetric_efficiency
        );
    }
}
