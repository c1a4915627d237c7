//! Bores: size, taper, out-of-round, surface.

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use crate::document::OperationKind;
use crate::features::{HEIGHTS, Sheet};
use crate::quantity::{Dimension, Phrase, phrase_list};
use mechanics::metrology::Uncertain;

/// Explanations for the manual.
pub const ABOUT: &[About] = &[
    About {
        codes: &["bore_size"],
        asks: "Is the bore, mean of all heights and both directions, inside its range?",
        matters: "Piston clearance and ring gap follow from it.",
        computed: "Mean of the readings of one bore, each corrected to 20 °C.",
        to_do: "Hone to the target, or give the bore the piston that fits. A bore has one target: the largest that its size, taper and out-of-round ask for. One that does not clean up inside the greatest bore allowed is not honed: it is sleeved, or all are bored for oversize pistons.",
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
        to_do: "Hone round, with the torque plate on where the block has one.",
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

/// All places of a bore, level by level.
pub(super) fn places(cylinder: u32) -> impl Iterator<Item = String> {
    HEIGHTS.iter().flat_map(move |height| ["thrust", "along"].map(|way| path(cylinder, height, way)))
}

/// Places of a bore that were read before it was cut, where others were read after it.
pub fn left_from_before(bench: Bench<'_>, cylinder: u32) -> Vec<String> {
    let read = places(cylinder).filter_map(|path| bench.size(&path).map(|size| (path, size.stale)));
    let (before, after): (Vec<_>, Vec<_>) = read.partition(|(_, stale)| *stale);
    if after.is_empty() { Vec::new() } else { before.into_iter().map(|(path, _)| path).collect() }
}

/// What comes before any order to cut a bore that is read in part: the rest of it.
fn read_the_rest(mut finding: Finding, bench: Bench<'_>, cylinder: u32) -> Finding {
    let left = left_from_before(bench, cylinder);
    if left.is_empty() {
        return finding;
    }
    // Not an old answer, but none.
    finding.stale = false;
    let places: Vec<String> = left.iter().map(|path| short_place(path)).collect();
    let one = left.len() == 1;
    finding.why = Phrase::words(format!(
        "{} {} read before the bore was cut, the others after it: together they are no size",
        phrase_list(&places),
        if one { "was" } else { "were" }
    ));
    finding.actions = vec![Action::new(
        ActionKind::Measure,
        Phrase::words(format!("Read {} of this bore first, as it is now", phrase_list(&places))),
    )];
    finding
}

/// "mid along" of `block.bore.2.mid.along`.
fn short_place(path: &str) -> String {
    path.split('.').skip(3).collect::<Vec<_>>().join(" ")
}

/// Readings of one bore, level by level; None until all are there, all of them from before its last cut or all from after it.
fn levels(answer: &mut Answer<'_>, cylinder: u32) -> Option<Vec<[Uncertain; 2]>> {
    let paths: Vec<String> = places(cylinder).collect();
    let values = answer.read_all(&paths)?;
    // Sizes from before a cut and from after it are those of two bores.
    let left = left_from_before(answer.bench(), cylinder);
    if !left.is_empty() {
        for path in &left {
            answer.read_again(path);
        }
        return None;
    }
    Some(values.chunks_exact(2).map(|pair| [pair[0].clone(), pair[1].clone()]).collect())
}

fn level_means(levels: &[[Uncertain; 2]]) -> Vec<Uncertain> {
    levels.iter().map(|[a, b]| (a + b).scaled(0.5)).collect()
}

/// Mean size of a bore from whatever heights were read, with the paths that were used.
pub fn mean_size(bench: Bench<'_>, cylinder: u32) -> Option<Uncertain> {
    let sizes: Vec<&Uncertain> = places(cylinder).filter_map(|p| bench.size(&p).map(|s| &s.value)).collect();
    Uncertain::mean(&sizes)
}

/// Places of a bore near its top.
pub(super) fn top_places(cylinder: u32) -> impl Iterator<Item = String> {
    ["thrust", "along"].into_iter().map(move |way| path(cylinder, "top", way))
}

/// Size of a bore near its top, where the top ring turns round and its gap is read.
pub fn top_size(bench: Bench<'_>, cylinder: u32) -> Option<Uncertain> {
    let sizes: Vec<&Uncertain> =
        top_places(cylinder).filter_map(|p| bench.size(&p).map(|s| &s.value)).collect();
    Uncertain::mean(&sizes)
}

/// All questions on bores.
pub fn findings(bench: Bench<'_>) -> Vec<Finding> {
    let mut all: Vec<Finding> = bench
        .cylinders()
        .flat_map(|c| with_one_cure(bench, [size(bench, c), taper(bench, c), round(bench, c)]))
        .chain(surface(bench))
        .collect();
    surfaces_of_outgrown_bores(bench, &mut all);
    all
}

/// A bore is honed once: every finding of it that asks for the hone names the one target. Where no hone is left, all of them name what
/// is, and follow from the first.
fn with_one_cure(bench: Bench<'_>, mut of_bore: [Finding; 3]) -> [Finding; 3] {
    if let Some(outgrown) = outgrown(bench, &of_bore) {
        let cause = of_bore.iter().find(|f| f.verdict == Verdict::Bad).map(|f| f.id.clone());
        let open = |f: &&mut Finding| matches!(f.verdict, Verdict::Bad | Verdict::Uncertain);
        for finding in of_bore.iter_mut().filter(open) {
            // What is asked about stays asked.
            if finding.actions.iter().all(|a| a.kind != ActionKind::Ask) {
                finding.actions = vec![outgrown.action(bench)];
            }
            finding.follows = cause.clone().filter(|id| *id != finding.id);
        }
        return of_bore;
    }
    let Some(order) = hone_of(bench, &of_bore) else { return of_bore };
    for finding in of_bore.iter_mut().filter(|f| wish(bench, f).is_some()) {
        let mut action =
            Action::new(ActionKind::Cut, order.words(bench).say(", then match the pistons again"))
                .supplied(bench.job(OperationKind::Hone));
        if finding.code == "bore_taper" {
            action =
                action.gives(Phrase::words("taper within the limit; ring gaps and clearances open again"));
        }
        finding.actions.push(action);
    }
    of_bore
}

/// A surface that is to be mended goes with a bore that is not honed any more.
fn surfaces_of_outgrown_bores(bench: Bench<'_>, all: &mut [Finding]) {
    for cylinder in bench.cylinders() {
        let label = format!("bore {cylinder}");
        let of_bore = || all.iter().filter(|f| f.subject.label == label);
        let Some(outgrown) = outgrown(bench, of_bore()) else { continue };
        let Some(cause) = of_bore().find(|f| f.verdict == Verdict::Bad).map(|f| f.id.clone()) else {
            continue;
        };
        let surface = |f: &&mut Finding| {
            f.subject.label == label
                && matches!(f.code, "bore_rk" | "bore_rpk" | "bore_rvk")
                && f.verdict == Verdict::Bad
        };
        for finding in all.iter_mut().filter(surface) {
            finding.actions = vec![outgrown.action(bench)];
            finding.follows = Some(cause.clone());
        }
    }
}

/// The one order to hone a bore, from all its findings: the largest of the sizes that its own size, its taper and its out-of-round ask
/// for, since each of the others is cured on the way there. None where none of them asks for a hone, and where one of them asks for more
/// than the greatest bore allowed ([`outgrown`]).
pub fn hone_of<'f>(bench: Bench<'_>, of_bore: impl IntoIterator<Item = &'f Finding>) -> Option<HoneOrder> {
    let wishes = of_bore.into_iter().filter_map(|finding| wish(bench, finding));
    let orders: Option<Vec<HoneOrder>> = wishes.map(Result::ok).collect();
    orders?.into_iter().max_by(|a, b| a.target.total_cmp(&b.target))
}

/// Set where a bore asks for a hone and does not clean up inside the greatest bore allowed.
pub fn outgrown<'f>(bench: Bench<'_>, of_bore: impl IntoIterator<Item = &'f Finding>) -> Option<Outgrown> {
    of_bore.into_iter().find_map(|finding| wish(bench, finding)?.err())
}

