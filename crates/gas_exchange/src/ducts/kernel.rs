//! The passes over the cells. Plain loops without closures, generic over the width of the lanes (see `lanes`).

use super::fields::{Fields, Mixing, STRIP};
use super::lanes::Lane;
use super::riemann::{FaceState, half_slope, hllc, waves};
use super::row::MARGIN;

/// A value before the half step, half its limited slope over the cell and what it loses in half a step.
#[derive(Clone, Copy)]
pub struct Moving<L> {
    pub now: L,
    pub half_slope: L,
    pub loss: L,
}

impl<L: Lane> Moving<L> {
    /// Reads a cell and its neighbours.
    #[inline(always)]
    pub fn read(row: &[f64], at: usize) -> Self {
        let now = L::load(row, at);
        let half_slope = half_slope(now - L::load(row, at - 1), L::load(row, at + 1) - now);
        Self { now, half_slope, loss: L::splat(0.0) }
    }
    #[inline(always)]
    pub fn centre(self) -> L {
        self.now - self.loss
    }
    #[inline(always)]
    pub fn left(self) -> L {
        self.centre() - self.half_slope
    }
    #[inline(always)]
    pub fn right(self) -> L {
        self.centre() + self.half_slope
    }
    /// First order where the half step is not fine: no slope, no loss.
    #[inline(always)]
    pub fn flatten_unless(&mut self, fine: L::Mask) {
        let zero = L::splat(0.0);
        self.half_slope = L::select(fine, self.half_slope, zero);
        self.loss = L::select(fine, self.loss, zero);
    }
}

/// Half step of the cells, then fluxes through all faces, strip by strip; keeps the states inside the ends.
#[inline(always)]
pub fn predict<L: Lane>(f: &mut Fields, dt: f64, from: usize, to: usize) {
    let mut start = from;
    let mut end_number = 0;
    while start < to {
        let stop = if start + STRIP < to { start + STRIP } else { to };
        half_step::<L>(f, dt, start, stop);
        fluxes::<L>(f, start, stop);
        while end_number < f.ends.len() && f.ends[end_number].cell < stop {
            let end = &mut f.ends[end_number];
            let faces = if end.right { &f.right } else { &f.left };
            let at = end.cell - start + MARGIN;
            end.density = faces.density[at];
            end.velocity = faces.velocity[at];
            end.pressure = faces.pressure[at];
            end.burned = faces.burned[at];
            end.fuel = faces.fuel[at];
            end_number += 1;
        }
        // The right faces of the last cell are the left side of the next strip's first face.
        let last = stop - start + MARGIN - 1;
        for row in f.right.rows() {
            row[MARGIN - 1] = row[last];
        }
        start = stop;
    }
}

