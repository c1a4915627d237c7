//! Steady flow: nozzle, shock in a nozzle, Fanno; and friction and heat against their differential equations.

use super::common::{GAMMA, R, bare, flux, ideal, let_pass, run_with};
use gas_exchange::ducts::{DuctEnd, DuctSpec, Ducts, EndFlux, Side, Station};
use gas_exchange::gas::Composition;
use mechanics::math::{exp, ln, log10, powf};

/// A/A* of a Mach number.
fn area_ratio(m: f64) -> f64 {
    powf((1.0 + 0.2 * m * m) / 1.2, 3.0) / m
}

/// p/p0 of a Mach number.
fn pressure_ratio(m: f64) -> f64 {
    powf(1.0 + 0.2 * m * m, -3.5)
}

/// Mach number of A/A*, by bisection between `low` and `high`.
fn mach(ratio: f64, mut low: f64, mut high: f64) -> f64 {
    let rising = area_ratio(high) > area_ratio(low);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if (area_ratio(middle) < ratio) == rising { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// 4fL*/D of a Mach number (A. H. Shapiro 1953, eq. 6.20, from memory).
fn fanno_length(m: f64) -> f64 {
    (1.0 - m * m) / (GAMMA * m * m) + (GAMMA + 1.0) / (2.0 * GAMMA) * ln(1.2 * m * m / (1.0 + 0.2 * m * m))
}

/// NACA report 1135 (tables; digits recomputed apart): the formulas of these tests against them.
#[test]
fn formulas_agree_with_the_tables() {
    for (m, p, a) in [
        (0.3, 0.939_470, 2.035_07),
        (0.5, 0.843_019, 1.339_84),
        (0.8, 0.656_022, 1.038_23),
        (2.0, 0.127_805, 1.687_50),
    ] {
        assert!((pressure_ratio(m) / p - 1.0).abs() < 1e-5 && (area_ratio(m) / a - 1.0).abs() < 1e-5);
    }
    for (m, length) in [(0.2, 14.533_27), (0.3, 5.299_25), (0.5, 1.069_06), (0.8, 0.072_29), (2.0, 0.305_00)]
    {
        assert!((fanno_length(m) - length).abs() < 1e-5, "{m}: {}", fanno_length(m));
    }
}

const P0: f64 = 2e5;
const T0: f64 = 400.0;

/// Gas from a reservoir at `P0`, `T0`, without loss; keeps the invariant that comes out of the duct's start.
fn reservoir(ducts: &Ducts) -> EndFlux {
    let s = ducts.end_state(DuctEnd { duct: 0, side: Side::Start });
    let invariant = s.velocity - 2.0 / (GAMMA - 1.0) * s.sound_speed;
    // c0² = c² + (γ−1)/2 u² with u = J + 5c.
    let c0 = GAMMA * R * T0;
    let (a, b, d) = (1.0 + 0.2 * 25.0, 2.0 * 0.2 * 5.0 * invariant, 0.2 * invariant * invariant - c0);
    let c = (-b + (b * b - 4.0 * a * d).sqrt()) / (2.0 * a);
    let (t, u) = (c * c / (GAMMA * R), invariant + 5.0 * c);
    let p = P0 * powf(t / T0, 3.5);
    flux(p / (R * t), u, p, s.area)
}

fn outlet(ducts: &Ducts, pressure: f64) -> EndFlux {
    let s = ducts.end_state(DuctEnd { duct: 0, side: Side::End });
    let ratio = pressure / s.pressure;
    let c = s.sound_speed * powf(ratio, (GAMMA - 1.0) / (2.0 * GAMMA));
    flux(s.density * powf(ratio, 1.0 / GAMMA), s.velocity + 5.0 * (s.sound_speed - c), pressure, s.area)
}

/// Throat of 30 mm; starts at A/A* = 2.03507 (M = 0.3), ends at `exit`.
fn nozzle(exit: f64, cells: usize) -> Ducts {
    let d = |ratio: f64| 0.03 * ratio.sqrt();
    let station = |x, diameter| Station { x, diameter };
    let stations = vec![station(0.0, d(2.035_07)), station(0.2, d(1.0)), station(0.6, d(exit))];
    let mut ducts =
        Ducts::new(&[DuctSpec { stations, ..bare(1.0, 1.0, cells) }], &ideal()).expect("a nozzle");
    ducts.fill(0, 0.7 * P0, 0.9 * T0, 150.0, Composition::default()).expect("a state");
    ducts
}

fn settle(ducts: &mut Ducts, time: f64, exit: Option<f64>) {
    let (start, end) = (DuctEnd { duct: 0, side: Side::Start }, DuctEnd { duct: 0, side: Side::End });
    run_with(ducts, 0.8, time, |ducts, _| {
        let inflow = reservoir(ducts);
        ducts.set_end_flux(start, inflow);
        match exit {
            Some(pressure) => {
                let outflow = outlet(ducts, pressure);
                ducts.set_end_flux(end, outflow);
            }
            None => let_pass(ducts, 0, Side::End),
        }
    });
}

/// Area of a cell's middle by that of the throat, and Mach number there.
fn local(ducts: &Ducts, i: usize) -> (f64, f64) {
    let cell = ducts.cell(0, i);
    let throat = 0.25 * std::f64::consts::PI * 0.03 * 0.03;
    (cell.volume / ducts.cell_length(0) / throat, cell.velocity / cell.sound_speed)
}

#[test]
fn isentropic_nozzle_through_the_throat() {
    let error = |cells: usize| {
        let mut ducts = nozzle(1.687_50, cells);
        settle(&mut ducts, 0.05, None);
        let mut worst = 0.0_f64;
        for i in ducts.duct_cells(0) {
            let (ratio, _) = local(&ducts, i);
            let cell = ducts.cell(0, i);
            // Beside the throat the Mach number follows the root of the area, and the cones have an edge there.
            if ratio > 1.05 {
                let m = if cell.x < 0.2 { mach(ratio, 1e-3, 1.0) } else { mach(ratio, 1.0, 5.0) };
                worst = worst.max((cell.pressure / (P0 * pressure_ratio(m)) - 1.0).abs());
            }
        }
        let last = ducts.cell(0, cells - 1);
        let flow = last.density * last.velocity * last.volume / ducts.cell_length(0);
        let area = 0.25 * std::f64::consts::PI * 0.03 * 0.03;
        // Choked factor for γ = 1.4: 0.6847315.
        let choked = 0.684_731_5 * area * P0 / (R * T0).sqrt();
        println!(
            "nozzle, {cells} cells: pressure within {:.2} %, flow {:+.3} % of choked",
            100.0 * worst,
            100.0 * (flow / choked - 1.0)
        );
        assert!((flow / choked - 1.0).abs() < 0.005);
        worst
    };
    let (coarse, fine) = (error(60), error(120));
    assert!(fine < 0.01 && fine < 0.6 * coarse, "{coarse} {fine}");
}

/// Shock where M = 2 (p2/p1 4.5, M2 0.577350, p02/p01 0.720874 in NACA 1135); the exit is at A/A* = 2.2.
#[test]
fn shock_in_a_nozzle() {
    let mut ducts = nozzle(2.2, 240);
    let behind = 0.720_874;
    let m = mach(2.2 * behind, 1e-3, 1.0);
    settle(&mut ducts, 0.08, Some(P0 * behind * pressure_ratio(m)));
    let steepest = (1..240)
        .max_by(|&a, &b| {
            let rise = |i: usize| ducts.cell(0, i).pressure - ducts.cell(0, i - 1).pressure;
            rise(a).total_cmp(&rise(b))
        })
        .expect("cells");
    let (ratio, _) = local(&ducts, steepest);
    println!("shock in a nozzle at A/A* {ratio:.4}, theory 1.6875");
    // One cell is 0.014 in A/A*.
    assert!((ratio - 1.687_5).abs() < 0.03, "{ratio}");
    for i in [steepest + 8, 230] {
        let (_, m) = local(&ducts, i);
        let total = ducts.cell(0, i).pressure / pressure_ratio(m) / P0;
        assert!((total - behind).abs() < 0.005, "cell {i}: p02/p01 {total}");
    }
}

/// Haaland's friction factor (Fanning), written again with the exact logarithm.
fn haaland(roughness: f64, diameter: f64, reynolds: f64) -> f64 {
    let root = -1.8 * log10(powf(roughness / (3.7 * diameter), 1.11) + 6.9 / reynolds);
    0.25 / (root * root)
}

/// 4 ∫ f dx/D between cells against the difference of the tabulated lengths at the Mach numbers found there.
#[test]
fn fanno_flow() {
    let (length, d, roughness, cells) = (3.0, 0.03, 5e-5, 200);
    let spec = DuctSpec { roughness, friction_factor_scale: 1.0, ..bare(length, d, cells) };
    let mut ducts = Ducts::new(&[spec], &ideal()).expect("a pipe");
    ducts.fill(0, 0.8 * P0, 0.95 * T0, 100.0, Composition::default()).expect("a state");
    settle(&mut ducts, 0.4, Some(0.45 * P0));
    let mut resistance = 0.0;
    let (first, last) = (2, cells - 3);
    for i in first..=last {
        let c = ducts.cell(0, i);
        let viscosity = 1.458e-6 * powf(c.temperature, 1.5) / (c.temperature + 110.4);
        let f = haaland(roughness, d, c.density * c.velocity * d / viscosity);
        let share = if i == first || i == last { 0.5 } else { 1.0 };
        resistance += share * 4.0 * f * ducts.cell_length(0) / d;
    }
    let [a, b] = [first, last].map(|i| local(&ducts, i).1);
    let want = fanno_length(a) - fanno_length(b);
    println!(
        "Fanno: M {a:.4} to {b:.4}, 4fL/D {resistance:.4}, table {want:.4} ({:+.2} %)",
        100.0 * (resistance / want - 1.0)
    );
    assert!((resistance / want - 1.0).abs() < 0.005);
    // Adiabatic: the total temperature stays.
    for i in [first, last] {
        let c = ducts.cell(0, i);
        let total = c.temperature * (1.0 + 0.2 * local(&ducts, i).1 * local(&ducts, i).1);
        assert!((total / T0 - 1.0).abs() < 1e-3, "{total}");
    }
}

/// An endless pipe of even flow: only the walls act. `steps` steps of a fixed length up to `time`.
fn endless(friction: f64, heat: f64, steps: usize, time: f64) -> Ducts {
    // As rough as can be: the factor does not depend on the Reynolds number.
    let spec = DuctSpec {
        roughness: 0.004,
        heat_factor: heat,
        friction_factor_scale: friction,
        wall_temperature: 600.0,
        ..bare(8.0, 0.02, 8)
    };
    let mut ducts = Ducts::new(&[spec], &ideal()).expect("a pipe");
    ducts.fill(0, 20e5, 400.0, 120.0, Composition::default()).expect("a state");
    let dt = time / steps as f64;
    for _ in 0..steps {
        ducts.predict(dt);
        let_pass(&mut ducts, 0, Side::Start);
        let_pass(&mut ducts, 0, Side::End);
        ducts.update(dt).expect("the step holds");
    }
    ducts
}

#[test]
fn friction_is_second_order_in_time() {
    let time = 0.002;
    let [a, b, c] = [16, 32, 64].map(|steps| endless(1.0, 0.0, steps, time).cell(0, 4).velocity);
    let rate = 2.0 * haaland(0.004, 0.02, 1e7) / 0.02;
    let exact = 120.0 / (1.0 + rate * 120.0 * time);
    println!("friction: {a:.6} {b:.6} {c:.6} m/s, equation {exact:.6}; ratio {:.2}", (a - b) / (b - c));
    assert!((c / exact - 1.0).abs() < 5e-4, "{c} {exact}");
    assert!((a - b) / (b - c) > 3.5, "not second order: {a} {b} {c}");
}

#[test]
fn heat_is_second_order_in_time() {
    let time = 0.002;
    let ducts = [16, 32, 64].map(|steps| endless(0.0, 1.0, steps, time));
    let [a, b, c] = [0, 1, 2].map(|i: usize| ducts[i].cell(0, 4).temperature);
    let rate = 2.0 * haaland(0.004, 0.02, 1e7) * powf(0.71, -2.0 / 3.0) * 120.0 / 0.02 * GAMMA;
    let exact = 600.0 - 200.0 * exp(-rate * time);
    println!("heat: {a:.6} {b:.6} {c:.6} K, equation {exact:.6}; ratio {:.2}", (a - b) / (b - c));
    assert!((c / exact - 1.0).abs() < 5e-4, "{c} {exact}");
    assert!((a - b) / (b - c) > 3.5, "not second order: {a} {b} {c}");
    // What the wall gave is what the gas got.
    let mass = ducts[2].total().mass;
    let gained = mass * R / (GAMMA - 1.0) * (c - 400.0);
    assert!((ducts[2].heat_to_walls(0) / -gained - 1.0).abs() < 1e-9);
}
