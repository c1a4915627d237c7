//! The database file: how it is opened, and the numbered migrations that bring it up to date.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use crate::error::{Error, Result};

/// The name of the database within its folder.
pub(crate) const DATABASE: &str = "crosshatch.sqlite";

/// Marks a file as ours ("CRXH" in ASCII), `SQLite`'s `application_id`.
const APPLICATION_ID: i64 = 0x4352_5848;

/// The migrations in their order; `user_version` counts those that a file has been through. One that
/// was released is never edited, removed or moved: add another at the end.
const MIGRATIONS: [&str; LATEST as usize] = [
    include_str!("../migrations/0001_records.sql"),
    include_str!("../migrations/0002_settings.sql"),
    include_str!("../migrations/0003_results.sql"),
    include_str!("../migrations/0004_unfinished.sql"),
];

/// The `user_version` of an up-to-date file.
const LATEST: i64 = 4;

/// How long a connection waits for another one of this program.
const BUSY_TIMEOUT: Duration = Duration::from_secs(10);

/// Opens the one connection that writes; creates or migrates the file.
pub(crate) fn open_writer(path: &Path) -> Result<Connection> {
    let mut connection = Connection::open(path).map_err(|source| unreadable(path, source))?;
    identify(&connection, path)?;
    configure(&connection)?;
    // These last in the file (journal mode) or for the connection, and cannot be set inside a transaction.
    let mode: String = connection
        .pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0))
        .map_err(Error::database("switching to the write-ahead log"))?;
    if mode != "wal" {
        let why = format!("its file system gives journal mode \"{mode}\" where a write-ahead log is needed");
        return Err(Error::NotAStore { path: path.to_owned(), why });
    }
    migrate(&mut connection, path, LATEST)?;
    flush_left_over(&connection)?;
    Ok(connection)
}

/// Brings what a killed program left in the write-ahead log safely into the database. A commit may stand
/// there that was written but not flushed; everyone sees it from now on, and a repeated delivery of it
/// would be called saved without a further commit.
fn flush_left_over(connection: &Connection) -> Result<()> {
    connection
        .query_one("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .map_err(Error::database("flushing what an earlier run left"))
}

/// Is the file ours and of the latest format? Refuses what is not ours or is newer.
pub(crate) fn is_up_to_date(path: &Path) -> Result<bool> {
    let connection = open_reader(path)?;
    Ok(identify(&connection, path)? == LATEST)
}

/// Opens a connection that only reads, beside the writer.
pub(crate) fn open_reader(path: &Path) -> Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection =
        Connection::open_with_flags(path, flags).map_err(Error::database("opening a reading connection"))?;
    configure(&connection)?;
    connection
        .pragma_update(None, "query_only", true)
        .map_err(Error::database("opening a reading connection"))?;
    Ok(connection)
}

/// Opens a single file that stands alone (a copy): no write-ahead log beside it.
pub(crate) fn open_alone(path: &Path) -> Result<Connection> {
    let connection = Connection::open(path).map_err(|source| unreadable(path, source))?;
    configure(&connection)?;
    Ok(connection)
}

/// Opens a backup that is to be copied, without writing to it, and refuses one that is not ours or is empty.
pub(crate) fn open_source(path: &Path) -> Result<Connection> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(|source| unreadable(path, source))?;
    if identify(&connection, path)? == 0 {
        return Err(Error::NotAStore { path: path.to_owned(), why: "it is empty".to_owned() });
    }
    Ok(connection)
}

fn configure(connection: &Connection) -> Result<()> {
    let set = || -> rusqlite::Result<()> {
        connection.busy_timeout(BUSY_TIMEOUT)?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        // Where the system has a stronger flush than fsync (macOS), use it; elsewhere without effect.
        connection.pragma_update(None, "fullfsync", true)?;
        connection.pragma_update(None, "checkpoint_fullfsync", true)?;
        connection.pragma_update(None, "foreign_keys", true)?;
        connection.pragma_update(None, "recursive_triggers", true)?;
        connection.pragma_update(None, "trusted_schema", false)
    };
    set().map_err(Error::database("setting up a connection"))
}

fn unreadable(path: &Path, source: rusqlite::Error) -> Error {
    if source.sqlite_error_code() == Some(rusqlite::ErrorCode::NotADatabase) {
        return Error::NotAStore { path: path.to_owned(), why: "it is no SQLite database".to_owned() };
    }
    if source.sqlite_error_code() == Some(rusqlite::ErrorCode::DatabaseCorrupt) {
        return Error::Damaged { path: path.to_owned(), problem: source.to_string() };
    }
    Error::Database { doing: "opening the database", source }
}

