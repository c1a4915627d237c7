//! Kept runs side by side.

use super::curve::{HEIGHT, WIDTH, over_speed, power_of, speed_axis, torque};
use super::units::{input_label, rev, rpm};
use super::{PowerView, ShownRun, caution, figure, page, published};
use crate::drawing::{Axis, LimitLine, Line, Marker, Plot};
use crate::words::{full_stop, sentence, when};
use engine::power::{PowerPoint, PowerRun, Request, SpecInput, TimingMode, rests_on_published};
use engine::quantity::{Dimension, format_fixed};
use maud::{Markup, html};

/// The page with the runs that were chosen.
pub fn compare_page(power: &PowerView, shown: &[ShownRun]) -> String {
    let curves: Vec<_> = power.kept.iter().filter(|k| k.curve).rev().take(12).collect();
    let body = html! {
        h1 { "Side by side" }
        (caution())
        @if curves.len() < 2 { p { "Two kept runs are needed. Compute the curve, change the specification under \u{201c}Spec\u{201d}, and compute it again." } }
        @else {
            form.no-print method="get" action=(power.at("compare")) {
                fieldset { legend { "Runs" }
                    div.choices-list { @for line in curves {
                        label { input type="checkbox" name="run" value=(line.number) checked[shown.iter().any(|s| s.line.number == line.number)];
                            span { "Run " (line.number) ", " (when(&line.when)) ", version " (line.document) } }
                    } }
                    @if let Some(words) = numbers_between(power) { p.small.quiet { (words) } }
                }
                @if shown.len() == 1 { p role="status" { b { "Two runs are needed to compare: tick one more." } } }
                div.actions { button type="submit" { "Compare" } }
            }
        }
        @if shown.len() > 1 {
            @for s in shown { @if rests_on_published(&s.run.inputs).is_some() { p { "Run " (s.line.number) ":" } (published(&s.run.inputs)) } }
            div.plot-row { @for plot in plots(power, shown) { (figure(&plot)) } }
            @let apart = apart(power, shown);
            @if !apart.is_empty() {
                h2 { "Against run " (shown[0].line.number) }
                @if apart.iter().all(no_difference) {
                    p { "No difference that the figures show at the speeds that the runs share: the lines lie on each other." }
                } @else {
                    div.plot-row { @for plot in &apart { (figure(plot)) } }
                }
            }
            (summary(power, shown))
            (differences(power, shown))
        }
    };
    page(power, "Side by side", &body)
}

fn plots(power: &PowerView, shown: &[ShownRun]) -> [Plot; 2] {
    let units = power.shown();
    let over = |title: &str, dimension: Dimension, of: &dyn Fn(&PowerRun, &PowerPoint) -> f64| {
        let line = |(n, s): (usize, &ShownRun)| Line {
            label: label(s),
            points: over_speed(s.run, &|p| units.number(of(s.run, p), dimension)),
            dashed: n % 2 == 1,
            marker: Marker::nth(n),
            ..Line::default()
        };
        Plot {
            title: title.to_owned(),
            x: speed_axis(),
            y: Axis { label: title.to_lowercase(), unit: units.symbol(dimension).to_owned(), step: None },
            lines: shown.iter().enumerate().map(line).collect(),
            decimals: Some(0),
            width: WIDTH,
            height: HEIGHT,
            ..Plot::default()
        }
    };
    [over("Torque", Dimension::Torque, &torque), over("Power", Dimension::Power, &power_of)]
}

/// "run 3", "run 4, stopped"
fn label(shown: &ShownRun) -> String {
    let stopped = if shown.run.stopped || shown.unreached > 0 { ", stopped" } else { "" };
    format!("run {}{stopped}", shown.line.number)
}

/// What each further run gives more than the first, at the speeds that both have: lines that lie on each other come apart.
fn apart(power: &PowerView, shown: &[ShownRun]) -> Vec<Plot> {
    let units = power.shown();
    let Some((first, others)) = shown.split_first() else { return Vec::new() };
    let greatest = |of: &dyn Fn(&PowerRun, &PowerPoint) -> f64, dimension| {
        let all = first.run.points.iter().map(|p| units.number(of(first.run, p), dimension));
        all.fold(0.0, f64::max)
    };
    let over = |title: &str, dimension: Dimension, of: &dyn Fn(&PowerRun, &PowerPoint) -> f64| {
        let line = |(n, s): (usize, &ShownRun)| {
            let pairs = s.run.points.iter().filter_map(|p| {
                let same = |q: &&PowerPoint| is_same(q.speed, p.speed);
                let base = first.run.points.iter().find(same)?;
                let more =
                    units.number(of(s.run, p), dimension) - units.number(of(first.run, base), dimension);
                Some((rpm(p.speed), more))
            });
            Line {
                label: label(s),
                points: pairs.collect(),
                dashed: n % 2 == 0,
                marker: Marker::nth(n + 1),
                ..Line::default()
            }
        };
        Plot {
            title: format!("More {title} than run {}", first.line.number),
            x: speed_axis(),
            y: Axis {
                label: format!("{title} gained"),
                unit: units.symbol(dimension).to_owned(),
                step: None,
            },
            lines: others.iter().enumerate().map(line).collect(),
            limits: vec![LimitLine { y: 0.0, label: format!("run {}", first.line.number) }],
            decimals: Some(places(greatest(of, dimension))),
            width: WIDTH,
            height: HEIGHT,
            ..Plot::default()
        }
    };
    let both = [over("torque", Dimension::Torque, &torque), over("power", Dimension::Power, &power_of)];
    both.into_iter().filter(|plot| plot.lines.iter().any(|l| l.points.len() > 1)).collect()
}

