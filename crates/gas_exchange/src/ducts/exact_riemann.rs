//! The exact solution of Riemann's problem for an ideal gas, to test the ducts against.
//!
//! Source: E. F. Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, 3rd ed. 2009, chapter 4 (from memory).

use mechanics::math::powf;

/// Density, velocity and pressure of a gas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Primitive {
    /// kg/m³.
    pub density: f64,
    /// m/s.
    pub velocity: f64,
    /// Pa.
    pub pressure: f64,
}

/// The solution of one problem: two constant states meet at x = 0 when t = 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExactRiemann {
    /// State on the left.
    pub left: Primitive,
    /// State on the right.
    pub right: Primitive,
    /// Ratio of the specific heats.
    pub gamma: f64,
    /// Pressure between the outer waves, Pa.
    pub star_pressure: f64,
    /// Velocity between the outer waves, m/s.
    pub star_velocity: f64,
}

/// The states pull apart so fast that a vacuum opens, or a state is no gas: there is nothing to solve.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("no star state: the gases part at {parting} m/s, and a vacuum opens at {limit} m/s")]
pub struct Vacuum {
    /// Difference of the velocities, m/s.
    pub parting: f64,
    /// Where a vacuum begins, m/s.
    pub limit: f64,
}

impl ExactRiemann {
    /// Solves for the star state by Newton's iteration to rounding.
    ///
    /// # Errors
    /// [`Vacuum`] when a vacuum opens between the states.
    pub fn new(left: Primitive, right: Primitive, gamma: f64) -> Result<Self, Vacuum> {
        let parting = right.velocity - left.velocity;
        let limit = 2.0 / (gamma - 1.0) * (sound(left, gamma) + sound(right, gamma));
        // NaN counts as vacuum.
        if parting.is_nan() || parting >= limit {
            return Err(Vacuum { parting, limit });
        }
        let mut p = 0.5 * (left.pressure + right.pressure);
        for _ in 0..200 {
            let (fl, dl) = across(left, p, gamma);
            let (fr, dr) = across(right, p, gamma);
            let next = (p - (fl + fr + parting) / (dl + dr)).max(1e-3 * p);
            let settled = (next - p).abs() <= 1e-15 * p;
            p = next;
            if settled {
                break;
            }
        }
        let (fl, fr) = (across(left, p, gamma).0, across(right, p, gamma).0);
        let star_velocity = 0.5 * (left.velocity + right.velocity + fr - fl);
        Ok(Self { left, right, gamma, star_pressure: p, star_velocity })
    }

    /// Densities left and right of the contact, kg/m³.
    pub fn star_densities(&self) -> (f64, f64) {
        (self.star_density(self.left), self.star_density(self.right))
    }

    fn star_density(&self, side: Primitive) -> f64 {
        let (g, ratio) = (self.gamma, self.star_pressure / side.pressure);
        if ratio > 1.0 {
            let k = (g - 1.0) / (g + 1.0);
            side.density * (ratio + k) / (k * ratio + 1.0)
        } else {
            side.density * powf(ratio, 1.0 / g)
        }
    }

    /// Speeds of the left wave, m/s: tail and head of a fan, or twice the shock's.
    pub fn left_wave(&self) -> (f64, f64) {
        let (head, tail) = self.wave(self.left, -1.0);
        (head, tail)
    }

    /// Speeds of the right wave, m/s: tail and head of a fan, or twice the shock's.
    pub fn right_wave(&self) -> (f64, f64) {
        let (head, tail) = self.wave(self.right, 1.0);
        (tail, head)
    }

    /// Speeds of head and tail of the wave into `side`, which moves to the `direction` (−1 or 1).
    fn wave(&self, side: Primitive, direction: f64) -> (f64, f64) {
        let (g, c, ratio) = (self.gamma, sound(side, self.gamma), self.star_pressure / side.pressure);
        if ratio > 1.0 {
            let shock = c * ((g + 1.0) / (2.0 * g) * ratio + (g - 1.0) / (2.0 * g)).sqrt();
            (side.velocity + direction * shock, side.velocity + direction * shock)
        } else {
            let star_sound = c * powf(ratio, (g - 1.0) / (2.0 * g));
            (side.velocity + direction * c, self.star_velocity + direction * star_sound)
        }
    }

    /// The solution where x/t is `speed`, m/s.
    pub fn at(&self, speed: f64) -> Primitive {
        let (side, direction) =
            if speed < self.star_velocity { (self.left, -1.0) } else { (self.right, 1.0) };
        let (head, tail) = self.wave(side, direction);
        if direction * (speed - head) >= 0.0 {
            side
        } else if direction * (speed - tail) <= 0.0 {
            Primitive {
                density: self.star_density(side),
                velocity: self.star_velocity,
                pressure: self.star_pressure,
            }
        } else {
            let (g, c) = (self.gamma, sound(side, self.gamma));
            let inside = 2.0 / (g + 1.0) - direction * (g - 1.0) / ((g + 1.0) * c) * (side.velocity - speed);
            Primitive {
                density: side.density * powf(inside, 2.0 / (g - 1.0)),
                velocity: 2.0 / (g + 1.0) * (-direction * c + 0.5 * (g - 1.0) * side.velocity + speed),
                pressure: side.pressure * powf(inside, 2.0 * g / (g - 1.0)),
            }
        }
    }
}

fn sound(side: Primitive, gamma: f64) -> f64 {
    (gamma * side.pressure / side.density).sqrt()
}

/// Change of velocity across the wave from `side` to pressure `p`, and its derivative (Toro, eq. 4.6, 4.7, 4.37).
fn across(side: Primitive, p: f64, gamma: f64) -> (f64, f64) {
    let (g, rho) = (gamma, side.density);
    if p > side.pressure {
        let a = 2.0 / ((g + 1.0) * rho);
        let b = (g - 1.0) / (g + 1.0) * side.pressure;
        let root = (a / (p + b)).sqrt();
        ((p - side.pressure) * root, root * (1.0 - (p - side.pressure) / (2.0 * (b + p))))
    } else {
        let (c, ratio) = (sound(side, g), p / side.pressure);
        let change = 2.0 * c / (g - 1.0) * (powf(ratio, (g - 1.0) / (2.0 * g)) - 1.0);
        (change, powf(ratio, -(g + 1.0) / (2.0 * g)) / (rho * c))
    }
}
