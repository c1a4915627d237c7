//! `next`: what to measure next.

use super::arguments::{Common, FileArguments};
use super::check::heading;
use super::file::read;
use super::report::{Answer, Outcome, Report};
use super::table::Table;
use serde_json::json;

pub(super) fn run(arguments: &FileArguments, common: &Common) -> Answer {
    let read = read(arguments, common)?;
    let mut table = Table::new(&["gauge", "settles", "what to read"]);
    for group in &read.plan.measure_next {
        let (alone, more) = (group.settles.len(), group.with_others.len());
        let settles =
            if more == 0 { alone.to_string() } else { format!("{alone}, with other lines {more} more") };
        table.row([group.gauge.clone(), settles, group.text.clone()]);
    }
    let list = if table.is_empty() {
        "Nothing: every verdict that readings can settle is settled.\n".to_owned()
    } else {
        table.print()
    };
    let json = json!({ "measure_next": read.plan.measure_next });
    Ok(Report::new(Outcome::Good, format!("{}{list}", heading(&read)), json))
}
