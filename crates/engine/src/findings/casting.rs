//! The casting: walls, hardness, main line, faces.

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::bore;
use super::core_shift::{self, CoreShift, core_shift, map_again};
use super::direct::{Direct, ToDo};
use super::model::{Action, ActionKind, Finding, Verdict};
use super::wall_cut::{WallCut, wall_cut};
use crate::document::OperationKind;
use crate::features::{Face, HEIGHTS, Sheet, WALL_DIRECTIONS, direction_words, face_label};
use crate::quantity::{Dimension, Phrase};
use mechanics::metrology::Uncertain;
use mechanics::metrology::form::{magnitude, neighbour_steps, offsets_from_end_line};
use mechanics::metrology::plane::{Height, minimum_zone_flatness};
use std::collections::HashMap;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["wall"],
        asks: "Is the thinnest wall of the bore thick enough after the planned cut?",
        matters: "A thin wall moves under pressure, leaks and cracks.",
        computed: "Thinnest reading less half of what the bore has grown since, and has still to grow: to the bore as measured, else by the amounts that the operations state (each ± 0.01 mm on diameter, common practice, no source), and to the finish bore where it is not cut yet. Cut by an amount that nobody states and not read since, it is stale. Cuts are taken as concentric with the bore; the speed of sound is one shared error of the whole map. The core shift of the map is fitted beside it: see the core shift.",
        to_do: "Calibrate the gauge on this casting and map again, 8 × 3 points; then sleeve, reject, or limit the pressure. Do not bore first.",
        source: "geometry; least wall is the builder's own",
    },
    About {
        codes: &["hardness"],
        asks: "Is the mean hardness of the casting in range?",
        matters: "Soft iron wears, and its bores and threads give way.",
        computed: "Mean of the dents; one dent alone decides nothing.",
        to_do: "More dents; reject the casting.",
        source: "ISO 6506-1",
    },
    About {
        codes: &["main_line", "main_step"],
        asks: "Is the axis of each main housing on the line through the end ones?",
        matters: "A cap off line bends the crank at every turn and wipes its shells.",
        computed: "Offset in both planes from the line through the first and last housing, and the step to the next one.",
        to_do: "Cap off, clean its register, seat again, read again; when it repeats, cut the caps and align hone all.",
        source: "geometry; limits common practice, no source",
    },
    About {
        codes: &["deck_flatness", "head_flatness"],
        asks: "Is the deck flat enough for the gasket?",
        matters: "The gasket seals what it touches.",
        computed: "Least distance of two parallel planes that hold all points of the grid.",
        to_do: "Skim the deck. Separate barrels have none: the height of each is read round its seat instead.",
        source: "ISO 12781-1 (minimum zone)",
    },
    About {
        codes: &["deck_roughness", "head_roughness"],
        asks: "Is the face as smooth as its gasket asks for?",
        matters: "A gasket leaks and chafes on a rough face and does not bite into a polished one.",
        computed: "Rz as read. Asked where a limit is stated or it was read.",
        to_do: "Skim with a fresh cutter, or ask the gasket maker what it bears.",
        source: "ISO 21920-2; limit of the gasket maker",
    },
];

/// All questions on the casting.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let document = bench.document();
    let barrels = document.block.is_of_separate_barrels();
    let mut all = if document.asks_for_walls() { walls(bench) } else { Vec::new() };
    if document.asks_for_hardness() {
        all.push(hardness(bench));
    }
    all.extend(main_line(bench));
    let (decks, heads) = (document.decks(), document.heads());
    for at in 0..decks.len().max(heads.len()) {
        all.extend(decks.get(at).filter(|_| !barrels).map(|deck| flatness(bench, deck, true)));
        all.extend(heads.get(at).map(|head| flatness(bench, head, false)));
        all.extend(decks.get(at).and_then(|deck| roughness(bench, deck, true)));
        all.extend(heads.get(at).and_then(|head| roughness(bench, head, false)));
    }
    all
}

