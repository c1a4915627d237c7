//! `engines`: what is in the data folder.

use super::arguments::Common;
use super::folder::{looking, refused};
use super::report::{Answer, Outcome, Report};
use super::table::Table;
use crate::workbench::layout_words;
use serde_json::json;

pub(super) fn run(common: &Common) -> Answer {
    let bench = looking(common)?;
    let mut table = Table::new(&["engine", "name", "layout", "state"]);
    let mut list = Vec::new();
    for engine in bench.shelf().map_err(|e| refused(&e))? {
        let (layout, state, invented) = match &engine.state {
            Ok(a) => (
                layout_words(&a.engine.document),
                a.assessment.tally().in_short(),
                a.engine.document.engine.invented,
            ),
            Err(problem) => (String::new(), problem.clone(), false),
        };
        list.push(json!({
            "id": engine.id, "name": engine.name, "layout": layout, "state": state, "invented": invented,
            "changed": engine.changed,
        }));
        let name = if invented { format!("{} (invented)", engine.name) } else { engine.name };
        table.row([engine.id, name, layout, state]);
    }
    let text = if table.is_empty() { "No engines yet.\n".to_owned() } else { table.print() };
    Ok(Report::new(Outcome::Good, text, json!({ "engines": list })))
}
