//! `assess`: from the document and the readings to the findings. Pure: same input, same output.

use crate::document::Document;
use crate::features::{Catalogue, Sheet, SheetNote};
use crate::findings::{self, Bench, Finding, Verdict};
use crate::quantity::UnitSystem;
use crate::readings::{self, Operation, Reading, Sizes, Slip};
use serde::Serialize;

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
        Self { document, catalogue, readings: all, operations: done }
    }

    /// Units in which sizes are shown.
    pub fn units(&self) -> UnitSystem {
        self.document.engine.units
    }
}

/// What was found.
#[derive(Clone, Debug, Serialize)]
pub struct Assessment {
    /// All findings, what stops the build first.
    pub findings: Vec<Finding>,
    /// Readings that are probably slips.
    pub slips: Vec<Slip>,
    /// How each sheet stands.
    pub sheets: Vec<SheetNote>,
    /// Sizes behind the findings.
    #[serde(skip)]
    pub sizes: Sizes,
}

impl Assessment {
    /// A finding by its id.
    pub fn finding(&self, id: &str) -> Option<&Finding> {
        self.findings.iter().find(|f| f.id == id)
    }

    /// How many findings stop the build by themselves.
    pub fn causes(&self) -> usize {
        self.findings.iter().filter(|f| f.is_cause()).count()
    }

    /// How many findings have this verdict.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.findings.iter().filter(|f| f.verdict == verdict).count()
    }
}

/// Answers every question that the document and the readings allow.
pub fn assess(engine: &Engine) -> Assessment {
    let slips = readings::slips(engine);
    let sizes = readings::sizes(engine, &slips);
    let mut findings = findings::all(Bench { engine, sizes: &sizes });
    // Stable: within a verdict the order of the job stays.
    findings.sort_by_key(|f| f.verdict.rank());
    let sheets = Sheet::ALL.map(|sheet| note(engine, sheet, &findings, &sizes)).to_vec();
    Assessment { findings, slips, sheets, sizes }
}

fn note(engine: &Engine, sheet: Sheet, findings: &[Finding], sizes: &Sizes) -> SheetNote {
    let of_sheet = |f: &&Finding| f.sheet == sheet;
    let count = |verdict| findings.iter().filter(of_sheet).filter(|f| f.verdict == verdict).count();
    let places: Vec<usize> =
        engine.catalogue.tables_of(sheet).flat_map(|t| t.cells.iter().flatten().flatten().copied()).collect();
    let read = places.iter().filter(|p| sizes.of_feature[**p].is_some()).count();
    let stale = findings.iter().filter(of_sheet).filter(|f| f.stale).count();
    let stops = findings.iter().filter(of_sheet).filter(|f| f.is_cause()).count();
    let uncertain = count(Verdict::Uncertain);
    let words = match (stops, uncertain, stale, read) {
        (0, 0, 0, 0) => "nothing read".to_owned(),
        (1.., ..) => format!("{stops} to mend"),
        (0, 1.., ..) => format!("{uncertain} uncertain"),
        (0, 0, 1.., _) => format!("{stale} stale"),
        _ if read < places.len() => format!("{read} of {}", places.len()),
        _ => "good".to_owned(),
    };
    SheetNote { sheet, read, places: places.len(), stops, uncertain, stale, words }
}
