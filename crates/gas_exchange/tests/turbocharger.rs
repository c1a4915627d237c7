//! Compressor, turbine and restrictor against closed formulas and a smooth invented machine.

mod invented;

use gas_exchange::turbocharger::compressor::{CompressorMap, Inlet, compression};
use gas_exchange::turbocharger::turbine::{SwallowingLine, TurbineInlet};
use gas_exchange::turbocharger::{
    CompressorError, Efficiency, MapPoint, MapSpeedLine, Restrictor, Swallowing, Turbine, TurbochargerError,
    Zone,
};
use gas_exchange::valves::orifice::{choked_flow_factor, nozzle_mass_flow};
use mechanics::math::powf;
use proptest::prelude::*;

const AIR: Inlet = Inlet { pressure: 100_000.0, temperature: 298.15, specific_heat: 1_005.0, gamma: 1.4 };
const EXHAUST: TurbineInlet =
    TurbineInlet { pressure: 3.2e5, temperature: 1_203.0, specific_heat: 1_180.0, gamma: 1.32 };

#[track_caller]
fn close(found: f64, expected: f64, relative: f64) {
    assert!((found / expected - 1.0).abs() <= relative, "{found} is not {expected} within {relative}");
}

/// A smooth invented compressor: flow, pressure ratio and efficiency at a speed (rad/s) and a place from surge (0) to choke (1).
fn smooth(speed: f64, x: f64) -> MapPoint {
    let u = speed / 13_000.0;
    let (surge, choke) = (0.295 * powf(u, 1.45), 0.560 * powf(u, 0.95));
    let head = 119e3 * u * u * (1.0 - 0.02 * x - 0.35 * x * x * x * x);
    let beyond = (x - 0.55).max(0.0);
    let shape = 1.0 - 0.28 * (x - 0.45) * (x - 0.45) - 0.35 * beyond * beyond;
    MapPoint {
        flow: surge + x * (choke - surge),
        pressure_ratio: powf(1.0 + head / (1_005.0 * 298.15), 3.5),
        efficiency: (0.775 - 0.16 * (u - 0.80) * (u - 0.80)) * shape,
    }
}

fn smooth_line(speed: f64) -> MapSpeedLine {
    MapSpeedLine { speed, points: [0.0, 0.2, 0.4, 0.55, 0.7, 0.85, 1.0].map(|x| smooth(speed, x)).to_vec() }
}

#[test]
fn the_map_meets_its_points() {
    let map = invented::map();
    for line in invented::lines() {
        let at = map.at_speed(line.speed);
        for point in line.points {
            close(at.flow_at(point.pressure_ratio).0, point.flow, 1e-9);
            close(at.pressure_ratio_at(point.flow).0, point.pressure_ratio, 1e-9);
            close(at.efficiency_at(point.flow), point.efficiency, 1e-9);
        }
    }
}

// A line of a smooth machine that the map has not seen. The limits are what the lines' spacing allows, measured.
#[test]
fn a_line_left_out_comes_back() {
    let speeds = [5_000.0, 7_000.0, 8_500.0, 10_000.0, 11_500.0, 13_000.0, 14_200.0];
    let mut worst = [0.0_f64; 3];
    for out in 1..speeds.len() - 1 {
        let kept: Vec<MapSpeedLine> = speeds
            .iter()
            .enumerate()
            .filter(|(i, _)| *i != out)
            .map(|(_, speed)| smooth_line(*speed))
            .collect();
        let line = CompressorMap::new(invented::REFERENCE, 14_200.0, &kept).unwrap().at_speed(speeds[out]);
        for i in 0..=50 {
            let point = smooth(speeds[out], f64::from(i) / 50.0);
            let errors = [
                line.pressure_ratio_at(point.flow).0 / point.pressure_ratio - 1.0,
                line.efficiency_at(point.flow) - point.efficiency,
            ];
            for (worst, error) in worst.iter_mut().zip(errors) {
                *worst = worst.max(error.abs());
            }
            // Where the line is nearly level the flow at a pressure ratio is ill determined: the lower part only.
            if i >= 30 {
                worst[2] = worst[2].max((line.flow_at(point.pressure_ratio).0 / point.flow - 1.0).abs());
            }
        }
    }
    assert!(worst[0] < 0.01 && worst[1] < 0.005 && worst[2] < 0.01, "{worst:?}");
}

