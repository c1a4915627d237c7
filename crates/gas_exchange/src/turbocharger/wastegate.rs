//! Wastegate that holds a boost target.

use super::{TurbochargerError, in_range};

/// Whether the wastegate can still hold the target.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Authority {
    /// It is between its stops, or at one of them with the boost within the tolerance.
    Holding,
    /// Fully closed and the boost is below the target: the turbine cannot do more.
    ClosedBelowTarget,
    /// Fully open and the boost is above the target: the wastegate is too small.
    OpenAboveTarget,
}

/// Effective area moved once a cycle by proportional and integral action on the relative boost error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wastegate {
    greatest_area: f64,
    target: f64,
    proportional: f64,
    integral: f64,
    opening: f64,
    area_fraction: f64,
    error: f64,
}

impl Wastegate {
    /// Relative boost error that counts as held.
    pub const TOLERANCE: f64 = 2e-3;

    /// `greatest_area` effective, m²; `target` absolute boost pressure, Pa; gains: part of the whole opening for a relative
    /// boost error of 1 (`proportional`), and the same added a cycle (`integral`). Starts closed.
    ///
    /// # Errors
    /// Names the figure that is not possible.
    pub fn new(
        greatest_area: f64,
        target: f64,
        proportional: f64,
        integral: f64,
    ) -> Result<Self, TurbochargerError> {
        in_range("wastegate area", greatest_area, 0.0, 0.1, "in m², above 0, up to 0.1")?;
        in_range("boost target", target, 5e4, 1e6, "absolute, 50,000 to 1,000,000 Pa")?;
        in_range("proportional gain", proportional, -f64::MIN_POSITIVE, 1e3, "0 or more")?;
        in_range("integral gain", integral, 0.0, 1e3, "above 0")?;
        Ok(Self {
            greatest_area,
            target,
            proportional,
            integral,
            opening: 0.0,
            area_fraction: 0.0,
            error: -1.0,
        })
    }

    /// The same with the integral part already at an opening from 0 to 1 (warm start from the neighbouring speed).
    #[must_use]
    pub fn starting_at(self, opening: f64) -> Self {
        let opening = opening.clamp(0.0, 1.0);
        Self { opening, area_fraction: opening, ..self }
    }

    /// Takes the mean boost pressure (absolute, Pa) of a cycle and returns the effective area for the next, m².
    /// A boost that is not a number leaves the wastegate where it is.
    pub fn update(&mut self, boost: f64) -> f64 {
        if boost.is_finite() {
            self.error = boost / self.target - 1.0;
            // The integral stops at the stops, so that it does not wind up.
            self.opening = (self.opening + self.integral * self.error).clamp(0.0, 1.0);
            self.area_fraction = (self.opening + self.proportional * self.error).clamp(0.0, 1.0);
        }
        self.area()
    }

    /// Effective area now, m².
    pub fn area(&self) -> f64 {
        self.area_fraction * self.greatest_area
    }

    /// Integral part of the opening, 0 to 1: what [`Wastegate::starting_at`] takes.
    pub fn opening(&self) -> f64 {
        self.opening
    }

    /// Relative error of the last cycle, boost/target − 1.
    pub fn error(&self) -> f64 {
        self.error
    }

    /// Whether it still holds the target.
    pub fn authority(&self) -> Authority {
        if self.area_fraction <= 0.0 && self.opening <= 0.0 && self.error < -Self::TOLERANCE {
            Authority::ClosedBelowTarget
        } else if self.area_fraction >= 1.0 && self.opening >= 1.0 && self.error > Self::TOLERANCE {
            Authority::OpenAboveTarget
        } else {
            Authority::Holding
        }
    }
}
