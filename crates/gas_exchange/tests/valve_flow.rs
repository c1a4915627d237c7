//! Lift, flow bench and orifice against closed formulas and an independent integration.

use core::f64::consts::{PI, TAU};
use gas_exchange::valves::orifice::{
    LINEAR_BELOW, choked_flow_factor, critical_pressure_ratio, flow_factor, nozzle_mass_flow,
};
use gas_exchange::valves::{
    FlowBench, FlowBenchError, FlowCoefficients, Follower, Lift, LiftError, Lobe, Nozzle, Placement,
    PublishedFlow, Reading, ReferenceArea, ReverseFlow, Side,
};
use proptest::prelude::*;

const DEGREE: f64 = PI / 180.0;
const DIRECT: Follower = Follower { rocker_ratio: 1.0, lash: 0.0 };
const INTAKE: Placement = Placement { side: Side::Intake, lobe_centre: 106.0 * DEGREE, advance: 0.0 };

/// The invented four: 10.60 mm, 250° at 1.00 mm.
fn lobe() -> Lobe {
    Lobe {
        peak_lift: 10.60e-3,
        check_lift: 1.00e-3,
        duration_at_check_lift: 250.0 * DEGREE,
        ramp_height: 0.30e-3,
        ramp_length: 30.0 * DEGREE,
    }
}

fn bench() -> FlowBench {
    FlowBench {
        inlet_pressure: 101_325.0,
        inlet_temperature: 288.15,
        depression: 6_974.49,
        gas_constant: 287.052_87,
        gamma: 1.4,
    }
}

#[track_caller]
fn close(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() <= relative, "{found} is not {expected} within {relative}");
}

// Six or seven printed digits: Heywood, appendix C, and Shapiro; the last two flows are hand calculations.
#[test]
fn nozzle_formulas_give_the_printed_figures() {
    for (gamma, ratio, factor) in
        [(1.4, 0.528_281_8, 0.684_731_5), (1.33, 0.540_364_0, 0.672_628_4), (1.3, 0.545_727_7, 0.667_262_4)]
    {
        close(critical_pressure_ratio(gamma), ratio, 1e-6);
        close(choked_flow_factor(gamma), factor, 1e-6);
    }
    close(nozzle_mass_flow(1e-4, 101_325.0, 288.15, 287.052_87, 1.4, 1e4), 24.123_85e-3, 1e-5);
    close(nozzle_mass_flow(1e-4, 2e5, 300.0, 287.0, 1.4, 1.6e5), 38.214_55e-3, 1e-5);
}

// Closed formula of a choked blow-down (check value: 271,653 Pa and 537.20 K after 5 ms) against stepping the exact nozzle.
#[test]
fn a_vessel_blows_down_as_the_closed_formula_says() {
    let (volume, area, gamma, r) = (0.5e-3, 1e-4, 1.4, 287.05);
    let (mut p, mut t): (f64, f64) = (4e5, 600.0);
    let steps = 20_000;
    let dt = 5e-3 / f64::from(steps);
    let rate = |p: f64, t: f64| {
        let flow = nozzle_mass_flow(area, p, t, r, gamma, 1e5);
        let dp = -gamma * r * t * flow / volume;
        (dp, (gamma - 1.0) / gamma * t / p * dp)
    };
    for _ in 0..steps {
        let (dp, d_t) = rate(p, t);
        let (dp, d_t) = rate(p + 0.5 * dt * dp, t + 0.5 * dt * d_t);
        p += dt * dp;
        t += dt * d_t;
    }
    close(p, 271_653.0, 1e-4);
    close(t, 537.20, 1e-4);
}

#[test]
fn the_nozzle_table_keeps_its_stated_error() {
    let table = Nozzle::shared();
    let mut worst: f64 = 0.0;
    for g in 0..=150 {
        let gamma = 1.101 + 0.598 * f64::from(g) / 150.0;
        for i in 0..=2_000 {
            let difference =
                LINEAR_BELOW + (1.0 - LINEAR_BELOW) * (f64::from(i) / 2_000.0) * (f64::from(i) / 2_000.0);
            let exact = flow_factor(1.0 - difference, gamma);
            worst = worst.max((table.flow_factor(1.0 - difference, gamma) / exact - 1.0).abs());
        }
    }
    assert!(worst < Nozzle::RELATIVE_ERROR, "{worst:e}");
}

