//! `power`: torque and power over speed, what limits them, and whether the duty is reached.

use super::arguments::{Common, PowerArguments};
use super::check::heading;
use super::file::{FromFile, keep_curve, name_on_shelf, read};
use super::report::{Answer, Outcome, Report};
use super::stop::Watched;
use super::table::{Table, wrap};
use super::{finding_json, words};
use engine::findings::{Finding, Verdict};
use engine::power::{
    FoundIn, InputOrigin, Missing, PowerPoint, PowerRun, Request, Specification, Worth, findings,
    pressure_decimals, run, specify,
};
use engine::quantity::{Dimension, UnitSystem, display_unit, format_fixed};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// rad/s in one rev/min.
const REV_PER_MINUTE: f64 = std::f64::consts::TAU / 60.0;

pub(super) fn run_verb(arguments: &PowerArguments, common: &Common) -> Answer {
    if arguments.keep
        && let Some(name) = name_on_shelf(&arguments.input.file)
    {
        return Err(Report::refused(format!(
            "--keep writes beside a file, and there is no file {name}; a curve of an engine of the data folder is computed and kept on its page Power"
        )));
    }
    let read = read(&arguments.input, common)?;
    let units = common.units(read.engine.units());
    let specification = specify(&read.engine, &read.assessment);
    if !specification.is_complete() {
        let text = format!("{}{}", heading(&read), missing(&specification, units));
        let to_find: Vec<Value> =
            specification.to_find().into_iter().map(|group| to_find_json(group, units)).collect();
        let json = json!({ "specification": specification, "to_find": to_find });
        return Ok(Report::new(Outcome::NotProved, text, json));
    }
    let request = request(arguments, &read)?;
    let watched = Watched::begin();
    let outcome = run(&specification, &request, &|progress| watched.goes_on(progress));
    watched.end();
    let run = outcome.map_err(Report::refused)?;
    let found = findings(&read.engine, &read.assessment, &run);
    let kept = arguments.keep.then(|| keep_curve(&arguments.input.file, run.clone())).transpose()?;
    let mut text = format!("{}{}", heading(&read), text(&specification, &run, &found, units));
    if let Some(file) = &kept {
        let _ = writeln!(text, "Kept in {}.", file.display());
    }
    let json = json!({
        "kept": kept,
        "run": run,
        "findings": found.iter().map(|f| finding_json::finding(f, units)).collect::<Vec<Value>>(),
    });
    Ok(Report::new(ends(&run, &found), text, json))
}

fn request(arguments: &PowerArguments, read: &FromFile) -> Result<Request, Report> {
    let usual = Request::full_throttle(&read.engine.document);
    let mut request = match (&arguments.speeds, usual) {
        (Some(text), usual) => {
            let speeds = crate::workbench::speeds(text).map_err(Report::refused)?;
            match usual {
                Some(usual) => Request { speeds, ..usual },
                None => Request {
                    speeds,
                    throttle: None,
                    timing: engine::power::TimingMode::AsStated,
                    correction: engine::power::CorrectionMode::AsRun,
                    traces: false,
                    ducts_at: None,
                },
            }
        }
        (None, Some(usual)) => usual,
        (None, None) => {
            return Err(Report::refused(
                "the document states neither a limiter nor a speed of greatest power: give --speeds",
            ));
        }
    };
    request.speeds.sort_by(f64::total_cmp);
    request.speeds.dedup();
    if arguments.speeds.as_deref().is_some_and(crate::workbench::is_range) {
        request = request.through_duty(&read.engine.document);
    }
    request.traces = arguments.traces;
    Ok(request)
}

fn to_find_json((found, group): (FoundIn, Vec<&Missing>), units: UnitSystem) -> Value {
    let one = |missing: &&Missing| {
        json!({
            "path": missing.path,
            "measured": missing.measured,
            "what": missing.sentence(),
            "lines": missing.lines(units),
            "instead": missing.instead(),
        })
    };
    json!({ "found": found, "words": found.words(), "missing": group.iter().map(one).collect::<Vec<_>>() })
}

