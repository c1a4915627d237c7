//! What is kept: plain values, and the fields of each that its hash covers.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::encoding::{Digest, encode_fields};

/// An engine: the owner of one log and one line of document versions.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Engine {
    /// A slug (a-z, 0-9, "-"); never changes, because every hash covers it.
    pub id: String,
    /// What people call it; may change.
    pub name: String,
    /// When it was created, RFC 3339.
    pub created: String,
}

/// A log entry that is to be appended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// What it is: `reading`, `operation`, `sign_off`, `note`, ... (a-z, 0-9, "_").
    pub kind: String,
    /// Any JSON text; kept in its canonical spelling (see [`crate::canonical_json`]).
    pub body: String,
    /// Who says so, one line.
    pub who: String,
    /// When, RFC 3339.
    pub when: String,
    /// A key that its sender makes up once for each entry, unique within the engine: when the same
    /// key comes again, the first entry is returned and nothing is added.
    pub delivery_key: Option<String>,
}

/// A log entry as it is kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Entry {
    /// The engine's id.
    pub engine: String,
    /// Number within the engine's log, from 1, without gaps.
    pub sequence: u64,
    /// What it is.
    pub kind: String,
    /// Canonical JSON text.
    pub body: String,
    /// Who says so.
    pub who: String,
    /// When, RFC 3339, as handed in.
    pub when: String,
    /// The key under which it was delivered.
    pub delivery_key: Option<String>,
    /// The hash of the entry before, [`Digest::START`] for the first.
    pub previous: Digest,
    /// The hash of this entry.
    pub hash: Digest,
}

impl Entry {
    /// The text whose SHA-256 is the hash of this entry.
    pub fn encoded(&self) -> String {
        encode_fields(&[
            "crosshatch-entry/1",
            &self.engine,
            &self.sequence.to_string(),
            &self.kind,
            &self.who,
            &self.when,
            self.delivery_key.as_deref().unwrap_or(""),
            &self.previous.to_string(),
            &self.body,
        ])
    }

    /// The entry that continues a log after `previous`, with its hash.
    pub(crate) fn continuing(engine: &str, sequence: u64, previous: Digest, draft: Draft) -> Self {
        let Draft { kind, body, who, when, delivery_key } = draft;
        let hash = Digest::START;
        let engine = engine.to_owned();
        let mut entry = Self { engine, sequence, kind, body, who, when, delivery_key, previous, hash };
        entry.hash = Digest::of(&entry.encoded());
        entry
    }
}

/// A document version that is to be saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DocumentDraft {
    /// The whole text.
    pub text: String,
    /// Who saves it, one line.
    pub who: String,
    /// When, RFC 3339.
    pub when: String,
    /// Why, in the words of the person; may be empty.
    pub note: String,
}

/// A document version as it is kept, without its text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DocumentInfo {
    /// The engine's id.
    pub engine: String,
    /// Number within the engine's documents, from 1, without gaps.
    pub version: u64,
    /// SHA-256 of the text, as `sha256sum` gives it.
    pub sha256: Digest,
    /// Who saved it.
    pub who: String,
    /// When, RFC 3339, as handed in.
    pub when: String,
    /// The version that it started from, `None` for the first.
    pub based_on: Option<u64>,
    /// Why, in the words of the person.
    pub note: String,
    /// The hash of the version before, [`Digest::START`] for the first.
    pub previous: Digest,
    /// The hash of this version.
    pub hash: Digest,
}

impl DocumentInfo {
    /// The text whose SHA-256 is the hash of this version.
    pub fn encoded(&self) -> String {
        encode_fields(&[
            "crosshatch-document/1",
            &self.engine,
            &self.version.to_string(),
            &self.sha256.to_string(),
            &self.who,
            &self.when,
            &self.based_on.map_or_else(String::new, |version| version.to_string()),
            &self.note,
            &self.previous.to_string(),
        ])
    }
}

/// A document version with its text.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Document {
    /// All but the text.
    #[serde(flatten)]
    pub info: DocumentInfo,
    /// The whole text, byte for byte as it was saved.
    pub text: String,
}

impl Document {
    /// The version that follows `latest` (`None`: the first one), with its hashes.
    pub(crate) fn continuing(engine: &str, latest: Option<(u64, Digest)>, draft: DocumentDraft) -> Self {
        let DocumentDraft { text, who, when, note } = draft;
        let mut info = DocumentInfo {
            engine: engine.to_owned(),
            version: latest.map_or(1, |(version, _)| version + 1),
            sha256: Digest::of(&text),
            who,
            when,
            based_on: latest.map(|(version, _)| version),
            note,
            previous: latest.map_or(Digest::START, |(_, hash)| hash),
            hash: Digest::START,
        };
        info.hash = Digest::of(&info.encoded());
        Self { info, text }
    }
}

/// The result of a computation that is to be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResultDraft {
    /// What it is (a-z, 0-9, "_").
    pub kind: String,
    /// Any text; the store does not look into it.
    pub body: String,
    /// Version of the document that it was made from.
    pub document: u64,
    /// Last entry of the log that it was made from, 0 for none.
    pub sequence: u64,
    /// Who asked for it, one line.
    pub who: String,
    /// When it was done, RFC 3339.
    pub when: String,
}

/// A computation that has not ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfinished {
    /// What it is; one of a kind for each engine.
    pub kind: String,
    /// Version of the document that it is made from.
    pub document: u64,
    /// Last entry of the log that it is made from, 0 for none.
    pub sequence: u64,
    /// Who asked for it.
    pub who: String,
    /// When it was begun, RFC 3339, as handed in.
    pub when: String,
    /// What was asked, as it was handed in.
    pub body: String,
}

/// A kept result without its body.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptInfo {
    /// The engine's id.
    pub engine: String,
    /// Number within the engine's results, from 1, without gaps.
    pub number: u64,
    /// What it is.
    pub kind: String,
    /// Version of the document that it was made from.
    pub document: u64,
    /// Last entry of the log that it was made from, 0 for none.
    pub sequence: u64,
    /// Who asked for it.
    pub who: String,
    /// When it was done, RFC 3339, as handed in.
    pub when: String,
    /// SHA-256 of the body.
    pub sha256: Digest,
}

/// A kept result.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Kept {
    /// All but the body.
    pub info: KeptInfo,
    /// The body as it was handed in.
    pub body: String,
}

/// The ends of an engine's two chains. Whoever noted them can tell later that nothing before them was changed or removed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Head {
    /// The engine's id.
    pub engine: String,
    /// How many log entries there are.
    pub entries: u64,
    /// Hash of the last entry, [`Digest::START`] when there is none.
    pub log: Digest,
    /// How many document versions there are.
    pub documents: u64,
    /// Hash of the last version, [`Digest::START`] when there is none.
    pub document: Digest,
}

/// For paper: the id, and each chain's length and last hash on a line.
impl fmt::Display for Head {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(formatter, "{}", self.engine)?;
        writeln!(formatter, "{:>6} log entries        last hash {}", self.entries, self.log.in_groups())?;
        writeln!(
            formatter,
            "{:>6} document versions  last hash {}",
            self.documents,
            self.document.in_groups()
        )
    }
}
