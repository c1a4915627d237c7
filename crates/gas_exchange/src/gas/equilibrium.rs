//! Products of combustion of C, H, O, N and Ar: in chemical equilibrium, and frozen.

use mechanics::math::{exp, ln};

use super::GasError;
use super::species::{ATOMS, ELEMENTS, MoleNumbers, POLYNOMIALS, SPECIES, STANDARD_PRESSURE, Species};

/// Temperature at which the water-gas balance of cooling rich products stays as it is, K.
///
/// Heywood, Internal Combustion Engine Fundamentals, 4.9.2 (from memory): "a fixed composition at 1740 K", K = 3.5.
pub const FREEZING_TEMPERATURE: f64 = 1740.0;

/// Products of complete combustion: CO2, H2O, and O2 where lean; CO and H2 in water-gas balance at 1740 K where rich.
///
/// `elements` are kmol of C, H, O, N, Ar in the mass that is meant. Rich, with a = CO2 and K = (CO · H2O)/(CO2 · H2):
/// (C − a)(O − C − a) = K a (H/2 − O + C + a), a quadratic in a. K is that of the polynomials, 3.5 at 1740 K.
///
/// # Errors
/// [`GasError::Elements`] where carbon cannot even burn to CO, or where an element is missing.
pub fn frozen_products(elements: &[f64; ELEMENTS]) -> Result<MoleNumbers, GasError> {
    let [carbon, hydrogen, oxygen, nitrogen, argon] = *elements;
    if !(carbon > 0.0 && hydrogen > 0.0 && oxygen > carbon && nitrogen > 0.0 && argon > 0.0) {
        return Err(GasError::Elements { carbon, hydrogen, oxygen });
    }
    let mut moles = [0.0; SPECIES];
    let mut set = |species: Species, n: f64| moles[species as usize] = n;
    set(Species::N2, nitrogen / 2.0);
    set(Species::Ar, argon);
    let excess = oxygen - 2.0 * carbon - hydrogen / 2.0;
    if excess >= 0.0 {
        set(Species::CO2, carbon);
        set(Species::H2O, hydrogen / 2.0);
        set(Species::O2, excess / 2.0);
    } else {
        let k = water_gas_constant(FREEZING_TEMPERATURE);
        // (k − 1) a² + b a − c = 0; the root that lies between 0 and C, written so that k = 1 does no harm.
        let b = k * (hydrogen / 2.0 - oxygen + carbon) + oxygen;
        let c = carbon * (oxygen - carbon);
        let co2 = 2.0 * c / (b + (b * b + 4.0 * (k - 1.0) * c).sqrt());
        let h2o = oxygen - carbon - co2;
        set(Species::CO2, co2);
        set(Species::CO, carbon - co2);
        set(Species::H2O, h2o);
        set(Species::H2, hydrogen / 2.0 - h2o);
    }
    Ok(MoleNumbers(moles))
}

/// (CO · H2O)/(CO2 · H2) in equilibrium at `t` kelvin, 1.
pub fn water_gas_constant(t: f64) -> f64 {
    let gibbs = |species: Species| POLYNOMIALS[species as usize].gibbs(t);
    exp(gibbs(Species::CO2) + gibbs(Species::H2) - gibbs(Species::CO) - gibbs(Species::H2O))
}

/// Unknowns of the reduced system: the element potentials and the total of moles.
const UNKNOWNS: usize = ELEMENTS + 1;
const MOST_STEPS: u32 = 200;
/// Greatest change of a species over the total, and of any logarithm, in the last step. The error left is about its square.
const SETTLED: f64 = 1e-9;
const SETTLED_LOGARITHM: f64 = 1e-4;

/// Products in equilibrium at `t` kelvin, 1000 to 6000, and `p` pascal, of ideal gases of the eleven species.
///
/// Least Gibbs energy under the balances of elements, by Newton's method on the logarithms of the moles (NASA RP-1311 (1994),
/// part I, 2.3, and the step control of 3.3; from memory). `start` is where to begin: the solution next door saves half of
/// the steps.
///
/// # Errors
/// [`GasError::State`] outside the range, [`GasError::Elements`] where the elements do not make a gas,
/// [`GasError::NotSettled`] if 200 steps are not enough (never seen).
pub fn equilibrium(
    elements: &[f64; ELEMENTS],
    t: f64,
    p: f64,
    start: Option<&MoleNumbers>,
) -> Result<MoleNumbers, GasError> {
    settle(elements, t, p, start).map(|(moles, _)| moles)
}

