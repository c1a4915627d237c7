//! Readings and operations as log entries, and back.
//!
//! A log entry keeps what was typed, with its unit; the value in SI is computed when it is read. Numbers of readings
//! on a page: readings that stand in the document come first, those of the log follow with their log number added.

use super::error::{Error, Result};
use engine::document::{Document, Held, OperationKind, ReadingEntry};
use engine::features::Catalogue;
use engine::quantity::{Dimension, parse_quantity};
use engine::readings::{Operation, Reading, Slip, SlipKind, reading};
use serde::{Deserialize, Serialize};
use store::Entry;

/// Kind of a log entry that holds a reading.
pub(super) const READING: &str = "reading";
/// Kind of a log entry that holds an operation.
pub(super) const OPERATION: &str = "operation";

/// A reading as the log keeps it.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(default)]
struct ReadingBody {
    feature: String,
    /// As typed, with its unit.
    value: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    instrument: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    temperature: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    after: String,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    held: Vec<Held>,
    /// Log number of the reading that it corrects.
    #[serde(skip_serializing_if = "Option::is_none")]
    corrects: Option<u64>,
    /// Position in the document of the reading that it corrects.
    #[serde(skip_serializing_if = "Option::is_none")]
    corrects_written: Option<u64>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    confirmed: bool,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    withdrawn: bool,
    #[serde(skip_serializing_if = "String::is_empty")]
    note: String,
    /// Who read it, where a file says so; else who wrote the entry.
    #[serde(skip_serializing_if = "Option::is_none")]
    who: Option<String>,
    /// When it was read, where a file says so; else when the entry was written.
    #[serde(skip_serializing_if = "Option::is_none")]
    when: Option<String>,
}

/// Kind of a log entry that takes an operation back.
pub(super) const OPERATION_BACK: &str = "operation_back";

/// An operation as the log keeps it.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct OperationBody {
    name: String,
    kind: OperationKind,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    only: Vec<String>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    note: String,
    /// Metres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    amount: Option<f64>,
    /// As typed.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    amount_typed: String,
}

/// Kind of a log entry that keeps a question open which its reading no longer raises by itself.
pub(super) const ASKED: &str = "asked";

/// A question about a reading.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct AskedBody {
    /// Log number of the reading.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    reading: Option<u64>,
    /// Position of the reading in the document.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    reading_written: Option<u64>,
    slip: SlipKind,
    /// Metres, or what else the place is read in, SI.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    likely: Option<f64>,
}

/// The body of an entry that keeps a question open. `written` readings stand in the document before those of the log.
pub(super) fn asked_body(slip: &Slip, written: u64) -> String {
    let (reading, reading_written) = split(Some(slip.reading), written);
    to_json(&AskedBody { reading, reading_written, slip: slip.slip.clone(), likely: slip.likely })
}

/// The question of a log entry about one of these readings; None where its place is gone.
pub(super) fn asked_of(entry: &Entry, written: u64, readings: &[Reading]) -> Result<Option<Slip>> {
    let body: AskedBody = body_of(entry)?;
    let number = body.reading.map(|sequence| sequence + written).or(body.reading_written);
    let found = readings.iter().find(|r| Some(r.number) == number);
    Ok(found.map(|r| Slip {
        reading: r.number,
        feature: r.feature.clone(),
        slip: body.slip,
        read: r.value,
        likely: body.likely,
        confirmed: false,
    }))
}

/// The body of an entry that takes an operation back.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct OperationBackBody {
    name: String,
}

/// Splits the number of a reading into its place in the log or in the document.
fn split(number: Option<u64>, written: u64) -> (Option<u64>, Option<u64>) {
    match number {
        Some(n) if n > written => (Some(n - written), None),
        n => (None, n),
    }
}

fn to_json(body: &impl Serialize) -> String {
    // A struct of texts and numbers always has a JSON form.
    serde_json::to_string(body).unwrap_or_default()
}

