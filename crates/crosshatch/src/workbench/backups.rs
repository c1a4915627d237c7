//! Backups in the data folder: made while others work, restored on trial, read back whenever they are looked at.

use super::Workbench;
use super::clock::now;
use super::error::Result;
use engine::quantity::counted;
use std::path::{Path, PathBuf};
use store::{Head, Store};

/// A backup in the folder for backups.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// Name of its file.
    pub file: String,
    /// When it was made, RFC 3339.
    pub when: String,
    /// Its size in bytes.
    pub bytes: u64,
    /// What it holds, or what is wrong with it, as read back just now; `None` for older ones, which were not read.
    pub state: Option<std::result::Result<String, String>>,
}

const START: &str = "crosshatch-";
const END: &str = ".sqlite";
/// So many of the newest are read back when the list is looked at; a shop that has more keeps them elsewhere.
const READ_BACK: usize = 12;

impl Workbench {
    /// Makes a backup and restores it on trial.
    ///
    /// # Errors
    /// What the store refuses; nothing is left behind then.
    pub fn make_backup(&self) -> Result<()> {
        let folder = self.store().backup_folder();
        let path = folder.join(format!("{START}{}{END}", now().replace(':', "")));
        self.store().backup_to(&path)?;
        if let Err(error) = Store::rehearse_restore(&path, &folder) {
            // A backup that cannot be brought back must not look like one that can.
            let _ = std::fs::remove_file(&path);
            return Err(error.into());
        }
        Ok(())
    }

    /// The backups, the newest first.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn backups(&self) -> Result<Vec<Kept>> {
        let folder = self.store().backup_folder();
        let unread = |source| store::Error::Io { doing: "read", path: folder.clone(), source };
        let mut files: Vec<(String, PathBuf)> = Vec::new();
        for entry in std::fs::read_dir(&folder).map_err(unread)? {
            let path = entry.map_err(unread)?.path();
            let name = path.file_name().map(|name| name.to_string_lossy().into_owned());
            if let Some(name) = name.filter(|name| name.ends_with(END) && path.is_file()) {
                files.push((name, path));
            }
        }
        // Their names begin with the time.
        files.sort_by(|a, b| b.cmp(a));
        Ok(files
            .into_iter()
            .enumerate()
            .map(|(place, (file, path))| kept(file, &path, place < READ_BACK))
            .collect())
    }

    /// The bytes of a backup; `None` when there is none of that name.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn backup_bytes(&self, file: &str) -> Result<Option<Vec<u8>>> {
        let folder = self.store().backup_folder();
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_');
        let path = folder.join(file);
        if !file.chars().all(plain) || !file.ends_with(END) || !path.is_file() {
            return Ok(None);
        }
        let bytes =
            std::fs::read(&path).map_err(|source| store::Error::Io { doing: "read", path, source })?;
        Ok(Some(bytes))
    }
}

fn kept(file: String, path: &Path, read_back: bool) -> Kept {
    let when = file.strip_prefix(START).and_then(|rest| rest.strip_suffix(END)).map(time).unwrap_or_default();
    let size = std::fs::metadata(path).map_or(0, |data| data.len());
    if !read_back {
        return Kept { file, when, bytes: size, state: None };
    }
    match Store::check_backup(path) {
        Ok(report) => Kept { file, when, bytes: report.bytes, state: Some(Ok(holds(&report.heads))) },
        Err(problem) => Kept { file, when, bytes: size, state: Some(Err(problem.to_string())) },
    }
}

/// "2026-03-01T172903Z" as RFC 3339.
fn time(name: &str) -> String {
    match name.split_once('T') {
        Some((day, clock)) if clock.len() == 7 && clock.is_ascii() => {
            format!("{day}T{}:{}:{}", &clock[..2], &clock[2..4], &clock[4..])
        }
        _ => String::new(),
    }
}

fn holds(heads: &[Head]) -> String {
    let (engines, entries) = (heads.len(), heads.iter().map(|h| h.entries).sum::<u64>());
    let logs = if engines == 1 { "its log" } else { "their logs" };
    let entries = counted(entries as usize, "entry", "entries");
    format!("{}, {entries} in {logs}, every chain holds", counted(engines, "engine", "engines"))
}
