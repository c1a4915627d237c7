//! The cutting list: what to cut, to which size, in which order, and what each cut opens again.

use super::select::{LEAST_ROOM, ONLY_IF, ONLY_IF_MOVED, RingAnswer, SKIM_TOLERANCE, What};
use super::{Cut, Outcome, Selection};
use crate::assess::Assessment;
use crate::cautions;
use crate::document::{Block, OperationKind as K, Supply, Target};
use crate::engine::Engine;
use crate::findings::{
    Action, ActionKind, BearingKind, Bench, CHAMBER_TOLERANCE, CRANK_IS_SOUND, Finding, GAP_TOLERANCE,
    HONE_TOLERANCE, LimitUsed, Measured, Verdict, bore_extremes, grind_words, hone_of, is_of_rejected,
    journal_size, off_height, outgrown, undersize, with_plate,
};
use crate::quantity::{Dimension, Length, Phrase, UnitSystem};
use crate::readings::opens_again;

/// Order in which cuts are made, so that none is undone by a later one. Common practice, no source.
const ORDER: &[K] = &[
    K::CapSeat,
    K::AlignHone,
    K::Regrind,
    // A sleeve is cut flush with the deck, which is then made level over it.
    K::Sleeve,
    K::DeckSkim,
    K::Bore,
    K::Hone,
    K::BigEndHone,
    K::SeatCut,
    K::HeadSkim,
    K::ChamberRelief,
    K::SpringShim,
    K::RingFile,
];

/// A cut that no deck is put on the machine for, m.
const HALF_A_MICROMETRE: f64 = 0.5e-6;

/// Condition of a sleeve where there is another way.
const SLEEVED: &str = "it is sleeved, and not bored with all the others for oversize pistons";

const NO_GRADE_FITS: &str = "; no shell grade fits it as it is";

struct Sketch<'a> {
    operation: K,
    part: String,
    text: Phrase,
    from: Option<f64>,
    to: Option<f64>,
    tolerance: Option<f64>,
    dimension: Dimension,
    stock_left: Option<f64>,
    only_if: Option<&'static str>,
    finding: &'a Finding,
}

/// All cuts that the findings ask for, in order, but for the rings (`ring_files`).
pub fn cuts(engine: &Engine, assessment: &Assessment) -> Vec<Cut> {
    let mut sketches: Vec<Sketch<'_>> = assessment
        .findings
        .iter()
        // What was cut since it was read is read again before anything is cut by it.
        // Nothing is cut on a part that is not used, nor by what was read through it.
        .filter(|f| f.verdict == Verdict::Bad && !f.stale && !is_of_rejected(f))
        .flat_map(|f| sketch(engine, assessment, f).into_iter().chain(align_hone(f)))
        .collect();
    sketches.sort_by_key(|s| ORDER.iter().position(|k| *k == s.operation).unwrap_or(ORDER.len()));
    let mut list: Vec<Cut> = Vec::new();
    for sketch in sketches {
        // Two findings that ask for the same cut of the same part share a line.
        if let Some(same) = list.iter_mut().find(|c| c.operation == sketch.operation && c.part == sketch.part)
        {
            share(same, sketch);
            continue;
        }
        list.push(line(engine, assessment, sketch, list.len() as u32 + 1));
    }
    list
}

/// One line for two findings: to the larger size of both, and to the surface where one asks for that.
fn share(line: &mut Cut, sketch: Sketch<'_>) {
    let for_the_wall = line.settles.iter().all(|id| id.starts_with("wall/"));
    line.settles.push(sketch.finding.id.clone());
    if line.operation == K::Sleeve {
        // A bore that is too large is sleeved whatever the map of its wall says, and a thin wall is not bored larger.
        if for_the_wall {
            line.text =
                sketch.text.say("; its wall is in question as well: map it first, a thin one is not bored");
            line.only_if = sketch.only_if;
        }
    } else if is_surface(sketch.finding) {
        if line.to.is_some() && !line.text.print(UnitSystem::Metric).contains(SURFACE) {
            line.text = line.text.clone().say(", ").say(SURFACE);
        }
    } else if sketch.to > line.to {
        line.text = sketch.text;
        (line.to, line.tolerance) = (sketch.to, sketch.tolerance);
        line.from = line.from.or(sketch.from);
    }
}

const SURFACE: &str = "to the ring maker's surface";

/// Is it the surface of a bore that the finding asks for?
fn is_surface(finding: &Finding) -> bool {
    matches!(finding.code, "bore_rk" | "bore_rpk" | "bore_rvk")
}

