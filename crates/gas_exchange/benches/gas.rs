//! What the gas costs: a state of the burned gas, the temperature of a frozen gas, and building a working gas.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use gas_exchange::gas::{Air, Composition, Fuel, WorkingGas};

fn states(c: &mut Criterion) {
    let fuel = Fuel::ethanol_blend(0.85).unwrap();
    let gas = WorkingGas::new(&fuel, 0.8, &Air::DRY).unwrap();
    let mixture = Composition { burned: 0.06, fuel: 0.09 };
    let mut group = c.benchmark_group("gas");
    // Temperatures and pressures that change, so that neither branch nor cell is always the same.
    let hot: Vec<(f64, f64)> = (0..256)
        .map(|i| (1810.0 + f64::from(i * 37 % 256) * 5.0, 2e5 + 5e4 * f64::from(i * 91 % 256)))
        .collect();
    let cold: Vec<(f64, f64)> = hot.iter().map(|&(t, p)| (t * 0.5, p)).collect();
    let energies: Vec<(f64, f64)> = cold.iter().map(|&(t, _)| (gas.energy(t, mixture), t + 30.0)).collect();
    group.throughput(criterion::Throughput::Elements(256));
    group.bench_function("burned, hot", |b| {
        b.iter(|| hot.iter().map(|&(t, p)| gas.burned(black_box(t), p).energy_t).sum::<f64>());
    });
    group.bench_function("burned, below 1600 K", |b| {
        b.iter(|| cold.iter().map(|&(t, p)| gas.burned(black_box(t), p).energy_t).sum::<f64>());
    });
    group.bench_function("temperature from energy", |b| {
        b.iter(|| {
            energies
                .iter()
                .map(|&(e, guess)| gas.temperature_from_energy(black_box(e), mixture, guess))
                .sum::<f64>()
        });
    });
    group.bench_function("energy", |b| {
        b.iter(|| cold.iter().map(|&(t, _)| gas.energy(black_box(t), mixture)).sum::<f64>());
    });
    group.throughput(criterion::Throughput::Elements(1));
    group.bench_function("equilibrium, direct", |b| b.iter(|| gas.products(black_box(2500.0), 40e5)));
    group.bench_function("new working gas", |b| b.iter(|| WorkingGas::new(black_box(&fuel), 0.8, &Air::DRY)));
    group.finish();
}

criterion_group!(benches, states);
criterion_main!(benches);
