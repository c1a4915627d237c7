//! Form from a few sizes: taper, two-point out-of-round, a line through end supports.
//!
//! Any one unit of length throughout. See [`super::circle`] and [`super::plane`] for fits.

use std::borrow::Cow;
use std::sync::OnceLock;

use thiserror::Error;

use super::Uncertain;
use super::decision::{Prior, Window, probability_outside};
use super::monte_carlo::Generator;

/// Why readings give no form.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FormError {
    /// Fewer readings than the shape has unknowns.
    #[error("{given} readings are too few: this needs at least {needed}")]
    TooFew {
        /// Readings given.
        given: usize,
        /// Readings needed.
        needed: usize,
    },
    /// The places do not fix the shape.
    #[error("the places of the readings lie in one line or in one spot: spread them out")]
    Degenerate,
    /// The fit found no minimum.
    #[error("no circle fits these points: check them for a wrong one")]
    NoFit,
    /// A place or a reading is not a finite number.
    #[error("reading {index} (counted from 0) is not a finite number")]
    NotFinite {
        /// Which one, counted from 0.
        index: usize,
    },
}

/// Largest less smallest of a set, and which they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Largest less smallest, with shared terms cancelled.
    ///
    /// A spread is never negative, so noise alone shows as a spread: of two equal sizes 1.13 u, of three 1.69 u,
    /// of five 2.33 u on average.
    pub value: Uncertain,
    /// Place of the largest in the input.
    pub largest: usize,
    /// Place of the smallest in the input.
    pub smallest: usize,
}

/// Taper: the spread of the sizes at several levels of one bore or journal. `None` of fewer than two.
pub fn taper(levels: &[&Uncertain]) -> Option<Spread> {
    if levels.len() < 2 {
        return None;
    }
    let by_value = |a: &usize, b: &usize| levels[*a].value().total_cmp(&levels[*b].value());
    let largest = (0..levels.len()).max_by(by_value)?;
    let smallest = (0..levels.len()).min_by(by_value)?;
    Some(Spread { value: levels[largest] - levels[smallest], largest, smallest })
}

/// Below this the chances of all pairs are only summed up.
const RARE: f64 = 0.01;
/// Draws where they are not: good to 0.5 % at worst (k = 1).
const DRAWS: usize = 10_000;
/// Seed of the draws, the same on every machine.
const SEED: u64 = 0x5eed_0f5b_4ead;

/// Chance that any two of some sizes lie farther apart than `most`, whichever they are; shared terms cancel.
///
/// The chance of the pair that lies farthest apart as read misses that another one may truly do. Errors are taken as normal. Below
/// 1 % the chances of all pairs are summed up (Boole's inequality: never too little, and near where chances are small); above,
/// their joint distribution is drawn (JCGM 101:2008) from one seed. 0 of fewer than two, 1 where `most` is negative, NaN of a NaN.
pub fn chance_apart(sizes: &[&Uncertain], most: f64) -> f64 {
    if sizes.len() < 2 {
        return 0.0;
    }
    let Ok(window) = Window::new(Some(-most), Some(most)) else { return 1.0 };
    let chance = |(one, other): (&Uncertain, &Uncertain)| {
        let apart = one - other;
        probability_outside(apart.value(), apart.standard(), window, Prior::Flat).outside()
    };
    let pairs = (0..sizes.len()).flat_map(|i| sizes[..i].iter().map(move |other| (sizes[i], *other)));
    let chances: Vec<f64> = pairs.map(chance).collect();
    let sum: f64 = chances.iter().sum();
    let likeliest = chances.iter().copied().fold(0.0, f64::max);
    if sizes.len() == 2 || sum < RARE || likeliest > 1.0 - 1e-4 || sum.is_nan() {
        return if sum < RARE || sum.is_nan() { sum } else { likeliest };
    }
    let factor = root_of_covariance(sizes);
    let mut beyond = 0_usize;
    for errors in normals(sizes.len()).chunks_exact(sizes.len()) {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for (size, row) in sizes.iter().zip(&factor) {
            let drawn = row.iter().zip(errors).fold(size.value(), |sum, (c, error)| sum + c * error);
            (low, high) = (low.min(drawn), high.max(drawn));
        }
        beyond += usize::from(high - low > most);
    }
    beyond as f64 / DRAWS as f64
}

/// Sizes of the largest engines of which the draws are kept: a V12.
const KEPT: usize = 12;

