//! Burned gas in equilibrium, tabulated over temperature and octaves of pressure.
//!
//! The table holds how much energy and gas constant of the equilibrium differ from those of the frozen burned gas of the ducts.
//! The difference is let in between [`FROZEN_BELOW`] and [`EQUILIBRIUM_ABOVE`] by a weight that is 0 with its first and
//! second derivative at the lower end and 1 at the upper: so below the burned gas IS the frozen one, to rounding, and
//! there is no jump in value or slope on the way. Between the nodes bicubic Hermite polynomials with slopes from cubic
//! splines: continuous with the first derivatives, which are those of the interpolant itself.

use mechanics::math::ln;

use super::duct_fit::{energy_at, slope_at};
use super::equilibrium::settle;
use super::species::{ELEMENTS, MoleNumbers};
use super::{ENERGY_COEFFICIENTS, GasError};

/// Below this temperature burned gas is the frozen constituent of the ducts exactly, K.
pub const FROZEN_BELOW: f64 = 1600.0;

/// Above this temperature burned gas is in equilibrium, K.
pub const EQUILIBRIUM_ABOVE: f64 = 1800.0;

/// Nodes from 1600 to 4000 K.
const TEMPERATURES: usize = 49;
const TEMPERATURE_STEP: f64 = 50.0;
/// Nodes from 2^14 Pa (0.16 bar) in half octaves to 2^25.5 Pa (475 bar); see [`octaves`].
const PRESSURES: usize = 24;
const OCTAVE_STEP: f64 = 0.5;
const LEAST_OCTAVES: f64 = 14.0;

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

/// Value, slope in T, slope in octaves and mixed slope at a node, in steps of the grid; of energy and gas constant.
type Node = [[f64; 2]; 4];

/// Coefficients of powers of the way through a cell: in T, in octaves; of energy and gas constant.
type Cell = [[[f64; 2]; 4]; 4];

/// What lies between equilibrium and the frozen burned gas.
#[derive(Clone, Debug, PartialEq)]
pub struct BurnedTable {
    /// Cell (i, j) at i · (PRESSURES − 1) + j.
    cells: Vec<Cell>,
    /// Sensible energy of the frozen gas, powers of T/1000 K, with formation in the first; J/kg.
    energy: [f64; ENERGY_COEFFICIENTS],
    gas_constant: f64,
    steps: u32,
}

/// Energy and gas constant with their slopes in T (per K) and in octaves.
type Difference = [[f64; 2]; 3];

impl BurnedTable {
    /// Solves the equilibrium at each node: some milliseconds.
    ///
    /// `energy` is that of the frozen burned gas with formation, as powers of T/1000 K.
    ///
    /// # Errors
    /// Those of [`settle`].
    pub fn new(
        elements: &[f64; ELEMENTS],
        energy: [f64; ENERGY_COEFFICIENTS],
        gas_constant: f64,
    ) -> Result<Self, GasError> {
        let mut values = vec![[0.0; 2]; TEMPERATURES * PRESSURES];
        let mut steps = 0;
        let mut row_start: Option<MoleNumbers> = None;
        for j in 0..PRESSURES {
            let pressure = pressure_at(LEAST_OCTAVES + OCTAVE_STEP * j as f64);
            let mut start = row_start;
            for i in 0..TEMPERATURES {
                let t = FROZEN_BELOW + TEMPERATURE_STEP * i as f64;
                let (products, more) = settle(elements, t, pressure, start.as_ref())?;
                steps += more;
                values[i * PRESSURES + j] = [
                    products.energy(t) - energy_at(&energy, t / 1000.0),
                    products.gas_constant() - gas_constant,
                ];
                start = Some(products);
                if i == 0 {
                    row_start = start;
                }
            }
        }
        Ok(Self { cells: cells(&with_slopes(&values)), energy, gas_constant, steps })
    }

    /// Newton steps that all nodes took together: the work of building the table, which tests keep an eye on.
    pub fn steps(&self) -> u32 {
        self.steps
    }