#[test]
fn near_equal_pressures_the_table_is_finite_in_slope_and_never_above_the_formula() {
    let table = Nozzle::shared();
    let mut before = 0.0;
    for i in 1..=400 {
        let difference = 2.0 * LINEAR_BELOW * f64::from(i) / 400.0;
        let (found, exact) = (table.flow_factor(1.0 - difference, 1.35), flow_factor(1.0 - difference, 1.35));
        assert!(found > before && found <= exact * (1.0 + 1e-5), "{difference}: {found} {exact}");
        let top = flow_factor(1.0 - LINEAR_BELOW, 1.35);
        assert!(exact - found < 0.21 * top, "{difference}: {} of ψ at the joint", (exact - found) / top);
        before = found;
    }
    assert!(table.flow_factor(1.0 - 1e-12, 1.35) < 1e-9);
}

// 0.3048³ m³ in a cubic foot, 0.0254² m² in a square inch.
#[test]
fn twenty_eight_inches_of_water_give_140_cubic_feet_through_a_square_inch() {
    let cfm = bench().ideal_velocity() * 0.025_4 * 0.025_4 * 60.0 / (0.304_8 * 0.304_8 * 0.304_8);
    close(cfm, 140.39, 1e-4);
}

#[test]
fn a_lobe_has_its_stated_duration_and_peak() {
    let lift = Lift::from_lobe(&lobe(), DIRECT, INTAKE).unwrap();
    let events = lift.events_at_check_lift();
    close(events.duration(), 250.0 * DEGREE, 1e-12);
    close(events.opens, TAU + (106.0 - 125.0) * DEGREE, 1e-12);
    close(lift.peak(), 10.60e-3, 1e-12);
    close(lift.at(events.opens), 1.00e-3, 1e-3);
    close(lift.events_at_valve_lift(1.00e-3).unwrap().closes, TAU + (106.0 + 125.0) * DEGREE, 1e-9);
    assert!(lift.events_at_valve_lift(0.011).is_none());
    // From base circle to base circle it takes two ramps more than the flank.
    assert!(lift.events().duration() > 310.0 * DEGREE && lift.events().duration() < 360.0 * DEGREE);
}

// The invented V8: 0.412 in at the lobe, 1.60, 0.018 in lash: 0.6412 in at the valve.
#[test]
fn rocker_and_lash_change_the_valve_and_not_the_card() {
    let inch = 0.025_4;
    let card = Lobe {
        peak_lift: 0.412 * inch,
        check_lift: 0.050 * inch,
        duration_at_check_lift: 256.0 * DEGREE,
        ramp_height: 0.014 * inch,
        ramp_length: 30.0 * DEGREE,
    };
    let follower = Follower { rocker_ratio: 1.60, lash: 0.018 * inch };
    let place = Placement { side: Side::Exhaust, lobe_centre: 112.0 * DEGREE, advance: 4.0 * DEGREE };
    let lift = Lift::from_lobe(&card, follower, place).unwrap();
    close(lift.peak(), 0.641_2 * inch, 1e-12);
    close(lift.events_at_check_lift().duration(), 256.0 * DEGREE, 1e-12);
    close(lift.centre_angle(), TAU - 116.0 * DEGREE, 1e-12);
    let free = Lift::from_lobe(&card, Follower { lash: 0.0, ..follower }, place).unwrap();
    assert!(lift.events().duration() < free.events().duration());
    assert!(lift.area_under_curve() < free.area_under_curve());
    close(lift.advanced(5.0 * DEGREE).centre_angle(), TAU - 121.0 * DEGREE, 1e-12);
}

// Without a ramp the flank is L(1 − 2t² + 2t⁶ − t⁸): mean over peak = 1 − 2/3 + 2/7 − 1/9.
#[test]
fn area_of_a_lobe_without_ramps_is_its_integral() {
    let card = Lobe { ramp_height: 0.0, ramp_length: 0.0, ..lobe() };
    let lift = Lift::from_lobe(&card, DIRECT, INTAKE).unwrap();
    let mean = 1.0 - 2.0 / 3.0 + 2.0 / 7.0 - 1.0 / 9.0;
    close(lift.area_under_curve(), 10.60e-3 * mean * lift.events().duration(), 1e-5);
}

