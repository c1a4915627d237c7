//! Readings in a CSV beside the document, `<name>.readings.csv`: one line for each reading.
//!
//! Columns `feature,value,instrument,temperature,after,held,who,when,corrects,confirmed,note`, in any order; only the first two
//! must be there. Words of `held` are separated by spaces. `corrects` counts the lines of this file, the first
//! reading being 1. Commas, semicolons or tabs may separate the columns.

use super::diagnostic::{Code, Diagnostic, Draft, Source, quote, tidy};
use super::model::Document;
use super::record_check::Records;
use super::size_limit::{MAX_BYTES, too_large};
use super::suggest::nearest;
use super::workshop::{Held, ReadingEntry};
use crate::quantity::counted;
use csv::{ReaderBuilder, StringRecord, WriterBuilder};
use std::ops::Range;

/// The columns, in the order in which they are written.
pub const CSV_COLUMNS: [&str; 11] = [
    "feature",
    "value",
    "instrument",
    "temperature",
    "after",
    "held",
    "who",
    "when",
    "corrects",
    "confirmed",
    "note",
];

/// Reads a CSV of readings taken on `document`'s engine. All or nothing.
///
/// # Errors
/// Everything that is wrong with the file, with line and column; then no reading is taken over.
pub fn read_csv(text: &str, file: &str, document: &Document) -> Result<Vec<ReadingEntry>, Vec<Diagnostic>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.len() > MAX_BYTES {
        return Err(vec![too_large(text, file)]);
    }
    if text.trim().is_empty() {
        return Ok(Vec::new());
    }
    let source = Source::new(file, text);
    let mut table = Table { source: &source, delimiter: delimiter(text), diagnostics: Vec::new() };
    let readings = table.read(document);
    if table.diagnostics.is_empty() { Ok(readings) } else { Err(tidy(table.diagnostics)) }
}

