//! Least squares circle through points, true distances (ISO 12181-1 LSCI), with its uncertainty.

use super::Uncertain;
use super::form::FormError;
use super::linear::{gram, inverse, solve, times};

/// A measured point in a plane, any one unit of length.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// First coordinate.
    pub x: Uncertain,
    /// Second coordinate.
    pub y: Uncertain,
}

impl Point {
    /// A point without error.
    pub fn exact(x: f64, y: f64) -> Self {
        Self { x: Uncertain::exact(x), y: Uncertain::exact(y) }
    }
}

/// A fitted circle.
#[derive(Clone, Debug, PartialEq)]
pub struct Circle {
    /// First coordinate of the centre.
    pub x: Uncertain,
    /// Second coordinate of the centre.
    pub y: Uncertain,
    /// Radius.
    pub radius: Uncertain,
    /// Largest less smallest distance from the centre (`RONt` on the least squares circle). Noise adds to it.
    pub roundness: Uncertain,
    /// Distance of each point from the circle, outward positive.
    pub residuals: Vec<f64>,
}

impl Circle {
    /// Sum of the squared residuals.
    pub fn sum_of_squares(&self) -> f64 {
        self.residuals.iter().map(|r| r * r).sum()
    }
}

/// The circle that makes the sum of squared distances from the points least: `min Σ (|Pᵢ − C| − R)²`.
///
/// Gauss-Newton with damping (Levenberg, Marquardt), from two starts; the better minimum is taken. The
/// algebraic fit of Kåsa only serves as a start: on part of a circle its radius comes out too small.
/// Sensitivities are those of the linearised problem at the solution (residuals small against the radius).
/// Check: Gander, Golub and Strebel (1994), six points: centre (4.73978, 2.98353), radius 4.71423.
///
/// # Errors
/// Fewer than three points, points in a line or in one spot, numbers that are not finite.
pub fn least_squares_circle(points: &[Point]) -> Result<Circle, FormError> {
    if points.len() < 3 {
        return Err(FormError::TooFew { given: points.len(), needed: 3 });
    }
    if let Some(index) = points.iter().position(|p| !p.x.value().is_finite() || !p.y.value().is_finite()) {
        return Err(FormError::NotFinite { index });
    }
    let frame = Frame::of(points)?;
    let starts = [algebraic_start(&frame.points), Some([0.0, 0.0, mean_distance(&frame.points, 0.0, 0.0)])];
    let best = starts
        .into_iter()
        .flatten()
        .map(|start| refine(&frame.points, start))
        .min_by(|a, b| squares(&frame.points, *a).total_cmp(&squares(&frame.points, *b)))
        .ok_or(FormError::Degenerate)?;
    if best[2].is_nan() || best[2].abs() > 1e5 {
        return Err(FormError::Degenerate);
    }
    with_uncertainty(points, &frame, best)
}

/// Points about their middle, scaled to about 1.
struct Frame {
    middle: (f64, f64),
    scale: f64,
    points: Vec<(f64, f64)>,
}

impl Frame {
    fn of(points: &[Point]) -> Result<Self, FormError> {
        let n = points.len() as f64;
        let x = points.iter().map(|p| p.x.value()).sum::<f64>() / n;
        let y = points.iter().map(|p| p.y.value()).sum::<f64>() / n;
        let about = |p: &Point| (p.x.value() - x, p.y.value() - y);
        let square: f64 = points.iter().map(about).map(|(x, y)| x * x + y * y).sum();
        let scale = (square / n).sqrt();
        if scale == 0.0 {
            return Err(FormError::Degenerate);
        }
        let points = points.iter().map(about).map(|(x, y)| (x / scale, y / scale)).collect();
        Ok(Self { middle: (x, y), scale, points })
    }
}

/// Kåsa's fit: linear in (2a, 2b, R² − a² − b²).
fn algebraic_start(points: &[(f64, f64)]) -> Option<[f64; 3]> {
    let rows = points.iter().map(|&(x, y)| [x, y, 1.0]);
    let mut right = [0.0; 3];
    for (row, &(x, y)) in rows.clone().zip(points) {
        for (sum, a) in right.iter_mut().zip(row) {
            *sum += a * (x * x + y * y);
        }
    }
    let [u, v, w] = solve(gram(rows), right)?;
    let (x, y) = (0.5 * u, 0.5 * v);
    Some([x, y, (w + x * x + y * y).max(0.0).sqrt()])
}

