//! Volumes and ratios against worked examples and differences.

use core::f64::consts::FRAC_PI_4;
use mechanics::compression::{
    CompressionError, Space, bore_from_sections, class_margin, displacement, greatest_bore, swept_volume,
    top_land_crevice,
};
use mechanics::kinematics::SliderCrank;

const CC: f64 = 1e-6;

fn example() -> Space {
    Space {
        bore: 0.086,
        stroke: 0.086,
        chamber_volume: 46.0 * CC,
        gasket_bore: 0.0875,
        gasket_thickness: 0.001,
        deck_gap: 0.0002,
        dome_volume: 4.0 * CC,
        crevice_volume: 0.0,
    }
}

/// Arithmetic done apart from this program, to the printed digits.
#[test]
fn square_engine_of_86_mm() {
    let space = example();
    assert!((space.swept_volume() / CC - 499.557).abs() < 6e-4);
    assert!((space.clearance_volume().value / CC - 49.17497).abs() < 6e-6);
    assert!((space.compression_ratio().unwrap().value - 11.15877).abs() < 6e-6);
}

/// The trade's sum in inches (bore² × stroke × 0.7854 × cylinders; common practice): the V8 of 4.108 × 3.415 in.
#[test]
fn v8_in_inches() {
    let inch = 0.0254;
    let swept = swept_volume(4.108 * inch, 3.415 * inch).value;
    let cubic_inches = displacement(&[swept; 8]) / (inch * inch * inch);
    assert!((cubic_inches - 362.1).abs() < 0.05, "{cubic_inches}");
    let space = Space {
        bore: 4.108 * inch,
        stroke: 3.415 * inch,
        chamber_volume: 62.0 * CC,
        gasket_bore: 4.155 * inch,
        gasket_thickness: 0.040 * inch,
        deck_gap: 0.0025 * inch,
        dome_volume: 6.0 * CC,
        crevice_volume: 0.9 * CC,
    };
    let ratio = space.compression_ratio().unwrap().value;
    assert!((ratio - 12.2).abs() < 0.05, "{ratio}");
}

/// The demo's cylinder 4: 41.30 cm³ gives 9.27 against 9.20; 0.50 cm³ brings it back to 41.80.
#[test]
fn relief_of_a_small_chamber() {
    let nominal = Space {
        bore: 0.0891,
        stroke: 0.0839,
        chamber_volume: 41.8 * CC,
        gasket_bore: 0.0904,
        gasket_thickness: 0.00105,
        deck_gap: 0.0001,
        dome_volume: -13.7 * CC,
        crevice_volume: 0.9 * CC,
    };
    let small = Space { chamber_volume: 41.3 * CC, ..nominal };
    let ratio = nominal.compression_ratio().unwrap().value;
    assert!((ratio - 9.20).abs() < 0.005, "{ratio}");
    assert!((small.compression_ratio().unwrap().value - 9.27).abs() < 0.005);
    assert!((small.relief_for_ratio(ratio).unwrap() / CC - 0.5).abs() < 1e-9);
}