    /// The burned gas at `t` kelvin and `p` pascal. Beyond 4000 K, below 0.16 bar and above 475 bar the difference to the
    /// frozen gas continues as a straight line in T and octaves.
    #[inline]
    pub fn state(&self, t: f64, p: f64) -> BurnedState {
        let x = t * 1e-3;
        let mut state = BurnedState {
            energy: energy_at(&self.energy, x),
            energy_t: 1e-3 * slope_at(&self.energy, x),
            gas_constant: self.gas_constant,
            ..BurnedState::default()
        };
        if t > FROZEN_BELOW {
            let (weight, slope) = weight(t);
            let (octaves, octaves_p) = octaves(p);
            let [value, in_t, in_octaves] = self.difference(t, octaves);
            let per_pressure = weight * octaves_p;
            state.energy += weight * value[0];
            state.energy_t += weight * in_t[0] + slope * value[0];
            state.energy_p = per_pressure * in_octaves[0];
            state.gas_constant += weight * value[1];
            state.gas_constant_t = weight * in_t[1] + slope * value[1];
            state.gas_constant_p = per_pressure * in_octaves[1];
        }
        state
    }

    #[inline]
    fn difference(&self, t: f64, octaves: f64) -> Difference {
        let along_t = (t - FROZEN_BELOW) * (1.0 / TEMPERATURE_STEP);
        let along_p = (octaves - LEAST_OCTAVES) * (1.0 / OCTAVE_STEP);
        let inside =
            along_t < (TEMPERATURES - 1) as f64 && along_p >= 0.0 && along_p < (PRESSURES - 1) as f64;
        if inside { self.inside(along_t, along_p) } else { self.beyond(along_t, along_p) }
    }

    /// The cell around a point, and the point in it, 0 to 1 both ways.
    #[inline]
    fn cell(&self, along_t: f64, along_p: f64) -> (&Cell, f64, f64) {
        let (i, u) = split(along_t, TEMPERATURES - 2);
        let (j, v) = split(along_p, PRESSURES - 2);
        (&self.cells[i * (PRESSURES - 1) + j], u, v)
    }

    #[inline]
    fn inside(&self, along_t: f64, along_p: f64) -> Difference {
        let (cell, u, v) = self.cell(along_t, along_p);
        let mut values: [[f64; 2]; 4] = [[0.0; 2]; 4];
        let mut slopes: [[f64; 2]; 4] = [[0.0; 2]; 4];
        for (row, (value, slope)) in cell.iter().zip(values.iter_mut().zip(&mut slopes)) {
            (*value, *slope) = cubic(row, v);
        }
        let (value, in_t) = cubic(&values, u);
        let (in_p, _) = cubic(&slopes, u);
        [value, in_t.map(|s| s * (1.0 / TEMPERATURE_STEP)), in_p.map(|s| s * (1.0 / OCTAVE_STEP))]
    }

    /// Straight on from the nearest point of the table, in both directions.
    #[cold]
    fn beyond(&self, along_t: f64, along_p: f64) -> Difference {
        // Just inside the last cell.
        const INSIDE: f64 = 1e-9;
        let edge_t = along_t.clamp(0.0, (TEMPERATURES - 1) as f64 - INSIDE);
        let edge_p = along_p.clamp(0.0, (PRESSURES - 1) as f64 - INSIDE);
        let far_t = TEMPERATURE_STEP * (along_t - edge_t);
        let far_p = OCTAVE_STEP * (along_p - edge_p);
        let mut found = self.inside(edge_t, edge_p);
        let (cell, u, v) = self.cell(edge_t, edge_p);
        let (_, mixed) = cubic(&cell.map(|row| cubic(&row, v).1), u);
        for (q, mixed) in mixed.into_iter().enumerate() {
            let mixed = mixed / (TEMPERATURE_STEP * OCTAVE_STEP);
            found[0][q] += found[1][q] * far_t + found[2][q] * far_p + mixed * far_t * far_p;
            found[1][q] += mixed * far_p;
            found[2][q] += mixed * far_t;
        }
        found
    }
}

