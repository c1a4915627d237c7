//! One finding with its whole working.

use crate::engine_sheet::followers;
use crate::figures;
use crate::frame::{Current, Page, View, framed};
use crate::plan_sheet::missing;
use crate::sheet_numbers::{numbered, numbered_power};
use crate::words::{
    caution, days, finding_value, input_value, limit, money, plain, prose, sentence, verdict, verdict_line,
};
use engine::findings::{
    Action, Finding, Input, LimitUsed, Verdict, brought_to_20, budget, chance, origin_as_read, percent,
};
use engine::power::is_power;
use engine::quantity::Dimension;
use maud::{Markup, html};

/// The working of one finding; None when there is no such finding.
pub fn finding_page(view: &View, id: &str) -> Option<String> {
    let finding = view.assessment.finding(id)?;
    let title = sentence(&finding.title());
    let power = is_power(finding.code);
    let body = html! {
        div.page.working {
            p.small {
                a href=(view.at("")) { "Engine" } ", "
                @if power { a href=(view.at("power")) { "power" } }
                @else { a href=(view.at(&format!("sheet/{}", finding.sheet.id()))) { "sheet " (finding.sheet.title()) } }
            }
            (working(view, finding))
        }
    };
    Some(framed(
        view,
        &Page {
            title: &title,
            current: if power { Current::Power } else { Current::Reading(finding.sheet) },
            sheet: if power {
                numbered_power("working")
            } else {
                format!("{}: working", numbered(finding.sheet))
            },
            state: view.state(),
            scripts: &["plot.js"],
            body,
        },
    ))
}

/// Everything that stands under the way to a finding: verdict, why, what to do, inputs, formula, limit.
pub(crate) fn working(view: &View, finding: &Finding) -> Markup {
    html! {
        h1 { (sentence(&finding.title())) }
        div.headline {
            span { (verdict(finding)) @if let Some(value) = finding_value(finding, view.units()) { " " (value) } }
            (figures::gauge(finding, view))
        }
        @if !finding.why.is_empty() { p { (prose(&finding.why, view.units())) } }
        (cause(view, finding))
        (followers(view, finding))
        (actions(view, finding))
        div.pair {
            section {
                (inputs(view, finding))
                @if !finding.missing.is_empty() { h2 { "Still to read" } p { (missing(view, &finding.missing)) } }
            }
            section {
                (formula(finding))
                (rule(view, finding))
                (contributions(view, finding))
            }
        }
    }
}

/// The finding that this one follows from: the same work mends both.
pub(crate) fn cause(view: &View, finding: &Finding) -> Markup {
    let cause = finding.follows.as_deref().and_then(|id| view.assessment.finding(id));
    html! {
        @if let Some(cause) = cause {
            p.cause { "Follows from " a href=(view.finding_at(&cause.id)) { (cause.title()) } " (" (verdict_line(cause, view.units())) "): the same work mends both." }
        }
    }
}

fn actions(view: &View, finding: &Finding) -> Markup {
    html! {
        @if !finding.actions.is_empty() {
            h2 { "What to do" }
            ol.plain { @for action in &finding.actions { (action_item(view, action)) } }
        }
    }
}

fn action_item(view: &View, action: &Action) -> Markup {
    let units = view.units();
    let cost: Vec<String> = [
        action.cost.map(|c| if c == 0.0 { "no cost".to_owned() } else { money(c, &view.plan.currency) }),
        action.days.map(days),
    ]
    .into_iter()
    .flatten()
    .collect();
    html! {
        li {
            b { (prose(&action.text, units)) }
            @if !action.effect.is_empty() { " " (prose(&action.effect, units)) }
            @if !cost.is_empty() { " " span.quiet { "(" (cost.join(", ")) ")" } }
            (caution(action.caution))
        }
    }
}

fn inputs(view: &View, finding: &Finding) -> Markup {
    let list = &finding.working.inputs;
    html! {
        @if !list.is_empty() {
            // What a run computes is hot; only sizes are brought to 20 °C.
            h2 { @if list.iter().any(|i| i.value.dimension == Dimension::Length) { "Inputs, at 20 \u{b0}C" } @else { "Inputs" } }
            div.wide {
                table.figures {
                    thead { tr { th scope="col" { "what" } th.n scope="col" { "value" } th scope="col" { "reading" } } }
                    tbody { @for input in list { (input_row(view, input)) } }
                }
            }
            (correction(view, list))
        }
    }
}

