//! `schema`: the JSON Schema of the engine document.

use super::report::{Outcome, Report};
use engine::document::json_schema;
use serde_json::json;

pub(super) fn run() -> Report {
    let schema = json_schema();
    let text = serde_json::to_string_pretty(&schema).unwrap_or_default() + "\n";
    Report::new(Outcome::Good, text, json!({ "schema": schema }))
}
