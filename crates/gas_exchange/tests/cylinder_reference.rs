//! The closed part of a cycle against `reference/closed_cycle.py`: other equations, Cantera's properties and equilibrium.

mod reference_data;

use gas_exchange::cylinder::closed_cycle::ClosedPart;
use gas_exchange::cylinder::{Cylinder, CylinderSpec, PortFlow, Wiebe};
use gas_exchange::gas::burned_table::EQUILIBRIUM_ABOVE;
use gas_exchange::gas::{Air, Composition, Fuel, WorkingGas};

/// Largest differences over a case.
#[derive(Debug, Default)]
struct Worst {
    pressure: f64,
    /// Pressure where the burned gas is below the temperature of equilibrium.
    frozen: f64,
    unburned: f64,
    burned: f64,
}

/// The burned zone's temperature is compared from this share of the charge on: before, half a step decides it (1.5 % at 4e-6).
const LEAST_SHARE: f64 = 1e-4;

fn compare(case: &[String], rows: &[(f64, f64, f64, f64)]) -> Worst {
    let value = |i: usize| case[i].parse::<f64>().unwrap();
    let fuel = match case[1].as_str() {
        "petrol" => Fuel::petrol(),
        "iso-octane" => Fuel::iso_octane(),
        "methanol" => Fuel::methanol(),
        other => panic!("no fuel {other}"),
    };
    let gas = WorkingGas::new(&fuel, value(2), &Air::DRY).unwrap();
    let residual = value(3);
    let c = Composition { burned: residual, fuel: (1.0 - residual) * gas.fresh().fuel };
    let burn = Wiebe::new(value(8), value(9), value(10), value(11)).unwrap();
    let spec = CylinderSpec::plain(0.086, 0.086, 0.143, value(4));
    let (first, last) = (-2.2, 2.1);
    let mut cylinder = Cylinder::new(&spec, &gas, first, value(6), value(7), c).unwrap();
    let mut worst = Worst::default();
    let mut at = first;
    let mut burning_seen = 0;
    for &(angle, pressure, unburned, burned) in rows.iter().filter(|row| row.0 <= last) {
        cylinder.set_burn(Some(burn));
        // Steps of the caller that do not fit the cylinder's own, on purpose.
        let steps = 2;
        for i in 0..steps {
            let step = (angle - at) / f64::from(steps);
            let from = at + step * f64::from(i);
            cylinder.advance(&gas, [from, from + step], step / value(5), PortFlow::default(), true).unwrap();
        }
        at = angle;
        let relative = |a: f64, b: f64| (a / b - 1.0).abs();
        let difference = relative(cylinder.state().pressure, pressure);
        if burned > 0.0 && burned < EQUILIBRIUM_ABOVE {
            worst.frozen = worst.frozen.max(difference);
        } else {
            worst.pressure = worst.pressure.max(difference);
        }
        if burned <= 0.0 || cylinder.burning() {
            worst.unburned = worst.unburned.max(relative(cylinder.unburned_temperature(), unburned));
        }
        let share = cylinder.zones()[1].mass / cylinder.state().mass;
        if burned > 0.0 && cylinder.burning() && share > LEAST_SHARE {
            burning_seen += 1;
            worst.burned = worst.burned.max(relative(cylinder.zones()[1].temperature, burned));
        }
    }
    assert!(burning_seen > 15, "{burning_seen}");
    worst
}

/// Pressure within 0.1 % from intake closing until the burned gas falls below 1800 K; both temperatures too while it burns.
///
/// Two things then differ by design. Below 1800 K our burned gas freezes (it must be the ducts' gas below 1600 K) while the
/// reference stays in equilibrium: up to 0.14 % of pressure, and 0.27 % with rich methanol, whose burned gas at λ = 0.8 shifts more.
/// And our zones mix at the end of the burn while the reference keeps the last 0.7 % of unburned gas apart: 0.08 %, inside of
/// the 0.1 %.
#[test]
fn the_closed_part_agrees_with_an_independent_integration() {
    let cases = reference_data::rows(
        "closed_cycle_cases.csv",
        "case,fuel,lambda,residual,compression,speed,pressure,temperature,start,duration,a,m",
    );
    let rows = reference_data::rows("closed_cycle.csv", "case,angle,pressure,unburned,burned");
    assert_eq!(cases.len(), 3);
    for case in &cases {
        let mine: Vec<_> = rows
            .iter()
            .filter(|row| row[0] == case[0])
            .map(|row| {
                let v = |i: usize| row[i].parse::<f64>().unwrap();
                (v(1), v(2), v(3), v(4))
            })
            .collect();
        assert!(mine.len() > 90);
        let worst = compare(case, &mine);
        let frozen = if case[0] == "methanol" { 3e-3 } else { 1.5e-3 };
        let good =
            worst.pressure < 1e-3 && worst.frozen < frozen && worst.unburned < 1e-3 && worst.burned < 1.5e-3;
        assert!(good, "{}: {worst:?}", case[0]);
    }
}

/// Halving the steps below the cylinder's own moves the pressure by a fraction of what it already has: second order.
#[test]
fn the_steps_are_fine_enough() {
    let gas = WorkingGas::new(&Fuel::petrol(), 0.88, &Air::DRY).unwrap();
    let spec = CylinderSpec::plain(0.086, 0.086, 0.143, 10.5);
    let burn = Wiebe::new(-0.45, 1.05, 5.0, 2.0).unwrap();
    let cylinder = Cylinder::new(&spec, &gas, -2.2, 1.8e5, 365.0, gas.fresh()).unwrap();
    let work = |steps_per_radian| {
        let part = ClosedPart { from: -2.2, to: 2.1, crank_speed: 700.0, steps_per_radian };
        part.run(&cylinder, &gas, Some(burn), |_, _| {}).unwrap().totals.work()
    };
    let exact = work(4000.0);
    let (coarse, half, fine) = (work(115.0), work(230.0), work(460.0));
    let error = |w: f64| (w / exact - 1.0).abs();
    assert!(error(coarse) < 5e-5);
    assert!(error(half) < 0.35 * error(coarse) && error(fine) < 0.35 * error(half));
}
