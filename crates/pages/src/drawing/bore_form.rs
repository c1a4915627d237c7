//! Bores from above: at each height the oval through the two diameters that were read, its deviation enlarged.

use super::deviations::{Deviations, Round, Scale};
use super::hand::{ACCENT, AXIS, BAND, HIDDEN, INK, caption, caption_height, scale_words, type_of};
use super::measured::Value;
use super::svg::{Align, Point, Svg};
use mechanics::math::{cos, sin};

/// Radius of the circle from which deviations count, px.
const RADIUS: f64 = 50.0;
/// How far an outline may stand off that circle, px.
const ROOM: f64 = 28.0;
/// Least width of a bore with what stands around it, px.
const CELL: f64 = 176.0;
/// Height of a row of bores, px.
const HEIGHT: f64 = 210.0;
/// Points of an outline.
const POINTS: u32 = 72;

/// Strokes of the heights, top first, with their words.
const STROKES: [(&str, &str); 3] =
    [("", "solid"), (" stroke-dasharray=\"7 3\"", "dashed"), (" stroke-dasharray=\"1.6 3\"", "dotted")];

/// Draws them; empty text where no height of any bore was read in both directions.
pub fn bore_form(drawing: &Deviations) -> String {
    let is_read = |round: &Round| round.levels.iter().any(|pair| pair.iter().all(Option::is_some));
    if !drawing.rounds.iter().any(is_read) {
        return String::new();
    }
    let Some(scale) = Scale::within(drawing, RADIUS, ROOM) else { return String::new() };
    let room = drawing.width - 16.0;
    let per_row = drawing.rounds.len().min((room / CELL).floor().max(1.0) as usize);
    let rows = drawing.rounds.len().div_ceil(per_row);
    let per_row = drawing.rounds.len().div_ceil(rows);
    let cell = (room / per_row as f64).min(240.0);
    let mut svg = Svg::new();
    for (i, round) in drawing.rounds.iter().enumerate() {
        let centre = (8.0 + cell * ((i % per_row) as f64 + 0.5), HEIGHT * (i / per_row) as f64 + 118.0);
        one(&mut svg, drawing, &scale, round, centre);
    }
    let end = HEIGHT * rows as f64 + 14.0;
    let words = caption_of(drawing, &scale);
    caption(&mut svg, (8.0, end), room, &words);
    svg.picture(drawing.width, end + 10.0 + caption_height(room, &words), "bore-form", &told(drawing))
}

fn one(svg: &mut Svg, drawing: &Deviations, scale: &Scale, round: &Round, centre: Point) {
    let (x, y) = centre;
    svg.text((x, y - 100.0), Align::Middle, &type_of(15.0, INK, true), &round.label);
    if let (Some(a), Some(b)) = (drawing.allowed.min, drawing.allowed.max) {
        let (a, b) = (RADIUS + scale.out(a), RADIUS + scale.out(b));
        let ring = format!("stroke=\"{BAND}\" stroke-width=\"{:.2}\"", (b - a).abs());
        svg.circle(centre, f64::midpoint(a, b), &ring);
    }
    let reach = RADIUS + ROOM + 6.0;
    svg.line((x - reach, y), (x + reach, y), AXIS);
    svg.line((x, y - reach), (x, y + reach), AXIS);
    let colour = if round.stops { ACCENT } else { INK };
    let mut missing = false;
    for (pair, (dashes, _)) in round.levels.iter().zip(STROKES) {
        match pair {
            [Some(thrust), Some(along)] => {
                let width = if thrust.stale || along.stale { 0.7 } else { 1.5 };
                let pen = format!("stroke=\"{colour}\" stroke-width=\"{width}\"{dashes}");
                svg.polygon(&oval(scale, thrust, along, centre), &pen);
            }
            _ => missing = true,
        }
    }
    if missing {
        svg.circle(centre, RADIUS, HIDDEN);
    }
}

/// The closed line through both diameters: round between them as an oval is, cos 2θ.
fn oval(scale: &Scale, thrust: &Value, along: &Value, (x, y): Point) -> Vec<Point> {
    let (a, b) = (scale.out(thrust.value), scale.out(along.value));
    (0..POINTS)
        .map(|i| {
            let angle = std::f64::consts::TAU * f64::from(i) / f64::from(POINTS);
            let radius = RADIUS + f64::midpoint(a, b) + (a - b) / 2.0 * cos(2.0 * angle);
            (x + radius * cos(angle), y - radius * sin(angle))
        })
        .collect()
}

fn caption_of(drawing: &Deviations, scale: &Scale) -> String {
    let heights: Vec<String> =
        drawing.levels.iter().zip(STROKES).map(|(level, (_, stroke))| format!("{stroke} {level}")).collect();
    let stale = drawing.rounds.iter().flat_map(|r| r.levels.iter().flatten().flatten()).any(|v| v.stale);
    let missing = drawing.rounds.iter().any(|r| r.levels.iter().any(|pair| pair.contains(&None)));
    format!(
        "from above: deviation from {} drawn {}; {} across the page, {} up it; {}; {}{}{}{}; two diameters are read at each height, \
         the oval through them is drawn, lobes are not seen",
        drawing.figures.with_unit(scale.reference),
        scale_words(scale.factor),
        drawing.directions[0],
        drawing.directions[1],
        heights.join(", "),
        if drawing.allowed.min.is_some() && drawing.allowed.max.is_some() { "grey: " } else { "" },
        drawing.figures.range(drawing.allowed),
        if stale { "; thin: read before the last cut" } else { "" },
        if missing { "; thin dashed circle: a height is not read yet" } else { "" },
    )
}

/// Every height of every bore, for who cannot see it.
fn told(drawing: &Deviations) -> String {
    let number = |value: &Option<Value>| {
        value.as_ref().map_or_else(|| "not read".to_owned(), |v| drawing.figures.number(v.value))
    };
    let bores: Vec<String> = drawing
        .rounds
        .iter()
        .map(|round| {
            let levels = round.levels.iter().zip(drawing.levels);
            let levels: Vec<String> =
                levels.map(|([a, b], level)| format!("{level} {} and {}", number(a), number(b))).collect();
            format!("bore {}: {}", round.label, levels.join(", "))
        })
        .collect();
    format!(
        "Form of the bores, {} and {}: {}",
        drawing.directions[0],
        drawing.directions[1],
        bores.join("; ")
    )
}
