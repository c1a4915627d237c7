//! Import of an export: everything is read and checked before anything is written.

use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

use rusqlite::Connection;

use crate::check::{self, limits};
use crate::error::{Error, Fault, Result};
use crate::export::{self, Cover, LogLine};
use crate::record::{Document, DocumentInfo, Engine, Entry, Head, Kept, KeptInfo};
use crate::verify::{self, Walk};
use crate::{canonical, documents, engines, log, results};

/// An export that was read and whose chains hold.
pub(crate) struct Import {
    folder: PathBuf,
    engine: Engine,
    documents: Vec<Document>,
    entries: Vec<Entry>,
    results: Vec<Kept>,
    head: Head,
}

/// Reads and checks a whole export.
pub(crate) fn read(folder: &Path) -> Result<Import> {
    let path = folder.join(export::COVER);
    let cover = read_cover(&path)?;
    let (versions, documents) = read_documents(folder, &cover)?;
    let (log, entries) = read_log(folder, &cover)?;
    let head = verify::head_of(&cover.id, &log, &versions);
    if head != cover.head() {
        let problem = format!(
            "it notes {} log entries up to {} and {} document versions up to {}, but the files hold {} up to {} and {} up to {}",
            cover.entries,
            cover.log,
            cover.documents,
            cover.document,
            head.entries,
            head.log,
            head.documents,
            head.document
        );
        return Err(refused(&path, None, &problem));
    }
    let results = read_results(folder, &cover)?;
    Ok(Import { folder: folder.to_owned(), engine: cover.engine(), documents, entries, results, head })
}

/// Writes an export that was read into the store.
pub(crate) fn write(connection: &Connection, import: &Import) -> Result<Head> {
    engines::create(connection, &import.engine)?;
    import.documents.iter().try_for_each(|document| documents::insert(connection, document))?;
    import.entries.iter().try_for_each(|entry| log::insert(connection, entry))?;
    import.results.iter().try_for_each(|kept| results::insert(connection, kept))?;
    let head = verify::engine(connection, &import.engine.id)?;
    if head != import.head {
        return Err(refused(&import.folder, None, &"what was written does not read back as what was read"));
    }
    Ok(head)
}

fn refused(path: &Path, line: Option<u64>, problem: &dyn ToString) -> Error {
    Error::Import { path: path.to_owned(), line, problem: problem.to_string() }
}

fn read_cover(path: &Path) -> Result<Cover> {
    let text = read_text(path, limits::LINE as u64)?;
    let cover: Cover = serde_json::from_str(&text).map_err(|fault| refused(path, None, &fault))?;
    if cover.format != export::FORMAT {
        let problem = format!(
            "it has export format {}, but this program reads format {}",
            cover.format,
            export::FORMAT
        );
        return Err(refused(path, None, &problem));
    }
    let checks = || {
        check::engine_id(&cover.id)?;
        check::short("name", &cover.name)?;
        check::when(&cover.created)
    };
    checks().map_err(|fault| refused(path, None, &fault))?;
    Ok(cover)
}

fn read_documents(folder: &Path, cover: &Cover) -> Result<(Walk, Vec<Document>)> {
    let path = folder.join(export::DOCUMENTS);
    let mut walk = Walk::new();
    let mut documents = Vec::new();
    let mut left = limits::FILE;
    for line in lines(&path)? {
        let (number, text) = line?;
        let refuse = |problem: String| refused(&path, Some(number), &problem);
        let info: DocumentInfo = serde_json::from_str(&text).map_err(|fault| refuse(fault.to_string()))?;
        belongs(&info.engine, cover).map_err(refuse)?;
        // The number is checked before it names a file.
        if info.version != walk.count + 1 {
            let fault = Fault::OutOfOrder { expected: walk.count + 1, found: info.version };
            return Err(refuse(format!("document version {}: {fault}", info.version)));
        }
        let text = read_text(&folder.join(export::document_file(info.version)), limits::DOCUMENT as u64)?;
        left = left.checked_sub(text.len() as u64).ok_or_else(|| {
            refuse(format!("the document texts together are larger than {} bytes", limits::FILE))
        })?;
        walk.version(&info, &text)
            .map_err(|fault| refuse(format!("document version {}: {fault}", info.version)))?;
        check::document_fields(&info.who, &info.when, &info.note)
            .map_err(|fault| refuse(fault.to_string()))?;
        documents.push(Document { info, text });
    }
    Ok((walk, documents))
}

