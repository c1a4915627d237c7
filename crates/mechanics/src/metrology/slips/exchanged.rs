//! Two rows exchanged in a column: undo it, and everything fits again.
//!
//! One column is decided by likelihood. Of the two readings a, b and the difference d of their rows, learned by least squares
//! from all other columns, the table as it stands says a − b = d, an exchange says a − b = −d with rows that are far enough
//! apart to be seen. The standard deviation of a reading comes from the table itself, so that form counts as noise.
//! Several columns at once are what uneven wear of one level looks like too; there a close fit is asked for instead.

use super::additive::{Fit, Grid, Means};
use super::{Kind, Suspicion, Table};

/// Half of the least change by an exchange, in U: rows nearer to each other are never asked about.
const LEAST_APART: f64 = 3.5;
/// Distance of two rows from which every exchange must be seen, in U.
const ALWAYS_APART: f64 = 6.0;
/// Between these two: distance in standard deviations of a reading that can be told from noise.
const APART_IN_NOISE: f64 = 6.0;
/// Least logarithm of likelihood, exchanged over as it stands.
const EVIDENCE: f64 = 1.0;
/// Greatest sum of two squared standardised disagreements of an exchange that is undone.
const MISFIT: f64 = 45.0;
/// The same for overwhelming evidence, as a share of it; one wrong reading shows about a half.
const MISFIT_SHARE: f64 = 0.2;
/// How much better one wrong reading must explain both, in the same squares, to be preferred to an exchange.
const DIGIT_BETTER: f64 = 36.0;
/// Another column in which the same rows differ the same way by this share of the change makes all of it form; so does
/// another reading of the column that is off by this share of half the change …
const FORM_SHARE: f64 = 0.6;
/// … and beyond what noise gives, in standard deviations of a residual.
const FORM_IN_NOISE: f64 = 4.8;

/// Several columns: greatest disagreement left, in t or as a share of the change; greatest shift of both readings together;
/// and the share of the change that another deviation may have.
const SEVERAL_LEFT: f64 = 2.5;
const SEVERAL_LEFT_SHARE: f64 = 0.1;
const SEVERAL_PAIR_SHIFT: f64 = 0.25;
const SEVERAL_FORM_SHARE: f64 = 0.3;

/// Takes every likely exchange out of the grid and reports both readings of it.
pub(super) fn find(table: &Table<'_>, grid: &mut Grid, found: &mut Vec<Suspicion>) {
    while let Some(swap) = likeliest_swap(table, grid) {
        let Swap { rows: (first, second), strength, .. } = swap;
        for column in swap.columns {
            for (row, other_row) in [(first, second), (second, first)] {
                let Some(other) = grid.get(other_row, column) else { continue };
                let kind = Kind::Swapped { other_row };
                found.push(Suspicion { row, column, kind, likely_value: other.value, strength });
            }
            grid.remove(first, column);
            grid.remove(second, column);
        }
    }
}

struct Swap {
    rows: (usize, usize),
    columns: Vec<usize>,
    /// Half the change in t.
    strength: f64,
    /// How much the sum of squared disagreements falls when it is undone.
    drop: f64,
}

fn likeliest_swap(table: &Table<'_>, grid: &Grid) -> Option<Swap> {
    let fit = Fit::of(grid);
    let may = |row: usize, other: usize| {
        table.swap_with.is_none_or(|list| list.get(row).is_some_and(|rows| rows.contains(&other)))
    };
    let pairs = (0..grid.rows()).flat_map(|row| (row + 1..grid.rows()).map(move |other| (row, other)));
    pairs
        .filter(|&(row, other)| may(row, other) || may(other, row))
        .filter_map(|rows| swap_between(grid, &fit, rows))
        .max_by(|a, b| a.drop.total_cmp(&b.drop))
}

/// The columns in which two rows look exchanged, all together or the one that fits best.
fn swap_between(grid: &Grid, fit: &Fit, rows: (usize, usize)) -> Option<Swap> {
    // A cheap look first: medians of three or more readings hardly move with one of them.
    let apart = |column: &usize| {
        let (a, b) = (grid.get(rows.0, *column)?, grid.get(rows.1, *column)?);
        let apart = fit.residual(rows.0, *column, a.value)? - fit.residual(rows.1, *column, b.value)?;
        Some(apart.abs() > LEAST_APART * a.expanded.max(b.expanded))
    };
    let columns: Vec<usize> = (0..grid.columns()).filter(|column| apart(column) == Some(true)).collect();
    let several = (columns.len() > 1).then(|| swap_of_several(grid, rows, &columns)).flatten();
    several.or_else(|| {
        let singles = columns.iter().filter_map(|&column| swap_of_one(grid, rows, column));
        singles.max_by(|a, b| a.drop.total_cmp(&b.drop))
    })
}

/// Counts of readings that are left once both are taken out.
struct Left {
    first_row: f64,
    second_row: f64,
    column: f64,
}

impl Left {
    fn of(without: &Grid, rows: (usize, usize), column: usize) -> Option<Self> {
        let count = |row: usize| without.count_in_row(row) as f64;
        let left = Self {
            first_row: count(rows.0),
            second_row: count(rows.1),
            column: without.count_in_column(column) as f64,
        };
        (left.first_row >= 2.0 && left.second_row >= 2.0).then_some(left)
    }

    /// Variance of the rows' difference, in variances of a reading.
    fn of_difference(&self) -> f64 {
        1.0 / self.first_row + 1.0 / self.second_row
    }

    /// Variance of the mean residual of both.
    fn of_pair(&self) -> f64 {
        0.5 + 0.25 * self.of_difference() + (1.0 + 1.0 / self.first_row.min(self.second_row)) / self.column
    }