#[test]
fn sensitivities_agree_with_differences() {
    let base = Space { crevice_volume: 0.9 * CC, ..example() };
    let crank = SliderCrank::new(0.043, 0.14, 0.0007).unwrap();
    let closing = 55_f64.to_radians();
    let ratio = base.compression_ratio().unwrap();
    let trapped = base.trapped_ratio(&crank, closing).unwrap();
    for input in 0..Space::INPUTS {
        let step = if matches!(input, 2 | 6 | 7) { 1e-10 } else { 1e-7 };
        let moved = |by: f64| {
            let mut space = base;
            *[
                &mut space.bore,
                &mut space.stroke,
                &mut space.chamber_volume,
                &mut space.gasket_bore,
                &mut space.gasket_thickness,
                &mut space.deck_gap,
                &mut space.dome_volume,
                &mut space.crevice_volume,
            ][input] += by;
            let radius = 0.043 + if input == 1 { 0.5 * by } else { 0.0 };
            let crank = SliderCrank::new(radius, 0.14, 0.0007).unwrap();
            (
                space.compression_ratio().unwrap().value,
                space.trapped_ratio(&crank, closing).unwrap().value,
                space.clearance_volume().value,
            )
        };
        let (up, down) = (moved(step), moved(-step));
        let check = |found: f64, up: f64, down: f64| {
            let difference = (up - down) / (2.0 * step);
            assert!(
                (found - difference).abs() <= 1e-6 * difference.abs().max(1e-3),
                "{input}: {found} {difference}"
            );
        };
        check(ratio.sensitivities[input], up.0, down.0);
        check(trapped.sensitivities[input], up.1, down.1);
        check(base.clearance_volume().sensitivities[input], up.2, down.2);
    }
    let h = 1e-6;
    let by_angle = (base.trapped_ratio(&crank, closing + h).unwrap().value
        - base.trapped_ratio(&crank, closing - h).unwrap().value)
        / (2.0 * h);
    assert!((trapped.sensitivities[8] - by_angle).abs() < 1e-7);
}

/// Closing at bottom dead centre traps everything; closing later traps less.
#[test]
fn trapped_ratio_limits() {
    let space = example();
    let crank = SliderCrank::new(0.043, 0.14, 0.0).unwrap();
    let full = space.compression_ratio().unwrap().value;
    assert!((space.trapped_ratio(&crank, 0.0).unwrap().value - full).abs() < 1e-12);
    let late = space.trapped_ratio(&crank, 60_f64.to_radians()).unwrap().value;
    // Independent: 60° after bottom is 120° from top; s by the textbook closed form.
    let (r, l) = (0.043_f64, 0.14_f64);
    let s = r * 1.5 + l * (1.0 - (1.0 - (r / l) * (r / l) * 0.75).sqrt());
    let expected = 1.0 + FRAC_PI_4 * 0.086 * 0.086 * s / space.clearance_volume().value;
    assert!((late - expected).abs() < 1e-12, "{late} {expected}");
}

#[test]
fn bores_lands_and_class_rules() {
    let bore = bore_from_sections(&[0.089_103, 0.089_098, 0.089_082]).unwrap();
    // Three slices of equal height must hold what the mean bore holds.
    let slices: f64 = [0.089_103, 0.089_098, 0.089_082].iter().map(|b| swept_volume(*b, 0.03).value).sum();
    assert!((swept_volume(bore, 0.09).value / slices - 1.0).abs() < 1e-14, "{bore}");
    assert!((top_land_crevice(0.0891, 0.0884, 0.006).value / CC - 0.5855).abs() < 1e-4);
    let bore = greatest_bore(2000.0 * CC, 4, 0.086).unwrap();
    assert!((bore * 1e3 - 86.038).abs() < 6e-4);
    let measured = displacement(&[swept_volume(bore, 0.086).value; 4]);
    assert!(class_margin(measured, 2000.0 * CC).abs() < 1e-15);
    assert!(class_margin(displacement(&[swept_volume(bore + 1e-5, 0.086).value; 4]), 2000.0 * CC) < 0.0);
}

#[test]
fn bad_sizes_are_refused() {
    assert_eq!(bore_from_sections(&[]), Err(CompressionError::NoSections));
    assert!(bore_from_sections(&[0.08, -0.08]).is_err());
    let no_space = Space { dome_volume: 60.0 * CC, ..example() };
    assert!(matches!(no_space.compression_ratio(), Err(CompressionError::NoClearanceVolume { .. })));
    assert!(Space { bore: f64::NAN, ..example() }.compression_ratio().is_err());
    assert!(matches!(
        example().relief_for_ratio(1.0),
        Err(CompressionError::RatioNotAboveOne { ratio: 1.0 })
    ));
}
