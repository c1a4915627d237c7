//! The places where drawings stand: what a page hands to `drawing`, and the markup around it.

use crate::drawing::of_engine::{Titled, fit_of, kinematics_plots, sheet_drawings};
use crate::drawing::{self, Anchor, GaugeFigure, Region, SectionOptions, engine_section, gauge_figure};
use crate::frame::{View, drawn, field_id};
use crate::words::{grouped, input_value, is_probability, sentence, signed};
use engine::features::Sheet;
use engine::findings::Finding;
use engine::quantity::{UnitSystem, format_fixed, format_value, format_with_uncertainty};
use maud::{Markup, html};
use mechanics::math::{log10, powi};

/// Gauge figure of a finding: limits as strokes, value as a dot, uncertainty as a box. Nothing without a reading.
pub(crate) fn gauge(finding: &Finding, view: &View) -> Markup {
    if is_probability(finding) {
        return html! {};
    }
    let figure = GaugeFigure::from_finding(finding, view.units());
    match gauge_figure(&figure) {
        svg if svg.is_empty() => html! {},
        svg => html! { span.gauge { (drawn(svg)) } },
    }
}

/// One balloon on the engine drawing.
pub(crate) struct Balloon<'a> {
    /// Number in the list.
    pub number: usize,
    /// Finding that it stands for.
    pub finding: &'a Finding,
}

/// The engine to scale with its balloons; parts of it lead to their sheets.
pub(crate) fn section(view: &View, balloons: &[Balloon], crank_degrees: f64) -> Markup {
    let balloons: Vec<drawing::Balloon> = balloons
        .iter()
        .map(|b| drawing::Balloon {
            number: u32::try_from(b.number).unwrap_or(u32::MAX),
            anchor: Anchor::of(b.finding),
            label: sentence(&b.finding.title()),
            href: format!("#finding-{}", b.number),
            stops: b.finding.stops(),
        })
        .collect();
    let options = SectionOptions {
        width: ENGINE_WIDTH,
        crank_angle_deg: crank_degrees,
        balloons: &balloons,
        region_href: &|region| Some(region_at(view, region)),
        ..SectionOptions::default()
    };
    drawn(engine_section(&view.engine.document, &options))
}

/// First field of a part's row on its sheet, or its table.
fn region_at(view: &View, region: &Region) -> String {
    let sheet = view.at(&format!("sheet/{}", region.sheet.id()));
    let catalogue = &view.engine.catalogue;
    let place = catalogue
        .tables
        .iter()
        .find(|t| t.id == region.table)
        .and_then(|t| catalogue.features_of(t).find(|f| f.instance == region.instance));
    match place {
        Some(feature) => format!("{sheet}#{}", field_id(&feature.path)),
        None => format!("{sheet}#{}", region.table),
    }
}

/// Width at which the engine is shown, px.
const ENGINE_WIDTH: f64 = 760.0;
/// Width at which a drawing at the foot of a sheet is shown, px.
const FOOT_WIDTH: f64 = 640.0;
/// The same for wall maps, for an engine of more than six cylinders, or with many valves, on a broad screen and on paper.
const BROAD_FOOT_WIDTH: f64 = 1180.0;
/// Width at which one fit is drawn, px.
const FIT_WIDTH: f64 = 300.0;
/// Width of a plot of the motion, px.
const PLOT_WIDTH: f64 = 560.0;

/// The drawings at the foot of a reading sheet.
pub(crate) fn sheet_drawing(view: &View, sheet: Sheet) -> Markup {
    let broad = matches!(sheet, Sheet::Casting | Sheet::Valves)
        || view.engine.document.layout.cylinders.is_some_and(|n| n > 6);
    let drawn_at = |width| sheet_drawings(view.engine, view.assessment, sheet, width);
    html! {
        // A narrow screen shows the same in more rows: nothing scrolls sideways.
        @if broad { (titled(drawn_at(BROAD_FOOT_WIDTH), "drawing-row broad")) }
        (titled(drawn_at(FOOT_WIDTH), if broad { "drawing-row narrow" } else { "drawing-row" }))
    }
}

