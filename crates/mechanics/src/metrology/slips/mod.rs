//! Slips of the pen among readings: a wrong unit, a decimal point, a digit, two cylinders exchanged.
//!
//! A table has a row for each part or cylinder and a column for each place on it. What a good reading should be is
//! learned from the others: row effect + column effect, fitted by medians, so that a worn journal (a whole row)
//! or a wear pattern (a whole column) is not touched. A suspicion is a question to the reader, never a
//! correction: nothing is dropped or converted here.
//!
//! # What can be found, and when
//! U is the cell's expanded uncertainty, s the standard deviation of the table's own readings about its model (least squares
//! over the cells that medians do not call outliers, U/2 pooled in, never less than U/2), so that form counts as noise:
//! - **Unit and decimal point** ([`Kind::Inches`] … [`Kind::Tenth`]): always, where a nominal is given, or where
//!   three or more readings are there and more than half of them lie within a factor 1.6 of their median, that median is
//!   above 5 U, and the true size is within that factor too.
//! - **Exchanged cylinders** ([`Kind::Swapped`]): always in every trial of `docs/physics/metrology.md`, where both rows have at
//!   least two readings outside the column in question, the true sizes are more than 6 U apart and s does not exceed 0.6 U; at s = 1.1 U about one in 10,000 is missed.
//!   Smaller differences are found less often, none below 3.5 U. Several columns exchanged between the same two rows are
//!   found while they are not the majority, with a closer fit asked for, since uneven wear of one level looks like that.
//! - **A digit** ([`Kind::Digit`], [`Kind::Transposed`]): three rows and three columns at least; the reading stands
//!   more than 4.5 U and four standard deviations of such a difference from the model, no other reading of its row or
//!   column does so by two fifths as much and beyond noise (two readings that agree are form: a taper seen in both
//!   directions, a cap off line), and one wrong digit explains it. So two slips of like size in one row or column hide
//!   each other. A wrong digit that brings the reading to where an exchange would have is asked about as an exchange.
//! - **Out of all proportion** ([`Kind::Unexplained`]): a factor 5 or more from what the readings of its kind have in common
//!   (found as for units), or from the range that is given where they say nothing, and no slip explains it; a factor 5 above a nominal
//!   without a plausible half-width; or outside the plausible half-width about the nominal, where both are given.
//!
//! What was probably meant is chosen last, among all that one slip makes of the reading (units, decimal point, a digit wrong,
//! missing or too many, neighbours exchanged): the one nearest to what the others say. One farther from them than another is never offered, and none at all
//! where even the nearest stands outside their scatter.
//!
//! - **Apart from its row** ([`Kind::Apart`]): at least two other readings of its row agree, within a fifth of how far it stands
//!   from them, and that is more than [`Table::alike`] and more than 10 U. No other row is needed for it, and no slip that explains it.
//!
//! A single true deviation above 4.5 U that nothing else in the row confirms looks like a digit and is asked about.

mod additive;
mod digits;
mod exchanged;

use additive::{Fit, Grid, Means};

/// One reading as typed, corrected for nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Value, in the unit of the table.
    pub value: f64,
    /// Expanded uncertainty U (k = 2), same unit.
    pub expanded: f64,
}

/// Which unit the readings were typed in: it decides what a confusion of units would look like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TypedIn {
    /// Millimetres.
    Millimetres,
    /// Inches.
    Inches,
    /// Anything else (volume, mass, hardness): only the decimal point is tried.
    Other,
}

/// A table of readings of one kind.
#[derive(Clone, Copy, Debug)]
pub struct Table<'a> {
    /// Rows are parts or cylinders, columns are places; a missing reading is `None`, a short row lacks its last ones.
    pub rows: &'a [Vec<Option<Cell>>],
    /// Unit as typed. The values themselves may be in any one unit.
    pub typed_in: TypedIn,
    /// Last digit as typed (0.001 mm), in the unit of the values; 0 when digits must not be tried.
    pub step: f64,
    /// Nominal size, if known.
    pub nominal: Option<f64>,
    /// How far from the nominal a reading may plausibly lie.
    pub plausible: Option<f64>,
    /// What such a reading is about where neither a nominal nor the others say it: the least and the greatest that is allowed
    /// (0 and infinity where one side is open). Only a factor 5 outside it means anything.
    pub range: Option<(f64, f64)>,
    /// How far a reading may stand from the others of its row before it is asked about, whatever explains it; `None` where the
    /// readings of a row are not alike.
    pub alike: Option<f64>,
    /// For each row the rows that it may be exchanged with; `None` for any.
    pub swap_with: Option<&'a [Vec<usize>]>,
}

