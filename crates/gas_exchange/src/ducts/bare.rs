//! The bare kernel: an ideal gas in a straight tube without walls' friction or heat.
//!
//! It shares limiter, half step and flux with the ducts and is there for tests and for comparing speeds.

use super::DuctError;
use super::exact_riemann::Primitive;
use super::kernel::{Outcome, gain, slope_of, span};
use super::lanes::Lane;
use super::path::{self, Path};
use super::riemann::{FaceState, hllc, waves};
use super::row::{MARGIN, Row, RowMaker};

/// Cells that go through all passes before the next ones: their rows stay in the first-level cache.
const STRIP: usize = 128;

/// Rows of the bare kernel.
#[derive(Clone, Debug)]
pub struct BareFields {
    density: Row,
    energy: Row,
    velocity: Row,
    pressure: Row,
    sound_speed: Row,
    left: [Row; 3],
    right: [Row; 3],
    flux: [Row; 3],
    inverse_length: f64,
    gamma: f64,
}

impl BareFields {
    /// Whether the rows hold `cells` cells with their margins.
    pub fn fits(&self, cells: usize) -> bool {
        cells > 0 && span(cells + 1).1 + MARGIN <= self.density.len()
    }
}

/// A straight tube of ideal gas, open at both ends to more of the same gas.
#[derive(Clone, Debug)]
pub struct IdealTube {
    fields: BareFields,
    cells: usize,
    rate: f64,
    path: Path,
}

impl IdealTube {
    /// A tube of `cells` cells of `cell_length` m, filled cell by cell; `gamma` is the ratio of the specific heats.
    pub fn new(
        cells: usize,
        cell_length: f64,
        gamma: f64,
        mut state: impl FnMut(usize) -> Primitive,
    ) -> Self {
        let length = span(cells + 1).1 + MARGIN;
        let mut maker = RowMaker::default();
        let mut scratch = || std::array::from_fn(|_| maker.row(STRIP + 2 * MARGIN, 1.0));
        let (left, right, flux) = (scratch(), scratch(), scratch());
        let mut row = |value| maker.row(length, value);
        let mut fields = BareFields {
            density: row(1.0),
            energy: row(1.0),
            velocity: row(0.0),
            pressure: row(gamma - 1.0),
            sound_speed: row((gamma * (gamma - 1.0)).sqrt()),
            left,
            right,
            flux,
            inverse_length: 1.0 / cell_length,
            gamma,
        };
        let mut rate = 0.0_f64;
        for i in 0..cells {
            let Primitive { density, velocity, pressure } = state(i);
            let at = MARGIN + i;
            fields.density[at] = density;
            fields.energy[at] = pressure / (gamma - 1.0) + 0.5 * density * velocity * velocity;
            fields.velocity[at] = velocity;
            fields.pressure[at] = pressure;
            let sound_speed = (gamma * pressure / density).sqrt();
            fields.sound_speed[at] = sound_speed;
            rate = rate.max((velocity.abs() + sound_speed) / cell_length);
        }
        Self { fields, cells, rate, path: Path::best() }
    }

    /// Takes other instructions than the best.
    ///
    /// # Errors
    /// [`DuctError::Path`] when this machine has not got them.
    pub fn set_path(&mut self, path: Path) -> Result<(), DuctError> {
        self.path = path.checked()?;
        Ok(())
    }

    /// The longest step, s, for a Courant number.
    pub fn step_limit(&self, courant: f64) -> f64 {
        courant / self.rate
    }

    /// One step.
    ///
    /// # Errors
    /// [`DuctError::State`] naming the first cell without density or pressure.
    pub fn step(&mut self, dt: f64) -> Result<(), DuctError> {
        let outcome = path::bare_step(self.path, &mut self.fields, dt, self.cells);
        self.rate = outcome.rate;
        if outcome.sound {
            return Ok(());
        }
        let fine = |cell: usize| {
            let state = self.cell(cell);
            state.density > 0.0 && state.pressure > 0.0 && state.velocity.is_finite()
        };
        let cell = (0..self.cells).find(|&cell| !fine(cell)).unwrap_or(0);
        let state = self.cell(cell);
        Err(DuctError::State {
            duct: 0,
            cell,
            density: state.density,
            temperature: state.pressure / state.density,
            step: dt,
        })
    }

