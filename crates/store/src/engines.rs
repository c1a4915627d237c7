//! Engines: their ids and names.

use rusqlite::{Connection, OptionalExtension, Row};

use crate::error::{Error, Result};
use crate::record::Engine;

fn engine(row: &Row<'_>) -> rusqlite::Result<Engine> {
    Ok(Engine { id: row.get(0)?, name: row.get(1)?, created: row.get(2)? })
}

pub(crate) fn all(connection: &Connection) -> Result<Vec<Engine>> {
    let read = || {
        let mut statement = connection.prepare_cached("SELECT id, name, created FROM engine ORDER BY id")?;
        statement.query_map([], engine)?.collect::<rusqlite::Result<Vec<_>>>()
    };
    read().map_err(Error::database("listing the engines"))
}

pub(crate) fn find(connection: &Connection, id: &str) -> Result<Engine> {
    connection
        .prepare_cached("SELECT id, name, created FROM engine WHERE id = ?1")
        .and_then(|mut statement| statement.query_one([id], engine).optional())
        .map_err(Error::database("looking up an engine"))?
        .ok_or_else(|| Error::UnknownEngine { engine: id.to_owned() })
}

pub(crate) fn create(connection: &Connection, new: &Engine) -> Result<()> {
    match find(connection, &new.id) {
        Ok(engine) => return Err(Error::EngineExists { engine: engine.id }),
        Err(Error::UnknownEngine { .. }) => {}
        Err(other) => return Err(other),
    }
    connection
        .execute(
            "INSERT INTO engine (id, name, created) VALUES (?1, ?2, ?3)",
            [&new.id, &new.name, &new.created],
        )
        .map(drop)
        .map_err(Error::database("creating an engine"))
}

pub(crate) fn rename(connection: &Connection, id: &str, name: &str) -> Result<()> {
    let changed = connection
        .execute("UPDATE engine SET name = ?2 WHERE id = ?1", [id, name])
        .map_err(Error::database("renaming an engine"))?;
    if changed == 0 { Err(Error::UnknownEngine { engine: id.to_owned() }) } else { Ok(()) }
}
