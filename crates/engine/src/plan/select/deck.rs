//! Deck cut and gasket together, for compression and quench.

use super::{Desk, missing, placement, window};
use crate::cautions;
use crate::document::{OperationKind, field_title};
use crate::features::{Sheet, ValveName, bank_name, deck_label, valve_names};
use crate::findings::Answer;
use crate::findings::{Finding, Verdict, document_field};
use crate::findings::{Widened, ratio_value, space};
use crate::plan::holds::is_wrong_rod;
use crate::plan::{OrderLine, Outcome, Placement, Selection, Undecided, Widen};
use crate::quantity::{Dimension, Phrase, counted, phrase_list};
use mechanics::compression::Space;
use mechanics::metrology::Uncertain;
use mechanics::selection::deck_and_gasket::{
    Bank, BankChoice, Constraint, Cylinder, DeckRelaxation, DeckSingle, Gasket, NO_CUT, SureChoice, choose,
    choose_sure,
};
use mechanics::selection::{Solution, Window};

const CODE: &str = "deck_and_gasket";
const TITLE: &str = "Deck cut and gasket";

/// Said of cuts and orders where no cut and gasket keep every limit: what comes nearest waits for a person.
pub(in crate::plan) const ONLY_IF_MOVED: &str = "a limit is moved as deck and gasket says";

/// Space over a piston as it will be: planned bore and relieved chamber.
pub(super) fn planned_space(desk: &Desk<'_>, cylinder: u32) -> Result<Space, Vec<String>> {
    let mut answer = Answer::new(desk.bench, CODE, Sheet::Head, String::new(), "", "");
    let Some((mut found, _, _)) = space(desk.bench, &mut answer, cylinder) else {
        return Err(answer.finish().missing);
    };
    found.deck_gap -= planned_skim(desk, cylinder);
    found.bore = desk.planned_bore(cylinder).unwrap_or(found.bore);
    let part = format!("chamber {cylinder}");
    if let Some(volume) = desk
        .cuts
        .iter()
        .find(|c| c.operation == OperationKind::ChamberRelief && c.part == part)
        .and_then(|c| c.to)
    {
        found.chamber_volume = volume;
    }
    Ok(found)
}

/// Is this deck on the cutting list?
fn skimmed(desk: &Desk<'_>, bank: usize) -> bool {
    let part = deck_label(desk.bench.document(), bank);
    desk.cuts.iter().any(|c| c.operation == OperationKind::DeckSkim && c.part == part)
}

/// How far a deck that is skimmed is out of flat, m: where its corners do not tell more, all of it counts as taken off over each cylinder.
fn out_of_flat(desk: &Desk<'_>, bank: usize) -> f64 {
    let part = deck_label(desk.bench.document(), bank);
    let asks =
        |f: &&Finding| f.code == "deck_flatness" && f.verdict == Verdict::Bad && f.subject.label == part;
    let depth = desk.assessment.findings.iter().find(asks).and_then(|f| f.value).map_or(0.0, |v| v.value);
    if skimmed(desk, bank) { depth } else { 0.0 }
}

/// What the skim of the cutting list takes off over this cylinder: its deck height, between the corners, less the low corner; or what the
/// deck is out of flat, where that is more.
fn planned_skim(desk: &Desk<'_>, cylinder: u32) -> f64 {
    let document = desk.bench.document();
    let bank = document.bank_of(cylinder);
    let flat = out_of_flat(desk, bank);
    let Some(corners) = skimmed_corners(desk, bank) else { return flat };
    let numbers = &document.banks()[bank];
    let place = numbers.iter().position(|c| *c == cylinder).unwrap_or(0) as f64;
    // Bores stand evenly between the ends.
    let along = (place + 0.5) / numbers.len().max(1) as f64;
    let (front, rear) = (f64::midpoint(corners[0], corners[1]), f64::midpoint(corners[2], corners[3]));
    (front + (rear - front) * along - corners.iter().copied().fold(f64::INFINITY, f64::min)).max(flat)
}

/// Heights of the corners of a deck that the cutting list skims: front in, front out, rear in, rear out.
fn skimmed_corners(desk: &Desk<'_>, bank: usize) -> Option<[f64; 4]> {
    let name = bank_name(bank);
    let corner = |place: &str| {
        desk.bench.size(&format!("block.deck_height.{name}.{place}")).map(|size| size.value.value())
    };
    let corners = [corner("front.in")?, corner("front.out")?, corner("rear.in")?, corner("rear.out")?];
    skimmed(desk, bank).then_some(corners)
}

/// What the skim of the cutting list takes off the high corner of a deck; it counts against the stock.
fn greatest_skim(desk: &Desk<'_>, bank: usize) -> f64 {
    let leans = skimmed_corners(desk, bank).map_or(0.0, |corners| {
        corners.iter().copied().fold(f64::NEG_INFINITY, f64::max)
            - corners.iter().copied().fold(f64::INFINITY, f64::min)
    });
    leans.max(out_of_flat(desk, bank))
}

