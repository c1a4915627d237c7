//! One deck cut a bank and one gasket, for compression and quench of every cylinder together.
//!
//! At a given gasket each window is an interval of cuts: quench falls by the cut, and the clearance volume falls by bore area × cut,
//! so that a limit on the ratio is one too. The cuts that satisfy everything are the intersection.
//!
//! Objectives in order: banks for which nothing fits; the widening of the windows that these would need, in millionths of each
//! window's width; the cut, nm ([`Aim::LeastCut`]; otherwise 0); distance from the targets (see [`Aim`]); price of the gaskets.

use super::{NanoWindow, Objectives, SelectionError, Solution, Window, nano};
use crate::compression::{Space, clearance_for_ratio};
use core::f64::consts::FRAC_PI_4;

/// One cylinder of a bank.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cylinder {
    /// Its space before the cut; bore and thickness of the gasket in it are replaced by those of each candidate.
    pub space: Space,
    /// Allowed compression ratio and target; the least allowed above 1.
    pub ratio: Window,
    /// Allowed quench and target, m.
    pub quench: Window,
}

/// Cylinders under one deck.
#[derive(Clone, Debug, PartialEq)]
pub struct Bank {
    /// Its cylinders.
    pub cylinders: Vec<Cylinder>,
    /// What must come off in any case (to clean up), m.
    pub least_cut: f64,
    /// What may come off, m, not less than `least_cut`; below 0 counts as 0 (that the deck is too low already is another question).
    pub stock: f64,
}

/// A gasket.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gasket {
    /// Thickness as compressed, m.
    pub thickness: f64,
    /// Its bore, m.
    pub bore: f64,
    /// In the smallest unit of money, for one bank.
    pub price: i64,
}

/// What is best among the cuts that satisfy every window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// The least cut, then the gasket nearest to the targets: metal cannot be put back.
    LeastCut,
    /// Least Σ of the squared distances of ratio and quench from target, each over half its window's width (in millionths).
    NearestTarget,
}

/// For one bank.
#[derive(Clone, Debug, PartialEq)]
pub struct BankChoice {
    /// Gasket, by its index.
    pub gasket: usize,
    /// To take off the deck, m.
    pub cut: f64,
    /// Ratio and quench (m) of each cylinder afterwards.
    pub results: Vec<(f64, f64)>,
    /// When nothing fits; `cut` and `gasket` are then the ones that need the least widening.
    pub relaxation: Option<DeckRelaxation>,
}

/// What to relax for one bank.
#[derive(Clone, Debug, PartialEq)]
pub struct DeckRelaxation {
    /// Least widening of all windows at both ends, as a fraction of each window's width; `None`: not even a thousand widths.
    pub uniform_fraction: Option<f64>,
    /// Each constraint that suffices alone, with the gasket for which it takes least; ordered as [`Constraint`].
    pub single: Vec<DeckSingle>,
}

/// One constraint relaxed alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DeckSingle {
    /// Which.
    pub constraint: Constraint,
    /// Whether its upper limit moves; otherwise the lower.
    pub upper: bool,
    /// By how much: a ratio, or m.
    pub by: f64,
    /// With which gasket.
    pub gasket: usize,
}

/// What bounds the cut; the cylinder counts from 0 in the bank.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Constraint {
    /// Compression ratio of a cylinder.
    Ratio(usize),
    /// Quench of a cylinder.
    Quench(usize),
    /// Metal left on the deck.
    Stock,
}

/// An interval of cuts, m.
type Cuts = (f64, f64);

/// Chooses gaskets and cuts; exact, always proved. With `same_gasket` all banks get the same one.
///
/// # Errors
/// When a size is none, a window is not ordered, a least ratio is not above 1, a least cut exceeds the
/// stock, or there is no gasket.
pub fn choose(
    banks: &[Bank],
    gaskets: &[Gasket],
    same_gasket: bool,
    aim: Aim,
) -> Result<Solution<Vec<BankChoice>, 5>, SelectionError> {
    check(banks, gaskets)?;
    let table: Vec<Vec<(Objectives<5>, f64)>> =
        banks.iter().map(|bank| gaskets.iter().map(|gasket| evaluate(bank, gasket, aim)).collect()).collect();
    let cheapest =
        |cost: &dyn Fn(usize) -> Objectives<5>| (0..gaskets.len()).min_by_key(|&g| (cost(g), g)).unwrap_or(0);
    let total = |g: usize| table.iter().fold(Objectives::ZERO, |sum, row| sum + row[g].0);
    let common = cheapest(&total);
    let mut objectives = Objectives::ZERO;
    let mut choice = Vec::with_capacity(banks.len());
    for (bank, row) in banks.iter().zip(&table) {
        let gasket = if same_gasket { common } else { cheapest(&|g| row[g].0) };
        let (cost, cut) = row[gasket];
        objectives = objectives + cost;
        let results = bank.cylinders.iter().map(|cylinder| result(cylinder, &gaskets[gasket], cut)).collect();
        let relaxation = (cost.0[0] > 0).then(|| relax(bank, gaskets));
        choice.push(BankChoice { gasket, cut, results, relaxation });
    }
    let explored = (banks.len() * gaskets.len()) as u64;
    Ok(Solution { choice, objectives, proved: true, bound: objectives, explored, relaxation: None })
}

