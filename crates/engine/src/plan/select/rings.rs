//! How much to file off each ring: one answer for each gap, from which the selection and the cutting list are both made.

use super::{Desk, placement};
use crate::cautions;
use crate::findings::{FileTo, Finding, GAP_TOLERANCE, LimitUsed, Verdict, Widened, butting_needs, file_to};
use crate::plan::{Outcome, Placement, Selection, Widen};
use crate::quantity::{Phrase, counted};
use mechanics::fit::ring::{filing, gap_change};

/// Condition of a ring whose reading cannot tell whether it has to be filed.
pub const ONLY_IF: &str = "a second reading finds it below its range as well";

/// What to do with one ring gap.
pub struct RingAnswer<'a> {
    /// Its finding.
    pub finding: &'a Finding,
    /// The finding on its gap when hot, of a top ring that is in danger of butting.
    pub butting: Option<&'a Finding>,
    cylinder: u32,
    word: &'static str,
    /// Gap in the bore as it will be when the gap is filed, m.
    pub gap: f64,
    /// Is that bore honed first?
    honed: bool,
    /// The answer.
    pub what: What,
}

/// The answers that there are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// Nothing to do, or nothing that filing could mend.
    Stays,
    /// File this much off, to the target, m; with the room down to where it would butt.
    File { off: f64, target: f64, sure: bool, room: Option<f64> },
    /// The limit of the gap leaves no room for what the chance of butting needs: wider by so much, m.
    Conflict { over: f64 },
    /// Wider than allowed by so much, m, and the readings are sure of it.
    TooWide { over: f64 },
}

/// One answer for each gap that was read and has a limit.
pub fn answers<'a>(desk: &Desk<'a>) -> Vec<RingAnswer<'a>> {
    let kinds = [("top", "top_ring_gap", "top ring"), ("second", "second_ring_gap", "second ring")];
    let each = |(ending, code, word)| {
        desk.bench.cylinders().filter_map(move |cylinder| answer(desk, ending, code, word, cylinder))
    };
    kinds.into_iter().flat_map(each).collect()
}

fn answer<'a>(
    desk: &Desk<'a>,
    ending: &str,
    code: &str,
    word: &'static str,
    cylinder: u32,
) -> Option<RingAnswer<'a>> {
    let id = format!("{code}/{cylinder}.{ending}");
    let finding = desk.assessment.findings.iter().find(|f| f.id == id)?;
    let gap = finding.value?.value + change_by_hone(desk, cylinder);
    let of_top = ending == "top";
    let needed = of_top.then(|| butting_needs(desk.bench, cylinder)).flatten();
    let butting = desk
        .assessment
        .finding(&format!("ring_butting/{cylinder}"))
        .filter(|f| of_top && !f.stale && matches!(f.verdict, Verdict::Bad | Verdict::Uncertain));
    Some(RingAnswer {
        finding,
        butting,
        cylinder,
        word,
        gap,
        honed: desk.planned_hone(cylinder).is_some(),
        what: what(gap, finding.value?.expanded, finding.verdict, finding.limit.as_ref()?, needed)?,
    })
}

/// The verdict says how sure the reading is; the gap that is judged is that in the bore as it will be. `needed` is the gap below which
/// the chance of butting is greater than allowed.
fn what(gap: f64, expanded: f64, verdict: Verdict, limit: &LimitUsed, needed: Option<f64>) -> Option<What> {
    // A tenth of a micrometre, for the arithmetic.
    const HAIR: f64 = 1e-7;
    let sure = verdict != Verdict::Uncertain;
    let butts = needed.is_some_and(|needed| gap < needed - HAIR);
    Some(if butts || limit.min.is_some_and(|min| gap < min) {
        match file_to(limit, expanded, needed)? {
            // That it may butt is reason enough to file.
            FileTo::Gap { target, room } => {
                What::File { off: filing(gap, target), target, sure: sure || butts, room }
            }
            FileTo::Conflict { needed, most } => {
                What::Conflict { over: needed + GAP_TOLERANCE + expanded - most }
            }
        }
    } else if let Some(max) = limit.max.filter(|max| sure && gap > *max) {
        What::TooWide { over: gap - max }
    } else {
        What::Stays
    })
}

