//! Pins and rods to a given set of pistons: fits first, then the least spread of masses.

use super::Case;
use super::window::{Cover, Found, Triple, triples};
use crate::selection::stock::Budget;
use crate::selection::{NanoWindow, Objectives, count};

/// Pins and rods for each piston of the set.
pub(super) struct Matching {
    pub pin_and_rod: Vec<(Option<usize>, Option<usize>)>,
    /// Fits outside, excess, spread above the allowed one, spread.
    pub cost: Objectives<4>,
    /// No matching is below this.
    pub bound: Objectives<4>,
}

/// Starts from a greedy matching improved by exchanges, then asks again and again for one with a smaller spread, until there
/// is none ([`Cover`]). Only when no matching at all keeps every pin inside its fits are these weighed against each other,
/// depth first over the pistons.
pub(super) fn match_sets(
    case: &Case,
    windows: &[NanoWindow],
    pistons: &[usize],
    budget: &mut Budget,
) -> Matching {
    let mut order: Vec<usize> = (0..pistons.len()).collect();
    order.sort_by_key(|&place| (-case.piston_mass[pistons[place]], place));
    let n = pistons.len();
    let pins = case.pin_mass.len();
    let rods = case.rod_mass.len();
    let whole = |masses: &[i64]| (masses.is_empty() || masses.len() == n).then(|| masses.iter().sum::<i64>());
    let total = whole(&case.pin_mass).zip(whole(&case.rod_mass)).map(|(pins, rods)| {
        pins + rods + pistons.iter().map(|&piston| case.piston_mass[piston]).sum::<i64>()
    });
    let mut search =
        Search { case, windows, pistons, order, total, best: Vec::new(), cost: Objectives([i64::MAX; 4]) };
    search.start(pins, rods);
    let mut floor = search.floor();
    if search.cost > floor {
        floor = search.narrow(floor, budget);
    }
    Matching { bound: floor.min(search.cost), pin_and_rod: search.best, cost: search.cost }
}

type Pair = (Option<usize>, Option<usize>);

struct Search<'a> {
    case: &'a Case,
    windows: &'a [NanoWindow],
    pistons: &'a [usize],
    /// Places of `pistons`, heaviest first.
    order: Vec<usize>,
    /// Sum of all masses when nothing is left over.
    total: Option<i64>,
    best: Vec<Pair>,
    cost: Objectives<4>,
}

struct State {
    pin_free: Vec<bool>,
    rod_free: Vec<bool>,
    /// In the order of `order`.
    picked: Vec<Pair>,
    fits: Objectives<2>,
    least: i64,
    most: i64,
    sum: i64,
}

