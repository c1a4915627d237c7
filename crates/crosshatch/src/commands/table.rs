//! Plain tables that read well in a hundred columns: every column as wide as it needs, the last one wrapped.

use std::fmt::Write as _;

/// Columns of the whole table.
const WIDTH: usize = 100;
/// Columns that the last one gets at least.
const LEAST_LAST: usize = 24;

/// A table with a head.
#[derive(Debug)]
pub(super) struct Table {
    rows: Vec<Vec<String>>,
    /// Lines under a row, with the number of that row.
    beneath: Vec<(usize, String)>,
}

impl Table {
    pub(super) fn new(head: &[&str]) -> Self {
        Self { rows: vec![head.iter().map(|h| (*h).to_owned()).collect()], beneath: Vec::new() }
    }

    pub(super) fn row(&mut self, cells: impl IntoIterator<Item = String>) {
        self.rows.push(cells.into_iter().collect());
    }

    /// A text under the last row, set in behind the first column.
    pub(super) fn beneath(&mut self, text: String) {
        self.beneath.push((self.rows.len() - 1, text));
    }

    pub(super) fn is_empty(&self) -> bool {
        self.rows.len() < 2
    }

    /// The table as lines, each ended.
    pub(super) fn print(&self) -> String {
        let columns = self.rows.first().map_or(0, Vec::len);
        let widths: Vec<usize> = (0..columns.saturating_sub(1)).map(|c| self.width(c)).collect();
        let before: usize = widths.iter().map(|w| w + 2).sum();
        let last = WIDTH.saturating_sub(before).max(LEAST_LAST);
        let mut out = String::new();
        for (number, row) in self.rows.iter().enumerate() {
            line(&mut out, row, &widths, before, last);
            let lead = widths.first().map_or(0, |w| w + 2);
            for (_, text) in self.beneath.iter().filter(|(n, _)| *n == number) {
                for part in wrap(text, WIDTH - lead) {
                    let _ = writeln!(out, "{}{part}", " ".repeat(lead));
                }
            }
            if number == 0 {
                out.push_str(&"-".repeat(WIDTH.min(before + last)));
                out.push('\n');
            }
        }
        out
    }

    fn width(&self, column: usize) -> usize {
        self.rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    }
}

fn line(out: &mut String, row: &[String], widths: &[usize], before: usize, last: usize) {
    let mut start = String::new();
    for (cell, width) in row.iter().zip(widths) {
        start.push_str(cell);
        start.extend(std::iter::repeat_n(' ', width + 2 - cell.chars().count()));
    }
    let text = row.get(widths.len()).map_or("", String::as_str);
    for (number, part) in wrap(text, last).iter().enumerate() {
        let lead = if number == 0 { start.clone() } else { " ".repeat(before) };
        out.push_str(format!("{lead}{part}").trim_end());
        out.push('\n');
    }
}

/// Text in lines of at most `width` characters; never empty.
pub(super) fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ').filter(|w| !w.is_empty()) {
        let line = lines.last().map_or(0, |l| l.chars().count());
        if line > 0 && line + 1 + word.chars().count() > width {
            lines.push(String::new());
        }
        if let Some(line) = lines.last_mut() {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_line_is_wider_than_a_hundred_columns() {
        let mut table = Table::new(&["verdict", "subject", "action"]);
        table.row([
            "bad".to_owned(),
            "bore 2, taper".to_owned(),
            "hone to 89.105 mm over the full length ".repeat(9),
        ]);
        let text = table.print();
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH), "{text}");
        assert!(text.lines().count() > 4);
    }
}
