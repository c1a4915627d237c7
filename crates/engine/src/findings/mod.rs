//! Findings: one file a subject, one function a question, with the explanation that the manual is made from.

mod about;
mod answer;
mod barrel;
mod bearing;
mod before_measuring;
mod bench;
mod bore;
mod casting;
mod caution;
mod chamber;
mod common_cause;
mod common_practice;
mod core_shift;
mod crank;
mod digits;
mod direct;
mod either_value;
mod flow;
mod follows;
mod masses;
mod model;
mod piston;
mod read_again;
mod regrind;
mod rejected;
mod rod;
mod shown_working;
mod spring;
mod tally;
mod valve;
mod wall_cut;
mod widened;

pub use about::About;
pub(crate) use answer::{about, limit_of_chance};
pub use answer::{chance, percent};
pub(crate) use barrel::barrel_words;
pub use barrel::{shim_for_ratio, shim_under};
pub use bearing::Kind as BearingKind;
pub use before_measuring::before_measuring;
pub use bench::{Allowed, Bench, decimals};
pub use bore::{
    HONE_TOLERANCE, HoneOrder, Outgrown, bore_extremes, hone_of, left_from_before, mean_size, outgrown,
    top_size, with_plate,
};
pub use caution::cautions_of;
pub use chamber::{crank_drive, ratio_value, space};
pub use common_cause::{CommonCause, common_cause};
pub(crate) use common_practice::boosted;
pub use common_practice::{CHAMBER_TOLERANCE, GAP_TOLERANCE, Range, range as usual_range};
pub use core_shift::{CoreShift, core_shift};
pub(crate) use crank::is_worn;
pub use crank::journal_size;
pub use digits::{LimitFigures, exact_figure, limit_figures, usual_decimals};
pub use model::{
    Action, ActionKind, Finding, Input, LimitUsed, Measured, Shares, Subject, Verdict, Working,
    document_field, stated_in_document,
};
pub use piston::{FileTo, butting_needs, file_to, pin_in, piston_in};
pub use regrind::{CRANK_IS_SOUND, Undersize, grind_words, proves_crank, undersize};
pub use rejected::{Rejected, is_of_rejected, rejected};
pub use shown_working::{BudgetLine, brought_to_20, budget, origin_as_read};
pub use spring::{OffHeight, Setting, off_height, setting};
pub use tally::{Standing, Tally, Whole};
pub use valve::lash_limit;
pub use widened::Widened;

pub(crate) use answer::Answer;
pub(crate) use either_value::settle as settle_by_either_value;
pub(crate) use read_again::{Line, lines_that_settle};

use crate::document::{Document, Origin};
use crate::quantity::Phrase;
use crate::readings::{Operation, moves};

/// Explanations of all questions, for the manual.
pub fn manual() -> impl Iterator<Item = &'static About> {
    [
        casting::ABOUT,
        core_shift::ABOUT,
        bore::ABOUT,
        crank::ABOUT,
        bearing::ABOUT,
        rod::ABOUT,
        piston::ABOUT,
        barrel::ABOUT,
        chamber::ABOUT,
        valve::ABOUT,
        spring::ABOUT,
        flow::ABOUT,
    ]
    .into_iter()
    .flatten()
}

/// Every finding of an engine, in the order of the job.
pub(crate) fn all(bench: Bench<'_>) -> Vec<Finding> {
    let mut all = casting::findings(bench);
    all.extend(bore::findings(bench));
    all.extend(crank::findings(bench));
    all.extend(bearing::findings(bench));
    all.extend(rod::findings(bench));
    all.extend(piston::findings(bench));
    all.push(masses::mass_spread(bench));
    all.extend(chamber::findings(bench));
    all.extend(valve::findings(bench));
    all.extend(flow::findings(bench));
    wait_for_housings(&mut all);
    read_stale_first(&mut all, bench);
    regrind::follow(&mut all, bench);
    rejected::follow(&mut all, bench);
    follows::link(&mut all, bench.document());
    read_again::advise(&mut all, bench.engine.units());
    caution::give(&mut all, &bench.document().block);
    name_usual_limits(&mut all, bench.document());
    all
}

/// A range of the trade that nobody at this shop stated says so where it decides something.
fn name_usual_limits(all: &mut [Finding], document: &Document) {
    let usual = |limit: &LimitUsed| {
        limit.origin == Origin::CommonPractice && usual_range(&limit.name, document).is_some()
    };
    let by_usage = |f: &&mut Finding| {
        matches!(f.verdict, Verdict::Bad | Verdict::Uncertain) && f.limit.as_ref().is_some_and(usual)
    };
    for finding in all.iter_mut().filter(by_usage) {
        let why = std::mem::take(&mut finding.why);
        finding.why = why.also("the limit is common practice, no source: state your own");
    }
}

/// What was cut since it was read says nothing of what is to be done now: before any work by it, it is read again.
fn read_stale_first(all: &mut [Finding], bench: Bench<'_>) {
    let old = |f: &&mut Finding| f.stale && f.actions.iter().any(|a| a.kind != ActionKind::Measure);
    for finding in all.iter_mut().filter(old) {
        let places = finding.subject.features.iter().filter_map(|path| bench.engine.catalogue.feature(path));
        let places: Vec<_> = places.collect();
        let moved = |o: &&Operation| places.iter().any(|place| moves(o, place));
        let since = bench.engine.operations.iter().rfind(moved).map_or("the last cut", |o| o.name.as_str());
        let text =
            format!("Read {} again first, as it is now: this was read before {since}", finding.subject.label);
        finding.actions = vec![Action::new(ActionKind::Measure, Phrase::words(text))];
    }
}

/// A bearing whose housing is itself in question says nothing about shells or a grind: its clearance waits for the cap or the big end.
fn wait_for_housings(all: &mut [Finding]) {
    let kinds: [(_, &[&str], _); 2] = [
        (
            BearingKind::Main,
            MAIN_HOUSING,
            "Settle main housing # first: its cap is off line or not seated, and the clearance follows it",
        ),
        (
            BearingKind::Rod,
            BIG_END,
            "Settle the big end of rod # first: it is out of size or not round, and the clearance follows it; no shells and no grind by this figure",
        ),
    ];
    for (kind, housing, words) in kinds {
        let in_question: Vec<String> = all
            .iter()
            .filter(|f| f.verdict == Verdict::Bad && housing.contains(&f.code))
            .map(|f| f.subject.instance.clone())
            .collect();
        let waits = |f: &&mut Finding| {
            f.code == kind.limit()
                && matches!(f.verdict, Verdict::Bad | Verdict::Uncertain)
                && in_question.contains(&f.subject.instance)
        };
        for finding in all.iter_mut().filter(waits) {
            let text = words.replace('#', &finding.subject.instance);
            finding.actions = vec![Action::new(ActionKind::Refit, Phrase::words(text))];
        }
    }
}

/// Questions on the housing of a main that put its clearance in question.
pub(crate) const MAIN_HOUSING: &[&str] = &["main_line", "main_housing_round", "main_housing_size"];
/// The same of a rod.
pub(crate) const BIG_END: &[&str] = &["big_end_size", "big_end_round"];
