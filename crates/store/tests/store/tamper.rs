//! Whatever a hand with another tool changes in the file, the walk names the first link that is broken.

use store::{Chain, Error, Fault};

use crate::fixture::{ENGINE, Fixture, says};

/// Changes the file behind the back of the store and returns what the walk says.
#[track_caller]
fn after(change: &str) -> (Chain, u64, Fault) {
    let fixture = Fixture::filled();
    fixture.store.verify(ENGINE).unwrap();
    let changed = fixture.other_tool().execute(change, []).unwrap();
    assert!(changed > 0, "the test changes something");
    match fixture.store.verify(ENGINE) {
        Err(Error::Broken { chain, number, fault, .. }) => (chain, number, fault),
        other => panic!("{change}: {other:?}"),
    }
}

#[test]
fn a_changed_field_of_an_entry_is_found() {
    for field in ["kind", "body", "who", "\"when\"", "delivery_key"] {
        let (chain, number, fault) = after(&format!("UPDATE log SET {field} = 'x' WHERE sequence = 3"));
        assert_eq!((chain, number), (Chain::Log, 3), "{field}");
        assert!(matches!(fault, Fault::HashDiffers { .. }), "{field}: {fault}");
    }
}

#[test]
fn a_changed_field_of_a_document_is_found() {
    for (field, text_differs) in [("text", true), ("who", false), ("note", false), ("\"when\"", false)] {
        let (chain, number, fault) = after(&format!("UPDATE document SET {field} = 'x' WHERE version = 1"));
        assert_eq!((chain, number), (Chain::Document, 1), "{field}");
        assert_eq!(matches!(fault, Fault::TextDiffers { .. }), text_differs, "{field}: {fault}");
    }
    let (_, number, fault) = after("UPDATE document SET based_on = NULL WHERE version = 2");
    assert!(matches!((number, fault), (2, Fault::HashDiffers { .. })));
}

#[test]
fn a_removed_or_moved_entry_is_found() {
    let (_, number, fault) = after("DELETE FROM log WHERE sequence = 2");
    assert_eq!((number, fault), (2, Fault::OutOfOrder { expected: 2, found: 3 }));
    let (_, number, fault) = after("DELETE FROM log WHERE sequence = 1");
    assert_eq!((number, fault), (1, Fault::OutOfOrder { expected: 1, found: 2 }));
    let (_, number, fault) = after("UPDATE log SET sequence = -1 WHERE sequence = 3");
    assert!(matches!((number, fault), (1, Fault::Unreadable(_))));
}

#[test]
fn a_rewritten_hash_only_moves_the_break() {
    let zeros = "0".repeat(64);
    let (_, number, fault) = after(&format!("UPDATE log SET hash = '{zeros}' WHERE sequence = 2"));
    assert!(matches!((number, fault), (2, Fault::HashDiffers { .. })));
    let (_, number, fault) = after(&format!("UPDATE log SET previous = '{zeros}' WHERE sequence = 2"));
    assert!(matches!((number, fault), (2, Fault::PreviousDiffers { .. })));
    let (_, number, fault) = after(&format!("UPDATE log SET hash = '{}' WHERE sequence = 2", "z".repeat(64)));
    assert!(matches!((number, fault), (2, Fault::Unreadable(_))));
}

#[test]
fn bytes_that_are_no_text_are_a_fault_and_no_failure() {
    let (_, number, fault) = after("UPDATE log SET who = CAST(x'ff00fe' AS TEXT) WHERE sequence = 4");
    assert!(matches!((number, fault), (4, Fault::Unreadable(_))));
}

#[test]
fn an_entry_rewritten_with_a_true_hash_breaks_the_next_one() {
    let fixture = Fixture::filled();
    let mut forged = fixture.store.entries(ENGINE, 0).unwrap().swap_remove(1);
    forged.body = "\"forged\"".into();
    forged.hash = store::Digest::of(&forged.encoded());
    let other_tool = fixture.other_tool();
    let change = "UPDATE log SET body = ?1, hash = ?2 WHERE sequence = 2";
    other_tool.execute(change, [forged.body, forged.hash.to_string()]).unwrap();
    let error = fixture.store.verify(ENGINE).unwrap_err();
    assert!(
        matches!(error, Error::Broken { number: 3, fault: Fault::PreviousDiffers { .. }, .. }),
        "{error}"
    );
    says(&error, &["\"demo-four\"", "log entry 3", "last backup"]);
}

#[test]
fn a_removed_end_is_found_with_a_hash_noted_on_paper() {
    let fixture = Fixture::filled();
    let head = fixture.store.head(ENGINE).unwrap();
    let paper = head.log.in_groups().to_uppercase();
    let printed = head.to_string();
    assert!(
        printed.contains(&format!("     4 log entries        last hash {}", head.log.in_groups())),
        "{printed}"
    );
    fixture.store.verify_noted(ENGINE, Chain::Log, 4, &paper).unwrap();
    fixture.store.verify_noted(ENGINE, Chain::Document, 2, &head.document.to_string()).unwrap();

    fixture.other_tool().execute("DELETE FROM log WHERE sequence = 4", []).unwrap();
    fixture.store.verify(ENGINE).expect("the walk alone cannot see it");
    let error = fixture.store.verify_noted(ENGINE, Chain::Log, 4, &paper).unwrap_err();
    assert!(matches!(error, Error::Broken { number: 4, fault: Fault::Missing { last: 3 }, .. }), "{error}");

    let error = fixture.store.verify_noted(ENGINE, Chain::Log, 3, &paper).unwrap_err();
    assert!(matches!(error, Error::Broken { number: 3, fault: Fault::NotAsNoted { .. }, .. }), "{error}");
    let error = fixture.store.verify_noted(ENGINE, Chain::Document, 0, &paper).unwrap_err();
    assert!(matches!(error, Error::Broken { number: 0, fault: Fault::Missing { last: 2 }, .. }), "{error}");
}
