//! Backup and restore, export and the checks that need no program of ours.

use std::fs;
use std::path::Path;
use std::process::Command;

use rusqlite::Connection;
use store::{Error, Store};

use crate::fixture::{ENGINE, Fixture, WHEN, document, draft, says};

/// All that the store holds, as text.
fn contents(store: &Store) -> String {
    let engines = store.engines().unwrap();
    let each = engines.iter().map(|engine| {
        let id = &engine.id;
        let documents: Vec<_> =
            store.versions(id).unwrap().iter().map(|v| store.document_version(id, v.version)).collect();
        format!("{engine:?} {documents:?} {:?}", store.entries(id, 0).unwrap())
    });
    each.collect::<Vec<_>>().join("\n")
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|name| name.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn a_backup_restores_to_the_same_store() {
    let fixture = Fixture::filled();
    let store = &fixture.store;
    store.set_setting("units", Some("mm")).unwrap();
    let path = store.backup_folder().join("monday.sqlite");
    let report = store.backup_to(&path).unwrap();
    assert_eq!(report.heads, store.verify_all().unwrap());
    assert_eq!(report.bytes, fs::metadata(&path).unwrap().len());
    assert_eq!(names(&store.backup_folder()), ["monday.sqlite"], "a single file");

    store.append(ENGINE, draft("note", "\"after the backup\"")).unwrap();
    let before = fs::read(&path).unwrap();
    let folder = fixture.path("restored/here");
    let restored = Store::restore_from(&path, &folder).unwrap();
    assert_eq!(restored.heads, report.heads);
    assert_eq!(fs::read(&path).unwrap(), before, "the backup is only read");
    assert_eq!(names(&folder), ["crosshatch.sqlite"]);

    let again = Store::open(&folder).unwrap();
    assert_eq!(again.entries(ENGINE, 0).unwrap(), store.entries(ENGINE, 0).unwrap()[..4]);
    assert_eq!(again.latest_document(ENGINE).unwrap(), store.latest_document(ENGINE).unwrap());
    assert_eq!(again.setting("units").unwrap().as_deref(), Some("mm"));
    assert_eq!(again.append(ENGINE, draft("note", "1")).unwrap().sequence, 5, "it can be written to");
    says(&again.backup_to(&path).unwrap_err(), &["already exists"]);
    assert_eq!(fs::read(&path).unwrap(), before);
}

#[test]
fn a_copy_of_the_database_file_restores_as_well() {
    let fixture = Fixture::filled();
    let all = contents(&fixture.store);
    let file = fixture.path("copy.sqlite");
    let Fixture { store, root } = fixture;
    let folder = store.folder().to_owned();
    drop(store);
    fs::copy(folder.join("crosshatch.sqlite"), &file).unwrap();
    Store::restore_from(&file, root.path().join("again")).unwrap();
    assert_eq!(contents(&Store::open(root.path().join("again")).unwrap()), all);
}

#[test]
fn nothing_is_restored_over_something() {
    let fixture = Fixture::filled();
    let path = fixture.path("backup.sqlite");
    fixture.store.backup_to(&path).unwrap();
    says(&Store::restore_from(&path, fixture.store.folder()).unwrap_err(), &["not empty", "nothing in it"]);
    fixture.store.verify_all().unwrap();
    let empty = fixture.path("empty");
    fs::create_dir(&empty).unwrap();
    Store::restore_from(&path, &empty).unwrap();
    assert!(matches!(Store::restore_from(&path, &empty), Err(Error::FolderNotEmpty { .. })));
}

#[test]
fn a_bad_backup_is_not_restored_and_leaves_nothing() {
    let fixture = Fixture::filled();
    // Enough that the middle of the file holds pages of the log.
    for _ in 0..20 {
        fixture.store.append(ENGINE, draft("note", &format!("\"{}\"", "x".repeat(2000)))).unwrap();
    }
    let good = fixture.path("good.sqlite");
    fixture.store.backup_to(&good).unwrap();
    let bytes = fs::read(&good).unwrap();
    let bad = fixture.path("bad.sqlite");
    let target = fixture.path("target");
    let check = |what: &str, parts: &[&str]| {
        let error = Store::restore_from(&bad, &target).expect_err(what);
        says(&error, parts);
        assert!(!target.exists(), "{what} leaves nothing behind");
        assert!(matches!(
            Store::restore_from(&good, fixture.store.folder()),
            Err(Error::FolderNotEmpty { .. })
        ));
    };

    check("a file that is not there", &["cannot read", "bad.sqlite"]);
    fs::write(&bad, "").unwrap();
    check("an empty file", &["is not a store", "empty"]);
    fs::write(&bad, "hello, this is not a backup at all. ".repeat(100)).unwrap();
    check("some text", &["is not a store"]);
    fs::write(&bad, &bytes[..bytes.len() / 2]).unwrap();
    check("a truncated file", &["bad.sqlite"]);
    let mut zeroed = bytes.clone();
    let third = zeroed.len() / 3;
    zeroed[third..2 * third].fill(0);
    fs::write(&bad, zeroed).unwrap();
    check("a file with a hole", &["bad.sqlite"]);

    // An index that no walk of the chains reads.
    let mut unseen = bytes.clone();
    let page = "SELECT rootpage FROM sqlite_schema WHERE name = 'log_delivery_key'";
    let page: usize =
        Connection::open(&good).unwrap().query_one(page, [], |row| row.get::<_, u32>(0)).unwrap() as usize;
    unseen[(page - 1) * 4096 + 100..page * 4096].fill(0);
    fs::write(&bad, unseen).unwrap();
    check("a damaged index", &["damaged", "page"]);

    fs::write(&bad, &bytes).unwrap();
    let edit = Connection::open(&bad).unwrap();
    edit.execute_batch("DROP TRIGGER log_is_never_changed; UPDATE log SET body = '2' WHERE sequence = 2")
        .unwrap();
    drop(edit);
    check("an edited log", &["damaged", "log entry 2", "take another"]);

    fs::write(&bad, &bytes).unwrap();
    let edit = Connection::open(&bad).unwrap();
    edit.execute_batch("PRAGMA foreign_keys = OFF; DROP TRIGGER engine_is_never_deleted; DELETE FROM engine")
        .unwrap();
    drop(edit);
    check("a log without its engine", &["damaged", "engine that is not there"]);

    fs::write(&bad, &bytes).unwrap();
    Connection::open(&bad).unwrap().pragma_update(None, "user_version", 77).unwrap();
    check("a newer backup", &["format 77"]);
}

#[test]
fn a_broken_store_is_not_backed_up_as_if_it_were_sound() {
    let fixture = Fixture::filled();
    fixture.other_tool().execute("UPDATE log SET who = 'Eve' WHERE sequence = 1", []).unwrap();
    let path = fixture.path("backups/monday.sqlite");
    says(&fixture.store.backup_to(&path).unwrap_err(), &["log entry 1"]);
    assert_eq!(names(path.parent().unwrap()), [""; 0], "nothing that could be taken for a backup");
    let error = fixture.store.export(ENGINE, fixture.path("export")).unwrap_err();
    assert!(matches!(error, Error::Broken { .. }));
    assert!(!fixture.path("export").exists());
}

#[test]
fn an_export_comes_back_exactly() {
    let fixture = Fixture::filled();
    let (one, two) = (fixture.path("one"), fixture.path("two"));
    let report = fixture.store.export(ENGINE, &one).unwrap();
    let mut listed = report.files.clone();
    listed.sort();
    assert_eq!(listed, names(&one));
    assert_eq!(fs::read_to_string(one.join("document-1.toml")).unwrap(), "format = 1\n");

    let other = Store::open(fixture.path("other shop")).unwrap();
    let head = other.import(&one).unwrap();
    assert_eq!(head, fixture.store.head(ENGINE).unwrap());
    assert_eq!(contents(&other), contents(&fixture.store));
    other.export(ENGINE, &two).unwrap();
    for name in names(&one) {
        assert_eq!(fs::read(one.join(&name)).unwrap(), fs::read(two.join(&name)).unwrap(), "{name}");
    }
    assert!(matches!(other.import(&one), Err(Error::EngineExists { .. })), "not twice");
    assert!(matches!(other.export(ENGINE, &two), Err(Error::FolderNotEmpty { .. })));
    other.append(ENGINE, draft("note", "1")).unwrap();
    other.save_document(ENGINE, Some(2), document("goes on")).unwrap();
    other.verify(ENGINE).unwrap();
}

#[test]
fn an_engine_without_anything_comes_back_too() {
    let fixture = Fixture::new();
    fixture.store.export(ENGINE, fixture.path("one")).unwrap();
    let other = Store::open(fixture.path("other")).unwrap();
    assert_eq!(other.import(fixture.path("one")).unwrap().entries, 0);
    assert_eq!(other.engines().unwrap(), fixture.store.engines().unwrap());
}

/// Runs a program of the system in a folder. These tests need `sh`, `sha256sum` and `python3`.
fn run(folder: &Path, program: &str, arguments: &[&str]) -> (bool, String) {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(folder)
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .output()
        .unwrap_or_else(|fault| panic!("this test needs {program}: {fault}"));
    let text = String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
    (output.status.success(), text.into_owned())
}

#[test]
fn an_export_is_checked_by_hand_with_sha256sum() {
    let fixture = Fixture::filled();
    // The first entry of this engine has a quote mark in it, so the command has one too.
    fixture.store.create_engine("second", "It's the second", WHEN).unwrap();
    let first = fixture.store.append("second", draft("note", r#""it's 20 °C, 5 % \\ $HOME `x`""#)).unwrap();
    let folder = fixture.path("export");
    fixture.store.export("second", &folder).unwrap();
    let readme = fs::read_to_string(folder.join("README.txt")).unwrap();
    let command = readme.lines().last().unwrap();
    assert!(command.starts_with("printf ") && command.ends_with("| sha256sum"), "{command}");
    let (done, sum) = run(&folder, "sh", &["-c", command]);
    assert!(done, "{sum}");
    assert_eq!(sum.split_whitespace().next(), Some(first.hash.to_string().as_str()));
    assert!(readme.contains(&first.hash.to_string()));
    let (done, text) = run(&folder, "sha256sum", &["--check", "SHA256SUMS"]);
    assert!(done, "{text}");
}

#[test]
fn an_export_is_checked_by_a_program_that_is_not_ours() {
    let fixture = Fixture::filled();
    let folder = fixture.path("export");
    let report = fixture.store.export(ENGINE, &folder).unwrap();
    let (done, text) = run(&folder, "python3", &["verify.py"]);
    assert!(done, "{text}");
    assert!(text.contains(&format!("4 log entries, last hash {}", report.head.log)), "{text}");
    assert!(text.contains(&format!("2 document versions, last hash {}", report.head.document)), "{text}");

    let log = folder.join("log.jsonl");
    let edited = fs::read_to_string(&log).unwrap().replace("89.101", "89.102");
    fs::write(&log, edited).unwrap();
    let (done, text) = run(&folder, "python3", &["verify.py"]);
    assert!(!done && text.contains("BROKEN: hash of log entry 1"), "{text}");
}
