//! Shims under valve springs, for an installed height (or a seat load, which is the same thing at a known rate:
//! [`height_for_load`](crate::fit::valve::height_for_load)).
//!
//! Objectives in order: springs outside their window; how far outside in total, nm; shims bought; springs whose stack changes; shims in
//! the stacks; Σ (height − target)², nm². A stack that changes may use every shim that comes out of a changed stack.
//!
//! A valve spring stores enough energy to hurt: change shims with the spring compressed in a proper tool.

use super::relax::relaxation;
use super::stock::{Choice, Filled, Limits, Pack, Problem, can_fill_inside, fill, orders_for};
use super::{NanoWindow, Objectives, SelectionError, Solution, Window, count, nano};

/// A spring as found.
#[derive(Clone, Debug, PartialEq)]
pub struct Spring {
    /// Installed height with the present stack, m.
    pub height: f64,
    /// Shims under it now, m each.
    pub stack: Vec<f64>,
    /// Allowed height and target, m.
    pub window: Window,
}

/// A shim on sale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShimOnSale {
    /// Thickness, m.
    pub thickness: f64,
    /// How many can be had.
    pub available: u32,
}

/// What stands under one spring afterwards.
#[derive(Clone, Debug, PartialEq)]
pub struct StackChoice {
    /// Shims, m, thickest first; empty: none.
    pub stack: Vec<f64>,
    /// Whether it differs from the present stack.
    pub changed: bool,
    /// Installed height that it gives, m.
    pub height: f64,
}

/// Stacks for all springs.
#[derive(Clone, Debug, PartialEq)]
pub struct StackPlan {
    /// For each spring.
    pub springs: Vec<StackChoice>,
    /// Thickness, m, and number of shims to buy.
    pub to_buy: Vec<(f64, u32)>,
}

/// Most different thicknesses, and most shims in one stack, that are handled.
const MOST_KINDS: usize = 24;
/// A stack of more shims than this is bad practice (they can shift and wear); common practice, no source.
pub const MOST_IN_STACK: usize = 3;

/// Sets one spring whose present stack is not read: up to [`MOST_IN_STACK`] shims of a list, each as often as wanted, are put in on
/// top of what is there, or taken out of it. Lengths in m.
///
/// Every such stack is tried. Inside the window where any is, else least outside (nm); then nearest to the target (to the
/// micrometre, rounded up); then fewest shims; then put in before taken out.
pub fn set_alone(installed: f64, window: Window, list: &[f64]) -> StackChoice {
    let none = list.len();
    let thickness = |shim: usize| list.get(shim).copied().unwrap_or(0.0);
    let nanometres = |length: f64| (length * 1e9).round() as i64;
    let stacks = (0..=none).flat_map(|a| (a..=none).flat_map(move |b| (b..=none).map(move |c| [a, b, c])));
    let heights = stacks.flat_map(|stack: [usize; MOST_IN_STACK]| {
        let sum: f64 = stack.map(thickness).iter().sum();
        [installed - sum, installed + sum].map(|height| (height, stack))
    });
    let worth = |(height, stack): &(f64, [usize; MOST_IN_STACK])| {
        let outside = nanometres((window.min - height).max(height - window.max)).max(0);
        let off = nanometres((height - window.target).abs()).unsigned_abs().div_ceil(1000);
        (outside, off, stack.iter().filter(|shim| **shim < none).count(), *height > installed)
    };
    let (height, stack) = heights.min_by_key(worth).unwrap_or((installed, [none; MOST_IN_STACK]));
    let mut stack: Vec<f64> = stack.into_iter().filter_map(|shim| list.get(shim).copied()).collect();
    stack.sort_by(|a, b| b.total_cmp(a));
    StackChoice { changed: !stack.is_empty(), stack, height }
}

