//! Bearing shells to journals by grade of wall.
//!
//! Objectives in order:
//! 1. bearings outside their window;
//! 2. how far outside in total, nm;
//! 3. bearings inside the window but within `guard` of a limit: with an uncertainty as large as the guard such a
//!    clearance may as well be outside, and no shell saved is worth that;
//! 4. pairs to order (a pair is one upper and one lower shell of a grade);
//! 5. mixed pairs (upper and lower of different grades: allowed, but the bearing is no longer central);
//! 6. Σ (clearance − target)², nm²;
//! 7. price, in the smallest unit of money.

use super::relax::relaxation;
use super::stock::{Choice, Filled, Limits, Pack, Problem, can_fill_inside, fill, orders_for};
use super::{NanoWindow, Objectives, SelectionError, Solution, Window, nano};

/// A housing and the journal in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bearing {
    /// Housing bore, torqued, m, with the growth by crush added when the caller wants it counted.
    pub housing: f64,
    /// Journal, m.
    pub journal: f64,
    /// Allowed clearance and target, m.
    pub window: Window,
    /// The pair that is in, where its clearance was read and not reckoned from the walls of its grades.
    pub fitted: Option<Fitted>,
}

/// The pair that is in a bearing, as it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// Grade of the upper shell, by its index.
    pub upper: usize,
    /// Grade of the lower shell.
    pub lower: usize,
    /// Clearance as read, m; the walls of the grades do not tell it better.
    pub clearance: f64,
    /// Is that clearance proved to be inside? Then it does not count as near a limit, whatever the guard.
    pub proved: bool,
}

/// A grade of shell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade {
    /// Wall at the crown, m.
    pub wall: f64,
    /// Upper shells in the shop.
    pub uppers: u32,
    /// Lower shells in the shop.
    pub lowers: u32,
    /// Pairs that can be ordered; 0: none.
    pub orderable: u32,
    /// Price of a pair in the smallest unit of money.
    pub price: i64,
}

/// The shells of one bearing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShellChoice {
    /// Grade of the upper shell, by its index.
    pub upper: usize,
    /// Grade of the lower shell.
    pub lower: usize,
    /// Clearance that they give, m.
    pub clearance: f64,
}

/// Shells for all bearings of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct ShellPlan {
    /// For each bearing.
    pub shells: Vec<ShellChoice>,
    /// Pairs to order of each grade.
    pub to_order: Vec<u32>,
}

/// Most grades and bearings handled.
const MOST: usize = 64;

/// Chooses shells; exact within the limits. `guard` is the distance to a limit below which a clearance counts as on it, m,
/// for instance its expanded uncertainty; 0 switches the objective off. Windows of the relaxation: the bearings.
///
/// # Errors
/// When a size is no length, a window is not ordered, or stock and orders together cannot fill the bearings.
pub fn choose(
    bearings: &[Bearing],
    grades: &[Grade],
    guard: f64,
    limits: Limits,
) -> Result<Solution<ShellPlan, 7>, SelectionError> {
    let case = Case::new(bearings, grades, guard)?;
    let problem = case.problem(&case.windows);
    let Filled { best, bound, proved, explored } = fill(&problem, limits);
    let Some((picked, objectives)) = best else {
        let found =
            grades.iter().map(|grade| (grade.uppers.min(grade.lowers) + grade.orderable) as usize).sum();
        return Err(SelectionError::TooFew { name: "pairs of shells", found, needed: bearings.len() });
    };
    let pair = |index: usize| (index / grades.len(), index % grades.len());
    let shells: Vec<ShellChoice> = picked
        .iter()
        .enumerate()
        .map(|(bearing, &index)| {
            let (upper, lower) = pair(index);
            ShellChoice { upper, lower, clearance: case.clearance(bearing, upper, lower) as f64 * 1e-9 }
        })
        .collect();
    let mut used = vec![0; 2 * grades.len()];
    for shell in &shells {
        used[2 * shell.upper] += 1;
        used[2 * shell.lower + 1] += 1;
    }
    let to_order = orders_for(&problem, &used).unwrap_or_default();
    let relaxation = (objectives.0[0] > 0).then(|| case.relaxation(limits));
    Ok(Solution { choice: ShellPlan { shells, to_order }, objectives, proved, bound, explored, relaxation })
}

