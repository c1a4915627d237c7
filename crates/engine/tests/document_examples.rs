//! The example engines are read without a remark, in the document and in the CSV beside it.

use engine::document::{parse_document, parse_with_readings, render_text};
use std::path::{Path, PathBuf};

fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

#[test]
fn every_example_is_read_without_a_remark() {
    let mut seen = 0;
    for entry in std::fs::read_dir(examples()).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_str().unwrap();
        let Some(stem) = name.strip_suffix(".toml") else { continue };
        let text = std::fs::read_to_string(&path).unwrap();
        let csv_name = format!("{stem}.readings.csv");
        let parsed = match std::fs::read_to_string(path.with_file_name(&csv_name)) {
            Ok(csv) => parse_with_readings(&text, name, &csv, &csv_name),
            Err(_) => parse_document(&text, name),
        };
        assert!(parsed.diagnostics.is_empty(), "{}", render_text(&parsed.diagnostics));
        assert!(!parsed.document.unwrap().readings.is_empty(), "{name} has no readings");
        seen += 1;
    }
    assert!(seen > 0, "there is no example");
}
