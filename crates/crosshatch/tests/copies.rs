//! Backups, engines from files, addresses and what other browsers did, asked over HTTP.

mod common;

use common::{Answer, FOUR, Program, reading};
use serde_json::json;
use std::fmt::Write as _;

/// Posts files as a browser does.
fn post_files(program: &Program, token: &str, parts: &[(&str, Option<&str>, &str)]) -> Answer {
    let mut body = String::new();
    for (name, file, text) in [("_token", None, token)].iter().chain(parts) {
        let file = file.map(|f| format!("; filename=\"{f}\"")).unwrap_or_default();
        let _ =
            write!(body, "--edge\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n{text}\r\n");
    }
    body += "--edge--\r\n";
    program.post_body("/new/file", "multipart/form-data; boundary=edge", &body, &[])
}

const DOCUMENT: &str = include_str!("../../../examples/hill-climb-four.toml");
const READINGS: &str = include_str!("../../../examples/hill-climb-four.readings.csv");

#[test]
fn a_document_is_taken_in_with_its_readings() {
    let program = Program::start();
    let own = DOCUMENT.replace("name = \"Hill-climb four\"", "name = \"Spare four\"");
    let taken = post_files(
        &program,
        &program.token,
        &[
            ("document_file", Some("spare.toml"), &own),
            ("readings_file", Some("spare.readings.csv"), READINGS),
        ],
    );
    assert_eq!(taken.status, 303, "{}", taken.body);
    assert!(
        taken.header("location").starts_with("/engine/spare-four?done=taken-"),
        "{}",
        taken.header("location")
    );
    let page = program.get("/engine/spare-four").body;
    assert!(page.contains("Spare four"));
    assert_eq!(program.get("/engine/spare-four/document.toml").body, own, "the text is kept as it is");
    let log = program.get("/engine/spare-four/readings.csv");
    assert_eq!(log.header("content-disposition"), "attachment; filename=\"spare-four.readings.csv\"");
    assert!(log.body.lines().count() > 500);
    let document = program.get("/engine/spare-four/document").body;
    assert!(
        document.contains("spare-four.readings.csv"),
        "the page says under which name check looks for them"
    );
}

#[test]
fn a_bad_file_comes_back_with_its_mistakes_and_its_text() {
    let program = Program::start();
    let bad = DOCUMENT.replace("[layout]", "# a note of mine <b>\n[layout]\npitsch = \"98 mm\"");
    let refused = post_files(
        &program,
        &program.token,
        &[
            ("document_file", Some("mine.toml"), &bad),
            ("readings_file", Some("m.csv"), "feature,value\nnowhere,1 mm\n"),
        ],
    );
    assert_eq!(refused.status, 422);
    assert!(refused.body.contains("pitsch") && refused.body.contains("pitch"), "{}", refused.body);
    assert!(refused.body.contains("# a note of mine &lt;b&gt;") && refused.body.contains("nowhere,1 mm"));
    // Mended on the page and sent again: the text counts.
    let mended = post_files(
        &program,
        &program.token,
        &[("file", None, "mine.toml"), ("document", None, "crosshatch = 2\n")],
    );
    assert_eq!(
        (mended.status, mended.header("location")),
        (303, "/engine/mine?done=taken-0"),
        "{}",
        mended.body
    );
    for (token, text) in [("wrong", DOCUMENT), (program.token.as_str(), "")] {
        let refused = post_files(&program, token, &[("document_file", Some("x.toml"), text)]);
        assert!([403, 422].contains(&refused.status), "{}: {}", refused.status, refused.body);
    }
    let shelf = program.get("/").body;
    assert_eq!(shelf.matches("engine-row").count(), 3, "only the mended one was taken in");
}