/// What the slip looks like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Typed in inches among millimetres.
    Inches,
    /// Typed in millimetres among inches.
    Millimetres,
    /// Typed in thousandths of an inch (among millimetres or inches).
    Thousandths,
    /// Typed in micrometres among millimetres.
    Micrometres,
    /// Ten times too large: a decimal point.
    TenTimes,
    /// Ten times too small: a decimal point.
    Tenth,
    /// A hundred or a thousand times too large or too small: the decimal point by several places.
    SeveralPlaces,
    /// One digit wrong.
    Digit,
    /// Two neighbouring digits exchanged.
    Transposed,
    /// Exchanged with the reading of the same column in another row.
    Swapped {
        /// That row.
        other_row: usize,
    },
    /// Far from the other readings of its row, which agree, and no slip explains it.
    Apart,
    /// Outside what is plausible, and no slip explains it.
    Unexplained,
}

/// A reading to ask about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suspicion {
    /// Its row.
    pub row: usize,
    /// Its column.
    pub column: usize,
    /// What it looks like.
    pub kind: Kind,
    /// What was probably meant, in the unit of the values.
    pub likely_value: f64,
    /// How far the reading stands from what the others say, in units of the larger of U and s (see the module's text).
    pub strength: f64,
}

/// How far from what the model says a lone reading is asked about: in U …
const DIGIT_THRESHOLD: f64 = 4.5;
/// … and in standard deviations of the difference between a reading and what all others say of it.
const DIGIT_IN_NOISE: f64 = 4.0;
/// How well the corrected digit must then agree, in U and in those standard deviations.
const DIGIT_AGREEMENT: f64 = 2.5;
/// Another deviation in the row or column of this share makes both of them form …
const CONFIRMED_SHARE: f64 = 0.4;
/// … if it is beyond what noise gives, in the same standard deviations.
const CONFIRMED_IN_NOISE: f64 = 3.5;
/// Greatest ratio between readings of one kind.
const SAME_KIND: f64 = 1.6;
/// Ratio from which a reading is out of all proportion, whatever explains it.
const OUT_OF_PROPORTION: f64 = 5.0;
/// A factor is so much more likely than a digit that happens to fit that it may be this much less near.
const PLAIN: f64 = 2.0;
/// A lone deviation up to this many times what a corrected one must agree to stays a question about a digit.
const LONE: f64 = 10.0;
/// Where a reading has no row or column to be compared with: how far from the median of all a corrected one may stand, in
/// standard deviations of them …
const NEAR_ALL: f64 = 4.0;
/// … and at least this share of it: parts differ.
const NEAR_SHARE: f64 = 0.005;

/// How far, in U, a reading must stand from the others of its row to be asked about whatever explains it …
const APART_IN_U: f64 = 10.0;
/// … and within what share of that those others agree.
const AGREEING_SHARE: f64 = 0.2;

/// All readings of a table that look like slips, by row and column. A healthy table gives an empty list.
///
/// Values or uncertainties that are not finite count as missing.
pub fn suspicions(table: &Table<'_>) -> Vec<Suspicion> {
    let mut grid = Grid::of(table.rows);
    let mut found = Vec::new();
    wrong_scales(table, &mut grid, &mut found);
    loop {
        let before = found.len();
        exchanged::find(table, &mut grid, &mut found);
        wrong_digits(table, &mut grid, &mut found);
        if found.len() == before {
            break;
        }
    }
    apart(table, &mut grid, &mut found);
    implausible(table, &grid, &mut found);
    for suspicion in &mut found {
        if let Some(cell) = table.rows[suspicion.row][suspicion.column] {
            offer_nearest(table, &grid, cell, suspicion);
        }
    }
    found.sort_by_key(|suspicion| (suspicion.row, suspicion.column));
    found
}

/// Factors that undo a confusion.
fn scale_slips(typed_in: TypedIn) -> &'static [(Kind, f64)] {
    match typed_in {
        TypedIn::Millimetres => &[
            (Kind::TenTimes, 0.1),
            (Kind::Tenth, 10.0),
            (Kind::SeveralPlaces, 0.01),
            (Kind::SeveralPlaces, 100.0),
            (Kind::SeveralPlaces, 1000.0),
            (Kind::Inches, 25.4),
            (Kind::Millimetres, 1.0 / 25.4),
            (Kind::Thousandths, 0.0254),
            (Kind::Micrometres, 0.001),
        ],
        TypedIn::Inches => &[
            (Kind::TenTimes, 0.1),
            (Kind::Tenth, 10.0),
            (Kind::SeveralPlaces, 0.01),
            (Kind::SeveralPlaces, 100.0),
            (Kind::SeveralPlaces, 1000.0),
            (Kind::Millimetres, 1.0 / 25.4),
            (Kind::Inches, 25.4),
            (Kind::Thousandths, 0.001),
        ],
        TypedIn::Other => &[
            (Kind::TenTimes, 0.1),
            (Kind::Tenth, 10.0),
            (Kind::SeveralPlaces, 0.01),
            (Kind::SeveralPlaces, 100.0),
            (Kind::SeveralPlaces, 0.001),
            (Kind::SeveralPlaces, 1000.0),
        ],
    }
}

