//! Pages that belong to no single engine: the shelf, a new engine, an error.

use crate::frame::unbound;
use crate::parts::Asked;
use engine::document::NewEngine;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// One engine on the shelf.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShelfEntry {
    /// Name in addresses.
    pub id: String,
    /// What the shop calls it.
    pub name: String,
    /// A made-up example.
    pub invented: bool,
    /// "inline 4, 2089 cm³".
    pub layout: String,
    /// How it stands: "5 stop the build".
    pub words: String,
    /// When it last changed.
    pub changed: String,
    /// Put away: it stands apart, and nothing of it is lost.
    pub away: bool,
}

/// The shelf: all engines on this machine.
pub fn shelf_page(token: &str, engines: &[ShelfEntry], notice: Option<&str>) -> String {
    let body = html! {
        @if let Some(notice) = notice { p.notice role="status" { (notice) } }
        div.page.shelf {
            h1 { "Engines on this machine" }
            @if engines.is_empty() { p { "None yet." } }
            @let (away, here): (Vec<&ShelfEntry>, Vec<&ShelfEntry>) = engines.iter().partition(|engine| engine.away);
            (rows(token, &here))
            @if !away.is_empty() {
                details { summary { "Put away " span.count { (away.len()) } } (rows(token, &away)) }
            }
            p.actions { a.button.main href="/new" { "Start a new engine" } a.button href="/backups" { "Backup" } }
        }
    };
    unbound("Shelf", token, &[], &body)
}

fn rows(token: &str, engines: &[&ShelfEntry]) -> Markup {
    html! {
        ul {
            @for engine in engines {
                li.shelf-row {
                    a.engine-row href=(format!("/engine/{}", crate::words::path_query(&engine.id))) {
                        strong { (named(&engine.name)) }
                        span { (engine.layout) }
                        span { (engine.words) }
                        span.quiet.small { @if engine.invented { "invented example" } @else { (engine.changed) } }
                    }
                    form.no-print method="post" action=(format!("/engine/{}/away", crate::words::path_query(&engine.id))) {
                        input type="hidden" name="_token" value=(token);
                        input type="hidden" name="away" value=(if engine.away { "no" } else { "yes" });
                        button type="submit" { @if engine.away { "Put on the shelf" } @else { "Put away" } span.reader-only { " " (named(&engine.name)) } }
                    }
                }
            }
        }
    }
}

fn named(name: &str) -> &str {
    if name.trim().is_empty() { "Engine without a name" } else { name }
}

/// The page from which an engine is started: a layout in plain words, or a copy.
pub fn new_page(
    token: &str,
    form: &NewEngine,
    engines: &[ShelfEntry],
    errors: &BTreeMap<String, String>,
) -> String {
    new_form(token, form, engines, errors, &Asked::default())
}

/// The same with questions about what was typed, asked once.
pub fn new_page_asked(token: &str, form: &NewEngine, engines: &[ShelfEntry], asked: &Asked) -> String {
    new_form(token, form, engines, &BTreeMap::new(), asked)
}

fn new_form(
    token: &str,
    form: &NewEngine,
    engines: &[ShelfEntry],
    errors: &BTreeMap<String, String>,
    asked: &Asked,
) -> String {
    let body = html! {
        div.page {
            h1 { "New engine" }
            p { "A name and a layout are enough to start. Everything else is filled in when you know it; what is missing is named, never guessed." }
            @if !errors.is_empty() {
                div.error-summary role="alert" {
                    h2 { "Not started yet: " (crate::words::count(errors.len(), "field needs", "fields need")) " another look" }
                    ul { @for (name, problem) in errors { li { a href=(format!("#{name}")) { (field_words(name)) } ": " (problem) } } }
                }
            }
            @if !asked.fields.is_empty() {
                div.questions role="alert" {
                    h2 { "Not started yet: is this meant?" }
                    ul { @for (name, question) in &asked.fields { li { @if !name.is_empty() { a href=(format!("#{name}")) { (field_words(name)) } ": " } (question) } } }
                    p { "Asked once: start it again, or Enter in a field, and it is kept as it is." }
                }
            }
            form.form method="post" action="/new" {
                input type="hidden" name="_token" value=(token);
                @if !asked.word.is_empty() { input type="hidden" name="_asked" value=(asked.word); }
                (text(errors, "name", "What the shop calls it", &form.name, "hill-climb 2.1", "", true))
                (arrangement(form, engines, errors))
                // What a layout or a copy does not ask for is hidden by the style alone, so that it works without a script.
                @if !engines.is_empty() { div.of-copy { (copies(form, engines, errors)) } }
                div.of-layout {
                    (text(errors, "cylinders", "Number of cylinders", &form.cylinders, "4", "1 to 6 in one row; 2, 4, 6, 8, 10 or 12 in two banks.", false))
                    div.of-vee { (text(errors, "bank_angle", "Angle between the banks", &form.bank_angle, "90 deg", "Left empty: the usual one for this number, marked to be checked.", false)) }
                    (units(form))
                    (text(errors, "bore", "Bore, if known", &form.bore, "89.100 mm or 3.5079 in", "A number alone takes the unit chosen above.", false))
                    (text(errors, "stroke", "Stroke, if known", &form.stroke, "83.90 mm or 3.3031 in", "", false))
                    (text(errors, "main_bearings", "Main bearings, if known", &form.main_bearings, "", "Left empty: one more than the crank throws; in a vee one more than the cylinders of a bank.", false))
                    (text(errors, "intake_valves", "Intake valves of each cylinder", &form.intake_valves, "", "Left empty: no valve is asked for yet.", false))
                    (text(errors, "exhaust_valves", "Exhaust valves of each cylinder", &form.exhaust_valves, "", "Left empty: no valve is asked for yet.", false))
                }
                div.actions { button.main type="submit" { "Start this engine" } a.button href="/" { "Back to the shelf" } }
            }
            (crate::from_file::section(token))
        }
    };
    unbound("New engine", token, &["form.js"], &body)
}

