//! What can go wrong in the rig itself, with what to do about it.

use std::path::PathBuf;

use thirtyfour::error::WebDriverError;

/// The result of a scenario.
pub type Outcome<T = ()> = Result<T, RigError>;

/// A failure of the rig or of what it drives.
#[derive(Debug, thiserror::Error)]
pub enum RigError {
    /// A program that the rig needs could not be started.
    #[error("cannot start `{program}`: {source} (run `cargo xtask set-up`)")]
    CannotStart {
        /// The command as it was called.
        program: String,
        /// What the system said.
        source: std::io::Error,
    },
    /// The program under test was not built.
    #[error(
        "the program is not at {}: run `cargo build --release -p crosshatch`, or set CROSSHATCH_BIN to it",
        path.display()
    )]
    NoProgram {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// A started program never said where it listens.
    #[error("`{program}` did not say where it listens within {seconds} s; it printed:\n{output}")]
    NoAddress {
        /// The command as it was called.
        program: String,
        /// How long the rig waited.
        seconds: u64,
        /// Standard output and error so far.
        output: String,
    },
    /// The accessibility checker is missing.
    #[error("{} is missing ({source}): run `cargo xtask set-up`", path.display())]
    NoAxe {
        /// Where npm puts it.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The accessibility checker found something, or checked nothing.
    #[error("{page}: {report}")]
    NotAccessible {
        /// The page as the scenario calls it.
        page: String,
        /// The violations, each with the elements that cause it.
        report: String,
    },
    /// The page did not become what the scenario waits for.
    #[error("waited {seconds} s in vain for {what}")]
    NeverHappened {
        /// The condition in words.
        what: String,
        /// How long the rig waited.
        seconds: u64,
    },
    /// An answer of the browser did not have the promised shape.
    #[error("the browser answered {method} with something unexpected: {detail}")]
    UnexpectedAnswer {
        /// The command sent.
        method: String,
        /// What was missing or wrong.
        detail: String,
    },
    /// The browser or its driver refused a command.
    #[error("browser: {0}")]
    Browser(Box<WebDriverError>),
    /// A file or socket of the rig failed.
    #[error("file or socket: {0}")]
    Io(#[from] std::io::Error),
}

impl From<WebDriverError> for RigError {
    fn from(error: WebDriverError) -> Self {
        Self::Browser(Box::new(error))
    }
}
