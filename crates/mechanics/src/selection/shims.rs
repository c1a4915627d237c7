//! Shims to valves: what is in the engine already, then the box, then the shop.
//!
//! Objectives in order: valves outside their window; how far outside in total, nm; shims bought; valves whose shim
//! changes; Σ (lash − target)², nm². All five add up over the valves, so that it is an assignment problem: rows are
//! the valves, columns every shim in the engine, every loose shim, and for each valve the two sizes on sale beside its ideal one
//! (any other on the same side is farther off).

use super::assignment::assign;
use super::relax::relaxation;
use super::{NanoWindow, Objectives, SelectionError, Solution, Window, nano};

/// A valve as found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Valve {
    /// Lash as measured with the shim that is in, m.
    pub lash: f64,
    /// That shim, m, as measured.
    pub shim: f64,
    /// Allowed lash and target, m.
    pub window: Window,
}

/// Sizes on sale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Series {
    /// Thinnest, m.
    pub min: f64,
    /// Thickest, m.
    pub max: f64,
    /// Between sizes, m.
    pub step: f64,
}

/// Where a valve's shim comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ShimSource {
    /// It stays where it is.
    Stays,
    /// From another valve, by its index.
    Valve(usize),
    /// From the box, by its index.
    Box(usize),
    /// To be bought.
    Bought,
}

/// What one valve gets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShimChoice {
    /// Where from.
    pub source: ShimSource,
    /// Thickness, m.
    pub shim: f64,
    /// Lash that it will give, m.
    pub lash_after: f64,
}

/// A shim that could go in.
struct Offer {
    size: i64,
    source: ShimSource,
    /// The only valve it is for (a size to be bought), if so.
    only: Option<usize>,
}

struct Case {
    /// Lash plus shim of each valve, nm.
    stacks: Vec<i64>,
    windows: Vec<NanoWindow>,
    offers: Vec<Offer>,
}

/// The cost of an offer for a valve; none where it must not have it.
type CostRule = fn(&Case, usize, usize) -> Option<Objectives<5>>;

/// Chooses a shim for every valve; exact, always proved. The windows of the relaxation are the valves in order.
///
/// 24 valves with 200 loose shims: see the bench `shims_24_valves_200_box`.
///
/// # Errors
/// When a size is no length, a window is not ordered or the series is not one.
pub fn choose(
    valves: &[Valve],
    loose: &[f64],
    on_sale: Option<&Series>,
) -> Result<Solution<Vec<ShimChoice>, 5>, SelectionError> {
    solve(valves, loose, on_sale, |case, valve, offer| case.cost(&case.windows, valve, offer))
}

/// As [`choose`], where not every valve can be brought inside: no shim leaves a valve outside that was inside or brings one that is outside
/// farther out, and none is bought or moved only to bring an outside one nearer. Objectives in order: valves outside; shims bought; valves
/// whose shim changes; how far outside in total, nm; Σ (lash − target)², nm².
///
/// # Errors
/// As [`choose`].
pub fn choose_without_harm(
    valves: &[Valve],
    loose: &[f64],
    on_sale: Option<&Series>,
) -> Result<Solution<Vec<ShimChoice>, 5>, SelectionError> {
    solve(valves, loose, on_sale, Case::cost_without_harm)
}

fn solve(
    valves: &[Valve],
    loose: &[f64],
    on_sale: Option<&Series>,
    cost: CostRule,
) -> Result<Solution<Vec<ShimChoice>, 5>, SelectionError> {
    let case = Case::new(valves, loose, on_sale)?;
    // A valve can always keep its shim, so nothing is ever blocked.
    let Ok(best) = assign(valves.len(), case.offers.len(), |valve, offer| cost(&case, valve, offer)) else {
        return Err(SelectionError::TooFew { name: "shims", found: case.offers.len(), needed: valves.len() });
    };
    let choice =
        best.column_of_row.iter().enumerate().map(|(valve, &offer)| case.choice(valve, offer)).collect();
    let relaxation = (best.cost.0[0] > 0).then(|| case.relaxation());
    Ok(Solution {
        choice,
        objectives: best.cost,
        proved: true,
        bound: best.cost,
        explored: best.explored,
        relaxation,
    })
}

