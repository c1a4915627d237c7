//! A fit with its measured sizes on dimension lines (ISO 129-1) and the clearance enlarged.

use super::hand::{
    ACCENT, AXIS, COVER, Dimension, HIDDEN, INK, SMALL, SOFT, THIN, caption, caption_height, halo, hatch,
    round_step_down, type_of,
};
use super::measured::{Allowed, Figures, Value};
use super::svg::{Align, Svg};

/// What is fitted into what.
#[derive(Clone, Debug, PartialEq)]
pub struct FitDrawing {
    /// "cylinder 2, piston in bore".
    pub title: String,
    /// "bore", "housing", "bush".
    pub outer_label: String,
    /// Its size.
    pub outer: Option<Value>,
    /// "piston", "journal", "pin".
    pub inner_label: String,
    /// Its size.
    pub inner: Option<Value>,
    /// Shell wall, where shells stand between; upper and lower.
    pub shells: Option<(Value, Value)>,
    /// Clearance on diameter.
    pub clearance: Option<Value>,
    /// Its limits.
    pub allowed: Allowed,
    /// It stops the build.
    pub stops: bool,
    /// How sizes are written.
    pub figures: Figures,
    /// Width at which it is shown, px; 300 is usual.
    pub width: f64,
}

const BODY: f64 = 96.0;
const WALL: f64 = 22.0;
const SHELL: f64 = 9.0;

/// Draws it; sizes that are not known are dashed.
pub fn fit_drawing(fit: &FitDrawing) -> String {
    let width = fit.width.max(260.0);
    let mut svg = Svg::new();
    // A long name is written smaller rather than cut: bold letters are about 0.6 of their height wide.
    let size = ((width - 12.0) / (0.6 * fit.title.chars().count().max(1) as f64)).clamp(SMALL, 15.0);
    svg.text((8.0, 18.0), Align::Start, &type_of(size, INK, true), &fit.title);
    let shell = if fit.shells.is_some() { SHELL } else { 0.0 };
    // The gap is drawn between 3 and 16 px: the factor says how much larger than the parts.
    let natural = BODY / fit.inner.or(fit.outer).map_or(0.05, |v| v.value.max(1e-4));
    let clearance = fit.clearance.map(|v| v.value);
    let largest = clearance.into_iter().chain(fit.allowed.ends()).fold(0.0_f64, |a, b| a.max(b.abs()));
    let factor = if largest > 0.0 { round_step_down(26.0 / (largest * natural)).max(1.0) } else { 1.0 };
    let gap = clearance.map_or(6.0, |c| (c * natural * factor / 2.0).clamp(-4.0, 16.0));
    let open = gap.max(0.0);
    let (left, right) = (66.0, width - 70.0);
    let middle = 40.0 + WALL + shell + 16.0 + BODY / 2.0;
    let inner = BODY / 2.0;
    let outer = inner + open + shell;
    body(&mut svg, fit, (left, right), middle, (inner, outer, shell));
    svg.line((left - 14.0, middle), (right + 14.0, middle), AXIS);
    dimensions(&mut svg, fit, (left, right), middle, (inner, outer));
    gap_marks(&mut svg, fit, (left, right), middle, (inner, inner + open));
    let bottom = middle + outer + WALL + 24.0;
    let text = if clearance.is_some() {
        let how = if fit.clearance.is_some_and(|c| c.predicted) { ", predicted, not measured" } else { "" };
        format!(
            "clearance on diameter, in {}, half of it on each side{how}; drawn {}; {}",
            fit.figures.unit(),
            super::hand::scale_words(factor),
            fit.figures.range(fit.allowed)
        )
    } else {
        format!("dashed: not read yet; in {}; {}", fit.figures.unit(), fit.figures.range(fit.allowed))
    };
    caption(&mut svg, (8.0, bottom), width - 16.0, &text);
    svg.picture(width, bottom + 10.0 + caption_height(width - 16.0, &text), "fit", &words(fit))
}

