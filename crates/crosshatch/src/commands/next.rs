//! `next`: what to measure next.

use super::arguments::{Common, FileArguments};
use super::check::heading;
use super::file::{FromFile, read};
use super::report::{Answer, Outcome, Report};
use super::table::Table;
use engine::findings::{Action, ActionKind, Finding, Verdict};
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
    let list = if table.is_empty() { nothing_missing(&read) } else { table.print() };
    let json = json!({ "measure_next": read.plan.measure_next });
    Ok(Report::new(Outcome::Good, format!("{}{list}", heading(&read)), json))
}

/// No reading is missing; what findings ask to be read a second time stands with them.
fn nothing_missing(read: &FromFile) -> String {
    let asks = |f: &&Finding| {
        let again = |a: &Action| matches!(a.kind, ActionKind::Measure | ActionKind::Refit | ActionKind::Ask);
        !matches!(f.verdict, Verdict::Good | Verdict::Unknown) && f.actions.iter().any(again)
    };
    let count = read.assessment.findings.iter().filter(asks).count();
    match count {
        0 => "Nothing: every verdict that readings can settle is settled.\n".to_owned(),
        1 => "No reading is missing. One finding asks for something to be read again: see \"crosshatch check\".\n".to_owned(),
        more => format!(
            "No reading is missing. {more} findings ask for something to be read again, or set right first: see \"crosshatch check\".\n"
        ),
    }
}
