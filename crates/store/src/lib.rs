//! The store: one folder that keeps engines, every version of their documents, and an append-only,
//! hash-chained log of what was read, done and signed.
//!
//! **Invariant.** This crate knows nothing of engines, readings or findings: a log body is opaque
//! canonical JSON text, a document is opaque text, and the crate depends on none of ours. The
//! domain may evolve without moving the store, and the store cannot misread the domain.
//!
//! Further rules that hold everywhere:
//! * No clock: each time is an RFC 3339 text handed in by the caller.
//! * One door for writing: a single thread owns the writing connection. A method that writes returns
//!   only after the commit, with the journal flushed to the disk (`synchronous = FULL`).
//! * All methods block; an asynchronous caller runs them on a thread made for blocking work.
//!
//! ```
//! use store::{DocumentDraft, Draft, Store};
//! # let folder = tempfile::tempdir()?;
//! let store = Store::open(folder.path())?;
//! store.create_engine("hill-climb", "Hill-climb four", "2026-03-01T09:00:00Z")?;
//! store.save_document("hill-climb", None, DocumentDraft {
//!     text: "format = 1\n".into(),
//!     who: "Ada".into(),
//!     when: "2026-03-01T09:01:00Z".into(),
//!     note: "first sheet".into(),
//! })?;
//! let entry = store.append("hill-climb", Draft {
//!     kind: "reading".into(),
//!     body: r#"{"feature": "block.bore.3.mid.thrust", "value": "89.101 mm"}"#.into(),
//!     who: "Ada".into(),
//!     when: "2026-03-01T09:02:00Z".into(),
//!     delivery_key: Some("tablet-1/17".into()),
//! })?;
//! assert_eq!(entry.sequence, 1);
//! store.verify("hill-climb")?;
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod backup;
mod canonical;
mod check;
mod documents;
mod encoding;
mod engines;
mod error;
mod export;
mod files;
mod import;
mod log;
mod record;
mod results;
mod schema;
mod settings;
mod store;
mod unfinished;
mod verify;
mod writer;

pub use backup::BackupReport;
pub use canonical::canonical_json;
pub use check::limits;
pub use encoding::{Digest, EncodingFault, decode_fields, encode_fields};
pub use error::{Chain, Error, Fault, Result};
pub use export::ExportReport;
pub use record::{
    Document, DocumentDraft, DocumentInfo, Draft, Engine, Entry, Head, Kept, KeptInfo, ResultDraft,
    Unfinished,
};
pub use store::Store;
