//! Bad exports: each is refused with its file and line, and leaves nothing behind.

use std::fs::{self, File};
use std::path::Path;

use store::{Error, Store, limits};

use crate::fixture::{ENGINE, Fixture, says};

/// Exports the filled fixture, spoils the export, and checks what the import says.
#[track_caller]
fn check(spoil: impl FnOnce(&Path), parts: &[&str]) {
    let fixture = Fixture::filled();
    let folder = fixture.path("export");
    fixture.store.export(ENGINE, &folder).unwrap();
    spoil(&folder);
    let other = Store::open(fixture.path("other")).unwrap();
    let error = other.import(&folder).unwrap_err();
    assert!(matches!(error, Error::Import { .. }), "{error}");
    says(&error, parts);
    says(&error, &["nothing was imported"]);
    assert_eq!(other.engines().unwrap(), [], "nothing is left behind");
}

fn edit(name: &'static str, change: impl FnOnce(String) -> String) -> impl FnOnce(&Path) {
    move |folder| {
        let path = folder.join(name);
        let before = fs::read_to_string(&path).unwrap();
        let after = change(before.clone());
        assert_ne!(after, before, "the test changes something");
        fs::write(path, after).unwrap();
    }
}

/// The lines of a text in another order, or fewer of them.
fn lines(text: &str, order: &[usize]) -> String {
    let lines: Vec<&str> = text.lines().collect();
    order.iter().map(|index| lines[*index].to_owned() + "\n").collect()
}

#[test]
fn truncated() {
    check(edit("log.jsonl", |text| text[..text.len() - 1].into()), &["log.jsonl, line 4", "cut off"]);
    check(edit("log.jsonl", |text| text[..text.len() - 20].into()), &["log.jsonl, line 4", "cut off"]);
    check(edit("log.jsonl", |text| lines(&text, &[0, 1, 2])), &["engine.json", "4 log entries", "hold 3"]);
    check(edit("log.jsonl", |_| String::new()), &["engine.json", "4 log entries", "hold 0"]);
    check(edit("documents.jsonl", |text| lines(&text, &[0])), &["engine.json", "2 document versions"]);
    check(edit("engine.json", |text| text[..30].into()), &["engine.json", "EOF"]);
    check(edit("document-2.toml", |text| text[..5].into()), &["documents.jsonl, line 2", "SHA-256"]);
}

#[test]
fn missing() {
    for name in ["engine.json", "documents.jsonl", "log.jsonl", "document-1.toml"] {
        check(|folder| fs::remove_file(folder.join(name)).unwrap(), &[name]);
    }
    check(|folder| fs::remove_dir_all(folder).unwrap(), &["engine.json"]);
}

#[test]
fn edited() {
    check(
        edit("log.jsonl", |text| text.replace("89.101", "89.102")),
        &["log.jsonl, line 1", "its fields give the hash"],
    );
    check(
        edit("log.jsonl", |text| text.replace("\"operation\"", "\"note\"")),
        &["log.jsonl, line 3", "entry 3"],
    );
    check(edit("log.jsonl", |text| text.replace("1.50", "1.5")), &["log.jsonl, line 3"]);
    check(
        edit("log.jsonl", |text| text.replace("\"kind\"", "\"sort\"")),
        &["log.jsonl, line 1", "`sort`", "`kind`"],
    );
    check(
        edit("log.jsonl", |text| text.replacen(ENGINE, "other", 1)),
        &["line 1", "belongs to engine \"other\""],
    );
    check(
        edit("document-1.toml", |text| text + "x"),
        &["documents.jsonl, line 1", "its text has the SHA-256"],
    );
    check(edit("documents.jsonl", |text| text.replace("honed", "bored")), &["documents.jsonl, line 2"]);
    check(
        edit("engine.json", |text| text.replace("\"format\": 1", "\"format\": 9")),
        &["export format 9", "reads format 1"],
    );
    check(edit("engine.json", |text| text.replace("demo-four", "../four")), &["engine.json", "engine id"]);
    check(
        edit("engine.json", |text| text.replace("demo-four", "other")),
        &["documents.jsonl, line 1", "belongs"],
    );
    check(
        edit("engine.json", |text| text.replace("\"entries\": 4", "\"entries\": 5")),
        &["notes 5 log entries"],
    );
    check(
        edit("documents.jsonl", |text| text.replace("\"version\":2", "\"version\":18446744073709551615")),
        &["line 2"],
    );
}

