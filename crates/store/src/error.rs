//! What can go wrong, with the values and what to do about it.

use std::fmt;
use std::path::PathBuf;

/// The result of every method of the store.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// One of the two hash chains of an engine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chain {
    /// The log: readings, operations, sign-offs, notes.
    Log,
    /// The versions of the engine document.
    Document,
}

impl fmt::Display for Chain {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(match self {
            Self::Log => "log entry",
            Self::Document => "document version",
        })
    }
}

/// Why a link of a chain does not hold. Stored values are kept as text, because a damaged one need not be a hash.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// A number is left out, doubled or out of order.
    #[error("number {found} stands where number {expected} belongs")]
    OutOfOrder {
        /// The number that continues the chain.
        expected: u64,
        /// The number found.
        found: u64,
    },
    /// The link to the record before is not that record's hash.
    #[error("it names {stored} as the hash before it, but that hash is {expected}")]
    PreviousDiffers {
        /// The hash of the record before.
        expected: String,
        /// The hash that is written as the one before.
        stored: String,
    },
    /// The record's fields do not give the hash that is stored with it: a field was changed.
    #[error("its fields give the hash {computed}, but {stored} is stored")]
    HashDiffers {
        /// The hash computed from the fields.
        computed: String,
        /// The hash that is stored.
        stored: String,
    },
    /// The text of a document does not give the SHA-256 that is stored with it.
    #[error("its text has the SHA-256 {computed}, but {stored} is stored")]
    TextDiffers {
        /// SHA-256 of the text.
        computed: String,
        /// The SHA-256 that is stored.
        stored: String,
    },
    /// The record does not carry the hash that was noted for it (on paper, or in an export).
    #[error("its hash is {stored}, but {noted} was noted for it")]
    NotAsNoted {
        /// The hash as noted elsewhere.
        noted: String,
        /// The hash that is stored.
        stored: String,
    },
    /// The record was noted elsewhere but is not there: the end of the chain was removed.
    #[error("it is missing: the chain ends at {last}")]
    Missing {
        /// The last number of the chain.
        last: u64,
    },
    /// The row cannot be read at all.
    #[error("it cannot be read ({0})")]
    Unreadable(String),
}

impl From<rusqlite::Error> for Fault {
    fn from(fault: rusqlite::Error) -> Self {
        Self::Unreadable(fault.to_string())
    }
}

