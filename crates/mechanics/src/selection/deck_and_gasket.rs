//! A deck cut and a gasket for each bank, for compression and quench of every cylinder together.
//!
//! At a given gasket each window is an interval of cuts: quench falls by the cut, and the clearance volume falls by bore area × cut,
//! so that a limit on the ratio is one too. The cuts that satisfy everything are the intersection.
//!
//! Where the ratios of the whole engine must lie together, the least cuts set the highest ratio that cannot be avoided; every
//! other bank is cut until its lowest ratio comes within the allowed spread of that, and no further. More is never of use: as
//! swept volume by bore area is the stroke, d(ratio)/d(cut) = (ratio − 1)²/stroke, so that two ratios under one deck only move apart.
//!
//! Objectives in order: banks for which nothing fits; the widening of the windows that these would need, in millionths of each
//! window's width; whether the ratios lie too far apart; decks that are cut and would not be on the machine else; the cuts, nm; kinds of gasket beyond one; distance from the
//! targets (squares of the distances of ratio and quench, each over half its window's width, in millionths); price of the gaskets.
//!
//! [`choose_sure`] puts one more between the decks that are cut and how much comes off them: that ratios, quench and spread stay
//! away from their limits by their guard, or by the greatest of a few shares of it.

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
    /// How far from its limits the ratio should stay ([`choose_sure`]): its expanded uncertainty; 0: no matter.
    pub ratio_guard: f64,
    /// How far from its limits the quench should stay, m.
    pub quench_guard: f64,
}

/// Cylinders under one deck.
#[derive(Clone, Debug, PartialEq)]
pub struct Bank {
    /// Its cylinders.
    pub cylinders: Vec<Cylinder>,
    /// Gaskets that it can get.
    pub gaskets: Vec<Gasket>,
    /// What must come off in any case (to clean up), m.
    pub least_cut: f64,
    /// What may come off, m, not less than `least_cut`; below 0 counts as 0 (that the deck is too low already is another question).
    pub stock: f64,
    /// Does it go onto the machine in any case? Then a cut is not one more job.
    pub on_machine: bool,
}

/// A gasket.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gasket {
    /// Thickness as compressed, m.
    pub thickness: f64,
    /// Its bore, m.
    pub bore: f64,
    /// Gaskets of one kind have the same number on every bank.
    pub kind: usize,
    /// In the smallest unit of money, for one bank.
    pub price: i64,
}

