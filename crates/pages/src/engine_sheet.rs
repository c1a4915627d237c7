//! The engine sheet: the drawing as the way in, the list of findings beside it.

use crate::figures::{self, Balloon};
use crate::frame::{Current, Page, View, framed};
use crate::words::{caution, count, field_words, first_action, full_stop, prose, sentence, verdict_line};
use engine::features::Sheet;
use engine::findings::{CommonCause, Finding, Standing, Tally, Verdict, Whole, common_cause};
use engine::power::is_power;
use engine::quantity::format_fixed;
use engine::readings::Slip;
use maud::{Markup, html};

/// The engine sheet, with the crank turned by `crank_degrees` from the top dead centre of the first cylinder.
pub fn engine_page(view: &View, crank_degrees: f64) -> String {
    let angle = if crank_degrees.is_finite() { crank_degrees.rem_euclid(720.0) } else { 0.0 };
    let groups = Groups::of(view);
    let body = html! {
        div.engine {
            div.draw {
                (figures::section(view, &groups.balloons(), angle))
                @if groups.balloons().iter().any(|b| b.finding.stops()) {
                    p.small.quiet { "Double ring: stops the build." }
                }
                (angle_form(view, angle))
            }
            div.list { (list(view, &groups)) }
        }
    };
    framed(
        view,
        &Page {
            title: "Engine",
            current: Current::Engine,
            sheet: "no. 1, Engine".to_owned(),
            state: view.state(),
            scripts: &["engine.js", "plot.js"],
            body,
        },
    )
}

fn angle_form(view: &View, angle: f64) -> Markup {
    let turned =
        |by: f64| format!("{}?angle={}", view.at(""), format_fixed((angle + by).rem_euclid(720.0), 0));
    html! {
        form.angle method="get" action=(view.at("")) {
            label for="angle" { "Crank after top dead centre of cylinder 1" }
            input id="angle" name="angle" inputmode="decimal" autocomplete="off" value=(format_fixed(angle, 0));
            span { "\u{b0}" }
            button type="submit" { "Turn" }
            a.button href=(turned(-30.0)) { "\u{2212}30\u{b0}" }
            a.button href=(turned(30.0)) { "+30\u{b0}" }
        }
    }
}

/// Findings as the list shows them.
struct Groups<'a> {
    /// Bad: they stop the build.
    stops: Vec<&'a Finding>,
    /// The readings cannot tell; what has one cause in common stands together.
    uncertain: Vec<Together<'a>>,
    /// Inside, but the uncertainty reaches the limit.
    marginal: Vec<&'a Finding>,
    /// Was good, but an operation has moved what was read.
    stale: Vec<&'a Finding>,
    /// Not measured, or no limit.
    unknown: Vec<&'a Finding>,
    /// Good.
    good: Vec<&'a Finding>,
}

impl<'a> Groups<'a> {
    fn of(view: &View<'a>) -> Self {
        let pick = |standing: Standing| -> Vec<&'a Finding> {
            view.assessment.findings.iter().filter(|f| Standing::of(f) == standing).collect()
        };
        Self {
            stops: pick(Standing::Stops),
            uncertain: together(view, pick(Standing::Uncertain)),
            marginal: pick(Standing::Marginal),
            stale: pick(Standing::Stale),
            unknown: pick(Standing::Unknown),
            good: pick(Standing::Good),
        }
    }

    fn balloons(&self) -> Vec<Balloon<'a>> {
        let alone = |finding: &&'a Finding| (*finding, has_place(finding));
        let uncertain = self.uncertain.iter().flat_map(|together| {
            // Many of one cause would cover the drawing: they are in the list.
            together.findings.iter().map(|f| (*f, has_place(f) && together.cause.is_none()))
        });
        let all = self.stops.iter().map(alone).chain(uncertain).chain(self.marginal.iter().map(alone));
        let numbered = all.enumerate().filter(|(_, (_, drawn))| *drawn);
        numbered.map(|(i, (finding, _))| Balloon { number: i + 1, finding }).collect()
    }
}

