//! One small picture for each of many like parts side by side: ring gaps, lash, deck, chambers.

use super::hand::{
    ACCENT, ALLOWED, AXIS, COVER, HIDDEN, INK, SMALL, SOFT, caption, caption_height, halo, hatch,
    round_step_down, scale_words, span, type_of,
};
use super::measured::{Allowed, Figures, Value};
use super::svg::{Align, Point, Svg};
use mechanics::math::{cos, sin};

/// One of them.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its name: "2", "3 intake a".
    pub label: String,
    /// What was read.
    pub value: Option<Value>,
    /// Allowed here, when it differs from the row's.
    pub allowed: Option<Allowed>,
    /// A second figure below: shim, grade.
    pub note: String,
    /// It stops the build.
    pub stops: bool,
}

/// A row of like parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What is shown: "top ring end gap"; the page writes it as a heading, the drawing in its caption.
    pub title: String,
    /// The parts.
    pub items: Vec<Item>,
    /// Allowed for all.
    pub allowed: Allowed,
    /// How figures are written.
    pub figures: Figures,
    /// Width at which it is shown, px.
    pub width: f64,
}

/// Ends of each ring face to face: the gap enlarged, limits as strokes.
pub fn ring_gap_figure(row: &Row) -> String {
    let Some(factor) = factor_of(row, 34.0) else { return String::new() };
    draw(row, 84.0, "ring-gaps", &format!("gap drawn {}", scale_words(factor)), &|svg, item, (x, y), _| {
        let px = 3780.0 * factor;
        let gap = item.value.map_or(10.0, |v| (v.value * px).clamp(0.0, 46.0));
        let (mid, thick) = (y + 40.0, 16.0);
        for way in [-1.0, 1.0] {
            let near = x + way * gap / 2.0;
            let ring = vec![
                (near, mid - thick / 2.0),
                (x + way * 44.0, mid - thick / 2.0 + 3.0),
                (x + way * 44.0, mid + thick / 2.0 + 3.0),
                (near, mid + thick / 2.0),
            ];
            if item.value.is_some() {
                svg.polygon(&ring, COVER);
                hatch(svg, &[ring], 4.0, way > 0.0);
            } else {
                svg.polygon(&ring, HIDDEN);
            }
        }
        // The limits as widths around the same middle.
        for end in item.allowed.unwrap_or(row.allowed).ends() {
            for way in [-1.0, 1.0] {
                let at = x + way * (end * px / 2.0).min(44.0);
                svg.line(
                    (at, mid - 17.0),
                    (at, mid - 10.0),
                    &format!("stroke=\"{INK}\" stroke-width=\"1.4\""),
                );
            }
        }
    })
}

