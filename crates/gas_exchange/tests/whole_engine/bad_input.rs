//! What cannot be run is refused with a reason that names it; nothing is ever not a number.

use crate::{RPM, engines};
use gas_exchange::cylinder::Wiebe;
use gas_exchange::whole_engine::{EngineSpec, RunError, Settings, Simulation};

fn refusal(change: impl Fn(&mut EngineSpec)) -> String {
    let mut spec = engines::turbo_four();
    change(&mut spec);
    let outcome = Simulation::new(&spec, 6000.0 * RPM)
        .and_then(|mut s| s.converge(&Settings { tolerance: 1e-4, most_cycles: 5 }, |_, _| true));
    match outcome {
        Ok(point) => panic!("it ran: {} N·m", point.torque),
        Err(error) => error.to_string(),
    }
}

#[test]
fn each_mistake_is_named() {
    let text = refusal(|spec| spec.cylinders[2].intake_duct.stations[1].x = 0.0);
    assert!(text.contains("intake duct of cylinder 3"), "{text}");
    let text = refusal(|spec| spec.exhaust.collectors[0].cylinders = vec![0]);
    assert!(text.contains("cylinder 4") && text.contains("exactly one"), "{text}");
    let text = refusal(|spec| spec.intake.plenum = Some(0.0));
    assert!(text.contains("plenum"), "{text}");
    let text = refusal(|spec| spec.cell_length = f64::NAN);
    assert!(text.contains("cell length"), "{text}");
    let text = refusal(|spec| spec.lambda = 0.0);
    assert!(text.contains('0'), "{text}");
    let text = refusal(|spec| spec.cylinders.clear());
    assert!(text.contains("at least one cylinder"), "{text}");
    let text = refusal(|spec| spec.cylinders[1].cylinder.clearance_volume = -1.0);
    assert!(text.contains("cylinder 2") && text.contains("clearance"), "{text}");
}

/// Ignition after the exhaust opened, and before the intake closed.
#[test]
fn ignition_with_a_valve_open_is_refused() {
    let text = refusal(|spec| {
        spec.burn_by_speed.clear();
        spec.timing = gas_exchange::whole_engine::Timing::HalfBurned(2.9);
        for unit in &mut spec.cylinders {
            unit.cylinder.burn = Some(Wiebe::new(2.6, 0.5, 5.0, 2.0).expect("a burn"));
        }
    });
    assert!(text.contains("valve is open"), "{text}");
}

#[test]
fn a_crank_that_does_not_turn_is_refused() {
    for speed in [0.0, -10.0, f64::NAN, f64::INFINITY] {
        let outcome = Simulation::new(&engines::turbo_four(), speed);
        assert!(matches!(outcome, Err(RunError::Speed(_))), "{speed}");
    }
}
