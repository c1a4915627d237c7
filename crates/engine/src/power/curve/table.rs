//! The table of a measured curve as loggers write it: title lines, headings, perhaps a line of units, then figures.

use super::CurveError;
use super::marks::{Marks, is_figure};
use crate::quantity::{Dimension, counted, find_unit, find_unit_of_any};

/// One line of the file.
struct Line {
    /// In the file, 1 first.
    number: u64,
    cells: Vec<String>,
}

impl Line {
    /// How many cells up to the last that holds something.
    fn filled(&self) -> usize {
        self.cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1)
    }

    fn is_figures(&self) -> bool {
        self.cells.iter().filter(|cell| is_figure(cell)).count() >= 2
    }

    /// At least two names, and no figure among them.
    fn could_be_headings(&self) -> bool {
        let named = self.cells.iter().filter(|cell| !cell.is_empty()).count();
        named >= 2 && !self.cells.iter().any(|cell| is_figure(cell))
    }

    /// Each cell is a unit, in brackets or without, or empty.
    fn is_units(&self) -> bool {
        let is_unit = |cell: &str| matches!(cell, "" | "-") || find_unit_of_any(cell).is_some();
        self.could_be_headings() && self.cells.iter().all(|cell| is_unit(bare(cell)))
    }
}

/// Headings and figures.
pub(super) struct Table {
    /// With the unit in brackets where it stands in a line of its own: "torque [lbf·ft]".
    pub headings: Vec<String>,
    lines: Vec<Line>,
    /// How the file as a whole marks decimals.
    pub marks: Marks,
}

impl Table {
    /// Reads a table: commas, semicolons (then with decimal commas or points) or tabs between the cells.
    ///
    /// # Errors
    /// [`CurveError::Empty`] when nothing stands in it, [`CurveError::Syntax`] when it is no CSV.
    pub fn read(text: &str) -> Result<Self, CurveError> {
        let text = text.trim_start_matches('\u{feff}');
        let delimiter = delimiter(text);
        let mut lines = lines(text, delimiter)?;
        let Some(headings) = heading_line(&lines) else { return Err(CurveError::Empty) };
        let mut below = lines.split_off(headings + 1);
        let mut headings = lines.pop().map(|line| line.cells).unwrap_or_default();
        if below.first().is_some_and(Line::is_units) {
            let units = below.remove(0).cells;
            for (heading, unit) in
                headings.iter_mut().zip(&units).filter(|(_, u)| !matches!(bare(u), "" | "-"))
            {
                *heading = format!("{heading} [{}]", bare(unit));
            }
        }
        // A decimal comma between commas makes two cells of one figure.
        if let Some(long) = below.iter().find(|line| line.filled() > headings.len()) {
            return Err(CurveError::Syntax {
                line: long.number,
                why: format!(
                    "{} cells under {}; a decimal comma needs semicolons or tabs between the cells",
                    long.filled(),
                    counted(headings.len(), "heading", "headings")
                ),
            });
        }
        let marks = match delimiter {
            b',' => Marks::of_points(),
            _ => Marks::of(below.iter().flat_map(|line| &line.cells).map(String::as_str)),
        };
        Ok(Self { headings, lines: below, marks })
    }

    /// How a column marks decimals.
    pub fn marks_of(&self, column: usize) -> Marks {
        Marks::of(self.lines.iter().filter_map(|line| line.cells.get(column)).map(String::as_str))
    }

    /// The lines of figures with their numbers in the file.
    pub fn lines(&self) -> impl Iterator<Item = (u64, &[String])> {
        self.lines.iter().map(|line| (line.number, line.cells.as_slice()))
    }

    /// The place of a column by its heading, with or without the unit that stands there in brackets.
    pub fn column(&self, name: &str) -> Option<usize> {
        let exact = self.headings.iter().position(|h| h == name);
        exact.or_else(|| self.headings.iter().position(|h| without_unit(h) == name))
    }
}

/// The unit of that dimension which a heading names, as it is written there: in brackets, or at its end (`torque_lbft`).
pub fn heading_unit(heading: &str, dimension: Dimension) -> Option<&str> {
    let known = |written: &&str| !written.is_empty() && find_unit(written, dimension).is_some();
    if let Some(open) = heading.rfind(['[', '(']) {
        let written = heading[open + 1..].trim_end_matches([']', ')', ' ']).trim();
        return Some(written).filter(known);
    }
    let starts = heading.char_indices().filter(|(_, c)| matches!(c, ' ' | '_' | ',' | '/'));
    std::iter::once(0).chain(starts.map(|(i, c)| i + c.len_utf8())).map(|i| heading[i..].trim()).find(known)
}

/// "torque" of "torque [lbf·ft]".
fn without_unit(heading: &str) -> &str {
    heading.rfind(['[', '(']).map_or(heading, |open| heading[..open].trim())
}

/// "N·m" of "[N·m]".
fn bare(cell: &str) -> &str {
    cell.trim_matches(['[', ']', '(', ')', ' '])
}

/// What stands between the cells: the sign that is in most of the lines.
fn delimiter(text: &str) -> u8 {
    let lines_with = |sign: char| text.lines().filter(|line| line.contains(sign)).count();
    let more =
        |sign: char| lines_with(sign) * 2 > text.lines().filter(|line| !line.trim().is_empty()).count();
    [';', '\t'].into_iter().find(|sign| more(*sign)).map_or(b',', |sign| sign as u8)
}

fn lines(text: &str, delimiter: u8) -> Result<Vec<Line>, CurveError> {
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut lines = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| CurveError::Syntax {
            line: error.position().map_or(1, csv::Position::line),
            why: error.to_string(),
        })?;
        let cells: Vec<String> = record.iter().map(str::to_owned).collect();
        if cells.iter().any(|cell| !cell.is_empty()) {
            lines.push(Line { number: record.position().map_or(0, csv::Position::line), cells });
        }
    }
    Ok(lines)
}

/// The last line of names above the first line of figures; a line of units is none where names stand above it.
fn heading_line(lines: &[Line]) -> Option<usize> {
    let figures = lines.iter().position(Line::is_figures).unwrap_or(lines.len());
    let above = &lines[..figures];
    let last = above.iter().rposition(Line::could_be_headings);
    let Some(last) = last else { return (!lines.is_empty()).then_some(0) };
    let names_above = above[..last].iter().rposition(Line::could_be_headings);
    match names_above {
        Some(names) if above[last].is_units() && above[names].cells.len() == above[last].cells.len() => {
            Some(names)
        }
        _ => Some(last),
    }
}
