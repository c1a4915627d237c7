//! Walls of the cylinders at three heights, from above: bore, outside, thin places, core shift.

use super::hand::{
    ACCENT, GRID, HIDDEN, INK, SMALL, SOFT, THIN, arrowhead, caption, caption_height, halo, hatch, type_of,
};
use super::measured::{Figures, Value};
use super::svg::{Align, Point, Svg, path_data};
use mechanics::math::{cos, sin};

/// The wall of one cylinder at one height.
#[derive(Clone, Debug, PartialEq)]
pub struct WallRing {
    /// "top", "mid", "low".
    pub height: String,
    /// Thickness in eight directions: thrust first, then turning toward the front.
    pub thickness: Vec<Option<Value>>,
    /// Core shift, from the axis of the bore to the axis of the outside, SI: toward thrust, toward the front. The wall
    /// is thick where it points to.
    pub shift: Option<(f64, f64)>,
}

/// One cylinder.
#[derive(Clone, Debug, PartialEq)]
pub struct WallColumn {
    /// Its number.
    pub label: String,
    /// From the top down.
    pub rings: Vec<WallRing>,
    /// Something about it stops the build.
    pub stops: bool,
}

/// All cylinders.
#[derive(Clone, Debug, PartialEq)]
pub struct WallMap {
    /// Cylinders.
    pub cylinders: Vec<WallColumn>,
    /// Bore at which the walls were read, SI.
    pub bore: f64,
    /// Least wall as read that still leaves the limit after the cut to come, SI.
    pub least: Option<f64>,
    /// How figures are written.
    pub figures: Figures,
    /// Width at which it is shown, px.
    pub width: f64,
}

const INNER: f64 = 32.0;
const WALL: f64 = 23.0;
const CELL: f64 = 148.0;
/// The core shift is drawn larger than the wall by this factor.
const SHIFT: f64 = 2.0;

/// How many cylinders stand side by side at that width, px.
pub fn columns_in(width: f64) -> usize {
    /// Room of a ring with a figure beside it, px.
    const LEAST: f64 = 138.0;
    ((width - 60.0) / LEAST).floor().max(1.0) as usize
}

/// Draws them; empty text when there is nothing to draw.
pub fn wall_map(map: &WallMap) -> String {
    let count = map.cylinders.len();
    let rings = map.cylinders.iter().map(|c| c.rings.len()).max().unwrap_or(0);
    if count == 0 || rings == 0 || map.bore <= 0.0 || !map.bore.is_finite() {
        return String::new();
    }
    let per_row = count.min(columns_in(map.width));
    let rows = count.div_ceil(per_row);
    let per_row = count.div_ceil(rows);
    let cell = ((map.width - 60.0) / per_row as f64).min(240.0);
    let read: Vec<f64> = map
        .cylinders
        .iter()
        .flat_map(|c| &c.rings)
        .flat_map(|r| r.thickness.iter().flatten())
        .map(|v| v.value)
        .collect();
    let mean = if read.is_empty() { map.bore * 0.055 } else { read.iter().sum::<f64>() / read.len() as f64 };
    let px = WALL / mean.max(1e-6);
    let block = 26.0 + CELL * rings as f64 + 8.0;
    let mut svg = Svg::new();
    for (i, cylinder) in map.cylinders.iter().enumerate() {
        let middle = 56.0 + cell * ((i % per_row) as f64 + 0.5);
        let top = block * (i / per_row) as f64;
        svg.text((middle, top + 18.0), Align::Middle, &type_of(15.0, INK, true), &cylinder.label);
        for (k, ring) in cylinder.rings.iter().enumerate() {
            let centre = (middle, top + 26.0 + CELL * (k as f64 + 0.5));
            if i % per_row == 0 {
                svg.text((8.0, centre.1 + 4.5), Align::Start, &type_of(SMALL, SOFT, false), &ring.height);
            }
            draw_ring(&mut svg, map, ring, centre, px, cylinder.stops);
        }
    }
    let factor = (px / (INNER / (map.bore / 2.0))).round();
    let least = map.least.map_or(String::new(), |l| {
        format!("; inner dashes: least wall, {} as read here", map.figures.with_unit(l))
    });
    let text = format!(
        "from above, thrust to the right, front of the engine up; wall drawn {factor} times as large as the bore; arrow: core shift, from the axis of the bore to the axis of the outside, to the thick side, {SHIFT} times larger still; short arrows left out{least}; dashed: not read"
    );
    let total = block * rows as f64 + 28.0;
    caption(&mut svg, (8.0, total - 10.0), map.width - 16.0, &text);
    svg.picture(map.width, total + caption_height(map.width - 16.0, &text), "wall-map", &words(map))
}

/// Direction k of eight: thrust to the right, front up.
fn toward(k: usize, radius: f64, centre: Point) -> Point {
    let angle = (k as f64) * std::f64::consts::FRAC_PI_4;
    (centre.0 + radius * cos(angle), centre.1 - radius * sin(angle))
}