    /// Variance of the residual of one.
    fn of_one(&self) -> f64 {
        (1.0 + 1.0 / self.first_row.min(self.second_row)) * (1.0 + 1.0 / self.column)
    }
}

fn swap_of_one(grid: &Grid, rows: (usize, usize), column: usize) -> Option<Swap> {
    let (a, b) = (grid.get(rows.0, column)?, grid.get(rows.1, column)?);
    let mut without = grid.clone();
    without.remove(rows.0, column);
    without.remove(rows.1, column);
    let left = Left::of(&without, rows, column)?;
    let means = Means::of(&without);
    let variance = means.deviation * means.deviation;
    let expanded = a.expanded.max(b.expanded);
    let difference = means.row(rows.0)? - means.row(rows.1)?;
    let (as_read, exchanged) = (a.value - b.value - difference, b.value - a.value - difference);
    let least = (APART_IN_NOISE * means.deviation).clamp(LEAST_APART * expanded, ALWAYS_APART * expanded);
    let of_both = 2.0 + left.of_difference();
    // The rows must be apart: what the others say of them may fall short of it by noise only.
    let short = (least - difference.abs()).max(0.0);
    let evidence =
        (as_read * as_read - exchanged * exchanged) / of_both - short * short / left.of_difference();
    if evidence <= 2.0 * EVIDENCE * variance {
        return None;
    }
    let mut misfit = exchanged * exchanged / (of_both * variance);
    if let (Some(first), Some(second)) =
        (means.residual(rows.0, column, a.value), means.residual(rows.1, column, b.value))
    {
        let pair = 0.5 * (first + second);
        misfit += pair * pair / (left.of_pair() * variance);
        let one_wrong = first.abs().min(second.abs());
        if misfit > DIGIT_BETTER + one_wrong * one_wrong / (left.of_one() * variance) {
            return None;
        }
    }
    let change = 0.5 * as_read.abs();
    let noise = FORM_IN_NOISE * means.deviation * left.of_one().sqrt();
    let residual = |i: usize, j: usize| means.residual(i, j, without.get(i, j)?.value);
    let same_way = |j: usize| Some((residual(rows.0, j)? - residual(rows.1, j)?) / as_read);
    let formed = (0..grid.columns()).any(|j| same_way(j).is_some_and(|share| share >= FORM_SHARE))
        || (0..grid.rows()).any(|i| {
            residual(i, column).is_some_and(|residual| residual.abs() >= (FORM_SHARE * change).max(noise))
        });
    (misfit <= MISFIT.max(MISFIT_SHARE * evidence / variance) && !formed).then(|| Swap {
        rows,
        columns: vec![column],
        strength: change / expanded.max(means.deviation),
        drop: evidence,
    })
}

fn swap_of_several(grid: &Grid, rows: (usize, usize), columns: &[usize]) -> Option<Swap> {
    let mut without = grid.clone();
    for &column in columns {
        without.remove(rows.0, column);
        without.remove(rows.1, column);
    }
    let kept = without.count_in_row(rows.0).min(without.count_in_row(rows.1));
    if kept < 2 || kept < columns.len() {
        return None;
    }
    let fit = Fit::of(&without);
    let scatter = fit.scatter(&without);
    let mut swap = Swap { rows, columns: columns.to_vec(), strength: f64::INFINITY, drop: 0.0 };
    for &column in columns {
        let Undone { strength, drop } = undone(grid, &fit, scatter, rows, column)?;
        swap.strength = swap.strength.min(strength);
        swap.drop += drop;
        let change = strength
            * scatter.max(grid.get(rows.0, column)?.expanded).max(grid.get(rows.1, column)?.expanded);
        let form = |i: usize, j: usize| {
            let residual = without.get(i, j).and_then(|other| fit.residual(i, j, other.value));
            residual.is_some_and(|residual| residual.abs() >= SEVERAL_FORM_SHARE * change)
        };
        let in_rows = (0..grid.columns()).any(|j| form(rows.0, j) || form(rows.1, j));
        if in_rows || (0..grid.rows()).any(|i| form(i, column)) {
            return None;
        }
    }
    Some(swap)
}

/// One of several columns, undone.
struct Undone {
    /// Half the change by the exchange, in t.
    strength: f64,
    drop: f64,
}

/// `None` when no exchange explains the column.
fn undone(grid: &Grid, fit: &Fit, scatter: f64, rows: (usize, usize), column: usize) -> Option<Undone> {
    let (a, b) = (grid.get(rows.0, column)?, grid.get(rows.1, column)?);
    let allowed = a.expanded.max(b.expanded).max(scatter);
    let difference = fit.row(rows.0)? - fit.row(rows.1)?;
    let as_read = a.value - b.value - difference;
    let exchanged = b.value - a.value - difference;
    // Where the rest of the column is known, both must also lie about it as a pair: one wrong digit would not.
    let pair_off = match (fit.residual(rows.0, column, a.value), fit.residual(rows.1, column, b.value)) {
        (Some(first), Some(second)) => 0.5 * (first + second).abs(),
        _ => 0.5 * exchanged.abs(),
    };
    let fits = as_read.abs() > 2.0 * LEAST_APART * allowed
        && exchanged.abs() <= (SEVERAL_LEFT * allowed).max(SEVERAL_LEFT_SHARE * as_read.abs())
        && pair_off <= SEVERAL_PAIR_SHIFT * as_read.abs();
    fits.then(|| Undone {
        strength: 0.5 * as_read.abs() / allowed,
        drop: 0.5 * (as_read * as_read - exchanged * exchanged),
    })
}
