//! Wall thickness of a cylinder from an ultrasonic map: mean wall, core shift, thinnest place.
//!
//! Directions: x toward the thrust side, y toward the front of the engine; `angle` turns from x to y, in radians.
//! Any one unit of length. The **core shift** is the vector from the axis of the bore to the axis of the
//! outside of the wall (the surface that the water jacket's core left): the wall is thick where it points to and
//! thin behind it.

use core::f64::consts::PI;

use super::Uncertain;
use super::circle::{Circle, Point, least_squares_circle};
use super::form::{FormError, magnitude};
use super::linear::{gram, inverse, times};
use crate::math::{atan2, cos, sin};

/// One reading of the wall.
#[derive(Clone, Debug, PartialEq)]
pub struct WallReading {
    /// Direction from the bore's axis, radians from thrust toward front.
    pub angle: f64,
    /// Height along the bore; readings of exactly one height are fitted together.
    pub height: f64,
    /// Thickness across the wall from the bore's surface, radially.
    pub thickness: Uncertain,
}

/// How thickness follows from the shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WallModel {
    /// First Fourier harmonic, `t = m + sₓ cos φ + sᵧ sin φ`: needs no bore size.
    ///
    /// The mean comes out low by s²/(4 Rₒ) and the thinnest wall differs by less than s²/(2 Rₒ): 0.04 mm for a shift of 2 mm.
    FirstHarmonic,
    /// Two circles, exactly: the outside points `(r + tᵢ)` at φᵢ are fitted with a geometric circle.
    EccentricCircles {
        /// Radius of the bore that the thickness was read from.
        bore_radius: f64,
    },
}

/// Wall of one height, or of all together.
#[derive(Clone, Debug, PartialEq)]
pub struct WallFit {
    /// Which model gave it.
    pub model: WallModel,
    /// Mean wall: outer radius less bore radius, or the mean of the harmonic.
    pub mean: Uncertain,
    /// Core shift toward thrust.
    pub shift_x: Uncertain,
    /// Core shift toward the front.
    pub shift_y: Uncertain,
    /// Length of the shift.
    pub shift: Uncertain,
    /// Thinnest wall by the fit: mean − shift, for two circles exactly. Noise pulls it down a little.
    pub thinnest: Uncertain,
    /// Where the fit is thinnest, radians from thrust toward front, −π to π.
    pub thinnest_angle: f64,
    /// Scatter of the readings about the fit, √(Σr²/(n−3)); `None` of three readings. Where it is far above
    /// the readings' own uncertainty the casting is rougher than the model, and a fitted wall says less than the readings.
    pub scatter: Option<f64>,
    /// Reading less fit, in the order of the input.
    pub residuals: Vec<f64>,
}

impl WallFit {
    /// Wall that the fit predicts in a direction: `s cos ψ + √(Rₒ² − s² sin² ψ) − r`, or the harmonic.
    pub fn wall_at(&self, angle: f64) -> Uncertain {
        let (c, s) = (cos(angle), sin(angle));
        let (x, y) = (self.shift_x.value(), self.shift_y.value());
        let along = x * c + y * s;
        match self.model {
            WallModel::FirstHarmonic => {
                Uncertain::linear(0.0, &[(1.0, &self.mean), (c, &self.shift_x), (s, &self.shift_y)])
            }
            WallModel::EccentricCircles { bore_radius } => {
                let outer = bore_radius + self.mean.value();
                let across = y * c - x * s;
                let root = (outer * outer - across * across).max(0.0).sqrt();
                let (by_radius, by_across) = (outer / root, -across / root);
                let parts = [
                    (by_radius, &self.mean),
                    (c - by_across * s, &self.shift_x),
                    (s + by_across * c, &self.shift_y),
                ];
                Uncertain::propagate(along + root - bore_radius, &parts)
            }
        }
    }
}

/// A whole map.
#[derive(Clone, Debug, PartialEq)]
pub struct WallMap {
    /// Each height that has at least three directions, in ascending order.
    pub heights: Vec<(f64, WallFit)>,
    /// Heights with too few readings, or readings too close together, for a fit of their own.
    pub unfitted: Vec<f64>,
    /// All readings in one fit.
    pub overall: WallFit,
    /// Place in the input of the thinnest single reading.
    pub thinnest_reading: usize,
}

