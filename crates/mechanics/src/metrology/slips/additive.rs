//! Row effect + column effect by medians (Tukey's median polish), robust against single wrong cells.

use super::Cell;

/// Rectangular table; cells leave it as they are suspected.
#[derive(Clone)]
pub(super) struct Grid {
    cells: Vec<Option<Cell>>,
    rows: usize,
    columns: usize,
}

impl Grid {
    pub(super) fn of(rows: &[Vec<Option<Cell>>]) -> Self {
        let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
        let usable =
            |cell: &Cell| cell.value.is_finite() && cell.expanded.is_finite() && cell.expanded >= 0.0;
        let cells = rows
            .iter()
            .flat_map(|row| (0..columns).map(|j| row.get(j).copied().flatten().filter(usable)))
            .collect();
        Self { cells, rows: rows.len(), columns }
    }

    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    pub(super) fn columns(&self) -> usize {
        self.columns
    }

    pub(super) fn get(&self, row: usize, column: usize) -> Option<Cell> {
        self.cells[row * self.columns + column]
    }

    pub(super) fn remove(&mut self, row: usize, column: usize) {
        self.cells[row * self.columns + column] = None;
    }

    /// The cells whose residual is no larger.
    fn within(&self, fit: &Fit, most: f64) -> Self {
        let mut kept = self.clone();
        for (i, j) in self.places() {
            let residual = self.get(i, j).and_then(|cell| fit.residual(i, j, cell.value));
            if residual.is_none_or(|residual| residual.abs() > most) {
                kept.remove(i, j);
            }
        }
        kept
    }

    pub(super) fn places(&self) -> impl Iterator<Item = (usize, usize)> + use<> {
        let columns = self.columns;
        (0..self.rows).flat_map(move |i| (0..columns).map(move |j| (i, j)))
    }

    pub(super) fn count_in_row(&self, row: usize) -> usize {
        (0..self.columns).filter(|&j| self.get(row, j).is_some()).count()
    }

    pub(super) fn count_in_column(&self, column: usize) -> usize {
        (0..self.rows).filter(|&i| self.get(i, column).is_some()).count()
    }
}

/// Median, sorting in place; the mean of the middle two of an even number.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    let n = values.len();
    if n == 0 {
        return None;
    }
    values.sort_unstable_by(f64::total_cmp);
    Some(if n % 2 == 1 { values[n / 2] } else { 0.5 * (values[n / 2 - 1] + values[n / 2]) })
}

/// How many free readings the stated uncertainty counts as when the scatter is estimated.
const STATED_WEIGHT: f64 = 4.0;

/// A fitted model: cell = row + column.
pub(super) struct Fit {
    row: Vec<Option<f64>>,
    column: Vec<Option<f64>>,
}

impl Fit {
    pub(super) fn of(grid: &Grid) -> Self {
        let mut fit = Self { row: vec![None; grid.rows], column: vec![None; grid.columns] };
        let mut work = Vec::with_capacity(grid.rows.max(grid.columns));
        for _ in 0..8 {
            let mut moved = 0.0_f64;
            for i in 0..grid.rows {
                work.clear();
                let cells = (0..grid.columns).filter_map(|j| Some((j, grid.get(i, j)?.value)));
                work.extend(cells.map(|(j, value)| value - fit.column[j].unwrap_or(0.0)));
                moved = moved.max(change(&mut fit.row[i], median(&mut work)));
            }
            for j in 0..grid.columns {
                work.clear();
                let cells = (0..grid.rows).filter_map(|i| Some((i, grid.get(i, j)?.value)));
                work.extend(cells.map(|(i, value)| value - fit.row[i].unwrap_or(0.0)));
                moved = moved.max(change(&mut fit.column[j], median(&mut work)));
            }
            if moved == 0.0 {
                break;
            }
        }
        fit
    }

    pub(super) fn row(&self, row: usize) -> Option<f64> {
        self.row[row]
    }

    pub(super) fn predicted(&self, row: usize, column: usize) -> Option<f64> {
        Some(self.row[row]? + self.column[column]?)
    }

    /// Value less model.
    pub(super) fn residual(&self, row: usize, column: usize, value: f64) -> Option<f64> {
        Some(value - self.predicted(row, column)?)
    }

