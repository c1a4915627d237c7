//! Bearings: housings, shells, oil clearance.

use super::about::About;
use super::answer::Answer;
use super::bench::{Bench, from_target};
use super::crank::{is_worn, journal_size, prove_journal};
use super::direct::{Direct, ToDo};
use super::model::{Action, ActionKind, Finding, Verdict};
use super::regrind::{grind_words, prove_crank};
use crate::document::{OperationKind, Shells};
use crate::features::Sheet;
use crate::quantity::{Dimension, Length, Phrase};
use mechanics::metrology::Uncertain;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["main_clearance"],
        asks: "Is the oil clearance of the main inside its range?",
        matters: "Too small wipes the shell, too large starves its neighbours.",
        computed: "Bore of the fitted, torqued shells less journal where it was read; else housing less both walls less journal, which leaves out the growth of the housing by crush and is marked as predicted.",
        to_do: "Change the shell grade; the plan finds the best one for every journal together. Where only the uncertainty is in the way, the finer reading comes first and no shell is ordered before it. A main that is ground gets its shells by the size that it then has.",
        source: "definition",
    },
    About {
        codes: &["rod_clearance"],
        asks: "Is the oil clearance of the rod bearing inside its range?",
        matters: "Too small wipes the shell, too large lets the rod hammer and starves its neighbours.",
        computed: "As for the mains, with the big end at 90° to the split.",
        to_do: "Change the shell grade; the plan finds the best one for every pin together. A big end that is out of size or not round is settled first: no shells and no grind by this figure; where only the uncertainty is in the way, the finer reading comes first. A pin below its least size is tested for cracks and hardness first; one that is ground gets its shells by the size that it then has.",
        source: "definition",
    },
    About {
        codes: &["main_agreement", "rod_agreement"],
        asks: "Does the fitted bore agree with what housing and walls predict?",
        matters: "A disagreement says dirt behind the shell or a wrong torque.",
        computed: "Fitted bore less (housing − walls).",
        to_do: "Shells out, clean, torque again, read again.",
        source: "common practice, no source",
    },
    About {
        codes: &["main_crush", "rod_crush"],
        asks: "Does the pair of shells stand proud of its housing by the right amount?",
        matters: "Crush holds the shell and carries its heat away.",
        computed: "As read.",
        to_do: "Another pair, or size the housing.",
        source: "shell maker",
    },
    About {
        codes: &["main_housing_size", "main_housing_round"],
        asks: "Is the housing in size, and round as far as two points see?",
        matters: "The crush of the shell depends on it.",
        computed: "As read.",
        to_do: "Cap off, clean its register, seat it again, read again; if it repeats, cut the caps and align hone all.",
        source: "definition",
    },
];

/// Which bearings are meant.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// Mains.
    Main,
    /// Rods.
    Rod,
}

