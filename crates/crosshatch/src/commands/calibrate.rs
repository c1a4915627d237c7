//! `calibrate`: named factors adjusted to a measured curve.

use super::arguments::{CalibrateArguments, Common};
use super::check::heading;
use super::file::{read, text};
use super::power;
use super::report::{Answer, Outcome, Report};
use super::stop::Watched;
use super::table::{Table, wrap};
use engine::power::{
    Calibration, Column, Columns, CurveError, CurveRead, Factor, calibrate, compared_in, read_curve, specify,
};
use engine::quantity::{Dimension, UnitSystem, display_unit, format_fixed};
use serde_json::json;
use std::fmt::Write as _;

pub(super) fn run(arguments: &CalibrateArguments, common: &Common) -> Answer {
    let read = read(&arguments.input, common)?;
    let units = common.units(read.engine.units());
    let specification = specify(&read.engine, &read.assessment);
    let columns = Columns {
        speed: column(&arguments.speed),
        torque: column(&arguments.torque),
        boost: arguments.boost.as_deref().map(column),
        lambda: arguments.lambda.as_deref().map(column),
    };
    let name = arguments.curve.display();
    let wrong = |e: CurveError| Report::refused(format!("{name}: {e}"));
    let CurveRead { curve, units: units_read } =
        read_curve(&text(&arguments.curve)?, &columns).map_err(wrong)?;
    let choose = arguments.adjust.iter().map(|word| factor(word)).collect::<Result<Vec<_>, _>>()?;
    let held_out = held_out(&arguments.hold_out, curve.points.len())?;
    let watched = Watched::begin();
    let outcome = calibrate(&specification, &curve, &choose, &held_out, &|p| watched.goes_on(p));
    watched.end();
    let found = outcome.map_err(Report::refused)?;
    let at_bound = found.factors.iter().any(|f| f.at_bound);
    let outcome = if at_bound { Outcome::NotProved } else { Outcome::Good };
    let read_as =
        wrap(&format!("Read from {name}: {units_read}. {}.", compared_in(&specification).print(units)), 100)
            .join("\n");
    let words = format!("{}{read_as}\n\n{}", heading(&read), words(&found, units));
    Ok(Report::new(outcome, words, json!({ "calibration": found })))
}

/// "torque [lbf·ft]": heading and unit.
fn column(text: &str) -> Column {
    match text.trim().strip_suffix(']').and_then(|t| t.rsplit_once('[')) {
        Some((name, unit)) => Column { name: name.trim().to_owned(), unit: unit.trim().to_owned() },
        None => Column { name: text.trim().to_owned(), unit: String::new() },
    }
}

/// "friction" or "friction:0.8:1.2".
fn factor(word: &str) -> Result<(Factor, f64, f64), Report> {
    let mut parts = word.split(':');
    let name = parts.next().unwrap_or_default().trim();
    let key = |f: &Factor| f.path().trim_start_matches("power.") == name;
    let Some(factor) = Factor::ALL.into_iter().find(key) else {
        let all: Vec<&str> = Factor::ALL.iter().map(|f| f.path().trim_start_matches("power.")).collect();
        return Err(Report::refused(format!("\"{name}\" is no factor: expected {}", all.join(", "))));
    };
    let range = factor.usual_bounds();
    let mut bound = |usual: f64| match parts.next() {
        None => Ok(usual),
        Some(text) => text.parse::<f64>().ok().filter(|bound| bound.is_finite()).ok_or_else(|| {
            Report::refused(format!(
                "{name}: \"{text}\" is no bound of a factor; expected a number, as in {name}:{}:{}",
                range.0, range.1
            ))
        }),
    };
    Ok((factor, bound(range.0)?, bound(range.1)?))
}

/// Numbers of points, 1 first.
fn held_out(numbers: &[usize], points: usize) -> Result<Vec<usize>, Report> {
    let index = |n: &usize| match n.checked_sub(1).filter(|i| *i < points) {
        Some(index) => Ok(index),
        None => Err(Report::refused(format!(
            "--hold-out {n}: the curve has speeds 1 to {points}; expected the place of one, such as 2"
        ))),
    };
    numbers.iter().map(index).collect()
}

fn words(found: &Calibration, units: UnitSystem) -> String {
    let mut out = String::new();
    let mut factors = Table::new(&["factor", "before", "adjusted", "remark"]);
    for f in &found.factors {
        let remark = match (f.at_bound, f.told_apart()) {
            (true, _) => "stands at its bound: something else is missing",
            (false, None) => "these speeds cannot tell it, alone or from the other factors",
            (false, Some(_)) => "",
        };
        factors.row([f.factor.path().to_owned(), format_fixed(f.before, 2), f.figure(), remark.to_owned()]);
    }
    out.push_str(&factors.print());
    out.push('\n');
    let unit = display_unit(Dimension::Torque, units);
    let torque = |si: f64| format_fixed(si / unit.factor, 0);
    let measured = format!("measured, {}", unit.symbol);
    let mut points = Table::new(&["rev/min", &measured, "before", "after", "speed is"]);
    for p in &found.points {
        let used = if p.held_out { "left out" } else { "used" };
        let speed = format_fixed(p.speed * 60.0 / std::f64::consts::TAU, 0);
        points.row([speed, torque(p.measured), torque(p.before), torque(p.after), used.to_owned()]);
    }
    out.push_str(&points.print());
    let pair =
        |(before, after): (f64, f64)| format!("{:.1} % before, {:.1} % after", before * 100.0, after * 100.0);
    let _ = writeln!(out, "\nError of torque at the speeds used: {}.", pair(found.adjusted));
    if let Some(held) = found.held_out {
        let _ = writeln!(out, "At the speeds left out: {}.", pair(held));
    }
    out.push_str(&wrap(&format!("Unexplained: {}", found.unexplained), 100).join("\n"));
    out.push('\n');
    out.push_str(&power::advice());
    out
}