/// Adds the deck cuts that the choice of deck and gasket takes, beside or on top of those that the findings ask for, and numbers all
/// lines anew in the order of the work.
pub fn add_deck_cuts(
    engine: &Engine,
    assessment: &Assessment,
    selections: &[Selection],
    cuts: &mut Vec<Cut>,
) {
    let Some(choice) = selections.iter().find(|s| s.code == "deck_and_gasket") else { return };
    // Where no cut brings all of them inside, what comes nearest waits for a person to move a limit.
    let only_if = (!matches!(choice.outcome, Outcome::Best { .. })).then_some(ONLY_IF_MOVED);
    let asks = |f: &&Finding| matches!(f.code, "compression_ratio" | "quench");
    for placement in choice.placements.iter().filter(|p| p.value >= HALF_A_MICROMETRE) {
        let skim = cuts.iter_mut().find(|c| c.operation == K::DeckSkim && c.part == placement.place);
        let taken = |words: Phrase| words.length(placement.value);
        if let Some(skim) = skim {
            // How deep depends on which limit is moved: nobody is told a depth before.
            if only_if.is_some() {
                skim.text = skim.text.clone().say("; more for compression and quench only when a limit is moved as deck and gasket says: wait with the skim, it is then one job");
                continue;
            }
            let words = skim.text.clone().say("; then ");
            skim.text = taken(words).say(" more all over, for compression and quench");
            keep_room(skim, placement.room);
            skim.stock_left = skim.stock_left.map(|left| left - placement.value);
            continue;
        }
        let mut asking: Vec<&Finding> = assessment.findings.iter().filter(asks).collect();
        asking.sort_by_key(|f| f.verdict == Verdict::Good);
        let Some(finding) = asking.first() else { continue };
        let text = if only_if.is_some() {
            Phrase::words(
                "Skim all over, for compression and quench: how deep follows from the limit that is moved",
            )
        } else {
            taken(Phrase::words("Take ")).say(" off all over, for compression and quench")
        };
        let stock = engine.document.block.deck_stock.filter(|_| only_if.is_none());
        let stock_left = stock.map(|s| s.0 - placement.value);
        let sketch =
            Sketch { stock_left, only_if, ..empty(K::DeckSkim, placement.place.clone(), text, finding) };
        let mut cut = line(engine, assessment, sketch, 0);
        keep_room(&mut cut, placement.room);
        cut.settles = asking.iter().filter(|f| f.verdict != Verdict::Good).map(|f| f.id.clone()).collect();
        cuts.push(cut);
    }
    number(cuts);
}

/// Sorts the lines into the order of the work and numbers them.
fn number(cuts: &mut [Cut]) {
    cuts.sort_by_key(|c| ORDER.iter().position(|k| *k == c.operation).unwrap_or(ORDER.len()));
    for (step, cut) in (1..).zip(cuts.iter_mut()) {
        cut.step = step;
    }
}

/// A sleeve is bored and honed to its piston after it is pressed in: where the bore has no hone of its own, one that waits for the same.
pub fn add_sleeve_hones(engine: &Engine, assessment: &Assessment, cuts: &mut Vec<Cut>) {
    let honed = |part: &str| cuts.iter().any(|c| c.operation == K::Hone && c.part == part);
    let hone = |sleeve: &Cut| {
        let finding = sleeve.settles.iter().find_map(|id| assessment.finding(id))?;
        let bench = Bench { engine, sizes: &assessment.sizes };
        let plate = with_plate(bench, ", torque plate on");
        let insert = engine.document.block.bore_insert();
        let text = Phrase::words(format!("Hone the {insert} to size for its piston{plate}"));
        let sketch = Sketch { only_if: sleeve.only_if, ..empty(K::Hone, sleeve.part.clone(), text, finding) };
        // The thin wall that holds a cut of the bore is gone with the sleeve.
        Some(Cut { held_by: Vec::new(), ..line(engine, assessment, sketch, 0) })
    };
    // A bore that has outgrown its limits says so in its own line.
    let said = |c: &Cut| c.settles.iter().any(|id| id.starts_with("bore_"));
    let sleeves = cuts.iter().filter(|c| c.operation == K::Sleeve && !honed(&c.part) && !said(c));
    let hones: Vec<Cut> = sleeves.filter_map(hone).collect();
    cuts.extend(hones);
    number(cuts);
}

