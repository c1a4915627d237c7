//! Engines, document versions and settings.

use store::{Digest, DocumentDraft, Error, limits};

use crate::fixture::{ENGINE, Fixture, WHEN, document, says};

#[test]
fn every_version_is_kept() {
    let Fixture { store, .. } = &Fixture::filled();
    let versions = store.versions(ENGINE).unwrap();
    assert_eq!(versions.len(), 2);
    assert_eq!(versions[1].based_on, Some(1));
    assert_eq!(versions[1].previous, versions[0].hash);
    assert_eq!(versions[0].previous, Digest::START);
    let first = store.document_version(ENGINE, 1).unwrap();
    assert_eq!((first.text.as_str(), &first.info), ("format = 1\n", &versions[0]));
    assert_eq!(first.info.sha256, Digest::of("format = 1\n"));
    let latest = store.latest_document(ENGINE).unwrap().unwrap();
    assert_eq!(latest, store.document_version(ENGINE, 2).unwrap());
    assert!(latest.text.ends_with("at the end"), "byte for byte");
    says(&store.document_version(ENGINE, 3).unwrap_err(), &["no document version 3"]);
    assert!(matches!(store.document_version(ENGINE, u64::MAX), Err(Error::UnknownVersion { .. })));
}

#[test]
fn the_second_of_two_who_started_from_the_same_version_is_told() {
    let Fixture { store, .. } = &Fixture::new();
    assert_eq!(store.latest_document(ENGINE).unwrap(), None);
    let error = store.save_document(ENGINE, Some(1), document("a")).unwrap_err();
    assert!(matches!(error, Error::Conflict { based_on: Some(1), latest: None, .. }));
    assert_eq!(store.save_document(ENGINE, None, document("a")).unwrap().version, 1);
    assert_eq!(store.save_document(ENGINE, Some(1), document("by the first")).unwrap().version, 2);
    for based_on in [None, Some(1), Some(3)] {
        let error = store.save_document(ENGINE, based_on, document("by the second")).unwrap_err();
        says(&error, &["latest is 2", "nothing was overwritten"]);
        assert!(matches!(error, Error::Conflict { latest: Some(2), .. }));
    }
    assert_eq!(store.latest_document(ENGINE).unwrap().unwrap().text, "by the first");
    assert_eq!(store.verify(ENGINE).unwrap().documents, 2);
}

#[test]
fn a_document_that_cannot_be_taken_is_refused() {
    let Fixture { store, .. } = &Fixture::new();
    let at_the_limit = document(&"x".repeat(limits::DOCUMENT));
    let above = document(&"x".repeat(limits::DOCUMENT + 1));
    says(&store.save_document(ENGINE, None, above).unwrap_err(), &["document text", "at most 4194304"]);
    let note = DocumentDraft { note: "x".repeat(limits::NOTE + 1), ..document("a") };
    says(&store.save_document(ENGINE, None, note).unwrap_err(), &["note", "too large"]);
    says(&store.save_document("none", None, document("a")).unwrap_err(), &["no engine"]);
    store.save_document(ENGINE, None, at_the_limit).unwrap();
    store.save_document(ENGINE, Some(1), document("")).unwrap();
}

#[test]
fn engines_are_created_once_and_renamed() {
    let Fixture { store, .. } = &Fixture::new();
    says(&store.create_engine(ENGINE, "Again", WHEN).unwrap_err(), &["already in this store"]);
    says(
        &store.create_engine("Demo Four", "Name", WHEN).unwrap_err(),
        &["engine id", "\"Demo Four\"", "a-z"],
    );
    says(&store.create_engine("a", " ", WHEN).unwrap_err(), &["name"]);
    says(&store.create_engine("a", "A", "yesterday").unwrap_err(), &["RFC 3339"]);
    store.create_engine("a", "A", WHEN).unwrap();
    store.rename("a", "The other one").unwrap();
    says(&store.rename("b", "B").unwrap_err(), &["no engine", "\"b\""]);
    let ids: Vec<String> = store.engines().unwrap().into_iter().map(|engine| engine.id).collect();
    assert_eq!(ids, ["a", ENGINE]);
    assert_eq!(store.engine("a").unwrap().name, "The other one");
    assert_eq!(store.verify("a").unwrap().entries, 0);
}

#[test]
fn settings_are_set_changed_and_removed() {
    let Fixture { store, .. } = &Fixture::new();
    assert_eq!(store.setting("units").unwrap(), None);
    store.set_setting("units", Some("inch")).unwrap();
    store.set_setting("units", Some("mm")).unwrap();
    assert_eq!(store.setting("units").unwrap().as_deref(), Some("mm"));
    store.set_setting("units", None).unwrap();
    assert_eq!(store.setting("units").unwrap(), None);
    assert!(store.set_setting("", Some("x")).is_err());
    assert!(store.set_setting("x", Some(&"x".repeat(limits::SETTING + 1))).is_err());
}
