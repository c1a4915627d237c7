//! Pistons to cylinders, each with its own pin, while every rod stays in its cylinder.
//!
//! Objectives in order:
//! 1. fits outside their window (piston in bore, pin in its piston, pin in the bush of the cylinder's rod);
//! 2. how far outside in total, nm;
//! 3. how far the spread of masses exceeds the one allowed, µg;
//! 4. Σ (clearance − target)², nm²;
//! 5. the spread of masses, µg;
//! 6. pistons that move.
//!
//! With one part to place, all but the spread of masses is an assignment problem. A spread of at most S means that all masses lie in a
//! window of that width; it starts at the mass of some pair, so trying every pair's mass as the lower end is exact, and whether S
//! suffices is monotone in S: a bisection over the differences of masses finds the least.

use super::super::assignment::assign;
use super::super::{NanoWindow, Objectives, SelectionError, Window, nano};

/// A piston with its pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whole {
    /// Diameter at the maker's gauge point, m.
    pub gauge_diameter: f64,
    /// Pin bore less pin, m; `None`: not known, and not looked at.
    pub pin_fit: Option<f64>,
    /// Diameter of the pin, m; `None`: not known, and its fit in a bush not looked at.
    pub pin_diameter: Option<f64>,
    /// Piston and pin, kg.
    pub mass: Option<f64>,
}

/// A cylinder with its rod.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Bore, m.
    pub bore: f64,
    /// Bore of the small end's bush, m; `None`: not known, and the fit not looked at.
    pub bush: Option<f64>,
    /// What counts of the rod, kg.
    pub rod_mass: Option<f64>,
    /// The piston that stands in it now, by its index.
    pub stands: Option<usize>,
}

/// What is allowed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Allowed {
    /// Piston in bore and target, m.
    pub clearance: Window,
    /// Pin in its piston, m.
    pub pin_in_piston: Option<Window>,
    /// Pin in the bush, m.
    pub pin_in_bush: Option<Window>,
    /// Spread of masses, kg; `None`: no limit.
    pub mass_spread: Option<f64>,
}

/// A choice of pistons.
#[derive(Clone, Debug, PartialEq)]
pub struct WholeChoice {
    /// The piston of each place, by its index.
    pub piston: Vec<usize>,
    /// As the module states them.
    pub objectives: Objectives<6>,
    /// Spread of masses, kg, when all are known.
    pub spread: Option<f64>,
}

/// Chooses; exact, always proved. Masses count when every one of them is known.
///
/// # Errors
/// When a size or mass is none, a window is not ordered, or there are fewer pistons than places.
pub fn choose_whole(
    pistons: &[Whole],
    places: &[Place],
    allowed: &Allowed,
) -> Result<WholeChoice, SelectionError> {
    let case = Case::new(pistons, places, allowed)?;
    let too_few = || SelectionError::TooFew { name: "pistons", found: pistons.len(), needed: places.len() };
    let Some(masses) = &case.masses else {
        let best = case.any().ok_or_else(too_few)?;
        return Ok(answer(best, None, 0));
    };
    let nearest = case.any().ok_or_else(too_few)?;
    let widths = widths(masses);
    let widest = widths.last().copied().unwrap_or(0);
    let least = |most: i64, enough: &dyn Fn(&Found) -> bool| {
        let candidates = &widths[..widths.partition_point(|width| *width <= most)];
        let place = candidates.partition_point(|width| !case.within(*width).as_ref().is_some_and(enough));
        candidates.get(place).copied().unwrap_or(most)
    };
    // No spread helps a fit: first the best that the fits can be, then the least spread that goes with it.
    let needed = least(widest, &|found| found.cost.0[..2] == nearest.cost.0[..2]);
    let limit = case.allowed_spread.unwrap_or(widest);
    let width = needed.max(limit);
    let over = (needed - limit).max(0);
    let closest = case.within(width).unwrap_or(nearest);
    let evenest = least(width, &|found| found.cost.0[..3] == closest.cost.0[..3]);
    let best = case.within(evenest).unwrap_or(closest);
    Ok(answer(best, Some(masses), over))
}

struct Found {
    /// Outside, excess, Σ², moved.
    cost: Objectives<4>,
    piston: Vec<usize>,
}

struct Case {
    /// Cost of each place (row) with each piston.
    costs: Vec<Vec<Objectives<4>>>,
    /// Mass of each place with each piston, µg.
    masses: Option<Vec<Vec<i64>>>,
    allowed_spread: Option<i64>,
}

