//! The run itself.

use super::breathing::{self, INLET_MACH};
use super::notes::{Note, Notes, name};
use super::request::{CorrectionMode, Request, TimingMode};
use super::result::{
    ClosurePoint, CylinderPoint, DUCTS_EVERY, DuctTrace, Failure, Flag, MapLine, MapLines, PowerPoint,
    PowerRun, PowerTrace, RotorPoint, SURGE_DOUBT, ValveFlow,
};
use super::specification::{Parts, Specification};
use crate::features::Side;
use gas_exchange::correction::{Correction, TestAir};
use gas_exchange::valves::ReferenceArea;
use gas_exchange::whole_engine::{
    CylinderResult, EngineSpec, OperatingPoint, Progress, RotorResult, RunError, Settings, Simulation,
    Timing, Trace, run_points_with,
};
use std::f64::consts::PI;

/// A curve is read to a fifth of a per cent: at this drift the torque still moves by less.
const CURVE: Settings = Settings { tolerance: 5e-4, most_cycles: 80 };

/// A point that still changes by more than this from cycle to cycle, as a share, is no figure at all (judgement: its torque can be off
/// by a multiple of it).
const NO_FIGURE: f64 = 0.02;

/// Version of [`PowerRun`].
pub(super) const FORMAT: u32 = 1;
/// A cylinder whose trapped mixture is leaner than the mean by more than this share is flagged (judgement).
pub(super) const LEAN: f64 = 0.02;

/// Asked after each cycle; false stops the run.
pub type GoOn<'a> = &'a (dyn Fn(Progress) -> bool + Sync);

/// Why there is no run.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PowerError {
    /// Inputs are missing.
    #[error("power cannot be computed yet: {what} ({path}) is missing, and {others} more")]
    Missing {
        /// First of what is missing.
        what: String,
        /// Where it belongs.
        path: String,
        /// How many more.
        others: usize,
    },
    /// Inputs do not go together.
    #[error("power cannot be computed: {0}")]
    Problem(String),
    /// No speeds, or speeds that are none.
    #[error(
        "{:.0} rev/min cannot be run: speeds above 0 and up to 20,000 rev/min are expected, rising", .0 * 30.0 / PI
    )]
    Speed(f64),
    /// Throttle opening outside 0 to 1.
    #[error("a throttle opening of {:.0} % is no opening: above 0 %, up to 100 % is expected", 100.0 * .0)]
    Throttle(f64),
    /// Throttle opening asked for where there is no throttle.
    #[error("a throttle opening is asked for, but the document states no throttle: give intake.throttle")]
    NoThrottle,
    /// No point was reached.
    #[error("no point was reached; the first says: {0}")]
    Nothing(String),
    /// Somebody stopped it before there was a result.
    #[error("stopped before there was a result")]
    Stopped,
    /// A study without variations.
    #[error("{0}")]
    Study(String),
}

/// What a specification holds, or why it cannot be run.
pub(super) fn parts(specification: &Specification) -> Result<&Parts, PowerError> {
    if let Some(parts) = &specification.parts {
        return Ok(parts);
    }
    match (specification.missing.first(), specification.problems.first()) {
        (_, Some(problem)) => Err(PowerError::Problem(problem.clone())),
        (Some(missing), None) => Err(PowerError::Missing {
            what: missing.words(),
            path: missing.path.clone(),
            others: specification.missing.len() - 1,
        }),
        (None, None) => Err(PowerError::Problem("the parts do not go together".to_owned())),
    }
}

fn check(request: &Request, spec: &EngineSpec) -> Result<(), PowerError> {
    let mut before = 0.0;
    if request.speeds.is_empty() {
        return Err(PowerError::Speed(0.0));
    }
    for speed in &request.speeds {
        if !(*speed > before && *speed <= 2100.0) {
            return Err(PowerError::Speed(*speed));
        }
        before = *speed;
    }
    match request.throttle {
        Some(opening) if !(opening > 0.0 && opening <= 1.0) => Err(PowerError::Throttle(opening)),
        Some(_) if spec.intake.throttle.is_none() => Err(PowerError::NoThrottle),
        _ => Ok(()),
    }
}

