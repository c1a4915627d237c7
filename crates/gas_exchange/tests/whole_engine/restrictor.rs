//! The boosted four behind a restrictor that chokes: the rotor must not run away, and the map is read at the state before the wheel.

use super::{RPM, engines, run};
use gas_exchange::turbocharger::compressor::Inlet;
use gas_exchange::whole_engine::{EngineSpec, OperatingPoint, Settings, curve};
use std::f64::consts::PI;

/// 34 mm with a discharge coefficient of 0.95, in front of the compressor.
fn restricted() -> EngineSpec {
    let mut spec = engines::turbo_four();
    spec.intake.restrictor = Some(0.95 * 0.25 * PI * 0.034 * 0.034);
    spec
}

/// Choked flow of air through the restrictor, kg/s: 0.6847 p A/√(R T) (Heywood, *Internal Combustion Engine Fundamentals*, appendix C).
fn choked(spec: &EngineSpec) -> f64 {
    let ambient = &spec.ambient;
    0.6847 * spec.intake.restrictor.expect("there is one") * ambient.pressure
        / (287.05 * ambient.temperature).sqrt()
}

/// A point that comes warm from a neighbour says what it says alone: once the boost could not be had, the rotor was sped up
/// without end while its wastegate stood open.
#[test]
fn the_rotor_does_not_run_away_behind_a_choked_restrictor() {
    let spec = restricted();
    let settings = Settings { tolerance: 5e-4, most_cycles: 80 };
    let speeds = [5000.0, 6200.0, 7400.0, 8200.0];
    let points = curve(&spec, &speeds.map(|s| s * RPM), &settings, |_| true);
    for (speed, point) in speeds.into_iter().zip(points) {
        let point = point.expect("it runs");
        let rotor = point.rotor.expect("a turbocharger");
        println!(
            "{speed:.0}: {:.1} N·m, {:.0} rad/s, {:.4} kg/s of {:.4}, boost short by {:.3}, {:?}",
            point.torque,
            rotor.speed,
            point.air_flow,
            choked(&spec),
            rotor.boost_error,
            point.closure
        );
        assert!(point.closure.converged && !rotor.at_end_of_map, "{speed}: {:?}", point.closure);
        assert!(point.air_flow < 1.002 * choked(&spec));
        if speed > 6000.0 && speed < 6500.0 {
            let alone = run(&spec, speed, &settings);
            assert!((point.torque / alone.torque - 1.0).abs() < 5e-3, "{} {}", point.torque, alone.torque);
        }
    }
}

/// Corrected flow, margins and rotor power stand for the state behind the restrictor: worked out here from the pressures before and
/// behind the wheel.
#[test]
fn the_map_is_read_behind_the_restrictor() {
    let spec = restricted();
    let OperatingPoint { rotor, .. } = run(&spec, 7000.0, &Settings::default());
    let rotor = rotor.expect("a turbocharger");
    let map = &spec.turbocharger.as_ref().expect("a turbocharger").compressor;
    // Mean of the ratio and ratio of the means: the pressure before the wheel hardly pulsates.
    let before = rotor.outlet_pressure / rotor.pressure_ratio;
    assert!((before / rotor.inlet_pressure - 1.0).abs() < 5e-3, "{before} {}", rotor.inlet_pressure);
    assert!(before < 0.95 * spec.ambient.pressure, "the restrictor must cost for this test");
    let reference = map.reference();
    // No heat and no work at an orifice: the temperature behind is that outside.
    let temperature = spec.ambient.temperature;
    assert!((rotor.inlet_temperature / temperature - 1.0).abs() < 5e-3);
    let corrected =
        rotor.mass_flow * reference.pressure / before * (temperature / reference.temperature).sqrt();
    assert!((rotor.corrected_flow / corrected - 1.0).abs() < 5e-3, "{} {corrected}", rotor.corrected_flow);
    let inlet = Inlet { pressure: before, temperature, specific_heat: 1005.0, gamma: 1.4 };
    let margins = map.margins(&inlet, rotor.speed, rotor.mass_flow);
    println!("{margins:?} {rotor:?}");
    assert!((rotor.surge_margin - margins.surge).abs() < 0.02);
    assert!((rotor.choke_margin - margins.choke).abs() < 0.02);
    // The point lies on its own speed line.
    let line = map.at_flow(&inlet, rotor.speed, rotor.mass_flow);
    assert!((line.pressure_ratio / rotor.pressure_ratio - 1.0).abs() < 0.03, "{line:?}");
}
