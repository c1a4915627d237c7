//! Journals, run-out, end float.

use super::{Column, OUTSIDE, Row, Spec, column, nominal, row};
use crate::document::{Document, Held, InstrumentKind as K};
use crate::features::{Catalogue, Sheet};
use crate::quantity::Dimension as D;

pub(super) fn crank(catalogue: &mut Catalogue, document: &Document) {
    let steel = document.crank.material;
    let ends: Vec<(String, String)> = ["front", "rear"]
        .iter()
        .flat_map(|e| {
            [("vertical", "in line"), ("across", "across")]
                .map(|(key, words)| (format!("{e},\n{words}"), format!("{e}.{key}")))
        })
        .collect();
    let journal = |family: &'static str, size: Option<f64>| -> Vec<Column> {
        ends.iter().map(|(label, ending)| column(label, ending, family, D::Length, size)).collect()
    };
    let mains: Vec<Row> = (1..=document.main_count())
        .map(|m| row(m.to_string(), format!("crank.main.{m}"), "crank", m, steel))
        .collect();
    let spec = |id, title, row_name| Spec {
        id,
        sheet: Sheet::Crank,
        title,
        row_name,
        gauge: K::Micrometer,
        settles: OUTSIDE,
        held: &[],
        decimals: 3,
        hint: "Near both fillets, clear of the oil hole: in line with the throw (mains: with throw 1) and across it.",
    };
    catalogue.add(
        &spec("mains", "Main journals", "main"),
        &mains,
        &journal("crank.main", nominal(document.crank.main_journal.as_ref())),
    );
    let pins: Vec<Row> = (1..=document.throw_count())
        .map(|p| row(p.to_string(), format!("crank.pin.{p}"), "crank", p, steel))
        .collect();
    catalogue.add(
        &spec("pins", "Crank pins", "crank pin"),
        &pins,
        &journal("crank.pin", nominal(document.crank.pin_journal.as_ref())),
    );
    let run_out: Vec<Row> = (1..=document.main_count())
        .map(|m| row(m.to_string(), format!("crank.run_out.{m}"), "crank", m, None))
        .collect();
    catalogue.add(
        &Spec {
            id: "run_out",
            sheet: Sheet::Crank,
            title: "Run-out of the mains",
            row_name: "main",
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::CoordinateMachine],
            held: &[],
            decimals: 3,
            hint: "Total reading, crank on the end mains.",
        },
        &run_out,
        &[column("total", "", "crank.run_out", D::Length, None)],
    );
    catalogue.add(
        &Spec {
            id: "end_float",
            sheet: Sheet::Crank,
            title: "End float",
            row_name: "crank",
            gauge: K::DialIndicator,
            settles: &[K::DialIndicator, K::FeelerGauge],
            held: &[Held::CapsTorqued],
            decimals: 3,
            hint: "Pry gently both ways, thrust shells in.",
        },
        &[row("at the thrust bearing", "crank.end_float", "crank", "1", None)],
        &[column("float", "", "crank.end_float", D::Length, None)],
    );
}