/// The hone that one finding of a bore asks for.
fn wish(bench: Bench<'_>, finding: &Finding) -> Option<Result<HoneOrder, Outgrown>> {
    if finding.verdict != Verdict::Bad {
        return None;
    }
    let (_, most) = bore_extremes(finding);
    match finding.code {
        "bore_size" => {
            let (value, limit) = finding.value.zip(finding.limit.as_ref())?;
            limit.min.filter(|min| value.value < *min)?;
            Some(size_order(bench, limit.aim()?, most))
        }
        "bore_taper" => Some(hone_order(bench, largest_level(finding), most)),
        "bore_round" => Some(hone_order(bench, most, most)),
        _ => None,
    }
}

/// Smallest and largest single reading of a bore, m.
pub fn bore_extremes(finding: &Finding) -> (f64, f64) {
    let readings = || finding.working.inputs.iter().map(|i| i.value.value);
    (readings().fold(f64::INFINITY, f64::min), readings().fold(f64::NEG_INFINITY, f64::max))
}

/// Largest mean of both directions at one height, m; the inputs stand in pairs.
fn largest_level(finding: &Finding) -> f64 {
    finding
        .working
        .inputs
        .chunks(2)
        .map(|pair| pair.iter().map(|i| i.value.value).sum::<f64>() / pair.len() as f64)
        .fold(f64::NEG_INFINITY, f64::max)
}

