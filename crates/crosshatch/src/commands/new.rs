//! `new`: a document to start from.

use super::arguments::{Common, NewArguments};
use super::report::{Answer, Outcome, Report};
use engine::document::{LayoutKind, new_document};
use engine::quantity::UnitSystem;
use serde_json::json;
use std::io::Write as _;

pub(super) fn run(arguments: &NewArguments, common: &Common) -> Answer {
    let kind: LayoutKind = arguments.layout.parse().map_err(Report::refused)?;
    let text = new_document(kind, arguments.name.trim(), common.units(UnitSystem::Metric));
    let Some(out) = &arguments.out else {
        return Ok(Report::new(Outcome::Good, text.clone(), json!({ "layout": kind, "document": text })));
    };
    let name = out.display();
    // Never over a file that is there: somebody's engine may be in it.
    let written = std::fs::File::create_new(out).and_then(|mut file| file.write_all(text.as_bytes()));
    written.map_err(|problem| {
        Report::refused(if problem.kind() == std::io::ErrorKind::AlreadyExists {
            format!("{name} is there already and is left as it is: give another name, or move it away first")
        } else {
            format!("cannot write {name}: {problem}")
        })
    })?;
    let said =
        format!("Wrote {name}: {}. Fill in what you know, then: crosshatch check {name}\n", kind.words());
    Ok(Report::new(Outcome::Good, said, json!({ "layout": kind, "file": name.to_string() })))
}
