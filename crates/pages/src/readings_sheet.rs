//! The log of readings: newest first, corrections beside what they correct.

use crate::document_sheet::{Diagnostic, problem_list};
use crate::frame::{Current, Page, View, framed, operation_words};
use crate::words::{count, sentence, when};
use engine::quantity::{Dimension, display_unit, format_value};
use engine::readings::Reading;
use maud::{Markup, html};
use std::collections::HashMap;

/// The log. `chain` says in words whether the chain of readings verifies; `problems` are those of an import.
pub fn readings_page(view: &View, chain: &str, problems: &[Diagnostic]) -> String {
    let corrected: HashMap<u64, u64> =
        view.engine.readings.iter().filter_map(|r| r.corrects.map(|old| (old, r.number))).collect();
    let body = html! {
        div.page {
            h1 { "Readings" }
            p { (count(view.engine.readings.len(), "reading", "readings")) ". None is ever erased: a correction stands beside what it corrects. " (chain) }
            div.actions.no-print { a.button href=(view.at("readings.csv")) download { "Download as CSV" } }
            (import(view, problems))
            (operations(view))
            h2 { "Log, newest first" }
            div.scroll tabindex="0" role="region" aria-label="Log of readings" {
                table.figures {
                    thead { tr {
                        th.n scope="col" { "no." } th scope="col" { "where" } th.n scope="col" { "read" } th scope="col" { "gauge" }
                        th.n scope="col" { "part at" } th scope="col" { "state" } th scope="col" { "who, when" } th scope="col" { "remark" }
                    } }
                    tbody { @for reading in view.engine.readings.iter().rev() { (row(view, reading, &corrected)) } }
                }
            }
        }
    };
    framed(
        view,
        &Page {
            title: "Readings",
            current: Current::Other,
            sheet: "Readings".to_owned(),
            state: view.state(),
            scripts: &["form.js"],
            body,
        },
    )
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
    if reading.confirmed {
        remarks.push("confirmed".to_owned());
    }
    if !reading.note.is_empty() {
        remarks.push(reading.note.clone());
    }
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
            td { (reading.who) " " span.quiet.small { (when(&reading.when)) } }
            td { (remarks.join("; ")) }
        }
    }
}
