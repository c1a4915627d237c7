//! A measured curve, its columns, and the factors adjusted to it.

use super::curve::speed_axis;
use super::units::{place_words, rev, rpm};
use super::{PowerView, ShownStudy, caution, figure, page, progress, study_made};
use crate::drawing::{Axis, Line, Marker, Plot};
use crate::words::{full_stop, prose, sentence};
use engine::power::{Calibration, Factor, compared_in, heading_unit};
use engine::quantity::{Dimension, format_fixed};
use maud::{Markup, html};

/// What the form holds when it comes back.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CalibrationForm {
    /// Text of the file; empty before one was given.
    pub text: String,
    /// Headings of its columns.
    pub headings: Vec<String>,
    /// All that is wrong with it.
    pub problems: Vec<String>,
    /// Fields of a form that was refused, as they were filled in; empty before.
    pub filled: Vec<(String, String)>,
}

impl CalibrationForm {
    /// What stands in a field: as it was filled in, else the usual.
    fn value(&self, name: &str, usual: &str) -> String {
        let filled = self.filled.iter().find(|(field, _)| field == name);
        filled.map_or(usual, |(_, value)| value).to_owned()
    }

    /// Is a factor ticked, or a heading or choice picked? A box that was not ticked is not sent.
    fn picked(&self, name: &str, value: &str, usual: bool) -> bool {
        if self.filled.is_empty() {
            return usual;
        }
        self.filled.iter().any(|(field, filled)| field == name && filled == value)
    }
}

/// Quantities of a measured curve: name in the form, in words, what they measure, usual unit, must be there.
const COLUMNS: [(&str, &str, Dimension, &str, bool); 4] = [
    ("speed", "crank speed", Dimension::Speed, "rev/min", true),
    ("torque", "torque", Dimension::Torque, "N\u{b7}m", true),
    ("boost", "pressure in the plenum, absolute", Dimension::Pressure, "bar", false),
    ("lambda", "\u{3bb}, air\u{2013}fuel ratio over the stoichiometric one", Dimension::Ratio, "", false),
];

/// The heading that names the quantity, else the first with a unit of it.
fn likely_column<'a>(form: &'a CalibrationForm, name: &str, dimension: Dimension) -> Option<&'a String> {
    let mut headings = form.headings.iter();
    let named = headings.clone().find(|h| h.to_lowercase().contains(name));
    named.or_else(|| headings.find(|h| heading_unit(h, dimension).is_some()))
}

/// The page: upload, then the mapping, then what a calibration found.
pub fn calibration_page(
    power: &PowerView,
    form: &CalibrationForm,
    found: Option<&ShownStudy<Calibration>>,
) -> String {
    let runs = power.job.as_ref().is_some_and(|j| j.runs);
    let body = html! {
        h1 { "Calibrate" }
        (caution())
        p { "A curve measured on this engine says where the computation is off. A few named factors are adjusted within bounds; what no factor explains stays visible. Leave some speeds out of the adjustment: only there does it show what it is worth." }
        @for problem in &form.problems { p.error role="alert" { (full_stop(problem)) } }
        div.no-print { (progress(power)) }
        @if power.specification.is_complete() && !runs {
            @if form.headings.is_empty() { (upload(power, form)) } @else { (mapping(power, form)) }
        } @else if !runs { p.quiet { "First the inputs must be complete." } }
        @if let Some(shown) = found { (result(power, shown)) }
    };
    page(power, "Calibrate", &body)
}

fn upload(power: &PowerView, form: &CalibrationForm) -> Markup {
    html! {
        form.form.no-print method="post" action=(power.at("calibrate/file")) enctype="multipart/form-data" {
            input type="hidden" name="_token" value=(power.view.token);
            div.field { label for="curve_file" { "Measured curve, CSV" } div.entry { input id="curve_file" type="file" name="curve_file" accept=".csv,text/csv"; } div.hint { "A line of headings, then one line for each speed; commas, semicolons or tabs between the cells." } }
            div.field { label for="curve" { "or its text" } div.entry { textarea id="curve" name="curve" rows="6" spellcheck="false" { (form.text) } } }
            div.actions { button type="submit" { "Read its columns" } }
        }
    }
}

