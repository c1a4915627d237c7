//! `verify`: walk the chains of records.

use super::arguments::VerifyArguments;
use super::report::{Answer, Outcome, Report};
use super::store_error::{bench, store};
use serde_json::json;

pub(super) fn run(arguments: &VerifyArguments) -> Answer {
    let bench = bench(&arguments.folder)?;
    let heads = match &arguments.engine {
        Some(engine) => vec![bench.store().verify(engine).map_err(store)?],
        None => bench.store().verify_all().map_err(store)?,
    };
    let list: Vec<String> = heads.iter().map(ToString::to_string).collect();
    let text = format!("{}\nEvery chain holds from its start.\n", list.join("\n"));
    Ok(Report::new(Outcome::Good, text, json!({ "heads": heads })))
}
