//! The data folder on the command line.

use super::arguments::Common;
use super::report::Report;
use crate::workbench::{Error, Workbench};
use std::path::PathBuf;

/// The folder that was asked for, else `$CROSSHATCH_DATA`, else the usual place of the system.
pub(super) fn folder(arguments: &Common) -> Result<PathBuf, Report> {
    let set = |name: &str| std::env::var_os(name).filter(|v| !v.is_empty()).map(PathBuf::from);
    let usual = || {
        if cfg!(windows) {
            set("LOCALAPPDATA").map(|f| f.join("Crosshatch"))
        } else if cfg!(target_os = "macos") {
            set("HOME").map(|f| f.join("Library/Application Support/Crosshatch"))
        } else {
            set("XDG_DATA_HOME")
                .or_else(|| set("HOME").map(|f| f.join(".local/share")))
                .map(|f| f.join("crosshatch"))
        }
    };
    arguments
        .data
        .clone()
        .or_else(|| set("CROSSHATCH_DATA"))
        .or_else(usual)
        .ok_or_else(|| Report::refused("no data folder is known: name one with --data FOLDER"))
}

/// A workbench on a folder that is there, to look and to copy: makes no folder, takes no lock, and works while the pages
/// are open.
pub(super) fn looking(arguments: &Common) -> Result<Workbench, Report> {
    let folder = folder(arguments)?;
    if !folder.is_dir() {
        let what = format!(
            "there is no data folder {} yet: open the program once, or name another with --data",
            folder.display()
        );
        return Err(Report::refused(what));
    }
    Workbench::reading(&folder, "command line").map_err(|e| refused(&e))
}

/// A refusal, with every mistake of a file.
pub(super) fn refused(error: &Error) -> Report {
    match error {
        Error::Document(diagnostics) => Report::mistakes(diagnostics),
        other => Report::refused(other),
    }
}

/// What the store refuses.
pub(super) fn store(error: store::Error) -> Report {
    Report::refused(error)
}
