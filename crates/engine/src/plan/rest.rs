//! Nothing open is forgotten: what no cut, order, selection or reading settles becomes work at the bench, or is left to a
//! person in so many words.

use super::{Outcome, Plan, Task, Undecided};
use crate::assess::Assessment;
use crate::document::OperationKind;
use crate::findings::{Action, ActionKind, Finding, Verdict, proves_crank};
use crate::power::is_power;
use crate::quantity::{Phrase, counted};
use std::collections::BTreeSet;

/// Adds the lines that are still missing, and names on each line the findings that follow from those it settles.
pub(super) fn add(assessment: &Assessment, plan: &mut Plan) {
    let open: Vec<&Finding> = assessment
        .findings
        .iter()
        .filter(|f| matches!(f.verdict, Verdict::Bad | Verdict::Uncertain))
        .collect();
    for selection in &mut plan.selections {
        selection.settles.retain(|id| open.iter().any(|f| f.id == *id));
    }
    // One run answers all that a stale or missing one leaves open.
    computing(assessment, plan);
    // What has to be read again, or must not be done, comes before the cut that would settle the same finding.
    // What was cut since it was read stands on the list of what to measure.
    for finding in open.iter().filter(|f| f.verdict == Verdict::Bad && !f.stale && !to_compute(f)) {
        let first = finding.actions.first();
        if first.is_some_and(|action| proves_crank(&action.text)) {
            continue;
        }
        if let Some(action) = first.filter(|a| matches!(a.kind, ActionKind::Hold | ActionKind::Measure)) {
            // One place that several findings rest on is read again once.
            let reads_same = |id: &String| {
                let other = assessment.finding(id).map_or(&[][..], |f| &f.subject.features);
                other.iter().any(|path| finding.subject.features.contains(path))
            };
            let same = |t: &&mut Task| t.text == action.text && t.settles.iter().any(reads_same);
            match plan.bench.iter_mut().find(same) {
                Some(line) => line.settles.push(finding.id.clone()),
                None => put(plan, task(finding, action)),
            }
        }
    }
    plan.bench.extend(proof_of_the_crank(assessment, plan));
    followers(&open, plan);
    for finding in open.iter().filter(|f| f.follows.is_none()) {
        settle(finding, plan);
    }
    followers(&open, plan);
    for finding in &open {
        settle(finding, plan);
    }
}

/// The test of the whole crank, once for all journals that are to be ground.
fn proof_of_the_crank(assessment: &Assessment, plan: &Plan) -> Option<Task> {
    let ground = plan.cuts.iter().filter(|c| c.operation == OperationKind::Regrind);
    let settles: Vec<String> = ground.flat_map(|c| c.settles.clone()).collect();
    let asks = settles.iter().filter_map(|id| assessment.finding(id));
    let (finding, action) =
        asks.flat_map(|f| f.actions.iter().map(move |a| (f, a))).find(|(_, a)| proves_crank(&a.text))?;
    Some(Task { part: "crank".to_owned(), settles, ..task(finding, action) })
}

/// Does this finding wait for a computation?
fn to_compute(finding: &Finding) -> bool {
    is_power(finding.code)
        && finding.actions.first().is_some_and(|action| action.kind == ActionKind::Measure)
        && (finding.stale || finding.verdict == Verdict::Unknown)
}

/// The computations that have to be made, a line for each.
fn computing(assessment: &Assessment, plan: &mut Plan) {
    for cams in [false, true] {
        let mut waits =
            assessment.findings.iter().filter(|f| to_compute(f) && (f.code == "cam_timing") == cams);
        if let Some((finding, action)) = waits.next().and_then(|f| f.actions.first().map(|a| (f, a))) {
            let mut line = task(finding, action);
            "power".clone_into(&mut line.part);
            line.settles.extend(waits.map(|f| f.id.clone()));
            plan.bench.push(line);
        }
    }
}

