//! A line plot: thin ink lines, labels at the line's end, units on the axes, limits as strokes, bands grey.

use super::hand::{ACCENT, ALLOWED, GRID, INK, SMALL, SOFT, halo, round_step, span, text_width, type_of};
use super::svg::{Align, Point, Svg, number};
use engine::quantity::format_fixed;

/// One line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Written at its end.
    pub label: String,
    /// Points in the units of the axes, x rising.
    pub points: Vec<Point>,
    /// Dashed: predicted or another specification.
    pub dashed: bool,
    /// It stops the build.
    pub stops: bool,
}

/// A limit across the plot.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitLine {
    /// Value on the y axis.
    pub y: f64,
    /// Written above it.
    pub label: String,
}

/// An axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What it shows: "crank angle".
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// Distance of the figures; chosen when None.
    pub step: Option<f64>,
}

/// A plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// Title: the page writes it as a heading, the drawing says it to readers.
    pub title: String,
    /// Along.
    pub x: Axis,
    /// Up.
    pub y: Axis,
    /// Lines.
    pub lines: Vec<Line>,
    /// Limits.
    pub limits: Vec<LimitLine>,
    /// Allowed or probable ranges of y.
    pub bands: Vec<(f64, f64)>,
    /// Width at which it is shown, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
}

/// Draws it; empty text without a point. Each line carries its points in `data-points` ("x,y x,y …", in the units of the
/// axes); invisible columns carry the values in words in `data-value`, for a script that shows them.
pub fn plot(plot: &Plot) -> String {
    let points = || plot.lines.iter().flat_map(|l| &l.points).filter(|p| p.0.is_finite() && p.1.is_finite());
    let Some((x0, x1)) = span(points().map(|p| p.0)).filter(|s| s.1 > s.0) else { return String::new() };
    let ys = points()
        .map(|p| p.1)
        .chain(plot.limits.iter().map(|l| l.y))
        .chain(plot.bands.iter().flat_map(|b| [b.0, b.1]));
    let Some((low, high)) = span(ys) else { return String::new() };
    let y_step = plot.y.step.unwrap_or_else(|| round_step((high - low).max(1e-12) / 5.0));
    let x_step = plot.x.step.unwrap_or_else(|| round_step((x1 - x0) / 7.0));
    let (y0, y1) = ((low / y_step).floor() * y_step, (high / y_step).ceil() * y_step);
    let y1 = if y1 > y0 { y1 } else { y0 + y_step };
    let labels = plot.lines.iter().map(|l| text_width(&l.label, SMALL)).fold(0.0, f64::max);
    let frame = Frame {
        left: 76.0,
        right: plot.width - labels.min(180.0) - 20.0,
        top: 14.0,
        bottom: plot.height - 46.0,
        x0,
        x1,
        y0,
        y1,
    };
    let mut svg = Svg::new();
    for (a, b) in &plot.bands {
        let (top, low) = (frame.y(a.max(*b)), frame.y(a.min(*b)));
        svg.rectangle((frame.left, top), (frame.right - frame.left, low - top), ALLOWED);
    }
    axes(&mut svg, plot, &frame, (x_step, y_step));
    for limit in &plot.limits {
        let y = frame.y(limit.y);
        svg.line((frame.left, y), (frame.right, y), &format!("stroke=\"{INK}\" stroke-width=\"1.8\""));
        svg.text((frame.left + 6.0, y - 5.0), Align::Start, &halo(SMALL, INK, false), &limit.label);
    }
    lines(&mut svg, plot, &frame);
    hover(&mut svg, plot, &frame, (x_step, y_step));
    let words = words(plot, (x0, x1), (low, high));
    svg.picture(plot.width, plot.height, "plot", &words)
}

struct Frame {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    x0: f64,
    x1: f64,
    y0: f64,
    y1: f64,
}

impl Frame {
    fn x(&self, value: f64) -> f64 {
        self.left + (value - self.x0) / (self.x1 - self.x0) * (self.right - self.left)
    }

    fn y(&self, value: f64) -> f64 {
        self.bottom - (value - self.y0) / (self.y1 - self.y0) * (self.bottom - self.top)
    }
}

fn decimals(step: f64) -> usize {
    (0..6)
        .find(|d| {
            let scaled = step * [1.0, 10.0, 100.0, 1e3, 1e4, 1e5][*d];
            (scaled - scaled.round()).abs() < 1e-6 * scaled.max(1.0)
        })
        .unwrap_or(6)
}

fn shown(value: f64, step: f64) -> String {
    format_fixed(value, decimals(step)).replace('-', "\u{2212}")
}