#[test]
fn the_table_inside_stays_within_a_micrometre_and_acceleration_has_no_step() {
    let lift = Lift::from_lobe(&lobe(), DIRECT, INTAKE).unwrap();
    let points: Vec<(f64, f64)> = (-185..=185)
        .map(|i| (f64::from(i) * DEGREE, lift.at(lift.centre_angle() + f64::from(i) * DEGREE)))
        .collect();
    let read = Lift::from_table(&points, 1.00e-3, DIRECT, INTAKE).unwrap();
    close(read.events_at_check_lift().duration(), 250.0 * DEGREE, 1e-4);
    for i in 0..7_200 {
        let angle = f64::from(i) * 0.1 * DEGREE;
        assert!((read.at(angle) - lift.at(angle)).abs() < 3e-6, "{i}: {} {}", read.at(angle), lift.at(angle));
    }
    // Between table entries (0.125° off) the straight line against the average of exact neighbours: second difference / 8.
    let mut second: f64 = 0.0;
    for i in 0..2_880 {
        let at = |k: i32| lift.at(f64::from(k) * 0.25 * DEGREE);
        second = second.max((at(i + 1) - 2.0 * at(i) + at(i - 1)).abs());
    }
    assert!(second / 8.0 < 1e-6, "{second}");
    let a = |k: i32| {
        let at = |k: i32| lift.at(lift.centre_angle() + f64::from(k) * 0.25 * DEGREE);
        (at(k + 1) - 2.0 * at(k) + at(k - 1)) / (0.25 * DEGREE * 0.25 * DEGREE)
    };
    // Greatest acceleration of this lobe is about 15 mm/rad²; a step would show as a jump of that size.
    for k in -700..700 {
        assert!((a(k + 1) - a(k)).abs() < 1.5e-3, "step of {} m/rad² at {k}", a(k + 1) - a(k));
    }
}

#[test]
fn wrong_lifts_are_named() {
    let from = |points: &[(f64, f64)]| Lift::from_table(points, 1e-3, DIRECT, INTAKE).unwrap_err();
    assert_eq!(from(&[(0.0, 0.0)]), LiftError::TooFewPoints { found: 1 });
    let negative = [(0.0, 0.0), (0.5, 5e-3), (1.0, -2e-6), (1.5, 0.0)];
    assert_eq!(from(&negative), LiftError::NegativeLift { point: 3, lift: -2e-6 });
    let back = [(0.0, 0.0), (0.5, 5e-3), (0.4, 6e-3), (1.5, 0.0)];
    assert_eq!(from(&back), LiftError::AnglesNotRising { point: 3, angle: 0.4 });
    let open = [(0.0, 0.0), (0.5, 5e-3), (1.0, 6e-3), (1.5, 2e-3)];
    assert!(matches!(from(&open), LiftError::TableStopsOpen { .. }));
    let long = [(0.0, 0.0), (0.5, 5e-3), (1.0, 6e-3), (13.0, 0.0)];
    assert!(matches!(from(&long), LiftError::LongerThanTheCycle { .. }));
    let smooth = |card: Lobe, follower| Lift::from_lobe(&card, follower, INTAKE).unwrap_err();
    assert!(matches!(
        smooth(Lobe { duration_at_check_lift: 720.0 * DEGREE, ..lobe() }, DIRECT),
        LiftError::OutOfRange { .. }
    ));
    assert!(matches!(
        smooth(Lobe { check_lift: 0.02, ..lobe() }, DIRECT),
        LiftError::OutOfRange { name: "check lift", .. }
    ));
    assert!(matches!(
        smooth(lobe(), Follower { rocker_ratio: 1.0, lash: 0.011 }),
        LiftError::LashAboveLift { .. }
    ));
    assert!(matches!(
        smooth(lobe(), Follower { rocker_ratio: 1.0, lash: -1e-4 }),
        LiftError::OutOfRange { name: "lash", .. }
    ));
    assert!(matches!(
        smooth(Lobe { ramp_length: 0.1 * DEGREE, ..lobe() }, DIRECT),
        LiftError::NoSuchLobe { .. }
    ));
}