#[test]
fn margins_zones_and_power_at_the_duty_point() {
    let map = invented::map();
    let point = map.at_flow(&AIR, 12_900.0, 0.435);
    assert_eq!(point.zone, Zone::OnMap);
    assert!(
        (2.8..3.2).contains(&point.pressure_ratio) && (0.70..0.78).contains(&point.efficiency),
        "{point:?}"
    );
    let back = map.against_pressure(&AIR, 12_900.0, point.pressure_ratio * AIR.pressure);
    close(back.mass_flow, 0.435, 1e-9);
    let rise = powf(point.pressure_ratio, 0.4 / 1.4) - 1.0;
    close(point.power, 0.435 * 1_005.0 * 298.15 * rise / point.efficiency, 1e-12);
    let margins = map.margins(&AIR, 12_900.0, point.mass_flow);
    assert!(
        margins.surge > 0.2 && margins.choke > 0.1 && (0.09..0.10).contains(&margins.overspeed),
        "{margins:?}"
    );
    let surge = map.at_speed(12_900.0).surge();
    let at_surge = map.margins(&AIR, 12_900.0, surge.0);
    assert!(at_surge.surge.abs() < 1e-12);
    // What can be taken from the flow until it stands on the line, and beyond it what the line's flow lacks.
    let margin = |flow: f64| map.margins(&AIR, 12_900.0, flow).surge;
    close(margin(1.25 * surge.0), 0.2, 1e-12);
    close(margin(0.9 * surge.0), -0.1, 1e-12);
    assert!(map.margins(&AIR, 15_000.0, 0.5).overspeed < 0.0);
    assert_eq!(map.against_pressure(&AIR, 12_900.0, 4e5).zone, Zone::Surge);
    assert_eq!(map.against_pressure(&AIR, 12_900.0, 1.2e5).zone, Zone::Choke);
    // Thinner, warmer air: flow and speed by their corrections.
    let thin = Inlet { pressure: 80_000.0, temperature: 310.0, ..AIR };
    let speed = 12_900.0 * (310.0_f64 / 298.15).sqrt();
    let found = map.against_pressure(&thin, speed, point.pressure_ratio * 80_000.0);
    close(found.mass_flow, 0.435 * 0.8 / (310.0_f64 / 298.15).sqrt(), 1e-9);
}

// Arithmetic: 2^(2/7) = 1.219 014; 298 (1 + 0.219 014/0.75) = 385.02.
#[test]
fn compression_is_the_textbook_formula() {
    let (outlet, power) = compression(&Inlet { temperature: 298.0, ..AIR }, 0.1, 2.0, 0.75);
    close(outlet, 298.0 * (1.0 + 0.219_013_6 / 0.75), 1e-6);
    close(power, 0.1 * 1_005.0 * 298.0 * 0.219_013_6 / 0.75, 1e-6);
}

#[test]
fn wrong_maps_name_line_and_point() {
    let from = |lines: &[MapSpeedLine]| CompressorMap::new(invented::REFERENCE, 14_200.0, lines).unwrap_err();
    let lines = invented::lines();
    let mut one = lines[..1].to_vec();
    assert_eq!(from(&one), CompressorError::TooFewLines { found: 1 });
    one[0].points.truncate(1);
    assert_eq!(from(&one), CompressorError::TooFewPoints { line: 1, found: 1 });
    let mut negative = lines.clone();
    negative[2].points[0].flow = -0.1;
    assert!(matches!(from(&negative), CompressorError::Point { line: 3, point: 1, name: "flow", .. }));
    let mut percent = lines.clone();
    percent[4].points[3].efficiency = 74.0;
    assert!(matches!(from(&percent), CompressorError::Point { line: 5, point: 4, name: "efficiency", .. }));
    let mut swapped = lines.clone();
    let points = swapped[3].points.clone();
    swapped[3].points = swapped[4].points.clone();
    swapped[4].points = points;
    assert!(
        matches!(from(&swapped), CompressorError::Crossing { line: 5, slower: 4, .. }),
        "{}",
        from(&swapped)
    );
    let mut crossing = lines.clone();
    crossing[4].points[3].pressure_ratio = 1.8;
    assert!(
        matches!(from(&crossing), CompressorError::Crossing { line: 5, slower: 4, .. }),
        "{}",
        from(&crossing)
    );
    let mut speeds = lines;
    speeds[1].speed = 4_000.0;
    assert_eq!(from(&speeds), CompressorError::SpeedNotRising { line: 2, speed: 4_000.0 });
}

fn turbine(inlets: u32, units: u32) -> Turbine {
    let efficiency = Efficiency::Parabola { peak: 0.70, best_ratio: 0.68 };
    Turbine::new(&Swallowing::EffectiveArea(8.0e-4), &efficiency, 0.068, inlets, units).unwrap()
}

#[test]
fn a_turbine_of_an_area_is_a_nozzle_and_its_power_follows_from_its_efficiency() {
    let found = turbine(1, 1).expand(&EXHAUST, 12_900.0, 1.08e5);
    let r = EXHAUST.specific_heat * 0.32 / 1.32;
    close(found.mass_flow, nozzle_mass_flow(8.0e-4, 3.2e5, 1_203.0, r, 1.32, 1.08e5), 1e-4);
    let ideal = 1_180.0 * 1_203.0 * (1.0 - powf(1.08 / 3.2, 0.32 / 1.32));
    close(found.speed_ratio, 12_900.0 * 0.034 / (2.0 * ideal).sqrt(), 1e-12);
    close(found.power, found.mass_flow * 1_180.0 * (1_203.0 - found.outlet_temperature), 1e-12);
    assert!((0.64..0.70).contains(&found.efficiency), "{found:?}");
    let peak = turbine(1, 1).efficiency_at(0.68);
    close(peak, 0.70, 1e-12);
}