#[test]
fn in_wrong_order() {
    check(
        edit("log.jsonl", |text| lines(&text, &[0, 2, 1, 3])),
        &["log.jsonl, line 2", "number 3 stands where number 2"],
    );
    check(
        edit("log.jsonl", |text| lines(&text, &[0, 1, 1, 2, 3])),
        &["log.jsonl, line 3", "number 2 stands where"],
    );
    check(
        edit("log.jsonl", |text| lines(&text, &[1, 2, 3])),
        &["log.jsonl, line 1", "number 2 stands where number 1"],
    );
    check(edit("documents.jsonl", |text| lines(&text, &[1, 0])), &["documents.jsonl, line 1", "number 2"]);
}

#[test]
fn forged_with_true_hashes_but_in_a_form_that_is_never_written() {
    use store::{Digest, Entry};
    let forge = |change: fn(&mut Entry)| {
        move |folder: &Path| {
            let fixture = Fixture::filled();
            let mut entry = fixture.store.entries(ENGINE, 3).unwrap().swap_remove(0);
            let (old, old_body) = (entry.hash.to_string(), entry.body.clone());
            let old_kind = format!("\"kind\":\"{}\"", entry.kind);
            change(&mut entry);
            entry.hash = Digest::of(&entry.encoded());
            for name in ["log.jsonl", "engine.json"] {
                let text = fs::read_to_string(folder.join(name)).unwrap();
                let text = text
                    .replace(&old, &entry.hash.to_string())
                    .replace(&old_kind, &format!("\"kind\":\"{}\"", entry.kind))
                    .replace(&format!("\"body\":{old_body}}}"), &format!("\"body\":{}}}", entry.body));
                fs::write(folder.join(name), text).unwrap();
            }
        }
    };
    check(forge(|entry| entry.body = "[1, 2]".into()), &["log.jsonl, line 4", "canonical"]);
    check(forge(|entry| entry.kind = "Sign off".into()), &["log.jsonl, line 4", "kind", "Sign off"]);
}

#[test]
fn huge() {
    let grow = |name: &'static str, size: u64| {
        move |folder: &Path| {
            File::options().write(true).open(folder.join(name)).unwrap().set_len(size).unwrap();
        }
    };
    check(grow("log.jsonl", 1 << 40), &["log.jsonl", "at most 268435456"]);
    check(grow("documents.jsonl", limits::FILE + 1), &["documents.jsonl", "at most 268435456"]);
    check(grow("engine.json", 1 << 40), &["engine.json", "larger than"]);
    check(grow("document-2.toml", 1 << 40), &["document-2.toml", "larger than"]);
    let long_line = |text: String| text + &" ".repeat(limits::LINE + 10) + "\n";
    check(edit("log.jsonl", long_line), &["log.jsonl, line 5", "longer than"]);
}

#[test]
fn no_text_at_all() {
    let noise =
        |name: &'static str| move |folder: &Path| fs::write(folder.join(name), b"\xff\xfe\0\n").unwrap();
    check(noise("engine.json"), &["engine.json", "UTF-8"]);
    check(noise("documents.jsonl"), &["documents.jsonl, line 1", "UTF-8"]);
    check(noise("log.jsonl"), &["log.jsonl, line 1", "UTF-8"]);
    check(noise("document-1.toml"), &["document-1.toml", "UTF-8"]);
    check(edit("log.jsonl", |text| text + "\n"), &["log.jsonl, line 5", "EOF"]);
}

#[test]
fn a_folder_where_a_file_belongs() {
    check(
        |folder| {
            fs::remove_file(folder.join("log.jsonl")).unwrap();
            fs::create_dir(folder.join("log.jsonl")).unwrap();
        },
        &["log.jsonl"],
    );
}
