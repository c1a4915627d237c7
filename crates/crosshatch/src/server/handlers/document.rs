//! The document as text.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::download::attachment;
use super::form::{Posted, fields, get};
use super::{Done, problem};
use crate::workbench::{Assessed, Error};
use ::engine::document::parse_document;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// GET /engine/{id}/document
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(done): Query<Done>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        let mut remarks: Vec<pages::Diagnostic> =
            parse_document(&assessed.text, "engine document").diagnostics.iter().map(problem).collect();
        remarks.extend(unplaced(&assessed));
        let done = done.done.as_deref();
        page(app, &assessed, &assessed.text, &remarks, assessed.version, done).map(Page)
    })
    .await
}

/// Readings of the log whose places this document does not have.
fn unplaced(assessed: &Assessed) -> Option<pages::Diagnostic> {
    let count = assessed.unplaced;
    (count > 0).then(|| pages::Diagnostic {
        error: false,
        line: None,
        column: None,
        message: if count == 1 {
            "1 reading of the log names a place that this document does not have.".to_owned()
        } else {
            format!("{count} readings of the log name places that this document does not have.")
        },
        help: Some("They stay in the record and count for nothing here: look whether a cylinder, valve or journal was taken out by mistake.".to_owned()),
    })
}

/// All versions, the newest first.
fn versions(app: &App, assessed: &Assessed) -> Result<Vec<pages::Version>, Fault> {
    let shown = |v: store::DocumentInfo| pages::Version {
        current: v.version == assessed.version,
        number: v.version,
        when: v.when,
        who: v.who,
        note: v.note,
    };
    Ok(app.bench.versions(&assessed.id)?.into_iter().rev().map(shown).collect())
}

/// The one whose number was asked for.
fn one<'a>(all: &'a [pages::Version], asked: &str, engine: &str) -> Result<&'a pages::Version, Fault> {
    all.iter().find(|v| v.number.to_string() == asked.trim()).ok_or_else(|| {
        Fault::missing(format!("This document has no version \"{asked}\"."))
            .link(format!("/engine/{engine}/document"), "Document")
    })
}

/// GET /engine/{id}/document/version/{version}
pub(in crate::server) async fn version(
    State(app): State<App>,
    Path((id, number)): Path<(String, String)>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        let versions = versions(app, &assessed)?;
        let version = one(&versions, &number, &assessed.id)?;
        let text = app.bench.version(&assessed.id, version.number)?;
        let power = app.power_words(&assessed.id);
        Ok(Page(pages::version_page(&app.view(&assessed, &power, None), version, &text, &versions)))
    })
    .await
}

/// Which versions are compared.
#[derive(Debug, Deserialize)]
pub(in crate::server) struct Compared {
    #[serde(default)]
    from: String,
    #[serde(default)]
    to: String,
}

/// GET /engine/{id}/document/changes?from=1&to=2
pub(in crate::server) async fn changes(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(Compared { from, to }): Query<Compared>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        let versions = versions(app, &assessed)?;
        let (before, after) = (one(&versions, &from, &assessed.id)?, one(&versions, &to, &assessed.id)?);
        let text = |version: &pages::Version| app.bench.version(&assessed.id, version.number);
        let (old, new) = (text(before)?, text(after)?);
        let power = app.power_words(&assessed.id);
        let view = app.view(&assessed, &power, None);
        Ok(Page(pages::changes_page(&view, (before, &old), (after, &new), &versions)))
    })
    .await
}

fn page(
    app: &App,
    assessed: &Assessed,
    text: &str,
    problems: &[pages::Diagnostic],
    based_on: u64,
    done: Option<&str>,
) -> Result<String, Fault> {
    let notice = done.and_then(super::super::notices::sentence);
    let versions = versions(app, assessed)?;
    let power = app.power_words(&assessed.id);
    Ok(pages::document_page(
        &app.view(assessed, &power, notice.as_deref()),
        text,
        problems,
        &versions,
        based_on,
    ))
}

/// POST /engine/{id}/document
pub(in crate::server) async fn save(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| {
        // A form sends line ends as the web does; the document keeps its own.
        let text = get(&fields, "text").replace("\r\n", "\n");
        let based_on: u64 = get(&fields, "based_on").parse().unwrap_or(0);
        let (status, problems, based_on) =
            match app.bench.save_document(&id, &text, based_on, "edited by hand") {
                Ok(kept) => {
                    return Ok(Redirect::to(&format!("/engine/{id}/document?done=kept-{}", kept.version))
                        .into_response());
                }
                Err(Error::Document(diagnostics)) => {
                    (StatusCode::UNPROCESSABLE_ENTITY, diagnostics.iter().map(problem).collect(), based_on)
                }
                Err(Error::Conflict { based_on, latest, theirs }) => {
                    (StatusCode::CONFLICT, conflict(&text, &theirs, based_on, latest), latest)
                }
                Err(other) => return Err(other.into()),
            };
        let assessed = app.bench.engine(&id)?;
        let html = page(app, &assessed, &text, &problems, based_on, None)?;
        Ok((status, Page(html)).into_response())
    })
    .await
}

/// Both texts where they differ: yours stays in the field, theirs stands beside it, line by line.
fn conflict(mine: &str, theirs: &str, based_on: u64, latest: u64) -> Vec<pages::Diagnostic> {
    let first = pages::Diagnostic {
        error: true,
        line: None,
        column: None,
        message: format!(
            "Somebody kept version {latest} meanwhile; your text started from version {based_on}. \
             It stands here unchanged and is not kept yet."
        ),
        help: Some(format!(
            "Below are the lines of version {latest} that your text does not have. Take over what you want and keep \
             your text: it then follows version {latest}."
        )),
    };
    let own: std::collections::HashSet<&str> = mine.lines().map(str::trim_end).collect();
    let missing = theirs
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty() && !own.contains(line.trim_end()));
    let lines = missing.take(100).map(|(i, line)| pages::Diagnostic {
        error: false,
        line: None,
        column: None,
        message: line.to_owned(),
        help: Some(format!("line {} of version {latest}", i + 1)),
    });
    std::iter::once(first).chain(lines).collect()
}

/// GET /engine/{id}/document.toml
pub(in crate::server) async fn download(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Result<Response, Fault> {
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        let headers = attachment("application/toml; charset=utf-8", &format!("{}.toml", assessed.id));
        let text = assessed
            .whole_text()
            .map_err(|error| Error::Fields([("download".to_owned(), error.to_string())].into()))?;
        Ok((headers, text).into_response())
    })
    .await
}
