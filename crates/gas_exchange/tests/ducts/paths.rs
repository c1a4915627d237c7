//! Every path of instructions gives what the portable one gives, to rounding; and nothing wrong passes unnoticed.

use super::common::{bare, ideal, real, run};
use gas_exchange::ducts::exact_riemann::Primitive;
use gas_exchange::ducts::{DuctError, DuctSpec, Ducts, IdealTube, Path, Station};
use gas_exchange::gas::{Composition, DuctGas};

fn set(gas: &DuctGas, path: Path) -> Ducts {
    let horn = DuctSpec {
        stations: vec![Station { x: 0.0, diameter: 0.03 }, Station { x: 0.4, diameter: 0.05 }],
        roughness: 2e-5,
        heat_factor: 1.0,
        friction_factor_scale: 1.0,
        ..bare(1.0, 1.0, 141)
    };
    let mut ducts = Ducts::new(&[horn, bare(0.1, 0.02, 3), bare(0.2, 0.04, 17)], gas).expect("ducts");
    ducts.set_path(path).expect("a path of this machine");
    let burned = |burned| Composition { burned, fuel: 0.06 * (1.0 - burned) };
    ducts
        .fill_cells(0, |i| {
            if i < 50 { (4e5, 1100.0, 30.0, burned(0.9)) } else { (1e5, 320.0, -20.0, burned(0.1)) }
        })
        .expect("a state");
    ducts
}

/// Relative difference after 100 steps: some 1e-16 a step and operation, and what the shock makes of it.
const ROUNDING: f64 = 1e-11;

#[test]
fn all_paths_agree_with_the_portable_one() {
    for gas in [ideal(), real()] {
        for path in Path::ALL {
            if !path.here() {
                println!("{path:?} NOT RUN: this machine has not got the instructions");
                continue;
            }
            let (mut plain, mut fast) = (set(&gas, Path::Portable), set(&gas, path));
            for _ in 0..100 {
                let dt = plain.step_limit(0.8);
                for ducts in [&mut plain, &mut fast] {
                    ducts.predict(dt);
                    ducts.update(dt).expect("the step holds");
                }
            }
            let mut worst = 0.0_f64;
            for duct in 0..plain.len() {
                for i in plain.duct_cells(duct) {
                    let (a, b) = (plain.cell(duct, i), fast.cell(duct, i));
                    for (a, b, scale) in [
                        (a.density, b.density, a.density),
                        (a.velocity, b.velocity, a.sound_speed),
                        (a.temperature, b.temperature, a.temperature),
                        (a.pressure, b.pressure, a.pressure),
                        (a.composition.burned, b.composition.burned, 1.0),
                        (a.composition.fuel, b.composition.fuel, 1.0),
                    ] {
                        worst = worst.max((a - b).abs() / scale);
                    }
                }
                assert!((plain.heat_to_walls(duct) - fast.heat_to_walls(duct)).abs() < 1e-9);
            }
            println!("{path:?}: {worst:.1e} from the portable path");
            assert!(worst < ROUNDING, "{path:?}: {worst}");
        }
    }
}

#[test]
fn all_paths_of_the_bare_kernel_agree() {
    let tube = |path| {
        let mut tube = IdealTube::new(301, 1.0 / 301.0, 1.4, |i| {
            let left = i < 150;
            Primitive {
                density: if left { 1.0 } else { 0.125 },
                velocity: 0.0,
                pressure: if left { 1.0 } else { 0.1 },
            }
        });
        tube.set_path(path).expect("a path of this machine");
        let mut t = 0.0;
        while t < 0.2 {
            let dt = tube.step_limit(0.9).min(0.2 - t);
            tube.step(dt).expect("the step holds");
            t += dt;
        }
        tube
    };
    let plain = tube(Path::Portable);
    for path in Path::ALL.into_iter().filter(|path| path.here()) {
        let fast = tube(path);
        let worst = (0..301)
            .fold(0.0_f64, |worst, i| worst.max((plain.cell(i).density - fast.cell(i).density).abs()));
        println!("bare {path:?}: {worst:.1e} from the portable path");
        assert!(worst < ROUNDING, "{path:?}: {worst}");
    }
}

/// An ideal gas whose last coefficient is too small to matter takes the way of real gases.
#[test]
fn constant_heat_needs_no_way_of_its_own() {
    let mut disguised = ideal();
    for k in 0..3 {
        disguised.energy[k][5] = 1e-250;
    }
    let (mut a, mut b) = (set(&ideal(), Path::Portable), set(&disguised, Path::Portable));
    for _ in 0..50 {
        let dt = a.step_limit(0.8);
        for ducts in [&mut a, &mut b] {
            ducts.predict(dt);
            ducts.update(dt).expect("the step holds");
        }
    }
    for i in a.duct_cells(0) {
        assert!((a.cell(0, i).temperature / b.cell(0, i).temperature - 1.0).abs() < ROUNDING);
    }
}

