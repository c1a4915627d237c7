//! Two rows exchanged in a column: undo it, and everything fits again.

use super::additive::{Fit, Grid};
use super::{Kind, Suspicion, Table};

/// Half of the least change by an exchange, in t.
const THRESHOLD: f64 = 3.5;
/// Greatest shift of both readings together, as a share of the change: one wrong reading has ½, an exchange 0.
const PAIR_SHIFT: f64 = 0.25;

/// How closely an undone exchange must fit.
struct Closeness {
    /// Greatest disagreement left, in t.
    left: f64,
    /// The same for a large change, as a share of it.
    left_share: f64,
    /// Another deviation in those rows or that column of this share of the change makes all of it form.
    form_share: f64,
}

const ONE_COLUMN: Closeness = Closeness { left: THRESHOLD, left_share: 0.25, form_share: 0.6 };
/// Several columns at once are what uneven wear of one level looks like too: a closer fit is asked for.
const SEVERAL_COLUMNS: Closeness = Closeness { left: 2.5, left_share: 0.1, form_share: 0.3 };

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
    strength: f64,
    /// Disagreement after undoing, over that before.
    rest: f64,
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
        .min_by(|a, b| a.rest.total_cmp(&b.rest))
}

/// The columns in which two rows look exchanged, all together or the one that fits best.
fn swap_between(grid: &Grid, fit: &Fit, rows: (usize, usize)) -> Option<Swap> {
    // A cheap look first: medians of three or more readings hardly move with one of them.
    let apart = |column: &usize| {
        let (a, b) = (grid.get(rows.0, *column)?, grid.get(rows.1, *column)?);
        let apart = fit.residual(rows.0, *column, a.value)? - fit.residual(rows.1, *column, b.value)?;
        Some(apart.abs() > THRESHOLD * a.expanded.max(b.expanded))
    };
    let columns: Vec<usize> = (0..grid.columns()).filter(|column| apart(column) == Some(true)).collect();
    let single = |column: &usize| swap_of(grid, rows, &[*column]);
    match columns.len() {
        0 => None,
        1 => single(&columns[0]),
        _ => swap_of(grid, rows, &columns)
            .or_else(|| columns.iter().filter_map(single).min_by(|a, b| a.rest.total_cmp(&b.rest))),
    }
}

fn swap_of(grid: &Grid, rows: (usize, usize), columns: &[usize]) -> Option<Swap> {
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
    let closeness = if columns.len() == 1 { ONE_COLUMN } else { SEVERAL_COLUMNS };
    let mut swap = Swap { rows, columns: columns.to_vec(), strength: f64::INFINITY, rest: 0.0 };
    for &column in columns {
        let (strength, rest) = undone(grid, &fit, scatter, rows, column, &closeness)?;
        swap.strength = swap.strength.min(strength);
        swap.rest = swap.rest.max(rest);
        let change = strength
            * scatter.max(grid.get(rows.0, column)?.expanded).max(grid.get(rows.1, column)?.expanded);
        let form = |i: usize, j: usize| {
            let residual = without.get(i, j).and_then(|other| fit.residual(i, j, other.value));
            residual.is_some_and(|residual| residual.abs() >= closeness.form_share * change)
        };
        let in_rows = (0..grid.columns()).any(|j| form(rows.0, j) || form(rows.1, j));
        if in_rows || (0..grid.rows()).any(|i| form(i, column)) {
            return None;
        }
    }
    Some(swap)
}

/// Half the change by the exchange in t, and what disagreement is left; `None` when no exchange explains it.
fn undone(
    grid: &Grid,
    fit: &Fit,
    scatter: f64,
    rows: (usize, usize),
    column: usize,
    closeness: &Closeness,
) -> Option<(f64, f64)> {
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
    let fits = as_read.abs() > 2.0 * THRESHOLD * allowed
        && exchanged.abs() <= (closeness.left * allowed).max(closeness.left_share * as_read.abs())
        && pair_off <= PAIR_SHIFT * as_read.abs();
    fits.then(|| (0.5 * as_read.abs() / allowed, (exchanged.abs() + pair_off) / as_read.abs()))
}
