//! Record an operation.

use super::super::app::App;
use super::super::errors::Fault;
use super::form::{Posted, fields, get};
use crate::workbench::OperationInput;
use ::engine::features::Sheet;
use axum::extract::{Path, State};
use axum::response::Redirect;

/// POST /engine/{id}/operations
pub(in crate::server) async fn record(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Redirect, Fault> {
    let fields = fields(&app, posted)?;
    let text = |name: &str| get(&fields, name).to_owned();
    let input = OperationInput {
        kind: text("kind"),
        only: text("only"),
        name: text("name"),
        note: text("note"),
        amount: text("amount"),
    };
    let back = Sheet::from_id(get(&fields, "back"));
    app.work(move |app| {
        let at = match back {
            Some(sheet) => format!("/engine/{id}/sheet/{}", sheet.id()),
            None => format!("/engine/{id}"),
        };
        match app.bench.record_operation(&id, &input) {
            Ok(_) => Ok(Redirect::to(&format!("{at}?done=operation"))),
            Err(error) => Err(Fault::from(error).link(at, "Back to the sheet")),
        }
    })
    .await
}
