//! Crank: journals, run-out, end float.

use super::about::About;
use super::answer::Answer;
use super::bearing::Kind;
use super::bench::{Bench, from_target};
use super::direct::{Direct, ToDo};
use super::model::{Action, ActionKind, Finding, Verdict};
use super::regrind::{grind, grind_words, prove_crank};
use crate::document::{OperationKind, Target};
use crate::features::Sheet;
use crate::quantity::{Dimension, Phrase};
use crate::readings::{Operation, moves};
use mechanics::metrology::Uncertain;
use mechanics::metrology::form::taper;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["main_size", "pin_size"],
        asks: "Is the journal, mean of its readings, inside its range?",
        matters: "Oil clearance follows from it; a worn journal may still run with a thicker shell.",
        computed: "Mean of two places and two directions, corrected to 20 °C.",
        to_do: "Below its least size: test for cracks and hardness first. Choose the shell by the clearance finding where the crank maker allows the size; grind when no grade fits. A journal that was ground is judged by its new range, which is stated under Spec.",
        source: "ISO 1; JCGM 100",
    },
    About {
        codes: &["main_taper", "pin_taper"],
        asks: "Has the journal the same size at both ends?",
        matters: "A tapered film carries at one edge.",
        computed: "Difference of the means of front and rear.",
        to_do: "Test the crank for cracks and look at its radii first; then polish, or grind to the next undersize that has shells where the crank maker allows it.",
        source: "definition",
    },
    About {
        codes: &["main_round", "pin_round"],
        asks: "Is the journal round, as far as two points can see?",
        matters: "An oval journal pumps its film away.",
        computed: "Largest difference of both directions at one end.",
        to_do: "Test the crank for cracks and look at its radii first; then grind to the next undersize that has shells, where the crank maker allows it. The clearance of its bearings follows.",
        source: "definition",
    },
    About {
        codes: &["crank_run_out"],
        asks: "Does the crank run true at this main?",
        matters: "A bent crank loads its shells at every turn.",
        computed: "As read at the middle mains, the crank on its end mains.",
        to_do: "Check for cracks first; then have it straightened or ground by a specialist shop.",
        source: "definition; limits common practice, no source",
    },
    About {
        codes: &["end_float"],
        asks: "Has the crank room along its axis?",
        matters: "Too little burns the thrust faces, too much lets the clutch push the crank about.",
        computed: "As read, assembled.",
        to_do: "Too little: dirt, a burr or halves out of line come first, then thinner thrust shells. Too much: new thrust shells, thicker ones where the face of the crank is worn.",
        source: "definition; limits common practice, no source",
    },
];

/// The four readings of a journal: front vertical, front across, rear vertical, rear across.
fn paths(which: &str, number: u32) -> Vec<String> {
    ["front.vertical", "front.across", "rear.vertical", "rear.across"]
        .iter()
        .map(|e| format!("crank.{which}.{number}.{e}"))
        .collect()
}

/// Mean of whatever was read at a journal.
pub fn journal_size(bench: Bench<'_>, which: &str, number: u32) -> Option<Uncertain> {
    let sizes: Vec<&Uncertain> =
        paths(which, number).iter().filter_map(|p| bench.size(p).map(|s| &s.value)).collect();
    Uncertain::mean(&sizes)
}

/// The smallest reading of a journal, m.
pub(super) fn least_reading(bench: Bench<'_>, which: &str, number: u32) -> Option<f64> {
    let sizes = paths(which, number).into_iter().filter_map(|p| bench.size(&p).map(|s| s.value.value()));
    sizes.reduce(f64::min)
}

/// All questions on the crank.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let document = bench.document();
    let mut all = Vec::new();
    for kind in [Kind::Main, Kind::Rod] {
        for number in 1..=kind.journal_count(bench) {
            all.extend(journal(bench, kind, number));
        }
    }
    for main in 2..document.main_count() {
        all.push(
            Direct {
                code: "crank_run_out",
                limit: "crank_run_out",
                sheet: Sheet::Crank,
                label: format!("main {main}"),
                instance: &main.to_string(),
                question: "run-out",
                path: format!("crank.run_out.{main}"),
                dimension: Dimension::Length,
                to_do: ToDo::either(
                    "Have the crank straightened or ground by a specialist shop; check for cracks first",
                ),
            }
            .finding(bench),
        );
    }
    all.push(
        Direct {
            code: "end_float",
            limit: "end_float",
            sheet: Sheet::Crank,
            label: "crank".into(),
            instance: "1",
            question: "end float",
            path: "crank.end_float".into(),
            dimension: Dimension::Length,
            to_do: ToDo {
                too_small: "Look for dirt or a burr behind the thrust shells, and whether their halves stand in line; then thinner thrust shells, or have their faces dressed",
                too_large: "Read the thrust face of the crank and the thrust shells: worn shells are replaced; where the face is worn, thicker thrust shells, or the face is ground",
            },
        }
        .finding(bench),
    );
    all
}

