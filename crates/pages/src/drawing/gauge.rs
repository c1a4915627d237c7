//! The gauge figure: two strokes for the limits, a dot for the value, a box for its uncertainty.

use super::hand::{ACCENT, GRID, INK, SOFT, arrowhead, hatch};
use super::svg::{Svg, number};
use engine::findings::{Finding, Verdict};
use engine::quantity::{UnitSystem, decimals_for, display_unit, format_value, format_with_uncertainty};

/// Width at which it is shown, px.
pub const WIDTH: f64 = 126.0;
/// Height at which it is shown, px.
pub const HEIGHT: f64 = 18.0;

/// What a gauge figure shows; all values in one unit, whichever.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeFigure {
    /// Value and its expanded uncertainty; without a reading there is no figure.
    pub reading: Option<(f64, f64)>,
    /// Least allowed.
    pub min: Option<f64>,
    /// Most allowed.
    pub max: Option<f64>,
    /// Computed from nominal sizes or grades, not measured here: dashed box.
    pub predicted: bool,
    /// An operation moved what was read: hatched box.
    pub stale: bool,
    /// It stops the build: burnt red.
    pub stops: bool,
    /// The same in words.
    pub words: String,
}

impl GaugeFigure {
    /// The figure of a finding; its words carry value, limits and verdict in the reader's units.
    pub fn from_finding(finding: &Finding, units: UnitSystem) -> Self {
        let limit = finding.limit.as_ref();
        Self {
            reading: finding.value.map(|v| (v.value, v.expanded)),
            min: limit.and_then(|l| l.min),
            max: limit.and_then(|l| l.max),
            predicted: finding.value.is_some_and(|v| v.predicted),
            stale: finding.stale,
            stops: finding.verdict == Verdict::Bad,
            words: words_of(finding, units),
        }
    }
}

fn words_of(finding: &Finding, units: UnitSystem) -> String {
    let Some(value) = finding.value else { return format!("{}: no reading", finding.title()) };
    let shown = format_with_uncertainty(value.value, value.expanded, value.dimension, units);
    let decimals = decimals_for(value.expanded / display_unit(value.dimension, units).factor);
    let bound = |si: f64| format_value(si, value.dimension, units, decimals);
    let (min, max) = finding.limit.as_ref().map_or((None, None), |l| (l.min, l.max));
    let limits = match (min, max) {
        (Some(a), Some(b)) => format!("allowed {} to {}", bound(a), bound(b)),
        (Some(a), None) => format!("at least {}", bound(a)),
        (None, Some(b)) => format!("at most {}", bound(b)),
        (None, None) => "no limit known".to_owned(),
    };
    let how = if value.predicted { ", predicted" } else { "" };
    let stale = if finding.stale { ", stale" } else { "" };
    format!("{}: {}, {shown}{how}{stale}, {limits}", finding.title(), finding.verdict.word())
}