/// Runs the points that are asked for. Two chains side by side, each point warm from its neighbour; `go_on` is asked after each
/// cycle, and what was reached before a stop is kept.
///
/// # Errors
/// [`PowerError`] when nothing can be or was computed. A point that failed alone stands among the failures.
pub fn run(
    specification: &Specification,
    request: &Request,
    go_on: GoOn<'_>,
) -> Result<PowerRun, PowerError> {
    run_noted(specification, request, go_on, &())
}

/// As [`run`]; each point is noted when it has converged, and one that is known is not run again.
///
/// # Errors
/// As [`run`].
pub fn run_noted(
    specification: &Specification,
    request: &Request,
    go_on: GoOn<'_>,
    notes: &dyn Notes,
) -> Result<PowerRun, PowerError> {
    let parts = parts(specification)?;
    let mut engine = parts.engine.clone();
    check(request, &engine)?;
    if let (Some(opening), Some(area)) = (request.throttle, &mut engine.intake.throttle) {
        *area *= opening;
    }
    match request.timing {
        TimingMode::AsStated => {}
        TimingMode::Fixed => engine.timing = Timing::HalfBurned(parts.earliest()),
        TimingMode::KnockLimited => engine.timing = parts.knock_limited(),
    }
    let correction = correction(parts, request.correction);
    let known = |speed: &f64| match notes.known(&name(&[*speed])) {
        Some(Note::Point(point)) => Some(*point),
        _ => None,
    };
    let mut points: Vec<PowerPoint> = request.speeds.iter().filter_map(known).collect();
    let before = points.len();
    let speeds: Vec<f64> = request
        .speeds
        .iter()
        .copied()
        .filter(|s| !points.iter().any(|p| p.speed.to_bits() == s.to_bits()))
        .collect();
    let whole = request.ducts_kept_at();
    // A cycle has more steps the slower the crank turns.
    let weights: Vec<f64> = speeds.iter().map(|speed| 1.0 / speed).collect();
    let outcomes = run_points_with(
        &engine,
        &weights,
        &CURVE,
        |point| speeds[point],
        |simulation, point| simulation.set_speed(speeds[point]),
        |simulation, _, point| {
            no_figure(&point)?;
            let every = whole.is_some_and(|speed| speed.to_bits() == point.speed.to_bits());
            // A copy, so that the points after it start as they would without.
            let others =
                if every { ducts_of_others(simulation.clone(), engine.cylinders.len())? } else { Vec::new() };
            let trace = if request.traces { Some(simulation.record(0)?.1) } else { None };
            let mut made = of_point(parts, &point, trace, correction.0);
            if let Some(trace) = &mut made.trace {
                trace.others = others;
            }
            if made.torque.is_finite() {
                notes.note(&name(&[point.speed]), Note::Point(Box::new(made.clone())));
            }
            Ok(made)
        },
        |p| go_on(Progress { done: before + p.done, of: before + p.of, ..p }),
    );
    let mut failures = Vec::new();
    let mut stopped = false;
    for (speed, outcome) in speeds.iter().zip(outcomes) {
        match outcome {
            Ok(point) if point.torque.is_finite() => points.push(point),
            Ok(_) => failures.push(Failure {
                speed: *speed,
                why: "the result is no number: friction or gas are outside of what their laws hold for"
                    .to_owned(),
            }),
            Err(RunError::Stopped) => stopped = true,
            Err(error) => failures.push(Failure { speed: *speed, why: error.to_string() }),
        }
    }
    points.sort_by(|a, b| a.speed.total_cmp(&b.speed));
    if points.is_empty() {
        return Err(match failures.into_iter().next() {
            Some(first) => PowerError::Nothing(first.why),
            None => PowerError::Stopped,
        });
    }
    Ok(PowerRun {
        format: FORMAT,
        engine: specification.name.clone(),
        request: request.clone(),
        inputs: specification.inputs.clone(),
        left_out: specification.left_out.clone(),
        points,
        failures,
        stopped,
        correction_factor: correction.0,
        correction_note: correction.1,
        map: map_lines(specification),
        valve_flow: valve_flow(&parts.engine),
        calibrated: specification.is_calibrated(),
        residual: specification.input("power.residual").map(|i| i.value),
    })
}

