//! Gases and ducts for the tests, and the loop that drives them.

use gas_exchange::ducts::{DuctEnd, DuctSpec, Ducts, EndFlux, EndState, Side, Station};
use gas_exchange::gas::DuctGas;
use mechanics::math::powi;

/// R of the ideal test gas, J/(kg K).
pub const R: f64 = 287.0;
/// Its ratio of specific heats.
pub const GAMMA: f64 = 1.4;

/// A gas whose constituents are all the same ideal gas.
pub fn ideal() -> DuctGas {
    let cv = R / (GAMMA - 1.0);
    let energy = [-cv * 298.15, cv * 1000.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
    DuctGas { gas_constant: [R; 3], energy: [energy; 3], formation: [0.0; 3] }
}

/// A gas like air, vapour and products, with cv rising in T: invented coefficients of the right size.
pub fn real() -> DuctGas {
    let curve = |cv: f64, rise: f64, bend: f64, more: f64| {
        let mut c = [0.0, cv * 1000.0, rise * 1000.0, bend * 1000.0, more * 1000.0, 20.0, 0.0, 0.0];
        c[0] = -(1..6).zip(1_usize..).map(|(power, i)| c[i] * powi(0.29815, power)).sum::<f64>();
        c
    };
    DuctGas {
        gas_constant: [287.05, 80.0, 290.0],
        energy: [
            curve(690.0, 60.0, 40.0, -12.0),
            curve(700.0, 1400.0, -300.0, 20.0),
            curve(730.0, 150.0, 20.0, -10.0),
        ],
        formation: [0.0, -2e6, -3e6],
    }
}

/// A smooth straight pipe without walls' friction or heat.
pub fn bare(length: f64, diameter: f64, cells: usize) -> DuctSpec {
    DuctSpec {
        stations: vec![Station { x: 0.0, diameter }, Station { x: length, diameter }],
        cells,
        wall_temperature: 300.0,
        roughness: 0.0,
        heat_factor: 0.0,
        friction_factor_scale: 0.0,
    }
}

/// Runs with closed ends until a time; returns the steps taken.
pub fn run(ducts: &mut Ducts, courant: f64, end: f64) -> usize {
    run_with(ducts, courant, end, |_, _| ())
}

/// Runs until a time; `ends` sets the fluxes of the ends, told the time in the middle of the step.
pub fn run_with(ducts: &mut Ducts, courant: f64, end: f64, mut ends: impl FnMut(&mut Ducts, f64)) -> usize {
    let (mut t, mut steps) = (0.0, 0);
    while t < end {
        let dt = ducts.step_limit(courant).min(end - t);
        ducts.predict(dt);
        ends(ducts, t + 0.5 * dt);
        ducts.update(dt).expect("the step holds");
        t += dt;
        steps += 1;
    }
    steps
}

/// Flux of a state of the ideal test gas through an end.
pub fn flux(density: f64, velocity: f64, pressure: f64, area: f64) -> EndFlux {
    let mass = density * velocity * area;
    let energy = pressure / (GAMMA - 1.0) / density - R / (GAMMA - 1.0) * 298.15 + 0.5 * velocity * velocity;
    EndFlux {
        mass,
        momentum: mass * velocity + pressure * area,
        energy: mass * (energy + pressure / density),
        ..EndFlux::default()
    }
}

/// Lets the gas pass an end as if the duct went on.
pub fn let_pass(ducts: &mut Ducts, duct: usize, side: Side) {
    let end = DuctEnd { duct, side };
    let EndState { density, velocity, pressure, area, .. } = ducts.end_state(end);
    ducts.set_end_flux(end, flux(density, velocity, pressure, area));
}
