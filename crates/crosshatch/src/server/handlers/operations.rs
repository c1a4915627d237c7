//! Record an operation, or take it back.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::form::{Posted, fields, get};
use crate::workbench::{Error, OperationInput};
use ::engine::features::Sheet;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use pages::OperationForm;

/// POST /engine/{id}/operations
pub(in crate::server) async fn record(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    let text = |name: &str| get(&fields, name).to_owned();
    let back = Sheet::from_id(get(&fields, "back"));
    let input = OperationInput {
        kind: text("kind"),
        only: text("only"),
        name: text("name"),
        note: text("note"),
        amount: text("amount"),
        asked: text("asked"),
        sheet: back,
    };
    app.work(move |app| {
        let at = match back {
            Some(sheet) => format!("/engine/{id}/sheet/{}", sheet.id()),
            None => format!("/engine/{id}"),
        };
        match (app.bench.record_operation(&id, &input), back) {
            (Ok(_), _) => Ok(Redirect::to(&format!("{at}?done=operation")).into_response()),
            (Err(Error::Fields(errors)), Some(sheet)) => {
                let OperationInput { kind, only, note, amount, name: _, asked: _, sheet: _ } = input;
                let refused = OperationForm { kind, only, amount, note, errors };
                let assessed = app.bench.engine(&id)?;
                let power = app.power_words(&id);
                let html = pages::refused_operation_page(&app.view(&assessed, &power, None), sheet, &refused);
                Ok((StatusCode::UNPROCESSABLE_ENTITY, Page(html)).into_response())
            }
            (Err(error), _) => Err(Fault::from(error).link(at, "Back to the sheet")),
        }
    })
    .await
}

/// POST /engine/{id}/operations/back
pub(in crate::server) async fn take_back(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Response, Fault> {
    let fields = fields(&app, posted)?;
    let at = format!("/engine/{id}/readings");
    app.work(move |app| match app.bench.take_back_operation(&id, get(&fields, "name")) {
        Ok(_) => Ok(Redirect::to(&format!("{at}?done=operation-back")).into_response()),
        Err(error) => Err(Fault::from(error).link(at, "Back to the readings")),
    })
    .await
}
