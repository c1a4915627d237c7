//! Many hands at once.

use std::collections::HashSet;
use std::thread;

use store::{Error, Store};

use crate::fixture::{ENGINE, Fixture, WHEN, document, keyed};

const HANDS: usize = 8;
const EACH: usize = 50;

fn all_at_once<T: Send>(store: &Store, work: impl Fn(usize, &Store) -> T + Sync) -> Vec<T> {
    thread::scope(|scope| {
        let work = &work;
        let hands: Vec<_> = (0..HANDS)
            .map(|hand| {
                let store = store.clone();
                scope.spawn(move || work(hand, &store))
            })
            .collect();
        hands.into_iter().map(|hand| hand.join().unwrap()).collect()
    })
}

#[test]
fn eight_hands_lose_nothing_and_each_sees_what_it_saved() {
    let Fixture { store, .. } = &Fixture::new();
    store.create_engine("other", "Other", WHEN).unwrap();
    all_at_once(store, |hand, store| {
        let engine = if hand % 2 == 0 { ENGINE } else { "other" };
        for n in 0..EACH {
            let entry = store.append(engine, keyed(&format!("{hand}/{n}"), &n.to_string())).unwrap();
            let seen = store.entries(engine, entry.sequence - 1).unwrap();
            assert_eq!(seen.first(), Some(&entry), "what was called saved is there at once");
        }
    });
    for engine in [ENGINE, "other"] {
        let head = store.verify(engine).unwrap();
        assert_eq!(head.entries, (HANDS / 2 * EACH) as u64);
    }
}

#[test]
fn one_delivery_from_eight_hands_is_one_entry() {
    let Fixture { store, .. } = &Fixture::new();
    let entries = all_at_once(store, |_, store| {
        (0..20).map(|n| store.append(ENGINE, keyed(&format!("key-{n}"), "1")).unwrap()).collect::<Vec<_>>()
    });
    assert!(entries.iter().all(|hand| hand == &entries[0]), "all got the same entries");
    assert_eq!(store.verify(ENGINE).unwrap().entries, 20);
}

#[test]
fn of_eight_versions_made_from_the_same_one_exactly_one_is_saved() {
    let Fixture { store, .. } = &Fixture::new();
    for round in 0..10_u64 {
        let based_on = (round > 0).then_some(round);
        let results = all_at_once(store, |hand, store| {
            store.save_document(ENGINE, based_on, document(&hand.to_string()))
        });
        let saved: Vec<_> = results.iter().filter(|result| result.is_ok()).collect();
        assert_eq!(saved.len(), 1);
        let told = |result: &&Result<_, Error>| matches!(result, Err(Error::Conflict { latest, .. }) if *latest == Some(round + 1));
        assert_eq!(results.iter().filter(told).count(), HANDS - 1);
    }
    assert_eq!(store.verify(ENGINE).unwrap().documents, 10);
}

#[test]
fn backups_and_walks_run_while_others_write() {
    let fixture = &Fixture::new();
    let bodies = all_at_once(&fixture.store, |hand, store| {
        let mut counts = HashSet::new();
        for n in 0..EACH / 5 {
            if hand == 0 {
                let report = store.backup_to(fixture.path(&format!("backup-{n}"))).unwrap();
                counts.insert(report.heads[0].entries);
            } else {
                store.append(ENGINE, keyed(&format!("{hand}/{n}"), "1")).unwrap();
                store.verify(ENGINE).unwrap();
            }
        }
        counts
    });
    assert!(!bodies[0].is_empty());
    assert_eq!(fixture.store.verify(ENGINE).unwrap().entries, ((HANDS - 1) * (EACH / 5)) as u64);
}
