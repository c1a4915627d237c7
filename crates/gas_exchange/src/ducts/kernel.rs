//! The passes over the cells. Plain loops without closures, generic over the width of the lanes (see `lanes`).

use super::fields::{FaceRows, Fields, Mixing};
use super::lanes::Lane;
use super::riemann::{FaceState, hllc, monotonised_central};
use super::row::MARGIN;

/// A value before the half step, its limited slope over the cell and its change in half a step.
#[derive(Clone, Copy)]
struct Moving<L> {
    now: L,
    slope: L,
    change: L,
}

impl<L: Lane> Moving<L> {
    /// Reads a cell and its neighbours.
    #[inline(always)]
    fn read(row: &[f64], at: usize) -> Self {
        let now = L::load(row, at);
        let slope = monotonised_central(now - L::load(row, at - 1), L::load(row, at + 1) - now);
        Self { now, slope, change: L::splat(0.0) }
    }
    #[inline(always)]
    fn centre(self) -> L {
        self.now + self.change
    }
    #[inline(always)]
    fn left(self) -> L {
        self.slope.fnma(L::splat(0.5), self.centre())
    }
    #[inline(always)]
    fn right(self) -> L {
        self.slope.fma(L::splat(0.5), self.centre())
    }
    /// First order: no slope, no change.
    #[inline(always)]
    fn flatten_unless(self, fine: L::Mask) -> Self {
        let zero = L::splat(0.0);
        Self {
            now: self.now,
            slope: L::select(fine, self.slope, zero),
            change: L::select(fine, self.change, zero),
        }
    }
}

/// Slopes and half step of the cells `from..to`: states inside the faces, and the sources at the half step.
///
/// In primitive variables with area A: ∂ρ = −u ρ' − ρ d, ∂u = −u u' − p'/ρ − w u, ∂p = −u p' − γ p d + (γ−1)(q + ρ w u²),
/// ∂Y = −u Y', where d = u' + u A'/A, w the drag and q the heat by volume.
#[inline(always)]
pub fn half_step<L: Lane>(f: &mut Fields, mixing: &Mixing, dt: f64, from: usize, to: usize) {
    let (half, one, zero) = (L::splat(0.5 * dt), L::splat(1.0), L::splat(0.0));
    let air = L::splat(mixing.gas_constant);
    let (more_burned, more_fuel) =
        (L::splat(mixing.gas_constant_more[0]), L::splat(mixing.gas_constant_more[1]));
    let mut i = from;
    while i < to {
        let mut density = Moving::<L>::read(&f.density, i);
        let mut velocity = Moving::<L>::read(&f.velocity, i);
        let mut pressure = Moving::<L>::read(&f.pressure, i);
        let mut burned = Moving::<L>::read(&f.burned, i);
        let mut fuel = Moving::<L>::read(&f.fuel, i);
        let (rho, u, p) = (density.now, velocity.now, pressure.now);
        let k = half * L::load(&f.inverse_length, i);
        let widening = L::load(&f.widening, i);
        let capacity = L::load(&f.capacity, i);
        let temperature = L::load(&f.temperature, i);
        let wall_temperature = L::load(&f.wall_temperature, i);
        let gas_constant = burned.now.fma(more_burned, fuel.now.fma(more_fuel, air));
        // γ − 1 = R/cv.
        let excess = capacity.recip_estimated();
        let specific_volume = gas_constant * temperature * p.recip_estimated();
        // All divergences times dt/2.
        let divergence = k.fma(velocity.slope, half * u * widening);
        let carry = k * u;
        let drag = (L::load(&f.drag, i) * u.abs()).max(L::load(&f.drag_laminar, i));
        let film = (L::load(&f.heat, i) * rho * u.abs()).max(L::load(&f.heat_laminar, i));
        let warmth = film.fma(wall_temperature - temperature, rho * drag * u * u);
        density.change = -carry.fma(density.slope, rho * divergence);
        velocity.change =
            -carry.fma(velocity.slope, (k * pressure.slope).fma(specific_volume, half * drag * u));
        pressure.change =
            (half * excess).fma(warmth, -carry.fma(pressure.slope, (excess + one) * p * divergence));
        burned.change = -(carry * burned.slope);
        fuel.change = -(carry * fuel.slope);

        let least_density = density.left().min(density.right());
        let least_pressure = pressure.left().min(pressure.right());
        let fine = L::and(zero.lt(least_density), zero.lt(least_pressure));
        density = density.flatten_unless(fine);
        velocity = velocity.flatten_unless(fine);
        pressure = pressure.flatten_unless(fine);
        burned = burned.flatten_unless(fine);
        fuel = fuel.flatten_unless(fine);

        // Sources where the cell is at the half step.
        let (rho_half, u_half) = (density.centre(), velocity.centre());
        let warmer = specific_volume
            * (pressure.change * gas_constant.recip_estimated() - temperature * density.change);
        let drag = (L::load(&f.drag, i) * u_half.abs()).max(L::load(&f.drag_laminar, i));
        let film = (L::load(&f.heat, i) * rho_half * u_half.abs()).max(L::load(&f.heat_laminar, i));
        let force = pressure.centre() * widening - rho_half * drag * u_half;
        force.store(&mut f.force, i);
        (film * (wall_temperature - (temperature + warmer))).store(&mut f.heat_rate, i);

        let about = About {
            capacity,
            intercept: L::load(&f.intercept, i),
            burned: burned.now,
            fuel: fuel.now,
            burned_energy: L::load(&f.burned_energy, i),
            fuel_energy: L::load(&f.fuel_energy, i),
        };
        about.store(
            &mut f.left,
            i,
            [density.left(), velocity.left(), pressure.left(), burned.left(), fuel.left()],
        );
        about.store(
            &mut f.right,
            i,
            [density.right(), velocity.right(), pressure.right(), burned.right(), fuel.right()],
        );
        i += L::WIDTH;
    }
}

