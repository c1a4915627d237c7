//! Burned gas in equilibrium, tabulated over temperature and the logarithm of pressure.
//!
//! The table holds how much energy and gas constant of the equilibrium differ from those of the frozen burned gas of the ducts.
//! The difference is let in between [`FROZEN_BELOW`] and [`EQUILIBRIUM_ABOVE`] by a weight that is 0 with its first and
//! second derivative at the lower end and 1 at the upper: so below the burned gas IS the frozen one, to the last bit, and
//! there is no jump in value or slope on the way. Between the nodes bicubic Hermite polynomials with slopes from cubic
//! splines: continuous with the first derivatives, which are those of the interpolant itself.

use mechanics::math::{exp, ln};

use super::GasError;
use super::duct_fit::horner;
use super::equilibrium::equilibrium;
use super::species::{ELEMENTS, MoleNumbers};

/// Below this temperature burned gas is the frozen constituent of the ducts exactly, K.
pub const FROZEN_BELOW: f64 = 1600.0;

/// Above this temperature burned gas is in equilibrium, K.
pub const EQUILIBRIUM_ABOVE: f64 = 1800.0;

/// Nodes from 1600 to 4000 K.
const TEMPERATURES: usize = 49;
const TEMPERATURE_STEP: f64 = 50.0;
/// Nodes from 0.2 bar in steps of e^0.4 to 400 bar.
const PRESSURES: usize = 20;
const PRESSURE_STEP: f64 = 0.4;
const LEAST_PRESSURE: f64 = 0.2e5;

/// Burned gas at a temperature and a pressure, with derivatives.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BurnedState {
    /// Specific internal energy with that of formation, J/kg.
    pub energy: f64,
    /// ∂e/∂T at constant pressure, J/(kg K).
    pub energy_t: f64,
    /// ∂e/∂p at constant temperature, J/(kg Pa).
    pub energy_p: f64,
    /// Specific gas constant p v / T, J/(kg K).
    pub gas_constant: f64,
    /// ∂R/∂T, J/(kg K²).
    pub gas_constant_t: f64,
    /// ∂R/∂p, J/(kg K Pa).
    pub gas_constant_p: f64,
}

/// A quantity's value and slopes at a node, twice: energy and gas constant.
type Node = [[f64; 2]; 4];

/// What lies between equilibrium and the frozen burned gas.
#[derive(Clone, Debug, PartialEq)]
pub struct BurnedTable {
    /// Node (i, j) at i · PRESSURES + j: value, slope in T, slope in ln p, mixed slope; in steps of the grid.
    nodes: Vec<Node>,
    /// Sensible energy of the frozen gas, powers of T/1000 K, with formation in the first; J/kg.
    energy: [f64; 6],
    gas_constant: f64,
}

/// Energy and gas constant with their slopes in T (per K) and ln p.
type Difference = [[f64; 2]; 3];

impl BurnedTable {
    /// Solves the equilibrium at each node: some milliseconds.
    ///
    /// `energy` is that of the frozen burned gas with formation, as powers of T/1000 K.
    ///
    /// # Errors
    /// Those of [`equilibrium`].
    pub fn new(elements: &[f64; ELEMENTS], energy: [f64; 6], gas_constant: f64) -> Result<Self, GasError> {
        let mut values = vec![[0.0; 2]; TEMPERATURES * PRESSURES];
        let mut row_start: Option<MoleNumbers> = None;
        for j in 0..PRESSURES {
            let pressure = LEAST_PRESSURE * exp(PRESSURE_STEP * j as f64);
            let mut start = row_start;
            for i in 0..TEMPERATURES {
                let t = FROZEN_BELOW + TEMPERATURE_STEP * i as f64;
                let products = equilibrium(elements, t, pressure, start.as_ref())?;
                values[i * PRESSURES + j] = [
                    products.energy(t) - horner(&energy, t / 1000.0),
                    products.gas_constant() - gas_constant,
                ];
                start = Some(products);
                if i == 0 {
                    row_start = start;
                }
            }
        }
        Ok(Self { nodes: with_slopes(&values), energy, gas_constant })
    }

