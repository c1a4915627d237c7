//! Shell grades to journals.

use super::{Desk, missing, outcome, placement, window};
use crate::cautions;
use crate::document::OperationKind;
use crate::findings::{
    ActionKind, BearingKind, Bench, CRANK_IS_SOUND, Undersize, Verdict, is_worn, journal_size, undersize,
};
use crate::plan::{OrderLine, Placement, Selection};
use crate::quantity::{Dimension, Length, Phrase, counted, phrase_list};
use mechanics::selection::Limits;
use mechanics::selection::shells::{Bearing, Fitted, Grade, ShellChoice, choose};
use std::collections::BTreeMap;

const fn words(kind: BearingKind) -> (&'static str, &'static str) {
    match kind {
        BearingKind::Main => ("main_shells", "Main shells to journals"),
        BearingKind::Rod => ("rod_shells", "Rod shells to pins"),
    }
}

/// The condition under which shells are fitted to a journal below its least size.
const JOURNAL_PASSES: &str =
    "the journal passes its test for cracks and hardness, and the crank maker allows its size";

/// Does this bearing run on a journal below its least size?
fn on_worn_journal(bench: Bench<'_>, kind: BearingKind, number: u32) -> bool {
    let (_, journal) = kind.journal(bench, number);
    is_worn(bench, kind, journal)
}

/// Bearings by their numbers.
type Numbered = Vec<(u32, Bearing)>;

/// Does the pair that was found for this bearing bring it inside its range? Every grade can be ordered, so where it does not, none does.
fn is_served(bearing: &Bearing, found: &ShellChoice) -> bool {
    // A tenth of the micrometre in which walls are sold.
    const HAIR: f64 = 1e-7;
    (bearing.window.min - HAIR..=bearing.window.max + HAIR).contains(&found.clearance)
}

/// Wall of both halves that brings a clearance to its target, m.
fn wall_asked(housing: f64, journal: f64, target: f64) -> f64 {
    (housing - journal - target) / 2.0
}

/// What is said of the bearings that no grade on the list serves.
fn unserved_words(bench: Bench<'_>, kind: BearingKind, unserved: &[(u32, Bearing)]) -> Phrase {
    let mut words = Phrase::new();
    for (number, bearing) in unserved {
        let wall = wall_asked(bearing.housing, bearing.journal, bearing.window.target);
        words = words
            .say(format!("; no grade on the list serves {} {number}: it asks for walls of ", kind.word()))
            .value(wall, Dimension::Length, 4);
        words = match undersize(bench, kind, kind.journal(bench, *number).1) {
            Some(under) => words.say(format!(": grind the journal; grade {} goes with its next undersize", under.grade)),
            None => words.say(": grind the journal to the next undersize that has shells, or find that grade; nothing is ordered for it"),
        };
    }
    words
}

/// The shells of all bearings. Where the readings cannot tell whether a clearance is inside, they are not changed by them: a finer
/// reading comes first, and the plan after it says whether any are ordered.
pub(super) fn select(desk: &mut Desk<'_>, kind: BearingKind) -> Option<Selection> {
    let ordered = desk.orders.len();
    let mut unsure: Vec<u32> = Vec::new();
    loop {
        let selection = select_but(desk, kind, &unsure)?;
        let changes = |p: &&Placement| !p.stays && is_unsure(desk, kind, &p.instance);
        let more: Vec<u32> =
            selection.placements.iter().filter(changes).filter_map(|p| p.instance.parse().ok()).collect();
        if more.is_empty() {
            return Some(selection);
        }
        unsure.extend(more);
        desk.orders.truncate(ordered);
    }
}

/// Said of the bearings whose sizes no shell can fill.
fn absurd_words(word: &str, absurd: &[u32]) -> String {
    if absurd.is_empty() {
        return String::new();
    }
    let list: Vec<String> = absurd.iter().map(ToString::to_string).collect();
    let many = if list.len() > 1 { "s" } else { "" };
    format!(
        "; nothing is chosen for {word}{many} {}: no shell has the wall that housing and journal leave, so read both again; were rows exchanged?",
        phrase_list(&list)
    )
}

