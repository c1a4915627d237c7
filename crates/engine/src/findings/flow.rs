//! Ports and injectors on the bench: are they alike?

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use crate::document::PortFlow;
use crate::features::{Sheet, Side, injector_path, port_flow_path};
use crate::quantity::{Dimension, Phrase};
use mechanics::metrology::Uncertain;
use mechanics::metrology::form::taper;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["port_flow"],
        asks: "Do the ports of all cylinders flow alike?",
        matters: "A port that flows less fills its cylinder less, and its mixture and timing then suit the others.",
        computed: "Largest less smallest flow of the ports at the highest lift that was read on all of them, over their mean.",
        to_do: "Read again after every cut of a seat; then match the weak port.",
        source: "definition; the limit is common practice, no source",
    },
    About {
        codes: &["injector_flow"],
        asks: "Does this injector flow what the others flow?",
        matters: "One that gives less runs its cylinder lean at full load, hotter and nearer to knock, and a mean mixture does not show it.",
        computed: "Flow over the median of all injectors, less 1.",
        to_do: "Clean it and read again, or exchange it.",
        source: "definition; the limit is common practice, no source",
    },
];

/// All questions on flow. Nothing is asked of ports that were never on the bench: the drawn sheet stands in for them.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let flow_bench = &bench.document().flow_bench;
    let mut all = Vec::new();
    all.extend(port_flow(bench, Side::Intake, &flow_bench.intake));
    all.extend(port_flow(bench, Side::Exhaust, &flow_bench.exhaust));
    all.extend(injectors(bench));
    all
}

/// The highest lift that was read, 1 first.
fn highest_read(bench: Bench<'_>, side: Side, port: &PortFlow) -> Option<usize> {
    (1..=port.lift.len())
        .rev()
        .find(|lift| bench.cylinders().any(|c| bench.size(&port_flow_path(side, c, *lift)).is_some()))
}

fn port_flow(bench: Bench<'_>, side: Side, port: &PortFlow) -> Option<Finding> {
    let lift = highest_read(bench, side, port)?;
    let shown =
        crate::quantity::format_value(port.lift[lift - 1].0, Dimension::Length, bench.engine.units(), 2);
    let mut answer = Answer::new(
        bench,
        "port_flow",
        Sheet::Head,
        format!("{} ports", side.word()),
        side.word(),
        &format!("spread of flow at {shown} lift"),
    )
    .limit("port_flow_spread")
    .dimension(Dimension::Share)
    .formula("(largest − smallest)/mean", "definition");
    let paths: Vec<String> = bench.cylinders().map(|c| port_flow_path(side, c, lift)).collect();
    let flows = answer.read_all(&paths);
    let spread = flows.as_ref().and_then(|f| {
        let all: Vec<&Uncertain> = f.iter().collect();
        let mean = Uncertain::mean(&all)?.value();
        let spread = taper(&all)?.value;
        Some(Uncertain::linear(0.0, &[(1.0 / mean, &spread)]))
    });
    answer.value(spread, false);
    let mut finding = answer.finish();
    if finding.stale {
        // Every lift that was read before the cut is asked for again.
        for lift in 1..=port.lift.len() {
            for cylinder in bench.cylinders() {
                let path = port_flow_path(side, cylinder, lift);
                if bench.size(&path).is_some_and(|s| s.stale) && !finding.subject.features.contains(&path) {
                    finding.subject.features.push(path);
                }
            }
        }
        finding.actions.push(
            Action::new(
                ActionKind::Measure,
                Phrase::words(format!(
                    "Put the {} ports on the flow bench again: the seats were cut since",
                    side.word()
                )),
            )
            .gives(Phrase::words(
                "flow coefficients of the head as it is; until then power is computed from the old ones",
            )),
        );
    }
    Some(finding)
}

