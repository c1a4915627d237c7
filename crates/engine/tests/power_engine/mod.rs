//! The demo engines (invented), and any text, as far as the input of a power run.

use engine::document::parse_with_readings;
use engine::power::{self, Specification};
use engine::{Assessment, Engine, assess};

pub const FOUR: &str = include_str!("../../../../examples/hill-climb-four.toml");
pub const FOUR_READINGS: &str = include_str!("../../../../examples/hill-climb-four.readings.csv");
pub const V8: &str = include_str!("../../../../examples/pushrod-v8.toml");
pub const V8_READINGS: &str = include_str!("../../../../examples/pushrod-v8.readings.csv");

/// Read, assessed and specified; the text parses.
pub fn engine_of(text: &str, readings: &str) -> (Engine, Assessment, Specification) {
    let parsed = parse_with_readings(text, "engine.toml", readings, "readings.csv");
    let document = parsed.document.unwrap_or_else(|| panic!("{:?}", parsed.diagnostics));
    let engine = Engine::new(document, Vec::new(), Vec::new());
    let assessment = assess(&engine);
    let specification = power::specify(&engine, &assessment);
    (engine, assessment, specification)
}