/// Findings under one cause, or one by itself.
struct Together<'a> {
    /// What they have in common; none where a finding stands by itself.
    cause: Option<CommonCause>,
    findings: Vec<&'a Finding>,
}

/// So many stand under one cause: two are as quickly read as a line that folds them.
const FOLDED_FROM: usize = 3;

/// Puts findings with one cause together, at the place of the first of them.
fn together<'a>(view: &View<'a>, findings: Vec<&'a Finding>) -> Vec<Together<'a>> {
    let causes: Vec<Option<CommonCause>> =
        findings.iter().map(|f| common_cause(view.engine, view.assessment, f)).collect();
    let mut list: Vec<Together> = Vec::new();
    for (finding, cause) in findings.into_iter().zip(&causes) {
        let is_shared = causes.iter().filter(|other| *other == cause).count() >= FOLDED_FROM;
        let cause = cause.clone().filter(|_| is_shared);
        match list.iter_mut().find(|together| cause.is_some() && together.cause == cause) {
            Some(known) => known.findings.push(finding),
            None => list.push(Together { cause, findings: vec![finding] }),
        }
    }
    list
}

/// Has the finding a place on the drawing? What the whole engine does has none.
fn has_place(finding: &Finding) -> bool {
    !is_power(finding.code)
}

fn list(view: &View, groups: &Groups) -> Markup {
    let tally = view.assessment.tally();
    let first_uncertain = groups.stops.len() + 1;
    let first_marginal = first_uncertain + groups.uncertain.iter().map(|t| t.findings.len()).sum::<usize>();
    html! {
        h1 { (headline(&tally)) }
        @if tally.all() > 0 { p.sum { (tally.in_full()) } }
        @if view.engine.readings.is_empty() { (first_steps(view)) }
        (doubtful_sizes(view))
        (slips(view))
        ol { @for (i, finding) in groups.stops.iter().enumerate() { (item(view, finding, i + 1, has_place(finding))) } }
        (uncertain(view, &groups.uncertain, first_uncertain))
        (group(view, "Marginal: inside, the uncertainty reaches the limit", &groups.marginal, first_marginal))
        (measure_next(view))
        (counted(view, "Stale: cut or changed since", &groups.stale))
        (counted(view, "Not yet measured, or no limit known", &groups.unknown))
        div.no-print { (counted(view, "Good", &groups.good)) }
        // Hundreds of them would fill sheets of paper.
        @if !groups.good.is_empty() { p.paper-only.small { "The " (groups.good.len()) " that are good stand on their sheets." } }
    }
}

const fn headline(tally: &Tally) -> &'static str {
    match tally.whole() {
        _ if tally.nothing_known() => "Not proved: nothing is known yet",
        // Sizes are read, and wait for their limits or for the rest of them.
        _ if tally.nothing_judged() => "Not proved: no question is answered yet",
        Whole::Stops => "What stops this engine",
        Whole::NotProved => "Not proved: nothing stops this engine so far",
        Whole::Good => "All good",
    }
}

fn first_steps(view: &View) -> Markup {
    html! {
        p { "Write the sizes and limits that you have, or start reading: each reading says at once what it means." }
        p.actions {
            a.button.main href=(view.at("parts")) { "Specification" }
            a.button href=(view.at("sheet/bores")) { "Read the bores" }
        }
    }
}

fn group(view: &View, title: &str, findings: &[&Finding], first: usize) -> Markup {
    html! {
        @if !findings.is_empty() {
            h2 { (title) " " span.count { (findings.len()) } }
            ol start=(first) { @for (i, finding) in findings.iter().enumerate() { (item(view, finding, first + i, has_place(finding))) } }
        }
    }
}

