//! The polynomials of the duct gas, fitted to the NASA polynomials.
//!
//! One polynomial of degree 4 in cv over 200 to 2500 K replaces two pieces that meet at 1000 K, so that a duct cell needs no
//! branch. The price is an error, stated in `docs/physics/gas.md` and held by a test.

use super::ENERGY_COEFFICIENTS;
use super::species::{NasaPolynomial, REFERENCE_TEMPERATURE};

/// Coefficients of cv.
const COEFFICIENTS: usize = ENERGY_COEFFICIENTS - 1;
const LEAST: f64 = 200.0;
const GREATEST: f64 = 2500.0;
const BEYOND: f64 = 6000.0;
const STEP: f64 = 20.0;

/// The range in which a constituent is met most and fitted best, K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Core {
    /// From, K.
    pub least: f64,
    /// To, K.
    pub greatest: f64,
    /// Weight from there to 2500 K, where the constituent is hardly met, against 1 within.
    pub outer_weight: f64,
}

/// Air: from a cold intake to the end of compression.
pub const AIR_CORE: Core = Core { least: 240.0, greatest: 1200.0, outer_weight: 0.02 };

/// Fuel vapour: the same, as far as it matters.
pub const FUEL_CORE: Core = Core { least: 240.0, greatest: 1100.0, outer_weight: 0.01 };

/// Burned gas: from an exhaust pipe at idle to where dissociation begins.
pub const BURNED_CORE: Core = Core { least: 300.0, greatest: 1900.0, outer_weight: 0.05 };

/// Sensible energy as coefficients of powers of T/1000 K, J/kg, zero at 298.15 K.
///
/// `polynomial` times `factor` is cp per kilogram, `gas_constant` is J/(kg K). Least squares of the relative error of cv. Where
/// that would let cv fall to zero below 6000 K (large molecules), points from 2500 to 6000 K are given just enough weight to
/// keep it above, so that energy grows with temperature wherever it is asked for.
pub fn sensible_energy(
    polynomial: &NasaPolynomial,
    factor: f64,
    gas_constant: f64,
    core: Core,
) -> [f64; ENERGY_COEFFICIENTS] {
    let cv = |t: f64| factor * polynomial.heat_capacity(t) - gas_constant;
    let tails = [0.0, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5];
    let mut fitted = [0.0; COEFFICIENTS];
    for tail in tails {
        fitted = fit(&cv, core, tail);
        if grows(&fitted) {
            break;
        }
    }
    let mut energy = [0.0; ENERGY_COEFFICIENTS];
    for (power, &c) in fitted.iter().enumerate() {
        energy[power + 1] = 1000.0 * c / (power + 1) as f64;
    }
    energy[0] = -horner(&energy, REFERENCE_TEMPERATURE / 1000.0);
    energy
}

/// `Σ c[i] x^i`.
#[inline]
pub fn horner<const N: usize>(coefficients: &[f64; N], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// d/dx `Σ c[i] x^i`.
#[inline]
pub fn horner_slope(coefficients: &[f64; ENERGY_COEFFICIENTS], x: f64) -> f64 {
    let mut sum = 0.0;
    for power in (1..ENERGY_COEFFICIENTS).rev() {
        sum = sum * x + power as f64 * coefficients[power];
    }
    sum
}

/// Whether cv stays above a quarter of that at 300 K from 150 to 6000 K.
fn grows(cv: &[f64; COEFFICIENTS]) -> bool {
    let floor = 0.25 * horner(cv, 0.3);
    (0..=234).all(|i| horner(cv, 0.15 + 0.025 * f64::from(i)) > floor)
}

/// Weighted least squares by Gram and Schmidt (modified), which keeps the digits that normal equations would lose.
fn fit(cv: &dyn Fn(f64) -> f64, core: Core, tail: f64) -> [f64; COEFFICIENTS] {
    let mut columns: [Vec<f64>; COEFFICIENTS] = Default::default();
    let mut target = Vec::new();
    let points = ((BEYOND - LEAST) / STEP) as u32;
    for i in 0..=points {
        let t = LEAST + STEP * f64::from(i);
        let weight = if (core.least..=core.greatest).contains(&t) {
            1.0
        } else if t <= GREATEST {
            core.outer_weight
        } else {
            tail
        };
        let mut value = weight / cv(t);
        for column in &mut columns {
            column.push(value);
            value *= t / 1000.0;
        }
        target.push(weight);
    }
    least_squares(&mut columns, &mut target)
}

fn least_squares(columns: &mut [Vec<f64>; COEFFICIENTS], target: &mut [f64]) -> [f64; COEFFICIENTS] {
    let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(x, y)| x * y).sum::<f64>();
    let mut upper = [[0.0; COEFFICIENTS]; COEFFICIENTS];
    let mut right = [0.0; COEFFICIENTS];
    for k in 0..COEFFICIENTS {
        let length = dot(&columns[k], &columns[k]).sqrt();
        upper[k][k] = length;
        let unit: Vec<f64> = columns[k].iter().map(|v| v / length).collect();
        for later in k + 1..COEFFICIENTS {
            upper[k][later] = dot(&unit, &columns[later]);
            for (v, q) in columns[later].iter_mut().zip(&unit) {
                *v -= upper[k][later] * q;
            }
        }
        right[k] = dot(&unit, target);
        for (v, q) in target.iter_mut().zip(&unit) {
            *v -= right[k] * q;
        }
    }
    let mut solution = [0.0; COEFFICIENTS];
    for k in (0..COEFFICIENTS).rev() {
        let known: f64 = (k + 1..COEFFICIENTS).map(|j| upper[k][j] * solution[j]).sum();
        solution[k] = (right[k] - known) / upper[k][k];
    }
    solution
}
