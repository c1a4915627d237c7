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
    let shells = kind.shells(desk.bench);
    let grades = shells.fitted.get(&number.to_string())?;
    let wall = |half: usize| {
        let path = format!("{}_shell.{number}.{}", words(kind).2, ["upper", "lower"][half]);
        let read = desk.bench.size(&path).map(|s| s.value.value());
        read.or_else(|| shells.grades.get(grades.get(half).or(grades.first())?).map(|w| w.0))
    };
    Some(wall(0)? + wall(1)?)
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
    let fitted = |name: &str| shells.fitted.values().map(|g| grade_halves(g, name)).sum::<u32>();
    let grades: Vec<Grade> = names
        .iter()
        .map(|(name, wall)| {
            let halves = stock.get(*name).copied().unwrap_or(0) + fitted(name);
            Grade { wall: wall.0, uppers: halves.div_ceil(2), lowers: halves / 2, orderable: 99, price }
        })
        .collect();
    let solution = choose(&bearings, &grades, guard(desk, kind), Limits::default()).ok()?;
    let placements: Vec<Placement> = solution
        .choice
        .shells
        .iter()
        .zip(&numbers)
        .map(|(choice, &number)| place(desk, kind, choice, number, &names))
        .collect();
    let ordered: u32 = solution.choice.to_order.iter().sum();
    for (grade, pairs) in solution.choice.to_order.iter().enumerate().filter(|(_, n)| **n > 0) {
        order(desk, word, names[grade], *pairs, &placements, kind);
    }
    let changed: Vec<String> = placements
        .iter()
        .zip(&numbers)
        .filter(|(p, _)| !p.stays)
        .map(|(_, number)| number.to_string())
        .collect();
    let changes = changed.len();
    let of = format!("{word}{} {}", if changes == 1 { "" } else { "s" }, phrase_list(&changed));
    let selection = Selection {
        code,
        title: title.to_owned(),
        outcome: outcome(&solution, (Dimension::Length, desk.bench.engine.units()), &|w| {
            format!("{word} {}", numbers[w])
        }),
        summary: Phrase::words(match (changes, ordered) {
            (0, _) => "all shells stay".to_owned(),
            (_, 0) => format!("change the shells of {of}; all on hand"),
            (_, pairs) => {
                format!("change the shells of {of}; order {}", counted(pairs as usize, "pair", "pairs"))
            }
        })
        .say(match waiting.len() {
            0 => String::new(),
            1 => format!("; {word} {} waits until its housing is settled", waiting[0]),
            _ => format!("; {word}s {} wait until their housings are settled", phrase_list(&waiting)),
        }),
        placements,
        objective: "clearances inside their range, off its edges, fewest pairs to order, fewest mixed pairs, nearest to the target",
        caution: (changes > 0).then_some(if kind == BearingKind::Main {
            cautions::MAIN_BOLTS
        } else {
            cautions::ROD_BOLTS
        }),
        settles: Vec::new(),
    };
    Some(selection.settling(&[kind.limit()]))
}

/// A clearance nearer to a limit than its own uncertainty would not be good: the largest U of these clearances.
fn guard(desk: &Desk<'_>, kind: BearingKind) -> f64 {
    let of_kind =
        desk.assessment.findings.iter().filter(|f| f.code == kind.limit() && f.verdict != Verdict::Unknown);
    of_kind.filter_map(|f| f.value).map(|v| v.expanded).fold(1e-6, f64::max)
}

fn grade_halves(grades: &[String], name: &str) -> u32 {
    match grades {
        [both] if both == name => 2,
        _ => grades.iter().filter(|g| *g == name).count() as u32,
    }
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
    let now = kind.shells(desk.bench).fitted.get(&number.to_string());
    let stays = now.is_some_and(|g| g.first() == Some(upper.0) && g.get(1).or(g.first()) == Some(lower.0));
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
    });
}