/// Slopes and half step of the cells `from..to`: states inside the faces, and the sources at the half step.
///
/// In primitive variables with area A: ∂ρ = −u ρ' − ρ d, ∂u = −u u' − p'/ρ − w u, ∂p = −u p' − γ p d + (γ−1)(q + ρ w u²),
/// ∂Y = −u Y', where d = u' + u A'/A, w the drag and q the heat by volume.
#[inline(always)]
fn half_step<L: Lane>(f: &mut Fields, dt: f64, from: usize, to: usize) {
    let (whole, half, zero) = (L::splat(dt), L::splat(0.5 * dt), L::splat(0.0));
    let mut i = from;
    while i < to {
        let mut density = Moving::<L>::read(&f.density, i);
        let mut velocity = Moving::<L>::read(&f.velocity, i);
        let mut pressure = Moving::<L>::read(&f.pressure, i);
        let mut burned = Moving::<L>::read(&f.burned, i);
        let mut fuel = Moving::<L>::read(&f.fuel, i);
        let (rho, u, p) = (density.now, velocity.now, pressure.now);
        // dt/2 by the length, times the slopes, which are halved.
        let k = whole * L::load(&f.inverse_length, i);
        let widening = L::load(&f.widening, i);
        let excess = L::load(&f.excess, i);
        // The divider has nothing else to do here.
        let specific_volume = rho.recip();
        let temperature = L::load(&f.temperature, i);
        let colder = L::load(&f.wall_temperature, i) - temperature;
        let (drag_factor, drag_least) = (L::load(&f.drag, i), L::load(&f.drag_laminar, i));
        let (film_factor, film_least) = (L::load(&f.heat, i), L::load(&f.heat_laminar, i));
        let speed = u.abs();
        // All times dt/2.
        let divergence = k.fma(velocity.half_slope, half * u * widening);
        let carry = k * u;
        let braking = half * (drag_factor * speed).max(drag_least) * u;
        let film = (film_factor * (rho * speed)).max(film_least);
        let warmth = (half * film).fma(colder, rho * u * braking);
        density.loss = carry.fma(density.half_slope, rho * divergence);
        velocity.loss =
            carry.fma(velocity.half_slope, (k * pressure.half_slope).fma(specific_volume, braking));
        let squeeze = carry.fma(pressure.half_slope, excess.fma(p, p) * divergence);
        pressure.loss = excess.fnma(warmth, squeeze);
        burned.loss = carry * burned.half_slope;
        fuel.loss = carry * fuel.half_slope;

        let least_density = density.centre() - density.half_slope.abs();
        let least_pressure = pressure.centre() - pressure.half_slope.abs();
        let fine = L::and(zero.lt(least_density), zero.lt(least_pressure));
        if !L::all(fine) {
            density.flatten_unless(fine);
            velocity.flatten_unless(fine);
            pressure.flatten_unless(fine);
            burned.flatten_unless(fine);
            fuel.flatten_unless(fine);
        }

        // Sources where the cell is at the half step; ΔT/T = Δp/p − Δρ/ρ, and T/p is kept.
        let (rho, u) = (density.centre(), velocity.centre());
        let cooler =
            pressure.loss.fma(temperature * p.recip(), -(temperature * specific_volume * density.loss));
        let speed = u.abs();
        let stream = rho * speed;
        let drag = (drag_factor * stream).max(drag_least * rho);
        let film = (film_factor * stream).max(film_least);
        drag.fnma(u, pressure.centre() * widening).store(&mut f.force, i);
        (film * (colder + cooler)).store(&mut f.heat_rate, i);

        // ρe = (cv/R) p + ρ (e − cv T + Σ κ ΔY) about the cell.
        let capacity = excess.recip();
        let (kappa_burned, kappa_fuel) = (L::load(&f.burned_energy, i), L::load(&f.fuel_energy, i));
        let middle = kappa_burned.fnma(burned.loss, kappa_fuel.fnma(fuel.loss, L::load(&f.intercept, i)));
        let aside = kappa_burned.fma(burned.half_slope, kappa_fuel * fuel.half_slope);
        let j = i - from + MARGIN;
        let (l, r) = (&mut f.left, &mut f.right);
        let (density_left, density_right) = (density.left(), density.right());
        let (pressure_left, pressure_right) = (pressure.left(), pressure.right());
        density_left.store(&mut l.density, j);
        density_right.store(&mut r.density, j);
        velocity.left().store(&mut l.velocity, j);
        velocity.right().store(&mut r.velocity, j);
        pressure_left.store(&mut l.pressure, j);
        pressure_right.store(&mut r.pressure, j);
        burned.left().store(&mut l.burned, j);
        burned.right().store(&mut r.burned, j);
        fuel.left().store(&mut l.fuel, j);
        fuel.right().store(&mut r.fuel, j);
        capacity.fma(pressure_left, density_left * (middle - aside)).store(&mut l.internal, j);
        capacity.fma(pressure_right, density_right * (middle + aside)).store(&mut r.internal, j);
        i += L::WIDTH;
    }
}

/// The states on both sides of a face; `j` is its place in the rows of the strip.
#[inline(always)]
fn sides<L: Lane>(f: &Fields, i: usize, j: usize) -> [FaceState<L>; 2] {
    let (rows_left, rows_right) = (&f.right, &f.left);
    let left = FaceState {
        density: L::load(&rows_left.density, j - 1),
        velocity: L::load(&rows_left.velocity, j - 1),
        pressure: L::load(&rows_left.pressure, j - 1),
        internal: L::load(&rows_left.internal, j - 1),
        excess: L::load(&f.excess, i - 1),
        sound_speed: L::load(&f.sound_speed, i - 1),
    };
    let right = FaceState {
        density: L::load(&rows_right.density, j),
        velocity: L::load(&rows_right.velocity, j),
        pressure: L::load(&rows_right.pressure, j),
        internal: L::load(&rows_right.internal, j),
        excess: L::load(&f.excess, i),
        sound_speed: L::load(&f.sound_speed, i),
    };
    [left, right]
}

