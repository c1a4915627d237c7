//! Pistons, pins and rods to cylinders: equal clearance, then equal weight.
//!
//! Objectives in order:
//! 1. fits outside their window (piston in bore, pin in piston, pin in bush);
//! 2. how far outside in total, nm;
//! 3. how far the spread of masses (heaviest less lightest set) exceeds the one allowed, in steps of the scale;
//! 4. Σ (clearance − target)², nm²;
//! 5. the spread of masses, in steps of the scale.
//!
//! Which piston goes into which bore decides the clearances; which pin and rod go with which piston decides the masses;
//! the two meet only in the set of pistons that is used. So for each set of pistons the first is an assignment problem (exact),
//! and the second a search over pins and rods (`sets.rs`); sets of pistons are taken in the order of their bound.

mod sets;
mod settle;
mod whole;
mod window;

pub use settle::with_fewer_moves;
pub use whole::{Allowed, Place, Whole, WholeChoice, choose_whole};

use super::assignment::assign;
use super::relax::relaxation;
use super::stock::{Budget, Limits};
use super::{NanoWindow, Objectives, SelectionError, Solution, Window, nano};
use sets::{Matching, match_sets};

/// A piston with its rings and locks, as weighed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piston {
    /// Diameter at the maker's gauge point, m.
    pub gauge_diameter: f64,
    /// Bore for the pin, m; read only when [`Request::pin_in_piston`] asks.
    pub pin_bore: f64,
    /// kg.
    pub mass: f64,
}

/// A piston pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pin {
    /// m; read only when a pin fit is asked for.
    pub diameter: f64,
    /// kg.
    pub mass: f64,
}

/// A connecting rod.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rod {
    /// Bore of the small end's bush, m; read only when [`Request::pin_in_bush`] asks.
    pub bush: f64,
    /// The share of the mass that is to be equal, kg: the small end for the reciprocating mass.
    pub mass: f64,
}

/// What is to be fitted together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Request<'a> {
    /// Bores, m, one a cylinder.
    pub bores: &'a [f64],
    /// Allowed clearance and target, m.
    pub clearance: Window,
    /// At least one a cylinder.
    pub pistons: &'a [Piston],
    /// None (pins stay out of it) or at least one a cylinder.
    pub pins: &'a [Pin],
    /// None or at least one a cylinder.
    pub rods: &'a [Rod],
    /// Allowed fit of pin in piston, m, when it matters.
    pub pin_in_piston: Option<Window>,
    /// Allowed fit of pin in bush, m, when it matters.
    pub pin_in_bush: Option<Window>,
    /// Spread of masses that the builder accepts, kg.
    pub mass_spread: f64,
    /// Step of the scale, kg: finer differences are not real. Half a gram or a tenth.
    pub mass_step: f64,
}

/// What one cylinder gets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderSet {
    /// Piston, by its index.
    pub piston: usize,
    /// Pin, when pins were given.
    pub pin: Option<usize>,
    /// Rod, when rods were given.
    pub rod: Option<usize>,
    /// Piston clearance, m.
    pub clearance: f64,
    /// Sum of the masses, kg, to the scale's step.
    pub mass: f64,
}

/// Most cylinders.
const MOST_CYLINDERS: usize = 16;
/// Most sets of pistons that are tried (12 of 16 make 1,820).
const MOST_PISTON_SETS: usize = 20_000;

/// Chooses; exact within the limits. Windows of the relaxation: the clearance of each cylinder, then pin in piston,
/// then pin in bush (a fit that was not asked for is left out).
///
/// # Errors
/// When a size or mass is none, a window is not ordered, or there are too few parts or too many ways to leave pistons over.
pub fn choose(request: &Request, limits: Limits) -> Result<Solution<Vec<CylinderSet>, 5>, SelectionError> {
    let case = Case::new(request)?;
    let mut budget = Budget::new(limits);
    let windows = case.windows.clone();
    let Some(best) = case.search(&windows, &mut budget) else {
        return Err(SelectionError::TooFew {
            name: "pistons",
            found: request.pistons.len(),
            needed: request.bores.len(),
        });
    };
    let relaxation = (best.objectives.0[0] > 0).then(|| case.relaxation(limits));
    Ok(Solution {
        choice: best.sets,
        objectives: best.objectives,
        proved: best.objectives == best.bound,
        bound: best.bound,
        explored: budget.spent,
        relaxation,
    })
}

/// The request in whole numbers.
pub(super) struct Case {
    bores: Vec<i64>,
    gauge: Vec<i64>,
    pub piston_mass: Vec<i64>,
    pub pin_mass: Vec<i64>,
    pub rod_mass: Vec<i64>,
    pin_bore: Vec<i64>,
    pin: Vec<i64>,
    bush: Vec<i64>,
    pub allowed_spread: i64,
    mass_step: f64,
    /// One a cylinder, then those of the pin fits asked for.
    windows: Vec<NanoWindow>,
    /// Where in `windows` the pin fits stand.
    in_piston: Option<usize>,
    in_bush: Option<usize>,
}

