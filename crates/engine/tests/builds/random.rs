//! Seeded draws: PCG, uniform, normal, truncated normal.

use mechanics::math::normal_quantile;
use rand::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;

/// A stream of draws.
pub struct Draws(Pcg64Mcg);

impl Draws {
    pub fn seeded(seed: u64) -> Self {
        Self(Pcg64Mcg::seed_from_u64(seed))
    }

    /// Open interval 0 to 1.
    fn unit(&mut self) -> f64 {
        ((self.0.next_u64() >> 12) as f64 + 0.5) / (1_u64 << 52) as f64
    }

    pub fn uniform(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count - 1)
    }

    pub fn normal(&mut self, standard: f64) -> f64 {
        standard * normal_quantile(self.unit())
    }

    /// Rectangular with that standard deviation.
    pub fn rectangular(&mut self, standard: f64) -> f64 {
        self.uniform(-1.0, 1.0) * standard * 3.0_f64.sqrt()
    }

    /// What a process makes and its inspection lets through: normal with Cp 1.33 (half a tolerance is four standard
    /// deviations), cut off at the tolerance.
    pub fn made_within(&mut self, half_tolerance: f64) -> f64 {
        loop {
            let draw = self.normal(half_tolerance / 4.0);
            if draw.abs() <= half_tolerance {
                return draw;
            }
        }
    }

    pub fn one_of<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        &items[self.below(items.len())]
    }

    pub fn coin(&mut self) -> bool {
        self.unit() < 0.5
    }
}