/// Fluxes through the left faces of the cells `from..to`, from the states of the strip that begins there. The waves are
/// found a lane ahead, so that the two long chains of operations run side by side.
#[inline(always)]
fn fluxes<L: Lane>(f: &mut Fields, from: usize, to: usize) {
    let [left, right] = sides::<L>(f, from, MARGIN);
    let mut now = waves(left, right);
    let mut i = from;
    while i < to {
        let j = i - from + MARGIN;
        let [left, right] = sides::<L>(f, i + L::WIDTH, j + L::WIDTH);
        let next = waves(left, right);
        let [left, right] = sides::<L>(f, i, j);
        let flux = hllc(left, right, now);
        let (rows_left, rows_right) = (&f.right, &f.left);
        let area = L::load(&f.area, i);
        let mass = flux.mass * area;
        let burned =
            L::select(flux.from_left, L::load(&rows_left.burned, j - 1), L::load(&rows_right.burned, j));
        let fuel = L::select(flux.from_left, L::load(&rows_left.fuel, j - 1), L::load(&rows_right.fuel, j));
        mass.store(&mut f.mass_flux, i);
        (flux.momentum * area).store(&mut f.momentum_flux, i);
        (flux.energy * area).store(&mut f.energy_flux, i);
        (mass * burned).store(&mut f.burned_flux, i);
        (mass * fuel).store(&mut f.fuel_flux, i);
        now = next;
        i += L::WIDTH;
    }
}

/// What a pass over the cells found out.
#[derive(Clone, Copy, Debug)]
pub struct Outcome {
    /// Greatest (|u| + c)/Δx, 1/s.
    pub rate: f64,
    /// Whether every cell still has density, temperature and numbers.
    pub sound: bool,
}

/// Whole step of the conserved quantities of the cells `from..to`, then what follows from them.
#[inline(always)]
pub fn update<L: Lane>(f: &mut Fields, mixing: &Mixing, dt: f64, from: usize, to: usize) -> Outcome {
    let step = L::splat(dt);
    let zero = L::splat(0.0);
    let mut found = Found::new();
    let mut i = from;
    while i < to {
        let k = step * L::load(&f.inverse_volume, i);
        let heat = step * L::load(&f.heat_rate, i);
        let density = advance::<L>(&mut f.density, &f.mass_flux, k, zero, i);
        let momentum = advance::<L>(&mut f.momentum, &f.momentum_flux, k, step * L::load(&f.force, i), i);
        let energy = advance::<L>(&mut f.energy, &f.energy_flux, k, heat, i);
        let burned = advance::<L>(&mut f.burned_density, &f.burned_flux, k, zero, i);
        let fuel = advance::<L>(&mut f.fuel_density, &f.fuel_flux, k, zero, i);
        (L::load(&f.heat_lost, i) - heat).store(&mut f.heat_lost, i);
        found = follow_one(f, mixing, i, [density, momentum, energy, burned, fuel], found);
        i += L::WIDTH;
    }
    found.outcome()
}

/// u += k (flux in − flux out) + source.
#[inline(always)]
fn advance<L: Lane>(row: &mut [f64], flux: &[f64], k: L, source: L, at: usize) -> L {
    let change = k.fma(L::load(flux, at) - L::load(flux, at + 1), source);
    let value = L::load(row, at) + change;
    value.store(row, at);
    value
}

/// What follows from the conserved quantities of the cells `from..to`.
#[inline(always)]
pub fn follow<L: Lane>(f: &mut Fields, mixing: &Mixing, from: usize, to: usize) -> Outcome {
    let mut found = Found::new();
    let mut i = from;
    while i < to {
        let conserved = [
            L::load(&f.density, i),
            L::load(&f.momentum, i),
            L::load(&f.energy, i),
            L::load(&f.burned_density, i),
            L::load(&f.fuel_density, i),
        ];
        found = follow_one(f, mixing, i, conserved, found);
        i += L::WIDTH;
    }
    found.outcome()
}

/// What the lanes have found out so far.
#[derive(Clone, Copy)]
struct Found<L: Lane> {
    fastest: L,
    sound: L::Mask,
}

impl<L: Lane> Found<L> {
    #[inline(always)]
    fn new() -> Self {
        Self { fastest: L::splat(0.0), sound: L::splat(0.0).lt(L::splat(1.0)) }
    }
    #[inline(always)]
    fn outcome(self) -> Outcome {
        Outcome { rate: self.fastest.largest(), sound: L::all(self.sound) }
    }
}

