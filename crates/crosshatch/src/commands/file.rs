//! An engine from a document and the readings beside it, without any database.

use super::arguments::FileArguments;
use super::report::Report;
use engine::document::{Diagnostic, has_errors, parse_document, parse_with_readings, text_of};
use engine::{Assessment, Engine, Plan, assess, plan};
use std::path::{Path, PathBuf};

/// An engine with what was found.
pub(super) struct FromFile {
    pub engine: Engine,
    pub assessment: Assessment,
    pub plan: Plan,
    /// File of the readings, where there is one.
    pub readings: Option<PathBuf>,
    /// Remarks on the files.
    pub remarks: Vec<Diagnostic>,
}

/// Larger files are not read at all.
const MOST: u64 = 16 << 20;

/// Reads and assesses.
pub(super) fn read(arguments: &FileArguments) -> Result<FromFile, Report> {
    let name = arguments.file.display().to_string();
    let text = text(&arguments.file)?;
    let beside = arguments.file.with_extension("readings.csv");
    let readings = arguments.readings.clone().or_else(|| beside.is_file().then_some(beside));
    let parsed = match &readings {
        Some(file) => parse_with_readings(&text, &name, &self::text(file)?, &file.display().to_string()),
        None => parse_document(&text, &name),
    };
    let Some(document) = parsed.document.filter(|_| !has_errors(&parsed.diagnostics)) else {
        return Err(Report::mistakes(&parsed.diagnostics));
    };
    let engine = Engine::new(document, Vec::new(), Vec::new());
    let assessment = assess(&engine);
    let plan = plan(&engine, &assessment);
    Ok(FromFile { engine, assessment, plan, readings, remarks: parsed.diagnostics })
}

/// The text of a file.
pub(super) fn text(file: &Path) -> Result<String, Report> {
    let name = file.display();
    let refused = |problem: std::io::Error| Report::refused(format!("cannot read {name}: {problem}"));
    let size = std::fs::metadata(file).map_err(refused)?.len();
    if size > MOST {
        return Err(Report::refused(format!("{name} has {size} bytes: expected at most 4 MiB")));
    }
    let bytes = std::fs::read(file).map_err(refused)?;
    text_of(&bytes, &name.to_string()).map_err(|d| Report::mistakes(&[*d]))
}