/// Invented readings for a pair of 34.5 mm intake valves, m³/s at 28 inH₂O.
fn readings() -> Vec<Reading> {
    [(1.5, 0.024), (3.0, 0.047), (4.5, 0.068), (6.0, 0.085), (7.5, 0.098), (9.0, 0.106), (10.5, 0.110)]
        .map(|(lift, volume_flow)| Reading { lift: lift * 1e-3, volume_flow })
        .to_vec()
}

#[test]
fn effective_areas_give_the_readings_back() {
    let coefficients =
        FlowCoefficients::from_readings(34.5e-3, 2, &bench(), &readings(), &ReverseFlow::Factor(0.9))
            .unwrap();
    let b = bench();
    let density = b.inlet_pressure / (b.gas_constant * b.inlet_temperature);
    for Reading { lift, volume_flow } in readings() {
        let behind = b.inlet_pressure - b.depression;
        let area = 2.0 * coefficients.effective_area(lift);
        let flow =
            nozzle_mass_flow(area, b.inlet_pressure, b.inlet_temperature, b.gas_constant, b.gamma, behind);
        close(flow, volume_flow * density, 1e-12);
        close(coefficients.reverse_effective_area(lift), 0.9 * coefficients.effective_area(lift), 1e-12);
    }
    assert!(coefficients.effective_area(0.0).abs() < 1e-300);
    assert!(coefficients.is_beyond(10.6e-3) && !coefficients.is_beyond(10.5e-3));
    close(coefficients.effective_area(0.02), coefficients.effective_area(10.5e-3), 1e-15);
    let head = coefficients.discharge_coefficient(10.5e-3, ReferenceArea::ValveHead);
    let curtain = coefficients.discharge_coefficient(10.5e-3, ReferenceArea::Curtain);
    close(head / curtain, 4.0 * 10.5 / 34.5, 1e-12);
    assert!((0.4..0.8).contains(&head) && (0.3..0.8).contains(&curtain), "{head} {curtain}");
}

#[test]
fn wrong_readings_are_named() {
    let from = |readings: &[Reading], reverse| {
        FlowCoefficients::from_readings(34.5e-3, 2, &bench(), readings, &reverse).unwrap_err()
    };
    let reading = |lift, volume_flow| Reading { lift, volume_flow };
    let half = ReverseFlow::Factor(0.5);
    assert_eq!(
        from(&readings()[..1], half.clone()),
        FlowBenchError::TooFewReadings { direction: "forward", found: 1 }
    );
    let negative = from(&[reading(1e-3, 0.01), reading(2e-3, -0.02)], half.clone());
    assert!(matches!(negative, FlowBenchError::FlowNotPositive { reading: 2, .. }), "{negative}");
    let back = from(&[reading(2e-3, 0.01), reading(2e-3, 0.02)], half.clone());
    assert!(matches!(back, FlowBenchError::LiftNotRising { reading: 2, .. }), "{back}");
    let litres = from(&[reading(1e-3, 0.01), reading(2e-3, 20.0)], half);
    assert!(matches!(litres, FlowBenchError::MoreThanTheCurtain { reading: 2, .. }), "{litres}");
    assert!(matches!(from(&readings(), ReverseFlow::Factor(0.0)), FlowBenchError::OutOfRange { .. }));
    let one = ReverseFlow::Measured(readings()[..1].to_vec());
    assert_eq!(from(&readings(), one), FlowBenchError::TooFewReadings { direction: "reverse", found: 1 });
}

