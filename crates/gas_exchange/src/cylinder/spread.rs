//! Cycle-to-cycle spread: a strong cycle beside the mean one. Parts see the strong cycle, torque comes from the mean.
//!
//! A strong cycle burns early and fast: half burned `k σ` earlier, duration `k` coefficients of variation shorter, the same charge.

use crate::gas::WorkingGas;

use super::closed_cycle::{ClosedError, ClosedPart, ClosedResult};
use super::wiebe::{Wiebe, WiebeError};
use super::working_cylinder::Cylinder;

/// How cycles differ; named parameters of the document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Standard deviation of the angle at which half has burned, rad.
    pub half_angle: f64,
    /// Coefficient of variation of the duration, 1.
    pub duration: f64,
}

impl Default for Spread {
    /// 2° and 6 % at full load (from memory: Heywood 9.4 has peak pressures varying by about 10 % there).
    fn default() -> Self {
        Self { half_angle: 2.0 * core::f64::consts::PI / 180.0, duration: 0.06 }
    }
}

/// Which cycles: 2 is about one cycle in forty on the strong side, when cycles are normally distributed.
pub const USUAL_DEVIATIONS: f64 = 2.0;

impl Spread {
    /// The burn that lies `deviations` standard deviations on the strong side of `mean`; negative: on the weak side.
    ///
    /// # Errors
    /// [`WiebeError`] when the burn leaves its range.
    pub fn burn(&self, mean: Wiebe, deviations: f64) -> Result<Wiebe, WiebeError> {
        let duration = mean.duration() * (1.0 - deviations * self.duration).max(0.1);
        let shape = Wiebe::new(mean.start(), duration, mean.a(), mean.m())?;
        shape.shifted(mean.half_angle() - deviations * self.half_angle - shape.half_angle())
    }

    /// The closed part of such a cycle, from the state of the mean one at intake closing: its peak pressure is the strong one.
    ///
    /// # Errors
    /// [`ClosedError`].
    pub fn cycle(
        &self,
        part: &ClosedPart,
        cylinder: &Cylinder,
        gas: &WorkingGas,
        mean: Wiebe,
        deviations: f64,
    ) -> Result<ClosedResult, ClosedError> {
        part.run(cylinder, gas, Some(self.burn(mean, deviations)?), |_, _| {})
    }
}
