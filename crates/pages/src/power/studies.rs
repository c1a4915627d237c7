//! What each choice is worth, and torque over cam timing.

use super::inside::contour_figure;
use super::units::{degrees, rev};
use super::{PowerView, ShownStudy, caution, page, progress, study_made};
use crate::drawing::{Axis, Contour, Target};
use crate::words::sentence;
use engine::power::{CamSweep, Effect};
use engine::quantity::{Dimension, format_fixed};
use maud::{Markup, html};

/// What stands in the forms: as typed for the study that is shown, else the usual.
#[derive(Clone, Debug, PartialEq)]
pub struct StudyForm {
    /// Of the choices, rev/min.
    pub speed: String,
    /// Of the sweep, rev/min.
    pub sweep_speed: String,
    /// To either side.
    pub steps: String,
    /// Each, ° of crank.
    pub step: String,
    /// Choices that this engine has but that settled on neither side, in words.
    pub unsettled: Vec<&'static str>,
}

/// The page.
pub fn studies_page(
    power: &PowerView,
    filled: &StudyForm,
    choices: Option<&(f64, ShownStudy<[Effect]>)>,
    sweep: Option<&ShownStudy<CamSweep>>,
) -> String {
    let runs = power.job.as_ref().is_some_and(|j| j.runs);
    let ready = power.specification.is_complete() && !runs;
    let body = html! {
        h1 { "Choices and cam timing" }
        (caution())
        p { "What a small step of each choice is worth in torque at one crank speed, all else as it is. Differences are surer than the curve itself: what is wrong with both drops out." }
        div.no-print { (progress(power)) }
        @if ready { (form(power, "study/choices", "Compute what each choice is worth", &filled.speed, None)) }
        @match choices { Some((speed, shown)) => { (study_made(power, shown)) (effects_table(power, *speed, shown.found)) (unsettled(&filled.unsettled)) } None => { p.quiet { "Not computed yet." } } }
        h2 { "Cam timing" }
        p { "Torque over the lobe centres of both cams at one crank speed, lift curves unchanged. Before a cam is turned, measure the clearance between valves and pistons at the new timing." }
        @if ready { (form(power, "study/sweep", "Sweep the cams", &filled.sweep_speed, Some(filled))) }
        @match sweep { Some(shown) => { (study_made(power, shown)) (swept(power, shown.found)) } None => { p.quiet { "Not computed yet." } } }
    };
    page(power, "Choices and cam timing", &body)
}

fn form(power: &PowerView, to: &str, words: &str, speed: &str, steps: Option<&StudyForm>) -> Markup {
    html! {
        form.range.no-print method="post" action=(power.at(to)) {
            input type="hidden" name="_token" value=(power.view.token);
            label { "Crank speed, rev/min" input name="speed" inputmode="decimal" autocomplete="off" value=(speed); }
            @if let Some(filled) = steps {
                label { "Steps to either side" input name="steps" inputmode="numeric" autocomplete="off" value=(filled.steps); }
                label { "Each step, \u{b0} of crank" input name="step" inputmode="decimal" autocomplete="off" value=(filled.step); }
            }
            button type="submit" { (words) }
        }
    }
}

fn effects_table(power: &PowerView, speed: f64, effects: &[Effect]) -> Markup {
    let most = effects.iter().map(|e| e.torque_change.abs()).fold(1e-9, f64::max);
    html! {
        div.wide { table.figures.stacks aria-label="What each choice is worth" {
            thead { tr { th scope="col" { "choice" } th.n scope="col" { "step" } th.n scope="col" { "torque at " (rev(speed)) " rev/min" } th scope="col" { "compared" } } }
            tbody { @for effect in effects { tr {
                th scope="row" { (sentence(&effect.label)) @if effect.one_sided { " " span.quiet { "(settled on one side only)" } } }
                td.n data-label="step" { "+" (power.shown().about(effect.step, effect.dimension)) }
                td.n data-label="torque" { (format!("{:+.2} %", effect.torque_change * 100.0).replace('-', "\u{2212}")) }
                td data-label="compared" { (bar(effect.torque_change / most)) }
            } } }
        } }
    }
}

