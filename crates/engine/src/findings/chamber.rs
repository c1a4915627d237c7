//! Deck, quench, chamber, compression, swept volume.

use super::about::About;
use super::answer::{Answer, Notes};
use super::barrel;
use super::bench::{Bench, level_window};
use super::bore;
use super::common_practice::CHAMBER_TOLERANCE;
use super::direct::{Direct, ToDo};
use super::model::{Action, ActionKind, Finding, LimitUsed, Verdict};
use super::piston::piston_in;
use crate::document::OperationKind;
use crate::features::{Sheet, bank_name, deck_label};
use crate::quantity::{Dimension, Phrase};
use mechanics::compression::Space;
use mechanics::fit::deck::piston_below_deck;
use mechanics::kinematics::SliderCrank;
use mechanics::metrology::Uncertain;
use mechanics::metrology::form::{Spread, chance_apart, taper};

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["deck_lean"],
        asks: "Is the deck parallel to the crank?",
        matters: "A leaning deck gives each cylinder its own compression and quench.",
        computed: "Largest less smallest of the deck heights at the four corners.",
        to_do: "Skim the deck parallel to the mains.",
        source: "geometry",
    },
    About {
        codes: &["quench"],
        asks: "Is the distance of piston and head at top dead centre inside its range?",
        matters: "Too small and they meet at speed, too large and the flame has no stir.",
        computed: "Piston below deck, as read at top dead centre (or from deck height, rod, stroke and piston, then marked predicted), plus the compressed gasket. Of separate barrels each cylinder has its own deck: the top of its barrel.",
        to_do: "Another gasket, or a deck cut; the plan finds both together. Separate barrels: another shim under the barrel, thicker for more.",
        source: "geometry",
    },
    About {
        codes: &["piston_level"],
        asks: "Do front and rear of a piston stand alike under the deck?",
        matters: "A piston that stands oblique along its pin has a bent rod, or a pin bore or deck out of square: it wears, knocks and breaks.",
        computed: "Difference of the two ends at top dead centre. Asked only where it is more than 0.10 mm (common practice, no source).",
        to_do: "Do not close the engine; read both ends again, then look for a bent rod, a pin bore or a deck out of square.",
        source: "common practice, no source",
    },
    About {
        codes: &["compression_ratio", "compression_spread"],
        asks: "What is the compression of each cylinder from its own volumes?",
        matters: "Knock, power, and evenness.",
        computed: "(swept + clearance)/clearance with the measured bore, chamber by burette, gasket, deck and crown.",
        to_do: "Relieve the small chamber by what is said, never past its own limit and never by sinking a valve. A deck cut moves all cylinders on that deck alike: it brings none nearer to its neighbour. Separate barrels: a thicker shim under the barrel for less.",
        source: "Heywood, Internal Combustion Engine Fundamentals, 2.1 (from memory)",
    },
    About {
        codes: &["swept_volume"],
        asks: "Does the swept volume as measured keep the class rule?",
        matters: "An oversize bore can put the engine out of its class.",
        computed: "Sum of π/4 B² S over the cylinders with each bore as measured.",
        to_do: "Change class, or choose another bore.",
        source: "geometry; the class rule",
    },
    About {
        codes: &["chamber"],
        asks: "Is the volume of the chamber in its range?",
        matters: "Compression follows from it, cylinder by cylinder.",
        computed: "As read by burette.",
        to_do: "Relieve a small chamber. One that alone is large is read again, then looked at: a sunk seat, a chamber that was laid back or damaged, another plug (common practice, no source). The head is skimmed only where all its chambers are large and none goes below its least, since a skim moves all of them.",
        source: "definition",
    },
    About {
        codes: &["head_restrictor"],
        asks: "Has the oil restrictor to the head the diameter that is asked for?",
        matters: "Too wide floods the head and starves the mains, too narrow starves the cams.",
        computed: "As read. Asked where a limit is stated.",
        to_do: "Fit the restrictor that the limit asks for.",
        source: "builder's own",
    },
];

/// All questions on deck and chamber.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    if bench.document().block.is_of_separate_barrels() {
        all.extend(barrel::findings(bench));
    } else {
        (0..bench.document().banks().len()).for_each(|bank| all.push(lean(bench, bank)));
    }
    let mut compressions = Vec::new();
    for (cylinder, chamber) in bench.cylinders().zip(chambers(bench)) {
        all.push(quench(bench, cylinder));
        all.extend(level(bench, cylinder));
        let (finding, compression) = ratio(bench, cylinder, &chamber);
        all.push(chamber);
        all.push(finding);
        compressions.push(compression);
    }
    all.push(spread(bench, compressions));
    all.push(swept(bench));
    if bench.document().limits.head_restrictor.is_some() {
        for head in bench.document().heads() {
            all.push(
                Direct {
                    code: "head_restrictor",
                    limit: "head_restrictor",
                    sheet: Sheet::Head,
                    label: "oil restrictor to the head".into(),
                    instance: &head.name,
                    question: "diameter",
                    path: format!("head.restrictor.{}", head.name),
                    dimension: Dimension::Length,
                    to_do: ToDo::either("Fit the restrictor that the limit asks for"),
                }
                .finding(bench),
            );
        }
    }
    all
}

