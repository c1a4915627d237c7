//! Fits against worked examples, and sensitivities against differences.

use mechanics::fit::bearing::{
    Elastic, PlainBearing, PressFit, crush_height, crush_interference, wall_for_clearance,
};
use mechanics::fit::deck::{compressed_gasket, gasket_compression, piston_below_deck, quench};
use mechanics::fit::valve::{
    coil_bind_margin, height_after, height_for_load, lash_after, shim_for, spring_load,
};
use mechanics::fit::{diametral_clearance, interference, side_clearance};
use mechanics::kinematics::SliderCrank;

const MM: f64 = 1e-3;
const STEEL: Elastic = Elastic { modulus: 207e9, poisson: 0.3 };

fn close(found: f64, expected: f64, absolute: f64) {
    assert!((found - expected).abs() <= absolute, "{found} is not {expected}");
}

#[test]
fn plain_differences() {
    close(diametral_clearance(89.105 * MM, 89.021 * MM), 0.084 * MM, 1e-12);
    close(interference(22.980 * MM, 23.000 * MM), 0.020 * MM, 1e-12);
    close(side_clearance(42.50 * MM, &[21.1 * MM, 21.1 * MM]), 0.30 * MM, 1e-12);
    close(lash_after(0.31 * MM, 2.65 * MM, 2.75 * MM), 0.21 * MM, 1e-12);
    close(shim_for(0.31 * MM, 2.65 * MM, 0.21 * MM), 2.75 * MM, 1e-12);
    close(coil_bind_margin(33.10 * MM, 10.60 * MM, 22.10 * MM), 0.40 * MM, 1e-12);
    close(spring_load(330.0, 34.0 * MM, 41e3, 33.1 * MM), 366.9, 1e-9);
    close(height_for_load(330.0, 34.0 * MM, 41e3, 366.9), 33.1 * MM, 1e-12);
    close(height_after(33.1 * MM, 0.9 * MM, 0.0), 34.0 * MM, 1e-12);
    close(quench(0.10 * MM, 1.05 * MM), 1.15 * MM, 1e-12);
    close(wall_for_clearance(49.510 * MM, 46.471 * MM, 0.054 * MM), 1.4925 * MM, 1e-12);
}

/// Shigley, equation 3-56 and its companions (from memory; arithmetic done apart from this program).
#[test]
fn press_fits() {
    let solid = PressFit {
        interference: 0.050 * MM,
        inner_diameter: 0.0,
        interface_diameter: 50.0 * MM,
        outer_diameter: 100.0 * MM,
        outer: STEEL,
        inner: STEEL,
    }
    .assembled();
    close(solid.pressure, 77.625e6, 77.6e6 * 1e-5);
    close(solid.outer_hoop_stress, 129.375e6, 129e6 * 1e-5);
    let seat = PressFit {
        interference: 0.10 * MM,
        inner_diameter: 29.0 * MM,
        interface_diameter: 36.0 * MM,
        outer_diameter: 54.0 * MM,
        outer: Elastic { modulus: 72e9, poisson: 0.33 },
        inner: Elastic { modulus: 130e9, poisson: 0.27 },
    }
    .assembled();
    close(seat.pressure, 37.163e6, 37.2e6 * 2e-5);
    close(seat.outer_hoop_stress, 96.62e6, 96.6e6 * 1e-4);
    let loose = PressFit {
        interference: -0.01 * MM,
        inner_diameter: 29.0 * MM,
        interface_diameter: 36.0 * MM,
        outer_diameter: 54.0 * MM,
        outer: STEEL,
        inner: STEEL,
    };
    close(loose.assembled().pressure, 0.0, 0.0);
}

/// Interference is shared: what the housing grows and what the ring shrinks add up to it.
#[test]
fn interference_is_used_up() {
    let fit = PressFit {
        interference: 0.0318 * MM,
        inner_diameter: 46.537 * MM,
        interface_diameter: 49.510 * MM,
        outer_diameter: 70.0 * MM,
        outer: STEEL,
        inner: STEEL,
    };
    let pressed = fit.assembled();
    let inner_give = {
        let (d, di) = (fit.interface_diameter, fit.inner_diameter);
        pressed.pressure * d / STEEL.modulus * ((d * d + di * di) / (d * d - di * di) - STEEL.poisson)
    };
    close(pressed.housing_growth + inner_give, fit.interference, 1e-15);
    // A thin ring thickens by Poisson under hoop stress σ and is squeezed by half the pressure on its back:
    // (−ν σ − p/2) t/E. What is left is of the order of (t/d)².
    let wall = 0.5 * (fit.interface_diameter - fit.inner_diameter);
    let strain = (-STEEL.poisson * pressed.inner_hoop_stress - 0.5 * pressed.pressure) / STEEL.modulus;
    close(pressed.wall_growth, strain * wall, 0.01 * strain * wall);
    assert!(pressed.wall_growth > 0.0);
}

#[test]
fn bearing_clearance() {
    let middle = PlainBearing {
        housing: 49.510 * MM,
        upper_wall: 1.4865 * MM,
        lower_wall: 1.4865 * MM,
        journal: 46.485 * MM,
    };
    close(middle.clearance(), 0.052 * MM, 1e-12);
    close(crush_interference([0.05 * MM, 0.05 * MM]), 0.031_831 * MM, 1e-9);
    close(crush_height(0.5 * core::f64::consts::PI * 49.510 * MM + 0.05 * MM, 49.510 * MM), 0.05 * MM, 1e-12);
    let predicted = middle.predicted([0.05 * MM; 2], 70.0 * MM, STEEL, STEEL);
    close(predicted.by_subtraction, 0.052 * MM, 1e-12);
    let growth = predicted.with_growth - predicted.by_subtraction;
    assert!(growth > 0.001 * MM && growth < 0.010 * MM, "{growth}");
    let without = middle.predicted([0.0; 2], 70.0 * MM, STEEL, STEEL);
    close(without.with_growth, without.by_subtraction, 0.0);
}

#[test]
fn deck_heights() {
    let crank = |r: f64, l: f64, e: f64| SliderCrank::new(r, l, e).unwrap();
    let value = |x: [f64; 5]| piston_below_deck(x[0], &crank(x[1], x[2], x[3]), x[4]).value;
    close(value([219.15 * MM, 41.95 * MM, 146.5 * MM, 0.0, 30.6 * MM]), 0.10 * MM, 1e-12);
    let at = [219.15 * MM, 41.95 * MM, 146.5 * MM, 0.8 * MM, 30.6 * MM];
    let found = piston_below_deck(at[0], &crank(at[1], at[2], at[3]), at[4]);
    for i in 0..5 {
        let moved = |by: f64| {
            let mut x = at;
            x[i] += by;
            value(x)
        };
        close(found.sensitivities[i], (moved(1e-7) - moved(-1e-7)) / 2e-7, 1e-7);
    }
    let squeezed = compressed_gasket(1.3 * MM, 0.2);
    close(squeezed.value, 1.04 * MM, 1e-12);
    let back = gasket_compression(1.3 * MM, squeezed.value);
    close(back.value, 0.2, 1e-12);
    close(
        back.sensitivities[0],
        (gasket_compression(1.3001 * MM, squeezed.value).value
            - gasket_compression(1.2999 * MM, squeezed.value).value)
            / (2e-4 * MM),
        1e-3,
    );
}
