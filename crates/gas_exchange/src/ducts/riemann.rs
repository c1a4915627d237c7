//! The limiter and the flux that all kernels share.

use super::lanes::Lane;

/// Half of the monotonised central slope, the way from the centre of a cell to its right face, between the differences to
/// the left, `a`, and to the right, `b`: ½ minmod(2a, (a + b)/2, 2b).
///
/// Written as the middle of three numbers: where a and b have one sign, (a + b)/4 is kept between 0 and the lesser of
/// them; where they have not, both bounds are 0.
///
/// Source: B. van Leer, Towards the ultimate conservative difference scheme IV, J. Comput. Phys. 23 (1977), eq. 66 (from memory).
#[inline(always)]
pub fn half_slope<L: Lane>(a: L, b: L) -> L {
    (L::splat(0.25) * (a + b)).kept_within(a, b)
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
    /// Ratio of the specific heats, less 1.
    pub excess: L,
    /// Speed of sound in the middle of the cell, m/s.
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
    /// Whether the gas comes from the right.
    pub from_right: L::Mask,
}

/// HLLC flux between waves that swallow the masses that [`waves`] gives.
///
/// Each outer wave is kept as the mass that it swallows, m = ρ q with q its speed against the gas: then q itself, and with
/// it two divisions, is never needed. With m negative on the right, across either wave p\* = p − m (s − u),
/// 1/ρ\* = 1/ρ + (s − u)/m, and the energy by mass rises by (p u − p\* s)/m. The flux inside the fan is that of the star
/// state itself, which the jump conditions make the same as F + S (U\* − U); at rest it is zero to the last bit. Where the whole fan
/// is blown through the face, s = u makes all of that the flux of the gas itself.
///
/// Source: E. F. Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, 3rd ed. 2009, sections 10.4 to 10.6
/// (from memory), in Lagrangian form.
#[inline(always)]
pub fn hllc<L: Lane>(l: FaceState<L>, r: FaceState<L>, [ml, mr]: [L; 2]) -> FaceFlux<L> {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
    // The contact's speed s is push/both, and has the sign of the push.
    let push = ml.fma(l.velocity, mr.fma(r.velocity, l.pressure - r.pressure));
    let both = ml + mr;
    let right = push.lt(zero);
    let rho = L::select(right, r.density, l.density);
    let u = L::select(right, r.velocity, l.velocity);
    let p = L::select(right, r.pressure, l.pressure);
    let internal = L::select(right, r.internal, l.internal);
    let m = L::select(right, -mr, ml);
    let flow = rho * u;
    let total = (half * flow).fma(u, internal);
    // The upwind outer wave runs against the flow (u − q < 0, or u + q > 0) unless ρ u outdoes m, sign for sign.
    let inside = L::differ(flow.lt(m), right);
    // s − u times both masses; 0 where the whole fan is blown through the face, and all that follows is then the gas itself.
    let lead = L::select(inside, u.fnma(both, push), zero);
    let faster = lead.over(both);
    // 1/(m + ρ (s − u)), without waiting for s.
    let inverse = both.over_estimated(rho.fma(lead, m * both));
    let s = u + faster;
    let pressure = m.fnma(faster, p);
    let power = pressure * s;
    let by_mass = s * inverse;
    let mass = rho * m * by_mass;
    let energy = m.fma(total, rho * p.fma(u, -power));
    FaceFlux { mass, momentum: mass.fma(s, pressure), energy: by_mass.fma(energy, power), from_right: right }
}

/// Masses that the two outer waves swallow, ρ q, kg/(m² s), with q = c + (γ + 1)/2 max(u − u\*, 0): the speed of sound in the middle of
/// the cell, and what a shock adds. u\* is that of linear waves.
///
/// A shock runs at q = a v + √(a² v² + c²) against the gas, a = (γ + 1)/4, v = u − u\*; its bound c + 2 a v is right for weak and for
/// strong ones and never less. A wave taken too fast costs a little sharpness, one taken too slow the pressure. No roots are needed.
///
/// Source: J. K. Dukowicz, J. Comput. Phys. 61 (1985) 119–137; linear waves: Toro 2009, section 9.3 (both from memory).
#[inline(always)]
pub fn waves<L: Lane>(l: FaceState<L>, r: FaceState<L>) -> [L; 2] {
    let zero = L::splat(0.0);
    let (left, right) = (l.density * l.sound_speed, r.density * r.sound_speed);
    let push = left.fma(l.velocity, right.fma(r.velocity, l.pressure - r.pressure));
    let contact = push.over_estimated(left + right);
    [
        l.density * shock_share(l).fma((l.velocity - contact).max(zero), l.sound_speed),
        r.density * shock_share(r).fma((contact - r.velocity).max(zero), r.sound_speed),
    ]
}

/// (γ + 1)/2.
#[inline(always)]
fn shock_share<L: Lane>(side: FaceState<L>) -> L {
    side.excess.fma(L::splat(0.5), L::splat(1.0))
}