/// Least wall and core shift of each bore in one casting. The outside of a separate barrel is turned: no core can shift, and its maker
/// says how far it may be bored.
fn walls(bench: Bench<'_>) -> Vec<Finding> {
    let shifts: Vec<Option<CoreShift>> = bench.cylinders().map(|c| core_shift(bench, c)).collect();
    let with_shift = || bench.cylinders().zip(&shifts).map(|(c, shift)| (c, shift.as_ref()));
    let mut all: Vec<Finding> = with_shift().map(|(c, shift)| wall(bench, c, shift)).collect();
    all.extend(with_shift().filter_map(|(c, shift)| core_shift::finding(bench, c, shift)));
    all
}

fn wall(bench: Bench<'_>, cylinder: u32, shift: Option<&CoreShift>) -> Finding {
    let mut answer = Answer::new(
        bench,
        "wall",
        Sheet::Casting,
        format!("bore {cylinder}"),
        &cylinder.to_string(),
        "least wall after boring",
    )
    .limit("wall")
    .part("block")
    .formula("thinnest reading − (finish bore − bore as found)/2", WALL_SOURCE);
    let mut readings: Vec<Wall> = Vec::new();
    let mut cuts: Vec<(String, Option<WallCut>)> = Vec::new();
    for height in HEIGHTS {
        for direction in WALL_DIRECTIONS {
            let path = format!("block.wall.{cylinder}.{height}.{direction}");
            let Some(read) = answer.read(&path) else { continue };
            let after = bench.size(&path).map(|s| s.after.clone()).unwrap_or_default();
            let known = cuts.iter().position(|(name, _)| *name == after).unwrap_or_else(|| {
                cuts.push((after.clone(), wall_cut(bench, cylinder, &after)));
                cuts.len() - 1
            });
            let place = format!("{height}, {}", direction_words(direction));
            readings.push(Wall { place, read, cut: cuts[known].1.clone() });
        }
    }
    // A wall that was read before a cut and one that was read after it are compared as they are now.
    let thinnest = readings.iter().min_by(|a, b| a.now().total_cmp(&b.now()));
    // Heights one hand can reach are worth an answer: a map that is half read still shows a thin place.
    let complete = readings.len() >= 8;
    // A wall that nobody has read is not stale.
    let unread = wall_cut(bench, cylinder, "").map(|cut| WallCut { unknown_amount: false, ..cut });
    match thinnest.map_or(unread.as_ref(), |wall| wall.cut.as_ref()) {
        None => answer.lacks("block.bore_as_found and layout.bore"),
        Some(cut) => note_cut(&mut answer, cylinder, cut),
    }
    let value = thinnest.filter(|_| complete).and_then(|wall| {
        Some(Uncertain::linear(0.0, &[(1.0, &wall.read), (-1.0, &wall.cut.as_ref()?.radial)]))
    });
    let shift = shift.filter(|_| value.is_some());
    if let Some(shift) = shift {
        core_shift::note(&mut answer, shift);
    }
    answer.value(value, thinnest.and_then(|wall| wall.cut.as_ref()).is_some_and(WallCut::cuts));
    let mut finding = answer.finish();
    if let Some((wall, cut)) = thinnest.and_then(|wall| Some((wall, wall.cut.as_ref()?))) {
        explain_wall(&mut finding, bench, wall, cut, shift);
    }
    finding
}

const WALL_SOURCE: &str = "geometry, the cut taken as concentric with the bore";

/// One reading of a wall, and what the bore has grown and has to grow since.
struct Wall {
    /// "mid, thrust".
    place: String,
    read: Uncertain,
    cut: Option<WallCut>,
}

impl Wall {
    /// What is left of it after the cut, m.
    fn now(&self) -> f64 {
        self.read.value() - self.cut.as_ref().map_or(0.0, |cut| cut.radial.value())
    }
}

