//! Rotor speed and wastegate from cycle to cycle.

use super::results::RotorResult;
use super::spec::{Ambient, Cooler, EngineSpec, TurbochargerUnit};
use crate::network::Rotor;
use crate::network::passage::cooled;
use crate::turbocharger::compressor::Inlet;

/// Share of the boost error, and of its last change, taken out of the rotor speed in one cycle. The plenum answers with a cycle's
/// delay: found by trial on the turbocharged four (`--example curve_cost`), more swings at high speed, less creeps.
const BOOST_GAIN: f64 = 0.5;
/// Share of the power error taken out of the rotor speed when the wastegate is shut.
const BALANCE_GAIN: f64 = 0.08;
/// Change of the wastegate's area, in shares of its greatest, for each unit of power error.
const GATE_GAIN: f64 = 0.9;
/// From this boost error on the rotor is set by its map, not moved in shares.
pub(super) const LEAP: f64 = 0.03;

/// What the governor remembers of the last cycle.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Governor {
    /// Boost error of the last cycle.
    last: Option<f64>,
    /// Boost error at which the rotor was last set by its map at this point.
    leapt: Option<f64>,
    /// Where the last two points settled, the last one first.
    settled: [Option<Settled>; 2],
    /// Rotor speed that was foreseen for the point under way, rad/s.
    foreseen: Option<f64>,
}

/// Where a point settled.
#[derive(Clone, Copy, Debug)]
struct Settled {
    crank_speed: f64,
    wastegate: f64,
    /// Rotor speed over the one foreseen for it.
    off: f64,
}

/// Power that is left over, share of the compressor's.
fn surplus(rotor: &Rotor, mechanical_efficiency: f64) -> f64 {
    let cycle = &rotor.cycle;
    (cycle.turbine_work * mechanical_efficiency - cycle.compressor_work) / cycle.compressor_work.max(1e-9)
}

impl Governor {
    /// What the last cycle said of another point says nothing of the next.
    pub(super) fn forget(&mut self) {
        self.last = None;
        self.leapt = None;
    }

    /// Whether the rotor is to be set by its map for this boost error: only where the last time it did at least halve the error.
    /// Behind a restrictor that chokes it does not, however fast the rotor: then powers and wastegate decide.
    pub(super) fn leaps(&mut self, result: &RotorResult) -> bool {
        let error = result.boost_error.abs();
        let helps = self.leapt.is_none_or(|before| error < 0.5 * before);
        let leaps = !result.gate_shut_short && error > LEAP && helps;
        if leaps {
            self.leapt = Some(error);
        }
        leaps
    }

    /// Keeps where a point settled: it tells where the next one will.
    pub(super) fn settled(&mut self, crank_speed: f64, rotor_speed: f64, wastegate: f64) {
        let off = self.foreseen.map_or(1.0, |foreseen| rotor_speed / foreseen);
        self.settled = [Some(Settled { crank_speed, wastegate, off }), self.settled[0]];
    }

    /// Moves a rotor that its map has set for the next point by what the map missed at the last one, and the wastegate along the line
    /// through the last two: a start, not a result.
    pub(super) fn expect(
        &mut self,
        rotor: &mut Rotor,
        wastegate_area: f64,
        crank_speed: f64,
        ambient: Ambient,
    ) {
        let inlet_temperature = inlet(rotor, ambient).temperature;
        self.foreseen = Some(rotor.speed());
        let [Some(last), before] = self.settled else { return };
        rotor.set_speed(rotor.speed() * last.off.clamp(0.97, 1.03), inlet_temperature);
        let Some(before) = before else { return };
        let open = |gate: f64| gate > 0.0 && gate < wastegate_area;
        let step = last.crank_speed - before.crank_speed;
        if open(last.wastegate) && open(before.wastegate) && step.abs() > 1e-6 * crank_speed {
            let slope = (last.wastegate - before.wastegate) / step;
            let most = 0.2 * wastegate_area;
            let change = slope * (crank_speed - last.crank_speed);
            rotor.wastegate = (last.wastegate + change.clamp(-most, most)).clamp(0.0, wastegate_area);
        }
    }

    /// Moves rotor speed and wastegate after a cycle.
    pub(super) fn govern(
        &mut self,
        rotor: &mut Rotor,
        unit: &TurbochargerUnit,
        plenum_pressure: f64,
        ambient: Ambient,
        crank_speed: f64,
    ) {
        let inlet_temperature = inlet(rotor, ambient).temperature;
        let boost_error = {
            let target = unit.boost_at(crank_speed);
            (target - plenum_pressure) / target
        };
        let surplus = surplus(rotor, unit.mechanical_efficiency).clamp(-1.0, 1.0);
        let before = self.last.replace(boost_error).unwrap_or(boost_error);
        let trend = (boost_error - before).clamp(-0.5 * boost_error.abs(), 0.5 * boost_error.abs());
        let by_boost = BOOST_GAIN * (boost_error + trend).clamp(-0.3, 0.3);
        let by_balance = BALANCE_GAIN * surplus;
        let shut = rotor.wastegate <= 0.0;
        // With the gate shut the shaft decides, unless there is power to spare for the boost wanted.
        let change = if shut { by_boost.min(by_balance) } else { by_boost };
        rotor.set_speed(rotor.speed() * (1.0 + change), inlet_temperature);
        // Below the boost wanted a shut gate stays shut: what is left over speeds the rotor up.
        let spare = if shut && boost_error > 0.05 { surplus.min(0.0) } else { surplus };
        let gate = rotor.wastegate + GATE_GAIN * spare * unit.wastegate_area;
        rotor.wastegate = gate.clamp(0.0, unit.wastegate_area);
    }
}

