//! A line plot: thin ink lines, labels at the line's end, units on the axes, limits as strokes, bands grey.

mod contour;
mod frame;
mod iso;
mod map;

pub use contour::{Contour, contour};
pub use map::{MapPlot, Reached, SpeedLine, map_plot};

use super::hand::{ACCENT, ALLOWED, INK, PAPER, SMALL, halo, round_step, span, text_width};
use super::svg::{Align, Point, Svg, number};
use engine::quantity::format_fixed;
use frame::{Frame, axes, shown, written};

/// One line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Line {
    /// Written at its end.
    pub label: String,
    /// Points in the units of the axes, x rising.
    pub points: Vec<Point>,
    /// Dashed: predicted or another specification.
    pub dashed: bool,
    /// It stops the build.
    pub stops: bool,
    /// Drawn at its points, so that lines are told apart without colour.
    pub marker: Marker,
    /// Only its points are drawn, as of what was measured.
    pub unlinked: bool,
}

/// What stands at the points of a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Marker {
    /// Nothing.
    #[default]
    None,
    /// A filled circle.
    Dot,
    /// An open circle.
    Ring,
    /// A square on its corner.
    Diamond,
    /// A triangle.
    Triangle,
    /// Two strokes.
    Cross,
}

impl Marker {
    /// A marker for each of several lines.
    pub const fn nth(n: usize) -> Self {
        [Self::Dot, Self::Ring, Self::Diamond, Self::Triangle, Self::Cross][n % 5]
    }

    /// Draws it; on `under` markers of other lines at the same place it is wider and open, so that those stay in sight.
    fn draw(self, svg: &mut Svg, (x, y): Point, colour: &str, under: usize) {
        let size = 1.0 + 0.75 * under as f64;
        let fill = if under > 0 { "none" } else { PAPER };
        let open = format!("stroke=\"{colour}\" stroke-width=\"1.3\" fill=\"{fill}\"");
        match self {
            Self::None => {}
            Self::Dot if under == 0 => svg.circle((x, y), 3.0, &format!("fill=\"{colour}\"")),
            Self::Dot | Self::Ring => svg.circle((x, y), 3.4 * size, &open),
            Self::Diamond => {
                let r = 4.2 * size;
                svg.polygon(&[(x - r, y), (x, y - r), (x + r, y), (x, y + r)], &open);
            }
            Self::Triangle => {
                let points = [(-4.0, 3.2), (0.0, -4.2), (4.0, 3.2)];
                svg.polygon(&points.map(|(a, b)| (x + a * size, y + b * size)), &open);
            }
            Self::Cross => {
                let (pen, r) = (format!("stroke=\"{colour}\" stroke-width=\"1.4\""), 3.6 * size);
                svg.line((x - r, y - r), (x + r, y + r), &pen);
                svg.line((x - r, y + r), (x + r, y - r), &pen);
            }
        }
    }
}

/// A range that a line may truly lie in: at each x the least and the greatest y.
pub type Envelope = Vec<(f64, f64, f64)>;

/// One point that is aimed at.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// In the units of the axes.
    pub at: Point,
    /// Written beside it.
    pub label: String,
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
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Axis {
    /// What it shows: "crank angle".
    pub label: String,
    /// Its unit.
    pub unit: String,
    /// Distance of the figures; chosen when None.
    pub step: Option<f64>,
}

/// A plot.
#[derive(Clone, Debug, Default, PartialEq)]
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
    /// Ranges around lines, grey.
    pub envelopes: Vec<Envelope>,
    /// What is aimed at.
    pub targets: Vec<Target>,
    /// Lines run back and forth (a closed loop): values are read at the points, not over x.
    pub loops: bool,
    /// Places along both axes are the decimal logarithms of the values, which are written.
    pub logarithmic: bool,
    /// Decimals of the values that are read off; by the range of the axis when None.
    pub decimals: Option<usize>,
    /// Width at which it is shown, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
}