/// Every width that a window of masses may need, µg, ascending.
fn widths(masses: &[Vec<i64>]) -> Vec<i64> {
    let all = || masses.iter().flatten();
    let mut widths: Vec<i64> =
        all().flat_map(|a| all().map(move |b| a - b)).filter(|width| *width >= 0).collect();
    widths.sort_unstable();
    widths.dedup();
    widths
}

impl Case {
    fn new(pistons: &[Whole], places: &[Place], allowed: &Allowed) -> Result<Self, SelectionError> {
        let window = |window: Option<Window>| window.map(|w| NanoWindow::new(0, &w)).transpose();
        let clearance = NanoWindow::new(0, &allowed.clearance)?;
        let (in_piston, in_bush) = (window(allowed.pin_in_piston)?, window(allowed.pin_in_bush)?);
        let maybe = |name, index, value: Option<f64>| value.map(|v| nano(name, index, v)).transpose();
        let mut costs = Vec::with_capacity(places.len());
        let mut masses = Some(Vec::with_capacity(places.len()));
        for (row, place) in places.iter().enumerate() {
            let (bore, bush) = (nano("bore", row, place.bore)?, maybe("bush", row, place.bush)?);
            let rod = maybe("mass of rod", row, place.rod_mass)?;
            let (mut row_costs, mut row_masses) = (Vec::new(), Some(Vec::new()));
            for (column, piston) in pistons.iter().enumerate() {
                let gap = bore - nano("piston", column, piston.gauge_diameter)?;
                let own = maybe("pin fit", column, piston.pin_fit)?;
                let pin = maybe("pin", column, piston.pin_diameter)?;
                let fit = bush.zip(pin).map(|(bush, pin)| bush - pin);
                let looked_at = [(Some(clearance), Some(gap)), (in_piston, own), (in_bush, fit)];
                let excesses = looked_at.iter().filter_map(|(w, value)| Some(w.as_ref()?.excess((*value)?)));
                let (mut outside, mut excess) = (0, 0);
                for by in excesses {
                    outside += i64::from(by > 0);
                    excess += by;
                }
                let moved = i64::from(place.stands.is_some_and(|now| now != column));
                row_costs.push(Objectives([outside, excess, clearance.squared_deviation(gap), moved]));
                let mass = maybe("mass of piston", column, piston.mass)?.zip(rod).map(|(p, r)| p + r);
                row_masses = row_masses.zip(mass).map(|(mut row, mass)| {
                    row.push(mass);
                    row
                });
            }
            costs.push(row_costs);
            masses = masses.zip(row_masses).map(|(mut all, row)| {
                all.push(row);
                all
            });
        }
        let allowed_spread = maybe("spread of masses", 0, allowed.mass_spread)?;
        Ok(Self { costs, masses, allowed_spread })
    }

    fn assigned(&self, may: impl Fn(usize, usize) -> bool) -> Option<Found> {
        let columns = self.costs.first().map_or(0, Vec::len);
        let cost = |row: usize, column: usize| may(row, column).then(|| self.costs[row][column]);
        let best = assign(self.costs.len(), columns, cost).ok()?;
        Some(Found { cost: best.cost, piston: best.column_of_row })
    }

    /// The best where weights do not matter.
    fn any(&self) -> Option<Found> {
        self.assigned(|_, _| true)
    }

    /// The best with all masses in one window of that width, wherever it lies.
    fn within(&self, width: i64) -> Option<Found> {
        let masses = self.masses.as_ref()?;
        let mut lows: Vec<i64> = masses.iter().flatten().copied().collect();
        lows.sort_unstable();
        lows.dedup();
        let at = |low: i64| self.assigned(|row, column| (low..=low + width).contains(&masses[row][column]));
        let mut best: Option<Found> = None;
        for found in lows.into_iter().filter_map(at) {
            if best.as_ref().is_none_or(|known| found.cost < known.cost) {
                best = Some(found);
            }
        }
        best
    }
}

fn answer(best: Found, masses: Option<&Vec<Vec<i64>>>, over: i64) -> WholeChoice {
    let chosen = masses.map(|masses| {
        let of = || best.piston.iter().enumerate().map(|(row, &column)| masses[row][column]);
        of().max().unwrap_or(0) - of().min().unwrap_or(0)
    });
    let [outside, excess, squares, moved] = best.cost.0;
    let objectives = Objectives([outside, excess, over, squares, chosen.unwrap_or(0), moved]);
    WholeChoice { piston: best.piston, objectives, spread: chosen.map(|spread| spread as f64 * 1e-9) }
}
