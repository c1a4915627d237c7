//! Lift with the lash as measured, flow of the ports from the bench.

use super::Builder;
use crate::document::{Limit, PortFlow, PublishedCurve, ValveSide};
use crate::features::{Side, port_flow_path, valve_names};
use crate::power::InputOrigin;
use crate::power::specification::{Doubt, DoubtKind, Group};
use crate::quantity::{Dimension, Length, UnitSystem, format_value};
use gas_exchange::network::ValveGroup;
use gas_exchange::valves::{
    self as gx, FlowBench, FlowCoefficients, Follower, Lift, Lobe, Placement, PublishedFlow, Reading,
    ReverseFlow,
};

use std::f64::consts::PI;

/// Ramp where none is stated: 0.10 mm above the lash over 25° of crank (common practice, no source).
const RAMP_ABOVE_LASH: f64 = 0.1e-3;
const RAMP_ANGLE: f64 = 25.0 * std::f64::consts::PI / 180.0;

/// The valves of one side of a cylinder.
pub(super) fn group(b: &mut Builder<'_>, cylinder: u32, side: Side) -> Option<ValveGroup> {
    let document = b.bench.document();
    let (valve, port, count) = match side {
        Side::Intake => (&document.valves.intake, &document.flow_bench.intake, document.layout.intake_valves),
        Side::Exhaust => {
            (&document.valves.exhaust, &document.flow_bench.exhaust, document.layout.exhaust_valves)
        }
    };
    let word = side.word();
    let count = count.filter(|n| (1..=4).contains(n));
    if count.is_none() {
        b.lacks(&format!("{word} valves of each cylinder"), &format!("layout.{word}_valves"), false);
    }
    let diameter = b.stated(
        Group::Valves,
        &format!("{word} valve, head diameter"),
        &format!("valves.{word}.head_diameter"),
        valve.head_diameter,
    );
    let lift = lift(b, cylinder, side, valve);
    let flow = flow(b, cylinder, side, port, diameter, count);
    Some(ValveGroup { lift: lift?, flow: flow?, count: f64::from(count?) })
}

fn lash(b: &mut Builder<'_>, cylinder: u32, side: Side) -> Option<f64> {
    let document = b.bench.document();
    if document.cams.lash_adjustment == Some(crate::document::LashAdjustment::Hydraulic) {
        return Some(0.0);
    }
    let places: Vec<String> = valve_names(document)
        .into_iter()
        .filter(|v| v.cylinder == cylinder && v.side == side)
        .map(|v| format!("head.{}.lash", v.path()))
        .collect();
    let read: Vec<f64> = places.iter().filter_map(|p| b.read(Group::Valves, p)).collect();
    if !read.is_empty() {
        return Some(read.iter().sum::<f64>() / read.len() as f64);
    }
    if let Some((aim, reach, key)) = aimed_lash(b, side) {
        if let Some(input) = b.inputs.iter_mut().find(|i| i.path == key) {
            input.expanded = reach;
        }
        return Some(aim);
    }
    b.lacks(&format!("{} lash", side.word()), places.first().map_or("valves", String::as_str), true);
    None
}

/// Lash that its limit aims at, how far from it the limit reaches, and its key.
fn aimed_lash(b: &mut Builder<'_>, side: Side) -> Option<(f64, f64, &'static str)> {
    let limits = &b.bench.document().limits;
    let (limit, key): (&Option<Limit<Length>>, _) = match side {
        Side::Intake => (&limits.lash_intake, "limits.lash_intake"),
        Side::Exhaust => (&limits.lash_exhaust, "limits.lash_exhaust"),
    };
    let l = limit.as_ref()?;
    let middle = l.min.zip(l.max).map(|(a, b)| f64::midpoint(a.0, b.0));
    let aim = l.target.map(|t| t.0).or(middle).or(l.min.or(l.max).map(|one| one.0))?;
    // Whoever sets it to the limit sets it anywhere between its ends.
    let reach = [l.min, l.max].into_iter().flatten().map(|end| (end.0 - aim).abs()).fold(0.0, f64::max);
    let label = format!("{} lash, as its limit aims at", side.word());
    b.note(Group::Valves, &label, key, Dimension::Length, aim, InputOrigin::Document);
    Some((aim, reach, key))
}

