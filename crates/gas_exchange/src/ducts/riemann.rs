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
    /// Whether the gas comes from the left.
    pub from_left: L::Mask,
}

/// HLLC flux between waves that swallow the masses that [`waves`] gives.
///
/// Each outer wave is kept as the mass that it swallows, m = ρ q with q its speed against the gas: then q itself, and with
/// it two divisions, is never needed. With m negative on the right, across either wave p\* = p − m (s − u),
/// 1/ρ\* = 1/ρ + (s − u)/m, and the energy by mass rises by (p u − p\* s)/m. The flux inside the fan is that of the star
/// state itself, which the jump conditions make the same as F + S (U\* − U); at rest it is zero to the last bit.
///
/// Source: E. F. Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, 3rd ed. 2009, sections 10.4 to 10.6
/// (from memory), in Lagrangian form.
#[inline(always)]
pub fn hllc<L: Lane>(l: FaceState<L>, r: FaceState<L>, [ml, mr]: [L; 2]) -> FaceFlux<L> {
    let (zero, half) = (L::splat(0.0), L::splat(0.5));
    // The contact's speed s is push/both, and has the sign of the push.
    let push = ml.fma(l.velocity, mr.fma(r.velocity, l.pressure - r.pressure));
    let both = ml + mr;
    let left = push.ge(zero);
    let rho = L::select(left, l.density, r.density);
    let u = L::select(left, l.velocity, r.velocity);
    let p = L::select(left, l.pressure, r.pressure);
    let internal = L::select(left, l.internal, r.internal);
    let m = L::select(left, ml, -mr);
    let flow = rho * u;
    let total = (half * flow).fma(u, internal);
    let s = push.over(both);
    // 1/(m + ρ (s − u)), without waiting for s.
    let inverse = both * rho.fma(u.fnma(both, push), m * both).recip();
    let p_star = m.fnma(s - u, p);
    let work = p_star.fnma(s, p * u);
    // The upwind outer wave runs against the flow (u − q < 0, or u + q > 0) unless ρ u outdoes m, sign for sign.
    let inside = m.same_sign(m - flow);
    let density = L::select(inside, rho * m * inverse, rho);
    let velocity = L::select(inside, s, u);
    let pressure = L::select(inside, p_star, p);
    let energy = L::select(inside, m.fma(total, rho * work) * inverse, total);
    let mass = density * velocity;
    FaceFlux {
        mass,
        momentum: mass.fma(velocity, pressure),
        energy: velocity * (energy + pressure),
        from_left: left,
    }
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
    let contact = push.over(left + right);
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