struct Best {
    sets: Vec<CylinderSet>,
    objectives: Objectives<5>,
    bound: Objectives<5>,
}

impl Case {
    fn new(request: &Request) -> Result<Self, SelectionError> {
        let cylinders = request.bores.len();
        check_counts(request)?;
        let mut windows = vec![NanoWindow::new(0, &request.clearance)?; cylinders];
        let mut place = |window: Option<Window>, wanted: bool| match window.filter(|_| wanted) {
            Some(window) => {
                windows.push(NanoWindow::new(windows.len(), &window)?);
                Ok(Some(windows.len() - 1))
            }
            None => Ok(None),
        };
        let in_piston = place(request.pin_in_piston, !request.pins.is_empty())?;
        let in_bush = place(request.pin_in_bush, !request.pins.is_empty() && !request.rods.is_empty())?;
        let step = request.mass_step;
        if !(1e-6..1.0).contains(&step) {
            return Err(SelectionError::BadScaleStep { value: step });
        }
        let steps = |name, masses: Vec<f64>| -> Result<Vec<i64>, SelectionError> {
            let checked = masses.iter().enumerate().map(|(index, &mass)| {
                nano(name, index, mass)?;
                Ok((mass / step).round() as i64)
            });
            checked.collect()
        };
        let lengths = |name, lengths: Vec<f64>| -> Result<Vec<i64>, SelectionError> {
            lengths.iter().enumerate().map(|(index, &length)| nano(name, index, length)).collect()
        };
        let when = |asked: Option<usize>, values: Vec<f64>| if asked.is_some() { values } else { Vec::new() };
        let (pistons, pins, rods) = (request.pistons, request.pins, request.rods);
        Ok(Self {
            bores: lengths("bore", request.bores.to_vec())?,
            gauge: lengths("piston", pistons.iter().map(|p| p.gauge_diameter).collect())?,
            piston_mass: steps("mass of piston", pistons.iter().map(|p| p.mass).collect())?,
            pin_mass: steps("mass of pin", pins.iter().map(|p| p.mass).collect())?,
            rod_mass: steps("mass of rod", rods.iter().map(|r| r.mass).collect())?,
            pin_bore: lengths("pin bore", when(in_piston, pistons.iter().map(|p| p.pin_bore).collect()))?,
            pin: lengths("pin", when(in_piston.or(in_bush), pins.iter().map(|p| p.diameter).collect()))?,
            bush: lengths("bush", when(in_bush, rods.iter().map(|r| r.bush).collect()))?,
            allowed_spread: (request.mass_spread / step).round() as i64,
            mass_step: step,
            windows,
            in_piston,
            in_bush,
        })
    }

    /// Outside and excess of the pin fits of a set.
    pub fn pin_fits(
        &self,
        windows: &[NanoWindow],
        piston: usize,
        pin: usize,
        rod: Option<usize>,
    ) -> Objectives<2> {
        let mut sum = Objectives::ZERO;
        let mut count = |excess: i64| sum = sum + Objectives([i64::from(excess > 0), excess]);
        if let Some(window) = self.in_piston {
            count(windows[window].excess(self.pin_bore[piston] - self.pin[pin]));
        }
        if let (Some(window), Some(rod)) = (self.in_bush, rod) {
            count(windows[window].excess(self.bush[rod] - self.pin[pin]));
        }
        sum
    }

    /// What makes two pistons of a set the same; sizes count only when a fit was asked for.
    pub fn piston_key(&self, piston: usize) -> (i64, Option<i64>) {
        (self.piston_mass[piston], self.pin_bore.get(piston).copied())
    }

    pub fn pin_key(&self, pin: usize) -> (i64, Option<i64>) {
        (self.pin_mass[pin], self.pin.get(pin).copied())
    }

    pub fn rod_key(&self, rod: usize) -> (i64, Option<i64>) {
        (self.rod_mass[rod], self.bush.get(rod).copied())
    }

    pub fn has_pin_fits(&self) -> bool {
        self.in_piston.is_some() || self.in_bush.is_some()
    }

