//! Pistons: skirt clearance, pin, ring gaps and sides, butting.

use super::about::About;
use super::answer::{Answer, SLIP, about, percent};
use super::bench::Bench;
use super::bore;
use super::common_practice::GAP_TOLERANCE;
use super::direct::{Direct, ToDo};
use super::model::{Action, ActionKind, Finding, Input, LimitUsed, Measured, Verdict};
use crate::document::{Document, Material, OperationKind};
use crate::features::{HEIGHTS, Sheet};
use crate::quantity::{Dimension, Phrase};
use crate::sizes::{alpha_is_stated, alpha_of};
use mechanics::fit::ring::RingGap;
use mechanics::metrology::Uncertain;
use mechanics::metrology::expansion::REFERENCE_TEMPERATURE;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["piston_clearance"],
        asks: "Is the skirt clearance at the maker's gauge point inside the maker's range?",
        matters: "Too small scuffs, too large rocks and breaks rings.",
        computed: "Mean bore less skirt diameter, both at 20 °C: piston and bore do not shrink alike. The range of a piston maker is that of the mean bore, so the verdict is by the mean; the working names the tight end beside it, the clearance at the smallest diameter that was read of the bore, and the finding says so where that is below the least. How far a bore may be from its mean is asked by its taper and out-of-round. It is compared cold; a sum of free expansions would condemn every good piston.",
        to_do: "Match pistons to bores as the plan says, or hone.",
        source: "definition; the piston maker's sheet decides",
    },
    About {
        codes: &["top_ring_gap", "second_ring_gap", "rail_gap"],
        asks: "Is the end gap inside its range?",
        matters: "Ends that meet break the land.",
        computed: "As read, square in the finished bore.",
        to_do: "File to the target; a top ring so far that it keeps the chance of butting as well. Where its most leaves no room for that, a person decides which limit gives.",
        source: "ring maker's sheet, else common practice, no source",
    },
    About {
        codes: &["ring_butting"],
        asks: "Do the ends of the top ring meet when hot?",
        matters: "A ring that butts scuffs the bore and lifts the land.",
        computed: "Hot gap from the cold gap, growth of the bore and of the ring at the temperatures of the duty with their spread; the probability that it is below zero.",
        to_do: "File the gap.",
        source: "geometry of the circumference; temperatures from the document",
    },
    About {
        codes: &["pin_in_piston"],
        asks: "Has the piston pin the right room in the piston?",
        matters: "Too little holds the pin, too much wears its bore.",
        computed: "Pin bore less pin diameter, both at 20 °C.",
        to_do: "Try another pin; a pin bore is honed by the piston maker's shop only.",
        source: "definition",
    },
    About {
        codes: &["ring_side_clearance"],
        asks: "Has the ring room in its groove?",
        matters: "Too little sticks, too much lets it flutter and the groove leak.",
        computed: "As read.",
        to_do: "Too tight: look for dirt or a raised edge in the groove, try another ring. Too loose: another ring, or another piston where the groove is worn.",
        source: "piston or ring maker",
    },
];

/// Piston that stands in a cylinder now.
pub fn piston_in(bench: Bench<'_>, cylinder: u32) -> u32 {
    let order = bench.document().pistons.in_cylinder.as_ref();
    order.and_then(|o| o.iter().position(|c| *c == cylinder)).map_or(cylinder, |p| p as u32 + 1)
}

/// Pin that stands in a cylinder now: as the document says, else that of its piston's number.
pub fn pin_in(bench: Bench<'_>, cylinder: u32) -> u32 {
    let order = bench.document().pins.in_cylinder.as_ref();
    let named = order.and_then(|o| o.iter().position(|c| *c == cylinder)).map(|p| p as u32 + 1);
    named.unwrap_or_else(|| piston_in(bench, cylinder))
}

/// All questions on pistons and rings.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for cylinder in bench.cylinders() {
        all.push(clearance(bench, cylinder));
        all.push(pin(bench, cylinder));
        all.extend(rings(bench, cylinder));
        all.push(butting(bench, cylinder));
    }
    all
}

