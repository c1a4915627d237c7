//! Which part goes where: exact optima with proof.
//!
//! Every solver minimises a list of objectives in order (the first counts infinitely more than the second, and so
//! on), over whole numbers of nanometres and milligrams, so that sums are exact and equal choices tie exactly. The answer
//! is the same on every machine, and no clock is read: a long search asks its `stop` closure.
//!
//! `docs/physics/selection.md` states the objectives of each solver and why they stand in that order.

pub mod assignment;
pub mod deck_and_gasket;
pub mod pistons;
mod relax;
pub mod ring_filing;
pub mod shells;
pub mod shims;
pub mod spring_shims;
mod stock;

pub use relax::{Relaxation, SingleRelaxation};
pub use stock::Limits;

use core::ops::{Add, Neg, Sub};
use thiserror::Error;

/// A list of whole-number objectives, compared from the first to the last.
///
/// It is an ordered group: sums and differences keep the order, which is all that the assignment method needs. Keep each
/// entry below 2⁵⁰ so that sums over a thousand rows stay within `i64`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Objectives<const N: usize>(pub [i64; N]);

impl<const N: usize> Objectives<N> {
    /// Nothing spent.
    pub const ZERO: Self = Self([0; N]);
}

impl<const N: usize> Add for Objectives<N> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(core::array::from_fn(|i| self.0[i] + other.0[i]))
    }
}

impl<const N: usize> Sub for Objectives<N> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(core::array::from_fn(|i| self.0[i] - other.0[i]))
    }
}

impl<const N: usize> Neg for Objectives<N> {
    type Output = Self;
    fn neg(self) -> Self {
        Self::ZERO - self
    }
}

/// The best choice found, and whether nothing better exists.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution<C, const N: usize> {
    /// What to do.
    pub choice: C,
    /// Its objectives in the solver's order.
    pub objectives: Objectives<N>,
    /// Whether it is proved that no choice is better.
    pub proved: bool,
    /// A value that no choice can beat; equal to `objectives` when proved. The difference is the gap.
    pub bound: Objectives<N>,
    /// Steps of the search: augmentations or nodes.
    pub explored: u64,
    /// When a window could not be met: what to relax, and by how much.
    pub relaxation: Option<Relaxation>,
}

/// An allowed range and the value aimed at, m (or any one unit).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Least allowed.
    pub min: f64,
    /// Aimed at; between the limits.
    pub target: f64,
    /// Greatest allowed.
    pub max: f64,
}

/// Why a selection cannot be started.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SelectionError {
    /// A value that is not a finite number, or so large that it must be a slip.
    #[error("{name} {index} is {value}; it must be a finite length below 10 m (or a mass below 10 kg)")]
    NotASize {
        /// Which list.
        name: &'static str,
        /// Which entry, from 0.
        index: usize,
        /// What was given, SI.
        value: f64,
    },
    /// Limits the wrong way round, or a target outside them.
    #[error("window {index} is {min} to {max} with target {target}; it must hold min ≤ target ≤ max")]
    WindowNotOrdered {
        /// Which entry, from 0.
        index: usize,
        /// Least allowed.
        min: f64,
        /// Aimed at.
        target: f64,
        /// Greatest allowed.
        max: f64,
    },
    /// Not enough parts to fill every place.
    #[error("{found} {name} for {needed} places")]
    TooFew {
        /// Which parts.
        name: &'static str,
        /// How many there are.
        found: usize,
        /// How many are needed.
        needed: usize,
    },
    /// More than the solver is made for.
    #[error("{found} {name}; at most {most} are handled")]
    TooMany {
        /// Which parts.
        name: &'static str,
        /// How many were given.
        found: usize,
        /// How many are allowed.
        most: usize,
    },
    /// A scale's step that is no step.
    #[error("the step of the scale is {value} kg; it must be at least 0.000001 kg and below 1 kg")]
    BadScaleStep {
        /// kg.
        value: f64,
    },
    /// A step of a series that is not positive, or its ends swapped.
    #[error("a series from {min} to {max} in steps of {step}; it must hold min ≤ max and a positive step")]
    BadSeries {
        /// First size.
        min: f64,
        /// Last size.
        max: f64,
        /// Between sizes.
        step: f64,
    },
}

/// Whole nanometres of a length in metres (of any quantity, in units of 1e-9).
pub(crate) fn nano(name: &'static str, index: usize, value: f64) -> Result<i64, SelectionError> {
    if value.is_finite() && value.abs() < 10.0 {
        Ok((value * 1e9).round() as i64)
    } else {
        Err(SelectionError::NotASize { name, index, value })
    }
}

/// A count as an objective.
pub(crate) fn count(parts: usize) -> i64 {
    i64::try_from(parts).unwrap_or(i64::MAX)
}

/// A window in whole nanometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct NanoWindow {
    pub min: i64,
    pub target: i64,
    pub max: i64,
}

impl NanoWindow {
    pub fn new(index: usize, window: &Window) -> Result<Self, SelectionError> {
        let Window { min, target, max } = *window;
        if !(min <= target && target <= max) {
            return Err(SelectionError::WindowNotOrdered { index, min, target, max });
        }
        Ok(Self {
            min: nano("window", index, min)?,
            target: nano("window", index, target)?,
            max: nano("window", index, max)?,
        })
    }

    /// How far outside, nm; 0 inside, a limit counts as inside.
    pub fn excess(&self, value: i64) -> i64 {
        (self.min - value).max(value - self.max).max(0)
    }

    /// Square of the distance to the target, nm²; distances beyond 33 mm count as 33 mm, so that a thousand squares
    /// still fit an `i64`.
    pub fn squared_deviation(&self, value: i64) -> i64 {
        let off = (value - self.target).abs().min(1 << 25);
        off * off
    }

    pub fn widened(&self, by: i64) -> Self {
        Self { min: self.min - by, max: self.max + by, ..*self }
    }

    pub fn all(windows: &[Window]) -> Result<Vec<Self>, SelectionError> {
        windows.iter().enumerate().map(|(index, window)| Self::new(index, window)).collect()
    }
}