/// A point so far from a repeating cycle that nothing of it may be shown, with what it lacks.
fn no_figure(point: &OperatingPoint) -> Result<(), RunError> {
    let closure = &point.closure;
    let beyond = point.rotor.is_some_and(|r| r.at_end_of_map);
    if closure.converged || (closure.drift < NO_FIGURE && !beyond) {
        return Ok(());
    }
    let (cycles, change) = (closure.cycles, 100.0 * closure.drift);
    let short = point.rotor.map_or(0.0, |r| 100.0 * r.boost_error);
    let what = if beyond {
        format!(
            "the boost is {short:.0} % short though the rotor turns half as fast again as the fastest line of its map, where the map ends: look at boost, restrictor, compressor and turbine"
        )
    } else {
        format!("it still changes by {change:.1} % from cycle to cycle")
    };
    Err(RunError::Unsettled { cycles, what })
}

fn correction(parts: &Parts, mode: CorrectionMode) -> (f64, String) {
    let kind = match mode {
        CorrectionMode::AsRun => return (1.0, "as run, not corrected".to_owned()),
        CorrectionMode::SaeJ1349 => Correction::SaeJ1349,
        CorrectionMode::Iso1585 => Correction::Iso1585,
    };
    if parts.boosted {
        return (1.0, "as run: no correction is agreed for an engine whose boost is controlled".to_owned());
    }
    let ambient = &parts.engine.ambient;
    let air = TestAir { dry_pressure: ambient.pressure - parts.vapour, temperature: ambient.temperature };
    match kind.factor(air) {
        Ok(factor) => {
            let name = if kind == Correction::Iso1585 { "ISO 1585" } else { "SAE J1349" };
            (factor, format!("corrected to {name}, factor {factor:.4}"))
        }
        Err(error) => (1.0, format!("as run: {error}")),
    }
}

/// Flow of the fuel over what pump and injectors give.
fn fuel_system(parts: &Parts, point: &OperatingPoint) -> (Option<f64>, Option<f64>) {
    let system = &parts.fuel_system;
    let volume = |mass: f64| mass / system.density;
    let cycle = 4.0 * PI / point.speed;
    let mean = point.cylinders.iter().map(|c| c.fuel).sum::<f64>() / point.cylinders.len().max(1) as f64;
    // Injectors of all cylinders are opened alike: the one that gives most does not stay open longer.
    let duty = system.injectors.map(|flow| volume(mean) / cycle / flow);
    (duty, system.pump.map(|pump| volume(point.fuel_flow) / pump))
}

/// A converged point with its flags.
pub(super) fn of_point(
    parts: &Parts,
    point: &OperatingPoint,
    trace: Option<Trace>,
    correction: f64,
) -> PowerPoint {
    let (injector_duty, pump_share) = fuel_system(parts, point);
    let mut made = PowerPoint {
        speed: point.speed,
        torque: point.torque,
        power: point.power,
        corrected_torque: point.torque * correction,
        corrected_power: point.power * correction,
        imep: point.indicated_mean_pressure,
        pmep: point.pumping_mean_pressure,
        fmep: point.friction_mean_pressure,
        bmep: point.brake_mean_pressure,
        volumetric_efficiency: point.volumetric_efficiency,
        plenum_volumetric_efficiency: point.plenum_volumetric_efficiency,
        air_flow: point.air_flow,
        fuel_flow: point.fuel_flow,
        specific_consumption: point.specific_consumption,
        plenum_pressure: point.plenum_pressure,
        plenum_temperature: point.plenum_temperature,
        exhaust_pressure: point.exhaust_pressure,
        exhaust_temperature: point.exhaust_temperature,
        injector_duty,
        pump_share,
        inlet_mach: breathing::inlet_mach(&parts.engine, point.speed, point.plenum_temperature),
        throat_share: breathing::throat_share(&parts.engine, point),
        choked_air: point.choked_air,
        cylinders: point
            .cylinders
            .iter()
            .zip(&parts.engine.cylinders)
            .zip(1..)
            .map(|((c, unit), number)| cylinder(c, number, unit.cylinder.rings.is_some()))
            .collect(),
        rotor: point.rotor.as_ref().map(rotor),
        closure: ClosurePoint {
            cycles: point.closure.cycles,
            drift: if point.closure.drift.is_finite() { point.closure.drift } else { 1e9 },
            converged: point.closure.converged,
            mass_residual: point.closure.mass_residual,
            energy_residual: point.closure.energy_residual,
        },
        flags: Vec::new(),
        trace: trace.map(kept),
    };
    made.flags = flags(parts, point, &made);
    made
}

