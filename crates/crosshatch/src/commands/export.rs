//! `export`: an engine with its whole record as open text.

use super::arguments::{Common, ExportArguments};
use super::folder::{looking, store};
use super::report::{Answer, Outcome, Report};
use serde_json::json;

pub(super) fn run(arguments: &ExportArguments, common: &Common) -> Answer {
    let bench = looking(common)?;
    bench.store().export(&arguments.engine, &arguments.out).map_err(store)?;
    let out = arguments.out.display();
    let head = bench.store().head(&arguments.engine).map_err(store)?;
    let text = format!(
        "Wrote {} to {out}. README.txt there says how to check it without this program.\n\n{head}",
        arguments.engine
    );
    Ok(Report::new(Outcome::Good, text, json!({ "folder": out.to_string(), "head": head })))
}
