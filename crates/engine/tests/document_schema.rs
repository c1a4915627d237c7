//! `docs/schema/engine.schema.json` is the schema of today's types.

use engine::document::json_schema;
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
    assert!(length["pattern"].as_str().unwrap().contains("(mm|in|thou"));
    assert!(length["description"].as_str().unwrap().contains("\"88.012 mm\""));
}