impl Search<'_> {
    fn spread_cost(&self, fits: Objectives<2>, spread: i64) -> Objectives<4> {
        Objectives([fits.0[0], fits.0[1], (spread - self.case.allowed_spread).max(0), spread])
    }

    /// What every matching costs at least: whole steps cannot be shared out more evenly than to one step.
    fn floor(&self) -> Objectives<4> {
        let uneven = self.total.is_some_and(|total| total.rem_euclid(count(self.pistons.len().max(1))) != 0);
        self.spread_cost(Objectives::ZERO, i64::from(uneven))
    }

    fn cost_of(&self, pairs: &[Pair]) -> (Objectives<4>, i64) {
        let (mut fits, mut least, mut most, mut squares) = (Objectives::ZERO, i64::MAX, i64::MIN, 0);
        for (&piston, &(pin, rod)) in self.pistons.iter().zip(pairs) {
            if let Some(pin) = pin {
                fits = fits + self.case.pin_fits(self.windows, piston, pin, rod);
            }
            let mass = self.case.mass(piston, pin, rod);
            (least, most) = (least.min(mass), most.max(mass));
            squares += mass * mass;
        }
        (self.spread_cost(fits, if pairs.is_empty() { 0 } else { most - least }), squares)
    }

    /// Light pins and rods to heavy pistons, then exchanges of two pins or two rods (or with one left over) while they help.
    fn start(&mut self, pins: usize, rods: usize) {
        let ascending = |masses: &[i64]| {
            let mut order: Vec<usize> = (0..masses.len()).collect();
            order.sort_by_key(|&index| (masses[index], index));
            order
        };
        let mut pins: Vec<usize> = if pins > 0 { ascending(&self.case.pin_mass) } else { Vec::new() };
        let mut rods: Vec<usize> = if rods > 0 { ascending(&self.case.rod_mass) } else { Vec::new() };
        let pairs = |pins: &[usize], rods: &[usize], order: &[usize]| {
            let mut pairs = vec![(None, None); order.len()];
            for (rank, &place) in order.iter().enumerate() {
                pairs[place] = (pins.get(rank).copied(), rods.get(rank).copied());
            }
            pairs
        };
        let mut known = self.cost_of(&pairs(&pins, &rods, &self.order));
        loop {
            let before = known;
            for rods_turn in [false, true] {
                let length = if rods_turn { rods.len() } else { pins.len() };
                for (i, j) in (0..length).flat_map(|j| (0..j).map(move |i| (i, j))) {
                    (if rods_turn { &mut rods } else { &mut pins }).swap(i, j);
                    let now = self.cost_of(&pairs(&pins, &rods, &self.order));
                    if now < known {
                        known = now;
                    } else {
                        (if rods_turn { &mut rods } else { &mut pins }).swap(i, j);
                    }
                }
            }
            if known == before {
                break;
            }
        }
        self.best = pairs(&pins, &rods, &self.order);
        self.cost = known.0;
    }

    /// Finds smaller and smaller spreads; returns what no matching can undercut.
    fn narrow(&mut self, floor: Objectives<4>, budget: &mut Budget) -> Objectives<4> {
        let inside =
            |piston, pin, rod| self.case.pin_fits(self.windows, piston, pin, rod) == Objectives::ZERO;
        let triples = triples(self.case, self.pistons, inside);
        let cover = Cover {
            places: self.pistons.len(),
            pins: self.case.pin_mass.len(),
            rods: self.case.rod_mass.len(),
        };
        if self.cost.0[0] > 0 {
            match cover.search(&triples, i64::MIN / 4, i64::MAX / 4, budget) {
                Found::Matching(matching) => self.keep(&matching),
                Found::OutOfBudget => return floor,
                Found::Nothing => return self.weigh_fits(floor, budget),
            }
        }
        loop {
            let spread = self.cost.0[3] - 1;
            if spread < floor.0[3] {
                return self.cost;
            }
            let mut nothing = true;
            for low in self.lightest_sets(&triples, spread) {
                match cover.search(&triples, low, low + spread, budget) {
                    Found::Matching(matching) => {
                        self.keep(&matching);
                        nothing = false;
                        break;
                    }
                    Found::OutOfBudget => return floor,
                    Found::Nothing => {}
                }
            }
            if nothing {
                return self.cost;
            }
        }
    }

    /// What the lightest set may weigh in a matching of that spread: around the mean when nothing is left over.
    fn lightest_sets(&self, triples: &[Triple], spread: i64) -> Vec<i64> {
        if let Some(total) = self.total {
            let n = count(self.pistons.len());
            let (below, above) = (total.div_euclid(n), -(-total).div_euclid(n));
            return (above - spread..=below).collect();
        }
        let mut masses: Vec<i64> = triples.iter().map(|triple| triple.mass).collect();
        masses.sort_unstable();
        masses.dedup();
        masses
    }

    fn keep(&mut self, matching: &[Triple]) {
        for triple in matching {
            self.best[triple.place] = (triple.pin, triple.rod);
        }
        self.cost = self.cost_of(&self.best).0;
    }

    /// When no matching keeps every fit: the fewest and smallest misfits, then the least spread.
    fn weigh_fits(&mut self, floor: Objectives<4>, budget: &mut Budget) -> Objectives<4> {
        let mut state = State {
            pin_free: vec![true; self.case.pin_mass.len()],
            rod_free: vec![true; self.case.rod_mass.len()],
            picked: Vec::new(),
            fits: Objectives::ZERO,
            least: i64::MAX,
            most: i64::MIN,
            sum: 0,
        };
        self.descend(&mut state, budget);
        if budget.exhausted { floor } else { self.cost }
    }

    fn descend(&mut self, state: &mut State, budget: &mut Budget) {
        let depth = state.picked.len();
        if depth == self.order.len() {
            let mut pairs = vec![(None, None); depth];
            for (&place, &pair) in self.order.iter().zip(&state.picked) {
                pairs[place] = pair;
            }
            self.cost = self.cost_of(&pairs).0;
            self.best = pairs;
            return;
        }
        let piston = self.pistons[self.order[depth]];
        let options = |free: &[bool], masses: &[i64], sizes: bool| distinct_free(free, masses, sizes);
        let sizes_matter = self.case.has_pin_fits();
        for pin in options(&state.pin_free, &self.case.pin_mass, sizes_matter) {
            for rod in options(&state.rod_free, &self.case.rod_mass, sizes_matter) {
                if !budget.take() {
                    return;
                }
                let mass = self.case.mass(piston, pin, rod);
                let fits =
                    pin.map_or(Objectives::ZERO, |pin| self.case.pin_fits(self.windows, piston, pin, rod));
                let saved = (state.fits, state.least, state.most, state.sum);
                state.fits = state.fits + fits;
                (state.least, state.most) = (state.least.min(mass), state.most.max(mass));
                state.sum += mass;
                if self.spread_cost(state.fits, self.least_spread(state, depth + 1)) < self.cost {
                    set(&mut state.pin_free, pin, false);
                    set(&mut state.rod_free, rod, false);
                    state.picked.push((pin, rod));
                    self.descend(state, budget);
                    state.picked.pop();
                    set(&mut state.pin_free, pin, true);
                    set(&mut state.rod_free, rod, true);
                }
                (state.fits, state.least, state.most, state.sum) = saved;
            }
        }
    }

    /// The spread that is certain: of the masses so far, and of the mean of the rest, which some set must reach from
    /// either side.
    fn least_spread(&self, state: &State, filled: usize) -> i64 {
        let left = count(self.pistons.len() - filled);
        match self.total {
            Some(total) if left > 0 => {
                let rest = total - state.sum;
                let (below, above) = (rest.div_euclid(left), -(-rest).div_euclid(left));
                state.most.max(above) - state.least.min(below)
            }
            _ => state.most - state.least,
        }
    }
}

fn set(free: &mut [bool], index: Option<usize>, value: bool) {
    if let Some(index) = index {
        free[index] = value;
    }
}

/// The free parts; of parts with equal mass only the first, unless their sizes matter. One `None` when there are none at all.
fn distinct_free(free: &[bool], masses: &[i64], sizes_matter: bool) -> Vec<Option<usize>> {
    if masses.is_empty() {
        return vec![None];
    }
    let mut kept: Vec<Option<usize>> = Vec::new();
    for index in (0..masses.len()).filter(|&index| free[index]) {
        let twin = |other: &Option<usize>| other.is_some_and(|other| masses[other] == masses[index]);
        if sizes_matter || !kept.iter().any(twin) {
            kept.push(Some(index));
        }
    }
    kept
}
