//! A finding as JSON: the engine's own shape, with its sentences in words beside the values.

use super::words;
use engine::findings::Finding;
use engine::quantity::UnitSystem;
use serde_json::{Value, json};

/// Values are in SI; `shown`, `why` and the texts of actions are in the reader's units.
pub(super) fn finding(finding: &Finding, units: UnitSystem) -> Value {
    json!({
        "id": finding.id,
        "code": finding.code,
        "sheet": finding.sheet,
        "title": finding.title(),
        "subject": finding.subject,
        "question": finding.question,
        "verdict": finding.verdict,
        "stale": finding.stale,
        "stops": finding.stops(),
        "value": finding.value,
        "limit": finding.limit,
        "shown": { "value": words::value(finding, units), "limit": words::limit(finding, units) },
        "probability_outside": finding.probability_outside,
        "why": finding.why.print(units),
        "actions": finding.actions.iter().map(|a| json!({
            "kind": a.kind,
            "text": a.text.print(units),
            "effect": a.effect.print(units),
            "cost": a.cost,
            "days": a.days,
            "caution": a.caution,
        })).collect::<Vec<_>>(),
        "missing": finding.missing,
    })
}
