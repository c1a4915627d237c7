//! Ducts joined to volumes and to the air outside: books that close, and the sound that such a system makes.
#![expect(clippy::print_stdout, reason = "figures for the log")]

use gas_exchange::ducts::{DuctEnd, DuctSpec, Ducts, Side, Station};
use gas_exchange::gas::{Air, Composition, Fuel, WorkingGas};
use gas_exchange::network::volume::Volume;
use gas_exchange::network::{Connection, Network, Node, Opening, Passage, Route, atmosphere};
use mechanics::math;
use std::f64::consts::PI;

const AIR: Composition = Composition { burned: 0.0, fuel: 0.0 };

fn gas() -> WorkingGas {
    WorkingGas::new(&Fuel::iso_octane(), 1.0, &Air::default()).expect("iso-octane burns")
}

fn pipe(length: f64, from: f64, to: f64, cells: usize) -> DuctSpec {
    DuctSpec {
        stations: vec![Station { x: 0.0, diameter: from }, Station { x: length, diameter: to }],
        cells,
        wall_temperature: 300.0,
        roughness: 0.0,
        heat_factor: 0.0,
        friction_factor_scale: 0.0,
    }
}

fn full(diameter: f64) -> Opening {
    let area = 0.25 * PI * diameter * diameter;
    Opening::Fixed { out: area, into: area }
}

fn network(
    gas: WorkingGas,
    ducts: &[DuctSpec],
    volumes: Vec<Volume>,
    joints: Vec<Connection>,
    passages: Vec<Passage>,
) -> Network {
    let mut all = Ducts::new(ducts, gas.duct_gas()).expect("ducts are sound");
    for duct in 0..ducts.len() {
        all.fill(duct, 1e5, 300.0, 0.0, AIR).expect("the state is sound");
    }
    let outside = atmosphere(1e5, 300.0, &gas);
    Network::new(gas, all, outside, volumes, Vec::new(), joints, passages, None, 0.0)
}

/// Frequency of the strongest tone below `highest`, Hz: peak of the spectrum under a raised-cosine window.
fn frequency(samples: &[(f64, f64)], highest: f64) -> f64 {
    let span = samples[samples.len() - 1].0;
    let mean = samples.iter().map(|s| s.1).sum::<f64>() / samples.len() as f64;
    let strength = |f: f64| {
        let (mut re, mut im) = (0.0, 0.0);
        for w in samples.windows(2) {
            let (t, p) = (w[1].0, w[1].1 - mean);
            let weight = (1.0 - math::cos(2.0 * PI * t / span)) * (w[1].0 - w[0].0);
            re += weight * p * math::cos(2.0 * PI * f * t);
            im += weight * p * math::sin(2.0 * PI * f * t);
        }
        re * re + im * im
    };
    let coarse =
        (1..400).map(|i| highest * f64::from(i) / 400.0).max_by(|a, b| strength(*a).total_cmp(&strength(*b)));
    let (mut at, mut width) = (coarse.expect("frequencies"), highest / 400.0);
    while width > 1e-5 * highest {
        at = [at - width, at, at + width]
            .into_iter()
            .max_by(|a, b| strength(*a).total_cmp(&strength(*b)))
            .expect("three");
        width *= 0.7;
    }
    at
}

/// A gas at rest everywhere stays at rest, in a cone between two volumes as well.
#[test]
fn rest_stays_at_rest() {
    let gas = gas();
    let volumes =
        vec![Volume::filled(1e-3, 1e5, 300.0, AIR, &gas), Volume::filled(2e-4, 1e5, 300.0, AIR, &gas)];
    let joints = vec![
        Connection::new(DuctEnd { duct: 0, side: Side::Start }, Node::Volume(0), full(0.03)),
        Connection::new(DuctEnd { duct: 0, side: Side::End }, Node::Volume(1), full(0.06)),
    ];
    let mut network = network(gas, &[pipe(0.5, 0.03, 0.06, 40)], volumes, joints, Vec::new());
    for _ in 0..2000 {
        network.step(100.0, 1e9, 0.01).expect("a step at rest");
    }
    let worst = (0..40).map(|i| network.ducts.cell(0, i).velocity.abs()).fold(0.0, f64::max);
    assert!(worst < 1e-7, "{worst} m/s");
}

