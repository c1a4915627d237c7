//! The log: entries are appended, each tied to the one before; none is changed.

use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::documents::unsigned;
use crate::encoding::Digest;
use crate::engines;
use crate::error::{Error, Result};
use crate::record::{Draft, Entry};

/// The columns of [`entry`], in its order.
pub(crate) const COLUMNS: &str = r#"engine, sequence, kind, body, who, "when", delivery_key, previous, hash"#;

pub(crate) fn entry(row: &Row<'_>) -> rusqlite::Result<Entry> {
    Ok(Entry {
        engine: row.get(0)?,
        sequence: unsigned(row.get(1)?, 1)?,
        kind: row.get(2)?,
        body: row.get(3)?,
        who: row.get(4)?,
        when: row.get(5)?,
        delivery_key: row.get(6)?,
        previous: row.get(7)?,
        hash: row.get(8)?,
    })
}

/// Number and hash of the last entry, 0 and [`Digest::START`] when there is none.
pub(crate) fn last_link(connection: &Connection, engine: &str) -> Result<(u64, Digest)> {
    let select = "SELECT sequence, hash FROM log WHERE engine = ?1 ORDER BY sequence DESC LIMIT 1";
    let link = connection
        .prepare_cached(select)
        .and_then(|mut statement| {
            statement.query_one([engine], |row| Ok((unsigned(row.get(0)?, 0)?, row.get(1)?))).optional()
        })
        .map_err(Error::database("looking up the last log entry"))?;
    Ok(link.unwrap_or((0, Digest::START)))
}

pub(crate) fn after(connection: &Connection, engine: &str, sequence: u64) -> Result<Vec<Entry>> {
    engines::find(connection, engine)?;
    let read = || {
        let select =
            format!("SELECT {COLUMNS} FROM log WHERE engine = ?1 AND sequence > ?2 ORDER BY sequence");
        let after = i64::try_from(sequence).unwrap_or(i64::MAX);
        connection
            .prepare_cached(&select)?
            .query_map(params![engine, after], entry)?
            .collect::<rusqlite::Result<Vec<_>>>()
    };
    read().map_err(Error::database("reading the log"))
}

/// The hash of one entry, which must be there.
pub(crate) fn hash(connection: &Connection, engine: &str, sequence: u64) -> Result<Digest> {
    connection
        .query_one(
            "SELECT hash FROM log WHERE engine = ?1 AND sequence = ?2",
            params![engine, sequence.cast_signed()],
            |row| row.get(0),
        )
        .map_err(Error::database("reading the hash of a log entry"))
}

/// Appends drafts whose bodies are canonical, in their order; returns for each the entry that keeps it.
pub(crate) fn append(connection: &Connection, engine: &str, drafts: Vec<Draft>) -> Result<Vec<Entry>> {
    engines::find(connection, engine)?;
    let (mut sequence, mut previous) = last_link(connection, engine)?;
    let mut kept = Vec::with_capacity(drafts.len());
    for draft in drafts {
        if let Some(first) = delivered_before(connection, engine, &draft)? {
            kept.push(first);
            continue;
        }
        let entry = Entry::continuing(engine, sequence + 1, previous, draft);
        insert(connection, &entry)?;
        (sequence, previous) = (entry.sequence, entry.hash);
        kept.push(entry);
    }
    Ok(kept)
}

/// The entry that the draft's delivery key brought already. Who and when may differ: the same entry
/// may be delivered again later and by another person at the same tablet.
fn delivered_before(connection: &Connection, engine: &str, draft: &Draft) -> Result<Option<Entry>> {
    let Some(key) = &draft.delivery_key else { return Ok(None) };
    let find = || {
        let select = format!("SELECT {COLUMNS} FROM log WHERE engine = ?1 AND delivery_key = ?2");
        connection.prepare_cached(&select)?.query_one([engine, key], entry).optional()
    };
    let first = find().map_err(Error::database("looking up a delivery key"))?;
    match first {
        Some(first) if first.kind != draft.kind || first.body != draft.body => {
            Err(Error::DeliveryKeyReused {
                engine: engine.to_owned(),
                key: key.clone(),
                sequence: first.sequence,
            })
        }
        first => Ok(first),
    }
}

pub(crate) fn insert(connection: &Connection, entry: &Entry) -> Result<()> {
    let add = || {
        let insert = format!("INSERT INTO log ({COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)");
        connection.prepare_cached(&insert)?.execute(params![
            entry.engine,
            entry.sequence.cast_signed(),
            entry.kind,
            entry.body,
            entry.who,
            entry.when,
            entry.delivery_key,
            entry.previous,
            entry.hash,
        ])
    };
    add().map(drop).map_err(Error::database("appending to the log"))
}
