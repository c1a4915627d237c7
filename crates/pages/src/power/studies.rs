//! What each choice is worth, and torque over cam timing.

use super::inside::contour_figure;
use super::units::{self, degrees, rev};
use super::{
    FieldProblem, PowerView, ShownStudy, SoFar, TypedField, UnfinishedLine, caution, not_started, page,
    progress, published, study_made, typed_field,
};
use crate::drawing::{Axis, Contour, Target};
use crate::words::{count, sentence, when};
use engine::power::{CamSweep, Choice, Effect};
use engine::quantity::{Dimension, format_fixed};
use maud::{Markup, html};

/// What stands in the forms: as typed for the study that is shown, else the usual.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StudyForm {
    /// Of the choices, rev/min.
    pub speed: String,
    /// Of the sweep, rev/min.
    pub sweep_speed: String,
    /// To either side.
    pub steps: String,
    /// Each, ° of crank.
    pub step: String,
    /// What is wrong with the form of the choices, and with that of the sweep. Nothing was started then.
    pub wrong: [Vec<FieldProblem>; 2],
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
    let part_of_choices = power.unfinished.iter().find_map(|line| match &line.so_far {
        Some(SoFar::Choices(speed, effects)) => Some((line, *speed, effects.as_slice())),
        _ => None,
    });
    let part_of_sweep = power.unfinished.iter().find_map(|line| match &line.so_far {
        Some(SoFar::Sweep(sweep)) => Some((line, sweep)),
        _ => None,
    });
    let body = html! {
        h1 { "Choices and cam timing" }
        (caution())
        p { "What a small step of each choice is worth in torque at one crank speed, all else as it is. Differences are surer than the curve itself: what is wrong with both drops out. " (units::LAMBDA_IS) }
        (published(&power.specification.inputs))
        div.no-print { (progress(power)) }
        section {
            @if ready { (form(power, Study::Choices, filled)) }
            @if let Some((line, speed, effects)) = part_of_choices { (partial_choices(power, line, speed, effects)) }
            @match choices {
                Some((speed, shown)) => {
                    @if part_of_choices.is_some() { h3 { "The last whole one" } }
                    (study_made(power, shown)) (effects_table(power, *speed, shown.found)) (unsettled(&filled.unsettled))
                }
                None => { @if part_of_choices.is_none() { p.quiet { "Not computed yet." } } }
            }
        }
        section.own-paper[sweep.is_some() || part_of_sweep.is_some()] {
            h2 { "Cam timing" }
            p { "Torque over the lobe centres of both cams at one crank speed, lift curves unchanged. Before a cam is turned, measure the clearance between valves and pistons at the new timing." }
            @if ready { (form(power, Study::Sweep, filled)) }
            @if let Some((line, sweep)) = part_of_sweep { (partial_sweep(power, line, sweep)) }
            @match sweep {
                Some(shown) => {
                    @if part_of_sweep.is_some() { h3 { "The last whole one" } }
                    (study_made(power, shown)) (swept(power, shown.found))
                }
                None => { @if part_of_sweep.is_none() { p.quiet { "Not computed yet." } } }
            }
        }
    };
    page(power, "Choices and cam timing", &body)
}

/// "Partial: stopped at 12 of 35 runs, begun 2026-03-06 12:10."
fn partial_words(line: &UnfinishedLine, one: &str, many: &str) -> Markup {
    let of = line.of.map_or_else(String::new, |of| format!(" of {of}"));
    html! {
        p { b.word { "Partial" } ": stopped at " (line.done) (of) " " (if line.of.unwrap_or(line.done) == 1 { one } else { many }) ", begun " (when(&line.when)) ". Read it as far as it goes; go on with it for the rest." }
        @if line.changed { p { b.word { "Stale" } ": the engine has changed since." } }
    }
}

fn partial_choices(power: &PowerView, line: &UnfinishedLine, speed: f64, effects: &[Effect]) -> Markup {
    let open: Vec<&str> = Choice::ALL
        .into_iter()
        .filter(|c| c.applies(power.specification) && !effects.iter().any(|e| e.choice == *c))
        .map(Choice::words)
        .collect();
    html! {
        div.partial {
            (partial_words(line, "run", "runs"))
            @if effects.is_empty() { p.quiet { "The engine as it is has been run; no choice yet on both sides." } }
            @else { (effects_table(power, speed, effects)) }
            @if !open.is_empty() { p.small { "Nothing said yet of: " (open.join(", ")) "." } }
        }
    }
}

fn partial_sweep(power: &PowerView, line: &UnfinishedLine, sweep: &CamSweep) -> Markup {
    let settled = sweep.torque.iter().flatten().flatten().count();
    let units = power.shown();
    html! {
        div.partial {
            (partial_words(line, "pair of lobe centres", "pairs of lobe centres"))
            @if line.done > settled { p { (count(line.done - settled, "pair", "pairs")) " did not settle." } }
            @if let Some((intake, exhaust, most)) = sweep.best {
                p { "Greatest torque so far, " b { (units.value(most, Dimension::Torque, 0)) } ", with the intake lobe centre at " (format_fixed(degrees(intake), 0)) "\u{b0} and the exhaust lobe centre at " (format_fixed(degrees(exhaust), 0)) "\u{b0}. The greatest of the whole sweep may lie elsewhere." }
            }
            div.broad { (contour_figure(&contour(power, sweep, Extent::SoFar))) }
            p.small.quiet { "Each dot is a pair that was run. A line needs four dots around it." }
        }
    }
}

