//! Operations recorded on the pages: they go with the download, can be taken back, and are asked about when they are out of proportion.

mod common;

use common::{FOUR, Program, reading};
use engine::Engine;
use engine::document::{parse_document, read_csv};
use engine::readings::{from_entries, is_stale};
use serde_json::json;

const BORE: &str = "block.bore.2.low.thrust";

fn hone<'a>(amount: &'a str, asked: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("kind", "hone"),
        ("only", "2"),
        ("note", "to \"size\""),
        ("amount", amount),
        ("asked", asked),
        ("back", "bores"),
    ]
}

fn flag(program: &Program) -> String {
    let changes = program.get(&format!("{FOUR}/changes?after=0&sheet=bores")).json();
    changes["cells"][BORE]["flag"].as_str().unwrap_or_default().to_owned()
}

/// The downloaded document and readings as the command line reads them.
fn downloaded(program: &Program) -> (String, Engine) {
    let text = program.get(&format!("{FOUR}/document.toml")).body;
    let csv = program.get(&format!("{FOUR}/readings.csv")).body;
    let parsed = parse_document(&text, "download");
    let document = parsed.document.unwrap_or_else(|| panic!("{:?}", parsed.diagnostics));
    let rows = read_csv(&csv, "download.csv", &document).unwrap_or_else(|wrong| panic!("{wrong:?}"));
    let bare = Engine::new(document.clone(), Vec::new(), Vec::new());
    let readings = from_entries(&rows, &bare.catalogue);
    (text, Engine::new(document, readings, Vec::new()))
}

#[test]
fn a_download_takes_the_recorded_operations_along_and_comes_back() {
    let program = Program::start();
    assert_eq!(program.post_form(&format!("{FOUR}/operations"), &hone("0.005 mm", "")).status, 303);
    assert_eq!(program.post_reading(FOUR, &reading(BORE, "89.105", &json!({}))).status, 200);
    let (text, engine) = downloaded(&program);
    let operation = engine.operations.last().expect("the hone");
    assert_eq!(operation.only, ["2"]);
    assert_eq!(operation.note, "to \"size\"");
    assert!((operation.amount.expect("an amount") - 5e-6).abs() < 1e-15);
    let feature = engine.catalogue.feature(BORE).expect("a place");
    let stale = |other: &str| {
        let found = engine.readings.iter().rfind(|r| r.feature == other).expect("a reading");
        is_stale(found, feature, &engine.operations)
    };
    assert!(!stale(BORE), "the reading after the hone");
    let before = engine.readings.iter().find(|r| r.feature == BORE).expect("the reading before the hone");
    assert!(is_stale(before, feature, &engine.operations));
    // Kept as the document of the same engine, it does not count the hone twice.
    let kept = program.post_form(&format!("{FOUR}/document"), &[("text", &text), ("based_on", "1")]);
    assert_eq!(kept.status, 303, "{}", kept.body);
    assert_eq!(program.get(&format!("{FOUR}/readings")).body.matches("0.005 mm taken off").count(), 1);
    let (again, _) = downloaded(&program);
    assert_eq!(again, text);
}

#[test]
fn an_operation_that_was_not_done_is_taken_back() {
    let program = Program::start();
    let fresh = flag(&program);
    program.post_form(&format!("{FOUR}/operations"), &hone("0.005 mm", ""));
    assert!(flag(&program).contains("stale"), "{}", flag(&program));
    let back = |name: &str| program.post_form(&format!("{FOUR}/operations/back"), &[("name", name)]);
    let log = program.get(&format!("{FOUR}/readings")).body;
    let name =
        log.split("name=\"name\" value=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("a name");
    let answer = back(name);
    assert_eq!(
        (answer.status, answer.header("location")),
        (303, format!("{FOUR}/readings?done=operation-back").as_str())
    );
    assert_eq!(flag(&program), fresh);
    let log = program.get(&format!("{FOUR}/readings")).body;
    assert!(log.contains("taken back") && log.contains("to &quot;size&quot;"), "it stays in the record");
    assert!(!program.get(&format!("{FOUR}/document.toml")).body.contains("to \\\"size\\\""));
    for (name, words) in
        [(name, "taken back already"), ("never", "no such operation"), ("sonic map", "document")]
    {
        let refused = back(name);
        assert_eq!(refused.status, 422, "{name}");
        let known = name != "sonic map" || log.contains("(sonic map)");
        assert!(!known || refused.body.contains(words), "{name}: {}", refused.body);
    }
}

#[test]
fn much_taken_off_is_asked_about_once() {
    let program = Program::start();
    let first = program.post_form(&format!("{FOUR}/operations"), &hone("24", ""));
    assert_eq!(first.status, 422);
    assert!(
        first.body.contains("24.000 mm is much") && first.body.contains("name=\"asked\" value=\"24\""),
        "{}",
        first.body
    );
    let other = program.post_form(&format!("{FOUR}/operations"), &hone("25", "24"));
    assert_eq!(other.status, 422, "another figure is another question");
    assert!(!program.get(&format!("{FOUR}/readings")).body.contains("24.000 mm taken off"));
    assert_eq!(program.post_form(&format!("{FOUR}/operations"), &hone("24", "24")).status, 303);
    assert!(program.get(&format!("{FOUR}/readings")).body.contains("24.000 mm taken off"));
    assert_eq!(program.post_form(&format!("{FOUR}/operations"), &hone("0.02 mm", "")).status, 303);
}

#[test]
fn a_new_part_is_named_by_its_number_on_its_own_sheet() {
    let program = Program::start();
    let record = |only: &str, sheet: &str| {
        program.post_form(
            &format!("{FOUR}/operations"),
            &[
                ("kind", "new_part"),
                ("only", only),
                ("note", ""),
                ("amount", ""),
                ("asked", ""),
                ("back", sheet),
            ],
        )
    };
    for (only, sheet, words) in
        [("2", "pistons", "piston.2, pin.2 or ring.2"), ("", "rods", "rod.2"), ("2", "crank", "rod.2")]
    {
        let refused = record(only, sheet);
        assert_eq!(refused.status, 422, "{only} on {sheet}");
        assert!(refused.body.contains(words), "{words}: {}", refused.body);
    }
    assert_eq!(record("2", "rods").status, 303);
    let (_, engine) = downloaded(&program);
    assert_eq!(engine.operations.last().expect("the new rod").only, ["rod.2"]);
}
