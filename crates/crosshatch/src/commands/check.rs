//! `check`: findings of an engine from its file.

use super::arguments::{CheckArguments, Common};
use super::file::{FromFile, read};
use super::report::{Answer, Report};
use super::table::{Table, wrap};
use super::{finding_json, standing, words};
use engine::document::{render_json, render_text};
use engine::findings::{Finding, Tally, Verdict, usual_decimals};
use engine::quantity::{UnitSystem, format_value};
use engine::readings::Slip;
use engine::sizes::slip_question;
use serde_json::{Map, Value, json};
use std::fmt::Write as _;

pub(super) fn run(arguments: &CheckArguments, common: &Common) -> Answer {
    let read = read(&arguments.input, common)?;
    let units = common.units(read.engine.units());
    let outcome = standing::of_all(&read.assessment);
    Ok(Report::new(outcome, text(&read, units, arguments.all), json(&read, units)))
}

const IN_ORDER: [Verdict; 5] =
    [Verdict::Bad, Verdict::Uncertain, Verdict::Marginal, Verdict::Unknown, Verdict::Good];

fn text(read: &FromFile, units: UnitSystem, all: bool) -> String {
    let mut out = heading(read);
    let listed = |f: &&Finding| all || !matches!(f.verdict, Verdict::Good | Verdict::Unknown);
    let mut table = Table::new(&["verdict", "subject", "value", "limit"]);
    for finding in read.assessment.findings.iter().filter(listed) {
        table.row([
            words::verdict(finding),
            finding.title(),
            words::value(finding, units),
            words::limit(finding, units),
        ]);
        // The name by which `show` gives the working stands before what to do.
        let action = what_to_do(finding, units);
        let colon = if action.is_empty() { "" } else { ": " };
        let caution = words::caution(finding.actions.first().and_then(|a| a.caution));
        let stop = if caution.is_empty() || action.ends_with(['.', '?', '!']) { "" } else { "." };
        table.beneath(format!("{}{colon}{action}{stop}{caution}", finding.id));
    }
    if !table.is_empty() {
        out.push_str(&table.print());
        out.push('\n');
    }
    for slip in read.assessment.slips.iter().filter(|s| !s.confirmed) {
        for line in wrap(&asked(read, slip, units), 100) {
            let _ = writeln!(out, "{line}");
        }
    }
    for line in wrap(&format!("{}.", read.assessment.tally().in_full()), 100) {
        let _ = writeln!(out, "{line}");
    }
    for line in wrap(&standing::words(&read.assessment), 100) {
        let _ = writeln!(out, "{line}");
    }
    if !read.remarks.is_empty() {
        let _ = write!(out, "\n{}", render_text(&read.remarks));
    }
    out
}

/// "Reading 12 (bore 1, top, thrust), read as 86.9 mm. …"
fn asked(read: &FromFile, slip: &Slip, units: UnitSystem) -> String {
    let feature = read.engine.catalogue.feature(&slip.feature);
    let label = feature.map_or(slip.feature.as_str(), |f| f.label.as_str());
    let Some(reading) = read.engine.readings.iter().find(|r| r.number == slip.reading) else {
        return format!("Reading {} ({label}): {}.", slip.reading, slip.slip.words());
    };
    let shown = |si: f64| {
        feature.map_or_else(String::new, |f| {
            format_value(si, f.dimension, units, usual_decimals(f.dimension, units))
        })
    };
    let question = slip_question(&read.engine, reading, slip, &shown);
    format!("Reading {} ({label}), read as {}. {question}", slip.reading, reading.text)
}

/// Name of the engine, and where its readings come from.
pub(super) fn heading(read: &FromFile) -> String {
    let about = &read.engine.document.engine;
    let name = if about.name.trim().is_empty() { "Engine without a name" } else { about.name.trim() };
    let invented = if about.invented { " (invented example)" } else { "" };
    let readings = words::count(read.engine.readings.len(), "reading", "readings");
    let from = match &read.readings {
        Some(file) => format!(", {}", file.file_name().unwrap_or_default().to_string_lossy()),
        None => String::new(),
    };
    format!(
        "{name}{invented}: {}, {readings}{from}\n\n",
        crate::workbench::layout_words(&read.engine.document)
    )
}

fn what_to_do(finding: &Finding, units: UnitSystem) -> String {
    match finding.actions.first() {
        Some(action) => action.text.print(units),
        None if finding.verdict == Verdict::Good => String::new(),
        None => finding.why.print(units),
    }
}

/// How many findings stand where, each counted once.
fn tally(tally: &Tally) -> Value {
    json!({
        "stop": tally.stop, "follow": tally.follow, "uncertain": tally.uncertain, "marginal": tally.marginal,
        "stale": tally.stale, "not_known": tally.unknown, "good": tally.good,
    })
}

fn json(read: &FromFile, units: UnitSystem) -> Value {
    let counts: Map<String, Value> =
        IN_ORDER.iter().map(|v| (v.word().to_owned(), json!(read.assessment.count(*v)))).collect();
    json!({
        "engine": {
            "name": read.engine.document.engine.name,
            "invented": read.engine.document.engine.invented,
            "layout": crate::workbench::layout_words(&read.engine.document),
            "readings": read.engine.readings.len(),
        },
        "counts": counts,
        "tally": tally(&read.assessment.tally()),
        "questions": read.assessment.findings.len(),
        "standing": standing::words(&read.assessment),
        "findings": read.assessment.findings.iter().map(|f| finding_json::finding(f, units)).collect::<Vec<_>>(),
        "slips": read.assessment.slips,
        "sheets": read.assessment.sheets,
        "problems": render_json(&read.remarks),
    })
}
