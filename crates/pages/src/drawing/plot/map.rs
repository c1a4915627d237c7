//! A compressor map: speed lines, lines of equal efficiency, the surge line, and where the engine runs on it.

use super::super::hand::{ACCENT, INK, SMALL, halo, round_step, span, text_width};
use super::super::svg::{Align, Point, Svg, escape};
use super::contour::iso_lines;
use super::frame::{Frame, axes, shown};
use super::iso::Grid;
use super::{Axis, Marker};

/// One speed line.
#[derive(Clone, Debug, PartialEq)]
pub struct SpeedLine {
    /// Its speed as it is written at its end.
    pub label: String,
    /// Flow, pressure ratio, efficiency (0 to 1), from surge to choke.
    pub points: Vec<(f64, f64, f64)>,
}

/// Where the engine runs at one speed.
#[derive(Clone, Debug, PartialEq)]
pub struct Reached {
    /// Flow and pressure ratio.
    pub at: Point,
    /// "6,000 rev/min"
    pub label: String,
    /// Beyond a limit of the map.
    pub beyond: bool,
}

/// The whole map.
#[derive(Clone, Debug, PartialEq)]
pub struct MapPlot {
    /// Said to readers.
    pub title: String,
    /// Corrected flow.
    pub x: Axis,
    /// Pressure ratio.
    pub y: Axis,
    /// Speed lines, the slowest first.
    pub lines: Vec<SpeedLine>,
    /// Operating line, the slowest first.
    pub operating: Vec<Reached>,
    /// Width, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
}

/// Columns of the grid on which lines of equal efficiency are drawn.
const ALONG: usize = 25;

/// Draws it; empty text without a speed line.
pub fn map_plot(plot: &MapPlot) -> String {
    let points = || {
        let lines = plot.lines.iter().flat_map(|l| l.points.iter().map(|p| (p.0, p.1)));
        lines.chain(plot.operating.iter().map(|o| o.at))
    };
    let Some(((_, x1), (_, y1))) = span(points().map(|p| p.0)).zip(span(points().map(|p| p.1))) else {
        return String::new();
    };
    let x_step = plot.x.step.unwrap_or_else(|| round_step(x1.max(1e-9) / 8.0));
    let y_step = plot.y.step.unwrap_or_else(|| round_step((y1 - 1.0).max(0.1) / 6.0));
    let frame = Frame {
        left: 76.0,
        right: plot.width - 110.0,
        top: 14.0,
        bottom: plot.height - 46.0,
        x0: 0.0,
        x1: (x1 * 1.02 / x_step).ceil() * x_step,
        y0: 1.0,
        y1: 1.0 + ((y1 - 1.0) * 1.02 / y_step).ceil().max(1.0) * y_step,
        logarithmic: false,
    };
    let mut svg = Svg::new();
    axes(&mut svg, (&plot.x, &plot.y), &frame, (x_step, y_step));
    efficiencies(&mut svg, plot, &frame);
    let on_paper = |p: &(f64, f64, f64)| (frame.x(p.0), frame.y(p.1));
    // Each label stands beside the end of its line, further down where another one stands already.
    let mut labels: Vec<Point> = Vec::new();
    for line in plot.lines.iter().rev() {
        let placed: Vec<Point> = line.points.iter().map(on_paper).collect();
        svg.polyline(&placed, &format!("stroke=\"{INK}\" stroke-width=\"1\" stroke-linejoin=\"round\""));
        if let Some(end) = placed.last() {
            let broad = text_width(&line.label, SMALL) + 8.0;
            let mut at = (end.0 + 6.0, end.1 + 12.0);
            while labels.iter().any(|l| (l.0 - at.0).abs() < broad && (l.1 - at.1).abs() < 16.0) {
                at.1 += 4.0;
            }
            labels.push(at);
            svg.text(at, Align::Start, &halo(SMALL, INK, false), &line.label);
        }
    }
    let surge: Vec<Point> = plot.lines.iter().filter_map(|l| l.points.first()).map(on_paper).collect();
    svg.polyline(&surge, &format!("stroke=\"{INK}\" stroke-width=\"2.4\" stroke-linejoin=\"round\""));
    if let Some(top) = surge.last() {
        svg.text((top.0 - 8.0, top.1 + 2.0), Align::End, &halo(SMALL, INK, true), "surge line");
    }
    operating(&mut svg, plot, &frame, (x_step, y_step));
    let words = format!(
        "{}: {} speed lines, {} operating points, {} of them beyond a limit of the map",
        plot.title,
        plot.lines.len(),
        plot.operating.len(),
        plot.operating.iter().filter(|o| o.beyond).count()
    );
    svg.picture(plot.width, plot.height, "plot", &words)
}