fn line(engine: &Engine, assessment: &Assessment, sketch: Sketch<'_>, step: u32) -> Cut {
    let supply: Option<&Supply> = engine.document.shop.jobs.get(sketch.operation.word());
    let (tolerance, tolerance_from) = tolerance(engine, &sketch).unzip();
    let tolerance_from = tolerance_from.unwrap_or_default();
    Cut {
        step,
        operation: sketch.operation,
        held_by: holds(assessment, &sketch),
        opens_again: opens_again(sketch.operation, &sketch.part, &engine.document),
        part: sketch.part,
        text: sketch.text,
        from: sketch.from,
        to: sketch.to,
        tolerance,
        tolerance_from,
        dimension: sketch.dimension,
        decimals: match sketch.operation {
            K::SpringShim | K::RingFile | K::ChamberRelief => 2,
            _ => 3,
        },
        stock_left: sketch.stock_left,
        price: supply.and_then(|s| s.price).map(|p| p.0),
        days: supply.and_then(|s| s.days),
        caution: caution(sketch.operation, &engine.document.block),
        settles: vec![sketch.finding.id.clone()],
        only_if: sketch
            .only_if
            .or_else(|| assessment.rests_on_a_confirmed_slip(sketch.finding).then_some(READ_TWICE)),
    }
}

/// What a bore is bored to before its hone, m: as the cut of a wall is reckoned. Common practice, no source.
const BORE_TOLERANCE: f64 = 0.01e-3;
/// What a journal is ground, or a housing honed to where no drawing says, m. Common practice, no source.
const FIT_TOLERANCE: f64 = 5e-6;

const COMMON: &str = "common practice, no source";

/// What the shop is asked to keep, and where that stands; none where the job has no size of its own.
fn tolerance(engine: &Engine, sketch: &Sketch<'_>) -> Option<(f64, String)> {
    let document = &engine.document;
    let common = |tolerance: f64| (tolerance, COMMON.to_owned());
    // A part that is made to another size keeps the tolerance of its drawing.
    let drawn = |target: Option<&Target>, name: &str| {
        let half = target.and_then(|t| Some((t.max?.0 - t.min?.0) / 2.0)).filter(|half| *half > 0.0);
        half.map_or_else(|| common(FIT_TOLERANCE), |half| (half, format!("half the range of {name}")))
    };
    Some(match sketch.operation {
        K::Hone => common(sketch.tolerance.unwrap_or(HONE_TOLERANCE)),
        K::DeckSkim | K::HeadSkim => common(SKIM_TOLERANCE),
        K::Bore => common(BORE_TOLERANCE),
        K::Regrind if sketch.part.starts_with("main") => {
            drawn(document.crank.main_journal.as_ref(), "the main journal")
        }
        K::Regrind => drawn(document.crank.pin_journal.as_ref(), "the crank pin"),
        K::AlignHone => drawn(document.block.main_housing.as_ref(), "the main housing"),
        K::BigEndHone => drawn(document.rods.big_end.as_ref(), "the big end"),
        K::RingFile if sketch.tolerance.is_some() => {
            (sketch.tolerance?, "what the chance of butting leaves".to_owned())
        }
        K::RingFile => sketch.to.zip(sketch.finding.limit.as_ref()).and_then(room_of_limit).map_or_else(
            || common(GAP_TOLERANCE),
            |room| (room, "what the limit of the gap leaves".to_owned()),
        ),
        K::ChamberRelief => common(CHAMBER_TOLERANCE),
        _ => return None,
    })
}

/// From the size to reach to the nearer end of its limit; none where an end is open.
fn room_of_limit((to, limit): (f64, &LimitUsed)) -> Option<f64> {
    let room = (to - limit.min?).min(limit.max? - to);
    (room > 0.0).then_some(room)
}

/// Orders a closer tolerance than the usual one where the limits leave no more room.
fn keep_room(skim: &mut Cut, room: Option<f64>) {
    if let Some(room) = room.filter(|room| *room < SKIM_TOLERANCE) {
        skim.tolerance = Some(room);
        let words = if room > LEAST_ROOM {
            "closer than usual: the limits, and what is kept off them, leave no more"
        } else {
            "closer than a machine keeps: the limits leave this cut no room, one of them has to give"
        };
        words.clone_into(&mut skim.tolerance_from);
    }
}

