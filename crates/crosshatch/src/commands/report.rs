//! What a verb answers.

use engine::document::{Diagnostic, render_json, render_text};
use serde_json::{Map, Value, json};
use std::process::ExitCode;

/// How a verb ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    /// All good.
    Good,
    /// Findings that stop the build.
    Stops,
    /// Bad input; nothing was done.
    BadInput,
    /// Nothing stops the build, but that it is right is not proved: questions are open, or the answer is uncertain or
    /// stale. Its own code, so that a script that waits for 0 never takes an unmeasured engine for a good one.
    NotProved,
}

impl Outcome {
    /// The exit code.
    const fn code(self) -> u8 {
        match self {
            Self::Good => 0,
            Self::Stops => 1,
            Self::BadInput => 2,
            Self::NotProved => 3,
        }
    }
}

impl From<Outcome> for ExitCode {
    fn from(outcome: Outcome) -> Self {
        Self::from(outcome.code())
    }
}

/// Text for people, JSON for programs.
#[derive(Clone, Debug)]
pub(super) struct Report {
    pub outcome: Outcome,
    pub text: String,
    /// What stands beside `crosshatch`, `command` and `exit`.
    pub json: Map<String, Value>,
}

/// What a verb gives; the error is a refusal.
pub(super) type Answer = Result<Report, Report>;

impl Report {
    /// An answer; `json` must be an object.
    pub(super) fn new(outcome: Outcome, text: String, json: Value) -> Self {
        let json = if let Value::Object(map) = json { map } else { Map::new() };
        Self { outcome, text, json }
    }

    /// A refusal in one sentence.
    pub(super) fn refused(problem: impl std::fmt::Display) -> Self {
        let problem = problem.to_string();
        Self::new(
            Outcome::BadInput,
            format!("Error: {problem}\n"),
            json!({ "problems": [{ "message": problem }] }),
        )
    }

    /// A refusal of a file, with every mistake in it.
    pub(super) fn mistakes(diagnostics: &[Diagnostic]) -> Self {
        let text = format!("{}\n", render_text(diagnostics).trim_end());
        Self::new(Outcome::BadInput, text, json!({ "problems": render_json(diagnostics) }))
    }

    /// The whole JSON.
    pub(super) fn json_text(&self, command: &str) -> String {
        let mut out = Map::new();
        out.insert("crosshatch".to_owned(), json!(1));
        out.insert("command".to_owned(), json!(command));
        out.insert("exit".to_owned(), json!(self.outcome.code()));
        out.extend(self.json.clone());
        format!("{}\n", serde_json::to_string_pretty(&Value::Object(out)).unwrap_or_default())
    }
}