fn check(banks: &[Bank], gaskets: &[Gasket]) -> Result<(), SelectionError> {
    if gaskets.is_empty() {
        return Err(SelectionError::TooFew { name: "gaskets", found: 0, needed: 1 });
    }
    for (index, gasket) in gaskets.iter().enumerate() {
        nano("thickness of gasket", index, gasket.thickness)?;
        nano("bore of gasket", index, gasket.bore)?;
    }
    for (index, bank) in banks.iter().enumerate() {
        let (least, stock) = (nano("least cut", index, bank.least_cut)?, nano("stock", index, bank.stock)?);
        if least > stock.max(0) {
            let Bank { least_cut, stock, .. } = *bank;
            return Err(SelectionError::WindowNotOrdered {
                index,
                min: least_cut,
                target: least_cut,
                max: stock,
            });
        }
        for (index, cylinder) in bank.cylinders.iter().enumerate() {
            let Window { min, target, max } = cylinder.ratio;
            if !(min > 1.0 && min <= target && target <= max && max < 1e3) {
                return Err(SelectionError::WindowNotOrdered { index, min, target, max });
            }
            NanoWindow::new(index, &cylinder.quench)?;
            let space = &cylinder.space;
            for (name, value) in [("bore", space.bore), ("stroke", space.stroke)] {
                if nano(name, index, value)? <= 0 {
                    return Err(SelectionError::NotASize { name, index, value });
                }
            }
            nano("deck gap", index, space.deck_gap)?;
            let volumes = [
                ("chamber", space.chamber_volume),
                ("dome", space.dome_volume),
                ("crevice", space.crevice_volume),
            ];
            for (name, value) in volumes {
                nano(name, index, value)?;
            }
        }
    }
    Ok(())
}

fn with_gasket(cylinder: &Cylinder, gasket: &Gasket) -> Space {
    Space { gasket_bore: gasket.bore, gasket_thickness: gasket.thickness, ..cylinder.space }
}

/// Ratio and quench after the cut.
fn result(cylinder: &Cylinder, gasket: &Gasket, cut: f64) -> (f64, f64) {
    let space = with_gasket(cylinder, gasket);
    let space = Space { deck_gap: space.deck_gap - cut, ..space };
    let ratio = 1.0 + space.swept_volume() / space.clearance_volume().value;
    (ratio, space.deck_gap + gasket.thickness)
}

/// The cuts that keep the ratio in its window.
fn ratio_cuts(cylinder: &Cylinder, gasket: &Gasket, window: &Window) -> Cuts {
    let space = with_gasket(cylinder, gasket);
    let (swept, clearance) = (space.swept_volume(), space.clearance_volume().value);
    let area = FRAC_PI_4 * space.bore * space.bore;
    let cut = |ratio: f64, none: f64| {
        clearance_for_ratio(swept, ratio).map_or(none, |wanted| (clearance - wanted) / area)
    };
    (cut(window.min, f64::NEG_INFINITY), cut(window.max, f64::INFINITY))
}

fn quench_cuts(cylinder: &Cylinder, gasket: &Gasket, window: &Window) -> Cuts {
    let uncut = cylinder.space.deck_gap + gasket.thickness;
    (uncut - window.max, uncut - window.min)
}

/// Every constraint with its interval, all windows widened by a fraction of their width.
fn constraints(bank: &Bank, gasket: &Gasket, fraction: f64) -> Vec<(Constraint, Cuts)> {
    let widened = |window: &Window| {
        let by = fraction * (window.max - window.min);
        Window { min: window.min - by, max: window.max + by, ..*window }
    };
    let mut all = vec![(Constraint::Stock, (bank.least_cut.max(0.0), bank.stock.max(0.0)))];
    for (index, cylinder) in bank.cylinders.iter().enumerate() {
        all.push((Constraint::Ratio(index), ratio_cuts(cylinder, gasket, &widened(&cylinder.ratio))));
        all.push((Constraint::Quench(index), quench_cuts(cylinder, gasket, &widened(&cylinder.quench))));
    }
    all
}

fn intersection(all: &[(Constraint, Cuts)], except: Option<Constraint>) -> Cuts {
    let kept = all.iter().filter(|(constraint, _)| Some(*constraint) != except);
    kept.fold((f64::NEG_INFINITY, f64::INFINITY), |(low, high), (_, cuts)| {
        (low.max(cuts.0), high.min(cuts.1))
    })
}

/// A millionth of a micrometre: limits that meet exactly on paper must meet in floating point.
const TOUCH: f64 = 1e-12;

fn meets((low, high): Cuts) -> bool {
    low <= high + TOUCH
}