fn clearance(bench: Bench<'_>, cylinder: u32) -> Finding {
    let piston = piston_in(bench, cylinder);
    let label = if piston == cylinder {
        format!("piston {piston}")
    } else {
        format!("piston {piston} in bore {cylinder}")
    };
    let mut answer = Answer::new(
        bench,
        "piston_clearance",
        Sheet::Pistons,
        label,
        &cylinder.to_string(),
        "skirt clearance, cold",
    )
    .limit("piston_clearance")
    .formula(
        "mean bore − skirt at the maker's gauge point, both at 20 °C",
        "ISO 1; the piston maker's sheet",
    );
    let paths: Vec<String> = HEIGHTS
        .iter()
        .flat_map(|h| ["thrust", "along"].map(|d| format!("block.bore.{cylinder}.{h}.{d}")))
        .collect();
    let values = answer.read_all(&paths);
    let mean = values.as_ref().and_then(|v| Uncertain::mean(&v.iter().collect::<Vec<_>>()));
    let skirt = answer.read(&format!("piston.{piston}.gauge"));
    let tight = values.as_ref().zip(skirt.as_ref()).and_then(|(values, skirt)| {
        let (path, bore) = paths.iter().zip(values).min_by(|a, b| a.1.value().total_cmp(&b.1.value()))?;
        let place = bench.engine.catalogue.feature(path).map_or(path.as_str(), |f| f.label.as_str());
        Some((place, bore - skirt))
    });
    if let Some((place, clearance)) = &tight {
        let label = format!("tight end: clearance at the smallest reading of the bore, {place}");
        answer.computed(&label, clearance, Dimension::Length, "that reading and the skirt");
    }
    answer.value(mean.zip(skirt).map(|(b, p)| &b - &p), false);
    let mut finding = answer.finish();
    let least = finding.limit.as_ref().and_then(|l| l.min);
    if let Some((place, clearance)) = tight.filter(|(_, c)| least.is_some_and(|least| c.value() < least)) {
        let said = Phrase::words("at the tight end (")
            .say(place)
            .say(") the clearance is ")
            .measured(clearance.value(), clearance.expanded(), Dimension::Length)
            .say(", below the least, which is that of the mean bore");
        let why = std::mem::take(&mut finding.why);
        finding.why = if why.is_empty() { said } else { why.say("; ").join(said) };
    }
    if matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain) {
        finding
            .actions
            .push(Action::new(ActionKind::Place, Phrase::words("Match pistons to bores as the plan says")));
    }
    finding
}

fn pin(bench: Bench<'_>, cylinder: u32) -> Finding {
    let piston = piston_in(bench, cylinder);
    let mut answer = Answer::new(
        bench,
        "pin_in_piston",
        Sheet::Pistons,
        format!("piston {piston}"),
        &cylinder.to_string(),
        "pin in the piston",
    )
    .limit("pin_in_piston")
    .formula("pin bore − pin diameter, both at 20 °C", "definition");
    let bore = answer.read(&format!("piston.{piston}.pin_bore"));
    let pin = answer.read(&format!("pin.{}.diameter", pin_in(bench, cylinder)));
    answer.value(bore.zip(pin).map(|(b, p)| &b - &p), false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        finding.actions.push(Action::new(
            ActionKind::Place,
            Phrase::words("Try another pin; a pin bore is honed by the piston maker's shop only"),
        ));
    }
    finding
}

