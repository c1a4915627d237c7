//! Cost of a step of the cylinder, and of a closed cycle. `cargo bench -p gas_exchange --bench cylinder`

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use gas_exchange::cylinder::closed_cycle::ClosedPart;
use gas_exchange::cylinder::knock::DelayLaw;
use gas_exchange::cylinder::{CreviceSpec, Cylinder, CylinderSpec, PortFlow, RingSpec, Wiebe};
use gas_exchange::gas::{Air, Fuel, WorkingGas};

fn spec() -> CylinderSpec {
    CylinderSpec {
        burn: Some(Wiebe::new(-0.5, 1.1, 5.0, 2.0).expect("a burn law")),
        knock: Some(DelayLaw::DouaudEyzat { octane: 98.0, factor: 1.0 }),
        crevice: Some(CreviceSpec { volume: 0.6e-6, temperature: 470.0, late_oxidation: 0.5 }),
        rings: Some(RingSpec {
            top_gap: 0.35e-3,
            second_gap: 0.45e-3,
            land_clearance: 0.3e-3,
            volume: 0.5e-6,
            temperature: 440.0,
            crankcase_pressure: 1.0e5,
            discharge: 0.86,
        }),
        ..CylinderSpec::plain(0.086, 0.086, 0.143, 10.5)
    }
}

fn steps(c: &mut Criterion) {
    let gas = WorkingGas::new(&Fuel::petrol(), 0.88, &Air::DRY).expect("a gas");
    let fresh = gas.fresh();
    let step = 0.3_f64.to_radians();
    let dt = step / 700.0;
    let flow = PortFlow {
        mass: 1e-7,
        enthalpy: 1e-7 * gas.enthalpy(320.0, fresh),
        burned: 0.0,
        fuel: 1e-7 * fresh.fuel,
    };
    let open = Cylinder::new(&spec(), &gas, -4.0, 1e5, 350.0, fresh).expect("a cylinder");
    // A hundred steps, so that the copy of the cylinder does not count.
    c.bench_function("cylinder: 100 steps with a valve open", |b| {
        b.iter(|| {
            let mut cylinder = open.clone();
            for i in 0..100 {
                let from = -4.0 + step * f64::from(i);
                cylinder.advance(&gas, [from, from + step], dt, flow, false).expect("a step");
            }
            black_box(cylinder.state())
        });
    });
    let mut burning = Cylinder::new(&spec(), &gas, -2.0, 2e5, 350.0, fresh).expect("a cylinder");
    for i in 0..860 {
        let from = -2.0 + 0.002 * f64::from(i);
        burning
            .advance(&gas, [from, from + 0.002], 0.002 / 700.0, PortFlow::default(), true)
            .expect("a step");
    }
    assert!(burning.burning());
    c.bench_function("cylinder: 100 steps in combustion", |b| {
        b.iter(|| {
            let mut cylinder = burning.clone();
            for i in 0..100 {
                let from = -0.28 + step * f64::from(i);
                cylinder.advance(&gas, [from, from + step], dt, PortFlow::default(), true).expect("a step");
            }
            black_box(cylinder.state())
        });
    });
    let start = Cylinder::new(&spec(), &gas, -2.0, 2e5, 350.0, fresh).expect("a cylinder");
    let part = ClosedPart { from: -2.0, to: 2.0, crank_speed: 700.0, steps_per_radian: 115.0 };
    c.bench_function("cylinder: closed cycle at half a degree", |b| {
        b.iter(|| part.run(&start, &gas, spec().burn, |_, _| {}).expect("a closed cycle").knock);
    });
}

criterion_group!(benches, steps);
criterion_main!(benches);