/// Lash that the lobe was ground for: a lift at the valve is stated with the lash set as it should be. The lash as read belongs to the
/// follower alone, so that a looser valve lifts less and later. Without a limit the lash as read stands in.
fn lash_of_lobe(b: &mut Builder<'_>, side: Side, read: Option<f64>) -> Option<f64> {
    let hydraulic =
        b.bench.document().cams.lash_adjustment == Some(crate::document::LashAdjustment::Hydraulic);
    if hydraulic { read } else { aimed_lash(b, side).map(|(aim, ..)| aim).or(read) }
}

fn lift(b: &mut Builder<'_>, cylinder: u32, side: Side, valve: &ValveSide) -> Option<Lift> {
    let word = side.word();
    let document = b.bench.document();
    let key = |k: &str| format!("valves.{word}.{k}");
    let label = |k: &str| format!("{word} valve, {k}");
    let lash = lash(b, cylinder, side);
    let centre = b.stated(Group::Valves, &label("lobe centre"), &key("lobe_centre"), valve.lobe_centre);
    let check = b.stated(
        Group::Valves,
        &label("lift at which the duration is stated"),
        &key("duration_at"),
        valve.duration_at,
    );
    let rocker = document.cams.rocker_ratio.filter(|r| *r > 0.0);
    if let Some(ratio) = rocker {
        b.note(
            Group::Valves,
            "rocker ratio",
            "cams.rocker_ratio",
            Dimension::Ratio,
            ratio,
            InputOrigin::Document,
        );
    }
    let placed = |centre: f64| {
        let side = match side {
            Side::Intake => gx::Side::Intake,
            Side::Exhaust => gx::Side::Exhaust,
        };
        Placement { side, lobe_centre: centre, advance: 0.0 }
    };
    let made = if valve.table_angle.is_empty() {
        let duration = b.stated(Group::Valves, &label("duration"), &key("duration"), valve.duration);
        let ground_for = lash_of_lobe(b, side, lash);
        // With a rocker the lobe is described; without one the lift of the valve, to which the lash is added.
        let peak = match (rocker, document.cams.lobe_lift) {
            (Some(_), Some(lobe)) => b.stated(Group::Valves, "lobe lift", "cams.lobe_lift", Some(lobe)),
            _ => b
                .stated(Group::Valves, &label("lift at the valve"), &key("lift"), valve.lift)
                .zip(ground_for)
                .map(|(lift, lash)| (lift + lash) / rocker.unwrap_or(1.0)),
        };
        let (lash, centre, check, duration, peak) = (lash?, centre?, check?, duration?, peak?);
        let ground_for = ground_for?;
        let ratio = rocker.unwrap_or(1.0);
        let ramp = b.stated_or(
            Group::Valves,
            &label("ramp"),
            &key("ramp"),
            valve.ramp,
            ground_for + RAMP_ABOVE_LASH,
        ) / ratio;
        let ramp_angle = b.stated_or(
            Group::Valves,
            &label("ramp angle"),
            &key("ramp_angle"),
            valve.ramp_angle,
            RAMP_ANGLE,
        );
        let lobe = Lobe {
            peak_lift: peak,
            check_lift: check,
            duration_at_check_lift: duration,
            ramp_height: ramp.max(0.0),
            ramp_length: ramp_angle,
        };
        Lift::from_lobe(&lobe, Follower { rocker_ratio: ratio, lash }, placed(centre))
    } else {
        let points: Vec<(f64, f64)> =
            valve.table_angle.iter().zip(&valve.table_lift).map(|(a, l)| (a.0, l.0)).collect();
        for (i, (angle, lift)) in points.iter().enumerate() {
            let at = format!("{} at {:.1}°", label("lift as read"), angle * 180.0 / std::f64::consts::PI);
            let origin = InputOrigin::Document;
            b.note(
                Group::Valves,
                &at,
                &format!("{}.{}", key("table_lift"), i + 1),
                Dimension::Length,
                *lift,
                origin,
            );
        }
        let (lash, centre, check) = (lash?, centre?, check?);
        let follower = Follower { rocker_ratio: rocker.unwrap_or(1.0), lash };
        Lift::from_table(&points, check, follower, placed(centre))
    };
    match made {
        Ok(lift) => Some(lift),
        Err(error) => {
            b.problem(&format!("valves.{word}"), format!("cylinder {cylinder}: {error}"));
            None
        }
    }
}

