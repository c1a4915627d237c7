//! Propagation of distributions by Monte Carlo, JCGM 101:2008, for models that are not linear.

use core::ops::ControlFlow;

use rand::{Rng, SeedableRng};
use rand_pcg::Pcg64Mcg;
use thiserror::Error;

use super::{Shape, Source, SourceId, Sources, Uncertain};
use crate::math::{ln, powf};

/// Draws between two calls of the watcher.
const WATCHED_EVERY: usize = 500;

/// Why a Monte Carlo run gave no distribution.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum MonteCarloError {
    /// Zero draws were asked for.
    #[error("no draws were asked for: 10,000 give a probability to about half a per cent")]
    NoDraws,
    /// The watcher ended the run.
    #[error("stopped after {done} of {draws} draws")]
    Stopped {
        /// Draws finished before the stop.
        done: usize,
        /// Draws asked for.
        draws: usize,
    },
    /// The model gave no finite number for any draw.
    #[error("the model gave no finite number in any of {draws} draws: check its inputs")]
    Undefined {
        /// Draws made.
        draws: usize,
    },
}

/// Draws of `model(inputs)`. A source shared by several inputs is drawn once per draw, which is the correlation.
///
/// Sources of finite degrees of freedom ν and [`Shape::Normal`] are drawn from the t distribution, as
/// JCGM 101, 6.4.9 asks for readings repeated a few times; its standard deviation is √(ν/(ν−2)) times
/// the first-order one, and infinite for ν ≤ 2 (the quantiles stay meaningful). The generator is our
/// own seed of PCG-XSL-RR-128/64, so the same seed gives the same draws on every machine.
///
/// # Errors
/// [`MonteCarloError`]: no draws, or none with a finite result.
///
/// # Panics
/// If an input's source came from another register.
pub fn monte_carlo(
    sources: &Sources,
    inputs: &[&Uncertain],
    draws: usize,
    seed: u64,
    model: impl FnMut(&[f64]) -> f64,
) -> Result<Draws, MonteCarloError> {
    monte_carlo_watched(sources, inputs, draws, seed, model, &mut |_| ControlFlow::Continue(()))
}

/// [`monte_carlo`] that tells a watcher every 500 draws how many are done, and stops when it says so.
///
/// # Errors
/// As [`monte_carlo`], and [`MonteCarloError::Stopped`].
///
/// # Panics
/// If an input's source came from another register.
pub fn monte_carlo_watched(
    sources: &Sources,
    inputs: &[&Uncertain],
    draws: usize,
    seed: u64,
    mut model: impl FnMut(&[f64]) -> f64,
    watch: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Draws, MonteCarloError> {
    if draws == 0 {
        return Err(MonteCarloError::NoDraws);
    }
    let mut sampler = Sampler::new(sources, inputs, seed);
    let mut results = Vec::with_capacity(draws);
    for done in 0..draws {
        if done % WATCHED_EVERY == 0 && watch(done).is_break() {
            return Err(MonteCarloError::Stopped { done, draws });
        }
        let result = model(sampler.draw());
        if result.is_finite() {
            results.push(result);
        }
    }
    if results.is_empty() {
        return Err(MonteCarloError::Undefined { draws });
    }
    results.sort_unstable_by(f64::total_cmp);
    Ok(Draws { undefined: draws - results.len(), sorted: results })
}

/// One column a source, one row an input, in compact form.
struct Sampler<'a> {
    generator: Generator,
    used: Vec<&'a Source>,
    /// For each input its value and (place in `used`, coefficient).
    inputs: Vec<(f64, Vec<(usize, f64)>)>,
    errors: Vec<f64>,
    values: Vec<f64>,
}

impl<'a> Sampler<'a> {
    fn new(sources: &'a Sources, inputs: &[&Uncertain], seed: u64) -> Self {
        let mut ids: Vec<SourceId> = inputs.iter().flat_map(|x| x.terms()).map(|term| term.0).collect();
        ids.sort_unstable();
        ids.dedup();
        let place = |id| ids.partition_point(|other| *other < id);
        let rows = inputs.iter().map(|x| {
            (x.value(), x.terms().iter().map(|&(id, coefficient)| (place(id), coefficient)).collect())
        });
        Self {
            generator: Generator::new(seed),
            inputs: rows.collect(),
            used: ids.iter().map(|id| sources.get(*id)).collect(),
            errors: vec![0.0; ids.len()],
            values: vec![0.0; inputs.len()],
        }
    }

    fn draw(&mut self) -> &[f64] {
        for (error, source) in self.errors.iter_mut().zip(&self.used) {
            *error = self.generator.draw(source);
        }
        for (value, (estimate, terms)) in self.values.iter_mut().zip(&self.inputs) {
            *value = terms.iter().fold(*estimate, |sum, &(place, c)| sum + c * self.errors[place]);
        }
        &self.values
    }
}

