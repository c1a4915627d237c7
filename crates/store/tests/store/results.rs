//! Results of computations: kept as they were made, with what they were made from.

use rusqlite::params;
use std::process::Command;
use store::{Error, ResultDraft, Store};

use crate::fixture::{ENGINE, Fixture, WHEN, says};

fn result(body: &str) -> ResultDraft {
    ResultDraft {
        kind: "power_curve".into(),
        body: body.into(),
        document: 2,
        sequence: 4,
        who: "Ada".into(),
        when: WHEN.into(),
    }
}

#[test]
fn results_are_numbered_and_read_back_as_they_were() {
    let Fixture { store, .. } = &Fixture::filled();
    assert_eq!(store.results(ENGINE).unwrap(), []);
    assert_eq!(store.keep_result(ENGINE, result("{\"a\":1.50}")).unwrap().number, 1);
    assert_eq!(store.keep_result(ENGINE, result("{}")).unwrap().number, 2);
    let all = store.results(ENGINE).unwrap();
    assert_eq!(
        all.iter().map(|r| (r.number, r.document, r.sequence)).collect::<Vec<_>>(),
        [(1, 2, 4), (2, 2, 4)]
    );
    assert_eq!(store.result(ENGINE, 1).unwrap().body, "{\"a\":1.50}");
    says(&store.result(ENGINE, 3).unwrap_err(), &["has no result 3"]);
    says(&store.keep_result("none", result("{}")).unwrap_err(), &["none"]);
    let wrong = ResultDraft { kind: "Power Curve".into(), ..result("{}") };
    assert!(matches!(store.keep_result(ENGINE, wrong), Err(Error::Invalid { .. })));
}

#[test]
fn a_result_is_never_changed_and_a_changed_one_is_found() {
    let fixture = Fixture::filled();
    fixture.store.keep_result(ENGINE, result("{}")).unwrap();
    let path = fixture.store.folder().join("crosshatch.sqlite");
    let plain = rusqlite::Connection::open(&path).unwrap();
    for statement in [
        "UPDATE result SET body = '1'",
        "DELETE FROM result",
        "INSERT OR REPLACE INTO result SELECT engine, number, kind, document, sequence, who, \"when\", sha256, '1' FROM result",
    ] {
        assert!(plain.execute(statement, []).is_err(), "{statement}");
    }
    drop(plain);
    fixture.other_tool().execute("UPDATE result SET body = ?1", params!["{\"a\":2}"]).unwrap();
    says(&fixture.store.result(ENGINE, 1).unwrap_err(), &["result 1", "was changed"]);
    says(&fixture.store.verify(ENGINE).unwrap_err(), &["result 1", "was changed"]);
}

#[test]
fn results_go_with_backups_and_exports() {
    let fixture = Fixture::filled();
    let store = &fixture.store;
    store.keep_result(ENGINE, result("{\"a\":1}")).unwrap();
    store.keep_result(ENGINE, result("{\"a\":2}")).unwrap();
    let backup = fixture.path("backup.sqlite");
    store.backup_to(&backup).unwrap();
    Store::restore_from(&backup, fixture.path("restored")).unwrap();
    let restored = Store::open(fixture.path("restored")).unwrap();
    assert_eq!(restored.result(ENGINE, 2).unwrap(), store.result(ENGINE, 2).unwrap());

    let folder = fixture.path("export");
    let report = store.export(ENGINE, &folder).unwrap();
    assert!(report.files.iter().any(|f| f == "result-2.json"), "{:?}", report.files);
    let python = Command::new("python3").arg(folder.join("verify.py")).output().unwrap();
    assert!(python.status.success(), "{}", String::from_utf8_lossy(&python.stderr));
    let other = Store::open(fixture.path("other")).unwrap();
    other.import(&folder).unwrap();
    assert_eq!(other.results(ENGINE).unwrap(), store.results(ENGINE).unwrap());
    assert_eq!(other.result(ENGINE, 1).unwrap(), store.result(ENGINE, 1).unwrap());

    std::fs::write(folder.join("result-1.json"), "{\"a\":3}").unwrap();
    let third = Store::open(fixture.path("third")).unwrap();
    says(&third.import(&folder).unwrap_err(), &["results.jsonl", "was changed"]);
    assert!(third.engines().unwrap().is_empty());
    let python = Command::new("python3").arg(folder.join("verify.py")).output().unwrap();
    assert!(!python.status.success());
}