    /// Scatter of the readings about the model as a standard deviation, robust.
    ///
    /// Medians fit as many cells exactly as there are effects; the residuals that are left free are the
    /// largest ones, and the median of those, times 1.4826, stands for the scatter. A small table leaves so few free
    /// that the stated uncertainty is pooled in, counted as [`STATED_WEIGHT`] free readings.
    pub(super) fn scatter(&self, grid: &Grid) -> f64 {
        let cells = || grid.places().filter_map(|(i, j)| Some((i, j, grid.get(i, j)?)));
        let mut sizes: Vec<f64> =
            cells().filter_map(|(i, j, cell)| Some(self.residual(i, j, cell.value)?.abs())).collect();
        let mut stated: Vec<f64> = cells().map(|(_, _, cell)| 0.5 * cell.expanded).collect();
        let effects = self.row.iter().chain(&self.column).flatten().count();
        let free = (sizes.len() + 1).saturating_sub(effects).min(sizes.len());
        sizes.sort_unstable_by(f64::total_cmp);
        let start = sizes.len() - free;
        let seen = 1.4826 * median(&mut sizes[start..]).unwrap_or(0.0);
        let stated = median(&mut stated).unwrap_or(0.0);
        let weight = free as f64;
        ((weight * seen * seen + STATED_WEIGHT * stated * stated) / (weight + STATED_WEIGHT)).sqrt()
    }
}

/// Greatest residual from the medians that still counts in a least-squares fit, in standard deviations.
const KEPT: f64 = 5.0;
/// Times that the outliers are chosen.
const ROUNDS: usize = 2;
/// Sweeps of the least-squares fit; a complete table needs one.
const SWEEPS: usize = 30;

/// Row effect + column effect by least squares over the cells that medians do not call outliers.
pub(super) struct Means {
    fit: Fit,
    /// Standard deviation of one reading about the model, form included; never below half the stated U.
    pub(super) deviation: f64,
}

impl Means {
    /// Fits every cell of the grid but those far off the medians.
    pub(super) fn of(grid: &Grid) -> Self {
        let mut fit = Fit::of(grid);
        let mut stated: Vec<f64> =
            grid.places().filter_map(|(i, j)| Some(0.5 * grid.get(i, j)?.expanded)).collect();
        let stated = median(&mut stated).unwrap_or(0.0);
        let mut deviation = fit.scatter(grid);
        // What the medians call an outlier may be none once the scatter is known better.
        for _ in 0..ROUNDS {
            let kept = grid.within(&fit, KEPT * deviation);
            for _ in 0..SWEEPS {
                if fit.sweep(&kept) <= 1e-3 * deviation {
                    break;
                }
            }
            deviation = fit.deviation(&kept, stated).max(stated);
        }
        Self { fit, deviation }
    }

    /// Value less model.
    pub(super) fn residual(&self, row: usize, column: usize, value: f64) -> Option<f64> {
        self.fit.residual(row, column, value)
    }

    /// Effect of a row.
    pub(super) fn row(&self, row: usize) -> Option<f64> {
        self.fit.row[row]
    }
}

impl Fit {
    /// One pass of means over rows, then columns; tells the largest move.
    fn sweep(&mut self, grid: &Grid) -> f64 {
        let mut moved = 0.0_f64;
        for i in 0..grid.rows {
            let cells = (0..grid.columns).filter_map(|j| Some(grid.get(i, j)?.value - self.column[j]?));
            if let Some(mean) = mean(cells) {
                moved = moved.max(change(&mut self.row[i], Some(mean)));
            }
        }
        for j in 0..grid.columns {
            let cells = (0..grid.rows).filter_map(|i| Some(grid.get(i, j)?.value - self.row[i]?));
            if let Some(mean) = mean(cells) {
                moved = moved.max(change(&mut self.column[j], Some(mean)));
            }
        }
        moved
    }

    /// Residual standard deviation, with the stated one pooled in as [`STATED_WEIGHT`] free readings.
    fn deviation(&self, grid: &Grid, stated: f64) -> f64 {
        let (mut squares, mut count) = (0.0, 0_usize);
        for (i, j) in grid.places() {
            if let Some(residual) = grid.get(i, j).and_then(|cell| self.residual(i, j, cell.value)) {
                squares += residual * residual;
                count += 1;
            }
        }
        let effects = self.row.iter().chain(&self.column).flatten().count();
        let free = (count + 1).saturating_sub(effects) as f64;
        ((squares + STATED_WEIGHT * stated * stated) / (free + STATED_WEIGHT)).sqrt()
    }
}

fn mean(values: impl Iterator<Item = f64>) -> Option<f64> {
    let (sum, count) = values.fold((0.0, 0_usize), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / count as f64)
}

/// Stores the new effect and tells how far it moved.
fn change(effect: &mut Option<f64>, to: Option<f64>) -> f64 {
    let from = core::mem::replace(effect, to);
    match (from, to) {
        (Some(from), Some(to)) => (from - to).abs(),
        (None, None) => 0.0,
        _ => f64::INFINITY,
    }
}