/// Draws it; empty text without a point. Each line carries its points in `data-points` ("x,y x,y …", in the units of the
/// axes); invisible columns carry the values in words in `data-value`, for a script that shows them.
pub fn plot(plot: &Plot) -> String {
    let points = || plot.lines.iter().flat_map(|l| &l.points).filter(|p| p.0.is_finite() && p.1.is_finite());
    let Some((x0, x1)) =
        span(points().map(|p| p.0).chain(plot.targets.iter().map(|t| t.at.0))).filter(|s| s.1 > s.0)
    else {
        return String::new();
    };
    let ys = points()
        .map(|p| p.1)
        .chain(plot.limits.iter().map(|l| l.y))
        .chain(plot.bands.iter().flat_map(|b| [b.0, b.1]))
        .chain(plot.targets.iter().map(|t| t.at.1))
        .chain(plot.envelopes.iter().flatten().flat_map(|e| [e.1, e.2]));
    let Some((low, high)) = span(ys) else { return String::new() };
    let y_step = plot.y.step.unwrap_or_else(|| round_step((high - low).max(1e-12) / 5.0));
    let x_step = plot.x.step.unwrap_or_else(|| round_step((x1 - x0) / 7.0));
    let (y0, y1) = ((low / y_step).floor() * y_step, (high / y_step).ceil() * y_step);
    let y1 = if y1 > y0 { y1 } else { y0 + y_step };
    let (y0, y1) = if plot.logarithmic { (low - 0.03, high + 0.03) } else { (y0, y1) };
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
        logarithmic: plot.logarithmic,
    };
    let mut svg = Svg::new();
    for (a, b) in &plot.bands {
        let (top, low) = (frame.y(a.max(*b)), frame.y(a.min(*b)));
        svg.rectangle((frame.left, top), (frame.right - frame.left, low - top), ALLOWED);
    }
    for envelope in &plot.envelopes {
        let above = envelope.iter().map(|e| (frame.x(e.0), frame.y(e.2)));
        let below = envelope.iter().rev().map(|e| (frame.x(e.0), frame.y(e.1)));
        svg.polygon(&above.chain(below).collect::<Vec<_>>(), ALLOWED);
    }
    axes(&mut svg, (&plot.x, &plot.y), &frame, (x_step, y_step));
    for limit in &plot.limits {
        let y = frame.y(limit.y);
        svg.line((frame.left, y), (frame.right, y), &format!("stroke=\"{INK}\" stroke-width=\"1.8\""));
        svg.text((frame.left + 6.0, y - 5.0), Align::Start, &halo(SMALL, INK, false), &limit.label);
    }
    let mut written = lines(&mut svg, plot, &frame);
    let drawn: Vec<Vec<Point>> = plot
        .lines
        .iter()
        .filter(|line| !line.unlinked)
        .map(|line| line.points.iter().map(|p| (frame.x(p.0), frame.y(p.1))).collect())
        .collect();
    targets(&mut svg, &plot.targets, &frame, (&mut written, &drawn));
    if plot.loops {
        points_to_read(&mut svg, plot, &frame, (x_step, y_step));
        let words = words(plot, (x0, x1), (low, high));
        return svg.picture(plot.width, plot.height, "plot", &words);
    }
    hover(&mut svg, plot, &frame, (x_step, y_step));
    let words = words(plot, (x0, x1), (low, high));
    svg.picture(plot.width, plot.height, "plot", &words)
}

/// Where the labels at the ends of the lines stand, px from above, once none lies under the mark of what is aimed at.
fn clear_of_targets(plot: &Plot, frame: &Frame, places: &[f64]) -> Vec<f64> {
    let marks: Vec<Point> = plot.targets.iter().map(|t| (frame.x(t.at.0), frame.y(t.at.1))).collect();
    let mut clear: Vec<f64> = places.to_vec();
    for (i, line) in plot.lines.iter().enumerate() {
        let Some(left) = line.points.last().map(|end| frame.x(end.0) + 12.0).filter(|x| x.is_finite()) else {
            continue;
        };
        let right = left + text_width(&line.label, SMALL);
        let free = |at: f64| {
            let of_marks =
                marks.iter().all(|m| m.0 + 12.0 < left || m.0 - 12.0 > right || (m.1 - at).abs() > 17.0);
            let of_others = clear.iter().enumerate().all(|(j, other)| j == i || (other - at).abs() >= 15.0);
            of_marks && of_others && (frame.top..=frame.bottom).contains(&at)
        };
        let ways = [0.0, 18.0, -18.0, 27.0, -27.0, 36.0, -36.0];
        if let Some(at) = ways.into_iter().map(|by| clear[i] + by).find(|at| free(*at)) {
            clear[i] = at;
        }
    }
    clear
}

