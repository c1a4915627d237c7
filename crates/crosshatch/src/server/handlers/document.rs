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

fn page(
    app: &App,
    assessed: &Assessed,
    text: &str,
    problems: &[pages::Diagnostic],
    based_on: u64,
    done: Option<&str>,
) -> Result<String, Fault> {
    let notice = done.and_then(super::super::notices::sentence);
    let versions: Vec<pages::Version> = app
        .bench
        .versions(&assessed.id)?
        .into_iter()
        .rev()
        .map(|v| pages::Version {
            current: v.version == assessed.version,
            number: v.version,
            when: v.when,
            who: v.who,
            note: v.note,
        })
        .collect();
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