/// Good when nothing is bad or open and every speed was reached.
fn ends(run: &PowerRun, found: &[Finding]) -> Outcome {
    if found.iter().any(|f| f.verdict == Verdict::Bad) {
        return Outcome::Stops;
    }
    let open = |f: &Finding| f.stale || matches!(f.verdict, Verdict::Unknown | Verdict::Uncertain);
    if run.stopped || !run.failures.is_empty() || found.iter().any(open) {
        return Outcome::NotProved;
    }
    Outcome::Good
}

/// Columns of an answer in sentences.
const WIDTH: usize = 100;

/// What is missing, in the order in which a person finds it.
fn missing(specification: &Specification, units: UnitSystem) -> String {
    let mut out = String::from("Power cannot be computed yet");
    let count = specification.missing.len();
    if count == 0 {
        out.push_str(".\n");
    } else {
        let _ = writeln!(out, ": {} missing.", words::count(count, "input is", "inputs are"));
        out.push_str("They stand in the order in which they are found. \u{2026} stands for what only this engine can say.\n");
    }
    for (number, (found, group)) in specification.to_find().into_iter().enumerate() {
        let _ = writeln!(out, "\n{}. {}", number + 1, engine::document::sentence(found.words()));
        for missing in group {
            out.push_str(&one_missing(missing, units));
        }
    }
    let usual: Vec<&str> =
        specification.usual_figures().iter().flat_map(|(_, group)| group).map(|i| i.path.as_str()).collect();
    if !usual.is_empty() {
        let text = format!(
            "Not asked for, since a usual figure stands in until it is stated: {}.",
            usual.join(", ")
        );
        let _ = writeln!(out, "\n{}", wrap(&text, WIDTH).join("\n"));
    }
    for problem in &specification.problems {
        let _ = writeln!(out, "{problem}");
    }
    out
}

fn one_missing(missing: &Missing, units: UnitSystem) -> String {
    let mut out = String::new();
    for (i, line) in wrap(&format!("{}.", missing.sentence()), WIDTH - 4).iter().enumerate() {
        let _ = writeln!(out, "  {} {line}", if i == 0 { '-' } else { ' ' });
    }
    if missing.measured {
        let _ = writeln!(out, "    Read {}, or write:", missing.path);
    }
    for line in missing.lines(units) {
        let _ = writeln!(out, "        {line}");
    }
    let instead = missing.instead().map(|instead| format!("In its place: {instead}."));
    for line in instead.iter().flat_map(|text| wrap(text, WIDTH - 4)) {
        let _ = writeln!(out, "    {line}");
    }
    out
}

/// Last lines of every answer with figures that somebody could set an engine by.
pub(super) fn advice() -> String {
    wrap(&format!("{} Crosshatch advises; a person decides.", engine::cautions::COMPUTED), 100).join("\n")
        + "\n"
}

/// Number in the reader's unit.
fn number(si: f64, dimension: Dimension, units: UnitSystem, decimals: usize) -> String {
    let unit = display_unit(dimension, units);
    format_fixed((si - unit.offset) / unit.factor, decimals)
}

