//! Lines of equal value, each labelled.

use super::super::hand::{INK, SMALL, halo, round_step, span};
use super::super::svg::{Align, Point, Svg, escape};
use super::frame::{Frame, axes, shown};
use super::iso::Grid;
use super::{Axis, Target, Written, targets};

/// Values over two axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// Said to readers.
    pub title: String,
    /// Along.
    pub x: Axis,
    /// Up.
    pub y: Axis,
    /// What the lines are of, with its unit.
    pub value: Axis,
    /// Places along.
    pub xs: Vec<f64>,
    /// Places up.
    pub ys: Vec<f64>,
    /// For each place up, the values along; `None` where there is none.
    pub values: Vec<Vec<Option<f64>>>,
    /// What is to be seen.
    pub marks: Vec<Target>,
    /// Each place that has a value is marked by a dot, so that one sees what the lines rest on.
    pub dots: bool,
    /// A body that lies along the upward axis, drawn beside the plot in its scale: place and diameter, both in the axis' unit.
    pub body: Vec<(f64, f64)>,
    /// Width, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
}

/// Most places with a value to read along one axis.
const READ: usize = 40;

/// Draws it; empty text where there is no grid.
pub fn contour(plot: &Contour) -> String {
    let up = plot.ys.iter().copied().chain(plot.body.iter().map(|(place, _)| *place));
    let both = span(plot.xs.iter().copied()).zip(span(up));
    let Some(((x0, x1), (y0, y1))) = both.filter(|(x, y)| x.1 > x.0 && y.1 > y.0) else {
        return String::new();
    };
    let (top, bottom) = (14.0, plot.height - 46.0);
    let scale = (bottom - top) / (y1 - y0);
    let broadest = plot.body.iter().map(|(_, d)| d * scale).fold(0.0, f64::max);
    // What is too broad for its place is left out: it would not be to scale.
    let drawn = broadest > 0.0 && broadest < plot.width / 3.0;
    let taken = if drawn { broadest + 24.0 } else { 0.0 };
    let frame = Frame {
        left: 76.0,
        right: plot.width - 20.0 - taken,
        top,
        bottom,
        x0,
        x1,
        y0,
        y1,
        logarithmic: false,
    };
    let place = |row: usize, column: usize| -> Point {
        let at = |list: &[f64], n: usize| list.get(n).copied().unwrap_or(f64::NAN);
        (frame.x(at(&plot.xs, column)), frame.y(at(&plot.ys, row)))
    };
    let grid = Grid { values: &plot.values, place: &place };
    let Some((low, high)) = grid.span() else { return String::new() };
    let x_step = plot.x.step.unwrap_or_else(|| round_step((x1 - x0) / 7.0));
    let y_step = plot.y.step.unwrap_or_else(|| round_step((y1 - y0) / 6.0));
    let step = plot.value.step.unwrap_or_else(|| round_step((high - low).max(1e-9) / 9.0));
    let mut svg = Svg::new();
    axes(&mut svg, (&plot.x, &plot.y), &frame, (x_step, y_step));
    let marked: Vec<Written> = plot
        .marks
        .iter()
        .map(|mark| (frame.x(mark.at.0), frame.y(mark.at.1)))
        .map(|(x, y)| (x - 12.0, x + 12.0, y + 4.5))
        .collect();
    iso_lines(&mut svg, &grid, (low, high), step, ("", &marked));
    if plot.dots {
        let known = |row: usize, column: usize| grid.value(row, column).map(|_| place(row, column));
        let all = (0..plot.ys.len()).flat_map(|r| (0..plot.xs.len()).map(move |c| (r, c)));
        for at in all.filter_map(|(r, c)| known(r, c)) {
            svg.circle(at, 1.8, &format!("fill=\"{INK}\""));
        }
    }
    targets(&mut svg, &plot.marks, &frame, (&mut Vec::new(), &[]));
    if drawn {
        body(&mut svg, plot, &frame, scale);
    }
    read_out(&mut svg, plot, &frame, step);
    let words = format!(
        "{}: lines of equal {} every {} {}, from {} to {} {}",
        plot.title,
        plot.value.label,
        shown(step, step),
        plot.value.unit,
        shown(low, step / 10.0),
        shown(high, step / 10.0),
        plot.value.unit
    );
    svg.picture(plot.width, plot.height, "plot", words.trim())
}

/// Draws the body beside the plot: its walls, and its axis as a chain line.
fn body(svg: &mut Svg, plot: &Contour, frame: &Frame, scale: f64) {
    let axis = f64::midpoint(frame.right + 12.0, plot.width - 8.0);
    for side in [-0.5, 0.5] {
        let wall: Vec<Point> =
            plot.body.iter().map(|(place, d)| (axis + side * d * scale, frame.y(*place))).collect();
        svg.polyline(&wall, &format!("stroke=\"{INK}\" stroke-width=\"1.6\" stroke-linejoin=\"round\""));
    }
    svg.polyline(
        &[(axis, frame.top - 6.0), (axis, frame.bottom + 6.0)],
        &format!("stroke=\"{INK}\" stroke-width=\"0.8\" stroke-dasharray=\"12 3 2 3\""),
    );
}