/// Chosen gaskets and cuts.
type Decks = Solution<Vec<BankChoice>, 8>;

/// How far the compression ratios of all cylinders may lie apart.
pub(super) fn most_spread(desk: &Desk<'_>) -> Option<f64> {
    desk.bench.limit("compression_spread")?.used.max
}

/// Expanded uncertainty of a finding; 0 where it has none.
pub(super) fn uncertainty(desk: &Desk<'_>, id: &str) -> f64 {
    desk.assessment.finding(id).and_then(|f| f.value).map_or(0.0, |v| v.expanded)
}

/// Greatest expanded uncertainty of the difference of the ratios of any two cylinders: which two lie farthest apart after the choice is not
/// known before it, and two of different banks do not share the gasket.
pub(super) fn spread_uncertainty(desk: &Desk<'_>) -> f64 {
    let mut answer = Answer::new(desk.bench, CODE, Sheet::Head, String::new(), "", "");
    let ratios: Vec<Uncertain> = desk
        .bench
        .cylinders()
        .filter_map(|cylinder| ratio_value(desk.bench, &mut answer, cylinder))
        .map(|(ratio, _, _)| ratio)
        .collect();
    let apart = |one: &Uncertain| ratios.iter().map(|two| (one - two).expanded()).fold(0.0, f64::max);
    ratios.iter().map(apart).fold(0.0, f64::max)
}

/// How far the compression ratios of all cylinders lie apart afterwards, and how far they may.
fn spread(desk: &Desk<'_>, choice: &[BankChoice]) -> Option<(f64, f64)> {
    let ratios = || choice.iter().flat_map(|c| c.results.iter().map(|r| r.0));
    let spread = ratios().fold(f64::NEG_INFINITY, f64::max) - ratios().fold(f64::INFINITY, f64::min);
    Some((spread, most_spread(desk)?))
}

/// Ratio and quench over a piston with that gasket after that cut.
fn after(cylinder: &Cylinder, gasket: &Gasket, cut: f64) -> Option<(f64, f64)> {
    let space = Space {
        gasket_bore: gasket.bore,
        gasket_thickness: gasket.thickness,
        deck_gap: cylinder.space.deck_gap - cut,
        ..cylinder.space
    };
    Some((space.compression_ratio().ok()?.value, space.deck_gap + gasket.thickness))
}

/// What a choice keeps off the limits: that share of each uncertainty.
#[derive(Clone, Copy, Debug)]
struct Kept {
    share: f64,
    /// How far the ratios may lie apart, and the uncertainty of that.
    spread: Option<(f64, f64)>,
}

impl Kept {
    /// Does this hold for all banks?
    fn holds(self, choice: &[BankChoice], banks: &[Bank]) -> bool {
        // The solver stands on its limits to rounding.
        const ROUNDING: f64 = 1e-9;
        let inside = |value: f64, window: &Window, guard: f64| {
            (value - window.min).min(window.max - value) >= self.share * guard - ROUNDING
        };
        let each = choice.iter().zip(banks).flat_map(|(c, bank)| c.results.iter().zip(&bank.cylinders));
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for ((ratio, quench), c) in each {
            if !inside(*ratio, &c.ratio, c.ratio_guard) || !inside(*quench, &c.quench, c.quench_guard) {
                return false;
            }
            (low, high) = (low.min(*ratio), high.max(*ratio));
        }
        self.spread.is_none_or(|(most, guard)| high - low <= most - self.share * guard + ROUNDING)
    }

    /// Least and greatest cut of one bank for which it holds, the other banks as chosen; none where it does not hold as chosen.
    fn cuts(self, choice: &[BankChoice], banks: &[Bank], bank: usize) -> Option<(f64, f64)> {
        let holds =
            |cut: f64| recut(choice, banks, bank, cut).is_some_and(|choice| self.holds(&choice, banks));
        let chosen = choice[bank].cut;
        // What may be cut lies between two ends: ratio and quench go one way with the cut.
        let end = |far: f64| {
            if holds(far) {
                return far;
            }
            let (mut near, mut far) = (chosen, far);
            for _ in 0..40 {
                let middle = f64::midpoint(near, far);
                if holds(middle) { near = middle } else { far = middle }
            }
            near
        };
        holds(chosen).then(|| (end(banks[bank].least_cut), end(banks[bank].stock.max(chosen))))
    }
}

/// The choice with another cut of one bank.
fn recut(choice: &[BankChoice], banks: &[Bank], bank: usize, cut: f64) -> Option<Vec<BankChoice>> {
    let mut choice = choice.to_vec();
    let gasket = &banks[bank].gaskets[choice[bank].gasket];
    let results: Option<Vec<_>> = banks[bank].cylinders.iter().map(|c| after(c, gasket, cut)).collect();
    choice[bank] = BankChoice { cut, results: results?, ..choice[bank].clone() };
    Some(choice)
}