impl Kind {
    /// "main", "rod".
    pub const fn word(self) -> &'static str {
        match self {
            Self::Main => "main",
            Self::Rod => "rod",
        }
    }

    /// What its journals are called in paths: "main", "pin".
    pub const fn journal_word(self) -> &'static str {
        match self {
            Self::Main => "main",
            Self::Rod => "pin",
        }
    }

    /// "main 3", "crank pin 3".
    pub fn journal_label(self, journal: u32) -> String {
        match self {
            Self::Main => format!("main {journal}"),
            Self::Rod => format!("crank pin {journal}"),
        }
    }

    /// How many journals there are.
    pub fn journal_count(self, bench: Bench<'_>) -> u32 {
        match self {
            Self::Main => bench.document().main_count(),
            Self::Rod => bench.document().throw_count(),
        }
    }

    /// The bearings that run on a journal: two where two rods share a pin.
    pub fn bearings_on(self, bench: Bench<'_>, journal: u32) -> impl Iterator<Item = u32> {
        (1..=self.count(bench)).filter(move |number| self.journal(bench, *number).1 == journal)
    }

    /// Housing of the prediction, m. Where the fitted bore, or the clearance by strip, was read with known shells, that counts, so the growth
    /// by crush is in it.
    pub fn housing_size(self, bench: Bench<'_>, number: u32) -> Option<f64> {
        let fitted = bench.size(&format!("{}_bearing.{number}.fitted_bore", self.word()));
        let by_strip = || {
            let strip = bench.size(&format!("{}_bearing.{number}.clearance", self.word()));
            // One that is asked about tells nothing yet.
            let strip = strip.filter(|strip| strip.doubts.is_empty())?.value.value();
            let (which, journal) = self.journal(bench, number);
            Some(strip + journal_size(bench, which, journal)?.value())
        };
        let bore = fitted.map(|bore| bore.value.value()).or_else(by_strip);
        match (bore, self.fitted_walls(bench, number)) {
            (Some(bore), Some(walls)) => Some(bore + walls),
            _ => bench.size(&self.housing(number)).map(|s| s.value.value()),
        }
    }

    /// Both walls that are in now, m: measured, else of the fitted grade.
    fn fitted_walls(self, bench: Bench<'_>, number: u32) -> Option<f64> {
        let grades = self.fitted_grades(bench, number)?;
        let wall = |half: usize| {
            let known = || self.shells(bench).grades.get(&grades[half]).map(|w| w.0);
            self.measured_wall(bench, number, half).or_else(known)
        };
        Some(wall(0)? + wall(1)?)
    }

    fn measured_wall(self, bench: Bench<'_>, number: u32, half: usize) -> Option<f64> {
        let path = format!("{}_shell.{number}.{}", self.word(), ["upper", "lower"][half]);
        bench.size(&path).map(|s| s.value.value())
    }

    /// Grades of the upper and the lower half that are in now: as stated, else those nearest to the walls as read.
    pub fn fitted_grades(self, bench: Bench<'_>, number: u32) -> Option<[String; 2]> {
        let shells = self.shells(bench);
        if let Some(stated) = shells.fitted.get(&number.to_string()) {
            let upper = stated.first()?;
            return Some([upper.clone(), stated.get(1).unwrap_or(upper).clone()]);
        }
        let nearest = |half: usize| {
            let wall = self.measured_wall(bench, number, half)?;
            let off = |grade: &Length| (grade.0 - wall).abs();
            shells.grades.iter().min_by(|a, b| off(a.1).total_cmp(&off(b.1))).map(|(name, _)| name.clone())
        };
        Some([nearest(0)?, nearest(1)?])
    }

    /// Shells of the document.
    pub fn shells(self, bench: Bench<'_>) -> &Shells {
        match self {
            Self::Main => &bench.document().main_shells,
            Self::Rod => &bench.document().rod_shells,
        }
    }

    /// How many bearings there are.
    pub fn count(self, bench: Bench<'_>) -> u32 {
        match self {
            Self::Main => bench.document().main_count(),
            Self::Rod => bench.document().layout.cylinders.unwrap_or(0).min(12),
        }
    }

    /// Path of the housing reading that makes the clearance.
    pub fn housing(self, number: u32) -> String {
        match self {
            Self::Main => format!("block.main_housing.{number}.vertical"),
            Self::Rod => format!("rod.{number}.big_end.vertical"),
        }
    }

    /// Which journal and its number.
    pub fn journal(self, bench: Bench<'_>, number: u32) -> (&'static str, u32) {
        match self {
            Self::Main => (self.journal_word(), number),
            Self::Rod => (
                self.journal_word(),
                bench.document().throw_of_cylinder().get(number as usize - 1).copied().unwrap_or(number),
            ),
        }
    }

    /// Name of the clearance limit.
    pub const fn limit(self) -> &'static str {
        match self {
            Self::Main => "main_clearance",
            Self::Rod => "rod_clearance",
        }
    }

    fn label(self, number: u32) -> String {
        match self {
            Self::Main => format!("main bearing {number}"),
            Self::Rod => format!("rod bearing {number}"),
        }
    }
}

