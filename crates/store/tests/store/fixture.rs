//! A store in a folder of its own, and short ways to write into it.

use std::path::PathBuf;

use rusqlite::Connection;
use store::{DocumentDraft, Draft, Store};
use tempfile::TempDir;

pub const ENGINE: &str = "demo-four";
pub const WHEN: &str = "2026-03-01T09:00:00Z";

pub struct Fixture {
    pub store: Store,
    pub root: TempDir,
}

impl Fixture {
    /// A store with one engine in it.
    pub fn new() -> Self {
        let root = tempfile::tempdir().unwrap();
        let store = Store::open(root.path().join("shop")).unwrap();
        store.create_engine(ENGINE, "Demo four", WHEN).unwrap();
        Self { store, root }
    }

    /// The same with two document versions and four entries.
    pub fn filled() -> Self {
        let fixture = Self::new();
        let store = &fixture.store;
        store.save_document(ENGINE, None, document("format = 1\n")).unwrap();
        let entries = [
            draft("reading", r#"{"feature":"block.bore.3.mid.thrust","value":"89.101 mm"}"#),
            draft("note", r#""it's 20 °C, isn't it? \"body\": {,\"body\":1}""#),
            Draft {
                delivery_key: Some("tablet-1/7".into()),
                ..draft("operation", r#"{"body":{},"a":[1.50,null]}"#)
            },
            draft("sign_off", "true"),
        ];
        for entry in entries {
            store.append(ENGINE, entry).unwrap();
        }
        let second = DocumentDraft {
            note: "bore 3\nhoned ‘again’".into(),
            ..document("format = 1\n# µm, no line break at the end")
        };
        store.save_document(ENGINE, Some(1), second).unwrap();
        fixture
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.root.path().join(name)
    }

    /// The database as another tool opens it, with the guards of the schema taken off.
    pub fn other_tool(&self) -> Connection {
        let connection = Connection::open(self.store.folder().join("crosshatch.sqlite")).unwrap();
        connection.pragma_update(None, "ignore_check_constraints", true).unwrap();
        let mut triggers =
            connection.prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'").unwrap();
        let names: Vec<String> =
            triggers.query_map([], |row| row.get(0)).unwrap().map(Result::unwrap).collect();
        drop(triggers);
        for name in names {
            connection.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
        }
        connection
    }
}

pub fn draft(kind: &str, body: &str) -> Draft {
    Draft { kind: kind.into(), body: body.into(), who: "Ada".into(), when: WHEN.into(), delivery_key: None }
}

pub fn keyed(key: &str, body: &str) -> Draft {
    Draft { delivery_key: Some(key.into()), ..draft("reading", body) }
}

pub fn document(text: &str) -> DocumentDraft {
    DocumentDraft { text: text.into(), who: "Ada".into(), when: WHEN.into(), note: String::new() }
}

/// Checks that a message says what it should.
#[track_caller]
pub fn says(error: &store::Error, parts: &[&str]) {
    let message = error.to_string();
    for part in parts {
        assert!(message.contains(part), "\"{part}\" is not in: {message}");
    }
}
