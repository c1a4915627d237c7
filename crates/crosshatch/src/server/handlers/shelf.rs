//! The shelf: engines on this machine.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::Done;
use crate::workbench::{OnShelf, layout_words};
use axum::extract::{Query, State};
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
    let OnShelf { id, name, state, changed } = on_shelf;
    match state {
        Ok(assessed) => ShelfEntry {
            id,
            name,
            invented: assessed.engine.document.engine.invented,
            layout: layout_words(&assessed.engine.document),
            words: assessed.assessment.tally().in_short(),
            changed,
        },
        Err(problem) => {
            ShelfEntry { id, name, invented: false, layout: String::new(), words: problem, changed }
        }
    }
}
