//! `backup`: the data folder in one file.

use super::arguments::{BackupArguments, Common};
use super::folder::{looking, store};
use super::report::{Answer, Outcome, Report};
use serde_json::json;

pub(super) fn run(arguments: &BackupArguments, common: &Common) -> Answer {
    let bench = looking(common)?;
    bench.store().backup_to(&arguments.file).map_err(store)?;
    let file = arguments.file.display().to_string();
    let heads = bench.store().heads().map_err(store)?;
    let text = format!(
        "Wrote {file} and read it back: pages, references and chains hold. Keep it on another disk.\n"
    );
    Ok(Report::new(Outcome::Good, text, json!({ "file": file, "heads": heads })))
}