/// The energy of a gas, linear about the state of its cell.
#[derive(Clone, Copy)]
struct About<L> {
    capacity: L,
    intercept: L,
    burned: L,
    fuel: L,
    burned_energy: L,
    fuel_energy: L,
}

impl<L: Lane> About<L> {
    /// ρe = (cv/R) p + ρ (e − cv T + Σ κ ΔY), and everything stored.
    #[inline(always)]
    fn store(self, rows: &mut FaceRows, at: usize, [density, velocity, pressure, burned, fuel]: [L; 5]) {
        let composition = self
            .burned_energy
            .fma(burned - self.burned, self.fuel_energy.fma(fuel - self.fuel, self.intercept));
        let internal = self.capacity.fma(pressure, density * composition);
        density.store(&mut rows.density, at);
        velocity.store(&mut rows.velocity, at);
        pressure.store(&mut rows.pressure, at);
        internal.store(&mut rows.internal, at);
        burned.store(&mut rows.burned, at);
        fuel.store(&mut rows.fuel, at);
    }
}

/// Fluxes through the left faces of the cells `from..to`.
#[inline(always)]
pub fn fluxes<L: Lane>(f: &mut Fields, from: usize, to: usize) {
    let one = L::splat(1.0);
    let mut i = from;
    while i < to {
        let gamma_left = one + L::load(&f.capacity, i - 1).recip_estimated();
        let gamma_right = one + L::load(&f.capacity, i).recip_estimated();
        let left = face_state(&f.right, i - 1, gamma_left, L::load(&f.sound_speed, i - 1));
        let right = face_state(&f.left, i, gamma_right, L::load(&f.sound_speed, i));
        let area = L::load(&f.area, i);
        let flux = hllc(left, right);
        let mass = flux.mass * area;
        let burned = L::select(flux.from_left, L::load(&f.right.burned, i - 1), L::load(&f.left.burned, i));
        let fuel = L::select(flux.from_left, L::load(&f.right.fuel, i - 1), L::load(&f.left.fuel, i));
        mass.store(&mut f.mass_flux, i);
        (flux.momentum * area).store(&mut f.momentum_flux, i);
        (flux.energy * area).store(&mut f.energy_flux, i);
        (mass * burned).store(&mut f.burned_flux, i);
        (mass * fuel).store(&mut f.fuel_flux, i);
        i += L::WIDTH;
    }
}

