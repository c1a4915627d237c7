//! Core shift: how far, and to which side, the outside of a cylinder lies off the axis of its bore.

use super::about::About;
use super::answer::Answer;
use super::bench::Bench;
use super::model::{Action, ActionKind, Finding, Verdict};
use super::wall_cut::bored_after;
use crate::document::OperationKind;
use crate::features::{HEIGHTS, Sheet, WALL_DIRECTIONS};
use crate::quantity::{Dimension, Phrase, counted};
use mechanics::math::powi;
use mechanics::metrology::form::magnitude;
use mechanics::metrology::thickness::{WallFit, WallModel, WallReading, fit};
use mechanics::metrology::{SourceId, Uncertain};

/// Explanation for the manual.
pub const ABOUT: &[About] = &[About {
    codes: &["core_shift"],
    asks: "How far does the outside of the cylinder, as the water jacket's core left it, lie off the axis of the bore, and to which side?",
    matters: "The wall is thick on the side that the core has shifted to and thin on the side across; a bore that is cut further keeps that difference.",
    computed: "The outside points r + t are fitted with a circle, r the bore from which the walls were read: all heights in one fit where no two differ by more than 4 u, else the height that is shifted most. The vector points from the axis of the bore to the axis of the outside. Where the walls scatter about the circle, or the heights about their mean, more than the gauge repeats, the scatter goes into U. Asked where a limit is stated; the shift itself stands in the working of the least wall too.",
    to_do: "Judge the thin side by its least wall; map 8 directions at 3 heights before a cut.",
    source: "geometry of two circles; least squares circle of ISO 12181-1; docs/physics/metrology.md",
}];

/// The shift of one cylinder's outside, with what it rests on.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreShift {
    /// The fit that is stated. Its vector points from the axis of the bore to the axis of the outside: x to thrust,
    /// y to the front; the wall is thick where it points to.
    pub fit: WallFit,
    /// Readings and heights that went into it: "24 readings at 3 heights, one circle".
    pub used: String,
    /// Each height that was read in enough directions for a circle of its own, top first.
    pub heights: Vec<(&'static str, WallFit)>,
}

/// Walls that were read at a bore, by height, top first: direction in the order of the sheet, radians from thrust to front.
fn read_walls(bench: Bench<'_>, cylinder: u32) -> Vec<(&'static str, Vec<WallReading>)> {
    let at = |level: usize, height: &str| -> Vec<WallReading> {
        (0..)
            .zip(WALL_DIRECTIONS)
            .filter_map(|(step, direction)| {
                let size = bench.size(&format!("block.wall.{cylinder}.{height}.{direction}"))?;
                Some(WallReading {
                    angle: f64::from(step) * std::f64::consts::FRAC_PI_4,
                    height: level as f64,
                    thickness: size.value.clone(),
                })
            })
            .collect()
    };
    HEIGHTS.iter().enumerate().map(|(level, height)| (*height, at(level, height))).collect()
}

/// Two circles where the bore at which the walls were read is known, else the first harmonic, which needs no bore.
fn model_of(bench: Bench<'_>, cylinder: u32) -> WallModel {
    let after = HEIGHTS
        .iter()
        .flat_map(|h| WALL_DIRECTIONS.map(|d| format!("block.wall.{cylinder}.{h}.{d}")))
        .find_map(|path| bench.size(&path))
        .map(|size| size.after.clone())
        .unwrap_or_default();
    let document = bench.document();
    let bore = if bored_after(bench, &after) { document.layout.bore } else { document.block.bore_as_found };
    match bore {
        Some(bore) if bore.0 > 0.0 => WallModel::EccentricCircles { bore_radius: bore.0 / 2.0 },
        _ => WallModel::FirstHarmonic,
    }
}