/// Refuses a file that is not ours or is newer, before anything in it is changed. Returns its `user_version`,
/// 0 for a file that is new.
fn identify(connection: &Connection, path: &Path) -> Result<i64> {
    let number = |pragma: &str| connection.pragma_query_value(None, pragma, |row| row.get::<_, i64>(0));
    let tables = "SELECT count(*) FROM sqlite_schema";
    let read = || {
        Ok((
            number("application_id")?,
            number("user_version")?,
            connection.query_one(tables, [], |row| row.get(0))?,
        ))
    };
    let (application, version, objects): (i64, i64, i64) =
        read().map_err(|source| unreadable(path, source))?;
    let is_new = application == 0 && version == 0 && objects == 0;
    if !is_new && application != APPLICATION_ID {
        let why = format!("its application id is {application:#x} where {APPLICATION_ID:#x} is expected");
        return Err(Error::NotAStore { path: path.to_owned(), why });
    }
    if version > LATEST {
        return Err(Error::NewerFile { path: path.to_owned(), found: version, known: LATEST });
    }
    if !is_new && version < 1 {
        let why = format!("its store format is {version}");
        return Err(Error::NotAStore { path: path.to_owned(), why });
    }
    Ok(version)
}

/// Applies the migrations that the file has not been through, all in one exclusive transaction.
fn migrate(connection: &mut Connection, path: &Path, up_to: i64) -> Result<()> {
    identify(connection, path)?;
    let mut apply = || -> rusqlite::Result<()> {
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Exclusive)?;
        let done: i64 = transaction.pragma_query_value(None, "user_version", |row| row.get(0))?;
        for migration in MIGRATIONS.iter().take(up_to as usize).skip(done as usize) {
            transaction.execute_batch(migration)?;
        }
        transaction.pragma_update(None, "application_id", APPLICATION_ID)?;
        transaction.pragma_update(None, "user_version", done.max(up_to))?;
        transaction.commit()
    };
    apply().map_err(Error::database("bringing the database up to date"))
}

/// Brings a file that stands alone up to date, with all checks of [`open_writer`].
pub(crate) fn migrate_alone(connection: &mut Connection, path: &Path) -> Result<()> {
    migrate(connection, path, LATEST)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::encoding::Digest;

    #[test]
    fn released_migrations_are_never_edited() {
        // No source: the files as they were first released. A change needs a new migration instead.
        let released = [
            "9d9207998dbe97f0e2ffd22084d44926ca5086a8404e5eeb6ae62f9ae179acf9",
            "5c26f70c3a03af3b9a8d11e3667f43244caa01061fcadaa0981a4196c58d8126",
            "fea8c5bfd691aa3a159e61fa402c8792ee40dd5051b9ff9ccc28f366e3641cf5",
        ];
        let found: Vec<String> = MIGRATIONS.iter().map(|text| Digest::of(text).to_string()).collect();
        assert_eq!(found[..released.len()], released);
    }

    fn version(connection: &Connection) -> i64 {
        connection.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
    }

    #[test]
    fn an_older_file_is_brought_up_to_date_and_keeps_its_rows() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(DATABASE);
        let mut old = open_alone(&path).unwrap();
        migrate(&mut old, &path, 1).unwrap();
        assert_eq!(version(&old), 1);
        old.execute("INSERT INTO engine VALUES ('old', 'Old', '2026-01-01T00:00:00Z')", []).unwrap();
        assert!(
            old.execute("INSERT INTO setting VALUES ('a', 'b')", []).is_err(),
            "format 1 has no settings"
        );
        drop(old);

        let new = open_writer(&path).unwrap();
        assert_eq!(version(&new), LATEST);
        assert_eq!(
            new.query_one("SELECT name FROM engine", [], |row| row.get::<_, String>(0)).unwrap(),
            "Old"
        );
        new.execute("INSERT INTO setting VALUES ('a', 'b')", []).unwrap();
    }

    #[test]
    fn migrating_twice_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(DATABASE);
        let schema = |connection: &Connection| -> Vec<String> {
            let mut statement =
                connection.prepare("SELECT sql FROM sqlite_schema WHERE sql IS NOT NULL").unwrap();
            statement.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect()
        };
        let first = open_writer(&path).unwrap();
        let before = schema(&first);
        drop(first);
        let second = open_writer(&path).unwrap();
        assert_eq!(schema(&second), before);
        assert_eq!(version(&second), LATEST);
    }

    #[test]
    fn a_migration_that_fails_leaves_nothing_behind() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(DATABASE);
        let mut connection = open_alone(&path).unwrap();
        migrate(&mut connection, &path, 1).unwrap();
        // The second migration will find its table taken.
        connection.execute_batch("CREATE TABLE setting (other TEXT)").unwrap();
        assert!(migrate(&mut connection, &path, 2).is_err());
        assert_eq!(version(&connection), 1);
    }

    #[test]
    fn the_file_is_written_with_full_sync_and_a_write_ahead_log() {
        let folder = tempfile::tempdir().unwrap();
        let connection = open_writer(&folder.path().join(DATABASE)).unwrap();
        let number =
            |pragma| connection.pragma_query_value(None, pragma, |row| row.get::<_, i64>(0)).unwrap();
        assert_eq!(number("synchronous"), 2, "2 is FULL");
        assert_eq!(number("foreign_keys"), 1);
        assert_eq!(number("recursive_triggers"), 1);
        assert_eq!(number("application_id"), APPLICATION_ID);
        let mode: String = connection.pragma_query_value(None, "journal_mode", |row| row.get(0)).unwrap();
        assert_eq!(mode, "wal");
    }
}