/// Do housing and journal ask for a wall that no shell of this kind has, a third of the thinnest or three times the thickest? Then rows
/// were exchanged, or a reading is wrong, and nothing is ground or ordered by it. Common practice, no source.
fn is_absurd(
    desk: &Desk<'_>,
    kind: BearingKind,
    number: u32,
    names: &[(&String, &Length)],
    target: f64,
) -> bool {
    let (which, journal) = kind.journal(desk.bench, number);
    let size = journal_size(desk.bench, which, journal).map(|size| size.value());
    let Some((housing, journal)) = kind.housing_size(desk.bench, number).zip(size) else { return false };
    let wall = wall_asked(housing, journal, target);
    let walls = names.iter().map(|(_, wall)| wall.0);
    let (thin, thick) = walls.fold((f64::INFINITY, 0.0), |(a, b): (f64, f64), w| (a.min(w), b.max(w)));
    wall < thin / 3.0 || wall > 3.0 * thick
}

/// Is it only the uncertainty of the readings that keeps this clearance from being good?
fn is_unsure(desk: &Desk<'_>, kind: BearingKind, instance: &str) -> bool {
    let finding = desk.assessment.finding(&format!("{}/{instance}", kind.limit()));
    finding.is_some_and(|f| {
        let inside = f.value.zip(f.limit.as_ref()).is_some_and(|(value, limit)| limit.contains(value.value));
        matches!(f.verdict, Verdict::Uncertain | Verdict::Marginal)
            && inside
            && f.follows.is_none()
            && f.waits_for().is_none()
    })
}

/// The shells of all bearings but those whose clearance is read finer first.
fn select_but(desk: &mut Desk<'_>, kind: BearingKind, unsure: &[u32]) -> Option<Selection> {
    let (code, title) = words(kind);
    let word = kind.word();
    let shells = kind.shells(desk.bench);
    let allowed = desk.bench.limit(kind.limit())?;
    let window = window(&allowed)?;
    let names: Vec<(&String, &Length)> = shells.grades.iter().collect();
    if names.is_empty() || kind.count(desk.bench) == 0 {
        return None;
    }
    let mut unread = Vec::new();
    let mut bearings = Vec::new();
    let waits = |number: u32| desk.housing_in_question(kind, number);
    let ground = ground(desk, kind);
    let follows = |number: u32| ground.iter().any(|journal| journal.follows.contains(&number));
    let (numbers, absurd): (Vec<u32>, Vec<u32>) = (1..=kind.count(desk.bench))
        .filter(|n| !waits(*n) && !follows(*n) && !unsure.contains(n))
        .partition(|n| !is_absurd(desk, kind, *n, &names, window.target));
    let waiting: Vec<String> =
        (1..=kind.count(desk.bench)).filter(|n| waits(*n)).map(|n| n.to_string()).collect();
    for &number in &numbers {
        let (which, journal) = kind.journal(desk.bench, number);
        let housing = kind.housing_size(desk.bench, number);
        let size = journal_size(desk.bench, which, journal).map(|j| j.value());
        if housing.is_none() {
            unread.push(kind.housing(number));
        }
        if size.is_none() {
            unread.push(format!("crank.{which}.{journal}.front.vertical"));
        }
        let fitted = fitted(desk, kind, number, &names);
        bearings.extend(housing.zip(size).map(|(housing, journal)| Bearing {
            housing,
            journal,
            window,
            fitted,
        }));
    }
    if !unread.is_empty() {
        return Some(missing(code, title, unread));
    }
    order_undersizes(desk, kind, &ground, on_hand(desk, kind));
    let grades = grades_to_choose(desk, kind, unsure);
    let guard = guard(desk, kind);
    let solution = choose(&bearings, &grades, guard, Limits::default()).ok()?;
    let outcome =
        outcome(desk, &solution, &|w| (kind.limit(), format!("{word} {}", numbers[w])), &[kind.limit()]);
    // A pair that misses its range is neither placed nor ordered: the others are chosen without it.
    let (mut served, mut unserved) = (Numbered::new(), Numbered::new());
    for (numbered, found) in numbers.into_iter().zip(bearings).zip(&solution.choice.shells) {
        if is_served(&numbered.1, found) { served.push(numbered) } else { unserved.push(numbered) }
    }
    let (numbers, bearings): (Vec<u32>, Vec<Bearing>) = served.into_iter().unzip();
    let solution = match unserved.is_empty() {
        true => Some(solution),
        false if bearings.is_empty() => None,
        false => Some(choose(&bearings, &grades, guard, Limits::default()).ok()?),
    };
    let (shells, to_order) = solution.map_or_else(Default::default, |s| (s.choice.shells, s.choice.to_order));
    let placements: Vec<Placement> = shells
        .iter()
        .zip(&numbers)
        .map(|(choice, &number)| place(desk, kind, choice, number, &names))
        .collect();
    let ordered: u32 = to_order.iter().sum();
    for (grade, pairs) in to_order.iter().enumerate().filter(|(_, n)| **n > 0) {
        order(desk, word, names[grade], *pairs, &placements, kind);
    }
    let changed: Vec<String> = placements
        .iter()
        .zip(&numbers)
        .filter(|(p, _)| !p.stays)
        .map(|(_, number)| number.to_string())
        .collect();
    let selection = Selection {
        code,
        title: title.to_owned(),
        outcome,
        summary: Summary {
            bench: desk.bench,
            kind,
            changed: &changed,
            ordered,
            waiting: &waiting,
            unsure,
            ground: &ground,
            unserved: &unserved,
        }
        .words(placements.is_empty()),
        placements,
        objective: "clearances inside their range, off its edges, fewest pairs to order, fewest mixed pairs, nearest to the target",
        caution: (!changed.is_empty()).then_some(if kind == BearingKind::Main {
            cautions::MAIN_BOLTS
        } else {
            cautions::ROD_BOLTS
        }),
        settles: Vec::new(),
    };
    let mut selection = selection.settling(&[kind.limit()]);
    selection.summary = std::mem::take(&mut selection.summary).say(absurd_words(word, &absurd));
    Some(selection)
}

