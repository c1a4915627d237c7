//! What can go wrong at the bench.

use super::judge::ReadingFault;
use super::parts::PartFault;
use engine::document::Diagnostic;
use std::collections::BTreeMap;

/// The result of every method of the workbench.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// What is wrong with a new engine, by field.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(|(field, problem)| format!("{field}: {problem}")).collect::<Vec<_>>().join("; "))]
pub struct NewcomerFault(pub BTreeMap<String, String>);

/// What can go wrong at the bench. Nothing was changed then.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The store refused.
    #[error(transparent)]
    Store(#[from] store::Error),
    /// A document or a file of readings has mistakes.
    #[error("{}", summary(.0))]
    Document(Vec<Diagnostic>),
    /// Somebody saved a newer version meanwhile.
    #[error(
        "the document was changed meanwhile: this text is based on version {based_on}, the latest is {latest}"
    )]
    Conflict {
        /// Version that the refused text started from.
        based_on: u64,
        /// Latest version.
        latest: u64,
        /// Its text.
        theirs: String,
    },
    /// A reading was not understood.
    #[error(transparent)]
    Reading(#[from] ReadingFault),
    /// Fields of a form that need another look.
    #[error("{}", .0.iter().map(|(field, problem)| format!("{field}: {problem}")).collect::<Vec<_>>().join("; "))]
    Fields(BTreeMap<String, String>),
    /// A form of sizes and limits.
    #[error(transparent)]
    Part(#[from] PartFault),
    /// Sizes that a person should look at once more before they are kept.
    #[error(transparent)]
    Asked(#[from] super::Questions),
    /// A new engine.
    #[error(transparent)]
    Newcomer(#[from] NewcomerFault),
    /// The engine has no document yet.
    #[error("engine \"{0}\" has no document")]
    NoDocument(String),
    /// A log entry is not what this program writes.
    #[error(
        "log entry {sequence} of \"{engine}\" cannot be read: {problem}; was it written by a newer program?"
    )]
    Entry {
        /// Engine.
        engine: String,
        /// Its number.
        sequence: u64,
        /// What is wrong.
        problem: String,
    },
    /// A computation of this engine runs already.
    #[error("a computation of this engine runs already: wait for it, or stop it first")]
    Running,
    /// Power cannot be computed so.
    #[error("{0}")]
    Power(String),
    /// A kept result is not what this program writes.
    #[error(
        "result {number} of \"{engine}\" cannot be read: {problem}; was it written by another version of this program? Compute it again"
    )]
    Result {
        /// Engine.
        engine: String,
        /// Its number.
        number: u64,
        /// What is wrong.
        problem: String,
    },
    /// The system gives no random numbers.
    #[error("the system has no random numbers: {0}")]
    NoRandomNumbers(String),
    /// The store did not take it.
    #[error("not kept: {0}")]
    NotKept(String),
    /// The work on it broke off.
    #[error("the work on it broke off; send it again")]
    BrokenOff,
}

fn summary(diagnostics: &[Diagnostic]) -> String {
    match diagnostics {
        [] => "the document cannot be read".to_owned(),
        [one] => format!("{}, line {}, column {}: {}", one.file, one.line, one.column, one.message),
        [first, rest @ ..] => {
            format!(
                "{}, line {}, column {}: {} (and {} more)",
                first.file,
                first.line,
                first.column,
                first.message,
                rest.len()
            )
        }
    }
}
