//! `restore`: a backup into an empty folder.

use super::arguments::RestoreArguments;
use super::report::{Answer, Outcome, Report};
use super::store_error::store;
use serde_json::json;
use store::Store;

pub(super) fn run(arguments: &RestoreArguments) -> Answer {
    Store::restore_from(&arguments.file, &arguments.data).map_err(store)?;
    let (file, folder) = (arguments.file.display().to_string(), arguments.data.display().to_string());
    let text = format!("Restored {file} into {folder}; every chain holds. Open it with: crosshatch --data {folder}\n");
    Ok(Report::new(Outcome::Good, text, json!({ "file": file, "folder": folder })))
}