/// What a deck or a head is skimmed to, m. Common practice, no source.
pub(in crate::plan) const SKIM_TOLERANCE: f64 = 0.02e-3;
/// Room of less is none that a machine could keep, m. Common practice, no source.
pub(in crate::plan) const LEAST_ROOM: f64 = 2e-6;

/// Gives each cut room for the tolerance of the machine: the least cut stands at the edge of what is kept off the limits, and half of
/// all cuts would fall over it. The rooms: how far each cut may come out otherwise, none where there is no cut or a limit has to give.
fn with_tolerance(
    mut choice: Vec<BankChoice>,
    banks: &[Bank],
    kept: Kept,
) -> (Vec<BankChoice>, Vec<Option<f64>>) {
    let mut rooms = vec![None; banks.len()];
    for bank in 0..banks.len() {
        if choice[bank].cut < NO_CUT || choice.iter().any(|c| c.relaxation.is_some()) {
            continue;
        }
        let wide = |kept: Kept| {
            kept.cuts(&choice, banks, bank).filter(|(least, most)| most - least > 2.0 * LEAST_ROOM)
        };
        let Some((least, most)) = wide(kept).or_else(|| wide(Kept { share: 0.0, ..kept })) else {
            rooms[bank] = Some(LEAST_ROOM);
            continue;
        };
        let cut = (least + SKIM_TOLERANCE).min(f64::midpoint(least, most)).max(choice[bank].cut);
        if let Some(moved) = recut(&choice, banks, bank, cut) {
            choice = moved;
            rooms[bank] = Some((cut - least).min(most - cut));
        }
    }
    (choice, rooms)
}

/// Said where they lie farther apart than allowed: nothing in the plan brings them together by itself.
fn too_far_apart(desk: &mut Desk<'_>, choice: &[BankChoice]) -> Phrase {
    let Some((apart, most)) = spread(desk, choice).filter(|(apart, most)| apart > most) else {
        return Phrase::new();
    };
    left_apart(desk, apart, most, "no gasket of the list and no cut brings them together")
}

/// The chamber or the rod from which it follows that the ratios lie apart.
fn cause_of_spread<'a>(desk: &Desk<'a>) -> Option<&'a Finding> {
    let next = |f: &&'a Finding| desk.assessment.finding(f.follows.as_deref()?);
    let mut chain = std::iter::successors(desk.assessment.finding("compression_spread/1"), next).take(4);
    chain.find(|f| matches!(f.code, "chamber" | "rod_length"))
}

/// Leaves ratios that lie `apart` where `most` is allowed to a person, and says so behind what is chosen.
pub(super) fn left_apart(desk: &mut Desk<'_>, apart: f64, most: f64, why: &str) -> Phrase {
    let words = Phrase::words("the compression ratios then lie ")
        .value(apart, Dimension::Ratio, 2)
        .say(" apart, allowed ")
        .value(most, Dimension::Ratio, 2);
    // Where the cause is known it is settled, and nothing is accepted before.
    if let Some(cause) = cause_of_spread(desk) {
        return Phrase::words("; but ").join(words).say(format!(": settle {} first", cause.title()));
    }
    desk.undecided.push(Undecided {
        text: Phrase::words("Engine, spread of compression: a person must decide. If nothing is changed, ")
            .join(words.clone())
            .say(format!("; {why}: do as the finding on their spread says, or accept it")),
        settles: vec!["compression_spread/1".to_owned()],
    });
    Phrase::words("; but ").join(words)
}

/// Findings that the chosen gasket and cut bring inside.
fn settles(desk: &Desk<'_>, choice: &[BankChoice]) -> Vec<String> {
    let cylinders = desk.bench.cylinders();
    let mut ids: Vec<String> =
        cylinders.flat_map(|c| [format!("quench/{c}"), format!("compression_ratio/{c}")]).collect();
    if spread(desk, choice).is_some_and(|(apart, most)| apart <= most) {
        ids.push("compression_spread/1".to_owned());
    }
    ids
}

fn with_present_gasket(bank: &Bank) -> Bank {
    Bank { gaskets: bank.gaskets.iter().take(1).copied().collect(), ..bank.clone() }
}

/// Are all cylinders inside without a cut?
fn inside(solution: &Decks) -> bool {
    solution.choice.iter().all(|c| c.relaxation.is_none() && c.cut < NO_CUT)
}

/// Is only changed what would fit by itself? Then the change brings the ratios of all cylinders together.
fn brings_together(choice: &[BankChoice], banks: &[Bank]) -> bool {
    let fits = |bank: &Bank| choose(&[with_present_gasket(bank)], None).is_ok_and(|alone| inside(&alone));
    let mut changed = choice.iter().zip(banks).filter(|(c, _)| c.gasket > 0 || c.cut >= NO_CUT).peekable();
    changed.peek().is_some() && changed.all(|(_, bank)| fits(bank))
}

