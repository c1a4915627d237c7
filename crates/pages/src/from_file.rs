//! An engine from a file: chosen on the page for a new engine, shown again with what is wrong when it is refused.

use crate::document_sheet::{Diagnostic, problem_list};
use crate::frame::unbound;
use crate::words::count;
use maud::{Markup, html};

/// What was sent: the texts as they stand in the files, or as they were mended on the page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FromFile {
    /// Name of the document's file.
    pub file: String,
    /// Its text.
    pub document: String,
    /// Text of the readings; empty when there are none.
    pub readings: String,
    /// What is wrong with the document.
    pub document_problems: Vec<Diagnostic>,
    /// What is wrong with the readings.
    pub reading_problems: Vec<Diagnostic>,
}

/// The part of the page for a new engine.
pub(crate) fn section(token: &str) -> Markup {
    html! {
        section.from-file aria-labelledby="from-file" {
            h2 id="from-file" { "From a file" }
            p { "An engine document (.toml) that was downloaded, or written by hand, with its readings (.readings.csv) where there are some." }
            form.form method="post" action="/new/file" enctype="multipart/form-data" {
                input type="hidden" name="_token" value=(token);
                (file("document_file", "Engine document", ".toml,text/plain", true))
                (file("readings_file", "Readings, if there are any", ".csv,text/csv", false))
                div.actions { button type="submit" { "Take it in" } }
            }
        }
    }
}

fn file(name: &str, label: &str, accept: &str, required: bool) -> Markup {
    html! {
        div.field {
            label for=(name) { (label) }
            div.entry { input id=(name) name=(name) type="file" accept=(accept) required[required]; }
        }
    }
}

/// The page that shows a refused file with what is wrong. It can be mended here and sent again.
pub fn from_file_page(token: &str, sent: &FromFile) -> String {
    let wrong = sent.document_problems.iter().chain(&sent.reading_problems).filter(|p| p.error).count();
    let body = html! {
        div.page {
            h1 { "Engine from a file" }
            p.error role="alert" { "Not taken in yet: " (count(wrong, "mistake", "mistakes")) ". Nothing was changed on this machine, and nothing of the file is lost: mend it here, or mend the file and choose it again." }
            form.form method="post" action="/new/file" enctype="multipart/form-data" {
                input type="hidden" name="_token" value=(token);
                input type="hidden" name="file" value=(sent.file);
                (text("document", "Engine document", &sent.document, &sent.document_problems))
                (text("readings", "Readings", &sent.readings, &sent.reading_problems))
                div.actions {
                    button.main type="submit" { "Take it in" }
                    a.button href="/new#from-file" { "Choose the file again" }
                }
            }
        }
    };
    unbound("Engine from a file", token, &["form.js"], &body)
}

fn text(name: &str, label: &str, text: &str, problems: &[Diagnostic]) -> Markup {
    let wrong = problems.iter().any(|p| p.error);
    let problems_id = format!("{name}-problems");
    html! {
        label for=(name) { b { (label) } }
        @if !problems.is_empty() { div id=(problems_id) { (problem_list(problems, name)) } }
        // A line feed first: a browser drops the first one after the tag.
        textarea.document id=(name) name=(name) spellcheck="false" autocomplete="off" wrap="off" autofocus[wrong && name == "document"] aria-invalid=[wrong.then_some("true")] aria-describedby=[(!problems.is_empty()).then_some(problems_id.as_str())] { "\n" (text) }
    }
}
