//! The closed part of a cycle alone: from intake closing to exhaust opening, from a given state.
//!
//! The knock limit, the best ignition and the strong cycle run it again and again from the same state at intake closing: some
//! milliseconds instead of a whole engine.

use thiserror::Error;

use crate::gas::WorkingGas;

use super::totals::CycleTotals;
use super::wiebe::{Wiebe, WiebeError};
use super::working_cylinder::{Cylinder, CylinderError, PortFlow};

/// The span of a closed part and how it is stepped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosedPart {
    /// Intake closing, rad from firing top dead centre, −π to 0.
    pub from: f64,
    /// Exhaust opening, rad, 0 to π.
    pub to: f64,
    /// Crank speed, rad/s.
    pub crank_speed: f64,
    /// Steps per radian as the caller samples; the cylinder divides further where it must. 115 is half a degree.
    pub steps_per_radian: f64,
}

/// What a closed part gave.
#[derive(Clone, Debug, PartialEq)]
pub struct ClosedResult {
    /// Its sums alone.
    pub totals: CycleTotals,
    /// Knock integral at its end, 1.
    pub knock: f64,
    /// The cylinder at exhaust opening.
    pub end: Cylinder,
}

/// Why a closed part gave nothing.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum ClosedError {
    /// Span or speed.
    #[error(
        "a closed part from {from} to {to} rad at {crank_speed} rad/s: it must start between −π and 0, end between 0 and π, and turn"
    )]
    Part {
        /// rad.
        from: f64,
        /// rad.
        to: f64,
        /// rad/s.
        crank_speed: f64,
    },
    /// The burn starts outside of the closed part.
    #[error("the burn starts at {start} rad, outside of the closed part from {from} to {to} rad")]
    Ignition {
        /// rad.
        start: f64,
        /// rad.
        from: f64,
        /// rad.
        to: f64,
    },
    /// Nothing burns, so nothing has a limit.
    #[error("a motored cylinder has no knock limit and no best ignition: give it a burn law")]
    Motored,
    /// The cylinder stopped.
    #[error(transparent)]
    Cylinder(#[from] CylinderError),
    /// The burn law left its range.
    #[error(transparent)]
    Burn(#[from] WiebeError),
}

impl ClosedPart {
    fn check(&self) -> Result<(), ClosedError> {
        use core::f64::consts::PI;
        let Self { from, to, crank_speed, steps_per_radian } = *self;
        let fine = (-PI..0.0).contains(&from)
            && to > 0.0
            && to <= PI
            && crank_speed > 0.0
            && crank_speed < 1e5
            && (10.0..1e6).contains(&steps_per_radian);
        if fine { Ok(()) } else { Err(ClosedError::Part { from, to, crank_speed }) }
    }

    /// Runs the part on a copy of `cylinder` with `burn`; `observe` sees the cylinder after each step with its angle.
    ///
    /// # Errors
    /// [`ClosedError`].
    pub fn run(
        &self,
        cylinder: &Cylinder,
        gas: &WorkingGas,
        burn: Option<Wiebe>,
        mut observe: impl FnMut(f64, &Cylinder),
    ) -> Result<ClosedResult, ClosedError> {
        self.check()?;
        let Self { from, to, crank_speed, steps_per_radian } = *self;
        if let Some(law) = burn
            && (law.start() < from || law.start() >= to)
        {
            return Err(ClosedError::Ignition { start: law.start(), from, to });
        }
        let mut end = cylinder.clone();
        end.set_burn(burn);
        end.take_totals();
        let steps = ((to - from) * steps_per_radian).ceil();
        let step = (to - from) / steps;
        let dt = step / crank_speed;
        for i in 0..steps as usize {
            let angle = from + step * i as f64;
            end.advance(gas, [angle, angle + step], dt, PortFlow::default(), true)?;
            observe(angle + step, &end);
        }
        let mut totals = end.take_totals();
        totals.knock = *end.knock();
        if end.burning() {
            totals.flags.burn_cut_short = burn.map(|law| law.burned(to));
        }
        Ok(ClosedResult { knock: totals.knock.value(), totals, end })
    }
}

/// The ignition that knock allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KnockLimit {
    /// The earliest burn whose integral stays at the limit.
    At {
        /// The burn.
        burn: Wiebe,
        /// Its knock integral.
        integral: f64,
    },
    /// Even the earliest burn that was asked for does not reach the limit.
    NotReached {
        /// Integral at the earliest burn.
        integral: f64,
    },
    /// Even the latest burn goes beyond the limit.
    AlwaysBeyond {
        /// Integral at the latest burn.
        integral: f64,
    },
}

/// How close the knock limit is found, rad: a hundredth of a degree.
pub const IGNITION_TOLERANCE: f64 = 0.01 * core::f64::consts::PI / 180.0;

impl ClosedPart {
    /// The earliest burn whose knock integral is `limit` (1 without reserve; 0.9 keeps a reserve). `burn` is shifted as a whole by
    /// `earliest` to `latest` radians (negative: earlier). Bisection.
    ///
    /// # Errors
    /// [`ClosedError`].
    pub fn knock_limit(
        &self,
        cylinder: &Cylinder,
        gas: &WorkingGas,
        burn: Wiebe,
        shifts: [f64; 2],
        limit: f64,
    ) -> Result<KnockLimit, ClosedError> {
        let at = |shift: f64| -> Result<(Wiebe, f64), ClosedError> {
            let burn = burn.shifted(shift)?;
            Ok((burn, self.run(cylinder, gas, Some(burn), |_, _| {})?.knock))
        };
        let [mut early, mut late] = shifts;
        let (_, integral) = at(early)?;
        if integral <= limit {
            return Ok(KnockLimit::NotReached { integral });
        }
        let mut safe = at(late)?;
        if safe.1 > limit {
            return Ok(KnockLimit::AlwaysBeyond { integral: safe.1 });
        }
        while late - early > IGNITION_TOLERANCE {
            let middle = 0.5 * (early + late);
            let found = at(middle)?;
            if found.1 > limit {
                early = middle;
            } else {
                late = middle;
                safe = found;
            }
        }
        Ok(KnockLimit::At { burn: safe.0, integral: safe.1 })
    }

    /// The burn with the most work of the closed part, `burn` shifted by between `shifts` (golden section, to a twentieth of a
    /// degree), with that work in J.
    ///
    /// # Errors
    /// [`ClosedError`].
    pub fn best_ignition(
        &self,
        cylinder: &Cylinder,
        gas: &WorkingGas,
        burn: Wiebe,
        shifts: [f64; 2],
    ) -> Result<(Wiebe, f64), ClosedError> {
        let at = |shift: f64| -> Result<(Wiebe, f64), ClosedError> {
            let burn = burn.shifted(shift)?;
            Ok((burn, self.run(cylinder, gas, Some(burn), |_, _| {})?.totals.work()))
        };
        let golden = 0.5 * (5f64.sqrt() - 1.0);
        let [mut a, mut b] = shifts;
        let (mut x, mut y) = (b - golden * (b - a), a + golden * (b - a));
        let (mut at_x, mut at_y) = (at(x)?, at(y)?);
        while b - a > 5.0 * IGNITION_TOLERANCE {
            if at_x.1 > at_y.1 {
                (b, y, at_y) = (y, x, at_x);
                x = b - golden * (b - a);
                at_x = at(x)?;
            } else {
                (a, x, at_x) = (x, y, at_y);
                y = a + golden * (b - a);
                at_y = at(y)?;
            }
        }
        Ok(if at_x.1 > at_y.1 { at_x } else { at_y })
    }
}
