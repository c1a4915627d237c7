//! An engine from a document and the readings beside it, without any database.

use super::arguments::FileArguments;
use super::report::Report;
use engine::document::{Diagnostic, has_errors, parse_document, parse_with_readings, text_of};
use engine::power::{KeptPower, PowerRun};
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
    let power = curve_beside(arguments)?;
    let assessment = assess(&engine).with_power(&engine, &power);
    let plan = plan(&engine, &assessment);
    Ok(FromFile { engine, assessment, plan, readings, remarks: parsed.diagnostics })
}

/// The kept curve that was named, else the one beside the document.
fn curve_beside(arguments: &FileArguments) -> Result<KeptPower, Report> {
    let beside = curve_file(&arguments.file);
    let Some(file) = arguments.power.clone().or_else(|| beside.is_file().then_some(beside)) else {
        return Ok(KeptPower::default());
    };
    let name = file.display();
    let refused = |problem: String| {
        Report::refused(format!("{name}: {problem}; \"crosshatch power --keep\" writes such a file"))
    };
    let size =
        std::fs::metadata(&file).map_err(|e| Report::refused(format!("cannot read {name}: {e}")))?.len();
    if size > MOST {
        return Err(refused(format!("it has {size} bytes, expected at most 16 MiB")));
    }
    let text =
        std::fs::read_to_string(&file).map_err(|e| Report::refused(format!("cannot read {name}: {e}")))?;
    let run: PowerRun =
        serde_json::from_str(&text).map_err(|e| refused(format!("it is no kept torque curve ({e})")))?;
    Ok(KeptPower::default().with_curve(run))
}

/// Where the curve of a document is kept: `ENGINE.power.json` beside it.
pub(super) fn curve_file(document: &Path) -> PathBuf {
    document.with_extension("power.json")
}

/// Keeps a curve beside its document, whole or not at all.
pub(super) fn keep_curve(document: &Path, mut run: PowerRun) -> Result<PathBuf, Report> {
    run.points.iter_mut().for_each(|point| point.trace = None);
    let file = curve_file(document);
    let failed = |problem: &dyn std::fmt::Display| {
        Report::refused(format!("cannot write {}: {problem}", file.display()))
    };
    let text = serde_json::to_string(&run).map_err(|e| failed(&e))?;
    let new = file.with_extension("json.new");
    std::fs::write(&new, text).and_then(|()| std::fs::rename(&new, &file)).map_err(|e| failed(&e))?;
    Ok(file)
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
