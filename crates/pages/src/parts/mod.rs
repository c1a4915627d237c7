//! Sizes and limits part by part: a form for each section of the document, made from the document's own shape.

mod edits;
mod filled;
mod form;
mod limits_on_paper;
mod stand_in;
mod values;

use crate::frame::{Current, Page, View, framed};
use crate::words::{reader_words, sentence};
pub use edits::{BareNumbers, PartEdit, PartEdits, part_edits};
use engine::document::{Field, section_title};
use engine::quantity::UnitSystem;
pub use filled::given_words;
use filled::{document_values, filled, sections};
use form::Form;
pub use form::given_name;
use limits_on_paper::limits_on_paper;
use maud::{Markup, html};
use std::cell::Cell;
use std::collections::BTreeMap;
pub use values::part_values;

/// Shape of a section that has a form.
fn section_field(section: &str) -> Option<&'static Field> {
    sections().into_iter().find(|(key, _)| *key == section).map(|(_, field)| field)
}

/// What the section holds, where its title does not say it.
fn told(title: &str, field: &Field) -> String {
    let described = reader_words(&field.description);
    let text = described.as_str();
    let rest = text.strip_prefix(title).and_then(|rest| rest.trim_start_matches(';').strip_prefix(' '));
    match rest {
        Some(rest) if text.starts_with(&format!("{title};")) => sentence(rest),
        _ if text.trim_end_matches('.') == title => String::new(),
        _ => text.strip_prefix("Gauges, ").map_or_else(|| text.to_owned(), sentence),
    }
}

/// All sections of the document, each with how much of it is given and what is not.
pub fn parts_index(view: &View) -> String {
    let values = document_values(&view.engine.document);
    let body = html! {
        div.page {
            h1 { "Specification: sizes and limits" }
            p { "Fill in what you know and leave out the rest: what is missing is named by the findings that need it. The same stands as text in the " a href=(view.at("document")) { "document" } "." }
            table.figures.parts {
                thead { tr { th scope="col" { "part" } th scope="col" { "given" } th scope="col" { "not given" } } }
                tbody {
                    @for (key, field) in sections() {
                        @let title = section_title(key);
                        @let filled = filled(key, &field.shape, &values, view.proposed);
                        tr {
                            th scope="row" {
                                a href=(view.at(&format!("parts/{key}"))) { (title) }
                                @let told = told(&title, field);
                                @if !told.is_empty() { div.small.quiet { (told) } }
                            }
                            td { (filled.words()) }
                            td { @if filled.missing.is_empty() && filled.entries.is_none() { span.quiet { "nothing" } } @else { (filled.missing_words()) } }
                        }
                    }
                }
            }
        }
    };
    framed(view, &page(SPECIFICATION, view, body))
}

/// Title of the page that lists all sections.
const SPECIFICATION: &str = "Specification";

fn page<'a>(title: &'a str, view: &View, body: Markup) -> Page<'a> {
    Page {
        title,
        current: Current::Spec,
        sheet: if title == SPECIFICATION {
            "no. 2, Spec".to_owned()
        } else {
            format!("no. 2, Spec: {title}")
        },
        state: view.state(),
        scripts: &["form.js"],
        body,
    }
}

/// Questions about what was typed, asked once: sent again unchanged, it is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// The question by dotted path of the field; under the empty name where it is about no field of this form.
    pub fields: BTreeMap<String, String>,
    /// What says that they were asked when the form comes again.
    pub word: String,
}

/// What stands in a form: values by dotted path inside the section, as they stand in the document or were just typed, what is
/// wrong with them, what is asked about them.
#[derive(Clone, Copy, Debug)]
pub struct PartState<'a> {
    /// Values.
    pub values: &'a BTreeMap<String, String>,
    /// What is wrong.
    pub errors: &'a BTreeMap<String, String>,
    /// What is asked.
    pub asked: &'a Asked,
}

/// The form of one section of which nothing is asked; None when there is no such section. As [`parts_form`].
pub fn parts_page(
    view: &View,
    section: &str,
    values: &BTreeMap<String, String>,
    stands: &BTreeMap<String, String>,
    errors: &BTreeMap<String, String>,
    based_on: u64,
) -> Option<String> {
    parts_form(view, section, PartState { values, errors, asked: &Asked::default() }, stands, based_on)
}

/// The form of one section; None when there is no such section.
///
/// `stands` are the values by dotted path inside the section as they stand in the document; `based_on` is the version of the
/// document that they come from.
pub fn parts_form(
    view: &View,
    section: &str,
    state: PartState,
    stands: &BTreeMap<String, String>,
    based_on: u64,
) -> Option<String> {
    let PartState { values, errors, asked } = state;
    let field = section_field(section)?;
    let stand_ins = match section {
        "limits" => stand_in::stand_ins(&view.engine.document, view.units()),
        _ => BTreeMap::new(),
    };
    let shop = &view.engine.document.shop;
    let bare = BareNumbers { section, units: view.units(), shop, stands };
    let form = Form {
        values,
        errors,
        asked: &asked.fields,
        bare,
        stand_ins: &stand_ins,
        proposed: view.proposed,
        focused: Cell::new(false),
    };
    let known = sections();
    let place = known.iter().position(|(key, _)| *key == section)?;
    let title = section_title(section);
    // An example of a field of this section: of flow where a fuel is chosen, else a length.
    let example = match (section, view.units()) {
        ("fuel", _) => "550 cm3/min, or 0.55 L/min",
        (_, UnitSystem::Metric) => "88.012 mm, or 3.4650 in",
        (_, UnitSystem::Inch) => "3.4650 in, or 88.012 mm",
    };
    let body = html! {
        div.page {
            p.small { a href=(view.at("parts")) { "All of the specification" } }
            h1 { (title) }
            p { (told(&title, field)) " A number alone takes the unit behind its field; with its own unit, any other is taken as well: " (example) ". Leave out what you do not know." }
            (crate::words::caution(engine::cautions::of_section(section)))
            @if !errors.is_empty() { (form.summary()) }
            @if !asked.fields.is_empty() { (form.questions()) }
            @if section == "limits" { (limits_on_paper(&field.shape, values, &stand_ins)) }
            form.form method="post" action=(view.at(&format!("parts/{section}"))) {
                input type="hidden" name="_token" value=(view.token);
                input type="hidden" name="based_on" value=(based_on);
                @if !asked.word.is_empty() { input type="hidden" name="_asked" value=(asked.word); }
                (form.section(section, &field.shape))
                div.actions.keep-bar.no-print {
                    button.main type="submit" { "Keep" }
                    @if let Some((next, _)) = known.get(place + 1) { a.button href=(view.at(&format!("parts/{next}"))) { "Next: " (section_title(next)) } }
                }
            }
        }
    };
    Some(framed(view, &page(&title, view, body)))
}