fn lean(bench: Bench<'_>, bank: usize) -> Finding {
    let name = bank_name(bank);
    let label = deck_label(bench.document(), bank);
    let mut answer = Answer::new(bench, "deck_lean", Sheet::Head, label, name, "lean against the crank axis")
        .limit("deck_lean")
        .formula("largest − smallest deck height of the corners", "geometry; shared terms cancel");
    let corners: Vec<String> = ["front.in", "front.out", "rear.in", "rear.out"]
        .iter()
        .map(|c| format!("block.deck_height.{name}.{c}"))
        .collect();
    let spread = answer.read_all(&corners).and_then(|v| taper(&v.iter().collect::<Vec<_>>()));
    answer.value(spread.as_ref().map(|s| s.value.clone()), false);
    let mut finding = answer.finish();
    if let (Verdict::Bad, Some(spread)) = (finding.verdict, &spread) {
        let words = |c: usize| {
            let (end, side) = [("front", "in"), ("front", "out"), ("rear", "in"), ("rear", "out")][c];
            format!("{end}, {}", bench.document().side_of_face(side))
        };
        finding.why = Phrase::words(format!(
            "high at the {}; low at the {}",
            words(spread.largest),
            words(spread.smallest)
        ));
        finding.actions.push(
            Action::new(
                ActionKind::Cut,
                Phrase::words("Skim this deck parallel to the main tunnel, down to its low corner"),
            )
            .gives(Phrase::words(if bench.document().banks().len() > 1 {
                "even compression and quench along this deck; the gasket of the other one may have to follow: see deck and gasket in the plan"
            } else {
                "even compression and quench; see deck and gasket in the plan"
            }))
            .supplied(bench.job(OperationKind::DeckSkim)),
        );
    }
    finding
}

/// What the stroke of a working is: with an offset pin a piston travels more than twice the crank radius.
fn stroke_label(bench: Bench<'_>) -> &'static str {
    if crank_drive(bench).is_some() && bench.document().pistons.offset_of_drive() != 0.0 {
        "stroke of the piston, from crank radius, rod and pin offset, all nominal, taken as exact"
    } else {
        "stroke, nominal, taken as exact"
    }
}

/// Crank drive of the document, when its sizes are there.
pub fn crank_drive(bench: Bench<'_>) -> Option<SliderCrank> {
    let document = bench.document();
    let (stroke, rod) = (document.layout.stroke?.0, document.rods.length?.0);
    SliderCrank::new(stroke / 2.0, rod, document.pistons.offset_of_drive()).ok()
}

/// Piston below deck: as read, else predicted from deck height, rod and piston. The bool says predicted.
pub fn below_deck(bench: Bench<'_>, answer: &mut Answer<'_>, cylinder: u32) -> Option<(Uncertain, bool)> {
    let read: Vec<Uncertain> = ["front", "rear"]
        .iter()
        .filter_map(|e| answer.read_if_there(&format!("cylinder.{cylinder}.below_deck.{e}")))
        .collect();
    if let Some(mean) = Uncertain::mean(&read.iter().collect::<Vec<_>>()) {
        return Some((mean, false));
    }
    let predicted = predicted_below_deck(bench, answer, cylinder);
    if predicted.is_none() {
        answer.read(&format!("cylinder.{cylinder}.below_deck.front"));
    }
    predicted.map(|p| (p, true))
}

fn predicted_below_deck(bench: Bench<'_>, answer: &mut Answer<'_>, cylinder: u32) -> Option<Uncertain> {
    let document = bench.document();
    let drive = crank_drive(bench)?;
    let name = document.deck_of(cylinder);
    let places: &[&str] = if document.block.is_of_separate_barrels() {
        &["front", "rear"]
    } else {
        &["front.in", "front.out", "rear.in", "rear.out"]
    };
    let corners: Vec<Uncertain> = places
        .iter()
        .filter_map(|c| answer.read_if_there(&format!("block.deck_height.{name}.{c}")))
        .collect();
    let deck = Uncertain::mean(&corners.iter().collect::<Vec<_>>())?;
    let rod = answer.read_if_there(&format!("rod.{cylinder}.length"))?;
    let height =
        answer.read_if_there(&format!("piston.{}.compression_height", piston_in(bench, cylinder)))?;
    let below = piston_below_deck(
        deck.value(),
        &SliderCrank::new(drive.crank_radius(), rod.value(), drive.offset()).ok()?,
        height.value(),
    );
    let stroke = Uncertain::exact(drive.crank_radius());
    let offset = Uncertain::exact(drive.offset());
    Some(below.propagate([&deck, &stroke, &rod, &offset, &height]))
}

/// Compressed gasket: as read of a used one of its kind, else the document's nominal, with the spread between gaskets that the document
/// says. The bool says predicted.
pub fn gasket(bench: Bench<'_>, answer: &mut Answer<'_>, cylinder: u32) -> Option<(Uncertain, bool)> {
    let name = bench.document().deck_of(cylinder);
    let path = format!("gasket.{name}.compressed");
    if let Some(read) = answer.read_if_there(&path) {
        let Some(next) = bench.sizes.stated.get(&path) else { return Some((read, false)) };
        let from = "the used one and the spread between gaskets that the document says";
        answer.computed("gasket to be fitted, compressed", next, Dimension::Length, from);
        return Some((next.clone(), false));
    }
    let Some(nominal) = bench.document().gasket.compressed else {
        answer.read(&path);
        return None;
    };
    let value = bench.sizes.stated.get(&path).cloned().unwrap_or_else(|| Uncertain::exact(nominal.0));
    answer.input("gasket compressed, as the document says", &value, Dimension::Length);
    Some((value, true))
}

fn quench(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = Answer::new(
        bench,
        "quench",
        Sheet::Head,
        format!("cylinder {cylinder}"),
        &cylinder.to_string(),
        "quench",
    )
    .limit("quench")
    .formula("piston below deck + compressed gasket", "geometry");
    let barrels = bench.document().block.is_of_separate_barrels();
    if barrels {
        answer.formula_is(
            "piston below the top of its barrel + compressed gasket; the quench face of the head taken as level with its sealing face: where it stands back, add the step",
        );
    }
    let below = below_deck(bench, &mut answer, cylinder);
    let gasket = gasket(bench, &mut answer, cylinder);
    let predicted = below.as_ref().is_some_and(|b| b.1);
    answer.value(below.zip(gasket).map(|(b, g)| &b.0 + &g.0), predicted);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        let shim =
            finding.value.zip(finding.limit.as_ref()).filter(|_| barrels).and_then(|(value, limit)| {
                let by = (limit.min.map(|m| m - value.value), limit.max.map(|m| m - value.value));
                barrel::shim_action(cylinder, by, "the quench")
            });
        finding.actions.push(shim.unwrap_or_else(|| {
            Action::new(
                ActionKind::Order,
                Phrase::words("Another gasket or a deck cut: see deck and gasket in the plan"),
            )
        }));
    }
    finding
}