/// Two volumes at different pressure, temperature and composition, a cone and an orifice between them: after thousands of
/// steps nothing is lost or made.
#[test]
fn closed_system_keeps_mass_and_energy() {
    let gas = gas();
    let hot = Composition { burned: 0.9, fuel: 0.01 };
    let volumes =
        vec![Volume::filled(1e-3, 4e5, 900.0, hot, &gas), Volume::filled(2e-3, 1e5, 300.0, AIR, &gas)];
    let joints = vec![
        Connection::new(DuctEnd { duct: 0, side: Side::Start }, Node::Volume(0), full(0.02)),
        Connection::new(DuctEnd { duct: 0, side: Side::End }, Node::Volume(1), full(0.05)),
    ];
    let passage =
        Passage { from: Node::Volume(0), to: Node::Volume(1), route: Route::Orifice { area: 2e-5 } };
    let mut network = network(gas, &[pipe(0.6, 0.03, 0.05, 50)], volumes, joints, vec![passage]);
    let before = network.stored();
    for _ in 0..5000 {
        network.step(100.0, 1e9, 0.01).expect("a step");
    }
    let after = network.stored();
    let shares = [
        after.mass / before.mass - 1.0,
        after.energy / before.energy - 1.0,
        after.burned / before.burned - 1.0,
        after.fuel / before.fuel - 1.0,
    ];
    println!("{shares:?}");
    assert!(shares.iter().all(|s| s.abs() < 1e-10), "{shares:?}");
    assert!((network.volumes[0].pressure / network.volumes[1].pressure - 1.0).abs() < 0.02);
}

/// Quarter wave: closed at one end, open to the air at the other: f = c / 4L (check 4.6 without the end correction, which
/// belongs to the length that the builder of the network gives).
#[test]
fn quarter_wave() {
    let gas = gas();
    let c = (gas.gamma(300.0, AIR) * gas.gas_constant(AIR) * 300.0).sqrt();
    let joints = vec![Connection::new(DuctEnd { duct: 0, side: Side::End }, Node::Atmosphere, full(0.04))];
    let mut network = network(gas, &[pipe(0.4, 0.04, 0.04, 40)], Vec::new(), joints, Vec::new());
    network.ducts.fill(0, 1.001e5, 300.0, 0.0, AIR).expect("the state is sound");
    let mut samples = Vec::new();
    let mut time = 0.0;
    while time < 0.15 {
        time += network.step(100.0, 1e9, 0.01).expect("a step");
        samples.push((time, network.ducts.cell(0, 0).pressure));
    }
    let share = frequency(&samples, 400.0) / (c / 1.6) - 1.0;
    println!("quarter wave: {:+.3} %", 100.0 * share);
    assert!(share.abs() < 0.01, "{share}");
}

/// Pipe and volume: the root of k tan(kL) = A/V (check 4.7), which the lumped formula misses by 12 %.
#[test]
fn pipe_and_volume() {
    let gas = gas();
    let c = (gas.gamma(300.0, AIR) * gas.gas_constant(AIR) * 300.0).sqrt();
    let volume = Volume::filled(5e-4, 1.001e5, 300.0, AIR, &gas);
    let joints = vec![
        Connection::new(DuctEnd { duct: 0, side: Side::Start }, Node::Volume(0), full(0.04)),
        Connection::new(DuctEnd { duct: 0, side: Side::End }, Node::Atmosphere, full(0.04)),
    ];
    let mut network = network(gas, &[pipe(0.3, 0.04, 0.04, 30)], vec![volume], joints, Vec::new());
    let mut samples = Vec::new();
    let mut time = 0.0;
    while time < 0.15 {
        time += network.step(100.0, 1e9, 0.01).expect("a step");
        samples.push((time, network.volumes[0].pressure));
    }
    let (area, length) = (0.25 * PI * 0.04 * 0.04, 0.3);
    let (mut low, mut high) = (0.1, PI / (2.0 * length) - 1e-6);
    for _ in 0..100 {
        let k = 0.5 * (low + high);
        if k * math::tan(k * length) < area / 5e-4 { low = k } else { high = k }
    }
    let share = frequency(&samples, 400.0) / (low * c / (2.0 * PI)) - 1.0;
    println!("pipe and volume: {:+.3} %", 100.0 * share);
    assert!(share.abs() < 0.01, "{share}");
}