proptest! {
    #[test]
    fn any_lobe_card_gives_its_duration_or_an_error(
        peak in 4e-3_f64..16e-3, check in 0.05_f64..0.3, duration in 150.0_f64..320.0,
        ramp in 0.0_f64..0.08, length in 10.0_f64..50.0, angle in -1e6_f64..1e6,
    ) {
        let card = Lobe {
            peak_lift: peak, check_lift: check * peak, duration_at_check_lift: duration * DEGREE,
            ramp_height: ramp * peak, ramp_length: length * DEGREE,
        };
        if let Ok(lift) = Lift::from_lobe(&card, DIRECT, INTAKE) {
            prop_assert!((lift.events_at_check_lift().duration() / DEGREE - duration).abs() < 1e-9);
            let at = lift.at(angle);
            prop_assert!(at >= 0.0 && at <= peak * (1.0 + 1e-12));
            prop_assert!((lift.at(angle + 4.0 * PI) - at).abs() < 1e-8);
        }
    }

    #[test]
    fn the_nozzle_never_gives_nan_and_falls_with_the_pressure_behind(
        low in -2.0_f64..3.0, step in 0.0_f64..1.0, gamma in 1.05_f64..1.8,
    ) {
        let table = Nozzle::shared();
        let (more, less) = (table.flow_factor(low, gamma), table.flow_factor(low + step, gamma));
        prop_assert!(more.is_finite() && less.is_finite() && less >= 0.0 && less <= more * (1.0 + 1e-9));
    }

    #[test]
    fn effective_area_is_finite_for_any_lift(lift in prop::num::f64::NORMAL) {
        let c = FlowCoefficients::from_readings(34.5e-3, 2, &bench(), &readings(), &ReverseFlow::Factor(0.9)).unwrap();
        prop_assert!(c.effective_area(lift) >= 0.0 && c.effective_area(lift) < 1e-3);
    }
}

// A variation keeps centre and lash; follower lift and angles go with their factors.
#[test]
fn a_varied_cam_lifts_and_lasts_as_much_more() {
    let follower = Follower { rocker_ratio: 1.5, lash: 0.3e-3 };
    let lift = Lift::from_lobe(&lobe(), follower, INTAKE).unwrap();
    let same = lift.varied(1.0, 1.0).unwrap();
    for i in 0..720 {
        let angle = f64::from(i) * DEGREE;
        assert!((same.at(angle) - lift.at(angle)).abs() < 2e-6, "{i}°");
    }
    let higher = lift.varied(1.04, 1.0).unwrap();
    close(higher.peak() + 0.3e-3, 1.04 * (lift.peak() + 0.3e-3), 1e-6);
    let longer = lift.varied(1.0, 1.05).unwrap();
    close(longer.peak(), lift.peak(), 1e-6);
    close(longer.events_at_check_lift().duration(), 1.05 * lift.events_at_check_lift().duration(), 1e-4);
    close(longer.centre_angle(), lift.centre_angle(), 1e-12);
    let middle = |l: &Lift| 0.5 * (l.events_at_check_lift().opens + l.events_at_check_lift().closes);
    assert!((middle(&longer) - middle(&lift)).abs() < 0.05 * DEGREE);
    assert!(lift.varied(0.0, 1.0).is_err() && lift.varied(1.0, f64::NAN).is_err());
}

#[test]
fn a_published_curve_rises_with_lift_and_never_passes_more_than_the_gap() {
    for side in [Side::Intake, Side::Exhaust] {
        let valve = PublishedFlow::mean_poppet_valve(side);
        let flow = valve.of_valve(0.040, 1.0, valve.reverse).unwrap();
        for (ratio, coefficient) in valve.points {
            close(flow.discharge_coefficient(ratio * 0.040, ReferenceArea::ValveHead), *coefficient, 1e-12);
            // Heywood 6.3.2 (from memory): 0.4 to 0.75 of the curtain.
            let curtain = flow.discharge_coefficient(ratio * 0.040, ReferenceArea::Curtain);
            assert!((0.4..=0.75).contains(&curtain), "{side:?} {ratio}: {curtain}");
        }
        assert!(valve.points.windows(2).all(|pair| pair[0].0 < pair[1].0 && pair[0].1 < pair[1].1));
        close(flow.reverse_effective_area(0.008), valve.reverse * flow.effective_area(0.008), 1e-12);
        // The same port, larger: the coefficient is that of the ratio.
        let large = valve.of_valve(0.080, 1.0, 1.0).unwrap();
        close(large.effective_area(0.016), 4.0 * flow.effective_area(0.008), 1e-12);
    }
    assert!(
        PublishedFlow::mean_poppet_valve(Side::Intake).of_valve(0.04, 1.5, 0.9).is_err(),
        "more than the gap"
    );
}
