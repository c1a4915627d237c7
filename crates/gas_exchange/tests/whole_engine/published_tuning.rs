//! A single cylinder with a long intake pipe against what is published about such engines.
//!
//! Source (read): Japan Society of Mechanical Engineers, *Dictionary of Mechanical Engineering*, entries "inertia effect"
//! (11-1002457) and "pulsation effect" (11-1012604). Two effects, as Taylor, Livengood and Tsai measured them on a single
//! cylinder (Transactions of the ASME 77, 1955, p. 1133; abstract read):
//! - inertia: the column swings with the cylinder while the valve is open. m = ν θ/(6 n), ν the frequency of pipe and mean
//!   cylinder volume, θ the open angle in degrees, n in rev/min. Most air at m = 1, least at m = 0.5 and 1.5.
//! - pulsation: what still swings in the closed pipe meets the next intake stroke. q = 2 · 60 ν/n for a four-stroke, ν the
//!   frequency of the closed pipe. It adds air at q = 1.5, 2.5, …, and takes some at q = 2, 3, ….
//!
//! No scatter is stated there. A relation with gain and loss half an order apart is met when an extreme stands nearer to an order
//! of its own kind than to one of the other: within a quarter. A motored engine's first cycle has a pipe at rest: it shows the
//! inertia alone, and the periodic cycle over it shows the pulsation alone.

use crate::wave_tuning::{engine, reference};
use gas_exchange::whole_engine::{EngineSpec, Settings, Simulation};
use mechanics::math::tan;
use std::f64::consts::PI;

/// Half of the distance between an order that gains and one that loses.
const NEARER: f64 = 0.25;
/// Highest order that is held against the source. Above it our extremes drift below their order, by about 0.1 for each, since the
/// pipe is open to the cylinder for a third of the cycle, which the relation leaves out: see `docs/physics/wave_tuning.md`.
const HIGHEST: f64 = 3.5;
/// Share of the published order by which an extreme of any order may lie aside.
const ASIDE: f64 = 0.15;
/// The same, within which it counts as met closely.
const CLOSE: f64 = 0.02;
/// End correction of a plain pipe in radii (Levine and Schwinger, 1948).
const END: f64 = 0.6133;

/// Our cylinder with the friction of a smooth pipe and the end correction of its mouth.
fn with_pipe(pipe: f64) -> (EngineSpec, f64) {
    let reference = reference();
    let mut spec = engine(&reference.input, pipe);
    spec.intake.end_correction = END;
    spec.cylinders[0].intake_duct.friction_factor_scale = 1.0;
    (spec, pipe + END * 0.5 * reference.input["pipe_diameter"])
}

/// Speed in rev/min, filling of the first cycle, filling of the periodic one over it.
fn curve(spec: &EngineSpec, speeds: &[f64]) -> Vec<(f64, f64, f64)> {
    let first = Settings { tolerance: 0.0, most_cycles: 1 };
    let periodic = Settings { tolerance: 5e-4, most_cycles: 60 };
    let mut warm: Option<Simulation> = None;
    speeds
        .iter()
        .map(|rpm| {
            let mut cold = Simulation::new(spec, rpm * PI / 30.0).expect("an engine");
            let alone = cold.converge(&first, |_, _| true).expect("it turns").volumetric_efficiency;
            let warm = warm.get_or_insert(cold);
            warm.set_speed(rpm * PI / 30.0);
            let point = warm.converge(&periodic, |_, _| true).expect("it turns");
            assert!(point.closure.converged, "{rpm} rev/min: {:?}", point.closure);
            (*rpm, alone, point.volumetric_efficiency / alone)
        })
        .collect()
}