    fn search(&self, windows: &[NanoWindow], budget: &mut Budget) -> Option<Best> {
        let mut ranked: Vec<(Objectives<3>, Vec<usize>, Vec<usize>)> = Vec::new();
        for used in subsets(self.gauge.len(), self.bores.len()) {
            let cost = |bore: usize, place: usize| {
                let clearance = self.bores[bore] - self.gauge[used[place]];
                let excess = windows[bore].excess(clearance);
                Some(Objectives([i64::from(excess > 0), excess, windows[bore].squared_deviation(clearance)]))
            };
            let best = assign(self.bores.len(), used.len(), cost).ok()?;
            ranked.push((best.cost, used, best.column_of_row));
        }
        // Equal bounds keep the order of the subsets: the first pistons first.
        ranked.sort_by_key(|(cost, ..)| *cost);
        let mut best: Option<(Objectives<5>, usize, Matching)> = None;
        let mut bound: Option<Objectives<5>> = None;
        for (rank, (clearance, used, _)) in ranked.iter().enumerate() {
            let least = join(*clearance, Objectives::ZERO);
            if best.as_ref().is_some_and(|(found, ..)| least >= *found) {
                break;
            }
            let matching = match_sets(self, windows, used, budget);
            let whole = join(*clearance, matching.cost);
            let at_least = join(*clearance, matching.bound);
            if best.as_ref().is_none_or(|(found, ..)| whole < *found) {
                best = Some((whole, rank, matching));
            }
            bound = Some(bound.map_or(at_least, |known| known.min(at_least)));
        }
        let (objectives, rank, matching) = best?;
        let (_, used, place_of_bore) = &ranked[rank];
        let sets = place_of_bore.iter().enumerate().map(|(bore, &place)| {
            let piston = used[place];
            let (pin, rod) = matching.pin_and_rod[place];
            CylinderSet {
                piston,
                pin,
                rod,
                clearance: (self.bores[bore] - self.gauge[piston]) as f64 * 1e-9,
                mass: self.mass(piston, pin, rod) as f64 * self.mass_step,
            }
        });
        Some(Best {
            sets: sets.collect(),
            objectives,
            bound: bound.map_or(objectives, |least| least.min(objectives)),
        })
    }

    pub fn mass(&self, piston: usize, pin: Option<usize>, rod: Option<usize>) -> i64 {
        self.piston_mass[piston]
            + pin.map_or(0, |pin| self.pin_mass[pin])
            + rod.map_or(0, |rod| self.rod_mass[rod])
    }

    fn relaxation(&self, limits: Limits) -> super::Relaxation {
        let mut reachable: Vec<Vec<i64>> =
            self.bores.iter().map(|bore| self.gauge.iter().map(|gauge| bore - gauge).collect()).collect();
        let pairs = |holes: &[i64]| {
            holes.iter().flat_map(|hole| self.pin.iter().map(move |pin| hole - pin)).collect()
        };
        reachable.extend(self.in_piston.map(|_| pairs(&self.pin_bore)));
        reachable.extend(self.in_bush.map(|_| pairs(&self.bush)));
        // Weights do not matter here: without them the search ends at the first set that fits.
        let weightless = Self {
            piston_mass: vec![0; self.piston_mass.len()],
            pin_mass: vec![0; self.pin_mass.len()],
            rod_mass: vec![0; self.rod_mass.len()],
            bores: self.bores.clone(),
            gauge: self.gauge.clone(),
            pin_bore: self.pin_bore.clone(),
            pin: self.pin.clone(),
            bush: self.bush.clone(),
            windows: self.windows.clone(),
            ..*self
        };
        relaxation(&self.windows, &reachable, |windows| {
            weightless.search(windows, &mut Budget::new(limits)).is_some_and(|best| best.objectives.0[0] == 0)
        })
    }
}

/// Objectives of clearance (outside, excess, Σ²) and of pins and weights (outside, excess, over the spread, spread).
fn join(clearance: Objectives<3>, sets: Objectives<4>) -> Objectives<5> {
    let (c, s) = (clearance.0, sets.0);
    Objectives([c[0] + s[0], c[1] + s[1], s[2], c[2], s[3]])
}

fn check_counts(request: &Request) -> Result<(), SelectionError> {
    let needed = request.bores.len();
    if needed > MOST_CYLINDERS {
        return Err(SelectionError::TooMany { name: "cylinders", found: needed, most: MOST_CYLINDERS });
    }
    let counts =
        [("pistons", request.pistons.len()), ("pins", request.pins.len()), ("rods", request.rods.len())];
    for (name, found) in counts {
        if found < needed && (name == "pistons" || found > 0) {
            return Err(SelectionError::TooFew { name, found, needed });
        }
    }
    // n over k, stopped as soon as it is too much.
    let spare = request.pistons.len() - needed;
    let mut ways = 1_usize;
    for i in 1..=spare {
        ways = ways.saturating_mul(needed + i) / i;
        if ways > MOST_PISTON_SETS {
            return Err(SelectionError::TooMany {
                name: "ways to leave pistons over",
                found: ways,
                most: MOST_PISTON_SETS,
            });
        }
    }
    Ok(())
}

/// All subsets of `take` out of `from`, ascending.
fn subsets(from: usize, take: usize) -> Vec<Vec<usize>> {
    let mut all = Vec::new();
    let mut current: Vec<usize> = (0..take).collect();
    loop {
        all.push(current.clone());
        let Some(place) = (0..take).rev().find(|&i| current[i] < from - take + i) else { return all };
        current[place] += 1;
        for i in place + 1..take {
            current[i] = current[i - 1] + 1;
        }
    }
}
