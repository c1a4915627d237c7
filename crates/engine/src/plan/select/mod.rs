//! What goes where: hands measured sizes to the exact solvers and puts their answers into words.

mod barrels;
mod deck;
mod pistons;
mod rings;
mod shells;
mod shims;
mod springs;

pub(super) use deck::{LEAST_ROOM, ONLY_IF_MOVED, SKIM_TOLERANCE};
pub(super) use rings::{ONLY_IF, RingAnswer, What};

use super::{Cut, OrderLine, Outcome, Placement, Selection, Undecided, Widen};
use crate::assess::Assessment;
use crate::document::OperationKind;
use crate::engine::Engine;
use crate::findings::{
    Allowed, BIG_END, BearingKind, Bench, MAIN_HOUSING, Rejected, Verdict, Widened, mean_size, rejected,
};
use crate::quantity::Phrase;
use mechanics::selection::{Relaxation, SingleRelaxation, Solution, Window};

/// What the selections work with: sizes, and the cuts that come before parts are fitted.
pub(super) struct Desk<'a> {
    pub bench: Bench<'a>,
    pub assessment: &'a Assessment,
    pub cuts: &'a [Cut],
    pub orders: Vec<OrderLine>,
    pub undecided: Vec<Undecided>,
    /// Parts that are not used.
    pub not_used: Vec<Rejected>,
}

impl Desk<'_> {
    /// Size to which the cutting list hones this bore.
    pub fn planned_hone(&self, cylinder: u32) -> Option<f64> {
        let label = format!("bore {cylinder}");
        self.cuts.iter().find(|c| c.operation == OperationKind::Hone && c.part == label)?.to
    }

    /// Bore as it will be: the target of a planned hone, else as measured.
    pub fn planned_bore(&self, cylinder: u32) -> Option<f64> {
        self.planned_hone(cylinder).or_else(|| mean_size(self.bench, cylinder).map(|b| b.value()))
    }
}

impl Desk<'_> {
    /// Is the housing of this bearing itself in question, or its rod not used? Then its clearance says nothing about shells.
    pub fn housing_in_question(&self, kind: BearingKind, number: u32) -> bool {
        let instance = number.to_string();
        let housing = if kind == BearingKind::Main { MAIN_HOUSING } else { BIG_END };
        let in_question = self.assessment.findings.iter().any(|f| {
            f.verdict == Verdict::Bad && f.subject.instance == instance && housing.contains(&f.code)
        });
        // Fitted and predicted bore that disagree: dirt or a torque, and no grade is chosen by it.
        let agreement = if kind == BearingKind::Main { "main_agreement" } else { "rod_agreement" };
        let disagrees = self.assessment.finding(&format!("{agreement}/{number}"));
        let in_question = in_question || disagrees.is_some_and(|f| f.verdict == Verdict::Bad);
        in_question || kind == BearingKind::Rod && self.is_rejected(&format!("rod.{number}.big_end"))
    }

    /// Is the part that carries this place not used?
    pub fn is_rejected(&self, path: &str) -> bool {
        self.not_used
            .iter()
            .any(|part| path.strip_prefix(&part.part).is_some_and(|rest| rest.starts_with('.')))
    }
}

/// What the selections come to.
pub(super) struct Selected<'a> {
    /// All selections that this engine can have.
    pub selections: Vec<Selection>,
    /// What they order.
    pub orders: Vec<OrderLine>,
    /// What they leave to a person.
    pub undecided: Vec<Undecided>,
    /// What becomes of each ring gap.
    pub rings: Vec<RingAnswer<'a>>,
}

/// All selections that this engine can have, what they order, and what they leave open.
pub(super) fn selections<'a>(
    engine: &'a Engine,
    assessment: &'a Assessment,
    cuts: &'a [Cut],
) -> Selected<'a> {
    let bench = Bench { engine, sizes: &assessment.sizes };
    let not_used = rejected(&assessment.findings, &engine.catalogue);
    let mut desk = Desk { bench, assessment, cuts, orders: Vec::new(), undecided: Vec::new(), not_used };
    let mut all = Vec::new();
    all.extend(pistons::select(&mut desk));
    all.extend(shells::select(&mut desk, BearingKind::Main));
    all.extend(shells::select(&mut desk, BearingKind::Rod));
    let rings = rings::answers(&desk);
    all.extend(rings::select(&desk, &rings));
    all.extend(if engine.document.block.is_of_separate_barrels() {
        barrels::select(&mut desk)
    } else {
        deck::select(&mut desk)
    });
    all.extend(springs::select(&mut desk));
    all.extend(shims::select(&mut desk));
    Selected { selections: all, orders: desk.orders, undecided: desk.undecided, rings }
}