/// How readings were brought to 20 °C; nothing where none was.
fn correction(view: &View, list: &[Input]) -> Markup {
    html! {
        @if let Some(words) = brought_to_20(view.engine, list) {
            p.small.quiet { (sentence(&words)) "." }
        }
    }
}

fn input_row(view: &View, input: &Input) -> Markup {
    let at = input.feature.as_deref().and_then(|path| view.feature_at(path));
    let origin = origin_as_read(view.engine, input, view.units());
    html! {
        tr {
            th scope="row" { (sentence(&input.label)) }
            td.n { (input_value(input, view.units())) @if input.is_predicted() { " " span.quiet { "predicted" } } }
            td {
                @match at {
                    Some(at) => { a href=(at) { (origin) } }
                    None if input.readings.is_empty() => { span.quiet { (origin) } }
                    None => { (origin) }
                }
            }
        }
    }
}

fn formula(finding: &Finding) -> Markup {
    let working = &finding.working;
    html! {
        @if !working.formula.is_empty() {
            h2 { "Formula" }
            p.formula { (working.formula) }
            @if !working.source.is_empty() { p.small.quiet { "Source: " (working.source) } }
        }
    }
}

fn rule(view: &View, finding: &Finding) -> Markup {
    html! {
        h2 { "Limit and decision" }
        @match &finding.limit {
            // A verdict without a range of sizes has its own rule, which stands below.
            None if is_power(finding.code) || finding.verdict != Verdict::Unknown => {}
            None => { p { "No limit is known for this question. " a href=(view.at("parts/limits")) { "Write one" } "." } }
            Some(l) => { (limit_words(view, finding, l)) }
        }
        @if !finding.working.rule.is_empty() { p { (prose(&finding.working.rule, view.units())) } }
        @if let Some(p) = finding.probability_outside.filter(|_| finding.working.rule.is_empty()) { p { (chance(p)) " chance that the true value is outside." } }
    }
}

fn limit_words(view: &View, finding: &Finding, used: &LimitUsed) -> Markup {
    let dimension = finding.value.map_or(Dimension::Length, |v| v.dimension);
    html! {
        dl {
            dt { "allowed" } dd { (finding.question) ": " (limit(used, finding.value.as_ref(), finding, view.units())) }
            @if let Some(target) = used.target { dt { "aimed at" } dd { (plain(target, dimension, view.units())) } }
            dt { "from" } dd { (used.origin_words()) }
            dt { "rule" } dd { @if used.guard_band { "between firms: good only where the uncertainty too lies inside the limit (guard band, ISO 14253-1)" } @else { "in the house: by the chance that the true size is outside (JCGM 106)" } }
        }
    }
}

/// Contributions to the uncertainty, largest first, as shares of the variance.
fn contributions(view: &View, finding: &Finding) -> Markup {
    let lines = budget(finding, view.units());
    html! {
        @if !lines.is_empty() {
            h2 { "What the uncertainty is made of" }
            table.figures {
                thead { tr { th scope="col" { "term" } th.n scope="col" { "standard uncertainty" } th.n scope="col" { "share" } th scope="col" { span.reader-only { "share drawn" } } } }
                tbody {
                    @for line in lines {
                        tr {
                            th scope="row" { (sentence(line.name)) }
                            td.n { (line.standard) }
                            td.n { (percent(line.share)) }
                            td { (bar(line.share)) }
                        }
                    }
                }
            }
            p.small.quiet { "JCGM 100 (GUM); U is the expanded uncertainty, k = 2." }
        }
    }
}

fn bar(share: f64) -> Markup {
    html! {
        svg.share viewBox="0 0 160 10" aria-hidden="true" {
            line x1="0" y1="5" x2="160" y2="5" stroke="#b9b6ac" {}
            rect x="0" y="1" width=(format!("{:.1}", 160.0 * share.clamp(0.0, 1.0))) height="8" fill="#4a5058" {}
        }
    }
}
