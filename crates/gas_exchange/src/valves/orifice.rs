//! Steady isentropic flow through a nozzle, exact and as a table for inner loops.

use mechanics::math::powf;
use std::sync::OnceLock;

/// Pressure ratio below which a nozzle is choked, (2/(γ+1))^(γ/(γ−1)).
///
/// `gamma`: ratio of the specific heats, above 1. Example: γ = 1.4 gives 0.528 281 8.
/// Source: Heywood, *Internal Combustion Engine Fundamentals*, appendix C (from memory).
pub fn critical_pressure_ratio(gamma: f64) -> f64 {
    powf(2.0 / (gamma + 1.0), gamma / (gamma - 1.0))
}

/// Choked flow factor ψ* = √γ (2/(γ+1))^((γ+1)/(2(γ−1))).
///
/// `gamma`: ratio of the specific heats, above 1. Example: γ = 1.4 gives 0.684 731 5. Source as
/// [`critical_pressure_ratio`].
pub fn choked_flow_factor(gamma: f64) -> f64 {
    gamma.sqrt() * powf(2.0 / (gamma + 1.0), (gamma + 1.0) / (2.0 * (gamma - 1.0)))
}

/// Flow factor ψ = ṁ √(R T₀) / (A p₀) = √(2γ/(γ−1) (r^(2/γ) − r^((γ+1)/γ))), and ψ* once choked.
///
/// `pressure_ratio` r = static pressure behind over total pressure before, from 0 to 1 (1 and above give 0); `gamma` above 1.
/// Example: γ = 1.4, r = 0.8 gives 0.560 66. Source as [`critical_pressure_ratio`]. Valid for steady flow of an ideal gas.
pub fn flow_factor(pressure_ratio: f64, gamma: f64) -> f64 {
    if pressure_ratio >= 1.0 {
        return 0.0;
    }
    if pressure_ratio <= critical_pressure_ratio(gamma) {
        return choked_flow_factor(gamma);
    }
    let expansion = powf(pressure_ratio, 2.0 / gamma) * (1.0 - powf(pressure_ratio, (gamma - 1.0) / gamma));
    (2.0 * gamma / (gamma - 1.0) * expansion.max(0.0)).sqrt()
}

/// Mass flow through an effective area, ṁ = A p₀ ψ / √(R T₀), exact.
///
/// `area` effective, m²; `total_pressure` Pa and `total_temperature` K before it; `gas_constant` J/(kg K); `gamma` above 1;
/// `pressure` behind, Pa. Kilograms a second, 0 or more.
/// Example: 1 cm², 2 bar, 300 K, R = 287, γ = 1.4, behind 1.6 bar: 38.214 55 g/s. Source as [`critical_pressure_ratio`].
pub fn nozzle_mass_flow(
    area: f64,
    total_pressure: f64,
    total_temperature: f64,
    gas_constant: f64,
    gamma: f64,
    pressure: f64,
) -> f64 {
    area * total_pressure / (gas_constant * total_temperature).sqrt()
        * flow_factor(pressure / total_pressure, gamma)
}

/// Relative pressure difference 1 − r below which [`Nozzle::flow_factor`] leaves ψ for a cubic through 0.
///
/// ψ grows like √(1 − r), whose endless slope at r = 1 makes explicit steps ring. The cubic has the value and nearly the
/// slope of ψ at this difference (20 Pa in 1 bar); there it runs below ψ, at most by 0.21 times the ψ there.
pub const LINEAR_BELOW: f64 = 2e-4;

const GAMMA_LOW: f64 = 1.10;
const GAMMA_HIGH: f64 = 1.70;
const GAMMA_CELLS: usize = 60;
const RATIO_CELLS: usize = 64;
const ROW: usize = RATIO_CELLS + 1;

/// The flow factor for inner loops: no power function, one division and one square root.
///
/// With x = (1 − r)/(1 − r*), ψ² / (ψ*² x (2 − x)) is smooth and near 1, so a bilinear table of it over x and γ (64 × 60
/// cells) gives ψ within [`Nozzle::RELATIVE_ERROR`] for γ from 1.10 to 1.70; another γ takes the exact formula.
#[derive(Debug, Clone)]
pub struct Nozzle {
    /// 1 − r* and ψ* at each γ of the table.
    critical: Vec<[f64; 2]>,
    shape: Vec<f64>,
}

