//! Readings from a CSV and back.

use super::Workbench;
use super::assessed::Assessed;
use super::clock::now;
use super::entries::{self, READING};
use super::error::{Error, Result};
use super::slot::Loaded;
use super::words::celsius;
use engine::document::{Document, OperationEntry, ReadingEntry, read_csv, write_csv};
use engine::readings::{Operation, Reading};
use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use store::Draft;

/// What came of an import.
#[derive(Clone, Debug)]
pub struct CsvTaken {
    /// Readings that are new.
    pub added: usize,
    /// Readings that were there already: the same file may be imported again.
    pub known: usize,
    /// The engine with them.
    pub assessed: Arc<Assessed>,
}

impl Workbench {
    /// Imports readings from the text of a CSV: all of them or none. Those that are there already are not added again.
    ///
    /// # Errors
    /// [`Error::Document`] with every mistake of the file.
    pub fn import_csv(&self, id: &str, text: &str, file: &str) -> Result<CsvTaken> {
        let slot = self.slot(id)?;
        let mut bench = slot.bench();
        let loaded = slot.loaded(&mut bench, self.store(), id)?;
        let rows = read_csv(text, file, &with_recorded(&loaded.assessed)).map_err(Error::Document)?;
        let drafts = drafts(loaded, &rows, self.who());
        let (added, known) = (drafts.len(), rows.len() - drafts.len());
        if added > 0 {
            self.store().append_many(id, drafts)?;
            *bench = None;
        }
        let assessed = Arc::clone(&slot.loaded(&mut bench, self.store(), id)?.assessed);
        Ok(CsvTaken { added, known, assessed })
    }
}

/// The document with the operations that were recorded on the pages: a row may stand after one of them.
fn with_recorded(assessed: &Assessed) -> Document {
    let mut document = assessed.engine.document.clone();
    let done = assessed.engine.recorded_operations().iter().filter(|o| !o.withdrawn);
    document.operations.extend(done.map(|o| OperationEntry {
        name: o.name.clone(),
        kind: Some(o.kind),
        only: o.only.clone(),
        ..OperationEntry::default()
    }));
    document
}

/// Entries for the rows that are new.
fn drafts(loaded: &Loaded, rows: &[ReadingEntry], who: &str) -> Vec<Draft> {
    let written = loaded.written();
    let dated: HashMap<_, u64> = loaded
        .assessed
        .engine
        .readings
        .iter()
        .filter(|r| !r.when.is_empty())
        .map(|r| ((r.feature.as_str(), r.text.as_str(), r.when.as_str()), r.number))
        .collect();
    let mut times: HashMap<u64, usize> = HashMap::new();
    let mut numbers: Vec<u64> = Vec::with_capacity(rows.len());
    let mut drafts = Vec::new();
    for row in rows {
        let tag = tag(row);
        let time = times.entry(tag).or_default();
        *time += 1;
        let key = format!("csv/{tag:016x}/{time}");
        let known =
            loaded.delivered.get(&key).map(|(number, _)| *number).or_else(|| {
                dated.get(&(row.feature.as_str(), row.value.as_str(), row.when.as_str())).copied()
            });
        if let Some(number) = known {
            numbers.push(number);
            continue;
        }
        // `corrects` counts the rows of the file, 1 first, and points back.
        let corrects =
            row.corrects.and_then(|n| numbers.get(usize::try_from(n).ok()?.checked_sub(1)?).copied());
        numbers.push(written + loaded.last_sequence + drafts.len() as u64 + 1);
        drafts.push(Draft {
            kind: READING.to_owned(),
            body: entries::filed_body(row, corrects, written),
            who: who.to_owned(),
            when: now(),
            delivery_key: Some(key),
        });
    }
    drafts
}

/// FNV-1a over what a row says: the same row gives the same key in every release.
fn tag(row: &ReadingEntry) -> u64 {
    let fields = [
        &row.feature,
        &row.value,
        &row.instrument,
        &row.temperature,
        &row.after,
        &row.who,
        &row.when,
        &row.note,
    ];
    let bytes = fields.iter().flat_map(|field| field.bytes().chain([0]));
    bytes.fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

/// All readings as a CSV. What was taken back is left out, with what took it back; the export of an engine has it all.
/// A reading after an operation that was taken back stands after the one before it.
pub(super) fn csv_of(readings: &[Reading], operations: &[Operation]) -> String {
    let taken_back: HashSet<u64> =
        readings.iter().filter(|r| r.withdrawn).filter_map(|r| r.corrects).collect();
    let kept: Vec<&Reading> =
        readings.iter().filter(|r| !r.withdrawn && !taken_back.contains(&r.number)).collect();
    let row_of: HashMap<u64, u64> = kept.iter().zip(1..).map(|(r, row)| (r.number, row)).collect();
    let rows: Vec<ReadingEntry> = kept.iter().map(|r| row(r, &row_of, operations)).collect();
    write_csv(&rows)
}

/// The last operation up to the one of this name that was not taken back; empty: none.
fn done_up_to<'a>(name: &str, operations: &'a [Operation]) -> &'a str {
    let until = operations.iter().rposition(|o| o.name == name).map_or(0, |place| place + 1);
    operations[..until].iter().rfind(|o| !o.withdrawn).map_or("", |o| o.name.as_str())
}

fn row(reading: &Reading, row_of: &HashMap<u64, u64>, operations: &[Operation]) -> ReadingEntry {
    ReadingEntry {
        feature: reading.feature.clone(),
        value: reading.text.clone(),
        instrument: reading.instrument.clone(),
        // As a bench thermometer shows it.
        temperature: reading.temperature.map(|kelvin| celsius(kelvin, 2)).unwrap_or_default(),
        after: done_up_to(&reading.after, operations).to_owned(),
        held: reading.held.clone(),
        corrects: reading.corrects.and_then(|n| row_of.get(&n).copied()),
        who: reading.who.clone(),
        when: reading.when.clone(),
        confirmed: reading.confirmed,
        note: reading.note.clone(),
    }
}

impl Assessed {
    /// All readings as a CSV that can be imported again.
    pub fn readings_csv(&self) -> String {
        csv_of(&self.engine.readings, &self.engine.operations)
    }
}