fn answer<'a>(bench: Bench<'a>, code: &'static str, cylinder: u32, question: &str) -> Answer<'a> {
    Answer::new(bench, code, Sheet::Bores, format!("bore {cylinder}"), &cylinder.to_string(), question)
        .part(&bench.document().bore_part(cylinder))
}

fn size(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = answer(bench, "bore_size", cylinder, "size")
        .limit("bore")
        .formula("mean of 3 heights × 2 directions", "ISO 1, JCGM 100");
    let levels = levels(&mut answer, cylinder);
    let mean = levels.and_then(|levels| Uncertain::mean(&level_means(&levels).iter().collect::<Vec<_>>()));
    answer.value(mean, false);
    let mut finding = read_the_rest(answer.finish(), bench, cylinder);
    let above =
        finding.value.zip(finding.limit.as_ref()).is_some_and(|(v, l)| l.max.is_some_and(|m| v.value > m));
    if finding.verdict == Verdict::Bad && above {
        let text = Phrase::words("Fit the piston that suits, or the next oversize; metal cannot be put back");
        finding.actions.push(Action::new(ActionKind::Cut, text).supplied(bench.job(OperationKind::Hone)));
    }
    finding
}

fn taper(bench: Bench<'_>, cylinder: u32) -> Finding {
    let mut answer = answer(bench, "bore_taper", cylinder, "taper").limit("bore_taper").formula(
        "largest level − smallest level, level = (thrust + along)/2",
        "definition; shared terms cancel, JCGM 100 F.1.2",
    );
    let levels = levels(&mut answer, cylinder);
    let means = levels.map(|l| level_means(&l));
    let extremes = means.as_ref().and_then(|m| {
        let largest = m.iter().max_by(|a, b| a.value().total_cmp(&b.value()))?;
        let smallest = m.iter().min_by(|a, b| a.value().total_cmp(&b.value()))?;
        Some((largest.clone(), smallest.clone()))
    });
    answer.value(extremes.as_ref().map(|(a, b)| a - b), false);
    let mut finding = read_the_rest(answer.finish(), bench, cylinder);
    if let (Verdict::Bad | Verdict::Uncertain, Some((largest, smallest))) = (finding.verdict, &extremes) {
        finding.why =
            Phrase::words("levels from ").length(smallest.value()).say(" to ").length(largest.value());
        if finding.verdict == Verdict::Uncertain {
            finding.actions.push(Action::new(
                ActionKind::Measure,
                Phrase::words("Read the levels of this bore again, twice each"),
            ));
        }
    }
    finding
}

/// "torque plate on" only where the block is finished with one.
pub fn with_plate(bench: Bench<'_>, words: &'static str) -> &'static str {
    if bench.document().block.torque_plate == Some(true) { words } else { "" }
}

/// Plus and minus tolerance of an order to hone, m. Common practice, no source.
pub const HONE_TOLERANCE: f64 = 2e-6;
/// What a hone takes off the largest level to clean up, m. Common practice, no source.
const CLEAN_UP: f64 = 1.5e-6;
/// By how much the target stands above the largest single reading, m: a hone puts no metal back. Common practice, no source.
const ABOVE_THE_LARGEST: f64 = 0.5e-6;

/// Smallest usual step of oversize pistons, m on diameter. Common practice, no source.
const OVERSIZE_STEP: f64 = 0.25e-3;

/// A bore that does not clean up inside the greatest bore allowed: it gets no hone at all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outgrown {
    /// Largest single reading, m.
    pub largest: f64,
    /// Greatest bore allowed, m.
    pub greatest: f64,
}

impl Outgrown {
    /// "Sleeve this bore and hone the sleeve to its piston, or bore all cylinders to the next oversize and fit oversize pistons: …"; a new liner where there are liners.
    pub fn words(&self, bench: Bench<'_>) -> Phrase {
        let words = Phrase::words(if bench.document().block.is_lined() {
            "Fit a new liner and hone it to its piston"
        } else {
            "Sleeve this bore and hone the sleeve to its piston"
        });
        let words = words.say(if self.has_oversize(bench) {
            ", or bore all cylinders to the next oversize and fit oversize pistons: "
        } else {
            "; the class rule on swept volume leaves no oversize: "
        });
        words
            .say("with its largest reading of ")
            .length(self.largest)
            .say(" it does not clean up inside the greatest bore allowed, ")
            .length(self.greatest)
    }

    /// Is there another way than the sleeve? Not where the class rule on swept volume is broken by the smallest usual oversize.
    pub fn has_oversize(&self, bench: Bench<'_>) -> bool {
        let stroke = bench.document().layout.stroke.map(|s| s.0);
        let most = bench.limit("swept_volume").and_then(|l| l.used.max);
        let cylinders = bench.cylinders().count() as f64;
        let bored = |stroke: f64| {
            cylinders * mechanics::compression::swept_volume(self.greatest + OVERSIZE_STEP, stroke).value
        };
        most.zip(stroke).is_none_or(|(most, stroke)| bored(stroke) <= most)
    }

