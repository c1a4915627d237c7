//! One finding with its working.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use axum::extract::{Path, Query, State};
use serde::Deserialize;

/// What the address says.
#[derive(Debug, Deserialize)]
pub(in crate::server) struct Asked {
    #[serde(default)]
    id: String,
}

/// `GET /engine/{id}/finding?id=bore_taper/2`
pub(in crate::server) async fn show(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Page, Fault> {
    app.page(id, None, move |view| {
        pages::finding_page(view, &asked.id).ok_or_else(|| {
            Fault::missing(format!(
                "This engine has no finding \"{}\"; it may have had one before a change.",
                asked.id
            ))
            .link(view.at(""), "Engine")
        })
    })
    .await
}