fn form(power: &PowerView, study: Study, filled: &StudyForm) -> Markup {
    let [of_choices, of_sweep] = &filled.wrong;
    let (to, note, words, speed, wrong) = match study {
        Study::Choices => {
            ("study/choices", "choices", "Compute what each choice is worth", &filled.speed, of_choices)
        }
        Study::Sweep => ("study/sweep", "sweep", "Sweep the cams", &filled.sweep_speed, of_sweep),
    };
    let field = |name, label, value| {
        typed_field(wrong, &TypedField { name, form: note, label, value, placeholder: None })
    };
    html! {
        (not_started(wrong))
        form.range.no-print method="post" action=(power.at(to)) {
            input type="hidden" name="_token" value=(power.view.token);
            (field("speed", "Crank speed, rev/min", speed))
            @if study == Study::Sweep {
                (field("steps", "Steps to either side", &filled.steps))
                (field("step", "Each step, \u{b0} of crank", &filled.step))
            }
            button type="submit" { (words) }
        }
    }
}

/// Which form of the page.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Study {
    Choices,
    Sweep,
}

/// A change with its sign; what rounds to nothing has none.
fn signed(value: f64, decimals: usize) -> String {
    let text = format_fixed(value.abs(), decimals);
    match text.chars().any(|c| c.is_ascii_digit() && c != '0') {
        true if value < 0.0 => format!("\u{2212}{text}"),
        true => format!("+{text}"),
        false => text,
    }
}

/// Its step as a person says it: a share of a flow in per cent.
fn step(power: &PowerView, effect: &Effect) -> String {
    match effect.choice {
        Choice::IntakeFlow | Choice::ExhaustFlow | Choice::Throttle => {
            format!("+{} %", format_fixed(effect.step * 100.0, 0))
        }
        Choice::Lambda => format!("+{} \u{3bb}", format_fixed(effect.step, 2)),
        _ => format!("+{}", power.shown().about(effect.step, effect.dimension)),
    }
}

/// Both ways lose by more than what runs differ by that did not settle further.
fn at_its_best(effect: &Effect) -> bool {
    !effect.one_sided && effect.curvature < -1e-4 && effect.curvature.abs() > effect.torque_change.abs()
}

fn effects_table(power: &PowerView, speed: f64, effects: &[Effect]) -> Markup {
    let most = effects.iter().map(|e| e.torque_change.abs()).fold(1e-9, f64::max);
    html! {
        div.scroll role="region" tabindex="0" aria-label="What each choice is worth, values" { table.figures.effects aria-label="What each choice is worth" {
            thead { tr { th scope="col" { "choice" } th.n scope="col" { "step" } th.n scope="col" { "torque at " (rev(speed)) " rev/min" } th scope="col" { "compared" } th.n scope="col" { "knock integral" } } }
            tbody { @for effect in effects { tr {
                th scope="row" {
                    (sentence(effect.label.trim_end_matches(", share")))
                    @if effect.one_sided { " " span.quiet.small { "(settled on one side only)" } }
                    @if at_its_best(effect) { " " span.quiet.small { "(a step either way loses)" } }
                }
                td.n { (step(power, effect)) }
                td.n { (signed(effect.torque_change * 100.0, 1)) " %" }
                td { (bar(effect.torque_change / most)) }
                td.n { (signed(effect.knock_change, 2)) }
            } } }
        } }
        p.small.quiet { "Knock integral: by how much that of the worst cylinder changes with the step, timing held. Where it rises, knock comes nearer: torque gained so is not free." }
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
        svg.share viewBox="0 0 120 10" width="160" height="14" aria-hidden="true" {
            rect x=(from) y="2" width=(length) height="6" fill="#1b1f24" {}
            path d="M60 0L60 10" stroke="#1b1f24" stroke-width="1.4" {}
        }
    }
}

/// How much of a sweep is there.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Extent {
    Whole,
    SoFar,
}