/// A unit and a decimal point at once: asked for only where the others are known well enough to tell it from chance.
fn double_slips(typed_in: TypedIn) -> &'static [(Kind, f64)] {
    match typed_in {
        TypedIn::Millimetres => &[(Kind::Inches, 2.54), (Kind::Inches, 254.0)],
        TypedIn::Inches => &[(Kind::Millimetres, 1.0 / 2.54), (Kind::Millimetres, 1.0 / 254.0)],
        TypedIn::Other => &[],
    }
}

fn wrong_scales(table: &Table<'_>, grid: &mut Grid, found: &mut Vec<Suspicion>) {
    let usual = usual_size(table, grid);
    let range = table.range.filter(|(least, most)| *least >= 0.0 && least <= most && *most > 0.0);
    // Nearest to a value of what such readings are; inside the range everything is as it should be.
    let usual_at = |value: f64| usual.or_else(|| range.map(|(least, most)| value.clamp(least, most)));
    for (row, column) in grid.places() {
        let Some(cell) = grid.get(row, column) else { continue };
        let Some(usual) = usual_at(cell.value).filter(|usual| *usual != 0.0) else { continue };
        let ratio = cell.value / usual;
        if ratio < 0.0 || (1.0 / 1.8..=1.8).contains(&ratio) {
            continue;
        }
        let off = |factor: f64| {
            let corrected = ratio_to(cell.value * factor, usual_at(cell.value * factor).unwrap_or(usual));
            corrected.max(1.0 / corrected)
        };
        let best = scale_slips(table.typed_in).iter().min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
        let known = best.filter(|slip| ratio > 0.0 && off(slip.1) <= SAME_KIND);
        // About a nominal the half-width says what is plausible. Where there is none (a clearance, a shim), only what is far too large is
        // no such thing.
        let out = match (table.nominal, table.plausible) {
            (None, _) => !(1.0 / OUT_OF_PROPORTION..OUT_OF_PROPORTION).contains(&ratio),
            (Some(_), None) => ratio >= OUT_OF_PROPORTION,
            (Some(_), Some(_)) => false,
        };
        let (kind, likely_value) = match known {
            Some(&(kind, factor)) => (kind, cell.value * factor),
            None if out => (Kind::Unexplained, usual),
            None => continue,
        };
        let strength =
            (cell.value - usual).abs() / cell.expanded.max(0.5 * table.step).max(1e-9 * usual.abs());
        found.push(Suspicion { row, column, kind, likely_value, strength });
        grid.remove(row, column);
    }
}

fn ratio_to(value: f64, usual: f64) -> f64 {
    if usual == 0.0 { f64::INFINITY } else { value / usual }
}

/// Of all that one slip makes of the reading, the one nearest to what the others say; none that stands outside their scatter.
fn offer_nearest(table: &Table<'_>, grid: &Grid, cell: Cell, suspicion: &mut Suspicion) {
    if matches!(suspicion.kind, Kind::Swapped { .. } | Kind::Apart) {
        return;
    }
    let known = expectation(table, grid, suspicion.row, suspicion.column, cell);
    let Some((expected, near)) = known.filter(|(e, n)| e.is_finite() && n.is_finite()) else { return };
    let off = |value: f64| (value - expected).abs();
    let scaled = |slips: &[(Kind, f64)]| -> Vec<(Kind, f64)> {
        slips.iter().map(|&(kind, factor)| (kind, cell.value * factor)).collect()
    };
    let nearest = |list: Vec<(Kind, f64)>| list.into_iter().min_by(|a, b| off(a.1).total_cmp(&off(b.1)));
    let scales = scaled(scale_slips(table.typed_in));
    // What was rounded to the step as typed is off by more once it is enlarged.
    let rounding = |value: f64| 0.5 * table.step.max(0.0) * (value / cell.value).abs();
    let of_scales =
        nearest(scales.clone()).filter(|(_, value)| off(*value) <= PLAIN * near + rounding(*value));
    let of_all = || {
        let digits =
            if table.step > 0.0 { digits::candidates(cell.value, table.step, expected) } else { Vec::new() };
        // Where two lead to one value the simpler is named.
        nearest([scales, scaled(double_slips(table.typed_in)), digits].concat())
    };
    let is_digit = matches!(suspicion.kind, Kind::Digit | Kind::Transposed);
    let is_scale = !is_digit && suspicion.kind != Kind::Unexplained;
    if let Some(chosen) = of_scales.filter(|_| !is_digit) {
        (suspicion.kind, suspicion.likely_value) = chosen;
        return;
    }
    let (kind, likely_value) = match of_all() {
        Some(chosen) if off(chosen.1) <= near => chosen,
        // A part that differs from all others, with a slip on top of it: nothing is nearer, and the factor is plain.
        Some(chosen) if chosen.1.to_bits() == suspicion.likely_value.to_bits() && is_scale => chosen,
        _ if is_digit && off(cell.value) <= LONE * near => return,
        _ => (Kind::Unexplained, expected),
    };
    suspicion.kind = kind;
    suspicion.likely_value = likely_value;
}