/// Results, where the export has any.
fn read_results(folder: &Path, cover: &Cover) -> Result<Vec<Kept>> {
    let path = folder.join(export::RESULTS);
    let mut kept = Vec::new();
    if !path.exists() {
        return Ok(kept);
    }
    let mut left = limits::FILE;
    for line in lines(&path)? {
        let (number, text) = line?;
        let refuse = |problem: String| refused(&path, Some(number), &problem);
        let info: KeptInfo = serde_json::from_str(&text).map_err(|fault| refuse(fault.to_string()))?;
        belongs(&info.engine, cover).map_err(refuse)?;
        // The number is checked before it names a file.
        let expected = kept.len() as u64 + 1;
        if info.number != expected {
            let fault = Fault::OutOfOrder { expected, found: info.number };
            return Err(refuse(format!("result {}: {fault}", info.number)));
        }
        check::result_fields(&info.kind, &info.who, &info.when).map_err(|fault| refuse(fault.to_string()))?;
        let body = read_text(&folder.join(export::result_file(info.number)), limits::RESULT as u64)?;
        left = left
            .checked_sub(body.len() as u64)
            .ok_or_else(|| refuse(format!("the results together are larger than {} bytes", limits::FILE)))?;
        let result = Kept { info, body };
        results::check(&result).map_err(|fault| refuse(fault.to_string()))?;
        kept.push(result);
    }
    Ok(kept)
}

fn read_log(folder: &Path, cover: &Cover) -> Result<(Walk, Vec<Entry>)> {
    let path = folder.join(export::LOG);
    let mut walk = Walk::new();
    let mut entries = Vec::new();
    for line in lines(&path)? {
        let (number, text) = line?;
        let refuse = |problem: String| refused(&path, Some(number), &problem);
        let line: LogLine = serde_json::from_str(&text).map_err(|fault| refuse(fault.to_string()))?;
        let entry = line.into_entry();
        belongs(&entry.engine, cover).map_err(refuse)?;
        walk.entry(&entry).map_err(|fault| refuse(format!("log entry {}: {fault}", entry.sequence)))?;
        check_entry(&entry).map_err(|fault| refuse(fault.to_string()))?;
        entries.push(entry);
    }
    Ok((walk, entries))
}

fn belongs(engine: &str, cover: &Cover) -> Result<(), String> {
    if engine == cover.id {
        return Ok(());
    }
    Err(format!("it belongs to engine \"{engine}\", but this is the export of \"{}\"", cover.id))
}

fn check_entry(entry: &Entry) -> Result<()> {
    check::entry_fields(&entry.kind, &entry.who, &entry.when, entry.delivery_key.as_deref())?;
    check::size("body", entry.body.len(), limits::BODY)?;
    if canonical::canonical_json(&entry.body)? != entry.body {
        return Err(Error::BodyNotJson { problem: "it is not in its canonical spelling".to_owned() });
    }
    Ok(())
}

/// A whole file of text.
fn read_text(path: &Path, most: u64) -> Result<String> {
    let mut bytes = Vec::new();
    let mut read = || open(path)?.take(most + 1).read_to_end(&mut bytes);
    read().map_err(|fault| refused(path, None, &fault))?;
    if bytes.len() as u64 > most {
        return Err(refused(path, None, &format!("it is larger than the {most} bytes that are taken")));
    }
    String::from_utf8(bytes).map_err(|fault| refused(path, None, &format!("it is no UTF-8 text ({fault})")))
}

fn open(path: &Path) -> std::io::Result<BufReader<File>> {
    Ok(BufReader::new(File::open(path)?))
}

/// The lines of a file with their numbers, none longer than [`limits::LINE`].
fn lines(path: &Path) -> Result<Lines> {
    let file = open(path).map_err(|fault| refused(path, None, &fault))?;
    let size = file.get_ref().metadata().map_err(|fault| refused(path, None, &fault))?.len();
    if size > limits::FILE {
        let problem = format!("it has {size} bytes where at most {} are taken", limits::FILE);
        return Err(refused(path, None, &problem));
    }
    Ok(Lines { path: path.to_owned(), file: file.take(limits::FILE), number: 0 })
}

struct Lines {
    path: PathBuf,
    file: std::io::Take<BufReader<File>>,
    number: u64,
}

impl Lines {
    fn next_line(&mut self) -> Result<Option<String>> {
        let mut bytes = Vec::new();
        let refuse = |problem: String| refused(&self.path, Some(self.number), &problem);
        let mut bounded = (&mut self.file).take(limits::LINE as u64 + 1);
        bounded.read_until(b'\n', &mut bytes).map_err(|fault| refuse(fault.to_string()))?;
        if bytes.is_empty() {
            return Ok(None);
        }
        if bytes.pop() != Some(b'\n') {
            let too_long = bytes.len() >= limits::LINE;
            return Err(refuse(if too_long {
                format!("the line is longer than the {} bytes that are taken", limits::LINE)
            } else {
                "the line is cut off: the file does not end with a line break".to_owned()
            }));
        }
        String::from_utf8(bytes).map(Some).map_err(|fault| refuse(format!("it is no UTF-8 text ({fault})")))
    }
}

impl Iterator for Lines {
    type Item = Result<(u64, String)>;

    fn next(&mut self) -> Option<Self::Item> {
        self.number += 1;
        let number = self.number;
        self.next_line().map(|line| line.map(|line| (number, line))).transpose()
    }
}
