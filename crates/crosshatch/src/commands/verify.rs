//! `verify`: walk the chains of records.

use super::arguments::{Common, VerifyArguments};
use super::folder::{looking, store};
use super::report::{Answer, Outcome, Report};
use serde_json::json;

pub(super) fn run(arguments: &VerifyArguments, common: &Common) -> Answer {
    let bench = looking(common)?;
    let heads = match &arguments.engine {
        Some(engine) => vec![bench.store().verify(engine).map_err(store)?],
        None => bench.store().verify_all().map_err(store)?,
    };
    let list: Vec<String> = heads.iter().map(ToString::to_string).collect();
    let text = format!("{}\nEvery chain holds from its start.\n", list.join("\n"));
    Ok(Report::new(Outcome::Good, text, json!({ "heads": heads })))
}