/// What the others say of a reading, and how near to it a corrected one must come. `None` where they say nothing.
fn expectation(table: &Table<'_>, grid: &Grid, row: usize, column: usize, cell: Cell) -> Option<(f64, f64)> {
    let mut others = grid.clone();
    others.remove(row, column);
    let (in_row, in_column) = (others.count_in_row(row), others.count_in_column(column));
    if table.step > 0.0 && in_row >= 2 && in_column >= 2 {
        let means = Means::of(&others);
        let expected = cell.value - means.residual(row, column, cell.value)?;
        let noise = means.deviation * ((1.0 + 1.0 / in_row as f64) * (1.0 + 1.0 / in_column as f64)).sqrt();
        return Some((expected, DIGIT_AGREEMENT * cell.expanded.max(noise)));
    }
    let mut values: Vec<f64> = others.places().filter_map(|(i, j)| Some(others.get(i, j)?.value)).collect();
    if values.len() < 3 {
        return table.nominal.zip(table.plausible);
    }
    let expected = additive::median(&mut values)?;
    let mut apart: Vec<f64> = values.iter().map(|value| (value - expected).abs()).collect();
    let scatter = 1.4826 * additive::median(&mut apart)?;
    Some((expected, (NEAR_ALL * cell.expanded.max(scatter)).max(NEAR_SHARE * expected.abs())))
}

/// The size that most readings have, or the nominal; `None` where nothing can be said.
fn usual_size(table: &Table<'_>, grid: &Grid) -> Option<f64> {
    if let Some(nominal) = table.nominal.filter(|nominal| nominal.is_finite() && *nominal != 0.0) {
        return Some(nominal);
    }
    let mut cells: Vec<Cell> = grid.places().filter_map(|(i, j)| grid.get(i, j)).collect();
    if cells.len() < 3 {
        return None;
    }
    let mut values: Vec<f64> = cells.iter().map(|cell| cell.value).collect();
    let usual = additive::median(&mut values)?;
    cells.retain(|cell| {
        let ratio = cell.value / usual;
        (1.0 / SAME_KIND..=SAME_KIND).contains(&ratio)
    });
    let mut expanded: Vec<f64> = cells.iter().map(|cell| cell.expanded).collect();
    let typical = additive::median(&mut expanded)?;
    (2 * cells.len() > values.len() && usual.abs() > 5.0 * typical).then_some(usual)
}

fn wrong_digits(table: &Table<'_>, grid: &mut Grid, found: &mut Vec<Suspicion>) {
    if table.step <= 0.0 || !table.step.is_finite() {
        return;
    }
    let mut judged = vec![false; grid.rows() * grid.columns()];
    while let Some(lone) = farthest_reading(grid, &judged) {
        judged[lone.row * grid.columns() + lone.column] = true;
        if !lone.stands_alone {
            continue;
        }
        let near = lone.near;
        if let Some((kind, likely_value)) = digits::explain(lone.value, table.step, lone.predicted, near) {
            let strength = DIGIT_THRESHOLD * (lone.value - lone.predicted).abs() / lone.allowed;
            found.push(Suspicion { row: lone.row, column: lone.column, kind, likely_value, strength });
            grid.remove(lone.row, lone.column);
        }
    }
}

struct Lone {
    row: usize,
    column: usize,
    value: f64,
    predicted: f64,
    /// Half the deviation that is asked about.
    allowed: f64,
    /// How well a corrected digit must agree.
    near: f64,
    stands_alone: bool,
}

