//! Slider-crank against closed forms, a reference table and its own derivatives.

use core::f64::consts::PI;
use mechanics::kinematics::{KinematicsError, SliderCrank};

const RPM: f64 = PI / 30.0;

fn crank(offset: f64) -> SliderCrank {
    SliderCrank::new(0.045, 0.1425, offset).unwrap()
}

fn close(found: f64, expected: f64, relative: f64) {
    assert!((found - expected).abs() <= relative * expected.abs().max(1e-9), "{found} is not {expected}");
}

/// Formulas of Norton and Heywood (from memory), evaluated in a separate computation to seven digits;
/// the tolerance is that of the printed digits.
#[test]
fn table_of_a_45_by_142_5_mm_crank_at_8000() {
    for (deg, s_mm, v, a) in [
        (0.0, 0.0, 0.0, 41556.23),
        (30.0, 7.81638, 24.0701, 32595.23),
        (60.0, 27.93250, 38.0077, 10816.52),
        (90.0, 52.29183, 37.6991, -10511.37),
        (120.0, 72.93250, 27.2891, -20766.21),
        (180.0, 90.0, 0.0, -21609.24),
    ] {
        let motion = crank(0.0).motion(f64::to_radians(deg), 8000.0 * RPM);
        assert!((motion.displacement * 1e3 - s_mm).abs() < 6e-6, "{deg}°: {}", motion.displacement * 1e3);
        assert!((motion.velocity - v).abs() < 6e-5, "{deg}°: {}", motion.velocity);
        assert!((motion.acceleration - a).abs() < 6e-3, "{deg}°: {}", motion.acceleration);
    }
}

#[test]
fn speeds_and_dead_centres() {
    let crank = crank(0.0);
    let omega = 8000.0 * RPM;
    close(crank.mean_speed(omega), 24.0, 1e-12);
    let peak = crank.peak_speed(omega);
    assert!(
        (peak.value - 39.54938).abs() < 6e-6 && (peak.angle.to_degrees() - 73.8769).abs() < 6e-5,
        "{peak:?}"
    );
    let down = crank.peak_acceleration_down(omega);
    close(down.value, 0.045 * omega * omega * (1.0 + 45.0 / 142.5), 1e-12);
    assert!(down.angle.abs() < 1e-6);
}

/// Below r/l = 0.25 or so the greatest acceleration upward is at bottom dead centre, −rω²(1 − λ); above it is not.
#[test]
fn acceleration_upward_moves_off_bottom_dead_centre() {
    let long = SliderCrank::new(0.045, 0.225, 0.0).unwrap().peak_acceleration_up(100.0);
    close(long.value, -0.045 * 1e4 * (1.0 - 0.2), 1e-9);
    close(long.angle, PI, 1e-5);
    let short = SliderCrank::new(0.045, 0.126, 0.0).unwrap().peak_acceleration_up(100.0);
    assert!(
        short.value < -0.045 * 1e4 * (1.0 - 45.0 / 126.0) * 1.0001 && short.angle < PI - 0.3,
        "{short:?}"
    );
}

/// Stroke and dead centres with offset: two triangles; values computed separately to the printed digits.
#[test]
fn offset_pin() {
    let crank = crank(0.005);
    assert!((crank.stroke().value * 1e3 - 90.06161).abs() < 6e-6);
    assert!((crank.top_dead_centre().to_degrees() - 1.52807).abs() < 6e-6);
    assert!((crank.bottom_dead_centre().to_degrees() - 182.939_534_486).abs() < 6e-7);
    for (angle, s) in [(crank.top_dead_centre(), 0.0), (crank.bottom_dead_centre(), crank.stroke().value)] {
        let motion = crank.motion(angle, 100.0);
        assert!((motion.displacement - s).abs() < 1e-15 && motion.velocity.abs() < 1e-12);
    }
    // A mirrored offset is the same motion backward.
    let mirrored = SliderCrank::new(0.045, 0.1425, -0.005).unwrap();
    close(crank.displacement(1.0), mirrored.displacement(-1.0), 1e-14);
}

