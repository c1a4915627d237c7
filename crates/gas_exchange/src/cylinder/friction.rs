//! Friction as a mean effective pressure, by published models with the band that they deserve.

use thiserror::Error;

/// Which published relation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FrictionLaw {
    /// Chen and Flynn, SAE 650733 (1965): `fmep = A + B p_max + C Sp + D Sp²`.
    ChenFlynn(ChenFlynn),
    /// Barnes-Moss (1975) in Heywood's eq. 13.6: `0.97 + 0.15 n + 0.05 n²` bar, n in 1000/min.
    ///
    /// Fitted to four-stroke car engines of 845 to 2000 cm³ motored at full throttle. It INCLUDES pumping: never add it to a
    /// pumping work that was computed. Not to be used above [`BARNES_MOSS_GREATEST_SPEED`].
    BarnesMoss,
}

/// Coefficients of the first law; all are named parameters of the document.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChenFlynn {
    /// A, Pa: 13.7 kPa.
    pub constant: f64,
    /// B, Pa/Pa: 0.005.
    pub peak_pressure: f64,
    /// C, Pa/(m/s): 16.2 kPa s/m.
    pub piston_speed: f64,
    /// D, Pa/(m/s)²: 0 in the paper.
    pub piston_speed_squared: f64,
}

impl ChenFlynn {
    /// The paper's set, from memory. It was fitted to one single-cylinder diesel: on a light petrol engine at high piston speed it is
    /// on the high side.
    pub const PAPER: Self =
        Self { constant: 0.137e5, peak_pressure: 0.005, piston_speed: 0.162e5, piston_speed_squared: 0.0 };

    /// A set common in engine theses for later petrol engines, from memory; to be calibrated.
    pub const LATER_PETROL: Self = Self {
        constant: 0.4e5,
        peak_pressure: 0.005,
        piston_speed: 0.09e5,
        piston_speed_squared: 9e-4 * 1e5,
    };
}

impl Default for FrictionLaw {
    fn default() -> Self {
        Self::ChenFlynn(ChenFlynn::LATER_PETROL)
    }
}

/// Share of the friction by which an engine that was not calibrated may lie to either side, 1 (two standard deviations).
///
/// Judgement: the two sets of [`ChenFlynn`] lie 25 % apart at 80 bar and 20 m/s.
pub const UNCALIBRATED_BAND: f64 = 0.25;

/// Greatest crank speed of the Barnes-Moss fit, rad/s: 6000 /min.
pub const BARNES_MOSS_GREATEST_SPEED: f64 = 6000.0 / 60.0 * core::f64::consts::TAU;

/// A friction mean effective pressure with its band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Friction {
    /// Pa.
    pub fmep: f64,
    /// Least of the band, Pa.
    pub least: f64,
    /// Greatest of the band, Pa.
    pub greatest: f64,
    /// Pumping is inside, so must not be added.
    pub includes_pumping: bool,
}

/// Why friction is not given.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum FrictionError {
    /// Beyond the speeds that the relation was fitted to.
    #[error(
        "the Barnes-Moss fit ends at {greatest} rad/s (6000 /min); {speed} rad/s is beyond it: use the law with peak pressure and piston speed"
    )]
    Speed {
        /// rad/s.
        speed: f64,
        /// rad/s.
        greatest: f64,
    },
    /// A value that is no peak pressure or speed.
    #[error(
        "friction needs a peak pressure and speeds of zero or more, not {peak_pressure} Pa, {piston_speed} m/s, {crank_speed} rad/s"
    )]
    Input {
        /// Pa.
        peak_pressure: f64,
        /// m/s.
        piston_speed: f64,
        /// rad/s.
        crank_speed: f64,
    },
}

impl FrictionLaw {
    /// Friction at a peak pressure (Pa), a mean piston speed (m/s) and a crank speed (rad/s).
    ///
    /// # Errors
    /// [`FrictionError`] for negative values or outside of the fit.
    pub fn at(
        &self,
        peak_pressure: f64,
        piston_speed: f64,
        crank_speed: f64,
    ) -> Result<Friction, FrictionError> {
        if !(peak_pressure >= 0.0 && piston_speed >= 0.0 && crank_speed >= 0.0) {
            return Err(FrictionError::Input { peak_pressure, piston_speed, crank_speed });
        }
        let (fmep, includes_pumping) = match self {
            Self::ChenFlynn(c) => (
                c.constant
                    + c.peak_pressure * peak_pressure
                    + piston_speed * (c.piston_speed + c.piston_speed_squared * piston_speed),
                false,
            ),
            Self::BarnesMoss => {
                if crank_speed > BARNES_MOSS_GREATEST_SPEED * (1.0 + 1e-9) {
                    return Err(FrictionError::Speed {
                        speed: crank_speed,
                        greatest: BARNES_MOSS_GREATEST_SPEED,
                    });
                }
                let n = crank_speed * 60.0 / core::f64::consts::TAU / 1000.0;
                (1e5 * (0.97 + n * (0.15 + 0.05 * n)), true)
            }
        };
        let (least, greatest) = (fmep * (1.0 - UNCALIBRATED_BAND), fmep * (1.0 + UNCALIBRATED_BAND));
        Ok(Friction { fmep, least, greatest, includes_pumping })
    }
}
