//! Named benchmarks of the metrology kernels; quote ratios of one run.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use mechanics::metrology::monte_carlo::monte_carlo;
use mechanics::metrology::plane::{Height, minimum_zone_flatness};
use mechanics::metrology::slips::{Cell, Table, TypedIn, suspicions};
use mechanics::metrology::{Shape, Source, SourceKind, Sources, Uncertain};

/// Eight inputs over ten sources, half of them shared, as a compression ratio has.
fn model() -> (Sources, Vec<Uncertain>) {
    let mut sources = Sources::default();
    let ids: Vec<_> = (0..10)
        .map(|i| {
            let shape = if i % 2 == 0 { Shape::Normal } else { Shape::Rectangular };
            sources.add(Source {
                name: format!("source {i}"),
                shape,
                degrees_of_freedom: f64::INFINITY,
                kind: SourceKind::Reading,
            })
        })
        .collect();
    let inputs =
        (0..8).map(|i| Uncertain::new(10.0 + i as f64, ids[i], 0.01).with_term(ids[8 + i % 2], 0.005));
    let inputs = inputs.collect();
    (sources, inputs)
}

fn uncertainty(c: &mut Criterion) {
    let (sources, inputs) = model();
    let list: Vec<&Uncertain> = inputs.iter().collect();
    let ratio = |x: &[f64]| 1.0 + x[0] * x[0] * x[1] / (x[2] + x[3] + x[4] * x[5] - x[6] - x[7]);
    c.bench_function("monte_carlo_10000_draws_10_sources", |b| {
        b.iter(|| monte_carlo(&sources, black_box(&list), 10_000, 1, ratio));
    });
    c.bench_function("difference_of_two_sizes_of_6_terms", |b| {
        let a = Uncertain::linear(0.0, &[(1.0, &inputs[0]), (1.0, &inputs[1]), (1.0, &inputs[2])]);
        let d = Uncertain::linear(0.0, &[(1.0, &inputs[2]), (1.0, &inputs[3]), (1.0, &inputs[4])]);
        b.iter(|| black_box(&a) - black_box(&d));
    });
}

fn tables(c: &mut Criterion) {
    let cell = |i: usize, j: usize| 89.1 + 0.002 * i as f64 + 0.001 * ((i * 7 + j * 3) % 4) as f64;
    let rows: Vec<Vec<Option<Cell>>> =
        (0..8).map(|i| (0..6).map(|j| Some(Cell { value: cell(i, j), expanded: 0.004 })).collect()).collect();
    let table = Table {
        rows: &rows,
        typed_in: TypedIn::Millimetres,
        step: 0.001,
        nominal: None,
        plausible: None,
        range: None,
        alike: None,
        swap_with: None,
    };
    c.bench_function("slips_healthy_table_8_by_6", |b| b.iter(|| suspicions(black_box(&table))));
    let mut wrong = rows.clone();
    for (i, j, value) in [(1, 2, 3.508), (3, 3, 89.704), (5, 0, 891.1)] {
        wrong[i][j] = Some(Cell { value, expanded: 0.004 });
    }
    let table = Table { rows: &wrong, ..table };
    c.bench_function("slips_three_in_table_8_by_6", |b| b.iter(|| suspicions(black_box(&table))));
    let deck: Vec<Height> = (0..60)
        .map(|i| {
            let z = 0.001 * f64::from((i * i * 7) % 23);
            Height { x: f64::from(i % 12), y: f64::from(i / 12), z: Uncertain::exact(z) }
        })
        .collect();
    c.bench_function("minimum_zone_flatness_60_points", |b| {
        b.iter(|| minimum_zone_flatness(black_box(&deck)));
    });
}

criterion_group!(benches, uncertainty, tables);
criterion_main!(benches);
