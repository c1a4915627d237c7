//! The plan: what to order, what to cut and in which order, what goes where, what to measure next.

use crate::engine_sheet::measure_next;
use crate::frame::{Current, Page, View, framed, operation_words};
use crate::words::{
    caution, count, days, field_words, full_stop, money, plain, printed, prose, sentence, signed,
};
use engine::features::{Feature, Sheet};
use engine::findings::{Finding, stated_in_document};
use engine::plan::{Cut, OrderLine, Outcome, Placement, Selection, Widen};
use engine::quantity::{Dimension, UnitSystem, decimals_for, display_unit, format_fixed, format_value};
use maud::{Markup, html};

/// The sheet of the plan.
pub fn plan_page(view: &View) -> String {
    let plan = view.plan;
    let empty =
        plan.orders.is_empty() && plan.cuts.is_empty() && plan.selections.is_empty() && plan.bench.is_empty();
    // Nobody knows whether anything is to order or cut.
    let tally = view.assessment.tally();
    let unread = empty && tally.nothing_judged();
    let body = html! {
        div.page {
            h1 { "Plan" }
            @if unread && !tally.nothing_known() { p { "Nothing is judged yet: what is read waits for its limits, or for the rest of the readings." } }
            @else if unread { p { "Nothing is judged yet. Read first: the plan grows from what is read." } }
            @else if empty { p { "Nothing to order, cut or move yet. What is read next is what the plan grows from." } }
            @else { p { (sums(view)) } }
            @if !unread {
                section { h2 { "Order list" } (orders(view)) }
                section { h2 { "Cutting list, in this order" } (cuts(view)) }
            }
            @if !plan.bench.is_empty() { section { h2 { "At the bench" } (bench(view)) } }
            @if !plan.undecided.is_empty() { section { h2 { "Undecided" } (undecided(view)) } }
            section { h2 { "What goes where" } @for s in &plan.selections { (selection(view, s)) }
                @if plan.selections.is_empty() { p.quiet { "Not enough is measured to place anything." } } }
            section { (measure_next(view)) }
        }
    };
    framed(
        view,
        &Page {
            title: "Plan",
            current: Current::Plan,
            sheet: "no. 13, Plan".to_owned(),
            state: view.state(),
            scripts: &[],
            body,
        },
    )
}

/// How much there is to do, what it costs, how long the longest wait is.
fn sums(view: &View) -> String {
    format!("{} {}", full_stop(&view.plan.in_full()), printed(&view.plan.cost_words(), view.units()))
}

/// Links to the findings that a line settles.
fn settles(view: &View, ids: &[String]) -> Markup {
    links(view, ids, Finding::title)
}

/// Links to the findings that hold a line, with what they wait for.
fn held_by(view: &View, ids: &[String]) -> Markup {
    html! { ", held by " (links(view, ids, Finding::hold_words)) }
}

fn links(view: &View, ids: &[String], words: fn(&Finding) -> String) -> Markup {
    html! {
        @for (i, id) in ids.iter().enumerate() {
            @if i > 0 { "; " }
            a href=(view.finding_at(id)) { (view.assessment.finding(id).map_or_else(|| id.clone(), words)) }
        }
    }
}

fn orders(view: &View) -> Markup {
    let lines = &view.plan.orders;
    html! {
        @if lines.is_empty() { p.quiet { "Nothing to order." } }
        @else {
            div.wide {
                table.figures.stacks aria-label="Order list" {
                    thead { tr {
                        th scope="col" { "item" } th.n scope="col" { "pieces" } th scope="col" { "from" } th.n scope="col" { "price each" }
                        th.n scope="col" { "price" } th.n scope="col" { "lead time" } th scope="col" { "for" }
                    } }
                    tbody { @for line in lines { (order(view, line)) } }
                    tfoot {
                        tr { th scope="row" { "Parts surely needed" } td {} td {} td {} td.n { (sum_words(view, lines, true)) } td {} td {} }
                        @if lines.iter().any(|l| !l.is_sure()) {
                            tr { th scope="row" { "Parts only if needed" } td {} td {} td {} td.n { (sum_words(view, lines, false)) } td {} td {} }
                        }
                    }
                }
            }
        }
    }
}

/// What the lines that are surely needed cost, or the others: as far as their prices are known.
fn sum_words(view: &View, lines: &[OrderLine], sure: bool) -> String {
    let prices =
        lines.iter().filter(|l| l.is_sure() == sure).map(|l| l.price.map(|p| p * f64::from(l.quantity)));
    let (known, unknown): (Vec<Option<f64>>, Vec<Option<f64>>) = prices.partition(Option::is_some);
    let sum = money(known.iter().flatten().sum(), &view.plan.currency);
    match (known.len(), unknown.len()) {
        (_, 0) => sum,
        (0, _) => "not known".to_owned(),
        (_, n) => format!(
            "{sum} and {}",
            count(n, "line whose price is not known", "lines whose price is not known")
        ),
    }
}

