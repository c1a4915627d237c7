//! `show`: the working of one finding.

use super::arguments::{Common, ShowArguments};
use super::file::read;
use super::report::{Answer, Report};
use super::table::{Table, wrap};
use super::{finding_json, standing, words};
use engine::findings::{Finding, Input};
use engine::quantity::{Dimension, UnitSystem, format_value_beside, format_with_uncertainty};
use serde_json::{Value, json};
use std::fmt::Write as _;

pub(super) fn run(arguments: &ShowArguments, common: &Common) -> Answer {
    let read = read(&arguments.input)?;
    let units = common.units(read.engine.units());
    let Some(finding) = read.assessment.finding(&arguments.finding) else {
        return Err(unknown(&arguments.finding, &read.assessment.findings));
    };
    Ok(Report::new(standing::of_finding(finding), text(finding, units), json(finding, units)))
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

fn text(finding: &Finding, units: UnitSystem) -> String {
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
    say("limit", &words::limit(finding, units));
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
    say("still to read", &finding.missing.join(", "));
    inputs(&mut out, finding, units);
    contributions(&mut out, finding, units);
    out
}

fn inputs(out: &mut String, finding: &Finding, units: UnitSystem) {
    let mut table = Table::new(&["input at 20 °C", "value", "reading"]);
    for input in &finding.working.inputs {
        table.row([input.label.clone(), input_value(input, units), input.origin()]);
    }
    if !table.is_empty() {
        let _ = write!(out, "\n{}", table.print());
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
    let list = &finding.working.contributions;
    let variance: f64 = list.iter().map(|(_, u)| u * u).sum();
    if variance <= 0.0 {
        return;
    }
    let dimension = match finding.value.map_or(Dimension::Length, |v| v.dimension) {
        Dimension::Temperature => Dimension::TemperatureDifference,
        other => other,
    };
    let decimals = if dimension == Dimension::Length { 4 } else { 3 };
    let mut table = Table::new(&["standard uncertainty", "share", "from"]);
    for (name, u) in list {
        table.row([
            format_value_beside(*u, finding.value.map_or(*u, |v| v.value), dimension, units, decimals),
            words::per_cent(u * u / variance),
            name.clone(),
        ]);
    }
    let _ = write!(out, "\n{}", table.print());
}

fn json(finding: &Finding, units: UnitSystem) -> Value {
    let w = &finding.working;
    json!({
        "finding": finding_json::finding(finding, units),
        "working": {
            "inputs": w.inputs, "formula": w.formula, "source": w.source, "rule": w.rule.print(units),
            "contributions": w.contributions.iter().map(|(name, u)| json!({ "name": name, "standard_uncertainty": u })).collect::<Vec<_>>(),
        },
    })
}