/// The usual caution of a job. Common practice, no source.
fn caution(operation: K, block: &Block) -> Option<&'static str> {
    match operation {
        _ if block.is_magnesium_under(operation) => Some(cautions::MAGNESIUM),
        K::Sleeve => Some(cautions::SLEEVE),
        K::CapSeat | K::AlignHone => Some(cautions::MAIN_BOLTS),
        K::BigEndHone => Some(cautions::ROD_BOLTS),
        K::Bore | K::Hone => Some(cautions::BORE_JOB),
        K::DeckSkim | K::HeadSkim => Some(cautions::SKIM),
        K::Regrind => Some(cautions::JOURNAL),
        K::ChamberRelief => Some(cautions::CHAMBER_RELIEF),
        K::SpringShim => Some(cautions::SPRING),
        K::SeatCut => Some(cautions::SEAT_CUT),
        K::RingFile => Some(cautions::RING_FILE),
        _ => None,
    }
}

/// A thin wall holds every cut of a bore; a tunnel off line holds what is measured from the crank axis. What an earlier line of the
/// list changes holds the later ones as well: see `holds`.
fn holds(assessment: &Assessment, sketch: &Sketch<'_>) -> Vec<String> {
    let open = |f: &&Finding| matches!(f.verdict, Verdict::Bad | Verdict::Uncertain);
    let findings = assessment.findings.iter().filter(open);
    match sketch.operation {
        K::Bore | K::Hone => findings.filter(|f| f.code == "wall").map(|f| f.id.clone()).collect(),
        K::DeckSkim => findings.filter(|f| f.code == "main_line").map(|f| f.id.clone()).collect(),
        _ => Vec::new(),
    }
}

fn empty(operation: K, part: String, text: Phrase, finding: &Finding) -> Sketch<'_> {
    Sketch {
        operation,
        part,
        text,
        from: None,
        to: None,
        tolerance: None,
        dimension: Dimension::Length,
        stock_left: None,
        only_if: None,
        finding,
    }
}

fn sketch<'a>(engine: &Engine, assessment: &Assessment, finding: &'a Finding) -> Option<Sketch<'a>> {
    let value = finding.value?;
    let label = finding.subject.label.clone();
    let bench = Bench { engine, sizes: &assessment.sizes };
    let start = |operation, part: String, text| empty(operation, part, text, finding);
    if finding.code.starts_with("bore_")
        && let Some(outgrown) = outgrown(bench, of_bore(assessment, finding))
    {
        let only_if = outgrown.has_oversize(bench).then_some(SLEEVED);
        return Some(Sketch { only_if, ..start(K::Sleeve, label, outgrown.words(bench)) });
    }
    match finding.code {
        "bore_taper" | "bore_round" => {
            let cut = start(K::Hone, label, Phrase::new());
            hone(bench, assessment, finding, Sketch { from: Some(bore_extremes(finding).0), ..cut })
        }
        "bore_size" if finding.is_below_least() => {
            let cut = start(K::Hone, label, Phrase::new());
            hone(bench, assessment, finding, Sketch { from: Some(value.value), ..cut })
        }
        "bore_rk" | "bore_rpk" | "bore_rvk" => {
            Some(start(K::Hone, label, Phrase::words(format!("Plateau or hone again {SURFACE}"))))
        }
        "bore_size" => Some(Sketch {
            only_if: Some("no piston on hand fits it"),
            ..start(
                K::Bore,
                label,
                Phrase::words(
                    "Above its range: give it the piston that fits, or bore all cylinders to the next oversize",
                ),
            )
        }),
        "wall" => Some(Sketch {
            only_if: Some("the second map finds the wall as thin"),
            ..start(
                K::Sleeve,
                label,
                Phrase::words(if bench.document().block.is_lined() {
                    "Fit a new liner"
                } else {
                    "Sleeve this bore, or reject the casting"
                }),
            )
        }),
        "main_line" | "main_housing_size" | "main_housing_round" => Some(start(
            K::CapSeat,
            label.replace("housing ", ""),
            Phrase::words("Cap off, clean the register, seat it again, read again"),
        )),
        "main_taper" | "main_round" | "pin_taper" | "pin_round" => {
            let kind = if finding.code.starts_with("main") { BearingKind::Main } else { BearingKind::Rod };
            Some(regrind(bench, kind, finding.subject.instance.parse().ok()?, finding))
        }
        // Only where no shell cures it; else the shells are ordered.
        "main_clearance" | "rod_clearance" if work(finding)?.kind == ActionKind::Cut => {
            let kind = if finding.code == "main_clearance" { BearingKind::Main } else { BearingKind::Rod };
            let journal = kind.journal(bench, finding.subject.instance.parse().ok()?).1;
            let mut cut = regrind(bench, kind, journal, finding);
            cut.text = cut.text.say(NO_GRADE_FITS);
            Some(cut)
        }
        "deck_lean" | "deck_flatness" => {
            let cut = start(K::DeckSkim, label, skim_words(value));
            Some(within_stock(cut, value.value, engine.document.block.deck_stock))
        }
        "head_flatness" => {
            let text = Phrase::words("Skim by ").length(value.value).say(" and a clean-up cut");
            let cut = start(K::HeadSkim, label, text);
            Some(within_stock(cut, value.value, engine.document.head.face_stock))
        }
        // A chamber that is too large is not opened further.
        "chamber" | "compression_ratio" if relieves(finding) => relief(
            finding,
            start(K::ChamberRelief, format!("chamber {}", finding.subject.instance), Phrase::new()),
        ),
        // Gaps of the top and second ring come from the answers of their selection, see `ring_files`.
        "rail_gap" if finding.is_below_least() => Some(file(
            finding,
            finding.limit.as_ref()?.worked_to(GAP_TOLERANCE, value.expanded)?,
            start(K::RingFile, label, Phrase::new()),
        )),
        "seat_width" | "seat_run_out" => Some(start(K::SeatCut, label, seat_words(assessment, finding))),
        // A stem that cannot have been in its guide is read again.
        "guide" if work(finding).is_some() => Some(Sketch {
            only_if: Some("the stem reads the same again, and its guide is reamed or replaced"),
            ..start(K::SeatCut, label, seat_words(assessment, finding))
        }),
        "seat_load" if work(finding).is_none_or(|action| action.kind != ActionKind::Refit) => None,
        "coil_bind_margin" | "spring_installed" | "seat_load" => {
            let off = off_height(bench, &finding.subject.instance)?;
            if finding.code == "coil_bind_margin" && off.shim_out() < 0.0 {
                return None;
            }
            let mut cut = start(K::SpringShim, label, off.words());
            (cut.from, cut.to) = (Some(off.installed), Some(off.nominal));
            Some(cut)
        }
        "big_end_size" | "big_end_round" => Some(start(
            K::BigEndHone,
            label,
            Phrase::words("Size the big end with the bolts at their stretch"),
        )),
        _ => None,
    }
}

