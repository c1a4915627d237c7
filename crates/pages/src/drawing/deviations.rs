//! Bores and journals with their deviation enlarged: walls to either side of the axis, allowed band grey, uncertainty
//! as bars, dashed where nothing was read.

use super::hand::{ACCENT, ALLOWED, AXIS, HIDDEN, INK, SMALL, SOFT, halo, round_step_down, span, type_of};
use super::measured::{Allowed, Figures, Value};
use super::svg::{Align, Point, Svg};

/// Inside or outside sizes: which side of the line is metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// A bore: metal outside.
    Bore,
    /// A journal: metal inside.
    Journal,
}

/// One bore or journal.
#[derive(Clone, Debug, PartialEq)]
pub struct Round {
    /// Its number or name.
    pub label: String,
    /// For each level from the top: the diameter in the first and the second direction.
    pub levels: Vec<[Option<Value>; 2]>,
    /// Something about it stops the build.
    pub stops: bool,
}

/// All of one kind.
#[derive(Clone, Debug, PartialEq)]
pub struct Deviations<'a> {
    /// Bore or journal.
    pub surface: Surface,
    /// One after the other, 1 to 13.
    pub rounds: Vec<Round>,
    /// Names of the levels.
    pub levels: &'a [&'a str],
    /// Names of the two directions: left wall, right wall.
    pub directions: [&'a str; 2],
    /// Size from which deviations count, SI; the middle of the readings when there is none.
    pub reference: Option<f64>,
    /// Allowed size.
    pub allowed: Allowed,
    /// How figures are written.
    pub figures: Figures,
    /// Width at which it is shown, px.
    pub width: f64,
}

/// Height of one level, px.
const LEVEL: f64 = 54.0;

/// How much a deviation is enlarged.
pub(super) struct Scale {
    pub(super) reference: f64,
    pub(super) factor: f64,
    /// px of wall movement per m of diameter.
    px: f64,
    /// Axis to wall, px.
    half: f64,
    /// How far a wall may move, px.
    room: f64,
}

/// Draws them; empty text when there is nothing to draw.
pub fn deviations(drawing: &Deviations) -> String {
    let count = drawing.rounds.len();
    if count == 0 {
        return String::new();
    }
    let per_row = count.min(((drawing.width - 16.0) / 132.0).floor().max(1.0) as usize);
    let rows = count.div_ceil(per_row);
    let per_row = count.div_ceil(rows);
    let cell = ((drawing.width - 16.0) / per_row as f64).min(330.0);
    let Some(scale) = Scale::of(drawing, cell) else { return String::new() };
    let height = 40.0 + LEVEL * drawing.levels.len().max(2) as f64 + 28.0;
    let mut svg = Svg::new();
    for (i, round) in drawing.rounds.iter().enumerate() {
        let middle = 8.0 + cell * ((i % per_row) as f64 + 0.5);
        let top = height * (i / per_row) as f64;
        one(&mut svg, drawing, &scale, round, (middle, top), i == 0);
    }
    let total = height * rows as f64 + 30.0;
    let what = match drawing.surface {
        Surface::Bore => "bore walls",
        Surface::Journal => "journals",
    };
    let caption = format!(
        "{what}: deviation from {} drawn {}; left {}, right {}; {}{}; bar: uncertainty; dashed: not read yet",
        drawing.figures.with_unit(scale.reference),
        super::hand::scale_words(scale.factor),
        drawing.directions[0],
        drawing.directions[1],
        if drawing.allowed.min.is_some() && drawing.allowed.max.is_some() { "grey: " } else { "" },
        drawing.figures.range(drawing.allowed),
    );
    super::hand::caption(&mut svg, (8.0, total - 10.0), drawing.width - 16.0, &caption);
    svg.picture(
        drawing.width,
        total + super::hand::caption_height(drawing.width - 16.0, &caption),
        if rows > 1 { "deviations in-rows" } else { "deviations" },
        &words(drawing),
    )
}

impl Scale {
    fn of(drawing: &Deviations, cell: f64) -> Option<Self> {
        // The figure stands between the walls, so they may not move in further than this.
        let room = ((cell / 2.0 - 34.0) / 2.0 - 3.0).clamp(12.0, 44.0);
        Self::within(drawing, 34.0 + room, room)
    }

    /// The largest round scale at which no wall, `half` px from its axis, moves by more than `room`; none where nothing says
    /// from which size deviations count.
    pub(super) fn within(drawing: &Deviations, half: f64, room: f64) -> Option<Self> {
        let values = || drawing.rounds.iter().flat_map(|r| r.levels.iter().flatten().flatten());
        let read = span(values().map(|v| v.value));
        let allowed = drawing.allowed.min.zip(drawing.allowed.max).map(|(a, b)| f64::midpoint(a, b));
        let middle = read.map(|(a, b)| f64::midpoint(a, b));
        let reference = drawing.reference.or(allowed).or(middle).filter(|r| r.is_finite() && *r > 0.0)?;
        let far = values()
            .map(|v| (v.value - reference).abs() + v.expanded)
            .chain(drawing.allowed.ends().map(|e| (e - reference).abs() * 1.15))
            .filter(|d| d.is_finite() && *d < reference * 0.02)
            .fold(0.0_f64, f64::max)
            .max(reference * 2e-5);
        // The wall stands `half` px from the axis and stands for half the diameter.
        let natural = half / (reference / 2.0);
        let factor = round_step_down(room / (far / 2.0 * natural)).max(1.0);
        Some(Self { reference, factor, px: natural * factor / 2.0, half, room })
    }