/// Ends of a piston that stand apart at its top dead centre: asked only where they do.
fn level(bench: Bench<'_>, cylinder: u32) -> Option<Finding> {
    let paths = ["front", "rear"].map(|end| format!("cylinder.{cylinder}.below_deck.{end}"));
    let [front, rear] = [bench.size(&paths[0])?, bench.size(&paths[1])?].map(|size| size.value.value());
    let allowed = level_window();
    if (front - rear).abs() <= allowed.used.max.unwrap_or_default() {
        return None;
    }
    let label = format!("cylinder {cylinder}");
    let mut answer = Answer::new(
        bench,
        "piston_level",
        Sheet::Head,
        label,
        &cylinder.to_string(),
        "piston level along its pin",
    )
    .allowed(Some(allowed))
    .formula("|front − rear| of the piston below deck", "definition");
    let [front, rear] = paths.map(|path| answer.read(&path));
    answer.value(front.zip(rear).map(|(f, r)| if f.value() >= r.value() { &f - &r } else { &r - &f }), false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        let words = "Do not close the engine: read both ends again; if they repeat, look for a bent rod, a pin bore or a deck out of square with the crank";
        finding.actions.push(Action::new(ActionKind::Hold, Phrase::words(words)));
    }
    Some(finding)
}

fn chamber(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = Answer::new(
        bench,
        "chamber",
        Sheet::Head,
        format!("chamber {cylinder}"),
        &cylinder.to_string(),
        "volume",
    )
    .limit("chamber")
    .dimension(Dimension::Volume)
    .formula("as read by burette", "definition");
    let value = answer.read(&format!("head.chamber.{cylinder}"));
    answer.value(value, false);
    let mut finding = answer.finish();
    let Some((value, limit)) = finding.value.zip(finding.limit.clone()) else { return finding };
    let first = if read_once(&finding) {
        "; read it a second time first: a bubble of air under the plate reads as a smaller chamber"
    } else {
        ""
    };
    if matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain)
        && limit.min.is_some_and(|m| value.value < m + value.expanded)
        && let Some(relief) = limit
            .worked_to(CHAMBER_TOLERANCE, value.expanded)
            .map(|aim| aim - value.value)
            .filter(|relief| *relief > 0.0)
    {
        finding.actions.push(
            Action::new(
                ActionKind::Cut,
                Phrase::words("Relieve ")
                    .value(relief, Dimension::Volume, 2)
                    .say(format!(" around the plug, not by sinking a valve{first}")),
            )
            .gives(Phrase::words("chamber ").value(value.value + relief, Dimension::Volume, 2))
            .supplied(bench.job(OperationKind::ChamberRelief)),
        );
    }
    finding
}

/// Does a place behind it rest on a single reading?
fn read_once(finding: &Finding) -> bool {
    finding.working.inputs.iter().any(|input| input.feature.is_some() && input.readings.len() == 1)
}