/// What fits as it stands is left alone: nothing is bought or cut to come nearer to a target. Where nothing brings the ratios
/// together, nothing is changed for it.
fn solve(desk: &Desk<'_>, banks: &[Bank]) -> Option<(Decks, Settled)> {
    let most = most_spread(desk);
    let present: Vec<Bank> = banks.iter().map(with_present_gasket).collect();
    let together = |s: &Decks| s.objectives.0[2] == 0;
    let as_it_stands = choose(&present, most).ok().filter(inside);
    if as_it_stands.as_ref().is_some_and(together) {
        return as_it_stands.map(|stands| (stands, Settled::Stays));
    }
    let guard = spread_uncertainty(desk);
    let SureChoice { solution, share } = choose_sure(banks, most, guard).ok()?;
    match as_it_stands {
        Some(stands) if !together(&solution) => Some((stands, Settled::Stays)),
        _ => Some((solution, Settled::Kept(Kept { share, spread: most.map(|most| (most, guard)) }))),
    }
}

/// How the choice came about.
#[derive(Clone, Copy, Debug)]
enum Settled {
    /// What is there fits.
    Stays,
    /// Everything off its limits by a share of its uncertainty.
    Kept(Kept),
}

/// How far everything is kept off its limits, in words, by the share of its uncertainty.
pub(super) fn kept_words(share: f64) -> &'static str {
    match share {
        s if s > 0.9 => "everything off its limits by the whole of its uncertainty",
        s if s > 0.7 => {
            "everything off its limits by three quarters of its uncertainty, and more cannot be had"
        }
        s if s > 0.4 => "everything off its limits by half of its uncertainty, and more cannot be had",
        s if s > 0.1 => "everything off its limits by a quarter of its uncertainty, and more cannot be had",
        _ => "nothing keeps everything off its limits by as much as a quarter of its uncertainty",
    }
}

impl Settled {
    /// What is proved.
    fn proof(self, gaskets: usize) -> String {
        let share = match self {
            Self::Stays => return "proved: everything fits as it stands".to_owned(),
            Self::Kept(Kept { share, .. }) => share,
        };
        format!(
            "proved: the best of {} for each bank, at any cut; with no more decks cut than these, {}",
            counted(gaskets, "gasket", "gaskets"),
            kept_words(share)
        )
    }
}

/// What the decks are chosen from.
struct Asked {
    banks: Vec<Bank>,
    /// Places that must be read first.
    unread: Vec<String>,
}

fn asked(desk: &Desk<'_>) -> Option<Asked> {
    let both_ends = |limit| desk.bench.limit(limit).as_ref().and_then(window);
    let (Some(quench), Some(ratio)) = (both_ends("quench"), both_ends("compression_ratio")) else {
        return to_state(desk, &|limit| both_ends(limit).is_none());
    };
    let document = desk.bench.document();
    let mut banks = Vec::new();
    let mut unread = Vec::new();
    for (bank, numbers) in document.banks().into_iter().enumerate() {
        let mut cylinders = Vec::new();
        for cylinder in numbers {
            match planned_space(desk, cylinder) {
                Ok(space) => cylinders.push(Cylinder {
                    space,
                    ratio,
                    quench,
                    ratio_guard: uncertainty(desk, &format!("compression_ratio/{cylinder}")),
                    quench_guard: uncertainty(desk, &format!("quench/{cylinder}")),
                }),
                Err(paths) => unread.extend(paths),
            }
        }
        banks.push(Bank {
            cylinders,
            gaskets: gaskets(desk, bank),
            least_cut: 0.0,
            stock: (document.block.deck_stock.map_or(0.0, |s| s.0) - greatest_skim(desk, bank)).max(0.0),
            on_machine: skimmed(desk, bank),
        });
    }
    unread.dedup();
    Some(Asked { banks, unread })
}

/// Where a compression is bad and sends to this choice: the limits without which it cannot be made, both their ends.
fn to_state(desk: &Desk<'_>, lacks: &dyn Fn(&'static str) -> bool) -> Option<Asked> {
    let sends = |f: &Finding| f.code == "compression_ratio" && f.verdict == Verdict::Bad;
    let limits = ["quench", "compression_ratio"].into_iter().filter(|limit| lacks(limit));
    let unread = limits.map(|limit| document_field(&format!("limits.{limit}, least and most"))).collect();
    desk.assessment.findings.iter().any(sends).then_some(Asked { banks: Vec::new(), unread })
}

pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let Asked { banks, unread } = asked(desk)?;
    let document = desk.bench.document();
    if !unread.is_empty() || banks.is_empty() {
        return (!unread.is_empty()).then(|| missing(CODE, TITLE, unread));
    }
    let (solution, settled) = solve(desk, &banks)?;
    let for_spread = brings_together(&solution.choice, &banks);
    let (choice, rooms) = match settled {
        Settled::Stays => (solution.choice, vec![None; banks.len()]),
        Settled::Kept(kept) => with_tolerance(solution.choice, &banks, kept),
    };
    let placements: Vec<Placement> = (0..)
        .zip(choice.iter().zip(rooms))
        .map(|(bank, (choice, room))| Placement { room, ..place(desk, bank, choice, &banks[bank].gaskets) })
        .collect();
    let relax: Vec<Phrase> = choice
        .iter()
        .zip(document.banks())
        .filter_map(|(c, b)| c.relaxation.as_ref().map(|r| relax_words(desk, r, &b)))
        .flatten()
        .collect();
    if !relax.is_empty() && document.block.deck_stock.is_none() {
        return Some(missing(CODE, TITLE, vec![document_field("block.deck_stock")]));
    }
    let placements = if relax.is_empty() { placements } else { without_depth(placements) };
    let tight_banks = choice.iter().filter(|c| c.relaxation.is_some()).count();
    let stays = placements.iter().all(|p| p.stays);
    let summary = if stays {
        Phrase::words(if desk.cuts.iter().any(|c| c.operation == OperationKind::DeckSkim) {
            "no cut beyond the skim of the cutting list, the gasket stays"
        } else {
            "no cut, the gasket stays"
        })
    } else {
        banks_summary(&placements).say(if for_spread {
            ": so that the compression of all cylinders stays together"
        } else {
            ""
        })
    };
    let summary = summary
        .join(too_far_apart(desk, &choice))
        .join(if relax.is_empty() { valve_room(desk, &choice) } else { Phrase::new() })
        .say(first_to_settle(desk, stays && relax.is_empty()))
        .say(head_first(desk));
    let settles = if relax.is_empty() { settles(desk, &choice) } else { Vec::new() };
    let only_if = (!relax.is_empty()).then_some(ONLY_IF_MOVED);
    order(desk, &choice, &banks, for_spread, only_if);
    Some(Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: if relax.is_empty() {
            Outcome::Best { proved: true, proof: settled.proof(banks[0].gaskets.len()) }
        } else {
            Outcome::Relax { relax, widen: if tight_banks > 1 { Widen::AsSaid } else { Widen::AnyOne } }
        },
        placements,
        summary,
        objective: "what fits stays; else compression and quench of every cylinder inside, ratios near enough to each other, fewest decks cut that are not cut anyway, everything off its limits by the whole, three quarters, half or a quarter of its uncertainty (the most that can be had), least cut that leaves the machine its tolerance, one kind of gasket, nearest to the targets, price",
        caution: (!stays).then_some(cautions::HEAD_BOLTS),
        settles,
    })
}

/// Said where a valve has too little room to its piston once the piston stands higher under its head: as read less what the quench
/// loses, along the cylinder, which is the most that an inclined valve can lose.
fn valve_room(desk: &Desk<'_>, choice: &[BankChoice]) -> Phrase {
    let document = desk.bench.document();
    let banks = document.banks();
    let after = |cylinder: u32| {
        let (bank, place) = banks
            .iter()
            .enumerate()
            .find_map(|(bank, numbers)| Some((bank, numbers.iter().position(|c| *c == cylinder)?)))?;
        choice.get(bank)?.results.get(place).map(|result| result.1)
    };
    let left = |valve: &ValveName| {
        let quench = desk.assessment.finding(&format!("quench/{}", valve.cylinder))?.value?;
        let lost = quench.value - after(valve.cylinder)?;
        let finding = desk.assessment.finding(&format!("to_piston/{}", valve.path()))?;
        let least = finding.limit.as_ref()?.min?;
        let room = finding.value?;
        let left = room.value - lost;
        let tight = finding.verdict == Verdict::Good && left - room.expanded < least;
        (lost > NO_CUT && tight).then_some((left, least, room.expanded))
    };
    let tight: Vec<(ValveName, (f64, f64, f64))> = valve_names(document)
        .into_iter()
        .filter_map(|valve| {
            let left = left(&valve)?;
            Some((valve, left))
        })
        .collect();
    let worst = tight.iter().min_by(|a, b| (a.1.0 - a.1.1).total_cmp(&(b.1.0 - b.1.1)));
    let Some((valve, (left, least, expanded))) = worst else { return Phrase::new() };
    let others = if tight.len() > 1 { format!(" ({} valves in all)", tight.len()) } else { String::new() };
    Phrase::words(format!("; see to the room of the valves first: valve {} would have ", valve.label()))
        .length_2(*left)
        .say(" (U ")
        .length_2(*expanded)
        .say(") to its piston, which is not surely the ")
        .length_2(*least)
        .say(" that it needs")
        .say(format!("{others}: deepen the pockets as far as the piston maker lets the crown be cut, or keep the piston lower, and measure again before the engine is turned"))
}

/// What is settled before any of this is done: a rod of the wrong length, a chamber that is read again.
fn first_to_settle(desk: &Desk<'_>, nothing_to_do: bool) -> String {
    let first = |f: &&Finding| {
        is_wrong_rod(f) || f.code == "chamber" && f.verdict == Verdict::Bad && f.waits_for().is_some()
    };
    let titles: Vec<String> = desk.assessment.findings.iter().filter(first).map(Finding::title).collect();
    if nothing_to_do || titles.is_empty() {
        return String::new();
    }
    format!("; all of this waits, cuts and limits alike: first settle {}", phrase_list(&titles))
}

