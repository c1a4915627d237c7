//! Journals that are ground: to which size and with which shells, what comes before the money is spent, and what follows from it.

use super::bearing::Kind;
use super::bench::{Bench, from_target};
use super::crank::least_reading;
use super::model::{Action, ActionKind, Finding, Verdict};
use crate::document::OperationKind;
use crate::quantity::{Dimension, Phrase};

/// What a grind takes off the smallest reading of a journal at the least, on diameter, m. Common practice, no source.
const CLEAN_UP: f64 = 0.02e-3;

/// What comes before any money goes into a regrind. Common practice, no source.
const PROVE_CRANK: &str = "Before money goes into a regrind: have the whole crank tested for cracks and the radii of its journals checked; a crank that is cracked, or whose radii are nicked or too small, is replaced and not ground (common practice, no source)";

/// The condition under which a journal is ground, and shells for it are ordered.
pub const CRANK_IS_SOUND: &str =
    "the crank passes its test for cracks, and the radii of its journals are sound";

/// The next undersize of a journal: the largest size to which it cleans up and for which a grade on the list gives the clearance that
/// is aimed at, in the housings as read.
#[derive(Clone, Debug, PartialEq)]
pub struct Undersize {
    /// Size to grind to, m.
    pub size: f64,
    /// Grade of the shells that go with it.
    pub grade: String,
    /// Their wall, m.
    pub wall: f64,
    /// Clearance that they leave, m.
    pub clearance: f64,
}

/// The next undersize of a journal that has shells on the list; none where no grade goes with one, or a size or limit is not known.
pub fn undersize(bench: Bench<'_>, kind: Kind, journal: u32) -> Option<Undersize> {
    let allowed = bench.limit(kind.limit())?;
    let clearance = allowed.aim()?;
    let least = least_reading(bench, kind.journal_word(), journal)?;
    let housings: Option<Vec<f64>> =
        kind.bearings_on(bench, journal).map(|number| housing_to_be(bench, kind, number)).collect();
    let housings = housings.filter(|all| !all.is_empty())?;
    // Two rods on one pin share its size.
    let mean = housings.iter().sum::<f64>() / housings.len() as f64;
    let sizes = kind.shells(bench).grades.iter().filter_map(|(grade, wall)| {
        let size = mean - 2.0 * wall.0 - clearance;
        let fits = |housing: &f64| allowed.used.contains(housing - 2.0 * wall.0 - size);
        let found = Undersize { size, grade: grade.clone(), wall: wall.0, clearance };
        (size <= least - CLEAN_UP && housings.iter().all(fits)).then_some(found)
    });
    sizes.max_by(|a, b| a.size.total_cmp(&b.size))
}

/// A housing that is out of its drawing is sized to it before shells go in; any other is taken as read.
fn housing_to_be(bench: Bench<'_>, kind: Kind, number: u32) -> Option<f64> {
    let document = bench.document();
    let drawn = match kind {
        Kind::Main => from_target("block.main_housing", document.block.main_housing.as_ref()),
        Kind::Rod => from_target("rods.big_end", document.rods.big_end.as_ref()),
    };
    let read = bench.size(&kind.housing(number)).map(|size| size.value.value());
    match read.zip(drawn) {
        Some((read, drawn)) if !drawn.used.contains(read) => drawn.aim(),
        _ => kind.housing_size(bench, number),
    }
}

/// "Grind crank pin 1 to 1.9900 in, the next undersize that has shells: …"; where no grade on the list goes with one it asks for it.
/// `grind` is the first word as it stands in its sentence.
pub fn grind_words(bench: Bench<'_>, kind: Kind, journal: u32, grind: &str) -> Phrase {
    let label = kind.journal_label(journal);
    match undersize(bench, kind, journal) {
        Some(under) => Phrase::words(format!("{grind} {label} to "))
            .length(under.size)
            .say(format!(", the next undersize that has shells: grade {} (", under.grade))
            .value(under.wall, Dimension::Length, 4)
            .say(") then leaves ")
            .length(under.clearance)
            .say("; only if the crank maker allows it"),
        None => Phrase::words(format!(
            "{grind} {label} to the next undersize, only if the crank maker allows it; which size that is follows from its shells: write those that can be had for it under Spec ({}_shells.grades in the document)",
            kind.word()
        )),
    }
}

/// The order to grind a journal.
pub(super) fn grind(bench: Bench<'_>, kind: Kind, journal: u32) -> Action {
    Action::new(ActionKind::Cut, grind_words(bench, kind, journal, "Grind"))
        .supplied(bench.job(OperationKind::Regrind))
}

/// What comes before it.
pub(super) fn prove_crank() -> Action {
    Action::new(ActionKind::Hold, Phrase::words(PROVE_CRANK))
}

/// Is this the test of the whole crank? It is made once, however many journals ask for it.
pub fn proves_crank(text: &Phrase) -> bool {
    *text == Phrase::words(PROVE_CRANK)
}

/// Where a journal is ground, nothing is done by the size that it has now: its other findings follow from the one that has it ground.
pub(super) fn follow(all: &mut [Finding], bench: Bench<'_>) {
    for kind in [Kind::Main, Kind::Rod] {
        for journal in 1..=kind.journal_count(bench) {
            follow_one(all, bench, kind, journal);
        }
    }
}

fn follow_one(all: &mut [Finding], bench: Bench<'_>, kind: Kind, journal: u32) {
    let bearings: Vec<String> = kind.bearings_on(bench, journal).map(|n| n.to_string()).collect();
    let of_journal = |f: &Finding, ending: &str| {
        f.subject.instance == journal.to_string()
            && f.code.strip_prefix(kind.journal_word()).is_some_and(|rest| rest == ending)
    };
    let of_bearing = |f: &Finding| f.code == kind.limit() && bearings.contains(&f.subject.instance);
    let bad = |f: &&Finding| f.verdict == Verdict::Bad && !f.stale;
    let form = |f: &&Finding| of_journal(f, "_round") || of_journal(f, "_taper");
    let has_cut = |f: &&Finding| of_bearing(f) && f.actions.iter().any(|a| a.kind == ActionKind::Cut);
    let by_form = all.iter().filter(bad).find(form);
    let Some(cause) = by_form.or_else(|| all.iter().filter(bad).find(has_cut)) else { return };
    let (id, by_form) = (cause.id.clone(), by_form.is_some());
    let words = format!(
        "Follows from {}: {} is ground, and its shells are chosen by the size that it then has; order none by this figure",
        cause.title(),
        kind.journal_label(journal)
    );
    let open = |f: &Finding| matches!(f.verdict, Verdict::Bad | Verdict::Uncertain) && !f.stale && f.id != id;
    // What is asked about, and a housing that is to be settled, come first.
    let first = |f: &Finding| f.actions.iter().any(|a| matches!(a.kind, ActionKind::Ask | ActionKind::Refit));
    for finding in all.iter_mut().filter(|f| open(f)) {
        if of_bearing(finding) && !first(finding) {
            finding.actions = vec![Action::new(ActionKind::Place, Phrase::words(words.clone()))];
            finding.follows = Some(id.clone());
        } else if by_form && of_journal(finding, "_size") && finding.verdict == Verdict::Bad {
            finding.actions = vec![prove_crank(), grind(bench, kind, journal)];
            finding.follows = Some(id.clone());
        }
    }
}
