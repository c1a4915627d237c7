//! Lines of equal value, each labelled.

use super::super::hand::{INK, SMALL, halo, round_step, span};
use super::super::svg::{Align, Point, Svg, escape};
use super::frame::{Frame, axes, shown};
use super::iso::Grid;
use super::{Axis, Target, targets};

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
    let frame = Frame { left: 76.0, right: plot.width - 20.0 - taken, top, bottom, x0, x1, y0, y1 };
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
    iso_lines(&mut svg, &grid, (low, high), step, "");
    if plot.dots {
        let known = |row: usize, column: usize| grid.value(row, column).map(|_| place(row, column));
        let all = (0..plot.ys.len()).flat_map(|r| (0..plot.xs.len()).map(move |c| (r, c)));
        for at in all.filter_map(|(r, c)| known(r, c)) {
            svg.circle(at, 1.8, &format!("fill=\"{INK}\""));
        }
    }
    targets(&mut svg, &plot.marks, &frame, &mut Vec::new());
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

/// Draws the lines of equal value with their figures; every fifth is wide.
pub(super) fn iso_lines(svg: &mut Svg, grid: &Grid, (low, high): (f64, f64), step: f64, dash: &str) {
    let first = (low / step).ceil() as i64;
    let count = ((high - first as f64 * step) / step).floor().clamp(0.0, 60.0) as i64;
    let mut labels: Vec<Point> = Vec::new();
    let mut written = Vec::new();
    for n in first..=first + count {
        let level = n as f64 * step;
        let wide = if n % 5 == 0 { 1.4 } else { 0.8 };
        for line in grid.lines(level) {
            svg.polyline(
                &line,
                &format!("stroke=\"{INK}\" stroke-width=\"{wide}\" stroke-linejoin=\"round\"{dash}"),
            );
            // The figure goes where no other one stands yet.
            let far =
                |p: &&Point| labels.iter().all(|q| (p.0 - q.0).abs() > 44.0 || (p.1 - q.1).abs() > 18.0);
            let middle = line.len() / 2;
            let order = (0..line.len()).map(|k| {
                let half = k.div_ceil(2);
                if k % 2 == 0 { middle.saturating_add(half) } else { middle.saturating_sub(half) }
            });
            if line.len() > 3
                && let Some(at) = order.filter_map(|k| line.get(k)).find(far)
            {
                labels.push(*at);
                written.push((*at, shown(level, step)));
            }
        }
    }
    for (at, text) in written {
        svg.text((at.0, at.1 + 4.5), Align::Middle, &halo(SMALL, INK, false), &text);
    }
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