/// Below 200 and above 2000 K the specific heat stays what it is there: a gas at rest keeps its temperature, and its energy is that of
/// the polynomials up to the rim and of a straight line from there.
#[test]
fn beyond_the_polynomials_energy_goes_straight_on() {
    for path in Path::ALL.into_iter().filter(|path| path.here()) {
        for (t, rim) in [(120.0, 200.0), (2600.0, 2000.0)] {
            let mut ducts = Ducts::new(&[bare(0.2, 0.04, 17)], &real()).expect("a duct");
            ducts.set_path(path).expect("a path of this machine");
            let held = |ducts: &mut Ducts, t: f64| {
                ducts.fill(0, 1e5, t, 0.0, Composition { burned: 0.6, fuel: 0.02 }).expect("a state");
                let total = ducts.total();
                total.energy / total.mass
            };
            let (at_rim, near) =
                (held(&mut ducts, rim), held(&mut ducts, rim + 1e-3 * (1000.0 - rim).signum()));
            let slope = (at_rim - near) / (1e-3 * (rim - 1000.0).signum());
            let found = held(&mut ducts, t);
            assert!((found - at_rim - slope * (t - rim)).abs() < 1e-4 * found.abs(), "{t} K: {found}");
            for _ in 0..20 {
                let dt = ducts.step_limit(0.8);
                ducts.predict(dt);
                ducts.update(dt).expect("the step holds");
            }
            let after = ducts.cell(0, 8).temperature;
            assert!((after / t - 1.0).abs() < 1e-12, "{path:?}: {t} K became {after}");
        }
    }
}

#[test]
fn temperature_follows_the_energy_polynomial() {
    // After a hundred steps with shocks the temperature of every cell must still be that of its energy.
    let mut ducts = set(&real(), Path::best());
    run(&mut ducts, 0.8, 2e-3);
    let gas = real();
    let energy = |t: f64, c: Composition| {
        let theta = t / 1000.0;
        let of = |k: usize| gas.energy[k].iter().rev().fold(0.0, |sum, c| sum * theta + c);
        (1.0 - c.burned - c.fuel) * of(0) + c.fuel * of(1) + c.burned * of(2)
    };
    let held: f64 = (0..ducts.len())
        .flat_map(|duct| ducts.duct_cells(duct).map(move |i| (duct, i)))
        .map(|(duct, i)| {
            let c = ducts.cell(duct, i);
            c.volume * c.density * (energy(c.temperature, c.composition) + 0.5 * c.velocity * c.velocity)
        })
        .sum();
    assert!((held / ducts.total().energy - 1.0).abs() < 1e-7, "{held} {}", ducts.total().energy);
}

#[test]
fn bad_ducts_are_named() {
    let gas = ideal();
    let good = || bare(0.3, 0.04, 10);
    let error = |spec: DuctSpec| Ducts::new(&[good(), spec], &gas).expect_err("an error");
    let zero = DuctSpec { stations: vec![Station { x: 0.0, diameter: 0.04 }; 2], ..good() };
    assert_eq!(error(zero), DuctError::Length { duct: 1, station: 1, x: 0.0, previous: 0.0 });
    assert_eq!(error(bare(0.3, 0.0, 10)), DuctError::Diameter { duct: 1, station: 0, diameter: 0.0 });
    assert!(matches!(error(bare(0.3, f64::NAN, 10)), DuctError::Diameter { duct: 1, station: 0, .. }));
    assert_eq!(error(bare(0.3, 0.04, 2)), DuctError::Cells { duct: 1, cells: 2 });
    let one = DuctSpec { stations: vec![Station { x: 0.0, diameter: 0.04 }], ..good() };
    assert_eq!(error(one), DuctError::Stations { duct: 1, stations: 1 });
    assert!(matches!(error(DuctSpec { roughness: -1.0, ..good() }), DuctError::Input { duct: 1, .. }));
    assert!(matches!(error(DuctSpec { wall_temperature: 0.0, ..good() }), DuctError::Input { duct: 1, .. }));
    let mut ducts = Ducts::new(&[good()], &gas).expect("a duct");
    assert!(matches!(
        ducts.fill(3, 1e5, 300.0, 0.0, Composition::default()),
        Err(DuctError::NoDuct { duct: 3, ducts: 1 })
    ));
    assert!(matches!(
        ducts.fill(0, -1e5, 300.0, 0.0, Composition::default()),
        Err(DuctError::Input { duct: 0, .. })
    ));
}

#[test]
fn a_step_that_cannot_hold_names_its_cell() {
    for path in Path::ALL.into_iter().filter(|path| path.here()) {
        let mut ducts = set(&ideal(), path);
        let dt = 100.0 * ducts.step_limit(0.8);
        ducts.predict(dt);
        let error = ducts.update(dt).expect_err("far too long a step");
        assert!(matches!(error, DuctError::State { duct: 0, .. }), "{error}");
        // And a source of nothing that is a number.
        let mut ducts = set(&ideal(), path);
        let dt = ducts.step_limit(0.8);
        ducts.predict(dt);
        ducts.add_source(2, 5, f64::NAN, 0.0, 0.0, 0.0);
        assert!(matches!(ducts.update(dt), Err(DuctError::State { duct: 2, cell: 5, .. })));
    }
}
