//! The log of readings, and readings from and to a CSV.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::download::attachment;
use super::form::{Posted, fields, get};
use super::{Done, problem};
use crate::workbench::{Assessed, Error, ReadingAnswer, ReadingInput};
use ::engine::quantity::counted;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// What of the log is asked for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(in crate::server) struct Asked {
    part: String,
    what: String,
    only: String,
}

/// GET /engine/{id}/readings
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(done): Query<Done>,
    Query(asked): Query<Asked>,
) -> Result<Page, Fault> {
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        let filter = pages::LogFilter { part: asked.part, what: asked.what, only: asked.only };
        Ok(Page(page(app, &assessed, &[], &filter, done.done.as_deref())))
    })
    .await
}

fn page(
    app: &App,
    assessed: &Assessed,
    problems: &[pages::Diagnostic],
    filter: &pages::LogFilter,
    done: Option<&str>,
) -> String {
    let notice = done.and_then(super::super::notices::sentence);
    let mut chain = match app.bench.verify(&assessed.id) {
        Ok(head) => {
            let entries = counted(head.entries as usize, "entry", "entries");
            format!("The chain of {entries} holds; it ends in {}.", head.log.in_groups())
        }
        Err(broken) => broken.to_string(),
    };
    if assessed.unplaced > 0 {
        chain = format!(
            "{chain} {} of them name places that the document no longer has; they stay in the record.",
            assessed.unplaced
        );
    }
    let recorded = assessed.engine.recorded_operations();
    for sentence in engine::readings::parts_not_said(recorded, &assessed.engine.catalogue) {
        chain = format!("{chain} {sentence}");
    }
    let power = app.power_words(&assessed.id);
    pages::readings_page(&app.view(assessed, &power, notice.as_deref()), &chain, problems, filter)
}

/// GET /engine/{id}/readings.csv
pub(in crate::server) async fn download(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Result<Response, Fault> {
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        // The name under which `check` looks for it beside the document.
        let headers = attachment("text/csv; charset=utf-8", &format!("{}.readings.csv", assessed.id));
        Ok((headers, assessed.readings_csv()).into_response())
    })
    .await
}

/// POST /engine/{id}/readings.csv
pub(in crate::server) async fn import(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    app.work(move |app| match app.bench.import_csv(&id, get(&fields, "csv"), "readings.csv") {
        Ok(taken) => {
            let word = if taken.added > 0 && taken.known > 0 { "partly" } else { "imported" };
            Ok(Redirect::to(&format!("/engine/{id}/readings?done={word}-{}", taken.added)).into_response())
        }
        Err(Error::Document(diagnostics)) => {
            let assessed = app.bench.engine(&id)?;
            let problems: Vec<pages::Diagnostic> = diagnostics.iter().map(problem).collect();
            Ok((
                StatusCode::UNPROCESSABLE_ENTITY,
                Page(page(app, &assessed, &problems, &pages::LogFilter::default(), None)),
            )
                .into_response())
        }
        Err(other) => Err(other.into()),
    })
    .await
}

/// POST /engine/{id}/readings/back: takes one reading back, also the older one of two whose mean counts.
pub(in crate::server) async fn take_back(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Redirect, Fault> {
    let fields = fields(&app, posted)?;
    let typed = get(&fields, "number").to_owned();
    app.work(move |app| {
        let assessed = app.bench.engine(&id)?;
        let found = assessed.engine.readings.iter().find(|r| r.number.to_string() == typed);
        let reading = found.ok_or_else(|| Fault::missing(format!("There is no reading {typed}.")))?;
        let input = ReadingInput {
            // Sent twice it is taken back once.
            delivery_key: format!("back-{}", reading.number),
            feature: reading.feature.clone(),
            corrects: Some(reading.number),
            withdrawn: true,
            seen: assessed.last(),
            ..ReadingInput::default()
        };
        match app.bench.take(&id, input)? {
            ReadingAnswer::Kept { .. } => {
                Ok(Redirect::to(&format!("/engine/{id}/readings?done=reading-back#reading-{typed}")))
            }
            _ => Err(Fault::new(
                StatusCode::CONFLICT,
                "Changed meanwhile",
                format!("Reading {typed} stands no longer: it was corrected or taken back meanwhile. Nothing was changed."),
            )
            .link(format!("/engine/{id}/readings"), "Readings")),
        }
    })
    .await
}
