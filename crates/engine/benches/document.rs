//! How long it takes to read an engine document.
//!
//! * `example_document`: the turbocharged example without its readings.
//! * `example_with_csv`: the same with the CSV of readings beside it.
//! * `readings_400_in_the_document`: 400 readings as tables of the document.
//! * `toml_alone_400`: only the TOML of that, without types, checks and places: what the rest is compared with.

use criterion::{Criterion, criterion_group, criterion_main};
use engine::document::{parse_document, parse_with_readings};
use std::fmt::Write as _;

const DOCUMENT: &str = include_str!("../../../examples/hill-climb-four.toml");
const CSV: &str = include_str!("../../../examples/hill-climb-four.readings.csv");

fn with_readings(count: usize) -> String {
    let mut text = DOCUMENT.to_owned();
    for i in 0..count {
        let (bore, size) = (i % 4 + 1, 100 + i % 9);
        let feature = format!("block.bore.{bore}.mid.thrust");
        _ = write!(text, "\n[[readings]]\nfeature = \"{feature}\"\nvalue = \"89.{size} mm\"\n");
        _ = write!(
            text,
            "temperature = \"20.5 °C\"\nwho = \"first hand\"\nwhen = \"2026-03-14T09:30:00+01:00\"\n"
        );
    }
    text
}

fn benches(c: &mut Criterion) {
    let long = with_readings(400);
    let parsed = parse_document(&long, "long.toml");
    assert!(!parsed.has_errors(), "{:?}", parsed.diagnostics.first());
    c.bench_function("document/example_document", |b| b.iter(|| parse_document(DOCUMENT, "example.toml")));
    c.bench_function("document/example_with_csv", |b| {
        b.iter(|| parse_with_readings(DOCUMENT, "example.toml", CSV, "example.readings.csv"));
    });
    c.bench_function("document/readings_400_in_the_document", |b| {
        b.iter(|| parse_document(&long, "long.toml"));
    });
    c.bench_function("document/toml_alone_400", |b| b.iter(|| toml_edit::Document::parse(long.as_str())));
}

criterion_group!(group, benches);
criterion_main!(group);
