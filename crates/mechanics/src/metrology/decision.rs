//! Is it inside its limits? By risk (JCGM 106:2012) in the house, by guard band (ISO 14253-1:2017) between firms.

use thiserror::Error;

use crate::math::normal_cdf;

/// One-sided 95 % point of the normal distribution, the guard band's default in ISO 14253-1:2017.
pub const GUARD_FACTOR: f64 = 1.644_854;

/// An allowed range; either side may be open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    min: Option<f64>,
    max: Option<f64>,
}

/// Why two numbers make no window.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum WindowError {
    /// The lower limit is above the upper one.
    #[error("the lower limit {min} is above the upper limit {max}: swap them")]
    Swapped {
        /// Lower limit as given.
        min: f64,
        /// Upper limit as given.
        max: f64,
    },
    /// A limit is not a finite number.
    #[error("a limit must be a finite number, not {value}: leave out a limit that does not exist")]
    NotFinite {
        /// What was given.
        value: f64,
    },
}

impl Window {
    /// From limits in any one unit; `None` leaves that side open.
    ///
    /// # Errors
    /// Limits that are swapped or not finite.
    pub fn new(min: Option<f64>, max: Option<f64>) -> Result<Self, WindowError> {
        if let Some(value) = [min, max].into_iter().flatten().find(|limit| !limit.is_finite()) {
            return Err(WindowError::NotFinite { value });
        }
        match (min, max) {
            (Some(min), Some(max)) if min > max => Err(WindowError::Swapped { min, max }),
            _ => Ok(Self { min, max }),
        }
    }

    /// Lower limit.
    pub fn min(&self) -> Option<f64> {
        self.min
    }

    /// Upper limit.
    pub fn max(&self) -> Option<f64> {
        self.max
    }

    /// Distance between the limits; `None` when a side is open.
    pub fn width(&self) -> Option<f64> {
        Some(self.max? - self.min?)
    }

    /// Whether a value stands on or between the limits; not for NaN.
    pub fn contains(&self, value: f64) -> bool {
        !value.is_nan() && self.min.is_none_or(|min| value >= min) && self.max.is_none_or(|max| value <= max)
    }
}

/// What was known of the true value before the measurement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Prior {
    /// Nothing: every value alike.
    Flat,
    /// What the process makes: its mean and standard deviation, in the value's unit.
    Normal {
        /// Mean of the process.
        mean: f64,
        /// Standard deviation of the process.
        standard: f64,
    },
}

/// Probabilities that the true value is outside, each side by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Risk {
    /// That it is below the lower limit; 0 when there is none.
    pub below: f64,
    /// That it is above the upper limit; 0 when there is none.
    pub above: f64,
}

impl Risk {
    /// That it is outside on either side.
    pub fn outside(&self) -> f64 {
        let sum = self.below + self.above;
        // Not `min`, which would turn NaN into certainty.
        if sum > 1.0 { 1.0 } else { sum }
    }

    /// That it is inside (the conformance probability of JCGM 106).
    pub fn inside(&self) -> f64 {
        1.0 - self.outside()
    }
}

/// Best estimate and standard uncertainty of the true value after prior and measurement.
///
/// Normal prior N(m, s²) and measurement N(y, u²) give N(w y + (1−w) m, w u²) with w = s²/(s² + u²)
/// (JCGM 106:2012, 6.3 and A.4.4). An exact measurement overrides the prior.
pub fn posterior(value: f64, standard: f64, prior: Prior) -> (f64, f64) {
    match prior {
        Prior::Normal { mean, standard: spread } if standard > 0.0 && spread.is_finite() => {
            let weight = spread * spread / (spread * spread + standard * standard);
            (weight * value + (1.0 - weight) * mean, standard * weight.sqrt())
        }
        _ => (value, standard),
    }
}

/// Probability that the true value lies outside its window, below and above (JCGM 106:2012, 7.2 to 7.4).
///
/// `below = Φ((min − ŷ)/û)`, `above = Φ((ŷ − max)/û)` of the [`posterior`]. With û = 0 a value on its
/// limit is inside. NaN in gives NaN out.
/// Example: y = −5.47 V, u = 0.05 V, upper limit −5.40 V, flat prior: inside with Φ(1.40) = 0.92 (JCGM 106, 7.3).
pub fn probability_outside(value: f64, standard: f64, window: Window, prior: Prior) -> Risk {
    let (estimate, spread) = posterior(value, standard, prior);
    let beyond = |excess: f64| {
        if spread > 0.0 || excess.is_nan() {
            normal_cdf(excess / spread)
        } else {
            f64::from(u8::from(excess > 0.0))
        }
    };
    Risk {
        below: window.min.map_or(0.0, |min| beyond(min - estimate)),
        above: window.max.map_or(0.0, |max| beyond(estimate - max)),
    }
}

/// Verdict of the guard-band rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Conformity {
    /// Proved inside: a supplier may deliver.
    Conforms,
    /// Neither proved.
    NotProved,
    /// Proved outside: a customer may reject.
    DoesNotConform,
}

/// Guard-band decision of ISO 14253-1:2017 with g = 1.644854 u at each limit (5 % risk, one-sided).
///
/// Conforms within [min + g, max − g], does not conform beyond min − g or max + g, in between neither
/// is proved. A window narrower than 2 g can prove no part good. NaN proves nothing.
/// Example: u = 2 µm, window 20 µm: g = 3.3 µm, acceptance 13.4 µm.
pub fn guard_band(value: f64, standard: f64, window: Window) -> Conformity {
    let guard = GUARD_FACTOR * standard;
    let within = |by: f64| {
        window.min.is_none_or(|min| value >= min - by) && window.max.is_none_or(|max| value <= max + by)
    };
    if value.is_nan() || guard.is_nan() {
        Conformity::NotProved
    } else if within(-guard) {
        Conformity::Conforms
    } else if within(guard) {
        Conformity::NotProved
    } else {
        Conformity::DoesNotConform
    }
}

/// Whether an instrument can settle the window at all: U at most a quarter of it (common practice, no source).
///
/// `None` for a window with an open side: it has no width to compare with.
pub fn can_settle(window: Window, expanded: f64) -> Option<bool> {
    window.width().map(|width| expanded <= 0.25 * width)
}
