//! The limits as they are printed: a table, where boxes to fill in would take many sheets.

use crate::words::{signed, spaced};
use engine::document::{Shape, field_title};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Every limit with what is allowed, what is aimed at and where it comes from; `stand_ins` are the words for what is left out.
pub(super) fn limits_on_paper(
    shape: &Shape,
    values: &BTreeMap<String, String>,
    stand_ins: &BTreeMap<String, String>,
) -> Markup {
    let Shape::Table(table) = shape else { return html! {} };
    let said = |key: &str, inner: &str| {
        let text = values.get(&format!("{key}.{inner}")).map(|text| signed(text.trim()));
        text.filter(|text| !text.is_empty())
    };
    html! {
        table.figures.limits-on-paper.paper-only {
            thead { tr { th scope="col" { "limit" } th scope="col" { "allowed" } th scope="col" { "aimed at" } th scope="col" { "process spread" } th scope="col" { "comes from" } th scope="col" { "decided by" } } }
            tbody { @for (key, _) in table.ordered() { tr {
                th scope="row" { (field_title(["limits", key])) }
                td { @match (said(key, "min"), said(key, "max")) {
                    (Some(min), Some(max)) => { (min) " to " (max) }
                    (Some(min), None) => { "at least " (min) }
                    (None, Some(max)) => { "at most " (max) }
                    (None, None) => { span.quiet { (stand_ins.get(key).map_or("not stated", String::as_str)) } }
                } }
                td { (said(key, "target").unwrap_or_default()) }
                td { (said(key, "process").unwrap_or_default()) }
                td { (spaced(&said(key, "origin").unwrap_or_default())) @if let Some(source) = said(key, "source") { ": " (source) } }
                td { @match said(key, "decision").as_deref() {
                    Some("guard_band") => { "guard band (ISO 14253-1)" }
                    Some("risk") => { "chance of being outside (JCGM 106)" }
                    Some(other) => { (spaced(other)) }
                    None => {}
                } }
            } } }
        }
    }
}