/// Velocity, composition, temperature, pressure and what else follows in one lane of cells.
#[inline(always)]
fn follow_one<L: Lane>(
    f: &mut Fields,
    mixing: &Mixing,
    i: usize,
    [density, momentum, energy, burned, fuel]: [L; 5],
    found: Found<L>,
) -> Found<L> {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
    let volume = density.recip();
    let (u, burned, fuel) = (momentum * volume, burned * volume, fuel * volume);
    let energy = (half * u).fnma(u, energy * volume);
    let gas_constant = burned.fma(
        L::splat(mixing.gas_constant_more[0]),
        fuel.fma(L::splat(mixing.gas_constant_more[1]), L::splat(mixing.gas_constant)),
    );
    let (t, heat_capacity, inverse);
    if mixing.constant {
        heat_capacity = L::splat(mixing.energy[1]);
        inverse = L::splat(1.0 / mixing.energy[1]);
        t = (energy - L::splat(mixing.energy[0])) * inverse;
    } else {
        // Two steps of Newton from the temperature of the step before, with the slope found there.
        let c = mixture(mixing, burned, fuel);
        let before = L::load(&f.temperature, i);
        let (value, slope) = polynomial_and_slope(c, before);
        heat_capacity = slope;
        inverse = slope.recip_estimated();
        let nearer = (energy - value).fma(inverse, before);
        t = (energy - polynomial(c, nearer)).fma(inverse, nearer);
    }
    let excess = gas_constant * inverse;
    let thrust = gas_constant * t;
    // c² = R T + (γ − 1) R T.
    let sound_speed = thrust.fma(excess, thrust).sqrt();
    let rate = (u.abs() + sound_speed) * L::load(&f.inverse_length, i);
    // No number, or no temperature, makes the rate no number, and a comparison with that fails.
    let sound = L::and(found.sound, L::and(zero.lt(density), rate.lt(L::splat(1e15))));

    u.store(&mut f.velocity, i);
    (density * thrust).store(&mut f.pressure, i);
    burned.store(&mut f.burned, i);
    fuel.store(&mut f.fuel, i);
    t.store(&mut f.temperature, i);
    excess.store(&mut f.excess, i);
    heat_capacity.fnma(t, energy).store(&mut f.intercept, i);
    sound_speed.store(&mut f.sound_speed, i);
    Found { fastest: rate.max(found.fastest), sound }
}

/// ∂(ρe)/∂Y by ρ at constant p and ρ of burned gas and of fuel vapour: `e_k − e_air − cv T (R_k − R_air)/R`.
#[inline(always)]
pub fn composition_energies<L: Lane>(mixing: &Mixing, capacity: L, t: L) -> [L; 2] {
    let thermal = capacity * t;
    [
        thermal.fnma(L::splat(mixing.gas_constant_more[0]), polynomial(splat_all(mixing.energy_more[0]), t)),
        thermal.fnma(L::splat(mixing.gas_constant_more[1]), polynomial(splat_all(mixing.energy_more[1]), t)),
    ]
}

/// Coefficients of the energy of a mixture.
#[inline(always)]
fn mixture<L: Lane>(mixing: &Mixing, burned: L, fuel: L) -> [L; 6] {
    let (air, more_burned, more_fuel) = (
        splat_all::<L>(mixing.energy),
        splat_all::<L>(mixing.energy_more[0]),
        splat_all::<L>(mixing.energy_more[1]),
    );
    [
        burned.fma(more_burned[0], fuel.fma(more_fuel[0], air[0])),
        burned.fma(more_burned[1], fuel.fma(more_fuel[1], air[1])),
        burned.fma(more_burned[2], fuel.fma(more_fuel[2], air[2])),
        burned.fma(more_burned[3], fuel.fma(more_fuel[3], air[3])),
        burned.fma(more_burned[4], fuel.fma(more_fuel[4], air[4])),
        burned.fma(more_burned[5], fuel.fma(more_fuel[5], air[5])),
    ]
}

/// The same numbers in every lane.
#[inline(always)]
fn splat_all<L: Lane>(c: [f64; 6]) -> [L; 6] {
    [L::splat(c[0]), L::splat(c[1]), L::splat(c[2]), L::splat(c[3]), L::splat(c[4]), L::splat(c[5])]
}

/// Value of a polynomial of the fifth degree.
#[inline(always)]
fn polynomial<L: Lane>(c: [L; 6], t: L) -> L {
    t.fma(t.fma(t.fma(t.fma(t.fma(c[5], c[4]), c[3]), c[2]), c[1]), c[0])
}

/// Value and derivative together (Horner's scheme twice).
#[inline(always)]
fn polynomial_and_slope<L: Lane>(c: [L; 6], t: L) -> (L, L) {
    let p4 = t.fma(c[5], c[4]);
    let p3 = t.fma(p4, c[3]);
    let p2 = t.fma(p3, c[2]);
    let p1 = t.fma(p2, c[1]);
    let slope = t.fma(t.fma(t.fma(t.fma(c[5], p4), p3), p2), p1);
    (t.fma(p1, c[0]), slope)
}

/// First cell of a row that the lanes visit, and the end of what they visit, for `cells` cells behind the margin.
pub fn span(cells: usize) -> (usize, usize) {
    (MARGIN, MARGIN + cells.next_multiple_of(MARGIN))
}