/// [`DRAWS`] draws of so many standard normal errors, one draw after the other. They come from one seed, so they are made once.
fn normals(sizes: usize) -> Cow<'static, [f64]> {
    static ALL: OnceLock<Vec<f64>> = OnceLock::new();
    let make = |count: usize| {
        let mut generator = Generator::new(SEED);
        (0..count).map(|_| generator.normal()).collect()
    };
    if sizes > KEPT {
        return Cow::Owned(make(sizes * DRAWS));
    }
    Cow::Borrowed(&ALL.get_or_init(|| make(KEPT * DRAWS))[..sizes * DRAWS])
}

/// Lower triangle L with L Lᵀ the covariance matrix (Cholesky); a size that hangs wholly on those before it adds nothing of its own.
fn root_of_covariance(sizes: &[&Uncertain]) -> Vec<Vec<f64>> {
    let mut factor: Vec<Vec<f64>> = Vec::with_capacity(sizes.len());
    for (i, size) in sizes.iter().enumerate() {
        let mut row = vec![0.0; i + 1];
        for j in 0..i {
            let known: f64 = (0..j).map(|k| row[k] * factor[j][k]).sum();
            let pivot = factor[j][j];
            row[j] = if pivot > 0.0 { (size.covariance(sizes[j]) - known) / pivot } else { 0.0 };
        }
        let own = size.covariance(size) - row.iter().map(|c| c * c).sum::<f64>();
        // What rounding leaves of nothing is nothing.
        row[i] = if own > 1e-12 * size.covariance(size) { own.sqrt() } else { 0.0 };
        factor.push(row);
    }
    factor
}

/// Out-of-round from diameters read in two or more directions at one level: largest less smallest.
///
/// Two anvils see only even lobes. A three-lobed bore (and every odd number of lobes) has the same diameter
/// in each direction and reads 0 here whatever its true roundness; ruling it out needs a trace, a
/// three-point gauge or coordinates. Two directions at right angles also miss an oval that stands at 45° to them.
pub fn two_point_out_of_round(directions: &[&Uncertain]) -> Option<Spread> {
    taper(directions)
}

/// Length of a vector with two uncertain components.
///
/// At the origin the direction is unknown; the larger component's terms are taken there.
pub fn magnitude(x: &Uncertain, y: &Uncertain) -> Uncertain {
    let length = (x.value() * x.value() + y.value() * y.value()).sqrt();
    if length > 0.0 {
        return Uncertain::propagate(length, &[(x.value() / length, x), (y.value() / length, y)]);
    }
    let larger = if x.standard() >= y.standard() { x } else { y };
    Uncertain::propagate(0.0, &[(1.0, larger)])
}

/// Offset of each support from the straight line through the first and the last, in one direction.
///
/// `supports` are (station along the axis, height), in the order along the axis; the ends get exactly 0.
/// `dᵢ = hᵢ − h₁ − (hₙ − h₁)(xᵢ − x₁)/(xₙ − x₁)`, so a datum that leans or is off cancels with its uncertainty.
///
/// # Errors
/// Fewer than three supports, both ends at one station, a number that is not finite.
pub fn offsets_from_end_line(supports: &[(f64, &Uncertain)]) -> Result<Vec<Uncertain>, FormError> {
    if let Some(index) = supports.iter().position(|(x, h)| !x.is_finite() || !h.value().is_finite()) {
        return Err(FormError::NotFinite { index });
    }
    let [(start, first), .., (end, last)] = supports else {
        return Err(FormError::TooFew { given: supports.len(), needed: 3 });
    };
    if supports.len() < 3 {
        return Err(FormError::TooFew { given: supports.len(), needed: 3 });
    }
    if end - start == 0.0 {
        return Err(FormError::Degenerate);
    }
    let offset = |(station, height): &(f64, &Uncertain)| {
        let share = (station - start) / (end - start);
        Uncertain::linear(0.0, &[(1.0, height), (share - 1.0, first), (-share, last)])
    };
    let inner = supports[1..supports.len() - 1].iter().map(offset);
    let ends = || core::iter::once(Uncertain::exact(0.0));
    Ok(ends().chain(inner).chain(ends()).collect())
}

/// Step from each support to its neighbour, `dᵢ₊₁ − dᵢ`, of offsets from one line.
pub fn neighbour_steps(offsets: &[Uncertain]) -> Vec<Uncertain> {
    offsets.windows(2).map(|pair| &pair[1] - &pair[0]).collect()
}