fn field_words(name: &str) -> String {
    match name {
        "copy_of" => "Engine to copy".to_owned(),
        "arrangement" => "How the cylinders stand".to_owned(),
        _ => crate::words::sentence(&crate::words::spaced(name)),
    }
}

fn text(
    errors: &BTreeMap<String, String>,
    name: &str,
    label: &str,
    value: &str,
    example: &str,
    hint: &str,
    required: bool,
) -> Markup {
    let error = errors.get(name);
    let note = format!("{name}-note");
    html! {
        div.field {
            label for=(name) { (label) }
            div.entry { input id=(name) name=(name) type="text" value=(value) placeholder=(example) autocomplete="off" required[required] aria-invalid=[error.map(|_| "true")] aria-describedby=(note); }
            div id=(note) class=(if error.is_some() { "error" } else { "hint" }) { @if let Some(error) = error { (error) } @else { (hint) } }
        }
    }
}

fn arrangement(form: &NewEngine, engines: &[ShelfEntry], errors: &BTreeMap<String, String>) -> Markup {
    let chosen = if form.arrangement.is_empty() { "inline" } else { form.arrangement.as_str() };
    let mut choices = vec![
        ("inline", "Inline: in one row", sketch(&[0.0])),
        ("vee", "Two banks in a vee", sketch(&[-45.0, 45.0])),
        ("flat", "Flat: two banks lying opposite", sketch(&[-90.0, 90.0])),
    ];
    if !engines.is_empty() {
        choices.push(("copy", "A copy of an engine I have", copy_sketch()));
    }
    html! {
        fieldset {
            legend id="arrangement" { "How the cylinders stand" }
            @if let Some(error) = errors.get("arrangement") { p.error { (error) } }
            div.choices {
                @for (word, label, drawing) in choices {
                    label { input type="radio" name="arrangement" value=(word) checked[word == chosen]; span { (label) } (drawing) }
                }
            }
        }
    }
}

/// Banks seen along the crank: a bore, a piston, a rod, for each bank at its angle from upright.
fn sketch(angles: &[f64]) -> Markup {
    html! {
        svg viewBox="0 0 160 92" aria-hidden="true" fill="none" stroke="#1b1f24" stroke-width="1.4" {
            circle cx="80" cy="66" r="13" {}
            circle cx="80" cy="66" r="1.6" fill="#1b1f24" {}
            @for angle in angles {
                g transform=(format!("rotate({angle} 80 66)")) {
                    path d="M80 78V2" stroke-width=".7" stroke-dasharray="8 3 2 3" {}
                    path d="M67 46V8H93V46" {}
                    path d="M67 34H93V18H67Z" fill="#f1efe7" {}
                    path d="M80 27V58" stroke-width="2.4" {}
                }
            }
        }
    }
}

fn copy_sketch() -> Markup {
    html! {
        svg viewBox="0 0 160 92" aria-hidden="true" fill="#fbfaf6" stroke="#1b1f24" stroke-width="1.4" {
            rect x="44" y="10" width="62" height="54" {} rect x="56" y="24" width="62" height="54" {}
            path d="M66 38H108M66 48H108M66 58H92" stroke-width=".9" {}
        }
    }
}

fn units(form: &NewEngine) -> Markup {
    let inch = form.units == "inch";
    html! {
        div.field {
            label for="units" { "Sizes are shown in" }
            div.entry { select id="units" name="units" {
                option value="metric" selected[!inch] { "millimetres, newtons, bar, \u{b0}C" }
                option value="inch" selected[inch] { "inches, pounds, psi, \u{b0}F" }
            } }
            div.hint { "Both may be typed at any time; each value keeps the unit in which it was written." }
        }
    }
}

fn copies(form: &NewEngine, engines: &[ShelfEntry], errors: &BTreeMap<String, String>) -> Markup {
    let error = errors.get("copy_of");
    html! {
        div.field {
            label for="copy_of" { "Engine to copy" }
            div.entry { select id="copy_of" name="copy_of" aria-describedby="copy_of-note" {
                option value="" { "none" }
                @for engine in engines { option value=(engine.id) selected[engine.id == form.copy_of] { (named(&engine.name)) @if engine.invented { " (invented example)" } } }
            } }
            div id="copy_of-note" class=(if error.is_some() { "error" } else { "hint" }) {
                @if let Some(error) = error { (error) } @else { "Sizes, limits, gauges and stock are taken over; readings and operations are not." }
            }
        }
    }
}

/// A page for what went wrong: what, and where to go on.
pub fn error_page(status: u16, title: &str, what: &[String], links: &[(String, String)]) -> String {
    let body = html! {
        div.page data-status=(status) {
            h1 { (title) }
            @for line in what { p { (crate::words::full_stop(line)) } }
            @if !links.is_empty() { p.actions { @for (href, label) in links { a.button href=(href) { (label) } } } }
            p.quiet.small { "Nothing was changed." }
        }
    };
    unbound(title, "", &[], &body)
}
