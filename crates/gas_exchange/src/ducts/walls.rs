//! What changes slowly: friction and heat at the walls, and how the energy depends on the composition.
//!
//! Force by volume: −2 f ρ u|u|/D with f of Fanning. Heat by volume: 4 h (Tw − T)/D with h of Colburn's analogy,
//! h = ½ f ρ|u| cp Pr^(−2/3). Where a laminar flow would have the greater value, that is taken: f = 16/Re, Nu = 3.66.
//! The friction factor follows the Reynolds number slowly (a power of −0.2 and less), so it is refreshed every few
//! steps only; the dependence on the velocity itself is taken at each half step.

use super::fields::{Fields, Mixing};
use super::kernel::composition_energies;
use super::lanes::Lane;

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

/// Dynamic viscosity, Pa s, by Sutherland's law for air; burned gas lies within some 5 %.
///
/// Source: U.S. Standard Atmosphere 1976, eq. 51: 1.458e-6 T^1.5/(T + 110.4) (from memory).
#[inline(always)]
pub fn viscosity<L: Lane>(temperature: L) -> L {
    let least = temperature.max(L::splat(1.0));
    L::splat(1.458e-6) * least * least.sqrt() * (least + L::splat(110.4)).recip_estimated()
}

/// Fanning's friction factor of turbulent flow, within 2 % of Colebrook for Reynolds numbers above 4000.
///
/// 1/√(4f) = −1.8 log₁₀((ε/(3.7 D))^1.11 + 6.9/Re), told 1/Re.
///
/// Source: S. E. Haaland, J. Fluids Eng. 105 (1983) 89–90 (from memory).
#[inline(always)]
pub fn fanning<L: Lane>(rough_term: L, inverse_reynolds: L) -> L {
    let logarithm = log10(inverse_reynolds.fma(L::splat(6.9), rough_term));
    L::splat(0.25 / (1.8 * 1.8)) * (logarithm * logarithm).recip_estimated()
}

/// Decimal logarithm of a normal positive number within 6e-7: log₁₀ x = e log₁₀ 2 + log₁₀ m with x = m·2^e, 1 ≤ m < 2, and
/// ln m = ln √2 + 2 artanh z by its series, z = (m − √2)/(m + √2), |z| < 0.172.
#[inline(always)]
fn log10<L: Lane>(x: L) -> L {
    const LOG_2: f64 = std::f64::consts::LOG10_2;
    let (exponent, mantissa) = x.exponent_and_mantissa();
    let root = L::splat(std::f64::consts::SQRT_2);
    let z = (mantissa - root) * (mantissa + root).recip_estimated();
    let z2 = z * z;
    let series = z2.fma(z2.fma(L::splat(0.2), L::splat(1.0 / 3.0)), L::splat(1.0));
    let beside = exponent.fma(L::splat(LOG_2), L::splat(0.5 * LOG_2));
    (L::splat(2.0 * std::f64::consts::LOG10_E) * z).fma(series, beside)
}

/// Renews drag, heat transfer and the energies of composition of the cells `from..to`.
#[inline(always)]
pub fn refresh<L: Lane>(f: &mut Fields, mixing: &Mixing, from: usize, to: usize) {
    let mut i = from;
    while i < to {
        let (density, inverse_diameter) = (L::load(&f.density, i), L::load(&f.inverse_diameter, i));
        let temperature = L::load(&f.temperature, i);
        // μ/D, and ρ|u| by it is the Reynolds number.
        let viscous = viscosity(temperature) * inverse_diameter;
        let stream = (density * L::load(&f.velocity, i).abs()).max(L::splat(REYNOLDS_LEAST) * viscous);
        let factor = fanning(L::load(&f.rough_term, i), viscous * stream.recip_estimated());
        let gas_constant = L::load(&f.burned, i).fma(
            L::splat(mixing.gas_constant_more[0]),
            L::load(&f.fuel, i).fma(L::splat(mixing.gas_constant_more[1]), L::splat(mixing.gas_constant)),
        );
        // One division for cv/R and 1/ρ.
        let excess = L::load(&f.excess, i);
        let reciprocal = (density * excess).recip();
        let (capacity, volume) = (density * reciprocal, excess * reciprocal);
        let kappa = composition_energies(mixing, capacity, temperature);
        kappa[0].store(&mut f.burned_energy, i);
        kappa[1].store(&mut f.fuel_energy, i);
        let pressure_heat_capacity = capacity.fma(gas_constant, gas_constant);
        let friction = L::load(&f.friction_scale, i) * inverse_diameter;
        let heat = L::load(&f.heat_factor, i) * inverse_diameter * pressure_heat_capacity;
        let factor = L::splat(2.0) * factor;
        (friction * factor).store(&mut f.drag, i);
        (L::splat(32.0) * friction * viscous * volume).store(&mut f.drag_laminar, i);
        (L::splat(PRANDTL_POWER) * heat * factor).store(&mut f.heat, i);
        (L::splat(4.0 * NUSSELT_LAMINAR / PRANDTL) * heat * viscous).store(&mut f.heat_laminar, i);
        i += L::WIDTH;
    }
}
