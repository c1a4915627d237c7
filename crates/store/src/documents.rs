//! Document versions: every one is kept, none is changed.

use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::encoding::Digest;
use crate::engines;
use crate::error::{Error, Result};
use crate::record::{Document, DocumentDraft, DocumentInfo};

/// The columns of [`info`], in its order.
pub(crate) const COLUMNS: &str = r#"engine, version, sha256, who, "when", based_on, note, previous, hash"#;

pub(crate) fn info(row: &Row<'_>) -> rusqlite::Result<DocumentInfo> {
    Ok(DocumentInfo {
        engine: row.get(0)?,
        version: unsigned(row.get(1)?, 1)?,
        sha256: row.get(2)?,
        who: row.get(3)?,
        when: row.get(4)?,
        based_on: row.get::<_, Option<i64>>(5)?.map(|number| unsigned(number, 5)).transpose()?,
        note: row.get(6)?,
        previous: row.get(7)?,
        hash: row.get(8)?,
    })
}

/// `SQLite` knows signed numbers only; ours start at 1.
pub(crate) fn unsigned(number: i64, column: usize) -> rusqlite::Result<u64> {
    u64::try_from(number).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(column, number))
}

pub(crate) fn versions(connection: &Connection, engine: &str) -> Result<Vec<DocumentInfo>> {
    engines::find(connection, engine)?;
    let read = || {
        let select = format!("SELECT {COLUMNS} FROM document WHERE engine = ?1 ORDER BY version");
        connection.prepare_cached(&select)?.query_map([engine], info)?.collect::<rusqlite::Result<Vec<_>>>()
    };
    read().map_err(Error::database("listing the document versions"))
}

/// Number and hash of the latest version.
pub(crate) fn latest_link(connection: &Connection, engine: &str) -> Result<Option<(u64, Digest)>> {
    let select = "SELECT version, hash FROM document WHERE engine = ?1 ORDER BY version DESC LIMIT 1";
    connection
        .prepare_cached(select)
        .and_then(|mut statement| {
            statement.query_one([engine], |row| Ok((unsigned(row.get(0)?, 0)?, row.get(1)?))).optional()
        })
        .map_err(Error::database("looking up the latest document version"))
}

pub(crate) fn latest(connection: &Connection, engine: &str) -> Result<Option<Document>> {
    engines::find(connection, engine)?;
    let Some((number, _)) = latest_link(connection, engine)? else { return Ok(None) };
    version(connection, engine, number).map(Some)
}

pub(crate) fn version(connection: &Connection, engine: &str, version: u64) -> Result<Document> {
    engines::find(connection, engine)?;
    let read = || {
        let select = format!("SELECT {COLUMNS}, text FROM document WHERE engine = ?1 AND version = ?2");
        let mut statement = connection.prepare_cached(&select)?;
        let number = i64::try_from(version).unwrap_or(i64::MAX);
        statement
            .query_one(params![engine, number], |row| Ok(Document { info: info(row)?, text: row.get(9)? }))
            .optional()
    };
    read()
        .map_err(Error::database("reading a document version"))?
        .ok_or_else(|| Error::UnknownVersion { engine: engine.to_owned(), version })
}

pub(crate) fn save(
    connection: &Connection,
    engine: &str,
    based_on: Option<u64>,
    draft: DocumentDraft,
) -> Result<DocumentInfo> {
    engines::find(connection, engine)?;
    let latest = latest_link(connection, engine)?;
    let number = latest.map(|(version, _)| version);
    if based_on != number {
        return Err(Error::Conflict { engine: engine.to_owned(), based_on, latest: number });
    }
    let document = Document::continuing(engine, latest, draft);
    insert(connection, &document)?;
    Ok(document.info)
}

pub(crate) fn insert(connection: &Connection, document: &Document) -> Result<()> {
    let Document { info, text } = document;
    let add = || {
        let insert = format!(
            "INSERT INTO document ({COLUMNS}, text) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)"
        );
        connection.prepare_cached(&insert)?.execute(params![
            info.engine,
            info.version.cast_signed(),
            info.sha256,
            info.who,
            info.when,
            info.based_on.map(u64::cast_signed),
            info.note,
            info.previous,
            info.hash,
            text,
        ])
    };
    add().map(drop).map_err(Error::database("saving a document version"))
}