/// Cam, gap and follower with its shim for each valve.
pub fn lash_figure(row: &Row) -> String {
    let Some(factor) = factor_of(row, 36.0) else { return String::new() };
    draw(
        row,
        128.0,
        "lash",
        &format!("lash drawn {}; figure below: shim", scale_words(factor)),
        &|svg, item, (x, y), _| {
            let px = 3780.0 * factor;
            let gap = item.value.map_or(9.0, |v| (v.value * px).clamp(0.0, 44.0));
            let cam: Vec<Point> = (0..=18)
                .map(|k| {
                    let angle = f64::from(k) / 18.0 * std::f64::consts::PI;
                    (x - 18.0 * cos(angle), y + 22.0 + 18.0 * sin(angle))
                })
                .collect();
            svg.polyline(&cam, &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
            let top = y + 40.0 + gap;
            let style = if item.value.is_some() { COVER } else { HIDDEN };
            svg.polygon(
                &[
                    (x - 18.0, top + 30.0),
                    (x - 18.0, top),
                    (x + 18.0, top),
                    (x + 18.0, top + 30.0),
                    (x + 14.0, top + 30.0),
                    (x + 14.0, top + 5.0),
                    (x - 14.0, top + 5.0),
                    (x - 14.0, top + 30.0),
                ],
                style,
            );
            svg.rectangle(
                (x - 8.0, top + 6.0),
                (16.0, 6.0),
                if item.note.is_empty() { HIDDEN } else { "fill=\"#1b1f24\"" },
            );
            svg.rectangle((x - 3.0, top + 13.0), (6.0, 17.0), style);
            let limits = item.allowed.unwrap_or(row.allowed);
            for end in limits.ends() {
                let at = y + 40.0 + (end * px).min(46.0);
                svg.line((x - 30.0, at), (x - 21.0, at), &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
            }
            svg.line((x - 30.0, y + 40.0), (x - 21.0, y + 40.0), AXIS);
        },
    )
}

/// How far each piston stands below its deck, enlarged; a lean of the deck shows as a slope.
pub fn deck_figure(row: &Row, lean: Option<(Value, Value)>) -> String {
    let reach = row
        .items
        .iter()
        .filter_map(|i| i.value)
        .map(|v| v.value.abs() + v.expanded)
        .chain(row.allowed.ends().map(f64::abs));
    let tilt = lean.map_or(0.0, |(a, b)| (b.value - a.value).abs());
    let Some((_, most)) = span(reach.chain([tilt])).filter(|r| r.1 > 0.0) else { return String::new() };
    let factor = round_step_down(30.0 / (most * 3780.0)).max(1.0);
    let px = 3780.0 * factor;
    let count = row.items.len().max(1) as f64;
    draw(
        row,
        92.0,
        "deck",
        &format!("drawn {}; line: deck, front to the left", scale_words(factor)),
        &|svg, item, (x, y), i| {
            let slope = lean.map_or((0.0, 0.0), |(a, b)| {
                let whole = (b.value - a.value) * px;
                (whole * (i as f64 / count - 0.5), whole * ((i as f64 + 1.0) / count - 0.5))
            });
            let deck = y + 34.0;
            let half = 42.0;
            svg.line(
                (x - half - 4.0, deck - slope.0),
                (x + half + 4.0, deck - slope.1),
                &format!("stroke=\"{INK}\" stroke-width=\"1.6\""),
            );
            let here = deck - f64::midpoint(slope.0, slope.1);
            let crown = here + item.value.map_or(10.0, |v| (v.value * px).clamp(-26.0, 44.0));
            let ring = vec![
                (x - 32.0, crown),
                (x + 32.0, crown),
                (x + 32.0, crown + 16.0),
                (x - 32.0, crown + 16.0),
            ];
            if item.value.is_some() {
                svg.polygon(&ring, COVER);
                hatch(svg, &[ring], 4.4, true);
            } else {
                svg.polygon(&ring, HIDDEN);
            }
            for end in item.allowed.unwrap_or(row.allowed).ends() {
                let at = here + (end * px).clamp(-26.0, 44.0);
                svg.line((x + 34.0, at), (x + 44.0, at), &format!("stroke=\"{INK}\" stroke-width=\"1.4\""));
            }
        },
    )
}

/// Values of like parts on one scale: dot, bar of uncertainty, limits as strokes, allowed band grey.
pub fn bars(row: &Row) -> String {
    let all = || row.items.iter().filter_map(|i| i.value.map(|v| (v, i.allowed.unwrap_or(row.allowed))));
    let ends = all()
        .flat_map(|(v, a)| [v.value - v.expanded, v.value + v.expanded].into_iter().chain(a.ends()))
        .chain(row.allowed.ends());
    let Some((low, high)) = span(ends) else { return String::new() };
    let margin = ((high - low) * 0.12).max(high.abs() * 1e-6).max(1e-12);
    let (low, high) = (low - margin, high + margin);
    draw(row, 112.0, "bars", "box: uncertainty; strokes: limits", &|svg, item, (x, y), _| {
        let (top, bottom) = (y + 24.0, y + 104.0);
        let at = |v: f64| bottom - (v - low) / (high - low) * (bottom - top);
        let allowed = item.allowed.unwrap_or(row.allowed);
        let (from, to) = (allowed.max.map_or(top, at), allowed.min.map_or(bottom, at));
        if allowed.ends().next().is_some() {
            svg.rectangle((x - 15.0, from), (30.0, to - from), ALLOWED);
        }
        for end in allowed.ends() {
            svg.line(
                (x - 15.0, at(end)),
                (x + 15.0, at(end)),
                &format!("stroke=\"{INK}\" stroke-width=\"1.6\""),
            );
        }
        let Some(value) = item.value else {
            svg.line((x, top), (x, bottom), HIDDEN);
            return;
        };
        let colour = ink(item);
        let dash = if value.predicted { " stroke-dasharray=\"3 2\"" } else { "" };
        let half = ((at(value.value - value.expanded) - at(value.value + value.expanded)) / 2.0).max(2.5);
        let middle = at(value.value);
        svg.rectangle(
            (x - 6.0, middle - half),
            (12.0, 2.0 * half),
            &format!("fill=\"#ffffff\" stroke=\"{colour}\" stroke-width=\"1.1\"{dash}"),
        );
        if value.stale {
            hatch(
                svg,
                &[vec![
                    (x - 6.0, middle - half),
                    (x + 6.0, middle - half),
                    (x + 6.0, middle + half),
                    (x - 6.0, middle + half),
                ]],
                2.4,
                true,
            );
        }
        svg.circle((x, middle), 3.0, &format!("fill=\"{colour}\""));
    })
}

fn ink(item: &Item) -> &'static str {
    if item.stops { ACCENT } else { INK }
}

/// Enlargement at which the largest value or limit takes `room` px (96 px to the inch).
fn factor_of(row: &Row, room: f64) -> Option<f64> {
    let limits = row.items.iter().filter_map(|i| i.allowed).flat_map(Allowed::ends);
    let values = row.items.iter().filter_map(|i| i.value).map(|v| v.value);
    let most = span(values.chain(limits).chain(row.allowed.ends())).map_or(5e-4, |r| r.1).max(1e-6);
    (!row.items.is_empty()).then(|| round_step_down(room / (most * 3780.0)).max(1.0))
}

type Picture<'a> = &'a dyn Fn(&mut Svg, &Item, Point, usize);

/// Title, pictures with label above and figure below, caption.
fn draw(row: &Row, picture: f64, class: &str, how: &str, one: Picture) -> String {
    let count = row.items.len();
    if count == 0 {
        return String::new();
    }
    let noted = row.items.iter().any(|i| !i.note.is_empty());
    let cell_height = picture + if noted { 46.0 } else { 28.0 };
    let per_row = count.min(((row.width - 16.0) / 104.0).floor().max(1.0) as usize);
    let rows = count.div_ceil(per_row);
    let per_row = count.div_ceil(rows);
    let cell = ((row.width - 16.0) / per_row as f64).min(190.0);
    let mut svg = Svg::new();
    for (i, item) in row.items.iter().enumerate() {
        let x = 8.0 + cell * ((i % per_row) as f64 + 0.5);
        let y = 6.0 + cell_height * (i / per_row) as f64;
        svg.text((x, y + 12.0), Align::Middle, &type_of(14.0, INK, true), &item.label);
        one(&mut svg, item, (x, y), i);
        let below = y + picture + 14.0;
        // Not by colour alone.
        let bad = if item.stops { " bad" } else { "" };
        let text =
            item.value.map_or("not read".to_owned(), |v| format!("{}{bad}", row.figures.number(v.value)));
        svg.text((x, below), Align::Middle, &halo(SMALL, ink(item), item.stops), &text);
        if !item.note.is_empty() {
            svg.text((x, below + 18.0), Align::Middle, &halo(SMALL, SOFT, false), &item.note);
        }
    }
    let total = 6.0 + cell_height * rows as f64 + 22.0;
    let unit = match row.figures.unit() {
        "" => String::new(),
        "in" => " in inches".to_owned(),
        unit => format!(" in {unit}"),
    };
    let mut ranges: Vec<String> = Vec::new();
    for item in &row.items {
        let range = row.figures.range(item.allowed.unwrap_or(row.allowed));
        if !ranges.contains(&range) {
            ranges.push(range);
        }
    }
    let range = if ranges.len() > 2 { "allowed for each as drawn".to_owned() } else { ranges.join(" or ") };
    let text = format!("{}{unit}; {range}; {how}; dashed: not read yet", row.title);
    caption(&mut svg, (8.0, total - 4.0), row.width - 16.0, &text);
    let list: Vec<String> = row
        .items
        .iter()
        .map(|i| {
            let stops = if i.stops { ", stops the build" } else { "" };
            i.value.map_or(format!("{} not read", i.label), |v| {
                format!("{} {}{stops}", i.label, row.figures.with_unit(v.value))
            })
        })
        .collect();
    let words = format!("{}, {}: {}", row.title, row.figures.range(row.allowed), list.join("; "));
    svg.picture(row.width, total + 8.0 + caption_height(row.width - 16.0, &text), class, &words)
}