fn journal(bench: Bench<'_>, kind: Kind, number: u32) -> [Finding; 3] {
    let (which, label) = (kind.journal_word(), kind.journal_label(number));
    let (size_code, taper_code, round_code) = match kind {
        Kind::Main => ("main_size", "main_taper", "main_round"),
        Kind::Rod => ("pin_size", "pin_taper", "pin_round"),
    };
    let field = match kind {
        Kind::Main => "crank.main_journal",
        Kind::Rod => "crank.pin_journal",
    };
    let target = range_of(bench, kind, number);
    let asks_for_range = target.is_none() && was_ground(bench, kind, number);
    let instance = number.to_string();
    let start = |code, question| {
        Answer::new(bench, code, Sheet::Crank, label.clone(), &instance, question).part("crank")
    };

    let mut size = start(size_code, "journal size")
        .allowed(from_target(field, target))
        .formula("mean of 2 places × 2 directions", "ISO 1, JCGM 100");
    if asks_for_range {
        size.lacks(&format!("crank.{}.{number}, the range of this journal as ground", ground_field(kind)));
    }
    let values = size.read_all(&paths(which, number));
    size.value(values.as_ref().and_then(|v| Uncertain::mean(&v.iter().collect::<Vec<_>>())), false);
    let size = size_actions(size.finish(), bench, kind, number);

    let mut tapered = start(taper_code, "taper")
        .limit("journal_taper")
        .formula("|mean front − mean rear|", "definition; shared terms cancel");
    let ends = tapered
        .read_all(&paths(which, number))
        .map(|v| [(&v[0] + &v[1]).scaled(0.5), (&v[2] + &v[3]).scaled(0.5)]);
    tapered.value(ends.and_then(|[a, b]| taper(&[&a, &b]).map(|t| t.value)), false);
    let tapered = ground(tapered.finish(), bench, kind, number);

    let mut round = start(round_code, "out-of-round, two points")
        .limit("journal_round")
        .formula("largest |vertical − across| at one end", "definition; blind to odd lobes");
    let worst = round.read_all(&paths(which, number)).and_then(|v| {
        let differences =
            [(&v[0], &v[1]), (&v[2], &v[3])].map(|(a, b)| if a.value() >= b.value() { a - b } else { b - a });
        differences.into_iter().max_by(|a, b| a.value().total_cmp(&b.value()))
    });
    round.value(worst, false);
    [size, tapered, ground(round.finish(), bench, kind, number)]
}

/// What comes before a journal below its least size is used again.
pub(super) fn prove_journal(journal: &str) -> Action {
    let text = format!(
        "Before {journal} is used again: test journal and fillets for cracks and the journal for hardness, and ask the crank maker whether this size may run"
    );
    Action::new(ActionKind::Hold, Phrase::words(text))
}

/// Where the document states the range of a journal that was ground.
const fn ground_field(kind: Kind) -> &'static str {
    match kind {
        Kind::Main => "ground_mains",
        Kind::Rod => "ground_pins",
    }
}

/// The range of a journal: as stated for one that was ground, else of the drawing, which says nothing of one that was ground.
fn range_of(bench: Bench<'_>, kind: Kind, number: u32) -> Option<&Target> {
    let crank = &bench.document().crank;
    let (as_ground, drawn) = match kind {
        Kind::Main => (&crank.ground_mains, &crank.main_journal),
        Kind::Rod => (&crank.ground_pins, &crank.pin_journal),
    };
    let drawn = || drawn.as_ref().filter(|_| !was_ground(bench, kind, number));
    as_ground.get(&number.to_string()).or_else(drawn)
}

/// Is a grind of this journal recorded?
fn was_ground(bench: Bench<'_>, kind: Kind, number: u32) -> bool {
    let path = format!("crank.{}.{number}.front.vertical", kind.journal_word());
    let place = bench.engine.catalogue.feature(&path);
    let grinds = |o: &&Operation| o.kind == OperationKind::Regrind;
    place.is_some_and(|place| bench.engine.operations.iter().filter(grinds).any(|o| moves(o, place)))
}

/// Has this journal worn below its least size?
pub(crate) fn is_worn(bench: Bench<'_>, kind: Kind, number: u32) -> bool {
    let least = range_of(bench, kind, number).and_then(|t| t.min).map(|m| m.0);
    least
        .zip(journal_size(bench, kind.journal_word(), number))
        .is_some_and(|(least, size)| size.value() < least)
}

fn size_actions(mut finding: Finding, bench: Bench<'_>, kind: Kind, number: u32) -> Finding {
    let least = finding.limit.as_ref().and_then(|limit| limit.min).unwrap_or_default();
    if finding.verdict == Verdict::Bad && finding.is_below_least() {
        finding.why = Phrase::words("worn below ").length(least);
        finding.actions.push(prove_journal("it"));
        finding.actions.push(Action::new(
            ActionKind::Place,
            Phrase::words("Then let the shell grade make up for it where the crank maker allows this size"),
        ));
        finding.actions.push(
            Action::new(
                ActionKind::Cut,
                grind_words(bench, kind, number, "Where no shell grade does: grind"),
            )
            .supplied(bench.job(OperationKind::Regrind)),
        );
    } else if finding.verdict == Verdict::Bad {
        finding.actions.push(
            Action::new(ActionKind::Cut, Phrase::words("Polish or grind to size"))
                .supplied(bench.job(OperationKind::Regrind)),
        );
    }
    finding
}

fn ground(mut finding: Finding, bench: Bench<'_>, kind: Kind, number: u32) -> Finding {
    if finding.verdict == Verdict::Bad {
        finding.actions.extend([prove_crank(), grind(bench, kind, number)]);
    }
    finding
}