/// The pair that is in a bearing with its clearance as the finding has it; none where its grades are not on the list or nothing is known.
fn fitted(desk: &Desk<'_>, kind: BearingKind, number: u32, names: &[(&String, &Length)]) -> Option<Fitted> {
    let finding = desk.assessment.finding(&format!("{}/{number}", kind.limit()))?;
    // What is asked about tells nothing yet.
    if finding.actions.iter().any(|a| a.kind == ActionKind::Ask) {
        return None;
    }
    let grades = kind.fitted_grades(desk.bench, number)?;
    let index = |half: usize| names.iter().position(|(name, _)| **name == grades[half]);
    Some(Fitted {
        upper: index(0)?,
        lower: index(1)?,
        clearance: finding.value?.value,
        proved: finding.verdict == Verdict::Good,
    })
}

/// Halves on hand, by grade.
fn on_hand<'a>(desk: &Desk<'a>, kind: BearingKind) -> &'a BTreeMap<String, u32> {
    let shop = &desk.bench.document().shop;
    if kind == BearingKind::Main { &shop.main_shell_halves } else { &shop.rod_shell_halves }
}

/// The grades on the list with what there is of each. Shells that are fitted now are on hand as well, but for those that stay until
/// their bearing is read finer.
fn grades_to_choose(desk: &Desk<'_>, kind: BearingKind, unsure: &[u32]) -> Vec<Grade> {
    let bench = desk.bench;
    let pair = bench.document().shop.shell_pair.as_ref();
    let price = pair.and_then(|s| s.price).map_or(0, |p| (p.0 * 100.0).round() as i64);
    let numbers = (1..=kind.count(bench)).filter(|n| !unsure.contains(n));
    let now: Vec<[String; 2]> = numbers.filter_map(|n| kind.fitted_grades(bench, n)).collect();
    let fitted = |name: &str| now.iter().flatten().filter(|grade| *grade == name).count() as u32;
    let stock = on_hand(desk, kind);
    let grade = |(name, wall): (&String, &Length)| {
        let halves = stock.get(name).copied().unwrap_or(0) + fitted(name);
        Grade { wall: wall.0, uppers: halves.div_ceil(2), lowers: halves / 2, orderable: 99, price }
    };
    kind.shells(bench).grades.iter().map(grade).collect()
}

/// What the sentence that sums up a choice of shells says.
struct Summary<'a> {
    bench: Bench<'a>,
    kind: BearingKind,
    changed: &'a [String],
    ordered: u32,
    waiting: &'a [String],
    unsure: &'a [u32],
    ground: &'a [Ground],
    unserved: &'a [(u32, Bearing)],
}

/// A journal of the cutting list that is ground.
struct Ground {
    journal: u32,
    label: String,
    /// The bearings whose shells are chosen after it.
    follows: Vec<u32>,
    /// Findings that the grind settles.
    settles: Vec<String>,
}