fn mapping(power: &PowerView, form: &CalibrationForm) -> Markup {
    html! {
        form.form.no-print method="post" action=(power.at("calibrate")) {
            input type="hidden" name="_token" value=(power.view.token);
            input type="hidden" name="curve" value=(form.text);
            p { (prose(&compared_in(power.specification), power.view.units())) }
            fieldset { legend { "Which column is what" }
                @for (name, words, dimension, usual, needed) in COLUMNS {
                    @let likely = likely_column(form, name, dimension);
                    @let unit = likely.and_then(|h| heading_unit(h, dimension)).unwrap_or(usual);
                    div.field {
                        label for=(format!("column-{name}")) { (sentence(words)) }
                        div.entry {
                            select id=(format!("column-{name}")) name=(format!("column_{name}")) {
                                @if !needed { option value="" { "not in this file" } }
                                @for heading in &form.headings {
                                    option value=(heading) selected[form.picked(&format!("column_{name}"), heading, likely == Some(heading))] { (heading) }
                                }
                            }
                            label for=(format!("unit-{name}")) { "unit" }
                            input id=(format!("unit-{name}")) name=(format!("unit_{name}")) value=(form.value(&format!("unit_{name}"), unit)) autocomplete="off";
                        }
                    }
                }
            }
            fieldset { legend { "What may be adjusted, and how far" }
                @for factor in Factor::ALL {
                    @let key = factor.path().trim_start_matches("power.");
                    @let (least, most) = factor.usual_bounds();
                    div.field {
                        label for=(format!("adjust-{key}")) { (sentence(factor.words())) ", times" }
                        div.entry {
                            input id=(format!("adjust-{key}")) type="checkbox" name=(format!("adjust_{key}")) value="yes" checked[form.picked(&format!("adjust_{key}"), "yes", matches!(factor, Factor::Friction | Factor::BurnDuration))];
                            label for=(format!("least-{key}")) { "from" }
                            input.short id=(format!("least-{key}")) name=(format!("least_{key}")) value=(form.value(&format!("least_{key}"), &format_fixed(least, 2))) inputmode="decimal" autocomplete="off";
                            label for=(format!("most-{key}")) { "to" }
                            input.short id=(format!("most-{key}")) name=(format!("most_{key}")) value=(form.value(&format!("most_{key}"), &format_fixed(most, 2))) inputmode="decimal" autocomplete="off";
                        }
                    }
                }
            }
            div.field { label for="held_out" { "Speeds left out, to check the adjustment" } div.entry {
                select id="held_out" name="held_out" {
                    @for (every, words) in [("3", "every third"), ("4", "every fourth"), ("0", "none")] {
                        option value=(every) selected[form.picked("held_out", every, every == "3")] { (words) }
                    }
                } } }
            div.actions { button.main type="submit" { "Adjust" } a.button href=(power.at("calibrate")) { "Another file" } }
        }
    }
}

fn percent(share: f64) -> String {
    format!("{} %", format_fixed(share * 100.0, 1))
}

fn result(power: &PowerView, shown: &ShownStudy<Calibration>) -> Markup {
    let found = shown.found;
    let units = power.shown();
    let torque = |t: f64| units.number(t, Dimension::Torque);
    let line =
        |label: &str, dashed: bool, marker: Marker, of: &dyn Fn(&engine::power::Compared) -> f64| Line {
            label: label.to_owned(),
            points: found.points.iter().map(|p| (rpm(p.speed), torque(of(p)))).collect(),
            dashed,
            marker,
            ..Line::default()
        };
    let plot = Plot {
        title: "Measured, before and after".to_owned(),
        x: speed_axis(),
        y: Axis { label: "torque".to_owned(), unit: units.symbol(Dimension::Torque).to_owned(), step: None },
        lines: vec![
            Line { unlinked: true, ..line("measured", false, Marker::Cross, &|p| p.measured) },
            line("before", true, Marker::Ring, &|p| p.before),
            line("after", false, Marker::Dot, &|p| p.after),
        ],
        decimals: Some(0),
        width: 900.0,
        height: 380.0,
        ..Plot::default()
    };
    html! {
        section {
            h2 { "What the adjustment found" }
            (study_made(power, shown))
            div.broad { (figure(&plot)) }
            p.small.quiet { "Crosses: measured. Rings, dashed: computed before. Dots: computed with the adjusted factors." }
            div.wide { table.figures.stacks aria-label="Adjusted factors" {
                thead { tr { th scope="col" { "factor" } th.n scope="col" { "before" } th.n scope="col" { "adjusted" } th scope="col" { "where it is stated" } th scope="col" { "remark" } } }
                tbody { @for adjusted in &found.factors { tr {
                    th scope="row" { (sentence(adjusted.factor.words())) }
                    td.n data-label="before" { (format_fixed(adjusted.before, 2)) }
                    td.n data-label="adjusted" { (adjusted.figure()) }
                    td data-label="where it is stated" { a href=(power.view.at("parts/power")) { (sentence(&place_words(power, adjusted.factor.path()))) } }
                    td data-label="remark" {
                        @if adjusted.at_bound { b.word { "stands at its bound" } ": something else is missing from the model or the measurement" }
                        @else if adjusted.told_apart().is_none() { "these speeds cannot tell it, alone or from the other factors" }
                    }
                } } }
            } }
            p { "Error of torque, root mean square: " (percent(found.adjusted.0)) " before, " b { (percent(found.adjusted.1)) " after" } " at the speeds used"
                @if let Some((before, after)) = found.held_out { "; " (percent(before)) " before, " b { (percent(after)) " after" } " at the speeds left out" }
                "." }
            p { b { "Unexplained: " } (full_stop(&found.unexplained)) }
            details { summary { "Each speed" }
                div.scroll role="region" tabindex="0" aria-label="Each measured speed" { table.figures {
                    thead { tr { th.n scope="col" { "rev/min" } th.n scope="col" { "measured" } th.n scope="col" { "before" } th.n scope="col" { "after" } th scope="col" { "used" } } }
                    tbody { @for p in &found.points { tr {
                        th.n scope="row" { (rev(p.speed)) }
                        @for t in [p.measured, p.before, p.after] { td.n { (units.value(t, Dimension::Torque, 0)) } }
                        td { @if p.held_out { "left out" } @else { "used" } }
                    } } }
                } } }
            p.small.quiet { "Nothing is written into the document by itself: enter the factors under \u{201c}Spec\u{201d}, then run the curve again." }
        }
    }
}
