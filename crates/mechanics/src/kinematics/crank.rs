//! Exact slider-crank with offset.

use super::{KinematicsError, positive};
use crate::math::{asin, cos, sin};
use crate::sensitivity::Sensitive;
use core::f64::consts::{PI, TAU};

/// Crank radius, rod and offset of one cylinder.
///
/// The offset is the distance, square to the crank axis, between the line on which the piston pin moves and
/// the crank axis: positive toward the side to which the throw swings after top dead centre. A pin set over
/// toward the major thrust face is negative; a cylinder set over so that the rod stands straighter on the power
/// stroke is positive; both together add up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SliderCrank {
    crank_radius: f64,
    rod_length: f64,
    offset: f64,
}

/// Where the piston is, and how it moves, at one crank angle. Positive toward the crank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Distance below top dead centre, m.
    pub displacement: f64,
    /// m/s.
    pub velocity: f64,
    /// m/s².
    pub acceleration: f64,
}

/// A greatest or least value and the crank angle at which it is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// Crank angle, rad, 0 to 2π.
    pub angle: f64,
    /// m/s or m/s².
    pub value: f64,
}

/// One order of the acceleration over r ω²: `cosine`·cos kθ + `sine`·sin kθ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harmonic {
    /// k, per turn of the crank.
    pub order: usize,
    /// Factor of cos kθ, dimensionless.
    pub cosine: f64,
    /// Factor of sin kθ; zero without offset.
    pub sine: f64,
}

impl SliderCrank {
    /// A crank drive from half the nominal stroke, rod length centre to centre and offset, in metres.
    ///
    /// # Errors
    /// When a length is not positive or the rod cannot pass the crank (l ≤ r + |e|).
    pub fn new(crank_radius: f64, rod_length: f64, offset: f64) -> Result<Self, KinematicsError> {
        positive("crank radius", crank_radius)?;
        positive("rod length", rod_length)?;
        let least = crank_radius + offset.abs();
        if !offset.is_finite() || rod_length <= least {
            return Err(KinematicsError::RodTooShort { rod_length, crank_radius, offset, least });
        }
        Ok(Self { crank_radius, rod_length, offset })
    }

    /// Half the nominal stroke, m.
    pub fn crank_radius(&self) -> f64 {
        self.crank_radius
    }

    /// Centre to centre, m.
    pub fn rod_length(&self) -> f64 {
        self.rod_length
    }

    /// Signed, m; see the type.
    pub fn offset(&self) -> f64 {
        self.offset
    }

    /// Crank angle of top dead centre, rad: asin(e / (l + r)), where rod and throw are in line.
    ///
    /// r 45, l 142.5, e 5 mm: 1.52807°.
    pub fn top_dead_centre(&self) -> f64 {
        asin(self.offset / (self.rod_length + self.crank_radius))
    }

    /// Crank angle of bottom dead centre, rad: π + asin(e / (l − r)).
    ///
    /// r 45, l 142.5, e 5 mm: 182.9395°.
    pub fn bottom_dead_centre(&self) -> f64 {
        PI + asin(self.offset / (self.rod_length - self.crank_radius))
    }

    /// Stroke, m, with its derivatives by crank radius, rod length and offset:
    /// √((l + r)² − e²) − √((l − r)² − e²). It is a little more than 2r when the offset is not zero.
    ///
    /// r 45, l 142.5, e 5 mm: 90.06161 mm. Geometry of the two dead centres (any text on mechanisms).
    pub fn stroke(&self) -> Sensitive<3> {
        let (r, l, e) = (self.crank_radius, self.rod_length, self.offset);
        let top = self.top_height();
        let bottom = ((l - r) * (l - r) - e * e).sqrt();
        Sensitive {
            value: top - bottom,
            sensitivities: [
                (l + r) / top + (l - r) / bottom,
                (l + r) / top - (l - r) / bottom,
                e / bottom - e / top,
            ],
        }
    }