/// The journals that the cutting list grinds. A bearing that no grade serves as it is is still looked at: it says which wall it asks for.
fn ground(desk: &Desk<'_>, kind: BearingKind) -> Vec<Ground> {
    let journals = 1..=kind.journal_count(desk.bench);
    let cut =
        |label: &str| desk.cuts.iter().find(|c| c.operation == OperationKind::Regrind && c.part == label);
    let one = |journal: u32| {
        let label = kind.journal_label(journal);
        let cut = cut(&label)?;
        let own = |number: &u32| cut.settles.contains(&format!("{}/{number}", kind.limit()));
        let follows = kind.bearings_on(desk.bench, journal).filter(|number| !own(number)).collect();
        Some(Ground { journal, label, follows, settles: cut.settles.clone() })
    };
    journals.filter_map(one).collect()
}

/// Orders the shells that go with the sizes to which journals are ground: only if they are, and what is not on hand.
fn order_undersizes(
    desk: &mut Desk<'_>,
    kind: BearingKind,
    ground: &[Ground],
    stock: &BTreeMap<String, u32>,
) {
    let mut wanted: BTreeMap<String, (Undersize, Vec<&Ground>)> = BTreeMap::new();
    for journal in ground {
        if let Some(under) = undersize(desk.bench, kind, journal.journal) {
            wanted.entry(under.grade.clone()).or_insert_with(|| (under, Vec::new())).1.push(journal);
        }
    }
    let supply = desk.bench.document().shop.shell_pair.clone().unwrap_or_default();
    for (grade, (under, journals)) in wanted {
        let pairs: usize = journals.iter().map(|j| kind.bearings_on(desk.bench, j.journal).count()).sum();
        // A pair of that grade that is in one of them stays in it.
        let numbers = journals.iter().flat_map(|j| kind.bearings_on(desk.bench, j.journal));
        let is_in =
            |number: &u32| kind.fitted_grades(desk.bench, *number) == Some([grade.clone(), grade.clone()]);
        let there = numbers.filter(is_in).count() as u32;
        let on_hand = stock.get(&grade).copied().unwrap_or(0) / 2 + there;
        let quantity = (pairs as u32).saturating_sub(on_hand);
        if quantity == 0 {
            continue;
        }
        let labels: Vec<String> = journals.iter().map(|j| j.label.clone()).collect();
        let item = Phrase::words(format!("{} shell pair, grade {grade} ", kind.word()))
            .value(under.wall, Dimension::Length, 4)
            .say(format!(" ({} as ground)", phrase_list(&labels)));
        desk.orders.push(OrderLine {
            item,
            quantity,
            supplier: supply.from.clone(),
            price: supply.price.map(|p| p.0),
            days: supply.days,
            settles: journals.iter().flat_map(|j| j.settles.clone()).collect(),
            only_if: Some(CRANK_IS_SOUND),
            held_by: Vec::new(),
        });
    }
}

impl Summary<'_> {
    fn words(&self, none_placed: bool) -> Phrase {
        let Self { bench, kind, changed, ordered, waiting, unsure, ground, unserved } = *self;
        let word = kind.word();
        let changes = changed.len();
        let of = format!("{word}{} {}", if changes == 1 { "" } else { "s" }, phrase_list(changed));
        Phrase::words(match (changes, ordered) {
            (0, _) if none_placed => "no shells to fit".to_owned(),
            (0, _)
                if !unserved.is_empty()
                    || !unsure.is_empty()
                    || ground.iter().any(|g| !g.follows.is_empty()) =>
            {
                "the other shells stay".to_owned()
            }
            (0, _) => "all shells stay".to_owned(),
            (_, 0) => format!("change the shells of {of}; all on hand"),
            (_, pairs) => {
                format!("change the shells of {of}; order {}", counted(pairs as usize, "pair", "pairs"))
            }
        })
        .say(match waiting {
            [] => String::new(),
            _ if kind == BearingKind::Rod => {
                let rods = if waiting.len() == 1 { "rod" } else { "rods" };
                let wait = if waiting.len() == 1 { "waits" } else { "wait" };
                format!(
                    "; {rods} {} {wait}: the big end or the fit of the shells in it is to be settled, or the rod is not used",
                    phrase_list(waiting)
                )
            }
            [one] => format!("; {word} {one} waits until its housing, or the fit of the shells in it, is settled"),
            several => format!("; {word}s {} wait until their housings, or the fit of the shells in them, are settled", phrase_list(several)),
        })
        .say(unsure_words(word, unsure))
        .join(ground_words(word, ground))
        .join(unserved_words(bench, kind, unserved))
    }
}

