//! The engine: document, places, readings and operations together.

use crate::document::Document;
use crate::features::Catalogue;
use crate::quantity::UnitSystem;
use crate::readings::{self, Operation, Reading, Slip};

/// Everything that is known about one engine.
#[derive(Clone, Debug)]
pub struct Engine {
    /// The document.
    pub document: Document,
    /// All places.
    pub catalogue: Catalogue,
    /// Readings in the order of their numbers.
    pub readings: Vec<Reading>,
    /// Operations in the order in which they were done.
    pub operations: Vec<Operation>,
    /// Questions about readings that were asked and never answered, though what raised them is gone.
    pub asked: Vec<Slip>,
}

impl Engine {
    /// Puts the document and what was read together. Operations and readings that stand in the document come first,
    /// `readings` and `operations` (from a CSV or the store) follow. Readings without a number get the next one.
    pub fn new(document: Document, readings: Vec<Reading>, operations: Vec<Operation>) -> Self {
        let catalogue = Catalogue::of(&document);
        let mut all = readings::from_entries(&document.readings, &catalogue);
        let written = all.len() as u64;
        all.extend(readings.into_iter().enumerate().map(|(i, mut r)| {
            if r.number == 0 {
                r.number = written + i as u64 + 1;
            }
            r
        }));
        let mut done = readings::operations_of(&document.operations);
        done.extend(operations);
        readings::name_new_parts(&mut done, &catalogue);
        readings::name_places(&mut done, &document, &catalogue);
        Self { document, catalogue, readings: all, operations: done, asked: Vec::new() }
    }

    /// Operations that followed from elsewhere and do not stand in the document, in the order in which they were done.
    pub fn recorded_operations(&self) -> &[Operation] {
        &self.operations[self.document.operations.len()..]
    }

    /// Units in which sizes are shown.
    pub fn units(&self) -> UnitSystem {
        self.document.engine.units
    }
}
