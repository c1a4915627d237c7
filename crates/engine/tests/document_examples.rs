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

/// Blocks of one language in `docs/document.md`.
fn blocks(language: &str) -> Vec<String> {
    let text = std::fs::read_to_string(examples().join("../docs/document.md")).unwrap();
    let mut parts = text.split("```");
    std::iter::from_fn(|| parts.nth(1))
        .filter_map(|block| block.strip_prefix(language).and_then(|rest| rest.strip_prefix('\n')))
        .map(str::to_owned)
        .collect()
}

#[test]
fn what_the_docs_show_is_read_without_a_remark() {
    let documents = blocks("toml");
    assert!(documents.len() >= 5);
    for text in &documents {
        let parsed = parse_document(text, "docs/document.md");
        assert!(parsed.diagnostics.is_empty(), "{}", render_text(&parsed.diagnostics));
        if let Some(firing) = parsed.document.unwrap().firing() {
            assert!(firing.unwrap().plan.even);
        }
    }
    let with_gauge = documents.iter().find(|text| text.contains("[instruments")).unwrap();
    let [csv] = &blocks("csv")[..] else { panic!("one CSV is shown") };
    let parsed = parse_with_readings(with_gauge, "docs/document.md", csv, "docs/document.md (CSV)");
    assert!(parsed.diagnostics.is_empty(), "{}", render_text(&parsed.diagnostics));
}

#[test]
fn the_mistakes_that_the_docs_show_are_told_in_those_words() {
    let text = "crosshatch = 2\n\n[layout]\n\nbore = 89.1\ndeck_height = \"219.15 mm\"\n";
    assert_eq!(blocks("text"), [render_text(&parse_document(text, "four.toml").diagnostics)]);
}
