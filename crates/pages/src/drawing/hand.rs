//! The hand that all drawings share: colours, line widths, hatching, dimensions, axes, text.
//!
//! ISO 128-2 knows two widths, wide to narrow as 2 to 1 (0.7 and 0.35 mm on a large sheet). At the size of a page
//! that is 1.4 and 0.7 px.

use super::svg::{Align, Point, Svg, number};
use std::fmt::Write as _;

/// Paper.
pub const PAPER: &str = "#fbfaf6";
/// Ink.
pub const INK: &str = "#1b1f24";
/// Ink for what stands back: captions, axes.
pub const SOFT: &str = "#4a5058";
/// Only for what stops the build.
pub const ACCENT: &str = "#9a3412";
/// Allowed bands.
pub const BAND: &str = "#e9e5d8";
/// Grid lines.
pub const GRID: &str = "#c9c7bf";

/// Smallest text, px at the intended width.
pub const SMALL: f64 = 13.0;

/// Visible outline of what is cut or seen.
pub const OUTLINE: &str = "stroke=\"#1b1f24\" stroke-width=\"1.4\" stroke-linejoin=\"round\"";
/// Outline with paper inside, so that it covers what lies behind.
pub const COVER: &str = "stroke=\"#1b1f24\" stroke-width=\"1.4\" stroke-linejoin=\"round\" fill=\"#fbfaf6\"";
/// Thin line.
pub const THIN: &str = "stroke=\"#1b1f24\" stroke-width=\"0.7\" stroke-linejoin=\"round\"";
/// Thin line with paper inside.
pub const THIN_COVER: &str =
    "stroke=\"#1b1f24\" stroke-width=\"0.7\" stroke-linejoin=\"round\" fill=\"#fbfaf6\"";
/// Outline of a part whose sizes are not given.
pub const SKETCH: &str = "stroke=\"#1b1f24\" stroke-width=\"0.9\" stroke-dasharray=\"5 3\" fill=\"#fbfaf6\"";
/// Thin dashed line: hidden, or not read yet.
pub const HIDDEN: &str = "stroke=\"#1b1f24\" stroke-width=\"0.7\" stroke-dasharray=\"4 2.5\"";
/// Chain line of an axis (ISO 128-2, line 04.1).
pub const AXIS: &str = "stroke=\"#4a5058\" stroke-width=\"0.7\" stroke-dasharray=\"14 2.5 2.5 2.5\"";
/// Hatching.
pub const HATCH: &str = "stroke=\"#1b1f24\" stroke-width=\"0.45\"";
/// Solid ink: thin cut parts (ISO 128-3: they may be blackened).
pub const SOLID: &str = "fill=\"#1b1f24\"";
/// Allowed band.
pub const ALLOWED: &str = "fill=\"#e9e5d8\"";

/// Attributes of text.
pub fn type_of(size: f64, colour: &str, bold: bool) -> String {
    let weight = if bold { " font-weight=\"700\"" } else { "" };
    format!("font-size=\"{}\" fill=\"{colour}\"{weight}", number(size.max(SMALL)))
}

/// The same with a halo of paper, for text that stands on lines.
pub fn halo(size: f64, colour: &str, bold: bool) -> String {
    format!(
        "{} stroke=\"{PAPER}\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"",
        type_of(size, colour, bold)
    )
}

/// A rough width of text in B612, px: enough to keep labels apart.
pub fn text_width(text: &str, size: f64) -> f64 {
    0.6 * size * text.chars().count() as f64
}

/// Hatches the inside (even-odd) of closed rings with lines at 45°, falling or rising.
pub fn hatch(svg: &mut Svg, rings: &[Vec<Point>], spacing: f64, rising: bool) {
    let turn = |(x, y): Point| if rising { (x - y, x + y) } else { (x + y, x - y) };
    let back = |(p, q): Point| {
        if rising { (f64::midpoint(p, q), (q - p) / 2.0) } else { (f64::midpoint(p, q), (p - q) / 2.0) }
    };
    // p runs along each hatch line, q numbers the lines.
    let turned: Vec<Vec<Point>> = rings.iter().map(|r| r.iter().map(|&p| turn(p)).collect()).collect();
    let all = || turned.iter().flatten().map(|p| p.1);
    let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    if !(low.is_finite() && high.is_finite()) || high - low > 20_000.0 {
        return;
    }
    let step = spacing * std::f64::consts::SQRT_2;
    let mut data = String::new();
    let mut q = (low / step).floor() * step + step * 0.5;
    while q < high {
        let mut hits: Vec<f64> = turned
            .iter()
            .flat_map(|ring| ring.iter().zip(ring.iter().cycle().skip(1)))
            .filter(|(a, b)| (a.1 <= q) != (b.1 <= q))
            .map(|(a, b)| a.0 + (b.0 - a.0) * (q - a.1) / (b.1 - a.1))
            .collect();
        hits.sort_by(f64::total_cmp);
        for pair in hits.chunks_exact(2) {
            let (from, to) = (back((pair[0], q)), back((pair[1], q)));
            let _ = write!(data, "M{} {}L{} {}", short(from.0), short(from.1), short(to.0), short(to.1));
        }
        q += step;
    }
    svg.path(&data, HATCH);
}

fn short(value: f64) -> String {
    number((value * 10.0).round() / 10.0)
}