/// Both bores of the cut as inputs; a wall that was read after the last cut is cut no more.
fn note_cut(answer: &mut Answer<'_>, cylinder: u32, cut: &WallCut) {
    for bore in cut.end.iter().chain(&cut.start) {
        match bore.from.as_str() {
            "" => answer.input(&bore.label, &bore.value, Dimension::Length),
            from => answer.computed(&bore.label, &bore.value, Dimension::Length, from),
        }
    }
    match (&cut.start, &cut.end) {
        (Some(start), Some(end)) => {
            answer.formula_is(&format!(
                "thinnest reading − ({} − {})/2",
                short(&end.label),
                short(&start.label)
            ));
        }
        (None, Some(_)) => answer.formula_is("thinnest reading − (taken off on diameter since)/2"),
        _ => answer.formula_is("thinnest reading; nothing is bored off any more"),
    }
    if cut.unknown_amount {
        answer.stale_for(bore::places(cylinder));
    }
}

/// "finish bore" of "finish bore, nominal, taken as exact".
fn short(label: &str) -> &str {
    label.split(", ").next().unwrap_or(label)
}

fn explain_wall(
    finding: &mut Finding,
    bench: Bench<'_>,
    wall: &Wall,
    cut: &WallCut,
    shift: Option<&CoreShift>,
) {
    let Some(value) = finding.value else { return };
    // To the digits of the value above, no finer.
    let mut why = Phrase::words(format!("thinnest at {}: ", wall.place)).measured(
        wall.read.value(),
        wall.read.expanded(),
        Dimension::Length,
    );
    if cut.radial.value() > 0.0 {
        why = why
            .say(" before the cut, ")
            .measured(value.value, value.expanded, Dimension::Length)
            .say(" after it");
    }
    if cut.unknown_amount {
        why = why.say("; the bore was cut since by an amount that is not stated: read the bore again");
    } else if let Some(end) = cut.end.as_ref() {
        why = why.say(" (").say(end.label.clone()).say(" ").length(end.value.value()).say(")");
    }
    if let Some(shift) = shift {
        why = why.say("; ").join(core_shift::sentence(shift));
    }
    finding.why = why;
    if matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain) {
        finding.actions.push(
            Action::new(ActionKind::Hold, map_again(bench))
                .gives(Phrase::words(
                    "the shared speed-of-sound term goes down, and the verdict becomes sure",
                ))
                .supplied(bench.job(OperationKind::Handled)),
        );
        finding.actions.push(
            Action::new(
                ActionKind::Cut,
                Phrase::words(if bench.document().block.is_lined() {
                    "If it stays thin: fit a new liner, or limit the cylinder pressure"
                } else {
                    "If it stays thin: sleeve this bore, reject the casting, or limit the cylinder pressure"
                }),
            )
            .supplied(bench.job(OperationKind::Sleeve)),
        );
    }
}

fn hardness(bench: Bench<'_>) -> Finding {
    let mut answer = Answer::new(bench, "hardness", Sheet::Casting, "block".into(), "1", "hardness")
        .limit("hardness")
        .dimension(Dimension::Hardness)
        .formula("mean of the dents", "ISO 6506-1");
    let dents: Vec<Uncertain> =
        (1..=8).filter_map(|n| answer.read_if_there(&format!("block.hardness.{n}"))).collect();
    let mean = Uncertain::mean(&dents.iter().collect::<Vec<_>>()).filter(|_| dents.len() >= 3);
    if mean.is_none() {
        (1..=3).filter(|n| bench.size(&format!("block.hardness.{n}")).is_none()).for_each(|n| {
            answer.read(&format!("block.hardness.{n}"));
        });
    }
    answer.value(mean, false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        finding.actions.push(Action::new(
            ActionKind::Measure,
            Phrase::words(
                "Eight more dents elsewhere on the casting; when the mean stays, do not build on it",
            ),
        ));
    }
    finding
}