fn injectors(bench: Bench<'_>) -> Vec<Finding> {
    let Some(count) = bench.document().fuel.injectors else { return Vec::new() };
    let places: Vec<(u32, u32)> =
        bench.cylinders().flat_map(|c| (1..=count).map(move |injector| (c, injector))).collect();
    let path = |(cylinder, injector): (u32, u32)| injector_path(cylinder, injector, count);
    if !places.iter().any(|place| bench.size(&path(*place)).is_some()) {
        return Vec::new();
    }
    let mut flows: Vec<Uncertain> =
        places.iter().filter_map(|place| bench.size(&path(*place)).map(|s| s.value.clone())).collect();
    flows.sort_by(|a, b| a.value().total_cmp(&b.value()));
    let middle = flows.len() / 2;
    let median = if flows.len() % 2 == 1 {
        Some(flows[middle].clone())
    } else {
        Uncertain::mean(&[&flows[middle - 1], &flows[middle]])
    };
    let Some(median) = median else { return Vec::new() };
    // The median hangs on every injector that was read: each of them is an input.
    let read: Vec<String> = places.iter().map(|p| path(*p)).filter(|p| bench.size(p).is_some()).collect();
    places.iter().map(|place| injector(bench, *place, count, &read, &median)).collect()
}

fn injector(
    bench: Bench<'_>,
    (cylinder, number): (u32, u32),
    count: u32,
    read: &[String],
    median: &Uncertain,
) -> Finding {
    let path = injector_path(cylinder, number, count);
    let (label, instance) = if count == 1 {
        (format!("injector {cylinder}"), cylinder.to_string())
    } else {
        (format!("cylinder {cylinder}, injector {number}"), format!("{cylinder}.{number}"))
    };
    let mut answer =
        Answer::new(bench, "injector_flow", Sheet::Head, label, &instance, "flow against the median")
            .limit("injector_spread")
            .dimension(Dimension::Share)
            .formula("flow/median − 1", "definition");
    let flow = answer.read(&path);
    for other in read.iter().filter(|other| **other != path) {
        answer.read(other);
    }
    answer.computed(
        "median of all injectors",
        median,
        Dimension::VolumeFlow,
        "the readings of all injectors",
    );
    let share = flow.map(|flow| {
        let scale = 1.0 / median.value();
        let ratio = flow.value() * scale;
        Uncertain::propagate(ratio - 1.0, &[(scale, &flow), (-ratio * scale, median)])
    });
    answer.value(share, false);
    let mut finding = answer.finish();
    let value = finding.value.map_or(0.0, |v| v.value);
    if finding.verdict == Verdict::Bad {
        finding.why =
            Phrase::words(off_words(value, cylinder, count, of_cylinder(bench, cylinder, count, median)));
        finding.actions.push(
            Action::new(
                ActionKind::Refit,
                Phrase::words("Clean this injector and read it again; exchange it when it stays off"),
            )
            .gives(Phrase::words("the same mixture in every cylinder"))
            .supplied(bench.part("injector")),
        );
    }
    finding
}

/// Flow of all injectors of a cylinder over what as many of the median give, less 1; none where one of them is not read.
fn of_cylinder(bench: Bench<'_>, cylinder: u32, count: u32, median: &Uncertain) -> Option<f64> {
    let flows: Option<Vec<f64>> = (1..=count)
        .map(|number| bench.size(&injector_path(cylinder, number, count)).map(|size| size.value.value()))
        .collect();
    Some(flows?.iter().sum::<f64>() / (f64::from(count) * median.value()) - 1.0)
}

/// What an injector that is off does to its cylinder, first for the cylinder: "cylinder 3 gets 2.7 % less fuel than the others and
/// runs lean: this one of its 2 injectors gives 5.1 % less".
fn off_words(own: f64, cylinder: u32, count: u32, whole: Option<f64>) -> String {
    let share = |by: f64| format!("{} {}", super::percent(by.abs()), if by < 0.0 { "less" } else { "more" });
    let runs = |by: f64| if by < 0.0 { "lean" } else { "rich" };
    match whole {
        _ if count == 1 => {
            format!("{} fuel than the others: cylinder {cylinder} runs {}", share(own), runs(own))
        }
        Some(whole) => format!(
            "cylinder {cylinder} gets {} fuel than the others and runs {}: this one of its {count} injectors gives {}",
            share(whole),
            runs(whole),
            share(own)
        ),
        None => format!(
            "this one of its {count} injectors gives {}: how lean or rich cylinder {cylinder} runs is known when all of them are read",
            share(own)
        ),
    }
}
