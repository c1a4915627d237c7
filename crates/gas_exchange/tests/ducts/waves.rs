//! Waves of finite amplitude, the quarter wave, and the pipe with a volume.

use super::common::{GAMMA, R, bare, flux, ideal, run, run_with};
use gas_exchange::ducts::{DuctEnd, Ducts, EndFlux, Side};
use gas_exchange::gas::Composition;
use mechanics::math::{cos, powf, sin};
use std::f64::consts::PI;

const P0: f64 = 101_325.0;

/// Temperature at which sound travels at `c`.
fn temperature(c: f64) -> f64 {
    c * c / (GAMMA * R)
}

/// Pressure and velocity of Earnshaw's simple wave, γ = 1.4: X = (p/p0)^(1/7), u = 5 a0 (X − 1), c = a0 X.
fn simple_wave(x_minus_one: f64, a0: f64) -> (f64, f64, f64) {
    let x = 1.0 + x_minus_one;
    (P0 * powf(x, 7.0), temperature(a0 * x), 5.0 * a0 * x_minus_one)
}

/// Check values of J. Earnshaw's theory, digits computed apart: p/p0 1.2 and 0.8 at 20 °C.
const PLATEAUS: [(f64, f64, f64, f64); 2] =
    [(1.2, 45.282, 397.541, 1.433_350), (0.8, -53.840, 278.594, 0.635_314)];
const A0: f64 = 343.202;

#[test]
fn a_finite_wave_travels_and_meets_a_wall_as_earnshaw_says() {
    for (ratio, u, speed, wall) in PLATEAUS {
        let top = powf(ratio, 1.0 / 7.0) - 1.0;
        let (_, _, velocity) = simple_wave(top, A0);
        assert!((velocity - u).abs() < 1e-4 * u.abs(), "{velocity} {u}");
        let propagation = A0 * (6.0 * (1.0 + top) - 5.0);
        assert!((propagation - speed).abs() < 1e-5 * speed, "{propagation} {speed}");
        // A plateau from 0.35 to 0.75 m with ramps of 0.1 m, in a tube of 1 m.
        let mut ducts = Ducts::new(&[bare(1.0, 0.04, 800)], &ideal()).expect("a tube");
        ducts
            .fill_cells(0, |i| {
                let x = (i as f64 + 0.5) / 800.0;
                let share = ((x - 0.25) / 0.1).clamp(0.0, 1.0).min(((0.85 - x) / 0.1).clamp(0.0, 1.0));
                let (p, t, u) = simple_wave(top * share, A0);
                (p, t, u, Composition::default())
            })
            .expect("a state");
        // The trailing ramp is where the theory says, halfway between plateau and rest in X, before anything comes back.
        run(&mut ducts, 0.8, 0.2 / speed);
        let half = P0 * powf(1.0 + 0.5 * top, 7.0);
        let crossing = (1..700)
            .find(|&i| (ducts.cell(0, i - 1).pressure - half) * (ducts.cell(0, i).pressure - half) <= 0.0)
            .map(|i| {
                let (a, b) = (ducts.cell(0, i - 1), ducts.cell(0, i));
                a.x + (half - a.pressure) / (b.pressure - a.pressure) * (b.x - a.x)
            })
            .expect("a ramp");
        let want = 0.3 + A0 * (6.0 * (1.0 + 0.5 * top) - 5.0) * 0.2 / speed;
        assert!((crossing - want).abs() < 1e-3, "ramp at {crossing}, theory {want}");
        // Until the middle of the plateau, at its own speed, is at the wall.
        run(&mut ducts, 0.8, 0.2 / speed);
        let at_wall = ducts.cell(0, 799).pressure / P0;
        println!("p/p0 {ratio}: closed end {at_wall:.5}, theory {wall:.5}");
        assert!((at_wall / wall - 1.0).abs() < 1e-3, "{at_wall} {wall}");
    }
}

/// Error of a smooth simple wave against characteristics, mean over the cells, by the pressure at rest.
fn smooth_error(cells: usize) -> f64 {
    let (top, time) = (0.02, 0.8e-3);
    let shape = |x: f64| if (0.1..0.6).contains(&x) { 0.5 * (1.0 - cos(4.0 * PI * (x - 0.1))) } else { 0.0 };
    let mut ducts = Ducts::new(&[bare(1.0, 0.04, cells)], &ideal()).expect("a tube");
    ducts
        .fill_cells(0, |i| {
            let (p, t, u) = simple_wave(top * shape((i as f64 + 0.5) / cells as f64), A0);
            (p, t, u, Composition::default())
        })
        .expect("a state");
    run(&mut ducts, 0.8, time);
    let mean: f64 = ducts
        .duct_cells(0)
        .map(|i| {
            let cell = ducts.cell(0, i);
            // The characteristic that ends here: x − s(x0) t = x0, by bisection, for s rises and falls gently.
            let (mut low, mut high) = (cell.x - 0.5, cell.x);
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                let arrives = middle + A0 * (1.0 + 6.0 * top * shape(middle)) * time;
                if arrives < cell.x { low = middle } else { high = middle }
            }
            (cell.pressure - simple_wave(top * shape(low), A0).0).abs() / P0
        })
        .sum();
    mean / cells as f64
}

#[test]
fn smooth_flow_converges_with_second_order() {
    let errors = [100, 200, 400, 800].map(smooth_error);
    for pair in errors.windows(2) {
        let order = (pair[0] / pair[1]).log2_();
        println!("smooth wave: error {:.2e} then {:.2e}, order {order:.2}", pair[0], pair[1]);
    }
    assert!((errors[2] / errors[3]).log2_() >= 1.9, "{errors:?}");
}

