//! The command line: one file for each verb, one shape of answer.
//!
//! A verb gives a report: text for people, JSON for programs, and how it ended.

mod arguments;
mod backup;
mod calibrate;
mod check;
mod engines;
mod export;
mod file;
mod finding_json;
mod folder;
mod import;
mod new;
mod next;
mod open;
mod plan;
mod power;
mod report;
mod restore;
mod schema;
mod show;
mod standing;
mod stop;
mod table;
mod verify;
mod words;

use arguments::{Arguments, Verb};
use clap::Parser;
use report::{Outcome, Report};
use std::ffi::OsString;
use std::io::Write;
use std::process::ExitCode;

/// Runs the program with its arguments, the first of which is its own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let (verb, common) = match Arguments::try_parse_from(help_as_asked(arguments)).and_then(Arguments::split)
    {
        Ok(split) => split,
        Err(help) => {
            // Help and version are what was asked for; anything else is bad input.
            if help.use_stderr() {
                // Every refusal begins with the same word.
                let text = help.render().to_string();
                let text =
                    text.strip_prefix("error:").map_or_else(|| text.clone(), |rest| format!("Error:{rest}"));
                let _ = write!(std::io::stderr().lock(), "{text}");
            } else {
                let _ = help.print();
            }
            return ExitCode::from(if help.use_stderr() { 2 } else { 0 });
        }
    };
    let name = verb.name();
    let report = match verb {
        Verb::Open(open) => open::run(&open, &common),
        Verb::Check(read) => check::run(&read, &common),
        Verb::Plan(read) => plan::run(&read, &common),
        Verb::Next(read) => next::run(&read, &common),
        Verb::Show(show) => show::run(&show, &common),
        Verb::Power(power) => power::run_verb(&power, &common),
        Verb::Calibrate(fit) => calibrate::run(&fit, &common),
        Verb::New(new) => new::run(&new, &common),
        Verb::Schema => Ok(schema::run()),
        Verb::Engines => engines::run(&common),
        Verb::Export(export) => export::run(&export, &common),
        Verb::Import(import) => import::run(&import, &common),
        Verb::Backup(backup) => backup::run(&backup, &common),
        Verb::Restore(restore) => restore::run(&restore, &common),
        Verb::Verify(verify) => verify::run(&verify, &common),
    };
    let report = report.unwrap_or_else(|refused| refused);
    print(&report, name, common.json);
    report.outcome.into()
}

/// `help` and `help check` are `--help` and `check --help`.
fn help_as_asked(arguments: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let mut words: Vec<OsString> = arguments.into_iter().collect();
    if words.get(1).is_some_and(|word| word == "help") {
        words.remove(1);
        words.push("--help".into());
    }
    words
}

/// Answers go to the standard output; refusals in words go to the standard error.
fn print(report: &Report, command: &str, json: bool) {
    let text = if json { report.json_text(command) } else { report.text.clone() };
    // A reader that closed its end has seen enough.
    let _ = if json || report.outcome != Outcome::BadInput {
        write!(std::io::stdout().lock(), "{text}")
    } else {
        write!(std::io::stderr().lock(), "{text}")
    };
}
