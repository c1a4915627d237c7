//! The fits: clearances, gaps and interferences, as a table and as drawings with dimension lines.

use crate::figures;
use crate::fit_list::{FITS, asks, fits};
use crate::frame::{Current, Page, View, framed};
use crate::words::{caution, count, finding_value, first_action, limit, sentence, verdict};
use engine::findings::{Finding, Verdict};
use maud::{Markup, html};

/// The sheet of fits.
pub fn fits_page(view: &View) -> String {
    let known = fits(view.assessment);
    let open = view
        .assessment
        .findings
        .iter()
        .filter(|f| {
            f.value.is_none() && FITS.iter().any(|(_, n)| n.contains(&asks(f)) || n.contains(&f.code))
        })
        .count();
    let body = html! {
        div.page {
            h1 { "Fits" }
            p {
                (known.len()) " known, " (open) " not yet measured. A "
                b { "predicted" } " fit comes from a subtraction; the fitted bore, once read, takes its place."
            }
            @for (title, names) in FITS { (group(view, title, names, &known)) }
            (motion(view))
        }
    };
    framed(
        view,
        &Page {
            title: "Fits",
            current: Current::Fits,
            sheet: "no. 11, Fits".to_owned(),
            state: view.state(),
            scripts: &["plot.js"],
            body,
        },
    )
}

fn group(view: &View, title: &str, names: &[&str], known: &[&Finding]) -> Markup {
    let rows: Vec<&&Finding> = names
        .iter()
        .flat_map(|name| known.iter().filter(move |f| asks(f) == *name || f.code == *name))
        .collect();
    html! {
        @if !rows.is_empty() {
            section {
                h2 { (title) }
                (drawn_fits(view, names, &rows))
                div.wide {
                    table.figures.fits aria-label=(format!("{title}, fits")) {
                        thead { tr {
                            th scope="col" { "where" } th scope="col" { "what" } th.n scope="col" { "value" } th.n scope="col" { "allowed" }
                            th scope="col" { "verdict" } th scope="col" { span.reader-only { "gauge figure" } } th scope="col" { "what to do" }
                        } }
                        tbody { @for finding in &rows { (row(view, finding)) } }
                    }
                }
                @for said in cautions(&rows) { (caution(Some(said))) }
            }
        }
    }
}

/// Fits drawn with their dimensions, the worst first; where there are many, most stand behind a disclosure.
fn drawn_fits(view: &View, names: &[&str], rows: &[&&Finding]) -> Markup {
    let mut first = Vec::new();
    let mut others = Vec::new();
    for name in names {
        let mut kind: Vec<&Finding> = rows.iter().map(|f| **f).filter(|f| asks(f) == *name).collect();
        kind.sort_by(|a, b| {
            let outside = |f: &Finding| f.probability_outside.unwrap_or(0.0);
            a.verdict.rank().cmp(&b.verdict.rank()).then(outside(b).total_cmp(&outside(a)))
        });
        let share = if names.len() > 1 { 2 } else { 4 };
        let mut drawings = kind.iter().filter_map(|f| figures::fit(f, view));
        first.extend(drawings.by_ref().take(share));
        others.extend(drawings);
    }
    html! {
        @if !first.is_empty() { div.fit-drawings { @for drawing in first { (drawing) } } }
        @if !others.is_empty() { p.paper-only.small { (count(others.len(), "further fit is", "further fits are")) " drawn on this page of the program." } details.no-print { summary { "Draw " (count(others.len(), "further fit", "further fits")) } div.fit-drawings { @for drawing in others { (drawing) } } } }
    }
}

/// What is to be minded in the work that the rows ask for, each said once.
fn cautions(rows: &[&&Finding]) -> Vec<&'static str> {
    let mut said: Vec<&'static str> =
        rows.iter().filter_map(|f| f.actions.first().and_then(|action| action.caution)).collect();
    said.sort_unstable();
    said.dedup();
    said
}

/// Piston speed and acceleration over one turn.
fn motion(view: &View) -> Markup {
    html! { section aria-label="Motion of the piston" { (figures::motion(view)) } }
}

fn row(view: &View, finding: &Finding) -> Markup {
    let units = view.units();
    html! {
        tr.stop-row[finding.verdict == Verdict::Bad] {
            th scope="row" { a href=(view.finding_at(&finding.id)) { (sentence(&finding.subject.label)) } }
            td { (finding.question) }
            td.n.is data-label="value" { (finding_value(finding, units).unwrap_or_default()) }
            td.n.allowed data-label="allowed" { @if let Some(l) = &finding.limit { (limit(l, finding.value.as_ref(), finding, units)) } }
            td data-label="verdict" { (verdict(finding)) }
            td { (figures::gauge(finding, view)) }
            td data-label="what to do" { (first_action(finding, units).unwrap_or_default()) }
        }
    }
}
