//! Compressor map, flow bench, lift tables and burn against themselves.

use super::breathing::{CompressorLine, PortFlow, Turbocharger};
use super::diagnostic::{Code, Draft};
use super::issue::Issue;
use super::model::Document;
use super::parts::ValveSide;
use super::path::Segment::{self, Entry, Key};
use crate::quantity::Quantity;
use gas_exchange::turbocharger::{CompressorError, CompressorMap, MapPoint, MapSpeedLine, Reference};
use std::f64::consts::{PI, TAU};

/// Standard reference state of a map where none is stated: only for checking its shape, never for a result.
const SHAPE_ONLY: Reference = Reference { pressure: 1e5, temperature: 298.15 };

/// Checks of what the gas exchange reads.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    let mut issues = Vec::new();
    if let Some(turbocharger) = &document.turbocharger {
        compressor(turbocharger, &mut issues);
        turbine(turbocharger, &mut issues);
        let at = |key| vec![Key("turbocharger"), Key(key)];
        let speeds = &turbocharger.plenum_pressure_speed;
        let pressures = turbocharger.plenum_pressure_at_speed.len();
        same_length(
            at("plenum_pressure_at_speed"),
            "pressures",
            pressures,
            "speeds",
            speeds.len(),
            &mut issues,
        );
        rising(&at("plenum_pressure_speed"), &values(speeds), "speed", &mut issues);
    }
    let fuel = &document.fuel;
    let at = |key| vec![Key("fuel"), Key(key)];
    let (speeds, ratios) = (&fuel.lambda_speed, fuel.lambda_at_speed.len());
    same_length(at("lambda_at_speed"), "ratios", ratios, "speeds", speeds.len(), &mut issues);
    rising(&at("lambda_speed"), &values(speeds), "speed", &mut issues);
    octane_numbers(fuel, &mut issues);
    port(&document.flow_bench.intake, "intake", &mut issues);
    port(&document.flow_bench.exhaust, "exhaust", &mut issues);
    lift_table(&document.valves.intake, "intake", &mut issues);
    lift_table(&document.valves.exhaust, "exhaust", &mut issues);
    burn(document, &mut issues);
    issues
}

/// Octane numbers of fuels that spark engines burn; both scales end near 120 (ASTM D2699 and D2700, from memory).
fn octane_numbers<'a>(fuel: &crate::document::Fuel, issues: &mut Vec<Issue<'a>>) {
    let ranged = [
        (
            "research_octane_number",
            fuel.research_octane_number,
            40.0..=125.0,
            "an octane number of 40 to 125",
        ),
        ("motor_octane_number", fuel.motor_octane_number, 40.0..=125.0, "an octane number of 40 to 125"),
        ("motor_octane_weight", fuel.motor_octane_weight, -2.0..=2.0, "a weight of \u{2212}2 to 2"),
    ];
    for (key, value, range, expected) in ranged {
        if let Some(value) = value.filter(|v| !range.contains(&v.0)) {
            let draft = Draft::error(Code::OutOfRange, format!("{} is outside of what can be", value.0))
                .expected(expected.to_owned());
            issues.push(Issue::new(vec![Key("fuel"), Key(key)], draft));
        }
    }
}

fn same_length<'a>(
    path: Vec<Segment<'a>>,
    what: &str,
    found: usize,
    as_many_as: &str,
    wanted: usize,
    issues: &mut Vec<Issue<'a>>,
) -> bool {
    if found == wanted {
        return true;
    }
    let draft = Draft::error(
        Code::Incomplete,
        format!("{found} {what} stand against {wanted} {as_many_as}: each point needs both"),
    )
    .expected(format!("as many {what} as {as_many_as}"));
    issues.push(Issue::new(path, draft));
    false
}

fn rising<'a>(path: &[Segment<'a>], values: &[f64], what: &str, issues: &mut Vec<Issue<'a>>) -> bool {
    let Some(at) = values.windows(2).position(|pair| pair[1] <= pair[0]) else { return true };
    let mut path = path.to_vec();
    path.push(Entry(at + 2));
    let draft = Draft::error(Code::OutOfRange, format!("this {what} is not above the one before it"))
        .expected(format!("each {what} above the last"));
    issues.push(Issue::new(path, draft));
    false
}

fn values<Q: Quantity>(list: &[Q]) -> Vec<f64> {
    list.iter().map(|q| q.si()).collect()
}

/// Points of the map in SI; None when the lists do not go together.
pub(crate) fn map_lines(lines: &[CompressorLine]) -> Option<Vec<MapSpeedLine>> {
    lines
        .iter()
        .map(|line| {
            let fits =
                line.flow.len() == line.pressure_ratio.len() && line.flow.len() == line.efficiency.len();
            let points = (0..line.flow.len()).map(|i| MapPoint {
                flow: line.flow[i].0,
                pressure_ratio: line.pressure_ratio.get(i).map_or(f64::NAN, |r| r.0),
                efficiency: line.efficiency.get(i).map_or(f64::NAN, |e| e.0),
            });
            // Documents hold rev/s, the map rad/s.
            let line = MapSpeedLine { speed: line.speed?.0 * TAU, points: points.collect() };
            fits.then_some(line)
        })
        .collect()
}

