//! `docs/schema/engine.schema.json` is the schema of today's types.

use engine::document::{Code, Diagnostic, json_schema, parse_document};
use std::path::Path;

#[test]
fn the_schema_in_the_docs_is_today_s() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/schema/engine.schema.json");
    let today = format!("{:#}\n", json_schema());
    if std::env::var_os("UPDATE_SCHEMA").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &today).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == today, "write it anew: UPDATE_SCHEMA=1 cargo test -p engine --test document_schema");
}

#[test]
fn it_says_its_draft_and_every_quantity_has_pattern_and_example() {
    let schema = json_schema();
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    let length = &schema["$defs"]["Length"];
    assert_eq!(length["x-quantity"], "length");
    assert!(
        length["pattern"].as_str().unwrap().starts_with('^')
            && length["pattern"].as_str().unwrap().contains("[tT][hH][oO][uU]")
    );
    assert!(length["description"].as_str().unwrap().contains("\"88.012 mm\""));
}

/// The objections of a general validator (`reference/document_schema.py`) are among our errors, and what only we
/// find is of the kinds that a JSON Schema cannot say.
#[test]
fn a_general_validator_finds_the_same_slips() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let table = std::fs::read_to_string(root.join("../../reference/data/document_schema.csv")).unwrap();
    let rows: Vec<(&str, &str)> = table.lines().skip(1).filter_map(|line| line.split_once(',')).collect();
    assert_eq!(rows[0], ("schema", ""), "the schema passes the meta-schema of its draft");
    let mut files: Vec<&str> = rows[1..].iter().map(|(file, _)| *file).collect();
    files.dedup();
    assert!(files.len() >= 9);
    for file in files {
        let example = root.join(format!("../../examples/{file}.toml"));
        let fixture = root.join(format!("tests/documents/{file}.toml"));
        let text = std::fs::read_to_string(if example.exists() { example } else { fixture }).unwrap();
        let ours: Vec<_> =
            parse_document(&text, file).diagnostics.into_iter().filter(Diagnostic::is_error).collect();
        let objections: Vec<&str> =
            rows.iter().filter(|(of, path)| *of == file && !path.is_empty()).map(|(_, path)| *path).collect();
        for path in &objections {
            assert!(ours.iter().any(|d| d.path == *path), "{file}: we do not see {path}");
        }
        for d in ours.iter().filter(|d| !objections.contains(&d.path.as_str())) {
            assert!(beyond_a_schema(d), "{file}: the validator does not see {}: {}", d.path, d.message);
        }
    }
}

/// Signs and ranges against each other, names that must be described, what a gauge reads (any dimension), and 2.0,
/// which JSON does not tell from 2.
fn beyond_a_schema(d: &Diagnostic) -> bool {
    let kinds = [Code::Negative, Code::MinAboveMax, Code::TargetOutside, Code::MixedCurrencies];
    kinds.contains(&d.code)
        || ["instruments.", "readings.", "operations."].iter().any(|table| d.path.starts_with(table))
        || d.path == "layout.intake_valves"
}