    /// Height of the pin above the crank axis at top dead centre, m: √((l + r)² − e²).
    pub fn top_height(&self) -> f64 {
        let sum = self.rod_length + self.crank_radius;
        (sum * sum - self.offset * self.offset).sqrt()
    }

    /// Distance below top dead centre at a crank angle, m:
    /// s = √((l+r)² − e²) − r cos θ − √(l² − (r sin θ − e)²).
    ///
    /// Without offset r (1 − cos θ) + l (1 − √(1 − (r/l)² sin² θ)); r 45, l 142.5 mm at 90°: 52.29183 mm.
    /// Norton, *Design of Machinery*, slider-crank position (from memory).
    pub fn displacement(&self, angle: f64) -> f64 {
        self.top_height() - self.crank_radius * cos(angle) - self.rod_height(angle)
    }

    /// Displacement with its derivatives by crank radius, rod length, offset and crank angle.
    pub fn displacement_sensitive(&self, angle: f64) -> Sensitive<4> {
        let (r, l, e) = (self.crank_radius, self.rod_length, self.offset);
        let (top, height) = (self.top_height(), self.rod_height(angle));
        let (sine, cosine) = (sin(angle), cos(angle));
        let aside = r * sine - e;
        Sensitive {
            value: top - r * cosine - height,
            sensitivities: [
                (l + r) / top - cosine + aside * sine / height,
                (l + r) / top - l / height,
                -e / top - aside / height,
                r * sine + aside * r * cosine / height,
            ],
        }
    }

    /// Displacement, speed and acceleration at a crank angle and a crank speed in rad/s (constant).
    ///
    /// With h = √(l² − d²), d = r sin θ − e: v/ω = r sin θ + d r cos θ / h and
    /// a/ω² = r cos θ + r² (cos² θ) l²/h³ − d r sin θ / h. Without offset the textbook
    /// a = r ω² [cos θ + λ (cos 2θ + λ² sin⁴ θ)/q³]; r 45, l 142.5 mm, 8,000 rev/min at 0°: 41,556.23 m/s².
    pub fn motion(&self, angle: f64, crank_speed: f64) -> Motion {
        let slope = self.slope(angle);
        Motion {
            displacement: self.displacement(angle),
            velocity: slope * crank_speed,
            acceleration: self.curvature(angle) * crank_speed * crank_speed,
        }
    }

    /// Mean piston speed, m/s: 2 × stroke × turns per second (crank speed in rad/s).
    pub fn mean_speed(&self, crank_speed: f64) -> f64 {
        self.stroke().value * crank_speed / PI
    }

    /// Greatest piston speed on the way down, m/s, with its crank angle.
    ///
    /// r 45, l 142.5 mm, 8,000 rev/min: 39.54938 m/s at 73.8769°.
    pub fn peak_speed(&self, crank_speed: f64) -> Extreme {
        let steepest = self.steepest(self.top_dead_centre(), self.bottom_dead_centre(), 1.0);
        Extreme { angle: steepest.angle, value: steepest.value * crank_speed }
    }

    /// Greatest piston speed on the way up, m/s (negative), with its crank angle; with a positive offset it is greater than that on the
    /// way down.
    pub fn peak_speed_up(&self, crank_speed: f64) -> Extreme {
        let steepest = self.steepest(self.bottom_dead_centre(), self.top_dead_centre() + TAU, -1.0);
        Extreme { angle: steepest.angle, value: steepest.value * crank_speed }
    }

    /// Where the piston moves fastest between two dead centres; the acceleration passes through zero once there, from `sign` on.
    fn steepest(&self, from: f64, to: f64, sign: f64) -> Extreme {
        let (mut low, mut high) = (from, to);
        for _ in 0..200 {
            let middle = 0.5 * (low + high);
            if sign * self.curvature(middle) > 0.0 { low = middle } else { high = middle }
        }
        let angle = 0.5 * (low + high);
        Extreme { angle, value: self.slope(angle) }
    }