    fn action(&self, bench: Bench<'_>) -> Action {
        Action::new(ActionKind::Cut, self.words(bench))
            .gives(Phrase::words("a bore of its size again; ring gaps and clearances open again"))
            .supplied(bench.job(OperationKind::Sleeve))
            .caution(crate::cautions::SLEEVE)
    }
}

/// An order to hone a bore: the target with its tolerance stands inside the limits of the bore.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HoneOrder {
    /// Size to reach, m.
    pub target: f64,
    /// Plus and minus tolerance of the order, m: the usual one.
    pub tolerance: f64,
    /// Tolerance that would be needed, m, where the limits leave less room than the usual one.
    pub needed: Option<f64>,
}

/// The smallest size that takes out the taper and cleans up the largest level and the largest single reading, to the next 5 µm; where
/// that with its tolerance would reach past the greatest allowed bore, as large as the limits allow. Common practice, no source.
fn hone_order(bench: Bench<'_>, largest_level: f64, largest_reading: f64) -> Result<HoneOrder, Outgrown> {
    const STEP: f64 = 5e-6;
    let least = (largest_level + CLEAN_UP).max(largest_reading + ABOVE_THE_LARGEST);
    let wish = (least / STEP - 1e-6).ceil() * STEP;
    inside(wish, least, largest_reading, bore_limits(bench))
}

/// To a size of its own, as near as the limits with the tolerance and the largest single reading allow.
fn size_order(bench: Bench<'_>, aim: f64, largest_reading: f64) -> Result<HoneOrder, Outgrown> {
    inside(aim, largest_reading + ABOVE_THE_LARGEST, largest_reading, bore_limits(bench))
}

fn bore_limits(bench: Bench<'_>) -> (Option<f64>, Option<f64>) {
    bench.limit("bore").map_or((None, None), |l| (l.used.min, l.used.max))
}

/// Room of less than this is none that a hone could keep, m.
const LEAST_ROOM: f64 = 0.5e-6;

/// The target nearest to the wish that stands inside the limits with its whole tolerance and is no smaller than `least`; where there is
/// none, the middle of what is left, and the tolerance that this would take. Where nothing is left the bore has outgrown its limits.
fn inside(
    wish: f64,
    least: f64,
    largest: f64,
    (min, max): (Option<f64>, Option<f64>),
) -> Result<HoneOrder, Outgrown> {
    // A hair of a micrometre for the arithmetic of decimal figures.
    const HAIR: f64 = 1e-9;
    const STEP: f64 = 1e-6;
    let tolerance = HONE_TOLERANCE;
    let low = min.map_or(f64::NEG_INFINITY, |m| m + tolerance).max(least);
    let high = max.map_or(f64::INFINITY, |m| m - tolerance);
    if low > high + HAIR {
        let from = min.unwrap_or(f64::NEG_INFINITY).max(least);
        let to = max.unwrap_or(from);
        let room = (to - from) / 2.0;
        if room < LEAST_ROOM {
            return Err(Outgrown { largest, greatest: to });
        }
        return Ok(HoneOrder { target: f64::midpoint(from, to), tolerance, needed: Some(room) });
    }
    let target = if wish > high + HAIR {
        // Whole micrometres, where one lies between.
        Some((high / STEP + 1e-3).floor() * STEP).filter(|t| *t >= low - HAIR).unwrap_or(high)
    } else if wish < low - HAIR {
        Some((low / STEP - 1e-3).ceil() * STEP).filter(|t| *t <= high + HAIR).unwrap_or(low)
    } else {
        wish
    };
    Ok(HoneOrder { target, tolerance, needed: None })
}

impl HoneOrder {
    /// "Hone to 89.105 mm over the full length, torque plate on".
    pub fn words(&self, bench: Bench<'_>) -> Phrase {
        let words = Phrase::words("Hone to ").length(self.target).say(" over the full length");
        self.warn(words.say(with_plate(bench, ", torque plate on")))
    }

    /// Says where the limits leave less room than the tolerance of the order.
    pub fn warn(&self, words: Phrase) -> Phrase {
        match self.needed {
            None => words,
            Some(needed) => words
                .say(" (cleaning up and the limits leave room for \u{b1} ")
                .value(needed, Dimension::Length, 4)
                .say(" only, not for the usual \u{b1} ")
                .length(self.tolerance)
                .say(": order that tolerance, or take the next oversize)"),
        }
    }
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
    read_the_rest(answer.finish(), bench, cylinder)
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
