//! A reading that is asked about, where the answer changes nothing: as typed and as probably meant it gives one verdict and one action.

use super::answer::ask_words;
use super::bench::Bench;
use super::model::{Finding, Verdict};
use crate::engine::Engine;
use crate::quantity::UnitSystem;
use crate::readings::Slip;
use crate::sizes::{self, Doubt, Sizes};

/// Each finding that one open question alone leaves uncertain is asked twice more: with the reading as typed, and as it was probably
/// meant. Where both give one verdict and the same actions, that verdict stands, and the finding says which reading is asked about; the
/// question stays open. Where nobody can say what was meant, or two questions meet in one finding, it stays uncertain.
pub(crate) fn settle(findings: &mut [Finding], engine: &Engine, slips: &[Slip]) {
    let guessed: Vec<&Slip> = slips.iter().filter(|s| !s.confirmed && s.likely.is_some()).collect();
    if guessed.is_empty() {
        return;
    }
    let units = engine.units();
    // Each value takes an assessment of its own: only where it may change something.
    let may_agree = |finding: &&Finding| {
        finding.verdict == Verdict::Uncertain
            && only_question(finding, &guessed, units)
                .is_some_and(|number| !is_split(finding, number, &guessed, engine))
    };
    if !findings.iter().any(|finding| may_agree(&finding)) {
        return;
    }
    let others: Vec<Slip> = slips.iter().filter(|s| s.confirmed || s.likely.is_none()).cloned().collect();
    let as_typed = judged(engine, &others);
    let as_meant = judged(&meant(engine, &guessed), &others);
    let mut settled: Vec<(usize, Finding)> = findings
        .iter()
        .enumerate()
        .filter(|(_, finding)| finding.verdict == Verdict::Uncertain)
        .filter_map(|(at, finding)| {
            let reading = only_question(finding, &guessed, units)?;
            let same = |f: &&Finding| f.id == finding.id;
            let (typed, meant) = (as_typed.iter().find(same)?, as_meant.iter().find(same)?);
            agree(typed, meant, units).then(|| (at, with_note(typed.clone(), reading)))
        })
        .collect();
    // What follows from a finding that stays uncertain stays so with it.
    loop {
        let stands = |id: &String| {
            let settled = settled.iter().map(|(_, f)| f).find(|f| f.id == *id);
            settled.or_else(|| findings.iter().find(|f| f.id == *id)).is_some_and(Finding::stops)
        };
        let keep: Vec<bool> = settled.iter().map(|(_, f)| f.follows.as_ref().is_none_or(stands)).collect();
        if keep.iter().all(|k| *k) {
            break;
        }
        let mut keep = keep.into_iter();
        settled.retain(|_| keep.next().unwrap_or(false));
    }
    for (at, finding) in settled {
        findings[at] = finding;
    }
}

/// Is this finding the reading itself, with one of its two values inside the limit and the other outside? Then no verdict holds for both.
fn is_split(finding: &Finding, number: u64, guessed: &[&Slip], engine: &Engine) -> bool {
    let meant = guessed.iter().find(|slip| slip.reading == number).and_then(|slip| slip.likely);
    let typed = engine.readings.iter().find(|reading| reading.number == number).map(|reading| reading.value);
    let (Some(typed), Some(meant)) = (typed, meant) else { return false };
    // Temperature and corrections move a reading by less.
    let is_reading = |value: f64| (value - typed).abs() <= 1e-3 * typed.abs();
    finding.value.zip(finding.limit.as_ref()).is_some_and(|(value, limit)| {
        is_reading(value.value) && limit.contains(typed) != limit.contains(meant)
    })
}

/// Every finding, with only these suspicions open.
fn judged(engine: &Engine, slips: &[Slip]) -> Vec<Finding> {
    let sizes: Sizes = sizes::sizes(engine, slips);
    super::all(Bench { engine, sizes: &sizes })
}

/// The engine with the readings as they were probably meant.
fn meant(engine: &Engine, guessed: &[&Slip]) -> Engine {
    let mut engine = engine.clone();
    for reading in &mut engine.readings {
        let slip = guessed.iter().find(|slip| slip.reading == reading.number);
        if let Some(likely) = slip.and_then(|slip| slip.likely) {
            reading.value = likely;
        }
    }
    engine
}

/// The reading that alone is asked about by this finding.
fn only_question(finding: &Finding, guessed: &[&Slip], units: UnitSystem) -> Option<u64> {
    let asks = |slip: &&&Slip| {
        let words = ask_words(&Doubt::Slip(slip.reading));
        finding.actions.iter().any(|action| action.text.print(units) == words)
    };
    let mut asked = guessed.iter().filter(asks);
    let first = asked.next()?;
    asked.next().is_none().then_some(first.reading)
}

/// One verdict that settles the question, with the same things to do.
fn agree(typed: &Finding, meant: &Finding, units: UnitSystem) -> bool {
    let to_do = |finding: &Finding| {
        let each = finding.actions.iter().map(|a| (a.kind, a.text.print(units), a.effect.print(units)));
        each.collect::<Vec<_>>()
    };
    typed.verdict == meant.verdict
        && !matches!(typed.verdict, Verdict::Uncertain | Verdict::Unknown)
        && typed.follows == meant.follows
        && to_do(typed) == to_do(meant)
}

fn with_note(mut finding: Finding, reading: u64) -> Finding {
    let why = std::mem::take(&mut finding.why);
    finding.why = why.also(format!(
        "reading {reading} is asked about and not yet confirmed: as typed and as probably meant it gives this verdict"
    ));
    finding.either_value = Some(reading);
    finding
}
