//! `import`: an export, or a document with the readings beside it.

use super::arguments::{Common, ImportArguments};
use super::file::text;
use super::folder::{folder, refused, store};
use super::report::{Answer, Outcome, Report};
use crate::workbench::Workbench;
use engine::document::{parse_document, parse_with_readings};
use serde_json::json;
use std::path::Path;

pub(super) fn run(arguments: &ImportArguments, common: &Common) -> Answer {
    let folder = folder(common)?;
    let bench = || Workbench::without_demo(&folder, "command line").map_err(|e| refused(&e));
    if arguments.from.is_dir() {
        let head = bench()?.store().import(&arguments.from).map_err(store)?;
        let text = format!("Took in {}, with the same numbers and hashes.\n\n{head}", head.engine);
        return Ok(Report::new(Outcome::Good, text, json!({ "engine": head.engine, "head": head })));
    }
    document(&arguments.from, bench)
}

fn document(file: &Path, bench: impl FnOnce() -> Result<Workbench, Report>) -> Answer {
    let name = file.display().to_string();
    let document = text(file)?;
    let beside = file.with_extension("readings.csv");
    let readings = if beside.is_file() { Some(text(&beside)?) } else { None };
    // Everything is read before anything is kept.
    let parsed = match &readings {
        Some(csv) => parse_with_readings(&document, &name, csv, &beside.display().to_string()),
        None => parse_document(&document, &name),
    };
    let Some(engine) = parsed.document else { return Err(Report::mistakes(&parsed.diagnostics)) };
    let called = match engine.engine.name.trim() {
        "" => file.file_stem().unwrap_or_default().to_string_lossy().into_owned(),
        name => name.to_owned(),
    };
    let bench = bench()?;
    let id = bench.add(&called, &document, "imported").map_err(|e| refused(&e))?;
    let added = match &readings {
        Some(csv) => {
            bench.import_csv(&id, csv, &beside.display().to_string()).map_err(|e| refused(&e))?.added
        }
        None => 0,
    };
    let said = format!("Took in {called} as {id}, with {added} readings from the file beside it.\n");
    Ok(Report::new(Outcome::Good, said, json!({ "engine": id, "readings": added })))
}
