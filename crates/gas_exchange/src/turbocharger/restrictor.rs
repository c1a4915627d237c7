//! Air restrictor before the compressor.

use super::{TurbochargerError, in_range};
use crate::valves::Nozzle;
use crate::valves::orifice::choked_flow_factor;
use core::f64::consts::PI;

/// A round restrictor with its discharge coefficient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Restrictor {
    effective_area: f64,
}

impl Restrictor {
    /// `diameter` m; `discharge_coefficient` on π d²/4, above 0, up to 1.
    ///
    /// # Errors
    /// Names the figure that is not possible.
    pub fn new(diameter: f64, discharge_coefficient: f64) -> Result<Self, TurbochargerError> {
        in_range("restrictor diameter", diameter, 0.0, 1.0, "in metres, above 0, up to 1")?;
        in_range("restrictor discharge coefficient", discharge_coefficient, 0.0, 1.0, "above 0, up to 1")?;
        Ok(Self { effective_area: 0.25 * PI * diameter * diameter * discharge_coefficient })
    }

    /// Effective area, m².
    pub fn effective_area(&self) -> f64 {
        self.effective_area
    }

    /// The most it can pass, p₀ A ψ*/√(R T₀), kg/s: total pressure Pa, total temperature K, gas constant, γ.
    pub fn choked_flow(&self, pressure: f64, temperature: f64, gas_constant: f64, gamma: f64) -> f64 {
        self.effective_area * pressure / (gas_constant * temperature).sqrt() * choked_flow_factor(gamma)
    }

    /// Mass flow against a static pressure at the throat, kg/s; arguments as [`Restrictor::choked_flow`], then that pressure.
    /// A diffuser behind it recovers pressure: the caller gives the pressure at the throat, not behind the diffuser.
    pub fn mass_flow(
        &self,
        pressure: f64,
        temperature: f64,
        gas_constant: f64,
        gamma: f64,
        behind: f64,
    ) -> f64 {
        Nozzle::shared().mass_flow(self.effective_area, pressure, temperature, gas_constant, gamma, behind)
    }
}