/// What can go wrong in the store.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The operating system refused something with a file or folder.
    #[error(
        "cannot {doing} {path}: {source}; check that the disk has room and that the folder may be written"
    )]
    Io {
        /// What was being done ("create", "read", ...).
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// The system's own error.
        source: std::io::Error,
    },
    /// `SQLite` refused something.
    #[error("the database failed while {doing}: {source}; nothing of this step was kept")]
    Database {
        /// What was being done.
        doing: &'static str,
        /// `SQLite`'s own error.
        source: rusqlite::Error,
    },
    /// The commit of a group of writes failed, so none of them is kept.
    #[error(
        "the write was not saved: {problem}; nothing of it was kept, try again when the disk is in order"
    )]
    NotCommitted {
        /// What the database said.
        problem: String,
    },
    /// Another program (or another handle in this one) has the folder open.
    #[error(
        "the folder {folder} is in use by {holder}; close that program first, or give this one another folder"
    )]
    FolderInUse {
        /// The folder.
        folder: PathBuf,
        /// Who holds it, as far as the lock file says.
        holder: String,
    },
    /// The handle was opened for reading only.
    #[error("the folder {folder} was opened for reading only; nothing was written")]
    OnlyReads {
        /// The folder.
        folder: PathBuf,
    },
    /// The file is no database of this program.
    #[error("{path} is not a store of this program ({why}); name another file or folder")]
    NotAStore {
        /// The file.
        path: PathBuf,
        /// How that was seen.
        why: String,
    },
    /// The file is one of ours, or was, but its pages are damaged.
    #[error(
        "the database {path} is damaged ({problem}); it was not touched, \
         keep a copy of it as it is and restore the last backup into a new folder"
    )]
    Damaged {
        /// The file.
        path: PathBuf,
        /// What the database says.
        problem: String,
    },
    /// The file was written by a later release.
    #[error(
        "{path} has store format {found}, but this program knows formats up to {known}; \
         use the newer program that wrote it (the file was not touched)"
    )]
    NewerFile {
        /// The file.
        path: PathBuf,
        /// Its format.
        found: i64,
        /// The newest format that this program knows.
        known: i64,
    },
    /// No engine has this id.
    #[error("no engine has the id \"{engine}\"; list the engines to see which there are")]
    UnknownEngine {
        /// The id asked for.
        engine: String,
    },
    /// The id is taken.
    #[error(
        "an engine with the id \"{engine}\" is already in this store; choose another id, or import into an empty folder"
    )]
    EngineExists {
        /// The id.
        engine: String,
    },
    /// The engine has no document of this version.
    #[error("engine \"{engine}\" has no document version {version}")]
    UnknownVersion {
        /// The engine's id.
        engine: String,
        /// The version asked for.
        version: u64,
    },
    /// The engine has no result of this number.
    #[error("engine \"{engine}\" has no result {number}")]
    UnknownResult {
        /// The engine's id.
        engine: String,
        /// The number asked for.
        number: u64,
    },
    /// A result is no longer what was kept.
    #[error(
        "result {number} of \"{engine}\" was changed: its text has the SHA-256 {computed}, but {stored} is stored; compute it again"
    )]
    ResultChanged {
        /// The engine's id.
        engine: String,
        /// Its number.
        number: u64,
        /// SHA-256 of the text.
        computed: String,
        /// The SHA-256 that is stored.
        stored: String,
    },
    /// Somebody saved a newer version meanwhile. Nothing was saved.
    #[error(
        "the document of \"{engine}\" was changed meanwhile: this text is based on version {}, the latest is {}; \
         nothing was overwritten, compare with the latest and save again based on it",
        version_or_none(*based_on), version_or_none(*latest)
    )]
    Conflict {
        /// The engine's id.
        engine: String,
        /// The version that the refused text started from.
        based_on: Option<u64>,
        /// The latest version kept, `None` when there is none yet.
        latest: Option<u64>,
    },
    /// A delivery key came a second time with other content.
    #[error(
        "the delivery key \"{key}\" of engine \"{engine}\" already brought log entry {sequence} with other content; \
         deliver the new content under a key of its own"
    )]
    DeliveryKeyReused {
        /// The engine's id.
        engine: String,
        /// The key.
        key: String,
        /// The entry that it brought first.
        sequence: u64,
    },
    /// A value does not have the form that is asked for.
    #[error("{field} \"{value}\" is not valid: expected {expected}")]
    Invalid {
        /// The field.
        field: &'static str,
        /// The value (shortened when long).
        value: String,
        /// What is expected.
        expected: &'static str,
    },
    /// A value or file is larger than the store takes.
    #[error("{field} is too large: {size} where at most {most} is taken; split it")]
    TooLarge {
        /// The field.
        field: &'static str,
        /// Its size, in bytes (or in pieces, for a list).
        size: u64,
        /// The most that is taken.
        most: u64,
    },
    /// A log body is not JSON.
    #[error("the body is not valid JSON: {problem}")]
    BodyNotJson {
        /// What is wrong, with line and column where known.
        problem: String,
    },
    /// A chain does not hold: something was changed, removed or damaged.
    #[error(
        "the record of \"{engine}\" is broken at {chain} {number}: {fault}; what stands before it is sound. \
         Stop writing, keep a copy of the folder as it is, and compare with the last backup"
    )]
    Broken {
        /// The engine's id.
        engine: String,
        /// Which chain.
        chain: Chain,
        /// Number of the first broken link.
        number: u64,
        /// What is wrong with it.
        fault: Fault,
    },
    /// A file stands where a new one is to be written.
    #[error("{path} already exists and is not overwritten; name another file")]
    FileExists {
        /// The file.
        path: PathBuf,
    },
    /// A folder that must be empty holds something.
    #[error("the folder {folder} is not empty and nothing in it is overwritten; name an empty or new folder")]
    FolderNotEmpty {
        /// The folder.
        folder: PathBuf,
    },
    /// A backup does not pass its checks, so it is not used (or not called done).
    #[error("the backup {path} is damaged ({problem}); it was not used, take another one")]
    BackupDamaged {
        /// The file.
        path: PathBuf,
        /// The first check that failed.
        problem: String,
    },
    /// A file of an export cannot be taken in. Nothing was imported.
    #[error("{}: {problem}; nothing was imported", place(path, *line))]
    Import {
        /// The file.
        path: PathBuf,
        /// The line, where the file has lines (from 1).
        line: Option<u64>,
        /// What is wrong.
        problem: String,
    },
    /// The writer has stopped.
    #[error(
        "the store is closed because its writer stopped; restart the program (what it called saved is kept)"
    )]
    Closed,
}

fn version_or_none(version: Option<u64>) -> String {
    version.map_or_else(|| "none".to_owned(), |version| version.to_string())
}

fn place(path: &std::path::Path, line: Option<u64>) -> String {
    line.map_or_else(|| path.display().to_string(), |line| format!("{}, line {line}", path.display()))
}

impl Error {
    pub(crate) fn io(doing: &'static str, path: impl Into<PathBuf>) -> impl FnOnce(std::io::Error) -> Self {
        let path = path.into();
        move |source| Self::Io { doing, path, source }
    }

    pub(crate) fn database(doing: &'static str) -> impl FnOnce(rusqlite::Error) -> Self {
        move |source| Self::Database { doing, source }
    }
}
