//! Figures of a run that stand as inputs in the working of its findings, so that a reader can work them out again.

use super::blank::rev;
use super::breathing::{chokes_in_pulses, pumping_share};
use super::result::{CylinderPoint, Flag, PowerPoint, PowerRun, RotorPoint};
use super::run::leanest;
use crate::document::Document;
use crate::findings::Input;
use crate::quantity::Dimension;
use std::f64::consts::TAU;

/// How torque and power follow from the mean pressures that stand among the inputs.
pub(super) const FROM_PRESSURES: &str = "whole-engine gas exchange and combustion, run until the cycle repeats; torque = (indicated − friction mean effective pressure) × swept volume/4π, power = torque × crank speed × 2π";

/// What a target is worked out from. `at` gives a figure at the speed that is asked.
pub(super) fn of_target(speed: f64, at: impl Fn(fn(&PowerPoint) -> f64) -> Option<f64>) -> Vec<Input> {
    type Pick = fn(&PowerPoint) -> f64;
    let figures: [(&str, Pick, Dimension); 11] = [
        ("indicated mean effective pressure", |p| p.imep, Dimension::Pressure),
        ("of the gas exchange in it", |p| p.pmep, Dimension::Pressure),
        ("friction mean effective pressure", |p| p.fmep, Dimension::Pressure),
        ("brake mean effective pressure", |p| p.bmep, Dimension::Pressure),
        // Four-stroke: the work of two turns over the brake mean effective pressure.
        ("swept volume", |p| 2.0 * TAU * p.torque / p.bmep, Dimension::Volume),
        ("pressure in the plenum, absolute", |p| p.plenum_pressure, Dimension::Pressure),
        ("temperature in the plenum", |p| p.plenum_temperature, Dimension::Temperature),
        ("volumetric efficiency against the plenum", |p| p.plenum_volumetric_efficiency, Dimension::Ratio),
        ("volumetric efficiency against the air outside", |p| p.volumetric_efficiency, Dimension::Ratio),
        ("air", |p| p.air_flow, Dimension::MassFlow),
        ("fuel", |p| p.fuel_flow, Dimension::MassFlow),
    ];
    let speed = Input::figure("crank speed".to_owned(), speed / TAU, Dimension::Speed, "");
    let of_run = figures.into_iter().filter_map(|(label, of, dimension)| {
        at(of).map(|value| Input::figure(label.to_owned(), value, dimension, "the run"))
    });
    std::iter::once(speed).chain(of_run).collect()
}

/// What an injector's share is held against, and what is not in it.
const OPEN_TOO_LONG: &str = "a share above the greatest duty; it comes from the steady flow as stated or read: the dead time, and another fluid or pressure on the bench of the injectors, are not in it";

/// The figure that a flag looks at, what it is, and the border that it passed, in words where nobody states it.
struct Looked {
    label: &'static str,
    dimension: Dimension,
    of: fn(&PowerPoint) -> Option<f64>,
    border: &'static str,
}

fn rotor(point: &PowerPoint, of: fn(&RotorPoint) -> f64) -> Option<f64> {
    point.rotor.as_ref().map(of)
}

fn looked(flag: Flag) -> Option<Looked> {
    let ratio = |label, of, border| Looked { label, dimension: Dimension::Ratio, of, border };
    Some(match flag {
        Flag::Knock => ratio(
            "largest knock integral",
            |p| p.cylinders.iter().map(|c| c.knock_integral).reduce(f64::max),
            "the knock integral of a cylinder above its border, or timing put later to stay at it",
        ),
        Flag::Surge => ratio(
            "share by which the flow can fall at this speed until the surge line",
            |p| rotor(p, |r| r.surge_margin),
            "a share below 0.05, beside which a map cannot tell; it stops the build from 0.05 beyond the line",
        ),
        Flag::Choke => ratio(
            "distance to the end of the map, share",
            |p| rotor(p, |r| r.choke_margin),
            "a distance below 0",
        ),
        Flag::Overspeed => ratio(
            "distance to the greatest speed, share",
            |p| rotor(p, |r| r.speed_margin),
            "a distance below 0",
        ),
        Flag::BoostShort => ratio(
            "boost short of its target, share",
            |p| rotor(p, |r| r.boost_error),
            "more than 0.02 short, or short with the wastegate shut",
        ),
        Flag::BoostOver => ratio(
            "boost short of its target, share",
            |p| rotor(p, |r| r.boost_error),
            "above the target with the wastegate fully open",
        ),
        Flag::InjectorDuty => ratio("share of the cycle open", |p| p.injector_duty, OPEN_TOO_LONG),
        Flag::PumpFlow => ratio("fuel over what the pump gives", |p| p.pump_share, "a share above 1"),
        Flag::LeanCylinder => ratio(
            "leanest cylinder, λ over the mean less 1",
            |p| leanest(p).map(|(_, by)| by),
            "more than 0.02 leaner than the mean",
        ),
        Flag::ExhaustTemperature => Looked {
            label: "exhaust",
            dimension: Dimension::Temperature,
            of: |p| Some(p.exhaust_temperature),
            border: "hotter than the document allows",
        },
        Flag::InletMach => ratio("mean inlet Mach index", |p| p.inlet_mach, "an index above 0.5"),
        Flag::ChokedThroat => {
            ratio("air over the most that passes", |p| p.throat_share, "a share above 0.95")
        }
        Flag::Pumping => ratio(
            "work of the gas exchange over the gross work",
            |p| Some(pumping_share(p)),
            "a share above 0.10",
        ),
        Flag::NotConverged => return None,
    })
}