/// A filled arrowhead at `tip`, pointing along `direction` (need not be a unit vector).
pub fn arrowhead(svg: &mut Svg, tip: Point, direction: Point, colour: &str) {
    let length = (direction.0 * direction.0 + direction.1 * direction.1).sqrt();
    if length <= 0.0 || length.is_nan() {
        return;
    }
    let (dx, dy) = (direction.0 / length, direction.1 / length);
    let base = (tip.0 - dx * 9.0, tip.1 - dy * 9.0);
    svg.polygon(
        &[tip, (base.0 - dy * 1.6, base.1 + dx * 1.6), (base.0 + dy * 1.6, base.1 - dx * 1.6)],
        &format!("fill=\"{colour}\""),
    );
}

/// A dimension (ISO 129-1) between two points, its line moved to `line` (the y of a horizontal, the x of an upright one).
#[derive(Clone, Debug)]
pub struct Dimension<'a> {
    /// First point on the outline.
    pub from: Point,
    /// Second point.
    pub to: Point,
    /// Where the dimension line stands.
    pub line: f64,
    /// The figure.
    pub text: &'a str,
    /// True for an upright dimension line.
    pub upright: bool,
    /// The figure stands beyond the upper arrow on the lengthened line, not in the middle (upright lines only).
    pub beyond: bool,
}

impl Dimension<'_> {
    /// Draws extension lines, the line with its arrows, and the figure above or left of it.
    pub fn draw(&self, svg: &mut Svg) {
        let put = |along: f64, across: f64| if self.upright { (across, along) } else { (along, across) };
        let split = |p: Point| if self.upright { (p.1, p.0) } else { (p.0, p.1) };
        let (mut a, mut b) = (split(self.from), split(self.to));
        if a.0 > b.0 {
            std::mem::swap(&mut a, &mut b);
        }
        for (along, across) in [a, b] {
            let away = (self.line - across).signum();
            if (self.line - across).abs() > 3.0 {
                svg.line(put(along, across + 2.0 * away), put(along, self.line + 4.0 * away), THIN);
            }
        }
        let inside = b.0 - a.0 > 26.0;
        let reach = if inside { 0.0 } else { 14.0 };
        svg.line(put(a.0 - reach, self.line), put(b.0 + reach, self.line), THIN);
        let forward = put(1.0, 0.0);
        let backward = put(-1.0, 0.0);
        arrowhead(svg, put(a.0, self.line), if inside { backward } else { forward }, INK);
        arrowhead(svg, put(b.0, self.line), if inside { forward } else { backward }, INK);
        let middle = f64::midpoint(a.0, b.0);
        let style = halo(SMALL, INK, false);
        if self.upright && (self.beyond || b.0 - a.0 < text_width(self.text, SMALL) + 4.0) {
            let length = text_width(self.text, SMALL) + 8.0;
            svg.line((self.line, a.0), (self.line, a.0 - length - 4.0), THIN);
            svg.upward_text((self.line - 5.0, a.0 - 6.0), Align::Start, &style, self.text);
        } else if self.upright {
            svg.upward_text((self.line - 5.0, middle), Align::Middle, &style, self.text);
        } else if b.0 - a.0 > text_width(self.text, SMALL) - 6.0 {
            svg.text((middle, self.line - 5.0), Align::Middle, &style, self.text);
        } else {
            svg.text((b.0 + reach + 4.0, self.line + 4.5), Align::Start, &style, self.text);
        }
    }
}

/// Rounds up to 1, 2 or 5 times a power of ten, for steps of axes and factors of enlargement.
pub fn round_step(value: f64) -> f64 {
    if !(value > 0.0 && value.is_finite()) {
        return 1.0;
    }
    let mut power = 1.0;
    while power * 10.0 <= value {
        power *= 10.0;
    }
    while power > value {
        power /= 10.0;
    }
    [1.0, 2.0, 5.0].into_iter().map(|m| m * power).find(|s| *s >= value * 0.999_999).unwrap_or(power * 10.0)
}

/// A scale of enlargement as drawings state it (ISO 5455): "2:1", "1000:1", "10,000:1".
pub fn scale_words(factor: f64) -> String {
    format!("{}:1", crate::words::grouped(&format!("{factor:.0}")))
}

/// Rounds down to 1, 2 or 5 times a power of ten.
pub fn round_step_down(value: f64) -> f64 {
    let up = round_step(value);
    if up <= value * 1.000_001 {
        return up;
    }
    [0.5, 0.4].into_iter().map(|f| round_step(up * f)).find(|s| *s <= value * 1.000_001).unwrap_or(up * 0.5)
}

/// Both ends of what is finite among values, or None.
pub fn span(values: impl IntoIterator<Item = f64>) -> Option<(f64, f64)> {
    values.into_iter().filter(|v| v.is_finite()).fold(None, |range, v| match range {
        None => Some((v, v)),
        Some((low, high)) => Some((v.min(low), v.max(high))),
    })
}

/// Breaks a caption into lines that fit.
fn caption_lines(width: f64, text: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let last = lines.len() - 1;
        if !lines[last].is_empty() && text_width(&lines[last], SMALL) + text_width(word, SMALL) + 8.0 > width
        {
            lines.push(word.to_owned());
        } else {
            if !lines[last].is_empty() {
                lines[last].push(' ');
            }
            lines[last].push_str(word);
        }
    }
    lines
}

/// Writes a caption from `at` downward, in as many lines as it needs.
pub fn caption(svg: &mut Svg, at: Point, width: f64, text: &str) {
    for (i, line) in caption_lines(width, text).iter().enumerate() {
        svg.text((at.0, at.1 + 18.0 * i as f64), Align::Start, &type_of(SMALL, SOFT, false), line);
    }
}

/// Height that a caption needs beyond its first line, px.
pub fn caption_height(width: f64, text: &str) -> f64 {
    18.0 * (caption_lines(width, text).len() - 1) as f64
}