    /// How far a wall moves away from the axis, px; beyond the room it stops at the end.
    pub(super) fn out(&self, diameter: f64) -> f64 {
        ((diameter - self.reference) * self.px).clamp(-self.room, self.room)
    }
}

fn one(svg: &mut Svg, drawing: &Deviations, scale: &Scale, round: &Round, (middle, top): Point, first: bool) {
    let levels = drawing.levels.len().max(1);
    let (head, foot) = (top + 28.0, top + 28.0 + LEVEL * levels as f64);
    let level_y = |i: usize| head + LEVEL * (i as f64 + 0.5);
    svg.text((middle, top + 17.0), Align::Middle, &type_of(15.0, INK, true), &round.label);
    for (way, direction) in [(-1.0, 0), (1.0, 1)] {
        let x = |d: f64| middle + way * (scale.half + scale.out(d));
        if let (Some(a), Some(b)) = (drawing.allowed.min, drawing.allowed.max) {
            let (a, b) = (x(a), x(b));
            svg.rectangle((a.min(b), head), ((b - a).abs(), foot - head), ALLOWED);
        } else if let Some(end) = drawing.allowed.ends().next() {
            svg.line((x(end), head), (x(end), foot), &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
        }
        let nominal = middle + way * scale.half;
        let points: Vec<Option<(Point, Value)>> = round
            .levels
            .iter()
            .enumerate()
            .map(|(i, pair)| pair[direction].map(|v| ((x(v.value), level_y(i)), v)))
            .collect();
        if points.iter().any(Option::is_none) {
            svg.line((nominal, level_y(0) - 8.0), (nominal, level_y(levels - 1) + 8.0), HIDDEN);
        }
        wall(svg, scale, &points, drawing, round.stops);
    }
    svg.line((middle, head - 6.0), (middle, foot + 6.0), AXIS);
    for (i, pair) in round.levels.iter().enumerate() {
        let read: Vec<f64> = pair.iter().flatten().map(|v| v.value).collect();
        if !read.is_empty() {
            let mean = read.iter().sum::<f64>() / read.len() as f64;
            let text = drawing.figures.number(mean);
            svg.text((middle, level_y(i) + 4.5), Align::Middle, &halo(SMALL, INK, false), &text);
        }
    }
    if first {
        for (way, direction) in [(-1.0, 0), (1.0, 1)] {
            let at = (middle + way * scale.half, foot + 17.0);
            svg.text(at, Align::Middle, &type_of(SMALL, SOFT, false), drawing.directions[direction]);
        }
    }
}

/// The wall through the points that were read, with bars for the uncertainty.
fn wall(svg: &mut Svg, scale: &Scale, points: &[Option<(Point, Value)>], drawing: &Deviations, stops: bool) {
    let outside = |v: &Value| !drawing.allowed.holds(v.value);
    let any_outside = points.iter().flatten().any(|(_, v)| outside(v));
    let colour = if stops { ACCENT } else { INK };
    for pair in points.windows(2) {
        if let (Some((a, _)), Some((b, _))) = (pair[0], pair[1]) {
            svg.line(a, b, &format!("stroke=\"{colour}\" stroke-width=\"1.6\""));
        }
    }
    for ((x, y), value) in points.iter().flatten() {
        let reach = (value.expanded * scale.px).clamp(0.0, scale.room);
        let bar = if value.stale { " stroke-dasharray=\"2 2\"" } else { "" };
        svg.line((x - reach, *y), (x + reach, *y), &format!("stroke=\"{colour}\" stroke-width=\"1.2\"{bar}"));
        for end in [-reach, reach] {
            svg.line(
                (x + end, y - 3.0),
                (x + end, y + 3.0),
                &format!("stroke=\"{colour}\" stroke-width=\"1.2\""),
            );
        }
        let ring = if outside(value) || !any_outside { colour } else { INK };
        let figures = drawing.figures;
        let text = format!(
            "{} ± {} {}",
            figures.number(value.value),
            figures.uncertainty(value.expanded),
            figures.unit()
        );
        svg.circle((*x, *y), 3.0, &format!("fill=\"{ring}\" data-value=\"{}\"", super::svg::escape(&text)));
    }
}

fn words(drawing: &Deviations) -> String {
    let name = match drawing.surface {
        Surface::Bore => "bore",
        Surface::Journal => "journal",
    };
    let list: Vec<String> = drawing
        .rounds
        .iter()
        .map(|r| {
            let sizes: Vec<f64> = r.levels.iter().flatten().flatten().map(|v| v.value).collect();
            let stops = if r.stops { ", stops the build" } else { "" };
            match span(sizes) {
                Some((a, b)) => format!(
                    "{} {} to {}{stops}",
                    r.label,
                    drawing.figures.number(a),
                    drawing.figures.number(b)
                ),
                None => format!("{} not read", r.label),
            }
        })
        .collect();
    format!("Deviation of each {name}, {}: {}", drawing.figures.range(drawing.allowed), list.join("; "))
}