/// All chambers: what is to be done with a large one hangs on the others of its head.
fn chambers(bench: Bench<'_>) -> Vec<Finding> {
    let mut all: Vec<Finding> = bench.cylinders().map(|cylinder| chamber(bench, cylinder)).collect();
    for numbers in bench.document().banks() {
        let of_head: Vec<usize> =
            numbers.iter().map(|c| *c as usize - 1).filter(|c| *c < all.len()).collect();
        if !of_head.iter().any(|c| is_large(&all[*c])) {
            continue;
        }
        let head: Vec<&Finding> = of_head.iter().map(|c| &all[*c]).collect();
        let action = |cylinder: usize| match skim_for_all(&head) {
            Some(volume) => skim_head(bench, volume),
            None => read_chamber_again(cylinder + 1, head.len()),
        };
        let large = of_head.iter().filter(|c| is_large(&all[**c]));
        let actions: Vec<(usize, Action)> = large.map(|c| (*c, action(*c))).collect();
        for (cylinder, action) in actions {
            all[cylinder].actions.push(action);
        }
    }
    all
}

/// Is the chamber larger than allowed, and the reading sure of it?
fn is_large(chamber: &Finding) -> bool {
    chamber.verdict == Verdict::Bad && chamber.is_above_most()
}

/// Volume that a skim has to take off each chamber of a head, m³; none where not all of them are large, or where one would go below its
/// least before the largest comes inside. Common practice, no source.
fn skim_for_all(head: &[&Finding]) -> Option<f64> {
    if !head.iter().all(|chamber| is_large(chamber)) {
        return None;
    }
    let values: Vec<f64> = head.iter().filter_map(|c| c.value).map(|v| v.value).collect();
    let (least, most) =
        values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(*v), b.max(*v)));
    let expanded = head.iter().filter_map(|c| c.value).map(|v| v.expanded).fold(0.0, f64::max);
    let limit = head.first()?.limit.as_ref()?;
    let from = most - limit.max?;
    let to = limit.min.map_or(f64::INFINITY, |min| least - min);
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let wish = mean - limit.worked_to(CHAMBER_TOLERANCE, expanded)?;
    (from <= to).then(|| wish.clamp(from, to))
}

fn skim_head(bench: Bench<'_>, volume: f64) -> Action {
    let words =
        Phrase::words("Skim the head face until its chambers hold ").value(volume, Dimension::Volume, 2).say(
            " less, or accept the lower compression: all chambers of this head are large, and move together",
        );
    Action::new(ActionKind::Cut, words)
        .supplied(bench.job(OperationKind::HeadSkim))
        .caution(crate::cautions::LIFTING)
}

/// A chamber that alone is large, or large beside others that no skim suits. Common practice, no source.
fn read_chamber_again(cylinder: usize, of_head: usize) -> Action {
    let skim =
        if of_head > 1 { ". No skim: it would make the other chambers of this head too small" } else { "" };
    let words = format!(
        "Read chamber {cylinder} again, with the valves and the plug of the build; if it is as large, look for a sunk seat, a chamber that was laid back or damaged, or another plug (common practice, no source){skim}"
    );
    Action::new(ActionKind::Measure, Phrase::words(words))
}

/// The space over a piston from what was read, for compression. Notes all inputs. The bool says predicted.
pub fn space(
    bench: Bench<'_>,
    answer: &mut Answer<'_>,
    cylinder: u32,
) -> Option<(Space, [Uncertain; 8], bool)> {
    let document = bench.document();
    let bore = bore::mean_size(bench, cylinder);
    match &bore {
        Some(bore) => note_mean_bore(answer, cylinder, bore),
        None => {
            answer.read(&format!("block.bore.{cylinder}.mid.thrust"));
        }
    }
    let chamber = answer.read(&format!("head.chamber.{cylinder}"));
    let below = below_deck(bench, answer, cylinder);
    let gasket = gasket(bench, answer, cylinder);
    let Some(stroke) = crank_drive(bench).map(|d| d.stroke().value).or(document.layout.stroke.map(|s| s.0))
    else {
        answer.lacks("layout.stroke");
        return None;
    };
    let thickness = gasket.as_ref().map(|g| g.0.value());
    let room_bore = |bore: f64| document.gasket.room_bore(thickness.unwrap_or(f64::NAN), bore);
    // A barrel may seal on its head without a gasket: before its thickness is known nobody is asked for a diameter in it.
    let asks_for_ring = thickness.is_some() || !document.block.is_of_separate_barrels();
    if asks_for_ring && room_bore(0.0).is_none() {
        answer.lacks("gasket.fire_ring");
        return None;
    }
    let Some(crown) = document.pistons.crown_volume() else {
        answer.lacks("pistons.dish");
        return None;
    };
    let crevice = document.pistons.top_land_crevice.map_or(0.0, |c| c.0);
    let (bore, chamber, (below, below_predicted), (gasket, gasket_predicted)) =
        (bore?, chamber?, below?, gasket?);
    let gasket_bore = room_bore(bore.value())?;
    let ring_label = match document.gasket.fire_ring {
        Some(_) if document.block.is_of_separate_barrels() => {
            "sealing ring, inner diameter, nominal, taken as exact"
        }
        Some(_) => "fire ring, nominal, taken as exact",
        None => "no fire ring stated, and a gasket of 0 has no room in it: the bore stands for it",
    };
    for (label, value, dimension) in
        [(stroke_label(bench), stroke, Dimension::Length), (ring_label, gasket_bore, Dimension::Length)]
    {
        answer.input(label, &Uncertain::exact(value), dimension);
    }
    let exact = Uncertain::exact(crown);
    answer.input("dome (dish negative), nominal, taken as exact", &exact, Dimension::Volume);
    let exact = Uncertain::exact(crevice);
    if document.pistons.top_land_crevice.is_some() {
        answer.input("top land crevice, nominal, taken as exact", &exact, Dimension::Volume);
    } else {
        let label = "top land crevice, not stated, taken as 0";
        answer.computed(label, &exact, Dimension::Volume, "nothing: it is not stated");
    }
    let inputs = [
        bore,
        Uncertain::exact(stroke),
        chamber,
        Uncertain::exact(gasket_bore),
        gasket,
        below,
        Uncertain::exact(crown),
        Uncertain::exact(crevice),
    ];
    let space = Space {
        bore: inputs[0].value(),
        stroke,
        chamber_volume: inputs[2].value(),
        gasket_bore,
        gasket_thickness: inputs[4].value(),
        deck_gap: inputs[5].value(),
        dome_volume: crown,
        crevice_volume: crevice,
    };
    Some((space, inputs, below_predicted || gasket_predicted))
}

