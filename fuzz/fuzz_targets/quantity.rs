//! Any text given as a quantity with its unit: no panic, and never a number that is none.
#![no_main]

use engine::document::parse_any_quantity;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|text: &str| {
    if let Ok((value, _)) = parse_any_quantity(text) {
        assert!(value.is_finite(), "`{text}` was read as {value}");
    }
});