/// All questions on bearings.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for number in 1..=Kind::Main.count(bench) {
        all.extend(housing(bench, number));
    }
    for kind in [Kind::Main, Kind::Rod] {
        for number in 1..=kind.count(bench) {
            let agreement = agreement(bench, kind, number);
            all.push(after_agreement(clearance(bench, kind, number), agreement.as_ref()));
            all.extend(agreement);
            all.extend(crush(bench, kind, number));
        }
    }
    all
}

fn housing(bench: Bench<'_>, number: u32) -> [Finding; 2] {
    let start = |code, question| {
        Answer::new(
            bench,
            code,
            Sheet::Bearings,
            format!("main housing {number}"),
            &number.to_string(),
            question,
        )
        .part("block")
    };
    let path = |d: &str| format!("block.main_housing.{number}.{d}");
    let mut size = start("main_housing_size", "size")
        .allowed(from_target("block.main_housing", bench.document().block.main_housing.as_ref()))
        .formula("mean of vertical and across", "ISO 1, JCGM 100");
    let values = size.read_all(&[path("vertical"), path("across")]);
    size.value(values.map(|v| (&v[0] + &v[1]).scaled(0.5)), false);
    let mut round = start("main_housing_round", "out-of-round, two points")
        .limit("main_housing_round")
        .formula("|vertical − across|", "definition; blind to odd lobes");
    let values = round.read_all(&[path("vertical"), path("across")]);
    round.value(
        values.map(|v| if v[0].value() >= v[1].value() { &v[0] - &v[1] } else { &v[1] - &v[0] }),
        false,
    );
    // A cut of the cap lets the housing close from above only: what is too wide across stays too wide.
    let across = bench.size(&path("across")).map(|size| size.value.value());
    let most = bench.document().block.main_housing.as_ref().and_then(|target| target.max);
    let too_wide = across.zip(most).is_some_and(|(across, most)| across > most.0);
    [size.finish(), round.finish()].map(|mut finding| {
        if finding.verdict == Verdict::Bad {
            finding.actions.push(
                Action::new(
                    ActionKind::Refit,
                    Phrase::words("Cap off, clean the register, seat it again and read again before any cut"),
                )
                .supplied(bench.job(OperationKind::CapSeat)),
            );
            finding.actions.push(
                Action::new(
                    ActionKind::Cut,
                    Phrase::words(if too_wide {
                        "If it repeats: it is too wide across the split, which no cut of the cap brings back: ask the shop for another cap or a larger housing with shells for it; a cut of the caps and an align hone help only what is too wide the other way"
                    } else {
                        "If it repeats: cut the caps and align hone all housings"
                    }),
                )
                .supplied(bench.job(OperationKind::AlignHone)),
            );
        }
        finding
    })
}

/// A clearance by a bore of fitted shells that disagrees with its parts: no other shells before that is settled.
fn after_agreement(mut clearance: Finding, agreement: Option<&Finding>) -> Finding {
    let Some(agreement) = agreement.filter(|f| f.verdict == Verdict::Bad) else { return clearance };
    if clearance.verdict == Verdict::Bad && !clearance.actions.iter().any(|a| a.kind == ActionKind::Ask) {
        clearance.follows = Some(agreement.id.clone());
        let words = "Shells out, clean, torque again and read again first: the fitted bore disagrees with housing and shells, and no other shells are chosen by it";
        clearance.actions = vec![Action::new(ActionKind::Refit, Phrase::words(words))];
    }
    clearance
}

/// Wall of one half: measured, else of the grade that is fitted, else unknown.
fn wall(
    bench: Bench<'_>,
    answer: &mut Answer<'_>,
    kind: Kind,
    number: u32,
    half: usize,
) -> Option<(Uncertain, bool)> {
    let word = ["upper", "lower"][half];
    let path = format!("{}_shell.{number}.{word}", kind.word());
    let shells = kind.shells(bench);
    let fitted = shells.fitted.get(&number.to_string());
    let grade =
        fitted.and_then(|g| g.get(half).or(g.first())).and_then(|g| shells.grades.get(g).map(|w| (g, w)));
    match grade {
        Some((name, wall)) => {
            if let Some(read) = answer.read_if_there(&path) {
                return Some((read, false));
            }
            // A grade out of the box has the spread that the maker gives it.
            let value = bench.sizes.stated.get(&path).cloned().unwrap_or_else(|| Uncertain::exact(wall.0));
            answer.input(&format!("{word} wall, grade {name}"), &value, Dimension::Length);
            Some((value, true))
        }
        None => answer.read(&path).map(|read| (read, false)),
    }
}

