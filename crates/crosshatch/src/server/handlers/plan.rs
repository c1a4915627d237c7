//! The plan sheet.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use axum::extract::{Path, State};

/// GET /engine/{id}/plan
pub(in crate::server) async fn show(State(app): State<App>, Path(id): Path<String>) -> Result<Page, Fault> {
    app.page(id, None, |view| Ok(pages::plan_page(view))).await
}
