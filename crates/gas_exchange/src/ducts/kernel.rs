//! The passes over the cells. Plain loops without closures, generic over the width of the lanes (see `lanes`).

use super::fields::{Fields, Mixing, STRIP};
use super::lanes::Lane;
use super::riemann::{FaceState, half_slope, hllc, waves};
use super::row::MARGIN;
use crate::gas::ENERGY_COEFFICIENTS;
use crate::gas::duct_fit::HOLDS;

/// Half the limited slope of a quantity over a cell.
#[inline(always)]
pub fn slope_of<L: Lane>(row: &[f64], at: usize) -> L {
    let (before, now, behind) = (L::load(row, at - 1), L::load(row, at), L::load(row, at + 1));
    half_slope(now - before, behind - now)
}

/// Half step of the cells, then fluxes through all faces, strip by strip; keeps the states inside the ends.
#[inline(always)]
pub fn predict<L: Lane>(f: &mut Fields, dt: f64, from: usize, to: usize) {
    let mut start = from;
    let mut end_number = 0;
    while start < to {
        let stop = if start + STRIP < to { start + STRIP } else { to };
        // First order where the half step is not fine: that is rare, so a strip is done anew with a test at each cell.
        if !half_step::<L, false>(f, dt, start, stop) {
            half_step::<L, true>(f, dt, start, stop);
        }
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

/// Half slopes of density, velocity, pressure, burned gas and fuel vapour.
#[inline(always)]
fn half_slopes<L: Lane>(f: &Fields, i: usize) -> [L; 5] {
    [
        slope_of(&f.density, i),
        slope_of(&f.velocity, i),
        slope_of(&f.pressure, i),
        slope_of(&f.burned, i),
        slope_of(&f.fuel, i),
    ]
}

/// Slopes and half step of the cells `from..to`: states inside the faces, and the sources at the half step. Says whether all faces
/// have density and pressure; with `CAREFUL` a cell whose faces have not is first order, without, nothing is done about it.
///
/// In primitive variables with area A: ∂ρ = −u ρ' − ρ d, ∂u = −u u' − p'/ρ − w u, ∂p = −u p' − γ p d + (γ−1)(q + ρ w u²),
/// ∂Y = −u Y', where d = u' + u A'/A, w the drag and q the heat by volume.
#[inline(always)]
fn half_step<L: Lane, const CAREFUL: bool>(f: &mut Fields, dt: f64, from: usize, to: usize) -> bool {
    let (whole, half, zero) = (L::splat(dt), L::splat(0.5 * dt), L::splat(0.0));
    let mut signs = zero;
    let mut i = from;
    while i < to {
        let [mut d_rho, mut d_u, mut d_p, mut d_burned, mut d_fuel] = half_slopes::<L>(f, i);
        let j = i - from + MARGIN;
        let (rho, u, p) = (L::load(&f.density, i), L::load(&f.velocity, i), L::load(&f.pressure, i));
        let (temperature, excess) = (L::load(&f.temperature, i), L::load(&f.excess, i));
        // The divider has nothing else to do here.
        let (specific_volume, capacity, inverse_pressure) = (rho.recip(), excess.recip(), p.recip());
        let colder = L::load(&f.wall_temperature, i) - temperature;
        let widening = L::load(&f.widening, i);
        let (drag_factor, drag_least) = (L::load(&f.drag, i), L::load(&f.drag_laminar, i));
        let (film_factor, film_least) = (L::load(&f.heat, i), L::load(&f.heat_laminar, i));
        // dt/2 by the length, times the slopes, which are halved. What the cell loses in dt/2:
        let k = whole * L::load(&f.inverse_length, i);
        let (carry, way) = (k * u, half * u);
        let divergence = way.fma(widening, k * d_u);
        let stream = rho * u;
        let braking = (drag_factor * u).greater_magnitude(drag_least) * way;
        let film = (film_factor * stream).greater_magnitude(film_least);
        let warmth = (half * film).fma(colder, stream * braking);
        let mut loss_rho = carry.fma(d_rho, rho * divergence);
        let mut loss_u = carry.fma(d_u, (k * d_p).fma(specific_volume, braking));
        let squeeze = carry.fma(d_p, excess.fma(p, p) * divergence);
        let mut loss_p = excess.fnma(warmth, squeeze);
        let (mut rho_half, mut p_half) = (rho - loss_rho, p - loss_p);
        let [mut rho_left, mut rho_right] = [rho_half - d_rho, rho_half + d_rho];
        let [mut p_left, mut p_right] = [p_half - d_p, p_half + d_p];
        if CAREFUL {
            // No slope, no loss.
            let fine = zero.lt(rho_left.min(rho_right).min(p_left.min(p_right)));
            for value in [&mut d_rho, &mut d_u, &mut d_p, &mut d_burned, &mut d_fuel] {
                *value = L::select(fine, *value, zero);
            }
            for value in [&mut loss_rho, &mut loss_u, &mut loss_p] {
                *value = L::select(fine, *value, zero);
            }
            (rho_half, p_half) = (rho - loss_rho, p - loss_p);
            [rho_left, rho_right] = [rho_half - d_rho, rho_half + d_rho];
            [p_left, p_right] = [p_half - d_p, p_half + d_p];
        } else {
            signs = signs.negative_with(rho_left, rho_right).negative_with(p_left, p_right);
        }
        let u_half = u - loss_u;

        // Sources where the cell is at the half step; ΔT/T = Δp/p − Δρ/ρ.
        let cooler = loss_p.fma(inverse_pressure, -(loss_rho * specific_volume));
        let flow = rho_half * u_half;
        let drag = (drag_factor * u_half).greater_magnitude(drag_least);
        let film = (film_factor * flow).greater_magnitude(film_least);
        (whole * drag.fnma(flow, p_half * widening)).store(&mut f.impulse, i);
        (film * temperature.fma(cooler, colder)).store(&mut f.warmth, i);

        // ρe = (cv/R) p + ρ (intercept + Σ κ ΔY) about the cell.
        let by_composition = L::load(&f.burned_energy, i).fma(d_burned, L::load(&f.fuel_energy, i) * d_fuel);
        let (one, intercept) = (L::splat(1.0), L::load(&f.intercept, i));
        let (leftwards, rightwards) = (one + carry, one - carry);
        let (l, r) = (&mut f.left, &mut f.right);
        let (burned, fuel) = (L::load(&f.burned, i), L::load(&f.fuel, i));
        rho_left.store(&mut l.density, j);
        rho_right.store(&mut r.density, j);
        (u_half - d_u).store(&mut l.velocity, j);
        (u_half + d_u).store(&mut r.velocity, j);
        p_left.store(&mut l.pressure, j);
        p_right.store(&mut r.pressure, j);
        leftwards.fnma(d_burned, burned).store(&mut l.burned, j);
        rightwards.fma(d_burned, burned).store(&mut r.burned, j);
        leftwards.fnma(d_fuel, fuel).store(&mut l.fuel, j);
        rightwards.fma(d_fuel, fuel).store(&mut r.fuel, j);
        let (at_left, at_right) =
            (leftwards.fnma(by_composition, intercept), rightwards.fma(by_composition, intercept));
        capacity.fma(p_left, rho_left * at_left).store(&mut l.internal, j);
        capacity.fma(p_right, rho_right * at_right).store(&mut r.internal, j);
        i += L::WIDTH;
    }
    signs.none_negative()
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
            L::select(flux.from_right, L::load(&rows_right.burned, j), L::load(&rows_left.burned, j - 1));
        let fuel = L::select(flux.from_right, L::load(&rows_right.fuel, j), L::load(&rows_left.fuel, j - 1));
        mass.store(&mut f.flux[0], i);
        (flux.momentum * area).store(&mut f.flux[1], i);
        (flux.energy * area).store(&mut f.flux[2], i);
        (mass * burned).store(&mut f.flux[3], i);
        (mass * fuel).store(&mut f.flux[4], i);
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

/// Whole step of what is conserved of the cells `from..to`, then what follows from it, a lane behind: so two chains of operations
/// run side by side.
#[inline(always)]
pub fn update<L: Lane>(f: &mut Fields, mixing: &Mixing, dt: f64, from: usize, to: usize) -> Outcome {
    let mut found = Found::new();
    let mut i = from;
    let mut kept = advance::<L>(f, dt, i);
    while i + L::WIDTH < to {
        let next = advance(f, dt, i + L::WIDTH);
        found = follow_one(f, mixing, i, kept, found);
        kept = next;
        i += L::WIDTH;
    }
    follow_one(f, mixing, i, kept, found).outcome()
}

/// Whole step of what is conserved of one lane of cells.
#[inline(always)]
fn advance<L: Lane>(f: &mut Fields, dt: f64, i: usize) -> [L; 6] {
    let step = L::splat(dt);
    let k = step * L::load(&f.inverse_volume, i);
    let (impulse, heat) = (L::load(&f.impulse, i), L::load(&f.warmth, i));
    let before = L::load(&f.density, i);
    let density = k.fma(gain::<L>(&f.flux[0], i), before);
    let momentum = k.fma(gain::<L>(&f.flux[1], i), before.fma(L::load(&f.velocity, i), impulse));
    let energy = k.fma(gain::<L>(&f.flux[2], i), step.fma(heat, L::load(&f.energy, i)));
    let burned = k.fma(gain::<L>(&f.flux[3], i), before * L::load(&f.burned, i));
    let fuel = k.fma(gain::<L>(&f.flux[4], i), before * L::load(&f.fuel, i));
    step.fnma(heat, L::load(&f.heat_lost, i)).store(&mut f.heat_lost, i);
    let volume = density.recip();
    let (u, burned, fuel) = (momentum * volume, burned * volume, fuel * volume);
    density.store(&mut f.density, i);
    energy.store(&mut f.energy, i);
    u.store(&mut f.velocity, i);
    burned.store(&mut f.burned, i);
    fuel.store(&mut f.fuel, i);
    [density, volume, u, energy, burned, fuel]
}

/// Flux in, less flux out.
#[inline(always)]
pub fn gain<L: Lane>(flux: &[f64], at: usize) -> L {
    L::load(flux, at) - L::load(flux, at + 1)
}

/// What follows from what is kept of the cells `from..to`.
#[inline(always)]
pub fn follow<L: Lane>(f: &mut Fields, mixing: &Mixing, from: usize, to: usize) -> Outcome {
    let mut found = Found::new();
    let mut i = from;
    while i < to {
        let density = L::load(&f.density, i);
        let kept = [
            density,
            density.recip(),
            L::load(&f.velocity, i),
            L::load(&f.energy, i),
            L::load(&f.burned, i),
            L::load(&f.fuel, i),
        ];
        found = follow_one(f, mixing, i, kept, found);
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

/// Temperature, pressure and what else follows in one lane of cells.
#[inline(always)]
fn follow_one<L: Lane>(
    f: &mut Fields,
    mixing: &Mixing,
    i: usize,
    [density, volume, u, energy, burned, fuel]: [L; 6],
    found: Found<L>,
) -> Found<L> {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
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
        // From the temperature of the step before, by slope and curvature there (Chebyshev's third-order step): as near as two steps
        // of Newton with one slope, without a second polynomial that waits for the first.
        let c = mixture(mixing, burned, fuel);
        let before = L::load(&f.temperature, i);
        let inside = held(before);
        let (value, slope, half_curvature) = polynomial_and_slopes(&c, inside);
        heat_capacity = slope;
        inverse = slope.recip_estimated();
        let newton = (energy - slope.fma(before - inside, value)) * inverse;
        // Outside of where the polynomials hold the energy is straight.
        let bend =
            L::select(L::and(before.ge(inside), inside.ge(before)), half_curvature * inverse, L::splat(0.0));
        t = before + (bend * newton).fnma(newton, newton);
    }
    let excess = gas_constant * inverse;
    let thrust = gas_constant * t;
    // c² = R T + (γ − 1) R T.
    let sound_speed = thrust.fma(excess, thrust).sqrt();
    let rate = (u.abs() + sound_speed) * L::load(&f.inverse_length, i);
    // No number, or no temperature, makes the rate no number, and a comparison with that fails.
    let sound = L::and(found.sound, L::and(zero.lt(density), rate.lt(L::splat(1e15))));

    (density * thrust).store(&mut f.pressure, i);
    t.store(&mut f.temperature, i);
    excess.store(&mut f.excess, i);
    heat_capacity.fnma(t, energy).store(&mut f.intercept, i);
    sound_speed.store(&mut f.sound_speed, i);
    Found { fastest: rate.max(found.fastest), sound }
}

/// ∂(ρe)/∂Y by ρ at constant p and ρ of burned gas and of fuel vapour: `e_k − e_air − cv T (R_k − R_air)/R`.
#[inline(always)]
pub fn composition_energies<L: Lane>(mixing: &Mixing, capacity: L, t: L) -> [L; 2] {
    let (thermal, t) = (capacity * t, held(t));
    if mixing.constant {
        // Then all constituents have one energy.
        return [
            -(thermal * L::splat(mixing.gas_constant_more[0])),
            -(thermal * L::splat(mixing.gas_constant_more[1])),
        ];
    }
    [
        thermal
            .fnma(L::splat(mixing.gas_constant_more[0]), polynomial(&splat_all(&mixing.energy_more[0]), t)),
        thermal
            .fnma(L::splat(mixing.gas_constant_more[1]), polynomial(&splat_all(&mixing.energy_more[1]), t)),
    ]
}

/// Coefficients of the energy of a mixture.
#[inline(always)]
fn mixture<L: Lane>(mixing: &Mixing, burned: L, fuel: L) -> [L; ENERGY_COEFFICIENTS] {
    let mut c = [L::splat(0.0); ENERGY_COEFFICIENTS];
    let mut k = 0;
    while k < ENERGY_COEFFICIENTS {
        let more_burned = L::splat(mixing.energy_more[0][k]);
        let more_fuel = L::splat(mixing.energy_more[1][k]);
        c[k] = burned.fma(more_burned, fuel.fma(more_fuel, L::splat(mixing.energy[k])));
        k += 1;
    }
    c
}

/// The temperature, or the nearest at which the polynomials hold.
#[inline(always)]
fn held<L: Lane>(t: L) -> L {
    t.max(L::splat(1e3 * HOLDS[0])).min(L::splat(1e3 * HOLDS[1]))
}

/// The same numbers in every lane.
#[inline(always)]
fn splat_all<L: Lane>(c: &[f64; ENERGY_COEFFICIENTS]) -> [L; ENERGY_COEFFICIENTS] {
    let mut all = [L::splat(0.0); ENERGY_COEFFICIENTS];
    let mut k = 0;
    while k < ENERGY_COEFFICIENTS {
        all[k] = L::splat(c[k]);
        k += 1;
    }
    all
}

/// Value of a polynomial, by Horner's scheme.
#[inline(always)]
fn polynomial<L: Lane>(c: &[L; ENERGY_COEFFICIENTS], t: L) -> L {
    let mut k = ENERGY_COEFFICIENTS - 1;
    let mut value = c[k];
    while k > 0 {
        k -= 1;
        value = t.fma(value, c[k]);
    }
    value
}

/// Value, derivative and half the second derivative together (Horner's scheme thrice).
#[inline(always)]
fn polynomial_and_slopes<L: Lane>(c: &[L; ENERGY_COEFFICIENTS], t: L) -> (L, L, L) {
    let mut k = ENERGY_COEFFICIENTS - 3;
    let mut bend = c[k + 2];
    let mut value = t.fma(bend, c[k + 1]);
    let mut slope = t.fma(bend, value);
    value = t.fma(value, c[k]);
    while k > 0 {
        k -= 1;
        bend = t.fma(bend, slope);
        slope = t.fma(slope, value);
        value = t.fma(value, c[k]);
    }
    (value, slope, bend)
}

/// First cell of a row that the lanes visit, and the end of what they visit, for `cells` cells behind the margin.
pub fn span(cells: usize) -> (usize, usize) {
    (MARGIN, MARGIN + cells.next_multiple_of(MARGIN))
}
