//! Named benchmarks of the boundaries: orifice, valve, compressor, turbine; quote ratios of one run.

#[path = "../tests/invented/mod.rs"]
mod invented;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use gas_exchange::turbocharger::compressor::Inlet;
use gas_exchange::turbocharger::turbine::TurbineInlet;
use gas_exchange::turbocharger::{Efficiency, Swallowing, Turbine};
use gas_exchange::valves::orifice::flow_factor;
use gas_exchange::valves::{
    FlowBench, FlowCoefficients, Follower, Lift, Lobe, Nozzle, Placement, Reading, ReverseFlow, Side,
};

fn orifice(c: &mut Criterion) {
    let table = Nozzle::shared();
    let ratios: Vec<f64> = (0..1_000).map(|i| 0.4 + 0.6 * f64::from(i * 617 % 1_000) / 1_000.0).collect();
    let gammas: Vec<f64> = (0..1_000).map(|i| 1.25 + 0.15 * f64::from(i * 389 % 1_000) / 1_000.0).collect();
    c.bench_function("orifice_exact_1000", |b| {
        b.iter(|| ratios.iter().zip(&gammas).map(|(&r, &g)| flow_factor(black_box(r), g)).sum::<f64>());
    });
    c.bench_function("orifice_table_1000", |b| {
        b.iter(|| ratios.iter().zip(&gammas).map(|(&r, &g)| table.flow_factor(black_box(r), g)).sum::<f64>());
    });
}

fn valve(c: &mut Criterion) {
    let degree = core::f64::consts::PI / 180.0;
    let lobe = Lobe {
        peak_lift: 10.6e-3,
        check_lift: 1e-3,
        duration_at_check_lift: 250.0 * degree,
        ramp_height: 0.25e-3,
        ramp_length: 25.0 * degree,
    };
    let follower = Follower { rocker_ratio: 1.0, lash: 0.22e-3 };
    let place = Placement { side: Side::Intake, lobe_centre: 106.0 * degree, advance: 0.0 };
    let bench = FlowBench {
        inlet_pressure: 101_325.0,
        inlet_temperature: 288.15,
        depression: 6_974.49,
        gas_constant: 287.05,
        gamma: 1.4,
    };
    let readings =
        [(1.5, 0.024), (3.0, 0.047), (4.5, 0.068), (6.0, 0.085), (7.5, 0.098), (9.0, 0.106), (10.5, 0.110)]
            .map(|(lift, volume_flow)| Reading { lift: lift * 1e-3, volume_flow });
    let flow =
        FlowCoefficients::from_readings(34.5e-3, 2, &bench, &readings, &ReverseFlow::Factor(0.9)).unwrap();
    let lift = Lift::from_lobe(&lobe, follower, place).unwrap();
    let angles: Vec<f64> = (0..1_000).map(|i| 6.0 + 4.0 * f64::from(i) / 1_000.0).collect();
    c.bench_function("lift_1000", |b| b.iter(|| angles.iter().map(|&a| lift.at(black_box(a))).sum::<f64>()));
    c.bench_function("lift_and_effective_area_1000", |b| {
        b.iter(|| angles.iter().map(|&a| flow.effective_area(lift.at(black_box(a)))).sum::<f64>());
    });
    c.bench_function("lobe_solved_and_tabulated", |b| {
        b.iter(|| Lift::from_lobe(black_box(&lobe), follower, place));
    });
}

fn turbocharger(c: &mut Criterion) {
    let map = invented::map();
    let inlet = Inlet { pressure: 98_500.0, temperature: 298.0, specific_heat: 1_005.0, gamma: 1.4 };
    let mut line = map.at_speed(12_000.0);
    c.bench_function("compressor_set_speed", |b| b.iter(|| map.set_speed(black_box(12_345.0), &mut line)));
    c.bench_function("compressor_flow_on_a_line", |b| b.iter(|| line.flow_at(black_box(2.3))));
    c.bench_function("compressor_against_pressure", |b| {
        b.iter(|| map.against_pressure(black_box(&inlet), 12_345.0, 2.6e5));
    });
    let efficiency = Efficiency::Parabola { peak: 0.70, best_ratio: 0.68 };
    let turbine = Turbine::new(&Swallowing::EffectiveArea(8e-4), &efficiency, 0.068, 2, 1).unwrap();
    let gas = TurbineInlet { pressure: 3.2e5, temperature: 1_203.0, specific_heat: 1_180.0, gamma: 1.32 };
    c.bench_function("turbine_expand", |b| b.iter(|| turbine.expand(black_box(&gas), 12_345.0, 1.08e5)));
}

criterion_group!(benches, orifice, valve, turbocharger);
criterion_main!(benches);
