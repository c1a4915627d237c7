//! From the entries of a document or a CSV to readings and operations.

use super::{Operation, Reading};
use crate::document::{Document, OperationEntry, OperationKind, ReadingEntry};
use crate::features::{Catalogue, work_places};
use crate::quantity::{Dimension, parse_quantity};

/// Readings of a document, numbered from 1 in their order. The parser has refused what cannot be read; an entry whose
/// place or value is not understood is left out here, and its number with it stays unused.
pub fn from_entries(entries: &[ReadingEntry], catalogue: &Catalogue) -> Vec<Reading> {
    (1..).zip(entries).filter_map(|(number, entry)| reading(number, entry, catalogue)).collect()
}

/// One entry as a reading; None when its place is not in the catalogue or its value does not parse there.
pub fn reading(number: u64, entry: &ReadingEntry, catalogue: &Catalogue) -> Option<Reading> {
    let feature = catalogue.feature(&entry.feature)?;
    let (value, _) = parse_quantity(&entry.value, feature.dimension).ok()?;
    let temperature = parse_quantity(&entry.temperature, Dimension::Temperature).ok().map(|t| t.0);
    Some(Reading {
        number,
        feature: entry.feature.clone(),
        value,
        text: entry.value.clone(),
        instrument: entry.instrument.clone(),
        temperature,
        after: entry.after.clone(),
        held: entry.held.clone(),
        corrects: entry.corrects,
        confirmed: entry.confirmed,
        withdrawn: false,
        who: entry.who.clone(),
        when: entry.when.clone(),
        note: entry.note.clone(),
    })
}

/// Operations of a document.
pub fn operations_of(entries: &[OperationEntry]) -> Vec<Operation> {
    entries
        .iter()
        .map(|entry| Operation {
            name: entry.name.clone(),
            kind: entry.kind.unwrap_or(OperationKind::Handled),
            only: entry.only.clone(),
            note: entry.note.clone(),
            amount: entry.amount.map(|a| a.0),
            withdrawn: false,
            who: entry.who.clone(),
            when: entry.when.clone(),
        })
        .collect()
}

/// Puts each place that an operation names into the form by which readings are compared with it. What names no place of this engine
/// stays as it was written; the parser has refused it in a file.
pub(crate) fn name_places(operations: &mut [Operation], document: &Document, catalogue: &Catalogue) {
    for operation in
        operations.iter_mut().filter(|o| !matches!(o.kind, OperationKind::NewPart | OperationKind::Handled))
    {
        let mut named: Vec<String> = Vec::new();
        for place in std::mem::take(&mut operation.only) {
            let places = work_places(operation.kind, &place, document, catalogue).unwrap_or(vec![place]);
            named.extend(places);
        }
        let mut seen = std::collections::HashSet::new();
        named.retain(|place| seen.insert(place.clone()));
        operation.only = named;
    }
}