/// One line for this finding, where it has none yet.
fn settle(finding: &Finding, plan: &mut Plan) {
    if settled(plan).contains(&finding.id) {
        return;
    }
    let undecided = |reason: Phrase| Undecided {
        text: Phrase::words(format!("{}: a person must decide. ", finding.title())).join(reason),
        settles: vec![finding.id.clone()],
    };
    let waits = selections_of(finding.code)
        .find_map(|code| plan.selections.iter().find(|s| s.code == code))
        .and_then(|s| match &s.outcome {
            Outcome::Best { .. } => None,
            Outcome::Relax { .. } => Some(format!(
                "No arrangement of what there is keeps every limit ({}, under what goes where)",
                s.title.to_lowercase()
            )),
            Outcome::CannotTell { .. } => Some(format!(
                "The readings cannot tell which choice fits ({}, under what goes where): read finer first",
                s.title.to_lowercase()
            )),
            Outcome::Missing { features } => Some(format!(
                "The plan can choose when it has {}",
                counted(features.len(), "more reading", "more readings")
            )),
        });
    match (waits, finding.actions.first()) {
        (Some(reason), _) => plan.undecided.push(undecided(Phrase::words(reason))),
        (None, Some(action)) if action.kind != ActionKind::Ask => put(plan, task(finding, action)),
        (None, Some(action)) => plan.undecided.push(undecided(action.text.clone())),
        (None, None) => plan.undecided.push(undecided(Phrase::words(match finding.verdict {
            Verdict::Bad => "No action is known for it",
            _ => "The readings cannot tell, and no other reading is known that would",
        }))),
    }
}

/// Adds work at the bench; the same work on the same part for two findings is one line.
fn put(plan: &mut Plan, task: Task) {
    match plan.bench.iter_mut().find(|t| t.part == task.part && t.text == task.text) {
        Some(same) => same.settles.extend(task.settles),
        None => plan.bench.push(task),
    }
}

fn task(finding: &Finding, action: &Action) -> Task {
    Task {
        kind: action.kind,
        part: finding.subject.label.clone(),
        text: action.text.clone(),
        price: action.cost,
        days: action.days,
        caution: action.caution,
        settles: vec![finding.id.clone()],
    }
}

/// Selections, and the findings that their answers settle.
const ANSWERS: &[(&str, &[&str])] = &[
    ("pistons", &["piston_clearance", "mass_spread"]),
    ("main_shells", &["main_clearance"]),
    ("rod_shells", &["rod_clearance"]),
    ("deck_and_gasket", &["quench", "compression_ratio"]),
    ("barrel_shims", &["quench", "compression_ratio"]),
    ("lash_shims", &["lash"]),
    ("ring_filing", &["top_ring_gap", "second_ring_gap", "ring_butting"]),
];

/// The selections whose answer settles such a finding; an engine has one of them at most.
pub(super) fn selections_of(code: &str) -> impl Iterator<Item = &'static str> {
    ANSWERS.iter().filter(move |(_, codes)| codes.contains(&code)).map(|(selection, _)| *selection)
}

/// The findings that a selection answers.
pub(super) fn codes_of(selection: &str) -> &'static [&'static str] {
    ANSWERS.iter().find(|(name, _)| *name == selection).map_or(&[], |(_, codes)| codes)
}

/// The findings that each line settles.
fn lines(plan: &mut Plan) -> impl Iterator<Item = &mut Vec<String>> {
    let made =
        plan.cuts.iter_mut().map(|c| &mut c.settles).chain(plan.orders.iter_mut().map(|o| &mut o.settles));
    let chosen = plan.selections.iter_mut().map(|s| &mut s.settles);
    let bench = plan.bench.iter_mut().map(|t| &mut t.settles);
    made.chain(chosen).chain(bench).chain(plan.undecided.iter_mut().map(|u| &mut u.settles))
}

/// Findings that some line settles, or whose readings are on the list of what to measure next.
fn settled(plan: &Plan) -> BTreeSet<String> {
    let made = plan.cuts.iter().map(|c| &c.settles).chain(plan.orders.iter().map(|o| &o.settles));
    let chosen = plan
        .selections
        .iter()
        .map(|s| &s.settles)
        .chain(plan.measure_next.iter().flat_map(|m| [&m.settles, &m.with_others]));
    let rest = plan.bench.iter().map(|t| &t.settles).chain(plan.undecided.iter().map(|u| &u.settles));
    made.chain(chosen).chain(rest).flatten().cloned().collect()
}

/// What follows from a finding goes with its line, and what follows from that as well.
fn followers(open: &[&Finding], plan: &mut Plan) {
    let mut grew = true;
    while grew {
        grew = false;
        for finding in open {
            let Some(cause) = &finding.follows else { continue };
            if settled(plan).contains(&finding.id) {
                continue;
            }
            // A cause that is only to be read again has no line of its own: then this one gets one.
            for settles in lines(plan).filter(|settles| settles.contains(cause)) {
                settles.push(finding.id.clone());
                grew = true;
            }
        }
    }
}
