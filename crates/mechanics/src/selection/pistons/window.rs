//! Whether pins and rods can be matched to pistons so that every set weighs between two limits.

use super::Case;
use crate::selection::stock::Budget;

/// A piston (its place in the set), a pin and a rod that may go together.
#[derive(Clone, Copy, Debug)]
pub(super) struct Triple {
    pub place: usize,
    pub pin: Option<usize>,
    pub rod: Option<usize>,
    pub mass: i64,
    /// The same for triples of parts that cannot be told apart.
    class: [usize; 3],
}

/// Every piston of the set with every pin and rod that fit it.
pub(super) fn triples(
    case: &Case,
    pistons: &[usize],
    fits: impl Fn(usize, usize, Option<usize>) -> bool,
) -> Vec<Triple> {
    let all = |count: usize| if count == 0 { vec![None] } else { (0..count).map(Some).collect() };
    let mut found = Vec::new();
    for (place, &piston) in pistons.iter().enumerate() {
        for pin in all(case.pin_mass.len()) {
            for rod in all(case.rod_mass.len()) {
                if pin.is_none_or(|pin| fits(piston, pin, rod)) {
                    let class = [
                        twin(pistons.len(), place, |i| case.piston_key(pistons[i])),
                        pin.map_or(0, |pin| twin(case.pin_mass.len(), pin, |i| case.pin_key(i))),
                        rod.map_or(0, |rod| twin(case.rod_mass.len(), rod, |i| case.rod_key(i))),
                    ];
                    found.push(Triple { place, pin, rod, mass: case.mass(piston, pin, rod), class });
                }
            }
        }
    }
    found
}

/// The first part that is the same as this one.
fn twin<K: PartialEq>(count: usize, index: usize, key: impl Fn(usize) -> K) -> usize {
    (0..count).find(|&other| key(other) == key(index)).unwrap_or(index)
}

/// What must be covered: every piston, and every pin or rod when none is left over.
pub(super) struct Cover {
    pub places: usize,
    pub pins: usize,
    pub rods: usize,
}

/// What a search found.
pub(super) enum Found {
    Matching(Vec<Triple>),
    Nothing,
    OutOfBudget,
}

impl Cover {
    /// Searches for disjoint triples with masses from `low` to `high` that cover everything.
    ///
    /// Always at the part with the fewest triples left, which is where a wrong window fails soonest.
    pub fn search(&self, triples: &[Triple], low: i64, high: i64, budget: &mut Budget) -> Found {
        let mut alive: Vec<Triple> =
            triples.iter().filter(|t| (low..=high).contains(&t.mass)).copied().collect();
        // Twice the distance from the middle: sets near it leave room for the rest.
        alive.sort_by_key(|triple| (2 * triple.mass - low - high).abs());
        let mut picked = Vec::with_capacity(self.places);
        if self.descend(&alive, &mut picked, budget) {
            Found::Matching(picked)
        } else if budget.exhausted {
            Found::OutOfBudget
        } else {
            Found::Nothing
        }
    }

    fn descend(&self, alive: &[Triple], picked: &mut Vec<Triple>, budget: &mut Budget) -> bool {
        if picked.len() == self.places {
            return true;
        }
        if !budget.take() {
            return false;
        }
        let Some(tightest) = self.tightest(alive, picked) else { return false };
        let mut tried: Vec<[usize; 3]> = Vec::new();
        for &triple in alive.iter().filter(|triple| tightest.is_in(triple)) {
            if tried.contains(&triple.class) {
                continue;
            }
            tried.push(triple.class);
            let rest: Vec<Triple> =
                alive.iter().filter(|other| !triple.shares_with(other)).copied().collect();
            picked.push(triple);
            if self.descend(&rest, picked, budget) {
                return true;
            }
            picked.pop();
        }
        false
    }

    /// The uncovered part with the fewest triples; `None` when one has none.
    fn tightest(&self, alive: &[Triple], picked: &[Triple]) -> Option<Part> {
        let mut counts = [vec![0_u32; self.places], vec![0; self.pins], vec![0; self.rods]];
        for triple in alive {
            for (count, part) in counts.iter_mut().zip(triple.parts()) {
                if let Some(part) = part {
                    count[part] += 1;
                }
            }
        }
        // A covered part is not looked at again.
        for triple in picked {
            for (count, part) in counts.iter_mut().zip(triple.parts()) {
                if let Some(part) = part {
                    count[part] = u32::MAX;
                }
            }
        }
        let mut best: Option<(u32, Part)> = None;
        for (kind, count) in counts.iter().enumerate() {
            if count.len() > self.places {
                continue;
            }
            for (index, &count) in count.iter().enumerate() {
                if count == 0 {
                    return None;
                }
                if count < u32::MAX && best.is_none_or(|(least, _)| count < least) {
                    best = Some((count, Part { kind, index }));
                }
            }
        }
        best.map(|(_, part)| part)
    }
}

#[derive(Clone, Copy)]
struct Part {
    kind: usize,
    index: usize,
}

impl Part {
    fn is_in(&self, triple: &Triple) -> bool {
        triple.parts()[self.kind] == Some(self.index)
    }
}

impl Triple {
    fn parts(&self) -> [Option<usize>; 3] {
        [Some(self.place), self.pin, self.rod]
    }

    fn shares_with(&self, other: &Self) -> bool {
        self.parts().iter().zip(other.parts()).any(|(mine, theirs)| mine.is_some() && *mine == theirs)
    }
}