fn note_mean_bore(answer: &mut Answer<'_>, cylinder: u32, bore: &Uncertain) {
    let from = format!("the readings of bore {cylinder}");
    answer.computed(&format!("bore {cylinder}, mean"), bore, Dimension::Length, &from);
    answer.rests_on(bore::places(cylinder));
}

/// Compression ratio of a cylinder as measured. The bool says predicted.
pub fn ratio_value(
    bench: Bench<'_>,
    answer: &mut Answer<'_>,
    cylinder: u32,
) -> Option<(Uncertain, bool, Space)> {
    let (space, inputs, predicted) = space(bench, answer, cylinder)?;
    let ratio = space.compression_ratio().ok()?;
    Some((ratio.propagate(inputs.each_ref()), predicted, space))
}

/// Compression of one cylinder, as the spread over all of them uses it.
struct Compression {
    value: Option<Uncertain>,
    notes: Notes,
    space: Option<Space>,
    /// The chamber as it is judged.
    chamber: Chamber,
}

/// A chamber as it is judged.
#[derive(Clone, Copy)]
struct Chamber {
    large: bool,
    value: Option<f64>,
    most: Option<f64>,
    /// What it is relieved by for its own sake, m³.
    relief: f64,
}

impl Chamber {
    fn of(finding: &Finding) -> Self {
        let value = finding.value.map(|v| v.value);
        let limit = finding.limit.as_ref();
        let relieved = finding.actions.iter().any(|a| a.kind == ActionKind::Cut) && !is_large(finding);
        let expanded = finding.value.map_or(0.0, |v| v.expanded);
        let aim = limit.and_then(|l| l.worked_to(CHAMBER_TOLERANCE, expanded)).filter(|_| relieved);
        Self {
            large: is_large(finding),
            value,
            most: limit.and_then(|l| l.max),
            relief: aim.zip(value).map_or(0.0, |(aim, value)| (aim - value).max(0.0)),
        }
    }

    /// Volume after such a relief where that is more than allowed, with what is allowed.
    fn past(&self, relief: f64) -> Option<(f64, f64)> {
        self.value
            .zip(self.most)
            .map(|(value, most)| (value + relief, most))
            .filter(|(after, most)| after > most)
    }
}

/// Compression of one cylinder: the finding, and what the spread takes over.
fn ratio(bench: Bench<'_>, cylinder: u32, chamber: &Finding) -> (Finding, Compression) {
    let judged = Chamber::of(chamber);
    let mut answer = Answer::new(
        bench,
        "compression_ratio",
        Sheet::Head,
        format!("cylinder {cylinder}"),
        &cylinder.to_string(),
        "compression ratio",
    )
    .limit("compression_ratio")
    .dimension(Dimension::Ratio)
    .formula(
        "(π/4 B² S + Vc)/Vc, Vc = chamber + gasket + deck gap − dome + dish + crevice",
        "Heywood, Internal Combustion Engine Fundamentals, 2.1 (from memory)",
    );
    let value = ratio_value(bench, &mut answer, cylinder);
    answer.value(value.as_ref().map(|v| v.0.clone()), value.as_ref().is_some_and(|v| v.1));
    let notes = answer.notes();
    let mut finding = answer.finish();
    let aim = value.as_ref().zip(finding.limit.as_ref()).and_then(|((ratio, _, space), limit)| {
        // A ratio r changes by (r − 1)²/Vs for each volume that is taken out.
        let by_volume = (ratio.value() - 1.0) * (ratio.value() - 1.0) / space.swept_volume();
        limit.worked_to(CHAMBER_TOLERANCE * by_volume, ratio.expanded())
    });
    if let (Verdict::Bad, Some((ratio, _, space)), Some(aim)) = (finding.verdict, &value, aim) {
        let barrels = bench.document().block.is_of_separate_barrels();
        let range = finding.limit.as_ref().map(|limit| barrel::shim_for_ratio(space, limit.min, limit.max));
        let shim = range.filter(|_| barrels).and_then(|by| barrel::shim_action(cylinder, by, "the ratio"));
        finding.actions.extend(shim);
        match space.relief_for_ratio(aim) {
            Ok(relief) if relief > 0.0 && judged.past(relief).is_some() => {
                finding.actions.push(thicker_gasket(judged, relief));
            }
            Ok(_) if judged.large => finding.actions.push(after_the_chamber(chamber)),
            Ok(relief) if relief > 0.0 => finding.actions.push(
                Action::new(
                    ActionKind::Cut,
                    Phrase::words("Relieve ")
                        .value(relief, Dimension::Volume, 2)
                        .say(" around the plug, not by sinking a valve"),
                )
                .gives(Phrase::words("ratio ").value(aim, Dimension::Ratio, 2))
                .supplied(bench.job(OperationKind::ChamberRelief)),
            ),
            Ok(_) if barrels => {}
            Ok(_) => finding.actions.push(Action::new(
                ActionKind::Order,
                Phrase::words("A thinner gasket or a deck cut: see deck and gasket in the plan"),
            )),
            Err(_) => {}
        }
        finding.why = Phrase::words("ratio ").value(ratio.value(), Dimension::Ratio, 2);
    }
    let space = value.as_ref().map(|v| v.2);
    (finding, Compression { value: value.map(|v| v.0), notes, space, chamber: judged })
}