    /// State of a cell.
    ///
    /// # Panics
    /// When there is no such cell.
    pub fn cell(&self, cell: usize) -> Primitive {
        assert!(cell < self.cells, "the tube has no cell {cell}");
        let at = MARGIN + cell;
        Primitive {
            density: self.fields.density[at],
            velocity: self.fields.velocity[at],
            pressure: self.fields.pressure[at],
        }
    }
}

/// One step of the whole tube, strip by strip. The update runs a lane behind, so that the next strip still finds its
/// neighbour as it was.
#[inline(always)]
pub fn step<L: Lane>(f: &mut BareFields, dt: f64, cells: usize) -> Outcome {
    let (first, end, stop) = (MARGIN, MARGIN + cells, span(cells + 1).1);
    for row in [&mut f.density, &mut f.energy, &mut f.velocity, &mut f.pressure, &mut f.sound_speed] {
        let (start, last) = (row[first], row[end - 1]);
        row[first - 1] = start;
        row[end..].fill(last);
    }
    // No slope in the ghost before the first cell: its face has the value of its centre.
    f.right[0][MARGIN - 1] = f.density[first];
    f.right[1][MARGIN - 1] = f.velocity[first];
    f.right[2][MARGIN - 1] = f.pressure[first];
    let mut fastest = L::splat(0.0);
    let mut least = L::splat(1.0);
    let (mut from, mut done) = (first, first);
    while from < stop {
        let to = if from + STRIP < stop { from + STRIP } else { stop };
        // First order where the half step is not fine: that is rare, so a strip is done anew with a test at each cell.
        if !half_step::<L, false>(f, dt, from, to) {
            half_step::<L, true>(f, dt, from, to);
        }
        fluxes::<L>(f, from, to);
        let until = if to == stop { to } else { to - MARGIN };
        let behind = to - from + MARGIN;
        for flux in &mut f.flux {
            flux[behind] = flux[behind - 1];
        }
        (fastest, least) = update::<L>(f, dt, done, until, from, (fastest, least));
        for q in 0..3 {
            f.right[q][MARGIN - 1] = f.right[q][behind - 1];
            let mut k = 0;
            while k < MARGIN {
                L::load(&f.flux[q], behind - MARGIN + k).store(&mut f.flux[q], k);
                k += L::WIDTH;
            }
        }
        (from, done) = (to, until);
    }
    Outcome { rate: fastest.largest() * f.inverse_length, sound: L::all(L::splat(0.0).lt(least)) }
}

#[inline(always)]
fn half_step<L: Lane, const CAREFUL: bool>(f: &mut BareFields, dt: f64, from: usize, to: usize) -> bool {
    // Slopes are halved, so the half step is whole.
    let (k, gamma, zero) = (L::splat(dt * f.inverse_length), L::splat(f.gamma), L::splat(0.0));
    let mut signs = zero;
    let mut i = from;
    while i < to {
        let [mut d_rho, mut d_u, mut d_p] = half_slopes::<L>(f, i);
        let (rho, u, p) = (L::load(&f.density, i), L::load(&f.velocity, i), L::load(&f.pressure, i));
        let (carry, divergence) = (k * u, k * d_u);
        let mut rho_half = carry.fnma(d_rho, divergence.fnma(rho, rho));
        let mut u_half = carry.fnma(d_u, (k * d_p).fnma(rho.recip(), u));
        let mut p_half = carry.fnma(d_p, (gamma * divergence).fnma(p, p));
        let [mut rho_left, mut rho_right] = [rho_half - d_rho, rho_half + d_rho];
        let [mut p_left, mut p_right] = [p_half - d_p, p_half + d_p];
        if CAREFUL {
            let fine = zero.lt(rho_left.min(rho_right).min(p_left.min(p_right)));
            for value in [&mut d_rho, &mut d_u, &mut d_p] {
                *value = L::select(fine, *value, zero);
            }
            rho_half = L::select(fine, rho_half, rho);
            u_half = L::select(fine, u_half, u);
            p_half = L::select(fine, p_half, p);
            [rho_left, rho_right] = [rho_half - d_rho, rho_half + d_rho];
            [p_left, p_right] = [p_half - d_p, p_half + d_p];
        } else {
            signs = signs.negative_with(rho_left, rho_right).negative_with(p_left, p_right);
        }
        let j = i - from + MARGIN;
        rho_left.store(&mut f.left[0], j);
        rho_right.store(&mut f.right[0], j);
        (u_half - d_u).store(&mut f.left[1], j);
        (u_half + d_u).store(&mut f.right[1], j);
        p_left.store(&mut f.left[2], j);
        p_right.store(&mut f.right[2], j);
        i += L::WIDTH;
    }
    signs.none_negative()
}

