//! Results of computations: opaque JSON text, kept beside the record that they were made from.
//!
//! A result is no evidence, so it stands in no chain; its SHA-256 shows whether it is still as it was kept.

use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::documents::unsigned;
use crate::encoding::Digest;
use crate::engines;
use crate::error::{Error, Result};
use crate::record::{Kept, KeptInfo, ResultDraft};

const COLUMNS: &str = r#"engine, number, kind, document, sequence, who, "when", sha256"#;

fn info(row: &Row<'_>) -> rusqlite::Result<KeptInfo> {
    Ok(KeptInfo {
        engine: row.get(0)?,
        number: unsigned(row.get(1)?, 1)?,
        kind: row.get(2)?,
        document: unsigned(row.get(3)?, 3)?,
        sequence: unsigned(row.get(4)?, 4)?,
        who: row.get(5)?,
        when: row.get(6)?,
        sha256: row.get(7)?,
    })
}

/// All results of an engine without their bodies, the first one first.
pub(crate) fn all(connection: &Connection, engine: &str) -> Result<Vec<KeptInfo>> {
    engines::find(connection, engine)?;
    let read = || {
        let select = format!("SELECT {COLUMNS} FROM result WHERE engine = ?1 ORDER BY number");
        connection.prepare_cached(&select)?.query_map([engine], info)?.collect::<rusqlite::Result<Vec<_>>>()
    };
    read().map_err(Error::database("listing the results"))
}

/// One result; refuses a body that is no longer what was kept.
pub(crate) fn one(connection: &Connection, engine: &str, number: u64) -> Result<Kept> {
    engines::find(connection, engine)?;
    let read = || {
        let select = format!("SELECT {COLUMNS}, body FROM result WHERE engine = ?1 AND number = ?2");
        let wanted = i64::try_from(number).unwrap_or(i64::MAX);
        connection
            .prepare_cached(&select)?
            .query_one(params![engine, wanted], |row| Ok(Kept { info: info(row)?, body: row.get(8)? }))
            .optional()
    };
    let kept = read()
        .map_err(Error::database("reading a result"))?
        .ok_or_else(|| Error::UnknownResult { engine: engine.to_owned(), number })?;
    check(&kept)?;
    Ok(kept)
}

/// Is the body what was kept?
pub(crate) fn check(kept: &Kept) -> Result<()> {
    let computed = Digest::of(&kept.body);
    if computed == kept.info.sha256 {
        return Ok(());
    }
    Err(Error::ResultChanged {
        engine: kept.info.engine.clone(),
        number: kept.info.number,
        computed: computed.to_string(),
        stored: kept.info.sha256.to_string(),
    })
}

/// Reads every result of an engine back.
pub(crate) fn check_all(connection: &Connection, engine: &str) -> Result<()> {
    all(connection, engine)?.iter().try_for_each(|info| one(connection, engine, info.number).map(drop))
}

/// Keeps a result under the next number.
pub(crate) fn keep(connection: &Connection, engine: &str, draft: ResultDraft) -> Result<KeptInfo> {
    engines::find(connection, engine)?;
    let next: i64 = connection
        .prepare_cached("SELECT COALESCE(MAX(number), 0) + 1 FROM result WHERE engine = ?1")
        .and_then(|mut statement| statement.query_one([engine], |row| row.get(0)))
        .map_err(Error::database("numbering a result"))?;
    let number = unsigned(next, 0).map_err(Error::database("numbering a result"))?;
    let ResultDraft { kind, body, document, sequence, who, when } = draft;
    let sha256 = Digest::of(&body);
    let info = KeptInfo { engine: engine.to_owned(), number, kind, document, sequence, who, when, sha256 };
    let kept = Kept { info, body };
    insert(connection, &kept)?;
    Ok(kept.info)
}

/// Writes a result as it is.
pub(crate) fn insert(connection: &Connection, kept: &Kept) -> Result<()> {
    let Kept { info, body } = kept;
    let add = || {
        let insert =
            format!("INSERT INTO result ({COLUMNS}, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)");
        connection.prepare_cached(&insert)?.execute(params![
            info.engine,
            info.number.cast_signed(),
            info.kind,
            info.document.cast_signed(),
            info.sequence.cast_signed(),
            info.who,
            info.when,
            info.sha256,
            body,
        ])
    };
    add().map(drop).map_err(Error::database("keeping a result"))
}
