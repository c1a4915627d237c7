//! Bores: size, taper, out-of-round, surface.

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use crate::document::OperationKind;
use crate::features::{HEIGHTS, Sheet};
use crate::quantity::{Dimension, Phrase};
use mechanics::metrology::Uncertain;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["bore_size"],
        asks: "Is the bore, mean of all heights and both directions, inside its range?",
        matters: "Piston clearance and ring gap follow from it.",
        computed: "Mean of the readings of one bore, each corrected to 20 °C.",
        to_do: "Hone to the target, or give the bore the piston that fits.",
        source: "ISO 1; JCGM 100",
    },
    About {
        codes: &["bore_taper"],
        asks: "Does the bore keep its size from top to bottom?",
        matters: "Rings pump in and out of their grooves and the gap changes with every stroke.",
        computed: "Largest less smallest level, each level the mean of both directions; shared gauge errors cancel.",
        to_do: "Hone over the full length to the largest level.",
        source: "definition",
    },
    About {
        codes: &["bore_round"],
        asks: "Is the bore round, as far as two points can see?",
        matters: "Rings leave light where the bore is oval.",
        computed: "Largest difference of both directions at one level. Two points are blind to three-lobed form.",
        to_do: "Hone with the torque plate on.",
        source: "definition; ISO 12181-1 for what a circle would need",
    },
    About {
        codes: &["bore_rk", "bore_rpk", "bore_rvk"],
        asks: "Are Rk, Rpk and Rvk of the bore in range?",
        matters: "Peaks wear the rings, valleys hold the oil.",
        computed: "As read.",
        to_do: "Plateau or hone again.",
        source: "ISO 21920-2",
    },
];

fn path(cylinder: u32, height: &str, direction: &str) -> String {
    format!("block.bore.{cylinder}.{height}.{direction}")
}

/// Readings of one bore, level by level; None until all are there.
fn levels(answer: &mut Answer<'_>, cylinder: u32) -> Option<Vec<[Uncertain; 2]>> {
    let paths: Vec<String> =
        HEIGHTS.iter().flat_map(|h| ["thrust", "along"].map(|d| path(cylinder, h, d))).collect();
    let values = answer.read_all(&paths)?;
    Some(values.chunks_exact(2).map(|pair| [pair[0].clone(), pair[1].clone()]).collect())
}

fn level_means(levels: &[[Uncertain; 2]]) -> Vec<Uncertain> {
    levels.iter().map(|[a, b]| (a + b).scaled(0.5)).collect()
}

/// Mean size of a bore from whatever heights were read, with the paths that were used.
pub fn mean_size(bench: Bench<'_>, cylinder: u32) -> Option<Uncertain> {
    let sizes: Vec<&Uncertain> = HEIGHTS
        .iter()
        .flat_map(|h| ["thrust", "along"].map(|d| path(cylinder, h, d)))
        .filter_map(|p| bench.size(&p).map(|s| &s.value))
        .collect();
    Uncertain::mean(&sizes)
}

/// Size of a bore near its top, where the top ring turns round and its gap is read.
pub fn top_size(bench: Bench<'_>, cylinder: u32) -> Option<Uncertain> {
    let sizes: Vec<&Uncertain> = ["thrust", "along"]
        .iter()
        .filter_map(|d| bench.size(&path(cylinder, "top", d)).map(|s| &s.value))
        .collect();
    Uncertain::mean(&sizes)
}

/// All questions on bores.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    bench
        .cylinders()
        .flat_map(|c| [size(bench, c), taper(bench, c), round(bench, c)])
        .chain(surface(bench))
        .collect()
}

fn answer<'a>(bench: Bench<'a>, code: &'static str, cylinder: u32, question: &str) -> Answer<'a> {
    Answer::new(bench, code, Sheet::Bores, format!("bore {cylinder}"), &cylinder.to_string(), question)
        .part("block")
}

