//! What changed since a reading: other browsers on the same sheet ask every two seconds.

use super::super::app::App;
use super::super::errors::Fault;
use super::super::fragments::changed;
use super::sheet::known;
use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// What the address says.
#[derive(Debug, Deserialize)]
pub(in crate::server) struct Asked {
    #[serde(default)]
    after: u64,
    #[serde(default)]
    sheet: String,
}

/// The moment that a page shows.
#[derive(Debug, Deserialize)]
pub(in crate::server) struct Shown {
    #[serde(default)]
    is: String,
}

/// GET /engine/{id}/moment?is=3.2.542: 204 when the page shows the engine as it is now.
pub(in crate::server) async fn moment(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(shown): Query<Shown>,
) -> Response {
    let answer = app
        .work(move |app| {
            let since = app.bench.engine(&id)?.since(&shown.is);
            if since.is_nothing() {
                return Ok(StatusCode::NO_CONTENT.into_response());
            }
            Ok(Json(since).into_response())
        })
        .await;
    answer.unwrap_or_else(Fault::json)
}

/// GET /engine/{id}/changes?after=120&sheet=bores: 204 when there is nothing new.
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Response {
    let answer = app
        .work(move |app| {
            let sheet = known(&asked.sheet)?;
            let assessed = app.bench.engine(&id)?;
            if assessed.last() <= asked.after {
                return Ok(StatusCode::NO_CONTENT.into_response());
            }
            Ok(Json(app.with_parts(&assessed, sheet, |parts| changed(parts, None))).into_response())
        })
        .await;
    answer.unwrap_or_else(Fault::json)
}