/// One fit with dimension lines, where it can be drawn.
pub(crate) fn fit(finding: &Finding, view: &View) -> Option<Markup> {
    let svg = fit_of(finding, view.units(), FIT_WIDTH)?;
    Some(html! { figure { (drawn(svg)) } })
}

/// Piston speed and acceleration over one turn.
pub(crate) fn motion(view: &View) -> Markup {
    let figures = engine::figures(view.engine, view.assessment);
    html! {
        @if !figures.is_empty() {
            h2 { "Motion and effective compression" }
            table.figures {
                thead { tr { th scope="col" { "figure" } th.n scope="col" { "value" } th scope="col" { "formula" } th scope="col" { "source" } } }
                tbody {
                    @for figure in &figures {
                        tr {
                            th scope="row" { (sentence(&figure.label)) }
                            td.n { (figure_value(figure, view)) @if let Some(by) = figure.per_degree { div.small.quiet { "per degree of closing: " (format_fixed(by, 2)) } } }
                            td.small { (figure.working.formula) (figure_inputs(figure, view)) }
                            td.small.quiet { (figure.working.source) }
                        }
                    }
                }
            }
        }
        (titled(kinematics_plots(view.engine, view.assessment, PLOT_WIDTH), "drawing-row plots"))
    }
}

/// What a figure is worked out from.
fn figure_inputs(figure: &engine::Figure, view: &View) -> Markup {
    html! {
        @if !figure.working.inputs.is_empty() {
            details { summary { "Inputs" span.reader-only { ": " (figure.label) } }
                ul.plain { @for input in &figure.working.inputs { li { (sentence(&input.label)) ": " (input_value(input, view.units())) } } } }
        }
    }
}

/// Value of a figure: with its uncertainty where it has one.
fn figure_value(figure: &engine::Figure, view: &View) -> String {
    let text = match figure.dimension {
        Some(dimension) if figure.expanded > 0.0 && figure.per_degree.is_none() => {
            format_with_uncertainty(figure.value, figure.expanded, dimension, view.units())
        }
        Some(dimension) => format_value(figure.value, dimension, view.units(), figure.decimals),
        None if view.units() == UnitSystem::Inch && figure.unit.starts_with("m/s") => {
            let feet = figure.value / 0.3048;
            format!("{} {}", four_digits(feet, figure.decimals), figure.unit.replacen('m', "ft", 1))
        }
        None => format!("{} {}", four_digits(figure.value, figure.decimals), figure.unit),
    };
    signed(&text)
}

/// A figure whose inputs are known to about a part in ten thousand: four digits, and no more decimals than it came with.
/// Thousands are parted, as capacities are: "23,840".
fn four_digits(value: f64, decimals: usize) -> String {
    let places = log10(value.abs().max(1.0)).floor() as i32;
    let step = powi(10.0, places - 3);
    let supported = usize::try_from(3 - places).unwrap_or(0);
    let text = format_fixed((value / step).round() * step, decimals.min(supported));
    grouped(&text)
}

fn titled(drawings: Vec<Titled>, class: &str) -> Markup {
    html! {
        @if !drawings.is_empty() {
            div class=(class) {
                @for drawing in drawings {
                    figure aria-label=(drawing.title) {
                        h2.small { (drawing.title) }
                        (drawn(drawing.svg))
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_of_the_motion_has_four_digits() {
        assert_eq!(four_digits(-23_843.2, 0), "\u{2212}23,840");
        assert_eq!(four_digits(23.774, 2), "23.77");
        assert_eq!(four_digits(122.18, 2), "122.2", "no zero that was not computed");
        assert_eq!(four_digits(9_871.4, 0), "9871");
        assert_eq!(four_digits(0.0, 2), "0.00");
    }
}
