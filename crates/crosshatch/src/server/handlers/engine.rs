//! The engine sheet.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use axum::extract::{Path, Query, State};
use serde::Deserialize;

/// What the address says.
#[derive(Debug, Deserialize)]
pub(in crate::server) struct Asked {
    angle: Option<String>,
    done: Option<String>,
}

/// GET /engine/{id}?angle=30: the crank stands at any angle that the person chooses.
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Page, Fault> {
    let angle =
        asked.angle.and_then(|a| a.trim().parse::<f64>().ok()).filter(|a| a.is_finite()).unwrap_or(0.0);
    app.page(id, asked.done, move |view| Ok(pages::engine_page(view, angle.rem_euclid(720.0)))).await
}
