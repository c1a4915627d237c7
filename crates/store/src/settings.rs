//! Small values of the program itself.

use rusqlite::{Connection, OptionalExtension};

use crate::error::{Error, Result};

pub(crate) fn get(connection: &Connection, key: &str) -> Result<Option<String>> {
    connection
        .prepare_cached("SELECT value FROM setting WHERE key = ?1")
        .and_then(|mut statement| statement.query_one([key], |row| row.get(0)).optional())
        .map_err(Error::database("reading a setting"))
}

/// `None` removes the setting.
pub(crate) fn set(connection: &Connection, key: &str, value: Option<&str>) -> Result<()> {
    let set = match value {
        Some(value) => {
            connection.execute("INSERT OR REPLACE INTO setting (key, value) VALUES (?1, ?2)", [key, value])
        }
        None => connection.execute("DELETE FROM setting WHERE key = ?1", [key]),
    };
    set.map(drop).map_err(Error::database("writing a setting"))
}