impl Case {
    fn new(valves: &[Valve], loose: &[f64], on_sale: Option<&Series>) -> Result<Self, SelectionError> {
        let windows = NanoWindow::all(&valves.iter().map(|valve| valve.window).collect::<Vec<_>>())?;
        let (mut stacks, mut offers) = (Vec::new(), Vec::new());
        for (index, valve) in valves.iter().enumerate() {
            let size = nano("shim of valve", index, valve.shim)?;
            stacks.push(nano("lash of valve", index, valve.lash)? + size);
            offers.push(Offer { size, source: ShimSource::Valve(index), only: None });
        }
        for (index, &size) in loose.iter().enumerate() {
            let size = nano("loose shim", index, size)?;
            offers.push(Offer { size, source: ShimSource::Box(index), only: None });
        }
        if let Some(series) = on_sale {
            for (valve, window) in windows.iter().enumerate() {
                for size in best_on_sale(series, stacks[valve] - window.target)? {
                    offers.push(Offer { size, source: ShimSource::Bought, only: Some(valve) });
                }
            }
        }
        Ok(Self { stacks, windows, offers })
    }

    fn cost(&self, windows: &[NanoWindow], valve: usize, offer: usize) -> Option<Objectives<5>> {
        let Offer { size, source, only } = self.offers[offer];
        if only.is_some_and(|only| only != valve) {
            return None;
        }
        let (window, lash) = (&windows[valve], self.stacks[valve] - size);
        let excess = window.excess(lash);
        Some(Objectives([
            i64::from(excess > 0),
            excess,
            i64::from(source == ShimSource::Bought),
            i64::from(source != ShimSource::Valve(valve)),
            window.squared_deviation(lash),
        ]))
    }

    fn cost_without_harm(&self, valve: usize, offer: usize) -> Option<Objectives<5>> {
        let Objectives([outside, excess, bought, moved, squares]) = self.cost(&self.windows, valve, offer)?;
        // The offer of the same number is the shim that is in it.
        let now = self.windows[valve].excess(self.stacks[valve] - self.offers[valve].size);
        (excess <= now).then_some(Objectives([outside, bought, moved, excess, squares]))
    }

    fn choice(&self, valve: usize, offer: usize) -> ShimChoice {
        let Offer { size, source, .. } = self.offers[offer];
        ShimChoice {
            source: if source == ShimSource::Valve(valve) { ShimSource::Stays } else { source },
            shim: size as f64 * 1e-9,
            lash_after: (self.stacks[valve] - size) as f64 * 1e-9,
        }
    }

    fn relaxation(&self) -> super::Relaxation {
        let valves = self.stacks.len();
        let lashes = |valve: usize| {
            let offers =
                (0..self.offers.len()).filter(move |&o| self.offers[o].only.is_none_or(|only| only == valve));
            offers.map(move |offer| self.stacks[valve] - self.offers[offer].size).collect()
        };
        relaxation(&self.windows, &(0..valves).map(lashes).collect::<Vec<_>>(), |windows| {
            let inside = |valve, offer| {
                self.cost(windows, valve, offer).filter(|cost| cost.0[0] == 0).map(|_| Objectives([]))
            };
            assign(valves, self.offers.len(), inside).is_ok()
        })
    }
}

/// The sizes of the series just below and just above an ideal size.
fn best_on_sale(series: &Series, ideal: i64) -> Result<[i64; 2], SelectionError> {
    let Series { min, max, step } = *series;
    let (first, last, pitch) = (nano("series", 0, min)?, nano("series", 1, max)?, nano("series", 2, step)?);
    if pitch <= 0 || first > last {
        return Err(SelectionError::BadSeries { min, max, step });
    }
    let greatest = (last - first) / pitch;
    let below = (ideal - first).div_euclid(pitch);
    Ok([below, below + 1].map(|index| first + index.clamp(0, greatest) * pitch))
}
