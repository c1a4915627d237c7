//! Any text given as an engine document: no panic, and either a document or a reason.
#![no_main]

use engine::document::parse_document;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    let parsed = parse_document(text, "engine.toml");
    assert_eq!(parsed.document.is_none(), parsed.has_errors(), "a refusal without a reason, or the reverse");
});