    /// The burned gas at `t` kelvin and `p` pascal. Beyond 4000 K, below 0.2 bar and above 400 bar the difference to the
    /// frozen gas continues as a straight line in T and ln p.
    #[inline]
    pub fn state(&self, t: f64, p: f64) -> BurnedState {
        let x = t * 1e-3;
        let [_, e1, e2, e3, e4, e5] = self.energy;
        let mut state = BurnedState {
            energy: horner(&self.energy, x),
            energy_t: 1e-3 * (e1 + x * (2.0 * e2 + x * (3.0 * e3 + x * (4.0 * e4 + x * 5.0 * e5)))),
            gas_constant: self.gas_constant,
            ..BurnedState::default()
        };
        if t > FROZEN_BELOW {
            let (weight, slope) = weight(t);
            let [value, in_t, in_log_p] = self.difference(t, ln(p * (1.0 / LEAST_PRESSURE)));
            let per_pressure = weight / p;
            state.energy += weight * value[0];
            state.energy_t += weight * in_t[0] + slope * value[0];
            state.energy_p = per_pressure * in_log_p[0];
            state.gas_constant += weight * value[1];
            state.gas_constant_t = weight * in_t[1] + slope * value[1];
            state.gas_constant_p = per_pressure * in_log_p[1];
        }
        state
    }

    #[inline]
    fn difference(&self, t: f64, log_p: f64) -> Difference {
        let along_t = (t - FROZEN_BELOW) * (1.0 / TEMPERATURE_STEP);
        let along_p = log_p * (1.0 / PRESSURE_STEP);
        let inside =
            along_t <= (TEMPERATURES - 1) as f64 && along_p >= 0.0 && along_p <= (PRESSURES - 1) as f64;
        if inside { self.inside(along_t, along_p) } else { self.beyond(along_t, along_p) }
    }

    #[inline]
    fn inside(&self, along_t: f64, along_p: f64) -> Difference {
        let i = (along_t as usize).min(TEMPERATURES - 2);
        let j = (along_p as usize).min(PRESSURES - 2);
        let a = Hermite::at(along_t - i as f64);
        let b = Hermite::at(along_p - j as f64);
        let first = i * PRESSURES + j;
        let mut found: Difference = [[0.0; 2]; 3];
        for (side_t, row) in [first, first + PRESSURES].into_iter().enumerate() {
            for side_p in 0..2 {
                let [f, f_t, f_p, f_tp] = self.nodes[row + side_p];
                for q in 0..2 {
                    let value = f[q] * b.value[side_p] + f_p[q] * b.tangent[side_p];
                    let slope = f_t[q] * b.value[side_p] + f_tp[q] * b.tangent[side_p];
                    let value_p = f[q] * b.value_slope[side_p] + f_p[q] * b.tangent_slope[side_p];
                    let slope_p = f_t[q] * b.value_slope[side_p] + f_tp[q] * b.tangent_slope[side_p];
                    found[0][q] += a.value[side_t] * value + a.tangent[side_t] * slope;
                    found[1][q] += a.value_slope[side_t] * value + a.tangent_slope[side_t] * slope;
                    found[2][q] += a.value[side_t] * value_p + a.tangent[side_t] * slope_p;
                }
            }
        }
        let [value, in_t, in_p] = found;
        [value, in_t.map(|s| s * (1.0 / TEMPERATURE_STEP)), in_p.map(|s| s * (1.0 / PRESSURE_STEP))]
    }

    /// Straight on from the nearest point of the table, in both directions.
    #[cold]
    fn beyond(&self, along_t: f64, along_p: f64) -> Difference {
        let edge_t = along_t.clamp(0.0, (TEMPERATURES - 1) as f64);
        let edge_p = along_p.clamp(0.0, (PRESSURES - 1) as f64);
        let far_t = TEMPERATURE_STEP * (along_t - edge_t);
        let far_p = PRESSURE_STEP * (along_p - edge_p);
        let [value, in_t, in_p] = self.inside(edge_t, edge_p);
        // The mixed slope along an edge: between the two nodes beside the point it is interpolated like a value.
        let mixed = self.mixed(edge_t, edge_p);
        let mut found = [value, in_t, in_p];
        for q in 0..2 {
            found[0][q] += in_t[q] * far_t + in_p[q] * far_p + mixed[q] * far_t * far_p;
            found[1][q] += mixed[q] * far_p;
            found[2][q] += mixed[q] * far_t;
        }
        found
    }

