//! One folder, one program; and files that are not for this program.

use std::collections::HashSet;
use std::fs;

use rusqlite::Connection;
use store::{Error, Store};

use crate::fixture::{ENGINE, Fixture, says};

#[test]
fn a_folder_is_open_once_and_free_again_afterwards() {
    let Fixture { store, root } = Fixture::filled();
    let folder = store.folder().to_owned();
    let error = Store::open(&folder).unwrap_err();
    says(&error, &["in use by process", &std::process::id().to_string(), "close that program"]);
    let clone = store.clone();
    drop(store);
    assert!(matches!(Store::open(&folder), Err(Error::FolderInUse { .. })), "a clone still holds it");
    drop(clone);
    let store = Store::open(&folder).unwrap();
    assert_eq!(store.verify(ENGINE).unwrap().entries, 4);
    assert!(store.backup_folder().is_dir());
    drop((store, root));
}

#[test]
fn a_newer_file_is_refused_and_left_alone() {
    let Fixture { store, root } = Fixture::filled();
    let folder = store.folder().to_owned();
    drop(store);
    let path = folder.join("crosshatch.sqlite");
    Connection::open(&path).unwrap().pragma_update(None, "user_version", 99).unwrap();
    let before = fs::read(&path).unwrap();
    let error = Store::open(&folder).unwrap_err();
    says(&error, &["store format 99", "newer program", "not touched"]);
    assert!(matches!(error, Error::NewerFile { found: 99, .. }));
    assert_eq!(fs::read(&path).unwrap(), before);
    drop(root);
}

#[test]
fn a_file_of_another_kind_is_refused_and_left_alone() {
    let root = tempfile::tempdir().unwrap();
    let path = root.path().join("crosshatch.sqlite");

    fs::write(&path, "not a database, but long enough to be read as the header of one: ".repeat(20)).unwrap();
    let before = fs::read(&path).unwrap();
    says(&Store::open(root.path()).unwrap_err(), &["is not a store", "no SQLite database"]);
    assert_eq!(fs::read(&path).unwrap(), before);

    fs::remove_file(&path).unwrap();
    Connection::open(&path).unwrap().execute_batch("CREATE TABLE recipe (name TEXT)").unwrap();
    let before = fs::read(&path).unwrap();
    says(&Store::open(root.path()).unwrap_err(), &["is not a store", "application id"]);
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn what_a_killed_program_left_in_the_write_ahead_log_is_flushed_on_opening() {
    let Fixture { store, root } = Fixture::filled();
    let folder = root.path().join("as if killed");
    fs::create_dir(&folder).unwrap();
    for name in ["crosshatch.sqlite", "crosshatch.sqlite-wal"] {
        fs::copy(store.folder().join(name), folder.join(name)).unwrap();
    }
    let log = folder.join("crosshatch.sqlite-wal");
    assert!(fs::metadata(&log).unwrap().len() > 0, "the test has something to flush");
    let again = Store::open(&folder).unwrap();
    assert_eq!(fs::metadata(&log).unwrap().len(), 0);
    assert_eq!(again.verify(ENGINE).unwrap(), store.verify(ENGINE).unwrap());
}

/// What a power cut may leave of writes that nobody was told about: a write-ahead log that ends anywhere,
/// or whose end holds something else.
#[test]
fn a_write_ahead_log_that_is_torn_anywhere_leaves_a_sound_shorter_chain() {
    let Fixture { store, root } = Fixture::filled();
    let database = fs::read(store.folder().join("crosshatch.sqlite")).unwrap();
    let log = fs::read(store.folder().join("crosshatch.sqlite-wal")).unwrap();
    let all = store.entries(ENGINE, 0).unwrap();
    let mut seen = HashSet::new();
    for step in 0..=40 {
        let at = log.len() * step / 40;
        let mut garbled = log.clone();
        garbled[at..].iter_mut().for_each(|byte| *byte = !*byte);
        for (kind, torn) in [("cut", &log[..at]), ("garbled", &garbled)] {
            let folder = root.path().join(format!("{kind} {step}"));
            fs::create_dir(&folder).unwrap();
            fs::write(folder.join("crosshatch.sqlite"), &database).unwrap();
            fs::write(folder.join("crosshatch.sqlite-wal"), torn).unwrap();
            let again = Store::open(&folder).unwrap();
            for head in again.verify_all().unwrap() {
                assert_eq!(again.entries(ENGINE, 0).unwrap(), all[..head.entries as usize]);
                seen.insert(head.entries);
            }
        }
    }
    assert!(seen.len() == 5, "from none to all four entries: {seen:?}");
}

#[test]
fn a_damaged_file_is_refused_by_name() {
    let Fixture { store, root } = Fixture::filled();
    let folder = store.folder().to_owned();
    drop(store);
    let path = folder.join("crosshatch.sqlite");
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..bytes.len() / 2]).unwrap();
    says(&Store::open(&folder).unwrap_err(), &["crosshatch.sqlite is damaged", "restore the last backup"]);
    assert_eq!(fs::read(&path).unwrap(), bytes[..bytes.len() / 2]);
    drop(root);
}

#[test]
fn a_folder_that_cannot_be_made_is_named() {
    let root = tempfile::tempdir().unwrap();
    let file = root.path().join("file");
    fs::write(&file, "").unwrap();
    says(&Store::open(file.join("shop")).unwrap_err(), &["cannot create", "file", "shop"]);
}

#[test]
fn a_reader_looks_and_copies_beside_the_open_store() {
    let Fixture { store, root } = Fixture::filled();
    let reader = Store::open_reading(store.folder()).unwrap();
    let before = reader.entries(ENGINE, 0).unwrap().len();
    // What the open store writes is seen by the next look.
    store.append(ENGINE, crate::fixture::draft("note", "99")).unwrap();
    assert_eq!(reader.entries(ENGINE, 0).unwrap().len(), before + 1);
    let copy = root.path().join("beside.sqlite");
    assert_eq!(reader.backup_to(&copy).unwrap().heads, store.heads().unwrap());
    let checked = Store::check_backup(&copy).unwrap();
    assert_eq!(checked.heads, store.heads().unwrap());
    assert_eq!(Store::rehearse_restore(&copy, root.path()).unwrap().heads, checked.heads);
    says(&reader.rename(ENGINE, "Other").unwrap_err(), &["reading only", "nothing was written"]);
    let empty = tempfile::tempdir().unwrap();
    assert!(matches!(Store::open_reading(empty.path()), Err(Error::Io { .. })), "no store is made");
    assert_eq!(fs::read_dir(empty.path()).unwrap().count(), 0);
}
