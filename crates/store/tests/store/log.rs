//! The log: order, delivery exactly once, all or nothing.

use rusqlite::Connection;
use store::{Digest, Draft, Error, limits};

use crate::fixture::{ENGINE, Fixture, WHEN, draft, keyed, says};

#[test]
fn entries_are_numbered_and_chained() {
    let Fixture { store, .. } = &Fixture::filled();
    let entries = store.entries(ENGINE, 0).unwrap();
    let numbers: Vec<u64> = entries.iter().map(|entry| entry.sequence).collect();
    assert_eq!(numbers, [1, 2, 3, 4]);
    assert_eq!(entries[0].previous, Digest::START);
    for pair in entries.windows(2) {
        assert_eq!(pair[1].previous, pair[0].hash);
    }
    assert_eq!(entries[2].body, r#"{"a":[1.50,null],"body":{}}"#, "canonical, numbers as written");
    assert_eq!(store.entries(ENGINE, 3).unwrap(), entries[3..]);
    assert_eq!(store.entries(ENGINE, u64::MAX).unwrap(), []);
    assert_eq!(store.head(ENGINE).unwrap(), store.verify(ENGINE).unwrap());
    assert_eq!(store.head(ENGINE).unwrap().log, entries[3].hash);
}

#[test]
fn the_hash_of_an_entry_is_that_of_its_fields_as_documented() {
    let Fixture { store, .. } = &Fixture::new();
    let entry = store.append(ENGINE, keyed("tablet-1/7", r#"{"µ": 1}"#)).unwrap();
    let zeros = "0".repeat(64);
    let fields = format!(
        "18:crosshatch-entry/1,9:demo-four,1:1,7:reading,3:Ada,20:{WHEN},10:tablet-1/7,64:{zeros},8:{{\"µ\":1}},"
    );
    assert_eq!(entry.encoded(), fields);
    assert_eq!(entry.hash, Digest::of(&fields));
    // `printf '%s' '...' | sha256sum` of these fields, by GNU coreutils, once.
    assert_eq!(entry.hash.to_string(), "d9dfb59f2e78b121fe9b93b83dba203818bd5b7b2ea8c6a0a7ff63d81e60dd0d");
}

#[test]
fn each_engine_has_a_log_of_its_own() {
    let Fixture { store, .. } = &Fixture::filled();
    store.create_engine("v8", "V8", WHEN).unwrap();
    assert_eq!(store.append("v8", keyed("tablet-1/7", "1")).unwrap().sequence, 1, "the key is free there");
    assert_eq!(store.entries(ENGINE, 0).unwrap().len(), 4);
    assert_eq!(store.verify_all().unwrap().len(), 2);
    assert_eq!(store.heads().unwrap(), store.verify_all().unwrap());
}

#[test]
fn a_repeated_delivery_gives_the_first_entry() {
    let Fixture { store, .. } = &Fixture::new();
    let first = store.append(ENGINE, keyed("k", r#"{"a":1,"b":2}"#)).unwrap();
    store.append(ENGINE, draft("note", "1")).unwrap();
    let later = Draft {
        who: "Ben".into(),
        when: "2026-03-02T09:00:00Z".into(),
        ..keyed("k", r#"{ "b": 2, "a": 1 }"#)
    };
    assert_eq!(store.append(ENGINE, later).unwrap(), first);
    assert_eq!(store.entries(ENGINE, 0).unwrap().len(), 2);
}

#[test]
fn a_key_with_other_content_is_refused() {
    let Fixture { store, .. } = &Fixture::new();
    store.append(ENGINE, keyed("k", "1")).unwrap();
    for other in [keyed("k", "2"), keyed("k", "1.0"), Draft { kind: "note".into(), ..keyed("k", "1") }] {
        let error = store.append(ENGINE, other).unwrap_err();
        says(&error, &["\"k\"", "entry 1", "key of its own"]);
        assert!(matches!(error, Error::DeliveryKeyReused { sequence: 1, .. }));
    }
    assert_eq!(store.entries(ENGINE, 0).unwrap().len(), 1);
}

#[test]
fn many_are_appended_together_or_not_at_all() {
    let Fixture { store, .. } = &Fixture::new();
    store.append(ENGINE, keyed("a", "1")).unwrap();
    let entries = store.append_many(ENGINE, vec![keyed("b", "2"), keyed("a", "1"), keyed("b", "2")]).unwrap();
    let numbers: Vec<u64> = entries.iter().map(|entry| entry.sequence).collect();
    assert_eq!(numbers, [2, 1, 2], "repeated keys give the first entry, within the list as well");

    let error = store.append_many(ENGINE, vec![keyed("c", "3"), keyed("a", "9")]).unwrap_err();
    assert!(matches!(error, Error::DeliveryKeyReused { .. }));
    assert_eq!(store.verify(ENGINE).unwrap().entries, 2);
    assert_eq!(store.append_many(ENGINE, Vec::new()).unwrap(), []);
}

#[test]
fn what_cannot_be_taken_is_refused_by_name_and_leaves_nothing() {
    let Fixture { store, .. } = &Fixture::new();
    let good = || draft("reading", "1");
    let long = "x".repeat(limits::SHORT + 1);
    let huge = format!("\"{}\"", "x".repeat(limits::BODY));
    let growing = format!("\"{}\"", "\u{7f}x".repeat(10)).replace('x', r"\/");
    for (bad, parts) in [
        (Draft { kind: "Reading".into(), ..good() }, ["kind", "\"Reading\""]),
        (Draft { who: " ".into(), ..good() }, ["who", "not empty"]),
        (Draft { who: "a\nb".into(), ..good() }, ["who", "one line"]),
        (Draft { who: long.clone(), ..good() }, ["who", "too large"]),
        (Draft { when: "now".into(), ..good() }, ["when", "RFC 3339"]),
        (Draft { delivery_key: Some(String::new()), ..good() }, ["delivery key", "not empty"]),
        (Draft { body: "{".into(), ..good() }, ["JSON", "line 1"]),
        (Draft { body: "NaN".into(), ..good() }, ["JSON", "line 1"]),
        (Draft { body: huge, ..good() }, ["body", "262146 where at most 262144"]),
    ] {
        says(&store.append(ENGINE, bad).unwrap_err(), &parts);
    }
    store.append(ENGINE, draft("note", &growing)).unwrap();
    says(&store.append("nobody", good()).unwrap_err(), &["no engine", "\"nobody\""]);
    assert!(matches!(
        store.append_many(ENGINE, vec![good(); limits::ENTRIES_AT_ONCE + 1]),
        Err(Error::TooLarge { size: 10_001, .. })
    ));
    assert_eq!(store.head(ENGINE).unwrap().entries, 1);
}

#[test]
fn the_file_itself_refuses_to_change_or_remove() {
    let fixture = Fixture::filled();
    let other_tool = Connection::open(fixture.store.folder().join("crosshatch.sqlite")).unwrap();
    for (statement, reason) in [
        ("UPDATE log SET body = '1'", "never changed"),
        ("DELETE FROM log", "never deleted"),
        ("DELETE FROM log WHERE sequence = 4", "never deleted"),
        ("UPDATE document SET text = ''", "never changed"),
        ("DELETE FROM document", "never deleted"),
        ("DELETE FROM engine", "never deleted"),
        ("UPDATE engine SET id = 'other'", "keeps its id"),
        ("INSERT OR REPLACE INTO log SELECT * FROM log WHERE sequence = 2", "continue the latest"),
        ("INSERT OR REPLACE INTO document SELECT * FROM document WHERE version = 1", "continue the latest"),
        (
            "INSERT OR REPLACE INTO log SELECT engine, 5, kind, body, who, \"when\", 'tablet-1/7',
             (SELECT hash FROM log WHERE sequence = 4), hash FROM log WHERE sequence = 3",
            "continue the latest",
        ),
        (
            "INSERT INTO log SELECT engine, 9, kind, body, who, \"when\", 'new', previous, hash FROM log LIMIT 1",
            "continue the latest",
        ),
    ] {
        let fault = other_tool.execute(statement, []).unwrap_err().to_string();
        assert!(fault.contains(reason), "{statement}: {fault}");
    }
    let head = fixture.store.verify(ENGINE).unwrap();
    assert_eq!((head.entries, head.documents), (4, 2));
}
