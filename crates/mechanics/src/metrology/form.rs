//! Form from a few sizes: taper, two-point out-of-round, a line through end supports.
//!
//! Any one unit of length throughout. See [`super::circle`] and [`super::plane`] for fits.

use thiserror::Error;

use super::Uncertain;

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