/// Chooses stacks of up to `most_in_stack` shims ([`MOST_IN_STACK`] at most; a present stack may stay as it is);
/// exact within the limits. Windows of the relaxation: the springs.
///
/// # Errors
/// When a size is no length, a window is not ordered or there are too many thicknesses.
pub fn choose(
    springs: &[Spring],
    loose: &[f64],
    on_sale: &[ShimOnSale],
    most_in_stack: usize,
    limits: Limits,
) -> Result<Solution<StackPlan, 6>, SelectionError> {
    let case = Case::new(springs, loose, on_sale, most_in_stack)?;
    let problem = case.problem(&case.windows);
    let Filled { best, bound, proved, explored } = fill(&problem, limits);
    // The present stacks are always a way to fill every place.
    let Some((picked, objectives)) = best else {
        return Err(SelectionError::TooFew { name: "shims", found: loose.len(), needed: springs.len() });
    };
    let mut used = vec![0; case.kinds.len()];
    let mut stacks = Vec::with_capacity(springs.len());
    for (spring, &index) in picked.iter().enumerate() {
        let kinds = &problem.places[spring][index].uses;
        for &kind in kinds {
            used[kind] += 1;
        }
        stacks.push(StackChoice {
            stack: kinds.iter().rev().map(|&kind| case.kinds[kind] as f64 * 1e-9).collect(),
            changed: *kinds != case.present[spring],
            height: case.height(spring, kinds) as f64 * 1e-9,
        });
    }
    let orders = orders_for(&problem, &used).unwrap_or_default();
    let to_buy = orders.iter().zip(&problem.packs).filter(|(count, _)| **count > 0);
    let to_buy = to_buy.map(|(&count, pack)| (case.kinds[pack.members[0]] as f64 * 1e-9, count)).collect();
    let relaxation = (objectives.0[0] > 0).then(|| case.relaxation(limits));
    Ok(Solution {
        choice: StackPlan { springs: stacks, to_buy },
        objectives,
        proved,
        bound,
        explored,
        relaxation,
    })
}

struct Case {
    /// Different thicknesses, nm, ascending.
    kinds: Vec<i64>,
    on_hand: Vec<u32>,
    /// Number on sale of each kind.
    on_sale: Vec<u32>,
    /// Present stack of each spring as kinds, ascending.
    present: Vec<Vec<usize>>,
    /// Height without any shim, nm.
    bare: Vec<i64>,
    windows: Vec<NanoWindow>,
    /// All stacks up to the number allowed, as kinds, ascending.
    stacks: Vec<Vec<usize>>,
}

impl Case {
    fn new(
        springs: &[Spring],
        loose: &[f64],
        on_sale: &[ShimOnSale],
        most_in_stack: usize,
    ) -> Result<Self, SelectionError> {
        let windows = NanoWindow::all(&springs.iter().map(|spring| spring.window).collect::<Vec<_>>())?;
        let thickness = |index: usize, value: f64| nano("spring shim", index, value);
        let (mut present_sizes, mut bare) = (Vec::new(), Vec::new());
        for (index, spring) in springs.iter().enumerate() {
            let sizes: Vec<i64> =
                spring.stack.iter().map(|&t| thickness(index, t)).collect::<Result<_, _>>()?;
            bare.push(nano("height of spring", index, spring.height)? + sizes.iter().sum::<i64>());
            present_sizes.push(sizes);
        }
        let loose: Vec<i64> =
            loose.iter().enumerate().map(|(i, &t)| thickness(i, t)).collect::<Result<_, _>>()?;
        let sale: Vec<i64> = on_sale
            .iter()
            .enumerate()
            .map(|(i, shim)| thickness(i, shim.thickness))
            .collect::<Result<_, _>>()?;
        let mut kinds: Vec<i64> =
            present_sizes.iter().flatten().chain(&loose).chain(&sale).copied().collect();
        kinds.sort_unstable();
        kinds.dedup();
        if kinds.len() > MOST_KINDS {
            return Err(SelectionError::TooMany {
                name: "thicknesses",
                found: kinds.len(),
                most: MOST_KINDS,
            });
        }
        let kind = |size: &i64| kinds.partition_point(|other| other < size);
        let (mut on_hand, mut buyable) = (vec![0; kinds.len()], vec![0; kinds.len()]);
        present_sizes.iter().flatten().chain(&loose).for_each(|size| on_hand[kind(size)] += 1);
        sale.iter().zip(on_sale).for_each(|(size, shim)| buyable[kind(size)] += shim.available);
        let mut present: Vec<Vec<usize>> = Vec::new();
        for sizes in &present_sizes {
            let mut stack: Vec<usize> = sizes.iter().map(kind).collect();
            stack.sort_unstable();
            present.push(stack);
        }
        let stacks = all_stacks(kinds.len(), most_in_stack.min(MOST_IN_STACK));
        Ok(Self { kinds, on_hand, on_sale: buyable, present, bare, windows, stacks })
    }

    fn height(&self, spring: usize, stack: &[usize]) -> i64 {
        self.bare[spring] - stack.iter().map(|&kind| self.kinds[kind]).sum::<i64>()
    }