/// Draws the lines of equal value with their figures, clear of what is `written`; every fifth is wide.
pub(super) fn iso_lines(
    svg: &mut Svg,
    grid: &Grid,
    (low, high): (f64, f64),
    step: f64,
    (dash, written): (&str, &[Written]),
) {
    let first = (low / step).ceil() as i64;
    let count = ((high - first as f64 * step) / step).floor().clamp(0.0, 60.0) as i64;
    let levels: Vec<(i64, Vec<Vec<Point>>)> =
        (first..=first + count).map(|n| (n, grid.lines(n as f64 * step))).collect();
    for (n, lines) in &levels {
        let wide = if n % 5 == 0 { 1.4 } else { 0.8 };
        for line in lines {
            svg.polyline(
                line,
                &format!("stroke=\"{INK}\" stroke-width=\"{wide}\" stroke-linejoin=\"round\"{dash}"),
            );
        }
    }
    for (at, n) in figures(&levels, written) {
        svg.text((at.0, at.1 + 4.5), Align::Middle, &halo(SMALL, INK, false), &shown(n as f64 * step, step));
    }
}

/// Room that a figure asks for on each side of its line, px.
const ROOM: f64 = 16.0;
/// Where its lines crowd more than this everywhere, only every fifth level has a figure, px.
const CROWDED: f64 = 8.0;
/// A line shorter than this has no figure of its own where its level has one elsewhere, px.
const SHORT: f64 = 40.0;

/// Where each line has its figure: where its neighbours leave room and no other figure stands. Where lines crowd they have none, save
/// one of a level that has none elsewhere.
fn figures(levels: &[(i64, Vec<Vec<Point>>)], written: &[Written]) -> Vec<(Point, i64)> {
    let far = |taken: &[(Point, i64)], p: &Point| {
        let clear = |w: &Written| {
            p.0 < w.0 - 16.0 || p.0 > w.1 + 16.0 || p.1 + 4.5 < w.2 - 18.0 || p.1 + 4.5 > w.2 + 18.0
        };
        taken.iter().all(|(q, _)| (p.0 - q.0).abs() > 44.0 || (p.1 - q.1).abs() > 18.0)
            && written.iter().all(clear)
    };
    // Distance to the nearest other line at about the same height.
    let room = |level: i64, own: usize, p: &Point| {
        let others = levels.iter().flat_map(|(n, lines)| {
            lines.iter().enumerate().filter(move |(k, _)| (*n, *k) != (level, own)).map(|(_, line)| line)
        });
        others
            .flatten()
            .filter(|q| (q.1 - p.1).abs() < 9.0)
            .map(|q| (q.0 - p.0).abs())
            .fold(f64::INFINITY, f64::min)
    };
    let all = || levels.iter().flat_map(|(_, lines)| lines.iter().flatten());
    let (xs, ys) = (span(all().map(|p| p.0)), span(all().map(|p| p.1)));
    let inside = |p: &Point| {
        let within = |span: Option<(f64, f64)>, at: f64, edge: f64| {
            span.is_none_or(|(low, high)| (low + edge..=high - edge).contains(&at))
        };
        within(xs, p.0, 18.0) && within(ys, p.1, 12.0)
    };
    let mut taken: Vec<(Point, i64)> = Vec::new();
    for (n, lines) in levels {
        let mut best: Option<(f64, Point)> = None;
        let before = taken.len();
        for (own, line) in lines.iter().enumerate().filter(|(_, line)| line.len() > 3) {
            let every = line.len().div_ceil(12).max(1);
            let free = line
                .iter()
                .skip(every / 2)
                .step_by(every)
                .filter(|p| far(&taken, p))
                .map(|p| (room(*n, own, p), *p))
                .max_by(|a, b| inside(&a.1).cmp(&inside(&b.1)).then(a.0.total_cmp(&b.0)));
            let Some((room, at)) = free else { continue };
            if room >= ROOM && length(line) >= SHORT && inside(&at) {
                taken.push((at, *n));
            } else if best.is_none_or(|b| room > b.0) {
                best = Some((room, at));
            }
        }
        if taken.len() == before
            && let Some((room, at)) = best
            && (room >= CROWDED || n % 5 == 0)
        {
            taken.push((at, *n));
        }
    }
    taken
}

/// Length of a line on paper, px.
fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|p| mechanics::math::hypot(p[1].0 - p[0].0, p[1].1 - p[0].1)).sum()
}

/// Invisible fields that carry the values.
fn read_out(svg: &mut Svg, plot: &Contour, frame: &Frame, step: f64) {
    let every = |n: usize| n.div_ceil(READ).max(1);
    let (ex, ey) = (every(plot.xs.len()), every(plot.ys.len()));
    let edges = |list: &[f64], k: usize, by: usize, low: f64, high: f64| {
        let at = list[k];
        let before = k.checked_sub(by).map_or(low, |j| f64::midpoint(list[j], at));
        let after = list.get(k + by).map_or(high, |next| f64::midpoint(at, *next));
        (before, after)
    };
    for j in (0..plot.ys.len()).step_by(ey) {
        for i in (0..plot.xs.len()).step_by(ex) {
            let known = plot.values.get(j).and_then(|row| row.get(i)).copied().flatten();
            let Some(value) = known.filter(|v| v.is_finite()) else {
                continue;
            };
            let (xa, xb) = edges(&plot.xs, i, ex, frame.x0, frame.x1);
            let (ya, yb) = edges(&plot.ys, j, ey, frame.y0, frame.y1);
            let text = format!(
                "{} {} {}, {} {} {}: {} {}",
                plot.x.label,
                shown(plot.xs[i], round_step((frame.x1 - frame.x0) / 200.0)),
                plot.x.unit,
                plot.y.label,
                shown(plot.ys[j], round_step((frame.y1 - frame.y0) / 200.0)),
                plot.y.unit,
                shown(value, step / 100.0),
                plot.value.unit
            );
            let (left, top) = (frame.x(xa), frame.y(yb));
            svg.rectangle(
                (left, top),
                (frame.x(xb) - left, frame.y(ya) - top),
                &format!("fill=\"#000000\" fill-opacity=\"0\" data-value=\"{}\"", escape(text.trim())),
            );
        }
    }
}