/// Fits a map of at least three readings, per height and as a whole.
///
/// # Errors
/// Too few readings or directions, a number that is not finite.
pub fn wall_map(readings: &[WallReading], model: WallModel) -> Result<WallMap, FormError> {
    let all: Vec<&WallReading> = readings.iter().collect();
    let overall = fit(&all, model)?;
    let mut levels: Vec<f64> = readings.iter().map(|r| r.height).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let (mut heights, mut unfitted) = (Vec::new(), Vec::new());
    for level in levels {
        let here: Vec<_> = readings.iter().filter(|r| r.height.total_cmp(&level).is_eq()).collect();
        match fit(&here, model) {
            Ok(found) => heights.push((level, found)),
            Err(_) => unfitted.push(level),
        }
    }
    let thinnest_reading = (0..readings.len())
        .min_by(|&a, &b| readings[a].thickness.value().total_cmp(&readings[b].thickness.value()))
        .ok_or(FormError::NoFit)?;
    Ok(WallMap { heights, unfitted, overall, thinnest_reading })
}

/// One fit to all readings given, whatever their heights.
///
/// # Errors
/// Too few readings or directions, a number that is not finite.
pub fn fit(readings: &[&WallReading], model: WallModel) -> Result<WallFit, FormError> {
    if readings.len() < 3 {
        return Err(FormError::TooFew { given: readings.len(), needed: 3 });
    }
    let finite =
        |r: &WallReading| r.angle.is_finite() && r.height.is_finite() && r.thickness.value().is_finite();
    if let Some(index) = readings.iter().position(|r| !finite(r)) {
        return Err(FormError::NotFinite { index });
    }
    let (mean, x, y, residuals) = match model {
        WallModel::FirstHarmonic => first_harmonic(readings)?,
        WallModel::EccentricCircles { bore_radius } => {
            if !bore_radius.is_finite() || bore_radius <= 0.0 {
                return Err(FormError::Degenerate);
            }
            let Circle { x, y, radius, residuals, .. } = outside(readings, bore_radius)?;
            (radius.shifted(-bore_radius), x, y, residuals)
        }
    };
    let shift = magnitude(&x, &y);
    let squares: f64 = residuals.iter().map(|r| r * r).sum();
    let spare = residuals.len() - 3;
    let behind = atan2(y.value(), x.value()) + PI;
    Ok(WallFit {
        model,
        thinnest: &mean - &shift,
        thinnest_angle: if behind > PI { behind - 2.0 * PI } else { behind },
        scatter: (spare > 0).then(|| (squares / spare as f64).sqrt()),
        mean,
        shift_x: x,
        shift_y: y,
        shift,
        residuals,
    })
}

fn outside(readings: &[&WallReading], bore_radius: f64) -> Result<Circle, FormError> {
    let points: Vec<Point> = readings
        .iter()
        .map(|reading| {
            let from_axis = reading.thickness.shifted(bore_radius);
            Point { x: from_axis.scaled(cos(reading.angle)), y: from_axis.scaled(sin(reading.angle)) }
        })
        .collect();
    least_squares_circle(&points)
}

type Harmonic = (Uncertain, Uncertain, Uncertain, Vec<f64>);

fn first_harmonic(readings: &[&WallReading]) -> Result<Harmonic, FormError> {
    let rows: Vec<[f64; 3]> = readings.iter().map(|r| [1.0, cos(r.angle), sin(r.angle)]).collect();
    let covariance = inverse(gram(rows.iter().copied())).ok_or(FormError::Degenerate)?;
    let gains: Vec<[f64; 3]> = rows.iter().map(|row| times(&covariance, *row)).collect();
    let coefficient = |k: usize| {
        let parts: Vec<_> = readings.iter().zip(&gains).map(|(r, gain)| (gain[k], &r.thickness)).collect();
        Uncertain::linear(0.0, &parts)
    };
    let (mean, x, y) = (coefficient(0), coefficient(1), coefficient(2));
    let residuals = readings
        .iter()
        .zip(&rows)
        .map(|(r, row)| r.thickness.value() - mean.value() - x.value() * row[1] - y.value() * row[2])
        .collect();
    Ok((mean, x, y, residuals))
}