/// Sets the rotor to the speed that its map gives for a flow and a pressure that are `flow` and `rise` times those of the last
/// cycle: a start for the next point, not a result.
pub(super) fn foresee(rotor: &mut Rotor, ambient: Ambient, rise: f64, flow: f64) {
    let cycle = rotor.cycle;
    if cycle.time <= 0.0 {
        return;
    }
    let inlet = inlet(rotor, ambient);
    let ratio = (cycle.pressure_ratio / cycle.time * rise).max(1.01);
    let flow = cycle.compressor_mass / cycle.time / rotor.count * flow;
    let (mut low, mut high) = (0.2 * rotor.speed(), 2.0 * rotor.speed());
    for _ in 0..30 {
        let middle = 0.5 * (low + high);
        if rotor.compressor.at_flow(&inlet, middle, flow).pressure_ratio < ratio {
            low = middle;
        } else {
            high = middle;
        }
    }
    rotor.set_speed(0.5 * (low + high), inlet.temperature);
}

/// Air before the compressor, mean over the last cycle: that behind a restrictor, the air outside without one and before there was a
/// cycle.
fn inlet(rotor: &Rotor, ambient: Ambient) -> Inlet {
    let cycle = &rotor.cycle;
    let (pressure, temperature) = if cycle.time > 0.0 {
        (cycle.inlet_pressure / cycle.time, cycle.inlet_temperature / cycle.time)
    } else {
        (ambient.pressure, ambient.temperature)
    };
    Inlet { pressure, temperature, specific_heat: 1005.0, gamma: 1.4 }
}

/// How far boost and power balance are from what they should be, as a share of torque (judgement: all of what the boost lacks, a tenth
/// of what is left over on the shaft).
pub(super) fn open_question(rotor: &RotorResult) -> f64 {
    let balance = 0.1 * rotor.imbalance.abs();
    let boost = rotor.boost_error.abs();
    if rotor.gate_shut_short {
        balance
    } else if rotor.gate_open_over {
        boost
    } else {
        balance.max(boost)
    }
}

/// Gas constant of dry air, J/(kg K).
const AIR: f64 = 287.05;

/// What the cycle says of the turbocharger.
pub(super) fn result(
    rotor: &Rotor,
    spec: &EngineSpec,
    plenum_pressure: f64,
    crank_speed: f64,
) -> RotorResult {
    let Some(unit) = &spec.turbocharger else { return RotorResult::default() };
    let cycle = &rotor.cycle;
    let inlet = inlet(rotor, spec.ambient);
    let mass_flow = cycle.compressor_mass / cycle.time / rotor.count;
    let pressure_ratio = cycle.pressure_ratio / cycle.time;
    let margins = rotor.compressor.margins(&inlet, rotor.speed(), mass_flow);
    let target = unit.boost_at(crank_speed);
    let boost_error = (target - plenum_pressure) / target;
    let delivery_pressure = cycle.delivery_pressure / cycle.time;
    let delivery_temperature = cycle.delivery_temperature / cycle.time;
    let all = cycle.compressor_mass / cycle.time;
    let passed = cycle.turbine_mass + cycle.wastegate_mass;
    RotorResult {
        speed: rotor.speed(),
        pressure_ratio,
        mass_flow,
        corrected_flow: mass_flow / rotor.compressor.flow_scale(&inlet),
        power: cycle.compressor_work / cycle.time / rotor.count,
        wastegate_share: if passed > 0.0 { cycle.wastegate_mass / passed } else { 0.0 },
        gate_shut_short: rotor.wastegate <= 0.0 && boost_error > TOLERANCE,
        gate_open_over: rotor.wastegate >= unit.wastegate_area && boost_error < -TOLERANCE,
        surge_margin: margins.surge,
        choke_margin: margins.choke,
        speed_margin: margins.overspeed,
        at_end_of_map: rotor.at_end_of_map(inlet.temperature),
        inlet_pressure: inlet.pressure,
        inlet_temperature: inlet.temperature,
        outlet_pressure: delivery_pressure,
        outlet_temperature: cycle.outlet_temperature / cycle.compressor_mass.max(1e-12),
        cooler_pressure: unit.cooler.map(|c| behind_cooler(c, delivery_pressure, delivery_temperature, all)),
        cooler_temperature: unit.cooler.map(|c| cooled(delivery_temperature, c.effectiveness, c.coolant)),
        turbine_pressure: cycle.turbine_pressure / cycle.time,
        turbine_temperature: cycle.turbine_temperature / cycle.turbine_mass.max(1e-12),
        imbalance: surplus(rotor, unit.mechanical_efficiency),
        boost_error,
    }
}

/// Mean pressure behind the cooler, Pa: p₁ − p₂ = loss · ṁ² R T₂/p₂ solved for p₂. The pulsation of the flow is left out.
fn behind_cooler(cooler: Cooler, pressure: f64, temperature: f64, flow: f64) -> f64 {
    let left = cooled(temperature, cooler.effectiveness, cooler.coolant);
    let squared = cooler.loss * flow * flow * AIR * left;
    0.5 * (pressure + (pressure * pressure - 4.0 * squared).max(0.0).sqrt())
}

/// Boost error that counts as held, share.
const TOLERANCE: f64 = 3e-3;