fn order(view: &View, line: &OrderLine) -> Markup {
    html! {
        tr {
            th scope="row" {
                (sentence(&printed(&line.item, view.units())))
                @if let Some(condition) = line.only_if { div { b.word { "Only if" } " " (condition) "." } }
                @if !line.held_by.is_empty() { div { b.word.stops { "Do not order yet" } (held_by(view, &line.held_by)) } }
            }
            td.n data-label="pieces" { (line.quantity) }
            td data-label="from" { @if line.supplier.is_empty() { span.quiet { "not named" } } @else { (line.supplier) } }
            td.n data-label="price each" { (line.price.map_or_else(|| "not known".to_owned(), |p| money(p, &view.plan.currency))) }
            td.n data-label="price" { (line.price.map(|p| money(p * f64::from(line.quantity), &view.plan.currency)).unwrap_or_default()) }
            td.n data-label="lead time" { (line.days.map_or_else(|| "not known".to_owned(), days)) }
            td.last data-label="for" { (settles(view, &line.settles)) }
        }
    }
}

fn cuts(view: &View) -> Markup {
    html! {
        @if view.plan.cuts.is_empty() { p.quiet { "Nothing to cut." } }
        @else {
            div.wide {
                table.figures.stacks.cuts aria-label="Cutting list" {
                    thead { tr {
                        th.n scope="col" { "step" } th scope="col" { "part and work" } th.n scope="col" { "from" } th.n scope="col" { "to" }
                        th.n scope="col" { "stock left" } th.n scope="col" { "price" } th.n scope="col" { "lead time" }
                        th.signed scope="col" { "done, by, date" }
                    } }
                    tbody { @for cut in &view.plan.cuts { (cut_row(view, cut)) } }
                }
            }
        }
    }
}

fn cut_row(view: &View, cut: &Cut) -> Markup {
    let units = view.units();
    let held = &cut.held_by;
    html! {
        tr.stop-row[!held.is_empty()] {
            td.n.step { (cut.step) }
            th scope="row" {
                b { (sentence(&cut.part)) ", " (operation_words(cut.operation)) }
                div { (prose(&cut.text, units)) }
                @if let Some(tolerance) = cut.tolerance_words(units) { div.small { "Tolerance " (tolerance) "." } }
                @if let Some(condition) = cut.only_if { div { b.word { "Only if" } " " (condition) "." } }
                @if !held.is_empty() { div { b.word.stops { "Do not cut yet" } (held_by(view, held)) } }
                (caution(cut.caution))
                div.small.quiet {
                    @if !cut.settles.is_empty() { "For " (settles(view, &cut.settles)) ". " }
                    @if !cut.opens_again.is_empty() { "Read again after it: " (cut.opens_again.join(", ")) "." }
                }
            }
            td.n data-label="from" { (cut.from.map(|si| cut_size(si, cut, units)).unwrap_or_default()) }
            td.n data-label="to" { (target(cut, view)) }
            td.n data-label="stock left" { (cut.stock_left.map(|si| plain(si, cut.dimension, units)).unwrap_or_default()) }
            td.n data-label="price" { (job_price(cut.price, &view.plan.currency)) }
            td.n data-label="lead time" { (cut.days.map_or_else(|| "not known".to_owned(), days)) }
            // Written by hand on paper; the operation is recorded on its sheet.
            td.signed { span.tick {} }
        }
    }
}

/// What a job costs; what the shop does itself for nothing is no bargain.
fn job_price(price: Option<f64>, currency: &str) -> String {
    match price {
        None => "not known".to_owned(),
        Some(0.0) => "own work".to_owned(),
        Some(price) => money(price, currency),
    }
}

fn bench(view: &View) -> Markup {
    html! {
        ul.plain { @for task in &view.plan.bench {
            li {
                b { (sentence(&task.part)) } ": " (prose(&task.text, view.units()))
                (caution(task.caution))
                div.small.quiet { "For " (settles(view, &task.settles)) "." }
            }
        } }
    }
}

fn undecided(view: &View) -> Markup {
    html! {
        ul.plain.undecided { @for line in &view.plan.undecided {
            li { (prose(&line.text, view.units())) (caution(line.caution(view.assessment))) div.small.quiet { "For " (settles(view, &line.settles)) "." } }
        } }
    }
}