/// Deviates from one seed, the same on every machine.
pub(super) struct Generator {
    bits: Pcg64Mcg,
    /// The second of a pair of normal deviates.
    spare: Option<f64>,
}

impl Generator {
    pub(super) fn new(seed: u64) -> Self {
        Self { bits: Pcg64Mcg::seed_from_u64(seed), spare: None }
    }

    /// Uniform on the open interval −1 to 1, 52 random bits.
    fn symmetric(&mut self) -> f64 {
        let half_steps = (self.bits.next_u64() >> 12) as f64 + 0.5;
        half_steps / (1_u64 << 51) as f64 - 1.0
    }

    /// A point in the unit disc and its squared distance from the middle.
    fn in_disc(&mut self) -> (f64, f64, f64) {
        loop {
            let (x, y) = (self.symmetric(), self.symmetric());
            let square = x * x + y * y;
            if square < 1.0 && square > 0.0 {
                return (x, y, square);
            }
        }
    }

    /// Polar method of Marsaglia and Bray (1964).
    pub(super) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        let (x, y, square) = self.in_disc();
        let factor = (-2.0 * ln(square) / square).sqrt();
        self.spare = Some(y * factor);
        x * factor
    }

    /// Polar method of Bailey (1994) for the t distribution.
    fn student(&mut self, degrees: f64) -> f64 {
        let (x, _, square) = self.in_disc();
        x * (degrees * (powf(square, -2.0 / degrees) - 1.0) / square).sqrt()
    }

    fn draw(&mut self, source: &Source) -> f64 {
        match source.shape {
            Shape::Normal if source.degrees_of_freedom.is_finite() => self.student(source.degrees_of_freedom),
            Shape::Normal => self.normal(),
            Shape::Rectangular => self.symmetric() * 3_f64.sqrt(),
            Shape::Triangular => (self.symmetric() + self.symmetric()) * 1.5_f64.sqrt(),
        }
    }
}

/// The drawn distribution of a result, sorted.
#[derive(Clone, Debug, PartialEq)]
pub struct Draws {
    sorted: Vec<f64>,
    undefined: usize,
}

impl Draws {
    /// The finite results in ascending order; never empty.
    pub fn sorted(&self) -> &[f64] {
        &self.sorted
    }

    /// Draws for which the model gave no finite number. All other figures are of the rest.
    pub fn undefined(&self) -> usize {
        self.undefined
    }

    /// Arithmetic mean, JCGM 101 equation (16).
    pub fn mean(&self) -> f64 {
        // About the middle draw, so that a small scatter on a large value keeps its digits.
        let middle = self.sorted[self.sorted.len() / 2];
        middle + self.sorted.iter().map(|x| x - middle).sum::<f64>() / self.sorted.len() as f64
    }

    /// Standard deviation, JCGM 101 equation (17); 0 of a single draw.
    pub fn standard(&self) -> f64 {
        let mean = self.mean();
        let squares: f64 = self.sorted.iter().map(|x| (x - mean) * (x - mean)).sum();
        (squares / (self.sorted.len() - 1).max(1) as f64).sqrt()
    }

    /// Share of draws strictly below `limit`.
    pub fn probability_below(&self, limit: f64) -> f64 {
        self.sorted.partition_point(|x| *x < limit) as f64 / self.sorted.len() as f64
    }

    /// Share of draws strictly above `limit`.
    pub fn probability_above(&self, limit: f64) -> f64 {
        let not_above = self.sorted.partition_point(|x| *x <= limit);
        (self.sorted.len() - not_above) as f64 / self.sorted.len() as f64
    }

    /// Quantile between the nearest two draws; `probability` is limited to 0 to 1.
    pub fn quantile(&self, probability: f64) -> f64 {
        let position = (probability.clamp(0.0, 1.0) * self.sorted.len() as f64 - 0.5)
            .clamp(0.0, (self.sorted.len() - 1) as f64);
        let low = position.floor() as usize;
        let high = (low + 1).min(self.sorted.len() - 1);
        self.sorted[low] + (position - low as f64) * (self.sorted[high] - self.sorted[low])
    }

    /// Interval that holds `probability`, with equal shares left at both ends (JCGM 101, 7.7.1).
    pub fn symmetric_interval(&self, probability: f64) -> (f64, f64) {
        let tail = 0.5 * (1.0 - probability.clamp(0.0, 1.0));
        (self.quantile(tail), self.quantile(1.0 - tail))
    }

    /// The shortest interval that holds `probability` (JCGM 101, 7.7.2 and 5.3.4).
    pub fn shortest_interval(&self, probability: f64) -> (f64, f64) {
        let last = self.sorted.len() - 1;
        let inside = ((probability.clamp(0.0, 1.0) * self.sorted.len() as f64).round() as usize).min(last);
        let width = |start: &usize| self.sorted[start + inside] - self.sorted[*start];
        let start = (0..=last - inside).min_by(|a, b| width(a).total_cmp(&width(b))).unwrap_or(0);
        (self.sorted[start], self.sorted[start + inside])
    }
}
