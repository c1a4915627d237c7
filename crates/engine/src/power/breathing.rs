//! What holds the air back: intake valves, restrictor and throttle, the work of the gas exchange.

use super::result::PowerPoint;
use gas_exchange::network::ValveGroup;
use gas_exchange::valves::orifice::choked_flow_factor;
use gas_exchange::whole_engine::{EngineSpec, OperatingPoint};
use std::f64::consts::PI;

/// Mean inlet Mach index above which an engine fills badly. Japan Society of Mechanical Engineers, *Dictionary of Mechanical
/// Engineering*, entry 11-1002813 (read): efficiency falls steeply from 0.5 on. Taylor, *The Internal-Combustion Engine*, vol. 1,
/// ch. 6 (from memory): from 0.6 on. Tuned pipes move the fall, they do not take it away.
pub const INLET_MACH: f64 = 0.5;
/// Share of the choked flow from which a throat counts as choked in the mean: the flow pulsates. Judgement.
pub(super) const CHOKED: f64 = 0.95;
/// Share of a cylinder's air that may pass its own throttle while that is choked. Judgement.
pub(super) const MOST_CHOKED_AIR: f64 = 0.05;
/// Share of the gross work beyond which the gas exchange counts as a limit. Judgement.
pub(super) const MOST_PUMPING: f64 = 0.10;

const GAMMA: f64 = 1.4;
const AIR: f64 = 287.05;

/// Mean effective area of a group of valves while they are off their seats, m².
fn mean_area(group: &ValveGroup) -> f64 {
    const SAMPLES: u32 = 400;
    let events = group.lift.events();
    let span = events.closes - events.opens;
    let sum: f64 = (0..SAMPLES)
        .map(|i| events.opens + span * (f64::from(i) + 0.5) / f64::from(SAMPLES))
        .map(|angle| group.flow.effective_area(group.lift.at(angle)))
        .sum();
    group.count * sum / f64::from(SAMPLES)
}

/// Z = (piston area · mean piston speed)/(mean effective area of the intake valves · speed of sound before them), the largest of all
/// cylinders. Crank speed in rad/s, temperature before the valves in K. Source: see [`INLET_MACH`].
pub(super) fn inlet_mach(engine: &EngineSpec, speed: f64, temperature: f64) -> Option<f64> {
    let sound = (GAMMA * AIR * temperature).sqrt();
    engine
        .cylinders
        .iter()
        .map(|unit| {
            let piston = 0.25 * PI * unit.cylinder.bore * unit.cylinder.bore;
            let mean_speed = 2.0 * unit.cylinder.crank_radius * speed / PI;
            piston * mean_speed / (mean_area(&unit.intake) * sound)
        })
        .filter(|z| z.is_finite())
        .max_by(f64::total_cmp)
}

/// Air through the engine over what restrictor or open throttle pass when they choke (Heywood, appendix C), the larger of both.
pub(super) fn throat_share(engine: &EngineSpec, point: &OperatingPoint) -> Option<f64> {
    let share = |area: f64, pressure: f64, temperature: f64| {
        point.air_flow / (area * pressure / (AIR * temperature).sqrt() * choked_flow_factor(GAMMA))
    };
    let outside = (engine.ambient.pressure, engine.ambient.temperature);
    let before_throttle = point.rotor.as_ref().map_or(outside, |rotor| {
        (rotor.cooler_pressure.unwrap_or(rotor.outlet_pressure), point.plenum_temperature)
    });
    let restrictor = engine.intake.restrictor.map(|area| share(area, outside.0, outside.1));
    // Throttles of single runners see the flow of one cylinder in pulses: [`PowerPoint::choked_air`] tells whether they choke.
    let throttle = engine
        .intake
        .throttle
        .filter(|_| engine.intake.plenum.is_some())
        .map(|area| share(area, before_throttle.0, before_throttle.1));
    [restrictor, throttle].into_iter().flatten().max_by(f64::total_cmp)
}

/// Restrictor or throttle pass nearly all that they can, in the mean or in the pulses of one cylinder.
pub(super) fn chokes(point: &PowerPoint) -> bool {
    point.throat_share.is_some_and(|s| s > CHOKED) || chokes_in_pulses(point)
}

/// The same of throttles of single runners.
pub(super) fn chokes_in_pulses(point: &PowerPoint) -> bool {
    point.choked_air.is_some_and(|s| s > MOST_CHOKED_AIR)
}

/// Work that the gas exchange takes, share of the work of compression, burn and expansion; below 0 where it gives.
pub(super) fn pumping_share(point: &PowerPoint) -> f64 {
    let gross = point.imep - point.pmep;
    if gross > 0.0 { -point.pmep / gross } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pumping_is_counted_against_the_gross_work() {
        let point = PowerPoint { imep: 9e5, pmep: -1e5, ..PowerPoint::default() };
        assert!((pumping_share(&point) - 0.1).abs() < 1e-12);
        let helped = PowerPoint { imep: 11e5, pmep: 1e5, ..PowerPoint::default() };
        assert!((pumping_share(&helped) + 0.1).abs() < 1e-12);
    }
}
