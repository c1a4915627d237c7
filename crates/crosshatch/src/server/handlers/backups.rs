//! Backups: made, read back, listed, downloaded.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::Done;
use super::download::attachment;
use super::form::{Posted, fields};
use crate::workbench::Kept;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use pages::BackupEntry;

/// GET /backups
pub(in crate::server) async fn show(State(app): State<App>, Query(done): Query<Done>) -> Result<Page, Fault> {
    app.work(move |app| {
        let notice = done.done.as_deref().and_then(super::super::notices::sentence);
        let backups: Vec<BackupEntry> = app.bench.backups()?.into_iter().map(entry).collect();
        let folder = app.bench.store().backup_folder().display().to_string();
        Ok(Page(pages::backup_page(&app.token, &folder, &backups, notice.as_deref())))
    })
    .await
}

fn entry(kept: Kept) -> BackupEntry {
    let Kept { file, when, bytes, state } = kept;
    BackupEntry { file, when, bytes, state }
}

/// POST /backups
pub(in crate::server) async fn make(State(app): State<App>, posted: Posted) -> Result<Redirect, Fault> {
    fields(&app, posted)?;
    app.work(|app| {
        app.bench.make_backup().map_err(|e| Fault::from(e).link("/backups", "Backup"))?;
        Ok(Redirect::to("/backups?done=backup"))
    })
    .await
}

/// GET /backups/{file}
pub(in crate::server) async fn download(
    State(app): State<App>,
    Path(file): Path<String>,
) -> Result<Response, Fault> {
    app.work(move |app| {
        let bytes = app.bench.backup_bytes(&file)?.ok_or_else(|| {
            Fault::missing(format!("There is no backup \"{file}\".")).link("/backups", "Backup")
        })?;
        Ok((attachment("application/vnd.sqlite3", &file), bytes).into_response())
    })
    .await
}