/// The body of a reading taken at the bench. `written` readings stand in the document before those of the log.
pub(super) fn reading_body(reading: &Reading, temperature: &str, written: u64) -> String {
    let (corrects, corrects_written) = split(reading.corrects, written);
    to_json(&ReadingBody {
        feature: reading.feature.clone(),
        value: reading.text.clone(),
        instrument: reading.instrument.clone(),
        temperature: temperature.to_owned(),
        after: reading.after.clone(),
        held: reading.held.clone(),
        corrects,
        corrects_written,
        confirmed: reading.confirmed,
        withdrawn: reading.withdrawn,
        note: reading.note.clone(),
        who: None,
        when: None,
    })
}

/// The body of a reading that comes from a file; `corrects` is already a reading's number on the pages.
pub(super) fn filed_body(entry: &ReadingEntry, corrects: Option<u64>, written: u64) -> String {
    let said = |text: &String| Some(text.clone()).filter(|t| !t.is_empty());
    let (corrects, corrects_written) = split(corrects, written);
    to_json(&ReadingBody {
        feature: entry.feature.clone(),
        value: entry.value.clone(),
        instrument: entry.instrument.clone(),
        temperature: entry.temperature.clone(),
        after: entry.after.clone(),
        held: entry.held.clone(),
        corrects,
        corrects_written,
        confirmed: entry.confirmed,
        withdrawn: false,
        note: entry.note.clone(),
        who: said(&entry.who),
        when: said(&entry.when),
    })
}

/// The body of an operation.
pub(super) fn operation_body(operation: &Operation, amount_typed: &str) -> String {
    to_json(&OperationBody {
        name: operation.name.clone(),
        kind: operation.kind,
        only: operation.only.clone(),
        note: operation.note.clone(),
        amount: operation.amount,
        amount_typed: amount_typed.to_owned(),
    })
}

/// The body of an entry that takes an operation back.
pub(super) fn operation_back_body(name: &str) -> String {
    to_json(&OperationBackBody { name: name.to_owned() })
}

/// Name of the operation that a log entry takes back.
pub(super) fn operation_taken_back(entry: &Entry) -> Result<String> {
    body_of::<OperationBackBody>(entry).map(|body| body.name)
}

fn body_of<'a, T: Deserialize<'a>>(entry: &'a Entry) -> Result<T> {
    serde_json::from_str(&entry.body).map_err(|problem| Error::Entry {
        engine: entry.engine.clone(),
        sequence: entry.sequence,
        problem: problem.to_string(),
    })
}

/// The reading of a log entry; None when its place is not in the catalogue.
pub(super) fn reading_of(
    entry: &Entry,
    document: &Document,
    catalogue: &Catalogue,
) -> Result<Option<Reading>> {
    let body: ReadingBody = body_of(entry)?;
    let written = document.readings.len() as u64;
    let who = body.who.unwrap_or_else(|| entry.who.clone());
    let when = body.when.unwrap_or_else(|| entry.when.clone());
    let as_entry = ReadingEntry {
        feature: body.feature,
        value: body.value,
        instrument: body.instrument,
        temperature: body.temperature,
        after: body.after,
        held: body.held,
        corrects: body.corrects.map(|sequence| sequence + written).or(body.corrects_written),
        who,
        when,
        confirmed: body.confirmed,
        note: body.note,
    };
    let reading = reading(entry.sequence + written, &as_entry, catalogue);
    Ok(reading.map(|r| Reading { withdrawn: body.withdrawn, ..r }))
}

/// The operation of a log entry.
pub(super) fn operation_of(entry: &Entry) -> Result<Operation> {
    let body: OperationBody = body_of(entry)?;
    let typed = parse_quantity(&body.amount_typed, Dimension::Length).ok().map(|(value, _)| value);
    Ok(Operation {
        name: body.name,
        kind: body.kind,
        only: body.only,
        note: body.note,
        amount: typed.or(body.amount),
        withdrawn: false,
        who: entry.who.clone(),
        when: entry.when.clone(),
    })
}