/// Writes readings as [`read_csv`] reads them.
pub fn write_csv(readings: &[ReadingEntry]) -> String {
    let mut writer = WriterBuilder::new().from_writer(Vec::new());
    // Writing to memory cannot fail, and all records have the same number of fields.
    let _ = writer.write_record(CSV_COLUMNS);
    for r in readings {
        let held: Vec<String> = r.held.iter().map(|held| held_word(*held)).collect();
        let corrects = r.corrects.map(|n| n.to_string()).unwrap_or_default();
        let confirmed = if r.confirmed { "yes" } else { "" }.to_owned();
        let _ = writer.write_record([
            &r.feature,
            &r.value,
            &r.instrument,
            &r.temperature,
            &r.after,
            &held.join(" "),
            &r.who,
            &r.when,
            &corrects,
            &confirmed,
            &r.note,
        ]);
    }
    writer.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

fn held_word(held: Held) -> String {
    serde_json::to_value(held).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// The separator that the first line has most of.
fn delimiter(text: &str) -> u8 {
    let header = text.lines().next().unwrap_or_default();
    let count = |delimiter: &u8| header.bytes().filter(|b| b == delimiter).count();
    // The last of equals wins, so the comma stands last.
    [b'\t', b';', b','].into_iter().max_by_key(count).unwrap_or(b',')
}

struct Table<'a> {
    source: &'a Source<'a>,
    delimiter: u8,
    diagnostics: Vec<Diagnostic>,
}

impl Table<'_> {
    fn read(&mut self, document: &Document) -> Vec<ReadingEntry> {
        let mut reader = ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(self.delimiter)
            .from_reader(self.source.text.as_bytes());
        let mut rows = reader.records();
        let Some(Ok(header)) = rows.next() else { return Vec::new() };
        let Some(columns) = self.columns(&header) else { return Vec::new() };
        let records = Records::new(document);
        let mut readings: Vec<ReadingEntry> = Vec::new();
        for row in rows {
            match row {
                Ok(row) if row.iter().all(|field| field.trim().is_empty()) => {}
                Ok(row) => {
                    let entry = self.entry(&row, &columns, header.len());
                    for (key, draft) in records.reading(&entry, &readings) {
                        self.report(draft, &row, columns.iter().position(|c| *c == Some(key)));
                    }
                    readings.push(entry);
                }
                Err(error) => {
                    let draft = Draft::error(Code::Syntax, error.to_string());
                    let start = error.position().map_or(0, |p| p.byte() as usize);
                    self.diagnostics.push(self.source.locate(draft, start..start));
                }
            }
        }
        readings
    }

    /// Which column each field of a row belongs to.
    fn columns(&mut self, header: &StringRecord) -> Option<Vec<Option<&'static str>>> {
        let mut columns: Vec<Option<&'static str>> = Vec::new();
        for (i, name) in header.iter().enumerate() {
            let known = CSV_COLUMNS.into_iter().find(|column| column.eq_ignore_ascii_case(name.trim()));
            match known {
                None => {
                    let draft =
                        Draft::error(Code::UnknownKey, format!("there is no column \"{}\"", quote(name)))
                            .expected(format!("columns {}", CSV_COLUMNS.join(", ")))
                            .nearest(nearest(name.trim(), CSV_COLUMNS));
                    self.report(draft, header, Some(i));
                }
                Some(column) if columns.contains(&Some(column)) => {
                    let draft =
                        Draft::error(Code::DuplicateKey, format!("the column \"{column}\" stands twice"));
                    self.report(draft, header, Some(i));
                }
                Some(_) => {}
            }
            columns.push(known);
        }
        for column in ["feature", "value"] {
            if !columns.contains(&Some(column)) {
                let draft = Draft::error(Code::MissingColumn, format!("the column \"{column}\" is missing"))
                    .hint("the first line names the columns, for instance: feature,value,instrument,temperature");
                self.report(draft, header, None);
            }
        }
        self.diagnostics.is_empty().then_some(columns)
    }

    /// Where commas do not part the fields, one between two digits is a decimal mark: such files come from where it is one.
    fn with_point(&self, text: String) -> String {
        let digit =
            |at: Option<usize>| at.and_then(|at| text.as_bytes().get(at)).is_some_and(u8::is_ascii_digit);
        match text.find(',') {
            Some(at)
                if self.delimiter != b','
                    && !text.contains('.')
                    && text.matches(',').count() == 1
                    && digit(at.checked_sub(1))
                    && digit(Some(at + 1)) =>
            {
                text.replace(',', ".")
            }
            _ => text,
        }
    }

    fn entry(&mut self, row: &StringRecord, columns: &[Option<&'static str>], width: usize) -> ReadingEntry {
        if row.len() > width {
            let draft = Draft::error(
                Code::Syntax,
                format!(
                    "this line has {}, the first line names {}",
                    counted(row.len(), "field", "fields"),
                    counted(width, "column", "columns")
                ),
            )
            .hint("put text that holds the separator in double quotes");
            self.report(draft, row, Some(width));
        }
        let mut entry = ReadingEntry::default();
        for (i, (field, column)) in row.iter().zip(columns).enumerate() {
            let text = field.trim().to_owned();
            match *column {
                Some("feature") => entry.feature = text,
                Some("value") => entry.value = self.with_point(text),
                Some("instrument") => entry.instrument = text,
                Some("temperature") => entry.temperature = self.with_point(text),
                Some("after") => entry.after = text,
                Some("who") => entry.who = text,
                Some("when") => entry.when = text,
                Some("note") => entry.note = text,
                Some("held") => entry.held = self.held(&text, row, i),
                Some("confirmed") => entry.confirmed = self.flag(&text, row, i),
                Some("corrects") if !text.is_empty() => entry.corrects = self.number(&text, row, i),
                _ => {}
            }
        }
        entry
    }

    fn held(&mut self, text: &str, row: &StringRecord, field: usize) -> Vec<Held> {
        let mut held = Vec::new();
        for word in text.split_whitespace() {
            if let Ok(known) = serde_json::from_value(serde_json::Value::String(word.to_owned())) {
                held.push(known);
            } else {
                let words = ["free", "caps_torqued", "torque_plate", "shells_in"];
                let draft =
                    Draft::error(Code::UnknownWord, format!("\"{}\" is no way to hold a part", quote(word)))
                        .expected(format!("words of {}, separated by spaces", words.join(", ")))
                        .nearest(nearest(word, words));
                self.report(draft, row, Some(field));
            }
        }
        held
    }

    fn flag(&mut self, text: &str, row: &StringRecord, field: usize) -> bool {
        match text {
            "" | "no" => false,
            "yes" => true,
            _ => {
                let draft = Draft::error(
                    Code::UnknownWord,
                    format!("\"{}\" is neither yes nor no", quote(text)),
                )
                .expected("yes where a reading was asked about as a likely slip and confirmed, else nothing");
                self.report(draft, row, Some(field));
                false
            }
        }
    }

    fn number(&mut self, text: &str, row: &StringRecord, field: usize) -> Option<u64> {
        let number = text.parse().ok();
        if number.is_none() {
            let draft = Draft::error(Code::WrongType, format!("\"{}\" is no whole number", quote(text)))
                .expected("the number of an earlier reading in this file, counted from 1");
            self.report(draft, row, Some(field));
        }
        number
    }

    /// Reports at a field of a row; at the row's first field when the column is not there.
    fn report(&mut self, draft: Draft, row: &StringRecord, field: Option<usize>) {
        let start = row.position().map_or(0, |p| p.byte() as usize);
        let span = self.field(start, field.unwrap_or(0));
        self.diagnostics.push(self.source.locate(draft, span));
    }

    /// Bytes of a field of the row that starts at `start`, without its quotes.
    fn field(&self, start: usize, field: usize) -> Range<usize> {
        let text = self.source.text.as_bytes();
        // The reader's position may stand on line ends before the row.
        let mut at = start + text[start..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let (mut left, mut quoted) = (field, false);
        let mut begin = at;
        while at < text.len() {
            match text[at] {
                b'"' => quoted = !quoted,
                b'\n' if !quoted => break,
                byte if byte == self.delimiter && !quoted => {
                    if left == 0 {
                        break;
                    }
                    left -= 1;
                    begin = at + 1;
                }
                _ => {}
            }
            at += 1;
        }
        let written = &self.source.text[begin..at];
        let inner = written.trim().trim_matches('"');
        let offset = written.find(inner).unwrap_or(0);
        begin + offset..begin + offset + inner.len()
    }
}