fn axes(svg: &mut Svg, plot: &Plot, frame: &Frame, (x_step, y_step): (f64, f64)) {
    let thin = format!("stroke=\"{GRID}\" stroke-width=\"0.7\"");
    let style = type_of(SMALL, SOFT, false);
    let count = ((frame.y1 - frame.y0) / y_step).round() as usize;
    for i in 0..=count.min(40) {
        let value = frame.y0 + y_step * i as f64;
        let y = frame.y(value);
        svg.line((frame.left, y), (frame.right, y), &thin);
        svg.text((frame.left - 8.0, y + 4.5), Align::End, &style, &shown(value, y_step));
    }
    let first = (frame.x0 / x_step - 1e-9).ceil() * x_step;
    let count = ((frame.x1 - first) / x_step + 1e-9).floor().max(0.0) as usize;
    for i in 0..=count.min(60) {
        let value = first + x_step * i as f64;
        let x = frame.x(value);
        svg.line(
            (x, frame.bottom),
            (x, frame.bottom + 5.0),
            &format!("stroke=\"{INK}\" stroke-width=\"0.9\""),
        );
        svg.text((x, frame.bottom + 20.0), Align::Middle, &style, &shown(value, x_step));
    }
    svg.polyline(
        &[(frame.left, frame.top), (frame.left, frame.bottom), (frame.right, frame.bottom)],
        &format!("stroke=\"{INK}\" stroke-width=\"1\""),
    );
    let name = |axis: &Axis| {
        if axis.unit.is_empty() { axis.label.clone() } else { format!("{}, {}", axis.label, axis.unit) }
    };
    svg.text((frame.right, frame.bottom + 38.0), Align::End, &style, &name(&plot.x));
    svg.upward_text((16.0, f64::midpoint(frame.top, frame.bottom)), Align::Middle, &style, &name(&plot.y));
}

fn lines(svg: &mut Svg, plot: &Plot, frame: &Frame) {
    let ends: Vec<f64> =
        plot.lines.iter().map(|l| l.points.last().map_or(frame.bottom, |p| frame.y(p.1))).collect();
    let places = super::section::spread(&ends, 17.0, frame.top, frame.bottom.max(frame.top + 1.0));
    for (line, at) in plot.lines.iter().zip(places) {
        let colour = if line.stops { ACCENT } else { INK };
        let placed: Vec<Point> = line
            .points
            .iter()
            .filter(|p| p.0.is_finite() && p.1.is_finite())
            .map(|p| (frame.x(p.0), frame.y(p.1)))
            .collect();
        let data: Vec<String> = line
            .points
            .iter()
            .filter(|p| p.0.is_finite() && p.1.is_finite())
            .map(|p| format!("{},{}", number(p.0), number(p.1)))
            .collect();
        let dash = if line.dashed { " stroke-dasharray=\"6 3\"" } else { "" };
        svg.polyline(&placed, &format!("stroke=\"{colour}\" stroke-width=\"1.4\" stroke-linejoin=\"round\"{dash} class=\"plot-line\" data-label=\"{}\" data-points=\"{}\"", super::svg::escape(&line.label), data.join(" ")));
        if let Some(end) = placed.last() {
            if (end.1 - at).abs() > 3.0 {
                svg.line(
                    (end.0 + 2.0, end.1),
                    (end.0 + 10.0, at),
                    &format!("stroke=\"{colour}\" stroke-width=\"0.7\""),
                );
            }
            svg.text((end.0 + 12.0, at + 4.5), Align::Start, &halo(SMALL, colour, line.stops), &line.label);
        }
    }
}

/// Invisible columns that carry the values at their middle in `data-value`, for the page's script.
fn hover(svg: &mut Svg, plot: &Plot, frame: &Frame, (x_step, y_step): (f64, f64)) {
    let Some(longest) = plot.lines.iter().max_by_key(|l| l.points.len()) else { return };
    let every = longest.points.len().div_ceil(61).max(1);
    let xs: Vec<f64> = longest
        .points
        .iter()
        .step_by(every)
        .filter(|p| p.0.is_finite() && p.1.is_finite())
        .map(|p| p.0)
        .collect();
    for (i, x) in xs.iter().enumerate() {
        let from = if i == 0 { frame.x0 } else { f64::midpoint(xs[i - 1], *x) };
        let to = xs.get(i + 1).map_or(frame.x1, |next| f64::midpoint(*x, *next));
        let values: Vec<String> = plot
            .lines
            .iter()
            .filter_map(|line| {
                let nearest = line
                    .points
                    .iter()
                    .filter(|p| p.0.is_finite() && p.1.is_finite())
                    .min_by(|a, b| (a.0 - x).abs().total_cmp(&(b.0 - x).abs()))?;
                let value = shown(nearest.1, y_step / 100.0);
                Some(format!("{} {value} {}", line.label, plot.y.unit).trim_end().to_owned())
            })
            .collect();
        let text = format!("{} {}: {}", shown(*x, x_step / 10.0), plot.x.unit, values.join(", "));
        let (left, right) = (frame.x(from), frame.x(to));
        svg.rectangle(
            (left, frame.top),
            (right - left, frame.bottom - frame.top),
            &format!("fill=\"#000000\" fill-opacity=\"0\" data-value=\"{}\"", super::svg::escape(&text)),
        );
    }
}

fn words(plot: &Plot, (x0, x1): (f64, f64), (low, high): (f64, f64)) -> String {
    let names: Vec<&str> = plot.lines.iter().map(|l| l.label.as_str()).collect();
    format!(
        "{}: {} over {} from {} to {} {}, values from {} to {} {}",
        plot.title,
        names.join(", "),
        plot.x.label,
        number(x0),
        number(x1),
        plot.x.unit,
        number(low),
        number(high),
        plot.y.unit
    )
}
