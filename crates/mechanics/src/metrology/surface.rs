//! Surface texture values for a plateau-honed bore: the Rk family from the material ratio (Abbott) curve.

use thiserror::Error;

/// Which straight line stands for the core of the Abbott curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CoreLine {
    /// Least squares in height over the 40 % region of least secant slope, as ISO 13565-2:1996, 5 has it (from memory).
    LeastSquares,
    /// The 40 % secant of least slope itself: up to 2 % larger Rk on a bell-shaped surface.
    Secant,
}

/// The values of ISO 13565-2 (now ISO 21920-2), heights in the unit of the profile, ratios 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RkValues {
    /// Core height.
    pub core_height: f64,
    /// Reduced peak height, Rpk.
    pub reduced_peak_height: f64,
    /// Reduced valley depth, Rvk.
    pub reduced_valley_depth: f64,
    /// Material ratio where the peaks end, Mr1.
    pub peak_ratio: f64,
    /// Material ratio where the valleys begin, Mr2.
    pub valley_ratio: f64,
}

impl RkValues {
    /// Oil that the valleys hold per area, `½ Rvk (1 − Mr2)`, in the profile's unit (1 µm is 0.1 mm³/cm²).
    pub fn oil_volume(&self) -> f64 {
        0.5 * self.reduced_valley_depth * (1.0 - self.valley_ratio)
    }
}

/// Why a profile gives no values.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum SurfaceError {
    /// Too few heights for a curve.
    #[error("{given} heights are too few for a material ratio curve: give at least {needed}")]
    TooFew {
        /// Heights given.
        given: usize,
        /// Heights needed.
        needed: usize,
    },
    /// A height is not a finite number.
    #[error("height {index} (counted from 0) is not a finite number")]
    NotFinite {
        /// Which one, counted from 0.
        index: usize,
    },
}

/// Heights needed for a material ratio curve.
const LEAST_HEIGHTS: usize = 20;

/// Rk values of a roughness profile (filtered by ISO 16610-31 or ISO 13565-1 beforehand), any order, equal spacing.
///
/// The heights, sorted from the top, are the Abbott curve over the ratios 0 to 1. The core line lies over the 40 %
/// where the secant is least steep (of equal ones, the one nearest the peaks); cut at the ratios 0 and 1
/// it gives Rk and the levels whose ratios are Mr1 and Mr2. Rpk and Rvk are the heights of the right-angled triangles on Mr1 and
/// 1 − Mr2 with the areas of the peaks above and the valleys below the core.
/// Check: normal heights of unit Rq with [`CoreLine::Secant`]: Rk 2.62200, Mr1 9.4929 %, Rpk = Rvk = 0.93698.
///
/// # Errors
/// Fewer than 20 heights, numbers that are not finite.
pub fn rk_values(heights: &[f64], line: CoreLine) -> Result<RkValues, SurfaceError> {
    if let Some(index) = heights.iter().position(|z| !z.is_finite()) {
        return Err(SurfaceError::NotFinite { index });
    }
    if heights.len() < LEAST_HEIGHTS {
        return Err(SurfaceError::TooFew { given: heights.len(), needed: LEAST_HEIGHTS });
    }
    let curve = AbbottCurve::of(heights);
    let (top, slope) = curve.core_line(line);
    let bottom = top + slope;
    let peak_ratio = curve.ratio_at(top);
    let valley_ratio = curve.ratio_at(bottom);
    Ok(RkValues {
        core_height: -slope,
        reduced_peak_height: triangle_height(curve.area_above(top), peak_ratio),
        reduced_valley_depth: triangle_height(curve.area_below(bottom), 1.0 - valley_ratio),
        peak_ratio,
        valley_ratio,
    })
}

fn triangle_height(area: f64, base: f64) -> f64 {
    if base > 0.0 { 2.0 * area / base } else { 0.0 }
}

/// Heights in descending order at equal steps of the material ratio from 0 to 1, straight in between.
struct AbbottCurve {
    heights: Vec<f64>,
    step: f64,
}

impl AbbottCurve {
    fn of(heights: &[f64]) -> Self {
        let mut heights = heights.to_vec();
        heights.sort_by(|a, b| b.total_cmp(a));
        let step = 1.0 / (heights.len() - 1) as f64;
        Self { heights, step }
    }

    fn height_at(&self, ratio: f64) -> f64 {
        let position = ratio / self.step;
        let low = (position.floor() as usize).min(self.heights.len() - 2);
        self.heights[low] + (position - low as f64) * (self.heights[low + 1] - self.heights[low])
    }

    /// Ratio at which the curve crosses a level.
    fn ratio_at(&self, level: f64) -> f64 {
        let below = self.heights.partition_point(|z| *z > level);
        if below == 0 {
            return 0.0;
        }
        if below == self.heights.len() {
            return 1.0;
        }
        let (upper, lower) = (self.heights[below - 1], self.heights[below]);
        ((below - 1) as f64 + (upper - level) / (upper - lower)) * self.step
    }

    /// Height at ratio 0 and slope per unit ratio of the core line.
    fn core_line(&self, line: CoreLine) -> (f64, f64) {
        const WIDTH: f64 = 0.4;
        // Differences that are rounding are ties, and ties go to the window nearest the peaks.
        let noise = 1e-12 * (self.heights[0] - self.heights[self.heights.len() - 1]);
        let (mut start, mut least) = (0.0, f64::INFINITY);
        for place in 0..self.heights.len() {
            let ratio = place as f64 * self.step;
            if ratio + WIDTH > 1.0 + 1e-12 {
                break;
            }
            let drop = self.heights[place] - self.height_at(ratio + WIDTH);
            if drop < least - noise {
                (start, least) = (ratio, drop);
            }
        }
        match line {
            CoreLine::Secant => {
                let slope = -least / WIDTH;
                (self.height_at(start) - slope * start, slope)
            }
            CoreLine::LeastSquares => self.regression(start, start + WIDTH),
        }
    }

    fn regression(&self, from: f64, to: f64) -> (f64, f64) {
        let inside = |place: &usize| {
            let ratio = *place as f64 * self.step;
            ratio >= from - 1e-12 && ratio <= to + 1e-12
        };
        let places: Vec<usize> = (0..self.heights.len()).filter(inside).collect();
        let n = places.len() as f64;
        let mean_ratio = places.iter().map(|&p| p as f64 * self.step).sum::<f64>() / n;
        let mean_height = places.iter().map(|&p| self.heights[p]).sum::<f64>() / n;
        let (mut across, mut square) = (0.0, 0.0);
        for place in places {
            let ratio = place as f64 * self.step - mean_ratio;
            across += ratio * (self.heights[place] - mean_height);
            square += ratio * ratio;
        }
        let slope = across / square;
        (mean_height - slope * mean_ratio, slope)
    }

    /// Area between the curve and a level below it, from the top.
    fn area_above(&self, level: f64) -> f64 {
        self.area(|z| z - level)
    }

    fn area_below(&self, level: f64) -> f64 {
        self.area(|z| level - z)
    }

    /// ∫ max(excess, 0) over the ratio, exactly for straight pieces.
    fn area(&self, excess: impl Fn(f64) -> f64) -> f64 {
        let piece = |pair: &[f64]| {
            let (a, b) = (excess(pair[0]), excess(pair[1]));
            match (a > 0.0, b > 0.0) {
                (true, true) => 0.5 * (a + b),
                (true, false) => 0.5 * a * a / (a - b),
                (false, true) => 0.5 * b * b / (b - a),
                (false, false) => 0.0,
            }
        };
        self.heights.windows(2).map(piece).sum::<f64>() * self.step
    }
}
