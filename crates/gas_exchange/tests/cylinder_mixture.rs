//! Cylinders that run richer or leaner than the run's mixture: what is too much of one reacts with what has burned.

#![expect(clippy::print_stdout, reason = "figures for the log")]

use core::f64::consts::PI;

use gas_exchange::cylinder::closed_cycle::{ClosedPart, ClosedResult};
use gas_exchange::cylinder::heat_transfer::HeatLaw;
use gas_exchange::cylinder::knock::DelayLaw;
use gas_exchange::cylinder::{CreviceSpec, Cylinder, CylinderSpec, Wiebe};
use gas_exchange::gas::{Air, Composition, Fuel, WorkingGas};

const DEGREE: f64 = PI / 180.0;

/// Blend of 85 % ethanol, or petrol, in air of half humidity at 25 °C as in the reference.
fn gas(fuel: &Fuel, lambda: f64) -> WorkingGas {
    let water = if fuel.name().contains("petrol") { 0.015_847 } else { 0.016_084 };
    WorkingGas::new(fuel, lambda, &Air::humid(water).unwrap()).unwrap().with_other_mixtures().unwrap()
}

/// The fresh charge of another mixture in terms of this gas.
fn charge(gas: &WorkingGas, lambda: f64) -> Composition {
    Composition { burned: 0.0, fuel: 1.0 / (1.0 + lambda * gas.stoichiometric_humid_air_fuel()) }
}

/// A closed cycle from bottom to bottom dead centre and its work for a kilogram of air, J/kg.
fn cycle(gas: &WorkingGas, lambda: f64, spec: &CylinderSpec, burn: Wiebe) -> (ClosedResult, f64) {
    let c = charge(gas, lambda);
    let cylinder = Cylinder::new(spec, gas, -PI, 3e5, 330.0, c).unwrap();
    let air = cylinder.total_mass() * (1.0 - c.fuel);
    let part = ClosedPart { from: -PI + 1e-9, to: PI, crank_speed: 700.0, steps_per_radian: 200.0 };
    let result = part.run(&cylinder, gas, Some(burn), |_, _| {}).unwrap();
    let work = result.totals.gross_work / air;
    (result, work)
}

/// Ideal cycle at constant volume, compression 8.5, from 330 K and 3 bar, in equilibrium throughout: work for a kilogram of air
/// against that of the run's mixture, computed with Cantera 3.2 (NASA polynomials) from the elements of each mixture; the values are
/// per cent. Between here and there: the burn lasts 0.7°, the burned gas freezes below 1,800 to 1,600 K, and the tables lie straight
/// between mixtures. The first two are in both cycles of a pair and leave little.
#[test]
fn the_work_of_another_mixture_is_that_of_its_elements() {
    const TOLERANCE: f64 = 0.1;
    let blend = Fuel::ethanol_blend(0.85).unwrap();
    let petrol = Fuel::petrol();
    let pairs: [(&Fuel, f64, &[(f64, f64)]); 3] = [
        (&blend, 0.795, &[(0.817, 0.326), (0.77, -0.408), (0.85, 0.752)]),
        (&petrol, 1.0, &[(1.03, -1.868), (1.06, -3.923), (0.97, 0.709), (0.94, 0.801)]),
        (&petrol, 1.1, &[(1.14, -2.818), (1.06, 2.919)]),
    ];
    let mut spec = CylinderSpec::plain(0.086, 0.086, 0.143, 8.5);
    spec.heat = HeatLaw::Adiabatic;
    spec.completeness = 1.0;
    let burn = Wiebe::new(-0.006, 0.0125, 10.0, 2.0).unwrap();
    for (fuel, run, others) in pairs {
        let gas = gas(fuel, run);
        let (_, own) = cycle(&gas, run, &spec, burn);
        for (lambda, expected) in others {
            let (_, work) = cycle(&gas, *lambda, &spec, burn);
            let found = 100.0 * (work / own - 1.0);
            println!("{} λ {run} → {lambda}: {found:+.3} %, by elements {expected:+.3} %", fuel.name());
            assert!((found - expected).abs() < TOLERANCE, "{found} instead of {expected}");
        }
    }
}

/// A cylinder's mixture says the same whether the run has it or not: work, peak, heat, knock, exhaust temperature of a racing cycle.
#[test]
fn a_cylinder_says_the_same_in_a_run_of_its_own_mixture() {
    let blend = Fuel::ethanol_blend(0.85).unwrap();
    let spec = CylinderSpec {
        knock: Some(DelayLaw::Ethanol { factor: 1.0 }),
        crevice: Some(CreviceSpec { volume: 0.9e-6, temperature: 440.0, late_oxidation: 0.5 }),
        ..CylinderSpec::plain(0.086, 0.086, 0.143, 8.5)
    };
    let burn = Wiebe::from_burn_angles(13.0 * DEGREE, 25.0 * DEGREE, 2.0).unwrap();
    let run = gas(&blend, 0.795);
    let (_, mean_work) = cycle(&run, 0.795, &spec, burn);
    let mean = cycle(&run, 0.795, &spec, burn).0;
    for lambda in [0.817, 0.775] {
        let (there, work) = cycle(&run, lambda, &spec, burn);
        let (own, own_work) = cycle(&gas(&blend, lambda), lambda, &spec, burn);
        let hot = |r: &ClosedResult| r.end.state().temperature;
        println!(
            "λ {lambda}: work {:+.3} % of its own run, peak {:+.3} %, heat {:+.3} %, knock {:+.3} %, end {:+.1} K; against the mean work {:+.2} %, end {:+.1} K, knock {:+.2} %",
            100.0 * (work / own_work - 1.0),
            100.0 * (there.totals.peak_pressure / own.totals.peak_pressure - 1.0),
            100.0 * (there.totals.total_heat() / own.totals.total_heat() - 1.0),
            100.0 * (there.knock / own.knock - 1.0),
            hot(&there) - hot(&own),
            100.0 * (work / mean_work - 1.0),
            hot(&there) - hot(&mean),
            100.0 * (there.knock / mean.knock - 1.0),
        );
        assert!((work / own_work - 1.0).abs() < 5e-4);
        assert!((there.totals.peak_pressure / own.totals.peak_pressure - 1.0).abs() < 5e-4);
        assert!((there.totals.total_heat() / own.totals.total_heat() - 1.0).abs() < 1e-3);
        assert!((there.knock / own.knock - 1.0).abs() < 5e-3);
        assert!((hot(&there) - hot(&own)).abs() < 2.0);
        // Rich: a leaner cylinder burns hotter, does more for its air and knocks sooner.
        let leaner = lambda > 0.795;
        assert_eq!(work > mean_work, leaner);
        assert_eq!(hot(&there) > hot(&mean), leaner);
        assert_eq!(there.knock > mean.knock, leaner);
    }
}