/// "; main 3 is read finer first: its shells are changed only if that reading says so".
fn unsure_words(word: &str, unsure: &[u32]) -> String {
    let numbers: Vec<String> = unsure.iter().map(ToString::to_string).collect();
    match numbers.as_slice() {
        [] => String::new(),
        [one] => format!(
            "; {word} {one} is read finer first: its shells are changed, and others ordered, only if that reading says so"
        ),
        several => format!(
            "; {word}s {} are read finer first: their shells are changed, and others ordered, only if those readings say so",
            phrase_list(several)
        ),
    }
}

/// "; the shells of rod 1 are chosen when crank pin 1 is ground".
fn ground_words(word: &str, ground: &[Ground]) -> Phrase {
    let mut words = Phrase::new();
    for Ground { label, follows, .. } in ground.iter().filter(|g| !g.follows.is_empty()) {
        let numbers: Vec<String> = follows.iter().map(ToString::to_string).collect();
        let many = if numbers.len() == 1 { "" } else { "s" };
        let of = phrase_list(&numbers);
        words = words.say(format!("; the shells of {word}{many} {of} are chosen when {label} is ground"));
    }
    words
}

/// A clearance nearer to a limit than its own uncertainty would not be good: the largest U of these clearances.
fn guard(desk: &Desk<'_>, kind: BearingKind) -> f64 {
    let of_kind =
        desk.assessment.findings.iter().filter(|f| f.code == kind.limit() && f.verdict != Verdict::Unknown);
    of_kind.filter_map(|f| f.value).map(|v| v.expanded).fold(1e-6, f64::max)
}

fn place(
    desk: &Desk<'_>,
    kind: BearingKind,
    choice: &ShellChoice,
    number: u32,
    names: &[(&String, &Length)],
) -> Placement {
    let (upper, lower) = (names[choice.upper], names[choice.lower]);
    let what = if choice.upper == choice.lower {
        Phrase::words(format!("both halves {}, ", upper.0)).value(upper.1.0, Dimension::Length, 4)
    } else {
        Phrase::words(format!("upper {}, ", upper.0))
            .value(upper.1.0, Dimension::Length, 4)
            .say(format!("; lower {}, ", lower.0))
            .value(lower.1.0, Dimension::Length, 4)
    };
    let stays =
        kind.fitted_grades(desk.bench, number).is_some_and(|now| now == [upper.0.clone(), lower.0.clone()]);
    let label = format!("{} {number}", kind.word());
    let from = Phrase::words(match stays {
        true => "as it stands",
        false if on_worn_journal(desk.bench, kind, number) => "change, if its journal passes its test",
        false => "change",
    });
    placement(
        what,
        label,
        number.to_string(),
        from,
        Phrase::words("clearance ").length(choice.clearance),
        choice.clearance,
        stays,
    )
}

fn order(
    desk: &mut Desk<'_>,
    word: &str,
    grade: (&String, &Length),
    pairs: u32,
    placements: &[Placement],
    kind: BearingKind,
) {
    let supply = desk.bench.document().shop.shell_pair.clone().unwrap_or_default();
    let changed = || placements.iter().filter(|p| !p.stays);
    let settles = changed().map(|p| format!("{}/{}", kind.limit(), p.instance)).collect();
    // A journal below its least size is proved first: shells for a crank that is scrap are money lost.
    let is_of_worn =
        |p: &Placement| p.instance.parse().is_ok_and(|number| on_worn_journal(desk.bench, kind, number));
    let only_if = changed().all(is_of_worn).then_some(JOURNAL_PASSES);
    desk.orders.push(OrderLine {
        item: Phrase::words(format!("{word} shell pair, grade {} ", grade.0)).value(
            grade.1.0,
            Dimension::Length,
            4,
        ),
        quantity: pairs,
        supplier: supply.from,
        price: supply.price.map(|p| p.0),
        days: supply.days,
        settles,
        only_if,
        held_by: Vec::new(),
    });
}
