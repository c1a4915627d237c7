//! Knock: the ignition delay of the end gas and its integral (Livengood and Wu 1955).
//!
//! Knock is expected when `∫ dt / τ(p, T) = 1` before the flame has passed the end gas. No integral sees pre-ignition from a hot
//! spot: that stays a checklist.

use mechanics::math::{exp, ln};
use thiserror::Error;

use crate::gas::Fuel;

/// Standard atmosphere, Pa: the unit of pressure of Douaud and Eyzat.
const ATMOSPHERE: f64 = 101_325.0;

/// Below this temperature of the end gas the integral is not advanced, K: the delays are then longer than a second.
pub const COLD: f64 = 550.0;

/// Ignition delay of the end gas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DelayLaw {
    /// Douaud and Eyzat, SAE 780080 (1978): `τ = 17.68 ms (ON/100)^3.402 p^−1.7 exp(3800 K/T)`, p in atmospheres.
    ///
    /// Fitted to primary reference fuels of 80 to 100 octane.
    DouaudEyzat {
        /// Octane number, 1.
        octane: f64,
        /// Named factor on the delay, 1 unless calibrated.
        factor: f64,
    },
    /// Ethanol: `τ = 10^−1.79 µs exp(12400 K/T) p^−0.83`, p in bar (Cancino, Fikri, Oliveira and Schulz, fit to their shock tube
    /// delays of stoichiometric ethanol and air at 10, 30 and 50 bar, 650 to 1220 K).
    ///
    /// The authors' page prints τ in seconds; only microseconds agree with delays of the order of a millisecond at 1000 K, so
    /// that is used here. Weak until calibrated: homogeneous gas at rest, no residual, not the other components of a blend.
    Ethanol {
        /// Named factor on the delay, 1 unless calibrated.
        factor: f64,
    },
}

/// Where a delay law comes from and how far it can be trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strength {
    /// A relation that was fitted to this kind of fuel in engines.
    Fitted,
    /// Not fitted to this fuel in engines: the ignition verdict is weak until calibrated.
    Weak,
}

/// Octane index `RON − K (RON − MON)` (Kalghatgi, SAE 2001-01-3584, from memory): K is 0 at the research test, 1 at the motor test,
/// often negative in boosted engines whose end gas is colder at a pressure than in the research test.
pub fn octane_index(research: f64, motor: f64, k: f64) -> f64 {
    research - k * (research - motor)
}

/// Octane number above which Douaud and Eyzat's fit is extrapolated.
pub const GREATEST_FITTED_OCTANE: f64 = 100.0;

impl DelayLaw {
    /// The law for a fuel: Douaud and Eyzat at the octane index with factor `k` up to 100, flagged weak beyond; ethanol's own
    /// fit is chosen by hand with [`Self::Ethanol`].
    pub fn of_fuel(fuel: &Fuel, k: f64) -> (Self, Strength) {
        let octane = octane_index(fuel.research_octane(), fuel.motor_octane(), k);
        let strength = if octane <= GREATEST_FITTED_OCTANE { Strength::Fitted } else { Strength::Weak };
        (Self::DouaudEyzat { octane, factor: 1.0 }, strength)
    }

    /// ln of the constant part and exponents: τ = exp(c + b ln p + a/T), p in Pa, s.
    fn coefficients(&self) -> (f64, f64, f64) {
        match *self {
            Self::DouaudEyzat { octane, factor } => {
                (ln(17.68e-3 * factor) + 3.402 * ln(octane / 100.0) + 1.7 * ln(ATMOSPHERE), -1.7, 3800.0)
            }
            Self::Ethanol { factor } => {
                (ln(factor * 1e-6) - 1.79 * core::f64::consts::LN_10 + 0.83 * ln(1e5), -0.83, 12_400.0)
            }
        }
    }

    /// The law made ready for many evaluations.
    ///
    /// # Errors
    /// [`KnockError`] for an octane number or factor that is not above 0.
    pub fn prepare(&self) -> Result<Delay, KnockError> {
        let (octane, factor) = match *self {
            Self::DouaudEyzat { octane, factor } => (octane, factor),
            Self::Ethanol { factor } => (100.0, factor),
        };
        if !(octane > 0.0 && octane.is_finite() && factor > 0.0 && factor.is_finite()) {
            return Err(KnockError::Parameter { octane, factor });
        }
        let (constant, pressure, temperature) = self.coefficients();
        Ok(Delay { constant, pressure, temperature })
    }
}

/// Why a delay law is no law.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum KnockError {
    /// Octane or factor not above zero.
    #[error("the knock law has an octane number of {octane} and a factor of {factor}: both must be above 0")]
    Parameter {
        /// Octane number.
        octane: f64,
        /// Factor on the delay.
        factor: f64,
    },
}

/// An ignition delay as constants of `τ = exp(c + b ln p + a/T)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delay {
    constant: f64,
    pressure: f64,
    temperature: f64,
}

impl Delay {
    /// Delay at `pressure` (Pa) and `temperature` of the end gas (K), s.
    #[inline]
    pub fn seconds(&self, pressure: f64, temperature: f64) -> f64 {
        exp(self.constant + self.pressure * ln(pressure) + self.temperature / temperature)
    }

    /// 1/τ, 1/s, 0 for a gas colder than [`COLD`].
    #[inline]
    pub fn rate(&self, pressure: f64, temperature: f64) -> f64 {
        if temperature < COLD { 0.0 } else { 1.0 / self.seconds(pressure, temperature) }
    }
}

/// The Livengood–Wu integral as it grows.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct KnockIntegral {
    value: f64,
    onset: Option<Onset>,
}

/// Where the integral reached 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Onset {
    /// Crank angle from firing top dead centre, rad.
    pub angle: f64,
    /// Share of the charge not burned then, 0 to 1: how much there is to knock.
    pub unburned: f64,
}

impl KnockIntegral {
    /// Adds a step of `dt` seconds from rate `from` to rate `to` (1/τ at both ends), which ends at `angle` with `unburned` left; the
    /// trapezoid rule, and the onset where a straight line reaches 1.
    #[inline]
    pub fn add(&mut self, from: f64, to: f64, dt: f64, angles: [f64; 2], unburned: f64) {
        let before = self.value;
        self.value += 0.5 * dt * (from + to);
        if self.onset.is_none() && self.value >= 1.0 {
            let share = (1.0 - before) / (self.value - before);
            self.onset = Some(Onset { angle: angles[0] + share * (angles[1] - angles[0]), unburned });
        }
    }

    /// The integral so far, 1.
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Where it reached 1, if it did.
    pub fn onset(&self) -> Option<Onset> {
        self.onset
    }
}
