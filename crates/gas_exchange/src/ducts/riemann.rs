//! The limiter and the flux that all kernels share.

use super::lanes::Lane;

/// Monotonised central slope between the differences to the left, `a`, and to the right, `b`:
/// minmod(2a, (a + b)/2, 2b).
///
/// Source: B. van Leer, Towards the ultimate conservative difference scheme IV, J. Comput. Phys. 23 (1977), eq. 66 (from memory).
#[inline(always)]
pub fn monotonised_central<L: Lane>(a: L, b: L) -> L {
    let size = (L::splat(2.0) * a.abs().min(b.abs())).min(L::splat(0.5) * (a + b).abs());
    let zero = L::splat(0.0);
    L::select(zero.lt(a * b), size.copysign(a), zero)
}

/// What stands on one side of a face.
#[derive(Clone, Copy)]
pub struct FaceState<L> {
    /// Density, kg/m³.
    pub density: L,
    /// Velocity, m/s.
    pub velocity: L,
    /// Pressure, Pa.
    pub pressure: L,
    /// Internal energy by volume, J/m³.
    pub internal: L,
    /// Ratio of the specific heats.
    pub gamma: L,
    /// Speed of sound nearby, m/s: used only to guess the pressure between the waves.
    pub sound_speed: L,
}

/// Flux by area through a face.
#[derive(Clone, Copy)]
pub struct FaceFlux<L: Lane> {
    /// kg/(m² s).
    pub mass: L,
    /// Pa.
    pub momentum: L,
    /// W/m².
    pub energy: L,
    /// Whether the gas comes from the left.
    pub from_left: L::Mask,
}

/// HLLC flux, wave speeds from the pressure guess of the primitive-variable solver.
///
/// The flux inside the fan is that of the star state itself, (ρ\* s, ρ\* s² + p\*, s (E\* + p\*)), which the jump
/// conditions make the same as F + S (U\* − U); at rest it is zero to the last bit.
///
/// Source: E. F. Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, 3rd ed. 2009, sections 9.5 and 10.4 to 10.6
/// (from memory).
#[inline(always)]
pub fn hllc<L: Lane>(l: FaceState<L>, r: FaceState<L>) -> FaceFlux<L> {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
    let impedance = (l.density + r.density) * (l.sound_speed + r.sound_speed) * L::splat(0.125);
    let guess = (r.velocity - l.velocity).fnma(impedance, half * (l.pressure + r.pressure));
    let (ql, qr) = (wave_speed(l, guess), wave_speed(r, guess));
    let (ml, mr) = (l.density * ql, r.density * qr);
    // Speed of the contact.
    let push = (l.pressure - r.pressure) + ml.fma(l.velocity, mr * r.velocity);
    let s = push * (ml + mr).recip();
    let left = s.ge(zero);
    let pick_density = L::select(left, l.density, r.density);
    let u = L::select(left, l.velocity, r.velocity);
    let p = L::select(left, l.pressure, r.pressure);
    let q = L::select(left, -ql, qr);
    let m = L::select(left, -ml, mr);
    let internal = L::select(left, l.internal, r.internal);
    let total = (half * pick_density * u).fma(u, internal);
    let outer = u + q;
    let inverse = (outer - s).recip_estimated();
    let p_star = m.fma(s - u, p);
    let density_star = m * inverse;
    let total_star = (p_star.fma(s, q.fma(total, -(p * u)))) * inverse;
    // The outer wave has passed the face when it runs away from it on the upwind side.
    let inside = L::select(left, outer, -outer).lt(zero);
    let density = L::select(inside, density_star, pick_density);
    let velocity = L::select(inside, s, u);
    let pressure = L::select(inside, p_star, p);
    let energy = L::select(inside, total_star, total);
    let mass = density * velocity;
    FaceFlux {
        mass,
        momentum: mass.fma(velocity, pressure),
        energy: velocity * (energy + pressure),
        from_left: left,
    }
}

/// Speed against the gas of the wave on one side: √((γ p + (γ + 1)/2 · max(p\* − p, 0)) / ρ).
#[inline(always)]
fn wave_speed<L: Lane>(side: FaceState<L>, guess: L) -> L {
    let excess = (guess - side.pressure).max(L::splat(0.0));
    let stiff = (side.gamma + L::splat(1.0)) * L::splat(0.5) * excess;
    (side.gamma.fma(side.pressure, stiff) * side.density.recip_estimated()).sqrt()
}
