//! One file for each page.

pub(super) mod assets;
pub(super) mod backups;
pub(super) mod changes;
pub(super) mod document;
mod download;
pub(super) mod engine;
pub(super) mod finding;
pub(super) mod fits;
mod form;
pub(super) mod new;
pub(super) mod new_file;
pub(super) mod operations;
pub(super) mod parts;
pub(super) mod plan;
pub(super) mod power;
pub(super) mod reading_log;
pub(super) mod readings;
pub(super) mod sheet;
pub(super) mod shelf;

use serde::Deserialize;

/// What was done just before, from `?done=`.
#[derive(Debug, Default, Deserialize)]
pub(super) struct Done {
    pub done: Option<String>,
}

/// From what the engine says of a text to what a page shows.
fn problem(d: &::engine::document::Diagnostic) -> pages::Diagnostic {
    let nearest = d.nearest.as_ref().map(|n| format!("nearest: {n}"));
    let expected = d.expected.as_ref().map(|e| format!("expected: {e}"));
    let help: Vec<String> = [expected, nearest, d.hint.clone()].into_iter().flatten().collect();
    pages::Diagnostic {
        error: d.is_error(),
        line: Some(d.line),
        column: Some(d.column),
        message: d.message.clone(),
        help: Some(help.join("; ")).filter(|h| !h.is_empty()),
    }
}

/// Questions as the pages show them.
fn asked(questions: crate::workbench::Questions) -> pages::Asked {
    pages::Asked { fields: questions.fields, word: questions.word }
}