/// A size of the cutting list, to the place that the readings behind it support.
fn cut_size(si: f64, cut: &Cut, units: UnitSystem) -> String {
    let inch = cut.dimension == Dimension::Length && units == UnitSystem::Inch;
    signed(&format_value(si, cut.dimension, units, cut.decimals + usize::from(inch)))
}

/// Size to reach with its tolerance.
fn target(cut: &Cut, view: &View) -> String {
    let Some(to) = cut.to else { return String::new() };
    let unit = display_unit(cut.dimension, view.units());
    match cut.tolerance {
        None => cut_size(to, cut, view.units()),
        Some(tolerance) => {
            let shown = tolerance / unit.factor;
            let least = if cut.dimension == Dimension::Length { 3 } else { 2 };
            let decimals = decimals_for(shown).max(least);
            let size = format_fixed((to - unit.offset) / unit.factor, decimals);
            format!("{size} \u{b1} {} {}", format_fixed(shown, decimals), unit.symbol)
        }
    }
}

fn selection(view: &View, selection: &Selection) -> Markup {
    html! {
        section id=(selection.code) {
            h3 { (selection.title) }
            p { (prose(&selection.summary, view.units())) }
            (caution(selection.caution))
            (outcome(view, &selection.outcome))
            @if !selection.placements.is_empty() {
                div.wide {
                    table.figures.placements aria-label=(selection.title) {
                        thead { tr { th scope="col" { "what" } th scope="col" { "to" } th scope="col" { "change" } th scope="col" { "gives" } } }
                        tbody { @for placement in &selection.placements { (placed(view, placement)) } }
                    }
                }
                p.small.quiet { "Compared in this order: " (selection.objective) "." }
            }
        }
    }
}

fn outcome(view: &View, outcome: &Outcome) -> Markup {
    html! {
        @match outcome {
            Outcome::Best { proof, .. } => { @if !proof.is_empty() { p.quiet { (full_stop(proof)) } } }
            Outcome::Relax { relax, widen } => {
                p { b.word.stops { (Widen::NO_ANSWER) } " " (widen.words(relax.len())) }
                ul.plain { @for phrase in relax { li { (prose(phrase, view.units())) } } }
            }
            Outcome::CannotTell { ask, relax, widen } => {
                p { b.word { "uncertain" } " " (Widen::CANNOT_TELL) }
                ul.plain { @for phrase in ask { li { (prose(phrase, view.units())) } } }
                @if !relax.is_empty() {
                    p { (Widen::AFTER_THAT) " " (widen.words(relax.len())) }
                    ul.plain { @for phrase in relax { li { (prose(phrase, view.units())) } } }
                }
            }
            Outcome::Missing { features } => { p { b.word { "unknown" } " " (missing(view, features)) } }
        }
    }
}

/// "12 readings to go, first bore 4, top, thrust", with a link to the sheet.
pub(crate) fn missing(view: &View, features: &[String]) -> Markup {
    let first: Option<&Feature> = features.iter().find_map(|path| view.engine.catalogue.feature(path));
    let sheet = first.map(|f| view.engine.catalogue.tables[f.table].sheet).map_or("", Sheet::title);
    let fields: Vec<&str> =
        features.iter().filter_map(|path| stated_in_document(path)).flat_map(|f| f.split(" and ")).collect();
    let readings = features.iter().filter(|path| stated_in_document(path).is_none()).count();
    html! {
        @if let Some(feature) = first {
            (count(readings, "reading", "readings")) " to go, first "
            a href=(view.feature_at(&feature.path).unwrap_or_default()) { (feature.label) " (" (sheet) ")" }
        }
        @if !fields.is_empty() {
            @if readings > 0 { "; " }
            "to state: "
            @for (i, field) in fields.iter().enumerate() { @if i > 0 { "; " } (field_to_state(view, field)) }
        }
    }
}

/// A field of the document, with the way to its form; words that are no path stand as they are.
fn field_to_state(view: &View, field: &str) -> Markup {
    html! {
        @if let Some((section, _)) = field.split_once('.') {
            a href=(view.at(&format!("parts/{section}"))) { (field_words(field)) }
        } @else { (field) }
    }
}

fn placed(view: &View, placement: &Placement) -> Markup {
    let units = view.units();
    html! {
        tr {
            th scope="row" { @if placement.stays { (printed(&placement.what, units)) } @else { b { (printed(&placement.what, units)) } } }
            td {
                (placement.place)
                @if !placement.held_by.is_empty() {
                    div.small { b.word.stops { "Not yet" } (held_by(view, &placement.held_by)) }
                }
            }
            td { @if placement.stays { span.quiet { "stays" } } @else { (printed(&placement.from, units)) } }
            td { (printed(&placement.result, units)) }
        }
    }
}
