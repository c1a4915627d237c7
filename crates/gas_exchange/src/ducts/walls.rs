//! Friction and heat at the walls.
//!
//! Force by volume: −2 f ρ u|u|/D with f of Fanning. Heat by volume: 4 h (Tw − T)/D with h of Colburn's analogy,
//! h = ½ f ρ|u| cp Pr^(−2/3). Where a laminar flow would have the greater value, that is taken: f = 16/Re, Nu = 3.66.
//! The friction factor follows the Reynolds number slowly (a power of −0.2 and less), so it is refreshed every few
//! steps only; the dependence on the velocity itself is taken at each half step.

use super::fields::{Fields, Mixing};

/// How many steps a friction factor is kept.
pub const KEEP_STEPS: u64 = 8;

/// Prandtl number of the working gas: 0.69 to 0.74 for air and burned gas from 300 to 2000 K (from memory).
const PRANDTL: f64 = 0.71;
/// 0.71^(−2/3).
const PRANDTL_POWER: f64 = 1.256_495_972_458_64;
/// Nusselt number of laminar flow in a long pipe of even wall temperature (Shah & London 1978, from memory).
const NUSSELT_LAMINAR: f64 = 3.66;
/// Below this Reynolds number the turbulent formula is not asked.
const REYNOLDS_LEAST: f64 = 1000.0;

/// Constants of one cell's wall.
#[derive(Clone, Copy, Debug)]
pub struct Wall {
    /// Index in the rows.
    pub cell: usize,
    /// Hydraulic diameter, m.
    pub diameter: f64,
    /// (ε/(3.7 D))^1.11.
    pub rough_term: f64,
    /// Multiplies the friction.
    pub friction_factor_scale: f64,
    /// Multiplies the heat.
    pub heat_factor: f64,
}

/// Dynamic viscosity, Pa s, by Sutherland's law for air; burned gas lies within some 5 %.
///
/// Source: U.S. Standard Atmosphere 1976, eq. 51: 1.458e-6 T^1.5/(T + 110.4) (from memory).
pub fn viscosity(temperature: f64) -> f64 {
    1.458e-6 * temperature * temperature.sqrt() / (temperature + 110.4)
}

/// Fanning's friction factor of turbulent flow, within 2 % of Colebrook for Reynolds numbers above 4000.
///
/// 1/√(4f) = −1.8 log₁₀((ε/(3.7 D))^1.11 + 6.9/Re).
///
/// Source: S. E. Haaland, J. Fluids Eng. 105 (1983) 89–90 (from memory).
pub fn fanning(rough_term: f64, reynolds: f64) -> f64 {
    let root = -1.8 * log10_rough(rough_term + 6.9 / reynolds);
    0.25 / (root * root)
}

/// Decimal logarithm within 2e-5, from the bits of the number: plenty for a friction factor, and a tenth of the cost.
fn log10_rough(x: f64) -> f64 {
    const LOG10_2: f64 = std::f64::consts::LOG10_2;
    let bits = x.to_bits();
    let exponent = (bits >> 52) as i32 - 1023;
    let mantissa = f64::from_bits((bits & 0x000f_ffff_ffff_ffff) | 0x3ff0_0000_0000_0000);
    // ln m = 2 artanh z = 2 (z + z³/3 + z⁵/5 + z⁷/7), z = (m − 1)/(m + 1) ≤ 1/3.
    let z = (mantissa - 1.0) / (mantissa + 1.0);
    let z2 = z * z;
    let ln = 2.0 * z * (1.0 + z2 * (1.0 / 3.0 + z2 * (0.2 + z2 / 7.0)));
    f64::from(exponent) * LOG10_2 + ln * std::f64::consts::LOG10_E
}

/// Renews drag and heat transfer of every wall.
pub fn refresh(f: &mut Fields, walls: &[Wall], mixing: &Mixing) {
    for wall in walls {
        let i = wall.cell;
        let (density, temperature, d) = (f.density[i], f.temperature[i], wall.diameter);
        let viscosity = viscosity(temperature);
        let reynolds = density * f.velocity[i].abs() * d / viscosity;
        let factor = fanning(wall.rough_term, reynolds.max(REYNOLDS_LEAST));
        let gas_constant = mixing.gas_constant(f.burned[i], f.fuel[i]);
        let pressure_heat_capacity = (f.capacity[i] + 1.0) * gas_constant;
        let (friction, heat) = (wall.friction_factor_scale, wall.heat_factor);
        f.drag[i] = friction * 2.0 * factor / d;
        f.drag_laminar[i] = friction * 32.0 * viscosity / (density * d * d);
        f.heat[i] = heat * 2.0 * factor * pressure_heat_capacity * PRANDTL_POWER / d;
        f.heat_laminar[i] =
            heat * 4.0 * NUSSELT_LAMINAR * pressure_heat_capacity * viscosity / (PRANDTL * d * d);
    }
}