/// A closed window for a solver; None when a side is open.
pub(super) fn window(allowed: &Allowed) -> Option<Window> {
    let (min, max) = (allowed.used.min?, allowed.used.max?);
    Some(Window { min, target: allowed.aim()?.clamp(min, max), max })
}

/// A selection that cannot start.
pub(super) fn missing(code: &'static str, title: &str, features: Vec<String>) -> Selection {
    Selection {
        code,
        title: title.to_owned(),
        outcome: Outcome::Missing { features },
        placements: Vec::new(),
        summary: Phrase::words("not enough is measured yet"),
        objective: "",
        caution: None,
        settles: Vec::new(),
    }
}

/// Best, or what to relax. `names` gives the limit and the place of each window of the solver.
pub(super) fn outcome<C, const N: usize>(
    desk: &Desk<'_>,
    solution: &Solution<C, N>,
    names: &dyn Fn(usize) -> (&'static str, String),
    limits: &[&'static str],
) -> Outcome {
    match &solution.relaxation {
        Some(relaxation) => Outcome::Relax {
            relax: relax_words(desk, relaxation, names, limits),
            widen: match relaxation.uniform {
                Some(by) if limits.iter().all(|limit| is_sensible(desk, limit, by)) => Widen::AnyOne,
                _ => Widen::AsSaid,
            },
        },
        None if solution.proved => Outcome::Best {
            proved: true,
            proof: "proved: no other choice of the parts does better".to_owned(),
        },
        None => Outcome::Best {
            proved: false,
            proof: "the best that was found; that none is better is not proved".to_owned(),
        },
    }
}

const NOT_BY_A_LIMIT: &str = "the parts, not a limit: what is on offer lies outside by more than the limit is wide; read the sizes again, then look for other parts";

/// Is a limit that opens by that much still one? Not where it opens by more than it is wide.
fn is_sensible(desk: &Desk<'_>, limit: &'static str, by: f64) -> bool {
    Widened::of(desk.bench, limit).and_then(|limit| limit.width()).is_none_or(|width| by <= width)
}

fn relax_words(
    desk: &Desk<'_>,
    relaxation: &Relaxation,
    names: &dyn Fn(usize) -> (&'static str, String),
    limits: &[&'static str],
) -> Vec<Phrase> {
    let single = |single: &SingleRelaxation| {
        let (limit, place) = names(single.window);
        if !is_sensible(desk, limit, single.by) {
            return None;
        }
        Some(
            Widened::of(desk.bench, limit)?.end(single.upper, single.by)?.say(format!(", for {place} alone")),
        )
    };
    let mut words: Vec<Phrase> = relaxation.single.iter().take(3).filter_map(single).collect();
    match relaxation.uniform {
        // A limit that had to open by more than it is wide would let anything pass: a size is wrong, or other parts are needed.
        Some(by) if !limits.iter().all(|limit| is_sensible(desk, limit, by)) => {
            if words.is_empty() {
                words.push(Phrase::words(NOT_BY_A_LIMIT));
            }
        }
        Some(by) => {
            let both = limits.iter().filter_map(|limit| Some(Widened::of(desk.bench, limit)?.both_ends(by)));
            words
                .extend(both.reduce(|all, next| all.say("; and ").join(next)).map(|w| w.say(", everywhere")));
        }
        None => words.push(Phrase::words("parts are missing, and no widening helps")),
    }
    words
}

impl Selection {
    /// Findings of these codes at every place that got an answer; none while a limit has to give.
    pub(super) fn settling(mut self, codes: &[&str]) -> Self {
        if matches!(self.outcome, Outcome::Best { .. }) {
            let ids = |p: &Placement| codes.iter().map(|c| format!("{c}/{}", p.instance)).collect::<Vec<_>>();
            self.settles.extend(self.placements.iter().flat_map(ids));
        }
        self
    }
}

/// What stays where it is.
pub(super) fn placement(
    what: Phrase,
    place: String,
    instance: String,
    from: Phrase,
    result: Phrase,
    value: f64,
    stays: bool,
) -> Placement {
    Placement { what, place, instance, from, result, value, stays, room: None, held_by: Vec::new() }
}
