//! Shell grades to journals.

use super::{Desk, missing, outcome, placement, window};
use crate::cautions;
use crate::findings::{BearingKind, Verdict, journal_size};
use crate::plan::{OrderLine, Placement, Selection};
use crate::quantity::{Dimension, Length, Phrase, counted, phrase_list};
use mechanics::selection::Limits;
use mechanics::selection::shells::{Bearing, Grade, ShellChoice, choose};

const fn words(kind: BearingKind) -> (&'static str, &'static str, &'static str) {
    match kind {
        BearingKind::Main => ("main_shells", "Main shells to journals", "main"),
        BearingKind::Rod => ("rod_shells", "Rod shells to pins", "rod"),
    }
}

/// Housing of the prediction. Where the fitted bore was read with known shells, that bore counts, so the growth by crush is
/// in it.
fn housing(desk: &Desk<'_>, kind: BearingKind, number: u32) -> Option<f64> {
    let word = words(kind).2;
    let fitted = desk.bench.size(&format!("{word}_bearing.{number}.fitted_bore"));
    let walls = fitted_walls(desk, kind, number);
    match (fitted, walls) {
        (Some(bore), Some(walls)) => Some(bore.value.value() + walls),
        _ => desk.bench.size(&kind.housing(number)).map(|s| s.value.value()),
    }
}

/// Both walls that are in now: measured, else of the fitted grade.
fn fitted_walls(desk: &Desk<'_>, kind: BearingKind, number: u32) -> Option<f64> {
    let grades = fitted_grades(desk, kind, number)?;
    let wall = |half: usize| {
        let known = || kind.shells(desk.bench).grades.get(&grades[half]).map(|w| w.0);
        measured_wall(desk, kind, number, half).or_else(known)
    };
    Some(wall(0)? + wall(1)?)
}

fn measured_wall(desk: &Desk<'_>, kind: BearingKind, number: u32, half: usize) -> Option<f64> {
    let path = format!("{}_shell.{number}.{}", words(kind).2, ["upper", "lower"][half]);
    desk.bench.size(&path).map(|s| s.value.value())
}

/// Grades of the upper and the lower half that are in now: as stated, else those nearest to the walls as read.
fn fitted_grades(desk: &Desk<'_>, kind: BearingKind, number: u32) -> Option<[String; 2]> {
    let shells = kind.shells(desk.bench);
    if let Some(stated) = shells.fitted.get(&number.to_string()) {
        let upper = stated.first()?;
        return Some([upper.clone(), stated.get(1).unwrap_or(upper).clone()]);
    }
    let nearest = |half: usize| {
        let wall = measured_wall(desk, kind, number, half)?;
        let off = |grade: &Length| (grade.0 - wall).abs();
        shells.grades.iter().min_by(|a, b| off(a.1).total_cmp(&off(b.1))).map(|(name, _)| name.clone())
    };
    Some([nearest(0)?, nearest(1)?])
}

/// Bearings by their numbers.
type Numbered = Vec<(u32, Bearing)>;

/// Does the pair that was found for this bearing bring it inside its range? Every grade can be ordered, so where it does not, none does.
fn is_served(bearing: &Bearing, found: &ShellChoice) -> bool {
    // A tenth of the micrometre in which walls are sold.
    const HAIR: f64 = 1e-7;
    (bearing.window.min - HAIR..=bearing.window.max + HAIR).contains(&found.clearance)
}

/// What is said of the bearings that no grade on the list serves.
fn unserved_words(word: &str, unserved: &[(u32, Bearing)]) -> Phrase {
    let mut words = Phrase::new();
    for (number, bearing) in unserved {
        let wall = (bearing.housing - bearing.journal - bearing.window.target) / 2.0;
        words = words
            .say(format!("; no grade on the list serves {word} {number}: it asks for walls of "))
            .value(wall, Dimension::Length, 4)
            .say(": grind the journal to the next undersize that has shells, or find that grade; nothing is ordered for it");
    }
    words
}

