//! Export of one engine as open text, and what an export consists of.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use crate::encoding::{Digest, Summer};
use crate::error::{Error, Result};
use crate::files::{self, Unfinished};
use crate::record::{Engine, Entry, Head};
use crate::{documents, engines, log, results, verify};

mod readme;

pub(crate) const COVER: &str = "engine.json";
pub(crate) const DOCUMENTS: &str = "documents.jsonl";
pub(crate) const LOG: &str = "log.jsonl";
pub(crate) const RESULTS: &str = "results.jsonl";
const README: &str = "README.txt";
const SUMS: &str = "SHA256SUMS";
const VERIFIER: &str = "verify.py";

/// The format of an export that this program writes and reads.
pub(crate) const FORMAT: u32 = 1;

/// `engine.json`: the engine, and where its chains end.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Cover {
    pub(crate) format: u32,
    pub(crate) id: String,
    pub(crate) name: String,
    pub(crate) created: String,
    pub(crate) entries: u64,
    pub(crate) log: Digest,
    pub(crate) documents: u64,
    pub(crate) document: Digest,
}

impl Cover {
    fn new(engine: &Engine, head: &Head) -> Self {
        let Engine { id, name, created } = engine.clone();
        let &Head { entries, log, documents, document, .. } = head;
        Self { format: FORMAT, id, name, created, entries, log, documents, document }
    }

    pub(crate) fn engine(&self) -> Engine {
        Engine { id: self.id.clone(), name: self.name.clone(), created: self.created.clone() }
    }

    pub(crate) fn head(&self) -> Head {
        let &Self { entries, log, documents, document, .. } = self;
        Head { engine: self.id.clone(), entries, log, documents, document }
    }
}

/// A line of `log.jsonl`. The body stands last and as it is, so that it can be cut out of the line.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct LogLine {
    engine: String,
    sequence: u64,
    kind: String,
    who: String,
    when: String,
    delivery_key: Option<String>,
    previous: Digest,
    hash: Digest,
    body: Box<RawValue>,
}

impl LogLine {
    fn new(entry: &Entry) -> Result<Self> {
        let Entry { engine, sequence, kind, body, who, when, delivery_key, previous, hash } = entry.clone();
        let body =
            RawValue::from_string(body).map_err(|fault| Error::BodyNotJson { problem: fault.to_string() })?;
        Ok(Self { engine, sequence, kind, who, when, delivery_key, previous, hash, body })
    }

    pub(crate) fn into_entry(self) -> Entry {
        let Self { engine, sequence, kind, who, when, delivery_key, previous, hash, body } = self;
        let body = String::from(Box::<str>::from(body));
        Entry { engine, sequence, kind, body, who, when, delivery_key, previous, hash }
    }
}

/// The name of the file that holds the text of a document version.
pub(crate) fn document_file(version: u64) -> String {
    format!("document-{version}.toml")
}

/// The name of the file that holds the body of a result.
pub(crate) fn result_file(number: u64) -> String {
    format!("result-{number}.json")
}

/// What was exported.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ExportReport {
    /// The folder.
    pub folder: PathBuf,
    /// The names of the files in it.
    pub files: Vec<String>,
    /// The ends of the chains, as walked before they were written.
    pub head: Head,
}

/// Writes an engine into an empty or new folder. A broken chain is not exported.
pub(crate) fn write(connection: &Connection, id: &str, folder: &Path) -> Result<ExportReport> {
    let engine = engines::find(connection, id)?;
    let head = verify::engine(connection, id)?;
    files::must_be_empty(folder)?;
    let mut export = Export { folder, unfinished: Unfinished::folder(folder)?, written: Vec::new() };

    let versions = documents::versions(connection, id)?;
    for info in &versions {
        let text = documents::version(connection, id, info.version)?.text;
        export.file(&document_file(info.version), |file| file.write_all(text.as_bytes()))?;
    }
    export.file(DOCUMENTS, |file| versions.iter().try_for_each(|info| write_line(file, info)))?;

    let entries = log::after(connection, id, 0)?;
    let lines: Vec<LogLine> = entries.iter().map(LogLine::new).collect::<Result<_>>()?;
    export.file(LOG, |file| lines.iter().try_for_each(|line| write_line(file, line)))?;

    // Where nothing was computed the export is as it was before there were results.
    let kept = results::all(connection, id)?;
    for info in &kept {
        let body = results::one(connection, id, info.number)?.body;
        export.file(&result_file(info.number), |file| file.write_all(body.as_bytes()))?;
    }
    if !kept.is_empty() {
        export.file(RESULTS, |file| kept.iter().try_for_each(|info| write_line(file, info)))?;
    }

    let readme = readme::text(&engine, &head, &versions, &entries);
    export.file(README, |file| file.write_all(readme.as_bytes()))?;
    export.file(VERIFIER, |file| file.write_all(include_bytes!("verify.py")))?;
    let cover = Cover::new(&engine, &head);
    export.file(COVER, |file| {
        serde_json::to_writer_pretty(&mut *file, &cover)?;
        file.write_all(b"\n")
    })?;
    export.finish(head)
}

fn write_line(file: &mut impl Write, line: &impl Serialize) -> std::io::Result<()> {
    serde_json::to_writer(&mut *file, line)?;
    file.write_all(b"\n")
}

struct Export<'a> {
    folder: &'a Path,
    unfinished: Unfinished,
    written: Vec<(String, Digest)>,
}

impl Export<'_> {
    /// Writes a file of the export, flushes it, and notes its SHA-256.
    fn file(&mut self, name: &str, write: impl FnOnce(&mut Summing) -> std::io::Result<()>) -> Result<()> {
        let path = self.folder.join(name);
        self.unfinished.file(path.clone());
        let write = || {
            let mut file = Summing::create(&path)?;
            write(&mut file)?;
            file.finish()
        };
        let sum = write().map_err(Error::io("write", &path))?;
        self.written.push((name.to_owned(), sum));
        Ok(())
    }

    fn finish(mut self, head: Head) -> Result<ExportReport> {
        let sums = self.written.clone();
        self.file(SUMS, |file| sums.iter().try_for_each(|(name, sum)| writeln!(file, "{sum}  {name}")))?;
        files::sync_folder(self.folder)?;
        self.unfinished.keep();
        let files = self.written.into_iter().map(|(name, _)| name).collect();
        Ok(ExportReport { folder: self.folder.to_owned(), files, head })
    }
}

/// A file that sums up what is written to it.
struct Summing {
    file: BufWriter<File>,
    sum: Summer,
}

impl Summing {
    fn create(path: &Path) -> std::io::Result<Self> {
        Ok(Self { file: BufWriter::new(File::create_new(path)?), sum: Summer::default() })
    }

    fn finish(self) -> std::io::Result<Digest> {
        let file = self.file.into_inner().map_err(std::io::IntoInnerError::into_error)?;
        file.sync_all()?;
        Ok(self.sum.finish())
    }
}

impl Write for Summing {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let written = self.file.write(bytes)?;
        self.sum.add(&bytes[..written]);
        Ok(written)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.file.flush()
    }
}
