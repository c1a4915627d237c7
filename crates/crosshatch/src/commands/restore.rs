//! `restore`: a backup into an empty folder.

use super::arguments::{Common, RestoreArguments};
use super::folder::store;
use super::report::{Answer, Outcome, Report};
use serde_json::json;
use store::Store;

pub(super) fn run(arguments: &RestoreArguments, common: &Common) -> Answer {
    let Some(data) = &common.data else {
        return Err(Report::refused("say into which empty or new folder: --data FOLDER"));
    };
    if !arguments.file.is_file() {
        return Err(Report::refused(format!("there is no backup {}", arguments.file.display())));
    }
    Store::restore_from(&arguments.file, data).map_err(store)?;
    let (file, folder) = (arguments.file.display().to_string(), data.display().to_string());
    let text = format!(
        "Restored {file} into {folder}; every chain holds. Open it with: crosshatch --data {folder}\n"
    );
    Ok(Report::new(Outcome::Good, text, json!({ "file": file, "folder": folder })))
}
