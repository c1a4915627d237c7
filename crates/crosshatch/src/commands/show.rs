//! `show`: the working of one finding.

use super::arguments::{Common, ShowArguments};
use super::file::read;
use super::report::{Answer, Report};
use super::table::{Table, wrap};
use super::{finding_json, standing, words};
use engine::Engine;
use engine::findings::{Finding, Input, brought_to_20, budget, origin_as_read};
use engine::quantity::{UnitSystem, format_with_uncertainty};
use serde_json::{Value, json};
use std::fmt::Write as _;

pub(super) fn run(arguments: &ShowArguments, common: &Common) -> Answer {
    let read = read(&arguments.input, common)?;
    let units = common.units(read.engine.units());
    let Some(finding) = read.assessment.finding(&arguments.finding) else {
        return Err(unknown(&arguments.finding, &read.assessment.findings));
    };
    Ok(Report::new(
        standing::of_finding(finding),
        text(&read.engine, finding, units),
        json(&read.engine, finding, units),
    ))
}

/// How many names are offered where one is not known.
const OFFERED: usize = 6;

/// Says which names are nearest to what was asked for.
fn unknown(wanted: &str, findings: &[Finding]) -> Report {
    let typed = wanted.trim().to_lowercase();
    let mut near: Vec<(bool, f64, &str)> = findings
        .iter()
        .map(|f| {
            // The same place counts for as much as the same question: "bore_tapr/2" is "bore_taper/2".
            let alike = strsim::normalized_damerau_levenshtein(&typed, &f.id);
            (f.id.starts_with(&typed) || typed.starts_with(&format!("{}/", f.code)), alike, f.id.as_str())
        })
        .collect();
    near.sort_by(|a, b| (b.0, b.1).partial_cmp(&(a.0, a.1)).unwrap_or(std::cmp::Ordering::Equal));
    let names: Vec<&str> = near.iter().take(OFFERED).map(|(_, _, id)| *id).collect();
    let expected = match names.as_slice() {
        [] => "this engine has none yet".to_owned(),
        names => format!("the nearest are {}; \"crosshatch check --all\" lists them all", names.join(", ")),
    };
    Report::refused(format!("there is no finding \"{wanted}\"; {expected}"))
}

fn text(engine: &Engine, finding: &Finding, units: UnitSystem) -> String {
    let mut out =
        format!("{}: {} {}\n", finding.title(), words::verdict(finding), words::value(finding, units));
    let mut say = |label: &str, text: &str| {
        if !text.is_empty() {
            for (i, line) in wrap(text, 84).iter().enumerate() {
                let _ = writeln!(out, "  {:<12}  {line}", if i == 0 { label } else { "" });
            }
        }
    };
    say("why", &finding.why.print(units));
    say("limit", &words::limit_with_unit(finding, units));
    if let Some(limit) = &finding.limit {
        say("from", &limit.origin_words());
    }
    for action in &finding.actions {
        say("do", &action.text.print(units));
        say("gives", &action.effect.print(units));
        if let Some(caution) = action.caution {
            say("caution", caution);
        }
    }
    say("formula", &finding.working.formula);
    say("source", &finding.working.source);
    say("decision", &finding.working.rule.print(units));
    if let Some(p) = finding.probability_outside {
        say("outside", &format!("{} chance that the true value is outside", engine::findings::chance(p)));
    }
    let (read, state) = words::missing(engine, &finding.missing);
    say("still to read", &read);
    say("to state", &state);
    inputs(&mut out, engine, finding, units);
    contributions(&mut out, finding, units);
    out
}

fn inputs(out: &mut String, engine: &Engine, finding: &Finding, units: UnitSystem) {
    let mut table = Table::new(&["input at 20 °C", "value", "reading"]);
    for input in &finding.working.inputs {
        table.row([input.label.clone(), input_value(input, units), origin_as_read(engine, input, units)]);
    }
    if !table.is_empty() {
        let _ = write!(out, "\n{}", table.print());
    }
    if let Some(words) = brought_to_20(engine, &finding.working.inputs) {
        let _ = writeln!(out, "\n{}", wrap(&words, 100).join("\n"));
    }
}

fn input_value(input: &Input, units: UnitSystem) -> String {
    let v = &input.value;
    if v.expanded > 0.0 {
        format_with_uncertainty(v.value, v.expanded, v.dimension, units)
    } else {
        engine::findings::exact_figure(v.value, v.dimension, units)
    }
}

fn contributions(out: &mut String, finding: &Finding, units: UnitSystem) {
    let mut table = Table::new(&["standard uncertainty", "share", "from"]);
    for line in budget(finding, units) {
        table.row([line.standard, words::per_cent(line.share), line.name.to_owned()]);
    }
    if !table.is_empty() {
        let _ = write!(out, "\n{}", table.print());
    }
}

fn json(engine: &Engine, finding: &Finding, units: UnitSystem) -> Value {
    let w = &finding.working;
    json!({
        "finding": finding_json::finding(finding, units),
        "working": {
            "inputs": w.inputs, "as_read": w.inputs.iter().map(|i| origin_as_read(engine, i, units)).collect::<Vec<_>>(), "brought_to_20": brought_to_20(engine, &w.inputs), "formula": w.formula, "source": w.source, "rule": w.rule.print(units),
            "contributions": w.contributions.iter().map(|(name, u)| json!({ "name": name, "standard_uncertainty": u })).collect::<Vec<_>>(),
        },
    })
}
