//! Planes through heights: tilt, and flatness by least squares and by minimum zone (ISO 12781-1).
//!
//! Heights are taken across the reference plane (vertically), which for a surface within a few hundredths of
//! flat is the distance to the plane to better than one part in a million.

use super::Uncertain;
use super::form::FormError;
use super::linear::{gram, inverse, solve, times};

/// A height read at an exactly known place, any one unit of length.
#[derive(Clone, Debug, PartialEq)]
pub struct Height {
    /// First coordinate of the place.
    pub x: f64,
    /// Second coordinate of the place.
    pub y: f64,
    /// Height.
    pub z: Uncertain,
}

/// A least squares plane `z = height + slope_x (x − x₀) + slope_y (y − y₀)` about the middle of the places.
#[derive(Clone, Debug, PartialEq)]
pub struct Plane {
    /// Middle of the places.
    pub middle: (f64, f64),
    /// Height of the plane there.
    pub height: Uncertain,
    /// Rise per length along x (for small slopes the angle in radians).
    pub slope_x: Uncertain,
    /// Rise per length along y.
    pub slope_y: Uncertain,
    /// Height of each reading above the plane.
    pub residuals: Vec<f64>,
    /// Highest less lowest residual: flatness on the least squares plane. Noise adds to it.
    pub flatness: Uncertain,
}

impl Plane {
    /// Height of the plane at a place.
    pub fn height_at(&self, x: f64, y: f64) -> Uncertain {
        let (x0, y0) = self.middle;
        Uncertain::linear(0.0, &[(1.0, &self.height), (x - x0, &self.slope_x), (y - y0, &self.slope_y)])
    }

    /// How much the plane rises over a distance: the lean of a deck from one edge to the other.
    pub fn rise(&self, along_x: f64, along_y: f64) -> Uncertain {
        Uncertain::linear(0.0, &[(along_x, &self.slope_x), (along_y, &self.slope_y)])
    }

    /// Steepest slope of the plane, whichever way it leans.
    pub fn tilt(&self) -> Uncertain {
        super::form::magnitude(&self.slope_x, &self.slope_y)
    }
}

/// The plane that makes the sum of squared height differences least. Linear, so the uncertainty is exact.
///
/// # Errors
/// Fewer than three heights, places in a line, numbers that are not finite.
pub fn least_squares_plane(heights: &[Height]) -> Result<Plane, FormError> {
    let frame = Frame::of(heights)?;
    let covariance = inverse(gram(frame.rows.iter().copied())).ok_or(FormError::Degenerate)?;
    let gains: Vec<[f64; 3]> = frame.rows.iter().map(|row| times(&covariance, *row)).collect();
    let combine = |weight: &dyn Fn(usize) -> f64| {
        let parts: Vec<_> = heights.iter().enumerate().map(|(i, h)| (weight(i), &h.z)).collect();
        Uncertain::linear(0.0, &parts)
    };
    let height = combine(&|i| gains[i][0]);
    let slope_x = combine(&|i| gains[i][1] / frame.scale);
    let slope_y = combine(&|i| gains[i][2] / frame.scale);
    let model = [height.value(), slope_x.value() * frame.scale, slope_y.value() * frame.scale];
    let residuals: Vec<f64> =
        heights.iter().zip(&frame.rows).map(|(h, row)| h.z.value() - dot(*row, model)).collect();
    let by_residual = |a: &usize, b: &usize| residuals[*a].total_cmp(&residuals[*b]);
    let high = (0..heights.len()).max_by(by_residual).ok_or(FormError::NoFit)?;
    let low = (0..heights.len()).min_by(by_residual).ok_or(FormError::NoFit)?;
    let apart: [f64; 3] = core::array::from_fn(|k| frame.rows[high][k] - frame.rows[low][k]);
    let weight =
        |i: usize| f64::from(u8::from(i == high)) - f64::from(u8::from(i == low)) - dot(apart, gains[i]);
    let flatness =
        Uncertain::propagate(residuals[high] - residuals[low], combine_parts(heights, &weight).as_slice());
    Ok(Plane { middle: frame.middle, height, slope_x, slope_y, residuals, flatness })
}