struct Case<'a> {
    grades: &'a [Grade],
    walls: Vec<i64>,
    /// Housing less journal, nm.
    spaces: Vec<i64>,
    /// The pair that is in each bearing with its clearance in nm, where that was read.
    fitted: Vec<Option<(Fitted, i64)>>,
    windows: Vec<NanoWindow>,
    guard: i64,
}

impl<'a> Case<'a> {
    fn new(bearings: &[Bearing], grades: &'a [Grade], guard: f64) -> Result<Self, SelectionError> {
        for (name, found) in [("bearings", bearings.len()), ("grades", grades.len())] {
            if found > MOST {
                return Err(SelectionError::TooMany { name, found, most: MOST });
            }
        }
        let windows = NanoWindow::all(&bearings.iter().map(|bearing| bearing.window).collect::<Vec<_>>())?;
        let spaces = bearings.iter().enumerate().map(|(index, bearing)| {
            Ok(nano("housing", index, bearing.housing)? - nano("journal", index, bearing.journal)?)
        });
        let fitted = bearings.iter().enumerate().map(|(index, bearing)| {
            let read = |fitted: Fitted| Ok((fitted, nano("clearance", index, fitted.clearance)?));
            bearing.fitted.map(read).transpose()
        });
        let walls = grades.iter().enumerate().map(|(index, grade)| nano("wall of grade", index, grade.wall));
        Ok(Self {
            grades,
            walls: walls.collect::<Result<_, _>>()?,
            spaces: spaces.collect::<Result<_, SelectionError>>()?,
            fitted: fitted.collect::<Result<_, SelectionError>>()?,
            windows,
            guard: nano("guard", 0, guard)?.max(0),
        })
    }

    /// What was read of this very pair in this bearing.
    fn as_read(&self, bearing: usize, upper: usize, lower: usize) -> Option<(Fitted, i64)> {
        self.fitted[bearing].filter(|(fitted, _)| (fitted.upper, fitted.lower) == (upper, lower))
    }

    fn clearance(&self, bearing: usize, upper: usize, lower: usize) -> i64 {
        let reckoned = self.spaces[bearing] - self.walls[upper] - self.walls[lower];
        self.as_read(bearing, upper, lower).map_or(reckoned, |(_, read)| read)
    }

    fn cost(&self, window: &NanoWindow, bearing: usize, upper: usize, lower: usize) -> Objectives<7> {
        let clearance = self.clearance(bearing, upper, lower);
        let mixed = upper != lower;
        let excess = window.excess(clearance);
        let proved = self.as_read(bearing, upper, lower).is_some_and(|(fitted, _)| fitted.proved);
        let on_limit = excess == 0 && !proved && window.widened(-self.guard).excess(clearance) > 0;
        Objectives([
            i64::from(excess > 0),
            excess,
            i64::from(on_limit && self.guard > 0),
            0,
            i64::from(mixed),
            window.squared_deviation(clearance),
            0,
        ])
    }

    fn problem(&self, windows: &[NanoWindow]) -> Problem<7> {
        let grades = self.grades.len();
        let choice = |bearing: usize, upper: usize, lower: usize| Choice {
            cost: self.cost(&windows[bearing], bearing, upper, lower),
            uses: vec![2 * upper, 2 * lower + 1],
        };
        Problem {
            places: (0..self.spaces.len())
                .map(|bearing| {
                    (0..grades * grades)
                        .map(|index| choice(bearing, index / grades, index % grades))
                        .collect()
                })
                .collect(),
            on_hand: self.grades.iter().flat_map(|grade| [grade.uppers, grade.lowers]).collect(),
            packs: (0..grades)
                .map(|grade| Pack {
                    members: vec![2 * grade, 2 * grade + 1],
                    cost: Objectives([0, 0, 0, 1, 0, 0, self.grades[grade].price]),
                    available: self.grades[grade].orderable,
                })
                .collect(),
        }
    }

    fn relaxation(&self, limits: Limits) -> super::Relaxation {
        let grades = self.grades.len();
        let reachable = |bearing| {
            (0..grades * grades)
                .map(move |i| self.clearance(bearing, i / grades, i % grades))
                .collect::<Vec<_>>()
        };
        relaxation(&self.windows, &(0..self.spaces.len()).map(reachable).collect::<Vec<_>>(), |windows| {
            can_fill_inside(self.problem(windows), limits)
        })
    }
}