fn size(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = answer(bench, "bore_size", cylinder, "size")
        .limit("bore")
        .formula("mean of 3 heights × 2 directions", "ISO 1, JCGM 100");
    let mean = levels(&mut answer, cylinder)
        .and_then(|levels| Uncertain::mean(&level_means(&levels).iter().collect::<Vec<_>>()));
    answer.value(mean, false);
    let mut finding = answer.finish();
    let above =
        finding.value.zip(finding.limit.as_ref()).is_some_and(|(v, l)| l.max.is_some_and(|m| v.value > m));
    if finding.verdict == Verdict::Bad {
        let text = if above {
            Phrase::words("Fit the piston that suits, or the next oversize; metal cannot be put back")
        } else {
            Phrase::words("Hone to ")
                .length(finding.limit.as_ref().and_then(|l| l.min.or(l.max)).unwrap_or_default())
        };
        finding.actions.push(Action::new(ActionKind::Cut, text).supplied(bench.job(OperationKind::Hone)));
    }
    finding
}

fn taper(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = answer(bench, "bore_taper", cylinder, "taper").limit("bore_taper").formula(
        "largest level − smallest level, level = (thrust + along)/2",
        "definition; shared terms cancel, JCGM 100 F.1.2",
    );
    let means = levels(&mut answer, cylinder).map(|l| level_means(&l));
    let extremes = means.as_ref().and_then(|m| {
        let largest = m.iter().max_by(|a, b| a.value().total_cmp(&b.value()))?;
        let smallest = m.iter().min_by(|a, b| a.value().total_cmp(&b.value()))?;
        Some((largest.clone(), smallest.clone()))
    });
    answer.value(extremes.as_ref().map(|(a, b)| a - b), false);
    let mut finding = answer.finish();
    if let (Verdict::Bad | Verdict::Uncertain, Some((largest, smallest))) = (finding.verdict, &extremes) {
        let target = hone_target(largest.value());
        finding.why =
            Phrase::words("levels from ").length(smallest.value()).say(" to ").length(largest.value());
        if finding.verdict == Verdict::Bad {
            finding.actions.push(
                Action::new(
                    ActionKind::Cut,
                    Phrase::words("Hone to ")
                        .length(target)
                        .say(" over the full length, torque plate on, then match the pistons again"),
                )
                .gives(Phrase::words("taper within the limit; ring gaps and clearances open again"))
                .supplied(bench.job(OperationKind::Hone)),
            );
        } else {
            finding.actions.push(Action::new(
                ActionKind::Measure,
                Phrase::words("Read the levels of this bore again, twice each"),
            ));
        }
    }
    finding
}

/// The smallest size that takes out the taper, with 2 µm to clean up, to the next 5 µm. Common practice, no source.
pub fn hone_target(largest: f64) -> f64 {
    const STEP: f64 = 5e-6;
    ((largest + 1.5e-6) / STEP - 1e-6).ceil() * STEP
}

fn round(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = answer(bench, "bore_round", cylinder, "out-of-round, two points")
        .limit("bore_round")
        .formula("largest |thrust − along| at one level", "definition; blind to odd lobes");
    let worst = levels(&mut answer, cylinder).and_then(|levels| {
        let differences = levels.iter().map(|[a, b]| if a.value() >= b.value() { a - b } else { b - a });
        differences.max_by(|a, b| a.value().total_cmp(&b.value()))
    });
    answer.value(worst, false);
    let mut finding = answer.finish();
    if finding.verdict == Verdict::Bad {
        finding.actions.push(
            Action::new(ActionKind::Cut, Phrase::words("Hone round with the torque plate on"))
                .supplied(bench.job(OperationKind::Hone)),
        );
    }
    finding
}

fn surface(bench: Bench<'_>) -> Vec<Finding> {
    let questions = [("bore_rk", "rk", "Rk"), ("bore_rpk", "rpk", "Rpk"), ("bore_rvk", "rvk", "Rvk")];
    bench
        .cylinders()
        .flat_map(|c| questions.map(|(limit, ending, word)| (c, limit, ending, word)))
        .map(|(cylinder, limit, ending, word)| {
            let mut answer = Answer::new(
                bench,
                limit,
                Sheet::Bores,
                format!("bore {cylinder}"),
                &cylinder.to_string(),
                word,
            )
            .limit(limit)
            .dimension(Dimension::Roughness)
            .formula("as read", "ISO 21920-2");
            let value = answer.read(&format!("block.bore_surface.{cylinder}.{ending}"));
            answer.value(value, false);
            let mut finding = answer.finish();
            if finding.verdict == Verdict::Bad {
                finding.actions.push(
                    Action::new(
                        ActionKind::Cut,
                        Phrase::words("Plateau or hone again to the ring maker's surface"),
                    )
                    .supplied(bench.job(OperationKind::Hone)),
                );
            }
            finding
        })
        .collect()
}
