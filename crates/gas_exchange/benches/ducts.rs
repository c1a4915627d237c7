//! Speed of the ducts: one step of Sod's tube, bare and with everything on, for every path of this machine.
//!
//! Throughput is in cells; compare ratios within one run. Beside Clawpack: `reference/bench/clawpack_ratio.py`.

use criterion::{BatchSize, BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};
use gas_exchange::ducts::exact_riemann::Primitive;
use gas_exchange::ducts::{DuctSpec, Ducts, IdealTube, Path, Station};
use gas_exchange::gas::{Composition, DuctGas};

/// Steps a measurement: the waves are then in the middle of the tube.
const STEPS: usize = 50;

fn tube(cells: usize, path: Path) -> IdealTube {
    let mut tube = IdealTube::new(cells, 1.0 / cells as f64, 1.4, |i| {
        let left = i < cells / 2;
        Primitive {
            density: if left { 1.0 } else { 0.125 },
            velocity: 0.0,
            pressure: if left { 1.0 } else { 0.1 },
        }
    });
    tube.set_path(path).expect("a path of this machine");
    tube
}

/// `ducts` alike with `cells` cells together: area, friction, heat and composition on.
fn everything(ducts: usize, cells: usize, path: Path, gas: &DuctGas) -> Ducts {
    let spec = DuctSpec {
        stations: vec![Station { x: 0.0, diameter: 0.04 }, Station { x: 1.0, diameter: 0.05 }],
        cells: cells / ducts,
        wall_temperature: 350.0,
        roughness: 1e-5,
        heat_factor: 1.0,
        friction_factor_scale: 1.0,
    };
    let mut set = Ducts::new(&vec![spec; ducts], gas).expect("ducts");
    set.set_path(path).expect("a path of this machine");
    for duct in 0..ducts {
        set.fill_cells(duct, |i| {
            let burned = if i < cells / ducts / 2 { 1.0 } else { 0.0 };
            let fuel = 0.05 * (1.0 - burned);
            (1e5 + 9e5 * burned, 400.0 + 100.0 * burned, 0.0, Composition { burned, fuel })
        })
        .expect("a state");
    }
    set
}

/// `real` has specific heats that rise with temperature (invented coefficients of the right size).
fn gas(real: bool) -> DuctGas {
    let energy = if real {
        [
            [-210e3, 690e3, 60e3, 40e3, -12e3, 20.0, 0.0, 0.0],
            [-300e3, 700e3, 1400e3, -300e3, 20e3, 20.0, 0.0, 0.0],
            [-230e3, 730e3, 150e3, 20e3, -10e3, 20.0, 0.0, 0.0],
        ]
    } else {
        [[-717.5 * 298.15, 717.5e3, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]; 3]
    };
    DuctGas {
        gas_constant: if real { [287.05, 80.0, 290.0] } else { [287.0; 3] },
        energy,
        formation: [0.0; 3],
    }
}

fn step_all(ducts: &mut Ducts) {
    for _ in 0..STEPS {
        let dt = ducts.step_limit(0.8);
        ducts.predict(dt);
        ducts.update(dt).expect("the step holds");
    }
}

fn ducts(criterion: &mut Criterion) {
    for cells in [250, 2000] {
        let mut group = criterion.benchmark_group(format!("ducts/{cells}"));
        group.throughput(Throughput::Elements((cells * STEPS) as u64));
        for path in Path::ALL.into_iter().filter(|path| path.here()) {
            group.bench_function(BenchmarkId::new("bare", format!("{path:?}")), |bench| {
                bench.iter_batched_ref(
                    || tube(cells, path),
                    |tube| {
                        for _ in 0..STEPS {
                            tube.step(tube.step_limit(0.8)).expect("the step holds");
                        }
                    },
                    BatchSize::SmallInput,
                );
            });
            for (name, count, real) in
                [("constant_gamma", 1, false), ("real_gas", 1, true), ("real_gas_in_10_ducts", 10, true)]
            {
                let start = everything(count, cells, path, &gas(real));
                group.bench_function(BenchmarkId::new(name, format!("{path:?}")), |bench| {
                    bench.iter_batched_ref(|| start.clone(), step_all, BatchSize::SmallInput);
                });
            }
        }
        group.finish();
    }
}

criterion_group!(benches, ducts);
criterion_main!(benches);