/// Names what could not be compared.
fn unsettled(choices: &[&str]) -> Markup {
    html! {
        @if !choices.is_empty() {
            p { b.word { "Did not settle" } " on either side, so nothing is said of it: " (choices.join(", ")) "." }
        }
    }
}

/// A bar to the left or right of a middle stroke.
fn bar(share: f64) -> Markup {
    let length = format_fixed(58.0 * share.abs().min(1.0), 1);
    let from = format_fixed(if share < 0.0 { 60.0 - 58.0 * share.abs().min(1.0) } else { 60.0 }, 1);
    html! {
        svg.share viewBox="0 0 120 10" width="120" height="10" aria-hidden="true" {
            rect x=(from) y="2" width=(length) height="6" fill="#1b1f24" {}
            path d="M60 0L60 10" stroke="#1b1f24" stroke-width="1.4" {}
        }
    }
}

fn swept(power: &PowerView, sweep: &CamSweep) -> Markup {
    let units = power.shown();
    let torque = |t: f64| units.number(t, Dimension::Torque);
    let best = sweep.best.map(|(i, e, _)| Target { at: (degrees(i), degrees(e)), label: "most".to_owned() });
    let now = Target { at: (degrees(sweep.now.0), degrees(sweep.now.1)), label: "as it is".to_owned() };
    let contour = Contour {
        title: format!("Torque at {} rev/min", rev(sweep.speed)),
        x: Axis {
            label: "intake lobe centre after top dead centre".to_owned(),
            unit: "\u{b0}".to_owned(),
            step: None,
        },
        y: Axis { label: "exhaust lobe centre before".to_owned(), unit: "\u{b0}".to_owned(), step: None },
        value: Axis {
            label: "torque".to_owned(),
            unit: units.symbol(Dimension::Torque).to_owned(),
            step: None,
        },
        xs: sweep.intake.iter().map(|a| degrees(*a)).collect(),
        ys: sweep.exhaust.iter().map(|a| degrees(*a)).collect(),
        values: sweep.torque.iter().map(|row| row.iter().map(|t| t.map(torque)).collect()).collect(),
        marks: best.into_iter().chain([now]).collect(),
        body: Vec::new(),
        width: 900.0,
        height: 520.0,
    };
    let closing = sweep.best.and_then(|(i, _, _)| {
        let at = sweep.intake.iter().position(|v| v.to_bits() == i.to_bits())?;
        sweep.closing.get(at).map(|c| degrees(*c))
    });
    html! {
        @let unsettled = sweep.torque.iter().flatten().filter(|t| t.is_none()).count();
        @if unsettled > 0 {
            p { (unsettled) " of " (sweep.intake.len() * sweep.exhaust.len()) " points did not settle; no line is drawn there." }
        }
        @if let Some((intake, exhaust, most)) = sweep.best {
            @if at_edge(&sweep.intake, intake) || at_edge(&sweep.exhaust, exhaust) {
                p { b { "The most lies at the edge of what was swept: sweep further that way before you choose." } }
            }
            p {
                "Most torque, " b { (units.value(most, Dimension::Torque, 0)) } ", with the intake lobe centre at " (format_fixed(degrees(intake), 0)) "\u{b0} and the exhaust lobe centre at " (format_fixed(degrees(exhaust), 0)) "\u{b0}"
                @if let Some(closing) = closing { "; the intake valves then close " (format_fixed(closing, 0)) "\u{b0} after bottom dead centre" }
                "."
            }
        }
        div.broad { (contour_figure(&contour)) }
    }
}

/// First or last of a list.
fn at_edge(list: &[f64], value: f64) -> bool {
    [list.first(), list.last()].into_iter().flatten().any(|v| v.to_bits() == value.to_bits())
}