fn main_line(bench: Bench<'_>) -> Vec<Finding> {
    let mains = bench.document().main_count();
    if mains < 3 {
        return Vec::new();
    }
    let plane = |direction: &str| -> Option<Vec<Uncertain>> {
        let heights: Vec<&Uncertain> = (1..=mains)
            .map(|m| bench.size(&format!("block.main_axis.{m}.{direction}")).map(|s| &s.value))
            .collect::<Option<_>>()?;
        let supports: Vec<(f64, &Uncertain)> =
            heights.into_iter().enumerate().map(|(i, h)| (i as f64, h)).collect();
        offsets_from_end_line(&supports).ok()
    };
    let (up, aside) = (plane("up"), plane("aside"));
    let offsets: Option<Vec<Uncertain>> =
        up.as_ref().zip(aside.as_ref()).map(|(u, a)| u.iter().zip(a).map(|(u, a)| magnitude(u, a)).collect());
    let steps: Option<Vec<Uncertain>> = up.as_ref().zip(aside.as_ref()).map(|(u, a)| {
        neighbour_steps(u).iter().zip(&neighbour_steps(a)).map(|(u, a)| magnitude(u, a)).collect()
    });
    let offsets_of = |main: u32| -> Vec<(String, Uncertain)> {
        let at = main as usize - 1;
        up.as_ref().zip(aside.as_ref()).map_or_else(Vec::new, |(up, aside)| {
            vec![
                (format!("offset of main {main}, up"), up[at].clone()),
                (format!("offset of main {main}, sideways"), aside[at].clone()),
            ]
        })
    };
    let mut all = Vec::new();
    for main in 2..mains {
        let mut finding = line_answer(
            bench,
            "main_line",
            main,
            "off the line",
            &Line {
                limit: "tunnel_overall",
                formula: "√(up² + sideways²) of the offset from the line through the end mains",
                offsets: offsets_of(main),
            },
            offsets.as_ref().map(|o| o[main as usize - 1].clone()),
        );
        if let (Verdict::Bad | Verdict::Uncertain, Some(up), Some(aside)) = (finding.verdict, &up, &aside) {
            let (u, a) = (up[main as usize - 1].value(), aside[main as usize - 1].value());
            finding.why = Phrase::words("axis ")
                .length(u.abs())
                .say(if u >= 0.0 { " up and " } else { " down and " })
                .length(a.abs())
                .say(" sideways of the line through the end mains");
            off_line_actions(&mut finding, bench, main);
        }
        all.push(finding);
    }
    for main in 1..mains {
        let step = steps.as_ref().map(|s| s[main as usize - 1].clone());
        all.push(line_answer(
            bench,
            "main_step",
            main,
            &format!("step to main {}", main + 1),
            &Line {
                limit: "tunnel_neighbour",
                formula: "√(Δup² + Δsideways²), Δ = offset of the next main − offset of this one, each from the line through the end mains",
                offsets: [offsets_of(main), offsets_of(main + 1)].concat(),
            },
            step,
        ));
    }
    // A step beside a housing that is off the line is the same trouble seen twice: it points there.
    let off: Vec<u32> = all
        .iter()
        .filter(|f| f.code == "main_line" && f.verdict == Verdict::Bad)
        .filter_map(|f| f.subject.instance.parse().ok())
        .collect();
    let out = housings_out(&all);
    for finding in all
        .iter_mut()
        .filter(|f| f.code == "main_step" && matches!(f.verdict, Verdict::Bad | Verdict::Uncertain))
    {
        let main: u32 = finding.subject.instance.parse().unwrap_or(0);
        match off.iter().find(|m| **m == main || **m == main + 1) {
            Some(m) => finding.actions.push(Action::new(
                ActionKind::Refit,
                Phrase::words(format!("Goes with main {m}: seat its cap again first")),
            )),
            None => off_line_actions(finding, bench, out(main)),
        }
    }
    all
}

/// Which of the two housings of a step is the one that is out: the one that is farther off the line.
fn housings_out(all: &[Finding]) -> impl Fn(u32) -> u32 + use<> {
    let off: HashMap<u32, f64> = all
        .iter()
        .filter(|f| f.code == "main_line")
        .filter_map(|f| Some((f.subject.instance.parse().ok()?, f.value?.value)))
        .collect();
    move |main| {
        let off = |main: u32| off.get(&main).copied().unwrap_or(0.0);
        if off(main + 1) > off(main) { main + 1 } else { main }
    }
}

/// What sets the questions on the main line apart.
struct Line {
    limit: &'static str,
    formula: &'static str,
    /// Offsets that go into the formula, by name.
    offsets: Vec<(String, Uncertain)>,
}