/// For one bank.
#[derive(Clone, Debug, PartialEq)]
pub struct BankChoice {
    /// Gasket, by its index among those of the bank.
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

/// Chooses gaskets and cuts; exact, always proved. `most_spread` is how far the ratios of all cylinders may lie apart.
///
/// # Errors
/// When a size is none, a window is not ordered, a least ratio is not above 1, a least cut exceeds the
/// stock, or a bank has no gasket.
pub fn choose(
    banks: &[Bank],
    most_spread: Option<f64>,
) -> Result<Solution<Vec<BankChoice>, 8>, SelectionError> {
    check(banks)?;
    Ok(guarded(banks, most_spread, 0.0))
}

/// Shares of the guards that [`choose_sure`] tries, the most first.
pub const SHARES: [f64; 4] = [1.0, 0.75, 0.5, 0.25];

/// A choice and how sure it is.
#[derive(Clone, Debug, PartialEq)]
pub struct SureChoice {
    /// The choice.
    pub solution: Solution<Vec<BankChoice>, 8>,
    /// By which share of the guards everything stays away from its limits: one of [`SHARES`], or 0.
    pub share: f64,
}

/// As [`choose`], and everything away from its limits by the greatest of [`SHARES`] of the guards that costs neither a fit nor the cut
/// of one more deck: of all choices with the fewest decks cut those with that share, of these the one with the least cuts, and so on.
/// `spread_guard` is the guard of the spread of ratios.
///
/// # Errors
/// As [`choose`].
pub fn choose_sure(
    banks: &[Bank],
    most_spread: Option<f64>,
    spread_guard: f64,
) -> Result<SureChoice, SelectionError> {
    check(banks)?;
    let plain = guarded(banks, most_spread, 0.0);
    // With nothing inside there is nothing to keep inside.
    let fits = plain.objectives.0[..3] == [0, 0, 0];
    for share in SHARES.into_iter().filter(|_| fits) {
        let most = most_spread.map(|most| most - share * spread_guard.max(0.0));
        if most.is_some_and(|most| most < 0.0) {
            continue;
        }
        let solution = guarded(banks, most, share);
        if solution.objectives.0[..4] == plain.objectives.0[..4] {
            return Ok(SureChoice { solution, share });
        }
    }
    Ok(SureChoice { solution: plain, share: 0.0 })
}

/// The best with everything away from its limits by a share of the guards.
fn guarded(banks: &[Bank], most_spread: Option<f64>, share: f64) -> Solution<Vec<BankChoice>, 8> {
    let table: Vec<Vec<OneBank>> =
        banks.iter().map(|bank| bank.gaskets.iter().map(|g| evaluate(bank, g, share)).collect()).collect();
    let mut best: Option<(Objectives<8>, Vec<usize>, Vec<f64>)> = None;
    let mut explored = 0;
    let mut chosen = vec![0; banks.len()];
    loop {
        explored += 1;
        let (objectives, cuts) = together(banks, &table, &chosen, most_spread);
        if best.as_ref().is_none_or(|b| objectives < b.0) {
            best = Some((objectives, chosen.clone(), cuts));
        }
        if !next(&mut chosen, banks) {
            break;
        }
    }
    let (objectives, gaskets, cuts) = best.unwrap_or((Objectives::ZERO, Vec::new(), Vec::new()));
    let choice =
        banks.iter().zip(&table).zip(gaskets.iter().zip(cuts)).map(|((bank, row), (&gasket, cut))| {
            let results = bank.cylinders.iter().map(|c| result(c, &bank.gaskets[gasket], cut)).collect();
            let relaxation = (row[gasket].outside > 0).then(|| relax(bank));
            BankChoice { gasket, cut, results, relaxation }
        });
    Solution {
        choice: choice.collect(),
        objectives,
        proved: true,
        bound: objectives,
        explored,
        relaxation: None,
    }
}

/// Counts on to the next gaskets, one a bank; false after the last.
fn next(chosen: &mut [usize], banks: &[Bank]) -> bool {
    for (gasket, bank) in chosen.iter_mut().zip(banks) {
        *gasket += 1;
        if *gasket < bank.gaskets.len() {
            return true;
        }
        *gasket = 0;
    }
    false
}

/// Objectives and cuts of all banks with the chosen gaskets.
fn together(
    banks: &[Bank],
    table: &[Vec<OneBank>],
    chosen: &[usize],
    most_spread: Option<f64>,
) -> (Objectives<8>, Vec<f64>) {
    let rows: Vec<(&Bank, &Gasket, OneBank)> = banks
        .iter()
        .zip(table)
        .zip(chosen)
        .map(|((bank, row), &g)| (bank, &bank.gaskets[g], row[g]))
        .collect();
    let least: Vec<f64> = rows.iter().map(|row| row.2.cuts.0).collect();
    let (apart, cuts) = match most_spread {
        None => (0, least),
        Some(most) => brought_together(&rows, most).map_or((1, least), |cuts| (0, cuts)),
    };
    let mut kinds: Vec<usize> = rows.iter().map(|row| row.1.kind).collect();
    kinds.sort_unstable();
    kinds.dedup();
    let more_kinds = i64::try_from(kinds.len()).unwrap_or(i64::MAX) - 1;
    let mut sum = [0, 0, apart, 0, 0, more_kinds, 0, 0];
    for ((bank, gasket, found), cut) in rows.iter().zip(&cuts) {
        sum[0] += found.outside;
        sum[1] += found.widening;
        sum[3] += i64::from(*cut >= NO_CUT && !bank.on_machine);
        sum[4] += (cut * 1e9).round() as i64;
        sum[6] += (distance(bank, gasket, *cut) * 1e6).round().min(1e15) as i64;
        sum[7] += gasket.price;
    }
    (Objectives(sum), cuts)
}

/// The least cuts with which all ratios lie within `most` of each other, if there are any.
fn brought_together(rows: &[(&Bank, &Gasket, OneBank)], most: f64) -> Option<Vec<f64>> {
    let ratios = |row: &(&Bank, &Gasket, OneBank), cut: f64| -> Vec<f64> {
        row.0.cylinders.iter().map(|c| result(c, row.1, cut).0).collect()
    };
    let top = rows.iter().flat_map(|row| ratios(row, row.2.cuts.0)).fold(f64::NEG_INFINITY, f64::max);
    let cut_of = |row: &(&Bank, &Gasket, OneBank)| {
        let needed = row.0.cylinders.iter().map(|c| cut_to_ratio(c, row.1, top - most, f64::NEG_INFINITY));
        let cut = needed.fold(row.2.cuts.0, f64::max);
        let inside = cut <= row.2.cuts.1 + TOUCH && ratios(row, cut).iter().all(|r| *r <= top + 1e-9);
        inside.then_some(cut)
    };
    rows.iter().map(cut_of).collect()
}

fn check(banks: &[Bank]) -> Result<(), SelectionError> {
    for (index, bank) in banks.iter().enumerate() {
        if bank.gaskets.is_empty() {
            return Err(SelectionError::TooFew { name: "gaskets", found: 0, needed: 1 });
        }
        for (index, gasket) in bank.gaskets.iter().enumerate() {
            nano("thickness of gasket", index, gasket.thickness)?;
            nano("bore of gasket", index, gasket.bore)?;
        }
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

/// The cut that gives a ratio, `none` where no space over the piston gives it.
fn cut_to_ratio(cylinder: &Cylinder, gasket: &Gasket, ratio: f64, none: f64) -> f64 {
    let space = with_gasket(cylinder, gasket);
    let area = FRAC_PI_4 * space.bore * space.bore;
    let clearance = space.clearance_volume().value;
    clearance_for_ratio(space.swept_volume(), ratio).map_or(none, |wanted| (clearance - wanted) / area)
}

/// The cuts that keep the ratio in its window.
fn ratio_cuts(cylinder: &Cylinder, gasket: &Gasket, window: &Window) -> Cuts {
    let cut = |ratio, none| cut_to_ratio(cylinder, gasket, ratio, none);
    (cut(window.min, f64::NEG_INFINITY), cut(window.max, f64::INFINITY))
}

fn quench_cuts(cylinder: &Cylinder, gasket: &Gasket, window: &Window) -> Cuts {
    let uncut = cylinder.space.deck_gap + gasket.thickness;
    (uncut - window.max, uncut - window.min)
}

/// No deck is put on the machine for less than this, m: half a micrometre is below what can be read.
pub const NO_CUT: f64 = 0.5e-6;

/// Every constraint with its interval, all windows widened by a fraction of their width and narrowed by a share of their guard.
fn constraints(bank: &Bank, gasket: &Gasket, fraction: f64, share: f64) -> Vec<(Constraint, Cuts)> {
    let widened = |window: &Window, guard: f64| {
        let by = fraction * (window.max - window.min) - share * guard.max(0.0);
        Window { min: window.min - by, max: window.max + by, ..*window }
    };
    let mut all = vec![(Constraint::Stock, (bank.least_cut.max(0.0), bank.stock.max(0.0)))];
    for (index, cylinder) in bank.cylinders.iter().enumerate() {
        all.push((
            Constraint::Ratio(index),
            ratio_cuts(cylinder, gasket, &widened(&cylinder.ratio, cylinder.ratio_guard)),
        ));
        all.push((
            Constraint::Quench(index),
            quench_cuts(cylinder, gasket, &widened(&cylinder.quench, cylinder.quench_guard)),
        ));
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

/// A bank with one gasket, apart from the others.
#[derive(Clone, Copy, Debug)]
struct OneBank {
    /// 1 when nothing fits.
    outside: i64,
    /// What it takes then, in millionths of the windows' widths.
    widening: i64,
    /// Cuts that fit, the least not below 0.
    cuts: Cuts,
}

fn evaluate(bank: &Bank, gasket: &Gasket, share: f64) -> OneBank {
    let cuts = intersection(&constraints(bank, gasket, 0.0, share), None);
    let (outside, widening, (low, high)) = if meets(cuts) {
        (0, 0, cuts)
    } else {
        let fraction = least_fraction(bank, gasket).unwrap_or(MOST_FRACTION);
        (1, (fraction * 1e6).ceil() as i64, intersection(&constraints(bank, gasket, fraction, 0.0), None))
    };
    let low = if low.is_finite() { low.max(0.0) } else { 0.0 };
    OneBank { outside, widening, cuts: (low, high) }
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

/// Wider than this many widths no window is worth the name.
const MOST_FRACTION: f64 = 1e3;

/// Least widening, as a fraction of every window's width, at which some cut fits.
fn least_fraction(bank: &Bank, gasket: &Gasket) -> Option<f64> {
    let fits = |fraction: f64| meets(intersection(&constraints(bank, gasket, fraction, 0.0), None));
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

fn relax(bank: &Bank) -> DeckRelaxation {
    let gaskets = &bank.gaskets;
    let fractions = gaskets.iter().filter_map(|gasket| least_fraction(bank, gasket));
    let uniform_fraction = fractions.reduce(f64::min);
    let mut single: Vec<DeckSingle> = Vec::new();
    for (index, gasket) in gaskets.iter().enumerate() {
        let all = constraints(bank, gasket, 0.0, 0.0);
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
