//! Offsets of the main axes along the crank, enlarged, in both planes.

use super::hand::{
    ACCENT, ALLOWED, AXIS, HIDDEN, INK, SMALL, SOFT, caption, caption_height, halo, round_step_down, span,
    type_of,
};
use super::measured::{Figures, Value};
use super::svg::{Align, Point, Svg};

/// One main bearing.
#[derive(Clone, Debug, PartialEq)]
pub struct MainAxis {
    /// Its number.
    pub label: String,
    /// Offset from the line through the end mains, up.
    pub up: Option<Value>,
    /// Toward the thrust side.
    pub aside: Option<Value>,
    /// It stops the build.
    pub stops: bool,
}

/// The whole line.
#[derive(Clone, Debug, PartialEq)]
pub struct MainLine {
    /// From the front.
    pub mains: Vec<MainAxis>,
    /// Largest offset allowed, SI.
    pub limit: Option<f64>,
    /// How figures are written.
    pub figures: Figures,
    /// Width at which it is shown, px.
    pub width: f64,
}

const ROOM: f64 = 40.0;
const PLANE: f64 = 116.0;

/// Draws it; empty text for fewer than two mains.
pub fn main_line(line: &MainLine) -> String {
    if line.mains.len() < 2 {
        return String::new();
    }
    let left = 74.0;
    let step = (line.width - left - 40.0) / (line.mains.len() - 1) as f64;
    let step = step.min(190.0);
    let reach = span(
        line.mains
            .iter()
            .flat_map(|m| [m.up, m.aside])
            .flatten()
            .map(|v| v.value.abs() + v.expanded)
            .chain(line.limit),
    )
    .map_or(1e-5, |r| r.1.max(1e-6));
    // The crank is drawn as if 100 mm lay between two mains.
    let natural = step / 0.1;
    let factor = round_step_down(ROOM / (reach * natural)).max(1.0);
    let px = natural * factor;
    let mut svg = Svg::new();
    for (i, main) in line.mains.iter().enumerate() {
        svg.text((left + step * i as f64, 16.0), Align::Middle, &type_of(15.0, INK, true), &main.label);
    }
    for (row, name) in ["up", "sideways"].into_iter().enumerate() {
        let level = 24.0 + PLANE * (row as f64 + 0.5);
        let end = left + step * (line.mains.len() - 1) as f64;
        if let Some(limit) = line.limit {
            let half = limit * px;
            svg.rectangle((left - 14.0, level - half), (end - left + 28.0, 2.0 * half), ALLOWED);
        }
        svg.line((left - 24.0, level), (end + 24.0, level), AXIS);
        svg.text((8.0, level + 4.5), Align::Start, &type_of(SMALL, SOFT, false), name);
        let points: Vec<Option<(Point, Value)>> = line
            .mains
            .iter()
            .enumerate()
            .map(|(i, m)| {
                let value = if row == 0 { m.up } else { m.aside };
                value.map(|v| {
                    ((left + step * i as f64, level - (v.value * px).clamp(-1.4 * ROOM, 1.4 * ROOM)), v)
                })
            })
            .collect();
        plane(&mut svg, line, &points, px, (left, step, level));
    }
    let total = 24.0 + 2.0 * PLANE + 24.0;
    let limit =
        line.limit.map_or("no limit given".to_owned(), |l| format!("± {}", line.figures.with_unit(l)));
    let text = format!(
        "main axes against the line through the end mains, drawn {}; grey: {limit}; bar: uncertainty; dashed: not read yet",
        super::hand::scale_words(factor)
    );
    caption(&mut svg, (8.0, total - 6.0), line.width - 16.0, &text);
    svg.picture(line.width, total + 4.0 + caption_height(line.width - 16.0, &text), "main-line", &words(line))
}

fn plane(
    svg: &mut Svg,
    line: &MainLine,
    points: &[Option<(Point, Value)>],
    px: f64,
    (left, step, level): (f64, f64, f64),
) {
    for (i, pair) in points.windows(2).enumerate() {
        match (&pair[0], &pair[1]) {
            (Some((a, _)), Some((b, _))) => {
                svg.line(*a, *b, &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
            }
            _ => svg.line((left + step * i as f64, level), (left + step * (i + 1) as f64, level), HIDDEN),
        }
    }
    for (point, main) in points.iter().zip(&line.mains) {
        let Some(((x, y), value)) = point else { continue };
        let colour = if main.stops { ACCENT } else { INK };
        let bar = (value.expanded * px).min(1.4 * ROOM);
        svg.line((*x, y - bar), (*x, y + bar), &format!("stroke=\"{colour}\" stroke-width=\"1.2\""));
        for end in [-bar, bar] {
            svg.line(
                (x - 3.0, y + end),
                (x + 3.0, y + end),
                &format!("stroke=\"{colour}\" stroke-width=\"1.2\""),
            );
        }
        svg.circle((*x, *y), 3.4, &format!("fill=\"{colour}\""));
        if value.value.abs() > 0.0 {
            let text = line.figures.number(value.value);
            let sign = if value.value > 0.0 { format!("+{text}") } else { text };
            svg.text((x + 8.0, y - 7.0), Align::Start, &halo(SMALL, colour, main.stops), &sign);
        }
    }
}

fn words(line: &MainLine) -> String {
    let list: Vec<String> = line
        .mains
        .iter()
        .map(|m| match (m.up, m.aside) {
            (Some(u), Some(a)) => {
                format!(
                    "main {}: {} up, {} sideways",
                    m.label,
                    line.figures.number(u.value),
                    line.figures.with_unit(a.value)
                )
            }
            _ => format!("main {} not read", m.label),
        })
        .collect();
    format!("Main axes against the line through the ends. {}", list.join("; "))
}