/// The one cut of a seat: true to its guide first, then to its width.
fn seat_words(assessment: &Assessment, finding: &Finding) -> Phrase {
    let of = |code: &str| {
        let found = assessment.finding(&format!("{code}/{}", finding.subject.instance));
        found.filter(|f| f.verdict == Verdict::Bad && !f.stale)
    };
    let words = Phrase::words(if of("guide").is_some() {
        "When its guide is right, cut the seat on a pilot that fits it"
    } else {
        "Cut the seat on a pilot that fits the guide"
    });
    match of("seat_width") {
        Some(width) if width.is_below_least() => words.say(", and widen it with the seat cutter"),
        Some(_) => words.say(", and narrow it with the top and throat cutters"),
        None => words,
    }
}

fn file<'a>(finding: &'a Finding, target: f64, mut cut: Sketch<'a>) -> Sketch<'a> {
    cut.text = Phrase::words("File to ").length_2(target).say(", square, in its own finished bore");
    (cut.from, cut.to) = (finding.value.map(|v| v.value), Some(target));
    cut
}

/// The lines of the rings that the selection files: last of all, in the finished bore.
pub fn ring_files(
    engine: &Engine,
    assessment: &Assessment,
    answers: &[RingAnswer<'_>],
    steps_before: usize,
) -> Vec<Cut> {
    let sketch = |answer: &RingAnswer<'_>| {
        let What::File { target, sure, room, .. } = answer.what else { return None };
        let finding = assessment.finding(&answer.finding.id)?;
        let only_if = (!sure).then_some(ONLY_IF);
        let start = empty(K::RingFile, finding.subject.label.clone(), Phrase::new(), finding);
        let sketch = Sketch { only_if, ..file(finding, target, start) };
        // Below it the ring may butt.
        let of_limit = finding.limit.as_ref().and_then(|limit| room_of_limit((target, limit)));
        let tolerance = room.filter(|room| *room < of_limit.unwrap_or(GAP_TOLERANCE));
        Some((Sketch { tolerance, ..sketch }, answer.settles()))
    };
    answers
        .iter()
        .filter_map(sketch)
        .enumerate()
        .map(|(n, (sketch, settles))| {
            let cut = line(engine, assessment, sketch, (steps_before + n + 1) as u32);
            Cut { settles, ..cut }
        })
        .collect()
}