fn cylinder(c: &CylinderResult, number: u32, leaks: bool) -> CylinderPoint {
    CylinderPoint {
        number,
        indicated_work: c.indicated_work,
        air: c.air,
        fuel: c.fuel,
        residual: c.residual,
        trapped_lambda: if c.trapped_lambda.is_finite() { c.trapped_lambda } else { 0.0 },
        peak_pressure: c.peak_pressure,
        peak_angle: c.peak_angle,
        half_burned: c.half_burned,
        knock_integral: c.knock_integral,
        knock_limited: c.knock_limited,
        closing_pressure: c.closing_pressure,
        closing_temperature: c.closing_temperature,
        opening_temperature: c.opening_temperature,
        wall_heat: c.wall_heat,
        blow_by: leaks.then_some(c.blow_by),
        strong_peak_pressure: c.strong_peak_pressure,
    }
}

fn rotor(r: &RotorResult) -> RotorPoint {
    RotorPoint {
        speed: r.speed,
        pressure_ratio: r.pressure_ratio,
        corrected_flow: r.corrected_flow,
        mass_flow: r.mass_flow,
        power: r.power,
        wastegate_share: r.wastegate_share,
        surge_margin: r.surge_margin,
        choke_margin: r.choke_margin,
        speed_margin: r.speed_margin,
        inlet_pressure: Some(r.inlet_pressure),
        inlet_temperature: Some(r.inlet_temperature),
        outlet_pressure: Some(r.outlet_pressure),
        outlet_temperature: Some(r.outlet_temperature),
        cooler_pressure: r.cooler_pressure,
        cooler_temperature: r.cooler_temperature,
        turbine_pressure: r.turbine_pressure,
        turbine_temperature: Some(r.turbine_temperature),
        boost_error: r.boost_error,
    }
}

/// Leanest cylinder: its number and how much leaner than the mean it is, share.
pub(super) fn leanest(point: &PowerPoint) -> Option<(u32, f64)> {
    let mean = point.cylinders.iter().map(|c| c.trapped_lambda).sum::<f64>() / point.cylinders.len() as f64;
    let lean = point.cylinders.iter().max_by(|a, b| a.trapped_lambda.total_cmp(&b.trapped_lambda))?;
    (mean > 0.0).then(|| (lean.number, lean.trapped_lambda / mean - 1.0))
}

fn flags(parts: &Parts, point: &OperatingPoint, made: &PowerPoint) -> Vec<Flag> {
    let system = &parts.fuel_system;
    let knock = point
        .cylinders
        .iter()
        .any(|c| c.knock_limited || c.knock_integral > parts.knock_integral * (1.0 + 1e-2));
    let rotor = point.rotor.as_ref();
    let on = |test: fn(&RotorResult) -> bool| rotor.is_some_and(test);
    let all = [
        (Flag::Knock, knock),
        (Flag::Surge, on(|r| r.surge_margin < SURGE_DOUBT)),
        (Flag::Choke, on(|r| r.choke_margin < 0.0)),
        (Flag::Overspeed, on(|r| r.speed_margin < 0.0)),
        (Flag::BoostShort, on(|r| r.gate_shut_short || r.boost_error > 0.02)),
        (Flag::BoostOver, on(|r| r.gate_open_over)),
        (Flag::InjectorDuty, made.injector_duty.is_some_and(|d| d > system.greatest_duty)),
        (Flag::PumpFlow, made.pump_share.is_some_and(|s| s > 1.0)),
        (Flag::LeanCylinder, leanest(made).is_some_and(|(_, by)| by > LEAN)),
        (Flag::ExhaustTemperature, system.greatest_exhaust.is_some_and(|t| point.exhaust_temperature > t)),
        (Flag::InletMach, made.inlet_mach.is_some_and(|z| z > INLET_MACH)),
        (Flag::ChokedThroat, breathing::chokes(made)),
        (Flag::Pumping, breathing::pumping_share(made) > breathing::MOST_PUMPING),
        (Flag::NotConverged, !point.closure.converged),
    ];
    all.into_iter().filter_map(|(flag, set)| set.then_some(flag)).collect()
}

