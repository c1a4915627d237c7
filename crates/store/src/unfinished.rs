//! Computations that have not ended, with their finished parts: a stop or a killed program loses the part in work, no more.

use rusqlite::{Connection, params};

use crate::documents::unsigned;
use crate::engines;
use crate::error::{Error, Result};
use crate::record::{ResultDraft, Unfinished};

/// Begins one; another one of its kind is dropped.
pub(crate) fn begin(connection: &Connection, engine: &str, draft: &ResultDraft) -> Result<()> {
    engines::find(connection, engine)?;
    drop_one(connection, engine, &draft.kind)?;
    let add = || {
        connection
            .prepare_cached(
                r#"INSERT INTO unfinished (engine, kind, document, sequence, who, "when", body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)"#,
            )?
            .execute(params![
                engine,
                draft.kind,
                draft.document.cast_signed(),
                draft.sequence.cast_signed(),
                draft.who,
                draft.when,
                draft.body
            ])
    };
    add().map(drop).map_err(Error::database("beginning a computation"))
}

/// Keeps parts; one of the same name is replaced. Nothing is kept of a computation that was dropped meanwhile.
pub(crate) fn keep_parts(
    connection: &Connection,
    engine: &str,
    kind: &str,
    parts: &[(String, String)],
) -> Result<()> {
    let add = || -> rusqlite::Result<()> {
        let mut insert = connection.prepare_cached(
            "INSERT OR REPLACE INTO unfinished_part (engine, kind, name, body) \
             SELECT ?1, ?2, ?3, ?4 WHERE EXISTS (SELECT 1 FROM unfinished WHERE engine = ?1 AND kind = ?2)",
        )?;
        for (name, body) in parts {
            insert.execute(params![engine, kind, name, body])?;
        }
        Ok(())
    };
    add().map_err(Error::database("keeping parts of a computation"))
}

/// Those of an engine, in the order in which they were begun.
pub(crate) fn all(connection: &Connection, engine: &str) -> Result<Vec<Unfinished>> {
    engines::find(connection, engine)?;
    let read = || {
        connection
            .prepare_cached(
                r#"SELECT kind, document, sequence, who, "when", body FROM unfinished WHERE engine = ?1 ORDER BY "when", kind"#,
            )?
            .query_map([engine], |row| {
                Ok(Unfinished {
                    kind: row.get(0)?,
                    document: unsigned(row.get(1)?, 1)?,
                    sequence: unsigned(row.get(2)?, 2)?,
                    who: row.get(3)?,
                    when: row.get(4)?,
                    body: row.get(5)?,
                })
            })?
            .collect::<rusqlite::Result<Vec<_>>>()
    };
    read().map_err(Error::database("listing the computations that have not ended"))
}

/// Names and bodies of its parts, by name.
pub(crate) fn parts(connection: &Connection, engine: &str, kind: &str) -> Result<Vec<(String, String)>> {
    let read = || {
        connection
            .prepare_cached(
                "SELECT name, body FROM unfinished_part WHERE engine = ?1 AND kind = ?2 ORDER BY name",
            )?
            .query_map([engine, kind], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<rusqlite::Result<Vec<_>>>()
    };
    read().map_err(Error::database("reading the parts of a computation"))
}

/// Drops one with its parts; nothing happens where there is none.
pub(crate) fn drop_one(connection: &Connection, engine: &str, kind: &str) -> Result<()> {
    let drop = || -> rusqlite::Result<()> {
        for table in ["unfinished_part", "unfinished"] {
            connection
                .execute(&format!("DELETE FROM {table} WHERE engine = ?1 AND kind = ?2"), [engine, kind])?;
        }
        Ok(())
    };
    drop().map_err(Error::database("dropping a computation that has not ended"))
}