pub(super) fn select(desk: &mut Desk<'_>, kind: BearingKind) -> Option<Selection> {
    let (code, title, word) = words(kind);
    let shells = kind.shells(desk.bench);
    let allowed = desk.bench.limit(kind.limit())?;
    let window = window(&allowed)?;
    let names: Vec<(&String, &Length)> = shells.grades.iter().collect();
    if names.is_empty() || kind.count(desk.bench) == 0 {
        return None;
    }
    let mut unread = Vec::new();
    let mut bearings = Vec::new();
    let waits = |number: u32| kind == BearingKind::Main && desk.housing_in_question(number);
    let numbers: Vec<u32> = (1..=kind.count(desk.bench)).filter(|n| !waits(*n)).collect();
    let waiting: Vec<String> =
        (1..=kind.count(desk.bench)).filter(|n| waits(*n)).map(|n| n.to_string()).collect();
    for &number in &numbers {
        let (which, journal) = kind.journal(desk.bench, number);
        let housing = housing(desk, kind, number);
        let size = journal_size(desk.bench, which, journal).map(|j| j.value());
        if housing.is_none() {
            unread.push(kind.housing(number));
        }
        if size.is_none() {
            unread.push(format!("crank.{which}.{journal}.front.vertical"));
        }
        bearings.extend(housing.zip(size).map(|(housing, journal)| Bearing { housing, journal, window }));
    }
    if !unread.is_empty() {
        return Some(missing(code, title, unread));
    }
    let shop = &desk.bench.document().shop;
    let stock = if kind == BearingKind::Main { &shop.main_shell_halves } else { &shop.rod_shell_halves };
    let price = shop.shell_pair.as_ref().and_then(|s| s.price).map_or(0, |p| (p.0 * 100.0).round() as i64);
    // Shells that are fitted now are on hand as well.
    let now: Vec<[String; 2]> =
        (1..=kind.count(desk.bench)).filter_map(|n| fitted_grades(desk, kind, n)).collect();
    let fitted = |name: &str| now.iter().flatten().filter(|grade| *grade == name).count() as u32;
    let grades: Vec<Grade> = names
        .iter()
        .map(|(name, wall)| {
            let halves = stock.get(*name).copied().unwrap_or(0) + fitted(name);
            Grade { wall: wall.0, uppers: halves.div_ceil(2), lowers: halves / 2, orderable: 99, price }
        })
        .collect();
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
        summary: Summary { word, changed: &changed, ordered, waiting: &waiting, unserved: &unserved }
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
    Some(selection.settling(&[kind.limit()]))
}

/// What the sentence that sums up a choice of shells says.
struct Summary<'a> {
    word: &'static str,
    changed: &'a [String],
    ordered: u32,
    waiting: &'a [String],
    unserved: &'a [(u32, Bearing)],
}

impl Summary<'_> {
    fn words(&self, none_placed: bool) -> Phrase {
        let Self { word, changed, ordered, waiting, unserved } = *self;
        let changes = changed.len();
        let of = format!("{word}{} {}", if changes == 1 { "" } else { "s" }, phrase_list(changed));
        Phrase::words(match (changes, ordered) {
            (0, _) if none_placed => "no shells to fit".to_owned(),
            (0, _) if !unserved.is_empty() => "the other shells stay".to_owned(),
            (0, _) => "all shells stay".to_owned(),
            (_, 0) => format!("change the shells of {of}; all on hand"),
            (_, pairs) => {
                format!("change the shells of {of}; order {}", counted(pairs as usize, "pair", "pairs"))
            }
        })
        .say(match waiting {
            [] => String::new(),
            [one] => format!("; {word} {one} waits until its housing is settled"),
            several => format!("; {word}s {} wait until their housings are settled", phrase_list(several)),
        })
        .join(unserved_words(word, unserved))
    }
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
        fitted_grades(desk, kind, number).is_some_and(|now| now == [upper.0.clone(), lower.0.clone()]);
    let label = format!("{} {number}", words(kind).2);
    let from = Phrase::words(if stays { "as it stands" } else { "change" });
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
    let settles =
        placements.iter().filter(|p| !p.stays).map(|p| format!("{}/{}", kind.limit(), p.instance)).collect();
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
        only_if: None,
        held_by: Vec::new(),
    });
}