#[inline(always)]
fn face_state<L: Lane>(rows: &FaceRows, at: usize, gamma: L, sound_speed: L) -> FaceState<L> {
    FaceState {
        density: L::load(&rows.density, at),
        velocity: L::load(&rows.velocity, at),
        pressure: L::load(&rows.pressure, at),
        internal: L::load(&rows.internal, at),
        gamma,
        sound_speed,
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
    let mut i = from;
    while i < to {
        let k = step * L::load(&f.inverse_volume, i);
        let heat = L::load(&f.heat_rate, i);
        advance::<L>(&mut f.density, &f.mass_flux, k, L::splat(0.0), i);
        advance::<L>(&mut f.momentum, &f.momentum_flux, k, step * L::load(&f.force, i), i);
        advance::<L>(&mut f.energy, &f.energy_flux, k, step * heat, i);
        advance::<L>(&mut f.burned_density, &f.burned_flux, k, L::splat(0.0), i);
        advance::<L>(&mut f.fuel_density, &f.fuel_flux, k, L::splat(0.0), i);
        heat.fnma(step, L::load(&f.heat_lost, i)).store(&mut f.heat_lost, i);
        i += L::WIDTH;
    }
    follow::<L>(f, mixing, from, to)
}

/// u += k (flux in − flux out) + source.
#[inline(always)]
fn advance<L: Lane>(row: &mut [f64], flux: &[f64], k: L, source: L, at: usize) {
    let change = k.fma(L::load(flux, at) - L::load(flux, at + 1), source);
    (L::load(row, at) + change).store(row, at);
}

/// Two steps of Newton from the temperature of the step before: it moves by some 10 K a step at most, and each
/// step squares an error of about cv'/(2 cv) · ΔT.
const NEWTON_STEPS: usize = 2;

/// Velocity, composition, temperature, pressure and what else follows from the conserved quantities.
#[inline(always)]
pub fn follow<L: Lane>(f: &mut Fields, mixing: &Mixing, from: usize, to: usize) -> Outcome {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
    let (more_burned, more_fuel) =
        (L::splat(mixing.gas_constant_more[0]), L::splat(mixing.gas_constant_more[1]));
    let mut fastest = zero;
    let mut least = L::splat(1.0);
    let mut i = from;
    while i < to {
        let inverse_length = L::load(&f.inverse_length, i);
        let real = zero.lt(inverse_length);
        let density = L::load(&f.density, i);
        let volume = density.recip();
        let u = L::load(&f.momentum, i) * volume;
        let burned = L::load(&f.burned_density, i) * volume;
        let fuel = L::load(&f.fuel_density, i) * volume;
        let energy = (half * u).fnma(u, L::load(&f.energy, i) * volume);
        let gas_constant = burned.fma(more_burned, fuel.fma(more_fuel, L::splat(mixing.gas_constant)));

        let mut c = [zero; 6];
        for (j, slot) in c.iter_mut().enumerate() {
            *slot = burned.fma(
                L::splat(mixing.energy_more[0][j]),
                fuel.fma(L::splat(mixing.energy_more[1][j]), L::splat(mixing.energy[j])),
            );
        }
        let before = L::load(&f.temperature, i);
        let mut t = before;
        let mut heat_capacity = zero;
        for _ in 0..NEWTON_STEPS {
            heat_capacity = slope_of(c, t);
            t = t + (energy - polynomial(c, t)) * heat_capacity.recip_estimated();
        }
        let capacity = heat_capacity * gas_constant.recip_estimated();
        let pressure = density * gas_constant * t;
        // (γ − 1) T R + R T = γ R T.
        let square = (gas_constant * t).fma(capacity.recip_estimated(), gas_constant * t);
        let sound_speed = square.max(zero).sqrt();
        // ∂(ρe)/∂Y = ρ (e_k − e_air − cv T (R_k − R_air)/R).
        let thermal = capacity * t;
        let mut kappa = [zero; 2];
        for (k, slot) in kappa.iter_mut().enumerate() {
            let mut difference = [zero; 6];
            for (j, term) in difference.iter_mut().enumerate() {
                *term = L::splat(mixing.energy_more[k][j]);
            }
            *slot = thermal.fnma(L::splat(mixing.gas_constant_more[k]), polynomial(difference, t));
        }
        let rate = L::select(real, (u.abs() + sound_speed) * inverse_length, zero);
        fastest = fastest.max(rate);
        // Below zero, or no number at all, wherever something is wrong: a comparison with NaN fails.
        let fine =
            L::and(L::and(zero.lt(density), zero.lt(t)), L::and(zero.lt(pressure), rate.lt(L::splat(1e15))));
        let verdict = L::select(fine, L::splat(1.0), -L::splat(1.0));
        least = least.min(L::select(real, verdict, L::splat(1.0)));

        u.store(&mut f.velocity, i);
        pressure.store(&mut f.pressure, i);
        burned.store(&mut f.burned, i);
        fuel.store(&mut f.fuel, i);
        L::select(real, t, before).store(&mut f.temperature, i);
        capacity.store(&mut f.capacity, i);
        heat_capacity.fnma(t, energy).store(&mut f.intercept, i);
        kappa[0].store(&mut f.burned_energy, i);
        kappa[1].store(&mut f.fuel_energy, i);
        sound_speed.store(&mut f.sound_speed, i);
        i += L::WIDTH;
    }
    Outcome { rate: fastest.largest(), sound: L::all(zero.lt(least)) }
}

/// Value of a polynomial of the fifth degree.
#[inline(always)]
fn polynomial<L: Lane>(c: [L; 6], t: L) -> L {
    t.fma(t.fma(t.fma(t.fma(t.fma(c[5], c[4]), c[3]), c[2]), c[1]), c[0])
}

/// Its derivative.
#[inline(always)]
fn slope_of<L: Lane>(c: [L; 6], t: L) -> L {
    let times = [L::splat(2.0), L::splat(3.0), L::splat(4.0), L::splat(5.0)];
    t.fma(t.fma(t.fma(t.fma(times[3] * c[5], times[2] * c[4]), times[1] * c[3]), times[0] * c[2]), c[1])
}

/// First cell of a row that the lanes visit, and the end of what they visit, for `cells` cells behind the margin.
pub fn span(cells: usize) -> (usize, usize) {
    (MARGIN, MARGIN + cells.next_multiple_of(MARGIN))
}
