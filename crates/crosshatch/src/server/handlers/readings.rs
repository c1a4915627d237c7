//! A reading arrives: judged, flushed to the disk, assessed, and answered with what it means.

use super::super::app::App;
use super::super::errors::Fault;
use super::super::fragments::changed;
use super::form::refused;
use crate::workbench::{Assessed, ReadingAnswer, ReadingInput};
use ::engine::features::Sheet;
use ::engine::readings::Reading;
use axum::Json;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde_json::{Map, Value, json};
use std::sync::Arc;

/// POST /engine/{id}/readings
pub(in crate::server) async fn take(
    State(app): State<App>,
    Path(id): Path<String>,
    body: Result<Bytes, BytesRejection>,
) -> Response {
    let input = match body {
        Ok(bytes) => serde_json::from_slice::<ReadingInput>(&bytes).map_err(|problem| {
            let what = format!("The reading could not be read: {problem}. Nothing was stored.");
            Fault::new(StatusCode::UNPROCESSABLE_ENTITY, "Not understood", what)
        }),
        Err(rejection) => Err(refused(rejection.status(), &rejection.body_text())),
    };
    let input = match input {
        Ok(input) => input,
        Err(fault) => return fault.json(),
    };
    let answer = app
        .work(move |app| {
            let sheet = Sheet::from_id(&input.sheet);
            let (feature, seen) = (input.feature.clone(), input.seen);
            let answer = app.bench.take(&id, input)?;
            Ok(said(app, answer, &feature, seen, sheet))
        })
        .await;
    answer.unwrap_or_else(Fault::json)
}

fn said(app: &App, answer: ReadingAnswer, feature: &str, seen: u64, sheet: Option<Sheet>) -> Response {
    match answer {
        ReadingAnswer::Kept { number, before, after } => {
            let known = (before.last() == seen).then_some(&before);
            let mut out = fragments(app, &after, known, feature, sheet);
            out.insert("number".to_owned(), json!(number));
            out.insert("feature".to_owned(), json!(feature));
            out.insert("ask".to_owned(), Value::Null);
            Json(out).into_response()
        }
        ReadingAnswer::Asked { text, likely, differs, now } => {
            let ask = json!({ "text": text, "likely": likely, "differs": differs });
            Json(json!({ "number": null, "feature": feature, "ask": ask, "last": now.last() }))
                .into_response()
        }
        ReadingAnswer::Conflict { theirs, now } => {
            let mut out = fragments(app, &now, None, feature, sheet);
            let shown = out.get("shown").cloned().unwrap_or_else(|| json!(theirs.text));
            let Reading { who, number, .. } = *theirs;
            out.insert("number".to_owned(), Value::Null);
            out.insert("feature".to_owned(), json!(feature));
            out.insert("ask".to_owned(), Value::Null);
            out.insert("conflict".to_owned(), json!({ "shown": shown, "who": who, "number": number }));
            (StatusCode::CONFLICT, Json(out)).into_response()
        }
    }
}

/// What of the sheet changed, and what its field shows.
fn fragments(
    app: &App,
    now: &Arc<Assessed>,
    known: Option<&Arc<Assessed>>,
    feature: &str,
    sheet: Option<Sheet>,
) -> Map<String, Value> {
    let of_feature = || {
        let place = now.engine.catalogue.feature(feature)?;
        Some(now.engine.catalogue.tables[place.table].sheet)
    };
    let Some(sheet) = sheet.or_else(of_feature) else { return Map::new() };
    app.with_parts(now, sheet, |parts| {
        let mut out = match known {
            Some(moment) => app.with_parts(moment, sheet, |before| changed(parts, Some(before))),
            None => changed(parts, None),
        };
        if let Some(cell) = parts.cells.get(feature) {
            out.insert("shown".to_owned(), json!(cell.shown));
            // The browser waits for this field, whether it changed or not.
            if let Some(Value::Object(cells)) = out.get_mut("cells") {
                cells.insert(feature.to_owned(), json!(cell));
            }
        }
        out
    })
}