/// What is looked at where each runner has its own throttle.
const RUNNER_THROTTLE: Looked = Looked {
    label: "air that passes its throttle while that is choked",
    dimension: Dimension::Ratio,
    of: |p| p.choked_air,
    border: "a share above 0.05",
};

/// The borders that the document states, or the usual ones that the run took.
fn stated(flag: Flag, document: &Document, run: &PowerRun) -> Option<Input> {
    let of_run = |path: &str| run.inputs.iter().find(|i| i.path == path);
    match flag {
        Flag::Knock => {
            let border = document.burn.knock_integral.map_or(1.0, |k| k.0);
            Some(Input::figure("border of the knock integral".to_owned(), border, Dimension::Ratio, ""))
        }
        Flag::InjectorDuty => of_run("fuel.greatest_duty")
            .map(|i| Input::figure(i.label.clone(), i.value, i.dimension, i.origin.words())),
        Flag::ExhaustTemperature => document
            .exhaust
            .greatest_temperature
            .map(|t| Input::figure("hottest that is allowed".to_owned(), t.0, Dimension::Temperature, "")),
        _ => None,
    }
}

/// Figures behind a flag at each speed that has it, and the border they passed.
pub(super) fn of_limit(document: &Document, run: &PowerRun, flag: Flag) -> (Vec<Input>, &'static str) {
    let pulses = flag == Flag::ChokedThroat && run.settled().any(chokes_in_pulses);
    let looked = if pulses { Some(RUNNER_THROTTLE) } else { looked(flag) };
    let Some(looked) = looked else { return (Vec::new(), "") };
    let met = run.settled().filter(|p| p.flags.contains(&flag));
    let figures = met.filter_map(|p| {
        let value = (looked.of)(p)?;
        Some(Input::figure(
            format!("{} at {}", looked.label, rev(p.speed)),
            value,
            looked.dimension,
            "the run",
        ))
    });
    (stated(flag, document, run).into_iter().chain(figures).collect(), looked.border)
}

/// Peak pressures of all cylinders at the speed of the largest, with the state that they came from.
pub(super) fn of_peak(
    point: &PowerPoint,
    which: &str,
    of: impl Fn(&CylinderPoint) -> Option<f64>,
) -> Vec<Input> {
    let peaks = point.cylinders.iter().filter_map(|c| {
        Some(Input::figure(format!("cylinder {}, {which}", c.number), of(c)?, Dimension::Pressure, "the run"))
    });
    let half_burned = point.cylinders.first().map(|c| {
        Input::figure(
            "half burned, after top dead centre".to_owned(),
            c.half_burned,
            Dimension::Angle,
            "the run",
        )
    });
    let plenum = Input::figure(
        "pressure in the plenum, absolute".to_owned(),
        point.plenum_pressure,
        Dimension::Pressure,
        "the run",
    );
    peaks.chain([plenum]).chain(half_burned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::power::breathing::{CHOKED, INLET_MACH, MOST_PUMPING};
    use crate::power::run::LEAN;

    #[test]
    fn borders_in_words_are_those_that_are_used() {
        for (flag, border) in [
            (Flag::LeanCylinder, LEAN),
            (Flag::InletMach, INLET_MACH),
            (Flag::ChokedThroat, CHOKED),
            (Flag::Pumping, MOST_PUMPING),
        ] {
            let words = looked(flag).expect("it looks at a figure").border;
            let number: f64 =
                words.split(' ').find_map(|word| word.parse().ok()).expect("its border is a number");
            assert!((number - border).abs() < 1e-12, "{flag:?}: {words}");
        }
    }
}