/// Places of the largest (`sign` 1) or least (−1) values between their neighbours, by the parabola through the three.
fn extremes(points: &[(f64, f64)], sign: f64) -> Vec<f64> {
    points
        .windows(3)
        .filter(|w| sign * (w[1].1 - w[0].1) > 0.0 && sign * (w[1].1 - w[2].1) >= 0.0)
        .map(|w| {
            let (d1, d2) = ((w[1].1 - w[0].1) / (w[1].0 - w[0].0), (w[2].1 - w[1].1) / (w[2].0 - w[1].0));
            0.5 * (w[0].0 + w[1].0) - d1 * (w[2].0 - w[0].0) / (d2 - d1) / 2.0
        })
        .collect()
}

/// Least root of k tan(kL) = A/V: a pipe on a volume.
fn pipe_and_volume(length: f64, area: f64, volume: f64) -> f64 {
    let (mut low, mut high) = (0.0, 0.5 * PI / length);
    for _ in 0..60 {
        let k = 0.5 * (low + high);
        if k * tan(k * length) < area / volume { low = k } else { high = k }
    }
    low
}

#[test]
fn inertia_and_pulsation_stand_where_the_handbook_puts_them() {
    let input = reference().input;
    let get = |name: &str| input[name];
    let sound = (get("ratio_of_specific_heats") * get("gas_constant") * get("ambient_temperature")).sqrt();
    let area = 0.25 * PI * get("pipe_diameter") * get("pipe_diameter");
    let swept = 0.25 * PI * get("bore") * get("bore") * get("stroke");
    // Mean volume over the stroke.
    let volume = swept / (get("compression_ratio") - 1.0) + 0.5 * swept;
    let open = get("intake_closes_deg") - get("intake_opens_deg");
    let (mut low, mut near, mut close, mut all) = (0, 0, 0, 0);
    for pipe in [0.6, 0.9, 1.2] {
        let (spec, length) = with_pipe(pipe);
        let closed = sound / (4.0 * length);
        let speeds: Vec<f64> = (13..=50)
            .map(|tenth| 120.0 * closed / (0.1 * f64::from(tenth)))
            .filter(|rpm| (1_600.0..5_500.0).contains(rpm))
            .collect();
        let curve = curve(&spec, &speeds);
        let order = |rpm: f64| 120.0 * closed / rpm;

        let swing = pipe_and_volume(length, area, volume) * sound / (2.0 * PI);
        let inertia: Vec<(f64, f64)> = curve.iter().map(|p| (p.0, p.1)).collect();
        let best = extremes(&inertia, 1.0);
        assert_eq!(best.len(), 1, "{pipe} m: one best speed of the column, found {best:?}");
        let m = swing * open / (6.0 * best[0]);
        println!("{pipe} m, inertia: {:.0} rev/min, m {m:.2} (1)", best[0]);
        assert!((m - 1.0).abs() < NEARER, "{pipe} m: m {m}");

        let pulsation: Vec<(f64, f64)> = curve.iter().map(|p| (order(p.0), p.2)).collect();
        for (sign, kind) in [(1.0, "gain"), (-1.0, "loss")] {
            let found = extremes(&pulsation, sign);
            for q in &found {
                let own = if sign > 0.0 { (q - 0.5).round() + 0.5 } else { q.round() };
                println!("{pipe} m, {kind}: q {q:.2} ({own}), {:+.2}", q - own);
                all += 1;
                near += u32::from((q - own).abs() < NEARER);
                let aside = (q / own - 1.0).abs();
                close += u32::from(aside < CLOSE);
                assert!(aside < ASIDE, "{pipe} m: {kind} at q {q}, {:.0} % from {own}", 100.0 * aside);
                if own <= HIGHEST {
                    assert!((q - own).abs() < NEARER, "{pipe} m: {kind} at q {q}");
                    low += 1;
                }
            }
            for pair in found.windows(2) {
                let apart = (pair[1] - pair[0]).abs();
                assert!(
                    (apart - 1.0).abs() < NEARER,
                    "{pipe} m: {kind}, {apart} orders from one to the next"
                );
            }
        }
    }
    println!("{near} of {all} extremes stand nearer to their own kind, {close} within 2 % of their order");
    assert!(low >= 7 && all >= 16, "{low} extremes up to order {HIGHEST}, {all} in all");
}