/// What the readings cannot tell: a cause that several have in common is said once, and opens to the single ones.
fn uncertain(view: &View, list: &[Together], first: usize) -> Markup {
    let numbers = list.iter().scan(first, |next, together| {
        let number = *next;
        *next += together.findings.len();
        Some(number)
    });
    html! {
        @if !list.is_empty() {
            h2 { "Uncertain: the readings cannot tell " span.count { (list.iter().map(|t| t.findings.len()).sum::<usize>()) } }
            ol start=(first) { @for (number, together) in numbers.zip(list) { (under_one_cause(view, together, number)) } }
        }
    }
}

fn under_one_cause(view: &View, together: &Together, number: usize) -> Markup {
    let drawn = |finding| together.cause.is_none() && has_place(finding);
    let single = html! { @for (i, finding) in together.findings.iter().enumerate() { (item(view, finding, number + i, drawn(finding))) } };
    let Some(cause) = &together.cause else { return single };
    let count = together.findings.len();
    html! {
        li.one-cause value=(number) {
            details {
                summary {
                    span {
                        b.word { (count) " uncertain" } ": " (cause.words(view.engine)) " "
                        span.quiet { "(" (number) " to " (number + count - 1) ")" }
                        span.do { (full_stop(&cause.to_do(view.engine))) }
                    }
                }
                ol start=(number) { (single) }
            }
        }
    }
}

/// One finding: what, gauge figure, verdict word, value, what to do, why. `drawn` has a balloon on the drawing.
fn item(view: &View, finding: &Finding, number: usize, drawn: bool) -> Markup {
    let units = view.units();
    let at = view.finding_at(&finding.id);
    html! {
        li.finding.bad[finding.stops()] value=(number) id=(format!("finding-{number}")) data-number=(number) {
            @if drawn {
                a.balloon href=(format!("#balloon-{number}")) aria-label=(format!("{number}: show on the drawing")) { (number) }
            } @else {
                span.balloon { (number) }
            }
            h3 { a href=(at) { (sentence(&finding.title())) } }
            (figures::gauge(finding, view))
            p.value { (verdict_line(finding, units)) }
            @if let Some(action) = first_action(finding, units) { p.do { (action) } }
            @if !finding.why.is_empty() { p.why { (prose(&finding.why, units)) } }
            (followers(view, finding))
            // That of the work that stands here; the others stand with theirs on the page of the finding.
            (caution(finding.actions.first().and_then(|a| a.caution)))
        }
    }
}

/// What goes with this finding once it is mended, a line each.
pub(crate) fn followers(view: &View, finding: &Finding) -> Markup {
    let units = view.units();
    let mut goes_with =
        view.assessment.findings.iter().filter(|f| f.follows.as_deref() == Some(&finding.id)).peekable();
    html! {
        @if goes_with.peek().is_some() {
            ul.plain.follows aria-label="goes with it" {
                @for follower in goes_with {
                    li.small {
                        "With it: " a href=(view.finding_at(&follower.id)) { (sentence(&follower.title())) } ", " (verdict_line(follower, units))
                    }
                }
            }
        }
    }
}

/// Findings that are counted, with a disclosure for each sheet.
fn counted(view: &View, title: &str, findings: &[&Finding]) -> Markup {
    html! {
        @if !findings.is_empty() { section {
            h2 { (title) " " span.count { (findings.len()) } }
            @for sheet in Sheet::ALL {
                @let here: Vec<&Finding> = findings.iter().copied().filter(|f| f.sheet == sheet && !is_power(f.code)).collect();
                (counted_group(view, sheet.title(), &here))
            }
            (counted_group(view, "Power", &findings.iter().copied().filter(|f| is_power(f.code)).collect::<Vec<_>>()))
        } }
    }
}