fn contour(power: &PowerView, sweep: &CamSweep, extent: Extent) -> Contour {
    let units = power.shown();
    let torque = |t: f64| units.number(t, Dimension::Torque);
    let partial = extent == Extent::SoFar;
    let same = |(i, e, _): &(f64, f64, f64)| (i - sweep.now.0).abs() < 1e-9 && (e - sweep.now.1).abs() < 1e-9;
    let most = if partial { "greatest so far" } else { "greatest" };
    let now = if sweep.best.as_ref().is_some_and(same) {
        format!("as it is, {most}")
    } else {
        "as it is".to_owned()
    };
    let now = Target { at: (degrees(sweep.now.0), degrees(sweep.now.1)), label: now };
    let best = sweep.best.filter(|b| !same(b));
    let best = best.map(|(i, e, _)| Target { at: (degrees(i), degrees(e)), label: most.to_owned() });
    Contour {
        title: format!("{}orque at {} rev/min", if partial { "Partial: t" } else { "T" }, rev(sweep.speed)),
        x: Axis {
            label: "intake lobe centre after top dead centre".to_owned(),
            unit: "\u{b0}".to_owned(),
            step: None,
        },
        y: Axis {
            label: "exhaust lobe centre before top dead centre".to_owned(),
            unit: "\u{b0}".to_owned(),
            step: None,
        },
        value: Axis {
            label: "torque".to_owned(),
            unit: units.symbol(Dimension::Torque).to_owned(),
            step: None,
        },
        xs: sweep.intake.iter().map(|a| degrees(*a)).collect(),
        ys: sweep.exhaust.iter().map(|a| degrees(*a)).collect(),
        values: sweep.torque.iter().map(|row| row.iter().map(|t| t.map(torque)).collect()).collect(),
        marks: best.into_iter().chain([now]).collect(),
        dots: partial,
        body: Vec::new(),
        width: 900.0,
        height: 520.0,
    }
}

fn swept(power: &PowerView, sweep: &CamSweep) -> Markup {
    let units = power.shown();
    let closing = sweep.best.and_then(|(i, _, _)| {
        let at = sweep.intake.iter().position(|v| v.to_bits() == i.to_bits())?;
        sweep.closing.get(at).map(|c| degrees(*c))
    });
    html! {
        @let unsettled = sweep.torque.iter().flatten().filter(|t| t.is_none()).count();
        @if unsettled > 0 {
            p { (unsettled) " of " (count(sweep.intake.len() * sweep.exhaust.len(), "pair of lobe centres", "pairs of lobe centres")) " did not settle; no line is drawn there." }
        }
        @if let Some((intake, exhaust, most)) = sweep.best {
            @if at_edge(&sweep.intake, intake) || at_edge(&sweep.exhaust, exhaust) {
                p { b { "The greatest torque lies at the edge of what was swept: sweep further that way before you choose." } }
            }
            @let now = torque_now(sweep);
            @let number = |torque: f64| units.number(torque, Dimension::Torque);
            @let decimals = now.map_or(0, |now| difference_decimals(number(most), number(now)));
            p {
                "Greatest torque, " b { (units.value(most, Dimension::Torque, decimals)) } ", with the intake lobe centre at " (format_fixed(degrees(intake), 0)) "\u{b0} and the exhaust lobe centre at " (format_fixed(degrees(exhaust), 0)) "\u{b0}"
                @if let Some(closing) = closing { "; the intake valves then close " (format_fixed(closing, 0)) "\u{b0} after bottom dead centre" }
                "."
                @if let Some(now) = now {
                    " As the cams stand, at " (format_fixed(degrees(sweep.now.0), 0)) "\u{b0} and " (format_fixed(degrees(sweep.now.1), 0)) "\u{b0}, it is " (units.value(now, Dimension::Torque, decimals))
                    ": the difference is " (units.value(most - now, Dimension::Torque, decimals)) ", " (format_fixed((most / now - 1.0) * 100.0, 1)) " %. Both come from the same model, so that the difference is worth more than either, but it was not tested."
                }
            }
            p.caution { b.word { "Caution" } ": other lobe centres change the room between valve and piston and between the valves. This sweep does not look at it: measure it on this engine at the new centres before the engine is turned." }
        }
        div.broad { (contour_figure(&contour(power, sweep, Extent::Whole))) }
    }
}

/// Decimals at which two figures and their difference agree as printed: none where the whole numbers do, else one.
fn difference_decimals(greater: f64, lesser: f64) -> usize {
    let agree = (greater.round() - lesser.round() - (greater - lesser).round()).abs() < 0.5;
    usize::from(!agree)
}

/// Torque of the cell at which the cams stand, where it is one of them and settled.
fn torque_now(sweep: &CamSweep) -> Option<f64> {
    let at = |list: &[f64], now: f64| list.iter().position(|v| (v - now).abs() < 1e-6);
    let (intake, exhaust) = (at(&sweep.intake, sweep.now.0)?, at(&sweep.exhaust, sweep.now.1)?);
    *sweep.torque.get(exhaust)?.get(intake)?
}

/// First or last of a list.
fn at_edge(list: &[f64], value: f64) -> bool {
    [list.first(), list.last()].into_iter().flatten().any(|v| v.to_bits() == value.to_bits())
}

#[cfg(test)]
mod tests {
    use super::difference_decimals;

    #[test]
    fn a_difference_is_that_of_the_figures_beside_it() {
        assert_eq!(difference_decimals(516.6, 513.4), 1, "517 and 513 are not 3 apart");
        assert_eq!(difference_decimals(517.1, 513.2), 0);
    }
}