/// A ratio that is too high beside a chamber that may not be opened so far.
fn thicker_gasket(chamber: Chamber, relief: f64) -> Action {
    let words = Phrase::words("A thicker gasket: see deck and gasket in the plan");
    let words = match chamber.past(relief) {
        None => words,
        Some((after, most)) => words
            .say("; relieved, the chamber would hold ")
            .value(after, Dimension::Volume, 2)
            .say(", allowed ")
            .value(most, Dimension::Volume, 2),
    };
    Action::new(ActionKind::Order, words)
}

/// A ratio that is low since its chamber is large: nothing is chosen by it before that is settled.
fn after_the_chamber(chamber: &Finding) -> Action {
    let again = chamber.actions.iter().any(|a| a.kind == ActionKind::Measure);
    let (kind, settle) = if again {
        (ActionKind::Measure, "read that again first")
    } else {
        (ActionKind::Cut, "the skim of the head comes first")
    };
    let label = &chamber.subject.label;
    let words = format!(
        "Follows from {label}, which is larger than allowed: {settle}; no gasket and no deck cut is chosen by it"
    );
    Action::new(kind, Phrase::words(words))
}

/// The two whose difference is likeliest to exceed `most`; without a limit the largest and the smallest.
///
/// The largest and the smallest as read may share a gasket, whose uncertainty cancels between them; two of different banks that are a
/// little nearer to each other can then be the likelier ones.
fn likeliest_apart(ratios: &[Uncertain], most: Option<f64>) -> Option<Spread> {
    let widest = taper(&ratios.iter().collect::<Vec<_>>())?;
    let Some(most) = most else { return Some(widest) };
    // Standard uncertainties from the limit, above it positive.
    let beyond = |value: &Uncertain| (value.value() - most) / value.standard().max(f64::MIN_POSITIVE);
    let pairs =
        (0..ratios.len()).flat_map(|largest| (0..ratios.len()).map(move |smallest| (largest, smallest)));
    let spreads = pairs.filter(|(largest, smallest)| largest != smallest).map(|(largest, smallest)| Spread {
        value: &ratios[largest] - &ratios[smallest],
        largest,
        smallest,
    });
    Some(spreads.fold(
        widest,
        |best, next| if beyond(&next.value) > beyond(&best.value) + 1e-9 { next } else { best },
    ))
}

/// Spread of the compression of all cylinders.
fn spread(bench: Bench<'_>, cylinders: Vec<Compression>) -> Finding {
    let mut answer =
        Answer::new(bench, "compression_spread", Sheet::Head, "engine".into(), "1", "spread of compression")
            .limit("compression_spread")
            .dimension(Dimension::Ratio)
            .formula(
                "difference of the two cylinders that are likeliest to lie too far apart: the largest and the smallest, or two of different banks that share no gasket; the chance is that any two do",
                "definition; shared terms cancel",
            );
    let mut ratios = Vec::new();
    let mut spaces = Vec::new();
    for cylinder in cylinders {
        answer.take_over(cylinder.notes);
        ratios.push(cylinder.value);
        spaces.push((cylinder.space, cylinder.chamber));
    }
    let ratios: Option<Vec<Uncertain>> = ratios.into_iter().collect();
    let most = bench.limit("compression_spread").and_then(|limit| limit.used.max);
    let spread = ratios.as_ref().and_then(|r| likeliest_apart(r, most));
    answer.value(spread.as_ref().map(|s| s.value.clone()), false);
    let each: Option<Vec<&Uncertain>> = ratios.as_ref().map(|r| r.iter().collect());
    answer.chance_above(each.as_ref().zip(most).map(|(each, most)| chance_apart(each, most)));
    let mut finding = answer.finish();
    if let (Some(spread), Some(widest)) = (&spread, each.as_deref().and_then(taper)) {
        finding.why = Phrase::words(which(spread, &widest));
    }
    let open = matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain);
    if let (true, Some(spread), Some(ratios)) = (open, &spread, &ratios) {
        let apart = Apart {
            bench,
            ratios: ratios.iter().map(Uncertain::value).collect(),
            spaces,
            pair: (spread.largest, spread.smallest),
            most: most.unwrap_or(0.0),
        };
        if let Some((cylinder, action)) = apart.large_chamber() {
            finding.follows = Some(format!("chamber/{}", cylinder + 1));
            finding.actions.push(action);
        } else if bench.document().block.is_of_separate_barrels() {
            finding.actions.push(by_shims(spread.largest + 1, spread.smallest + 1));
        } else {
            let expanded = finding.value.map_or(0.0, |v| v.expanded);
            let action = apart.relieve_high(finding.limit.as_ref(), expanded);
            let action = action.or_else(|why| apart.high_first(why));
            finding.actions.push(action.unwrap_or_else(|why| apart.raise_low(why)));
        }
    }
    finding
}

