//! An engine from a document and the readings beside it, without any database.

use super::arguments::{Common, FileArguments};
use super::folder::{looking, refused};
use super::report::Report;
use crate::workbench::Error;
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

/// Reads and assesses: a file, or by its name an engine of the data folder, where no such file is there.
pub(super) fn read(arguments: &FileArguments, common: &Common) -> Result<FromFile, Report> {
    if let Some(name) = name_on_shelf(&arguments.file) {
        return on_shelf(name, arguments, common);
    }
    read_file(arguments)
}

/// Reads and assesses a file.
fn read_file(arguments: &FileArguments) -> Result<FromFile, Report> {
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

/// The name of an engine: one word without a folder or an ending, and no file.
pub(super) fn name_on_shelf(file: &Path) -> Option<&str> {
    let bare = file.components().count() == 1 && file.extension().is_none() && !file.exists();
    bare.then(|| file.to_str()).flatten()
}

/// An engine of the data folder, as its pages show it.
fn on_shelf(name: &str, arguments: &FileArguments, common: &Common) -> Result<FromFile, Report> {
    if arguments.readings.is_some() || arguments.power.is_some() {
        return Err(Report::refused(format!(
            "{name} is an engine of the data folder and has readings of its own: --readings and --power go with a file"
        )));
    }
    let bench = looking(common).map_err(|_| {
        Report::refused(format!(
            "there is no file {name}, and no data folder that has an engine of this name"
        ))
    })?;
    let assessed = bench.engine(name).map_err(|error| match error {
        Error::Store(store::Error::UnknownEngine { .. }) => {
            Report::refused(format!("there is neither a file {name} nor an engine of this name; \"crosshatch engines\" lists those of the data folder"))
        }
        other => refused(&other),
    })?;
    let remarks = parse_document(&assessed.text, name).diagnostics;
    Ok(FromFile {
        engine: assessed.engine.clone(),
        assessment: assessed.assessment.clone(),
        plan: assessed.plan.clone(),
        readings: None,
        remarks,
    })
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