/// A head that is skimmed has smaller chambers then: how much smaller is read, not reckoned.
fn head_first(desk: &Desk<'_>) -> &'static str {
    let skimmed = desk.cuts.iter().any(|c| c.operation == OperationKind::HeadSkim);
    if skimmed {
        "; reckoned with the chambers as they are: the skim of the head makes them smaller, so read them again after it and look here again before anything is bought or cut"
    } else {
        ""
    }
}

/// Which limit moves decides how deep a deck is cut: before that nobody is told a depth.
fn without_depth(mut placements: Vec<Placement>) -> Vec<Placement> {
    for placement in placements.iter_mut().filter(|p| !p.stays) {
        placement.from = Phrase::words("waits: first one of the limits moves, then look here again");
        placement.result = Phrase::new();
    }
    placements
}

/// One line for all banks: what is done, once where it is the same everywhere.
fn banks_summary(placements: &[Placement]) -> Phrase {
    let first = &placements[0].from;
    if placements.iter().all(|p| p.from == *first) {
        return first.clone();
    }
    let mut words = Phrase::new();
    for (index, placement) in placements.iter().enumerate() {
        let between = if index > 0 { "; " } else { "" };
        words = words.say(format!("{between}{}: ", placement.place)).join(placement.from.clone());
    }
    words
}

/// Gaskets that a bank can get, the present one first: as it was read on this bank, else as the document says. A gasket on sale within
/// three spreads of the present one is that kind.
fn gaskets(desk: &Desk<'_>, bank: usize) -> Vec<Gasket> {
    let document = desk.bench.document();
    let present = desk
        .bench
        .size(&format!("gasket.{}.compressed", bank_name(bank)))
        .map(|s| s.value.value())
        .or(document.gasket.compressed.map(|g| g.0));
    let alike = document.gasket.spread.map_or(0.0, |s| 3.0 * s.0).max(1e-6);
    let sold = &document.shop.gaskets;
    let is_present = |thickness: f64| present.is_some_and(|present| (thickness - present).abs() < alike);
    let cylinder_bore = document.layout.bore.map_or(0.0, |bore| bore.0);
    let made = |thickness: f64, kind: usize, price: i64| {
        let bore = document.gasket.room_bore(thickness, cylinder_bore)?;
        Some(Gasket { thickness, bore, kind, price })
    };
    let kind_of_present = sold.iter().position(|g| g.compressed.is_some_and(|c| is_present(c.0)));
    let first =
        present.and_then(|thickness| made(thickness, kind_of_present.unwrap_or(sold.len() + bank), 0));
    let others = sold.iter().enumerate().filter_map(|(kind, option)| {
        let thickness = option.compressed?.0;
        let price = option.supply.price.filter(|_| option.on_hand == 0).map_or(0.0, |p| p.0);
        made(thickness, kind, (price * 100.0).round() as i64).filter(|_| !is_present(thickness))
    });
    first.into_iter().chain(others).collect()
}

fn place(desk: &Desk<'_>, bank: usize, choice: &BankChoice, gaskets: &[Gasket]) -> Placement {
    let thickness = gaskets[choice.gasket].thickness;
    let stays = choice.gasket == 0 && choice.cut < NO_CUT;
    let name = bank_name(bank);
    let off = if skimmed(desk, bank) { " more off the deck than the skim does" } else { " off the deck" };
    let from = match (choice.gasket == 0, choice.cut < NO_CUT) {
        (true, true) if skimmed(desk, bank) => Phrase::words("no cut beyond the skim, the gasket stays"),
        (true, true) => Phrase::words("as it stands"),
        (true, false) => Phrase::words("take ").length(choice.cut).say(off),
        (false, true) => Phrase::words("change the gasket to ").length_2(thickness),
        (false, false) => Phrase::words("change the gasket to ")
            .length_2(thickness)
            .say(", take ")
            .length(choice.cut)
            .say(off),
    };
    let (mut ratio, mut quench) = ((f64::INFINITY, f64::NEG_INFINITY), (f64::INFINITY, f64::NEG_INFINITY));
    for (r, q) in &choice.results {
        ratio = (ratio.0.min(*r), ratio.1.max(*r));
        quench = (quench.0.min(*q), quench.1.max(*q));
    }
    let result = Phrase::words("ratio ").range(ratio.0, ratio.1, Dimension::Ratio, 2).say(", quench ").range(
        quench.0,
        quench.1,
        Dimension::Length,
        2,
    );
    let place = deck_label(desk.bench.document(), bank);
    placement(
        Phrase::words("gasket ").length_2(thickness),
        place,
        name.to_owned(),
        from,
        result,
        choice.cut,
        stays,
    )
}

fn relax_words(desk: &Desk<'_>, relaxation: &DeckRelaxation, bank: &[u32]) -> Vec<Phrase> {
    let of = |single: &DeckSingle| {
        let (limit, cylinder) = match single.constraint {
            Constraint::Ratio(c) => ("compression_ratio", c),
            Constraint::Quench(c) => ("quench", c),
            Constraint::Stock => return Some(more_stock(desk, single.by)),
        };
        let words = Widened::of(desk.bench, limit)?.end(single.upper, single.by)?;
        Some(words.say(format!(", for cylinder {} alone", bank[cylinder])))
    };
    let mut words: Vec<Phrase> = relaxation.single.iter().take(3).filter_map(of).collect();
    let both = |fraction: f64| {
        let limits = ["compression_ratio", "quench"].into_iter().filter_map(|l| Widened::of(desk.bench, l));
        let ends = limits.filter_map(|limit| Some(limit.both_ends(fraction * limit.width()?)));
        ends.reduce(|ratio, quench| ratio.say("; and ").join(quench))
    };
    words.extend(relaxation.uniform_fraction.and_then(both).map(|all| all.say(", for every cylinder")));
    words
}

/// "Deck stock: from 0.20 mm to 0.25 mm".
fn more_stock(desk: &Desk<'_>, by: f64) -> Phrase {
    let stock = desk.bench.document().block.deck_stock.map_or(0.0, |stock| stock.0);
    let told = field_title(["block", "deck_stock"]);
    Phrase::words(format!("{told}: from ")).length(stock).say(" to ").outward(
        stock + by,
        true,
        (Dimension::Length, 3),
        desk.bench.engine.units(),
    )
}

/// " (deck A, to follow the skim of deck B)": on which deck it goes, and why where a skim of another one asks for it.
fn meant(desk: &Desk<'_>, of_banks: &[usize], for_spread: bool) -> String {
    let document = desk.bench.document();
    let banks = document.banks().len();
    if banks < 2 {
        return String::new();
    }
    let words = |list: &[usize]| {
        phrase_list(&list.iter().map(|bank| deck_label(document, *bank)).collect::<Vec<String>>())
    };
    let cut: Vec<usize> = (0..banks).filter(|b| !of_banks.contains(b) && skimmed(desk, *b)).collect();
    if for_spread && of_banks.iter().all(|bank| skimmed(desk, *bank)) {
        format!(" ({}, to follow its skim)", words(of_banks))
    } else if cut.is_empty() || !for_spread {
        format!(" ({})", words(of_banks))
    } else {
        format!(" ({}, to follow the skim of {})", words(of_banks), words(&cut))
    }
}

/// Orders what the list of gaskets has not on hand, one a bank; only if a limit is moved where none keeps them all.
fn order(
    desk: &mut Desk<'_>,
    choice: &[BankChoice],
    banks: &[Bank],
    for_spread: bool,
    only_if: Option<&'static str>,
) {
    let why = if for_spread {
        vec!["compression_spread/1".to_owned()]
    } else {
        let open = |f: &&Finding| !matches!(f.verdict, Verdict::Good | Verdict::Unknown);
        let asked = desk.assessment.findings.iter().filter(open);
        asked.filter(|f| matches!(f.code, "quench" | "compression_ratio")).map(|f| f.id.clone()).collect()
    };
    let kinds = choice.iter().zip(banks).map(|(c, bank)| bank.gaskets[c.gasket].kind);
    let mut wanted: std::collections::BTreeMap<usize, Vec<usize>> = std::collections::BTreeMap::new();
    for (bank, kind) in kinds.enumerate() {
        wanted.entry(kind).or_default().push(bank);
    }
    let document = desk.bench.document();
    for (kind, of_banks) in wanted {
        let count = of_banks.len() as u32;
        let Some(option) = document.shop.gaskets.get(kind) else { continue };
        let quantity = count.saturating_sub(option.on_hand);
        let Some(thickness) = option.compressed.filter(|_| quantity > 0) else { continue };
        desk.orders.push(OrderLine {
            item: Phrase::words("head gasket, compressed ")
                .length_2(thickness.0)
                .say(meant(desk, &of_banks, for_spread)),
            quantity,
            supplier: option.supply.from.clone(),
            price: option.supply.price.map(|p| p.0),
            days: option.supply.days,
            settles: why.clone(),
            only_if,
            held_by: Vec::new(),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::Bench;
    use crate::{Engine, assess};

    /// Ratio and quench over a piston, written out: π/4 · bore² · stroke over what is left above the crown.
    fn by_hand(cylinder: &Cylinder, gasket: &Gasket, cut: f64) -> (f64, f64) {
        let disc = |bore: f64, height: f64| std::f64::consts::FRAC_PI_4 * bore * bore * height;
        let space = &cylinder.space;
        let swept = disc(space.bore, space.stroke);
        let above = space.chamber_volume + space.crevice_volume - space.dome_volume
            + disc(space.bore, space.deck_gap - cut)
            + disc(gasket.bore, gasket.thickness);
        (1.0 + swept / above, space.deck_gap - cut + gasket.thickness)
    }

    /// Decks cut, share of the guard as its place among the shares, cut, kinds, distance, price.
    type Rank = (usize, usize, i64, usize, i64, i64);

    /// The V8 of the demo (invented) by the order that its page states: every pair of gaskets with every pair of cuts by 2 µm.
    #[test]
    fn the_gaskets_of_the_v8_are_the_best_by_the_order_of_the_page() {
        let (text, csv) = (
            include_str!("../../../../../examples/pushrod-v8.toml"),
            include_str!("../../../../../examples/pushrod-v8.readings.csv"),
        );
        let parsed = crate::document::parse_with_readings(text, "v8.toml", csv, "v8.readings.csv");
        let engine = Engine::new(parsed.document.expect("the demo is sound"), Vec::new(), Vec::new());
        let assessment = assess(&engine);
        let cuts = crate::plan::cuts::cuts(&engine, &assessment);
        let bench = Bench { engine: &engine, sizes: &assessment.sizes };
        let desk = Desk {
            bench,
            assessment: &assessment,
            cuts: &cuts,
            orders: Vec::new(),
            undecided: Vec::new(),
            not_used: Vec::new(),
        };
        let banks = asked(&desk).expect("limits").banks;
        let (most, guard) = (most_spread(&desk).expect("a limit"), spread_uncertainty(&desk));
        assert!(guard > 0.0 && banks.iter().flat_map(|b| &b.cylinders).all(|c| c.quench_guard > 0.0));

        let rank = |picked: [(usize, f64); 2]| -> Option<Rank> {
            let (mut share, mut distance, mut low, mut high) =
                (9.0_f64, 0.0, f64::INFINITY, f64::NEG_INFINITY);
            for (bank, (gasket, cut)) in banks.iter().zip(picked) {
                for c in &bank.cylinders {
                    let (ratio, quench) = by_hand(c, &bank.gaskets[gasket], cut);
                    let parts = [(ratio, &c.ratio, c.ratio_guard), (quench, &c.quench, c.quench_guard)];
                    for (value, w, guard) in parts {
                        let room = (value - w.min).min(w.max - value) + 1e-10;
                        share = share.min(if room < 0.0 { -1.0 } else { room / guard });
                        let off = (value - w.target) / (0.5 * (w.max - w.min));
                        distance += off * off;
                    }
                    (low, high) = (low.min(ratio), high.max(ratio));
                }
            }
            let room = most - (high - low) + 1e-9;
            let share = share.min(if room < 0.0 { -1.0 } else { room / guard });
            let step = [1.0, 0.75, 0.5, 0.25, 0.0].iter().position(|s| share >= s - 1e-7)?;
            let kind = |bank: usize| banks[bank].gaskets[picked[bank].0].kind;
            let price = (0..2).map(|bank| banks[bank].gaskets[picked[bank].0].price).sum();
            Some((
                banks.iter().zip(picked).filter(|(bank, p)| p.1 >= 0.5e-6 && !bank.on_machine).count(),
                step,
                ((picked[0].1 + picked[1].1) * 1e8).round() as i64,
                usize::from(kind(0) != kind(1)),
                (distance * 1e4).round() as i64,
                price,
            ))
        };
        let (solution, settled) = solve(&desk, &banks).expect("a choice");
        let Settled::Kept(kept) = settled else { panic!("deck B is cut") };
        assert!(kept.share > 0.0, "some of the uncertainty is kept off");
        let chosen = [0, 1].map(|bank| (solution.choice[bank].gasket, solution.choice[bank].cut));
        let own = rank(chosen).expect("it fits");
        let mut seen = 0;
        for one in 0..banks[0].gaskets.len() {
            for two in 0..banks[1].gaskets.len() {
                let steps = |bank: &Bank| 0..=(bank.stock * 5e5) as i64;
                for (a, b) in steps(&banks[0]).flat_map(|a| steps(&banks[1]).map(move |b| (a, b))) {
                    let picked = [(one, a as f64 * 2e-6), (two, b as f64 * 2e-6)];
                    let Some(other) = rank(picked) else { continue };
                    seen += 1;
                    assert!(own <= other, "{picked:?} has {other:?}, the choice {chosen:?} has {own:?}");
                }
            }
        }
        assert!(seen > 100, "the grid has answers: {seen}");
        // The cut of deck B may come out otherwise by as much as is said, to either side, and everything is still as far off its limits.
        assert_eq!(kept.spread, Some((most, guard)));
        let (choice, rooms) = with_tolerance(solution.choice.clone(), &banks, kept);
        let (free, middle) = (rooms[1].expect("deck B is cut"), choice[1].cut);
        let moved =
            |by: f64| rank([chosen[0], (chosen[1].0, middle + by)]).is_some_and(|other| other.1 <= own.1);
        assert!(
            free > LEAST_ROOM && free <= SKIM_TOLERANCE && middle - free > chosen[1].1 - 1e-9,
            "{free} {middle}"
        );
        assert!([0.97, -0.97].iter().all(|part| moved(part * free)), "{free}");
        assert!([1.03, -1.03].iter().any(|part| !moved(part * free)), "{free}");
    }
}