/// Oil clearance: fitted bore first, then a strip, then the prediction.
fn clearance(bench: Bench<'_>, kind: Kind, number: u32) -> Finding {
    let mut answer = Answer::new(
        bench,
        kind.limit(),
        Sheet::Bearings,
        kind.label(number),
        &number.to_string(),
        "oil clearance",
    )
    .limit(kind.limit());
    let (which, journal_number) = kind.journal(bench, number);
    let journal = journal_input(bench, &mut answer, which, journal_number);
    let fitted = answer.read_if_there(&format!("{}_bearing.{number}.fitted_bore", kind.word()));
    let strip = if fitted.is_none() {
        answer.read_if_there(&format!("{}_bearing.{number}.clearance", kind.word()))
    } else {
        None
    };
    if let Some(bore) = fitted {
        answer = answer.formula("bore of the fitted shells − journal", "definition; primary value");
        answer.value(journal.map(|j| &bore - &j), false);
    } else if let Some(strip) = strip {
        answer = answer.formula("as read between journal and shell", "definition");
        answer.value(Some(strip), false);
    } else {
        answer = answer.formula(
            "housing − upper wall − lower wall − journal (without growth by crush)",
            "definition; a prediction, not a measurement",
        );
        let housing = answer.read(&kind.housing(number));
        let walls = [0, 1].map(|half| wall(bench, &mut answer, kind, number, half));
        let value = match (housing, walls, journal) {
            (Some(housing), [Some((upper, _)), Some((lower, _))], Some(journal)) => Some(Uncertain::linear(
                0.0,
                &[(1.0, &housing), (-1.0, &upper), (-1.0, &lower), (-1.0, &journal)],
            )),
            _ => None,
        };
        answer.value(value, true);
    }
    clearance_actions(answer.finish(), bench, kind, number)
}

/// Mean of the journal's readings as one input.
fn journal_input(bench: Bench<'_>, answer: &mut Answer<'_>, which: &str, number: u32) -> Option<Uncertain> {
    let size = journal_size(bench, which, number);
    for end in ["front.vertical", "front.across", "rear.vertical", "rear.across"] {
        let path = format!("crank.{which}.{number}.{end}");
        // Half a journal's readings are enough for a clearance; none are not.
        if size.is_some() {
            answer.read_if_there(&path)
        } else {
            answer.read(&path)
        };
    }
    size
}

fn clearance_actions(mut finding: Finding, bench: Bench<'_>, kind: Kind, number: u32) -> Finding {
    // A doubt that is asked about comes first.
    if !matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain) || !finding.actions.is_empty() {
        return finding;
    }
    let Some((value, limit)) = finding.value.zip(finding.limit.clone()) else { return finding };
    if finding.verdict == Verdict::Uncertain {
        finding.actions.push(Action::new(
            ActionKind::Measure,
            Phrase::words("Read the bore of the torqued shells with the gauge zeroed on the journal's own micrometer setting: better than the difference of four readings"),
        ));
        return finding;
    }
    let shells = kind.shells(bench);
    let aim =
        limit.target.or(limit.min.zip(limit.max).map(|(a, b)| f64::midpoint(a, b))).unwrap_or(value.value);
    let fitted = kind.fitted_walls(bench, number).unwrap_or(0.0);
    let best = shells
        .grades
        .iter()
        .min_by(|a, b| off(value.value, fitted, a.1.0, aim).total_cmp(&off(value.value, fitted, b.1.0, aim)));
    if let Some((name, wall)) = best.filter(|_| fitted > 0.0) {
        let after = value.value + fitted - 2.0 * wall.0;
        if !limit.contains(after) {
            let journal = kind.journal(bench, number).1;
            finding.actions.push(no_grade_fits(bench, kind, journal, name, after));
            finding.actions.push(prove_crank());
            return finding;
        }
        finding.actions.push(
            Action::new(
                ActionKind::Order,
                Phrase::words(format!("Fit both shells of grade {name} ("))
                    .value(wall.0, Dimension::Length, 4)
                    .say("): clearance becomes ")
                    .length(after),
            )
            .supplied(bench.document().shop.shell_pair.as_ref()),
        );
        let (_, journal) = kind.journal(bench, number);
        if is_worn(bench, kind, journal) {
            finding.actions.push(prove_journal(&kind.journal_label(journal)));
        }
    } else {
        finding.actions.push(Action::new(
            ActionKind::Place,
            Phrase::words(
                "Choose another shell grade; write the grades and what is fitted into the document",
            ),
        ));
    }
    finding
}

