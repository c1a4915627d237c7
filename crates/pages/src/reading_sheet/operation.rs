//! The form that records an operation, empty or as it was refused.

use crate::frame::{OPERATIONS, View, operation_words};
use crate::words::sentence;
use engine::document::OperationKind;
use engine::features::Sheet;
use engine::quantity::{Dimension, display_unit};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// What was typed and refused, with what is wrong by field.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OperationForm {
    /// Word of the operation.
    pub kind: String,
    /// Which ones.
    pub only: String,
    /// Taken off.
    pub amount: String,
    /// Note.
    pub note: String,
    /// What is wrong, by the name of the field.
    pub errors: BTreeMap<String, String>,
}

pub(super) fn operation_form(view: &View, sheet: Sheet, refused: Option<&OperationForm>) -> Markup {
    let unit = display_unit(Dimension::Length, view.units()).symbol;
    let empty = OperationForm::default();
    let form = refused.unwrap_or(&empty);
    let first = ["kind", "only", "amount", "note"].into_iter().find(|name| form.errors.contains_key(*name));
    let text = |name: &str, label: &str, value: &str, example: &str, wide: bool| {
        let note = format!("operation-{name}-note");
        let error = form.errors.get(name);
        html! {
            label {
                (label)
                input.wide[wide] type="text" name=(name) value=(value) placeholder=(example) autocomplete="off"
                    aria-invalid=[error.map(|_| "true")] aria-describedby=[error.map(|_| note.as_str())] autofocus[first == Some(name)];
                @if let Some(error) = error { span.error id=(note) { (error) } }
            }
        }
    };
    html! {
        details.no-print.operation id="operation" open[refused.is_some()] {
            summary { "Record an operation " kbd aria-hidden="true" { "O" } }
            p.small.quiet { "What it moves becomes stale and is asked for again." }
            @if refused.is_some() { p.error role="alert" { "Not recorded. What was typed stands here as it was." @if first.is_none() { @for problem in form.errors.values() { " " (problem) } } } }
            form.range method="post" action=(view.at("operations")) {
                input type="hidden" name="_token" value=(view.token);
                input type="hidden" name="back" value=(sheet.id());
                @if form.errors.contains_key("amount") { input type="hidden" name="asked" value=(form.amount); }
                label {
                    "What was done"
                    select name="kind" required aria-invalid=[form.errors.get("kind").map(|_| "true")] autofocus[first == Some("kind")] {
                        @for kind in usual_operations(sheet) { (operation_option(*kind, &form.kind)) }
                        @for (kind, _) in OPERATIONS.iter().filter(|(k, _)| may_be_done(view, *k) && !usual_operations(sheet).contains(k)) { (operation_option(*kind, &form.kind)) }
                    }
                    @if let Some(error) = form.errors.get("kind") { span.error { (error) } }
                }
                (text("only", "Only these (empty: all)", &form.only, "2, 3", false))
                (text("amount", &format!("Taken off, {unit} (bore, journal: on the diameter)"), &form.amount, &format!("0.05 {unit}"), false))
                (text("note", "Note", &form.note, "", true))
                button.main type="submit" { "Record it" }
            }
        }
    }
}

fn operation_option(kind: OperationKind, chosen: &str) -> Markup {
    let word = OPERATIONS.iter().find(|(k, _)| *k == kind).map_or("", |(_, w)| *w);
    html! { option value=(word) selected[word == chosen] { (sentence(operation_words(kind))) } }
}

/// A shim lies under a separate barrel only.
fn may_be_done(view: &View, kind: OperationKind) -> bool {
    kind != OperationKind::BarrelShim || view.engine.document.block.is_of_separate_barrels()
}

const fn usual_operations(sheet: Sheet) -> &'static [OperationKind] {
    use OperationKind as O;
    match sheet {
        Sheet::Casting => &[O::Bore, O::DeckSkim, O::AlignHone, O::CapSeat, O::Sleeve],
        Sheet::Bores => &[O::Hone, O::Bore, O::Sleeve],
        Sheet::Crank => &[O::Regrind, O::Polish],
        Sheet::Bearings => &[O::NewShells, O::AlignHone, O::CapSeat],
        Sheet::Rods => &[O::BigEndHone, O::NewPart],
        Sheet::Pistons => &[O::RingFile, O::NewPart],
        Sheet::Head => &[O::HeadSkim, O::DeckSkim, O::ChamberRelief],
        Sheet::Valves => &[O::LashShim, O::SpringShim, O::SeatCut],
    }
}