fn efficiencies(svg: &mut Svg, plot: &MapPlot, frame: &Frame) {
    // Each speed line at the same shares of its length, so that the lines make a grid.
    let rows: Vec<Vec<(f64, f64, f64)>> =
        plot.lines.iter().map(|l| (0..ALONG).filter_map(|k| along(&l.points, k)).collect()).collect();
    if rows.iter().any(|row| row.len() != ALONG) || rows.len() < 2 {
        return;
    }
    let values: Vec<Vec<Option<f64>>> =
        rows.iter().map(|row| row.iter().map(|p| Some(p.2 * 100.0)).collect()).collect();
    let place = |row: usize, column: usize| (frame.x(rows[row][column].0), frame.y(rows[row][column].1));
    let grid = Grid { values: &values, place: &place };
    let written: Vec<_> = named(plot, frame)
        .map(|(reached, (x, y))| (x, x + text_width(&reached.label, SMALL) * 1.1, y))
        .collect();
    if let Some(range) = grid.span() {
        let step = round_step((range.1 - range.0).max(1e-9) / 7.0);
        iso_lines(svg, &grid, range, step, (" stroke-dasharray=\"3 2.5\"", &written));
    }
}

/// The point at share `k` of a speed line, by its order.
fn along(points: &[(f64, f64, f64)], k: usize) -> Option<(f64, f64, f64)> {
    let last = points.len().checked_sub(1).filter(|n| *n > 0)?;
    let at = k as f64 / (ALONG - 1) as f64 * last as f64;
    let before = (at.floor() as usize).min(last - 1);
    let (a, b, t) = (points[before], points[before + 1], at - before as f64);
    Some((a.0 + t * (b.0 - a.0), a.1 + t * (b.1 - a.1), a.2 + t * (b.2 - a.2)))
}

/// The slowest and the fastest point of the operating line, with the place of their labels.
fn named<'a>(plot: &'a MapPlot, frame: &Frame) -> impl Iterator<Item = (&'a Reached, Point)> {
    let last = plot.operating.len().saturating_sub(1);
    let ends = [plot.operating.first(), plot.operating.get(last).filter(|_| last > 0)];
    let places = ends.map(|end| end.map(|o| (frame.x(o.at.0), frame.y(o.at.1))));
    // The slowest point lies low at the left: what is written above it would cover the lines of efficiency.
    let slowest = places[0].unwrap_or_default();
    let clear = |down: f64| {
        let to = slowest.0 + 8.0 + ends[0].map_or(0.0, |o| text_width(&o.label, SMALL) * 1.1);
        plot.lines.iter().filter_map(|line| Some((line.points.last()?, &line.label))).all(|(end, label)| {
            let at = (frame.x(end.0) + 6.0, frame.y(end.1) + 12.0);
            let apart = at.0 > to + 4.0 || at.0 + text_width(label, SMALL) < slowest.0 + 8.0;
            apart || (at.1 - slowest.1 - down).abs() > 17.0
        })
    };
    let below = [20.0, 24.0, 28.0, 32.0, 36.0, 40.0, 44.0, 48.0];
    let down = below.into_iter().find(|d| slowest.1 + d < frame.bottom - 4.0 && clear(*d)).unwrap_or(-8.0);
    let placed = ends.into_iter().zip(places).zip([down, -8.0]);
    placed.filter_map(|((end, at), down)| Some((end?, at.map(|at| (at.0 + 8.0, at.1 + down))?)))
}

fn operating(svg: &mut Svg, plot: &MapPlot, frame: &Frame, (x_step, y_step): (f64, f64)) {
    let placed: Vec<Point> = plot.operating.iter().map(|o| (frame.x(o.at.0), frame.y(o.at.1))).collect();
    svg.polyline(&placed, &format!("stroke=\"{INK}\" stroke-width=\"1.8\" stroke-dasharray=\"8 3\""));
    for (reached, at) in plot.operating.iter().zip(&placed) {
        let (marker, colour) = if reached.beyond { (Marker::Cross, ACCENT) } else { (Marker::Ring, INK) };
        marker.draw(svg, *at, colour, 0);
    }
    for (reached, at) in named(plot, frame) {
        svg.text(at, Align::Start, &halo(SMALL, INK, true), &reached.label);
    }
    for (reached, at) in plot.operating.iter().zip(&placed) {
        let text = format!(
            "{}: {} {}, pressure ratio {}{}",
            reached.label,
            shown(reached.at.0, x_step / 100.0),
            plot.x.unit,
            shown(reached.at.1, y_step / 100.0),
            if reached.beyond { ", beyond a limit of the map" } else { "" }
        );
        svg.circle(
            *at,
            9.0,
            &format!("fill=\"#000000\" fill-opacity=\"0\" data-value=\"{}\"", escape(&text)),
        );
    }
}
