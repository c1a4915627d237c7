//! Deck, quench, chamber, compression, swept volume.

use super::about::About;
use super::answer::{Answer, Notes};
use super::bench::Bench;
use super::bore;
use super::common_practice::CHAMBER_TOLERANCE;
use super::direct::Direct;
use super::model::{Action, ActionKind, Finding, Verdict};
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
        computed: "Piston below deck, as read at top dead centre (or from deck height, rod, stroke and piston, then marked predicted), plus the compressed gasket.",
        to_do: "Another gasket, or a deck cut; the plan finds both together.",
        source: "geometry",
    },
    About {
        codes: &["compression_ratio", "compression_spread"],
        asks: "What is the compression of each cylinder from its own volumes?",
        matters: "Knock, power, and evenness.",
        computed: "(swept + clearance)/clearance with the measured bore, chamber by burette, gasket, deck and crown.",
        to_do: "Relieve the small chamber, never by sinking a valve.",
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
        to_do: "Relieve a small chamber; a large one cannot be made smaller without a skim of the head, which moves all of them.",
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
    for bank in 0..bench.document().banks().len() {
        all.push(lean(bench, bank));
    }
    let mut compressions = Vec::new();
    for cylinder in bench.cylinders() {
        all.push(quench(bench, cylinder));
        all.push(chamber(bench, cylinder));
        let (finding, compression) = ratio(bench, cylinder);
        all.push(finding);
        compressions.push(compression);
    }
    all.push(spread(bench, compressions));
    all.push(swept(bench));
    if bench.document().limits.head_restrictor.is_some() {
        for bank in 0..bench.document().banks().len() {
            let name = bank_name(bank);
            all.push(
                Direct {
                    code: "head_restrictor",
                    limit: "head_restrictor",
                    sheet: Sheet::Head,
                    label: "oil restrictor to the head".into(),
                    instance: name,
                    question: "diameter",
                    path: format!("head.restrictor.{name}"),
                    dimension: Dimension::Length,
                    to_do: "Fit the restrictor that the limit asks for",
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
    let name = bank_name(document.bank_of(cylinder));
    let corners: Vec<Uncertain> = ["front.in", "front.out", "rear.in", "rear.out"]
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
    let name = bank_name(bench.document().bank_of(cylinder));
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
    let below = below_deck(bench, &mut answer, cylinder);
    let gasket = gasket(bench, &mut answer, cylinder);
    let predicted = below.as_ref().is_some_and(|b| b.1);
    answer.value(below.zip(gasket).map(|(b, g)| &b.0 + &g.0), predicted);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        finding.actions.push(Action::new(
            ActionKind::Order,
            Phrase::words("Another gasket or a deck cut: see deck and gasket in the plan"),
        ));
    }
    finding
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
                    .say(" around the plug, not by sinking a valve"),
            )
            .gives(Phrase::words("chamber ").value(value.value + relief, Dimension::Volume, 2))
            .supplied(bench.job(OperationKind::ChamberRelief)),
        );
    } else if finding.verdict == Verdict::Bad {
        finding.actions.push(
            Action::new(
                ActionKind::Cut,
                Phrase::words(
                    "Skim the head face, or accept the lower compression: all chambers move together",
                ),
            )
            .supplied(bench.job(OperationKind::HeadSkim))
            .caution(crate::cautions::LIFTING),
        );
    }
    finding
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
    if room_bore(0.0).is_none() {
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
}

/// Compression of one cylinder: the finding, and what the spread takes over.
fn ratio(bench: Bench<'_>, cylinder: u32) -> (Finding, Compression) {
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
        match space.relief_for_ratio(aim) {
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
            Ok(_) => finding.actions.push(Action::new(
                ActionKind::Order,
                Phrase::words("A thinner gasket or a deck cut: see deck and gasket in the plan"),
            )),
            Err(_) => {}
        }
        finding.why = Phrase::words("ratio ").value(ratio.value(), Dimension::Ratio, 2);
    }
    (finding, Compression { value: value.map(|v| v.0), notes })
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
    for cylinder in cylinders {
        answer.take_over(cylinder.notes);
        ratios.push(cylinder.value);
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
    if let (Verdict::Bad | Verdict::Uncertain, Some(spread)) = (finding.verdict, &spread) {
        let (high, low) = (spread.largest + 1, spread.smallest + 1);
        let brought_down = ratios.as_ref().map(|r| r[spread.smallest].value() + most.unwrap_or(0.0));
        let least = bench.limit("compression_ratio").and_then(|limit| limit.used.min);
        finding.actions.push(match brought_down.zip(least) {
            Some((down, least)) if down < least => raise(low, high, least),
            _ => relieve(bench, high),
        });
    }
    finding
}

/// Which two cylinders a spread is of: the highest and the lowest, or two of different banks that are likelier to lie too far apart.
fn which(spread: &Spread, widest: &Spread) -> String {
    let (high, low) = (spread.largest + 1, spread.smallest + 1);
    if (spread.largest, spread.smallest) == (widest.largest, widest.smallest) {
        return format!("cylinder {high} highest, {low} lowest");
    }
    format!("cylinder {high} above {low}, on different gaskets: the likeliest to lie too far apart")
}

fn relieve(bench: Bench<'_>, high: usize) -> Action {
    let text = format!("Bring cylinder {high} to the others: relieve its chamber around the plug");
    Action::new(ActionKind::Cut, Phrase::words(text)).supplied(bench.job(OperationKind::ChamberRelief))
}

/// Where the highest cylinder, brought down to the lowest, would fall below the least ratio, the low one has to come up. Common
/// practice, no source.
fn raise(low: usize, high: usize, least: f64) -> Action {
    let text = Phrase::words(format!(
        "Raise cylinder {low}, not relieve cylinder {high}, which would then be below the least ratio of "
    ))
    .value(least, Dimension::Ratio, 2)
    .say(": read its chamber and its piston below the deck again, then give it the tallest piston or the longest rod of the set, a piston with less dish, or a deck cut that suits all");
    Action::new(ActionKind::Place, text)
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
