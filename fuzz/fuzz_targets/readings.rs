//! Any text given as the CSV of readings beside the demo engine: no panic, all or nothing, and what
//! was read is read again from what is written.
#![no_main]

use std::sync::LazyLock;

use engine::document::{Document, parse_document, read_csv, write_csv};
use libfuzzer_sys::fuzz_target;

static DEMO: LazyLock<Document> = LazyLock::new(|| {
    let text = include_str!("../../examples/hill-climb-four.toml");
    parse_document(text, "hill-climb-four.toml").document.expect("the demo is a document")
});

fuzz_target!(|text: &str| {
    match read_csv(text, "engine.readings.csv", &DEMO) {
        Ok(readings) => {
            let again =
                read_csv(&write_csv(&readings), "again.csv", &DEMO).expect("what was read can be read again");
            assert_eq!(again.len(), readings.len());
        }
        Err(reasons) => assert!(!reasons.is_empty(), "refused without a reason"),
    }
});