/// A pressure in octaves of a pascal, and the slope of that per pascal: the exponent of the number, and between whole octaves
/// z = e + (942 m − 472 m² + 272 m³ − 112 m⁴ + 21 m⁵)/651 for p = 2^e (1 + m).
///
/// The polynomial stands in for the logarithm to base 2, within 0.0005. It meets itself at whole octaves with its first four
/// slopes, so that what is smooth in it is smooth in pressure; and it takes no logarithm and no division.
#[inline]
fn octaves(p: f64) -> (f64, f64) {
    const MANTISSA: u64 = (1 << 52) - 1;
    let bits = p.to_bits();
    let exponent = bits >> 52;
    let m = f64::from_bits((bits & MANTISSA) | 1.0_f64.to_bits()) - 1.0;
    let [a, b, c, d, e] = [942.0 / 651.0, -472.0 / 651.0, 272.0 / 651.0, -112.0 / 651.0, 21.0 / 651.0];
    let square = m * m;
    let value = m * (a + m * b + square * (c + m * d + square * e));
    let slope = a + 2.0 * b * m + square * (3.0 * c + 4.0 * d * m + square * (5.0 * e));
    // 2^−e; below 2^−1022 Pa there is no gas.
    let octave = f64::from_bits(2046_u64.saturating_sub(exponent) << 52);
    (exponent as f64 - 1023.0 + value, slope * octave)
}

/// The pressure at so many octaves, Pa, by bisection; only for building the table.
fn pressure_at(z: f64) -> f64 {
    let (mut low, mut high) = (1.0, 1e12);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        *(if octaves(middle).0 < z { &mut low } else { &mut high }) = middle;
    }
    high
}

/// Value and slope at `x` of the cubics with these coefficients, of both quantities side by side.
#[inline]
fn cubic(c: &[[f64; 2]; 4], x: f64) -> ([f64; 2], [f64; 2]) {
    let square = x * x;
    let two = |q: usize| {
        let [a, b, c, d] = [c[0][q], c[1][q], c[2][q], c[3][q]];
        (a + x * b + square * (c + x * d), b + 2.0 * x * c + square * (3.0 * d))
    };
    let [(v0, s0), (v1, s1)] = [two(0), two(1)];
    ([v0, v1], [s0, s1])
}

