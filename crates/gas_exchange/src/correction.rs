//! Power at standard conditions.
//!
//! As run is the default: no correction is agreed for an engine whose boost is controlled, because the compressor makes up
//! for thin air until its authority or speed ends.

use mechanics::math::powf;

/// The air as the engine breathes it during a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestAir {
    /// Pressure of the **dry** part: barometer minus water vapour, Pa.
    pub dry_pressure: f64,
    /// Temperature at the intake, K.
    pub temperature: f64,
}

/// To which conditions a power is corrected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Correction {
    /// None: as run.
    #[default]
    AsRun,
    /// SAE J1349 in its 1.18 form (990 mbar dry, 25 °C; 85 % mechanical efficiency assumed), spark ignition.
    SaeJ1349,
    /// ISO 1585 spark ignition (99 kPa dry, 25 °C).
    Iso1585,
}

/// Why there is no factor.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CorrectionError {
    /// The air is not a possible state.
    #[error("{name} is {value}: expected {expected}")]
    OutOfRange {
        /// What it is.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What would be accepted.
        expected: &'static str,
    },
    /// The factor leaves the range in which the standard may be used.
    #[error(
        "the factor {factor:.4} is outside {low} to {high}: {standard} must not be used in this air; report the power as run"
    )]
    OutsideValidity {
        /// Name of the standard.
        standard: &'static str,
        /// The factor that its formula gives.
        factor: f64,
        /// Lower limit.
        low: f64,
        /// Upper limit.
        high: f64,
    },
}

impl Correction {
    /// The factor by which measured or computed power and torque are multiplied.
    ///
    /// SAE J1349: 1.18 (99,000/p) √(T/298) − 0.18, with 0 °C taken as 273 K as printed, within 0.93 to 1.07.
    /// ISO 1585: (99,000/p)^1.2 (T/298)^0.6, within 0.93 to 1.07. p dry, Pa; T in K.
    /// Example: 950 mbar and 30 °C give 1.059 96 and 1.061 28.
    /// Sources: SAE J1349 (net, as quoted in public codes), ISO 1585:1992; the range of both from memory, and the edition of
    /// J1349 should be checked: later ones took the ISO form.
    ///
    /// # Errors
    /// When the air is impossible or the factor is outside its range.
    pub fn factor(self, air: TestAir) -> Result<f64, CorrectionError> {
        if self == Self::AsRun {
            return Ok(1.0);
        }
        in_range("dry pressure", air.dry_pressure, 3e4, 1.2e5, "30,000 to 120,000 Pa")?;
        in_range("intake temperature", air.temperature, 230.0, 340.0, "230 to 340 K")?;
        let (standard, factor) = match self {
            Self::AsRun => ("as run", 1.0),
            Self::SaeJ1349 => {
                let kelvin = air.temperature - 273.15 + 273.0;
                ("SAE J1349", 1.18 * (99_000.0 / air.dry_pressure) * (kelvin / 298.0).sqrt() - 0.18)
            }
            Self::Iso1585 => {
                let kelvin = air.temperature - 273.15 + 273.0;
                ("ISO 1585", powf(99_000.0 / air.dry_pressure, 1.2) * powf(kelvin / 298.0, 0.6))
            }
        };
        let (low, high) = (0.93, 1.07);
        if (low..=high).contains(&factor) {
            Ok(factor)
        } else {
            Err(CorrectionError::OutsideValidity { standard, factor, low, high })
        }
    }
}

fn in_range(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
    expected: &'static str,
) -> Result<(), CorrectionError> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(CorrectionError::OutOfRange { name, value, expected })
    }
}