fn rings(bench: Bench<'_>, cylinder: u32) -> Vec<Finding> {
    let gaps: &[(&str, &'static str, &str)] = &[
        ("top", "top_ring_gap", "top ring"),
        ("second", "second_ring_gap", "second ring"),
        ("upper_rail", "rail_gap", "upper rail"),
        ("lower_rail", "rail_gap", "lower rail"),
    ];
    let rails = bench.document().rings.rails == Some(true);
    let mut all: Vec<Finding> = gaps
        .iter()
        .filter(|g| rails || g.1 != "rail_gap")
        .map(|(ending, limit, word)| gap(bench, cylinder, ending, limit, word))
        .collect();
    for (ending, word) in [("top", "top ring"), ("second", "second ring")] {
        all.push(
            Direct {
                code: "ring_side_clearance",
                limit: "ring_side_clearance",
                sheet: Sheet::Pistons,
                label: format!("{word} {cylinder}"),
                instance: &format!("{cylinder}.{ending}"),
                question: "side clearance",
                path: format!("ring.{cylinder}.{ending}.side_clearance"),
                dimension: Dimension::Length,
                to_do: ToDo {
                    too_small: "Look for dirt or a raised edge in the groove; try another ring",
                    too_large: "Read the axial height of the ring: a worn ring is another ring, a worn groove another piston",
                },
            }
            .finding(bench),
        );
    }
    all
}

fn gap(bench: Bench<'_>, cylinder: u32, ending: &str, limit: &'static str, word: &str) -> Finding {
    let mut answer = Answer::new(
        bench,
        limit,
        Sheet::Pistons,
        format!("{word} {cylinder}"),
        &format!("{cylinder}.{ending}"),
        "end gap",
    )
    .limit(limit)
    .formula("as read in the bore of this cylinder", "definition");
    let value = answer.read(&format!("ring.{cylinder}.{ending}.gap"));
    answer.value(value, false);
    let mut finding = answer.finish();
    let Some((value, used)) = finding.value.zip(finding.limit.clone()) else { return finding };
    if finding.verdict == Verdict::Bad {
        let needed = (ending == "top").then(|| butting_needs(bench, cylinder)).flatten();
        finding.actions.push(if finding.is_below_least() {
            match file_to(&used, value.expanded, needed) {
                Some(to) => file_or_hold(bench, to),
                None => file_action(bench, value.value),
            }
        } else {
            Action::new(ActionKind::Order, Phrase::words("Fit another ring: a gap cannot be made smaller"))
                .supplied(bench.part("ring set"))
        });
    }
    if finding.verdict == Verdict::Uncertain && finding.actions.is_empty() {
        let text =
            "Read it again in the finished bore with finer gauges, three times; filing can only widen it";
        finding.actions.push(Action::new(ActionKind::Measure, Phrase::words(text)));
    }
    finding
}

/// What a ring gap is filed to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FileTo {
    /// This gap, m. With the room down to where the chance of butting begins to be too great, where that is what decides.
    Gap {
        /// Gap to file to, m.
        target: f64,
        /// From the target down to the gap that is needed, m.
        room: Option<f64>,
    },
    /// No gap keeps both limits.
    Conflict {
        /// Gap that the chance of butting asks for, m.
        needed: f64,
        /// The most that the limit of the gap allows, m.
        most: f64,
    },
}

/// Where a gap is filed to so that its limit and, for a top ring, the gap that the chance of butting needs are both kept: with the
/// tolerance of the file below it and the U of the reading above it, as far as the limits leave room.
pub fn file_to(limit: &LimitUsed, expanded: f64, needed: Option<f64>) -> Option<FileTo> {
    /// Gaps are filed to the next hundredth.
    const STEP: f64 = 0.01e-3;
    /// Room of less is none that a file could keep, m. Common practice, no source.
    const LEAST_ROOM: f64 = 0.005e-3;
    let wish = limit.worked_to(GAP_TOLERANCE, expanded)?;
    let Some(needed) = needed.filter(|needed| needed + GAP_TOLERANCE > wish) else {
        return Some(FileTo::Gap { target: wish, room: needed.map(|needed| wish - needed) });
    };
    let most = limit.max.unwrap_or(f64::INFINITY);
    let high = most - expanded;
    let target = ((needed + GAP_TOLERANCE) / STEP - 1e-6).ceil() * STEP;
    let target = if target <= high { target } else { f64::midpoint(needed, high) };
    Some(if target - needed >= LEAST_ROOM {
        FileTo::Gap { target, room: Some(target - needed) }
    } else {
        FileTo::Conflict { needed, most }
    })
}

/// Cold gap at which a top ring butts with just the chance that is allowed, m; none where the duty or a size is not known.
pub fn butting_needs(bench: Bench<'_>, cylinder: u32) -> Option<f64> {
    let gap = &bench.size(&format!("ring.{cylinder}.top.gap"))?.value;
    let (ring, standards) = heated_ring(bench, gap, &bore::top_size(bench, cylinder)?)?;
    Some(ring.cold_gap_for(butting_limit(bench), &standards)).filter(|gap| gap.is_finite())
}