/// Ducts of all cylinders but the first, a cycle for each.
fn ducts_of_others(mut simulation: Simulation, cylinders: usize) -> Result<Vec<DuctTrace>, RunError> {
    let thinned = |all: Vec<Vec<f64>>| all.into_iter().step_by(DUCTS_EVERY).collect();
    (1..cylinders)
        .map(|cylinder| {
            let trace = simulation.record(cylinder)?.1;
            Ok(DuctTrace {
                cylinder: cylinder as u32 + 1,
                angle: trace.angle.into_iter().step_by(DUCTS_EVERY).collect(),
                intake_cells: trace.intake_cells,
                intake_diameters: trace.intake_diameters,
                exhaust_cells: trace.exhaust_cells,
                exhaust_diameters: trace.exhaust_diameters,
                intake_duct: thinned(trace.intake_duct),
                exhaust_duct: thinned(trace.exhaust_duct),
            })
        })
        .collect()
}

fn kept(trace: Trace) -> PowerTrace {
    PowerTrace {
        cylinder: 1,
        angle: trace.angle,
        pressure: trace.pressure,
        temperature: trace.temperature,
        volume: trace.volume,
        intake_flow: trace.intake_flow,
        exhaust_flow: trace.exhaust_flow,
        intake_cells: trace.intake_cells,
        intake_diameters: trace.intake_diameters,
        exhaust_cells: trace.exhaust_cells,
        exhaust_diameters: trace.exhaust_diameters,
        intake_duct: trace.intake_duct,
        exhaust_duct: trace.exhaust_duct,
        others: Vec::new(),
    }
}

fn map_lines(specification: &Specification) -> Option<MapLines> {
    let unit = specification.engine()?.turbocharger.as_ref()?;
    let map = &unit.compressor;
    let mut lines: Vec<MapLine> = Vec::new();
    for input in &specification.inputs {
        let Some(rest) = input.path.strip_prefix("turbocharger.compressor.") else { continue };
        let mut words = rest.split('.');
        let (Some(line), Some(column), Some(point)) = (words.next(), words.next(), words.next()) else {
            continue;
        };
        let (Ok(line), Ok(point)) = (line.parse::<usize>(), point.parse::<usize>()) else { continue };
        let column = ["flow", "pressure_ratio", "efficiency"].iter().position(|c| *c == column);
        let Some(column) = column else { continue };
        while lines.len() < line {
            lines.push(MapLine { speed: 0.0, points: Vec::new() });
        }
        let points = &mut lines[line - 1].points;
        while points.len() < point {
            points.push([0.0; 3]);
        }
        points[point - 1][column] = input.value;
    }
    for (line, speed) in lines.iter_mut().zip(&specification.parts.as_ref()?.map_speeds) {
        line.speed = *speed;
    }
    let reference = map.reference();
    Some(MapLines {
        reference_pressure: reference.pressure,
        reference_temperature: reference.temperature,
        greatest_speed: map.greatest_speed(),
        lines,
    })
}

fn valve_flow(engine: &EngineSpec) -> Vec<ValveFlow> {
    let Some(unit) = engine.cylinders.first() else { return Vec::new() };
    [(Side::Intake, &unit.intake), (Side::Exhaust, &unit.exhaust)]
        .into_iter()
        .map(|(side, group)| {
            let peak = group.lift.peak();
            let lift: Vec<f64> = (1..=40).map(|i| peak * f64::from(i) / 40.0).collect();
            let crank: Vec<f64> = (0..=360).map(|i| f64::from(i) * PI / 90.0).collect();
            ValveFlow {
                side,
                area: lift.iter().map(|l| group.flow.effective_area(*l)).collect(),
                coefficient: lift
                    .iter()
                    .map(|l| group.flow.discharge_coefficient(*l, ReferenceArea::Curtain))
                    .collect(),
                valve_lift: crank.iter().map(|a| group.lift.at(*a)).collect(),
                lift,
                crank,
            }
        })
        .collect()
}