/// Cylinders whose compression lies too far apart.
struct Apart<'a> {
    bench: Bench<'a>,
    ratios: Vec<f64>,
    spaces: Vec<(Option<Space>, Chamber)>,
    /// The high and the low one, by their indices.
    pair: (usize, usize),
    most: f64,
}

impl Apart<'_> {
    /// Where the others are near enough to each other it follows from the chambers that are larger than allowed.
    fn large_chamber(&self) -> Option<(usize, Action)> {
        let (large, others): (Vec<usize>, Vec<usize>) =
            (0..self.ratios.len()).partition(|cylinder| self.spaces[*cylinder].1.large);
        let first = large.iter().find(|c| **c == self.pair.1).or(large.first())?;
        let ends = others.iter().map(|c| self.ratios[*c]);
        let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), r| (a.min(r), b.max(r)));
        if others.is_empty() || high - low > self.most {
            return None;
        }
        let cylinder = first + 1;
        let words = format!(
            "Follows from chamber {cylinder}, which is larger than allowed: settle that first; no other chamber is relieved and no deck is cut for it"
        );
        Some((*first, Action::new(ActionKind::Measure, Phrase::words(words))))
    }

    /// The highest ones brought down to the lowest; else why that would be wrong.
    fn relieve_high(&self, limit: Option<&LimitUsed>, expanded: f64) -> Result<Action, Phrase> {
        let (high, low) = self.pair;
        let (top, bottom) = (self.ratios[high], self.ratios[low]);
        let all = || 0..self.ratios.len();
        let highs: Vec<usize> =
            all().filter(|c| *c == high || self.ratios[*c] > bottom + self.most).collect();
        let lows = all().filter(|c| *c == low || self.ratios[*c] < top - self.most).count();
        if highs.len() > lows {
            return Err(Phrase::words(", since most of the others agree and it alone is low"));
        }
        let reliefs: Result<Vec<(usize, f64)>, Phrase> =
            highs.iter().map(|c| Ok((*c, self.relief(*c, limit, expanded)?))).collect();
        let reliefs = match reliefs {
            Ok(reliefs) => reliefs,
            Err(why)
                if lows > highs.len() && self.least().is_none_or(|least| bottom + self.most >= least) =>
            {
                return Ok(self.lower_high(why));
            }
            Err(why) => return Err(why),
        };
        let mut words = Phrase::words("Relieve around the plug, never by sinking a valve: ");
        for (place, (cylinder, relief)) in reliefs.into_iter().enumerate() {
            let between = if place > 0 { ", " } else { "" };
            words = words.say(format!("{between}chamber {} by ", cylinder + 1)).value(
                relief,
                Dimension::Volume,
                2,
            );
        }
        let words = words.say(", which brings it to the others");
        Ok(Action::new(ActionKind::Cut, words).supplied(self.bench.job(OperationKind::ChamberRelief)))
    }

    /// How much comes out of one chamber, m³: as its own limit asks, or more where the spread asks for it; else which limit forbids it.
    fn relief(&self, cylinder: usize, limit: Option<&LimitUsed>, expanded: f64) -> Result<f64, Phrase> {
        let (Some(space), chamber) = self.spaces[cylinder] else { return Err(Phrase::new()) };
        let bottom = self.ratios[self.pair.1];
        let by_volume = (self.ratios[cylinder] - 1.0) * (self.ratios[cylinder] - 1.0) / space.swept_volume();
        let worked = limit.and_then(|l| l.worked_to(CHAMBER_TOLERANCE * by_volume, expanded));
        let least = self.least();
        let farthest = bottom + self.most;
        let not = |words: Phrase| {
            Phrase::words(format!(", not by relief of chamber {}, ", cylinder + 1)).join(words)
        };
        if let Some(least) = least.filter(|least| farthest < *least) {
            let words = Phrase::words("whose cylinder would then be below the least ratio of ");
            return Err(not(words.value(least, Dimension::Ratio, 2)));
        }
        let aim =
            (bottom + worked.unwrap_or(0.0).clamp(0.0, self.most)).max(least.unwrap_or(0.0)).min(farthest);
        let volume = |ratio: f64| space.relief_for_ratio(ratio).map_err(|_| Phrase::new());
        let (needed, wish) = (volume(farthest)?.max(0.0), volume(aim)?.max(chamber.relief).max(0.0));
        if let Some((after, most)) = chamber.past(needed) {
            let words = Phrase::words("which would then hold ")
                .value(after, Dimension::Volume, 2)
                .say(", allowed ")
                .value(most, Dimension::Volume, 2);
            return Err(not(words));
        }
        let room = chamber.value.zip(chamber.most).map_or(f64::INFINITY, |(value, most)| most - value);
        Ok(wish.min(room))
    }

    /// Least ratio allowed.
    fn least(&self) -> Option<f64> {
        self.bench.limit("compression_ratio").and_then(|l| l.used.min)
    }

    /// The highest one where it is above its own limit and its chamber may not be opened: what brings it inside comes first, and nothing
    /// is raised toward it.
    fn high_first(&self, why: Phrase) -> Result<Action, Phrase> {
        let most = self.bench.limit("compression_ratio").and_then(|l| l.used.max);
        if most.is_none_or(|most| self.ratios[self.pair.0] <= most) {
            return Err(why);
        }
        let words = Phrase::words(format!("Bring cylinder {} down first", self.pair.0 + 1)).join(why);
        Ok(Action::new(
            ActionKind::Place,
            words.say(
                ": it is above its own limit, see deck and gasket in the plan; then look at the spread again",
            ),
        ))
    }

    /// The highest one brought down to the others by other means than its chamber. Common practice, no source.
    fn lower_high(&self, why: Phrase) -> Action {
        let words = Phrase::words(format!("Lower the ratio of cylinder {}", self.pair.0 + 1)).join(why);
        Action::new(
            ActionKind::Place,
            words.say(": read its chamber and its piston below the deck again, then give it the lowest piston or the shortest rod of the set, or a piston with more dish"),
        )
    }

    /// The lowest one brought up to the others. Common practice, no source.
    fn raise_low(&self, why: Phrase) -> Action {
        let (high, low) = (self.pair.0 as u32 + 1, self.pair.1 as u32 + 1);
        let document = self.bench.document();
        let (of_high, of_low) = (document.bank_of(high), document.bank_of(low));
        let words = Phrase::words(format!("Raise cylinder {low}")).join(why).say(": read its chamber and its piston below the deck again, then give it the tallest piston or the longest rod of the set, or a piston with less dish");
        let words = words.say(if of_high == of_low {
            "; a deck cut moves both alike and brings them no nearer".to_owned()
        } else {
            format!(
                ", or cut {}, which raises all cylinders on it: see deck and gasket in the plan",
                deck_label(document, of_low)
            )
        });
        Action::new(ActionKind::Place, words)
    }
}