/// A ring in its bore at the duty, with the standard uncertainties of its fields; none where the document does not state the duty.
fn heated_ring(bench: Bench<'_>, gap: &Uncertain, bore: &Uncertain) -> Option<(RingGap, [f64; 6])> {
    let document = bench.document();
    let duty = &document.duty;
    let (ring_hot, bore_hot) = duty.top_ring_temperature.zip(duty.bore_temperature)?;
    let (bore_alpha, ua) = alpha_of(document, document.block.bore_material()?);
    let (ring_alpha, ur) = alpha_of(document, ring_material(document));
    let ring = RingGap {
        bore: bore.value(),
        cold_gap: gap.value(),
        bore_expansion: bore_alpha,
        bore_rise: bore_hot.0 - REFERENCE_TEMPERATURE,
        ring_expansion: ring_alpha,
        ring_rise: ring_hot.0 - REFERENCE_TEMPERATURE,
    };
    // 15 K where the document states no spread: common practice, no source.
    let spread = |s: Option<crate::quantity::TemperatureDifference>| s.map_or(15.0, |s| s.0);
    let standards = [
        bore.standard(),
        gap.standard(),
        ua,
        spread(duty.bore_temperature_spread),
        ur,
        spread(duty.top_ring_temperature_spread),
    ];
    Some((ring, standards))
}

fn ring_material(document: &Document) -> Material {
    document.rings.material.unwrap_or(Material::Steel)
}

fn file_or_hold(bench: Bench<'_>, to: FileTo) -> Action {
    match to {
        FileTo::Gap { target, .. } => file_action(bench, target),
        FileTo::Conflict { needed, most } => Action::new(
            ActionKind::Hold,
            Phrase::words("Do not file it yet, two limits exclude each other: the chance of butting needs a gap of ")
                .length_2(needed)
                .say(" or more, the limit of the gap allows ")
                .length_2(most)
                .say(" and the readings need their U off it. Decide which of them gives; a gap that is too wide leaks, one that butts breaks the land"),
        ),
    }
}

fn file_action(bench: Bench<'_>, target: f64) -> Action {
    let depth = bench.document().rings.gap_depth.map(|d| d.0);
    let mut text = Phrase::words("File to ").length_2(target).say(" in the honed bore");
    if let Some(depth) = depth {
        text = text.say(", square at ").value(depth, Dimension::Length, 0);
    }
    // How much comes off is counted in the bore as it will be: the plan says it, and nobody else does.
    Action::new(ActionKind::File, text)
        .gives(Phrase::words("how much comes off: see ring gaps to file in the plan"))
        .supplied(bench.job(OperationKind::RingFile))
}

/// Hot gap of the top ring, and the probability that it is gone.
fn butting(bench: Bench<'_>, cylinder: u32) -> Finding {
    let document = bench.document();
    let duty = &document.duty;
    let mut answer = Answer::new(
        bench,
        "ring_butting",
        Sheet::Pistons,
        format!("top ring {cylinder}"),
        &cylinder.to_string(),
        "gap when hot",
    )
    .formula(
        "πB(1 + αb ΔTb) − (πB − gap)(1 + αr ΔTr)",
        "geometry of the circumference; free expansion, as good as the temperatures",
    );
    let gap = answer.read(&format!("ring.{cylinder}.top.gap"));
    let bore = bore::top_size(bench, cylinder);
    match &bore {
        Some(bore) => {
            let from = format!("the top readings of bore {cylinder}");
            answer.computed("bore near its top", bore, Dimension::Length, &from);
            answer.rests_on(bore::top_places(cylinder));
        }
        None => {
            answer.read(&format!("block.bore.{cylinder}.top.thrust"));
        }
    }
    let temperatures = duty.top_ring_temperature.zip(duty.bore_temperature);
    if temperatures.is_none() {
        answer.lacks("duty.top_ring_temperature and duty.bore_temperature");
    }
    let bore_material = document.block.bore_material();
    if bore_material.is_none() {
        answer.lacks("block.material");
    }
    let (Some(gap), Some(bore), Some(bore_material)) = (gap, bore, bore_material) else {
        answer.value(None, true);
        return answer.finish();
    };
    let Some((ring, standards)) = heated_ring(bench, &gap, &bore) else {
        answer.value(None, true);
        return answer.finish();
    };
    let hot = ring.hot_gap();
    answer.value(None, true);
    let doubt = answer.unsettled();
    let mut finding = answer.finish();
    show_heat(&mut finding, &ring, &standards, &hot.sensitivities);
    name_bands(&mut finding, document, bore_material, ring_material(document));
    let judged = butting_finding(finding, bench, &ring, &standards);
    match doubt {
        Some((action, slip)) => questioned(judged, action, slip),
        None => judged,
    }
}

