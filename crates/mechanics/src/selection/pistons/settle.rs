//! Pins back to their pistons and rods back to their cylinders, as far as it costs nothing.

use super::{Case, CylinderSet, Request};
use crate::selection::{Objectives, SelectionError};

/// Exchanges pins and rods between two cylinders as long as that leaves fewer of them away from home (rods first, then pins; then the
/// spread of masses counts) and no more fits outside, and the spread no farther above the allowed one. `own_pin` is the pin of each
/// piston; rod n belongs to cylinder n. What it ends with moves no more than `sets`; that nothing moves less is not proved.
///
/// # Errors
/// As [`super::choose`].
pub fn with_fewer_moves(
    request: &Request,
    mut sets: Vec<CylinderSet>,
    own_pin: &[usize],
) -> Result<Vec<CylinderSet>, SelectionError> {
    let case = Case::new(request)?;
    let away = |sets: &[CylinderSet]| {
        let rods = sets.iter().enumerate().filter(|(c, s)| s.rod.is_some_and(|rod| rod != *c)).count();
        let pins = sets.iter().filter(|s| s.pin.is_some_and(|pin| pin != own_pin[s.piston])).count();
        (rods, pins, case.spread(sets))
    };
    let limit = case.worth(&sets);
    let mut known = away(&sets);
    loop {
        let before = known;
        for (a, b) in (0..sets.len()).flat_map(|b| (0..b).map(move |a| (a, b))) {
            for (pins, rods) in [(false, true), (true, false), (true, true)] {
                let mut tried = sets.clone();
                if pins {
                    (tried[a].pin, tried[b].pin) = (sets[b].pin, sets[a].pin);
                }
                if rods {
                    (tried[a].rod, tried[b].rod) = (sets[b].rod, sets[a].rod);
                }
                let now = away(&tried);
                if now < known && case.worth(&tried) <= limit {
                    (sets, known) = (tried, now);
                }
            }
        }
        if known == before {
            break;
        }
    }
    for set in &mut sets {
        set.mass = case.mass(set.piston, set.pin, set.rod) as f64 * case.mass_step;
    }
    Ok(sets)
}

impl Case {
    /// Fits outside, excess, spread above the allowed one.
    fn worth(&self, sets: &[CylinderSet]) -> Objectives<3> {
        let fits = sets.iter().filter_map(|s| Some(self.pin_fits(&self.windows, s.piston, s.pin?, s.rod)));
        let fits = fits.fold(Objectives::ZERO, |sum, fit| sum + fit);
        Objectives([fits.0[0], fits.0[1], (self.spread(sets) - self.allowed_spread).max(0)])
    }

    fn spread(&self, sets: &[CylinderSet]) -> i64 {
        let masses = || sets.iter().map(|s| self.mass(s.piston, s.pin, s.rod));
        masses().max().unwrap_or(0) - masses().min().unwrap_or(0)
    }
}
