//! `import`: an export, or a document with the readings beside it.

use super::arguments::{Common, ImportArguments};
use super::file::text;
use super::folder::{folder, refused, store};
use super::report::{Answer, Outcome, Report};
use super::words;
use crate::workbench::{Error, Outside, Workbench};
use serde_json::json;
use std::path::Path;

pub(super) fn run(arguments: &ImportArguments, common: &Common) -> Answer {
    let folder = folder(common)?;
    let bench = || Workbench::without_demo(&folder, "command line").map_err(|e| busy(&e));
    if arguments.from.is_dir() {
        let head = bench()?.store().import(&arguments.from).map_err(store)?;
        let text = format!("Took in {}, with the same numbers and hashes.\n\n{head}", head.engine);
        return Ok(Report::new(Outcome::Good, text, json!({ "engine": head.engine, "head": head })));
    }
    document(&arguments.from, bench)
}

/// Only one program writes. While the pages are open, they take a document in.
fn busy(error: &Error) -> Report {
    match error {
        Error::Store(held @ ::store::Error::FolderInUse { .. }) => Report::refused(format!(
            "{held}. An engine document can be taken in while the pages are open: on the page \"New engine\", under \"From a file\""
        )),
        other => refused(other),
    }
}

fn document(file: &Path, bench: impl FnOnce() -> Result<Workbench, Report>) -> Answer {
    let name = file.display().to_string();
    let document = text(file)?;
    let beside = file.with_extension("readings.csv");
    let readings = if beside.is_file() { Some(text(&beside)?) } else { None };
    let beside_name = beside.display().to_string();
    let readings = readings.as_deref().map(|text| Outside { name: &beside_name, text });
    let taken =
        bench()?.take_in(Outside { name: &name, text: &document }, readings).map_err(|e| refused(&e))?;
    let (id, added) = (taken.id, taken.readings);
    let readings = words::count(added, "reading", "readings");
    let said = format!("Took in {} as {id}, with {readings} from the file beside it.\n", taken.name);
    Ok(Report::new(Outcome::Good, said, json!({ "engine": id, "readings": added })))
}