impl Nozzle {
    /// Greatest relative error of [`Nozzle::flow_factor`] against [`flow_factor`] where 1 − r is above [`LINEAR_BELOW`].
    pub const RELATIVE_ERROR: f64 = 1e-4;

    /// The table, built at the first call and shared by the whole program.
    pub fn shared() -> &'static Self {
        static TABLE: OnceLock<Nozzle> = OnceLock::new();
        TABLE.get_or_init(Self::build)
    }

    fn build() -> Self {
        let mut critical = Vec::with_capacity(GAMMA_CELLS + 1);
        let mut shape = Vec::with_capacity((GAMMA_CELLS + 1) * ROW);
        for g in 0..=GAMMA_CELLS {
            let gamma = GAMMA_LOW + (GAMMA_HIGH - GAMMA_LOW) * g as f64 / GAMMA_CELLS as f64;
            let (drop, choked) = (1.0 - critical_pressure_ratio(gamma), choked_flow_factor(gamma));
            critical.push([drop, choked]);
            // The limit at x → 0: ψ² → 2 (1 − r).
            shape.push(drop / (choked * choked));
            for i in 1..=RATIO_CELLS {
                let x = i as f64 / RATIO_CELLS as f64;
                let relative = flow_factor(1.0 - x * drop, gamma) / choked;
                shape.push(relative * relative / (x * (2.0 - x)));
            }
        }
        Self { critical, shape }
    }

    /// ψ at the pressure ratio behind over before (any value: 1 and above give 0) and γ above 1; see [`flow_factor`].
    /// Rises from 0 with a finite slope, see [`LINEAR_BELOW`].
    #[inline]
    pub fn flow_factor(&self, pressure_ratio: f64, gamma: f64) -> f64 {
        let difference = 1.0 - pressure_ratio;
        if difference <= 0.0 {
            return 0.0;
        }
        if difference < LINEAR_BELOW {
            let t = difference / LINEAR_BELOW;
            return self.above_linear(LINEAR_BELOW, gamma) * t * (1.25 - 0.25 * t * t);
        }
        self.above_linear(difference, gamma)
    }

    #[inline]
    fn above_linear(&self, difference: f64, gamma: f64) -> f64 {
        const PER_GAMMA: f64 = GAMMA_CELLS as f64 / (GAMMA_HIGH - GAMMA_LOW);
        if !(GAMMA_LOW..=GAMMA_HIGH).contains(&gamma) {
            return flow_factor(1.0 - difference, gamma);
        }
        let place = (gamma - GAMMA_LOW) * PER_GAMMA;
        let g = (place as usize).min(GAMMA_CELLS - 1);
        let f = place - g as f64;
        let (low, high) = (self.critical[g], self.critical[g + 1]);
        let drop = low[0] + f * (high[0] - low[0]);
        let choked = low[1] + f * (high[1] - low[1]);
        if difference >= drop {
            return choked;
        }
        let x = difference / drop;
        let across = x * RATIO_CELLS as f64;
        let i = (across as usize).min(RATIO_CELLS - 1);
        let t = across - i as f64;
        let rows = &self.shape[g * ROW..(g + 2) * ROW];
        let (a, b) =
            (rows[i] + t * (rows[i + 1] - rows[i]), rows[ROW + i] + t * (rows[ROW + i + 1] - rows[ROW + i]));
        choked * (x * (2.0 - x) * (a + f * (b - a))).sqrt()
    }

    /// Mass flow in kg/s by the table; arguments as [`nozzle_mass_flow`].
    #[inline]
    pub fn mass_flow(
        &self,
        area: f64,
        total_pressure: f64,
        total_temperature: f64,
        gas_constant: f64,
        gamma: f64,
        pressure: f64,
    ) -> f64 {
        area * total_pressure / (gas_constant * total_temperature).sqrt()
            * self.flow_factor(pressure / total_pressure, gamma)
    }
}