/// Logarithm to base 2 through the one wrapper.
trait Log2 {
    fn log2_(self) -> f64;
}
impl Log2 for f64 {
    fn log2_(self) -> f64 {
        mechanics::math::ln(self) / std::f64::consts::LN_2
    }
}

/// A place where the pressure is given: what leaves or comes is isentropic and keeps the outgoing invariant.
fn pressure_end(ducts: &Ducts, end: DuctEnd, pressure: f64) -> EndFlux {
    let s = ducts.end_state(end);
    let sign = if end.side == Side::End { 1.0 } else { -1.0 };
    let ratio = pressure / s.pressure;
    let c = s.sound_speed * powf(ratio, (GAMMA - 1.0) / (2.0 * GAMMA));
    let velocity = s.velocity + sign * 2.0 / (GAMMA - 1.0) * (s.sound_speed - c);
    flux(s.density * powf(ratio, 1.0 / GAMMA), velocity, pressure, s.area)
}

/// Frequency from the upward crossings of a record, Hz.
fn frequency(record: &[(f64, f64)]) -> f64 {
    let crossings: Vec<f64> = record
        .windows(2)
        .filter(|pair| pair[0].1 < 0.0 && pair[1].1 >= 0.0)
        .map(|pair| pair[0].0 - pair[0].1 * (pair[1].0 - pair[0].0) / (pair[1].1 - pair[0].1))
        .collect();
    assert!(crossings.len() > 3, "too few waves");
    (crossings.len() - 1) as f64 / (crossings[crossings.len() - 1] - crossings[0])
}

/// H. Levine & J. Schwinger 1948: an unflanged pipe acts longer by 0.6133 radius. c = 343.2 m/s, L = 0.4 m, r = 0.02 m:
/// 208.12 Hz (check value computed apart). The end correction lengthens the duct.
#[test]
fn quarter_wave_of_a_pipe_with_an_open_end() {
    let length = 0.4 + 0.6133 * 0.02;
    let mut ducts = Ducts::new(&[bare(length, 0.04, 80)], &ideal()).expect("a pipe");
    // The quarter wave itself, 100 Pa.
    ducts
        .fill_cells(0, |i| {
            let x = (i as f64 + 0.5) / 80.0;
            let p = P0 + 100.0 * cos(0.5 * PI * x);
            (p, temperature(343.2) * powf(p / P0, 2.0 / 7.0), 0.0, Composition::default())
        })
        .expect("a state");
    let end = DuctEnd { duct: 0, side: Side::End };
    let mut record = Vec::new();
    run_with(&mut ducts, 0.8, 0.05, |ducts, t| {
        record.push((t, ducts.end_state(DuctEnd { duct: 0, side: Side::Start }).pressure - P0));
        let flux = pressure_end(ducts, end, P0);
        ducts.set_end_flux(end, flux);
    });
    let found = frequency(&record);
    println!("quarter wave {found:.2} Hz, theory 208.12 Hz ({:+.2} %)", 100.0 * (found / 208.12 - 1.0));
    assert!((found / 208.12 - 1.0).abs() < 0.01);
}

/// Root of k tan(kL) = A/V for d = 40 mm, L = 0.3 m, V = 0.5 L, c = 343.2 m/s: 140.736 Hz (computed apart); the lumped
/// formula would give 158.098 Hz.
#[test]
fn pipe_and_volume() {
    let volume = 0.5e-3;
    let mut ducts = Ducts::new(&[bare(0.3, 0.04, 60)], &ideal()).expect("a pipe");
    let t0 = temperature(343.2);
    // The shape of the first mode, sin kx, with 100 Pa in the volume: another start would ring in all modes.
    let k = 2.0 * PI * 140.736 / 343.2;
    ducts
        .fill_cells(0, |i| {
            let p = P0 + 100.0 * sin(k * (i as f64 + 0.5) * 0.005) / sin(k * 0.3);
            (p, t0 * powf(p / P0, 2.0 / 7.0), 0.0, Composition::default())
        })
        .expect("a state");
    let (start, end) = (DuctEnd { duct: 0, side: Side::Start }, DuctEnd { duct: 0, side: Side::End });
    let mut pressure = P0 + 100.0;
    let (mut record, mut before, mut rate) = (Vec::new(), 0.0, 0.0);
    run_with(&mut ducts, 0.8, 0.08, |ducts, t| {
        let dt = 2.0 * (t - before);
        let open = pressure_end(ducts, start, P0);
        ducts.set_end_flux(start, open);
        let half = pressure + 0.5 * dt * rate;
        let joint = pressure_end(ducts, end, half);
        ducts.set_end_flux(end, joint);
        // Adiabatic volume of ideal gas: V dp/dt = (γ − 1) · enthalpy that comes in, counted from 0 K.
        let cv = R / (GAMMA - 1.0);
        rate = (GAMMA - 1.0) * (joint.energy + joint.mass * cv * 298.15) / volume;
        pressure += dt * rate;
        before += dt;
        record.push((before, pressure - P0));
    });
    let found = frequency(&record);
    println!("pipe and volume {found:.2} Hz, theory 140.736 Hz ({:+.2} %)", 100.0 * (found / 140.736 - 1.0));
    assert!((found / 140.736 - 1.0).abs() < 0.01);
}
