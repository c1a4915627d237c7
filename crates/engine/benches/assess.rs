//! How long a verdict takes: `cargo bench -p engine --bench assess`.
//!
//! `assess` carries every uncertainty; `plan` solves all selections. The Monte Carlo is that of a hot ring gap, the model
//! that the first-order sum in the finding is checked against.

use criterion::{Criterion, criterion_group, criterion_main};
use engine::document::{Document, parse_with_readings};
use engine::{Engine, assess, plan};
use mechanics::fit::ring::RingGap;
use mechanics::metrology::monte_carlo::monte_carlo;
use mechanics::metrology::{Shape, Source, SourceKind, Sources, Uncertain};
use std::hint::black_box;

/// The allocator of the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const FOUR: [&str; 2] = [
    include_str!("../../../examples/hill-climb-four.toml"),
    include_str!("../../../examples/hill-climb-four.readings.csv"),
];
const V8: [&str; 2] = [
    include_str!("../../../examples/pushrod-v8.toml"),
    include_str!("../../../examples/pushrod-v8.readings.csv"),
];

fn parse([text, csv]: [&str; 2]) -> Document {
    parse_with_readings(text, "demo.toml", csv, "demo.csv").document.expect("the demo parses")
}

fn engine(demo: [&str; 2]) -> Engine {
    Engine::new(parse(demo), Vec::new(), Vec::new())
}

fn verdicts(criterion: &mut Criterion) {
    let (four, v8) = (engine(FOUR), engine(V8));
    criterion.bench_function("assess_demo_four", |b| b.iter(|| assess(black_box(&four))));
    criterion.bench_function("assess_demo_v8", |b| b.iter(|| assess(black_box(&v8))));
    let found = assess(&four);
    criterion.bench_function("plan_demo_four", |b| b.iter(|| plan(black_box(&four), &found)));
    criterion.bench_function("parse_demo_four", |b| b.iter(|| parse(black_box(FOUR))));
}

/// Hot gap of a ring from six uncertain inputs.
fn ring_gap(criterion: &mut Criterion) {
    let mut sources = Sources::default();
    let mut input = |name: &str, value: f64, standard: f64, shape| {
        let id = sources.add(Source {
            name: name.to_owned(),
            shape,
            degrees_of_freedom: f64::INFINITY,
            kind: SourceKind::Reading,
        });
        Uncertain::new(value, id, standard)
    };
    let inputs = [
        input("bore", 0.0891, 1e-6, Shape::Normal),
        input("gap", 0.52e-3, 4.7e-6, Shape::Normal),
        input("expansion of the bore", 10.5e-6, 0.29e-6, Shape::Rectangular),
        input("rise of the bore", 135.0, 5.0, Shape::Normal),
        input("expansion of the ring", 11.5e-6, 0.29e-6, Shape::Rectangular),
        input("rise of the ring", 255.0, 10.0, Shape::Normal),
    ];
    let hot = |x: &[f64]| {
        let ring = RingGap {
            bore: x[0],
            cold_gap: x[1],
            bore_expansion: x[2],
            bore_rise: x[3],
            ring_expansion: x[4],
            ring_rise: x[5],
        };
        ring.hot_gap().value
    };
    let inputs: Vec<&Uncertain> = inputs.iter().collect();
    criterion.bench_function("monte_carlo_10000_ring_gap", |b| {
        b.iter(|| monte_carlo(&sources, black_box(&inputs), 10_000, 1, hot).expect("finite draws"));
    });
}

criterion_group!(benches, verdicts, ring_gap);
criterion_main!(benches);
