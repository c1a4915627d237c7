//! Intercooler: effectiveness and pressure loss.

use super::{TurbochargerError, check_points, in_range};
use crate::monotone::MonotoneCurve;

/// An intercooler by its effectiveness over mass flow and a pressure loss that grows with the square of the flow.
#[derive(Debug, Clone, PartialEq)]
pub struct Intercooler {
    effectiveness: MonotoneCurve,
    loss: f64,
}

impl Intercooler {
    /// `effectiveness`: points (mass flow kg/s, `(T₁ − T₂)/(T₁ − T_coolant)` above 0, up to 1), held outside; the pressure loss
    /// `rated_loss` (Pa, 0 or more) was read at `rated_flow` (kg/s) and an inlet density `rated_density` (kg/m³).
    ///
    /// # Errors
    /// Names the figure that is not possible.
    pub fn new(
        effectiveness: &[(f64, f64)],
        rated_loss: f64,
        rated_flow: f64,
        rated_density: f64,
    ) -> Result<Self, TurbochargerError> {
        let expected = "a flow above 0 and above the last, an effectiveness above 0, up to 1";
        check_points("intercooler effectiveness", effectiveness, 0.0, 1.0, expected)?;
        in_range("intercooler pressure loss", rated_loss, -f64::MIN_POSITIVE, 1e5, "0 to 100,000 Pa")?;
        in_range("intercooler rated flow", rated_flow, 0.0, 10.0, "in kg/s, above 0")?;
        in_range("intercooler rated density", rated_density, 0.0, 50.0, "in kg/m³, above 0")?;
        let loss = rated_loss * rated_density / (rated_flow * rated_flow);
        Ok(Self { effectiveness: MonotoneCurve::new(effectiveness), loss })
    }

    /// Temperature behind, `T₁ − ε (T₁ − T_coolant)`, K, at a mass flow in kg/s (its sign does not matter).
    pub fn outlet_temperature(&self, mass_flow: f64, inlet: f64, coolant: f64) -> f64 {
        inlet - self.effectiveness.at(mass_flow.abs()) * (inlet - coolant)
    }

    /// Pressure loss Δp = k ṁ|ṁ|/ρ, Pa, with the sign of the flow; `density` before it, kg/m³, above 0.
    pub fn pressure_loss(&self, mass_flow: f64, density: f64) -> f64 {
        self.loss * mass_flow * mass_flow.abs() / density
    }

    /// k of the loss, Pa·(kg/m³)/(kg/s)²: flow for a pressure difference is √(Δp ρ/k).
    pub fn loss_coefficient(&self) -> f64 {
        self.loss
    }
}