fn compressor<'a>(turbocharger: &'a Turbocharger, issues: &mut Vec<Issue<'a>>) {
    let lines = &turbocharger.compressor;
    if lines.is_empty() {
        return;
    }
    let mut sound = true;
    for (i, line) in lines.iter().enumerate() {
        let at = |key| vec![Key("turbocharger"), Key("compressor"), Entry(i + 1), Key(key)];
        let flows = line.flow.len();
        sound &= same_length(
            at("pressure_ratio"),
            "pressure ratios",
            line.pressure_ratio.len(),
            "flows",
            flows,
            issues,
        );
        sound &= same_length(at("efficiency"), "efficiencies", line.efficiency.len(), "flows", flows, issues);
        if line.speed.is_none() {
            let draft = Draft::error(Code::Incomplete, "this speed line does not say its speed");
            issues.push(Issue::new(at("speed"), draft.expected("speed = \"100000 rev/min\"")));
            sound = false;
        }
    }
    let Some(points) = map_lines(lines).filter(|_| sound) else { return };
    let greatest = points.last().map_or(1.0, |line| line.speed).max(1.0);
    let Err(error) = CompressorMap::new(SHAPE_ONLY, greatest, &points) else { return };
    let path = match place(&error) {
        (Some(line), Some(point)) => {
            vec![Key("turbocharger"), Key("compressor"), Entry(line), Key("flow"), Entry(point)]
        }
        (Some(line), None) => vec![Key("turbocharger"), Key("compressor"), Entry(line)],
        _ => vec![Key("turbocharger"), Key("compressor")],
    };
    let draft = Draft::error(Code::CompressorMap, error.to_string()).expected(
        "at least two speed lines, slowest first, each with three points or more from surge to choke",
    );
    issues.push(Issue::new(path, draft));
}

fn place(error: &CompressorError) -> (Option<usize>, Option<usize>) {
    match error {
        CompressorError::TooFewPoints { line, .. }
        | CompressorError::SpeedNotRising { line, .. }
        | CompressorError::NotOutward { line, .. } => (Some(*line), None),
        CompressorError::Point { line, point, .. } | CompressorError::Crossing { line, point, .. } => {
            (Some(*line), Some(*point))
        }
        CompressorError::TooFewLines { .. } | CompressorError::OutOfRange { .. } => (None, None),
    }
}

fn turbine<'a>(turbocharger: &'a Turbocharger, issues: &mut Vec<Issue<'a>>) {
    let turbine = &turbocharger.turbine;
    let at = |key| vec![Key("turbocharger"), Key("turbine"), Key(key)];
    let points = turbine.expansion.len();
    if same_length(at("flow"), "flows", turbine.flow.len(), "expansion ratios", points, issues) {
        rising(&at("expansion"), &values(&turbine.expansion), "expansion ratio", issues);
        if points == 1 {
            let draft =
                Draft::error(Code::Incomplete, "the turbine map has one point").expected("two or more");
            issues.push(Issue::new(at("expansion"), draft));
        }
    }
}

fn port<'a>(port: &'a PortFlow, side: &'static str, issues: &mut Vec<Issue<'a>>) {
    let at = |key| vec![Key("flow_bench"), Key(side), Key(key)];
    let lifts = port.lift.len();
    rising(&at("lift"), &values(&port.lift), "lift", issues);
    if lifts == 1 {
        let draft = Draft::error(Code::Incomplete, "one lift makes no curve").expected("two lifts or more");
        issues.push(Issue::new(at("lift"), draft));
    }
    for (key, flows) in [("flow", &port.flow), ("reverse", &port.reverse)] {
        if !flows.is_empty() {
            same_length(at(key), "flows", flows.len(), "lifts", lifts, issues);
        }
    }
}

fn lift_table<'a>(valve: &'a ValveSide, side: &'static str, issues: &mut Vec<Issue<'a>>) {
    let at = |key| vec![Key("valves"), Key(side), Key(key)];
    let angles = valve.table_angle.len();
    if angles == 0 && valve.table_lift.is_empty() {
        return;
    }
    same_length(at("table_lift"), "lifts", valve.table_lift.len(), "angles", angles, issues);
    rising(&at("table_angle"), &values(&valve.table_angle), "angle", issues);
}

/// Where the exhaust valves open, rad after firing top dead centre, at the lift at which the duration is stated.
fn exhaust_opening(valve: &ValveSide) -> Option<f64> {
    let (duration, centre) = (valve.duration?.0, valve.lobe_centre?.0);
    Some(TAU - centre - 0.5 * duration)
}

fn burn<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    let burn = &document.burn;
    let at = |key| vec![Key("burn"), Key(key)];
    rising(&at("speed"), &values(&burn.speed), "speed", issues);
    let speeds = burn.speed.len();
    for (key, angles) in [("half_burned", &burn.half_burned), ("ten_to_ninety", &burn.ten_to_ninety)] {
        if angles.len() > 1 || (speeds > 1 && !angles.is_empty()) {
            same_length(at(key), "angles", angles.len(), "speeds", speeds, issues);
        }
    }
    let Some(opening) = exhaust_opening(&document.valves.exhaust) else { return };
    for (i, half) in burn.half_burned.iter().enumerate().filter(|(_, half)| half.0 >= opening) {
        let degrees = |angle: f64| angle * 180.0 / PI;
        let draft = Draft::error(
            Code::OutOfRange,
            format!(
                "half of the charge would have burned at {:.1}° after top dead centre, but the exhaust valves open at {:.1}°",
                degrees(half.0),
                degrees(opening)
            ),
        )
        .expected("an angle before the exhaust valves open; 8 to 15 deg is usual at full load");
        let mut path = at("half_burned");
        path.push(Entry(i + 1));
        issues.push(Issue::new(path, draft));
    }
}
