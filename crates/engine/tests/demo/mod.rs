//! The demo engines (invented), read, assessed and planned.

use engine::document::parse_with_readings;
use engine::{Assessment, Engine, Plan, assess, plan};

pub const FOUR: (&str, &str) = (
    include_str!("../../../../examples/hill-climb-four.toml"),
    include_str!("../../../../examples/hill-climb-four.readings.csv"),
);

pub struct Job {
    pub engine: Engine,
    pub assessment: Assessment,
    pub plan: Plan,
}

impl Job {
    /// Of a document and its readings, both without a mistake.
    pub fn of(text: &str, csv: &str) -> Self {
        let parsed = parse_with_readings(text, "engine.toml", csv, "engine.readings.csv");
        assert!(parsed.diagnostics.is_empty(), "{:#?}", parsed.diagnostics);
        let engine = Engine::new(parsed.document.expect("no diagnostics"), Vec::new(), Vec::new());
        let assessment = assess(&engine);
        let plan = plan(&engine, &assessment);
        Self { engine, assessment, plan }
    }
}
