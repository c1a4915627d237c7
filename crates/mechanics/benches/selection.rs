//! How long the selections take: `cargo bench -p mechanics --bench selection`.

use criterion::{Criterion, criterion_group, criterion_main};
use mechanics::selection::pistons::{self, Pin, Piston, Request, Rod};
use mechanics::selection::shells::{self, Bearing, Grade};
use mechanics::selection::shims::{self, Series, Valve};
use mechanics::selection::{Limits, Window};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

const UM: f64 = 1e-6;

fn um(low: f64, target: f64, high: f64) -> Window {
    Window { min: low * UM, target: target * UM, max: high * UM }
}

/// Valves with lash anywhere from 0.05 to 0.55, so that most must change, each with an ideal shim that is on sale.
fn valves(random: &mut Pcg64, count: usize) -> Vec<Valve> {
    let mut valve = |_| {
        let (lash, ideal) = (random.random_range(5..55), random.random_range(225..295));
        Valve {
            lash: f64::from(lash) * 10.0 * UM,
            shim: f64::from(ideal + 22 - lash) * 10.0 * UM,
            window: um(190.0, 220.0, 250.0),
        }
    };
    (0..count).map(&mut valve).collect()
}

fn shims_24_valves_200_box(criterion: &mut Criterion) {
    let mut random = Pcg64::seed_from_u64(1);
    let valves = valves(&mut random, 24);
    let loose: Vec<f64> = (0..200).map(|_| f64::from(random.random_range(225..300)) * 10.0 * UM).collect();
    let series = Series { min: 2200.0 * UM, max: 3000.0 * UM, step: 50.0 * UM };
    let best = shims::choose(&valves, &loose, Some(&series)).unwrap();
    assert!(best.relaxation.is_none(), "the bench is meant to have an answer");
    criterion.bench_function("shims_24_valves_200_box", |b| {
        b.iter(|| shims::choose(&valves, &loose, Some(&series)).unwrap());
    });
    // The worst case of the same size: nothing fits, and every relaxation is worked out.
    let hopeless: Vec<Valve> =
        valves.iter().map(|v| Valve { window: um(1190.0, 1220.0, 1250.0), ..*v }).collect();
    criterion.bench_function("shims_24_valves_200_box_infeasible", |b| {
        b.iter(|| shims::choose(&hopeless, &loose, Some(&series)).unwrap());
    });
}

fn pistons_8_cylinders(criterion: &mut Criterion) {
    let mut random = Pcg64::seed_from_u64(2);
    let mut tenths = |base: f64, spread: u32| base + f64::from(random.random_range(0..spread)) * 1e-4;
    let bores: Vec<f64> = (0..8).map(|i| 0.0891 + f64::from(i % 5) * UM).collect();
    let pistons: Vec<Piston> = (0..8)
        .map(|i| Piston {
            gauge_diameter: 0.089_015 + f64::from(i % 4) * UM,
            pin_bore: 0.0,
            mass: tenths(0.338, 10),
        })
        .collect();
    let pins: Vec<Pin> = (0..8).map(|_| Pin { diameter: 0.0, mass: tenths(0.122, 6) }).collect();
    let rods: Vec<Rod> = (0..8).map(|_| Rod { bush: 0.0, mass: tenths(0.158, 15) }).collect();
    let request = Request {
        bores: &bores,
        clearance: um(80.0, 86.0, 92.0),
        pistons: &pistons,
        pins: &pins,
        rods: &rods,
        pin_in_piston: None,
        pin_in_bush: None,
        mass_spread: 1e-3,
        mass_step: 1e-4,
    };
    criterion.bench_function("pistons_8_cylinders", |b| {
        b.iter(|| pistons::choose(&request, Limits::default()).unwrap());
    });
}

fn shells_9_mains(criterion: &mut Criterion) {
    let mut random = Pcg64::seed_from_u64(3);
    let bearings: Vec<Bearing> = (0..9)
        .map(|_| Bearing {
            housing: 60_510.0 * UM,
            journal: (56_485.0 + f64::from(random.random_range(-9..10))) * UM,
            window: um(46.0, 53.0, 62.0),
            fitted: None,
        })
        .collect();
    let grade = |wall: f64, on_hand: u32| Grade {
        wall: wall * UM,
        uppers: on_hand,
        lowers: on_hand,
        orderable: 9,
        price: 4200,
    };
    let grades = [grade(1980.0, 2), grade(1986.0, 4), grade(1992.0, 1)];
    criterion.bench_function("shells_9_mains", |b| {
        b.iter(|| shells::choose(&bearings, &grades, 3.0 * UM, Limits::default()).unwrap());
    });
}

criterion_group!(benches, shims_24_valves_200_box, pistons_8_cylinders, shells_9_mains);
criterion_main!(benches);