/// Half slopes of density, velocity and pressure.
#[inline(always)]
fn half_slopes<L: Lane>(f: &BareFields, i: usize) -> [L; 3] {
    [slope_of(&f.density, i), slope_of(&f.velocity, i), slope_of(&f.pressure, i)]
}

/// The states on both sides of a face.
#[inline(always)]
fn sides<L: Lane>(f: &BareFields, i: usize, j: usize) -> [FaceState<L>; 2] {
    let (excess, capacity) = (L::splat(f.gamma - 1.0), L::splat(1.0 / (f.gamma - 1.0)));
    let pressure = [L::load(&f.right[2], j - 1), L::load(&f.left[2], j)];
    let left = FaceState {
        density: L::load(&f.right[0], j - 1),
        velocity: L::load(&f.right[1], j - 1),
        pressure: pressure[0],
        internal: capacity * pressure[0],
        excess,
        sound_speed: L::load(&f.sound_speed, i - 1),
    };
    let right = FaceState {
        density: L::load(&f.left[0], j),
        velocity: L::load(&f.left[1], j),
        pressure: pressure[1],
        internal: capacity * pressure[1],
        excess,
        sound_speed: L::load(&f.sound_speed, i),
    };
    [left, right]
}

/// Fluxes of a strip. The waves are found a lane ahead, so that the two long chains of operations run side by side.
#[inline(always)]
fn fluxes<L: Lane>(f: &mut BareFields, from: usize, to: usize) {
    let [left, right] = sides::<L>(f, from, MARGIN);
    let mut now = waves(left, right);
    let mut i = from;
    while i < to {
        let j = i - from + MARGIN;
        let [left, right] = sides::<L>(f, i + L::WIDTH, j + L::WIDTH);
        let next = waves(left, right);
        let [left, right] = sides::<L>(f, i, j);
        let flux = hllc(left, right, now);
        flux.mass.store(&mut f.flux[0], j);
        flux.momentum.store(&mut f.flux[1], j);
        flux.energy.store(&mut f.flux[2], j);
        now = next;
        i += L::WIDTH;
    }
}

/// Whole step of the cells `from..to`; the row of fluxes starts a margin before the strip at `strip`.
#[inline(always)]
fn update<L: Lane>(
    f: &mut BareFields,
    dt: f64,
    from: usize,
    to: usize,
    strip: usize,
    found: (L, L),
) -> (L, L) {
    let (k, half) = (L::splat(dt * f.inverse_length), L::splat(0.5));
    let (gamma, excess) = (L::splat(f.gamma), L::splat(f.gamma - 1.0));
    let (mut fastest, mut least) = found;
    let mut i = from;
    while i < to {
        let j = i + MARGIN - strip;
        let before = L::load(&f.density, i);
        let density = k.fma(gain::<L>(&f.flux[0], j), before);
        let momentum = k.fma(gain::<L>(&f.flux[1], j), before * L::load(&f.velocity, i));
        let energy = k.fma(gain::<L>(&f.flux[2], j), L::load(&f.energy, i));
        density.store(&mut f.density, i);
        energy.store(&mut f.energy, i);
        let volume = density.recip_estimated();
        let u = momentum * volume;
        let pressure = excess * (half * u).fnma(momentum, energy);
        let sound_speed = (gamma * pressure * volume).max(L::splat(0.0)).sqrt();
        u.store(&mut f.velocity, i);
        pressure.store(&mut f.pressure, i);
        sound_speed.store(&mut f.sound_speed, i);
        let rate = u.abs() + sound_speed;
        // `max` and `min` keep their second operand when the first is no number.
        fastest = rate.max(fastest);
        least = density.min(pressure).min(least);
        i += L::WIDTH;
    }
    (fastest, least)
}
