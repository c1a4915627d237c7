//! The polynomials of the duct gas, fitted to the NASA polynomials.
//!
//! One polynomial of degree 6 in cv over 200 to 2000 K replaces two pieces that meet at 1000 K, so that a duct cell needs no
//! branch. Outside cv stays what it is at the rim ([`energy_at`]). The price is an error, stated in `docs/physics/gas.md` and held by
//! a test.

use super::ENERGY_COEFFICIENTS;
use super::species::{NasaPolynomial, REFERENCE_TEMPERATURE};

/// Coefficients of cv.
const COEFFICIENTS: usize = ENERGY_COEFFICIENTS - 1;
/// The temperatures, 1000 K, between which the polynomials hold; outside cv is constant.
pub const HOLDS: [f64; 2] = [0.2, 2.0];
/// Between points of the fit, K.
const STEP: usize = 20;

/// The range in which a constituent is met most and fitted best, K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Core {
    /// From, K.
    pub least: f64,
    /// To, K.
    pub greatest: f64,
    /// Weight from there to 2000 K, where the constituent is hardly met, against 1 within.
    pub outer_weight: f64,
}

/// Air: from a cold intake to the end of compression.
pub const AIR_CORE: Core = Core { least: 240.0, greatest: 1200.0, outer_weight: 0.02 };

/// Fuel vapour: the same.
pub const FUEL_CORE: Core = Core { least: 240.0, greatest: 1200.0, outer_weight: 0.02 };

/// Burned gas: from an exhaust pipe at idle to where the cylinder's table of equilibrium has taken over.
pub const BURNED_CORE: Core = Core { least: 290.0, greatest: 2000.0, outer_weight: 0.02 };

/// How often the weights are changed. More does not help: the kink at 1000 K is left over.
const ROUNDS: usize = 24;

/// Sensible energy as coefficients of powers of T/1000 K, J/kg, zero at 298.15 K.
///
/// `polynomial` times `factor` is cp per kilogram, `gas_constant` is J/(kg K). Least greatest relative error of cp in the core, by least
/// squares with weights that grow where the error is great.
///
/// Source: C. L. Lawson's weights (1961), as in J. R. Rice, The Approximation of Functions II, 1969, section 13-10 (from memory).
pub fn sensible_energy(
    polynomial: &NasaPolynomial,
    factor: f64,
    gas_constant: f64,
    core: Core,
) -> [f64; ENERGY_COEFFICIENTS] {
    let cv = |t: f64| factor * polynomial.heat_capacity(t) - gas_constant;
    let fitted = evened(Points::new(&cv, gas_constant, core));
    let mut energy = [0.0; ENERGY_COEFFICIENTS];
    for (power, &c) in fitted.iter().enumerate() {
        energy[power + 1] = 1000.0 * c / (power + 1) as f64;
    }
    energy[0] = -horner(&energy, REFERENCE_TEMPERATURE / 1000.0);
    energy
}

/// Energy by the polynomial `c` at `x` thousand kelvin, J/kg; straight on outside [`HOLDS`].
#[inline]
pub fn energy_at(c: &[f64; ENERGY_COEFFICIENTS], x: f64) -> f64 {
    let inside = x.clamp(HOLDS[0], HOLDS[1]);
    let energy = horner(c, inside);
    let off = x - inside;
    if off.abs() > 0.0 { energy + horner_slope(c, inside) * off } else { energy }
}

/// Slope of [`energy_at`], J/kg by 1000 K.
#[inline]
pub fn slope_at(c: &[f64; ENERGY_COEFFICIENTS], x: f64) -> f64 {
    horner_slope(c, x.clamp(HOLDS[0], HOLDS[1]))
}

/// What is fitted: temperatures in 1000 K, cv and cp there, weights, and which points lie in the core.
struct Points {
    x: Vec<f64>,
    cv: Vec<f64>,
    cp: Vec<f64>,
    weight: Vec<f64>,
    in_core: Vec<bool>,
}

impl Points {
    fn new(cv: &dyn Fn(f64) -> f64, gas_constant: f64, core: Core) -> Self {
        let t: Vec<f64> = (200..=2000).step_by(STEP).map(f64::from).collect();
        let in_core: Vec<bool> = t.iter().map(|t| (core.least..=core.greatest).contains(t)).collect();
        let cv: Vec<f64> = t.iter().map(|&t| cv(t)).collect();
        Self {
            x: t.iter().map(|t| t / 1000.0).collect(),
            cp: cv.iter().map(|cv| cv + gas_constant).collect(),
            weight: in_core.iter().map(|&inside| if inside { 1.0 } else { core.outer_weight }).collect(),
            cv,
            in_core,
        }
    }
}

/// Least squares whose weights in the core are made to even the errors out.
fn evened(mut points: Points) -> [f64; COEFFICIENTS] {
    let mut best = (f64::INFINITY, [0.0; COEFFICIENTS]);
    for _ in 0..ROUNDS {
        let fitted = fit(&points);
        let error = |i: usize| ((horner(&fitted, points.x[i]) - points.cv[i]) / points.cp[i]).abs();
        let core = || (0..points.x.len()).filter(|&i| points.in_core[i]);
        let worst = core().map(error).fold(0.0, f64::max);
        if worst < best.0 {
            best = (worst, fitted);
        }
        let changed: Vec<_> = core().map(|i| (i, points.weight[i] * (error(i) / worst).sqrt())).collect();
        let mean = changed.iter().map(|(_, weight)| weight).sum::<f64>() / changed.len() as f64;
        for (i, weight) in changed {
            points.weight[i] = weight / mean;
        }
    }
    best.1
}

/// `Σ c[i] x^i`.
#[inline]
fn horner<const N: usize>(coefficients: &[f64; N], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// d/dx `Σ c[i] x^i`.
#[inline]
fn horner_slope(coefficients: &[f64; ENERGY_COEFFICIENTS], x: f64) -> f64 {
    let mut sum = 0.0;
    for power in (1..ENERGY_COEFFICIENTS).rev() {
        sum = sum * x + power as f64 * coefficients[power];
    }
    sum
}

/// Weighted least squares by Gram and Schmidt (modified), which keeps the digits that normal equations would lose.
fn fit(points: &Points) -> [f64; COEFFICIENTS] {
    let mut columns: [Vec<f64>; COEFFICIENTS] = Default::default();
    let mut target = Vec::new();
    for (i, &x) in points.x.iter().enumerate() {
        let mut value = points.weight[i] / points.cp[i];
        target.push(value * points.cv[i]);
        for column in &mut columns {
            column.push(value);
            value *= x;
        }
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