/// Draws the lines and gives the boxes of the labels at their ends.
fn lines(svg: &mut Svg, plot: &Plot, frame: &Frame) -> Vec<Written> {
    let ends: Vec<f64> =
        plot.lines.iter().map(|l| l.points.last().map_or(frame.bottom, |p| frame.y(p.1))).collect();
    let places = super::section::spread(&ends, 17.0, frame.top, frame.bottom.max(frame.top + 1.0));
    let places = clear_of_targets(plot, frame, &places);
    let finite = |p: &&Point| p.0.is_finite() && p.1.is_finite();
    let mut marked: Vec<Point> = Vec::new();
    let mut written = Vec::new();
    // Written last, so that no other line runs over them.
    let mut labels = Vec::new();
    for (line, at) in plot.lines.iter().zip(places) {
        let colour = if line.stops { ACCENT } else { INK };
        let placed: Vec<Point> =
            line.points.iter().filter(finite).map(|p| (frame.x(p.0), frame.y(p.1))).collect();
        let data: Vec<String> =
            line.points.iter().filter(finite).map(|p| format!("{},{}", number(p.0), number(p.1))).collect();
        let dash = if line.dashed { " stroke-dasharray=\"6 3\"" } else { "" };
        let stroke = if line.unlinked { "none" } else { colour };
        // What is not known between two points leaves a gap.
        let path: String = line
            .points
            .split(|p| !(p.0.is_finite() && p.1.is_finite()))
            .filter(|part| !part.is_empty())
            .map(|part| {
                let part: Vec<Point> = part.iter().map(|p| (frame.x(p.0), frame.y(p.1))).collect();
                super::svg::path_data(&part, false)
            })
            .collect();
        svg.path(&path, &format!("stroke=\"{stroke}\" stroke-width=\"1.4\" stroke-linejoin=\"round\"{dash} class=\"plot-line\" data-label=\"{}\" data-points=\"{}\"", super::svg::escape(&line.label), data.join(" ")));
        if line.marker != Marker::None {
            let on = |p: &Point| {
                marked.iter().filter(|q| (q.0 - p.0).abs() < 2.5 && (q.1 - p.1).abs() < 2.5).count()
            };
            for point in &placed {
                line.marker.draw(svg, *point, colour, on(point));
            }
            marked.extend(&placed);
        }
        if let Some(end) = placed.last().filter(|_| !line.label.is_empty()) {
            if (end.1 - at).abs() > 3.0 {
                svg.line(
                    (end.0 + 2.0, end.1),
                    (end.0 + 10.0, at),
                    &format!("stroke=\"{colour}\" stroke-width=\"0.7\""),
                );
            }
            labels.push(((end.0 + 12.0, at + 4.5), halo(SMALL, colour, line.stops), &line.label));
            let left = end.0 + 12.0;
            written.push((left, left + text_width(&line.label, SMALL), at + 4.5));
        }
    }
    for (at, style, label) in labels {
        svg.text(at, Align::Start, &style, label);
    }
    written
}

/// Does a line run through the box of a label?
fn runs_through(line: &[Point], (from, to, base): Written) -> bool {
    let (top, bottom) = (base - 14.0, base + 5.0);
    line.windows(2).any(|pair| {
        let ((xa, ya), (xb, yb)) = (pair[0], pair[1]);
        (0..=16).any(|k| {
            let t = f64::from(k) / 16.0;
            let (x, y) = (xa + t * (xb - xa), ya + t * (yb - ya));
            (from..=to).contains(&x) && (top..=bottom).contains(&y)
        })
    })
}

/// Text that stands already: from, to and its base line.
type Written = (f64, f64, f64);

/// Marks what is aimed at. A label goes where it meets none that is `written` and no line, below and inward first.
fn targets(
    svg: &mut Svg,
    targets: &[Target],
    frame: &Frame,
    (written, drawn): (&mut Vec<Written>, &[Vec<Point>]),
) {
    for target in targets {
        let (x, y) = (frame.x(target.at.0), frame.y(target.at.1));
        let pen = format!("stroke=\"{INK}\" stroke-width=\"1.6\"");
        svg.circle((x, y), 7.0, &pen);
        svg.line((x - 11.0, y), (x + 11.0, y), &pen);
        svg.line((x, y - 11.0), (x, y + 11.0), &pen);
        let width = text_width(&target.label, SMALL) * 1.1;
        let left = x > f64::midpoint(frame.left, frame.right);
        let place = |to_left: bool, down: f64| {
            let from = if to_left { x - 14.0 - width } else { x + 14.0 };
            (from, from + width, y + down)
        };
        let places = [
            (left, 18.0),
            (left, -10.0),
            (!left, 18.0),
            (!left, -10.0),
            (left, -22.0),
            (left, 30.0),
            (!left, 30.0),
        ];
        let free = |place: &Written| {
            let meets =
                |w: &Written| w.0 < place.1 + 4.0 && place.0 < w.1 + 4.0 && (w.2 - place.2).abs() < 15.0;
            !written.iter().any(meets) && !drawn.iter().any(|line| runs_through(line, *place))
        };
        let (to_left, down) = places.into_iter().find(|p| free(&place(p.0, p.1))).unwrap_or(places[0]);
        let (at, align) = if to_left { (x - 14.0, Align::End) } else { (x + 14.0, Align::Start) };
        svg.text((at, y + down), align, &halo(SMALL, INK, true), &target.label);
        written.push(place(to_left, down));
    }
}

