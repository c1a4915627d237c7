//! Hot ring gaps: the formula, and the probability against Monte Carlo.

use mechanics::fit::ring::{RingGap, filing, gap_change};
use mechanics::math::{normal_cdf, normal_quantile};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const MM: f64 = 1e-3;

fn ring(cold_gap: f64) -> RingGap {
    RingGap {
        bore: 89.1 * MM,
        cold_gap,
        bore_expansion: 10.5e-6,
        bore_rise: 120.0,
        ring_expansion: 11.5e-6,
        ring_rise: 200.0,
    }
}

/// Standard uncertainties of the fields: sizes, expansion bands of half width 0.5e-6 (rectangular), temperatures.
const SPREAD: [f64; 6] = [2e-6, 5e-6, 0.29e-6, 15.0, 0.29e-6, 25.0];

fn fields(ring: &RingGap) -> [f64; 6] {
    [ring.bore, ring.cold_gap, ring.bore_expansion, ring.bore_rise, ring.ring_expansion, ring.ring_rise]
}

fn from_fields(x: [f64; 6]) -> RingGap {
    RingGap {
        bore: x[0],
        cold_gap: x[1],
        bore_expansion: x[2],
        bore_rise: x[3],
        ring_expansion: x[4],
        ring_rise: x[5],
    }
}

/// π·89.1 = 279.916 mm: the bore gains 0.3527 mm round, the ring 0.6426 mm; worked by hand.
#[test]
fn hand_sum() {
    let gap = ring(0.54 * MM).hot_gap().value;
    assert!((gap / MM - (0.54 + 0.352_694 - 0.642_565)).abs() < 2e-6, "{gap}");
    assert!((gap_change(0.010 * MM) / MM - 0.031_416).abs() < 1e-6);
    assert!((filing(0.34 * MM, 0.54 * MM) / MM - 0.20).abs() < 1e-12);
    assert!(filing(0.60 * MM, 0.54 * MM) < 1e-18);
}

#[test]
fn equal_expansion_scales_the_gap() {
    let same = RingGap { ring_expansion: 10.5e-6, ring_rise: 120.0, ..ring(0.54 * MM) };
    assert!((same.hot_gap().value / (0.54 * MM) - (1.0 + 10.5e-6 * 120.0)).abs() < 1e-12);
}

#[test]
fn sensitivities_agree_with_differences() {
    let found = ring(0.4 * MM).hot_gap();
    let x = fields(&ring(0.4 * MM));
    for i in 0..6 {
        let step = 1e-4 * x[i];
        let moved = |by: f64| {
            let mut y = x;
            y[i] += by;
            from_fields(y).hot_gap().value
        };
        let difference = (moved(step) - moved(-step)) / (2.0 * step);
        assert!((found.sensitivities[i] - difference).abs() < 1e-8 * difference.abs(), "field {i}");
    }
}

/// JCGM 101 draws against the first-order probability: 200,000 draws, and the tolerance is four standard errors of the
/// count plus 2 % for the product terms that first order leaves out.
#[test]
fn probability_agrees_with_monte_carlo() {
    let mut random = Pcg64::seed_from_u64(2026);
    for cold_gap in [0.25, 0.30, 0.37, 0.45] {
        let ring = ring(cold_gap * MM);
        let analytic = ring.butting_probability(&SPREAD);
        let x = fields(&ring);
        let draws = 200_000;
        let mut butts = 0_u32;
        for _ in 0..draws {
            let drawn =
                core::array::from_fn(|i| x[i] + SPREAD[i] * normal_quantile(random.random_range(1e-12..1.0)));
            butts += u32::from(from_fields(drawn).hot_gap().value < 0.0);
        }
        let counted = f64::from(butts) / f64::from(draws);
        let scatter = (analytic * (1.0 - analytic) / f64::from(draws)).sqrt();
        assert!(
            (counted - analytic).abs() < 4.0 * scatter + 0.02 * analytic,
            "{cold_gap}: {counted} counted, {analytic} computed"
        );
    }
}

#[test]
fn the_gap_for_a_probability_gives_that_probability() {
    for probability in [0.5, 0.01, 0.001, 1e-6] {
        let gap = ring(0.3 * MM).cold_gap_for(probability, &SPREAD);
        let back = ring(gap).butting_probability(&SPREAD);
        assert!((back / probability - 1.0).abs() < 1e-9, "{probability} came back as {back}");
    }
    assert!(ring(0.3 * MM).cold_gap_for(1.5, &SPREAD).is_nan());
}

#[test]
fn without_uncertainty_it_is_certain() {
    assert!(ring(0.54 * MM).butting_probability(&[0.0; 6]) < 1e-300);
    assert!(ring(0.10 * MM).butting_probability(&[0.0; 6]) > 0.999_999);
    assert!((normal_cdf(0.0) - 0.5).abs() < 1e-16);
}
