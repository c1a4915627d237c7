//! Rotor speed and wastegate from cycle to cycle.

use super::results::RotorResult;
use super::spec::{EngineSpec, TurbochargerUnit};
use crate::network::Rotor;

/// Share of the boost error taken out of the rotor speed in one cycle. Boost goes about with the square of the speed, and the
/// pipes need a few cycles to fill.
const BOOST_GAIN: f64 = 0.18;
/// Share of the power error taken out of the rotor speed when the wastegate is shut.
const BALANCE_GAIN: f64 = 0.06;
/// Change of the wastegate's area, in shares of its greatest, for each unit of power error.
const GATE_GAIN: f64 = 0.25;

/// Power that is left over, share of the compressor's.
fn surplus(rotor: &Rotor, mechanical_efficiency: f64) -> f64 {
    let cycle = &rotor.cycle;
    (cycle.turbine_work * mechanical_efficiency - cycle.compressor_work) / cycle.compressor_work.max(1e-9)
}

/// Moves rotor speed and wastegate after a cycle.
pub(super) fn govern(rotor: &mut Rotor, unit: &TurbochargerUnit, plenum_pressure: f64) {
    let boost_error = (unit.boost_target - plenum_pressure) / unit.boost_target;
    let surplus = surplus(rotor, unit.mechanical_efficiency).clamp(-1.0, 1.0);
    let by_boost = BOOST_GAIN * boost_error.clamp(-0.5, 0.5);
    let by_balance = BALANCE_GAIN * surplus;
    let shut = rotor.wastegate <= 0.0;
    // With the gate shut the shaft decides, unless there is power to spare for the boost wanted.
    let change = if shut { by_boost.min(by_balance.max(-0.05)) } else { by_boost };
    rotor.speed *= 1.0 + change;
    let gate = rotor.wastegate + GATE_GAIN * surplus * unit.wastegate_area;
    rotor.wastegate = gate.clamp(0.0, unit.wastegate_area);
}

/// How far boost and power balance are from what they should be, share.
pub(super) fn open_question(rotor: &RotorResult) -> f64 {
    if rotor.gate_open_over { rotor.boost_error.abs() } else { rotor.imbalance.abs() }
}

pub(super) fn result(_rotor: &Rotor, _spec: &EngineSpec, _plenum: f64) -> RotorResult { RotorResult::default() }