fn combine_parts<'a>(heights: &'a [Height], weight: &dyn Fn(usize) -> f64) -> Vec<(f64, &'a Uncertain)> {
    heights.iter().enumerate().map(|(i, h)| (weight(i), &h.z)).filter(|part| part.0 != 0.0).collect()
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Places about their middle, scaled to about 1, as rows (1, x, y).
struct Frame {
    middle: (f64, f64),
    scale: f64,
    rows: Vec<[f64; 3]>,
}

impl Frame {
    fn of(heights: &[Height]) -> Result<Self, FormError> {
        if heights.len() < 3 {
            return Err(FormError::TooFew { given: heights.len(), needed: 3 });
        }
        let finite = |h: &Height| h.x.is_finite() && h.y.is_finite() && h.z.value().is_finite();
        if let Some(index) = heights.iter().position(|h| !finite(h)) {
            return Err(FormError::NotFinite { index });
        }
        let n = heights.len() as f64;
        let x = heights.iter().map(|h| h.x).sum::<f64>() / n;
        let y = heights.iter().map(|h| h.y).sum::<f64>() / n;
        let scale = heights.iter().map(|h| (h.x - x).abs().max((h.y - y).abs())).fold(0.0, f64::max);
        if scale == 0.0 {
            return Err(FormError::Degenerate);
        }
        let rows = heights.iter().map(|h| [1.0, (h.x - x) / scale, (h.y - y) / scale]).collect();
        Ok(Self { middle: (x, y), scale, rows })
    }
}

/// Flatness by the minimum zone: the least distance of two parallel planes that hold all heights (ISO 1101).
///
/// Solved exactly as a linear programme (Chebyshev approximation by a plane): its dual
/// `max Σ zᵢ wᵢ` with `Σ |wᵢ| = 1`, `Σ wᵢ = Σ xᵢ wᵢ = Σ yᵢ wᵢ = 0` by the simplex method with Bland's rule. The zone is
/// `2 Σ zᵢ wᵢ`: at most four readings carry it, and their weights are its sensitivities. Three heights give 0.
/// Never larger than the flatness on the least squares plane.
///
/// # Errors
/// Fewer than three heights, places in a line, numbers that are not finite.
pub fn minimum_zone_flatness(heights: &[Height]) -> Result<Uncertain, FormError> {
    let frame = Frame::of(heights)?;
    let plane = least_squares_plane(heights)?;
    let reach = plane.residuals.iter().fold(0.0_f64, |most, r| most.max(r.abs()));
    if reach == 0.0 {
        return Ok(plane.flatness);
    }
    let residuals: Vec<f64> = plane.residuals.iter().map(|r| r / reach).collect();
    let weights = chebyshev_weights(&frame.rows, &residuals).ok_or(FormError::Degenerate)?;
    let value: f64 =
        heights.iter().zip(&plane.residuals).enumerate().map(|(i, (_, r))| 2.0 * weights[i] * r).sum();
    Ok(Uncertain::propagate(value.max(0.0), &combine_parts(heights, &|i| 2.0 * weights[i])))
}

/// Signed weights of the dual optimum. Column 2i of the programme is +wᵢ, column 2i + 1 is −wᵢ.
fn chebyshev_weights(rows: &[[f64; 3]], heights: &[f64]) -> Option<Vec<f64>> {
    const EPSILON: f64 = 1e-11;
    let sign = |column: usize| if column.is_multiple_of(2) { 1.0 } else { -1.0 };
    let column = |c: usize| -> [f64; 4] {
        let [one, x, y] = rows[c / 2];
        [1.0, sign(c) * one, sign(c) * x, sign(c) * y]
    };
    let cost = |c: usize| sign(c) * heights[c / 2];
    let mut basis = starting_basis(rows)?;
    for _ in 0..10_000 {
        let transposed = basis.map(column);
        let matrix: [[f64; 4]; 4] = core::array::from_fn(|i| core::array::from_fn(|j| transposed[j][i]));
        let amounts = solve(matrix, [1.0, 0.0, 0.0, 0.0])?;
        let prices = solve(transposed, basis.map(cost))?;
        let gain = |c: usize| cost(c) - column(c).iter().zip(prices).map(|(a, p)| a * p).sum::<f64>();
        let Some(entering) = (0..2 * rows.len()).find(|&c| !basis.contains(&c) && gain(c) > EPSILON) else {
            let mut weights = vec![0.0; rows.len()];
            for (c, amount) in basis.into_iter().zip(amounts) {
                weights[c / 2] += sign(c) * amount;
            }
            return Some(weights);
        };
        let direction = solve(matrix, column(entering))?;
        let leaving = (0..4).filter(|&i| direction[i] > EPSILON).min_by(|&a, &b| {
            let ratio = |i: usize| amounts[i].max(0.0) / direction[i];
            ratio(a).total_cmp(&ratio(b)).then(basis[a].cmp(&basis[b]))
        })?;
        basis[leaving] = entering;
    }
    None
}

/// Both signs of one place and two more places that are not in line with it: feasible with ½ on the first two.
fn starting_basis(rows: &[[f64; 3]]) -> Option<[usize; 4]> {
    let distance = |a: usize, b: usize| {
        let (dx, dy) = (rows[a][1] - rows[b][1], rows[a][2] - rows[b][2]);
        dx * dx + dy * dy
    };
    let area = |a: usize, b: usize, c: usize| {
        let (ux, uy) = (rows[b][1] - rows[a][1], rows[b][2] - rows[a][2]);
        let (vx, vy) = (rows[c][1] - rows[a][1], rows[c][2] - rows[a][2]);
        (ux * vy - uy * vx).abs()
    };
    let far = (0..rows.len()).max_by(|&a, &b| distance(0, a).total_cmp(&distance(0, b)))?;
    let aside = (0..rows.len()).max_by(|&a, &b| area(0, far, a).total_cmp(&area(0, far, b)))?;
    (area(0, far, aside) > 1e-9).then_some([0, 1, 2 * far, 2 * aside])
}