fn mean_distance(points: &[(f64, f64)], x: f64, y: f64) -> f64 {
    let distance = |&(px, py): &(f64, f64)| ((px - x) * (px - x) + (py - y) * (py - y)).sqrt();
    points.iter().map(distance).sum::<f64>() / points.len() as f64
}

/// Distance and unit vector from the centre to each point.
fn rays(points: &[(f64, f64)], circle: [f64; 3]) -> impl Iterator<Item = (f64, [f64; 2])> + '_ {
    points.iter().map(move |&(px, py)| {
        let (dx, dy) = (px - circle[0], py - circle[1]);
        let distance = (dx * dx + dy * dy).sqrt().max(1e-300);
        (distance, [dx / distance, dy / distance])
    })
}

fn squares(points: &[(f64, f64)], circle: [f64; 3]) -> f64 {
    rays(points, circle).map(|(distance, _)| (distance - circle[2]) * (distance - circle[2])).sum()
}

fn refine(points: &[(f64, f64)], mut circle: [f64; 3]) -> [f64; 3] {
    let (mut damping, mut now) = (1e-3, squares(points, circle));
    for _ in 0..500 {
        let rows = rays(points, circle).map(|(_, [nx, ny])| [nx, ny, 1.0]);
        let mut right = [0.0; 3];
        for (distance, [nx, ny]) in rays(points, circle) {
            let residual = distance - circle[2];
            right[0] += nx * residual;
            right[1] += ny * residual;
            right[2] += residual;
        }
        let mut normal = gram(rows);
        for (i, row) in normal.iter_mut().enumerate() {
            row[i] *= 1.0 + damping;
        }
        let Some(step) = solve(normal, right) else { return circle };
        let next = [circle[0] + step[0], circle[1] + step[1], circle[2] + step[2]];
        let then = squares(points, next);
        if then <= now {
            let moved = step.iter().fold(0.0_f64, |most, s| most.max(s.abs()));
            (circle, now, damping) = (next, then, damping * 0.1);
            if moved < 1e-15 * circle[2].abs().max(1.0) {
                break;
            }
        } else if damping > 1e12 {
            break;
        } else {
            damping *= 10.0;
        }
    }
    circle
}

/// At the minimum `d(a, b, R) = (Σ jᵢ jᵢᵀ)⁻¹ Σ jᵢ (nᵢ · dPᵢ)` with `jᵢ = (nᵢₓ, nᵢᵧ, 1)`.
fn with_uncertainty(points: &[Point], frame: &Frame, fitted: [f64; 3]) -> Result<Circle, FormError> {
    let normals: Vec<[f64; 2]> = rays(&frame.points, fitted).map(|ray| ray.1).collect();
    let design = || normals.iter().map(|&[nx, ny]| [nx, ny, 1.0]);
    let covariance = inverse(gram(design())).ok_or(FormError::Degenerate)?;
    let gains: Vec<[f64; 3]> = design().map(|row| times(&covariance, row)).collect();
    let along = |weights: &dyn Fn(usize) -> f64, value: f64| {
        let parts: Vec<(f64, &Uncertain)> = points
            .iter()
            .enumerate()
            .flat_map(|(i, p)| {
                let weight = weights(i);
                [(weight * normals[i][0], &p.x), (weight * normals[i][1], &p.y)]
            })
            .collect();
        Uncertain::propagate(value, &parts)
    };
    let residuals: Vec<f64> =
        rays(&frame.points, fitted).map(|(distance, _)| (distance - fitted[2]) * frame.scale).collect();
    let by_residual = |a: &usize, b: &usize| residuals[*a].total_cmp(&residuals[*b]);
    let high = (0..points.len()).max_by(by_residual).ok_or(FormError::NoFit)?;
    let low = (0..points.len()).min_by(by_residual).ok_or(FormError::NoFit)?;
    let difference = [normals[high][0] - normals[low][0], normals[high][1] - normals[low][1]];
    let roundness_weight = |i: usize| {
        f64::from(u8::from(i == high))
            - f64::from(u8::from(i == low))
            - difference[0] * gains[i][0]
            - difference[1] * gains[i][1]
    };
    Ok(Circle {
        x: along(&|i| gains[i][0], frame.middle.0 + frame.scale * fitted[0]),
        y: along(&|i| gains[i][1], frame.middle.1 + frame.scale * fitted[1]),
        radius: along(&|i| gains[i][2], frame.scale * fitted[2]),
        roundness: along(&roundness_weight, residuals[high] - residuals[low]),
        residuals,
    })
}
