//! Why a step failed, with what to do about it.

use std::io;
use std::path::{Path, PathBuf};

/// A failed step.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// A command could not be started.
    #[error("cannot start `{command}`: {source}")]
    CannotStart {
        /// The command line.
        command: String,
        /// What the system said.
        source: io::Error,
    },
    /// A command ended with a failure.
    #[error("`{command}` failed ({status})")]
    CommandFailed {
        /// The command line.
        command: String,
        /// Exit code or signal.
        status: String,
    },
    /// A system package is missing and cannot be installed.
    #[error("the system package `{package}` is missing and cannot be installed: {reason}")]
    NoPackage {
        /// Its name in Debian.
        package: String,
        /// Why not, and what to do.
        reason: String,
    },
    /// A file could not be read or written.
    #[error("{}: {source}", path.display())]
    File {
        /// Which file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A file or an answer has not the promised content.
    #[error("{what}: {detail}")]
    Unexpected {
        /// The file or command.
        what: String,
        /// What is wrong with it.
        detail: String,
    },
    /// There is no such step or bench.
    #[error("there is no {kind} `{name}`; there are: {known}")]
    NoSuch {
        /// `step` or `bench`.
        kind: &'static str,
        /// As given.
        name: String,
        /// All of them.
        known: String,
    },
    /// A check did not hold.
    #[error("{0}")]
    Check(String),
}

impl Failure {
    /// Binds a path to an error of the file system.
    pub fn file(path: impl AsRef<Path>) -> impl FnOnce(io::Error) -> Self {
        let path = path.as_ref().to_path_buf();
        move |source| Self::File { path, source }
    }

    /// Something had not the promised content.
    #[allow(clippy::needless_pass_by_value, reason = "handed over as `map_err` has it")]
    pub fn unexpected(what: impl Into<String>, detail: impl ToString) -> Self {
        Self::Unexpected { what: what.into(), detail: detail.to_string() }
    }
}