/// [`equilibrium`], and how many Newton steps it took: the work, which tests keep an eye on.
///
/// # Errors
/// Those of [`equilibrium`].
pub fn settle(
    elements: &[f64; ELEMENTS],
    t: f64,
    p: f64,
    start: Option<&MoleNumbers>,
) -> Result<(MoleNumbers, u32), GasError> {
    if !((1000.0..=6000.0).contains(&t) && p > 0.0 && p.is_finite()) {
        return Err(GasError::State { temperature: t, pressure: p });
    }
    let first = match start {
        Some(moles) => *moles,
        None => frozen_products(elements)?,
    };
    // Trace species start at a millionth: logarithms need something to begin with.
    let mut total = first.total();
    let floor = 1e-6 * total;
    let mut log_moles = first.0.map(|n| ln(n.max(if start.is_some() { 1e-30 } else { floor })));
    let mut log_total = ln(total);
    let log_pressure = ln(p / STANDARD_PRESSURE);
    let gibbs: [f64; SPECIES] = core::array::from_fn(|j| POLYNOMIALS[j].gibbs(t) + log_pressure);
    let mut change = f64::INFINITY;
    for step in 1..=MOST_STEPS {
        let moles = log_moles.map(exp);
        let potentials: [f64; SPECIES] = core::array::from_fn(|j| gibbs[j] + log_moles[j] - log_total);
        let mut system = newton_system(elements, &moles, total, &potentials);
        solve(&mut system).ok_or(GasError::NotSettled { temperature: t, pressure: p, change })?;
        let step_total = system[ELEMENTS][UNKNOWNS];
        let steps: [f64; SPECIES] = core::array::from_fn(|j| {
            let pull: f64 = (0..ELEMENTS).map(|k| ATOMS[j][k] * system[k][UNKNOWNS]).sum();
            step_total - potentials[j] + pull
        });
        let share = step_share(&log_moles, log_total, &steps, step_total);
        for (log, step) in log_moles.iter_mut().zip(&steps) {
            *log += share * step;
        }
        log_total += share * step_total;
        total = exp(log_total);
        let largest = moles.iter().zip(&steps).map(|(n, step)| n * step.abs()).fold(0.0, f64::max);
        change = (largest / total).max(step_total.abs());
        if change <= SETTLED && steps.iter().all(|step| step.abs() <= SETTLED_LOGARITHM) {
            return Ok((MoleNumbers(log_moles.map(exp)), step));
        }
    }
    Err(GasError::NotSettled { temperature: t, pressure: p, change })
}

/// Rows: the balance of each element, then that of the total; the last column is the right-hand side.
fn newton_system(
    elements: &[f64; ELEMENTS],
    moles: &[f64; SPECIES],
    total: f64,
    potentials: &[f64; SPECIES],
) -> [[f64; UNKNOWNS + 1]; UNKNOWNS] {
    let mut system = [[0.0; UNKNOWNS + 1]; UNKNOWNS];
    for j in 0..SPECIES {
        let (n, potential) = (moles[j], potentials[j]);
        for k in 0..ELEMENTS {
            let atoms = ATOMS[j][k] * n;
            for i in 0..ELEMENTS {
                system[k][i] += atoms * ATOMS[j][i];
            }
            system[k][ELEMENTS] += atoms;
            system[ELEMENTS][k] += atoms;
            system[k][UNKNOWNS] += atoms * (potential - 1.0);
        }
        system[ELEMENTS][ELEMENTS] += n;
        system[ELEMENTS][UNKNOWNS] += n * (potential - 1.0);
    }
    for k in 0..ELEMENTS {
        system[k][UNKNOWNS] += elements[k];
    }
    system[ELEMENTS][ELEMENTS] -= total;
    system[ELEMENTS][UNKNOWNS] += total;
    system
}

/// How much of a Newton step is taken: no main species by more than e², no trace species above a share of 1e-4 at once.
fn step_share(log_moles: &[f64; SPECIES], log_total: f64, steps: &[f64; SPECIES], step_total: f64) -> f64 {
    /// ln 1e-8 and ln 1e-4.
    const TRACE: f64 = -18.420_681;
    const NOTICEABLE: f64 = -9.210_340;
    let mut main = 5.0 * step_total.abs();
    let mut share: f64 = 1.0;
    for (log, &step) in log_moles.iter().zip(steps) {
        let log_fraction = log - log_total;
        if log_fraction > TRACE {
            main = main.max(step.abs());
        } else if step > step_total {
            share = share.min(((NOTICEABLE - log_fraction) / (step - step_total)).abs());
        }
    }
    if main > 2.0 { share.min(2.0 / main) } else { share }
}

/// Gauss elimination with row exchange; the solution is left in the last column. `None` where the system is singular.
fn solve(system: &mut [[f64; UNKNOWNS + 1]; UNKNOWNS]) -> Option<()> {
    for column in 0..UNKNOWNS {
        let pivot = (column..UNKNOWNS)
            .max_by(|&a, &b| system[a][column].abs().total_cmp(&system[b][column].abs()))?;
        if system[pivot][column] == 0.0 || !system[pivot][column].is_finite() {
            return None;
        }
        system.swap(column, pivot);
        let pivot_row = system[column];
        for row in system.iter_mut().skip(column + 1) {
            let factor = row[column] / pivot_row[column];
            for (cell, above) in row.iter_mut().zip(&pivot_row).skip(column) {
                *cell -= factor * above;
            }
        }
    }
    for column in (0..UNKNOWNS).rev() {
        let value = system[column][UNKNOWNS] / system[column][column];
        system[column][UNKNOWNS] = value;
        for row in system.iter_mut().take(column) {
            row[UNKNOWNS] -= row[column] * value;
        }
    }
    Some(())
}