/// Only a planned hone changes the bore between the reading and the fitting.
fn change_by_hone(desk: &Desk<'_>, cylinder: u32) -> f64 {
    let now = crate::findings::top_size(desk.bench, cylinder).map(|b| b.value());
    now.zip(desk.planned_hone(cylinder)).map_or(0.0, |(now, planned)| gap_change(planned - now))
}

pub(super) fn select(desk: &Desk<'_>, answers: &[RingAnswer<'_>]) -> Option<Selection> {
    if answers.is_empty() {
        return None;
    }
    let relax: Vec<Phrase> = answers.iter().filter_map(|answer| answer.too_wide(desk)).collect();
    Some(Selection {
        code: "ring_filing",
        title: "Ring gaps to file".to_owned(),
        outcome: if relax.is_empty() {
            Outcome::Best { proved: true, proof: "each ring stands for itself".to_owned() }
        } else {
            Outcome::Relax { relax, widen: Widen::Each }
        },
        summary: Phrase::words(summary(answers)),
        placements: answers.iter().map(RingAnswer::placement).collect(),
        objective: "rings below their range, and top rings that may butt, are filed to a gap that keeps both limits; what is in range stays",
        caution: answers.iter().any(|a| matches!(a.what, What::File { .. })).then_some(cautions::RING_FILE),
        settles: answers.iter().filter(|a| a.settled()).flat_map(RingAnswer::settles).collect(),
    })
}

