//! Sizes and limits part by part: a form for each section of the document, made from the document's own shape.

mod edits;
mod form;
mod values;

use crate::frame::{Current, Page, View, framed};
use crate::words::{count, sentence, spaced};
pub use edits::{PartEdit, part_edits};
use engine::document::{Field, SECTIONS, Shape, document_shape};
use form::Form;
use maud::{Markup, html};
use std::collections::BTreeMap;
pub use values::part_values;

/// Sections that are written elsewhere: by reading, by recording an operation.
const ELSEWHERE: &[&str] = &["crosshatch", "operations", "readings"];

fn sections() -> Vec<(&'static str, &'static Field)> {
    let Shape::Table(table) = document_shape() else { return Vec::new() };
    let mut list: Vec<(&str, &Field)> = table
        .fields
        .iter()
        .map(|(key, field)| (key.as_str(), field))
        .filter(|(key, _)| !ELSEWHERE.contains(key))
        .collect();
    list.sort_by_key(|(key, _)| SECTIONS.iter().position(|o| o == key).unwrap_or(SECTIONS.len()));
    list
}

/// Shape of a section that has a form.
fn section_field(section: &str) -> Option<&'static Field> {
    sections().into_iter().find(|(key, _)| *key == section).map(|(_, field)| field)
}

/// Title of a section.
fn title(section: &str) -> String {
    sentence(&spaced(section))
}

/// All sections of the document, each with what it holds.
pub fn parts_index(view: &View) -> String {
    let body = html! {
        div.page {
            h1 { "Sizes and limits" }
            p { "Fill in what you know and leave out the rest: what is missing is named by the findings that need it. The same stands as text in the " a href=(view.at("document")) { "document" } "." }
            ul.sections {
                @for (key, field) in sections() {
                    li { a href=(view.at(&format!("parts/{key}"))) { strong { (title(key)) } small { (field.description) } } }
                }
            }
        }
    };
    framed(view, &page("Sizes and limits", view, body))
}

fn page<'a>(title: &'a str, view: &View, body: Markup) -> Page<'a> {
    Page {
        title,
        current: Current::Other,
        sheet: title.to_owned(),
        state: view.state(),
        scripts: &["form.js"],
        body,
    }
}

/// The form of one section; None when there is no such section.
///
/// `values` and `errors` are by dotted path inside the section. Values are as they stand in the document or as they
/// were just typed; `based_on` is the version of the document that they come from.
pub fn parts_page(
    view: &View,
    section: &str,
    values: &BTreeMap<String, String>,
    errors: &BTreeMap<String, String>,
    based_on: u64,
) -> Option<String> {
    let field = section_field(section)?;
    let form = Form { values, errors };
    let known = sections();
    let place = known.iter().position(|(key, _)| *key == section)?;
    let title = title(section);
    let body = html! {
        div.page {
            p.small { a href=(view.at("parts")) { "Sizes and limits" } }
            h1 { (title) }
            p { (field.description) " Each size with its unit, in the unit that you have: 88.012 mm or 3.4650 in." }
            @if !errors.is_empty() { p.error role="alert" { "Nothing was changed: " (count(errors.len(), "field needs", "fields need")) " another look." } }
            form.form method="post" action=(view.at(&format!("parts/{section}"))) {
                input type="hidden" name="_token" value=(view.token);
                input type="hidden" name="based_on" value=(based_on);
                (form.section(section, &field.shape))
                div.actions.no-print {
                    button.main type="submit" { "Keep" }
                    @if let Some((next, _)) = known.get(place + 1) { a.button href=(view.at(&format!("parts/{next}"))) { "Next: " (self::title(next)) } }
                }
            }
        }
    };
    Some(framed(view, &page(&title, view, body)))
}