/// Series of Biezeno & Grammel (from memory) evaluated with NumPy's FFT, to the printed digits.
#[test]
fn harmonics_of_the_acceleration() {
    for (ratio, a2, a4, a6) in [
        (4.0, 0.254_025, -0.004_098_1, 0.000_074_4),
        (3.5, 0.291_779_5, -0.006_210_5, 0.000_148_7),
        (142.5 / 45.0, 0.324_053_3, -0.008_508_0, 0.000_251_3),
        (3.0, 0.343_108_6, -0.010_099_1, 0.000_334_4),
    ] {
        let orders = SliderCrank::new(0.045, 0.045 * ratio, 0.0).unwrap().acceleration_harmonics(6);
        for (order, expected) in [(1, 1.0), (2, a2), (3, 0.0), (4, a4), (5, 0.0), (6, a6)] {
            let found = orders[order - 1];
            assert!((found.cosine - expected).abs() < 6e-7, "l/r {ratio}, order {order}: {found:?}");
            assert!(found.sine.abs() < 1e-14);
        }
    }
}

/// Speed, acceleration and every sensitivity against central differences of the displacement, with and without
/// offset, over the whole turn. The step balances truncation (h²) and rounding (ε/h): about 1e-9 relative.
#[test]
fn derivatives_agree_with_differences() {
    for offset in [0.0, 0.0008, -0.012] {
        let base = crank(offset);
        for step in 0..144 {
            let angle = f64::from(step) * PI / 72.0;
            let motion = base.motion(angle, 1.0);
            let h = 1e-5;
            let (before, after) = (base.motion(angle - h, 1.0), base.motion(angle + h, 1.0));
            let slope = (after.displacement - before.displacement) / (2.0 * h);
            let curvature = (after.velocity - before.velocity) / (2.0 * h);
            assert!((motion.velocity - slope).abs() < 1e-10, "{angle}");
            assert!((motion.acceleration - curvature).abs() < 1e-10, "{angle}");

            let found = base.displacement_sensitive(angle);
            let sized =
                |dr: f64, dl: f64, de: f64| SliderCrank::new(0.045 + dr, 0.1425 + dl, offset + de).unwrap();
            let d = 1e-7;
            let by_sizes = [
                (sized(d, 0.0, 0.0), sized(-d, 0.0, 0.0)),
                (sized(0.0, d, 0.0), sized(0.0, -d, 0.0)),
                (sized(0.0, 0.0, d), sized(0.0, 0.0, -d)),
            ];
            for (i, (up, down)) in by_sizes.iter().enumerate() {
                let difference = (up.displacement(angle) - down.displacement(angle)) / (2.0 * d);
                assert!((found.sensitivities[i] - difference).abs() < 1e-8, "input {i} at {angle}");
                let stroke = (up.stroke().value - down.stroke().value) / (2.0 * d);
                assert!((base.stroke().sensitivities[i] - stroke).abs() < 1e-8);
            }
            assert_eq!(found.value.to_bits(), motion.displacement.to_bits());
            assert!((found.sensitivities[3] - motion.velocity).abs() < 1e-15);
        }
    }
}

#[test]
fn impossible_cranks_are_refused() {
    assert!(matches!(
        SliderCrank::new(0.0, 0.1, 0.0),
        Err(KinematicsError::NotPositive { name: "crank radius", .. })
    ));
    assert!(matches!(SliderCrank::new(0.04, f64::NAN, 0.0), Err(KinematicsError::NotPositive { .. })));
    let error = SliderCrank::new(0.045, 0.05, 0.006).unwrap_err();
    assert!(error.to_string().contains("longer than"), "{error}");
    assert!(SliderCrank::new(0.045, 0.1425, f64::INFINITY).is_err());
}

/// Turned round, a drive with its offset on the other side moves in the mirror: the way up is the way down of the other.
#[test]
fn the_way_up_mirrors_the_way_down_of_the_other_offset() {
    for offset in [0.0, 0.0015, -0.0015] {
        let drive = |e: f64| SliderCrank::new(0.0425, 0.14, e).expect("a drive");
        let (up, down) = (drive(offset).peak_speed_up(963.0), drive(-offset).peak_speed(963.0));
        assert!((up.value + down.value).abs() < 1e-9, "{offset}: {} {}", up.value, down.value);
        assert!((up.angle + down.angle - std::f64::consts::TAU).abs() < 1e-9, "{offset}");
        let gain = up.value.abs() - drive(offset).peak_speed(963.0).value;
        assert!(if offset == 0.0 { gain.abs() < 1e-9 } else { gain * offset > 0.0 }, "{offset}: {gain}");
    }
}