fn evaluate(bank: &Bank, gasket: &Gasket, aim: Aim) -> (Objectives<5>, f64) {
    let cuts = intersection(&constraints(bank, gasket, 0.0), None);
    let (outside, widening, cuts) = if meets(cuts) {
        (0, 0, cuts)
    } else {
        let fraction = least_fraction(bank, gasket).unwrap_or(MOST_FRACTION);
        (1, (fraction * 1e6).ceil() as i64, intersection(&constraints(bank, gasket, fraction), None))
    };
    let cut = match aim {
        Aim::LeastCut => cuts.0,
        Aim::NearestTarget => nearest(bank, gasket, cuts),
    };
    let cut = if cut.is_finite() { cut.max(0.0) } else { 0.0 };
    let cut_objective = if aim == Aim::LeastCut { (cut * 1e9).round() as i64 } else { 0 };
    let distance = (distance(bank, gasket, cut) * 1e6).round().min(1e15) as i64;
    (Objectives([outside, widening, cut_objective, distance, gasket.price]), cut)
}

/// Σ of squared distances from the targets, each over half its window's width.
fn distance(bank: &Bank, gasket: &Gasket, cut: f64) -> f64 {
    let squared = |value: f64, window: &Window| {
        let half = (0.5 * (window.max - window.min)).max(1e-9);
        let off = (value - window.target) / half;
        off * off
    };
    let of = |cylinder: &Cylinder| {
        let (ratio, quench) = result(cylinder, gasket, cut);
        squared(ratio, &cylinder.ratio) + squared(quench, &cylinder.quench)
    };
    bank.cylinders.iter().map(of).sum()
}

/// The cut with the least distance, by thirds.
///
/// The distance is convex where target − ratio ≤ (ratio − 1)/2 for every cylinder, far beyond any sensible window.
fn nearest(bank: &Bank, gasket: &Gasket, (mut low, mut high): Cuts) -> f64 {
    while high - low > TOUCH {
        let third = (high - low) / 3.0;
        let (left, right) = (low + third, high - third);
        if left <= low || right >= high {
            break;
        }
        if distance(bank, gasket, left) <= distance(bank, gasket, right) { high = right } else { low = left }
    }
    0.5 * (low + high)
}

/// Wider than this many widths no window is worth the name.
const MOST_FRACTION: f64 = 1e3;

/// Least widening, as a fraction of every window's width, at which some cut fits.
fn least_fraction(bank: &Bank, gasket: &Gasket) -> Option<f64> {
    let fits = |fraction: f64| meets(intersection(&constraints(bank, gasket, fraction), None));
    if !fits(MOST_FRACTION) {
        return None;
    }
    let (mut low, mut high) = (0.0, MOST_FRACTION);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if fits(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

fn relax(bank: &Bank, gaskets: &[Gasket]) -> DeckRelaxation {
    let fractions = gaskets.iter().filter_map(|gasket| least_fraction(bank, gasket));
    let uniform_fraction = fractions.reduce(f64::min);
    let mut single: Vec<DeckSingle> = Vec::new();
    for (index, gasket) in gaskets.iter().enumerate() {
        let all = constraints(bank, gasket, 0.0);
        for &(constraint, own) in &all {
            let Some(found) =
                alone(bank, index, gasket, constraint, own, intersection(&all, Some(constraint)))
            else {
                continue;
            };
            match single.iter_mut().find(|known| known.constraint == constraint) {
                Some(known) if found.by < known.by => *known = found,
                Some(_) => {}
                None => single.push(found),
            }
        }
    }
    single.sort_by_key(|relaxed| relaxed.constraint);
    DeckRelaxation { uniform_fraction, single }
}

/// How far one constraint must move to meet what the others allow.
fn alone(
    bank: &Bank,
    index: usize,
    gasket: &Gasket,
    constraint: Constraint,
    own: Cuts,
    others: Cuts,
) -> Option<DeckSingle> {
    if !meets(others) {
        return None;
    }
    // The others allow only deeper cuts than this one does, or only shallower ones.
    let deeper = others.0 > own.1;
    let cut = if deeper { others.0 } else { others.1 };
    // A cut below nothing is no cut: it cannot be allowed by giving up the cleaning cut.
    if !cut.is_finite() || cut < 0.0 {
        return None;
    }
    let (upper, by) = match constraint {
        Constraint::Stock if deeper => (true, cut - bank.stock.max(0.0)),
        Constraint::Stock => (false, bank.least_cut - cut),
        Constraint::Ratio(cylinder) => {
            let (ratio, _) = result(&bank.cylinders[cylinder], gasket, cut);
            let window = &bank.cylinders[cylinder].ratio;
            if deeper { (true, ratio - window.max) } else { (false, window.min - ratio) }
        }
        Constraint::Quench(cylinder) => {
            let (_, quench) = result(&bank.cylinders[cylinder], gasket, cut);
            let window = &bank.cylinders[cylinder].quench;
            if deeper { (false, window.min - quench) } else { (true, quench - window.max) }
        }
    };
    Some(DeckSingle { constraint, upper, by, gasket: index })
}