    fn choices(&self, spring: usize, window: &NanoWindow) -> Vec<Choice<6>> {
        let present = &self.present[spring];
        let others = self.stacks.iter().filter(|stack| *stack != present);
        core::iter::once(present)
            .chain(others)
            .map(|stack| {
                let height = self.height(spring, stack);
                let excess = window.excess(height);
                Choice {
                    cost: Objectives([
                        i64::from(excess > 0),
                        excess,
                        0,
                        i64::from(stack != present),
                        count(stack.len()),
                        window.squared_deviation(height),
                    ]),
                    uses: stack.clone(),
                }
            })
            .collect()
    }

    fn problem(&self, windows: &[NanoWindow]) -> Problem<6> {
        let packs = self.on_sale.iter().enumerate().filter(|(_, available)| **available > 0);
        Problem {
            places: windows.iter().enumerate().map(|(spring, window)| self.choices(spring, window)).collect(),
            on_hand: self.on_hand.clone(),
            packs: packs
                .map(|(kind, &available)| Pack {
                    members: vec![kind],
                    cost: Objectives([0, 0, 1, 0, 0, 0]),
                    available,
                })
                .collect(),
        }
    }

    fn relaxation(&self, limits: Limits) -> super::Relaxation {
        let springs = 0..self.bare.len();
        let reachable: Vec<Vec<i64>> = springs
            .map(|spring| {
                let heights = self.stacks.iter().chain([&self.present[spring]]);
                heights.map(|stack| self.height(spring, stack)).collect()
            })
            .collect();
        relaxation(&self.windows, &reachable, |windows| can_fill_inside(self.problem(windows), limits))
    }
}

/// Every multiset of up to `most` kinds, as ascending lists, the empty one first.
fn all_stacks(kinds: usize, most: usize) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = vec![Vec::new()];
    let mut start = 0;
    for _ in 0..most {
        let end = all.len();
        for index in start..end {
            for kind in all[index].last().copied().unwrap_or(0)..kinds {
                let mut longer = all[index].clone();
                longer.push(kind);
                all.push(longer);
            }
        }
        start = end;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every one to three shims of the list put in or taken out, and none: the least excess over the window, then the least distance from
    /// the target to the micrometre.
    fn by_trying(installed: f64, window: Window, list: &[f64]) -> (i64, i64) {
        let micrometres = |metres: f64| (metres * 1e6).round() as i64;
        let mut sums = vec![0.0];
        for _ in 0..MOST_IN_STACK {
            let longer: Vec<f64> =
                sums.iter().flat_map(|sum| list.iter().map(move |shim| sum + shim)).collect();
            sums.extend(longer);
        }
        let heights = sums.iter().flat_map(|sum| [installed - sum, installed + sum]);
        let worth = |height: f64| {
            let excess = (window.min - height).max(height - window.max);
            (micrometres(excess).max(0), micrometres((height - window.target).abs()))
        };
        heights.map(worth).min().expect("at least the spring as it stands")
    }

    #[test]
    fn the_nearest_height_is_found_as_by_trying_everything() {
        // A plain generator (Knuth's constants, from memory): the same cases on every run.
        let mut state = 1_u64;
        let mut up_to = |most: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            ((state >> 33) % most) as f64
        };
        let mut outside = 0;
        for _ in 0..150 {
            let list: Vec<f64> = (0..=up_to(4) as usize).map(|_| (1.0 + up_to(20)) * 0.05e-3).collect();
            let installed = (3300.0 + up_to(200)) * 1e-5;
            let min = (3380.0 + up_to(20)) * 1e-5;
            let max = min + up_to(40) * 1e-5;
            let window = Window { min, target: min + (max - min) * up_to(5) * 0.25, max };
            let StackChoice { height, stack: shims, changed } = set_alone(installed, window, &list);
            assert_eq!(changed, !shims.is_empty());
            let net = (height - installed).abs();
            assert!((net - shims.iter().sum::<f64>()).abs() < 1e-9, "{height} by {shims:?}");
            assert!(shims.iter().all(|s| list.iter().any(|l| (l - s).abs() < 1e-9)));
            let excess = ((window.min - height).max(height - window.max) * 1e6).round().max(0.0) as i64;
            let off = ((height - window.target).abs() * 1e6).round() as i64;
            let best = by_trying(installed, window, &list);
            assert_eq!(excess, best.0, "{installed} {window:?} {list:?}");
            // Outside, the nearest limit counts; which of equal ones does not matter.
            assert!(
                excess > 0 || (off - best.1).abs() <= 1,
                "{installed} {window:?} {list:?}: {off} {best:?}"
            );
            outside += usize::from(excess > 0);
        }
        assert!((10..140).contains(&outside), "both ends are met: {outside}");
    }
}