/// What a housing needs that stays off line or out of size when its cap is clean and seated.
fn align_hone(finding: &Finding) -> Option<Sketch<'_>> {
    matches!(finding.code, "main_line" | "main_housing_size" | "main_housing_round").then(|| Sketch {
        operation: K::AlignHone,
        part: "main housings".to_owned(),
        text: Phrase::words("Take the caps down by ").length_2(0.05e-3).say(
            " and align hone all housings (that depth: common practice, no source; the shop takes what cleans up); the crank axis rises: check cam drive and deck height after",
        ),
        from: None,
        to: None,
        tolerance: None,
        dimension: Dimension::Length,
        stock_left: None,
        only_if: Some("a cap reads the same after it was cleaned and seated again"),
        finding,
    })
}

/// A journal that is ground, to the next undersize where its shells are on the list; not before the crank is proved sound.
fn regrind<'a>(bench: Bench<'_>, kind: BearingKind, journal: u32, finding: &'a Finding) -> Sketch<'a> {
    let text = grind_words(bench, kind, journal, "Grind")
        .say("; when it is ground, record that and state its new range under Spec, crank");
    let to = undersize(bench, kind, journal).map(|under| under.size);
    let from =
        journal_size(bench, kind.journal_word(), journal).map(|size| size.value()).filter(|_| to.is_some());
    let only_if = Some(CRANK_IS_SOUND);
    Sketch { from, to, only_if, ..empty(K::Regrind, kind.journal_label(journal), text, finding) }
}

fn skim_words(value: Measured) -> Phrase {
    let words = Phrase::words("Skim parallel to the main tunnel, to the low corner: takes ");
    words.length(value.value).say(" off the high one")
}

/// What a skim leaves of the stock of its face; one that goes deeper waits for whoever stated the stock.
fn within_stock(mut cut: Sketch<'_>, depth: f64, stock: Option<Length>) -> Sketch<'_> {
    cut.stock_left = stock.map(|stock| stock.0 - depth);
    if let Some(stock) = stock.filter(|stock| depth > stock.0) {
        cut.text = cut.text.say("; that is deeper than the ").length(stock.0).say(" that its face may lose: ask the maker of the part whether it may, else it is welded up and faced, or replaced");
        cut.only_if = Some(STOCK_MOVES);
    }
    cut
}

/// What a skim deeper than the stock of its face waits for.
const STOCK_MOVES: &str = "the maker of the part allows so deep a cut";

/// All findings of the same bore.
fn of_bore<'a>(assessment: &'a Assessment, finding: &Finding) -> impl Iterator<Item = &'a Finding> {
    let label = finding.subject.label.clone();
    assessment.findings.iter().filter(move |f| f.subject.label == label)
}

/// The one hone of a bore, as its findings name it.
fn hone<'a>(
    bench: Bench<'_>,
    assessment: &Assessment,
    finding: &Finding,
    mut cut: Sketch<'a>,
) -> Option<Sketch<'a>> {
    let order = hone_of(bench, of_bore(assessment, finding))?;
    cut.text = order.words(bench);
    (cut.to, cut.tolerance) = (Some(order.target), Some(order.tolerance));
    Some(cut)
}

/// The first action that is more than another reading.
fn work(finding: &Finding) -> Option<&Action> {
    finding.actions.iter().find(|a| a.kind != ActionKind::Measure)
}

/// Does the first action of the finding open the chamber?
fn relieves(finding: &Finding) -> bool {
    work(finding).is_some_and(|a| a.caution == Some(cautions::CHAMBER_RELIEF))
}

/// What a cut that cannot be undone waits for where it rests on one reading.
const READ_TWICE: &str = "a second reading says the same";

fn relief<'a>(finding: &Finding, mut cut: Sketch<'a>) -> Option<Sketch<'a>> {
    let action = work(finding)?;
    cut.text.clone_from(&action.text);
    cut.dimension = Dimension::Volume;
    if finding.code == "chamber" {
        cut.from = finding.value.map(|v| v.value);
        let expanded = finding.value.map_or(0.0, |v| v.expanded);
        cut.to = finding.limit.as_ref()?.worked_to(CHAMBER_TOLERANCE, expanded);
    }
    Some(cut)
}
