//! Curves through points that never swing past them.

/// A piecewise cubic through points with rising abscissae: one continuous slope, no new extremum between points.
///
/// Source: F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300, with the weighted harmonic mean of the
/// neighbouring slopes (from memory). Outside the points it stays at the value of the nearest one.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct MonotoneCurve {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl MonotoneCurve {
    /// `points` (x, y) with strictly rising, finite x; one point gives a constant.
    pub(crate) fn new(points: &[(f64, f64)]) -> Self {
        let x: Vec<f64> = points.iter().map(|p| p.0).collect();
        let y: Vec<f64> = points.iter().map(|p| p.1).collect();
        let slope = monotone_slopes(&x, &y);
        Self { x, y, slope }
    }

    /// The value at `x`.
    pub(crate) fn at(&self, x: f64) -> f64 {
        let last = self.x.len() - 1;
        if x <= self.x[0] {
            return self.y[0];
        }
        if x >= self.x[last] {
            return self.y[last];
        }
        let i = interval(&self.x, x);
        let ends = [(self.y[i], self.slope[i]), (self.y[i + 1], self.slope[i + 1])];
        hermite(ends, self.x[i + 1] - self.x[i], (x - self.x[i]) / (self.x[i + 1] - self.x[i]))
    }

    /// The curve with all values multiplied.
    pub(crate) fn scaled(&self, factor: f64) -> Self {
        let times = |list: &[f64]| list.iter().map(|v| v * factor).collect();
        Self { x: self.x.clone(), y: times(&self.y), slope: times(&self.slope) }
    }

    /// The last abscissa.
    pub(crate) fn end(&self) -> f64 {
        self.x[self.x.len() - 1]
    }
}

/// The interval of rising `x` that holds `at`: 0 to `x.len() − 2`.
pub(crate) fn interval(x: &[f64], at: f64) -> usize {
    x.partition_point(|&edge| edge <= at).clamp(1, x.len() - 1) - 1
}

/// The cubic over a span `width` with (value, slope) at its `ends`, at the fraction `t` of it.
#[inline]
pub(crate) fn hermite(ends: [(f64, f64); 2], width: f64, t: f64) -> f64 {
    let [(y0, d0), (y1, d1)] = ends;
    let u = 1.0 - t;
    u * u * ((1.0 + 2.0 * t) * y0 + t * width * d0) + t * t * ((1.0 + 2.0 * u) * y1 - u * width * d1)
}

/// Slopes at the points that keep the cubic between neighbouring values.
pub(crate) fn monotone_slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len();
    if n < 2 {
        return vec![0.0; n];
    }
    let chord = |i: usize| (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
    let width = |i: usize| x[i + 1] - x[i];
    if n == 2 {
        return vec![chord(0); 2];
    }
    let mut slope = vec![0.0; n];
    for (i, slope) in slope.iter_mut().enumerate().take(n - 1).skip(1) {
        let (a, b) = (chord(i - 1), chord(i));
        if a * b > 0.0 {
            let (wa, wb) = (2.0 * width(i) + width(i - 1), width(i) + 2.0 * width(i - 1));
            *slope = (wa + wb) / (wa / a + wb / b);
        }
    }
    slope[0] = end_slope(width(0), width(1), chord(0), chord(1));
    slope[n - 1] = end_slope(width(n - 2), width(n - 3), chord(n - 2), chord(n - 3));
    slope
}

/// Three-point slope at an end, held between 0 and three times the chord beside it.
fn end_slope(h0: f64, h1: f64, c0: f64, c1: f64) -> f64 {
    let slope = ((2.0 * h0 + h1) * c0 - h0 * c1) / (h0 + h1);
    if slope * c0 <= 0.0 {
        0.0
    } else if slope.abs() > 3.0 * c0.abs() {
        3.0 * c0
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_straight_line_stays_straight() {
        let curve = MonotoneCurve::new(&[(0.0, 1.0), (1.0, 3.0), (4.0, 9.0)]);
        for x in [0.0, 0.3, 1.0, 2.9, 4.0] {
            assert!((curve.at(x) - (1.0 + 2.0 * x)).abs() < 1e-14);
        }
    }

    proptest! {
        #[test]
        fn the_curve_stays_between_its_points(
            steps in prop::collection::vec((1e-3_f64..10.0, -5.0_f64..5.0), 2..9),
            fraction in 0.0_f64..1.0,
        ) {
            let mut x = 0.0;
            let points: Vec<(f64, f64)> = steps.iter().map(|&(dx, y)| { x += dx; (x, y) }).collect();
            let curve = MonotoneCurve::new(&points);
            for pair in points.windows(2) {
                let at = curve.at(pair[0].0 + fraction * (pair[1].0 - pair[0].0));
                let (low, high) = (pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1));
                prop_assert!(at >= low - 1e-12 && at <= high + 1e-12, "{at} outside {low}..{high}");
            }
            for &(x, y) in &points {
                prop_assert!((curve.at(x) - y).abs() < 1e-12);
            }
        }
    }
}
