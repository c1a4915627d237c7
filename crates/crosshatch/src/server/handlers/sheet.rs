//! A reading sheet.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::Done;
use ::engine::features::Sheet;
use axum::extract::{Path, Query, State};

/// GET /engine/{id}/sheet/{sheet}
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path((id, sheet)): Path<(String, String)>,
    Query(done): Query<Done>,
) -> Result<Page, Fault> {
    let sheet = known(&sheet)?;
    app.page(id, done.done, move |view| Ok(pages::sheet_page(view, sheet))).await
}

/// The sheet of that name.
pub(super) fn known(name: &str) -> Result<Sheet, Fault> {
    Sheet::from_id(name).ok_or_else(|| {
        let names: Vec<&str> = Sheet::ALL.iter().map(|s| s.id()).collect();
        Fault::missing(format!("There is no sheet \"{name}\"; there are {}.", names.join(", ")))
    })
}