fn flow(
    b: &mut Builder<'_>,
    cylinder: u32,
    side: Side,
    port: &PortFlow,
    diameter: Option<f64>,
    count: Option<u32>,
) -> Option<FlowCoefficients> {
    let word = side.word();
    let key = |k: &str| format!("flow_bench.{word}.{k}");
    let (flows, all_read) = flows(b, cylinder, side, port);
    let factor = flow_factor(b, side);
    if let Some(curve) = port.published {
        if flows.len() < 2 {
            return published(b, side, port, diameter, factor, curve);
        }
        b.leaves_unused(&key("published"), "the flow of this head is stated or was read", &key("lift"));
    }
    let bench = bench(b);
    if port.lift.is_empty() {
        b.lacks(&format!("{word} port, lifts of the flow bench"), &key("lift"), false);
    }
    // Places to read come with the lifts: without those the sheet has none.
    if flows.len() < 2 && !port.lift.is_empty() {
        b.lacks(&format!("{word} port, flow over lift"), &port_flow_path(side, cylinder, 1), true);
    }
    let scaled = |points: &[(f64, f64)]| -> Vec<Reading> {
        points.iter().map(|(lift, flow)| Reading { lift: *lift, volume_flow: flow * factor }).collect()
    };
    let reverse = if port.reverse.is_empty() {
        let share = b.stated(
            Group::Valves,
            &format!("{word} port, flow against the usual direction as a share"),
            &key("reverse_factor"),
            port.reverse_factor,
        )?;
        ReverseFlow::Factor(share)
    } else {
        let points: Vec<(f64, f64)> = port.lift.iter().zip(&port.reverse).map(|(l, f)| (l.0, f.0)).collect();
        ReverseFlow::Measured(scaled(&points))
    };
    let open = port.valves_open.or(count);
    if let Some(open) = port.valves_open {
        b.note(
            Group::Valves,
            &format!("{word} valves open on the bench"),
            &key("valves_open"),
            Dimension::Ratio,
            f64::from(open),
            InputOrigin::Document,
        );
    }
    let (bench, diameter, open) = (bench?, diameter?, open?);
    if flows.len() < 2 {
        return None;
    }
    match FlowCoefficients::from_readings(diameter, open, &bench, &scaled(&flows), &reverse) {
        Ok(flow) => {
            question(b, &flow, &flows, diameter, (word, cylinder, all_read), &key("flow"));
            Some(flow)
        }
        Err(error) => {
            b.problem(&format!("flow_bench.{word}"), format!("cylinder {cylinder}: {error}"));
            None
        }
    }
}

/// Lift and flow of each lift that has a flow, as read on this head or else as drawn, and whether they were read.
fn flows(b: &mut Builder<'_>, cylinder: u32, side: Side, port: &PortFlow) -> (Vec<(f64, f64)>, bool) {
    let (word, units) = (side.word(), b.bench.document().engine.units);
    let read: Vec<Option<f64>> = (1..=port.lift.len())
        .map(|i| b.bench.size(&port_flow_path(side, cylinder, i)).map(|s| s.value.value()))
        .collect();
    let all_read = read.len() > 1 && read.iter().all(Option::is_some);
    let mut flows = Vec::new();
    for (i, lift) in port.lift.iter().enumerate() {
        let value = if all_read {
            b.read(Group::Valves, &port_flow_path(side, cylinder, i + 1))
        } else {
            let shown = format_value(lift.0, Dimension::Length, units, 2);
            port.flow.get(i).and_then(|flow| {
                b.stated(
                    Group::Valves,
                    &format!("{word} port, drawn, at {shown}"),
                    &format!("flow_bench.{word}.flow.{}", i + 1),
                    Some(*flow),
                )
            })
        };
        if let Some(value) = value {
            flows.push((lift.0, value));
        }
    }
    (flows, all_read)
}

fn flow_factor(b: &mut Builder<'_>, side: Side) -> f64 {
    let power = &b.bench.document().power;
    let (label, key, given) = match side {
        Side::Intake => {
            ("factor on the flow of intake valves and ports", "power.intake_flow", power.intake_flow)
        }
        Side::Exhaust => {
            ("factor on the flow of exhaust valves and ports", "power.exhaust_flow", power.exhaust_flow)
        }
    };
    b.stated_or(Group::Calibration, label, key, given, 1.0)
}