fn line_answer(
    bench: Bench<'_>,
    code: &'static str,
    main: u32,
    question: &str,
    line: &Line,
    value: Option<Uncertain>,
) -> Finding {
    let mut answer =
        Answer::new(bench, code, Sheet::Casting, format!("main {main}"), &main.to_string(), question)
            .limit(line.limit)
            .part("block")
            .formula(line.formula, "geometry; the datum cancels");
    for m in 1..=bench.document().main_count() {
        for direction in ["up", "aside"] {
            answer.read(&format!("block.main_axis.{m}.{direction}"));
        }
    }
    for (label, offset) in &line.offsets {
        answer.computed(label, offset, Dimension::Length, "the readings of all mains");
    }
    answer.value(value, false);
    answer.finish()
}

fn off_line_actions(finding: &mut Finding, bench: Bench<'_>, main: u32) {
    finding.actions.push(
        Action::new(
            ActionKind::Refit,
            Phrase::words(format!(
                "Take cap {main} off, clean its register, seat it again to the maker's torque, read again"
            )),
        )
        .gives(Phrase::words("dirt under a register looks just like this"))
        .supplied(bench.job(OperationKind::CapSeat)),
    );
    finding.actions.push(
        Action::new(
            ActionKind::Cut,
            Phrase::words("If it repeats: cut the caps ").length_2(0.05e-3).say(" and align hone all housings (that depth: common practice, no source; the shop takes what cleans up)"),
        )
        .gives(Phrase::words("opens deck height and cam drive again: the crank axis rises"))
        .supplied(bench.job(OperationKind::AlignHone)),
    );
}

/// Roughness of a face that a gasket or a sealing ring meets, where a limit is stated or it was read.
fn roughness(bench: Bench<'_>, face: &Face, deck: bool) -> Option<Finding> {
    let document = bench.document();
    let (code, word, stem, of) = if deck {
        let word = if document.block.is_of_separate_barrels() { "barrel" } else { "deck" };
        ("deck_roughness", word, "block.deck_roughness", document.decks().len())
    } else {
        ("head_roughness", "head face", "head.face_roughness", document.heads().len())
    };
    let path = format!("{stem}.{}", face.name);
    let asked = document.limits.face_roughness.is_some() || bench.size(&path).is_some();
    asked.then(|| {
        let question = Direct {
            code,
            limit: "face_roughness",
            sheet: Sheet::Head,
            label: face_label(word, face, of),
            instance: &face.name,
            question: "roughness Rz",
            path,
            dimension: Dimension::Roughness,
            to_do: ToDo::either("Skim with a fresh cutter, or ask the gasket maker what it bears"),
        };
        question.finding(bench)
    })
}

fn flatness(bench: Bench<'_>, face: &Face, deck: bool) -> Finding {
    let document = bench.document();
    let (code, sheet, family, word, of) = if deck {
        ("deck_flatness", Sheet::Casting, "block.deck_face", "deck", document.decks().len())
    } else {
        ("head_flatness", Sheet::Head, "head.face", "head face", document.heads().len())
    };
    let name = &face.name;
    let mut answer = Answer::new(bench, code, sheet, face_label(word, face, of), name, "flatness")
        .limit(code)
        .formula("least distance of two parallel planes that hold every point", "ISO 12781-1, minimum zone");
    let columns = face.cylinders.len() + 1;
    let mut points = Vec::new();
    for (row, side) in ["in", "mid", "out"].iter().enumerate() {
        for column in 1..=columns {
            if let Some(z) = answer.read(&format!("{family}.{name}.{side}.{column}")) {
                points.push(Height { x: column as f64, y: row as f64, z });
            }
        }
    }
    let value = (points.len() == 3 * columns).then(|| minimum_zone_flatness(&points).ok()).flatten();
    answer.value(value, false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        let (text, kind) = if deck {
            ("Skim the deck by the flatness and a clean-up cut", OperationKind::DeckSkim)
        } else {
            ("Skim the head face by the flatness and a clean-up cut", OperationKind::HeadSkim)
        };
        finding.actions.push(
            Action::new(ActionKind::Cut, Phrase::words(text))
                .gives(Phrase::words("changes compression, quench, piston to valve and cam timing"))
                .supplied(bench.job(kind)),
        );
    }
    finding
}
