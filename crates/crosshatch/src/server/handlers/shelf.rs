//! The shelf: engines on this machine.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::Done;
use super::form::{Posted, fields, get};
use crate::workbench::{OnShelf, layout_words};
use axum::extract::{Path, Query, State};
use axum::response::Redirect;
use pages::ShelfEntry;

/// GET /
pub(in crate::server) async fn show(State(app): State<App>, Query(done): Query<Done>) -> Result<Page, Fault> {
    app.work(move |app| {
        let notice = done.done.as_deref().and_then(super::super::notices::sentence);
        Ok(Page(pages::shelf_page(&app.token, &entries(app)?, notice.as_deref())))
    })
    .await
}

/// The engines as the shelf shows them.
pub(super) fn entries(app: &App) -> Result<Vec<ShelfEntry>, Fault> {
    Ok(app.bench.shelf()?.into_iter().map(entry).collect())
}

fn entry(on_shelf: OnShelf) -> ShelfEntry {
    let OnShelf { id, name, state, changed, away } = on_shelf;
    match state {
        Ok(assessed) => ShelfEntry {
            id,
            name,
            invented: assessed.engine.document.engine.invented,
            layout: layout_words(&assessed.engine.document),
            words: assessed.assessment.tally().in_short(),
            changed,
            away,
        },
        Err(problem) => {
            ShelfEntry { id, name, invented: false, layout: String::new(), words: problem, changed, away }
        }
    }
}

/// POST /engine/{id}/away
pub(in crate::server) async fn put_away(
    State(app): State<App>,
    Path(id): Path<String>,
    posted: Posted,
) -> Result<Redirect, Fault> {
    let fields = fields(&app, posted)?;
    let away = get(&fields, "away") == "yes";
    app.work(move |app| {
        app.bench.put_away(&id, away)?;
        Ok(Redirect::to(if away { "/?done=away" } else { "/?done=back" }))
    })
    .await
}
