//! The document as text: edited by hand, read back, its versions.

use crate::document_versions::{changes_at, version_at};
use crate::frame::{Current, Page, View, framed};
use maud::{Markup, html};

/// What is wrong with a text, with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// True when nothing was taken over because of it.
    pub error: bool,
    /// Line, 1 first.
    pub line: Option<usize>,
    /// Column, 1 first.
    pub column: Option<usize>,
    /// What is wrong and what is expected.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
}

/// One version of a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// Number, 1 first.
    pub number: u64,
    /// When.
    pub when: String,
    /// Who.
    pub who: String,
    /// What changed, in words.
    pub note: String,
    /// The one in use.
    pub current: bool,
}

/// The list of what is wrong; each line leads to its place in the text.
pub(crate) fn problem_list(problems: &[Diagnostic], text_id: &str) -> Markup {
    html! {
        ul.problems data-text=(text_id) {
            @for problem in problems {
                li {
                    span.at.stops[problem.error] {
                        @if problem.error { "error" } @else { "remark" }
                        @if let Some(line) = problem.line {
                            " in line " (line)
                            @if let Some(column) = problem.column { ", column " (column) }
                        }
                    }
                    p { (problem.message) }
                    @if let Some(help) = &problem.help { p.quiet { (help) } }
                    @if let Some(line) = problem.line {
                        button.no-print type="button" data-line=(line) data-column=(problem.column.unwrap_or(1)) { "Go there" }
                    }
                }
            }
        }
    }
}

/// The document page: `text` as it stands or as it was just typed, what is wrong with it, and its versions.
pub fn document_page(
    view: &View,
    text: &str,
    problems: &[Diagnostic],
    versions: &[Version],
    based_on: u64,
) -> String {
    let body = html! {
        div.page {
            h1 { "Document" }
            p { "Everything about this engine, as text. Comments stay. Quantities are written with their unit; what you do not know yet is left out." }
            div.beside {
                form method="post" action=(view.at("document")) {
                    input type="hidden" name="_token" value=(view.token);
                    input type="hidden" name="based_on" value=(based_on);
                    label.reader-only for="text" { "Document text" }
                    // A line feed first: a browser drops the first one after the tag.
                    textarea.document id="text" name="text" spellcheck="false" autocomplete="off" wrap="off" { "\n" (text) }
                    // On paper a field would be cut at the foot of each sheet; plain text goes on over it.
                    pre.as-text aria-hidden="true" { "\n" (text) }
                    div.actions.no-print {
                        button.main type="submit" { "Keep this text" }
                        a.button href=(view.at("document.toml")) download { "Download" @if view.engine.recorded_operations().iter().any(|o| !o.withdrawn) { ", with the operations recorded" } }
                        a.button href=(view.at("readings.csv")) download { "Download its readings" }
                    }
                    p.small.no-print { "Kept side by side in one folder, " code { (view.id) ".toml" } " and " code { (view.id) ".readings.csv" } " are one engine: " code { "crosshatch check " (view.id) ".toml" } " finds the readings under that name by itself." }
                }
                div {
                    h2 { @if problems.is_empty() { "The text is read without a mistake" } @else { "What is wrong with the text" } }
                    @if problems.is_empty() { p.small { "How the engine stands is on the " a href=(view.at("")) { "engine sheet" } "." } }
                    (problem_list(problems, "text"))
                    @if problems.iter().any(|p| p.error) { p { b { "Nothing was changed." } " The text is kept here until you leave the page." } }
                    (version_list(view, versions))
                }
            }
        }
    };
    framed(
        view,
        &Page {
            title: "Document",
            current: Current::Other,
            sheet: format!("no. 14, Document: version {based_on}"),
            state: view.state(),
            scripts: &["form.js"],
            body,
        },
    )
}

fn version_list(view: &View, versions: &[Version]) -> Markup {
    let latest = versions.iter().find(|v| v.current).map(|v| v.number);
    html! {
        h2 { "Versions" }
        @if versions.is_empty() { p.quiet { "Only this one." } }
        ol.plain {
            @for version in versions {
                li {
                    b { (version.number) } " " (version.note) @if version.current { " " b { "(in use)" } }
                    div.small.quiet { (crate::words::when(&version.when)) @if !version.who.is_empty() { ", " (version.who) } }
                    div.small.version-links.no-print {
                        a href=(version_at(view, version.number)) { "Open this version" span.reader-only { ", " (version.number) } }
                        @if let Some(latest) = latest.filter(|n| *n != version.number) {
                            a href=(changes_at(view, version.number, latest)) { "What changed since" span.reader-only { " version " (version.number) } }
                        }
                    }
                }
            }
        }
    }
}