/// Invisible places along a loop that carry the values.
fn points_to_read(svg: &mut Svg, plot: &Plot, frame: &Frame, (x_step, y_step): (f64, f64)) {
    for line in &plot.lines {
        let every = line.points.len().div_ceil(90).max(1);
        for p in line.points.iter().step_by(every).filter(|p| p.0.is_finite() && p.1.is_finite()) {
            let text = format!(
                "{} {} {}, {} {}",
                line.label,
                written(plot.logarithmic, p.0, x_step / 10.0),
                plot.x.unit,
                written(plot.logarithmic, p.1, y_step / 100.0),
                plot.y.unit
            );
            svg.circle(
                (frame.x(p.0), frame.y(p.1)),
                7.0,
                &format!(
                    "fill=\"#000000\" fill-opacity=\"0\" data-value=\"{}\"",
                    super::svg::escape(text.trim())
                ),
            );
        }
    }
}

/// The values of a plot as a table of at most `most` rows: x, then one column for each line. A loop is
/// listed on its way round, where one x comes back with other values.
pub fn plot_values(plot: &Plot, most: usize) -> (Vec<String>, Vec<Vec<String>>) {
    let name =
        |label: &str, unit: &str| if unit.is_empty() { label.to_owned() } else { format!("{label}, {unit}") };
    let mut head = vec![name(&plot.x.label, &plot.x.unit)];
    head.extend(plot.lines.iter().map(|l| {
        let label = if l.label.is_empty() { &plot.y.label } else { &l.label };
        name(label, &plot.y.unit)
    }));
    let Some(longest) = plot.lines.iter().max_by_key(|l| l.points.len()) else { return (head, Vec::new()) };
    let Some(x) = span(longest.points.iter().map(|p| p.0)) else { return (head, Vec::new()) };
    let y = span(plot.lines.iter().flat_map(|l| &l.points).map(|p| p.1)).unwrap_or((0.0, 1.0));
    let step = |(low, high): (f64, f64)| round_step((high - low).max(1e-12) / 1000.0);
    let every = longest.points.len().div_ceil(most.max(1)).max(1);
    let loops = is_loop(longest);
    let rows = longest.points.iter().enumerate().step_by(every).map(|(at, p)| {
        let mut row = vec![written(plot.logarithmic, p.0, step(x))];
        row.extend(plot.lines.iter().map(|line| {
            let here = |q: &&(f64, f64)| (q.0 - p.0).abs() < (x.1 - x.0).max(1e-9) * 1e-6;
            let same = line.points.get(at).filter(here);
            let same = same.or_else(|| line.points.iter().find(here).filter(|_| !loops));
            same.filter(|q| q.1.is_finite()).map_or_else(String::new, |q| read(plot, q.1, step(y)))
        }));
        row
    });
    (head, rows.collect())
}

/// Whether a line turns back, so that one x has several values.
fn is_loop(line: &Line) -> bool {
    let turns = |pair: &[(f64, f64)]| pair[1].0 - pair[0].0;
    line.points.windows(2).any(|p| turns(p) > 0.0) && line.points.windows(2).any(|p| turns(p) < 0.0)
}

/// A value as it is read off: to the decimals of the plot, else to the place of a step.
fn read(plot: &Plot, value: f64, step: f64) -> String {
    plot.decimals.map_or_else(
        || written(plot.logarithmic, value, step),
        |d| format_fixed(value, d).replace('-', "\u{2212}"),
    )
}

/// Invisible columns that carry the values at their middle in `data-value`, for the page's script.
fn hover(svg: &mut Svg, plot: &Plot, frame: &Frame, (x_step, y_step): (f64, f64)) {
    let Some(longest) = plot.lines.iter().max_by_key(|l| l.points.len()) else { return };
    if is_loop(longest) {
        return;
    }
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
                let value = read(plot, nearest.1, y_step / 100.0);
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