fn summary(answers: &[RingAnswer<'_>]) -> String {
    let count = |wanted| {
        answers.iter().filter(|a| matches!(a.what, What::File { sure, .. } if sure == wanted)).count()
    };
    let rings = |n: usize| match n {
        0 => "no ring".to_owned(),
        n => counted(n, "ring", "rings"),
    };
    match count(false) {
        0 => format!("{} to file", rings(count(true))),
        unsure => format!("{} to file, {} to read again first", rings(count(true)), rings(unsure)),
    }
}

impl RingAnswer<'_> {
    /// A gap that is filed, or that the planned hone brings into its range.
    fn settled(&self) -> bool {
        match self.what {
            What::File { .. } => true,
            What::Stays => self.finding.verdict == Verdict::Bad,
            What::TooWide { .. } | What::Conflict { .. } => false,
        }
    }

    /// The findings that its filing settles: a target keeps the limit of the gap and the chance of butting.
    pub fn settles(&self) -> Vec<String> {
        let open = |f: &&Finding| matches!(f.verdict, Verdict::Bad | Verdict::Uncertain);
        let gap = Some(self.finding).filter(open);
        gap.into_iter().chain(self.butting).map(|f| f.id.clone()).collect()
    }

    fn too_wide(&self, desk: &Desk<'_>) -> Option<Phrase> {
        let widened = |over| Widened::of(desk.bench, self.finding.code)?.end(true, over);
        let over = match self.what {
            What::TooWide { over } => over,
            What::Conflict { over } => {
                return Some(widened(over)?.say(format!(
                    ", for {} {} alone, or the chance of butting that is allowed: the two exclude each other, and nothing is filed before one gives",
                    self.word, self.cylinder
                )));
            }
            _ => return None,
        };
        let words = widened(over)?;
        Some(words.say(format!(", for {} {} alone, or another ring there", self.word, self.cylinder)))
    }

    fn placement(&self) -> Placement {
        let first = if self.honed { ", after the hone" } else { "" };
        let (off, from) = match self.what {
            What::File { off, sure: true, .. } => {
                (off, Phrase::words("file ").length_2(off).say(format!(" off{first}")))
            }
            What::File { off, sure: false, .. } => (
                off,
                Phrase::words("read again; if it is as tight, file ")
                    .length_2(off)
                    .say(format!(" off{first}")),
            ),
            What::Stays | What::TooWide { .. } => (0.0, Phrase::words("stays")),
            What::Conflict { .. } => (0.0, Phrase::words("waits: its two limits exclude each other")),
        };
        placement(
            Phrase::words(format!("{} {}", self.word, self.cylinder)),
            format!("cylinder {}", self.cylinder),
            self.finding.subject.instance.clone(),
            from,
            Phrase::words("gap ").length_2(self.gap + off),
            self.gap + off,
            off == 0.0,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM: f64 = 1e-3;

    fn limit(name: &str, min: f64, max: Option<f64>, target: Option<f64>) -> LimitUsed {
        LimitUsed {
            min: Some(min * MM),
            max: max.map(|max| max * MM),
            target: target.map(|target| target * MM),
            name: name.to_owned(),
            origin: crate::document::Origin::PartMaker,
            source: String::new(),
            guard_band: false,
        }
    }

    fn of(gap: f64, verdict: Verdict) -> What {
        let limit = limit("top_ring_gap", 0.50, Some(0.60), Some(0.54));
        what(gap * MM, 0.009 * MM, verdict, &limit, None).unwrap()
    }

    fn off(answer: What) -> (f64, bool) {
        let What::File { off, sure, .. } = answer else { panic!("{answer:?}") };
        ((off / MM * 1000.0).round(), sure)
    }

    #[test]
    fn each_verdict_has_one_answer() {
        assert_eq!(off(of(0.45, Verdict::Bad)), (90.0, true));
        assert_eq!(off(of(0.49, Verdict::Uncertain)), (50.0, false));
        assert_eq!(of(0.505, Verdict::Uncertain), What::Stays);
        assert_eq!(of(0.55, Verdict::Good), What::Stays);
        assert_eq!(of(0.61, Verdict::Uncertain), What::Stays);
        assert!(matches!(of(0.65, Verdict::Bad), What::TooWide { over } if (over / MM - 0.05).abs() < 1e-9));
    }

    /// Filed to the least alone, half of the rings would come out too tight.
    #[test]
    fn a_least_alone_is_not_filed_to() {
        let limit = limit("second_ring_gap", 0.45, None, None);
        let What::File { target, .. } = what(0.43 * MM, 0.01 * MM, Verdict::Bad, &limit, None).unwrap()
        else {
            panic!("it is too tight")
        };
        // What comes out smallest by the tolerance of the file still reads as above the least by its U.
        assert!((target - 0.48 * MM).abs() < 1e-9, "{target}");
    }

    /// Range 0.30 to 0.40, aim 0.34, U 0.01: a gap that may butt below 0.33 is filed to 0.35, with the tolerance of the file above it; one
    /// that may butt below 0.378 to the middle of what is left, 0.384; where it may below 0.385 no gap keeps both.
    #[test]
    fn a_gap_that_may_butt_is_filed_so_far_that_it_does_not() {
        let limit = limit("top_ring_gap", 0.30, Some(0.40), Some(0.34));
        let of = |gap: f64, needed: f64| {
            what(gap * MM, 0.01 * MM, Verdict::Good, &limit, Some(needed * MM)).unwrap()
        };
        let target = |answer: What| {
            let What::File { target, sure: true, room: Some(room), .. } = answer else {
                panic!("{answer:?}")
            };
            ((target / MM * 1e4).round() / 1e4, (room / MM * 1e4).round() / 1e4)
        };
        assert_eq!(of(0.335, 0.33), What::Stays);
        assert_eq!(target(of(0.32, 0.33)), (0.35, 0.02));
        assert_eq!(target(of(0.34, 0.378)), (0.384, 0.006));
        let What::Conflict { over } = of(0.34, 0.385) else { panic!("no gap keeps both") };
        assert!((over / MM - 0.015).abs() < 1e-9, "{over}");
        assert_eq!(target(of(0.28, 0.25)), (0.34, 0.09), "as far off as its target is");
    }

    #[test]
    fn a_hone_that_opens_the_gap_is_taken_into_account() {
        // Bad as read, in its range in the honed bore; good as read, too wide in it.
        assert_eq!(of(0.51, Verdict::Bad), What::Stays);
        assert!(matches!(of(0.62, Verdict::Good), What::TooWide { .. }));
    }
}