/// Evidence that cannot settle a question makes its answer uncertain, whatever the figure.
fn questioned(mut finding: Finding, action: Action, slip: bool) -> Finding {
    finding.why = Phrase::words(if slip { SLIP } else { "the evidence cannot settle it" });
    finding.working.rule = finding.why.clone();
    finding.verdict = Verdict::Uncertain;
    finding.actions = vec![action];
    // A chance computed from a reading that may not be one says nothing.
    finding.probability_outside = finding.probability_outside.filter(|_| !slip);
    finding
}

/// Temperatures and expansion coefficients as inputs, and what each term adds to the uncertainty.
fn show_heat(finding: &mut Finding, ring: &RingGap, standards: &[f64; 6], sensitivities: &[f64; 6]) {
    let input = |label: &str, value: f64, standard: f64, dimension: Dimension| Input {
        label: label.to_owned(),
        value: Measured { value, expanded: 2.0 * standard, dimension, predicted: true },
        feature: None,
        readings: Vec::new(),
        computed_from: String::new(),
    };
    finding.working.inputs.extend([
        input("expansion of the bore", ring.bore_expansion, standards[2], Dimension::Expansion),
        input(
            "bore at the ring, hot",
            ring.bore_rise + REFERENCE_TEMPERATURE,
            standards[3],
            Dimension::Temperature,
        ),
        input("expansion of the ring", ring.ring_expansion, standards[4], Dimension::Expansion),
        input("ring, hot", ring.ring_rise + REFERENCE_TEMPERATURE, standards[5], Dimension::Temperature),
    ]);
    let names = [
        "bore",
        "cold gap",
        "expansion of the block",
        "temperature of the bore",
        "expansion of the ring",
        "temperature of the ring",
    ];
    let mut terms: Vec<(String, f64)> = names
        .iter()
        .zip(standards.iter().zip(sensitivities))
        .map(|(name, (u, c))| ((*name).to_owned(), (u * c).abs()))
        .collect();
    terms.sort_by(|a, b| b.1.total_cmp(&a.1));
    finding.working.contributions = terms;
}

/// An expansion that the document does not state is the middle of the usual band of its material, and says so.
fn name_bands(finding: &mut Finding, document: &Document, block: Material, ring: Material) {
    for (label, material) in [("expansion of the block", block), ("expansion of the ring", ring)] {
        let inputs = finding.working.inputs.iter_mut().filter(|i| i.label == label);
        inputs.filter(|_| !alpha_is_stated(document, material)).for_each(|input| {
            input.computed_from = format!("the usual band of {}, none is stated", material.words());
        });
    }
}

fn butting_limit(bench: Bench<'_>) -> f64 {
    bench.limit("ring_butting").and_then(|l| l.used.max).unwrap_or(0.01)
}

fn butting_finding(mut finding: Finding, bench: Bench<'_>, ring: &RingGap, standards: &[f64; 6]) -> Finding {
    let allowed = butting_limit(bench);
    let hot = ring.hot_gap();
    let probability = ring.butting_probability(standards);
    let expanded = 2.0 * hot.standard_uncertainty(standards);
    finding.value =
        Some(Measured { value: hot.value, expanded, dimension: Dimension::Length, predicted: true });
    finding.limit = bench.limit("ring_butting").map(|mut l| {
        (l.used.min, l.used.max) = (Some(0.0), None);
        let source = match l.used.source.as_str() {
            "" => String::new(),
            source => format!("{source}; "),
        };
        l.used.source = format!("{source}at most {} chance", percent(allowed));
        l.used
    });
    finding.probability_outside = Some(probability);
    finding.missing.clear();
    finding.why = Phrase::new();
    finding.verdict = if probability.is_nan() {
        Verdict::Unknown
    } else if probability <= allowed {
        Verdict::Good
    } else if probability >= 0.5 {
        Verdict::Bad
    } else {
        Verdict::Uncertain
    };
    finding.working.rule = Phrase::words(format!(
        "butts with {} probability; allowed {}; bad from 50 %",
        about(probability),
        percent(allowed)
    ));
    if finding.verdict != Verdict::Good {
        finding.why = Phrase::words(format!("butts hot with {} probability at the duty", about(probability)));
        let needed = ring.cold_gap_for(allowed, standards);
        let expanded = 2.0 * standards[1];
        let limit = bench.limit("top_ring_gap").map(|l| l.used);
        let to = limit.and_then(|limit| file_to(&limit, expanded, Some(needed)));
        let to = to.unwrap_or(FileTo::Gap { target: needed + GAP_TOLERANCE, room: None });
        finding.actions.push(file_or_hold(bench, to));
    }
    finding
}