fn text(specification: &Specification, run: &PowerRun, found: &[Finding], units: UnitSystem) -> String {
    let symbol = |dimension| display_unit(dimension, units).symbol;
    let heads = [
        "rev/min".to_owned(),
        format!("torque, {}", symbol(Dimension::Torque)),
        format!("power, {}", symbol(Dimension::Power)),
        format!("BMEP, {}", symbol(Dimension::Pressure)),
        format!("exhaust, {}", symbol(Dimension::Temperature)),
        "flagged".to_owned(),
    ];
    let mut table = Table::new(&heads.each_ref().map(String::as_str));
    for point in &run.points {
        table.row(row(run, point, units));
    }
    let mut out = table.print();
    out.push_str(&turbocharger(run, units));
    for failure in &run.failures {
        let _ = writeln!(out, "{:.0} rev/min: {}", failure.speed / REV_PER_MINUTE, failure.why);
    }
    if run.stopped {
        let left = crate::workbench::unreached(run).len();
        let _ = writeln!(out, "Stopped: {} not reached.", words::count(left, "speed was", "speeds were"));
    }
    out.push('\n');
    for finding in found {
        let value = words::value(finding, units);
        let _ = writeln!(out, "{:<10} {} {value}", words::verdict(finding), finding.title());
        let why = finding.why.print(units);
        for line in wrap(&why, 88).iter().filter(|l| !l.is_empty()) {
            let _ = writeln!(out, "           {line}");
        }
        if let Some(action) = finding.actions.first() {
            for line in wrap(&action.text.print(units), 88) {
                let _ = writeln!(out, "           {line}");
            }
            for line in action.caution.iter().flat_map(|c| wrap(&format!("Caution: {c}"), 88)) {
                let _ = writeln!(out, "           {line}");
            }
        }
    }
    out.push('\n');
    let count = |origin| specification.inputs.iter().filter(|i| i.origin == origin).count();
    let by_origin: Vec<String> = InputOrigin::ALL
        .into_iter()
        .map(|origin| (count(origin), origin.words()))
        .filter(|(count, _)| *count > 0)
        .map(|(count, words)| format!("{count} {words}"))
        .collect();
    let inputs = format!(
        "{}: {}. {}",
        words::count(specification.inputs.len(), "input", "inputs"),
        by_origin.join(", "),
        Worth::of(run).words(run)
    );
    out.push_str(&wrap(&inputs, 100).join("\n"));
    out.push('\n');
    for left in &specification.left_out {
        let _ = writeln!(out, "{}", wrap(&format!("Left out: {left}."), 100).join("\n"));
    }
    out.push_str(&advice());
    out
}

fn row(run: &PowerRun, point: &PowerPoint, units: UnitSystem) -> [String; 6] {
    let corrected = (run.correction_factor - 1.0).abs() > 1e-9;
    let (torque, power) =
        if corrected { (point.corrected_torque, point.corrected_power) } else { (point.torque, point.power) };
    [
        format_fixed(point.speed / REV_PER_MINUTE, 0),
        number(torque, Dimension::Torque, units, 0),
        number(power, Dimension::Power, units, 0),
        number(point.bmep, Dimension::Pressure, units, pressure_decimals(units) - 1),
        number(point.exhaust_temperature, Dimension::Temperature, units, 0),
        point.flags.iter().filter(|f| f.is_limit()).map(|f| f.words()).collect::<Vec<_>>().join(", "),
    ]
}

/// The air on its way through compressor and intercooler, the gas before the turbine, and the margins on the map; empty without one.
fn turbocharger(run: &PowerRun, units: UnitSystem) -> String {
    let symbols = [Dimension::Pressure, Dimension::Temperature].map(|d| display_unit(d, units).symbol);
    let unit = symbols.join(" and ");
    let heads = [
        "rev/min".to_owned(),
        format!("after the compressor, {unit}"),
        format!("after the intercooler, {unit}"),
        format!("before the turbine, {unit}"),
        "to surge".to_owned(),
        "to choke".to_owned(),
        "to greatest speed".to_owned(),
    ];
    let mut table = Table::new(&heads.each_ref().map(String::as_str));
    let state = |pressure: Option<f64>, temperature: Option<f64>| match (pressure, temperature) {
        (Some(p), Some(t)) => format!(
            "{} {}",
            number(p, Dimension::Pressure, units, pressure_decimals(units)),
            number(t, Dimension::Temperature, units, 0)
        ),
        _ => "not kept".to_owned(),
    };
    let percent = |share: f64| format!("{} %", format_fixed(100.0 * share, 0));
    for point in &run.points {
        let Some(r) = &point.rotor else { continue };
        table.row([
            format_fixed(point.speed / REV_PER_MINUTE, 0),
            state(r.outlet_pressure, r.outlet_temperature),
            state(r.cooler_pressure, r.cooler_temperature),
            state(Some(r.turbine_pressure), r.turbine_temperature),
            percent(r.surge_margin),
            percent(r.choke_margin),
            percent(r.speed_margin),
        ]);
    }
    if table.is_empty() { String::new() } else { format!("\n{}", table.print()) }
}