/// A published mean curve that the document names, in place of a bench. Each of its points is an input with its band.
fn published(
    b: &mut Builder<'_>,
    side: Side,
    port: &PortFlow,
    diameter: Option<f64>,
    factor: f64,
    curve: PublishedCurve,
) -> Option<FlowCoefficients> {
    let word = side.word();
    let gas_side = match side {
        Side::Intake => gx::Side::Intake,
        Side::Exhaust => gx::Side::Exhaust,
    };
    let of = match curve {
        PublishedCurve::MeanPoppetValve => PublishedFlow::mean_poppet_valve(gas_side),
    };
    for (i, (ratio, coefficient)) in of.points.iter().enumerate() {
        let label =
            format!("{word} valve, mean flow coefficient on its head at {ratio:.2} of lift over diameter");
        let path = format!("flow_bench.{word}.published.{}", i + 1);
        b.published(&label, &path, *coefficient, of.band * coefficient);
    }
    let label = format!("{word} port, flow against the usual direction as a share");
    let path = format!("flow_bench.{word}.reverse_factor");
    let reverse = if port.reverse_factor.is_some() {
        b.stated(Group::Valves, &label, &path, port.reverse_factor)?
    } else {
        b.published(&label, &path, of.reverse, 0.0);
        of.reverse
    };
    match of.of_valve(diameter?, factor, reverse) {
        Ok(flow) => Some(flow),
        Err(error) => {
            b.problem(&format!("flow_bench.{word}.published"), error);
            None
        }
    }
}

/// Effective area over the narrower of curtain and throat that poppet valves have (judgement about Heywood 6.3.2, from memory, who
/// shows 0.5 to 0.75 for plain ports and more for good ones). A depression in the wrong unit or a wrong number of valves is outside.
const USUAL_FLOW: std::ops::RangeInclusive<f64> = 0.42..=0.95;
/// Throat over head diameter, narrowest and widest: it is not stated, so the one that excuses more is taken (common practice, no source).
const THROAT: [f64; 2] = [0.85, 0.92];

/// Doubts a port that passes far less or more than ports do, once for its worst lift.
fn question(
    b: &mut Builder<'_>,
    flow: &FlowCoefficients,
    flows: &[(f64, f64)],
    diameter: f64,
    (word, cylinder, read): (&str, u32, bool),
    key: &str,
) {
    let of = |lift: f64, throat: f64| {
        let throat = 0.25 * PI * throat * throat * diameter * diameter;
        flow.effective_area(lift) / throat.min(PI * diameter * lift)
    };
    let coefficient = |lift: f64| {
        let [narrow, wide] = THROAT.map(|throat| of(lift, throat));
        if narrow < *USUAL_FLOW.start() { narrow } else { wide }
    };
    let middle = f64::midpoint(*USUAL_FLOW.start(), *USUAL_FLOW.end());
    let worst = flows
        .iter()
        .enumerate()
        .map(|(i, (lift, _))| (i + 1, *lift, coefficient(*lift)))
        .filter(|(_, _, c)| !USUAL_FLOW.contains(c))
        .max_by(|a, b| (a.2 - middle).abs().total_cmp(&(b.2 - middle).abs()));
    let Some((reading, lift, found)) = worst else { return };
    let side = if word == "intake" { Side::Intake } else { Side::Exhaust };
    let (label, path) = if read {
        (format!("{word} port of cylinder {cylinder}"), port_flow_path(side, cylinder, reading))
    } else {
        (format!("{word} port as drawn"), format!("{key}.{reading}"))
    };
    if b.doubts.iter().any(|d| d.label == label) {
        return;
    }
    let units = b.bench.document().engine.units;
    b.doubts.push(Doubt {
        kind: DoubtKind::PortFlow,
        label,
        path,
        why: format!(
            "at {} of lift it passes {found:.2} of the narrower of curtain and throat; ports pass {:.2} to {:.2} (judgement, about Heywood 6.3.2, from memory)",
            format_value(lift, Dimension::Length, units, if units == UnitSystem::Inch { 3 } else { 2 }),
            USUAL_FLOW.start(),
            USUAL_FLOW.end()
        ),
    });
}

fn bench(b: &mut Builder<'_>) -> Option<FlowBench> {
    let stated = &b.bench.document().flow_bench;
    let depression =
        b.stated(Group::Valves, "depression of the flow bench", "flow_bench.depression", stated.depression);
    let pressure = b.stated_or(
        Group::Valves,
        "pressure before the valve on the bench",
        "flow_bench.pressure",
        stated.pressure,
        101_325.0,
    );
    let temperature = b.stated_or(
        Group::Valves,
        "temperature before the valve on the bench",
        "flow_bench.temperature",
        stated.temperature,
        288.15,
    );
    Some(FlowBench {
        inlet_pressure: pressure,
        inlet_temperature: temperature,
        depression: depression?,
        gas_constant: 287.053,
        gamma: 1.4,
    })
}
