//! Slider-crank against FFT derivatives and SciPy's root finder (`reference/kinematics.py`): 1,000 angles of 40 cranks.

mod reference_data;

use mechanics::kinematics::SliderCrank;
use reference_data::numbers;

#[test]
fn motion() {
    let rows = numbers(
        "kinematics_motion.csv",
        "crank_radius,rod_length,offset,angle,displacement,velocity,acceleration",
    );
    assert_eq!(rows.len(), 1000);
    let mut errors: Vec<f64> = Vec::new();
    for row in &rows {
        let motion = SliderCrank::new(row[0], row[1], row[2]).unwrap().motion(row[3], 1.0);
        let found = [motion.displacement, motion.velocity, motion.acceleration];
        let worst = found.iter().zip(&row[4..]).map(|(found, expected)| (found - expected).abs() / row[0]);
        errors.push(worst.fold(0.0, f64::max));
    }
    errors.sort_by(f64::total_cmp);
    // In units of the crank radius. The file has twelve digits, and the FFT loses rounding × order² (64²) in the acceleration.
    assert!(errors[500] < 2e-11 && errors[999] < 2e-10, "median {:e}, worst {:e}", errors[500], errors[999]);
}

#[test]
fn extremes() {
    let rows =
        numbers("kinematics_extremes.csv", "crank_radius,rod_length,offset,top,bottom,stroke,peak_speed");
    assert_eq!(rows.len(), 40);
    for row in rows {
        let crank = SliderCrank::new(row[0], row[1], row[2]).unwrap();
        // Twelve digits are written; the root finder stops at 1e-14 rad, the minimiser where the speed is flat.
        assert!((crank.top_dead_centre() - row[3]).abs() < 1e-12, "{row:?}");
        assert!((crank.bottom_dead_centre() - row[4]).abs() < 1e-11, "{row:?}");
        assert!((crank.stroke().value - row[5]).abs() < 1e-12, "{row:?}");
        assert!((crank.peak_speed(1.0).value - row[6]).abs() < 1e-12, "{row:?}");
    }
}
