//! Walks the chains and names the first link that does not hold.
//!
//! Rows are read defensively: whatever somebody wrote into the file with another tool becomes a named
//! fault, never a failure of the walk.

use rusqlite::{Connection, Row};

use crate::encoding::Digest;
use crate::error::{Chain, Error, Fault, Result};
use crate::record::{DocumentInfo, Entry, Head};
use crate::{documents, engines, log, results};

/// A chain as far as it was walked: how many links hold, and the hash of the last.
pub(crate) struct Walk {
    pub(crate) count: u64,
    pub(crate) last: Digest,
}

impl Walk {
    pub(crate) fn new() -> Self {
        Self { count: 0, last: Digest::START }
    }

    /// Checks that a record continues the chain and carries its own hash.
    fn step(&mut self, number: u64, previous: Digest, stored: Digest, encoded: &str) -> Result<(), Fault> {
        let expected = self.count + 1;
        if number != expected {
            return Err(Fault::OutOfOrder { expected, found: number });
        }
        if previous != self.last {
            return Err(Fault::PreviousDiffers {
                expected: self.last.to_string(),
                stored: previous.to_string(),
            });
        }
        let computed = Digest::of(encoded);
        if computed != stored {
            return Err(Fault::HashDiffers { computed: computed.to_string(), stored: stored.to_string() });
        }
        (self.count, self.last) = (expected, stored);
        Ok(())
    }

    pub(crate) fn entry(&mut self, entry: &Entry) -> Result<(), Fault> {
        self.step(entry.sequence, entry.previous, entry.hash, &entry.encoded())
    }

    pub(crate) fn version(&mut self, info: &DocumentInfo, text: &str) -> Result<(), Fault> {
        let computed = Digest::of(text);
        if computed != info.sha256 {
            return Err(Fault::TextDiffers {
                computed: computed.to_string(),
                stored: info.sha256.to_string(),
            });
        }
        self.step(info.version, info.previous, info.hash, &info.encoded())
    }
}

/// Walks the rows of one chain.
fn walk(
    connection: &Connection,
    engine: &str,
    chain: Chain,
    select: &str,
    check: impl Fn(&mut Walk, &Row<'_>) -> Result<(), Fault>,
) -> Result<Walk> {
    let failed = || Error::database("verifying");
    let mut walk = Walk::new();
    let mut statement = connection.prepare(select).map_err(failed())?;
    let mut rows = statement.query([engine]).map_err(failed())?;
    while let Some(row) = rows.next().map_err(failed())? {
        let number = walk.count + 1;
        check(&mut walk, row).map_err(|fault| broken(engine, chain, number, fault))?;
    }
    Ok(walk)
}

fn broken(engine: &str, chain: Chain, number: u64, fault: Fault) -> Error {
    Error::Broken { engine: engine.to_owned(), chain, number, fault }
}

/// Walks both chains of an engine and returns their ends.
pub(crate) fn engine(connection: &Connection, engine: &str) -> Result<Head> {
    engines::find(connection, engine)?;
    let select = format!("SELECT {} FROM log WHERE engine = ?1 ORDER BY sequence", log::COLUMNS);
    let entries = walk(connection, engine, Chain::Log, &select, |walk, row| walk.entry(&log::entry(row)?))?;

    let columns = documents::COLUMNS;
    let select = format!("SELECT {columns}, text FROM document WHERE engine = ?1 ORDER BY version");
    let versions = walk(connection, engine, Chain::Document, &select, |walk, row| {
        let text: String = row.get(9)?;
        walk.version(&documents::info(row)?, &text)
    })?;
    // A file of an older format has no results.
    if has_results(connection)? {
        results::check_all(connection, engine)?;
    }
    Ok(head_of(engine, &entries, &versions))
}

fn has_results(connection: &Connection) -> Result<bool> {
    let select = "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = 'result'";
    connection
        .query_one(select, [], |row| row.get::<_, i64>(0).map(|n| n > 0))
        .map_err(Error::database("verifying"))
}

/// The ends of two walked chains.
pub(crate) fn head_of(engine: &str, entries: &Walk, versions: &Walk) -> Head {
    Head {
        engine: engine.to_owned(),
        entries: entries.count,
        log: entries.last,
        documents: versions.count,
        document: versions.last,
    }
}

pub(crate) fn all(connection: &Connection) -> Result<Vec<Head>> {
    engines::all(connection)?.iter().map(|each| engine(connection, &each.id)).collect()
}

/// The ends of the chains as they are stored, without walking them.
pub(crate) fn head(connection: &Connection, engine: &str) -> Result<Head> {
    engines::find(connection, engine)?;
    let (entries, log) = log::last_link(connection, engine)?;
    let (documents, document) = documents::latest_link(connection, engine)?.unwrap_or((0, Digest::START));
    Ok(Head { engine: engine.to_owned(), entries, log, documents, document })
}

pub(crate) fn heads(connection: &Connection) -> Result<Vec<Head>> {
    engines::all(connection)?.iter().map(|each| head(connection, &each.id)).collect()
}

/// Walks the chains and checks that one record carries the hash that was noted for it.
pub(crate) fn noted(
    connection: &Connection,
    id: &str,
    chain: Chain,
    number: u64,
    noted: &str,
) -> Result<Head> {
    let head = engine(connection, id)?;
    let last = match chain {
        Chain::Log => head.entries,
        Chain::Document => head.documents,
    };
    if number < 1 || number > last {
        return Err(broken(id, chain, number, Fault::Missing { last }));
    }
    let stored = match chain {
        Chain::Log => log::hash(connection, id, number)?,
        Chain::Document => documents::version(connection, id, number)?.info.hash,
    };
    let digits: String = noted.chars().filter(|digit| !digit.is_whitespace()).collect();
    if digits.eq_ignore_ascii_case(&stored.to_string()) {
        return Ok(head);
    }
    Err(broken(id, chain, number, Fault::NotAsNoted { noted: digits, stored: stored.to_string() }))
}