/// One disclosure of findings that are counted.
fn counted_group(view: &View, title: &str, here: &[&Finding]) -> Markup {
    html! {
        @if !here.is_empty() {
            details {
                summary { (title) " " span.count { (here.len()) } }
                ul.plain {
                    @for finding in here {
                        li {
                            a href=(view.finding_at(&finding.id)) { (sentence(&finding.title())) }
                            " " (verdict_line(finding, view.units()))
                            @if finding.verdict != Verdict::Good && !finding.why.is_empty() {
                                div.small.quiet { (prose(&finding.why, view.units())) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What to read next, one gauge in the hand at a time.
pub(crate) fn measure_next(view: &View) -> Markup {
    html! {
        @if !view.plan.measure_next.is_empty() {
            h2 { "Measure next" }
            @let (first, rest) = view.plan.measure_next.split_at(view.plan.measure_next.len().min(MEASURES));
            (measures(view, first))
            @if !rest.is_empty() {
                details { summary { "And " (count(rest.len(), "more", "more")) } (measures(view, rest)) }
            }
        }
    }
}

/// So many are shown at once: nobody takes more gauges in hand.
const MEASURES: usize = 5;

fn measures(view: &View, groups: &[engine::plan::MeasureGroup]) -> Markup {
    html! {
        ol.plain {
            @for group in groups {
                li {
                    b { (sentence(&group.gauge)) " in hand: " }
                    a href=(measure_at(view, group)) { (group.text) }
                    ". " span.quiet { (promise(group)) "." }
                }
            }
        }
    }
}

/// "Settles 3 verdicts, and 2 more together with other lines".
fn promise(group: &engine::plan::MeasureGroup) -> String {
    let verdicts = |n| count(n, "verdict", "verdicts");
    match (group.settles.len(), group.with_others.len()) {
        (alone, 0) => format!("Settles {}", verdicts(alone)),
        (0, more) => format!("Settles {} together with other lines", verdicts(more)),
        (alone, more) => format!("Settles {}, and {more} more together with other lines", verdicts(alone)),
    }
}

fn measure_at(view: &View, group: &engine::plan::MeasureGroup) -> String {
    group
        .features
        .first()
        .and_then(|path| view.feature_at(path))
        .unwrap_or_else(|| view.at(&format!("sheet/{}", group.sheet)))
}

/// Sizes of the document that are out of proportion: one line that leads to them.
fn doubtful_sizes(view: &View) -> Markup {
    let doubtful = engine::document::doubtful_sizes(&view.engine.document);
    let named: Vec<String> = doubtful.iter().take(3).map(|path| field_words(path)).collect();
    let more = doubtful.len().saturating_sub(named.len());
    html! {
        @if !doubtful.is_empty() {
            p.doubtful {
                strong { (count(doubtful.len(), "size", "sizes")) " of the document to look at: " }
                (named.join("; ")) @if more > 0 { " and " (more) " more" } ". "
                a href=(view.at("document")) { "What is asked" }
            }
        }
    }
}

fn slips(view: &View) -> Markup {
    let open: Vec<&Slip> = view.assessment.slips.iter().filter(|s| !s.confirmed).collect();
    html! {
        @if !open.is_empty() {
            h2 { "Asked about " span.count { (open.len()) } }
            ul.plain {
                @for slip in open {
                    li {
                        @if let Some(at) = view.feature_at(&slip.feature) { a href=(at) { (slip_place(view, slip)) } }
                        @else { (slip_place(view, slip)) }
                        ": " (slip_question(view, slip))
                    }
                }
            }
        }
    }
}

fn slip_place(view: &View, slip: &Slip) -> String {
    view.engine.catalogue.feature(&slip.feature).map_or_else(|| slip.feature.clone(), |f| sentence(&f.label))
}

/// "read as 9.8 mm. Perhaps thousandths of an inch: did you mean 0.249 mm?"
pub(crate) fn slip_question(view: &View, slip: &Slip) -> String {
    let Some(read) = view.engine.readings.iter().find(|r| r.number == slip.reading) else {
        return slip.slip.words();
    };
    let feature = view.engine.catalogue.feature(&slip.feature);
    let shown =
        |si: f64| feature.map_or_else(String::new, |f| crate::words::plain(si, f.dimension, view.units()));
    format!("read as {}. {}", read.text, engine::sizes::slip_question(view.engine, read, slip, &shown))
}