#[test]
fn twin_scroll_shares_the_area_and_parallel_units_add() {
    let one = turbine(1, 1).expand(&EXHAUST, 12_900.0, 1.08e5);
    let half = turbine(2, 1).expand(&EXHAUST, 12_900.0, 1.08e5);
    close(2.0 * half.mass_flow, one.mass_flow, 1e-12);
    close(2.0 * half.power, one.power, 1e-12);
    close(turbine(1, 2).expand(&EXHAUST, 12_900.0, 1.08e5).power, 2.0 * one.power, 1e-12);
    let none = turbine(2, 1).expand(&TurbineInlet { pressure: 1.0e5, ..EXHAUST }, 12_900.0, 1.08e5);
    assert!(none.mass_flow <= 0.0 && none.power <= 0.0);
}

#[test]
fn a_turbine_map_meets_its_points_and_wrong_ones_are_named() {
    let points = [(1.5, 3.0e-5), (2.0, 3.6e-5), (3.0, 3.8e-5)];
    let line = |speed: f64, scale: f64| SwallowingLine {
        speed,
        points: points.iter().map(|&(ratio, flow)| (ratio, flow * scale)).collect(),
    };
    let efficiency = Efficiency::Points(vec![(0.4, 0.55), (0.65, 0.70), (0.9, 0.60)]);
    let build = |lines: Vec<SwallowingLine>| Turbine::new(&Swallowing::Map(lines), &efficiency, 0.068, 1, 1);
    let turbine = build(vec![line(200.0, 1.0), line(400.0, 0.96)]).unwrap();
    let root = 1_203.0_f64.sqrt();
    let flow = |speed: f64| turbine.expand(&EXHAUST, speed * root, EXHAUST.pressure / 2.0).mass_flow;
    close(flow(200.0), 3.6e-5 * 3.2e5 / root, 1e-9);
    close(flow(300.0), 0.98 * 3.6e-5 * 3.2e5 / root, 1e-9);
    close(turbine.efficiency_at(0.65), 0.70, 1e-12);
    assert!(turbine.efficiency_at(5.0) <= 0.0);
    let mut falling = line(200.0, 1.0);
    falling.points[2].1 = 1e-5;
    assert!(matches!(build(vec![falling]), Err(TurbochargerError::Point { point: 3, .. })));
    assert!(matches!(
        build(vec![line(400.0, 1.0), line(200.0, 1.0)]),
        Err(TurbochargerError::OutOfRange { .. })
    ));
    assert!(build(Vec::new()).is_err());
}

#[test]
fn the_restrictor_chokes() {
    // 34 mm, Cd 0.96, 101,325 Pa, 288.15 K: 24.123 85 g/s through each cm² (check value), 9.079 2 cm² × 0.96.
    let restrictor = Restrictor::new(0.034, 0.96).unwrap();
    let choked = restrictor.choked_flow(101_325.0, 288.15, 287.052_87, 1.4);
    close(choked, 24.123_85e-3 * 9.079_203 * 0.96, 1e-5);
    close(restrictor.mass_flow(101_325.0, 288.15, 287.052_87, 1.4, 4e4), choked, 1e-4);
    assert!(choked_flow_factor(1.4) < 0.685 && Restrictor::new(0.034, 1.2).is_err());
}

proptest! {
    #[test]
    fn the_map_is_monotone(speed in 100.0_f64..20_000.0, more in 1.001_f64..1.5, x in 0.0_f64..1.0) {
        let map = invented::map();
        let (slow, fast) = (map.at_speed(speed), map.at_speed((speed * more).min(21_000.0)));
        let ratio = 1.0 + x * (slow.surge().1 - 1.0);
        let step = ratio + 0.1 * (slow.surge().1 - ratio);
        prop_assert!(slow.flow_at(step).0 <= slow.flow_at(ratio).0 + 1e-12);
        prop_assert!(fast.flow_at(ratio).0 >= slow.flow_at(ratio).0 - 1e-12);
        let flow = slow.surge().0 + x * (slow.choke().0 - slow.surge().0);
        prop_assert!(fast.pressure_ratio_at(flow).0 >= slow.pressure_ratio_at(flow).0 - 1e-12);
        prop_assert!(slow.efficiency_at(flow) > 0.3 && slow.efficiency_at(flow) < 0.78);
    }

    #[test]
    fn nothing_is_ever_not_a_number(
        speed in prop::num::f64::NORMAL | prop::num::f64::ZERO, value in prop::num::f64::NORMAL | prop::num::f64::ZERO,
    ) {
        let map = invented::map();
        for found in [map.against_pressure(&AIR, speed, value), map.at_flow(&AIR, speed, value)] {
            prop_assert!(found.mass_flow.is_finite() && found.pressure_ratio >= 1.0, "{found:?}");
            prop_assert!(found.power.is_finite() && found.power >= 0.0 && found.outlet_temperature >= 298.0, "{found:?}");
        }
        let gas = turbine(2, 1).expand(&EXHAUST, speed, value);
        prop_assert!(gas.power.is_finite() && gas.power >= 0.0 && gas.mass_flow >= 0.0, "{gas:?}");
    }
}