/// Draws it; empty text when there is no reading or nothing to compare it with.
pub fn gauge_figure(figure: &GaugeFigure) -> String {
    let Some((value, expanded)) = figure.reading.filter(|(v, _)| v.is_finite()) else { return String::new() };
    let expanded = if expanded.is_finite() { expanded.abs() } else { 0.0 };
    let Some(scale) = Scale::of(figure, value, expanded) else { return String::new() };
    let colour = if figure.stops { ACCENT } else { INK };
    let middle = HEIGHT / 2.0;
    let mut svg = Svg::new();
    svg.line((2.0, middle), (WIDTH - 2.0, middle), &format!("stroke=\"{GRID}\" stroke-width=\"1.4\""));
    let allowed = (figure.min.map_or(2.0, |m| scale.x(m)), figure.max.map_or(WIDTH - 2.0, |m| scale.x(m)));
    svg.line((allowed.0, middle), (allowed.1, middle), &format!("stroke=\"{SOFT}\" stroke-width=\"1.4\""));
    for limit in [figure.min, figure.max].into_iter().flatten() {
        let x = scale.x(limit);
        svg.line((x, 2.5), (x, HEIGHT - 2.5), &format!("stroke=\"{INK}\" stroke-width=\"1.8\""));
    }
    let x = scale.x(value);
    if (4.0..=WIDTH - 4.0).contains(&x) {
        let half = (expanded * scale.per_unit).max(3.5);
        let (left, right) = ((x - half).max(2.0), (x + half).min(WIDTH - 2.0));
        let dash = if figure.predicted { " stroke-dasharray=\"3 2\"" } else { "" };
        svg.rectangle(
            (left, middle - 4.0),
            (right - left, 8.0),
            &format!("fill=\"#ffffff\" stroke=\"{colour}\" stroke-width=\"1.2\"{dash}"),
        );
        if figure.stale {
            let (top, bottom) = (middle - 4.0, middle + 4.0);
            hatch(&mut svg, &[vec![(left, top), (right, top), (right, bottom), (left, bottom)]], 2.2, true);
        }
        svg.circle((x, middle), 2.6, &format!("fill=\"{colour}\""));
    } else {
        off_scale(&mut svg, x < 4.0, colour);
    }
    svg.picture(WIDTH, HEIGHT, "gauge", &figure.words)
}

/// The value lies beyond the end: a dot at the end and an arrow that points away.
fn off_scale(svg: &mut Svg, left: bool, colour: &str) {
    let middle = HEIGHT / 2.0;
    let (dot, tip, way) = if left { (15.0, 1.0, -1.0) } else { (WIDTH - 15.0, WIDTH - 1.0, 1.0) };
    svg.line((dot, middle), (tip, middle), &format!("stroke=\"{colour}\" stroke-width=\"1.2\""));
    arrowhead(svg, (tip, middle), (way, 0.0), colour);
    svg.circle((dot, middle), 2.6, &format!("fill=\"{colour}\""));
}

struct Scale {
    start: f64,
    per_unit: f64,
}

impl Scale {
    /// Two limits take the middle of the figure, a third of the width to either side; one limit stands a third from
    /// its own end. A value beyond the ends goes off scale.
    fn of(figure: &GaugeFigure, value: f64, expanded: f64) -> Option<Self> {
        let (from, to) = match (figure.min, figure.max) {
            (Some(a), Some(b)) if b > a => (a - 0.75 * (b - a), b + 0.75 * (b - a)),
            (Some(a), Some(_)) => (a - expanded.max(1e-9) * 4.0, a + expanded.max(1e-9) * 4.0),
            (Some(a), None) => {
                let reach = ((value - a).abs() + expanded).max(a.abs() * 0.02).max(1e-12) * 2.2;
                (a - 0.6 * reach.min(below(value, a, expanded)), a + reach)
            }
            (None, Some(b)) => {
                let floor = if b >= 0.0 && value >= 0.0 { 0.0 } else { b.min(value) - expanded };
                let reach = (b - floor).max(1e-12);
                (floor - 0.04 * reach, b + 0.6 * reach)
            }
            (None, None) => return None,
        };
        let per_unit = (WIDTH - 8.0) / (to - from);
        (per_unit.is_finite() && per_unit > 0.0).then_some(Self { start: from, per_unit })
    }

    fn x(&self, value: f64) -> f64 {
        (4.0 + (value - self.start) * self.per_unit).clamp(-1.0, WIDTH + 1.0)
    }
}

fn below(value: f64, limit: f64, expanded: f64) -> f64 {
    if value < limit { (limit - value + expanded) * 2.2 } else { f64::INFINITY }
}

/// The position of the dot, for tests: px from the left.
pub fn dot_position(svg: &str) -> Option<String> {
    let start = svg.rfind("<circle cx=\"")? + 12;
    svg[start..].split('"').next().map(|x| number(x.parse().unwrap_or(f64::NAN)))
}