/// One and the same crank speed.
fn is_same(a: f64, b: f64) -> bool {
    (a / b - 1.0).abs() < 1e-9
}

/// What the numbers are that no curve has: "Run 4 is not here: cam timing."
fn numbers_between(power: &PowerView) -> Option<String> {
    let other: Vec<String> =
        power.kept.iter().filter(|k| !k.curve).map(|k| format!("{} ({})", k.number, k.what)).collect();
    (!other.is_empty()).then(|| {
        format!("All that is computed is numbered in one row; without a curve: {}.", other.join(", "))
    })
}

/// Decimals of a difference between two curves: down to about a tenth of a per cent of the greatest figure, to which runs settle; what a
/// curve is worth by itself drops out of a difference of two in part only.
fn places(greatest: f64) -> usize {
    usize::from(greatest < 100.0)
}

/// Differences below the last digit that is shown are none.
fn no_difference(plot: &Plot) -> bool {
    let least = if plot.decimals == Some(0) { 0.5 } else { 0.05 };
    plot.lines.iter().flat_map(|l| &l.points).all(|(_, more)| more.abs() < least)
}

fn summary(power: &PowerView, shown: &[ShownRun]) -> Markup {
    let units = power.shown();
    let everywhere = |speed: f64| shown.iter().all(|s| s.run.points.iter().any(|p| is_same(p.speed, speed)));
    let common = shown.iter().flat_map(|s| &s.run.points).any(|p| everywhere(p.speed));
    let differ = shown.iter().flat_map(|s| &s.run.points).any(|p| !everywhere(p.speed));
    // Of different speeds the greatest are no match for each other.
    let narrow = common && differ;
    let most = |s: &ShownRun, of: &dyn Fn(&PowerRun, &PowerPoint) -> f64, dimension: Dimension| {
        let points = s.run.points.iter().filter(|p| !narrow || everywhere(p.speed));
        let best = points.max_by(|a, b| of(s.run, a).total_cmp(&of(s.run, b)));
        best.map_or_else(String::new, |p| {
            format!("{} at {} rev/min", units.value(of(s.run, p), dimension, 0), rev(p.speed))
        })
    };
    html! {
        @if narrow { p { "Not every run was computed at the same speeds: the greatest figures are those at the speeds that all of them share." } }
        @else if differ { p { "The runs share no speed: the greatest figures stand at different ones and cannot be held against each other." } }
        div.wide { table.figures aria-label="Greatest torque and power" {
            thead { tr { th scope="col" { "run" } @for s in shown { th scope="col" { "Run " (s.line.number) } } } }
            tbody {
                tr { th scope="row" { "Greatest torque" } @for s in shown { td { (most(s, &torque, Dimension::Torque)) } } }
                tr { th scope="row" { "Greatest power" } @for s in shown { td { (most(s, &power_of, Dimension::Power)) } } }
                tr { th scope="row" { "Reached" } @for s in shown { td { (sentence(&s.reached())) } } }
                tr { th scope="row" { "Throttle, burn timing" } @for s in shown { td { (asked(&s.run.request)) } } }
                tr { th scope="row" { "Correction" } @for s in shown { td { (full_stop(&sentence(&s.run.correction_note))) } } }
                tr { th scope="row" { "Stands today" } @for s in shown { td { @if s.changes.is_empty() { "current" } @else { b.word { "stale" } } } } }
            }
        } }
    }
}

/// "full, as the document says"
pub(super) fn asked(request: &Request) -> String {
    let throttle = request.throttle.filter(|t| *t < 1.0);
    let throttle =
        throttle.map_or_else(|| "full".to_owned(), |t| format!("{} %", format_fixed(t * 100.0, 0)));
    let timing = match request.timing {
        TimingMode::AsStated => "as the document says",
        TimingMode::Fixed => "held at the stated angles",
        TimingMode::KnockLimited => "later where it knocks",
    };
    format!("{throttle}, {timing}")
}

/// Inputs in which the runs differ.
fn differences(power: &PowerView, shown: &[ShownRun]) -> Markup {
    let value = |s: &ShownRun, like: &SpecInput| {
        s.run
            .inputs
            .iter()
            .find(|i| i.label == like.label && i.path == like.path && i.group == like.group)
            .cloned()
    };
    let mut rows: Vec<(String, Vec<Option<SpecInput>>)> = Vec::new();
    for input in shown.iter().flat_map(|s| &s.run.inputs) {
        let label = format!("{}: {}", sentence(input.group.words()), input_label(&input.label));
        if rows.iter().any(|(l, _)| *l == label) {
            continue;
        }
        let all: Vec<Option<SpecInput>> = shown.iter().map(|s| value(s, input)).collect();
        let bits = |i: &Option<SpecInput>| i.as_ref().map(|i| i.value.to_bits());
        if all.iter().any(|i| bits(i) != bits(&all[0])) {
            rows.push((label, all));
        }
    }
    html! {
        h2 { "Where they differ" }
        @if rows.is_empty() { p { "In no input. What was asked of them stands above." } }
        @else { div.scroll role="region" tabindex="0" aria-label="Inputs that differ" { table.figures {
            thead { tr { th scope="col" { "input" } @for s in shown { th.n scope="col" { "Run " (s.line.number) } } } }
            tbody { @for (label, values) in &rows { tr {
                th scope="row" { (label) }
                @for value in values { td.n { @match value { Some(i) => { (power.shown().input(i)) } None => { span.quiet { "none" } } } } }
            } } }
        } } }
    }
}
