//! The log of readings: newest first, corrections beside what they correct.

use crate::document_sheet::{Diagnostic, problem_list};
use crate::frame::{Current, Page, View, framed, operation_words};
use crate::words::{count, sentence, when};
use engine::features::Sheet;
use engine::quantity::{Dimension, display_unit, format_value};
use engine::readings::{Reading, is_stale};
use maud::{Markup, html};
use std::collections::HashMap;

/// Which readings are shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LogFilter {
    /// Id of a reading sheet; empty: all.
    pub part: String,
    /// Words that stand in the name of the place, or in the gauge; empty: all.
    pub what: String,
    /// `stale`, `asked` or `back`; empty: all.
    pub only: String,
}

impl LogFilter {
    fn is_empty(&self) -> bool {
        self.part.is_empty() && self.what.trim().is_empty() && self.only.is_empty()
    }
}

/// What the log can be narrowed to.
const ONLY: [(&str, &str); 4] = [
    ("", "all of them"),
    ("stale", "stale: cut or changed since"),
    ("asked", "asked about: a slip?"),
    ("back", "taken back or corrected"),
];

/// The log. `chain` says in words whether the chain of readings verifies; `problems` are those of an import.
pub fn readings_page(view: &View, chain: &str, problems: &[Diagnostic], filter: &LogFilter) -> String {
    let corrected: HashMap<u64, u64> =
        view.engine.readings.iter().filter_map(|r| r.corrects.map(|old| (old, r.number))).collect();
    let body = html! {
        div.page {
            h1 { "Readings" }
            p { (count(view.engine.readings.len(), "reading", "readings")) ". None is ever erased: a correction stands beside what it corrects. " (chain) }
            div.actions.no-print { a.button href=(view.at("readings.csv")) download { "Download as CSV" } }
            (import(view, problems))
            (operations(view))
            h2 id="log" { "Log, newest first" }
            (filter_form(view, filter))
            (log(view, filter, &corrected))
        }
    };
    framed(
        view,
        &Page {
            title: "Readings",
            current: Current::Other,
            sheet: "no. 15, Readings".to_owned(),
            state: view.state(),
            scripts: &["form.js"],
            body,
        },
    )
}

fn filter_form(view: &View, filter: &LogFilter) -> Markup {
    html! {
        form.range.no-print method="get" action=(format!("{}#log", view.at("readings"))) {
            label { span { "part" } select name="part" {
                option value="" { "all parts" }
                @for sheet in Sheet::ALL { option value=(sheet.id()) selected[sheet.id() == filter.part] { (sheet.title()) } }
            } }
            label { span { "place or gauge" } input name="what" type="text" value=(filter.what) placeholder="bore 2, or B1" autocomplete="off"; }
            label { span { "only" } select name="only" {
                @for (word, words) in ONLY { option value=(word) selected[word == filter.only] { (words) } }
            } }
            button type="submit" { "Show" }
            @if !filter.is_empty() { a.button href=(format!("{}#log", view.at("readings"))) { "Show all" } }
        }
    }
}

/// The sheet of a reading; None where the document no longer has its place.
fn sheet_of(view: &View, reading: &Reading) -> Option<Sheet> {
    let catalogue = &view.engine.catalogue;
    catalogue.feature(&reading.feature).map(|feature| catalogue.tables[feature.table].sheet)
}

fn is_shown(view: &View, filter: &LogFilter, reading: &Reading, corrected: &HashMap<u64, u64>) -> bool {
    let feature = view.engine.catalogue.feature(&reading.feature);
    let part =
        filter.part.is_empty() || sheet_of(view, reading).is_some_and(|sheet| sheet.id() == filter.part);
    let name = feature.map_or(reading.feature.as_str(), |f| f.label.as_str());
    let said = format!("{name} {} {}", reading.feature, reading.instrument).to_lowercase();
    let what = filter.what.to_lowercase().split_whitespace().all(|word| said.contains(word));
    let only = match filter.only.as_str() {
        "stale" => feature.is_some_and(|f| is_stale(reading, f, &view.engine.operations)),
        "asked" => view.assessment.slips.iter().any(|s| !s.confirmed && s.reading == reading.number),
        "back" => reading.withdrawn || corrected.contains_key(&reading.number),
        _ => true,
    };
    part && what && only
}

/// One folded group for each sheet, in the order of the job; what a filter has found stands open.
fn log(view: &View, filter: &LogFilter, corrected: &HashMap<u64, u64>) -> Markup {
    let shown: Vec<&Reading> =
        view.engine.readings.iter().rev().filter(|r| is_shown(view, filter, r, corrected)).collect();
    let places = Sheet::ALL.into_iter().map(Some).chain([None]);
    let groups: Vec<(Option<Sheet>, Vec<&Reading>)> = places
        .map(|sheet| (sheet, shown.iter().copied().filter(|r| sheet_of(view, r) == sheet).collect()))
        .filter(|(_, readings): &(_, Vec<_>)| !readings.is_empty())
        .collect();
    let open = !filter.is_empty() || groups.len() == 1 || shown.len() <= FEW;
    html! {
        p.small role="status" {
            @if filter.is_empty() { "In groups by sheet. " } @else { (count(shown.len(), "reading", "readings")) " of " (view.engine.readings.len()) ". " }
            "The name of a place leads to its cell on the sheet, where it is corrected or read again. Of two whose mean counts either can be taken back here."
        }
        @for (sheet, readings) in &groups {
            details.log-group open[open] {
                summary {
                    b { (sheet.map_or("Places that the document no longer has", Sheet::title)) }
                    " " span.quiet { (count(readings.len(), "reading", "readings")) @if let Some(newest) = readings.first() { ", newest " (when(&newest.when)) } }
                }
                (table(view, readings, corrected))
            }
        }
    }
}