    /// Greatest acceleration toward the crank, m/s²; without offset r ω² (1 + r/l) at top dead centre.
    ///
    /// This is what pulls on the rod and its bolts.
    pub fn peak_acceleration_down(&self, crank_speed: f64) -> Extreme {
        let extreme = self.extreme_curvature(1.0);
        Extreme { angle: extreme.angle, value: extreme.value * crank_speed * crank_speed }
    }

    /// Greatest acceleration toward the head, m/s² (negative).
    ///
    /// With r/l below about 1/4 it is at bottom dead centre; above, there are two equal ones beside it and the
    /// first is given (with an offset they differ, and the greater is given).
    pub fn peak_acceleration_up(&self, crank_speed: f64) -> Extreme {
        let extreme = self.extreme_curvature(-1.0);
        Extreme { angle: extreme.angle, value: extreme.value * crank_speed * crank_speed }
    }

    /// Fourier orders 1 to `orders` of a/(r ω²), exact to rounding (trapezoidal rule over a turn, which converges
    /// geometrically for a periodic smooth function).
    ///
    /// l/r = 4: order 2 0.254025, order 4 −0.0040981, order 6 0.0000744. Biezeno & Grammel, *Technische Dynamik*
    /// (series from memory).
    pub fn acceleration_harmonics(&self, orders: usize) -> Vec<Harmonic> {
        let points = 512.max(8 * orders);
        let step = TAU / points as f64;
        let samples: Vec<f64> =
            (0..points).map(|i| self.curvature(step * i as f64) / self.crank_radius).collect();
        let project = |order: usize, wave: fn(f64) -> f64| {
            let sum: f64 =
                samples.iter().enumerate().map(|(i, a)| a * wave(step * ((i * order) % points) as f64)).sum();
            2.0 * sum / points as f64
        };
        (1..=orders)
            .map(|order| Harmonic { order, cosine: project(order, cos), sine: project(order, sin) })
            .collect()
    }

    /// Angle of the rod to the cylinder line, rad, positive when the throw is on the side of positive offset.
    pub fn rod_angle(&self, angle: f64) -> f64 {
        asin((self.crank_radius * sin(angle) - self.offset) / self.rod_length)
    }

    /// h = √(l² − (r sin θ − e)²), the rod's length along the cylinder.
    fn rod_height(&self, angle: f64) -> f64 {
        let aside = self.crank_radius * sin(angle) - self.offset;
        (self.rod_length * self.rod_length - aside * aside).sqrt()
    }

    /// ds/dθ, m/rad.
    fn slope(&self, angle: f64) -> f64 {
        let (sine, cosine) = (sin(angle), cos(angle));
        let aside = self.crank_radius * sine - self.offset;
        self.crank_radius * (sine + aside * cosine / self.rod_height(angle))
    }

    /// d²s/dθ², m/rad².
    fn curvature(&self, angle: f64) -> f64 {
        let (r, l) = (self.crank_radius, self.rod_length);
        let (sine, cosine) = (sin(angle), cos(angle));
        let (aside, height) = (r * sine - self.offset, self.rod_height(angle));
        r * cosine + r * r * cosine * cosine * l * l / (height * height * height) - aside * r * sine / height
    }

    /// The angle with the greatest `sign` × curvature over a turn: the best of 720 points, then thirds.
    fn extreme_curvature(&self, sign: f64) -> Extreme {
        const POINTS: usize = 720;
        let step = TAU / POINTS as f64;
        let value = |angle: f64| sign * self.curvature(angle);
        let mut best = 0.0;
        for i in 1..POINTS {
            let angle = step * i as f64;
            // A gain below rounding is a tie, and the first of equals stays.
            if value(angle) > value(best) + 1e-12 * self.crank_radius {
                best = angle;
            }
        }
        let (mut low, mut high) = (best - step, best + step);
        for _ in 0..100 {
            let third = (high - low) / 3.0;
            if value(low + third) < value(high - third) { low += third } else { high -= third }
        }
        let refined = 0.5 * (low + high);
        let angle = if value(refined) > value(best) { refined } else { best };
        Extreme { angle: if angle < 0.0 { angle + TAU } else { angle }, value: sign * value(angle) }
    }
}