/// The reading that stands farthest from what all the others say, if beyond the threshold.
fn farthest_reading(grid: &Grid, judged: &[bool]) -> Option<Lone> {
    let fit = Fit::of(grid);
    let mut farthest: Option<(f64, Lone)> = None;
    for (row, column) in grid.places() {
        let Some(cell) = grid.get(row, column).filter(|_| !judged[row * grid.columns() + column]) else {
            continue;
        };
        let Some(residual) = fit.residual(row, column, cell.value) else { continue };
        let worth_a_look = residual.abs() > 2.0 * cell.expanded;
        if !worth_a_look || grid.count_in_row(row) < 3 || grid.count_in_column(column) < 3 {
            continue;
        }
        let Some(lone) = against_the_others(grid, row, column, cell) else { continue };
        let size = (lone.value - lone.predicted).abs() / lone.allowed;
        if size > 1.0 && farthest.as_ref().is_none_or(|known| size > known.0) {
            farthest = Some((size, lone));
        }
    }
    farthest.map(|found| found.1)
}

fn against_the_others(grid: &Grid, row: usize, column: usize, cell: Cell) -> Option<Lone> {
    let mut without = grid.clone();
    without.remove(row, column);
    let means = Means::of(&without);
    let deviation = means.residual(row, column, cell.value)?;
    let (in_row, in_column) = (without.count_in_row(row) as f64, without.count_in_column(column) as f64);
    let noise = means.deviation * ((1.0 + 1.0 / in_row) * (1.0 + 1.0 / in_column)).sqrt();
    let confirming = (CONFIRMED_SHARE * deviation.abs()).max(CONFIRMED_IN_NOISE * noise);
    let confirmed = |i: usize, j: usize| {
        let residual = without.get(i, j).and_then(|other| means.residual(i, j, other.value));
        residual.is_some_and(|residual| residual.abs() >= confirming)
    };
    let stands_alone =
        !(0..grid.columns()).any(|j| confirmed(row, j)) && !(0..grid.rows()).any(|i| confirmed(i, column));
    Some(Lone {
        row,
        column,
        value: cell.value,
        predicted: cell.value - deviation,
        allowed: (DIGIT_THRESHOLD * cell.expanded).max(DIGIT_IN_NOISE * noise),
        near: DIGIT_AGREEMENT * cell.expanded.max(noise),
        stands_alone,
    })
}

/// Readings that are still there and stand far from the others of their row, where those agree.
fn apart(table: &Table<'_>, grid: &mut Grid, found: &mut Vec<Suspicion>) {
    let Some(alike) = table.alike else { return };
    for (row, column) in grid.places() {
        let Some(cell) = grid.get(row, column) else { continue };
        let mut others: Vec<f64> = (0..grid.columns())
            .filter(|j| *j != column)
            .filter_map(|j| grid.get(row, j).map(|other| other.value))
            .collect();
        let Some(usual) = additive::median(&mut others).filter(|_| others.len() >= 2) else { continue };
        // The median has sorted them.
        let spread = others[others.len() - 1] - others[0];
        let away = (cell.value - usual).abs();
        if away > alike.max(APART_IN_U * cell.expanded) && spread <= AGREEING_SHARE * away {
            let strength = away / cell.expanded.max(0.5 * table.step).max(1e-9 * usual.abs());
            found.push(Suspicion { row, column, kind: Kind::Apart, likely_value: usual, strength });
            grid.remove(row, column);
        }
    }
}

/// Readings that are still there and lie outside the plausible range about the nominal.
fn implausible(table: &Table<'_>, grid: &Grid, found: &mut Vec<Suspicion>) {
    let (Some(nominal), Some(half_width)) = (table.nominal, table.plausible) else { return };
    for (row, column) in grid.places() {
        let Some(cell) = grid.get(row, column) else { continue };
        let deviation = (cell.value - nominal).abs();
        if deviation <= half_width + cell.expanded {
            continue;
        }
        let fit = Fit::of(grid);
        let usual = fit.predicted(row, column).filter(|usual| (usual - nominal).abs() <= half_width);
        let explained = (table.step > 0.0)
            .then(|| digits::explain(cell.value, table.step, usual.unwrap_or(nominal), half_width))
            .flatten();
        let (kind, likely_value) = explained.unwrap_or((Kind::Unexplained, usual.unwrap_or(nominal)));
        let strength = deviation / half_width.max(cell.expanded).max(1e-300);
        found.push(Suspicion { row, column, kind, likely_value, strength });
    }
}