    fn mixed(&self, along_t: f64, along_p: f64) -> [f64; 2] {
        let i = (along_t as usize).min(TEMPERATURES - 2);
        let j = (along_p as usize).min(PRESSURES - 2);
        let a = Hermite::at(along_t - i as f64);
        let b = Hermite::at(along_p - j as f64);
        let mut mixed = [0.0; 2];
        for side_t in 0..2 {
            for side_p in 0..2 {
                let [f, f_t, f_p, f_tp] = self.nodes[(i + side_t) * PRESSURES + j + side_p];
                for q in 0..2 {
                    let value_p = f[q] * b.value_slope[side_p] + f_p[q] * b.tangent_slope[side_p];
                    let slope_p = f_t[q] * b.value_slope[side_p] + f_tp[q] * b.tangent_slope[side_p];
                    mixed[q] += a.value_slope[side_t] * value_p + a.tangent_slope[side_t] * slope_p;
                }
            }
        }
        mixed.map(|m| m / (TEMPERATURE_STEP * PRESSURE_STEP))
    }
}

/// Weight of the equilibrium at `t` above [`FROZEN_BELOW`], and its slope per kelvin: 10 u³ − 15 u⁴ + 6 u⁵.
#[inline]
fn weight(t: f64) -> (f64, f64) {
    const WIDTH: f64 = EQUILIBRIUM_ABOVE - FROZEN_BELOW;
    let u = (t - FROZEN_BELOW) * (1.0 / WIDTH);
    if u >= 1.0 {
        (1.0, 0.0)
    } else {
        let v = u * (1.0 - u);
        (u * u * u * (10.0 + u * (6.0 * u - 15.0)), v * v * (30.0 / WIDTH))
    }
}

/// The four cubic Hermite polynomials of a unit interval, at its two ends, with their derivatives.
struct Hermite {
    value: [f64; 2],
    tangent: [f64; 2],
    value_slope: [f64; 2],
    tangent_slope: [f64; 2],
}

impl Hermite {
    #[inline]
    fn at(u: f64) -> Self {
        let v = 1.0 - u;
        let upper = u * u * (3.0 - 2.0 * u);
        let slope = 6.0 * u * v;
        Self {
            value: [1.0 - upper, upper],
            tangent: [u * v * v, -u * u * v],
            value_slope: [-slope, slope],
            tangent_slope: [v * (1.0 - 3.0 * u), u * (3.0 * u - 2.0)],
        }
    }
}

fn with_slopes(values: &[[f64; 2]]) -> Vec<Node> {
    let mut nodes: Vec<Node> = values.iter().map(|&value| [value, [0.0; 2], [0.0; 2], [0.0; 2]]).collect();
    // In each line of nodes, the slopes at `to` of the splines through what stands at `from`.
    let fill = |nodes: &mut [Node], line: &[usize], from: usize, to: usize| {
        let slopes =
            [0, 1].map(|q| spline_slopes(&line.iter().map(|&n| nodes[n][from][q]).collect::<Vec<_>>()));
        for (i, &n) in line.iter().enumerate() {
            nodes[n][to] = [slopes[0][i], slopes[1][i]];
        }
    };
    let along_t: Vec<Vec<usize>> =
        (0..PRESSURES).map(|j| (0..TEMPERATURES).map(|i| i * PRESSURES + j).collect()).collect();
    let along_p: Vec<Vec<usize>> =
        (0..TEMPERATURES).map(|i| (0..PRESSURES).map(|j| i * PRESSURES + j).collect()).collect();
    for line in &along_t {
        fill(&mut nodes, line, 0, 1);
    }
    for line in &along_p {
        fill(&mut nodes, line, 0, 2);
    }
    for line in &along_t {
        fill(&mut nodes, line, 2, 3);
    }
    nodes
}

/// Slopes, per step, of the cubic spline through equally spaced values; at both ends the slope of the quartic through five values.
///
/// m(i−1) + 4 m(i) + m(i+1) = 3 (f(i+1) − f(i−1)).
fn spline_slopes(values: &[f64]) -> Vec<f64> {
    let n = values.len();
    let end = |f: [f64; 5]| (-25.0 * f[0] + 48.0 * f[1] - 36.0 * f[2] + 16.0 * f[3] - 3.0 * f[4]) / 12.0;
    let mut slopes = vec![0.0; n];
    slopes[0] = end(core::array::from_fn(|i| values[i]));
    slopes[n - 1] = -end(core::array::from_fn(|i| values[n - 1 - i]));
    // Thomas' elimination: `above` is what the row hands down of the next slope.
    let mut above = vec![0.0; n];
    for i in 1..n - 1 {
        let right = 3.0 * (values[i + 1] - values[i - 1]);
        let diagonal = 4.0 - above[i - 1];
        above[i] = 1.0 / diagonal;
        slopes[i] = (right - slopes[i - 1]) / diagonal;
    }
    for i in (1..n - 1).rev() {
        slopes[i] -= above[i] * slopes[i + 1];
    }
    slopes
}