/// The core shift of a cylinder from whatever walls were read; none where three directions are not there.
pub fn core_shift(bench: Bench<'_>, cylinder: u32) -> Option<CoreShift> {
    let model = model_of(bench, cylinder);
    let levels = read_walls(bench, cylinder);
    let (heights, roughs): (Vec<(&'static str, WallFit)>, Vec<bool>) = levels
        .iter()
        .filter_map(|(height, read)| Some((*height, fitted(&read.iter().collect::<Vec<_>>(), model, None)?)))
        .map(|(height, (fit, rough))| ((height, fit), rough))
        .unzip();
    let all: Vec<&WallReading> = levels.iter().flat_map(|(_, read)| read).collect();
    // A shift that turns on the way down the bore is no error of the gauge, and repeats do not average it: it goes into U.
    let (together, together_rough) = fitted(&all, model, birge_ratio(&heights, &shared_sources(&all)))?;
    let circle = if matches!(model, WallModel::FirstHarmonic) { "one wave" } else { "one circle" };
    let most =
        heights.iter().zip(roughs).max_by(|(a, _), (b, _)| a.1.shift.value().total_cmp(&b.1.shift.value()));
    let rough_words =
        |rough| if rough { "; they scatter more than the gauge repeats, which is in U" } else { "" };
    match most {
        Some(((height, most), rough)) if heights_differ(&heights) => Some(CoreShift {
            used: format!(
                "{} readings at {height}; the heights differ beyond chance{}",
                most.residuals.len(),
                rough_words(rough)
            ),
            fit: most.clone(),
            heights,
        }),
        _ => {
            let read = levels.iter().filter(|(_, read)| !read.is_empty()).count();
            let levels = counted(read, "height", "heights");
            // Three readings always lie on some circle.
            let spare = if all.len() == 3 { ", none to spare: a wrong reading would not show" } else { "" };
            let rough = rough_words(together_rough);
            Some(CoreShift {
                used: format!("{} readings at {levels}, {circle}{spare}{rough}", all.len()),
                fit: together,
                heights,
            })
        }
    }
}

/// √(χ²/ν) of the vectors of the heights about their mean by their own terms, where χ² is above what 5 % of maps pass by chance; none
/// otherwise. R. T. Birge, Physical Review 40 (1932), 207, from memory; 5 % points of χ² from tables.
fn birge_ratio(heights: &[(&'static str, WallFit)], shared: &[SourceId]) -> Option<f64> {
    let by_chance = match heights.len() {
        2 => 5.991,
        3 => 9.488,
        _ => return None,
    };
    let of_one = |part: fn(&WallFit) -> &Uncertain| -> f64 {
        let mean = heights.iter().map(|(_, fit)| part(fit).value()).sum::<f64>() / heights.len() as f64;
        let off = |fit: &WallFit| (part(fit).value() - mean) / own_standard(part(fit), shared);
        heights.iter().map(|(_, fit)| powi(off(fit), 2)).sum()
    };
    let chi_square = of_one(|fit| &fit.shift_x) + of_one(|fit| &fit.shift_y);
    let degrees = 2.0 * (heights.len() - 1) as f64;
    (chi_square.is_finite() && chi_square > by_chance).then(|| (chi_square / degrees).sqrt())
}

/// Terms of a value that it does not share.
fn own_terms(value: &Uncertain, shared: &[SourceId]) -> impl Iterator<Item = (SourceId, f64)> {
    value.terms().iter().copied().filter(|(id, _)| !shared.contains(id))
}

/// Standard uncertainty of a value without what it shares.
fn own_standard(value: &Uncertain, shared: &[SourceId]) -> f64 {
    own_terms(value, shared).map(|(_, c)| c * c).sum::<f64>().sqrt()
}

/// Do two heights differ beyond chance? Of a vector with two parts of one size, 4 u are passed by chance in exp(−16/2) = 0.03 %
/// of cases (Rayleigh's distribution): one map in about a thousand rests on one height without need. Shared terms cancel.
fn heights_differ(heights: &[(&'static str, WallFit)]) -> bool {
    let apart = |one: &WallFit, other: &WallFit| {
        let off = magnitude(&(&one.shift_x - &other.shift_x), &(&one.shift_y - &other.shift_y));
        off.value() > 4.0 * off.standard()
    };
    heights.iter().enumerate().any(|(i, (_, one))| heights[..i].iter().any(|(_, other)| apart(one, other)))
}

/// A fit whose uncertainty holds the scatter of the walls where that is more than the readings promise, and whether it is: a casting
/// is rougher than two circles. `beyond` is how many times as much as all that the heights scatter.
fn fitted(readings: &[&WallReading], model: WallModel, beyond: Option<f64>) -> Option<(WallFit, bool)> {
    let first = fit(readings, model).ok()?;
    let shared = shared_sources(readings);
    let about_the_circle = first.scatter.unwrap_or(0.0);
    let scatter = beyond.map_or(about_the_circle, |times| {
        let promised = readings.iter().map(|r| own_standard(&r.thickness, &shared));
        times * promised.fold(about_the_circle, f64::max)
    });
    let wide: Vec<Option<Uncertain>> =
        readings.iter().map(|r| widened(&r.thickness, &shared, scatter)).collect();
    if wide.iter().all(Option::is_none) {
        return Some((first, false));
    }
    let rough: Vec<WallReading> = readings
        .iter()
        .zip(wide)
        .map(|(r, wide)| WallReading {
            thickness: wide.unwrap_or_else(|| r.thickness.clone()),
            ..(*r).clone()
        })
        .collect();
    Some((fit(&rough.iter().collect::<Vec<_>>(), model).ok()?, true))
}

/// Sources of error that more than one reading holds: the speed of sound, the zero of the gauge.
fn shared_sources(readings: &[&WallReading]) -> Vec<SourceId> {
    let mut all: Vec<SourceId> =
        readings.iter().flat_map(|r| r.thickness.terms().iter().map(|(id, _)| *id)).collect();
    all.sort_by_key(|id| id.0);
    all.chunk_by(|a, b| a == b).filter(|same| same.len() > 1).map(|same| same[0]).collect()
}

/// The reading with `scatter` as the standard uncertainty of its own terms; none where they promise as much already.
fn widened(reading: &Uncertain, shared: &[SourceId], scatter: f64) -> Option<Uncertain> {
    let promised = own_standard(reading, shared);
    let more = promised > 0.0 && scatter > promised;
    let wide = || {
        own_terms(reading, shared)
            .fold(reading.clone(), |wide, (id, c)| wide.with_term(id, c * (scatter / promised - 1.0)))
    };
    more.then(wide)
}

/// What the fit of the shift is computed by.
pub(super) const fn formula_of(model: WallModel) -> &'static str {
    match model {
        WallModel::EccentricCircles { .. } => {
            "s = √(sₓ² + sᵧ²); least Σ(│P − s│ − R)² over the outside points P = (bore/2 + t) at φ"
        }
        WallModel::FirstHarmonic => "s = √(sₓ² + sᵧ²); least Σ(t − m − sₓ cos φ − sᵧ sin φ)²",
    }
}

/// Notes both parts of the vector as inputs, and what they rest on.
pub(super) fn note(answer: &mut Answer<'_>, shift: &CoreShift) {
    let from = &shift.used;
    answer.computed("core shift toward thrust, sₓ", &shift.fit.shift_x, Dimension::Length, from);
    answer.computed("core shift toward the front, sᵧ", &shift.fit.shift_y, Dimension::Length, from);
}

/// "core shift 1.90 ± 0.05 mm toward anti-thrust: thick there, thin toward thrust (8 readings at mid …)".
pub(super) fn sentence(shift: &CoreShift) -> Phrase {
    let size = &shift.fit.shift;
    let said = Phrase::words("core shift ").measured(size.value(), size.expanded(), Dimension::Length);
    if size.value() <= size.expanded() {
        return said.say(format!(", not more than its U: no side can be named ({})", shift.used));
    }
    let (x, y) = (shift.fit.shift_x.value(), shift.fit.shift_y.value());
    said.say(format!(
        " toward {}: the wall is thick there and thin toward {} ({})",
        side(x, y),
        side(-x, -y),
        shift.used
    ))
}

/// The side of the bore that a vector points to: x to thrust, y to the front.
fn side(x: f64, y: f64) -> &'static str {
    let (ax, ay) = (x.abs(), y.abs());
    match (ax >= 2.0 * ay, ay >= 2.0 * ax, x >= 0.0, y >= 0.0) {
        (true, _, true, _) => "thrust",
        (true, _, false, _) => "anti-thrust",
        (_, true, _, true) => "the front",
        (_, true, _, false) => "the rear",
        (_, _, true, true) => "thrust and front",
        (_, _, true, false) => "thrust and rear",
        (_, _, false, true) => "anti-thrust and front",
        (_, _, false, false) => "anti-thrust and rear",
    }
}

/// What a thin wall and a core that has shifted both ask for first, in the same words, so that the plan has one line for them.
pub(super) fn map_again(bench: Bench<'_>) -> Phrase {
    let bored = bench.engine.operations.iter().any(|o| o.did(OperationKind::Bore));
    let not = if bored { "or hone on" } else { "first" };
    Phrase::words(format!(
        "Do not bore {not}: calibrate the gauge on this casting and map this bore again, 8 directions at 3 heights"
    ))
}

/// The question by itself, where a limit is stated.
pub(super) fn finding(bench: Bench<'_>, cylinder: u32, shift: Option<&CoreShift>) -> Option<Finding> {
    bench.document().limits.core_shift.as_ref()?;
    let mut answer = Answer::new(
        bench,
        "core_shift",
        Sheet::Casting,
        format!("bore {cylinder}"),
        &cylinder.to_string(),
        "core shift",
    )
    .limit("core_shift")
    .part("block")
    .formula(formula_of(model_of(bench, cylinder)), "two circles; least squares circle of ISO 12181-1");
    for height in HEIGHTS {
        for direction in WALL_DIRECTIONS {
            answer.read(&format!("block.wall.{cylinder}.{height}.{direction}"));
        }
    }
    if let Some(shift) = shift {
        if let WallModel::EccentricCircles { bore_radius } = shift.fit.model {
            let bore = Uncertain::exact(2.0 * bore_radius);
            answer.input(
                "bore from which the walls were read, nominal, taken as exact",
                &bore,
                Dimension::Length,
            );
        }
        note(&mut answer, shift);
    }
    answer.value(shift.map(|s| s.fit.shift.clone()), false);
    let mut finding = answer.finish();
    let Some(shift) = shift else { return Some(finding) };
    finding.why = sentence(shift);
    if matches!(finding.verdict, Verdict::Bad | Verdict::Uncertain) {
        finding.actions.push(
            Action::new(ActionKind::Hold, map_again(bench))
                .gives(Phrase::words("the thin side is then judged by its least wall"))
                .supplied(bench.job(OperationKind::Handled)),
        );
    }
    Some(finding)
}