/// Which two cylinders a spread is of: the highest and the lowest, or two of different banks that are likelier to lie too far apart.
fn which(spread: &Spread, widest: &Spread) -> String {
    let (high, low) = (spread.largest + 1, spread.smallest + 1);
    if (spread.largest, spread.smallest) == (widest.largest, widest.smallest) {
        return format!("cylinder {high} highest, {low} lowest");
    }
    format!("cylinder {high} above {low}, on different gaskets: the likeliest to lie too far apart")
}

/// Ratios of separate barrels are brought together by the shims under them.
fn by_shims(high: usize, low: usize) -> Action {
    let text = format!(
        "Bring the ratios together by the shims under the barrels, as the plan says: a thicker one lowers cylinder {high}, a thinner one raises cylinder {low}"
    );
    Action::new(ActionKind::Refit, Phrase::words(text))
}

/// Swept volume of the whole engine as measured.
fn swept(bench: Bench<'_>) -> Finding {
    let document = bench.document();
    let mut answer =
        Answer::new(bench, "swept_volume", Sheet::Bores, "engine".into(), "1", "swept volume as measured")
            .limit("swept_volume")
            .dimension(Dimension::Volume)
            .formula("Σ π/4 B² S, each bore as measured, the stroke as drawn", "geometry");
    let stroke = crank_drive(bench).map(|d| d.stroke().value).or(document.layout.stroke.map(|s| s.0));
    match stroke {
        None => answer.lacks("layout.stroke"),
        Some(stroke) => {
            answer.input(stroke_label(bench), &Uncertain::exact(stroke), Dimension::Length);
        }
    }
    let mut volumes = Vec::new();
    for cylinder in bench.cylinders() {
        let Some(bore) = bore::mean_size(bench, cylinder) else {
            answer.read(&format!("block.bore.{cylinder}.mid.thrust"));
            volumes.push(None);
            continue;
        };
        note_mean_bore(&mut answer, cylinder, &bore);
        volumes.push(stroke.map(|s| {
            mechanics::compression::swept_volume(bore.value(), s).propagate([&bore, &Uncertain::exact(s)])
        }));
    }
    let volumes: Option<Vec<Uncertain>> = volumes.into_iter().collect();
    let total = volumes
        .filter(|v| !v.is_empty())
        .map(|v| Uncertain::linear(0.0, &v.iter().map(|v| (1.0, v)).collect::<Vec<_>>()));
    answer.value(total, false);
    let mut finding = answer.finish();
    if finding.value.is_some() {
        let exact = "each bore as measured, the stroke nominal and taken as exact";
        finding.why = finding.why.also(exact);
    }
    if finding.verdict == Verdict::Bad {
        finding.actions.push(Action::new(
            ActionKind::Ask,
            Phrase::words("Over the class rule: ask the scrutineer before going on, or choose another bore"),
        ));
    }
    finding
}
