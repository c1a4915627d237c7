//! Findings: one file a question.

mod model;

pub use model::{Action, ActionKind, Finding, Input, LimitUsed, Measured, Subject, Verdict, Working};