/// The best grade on offer leaves the clearance outside: shells alone do not cure it.
fn no_grade_fits(bench: Bench<'_>, kind: Kind, journal: u32, grade: &str, after: f64) -> Action {
    let text = Phrase::words(format!("No grade on offer fits the journal as it is (grade {grade} leaves "))
        .length(after)
        .say("): ")
        .join(grind_words(bench, kind, journal, "grind"))
        .say("; or size the housing");
    Action::new(ActionKind::Cut, text).supplied(bench.job(OperationKind::Regrind))
}

fn off(clearance: f64, fitted: f64, wall: f64, aim: f64) -> f64 {
    (clearance + fitted - 2.0 * wall - aim).abs()
}

/// Crush height of a pair, where somebody states a limit for it or has read it.
fn crush(bench: Bench<'_>, kind: Kind, number: u32) -> Option<Finding> {
    let path = format!("{}_shell.{number}.crush", kind.word());
    if bench.document().limits.crush.is_none() && bench.size(&path).is_none() {
        return None;
    }
    let code = if kind == Kind::Main { "main_crush" } else { "rod_crush" };
    let question = Direct {
        code,
        limit: "crush",
        sheet: Sheet::Bearings,
        label: kind.label(number),
        instance: &number.to_string(),
        question: "crush height",
        path,
        dimension: Dimension::Length,
        to_do: ToDo {
            too_small: "Too little crush lets the shell turn: another pair, or the housing is too large",
            too_large: "Too much crush bows the shell in: another pair, or the housing is too small",
        },
    };
    Some(question.finding(bench))
}

/// Fitted bore against prediction, where both are there.
fn agreement(bench: Bench<'_>, kind: Kind, number: u32) -> Option<Finding> {
    let fitted_path = format!("{}_bearing.{number}.fitted_bore", kind.word());
    bench.size(&fitted_path)?;
    bench.size(&kind.housing(number))?;
    let code = if kind == Kind::Main { "main_agreement" } else { "rod_agreement" };
    let mut answer = Answer::new(
        bench,
        code,
        Sheet::Bearings,
        kind.label(number),
        &number.to_string(),
        "fitted against predicted bore",
    )
    .allowed(Some(super::bench::growth_window()))
    .formula(
        "fitted bore − (housing − upper wall − lower wall)",
        "definition; crush widens the housing by a few micrometres",
    );
    let fitted = answer.read(&fitted_path)?;
    let housing = answer.read(&kind.housing(number))?;
    let upper = wall(bench, &mut answer, kind, number, 0)?.0;
    let lower = wall(bench, &mut answer, kind, number, 1)?.0;
    answer.value(
        Some(Uncertain::linear(0.0, &[(1.0, &fitted), (-1.0, &housing), (1.0, &upper), (1.0, &lower)])),
        false,
    );
    let mut finding = answer.finish();
    if matches!(finding.verdict, Verdict::Bad) {
        finding.why =
            Phrase::words("fitted and predicted bore disagree: dirt behind the shell, or a wrong torque");
        finding.actions.push(Action::new(
            ActionKind::Refit,
            Phrase::words("Shells out, clean backs and housing, torque again, read again"),
        ));
    }
    Some(finding)
}
