//! ISO 286-1 and expansion tables.

use mechanics::math::{cbrt, powf};
use mechanics::standards::expansion::MaterialFamily;
use mechanics::standards::iso286::{
    ShaftLetter, StandardError, fit_of, hole_h, shaft, shaft_deviation, tolerance,
};

const BANDS_MM: [(f64, f64); 4] = [(18.0, 30.0), (30.0, 50.0), (50.0, 80.0), (80.0, 120.0)];

fn micrometres(metres: f64) -> f64 {
    (metres * 1e9).round() / 1e3
}

/// IT5 to IT8: published tables of ISO 286-1 (from memory).
#[test]
fn printed_grades() {
    for (grade, row) in [
        (5, [9.0, 11.0, 13.0, 15.0]),
        (6, [13.0, 16.0, 19.0, 22.0]),
        (7, [21.0, 25.0, 30.0, 35.0]),
        (8, [33.0, 39.0, 46.0, 54.0]),
    ] {
        for ((_, end), expected) in BANDS_MM.iter().zip(row) {
            assert!((micrometres(tolerance(end * 1e-3, grade).unwrap()) - expected).abs() < 1e-9);
        }
    }
}

/// i = 0.45 ∛D + 0.001 D, D the geometric mean of the band in mm, with the factors of ISO 286-1 (7 i for IT5, then 10,
/// 16, 25, 40, 64, 100 i). The standard rounds: to whole micrometres, and by its table of coarser steps above 60;
/// 3 % covers that rounding.
#[test]
fn grades_follow_the_unit_of_tolerance() {
    for (start, end) in BANDS_MM {
        let d = (start * end).sqrt();
        let unit = 0.45 * cbrt(d) + 0.001 * d;
        for (grade, factor) in [(5, 7.0), (6, 10.0), (7, 16.0), (8, 25.0), (9, 40.0), (10, 64.0), (11, 100.0)]
        {
            let found = micrometres(tolerance(end * 1e-3, grade).unwrap());
            assert!(
                (found - factor * unit).abs() <= 0.5 + 0.03 * factor * unit,
                "IT{grade} to {end}: {found}"
            );
        }
    }
}

/// Formulas of ISO 286-1 for fundamental deviations (from memory): d 16 D^0.44, e 11 D^0.41, f 5.5 D^0.41,
/// g 2.5 D^0.34, n 5 D^0.34, k 0.6 ∛D, m IT7 − IT6, p IT7 + 0 to 5; the table is rounded to whole micrometres, coarser above 40.
#[test]
fn deviations_follow_their_formulas() {
    for (start, end) in BANDS_MM {
        let d = (start * end).sqrt();
        let deviation = |letter| micrometres(shaft_deviation(end * 1e-3, letter, 6).unwrap());
        for (letter, expected) in [
            (ShaftLetter::D, -16.0 * powf(d, 0.44)),
            (ShaftLetter::E, -11.0 * powf(d, 0.41)),
            (ShaftLetter::F, -5.5 * powf(d, 0.41)),
            (ShaftLetter::G, -2.5 * powf(d, 0.34)),
            (ShaftLetter::N, 5.0 * powf(d, 0.34)),
            (ShaftLetter::K, 0.6 * cbrt(d)),
        ] {
            let found = deviation(letter);
            assert!(
                (found - expected).abs() <= 0.8 + 0.02 * expected.abs(),
                "{letter:?} to {end}: {found} {expected}"
            );
        }
        let it = |grade| micrometres(tolerance(end * 1e-3, grade).unwrap());
        assert!((deviation(ShaftLetter::M) - (it(7) - it(6))).abs() < 1e-9);
        assert!((0.0..=5.0).contains(&(deviation(ShaftLetter::P) - it(7))));
    }
}

/// Worked fits that handbooks print (ISO 286; exact).
#[test]
fn worked_fits() {
    for (size, text, min, max) in [
        (50.0, "H7/g6", 9.0, 50.0),
        (60.0, "H7/g6", 10.0, 59.0),
        (50.0, "H7/p6", -42.0, -1.0),
        (25.0, "H8/f7", 20.0, 74.0),
        (50.0, "H7/k6", -18.0, 23.0),
        (50.0, "H7/h6", 0.0, 41.0),
        (100.0, "H7/js6", -11.0, 46.0),
    ] {
        let fit = fit_of(size * 1e-3, text).unwrap();
        let found = (micrometres(fit.min_clearance), micrometres(fit.max_clearance));
        assert!((found.0 - min).abs() < 1e-6 && (found.1 - max).abs() < 1e-6, "{size} {text}: {found:?}");
    }
    let limits = shaft(0.050, ShaftLetter::G, 6).unwrap();
    assert!((limits.lower - 0.049_975).abs() < 1e-12 && (limits.upper - 0.049_991).abs() < 1e-12);
}

#[test]
fn outside_the_table() {
    assert!(matches!(tolerance(0.018, 6), Err(StandardError::SizeOutsideTable { .. })));
    assert!(tolerance(0.0181, 6).is_ok() && tolerance(0.120, 6).is_ok());
    assert!(matches!(hole_h(0.121, 6), Err(StandardError::SizeOutsideTable { .. })));
    assert!(matches!(tolerance(0.05, 3), Err(StandardError::GradeOutsideTable { grade: 3 })));
    assert!(matches!(shaft(0.05, ShaftLetter::K, 8), Err(StandardError::GradeWithoutDeviation { grade: 8 })));
    for text in ["H7", "G7/h6", "H7/z6", "H/g6", "H7/g", "", "H7/6"] {
        assert!(matches!(fit_of(0.05, text), Err(StandardError::UnknownClass { .. })), "{text}");
    }
}

/// Values typical of the families (from memory); 86 mm over 10 K: 9.89 µm at 11.5e-6.
#[test]
fn expansion_bands() {
    for family in MaterialFamily::ALL {
        let expansion = family.expansion();
        assert!(expansion.low < expansion.typical && expansion.typical < expansion.high);
        assert!(expansion.standard_uncertainty() > 0.1e-6 && expansion.standard_uncertainty() < 0.7e-6);
    }
    assert!((86e-3 * 10.0 * MaterialFamily::Steel.expansion().typical - 9.89e-6).abs() < 1e-9);
}