fn draw_ring(svg: &mut Svg, map: &WallMap, ring: &WallRing, centre: Point, px: f64, stops: bool) {
    let radius = |t: f64| INNER + (t * px).clamp(0.0, 42.0);
    let all: Option<Vec<Point>> = ring
        .thickness
        .iter()
        .enumerate()
        .map(|(k, v)| v.map(|v| toward(k, radius(v.value), centre)))
        .collect();
    let bore: Vec<Point> = (0..48)
        .map(|i| {
            let angle = f64::from(i) * std::f64::consts::TAU / 48.0;
            (centre.0 + INNER * cos(angle), centre.1 - INNER * sin(angle))
        })
        .collect();
    match &all {
        Some(outside) if outside.len() == 8 => {
            let smooth = smooth(outside);
            let data = format!("{}{}", path_data(&smooth, true), path_data(&bore, true));
            hatch(svg, &[smooth, bore], 4.2, false);
            svg.path(&data, &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
        }
        _ => {
            svg.circle(centre, INNER, THIN);
            svg.circle(centre, INNER + WALL, HIDDEN);
        }
    }
    if let Some(least) = map.least {
        svg.circle(
            centre,
            radius(least),
            &format!("stroke=\"{INK}\" stroke-width=\"1\" stroke-dasharray=\"3 3\""),
        );
    }
    for (k, value) in ring.thickness.iter().enumerate().filter_map(|(k, v)| v.map(|v| (k, v))) {
        let thin = map.least.is_some_and(|l| value.value < l);
        let colour = if thin && stops { ACCENT } else { INK };
        let at = toward(k, radius(value.value), centre);
        svg.circle(at, if thin { 3.2 } else { 1.8 }, &format!("fill=\"{colour}\""));
        if thin {
            let label = toward(k, INNER + WALL + 20.0, centre);
            let text = map.figures.number(value.value);
            let align = if label.0 > centre.0 + 12.0 {
                Align::Start
            } else if label.0 < centre.0 - 12.0 {
                Align::End
            } else {
                Align::Middle
            };
            let x = label.0 - 8.0 * (label.0 - centre.0).signum();
            svg.text((x, label.1 + 4.5), align, &halo(SMALL, colour, true), &text);
        }
    }
    shift(svg, map, ring, centre, px);
}

/// A smooth closed line through eight points (Catmull-Rom).
fn smooth(points: &[Point]) -> Vec<Point> {
    let n = points.len();
    let at = |i: usize| points[i % n];
    let mut line = Vec::with_capacity(6 * n);
    for i in 0..n {
        let (p0, p1, p2, p3) = (at(i + n - 1), at(i), at(i + 1), at(i + 2));
        for step in 0..6 {
            let t = f64::from(step) / 6.0;
            let curve = |a: f64, b: f64, c: f64, d: f64| {
                0.5 * (2.0 * b
                    + (c - a) * t
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
                    + (3.0 * b - a - 3.0 * c + d) * t * t * t)
            };
            line.push((curve(p0.0, p1.0, p2.0, p3.0), curve(p0.1, p1.1, p2.1, p3.1)));
        }
    }
    line
}

fn shift(svg: &mut Svg, map: &WallMap, ring: &WallRing, centre: Point, px: f64) {
    let Some((thrust, front)) = ring.shift else { return };
    let size = (thrust * thrust + front * front).sqrt();
    if size * px * SHIFT <= 10.0 || !size.is_finite() {
        svg.circle(centre, 1.2, &format!("fill=\"{SOFT}\""));
        return;
    }
    let reach = (size * px * SHIFT).min(INNER - 3.0) / size;
    let tip = (centre.0 + thrust * reach, centre.1 - front * reach);
    svg.line(centre, tip, &format!("stroke=\"{INK}\" stroke-width=\"1.2\""));
    arrowhead(svg, tip, (tip.0 - centre.0, tip.1 - centre.1), INK);
    svg.circle(centre, 1.6, &format!("fill=\"{INK}\" stroke=\"{GRID}\" stroke-width=\"0.4\""));
    let below = if tip.1 >= centre.1 { -7.0 } else { 16.0 };
    let text = map.figures.number(size);
    svg.text((centre.0, centre.1 + below), Align::Middle, &halo(SMALL, INK, false), &text);
}

fn words(map: &WallMap) -> String {
    let list: Vec<String> = map
        .cylinders
        .iter()
        .map(|c| {
            let least = c
                .rings
                .iter()
                .flat_map(|r| r.thickness.iter().flatten().map(move |v| (v.value, r.height.as_str())))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            match least {
                Some((t, h)) => format!("bore {} thinnest {} at {h}", c.label, map.figures.with_unit(t)),
                None => format!("bore {} not read", c.label),
            }
        })
        .collect();
    format!("Wall thickness at each height: {}", list.join("; "))
}
