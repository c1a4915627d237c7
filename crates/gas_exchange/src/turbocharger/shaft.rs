//! The shaft between turbine and compressor.

use super::{TurbochargerError, in_range};

/// Inertia and losses of one turbocharger shaft (of each unit).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shaft {
    inertia: f64,
    mechanical_efficiency: f64,
    friction: f64,
}

impl Shaft {
    /// `inertia` kg·m²; `mechanical_efficiency` of the turbine power above 0, up to 1; `friction` power over ω², W·s², 0 or more.
    ///
    /// For a steady speed a smaller inertia gives the same balance in fewer cycles: the caller says so where it does.
    ///
    /// # Errors
    /// Names the figure that is not possible.
    pub fn new(inertia: f64, mechanical_efficiency: f64, friction: f64) -> Result<Self, TurbochargerError> {
        in_range("shaft inertia", inertia, 0.0, 1.0, "in kg·m², above 0, up to 1")?;
        in_range("mechanical efficiency", mechanical_efficiency, 0.0, 1.0, "above 0, up to 1")?;
        in_range("shaft friction", friction, -f64::MIN_POSITIVE, 1.0, "in W·s², 0 or more")?;
        Ok(Self { inertia, mechanical_efficiency, friction })
    }

    /// Power left to accelerate, `η P_turbine − P_compressor − k ω²`, W. `speed` rad/s, powers in W.
    pub fn surplus_power(&self, speed: f64, turbine: f64, compressor: f64) -> f64 {
        self.mechanical_efficiency * turbine - compressor - self.friction * speed * speed
    }

    /// Speed after `dt` seconds, from the kinetic energy ½ I ω², rad/s; never below 0.
    ///
    /// The energy balance is exact while the powers are constant; friction is taken at the end of the step, so that no step
    /// makes it turn backward.
    pub fn advance(&self, speed: f64, turbine: f64, compressor: f64, dt: f64) -> f64 {
        let energy =
            0.5 * self.inertia * speed * speed + dt * (self.mechanical_efficiency * turbine - compressor);
        (energy.max(0.0) / (0.5 * self.inertia + dt * self.friction)).sqrt()
    }
}
