//! Backup while people work, and restore. Neither is called done before the copy was read back: its
//! pages (`integrity_check`), its references, and every chain.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};
use serde::Serialize;

use crate::error::{Error, Result};
use crate::files::{self, Unfinished};
use crate::record::Head;
use crate::{schema, verify};

/// A copy that passed its checks.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct BackupReport {
    /// The file.
    pub path: PathBuf,
    /// Its size in bytes.
    pub bytes: u64,
    /// The ends of its chains, as walked in the copy.
    pub heads: Vec<Head>,
}

/// Copies what `source` shows into a new file. The writer is not held up: a reader sees one moment of the database.
pub(crate) fn write(source: &Connection, path: &Path) -> Result<BackupReport> {
    if path.exists() {
        return Err(Error::FileExists { path: path.to_owned() });
    }
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    files::create_folder(folder)?;
    let mut part = path.as_os_str().to_owned();
    part.push(".part");
    let part = PathBuf::from(part);
    let unfinished = Unfinished::database(&part);
    remove_left_over(&part)?;

    let expected = verify::heads(source)?;
    copy(source, &part)?;
    let heads = check_copy(&part, path)?;
    if heads != expected {
        return Err(damaged(path, "its chains end elsewhere than those of the store"));
    }
    let bytes = finish(&part, path, folder)?;
    unfinished.keep();
    Ok(BackupReport { path: path.to_owned(), bytes, heads })
}

/// Copies a backup into a folder of its own, checks it there, and only then gives it its name.
pub(crate) fn restore(backup: &Path, folder: &Path) -> Result<BackupReport> {
    if !backup.is_file() {
        let source = std::io::Error::from(std::io::ErrorKind::NotFound);
        return Err(Error::Io { doing: "read", path: backup.to_owned(), source });
    }
    files::must_be_empty(folder)?;
    let mut made = Unfinished::folder(folder)?;
    let path = folder.join(schema::DATABASE);
    let part = folder.join("restore.part");
    made.file(path.clone());
    let unfinished = Unfinished::database(&part);

    let source = schema::open_source(backup).map_err(|fault| match fault {
        Error::Damaged { path, problem } => Error::BackupDamaged { path, problem },
        other => other,
    })?;
    copy(&source, &part)?;
    let heads = check_copy(&part, backup)?;
    let bytes = finish(&part, &path, folder)?;
    unfinished.keep();
    made.keep();
    Ok(BackupReport { path, bytes, heads })
}

/// Reads a backup from end to end, as it lies there.
pub(crate) fn check(path: &Path) -> Result<BackupReport> {
    let bytes = fs::metadata(path).map_err(Error::io("read", path))?.len();
    let connection = schema::open_source(path).map_err(|fault| match fault {
        Error::Damaged { path, problem } => Error::BackupDamaged { path, problem },
        other => other,
    })?;
    holds(&connection, path)?;
    let heads = verify::all(&connection).map_err(|fault| damaged(path, &fault.to_string()))?;
    Ok(BackupReport { path: path.to_owned(), bytes, heads })
}

/// Restores on trial, and removes what was restored.
pub(crate) fn rehearse(backup: &Path, beside: &Path) -> Result<BackupReport> {
    let mut name = std::ffi::OsString::from("trial-");
    name.push(backup.file_name().unwrap_or_default());
    let folder = beside.join(name);
    // What a trial that was cut off left behind is of no worth.
    match fs::remove_dir_all(&folder) {
        Err(source) if source.kind() != std::io::ErrorKind::NotFound => {
            return Err(Error::Io { doing: "remove", path: folder, source });
        }
        _ => {}
    }
    let restored = restore(backup, &folder);
    let removed = fs::remove_dir_all(&folder);
    let report = restored?;
    removed.map_err(Error::io("remove", &folder))?;
    Ok(BackupReport { path: backup.to_owned(), ..report })
}

/// What a backup that was cut off earlier left behind.
fn remove_left_over(part: &Path) -> Result<()> {
    match fs::remove_file(part) {
        Err(source) if source.kind() != std::io::ErrorKind::NotFound => {
            Err(Error::Io { doing: "remove", path: part.to_owned(), source })
        }
        _ => Ok(()),
    }
}

fn copy(source: &Connection, to: &Path) -> Result<()> {
    let failed = || Error::database("copying the database");
    let mut target = schema::open_alone(to)?;
    let backup = Backup::new(source, &mut target).map_err(failed())?;
    // All pages in one step, so that all belong to one moment.
    match backup.step(-1).map_err(failed())? {
        StepResult::Done => Ok(()),
        other => Err(damaged(to, &format!("the copy stopped early: {other:?}"))),
    }
}

/// Reads the copy back, brings it up to date, and makes it a single file.
fn check_copy(part: &Path, shown: &Path) -> Result<Vec<Head>> {
    let mut connection = schema::open_alone(part)?;
    let failed = |fault: rusqlite::Error| damaged(shown, &fault.to_string());
    let mode: String = connection
        .pragma_update_and_check(None, "journal_mode", "DELETE", |row| row.get(0))
        .map_err(failed)?;
    if mode != "delete" {
        return Err(damaged(shown, "it cannot be made a single file"));
    }
    whole(&connection, shown)?;
    schema::migrate_alone(&mut connection, shown)?;
    refers(&connection, shown)?;
    verify::all(&connection).map_err(|fault| damaged(shown, &fault.to_string()))
}

/// Pages and references hold.
fn holds(connection: &Connection, shown: &Path) -> Result<()> {
    whole(connection, shown)?;
    refers(connection, shown)
}

/// Every page is as the database wrote it.
fn whole(connection: &Connection, shown: &Path) -> Result<()> {
    let failed = |fault: rusqlite::Error| damaged(shown, &fault.to_string());
    let pages: String =
        connection.query_one("PRAGMA integrity_check(1)", [], |row| row.get(0)).map_err(failed)?;
    if pages == "ok" {
        return Ok(());
    }
    // The first line says in which database, which is known.
    Err(damaged(shown, pages.lines().last().unwrap_or(&pages)))
}

/// Every row belongs to an engine that is there.
fn refers(connection: &Connection, shown: &Path) -> Result<()> {
    let failed = |fault: rusqlite::Error| damaged(shown, &fault.to_string());
    let orphans: i64 = connection
        .query_one("SELECT count(*) FROM pragma_foreign_key_check", [], |row| row.get(0))
        .map_err(failed)?;
    if orphans > 0 {
        return Err(damaged(shown, &format!("{orphans} rows belong to an engine that is not there")));
    }
    Ok(())
}

fn damaged(path: &Path, problem: &str) -> Error {
    Error::BackupDamaged { path: path.to_owned(), problem: problem.to_owned() }
}

/// Flushes the copy and gives it its name.
fn finish(part: &Path, path: &Path, folder: &Path) -> Result<u64> {
    let file = File::options().write(true).open(part).map_err(Error::io("open", part))?;
    file.sync_all().map_err(Error::io("flush", part))?;
    let bytes = file.metadata().map_err(Error::io("read", part))?.len();
    drop(file);
    fs::rename(part, path).map_err(Error::io("name", path))?;
    files::sync_folder(folder)?;
    Ok(bytes)
}