/// So many readings need no folding.
const FEW: usize = 30;

fn table(view: &View, readings: &[&Reading], corrected: &HashMap<u64, u64>) -> Markup {
    html! {
        div.scroll tabindex="0" role="region" aria-label="Log of readings" {
            table.figures {
                thead { tr {
                    th.n scope="col" { "no." } th scope="col" { "where" } th.n scope="col" { "read" } th scope="col" { "gauge" }
                    th.n scope="col" { "part at" } th scope="col" { "state" } th scope="col" { "who, when" } th scope="col" { "remark" }
                } }
                tbody { @for reading in readings { (row(view, reading, corrected)) } }
            }
        }
    }
}

fn import(view: &View, problems: &[Diagnostic]) -> Markup {
    html! {
        @if !problems.is_empty() {
            h2 { "What is wrong with the imported readings" }
            (problem_list(problems, "csv"))
        }
        details.no-print open[!problems.is_empty()] {
            summary { "Import readings from a CSV" }
            form.form method="post" action=(view.at("readings.csv")) {
                input type="hidden" name="_token" value=(view.token);
                p { "First line: feature,value,instrument,temperature,after,held,who,when,note. Only feature and value are needed; a value has its unit." }
                label for="csv-file" { "A file" }
                input id="csv-file" type="file" accept=".csv,text/csv,text/plain" data-into="csv";
                label for="csv" { "or its text" }
                textarea id="csv" name="csv" rows="8" spellcheck="false" wrap="off" placeholder="feature,value\nblock.bore.1.top.thrust,89.101 mm" {}
                div.actions { button.main type="submit" { "Import" } }
            }
        }
    }
}

fn operations(view: &View) -> Markup {
    html! {
        @if !view.engine.operations.is_empty() {
            h2 { "Operations, in the order in which they were done" }
            ol.plain {
                @for (place, operation) in view.engine.operations.iter().enumerate() {
                    li {
                        b.struck[operation.withdrawn] { (sentence(operation_words(operation.kind))) }
                        @if operation.withdrawn { ", taken back" }
                        @if !operation.only.is_empty() { ", only " (operation.only.join(", ")) }
                        @if let Some(amount) = operation.amount { ", " (format_value(amount, Dimension::Length, view.units(), 3)) " taken off" }
                        @if !operation.note.is_empty() { ": " (operation.note) }
                        span.quiet.small { " (" (operation.name) ") " (operation.who) " " (when(&operation.when)) }
                        // What stands in the document is taken out there.
                        @if !operation.withdrawn && place >= view.engine.document.operations.len() {
                            form.no-print method="post" action=(view.at("operations/back")) {
                                input type="hidden" name="_token" value=(view.token);
                                input type="hidden" name="name" value=(operation.name);
                                button type="submit" { "It was not done: take it back" span.reader-only { " (" (operation.name) ")" } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn row(view: &View, reading: &Reading, corrected: &HashMap<u64, u64>) -> Markup {
    let feature = view.engine.catalogue.feature(&reading.feature);
    let unit = display_unit(Dimension::Temperature, view.units());
    let by = corrected.get(&reading.number);
    let mut remarks = Vec::new();
    if reading.withdrawn {
        remarks.push("taken back".to_owned());
    }
    if let Some(old) = reading.corrects {
        remarks.push(format!("corrects no. {old}"));
    }
    if let Some(new) = by {
        remarks.push(format!("corrected by no. {new}"));
    }
    if feature.is_some_and(|f| is_stale(reading, f, &view.engine.operations)) {
        remarks.push("stale: cut or changed since".to_owned());
    }
    if view.assessment.slips.iter().any(|s| !s.confirmed && s.reading == reading.number) {
        remarks.push("asked about".to_owned());
    }
    if reading.confirmed {
        remarks.push("confirmed".to_owned());
    }
    if !reading.note.is_empty() {
        remarks.push(reading.note.clone());
    }
    let stands = feature.is_some_and(|f| !is_stale(reading, f, &view.engine.operations))
        && by.is_none()
        && !reading.withdrawn;
    html! {
        tr id=(format!("reading-{}", reading.number)) {
            td.n { (reading.number) }
            th scope="row" {
                @if let (Some(f), Some(at)) = (feature, view.feature_at(&reading.feature)) { a href=(at) { (sentence(&f.label)) } }
                @else { (reading.feature) }
            }
            td.n { span.struck[by.is_some() || reading.withdrawn] { (reading.text) } }
            td { (reading.instrument) }
            td.n { @if let Some(k) = reading.temperature { (format!("{:.1} {}", (k - unit.offset) / unit.factor, unit.symbol)) } @else { span.quiet { "not said" } } }
            td { @if reading.after.is_empty() { "as found" } @else { "after " (reading.after) } }
            td { (reading.who) " " span.quiet.small.when { (when(&reading.when)) } }
            td {
                (remarks.join("; "))
                @if stands {
                    form.no-print method="post" action=(view.at("readings/back")) {
                        input type="hidden" name="_token" value=(view.token);
                        input type="hidden" name="number" value=(reading.number);
                        button type="submit" { "Take back" span.reader-only { " reading " (reading.number) } }
                    }
                }
            }
        }
    }
}