/// Number of the cell of a place on the grid, from 0 to less than the last node, and the way into it. On the border of two cells
/// either will do. `last` is the last cell: it only keeps a NaN from reaching beyond the table.
#[inline]
fn split(along: f64, last: usize) -> (usize, f64) {
    /// 1.5 · 2^52: adding it leaves a whole number in the lowest bits, without a conversion.
    const WHOLE: f64 = 6_755_399_441_055_744.0;
    let shifted = (along - 0.5) + WHOLE;
    (((shifted.to_bits() & 0xFFFF) as usize).min(last), along - (shifted - WHOLE))
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

/// The bicubic polynomials that have the values and slopes of the nodes at their corners.
fn cells(nodes: &[Node]) -> Vec<Cell> {
    // From both ends of a unit interval: value, slope, and what makes the ends meet.
    let between = |f: [f64; 2], m: [f64; 2]| {
        let rise = f[1] - f[0];
        [f[0], m[0], 3.0 * rise - 2.0 * m[0] - m[1], m[0] + m[1] - 2.0 * rise]
    };
    let mut cells = Vec::with_capacity((TEMPERATURES - 1) * (PRESSURES - 1));
    for i in 0..TEMPERATURES - 1 {
        for j in 0..PRESSURES - 1 {
            let mut cell: Cell = [[[0.0; 2]; 4]; 4];
            for q in 0..2 {
                let at = |side_t: usize, side_p: usize, what: usize| {
                    nodes[(i + side_t) * PRESSURES + j + side_p][what][q]
                };
                // Along octaves at both temperatures, of the value and of the slope in T; then along T.
                let along_p = |side_t: usize, value: usize, slope: usize| {
                    between(
                        [at(side_t, 0, value), at(side_t, 1, value)],
                        [at(side_t, 0, slope), at(side_t, 1, slope)],
                    )
                };
                let (cold, hot) = (along_p(0, 0, 2), along_p(1, 0, 2));
                let (cold_slope, hot_slope) = (along_p(0, 1, 3), along_p(1, 1, 3));
                for power_p in 0..4 {
                    let along_t =
                        between([cold[power_p], hot[power_p]], [cold_slope[power_p], hot_slope[power_p]]);
                    for (row, coefficient) in cell.iter_mut().zip(along_t) {
                        row[power_p][q] = coefficient;
                    }
                }
            }
            cells.push(cell);
        }
    }
    cells
}

/// Slopes from cubic splines through the values: along T, along the logarithm of pressure, and of the latter along T again.
fn with_slopes(values: &[[f64; 2]]) -> Vec<Node> {
    let mut nodes: Vec<Node> = values.iter().map(|&value| [value, [0.0; 2], [0.0; 2], [0.0; 2]]).collect();
    let temperatures: Vec<f64> = (0..TEMPERATURES).map(|i| i as f64).collect();
    let pressures: Vec<f64> =
        (0..PRESSURES).map(|j| pressure_at(LEAST_OCTAVES + OCTAVE_STEP * j as f64)).collect();
    let logarithms: Vec<f64> = pressures.iter().map(|&p| ln(p)).collect();
    for j in 0..PRESSURES {
        let line: Vec<usize> = (0..TEMPERATURES).map(|i| i * PRESSURES + j).collect();
        fill(&mut nodes, &line, &temperatures, 0, 1);
    }
    for i in 0..TEMPERATURES {
        let line: Vec<usize> = (0..PRESSURES).map(|j| i * PRESSURES + j).collect();
        fill(&mut nodes, &line, &logarithms, 0, 2);
        for (&n, p) in line.iter().zip(&pressures) {
            // From per unit of ln p to per step of the grid.
            nodes[n][2] = nodes[n][2].map(|slope| slope * OCTAVE_STEP / (p * octaves(*p).1));
        }
    }
    for j in 0..PRESSURES {
        let line: Vec<usize> = (0..TEMPERATURES).map(|i| i * PRESSURES + j).collect();
        fill(&mut nodes, &line, &temperatures, 2, 3);
    }
    nodes
}

/// In a line of nodes at the places `x`, the slopes at `to` of the splines through what stands at `from`.
fn fill(nodes: &mut [Node], line: &[usize], x: &[f64], from: usize, to: usize) {
    let slopes =
        [0, 1].map(|q| spline_slopes(x, &line.iter().map(|&n| nodes[n][from][q]).collect::<Vec<_>>()));
    for (i, &n) in line.iter().enumerate() {
        nodes[n][to] = [slopes[0][i], slopes[1][i]];
    }
}

/// Slopes of the cubic spline through (x, f); at both ends the slope of the quartic through five points.
///
/// With h(i) = x(i+1) − x(i) and s(i) the slope of the chord:
/// m(i−1)/h(i−1) + 2 (1/h(i−1) + 1/h(i)) m(i) + m(i+1)/h(i) = 3 (s(i−1)/h(i−1) + s(i)/h(i)).
fn spline_slopes(x: &[f64], f: &[f64]) -> Vec<f64> {
    let last = f.len() - 1;
    let mut slopes = vec![0.0; f.len()];
    slopes[0] = end_slope([0, 1, 2, 3, 4].map(|i| (x[i], f[i])));
    slopes[last] = end_slope([0, 1, 2, 3, 4].map(|i| (x[last - i], f[last - i])));
    // Thomas' elimination: `above` is what the row hands down of the next slope.
    let mut above = vec![0.0; f.len()];
    for i in 1..last {
        let (before, after) = (1.0 / (x[i] - x[i - 1]), 1.0 / (x[i + 1] - x[i]));
        let right = 3.0 * ((f[i] - f[i - 1]) * before * before + (f[i + 1] - f[i]) * after * after);
        let diagonal = 2.0 * (before + after) - before * above[i - 1];
        above[i] = after / diagonal;
        slopes[i] = (right - before * slopes[i - 1]) / diagonal;
    }
    for i in (1..last).rev() {
        slopes[i] -= above[i] * slopes[i + 1];
    }
    slopes
}

/// Slope at the first of five points of the polynomial through them (Lagrange).
fn end_slope(points: [(f64, f64); 5]) -> f64 {
    let (x0, f0) = points[0];
    let mut slope = 0.0;
    for (i, &(x, f)) in points.iter().enumerate().skip(1) {
        let mut weight = 1.0 / (x - x0);
        for (j, &(other, _)) in points.iter().enumerate().skip(1) {
            if j != i {
                weight *= (x0 - other) / (x - other);
            }
        }
        slope += weight * (f - f0);
    }
    slope
}