#[test]
fn a_backup_is_made_beside_the_work_and_a_damaged_one_is_called_bad() {
    let program = Program::start();
    assert!(program.get("/backups").body.contains("None yet"));
    assert_eq!(program.post_body("/backups", "application/x-www-form-urlencoded", "", &[]).status, 403);
    let made = program.post_form("/backups", &[]);
    assert_eq!((made.status, made.header("location")), (303, "/backups?done=backup"), "{}", made.body);
    let page = program.get("/backups?done=backup").body;
    assert!(page.contains("restored on trial: it is good") && page.contains("2 engines"), "{page}");
    let at = page.find("/backups/crosshatch-").expect("a link to the file");
    let link = page[at..].split('"').next().expect("its end").to_owned();
    let file = program.get(&link);
    assert_eq!(file.status, 200);
    assert!(file.header("content-length").parse::<u64>().expect("a length") > 100_000);
    assert!(file.header("content-disposition").contains("crosshatch-"));
    for elsewhere in ["/backups/..%2Fcrosshatch.sqlite", "/backups/none.sqlite", "/backups/%2Fetc%2Fpasswd"] {
        assert_eq!(program.get(elsewhere).status, 404, "{elsewhere}");
    }
    let folder = program.stop().expect("its folder");
    let backup = folder.path().join("data/backup").join(link.trim_start_matches("/backups/"));
    let mut bytes = std::fs::read(&backup).expect("the backup");
    let middle = bytes.len() / 2;
    bytes[middle..middle + 4096].fill(0xAA);
    std::fs::write(&backup, bytes).expect("damaged");
    assert_eq!(
        std::fs::read_dir(folder.path().join("data/backup")).expect("the folder").count(),
        1,
        "no trial is left"
    );
    let program = Program::start_in(folder.path().join("data"));
    let page = program.get("/backups").body;
    assert!(page.contains("</b>: ") && page.contains(">bad</b>"), "{page}");
    drop(program);
}

#[test]
fn a_refused_operation_keeps_what_was_typed() {
    let program = Program::start();
    let sent = [
        ("kind", "hone"),
        ("only", "2, seven"),
        ("amount", "0.05 lb"),
        ("note", "torque <plate>"),
        ("back", "bores"),
    ];
    let refused = program.post_form(&format!("{FOUR}/operations"), &sent);
    assert_eq!(refused.status, 422);
    for words in [
        "value=\"2, seven\"",
        "value=\"0.05 lb\"",
        "value=\"torque &lt;plate&gt;\"",
        "value=\"hone\" selected",
        "\"seven\" is no cylinder",
        "aria-invalid=\"true\"",
        "id=\"operation\" open",
        "readings-sheet",
    ] {
        assert!(
            refused.body.contains(words)
                || refused.body.contains(&words.replace("\"seven\"", "&quot;seven&quot;")),
            "{words}"
        );
    }
}

#[test]
fn a_page_hears_of_what_others_did() {
    let program = Program::start();
    let page = program.get(FOUR).body;
    let at = page.find("data-moment=\"").expect("a moment") + 13;
    let moment = page[at..].split('"').next().expect("its end").to_owned();
    let ask = || program.get(&format!("{FOUR}/moment?is={moment}"));
    assert_eq!(ask().status, 204, "nothing happened yet");
    program.post_reading(
        FOUR,
        &reading("block.bore_surface.3.rk", "0.72", &json!({ "unit": "um", "instrument": "" })),
    );
    assert_eq!(ask().json(), json!({ "document": null, "operations": false, "readings": 1 }));
    program.post_form(&format!("{FOUR}/operations"), &[("kind", "hone"), ("back", "bores")]);
    let text = program.get(&format!("{FOUR}/document.toml")).body + "# more\n";
    program.post_form(&format!("{FOUR}/document"), &[("text", &text), ("based_on", "1")]);
    assert_eq!(ask().json(), json!({ "document": 2, "operations": true, "readings": 1 }));
}

#[test]
fn an_address_with_a_stroke_at_its_end_leads_to_the_one_without() {
    let program = Program::start();
    let answer = program.get(&format!("{FOUR}/"));
    assert_eq!((answer.status, answer.header("location")), (308, FOUR));
    let answer = program.get(&format!("{FOUR}/sheet/bores/?done=operation"));
    assert_eq!(
        (answer.status, answer.header("location")),
        (308, "/engine/hill-climb-four/sheet/bores?done=operation")
    );
    for elsewhere in ["//elsewhere.example/", "/engine/hill-climb-four//x"] {
        let answer = program.get(elsewhere);
        assert_eq!((answer.status, answer.header("location")), (404, ""), "{elsewhere}");
    }
}
