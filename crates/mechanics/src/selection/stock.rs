//! Places that draw on common stock: the exact search behind shells and spring shims.

use super::Objectives;
use std::collections::HashMap;

/// How long a search may go on.
#[derive(Clone, Copy)]
pub struct Limits<'a> {
    /// Most nodes to look at.
    pub nodes: u64,
    /// Asked every few thousand nodes; `true` ends the search with the best so far, unproved.
    pub stop: &'a dyn Fn() -> bool,
}

impl Default for Limits<'_> {
    /// Two million nodes, never stopped: about a second.
    fn default() -> Self {
        Self { nodes: 2_000_000, stop: &|| false }
    }
}

/// Counts nodes against the limits.
pub(crate) struct Budget<'a> {
    limits: Limits<'a>,
    pub spent: u64,
    pub exhausted: bool,
}

impl<'a> Budget<'a> {
    pub fn new(limits: Limits<'a>) -> Self {
        Self { limits, spent: 0, exhausted: false }
    }

    /// Takes one node; `false` when none is left.
    pub fn take(&mut self) -> bool {
        if !self.exhausted {
            self.spent += 1;
            self.exhausted =
                self.spent > self.limits.nodes || (self.spent.is_multiple_of(4096) && (self.limits.stop)());
        }
        !self.exhausted
    }
}

/// One way to fill a place.
pub(crate) struct Choice<const N: usize> {
    pub cost: Objectives<N>,
    /// Kinds of part used, one entry a part.
    pub uses: Vec<usize>,
}

/// What can be ordered: one part of each of these kinds together, at a cost.
pub(crate) struct Pack<const N: usize> {
    pub members: Vec<usize>,
    pub cost: Objectives<N>,
    pub available: u32,
}

pub(crate) struct Problem<const N: usize> {
    /// The choices of each place.
    pub places: Vec<Vec<Choice<N>>>,
    /// Stock of each kind.
    pub on_hand: Vec<u32>,
    /// Each kind in at most one pack.
    pub packs: Vec<Pack<N>>,
}

pub(crate) struct Filled<const N: usize> {
    /// The choice of each place; `None` when the stock cannot fill every place.
    pub best: Option<(Vec<usize>, Objectives<N>)>,
    pub bound: Objectives<N>,
    pub proved: bool,
    pub explored: u64,
}

/// Depth first over the places, cheapest choice first. A branch is cut when its cost so far, with the orders it already
/// needs, plus the cheapest choice of every place to come reaches the best known; or when the same stock was used up
/// to the same place at no more cost before.
pub(crate) fn fill<const N: usize>(problem: &Problem<N>, limits: Limits) -> Filled<N> {
    let mut order: Vec<Vec<usize>> = Vec::new();
    let mut to_come = vec![Objectives::ZERO; problem.places.len() + 1];
    for (place, choices) in problem.places.iter().enumerate().rev() {
        let cheapest = choices.iter().map(|choice| choice.cost).min().unwrap_or(Objectives::ZERO);
        to_come[place] = to_come[place + 1] + cheapest;
    }
    for choices in &problem.places {
        let mut by_cost: Vec<usize> = (0..choices.len()).collect();
        by_cost.sort_by_key(|&index| choices[index].cost);
        order.push(by_cost);
    }
    let bound = to_come[0];
    let mut search = Search {
        problem,
        order,
        to_come,
        used: vec![0; problem.on_hand.len()],
        picked: Vec::new(),
        seen: HashMap::new(),
        best: None,
        budget: Budget::new(limits),
    };
    search.descend(Objectives::ZERO);
    let proved = !search.budget.exhausted;
    let bound = match &search.best {
        Some((_, cost)) if proved => *cost,
        _ => bound,
    };
    Filled { best: search.best, bound, proved, explored: search.budget.spent }
}

/// Whether every place can be filled with a choice whose first objective, "outside its window", is 0. A search that the
/// limits end counts as "no".
pub(crate) fn can_fill_inside<const N: usize>(mut problem: Problem<N>, limits: Limits) -> bool {
    for choices in &mut problem.places {
        choices.retain(|choice| choice.cost.0[0] == 0);
        for choice in choices {
            choice.cost = Objectives::ZERO;
        }
    }
    for pack in &mut problem.packs {
        pack.cost = Objectives::ZERO;
    }
    problem.places.iter().all(|choices| !choices.is_empty()) && fill(&problem, limits).best.is_some()
}

struct Search<'a, const N: usize> {
    problem: &'a Problem<N>,
    order: Vec<Vec<usize>>,
    to_come: Vec<Objectives<N>>,
    used: Vec<u32>,
    picked: Vec<usize>,
    seen: HashMap<(usize, Vec<u32>), Objectives<N>>,
    best: Option<(Vec<usize>, Objectives<N>)>,
    budget: Budget<'a>,
}

impl<const N: usize> Search<'_, N> {
    fn descend(&mut self, spent: Objectives<N>) {
        let place = self.picked.len();
        let Some(orders) = self.orders() else { return };
        let least = spent + orders + self.to_come[place];
        if self.best.as_ref().is_some_and(|(_, best)| least >= *best) {
            return;
        }
        if place == self.problem.places.len() {
            self.best = Some((self.picked.clone(), spent + orders));
            return;
        }
        if !self.budget.take() {
            return;
        }
        let state = (place, self.used.clone());
        if self.seen.get(&state).is_some_and(|known| *known <= spent) {
            return;
        }
        self.seen.insert(state, spent);
        for rank in 0..self.order[place].len() {
            let index = self.order[place][rank];
            let choice = &self.problem.places[place][index];
            for &kind in &choice.uses {
                self.used[kind] += 1;
            }
            self.picked.push(index);
            self.descend(spent + choice.cost);
            self.picked.pop();
            for &kind in &choice.uses {
                self.used[kind] -= 1;
            }
        }
    }

    /// Cost of what must be ordered for the parts used so far; `None` when it cannot be had.
    fn orders(&self) -> Option<Objectives<N>> {
        orders_for(self.problem, &self.used).map(|orders| {
            orders
                .iter()
                .zip(&self.problem.packs)
                .fold(Objectives::ZERO, |sum, (&count, pack)| (0..count).fold(sum, |sum, _| sum + pack.cost))
        })
    }
}

/// Packs to order for a use of parts; `None` when it cannot be met.
pub(crate) fn orders_for<const N: usize>(problem: &Problem<N>, used: &[u32]) -> Option<Vec<u32>> {
    let mut short: Vec<u32> =
        used.iter().zip(&problem.on_hand).map(|(u, have)| u.saturating_sub(*have)).collect();
    let mut orders = Vec::with_capacity(problem.packs.len());
    for pack in &problem.packs {
        let count = pack.members.iter().map(|&kind| core::mem::take(&mut short[kind])).max().unwrap_or(0);
        if count > pack.available {
            return None;
        }
        orders.push(count);
    }
    short.iter().all(|&missing| missing == 0).then_some(orders)
}