fn body(
    svg: &mut Svg,
    fit: &FitDrawing,
    (left, right): (f64, f64),
    middle: f64,
    (inner, outer, shell): (f64, f64, f64),
) {
    for way in [-1.0, 1.0] {
        let (a, b) = (middle + way * outer, middle + way * (outer + WALL));
        let (top, low) = (a.min(b), a.max(b));
        let ring = vec![(left, top), (right, top), (right, low), (left, low)];
        if fit.outer.is_some() {
            svg.polygon(&ring, COVER);
            hatch(svg, &[ring], 4.6, way > 0.0);
        } else {
            svg.polygon(&ring, HIDDEN);
        }
        if shell > 0.0 {
            let (a, b) = (middle + way * outer, middle + way * (outer - shell));
            let inset = 12.0;
            svg.rectangle(
                (left + inset, a.min(b)),
                (right - left - 2.0 * inset, shell),
                &format!("fill=\"{SOFT}\" stroke=\"{INK}\" stroke-width=\"1\""),
            );
        }
    }
    let reach = 16.0;
    svg.rectangle(
        (left - reach, middle - inner),
        (right - left + 2.0 * reach, 2.0 * inner),
        if fit.inner.is_some() { COVER } else { HIDDEN },
    );
}

fn dimensions(
    svg: &mut Svg,
    fit: &FitDrawing,
    (left, right): (f64, f64),
    middle: f64,
    (inner, outer): (f64, f64),
) {
    if let Some(value) = fit.inner {
        let text = format!("⌀ {}", fit.figures.number(value.value));
        let x = left + (right - left) * 0.3;
        Dimension {
            from: (x, middle - inner),
            to: (x, middle + inner),
            line: x,
            text: &text,
            upright: true,
            beyond: false,
        }
        .draw(svg);
    }
    svg.text(
        (left + (right - left) * 0.3 + 8.0, middle - inner + 18.0),
        Align::Start,
        &halo(SMALL, SOFT, false),
        &fit.inner_label,
    );
    if let Some(value) = fit.outer {
        let text = format!("⌀ {}", fit.figures.number(value.value));
        let line = right + 36.0;
        Dimension {
            from: (right, middle - outer),
            to: (right, middle + outer),
            line,
            text: &text,
            upright: true,
            beyond: false,
        }
        .draw(svg);
    }
    svg.text((right - 6.0, middle - outer - 6.0), Align::End, &halo(SMALL, SOFT, false), &fit.outer_label);
    if let Some((upper, lower)) = fit.shells {
        for (value, y) in [(upper, middle - outer + 4.0), (lower, middle + outer + 5.0)] {
            let fine = Figures { decimals: fit.figures.decimals + 1, ..fit.figures };
            let text = fine.number(value.value);
            svg.text((left - 4.0, y), Align::End, &halo(SMALL, INK, false), &text);
            svg.line((left - 2.0, y - 4.5), (left + 14.0, if y < middle { y + 0.5 } else { y - 9.5 }), THIN);
        }
    }
}

/// The clearance is that on diameter: both gaps together, so both are marked and the figure stands between them.
fn gap_marks(
    svg: &mut Svg,
    fit: &FitDrawing,
    (left, right): (f64, f64),
    middle: f64,
    (inner, bore): (f64, f64),
) {
    let Some(value) = fit.clearance else { return };
    let colour = if fit.stops { ACCENT } else { INK };
    let x = left + (right - left) * 0.66;
    for way in [-1.0, 1.0] {
        svg.line(
            (x, middle + way * (inner - 10.0)),
            (x, middle + way * (bore + 14.0)),
            &format!("stroke=\"{colour}\" stroke-width=\"0.9\""),
        );
        super::hand::arrowhead(svg, (x, middle + way * inner), (0.0, way), colour);
        super::hand::arrowhead(svg, (x, middle + way * bore), (0.0, -way), colour);
    }
    let text = format!("{} ± {}", fit.figures.number(value.value), fit.figures.uncertainty(value.expanded));
    svg.text((x, middle + 18.0), Align::Middle, &halo(SMALL, colour, true), &text);
    svg.text((x, middle + 34.0), Align::Middle, &halo(SMALL, SOFT, false), "on diameter");
}

fn words(fit: &FitDrawing) -> String {
    let size = |v: Option<Value>| v.map_or("not read".to_owned(), |v| fit.figures.with_unit(v.value));
    format!(
        "{}: {} {}, {} {}, clearance on diameter {}, {}",
        fit.title,
        fit.outer_label,
        size(fit.outer),
        fit.inner_label,
        size(fit.inner),
        size(fit.clearance),
        fit.figures.range(fit.allowed)
    )
}
