//! The Wiebe function: how much of the charge has burned at a crank angle.
//!
//! `x = 1 − exp(−a y^(m+1))`, `y = (θ − start) / duration` (Wiebe 1962; Heywood, *Internal Combustion Engine Fundamentals*,
//! section 9.2, from memory). With a = 5 the law ends at 99.3 %: what is left counts as unburned, as some of every charge does.

use mechanics::math::{exp, ln, powf};
use thiserror::Error;

/// A burn law over the crank angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wiebe {
    start: f64,
    duration: f64,
    a: f64,
    m: f64,
}

/// Why a burn law could not be made.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum WiebeError {
    /// Duration not above zero or beyond a turn.
    #[error("the burn lasts {duration} rad of crank angle: it must be above 0 and at most 2π")]
    Duration {
        /// rad.
        duration: f64,
    },
    /// a or m outside where the law makes sense.
    #[error("the Wiebe parameters are a = {a} and m = {m}: a must lie between 1 and 10, m between 0 and 10")]
    Shape {
        /// Efficiency parameter.
        a: f64,
        /// Form parameter.
        m: f64,
    },
    /// Start that is no angle of the compression or expansion stroke.
    #[error("the burn starts at {start} rad: it must lie between −π and π about firing top dead centre")]
    Start {
        /// rad.
        start: f64,
    },
}

impl Wiebe {
    /// Usual efficiency parameter: 99.3 % burned at the end (Heywood 9.2, from memory).
    pub const A: f64 = 5.0;
    /// Usual form parameter (Heywood 9.2, from memory).
    pub const M: f64 = 2.0;

    /// A law from its four parameters: `start` in radians from firing top dead centre, −π to π (the spark, when the early burn
    /// is part of the law); `duration` in radians, above 0 to 2π; `a` 1 to 10; `m` 0 to 10.
    ///
    /// # Errors
    /// [`WiebeError`] for what lies outside.
    pub fn new(start: f64, duration: f64, a: f64, m: f64) -> Result<Self, WiebeError> {
        use core::f64::consts::{PI, TAU};
        if !(-PI..=PI).contains(&start) {
            return Err(WiebeError::Start { start });
        }
        if !(duration > 0.0 && duration <= TAU) {
            return Err(WiebeError::Duration { duration });
        }
        if !((1.0..=10.0).contains(&a) && (0.0..=10.0).contains(&m)) {
            return Err(WiebeError::Shape { a, m });
        }
        Ok(Self { start, duration, a, m })
    }

    /// The law with form `m` and a = 5 that burns 10 to 90 % in `ten_to_ninety` radians and has burned half at `half`.
    ///
    /// # Errors
    /// [`WiebeError`] for what lies outside [`Self::new`].
    pub fn from_burn_angles(half: f64, ten_to_ninety: f64, m: f64) -> Result<Self, WiebeError> {
        let shape = Self::new(0.0, 1.0, Self::A, m)?;
        let width = shape.angle_of(0.9) - shape.angle_of(0.1);
        let duration = ten_to_ninety / width;
        Self::new(half - duration * shape.angle_of(0.5), duration, Self::A, m)
    }

    /// The law with a = 5 whose angles from the start to 10 % burned and from 10 to 90 % are given, rad; `start` as in [`Self::new`].
    ///
    /// The form parameter follows from the ratio of the two: `(ln 10)/(ln (1/0.9)) = ((y90)/(y10))^(m+1)`.
    ///
    /// # Errors
    /// [`WiebeError`] for what lies outside [`Self::new`].
    pub fn from_delay(start: f64, to_ten: f64, ten_to_ninety: f64) -> Result<Self, WiebeError> {
        if !(to_ten > 0.0 && ten_to_ninety > 0.0) {
            return Err(WiebeError::Duration { duration: to_ten.min(ten_to_ninety) });
        }
        let ratio = 1.0 + ten_to_ninety / to_ten;
        let m = ln(ln(10.0) / -ln(0.9)) / ln(ratio) - 1.0;
        let shape = Self::new(start, 1.0, Self::A, m)?;
        Self::new(start, to_ten / (shape.angle_of(0.1) - start), Self::A, m)
    }

    /// Start, rad from firing top dead centre.
    pub fn start(&self) -> f64 {
        self.start
    }

    /// Duration, rad.
    pub fn duration(&self) -> f64 {
        self.duration
    }

    /// End, rad from firing top dead centre.
    pub fn end(&self) -> f64 {
        self.start + self.duration
    }

    /// Efficiency parameter, 1.
    pub fn a(&self) -> f64 {
        self.a
    }

    /// Form parameter, 1.
    pub fn m(&self) -> f64 {
        self.m
    }

    /// Share burned at `angle`, 0 before the start, constant after the end.
    #[inline]
    pub fn burned(&self, angle: f64) -> f64 {
        let y = ((angle - self.start) / self.duration).min(1.0);
        if y <= 0.0 {
            return 0.0;
        }
        let power = if (self.m - 2.0).abs() < f64::EPSILON { y * y * y } else { powf(y, self.m + 1.0) };
        1.0 - exp(-self.a * power)
    }

    /// dx/dθ at `angle`, 1/rad.
    pub fn rate(&self, angle: f64) -> f64 {
        let y = (angle - self.start) / self.duration;
        if y <= 0.0 || y >= 1.0 {
            return 0.0;
        }
        let power = powf(y, self.m);
        self.a * (self.m + 1.0) * power * exp(-self.a * power * y) / self.duration
    }

    /// Angle at which the share `burned`, above 0 and below 1, has burned: rad from firing top dead centre. Beyond the end of
    /// the law when more than it burns is asked for.
    pub fn angle_of(&self, burned: f64) -> f64 {
        self.start + self.duration * powf(-ln(1.0 - burned) / self.a, 1.0 / (self.m + 1.0))
    }

    /// Where half has burned, rad.
    pub fn half_angle(&self) -> f64 {
        self.angle_of(0.5)
    }

    /// The same law shifted by `by` radians (positive: later).
    ///
    /// # Errors
    /// [`WiebeError::Start`] when the start leaves −π to π.
    pub fn shifted(&self, by: f64) -> Result<Self, WiebeError> {
        Self::new(self.start + by, self.duration, self.a, self.m)
    }
}
