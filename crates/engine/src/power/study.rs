//! What each choice is worth, by running the engine with it a little changed; a sweep of cam timing.

use super::notes::{Note, Notes, name};
use super::run::{GoOn, PowerError, parts};
use super::specification::{Parts, Specification};
use crate::quantity::Dimension;
use gas_exchange::ducts::DuctSpec;
use gas_exchange::network::ValveGroup;
use gas_exchange::valves::Lift;
use gas_exchange::whole_engine::{
    CylinderUnit, EngineSpec, OperatingPoint, Progress, RunError, Settings, run_points_with,
};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::f64::consts::PI;
use std::hash::BuildHasher;

/// Name of the part of a study that changes nothing.
const AS_IT_IS: &str = "as it is";
/// The two variations of a choice.
const SIDES: [&str; 2] = ["up", "down"];
const DEGREE: f64 = PI / 180.0;
/// Studies compare: the cycles must repeat themselves closer than the differences that are looked for.
const SETTINGS: Settings = Settings { tolerance: 5e-5, most_cycles: 120 };
/// Drift at which a point is still worth comparing when it did not come down to that.
const USABLE: f64 = 5e-4;

/// A choice of the builder.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Choice {
    /// Compression ratio.
    Compression,
    /// Boost aimed at.
    Boost,
    /// Intake cam later, with it its closing.
    IntakeClosing,
    /// Exhaust cam later.
    ExhaustCentre,
    /// Both cams further apart.
    LobeSeparation,
    /// Primary pipes wider.
    ExhaustDiameter,
    /// Runners longer.
    RunnerLength,
    /// Charge warmer (by the coolant, or by the air outside).
    ChargeTemperature,
    /// Leaner mixture.
    Lambda,
    /// Burn later.
    HalfBurned,
    /// Intake ports and valves flow more.
    IntakeFlow,
    /// Exhaust ports and valves flow more.
    ExhaustFlow,
    /// Intake valves lift higher.
    IntakeLift,
    /// Exhaust valves lift higher.
    ExhaustLift,
    /// Intake valves open longer, centre held.
    IntakeDuration,
    /// Exhaust valves open longer, centre held.
    ExhaustDuration,
    /// Throttle larger.
    Throttle,
}

impl Choice {
    /// All that can be varied.
    pub const ALL: [Self; 17] = [
        Self::Compression,
        Self::Boost,
        Self::IntakeClosing,
        Self::ExhaustCentre,
        Self::LobeSeparation,
        Self::ExhaustDiameter,
        Self::RunnerLength,
        Self::ChargeTemperature,
        Self::Lambda,
        Self::HalfBurned,
        Self::IntakeFlow,
        Self::ExhaustFlow,
        Self::IntakeLift,
        Self::ExhaustLift,
        Self::IntakeDuration,
        Self::ExhaustDuration,
        Self::Throttle,
    ];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Compression => "compression ratio higher",
            Self::Boost => "boost higher",
            Self::IntakeClosing => "intake valves later",
            Self::ExhaustCentre => "exhaust valves later",
            Self::LobeSeparation => "lobe centres further apart",
            Self::ExhaustDiameter => "primary pipes wider",
            Self::RunnerLength => "runners longer",
            Self::ChargeTemperature => "intercooler's coolant warmer",
            Self::Lambda => "mixture leaner",
            Self::HalfBurned => "burn later",
            Self::IntakeFlow => "intake ports flow more, share",
            Self::ExhaustFlow => "exhaust ports flow more, share",
            Self::IntakeLift => "intake valves lift higher",
            Self::ExhaustLift => "exhaust valves lift higher",
            Self::IntakeDuration => "intake valves open longer, centre held",
            Self::ExhaustDuration => "exhaust valves open longer, centre held",
            Self::Throttle => "throttle area larger, share",
        }
    }

    /// Step by which it is varied to either side, and what it measures.
    pub const fn step(self) -> (f64, Dimension) {
        match self {
            Self::Compression => (0.25, Dimension::Ratio),
            Self::Boost => (5e3, Dimension::Pressure),
            Self::IntakeClosing | Self::ExhaustCentre | Self::LobeSeparation => {
                (2.0 * DEGREE, Dimension::Angle)
            }
            Self::ExhaustDiameter => (1e-3, Dimension::Length),
            Self::RunnerLength => (20e-3, Dimension::Length),
            Self::ChargeTemperature => (5.0, Dimension::TemperatureDifference),
            Self::HalfBurned => (1.0 * DEGREE, Dimension::Angle),
            Self::Lambda | Self::IntakeFlow | Self::ExhaustFlow => (0.02, Dimension::Ratio),
            Self::IntakeLift | Self::ExhaustLift => (0.25e-3, Dimension::Length),
            Self::IntakeDuration | Self::ExhaustDuration => (4.0 * DEGREE, Dimension::Angle),
            Self::Throttle => (0.05, Dimension::Ratio),
        }
    }

    /// Name of one of its variations among the parts of a study.
    fn part(self, side: &str) -> String {
        format!("{self:?} {side}")
    }

    /// Does this engine have the choice at all?
    pub fn applies(self, specification: &Specification) -> bool {
        specification.engine().is_some_and(|engine| self.apply(engine, self.step().0).is_some())
    }

    /// The engine with it changed by `step`; `None` where this engine does not have that choice.
    fn apply(self, engine: &EngineSpec, step: f64) -> Option<EngineSpec> {
        let mut e = engine.clone();
        match self {
            Self::Compression => {
                for unit in &mut e.cylinders {
                    let c = &mut unit.cylinder;
                    let swept = 0.5 * PI * c.bore * c.bore * c.crank_radius;
                    let ratio = 1.0 + swept / c.clearance_volume + step;
                    c.clearance_volume = swept / (ratio - 1.0);
                }
            }
            Self::Boost => {
                let unit = e.turbocharger.as_mut()?;
                unit.boost_target += step;
                unit.boost_by_speed.iter_mut().for_each(|(_, boost)| *boost += step);
            }
            Self::IntakeClosing => {
                e.cylinders.iter_mut().for_each(|u| u.intake.lift = u.intake.lift.advanced(-step));
            }
            Self::ExhaustCentre => {
                e.cylinders.iter_mut().for_each(|u| u.exhaust.lift = u.exhaust.lift.advanced(-step));
            }
            // Intake later and exhaust earlier by the same.
            Self::LobeSeparation => e.cylinders.iter_mut().for_each(|u| {
                u.intake.lift = u.intake.lift.advanced(-step);
                u.exhaust.lift = u.exhaust.lift.advanced(step);
            }),
            Self::ExhaustDiameter => e.cylinders.iter_mut().for_each(|u| widen(&mut u.exhaust_duct, step)),
            Self::RunnerLength => e.cylinders.iter_mut().for_each(|u| lengthen(&mut u.intake_duct, step)),
            Self::ChargeTemperature => match e.turbocharger.as_mut().and_then(|t| t.cooler.as_mut()) {
                Some(cooler) => cooler.coolant += step,
                None => e.ambient.temperature += step,
            },
            Self::Lambda => {
                e.lambda += step;
                e.lambda_by_speed.iter_mut().for_each(|(_, lambda)| *lambda += step);
            }
            Self::IntakeFlow => {
                e.cylinders.iter_mut().for_each(|u| u.intake.flow = u.intake.flow.scaled(1.0 + step));
            }
            Self::ExhaustFlow => {
                e.cylinders.iter_mut().for_each(|u| u.exhaust.flow = u.exhaust.flow.scaled(1.0 + step));
            }
            Self::IntakeLift => vary(&mut e, |u| &mut u.intake, |l| (higher(l, step), 1.0))?,
            Self::ExhaustLift => vary(&mut e, |u| &mut u.exhaust, |l| (higher(l, step), 1.0))?,
            Self::IntakeDuration => vary(&mut e, |u| &mut u.intake, |l| (1.0, longer(l, step)))?,
            Self::ExhaustDuration => vary(&mut e, |u| &mut u.exhaust, |l| (1.0, longer(l, step)))?,
            Self::Throttle => *e.intake.throttle.as_mut()? *= 1.0 + step,
            Self::HalfBurned => e.burn_by_speed.iter_mut().for_each(|b| b.half_burned += step),
        }
        Some(e)
    }
}

/// Factor on the follower's lift that lifts the valve by `by` more.
fn higher(lift: &Lift, by: f64) -> f64 {
    1.0 + by / (lift.peak() + lift.lash())
}

/// Factor on the angles that lengthens the duration of the cam card by `by`.
fn longer(lift: &Lift, by: f64) -> f64 {
    1.0 + by / lift.events_at_check_lift().duration()
}

/// Other lift curves on one side of all cylinders; `None` where there is no such cam.
fn vary(
    engine: &mut EngineSpec,
    side: impl Fn(&mut CylinderUnit) -> &mut ValveGroup,
    factors: impl Fn(&Lift) -> (f64, f64),
) -> Option<()> {
    for unit in &mut engine.cylinders {
        let group = side(unit);
        let (lift, duration) = factors(&group.lift);
        group.lift = group.lift.varied(lift, duration).ok()?;
    }
    Some(())
}

/// All of the pipe behind the port (the last piece) wider.
fn widen(duct: &mut DuctSpec, by: f64) {
    let count = duct.stations.len();
    for station in duct.stations.iter_mut().skip(count.saturating_sub(2)) {
        station.diameter = (station.diameter + by).max(1e-3);
    }
}

fn lengthen(duct: &mut DuctSpec, by: f64) {
    if let [.., before, last] = duct.stations.as_mut_slice() {
        last.x = (last.x + by).max(before.x + 1e-3);
    }
}

/// What one choice does at one speed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Effect {
    /// Choice.
    pub choice: Choice,
    /// In words.
    pub label: String,
    /// Step in SI.
    pub step: f64,
    /// What the step measures.
    pub dimension: Dimension,
    /// Torque gained by one step up, share (a mean of up and down).
    pub torque_change: f64,
    /// How much more one way than the other: the optimum is near where this is as large as the change.
    pub curvature: f64,
    /// Change of the knock integral of the worst cylinder for one step up.
    pub knock_change: f64,
    /// It did not settle on one side, so the figure is one-sided.
    pub one_sided: bool,
}

/// Runs engines that each differ a little, at one speed, side by side. Each starts cold, so none depends on its neighbour.
fn run_each(
    engines: &[EngineSpec],
    names: &[String],
    speed: f64,
    go_on: GoOn<'_>,
    notes: &dyn Notes,
) -> Result<Vec<Option<(f64, f64)>>, PowerError> {
    let mut results: Vec<Option<Ended>> = names.iter().map(|n| variation(notes, n)).collect();
    let open: Vec<usize> = (0..engines.len()).filter(|i| results[*i].is_none()).collect();
    let before = engines.len() - open.len();
    let weights = vec![1.0; open.len()];
    let first = &engines[0];
    let outcomes = run_points_with(
        first,
        &weights,
        &SETTINGS,
        |_| speed,
        |simulation, point| {
            if let Ok(other) = simulation.another(&engines[open[point]], speed) {
                *simulation = other;
            }
        },
        |_, index, point| {
            let settled = settled(&point);
            notes.note(&names[open[index]], Note::Variation(settled));
            Ok(settled)
        },
        |p| go_on(Progress { done: before + p.done, of: before + p.of, ..p }),
    );
    if outcomes.iter().any(|o| matches!(o, Err(RunError::Stopped))) {
        return Err(PowerError::Stopped);
    }
    for (index, outcome) in open.iter().zip(outcomes) {
        results[*index] = Some(Ended(outcome.ok().flatten()));
    }
    Ok(results.into_iter().map(|ended| ended.and_then(|e| e.0)).collect())
}

/// A variation that has ended: its torque and knock integral where it settled.
struct Ended(Option<(f64, f64)>);

/// What a variation gave before.
fn variation(notes: &dyn Notes, name: &str) -> Option<Ended> {
    match notes.known(name) {
        Some(Note::Variation(known)) => Some(Ended(known)),
        _ => None,
    }
}

/// Torque and greatest knock integral of a point that is worth comparing.
pub(super) fn settled(point: &OperatingPoint) -> Option<(f64, f64)> {
    let beyond = point.rotor.is_some_and(|r| r.at_end_of_map);
    let usable =
        point.torque.is_finite() && !beyond && (point.closure.converged || point.closure.drift < USABLE);
    let knock = point.cylinders.iter().map(|c| c.knock_integral).fold(0.0, f64::max);
    usable.then_some((point.torque, knock))
}

/// What each choice is worth at a crank speed (rad/s), the largest first. Timing is held as stated.
///
/// # Errors
/// When the engine cannot be run, or somebody stops it.
pub fn sensitivity(
    specification: &Specification,
    speed: f64,
    go_on: GoOn<'_>,
) -> Result<Vec<Effect>, PowerError> {
    sensitivity_noted(specification, speed, go_on, &())
}

/// As [`sensitivity`]; each variation is noted when it has ended, and one that is known is not run again.
///
/// # Errors
/// As [`sensitivity`].
pub fn sensitivity_noted(
    specification: &Specification,
    speed: f64,
    go_on: GoOn<'_>,
    notes: &dyn Notes,
) -> Result<Vec<Effect>, PowerError> {
    let parts = parts(specification)?;
    check_speed(speed)?;
    let mut engines = vec![parts.engine.clone()];
    let mut choices = Vec::new();
    let mut names = vec![AS_IT_IS.to_owned()];
    for choice in Choice::ALL {
        let step = choice.step().0;
        if let (Some(up), Some(down)) =
            (choice.apply(&parts.engine, step), choice.apply(&parts.engine, -step))
        {
            choices.push(choice);
            engines.extend([up, down]);
            names.extend(SIDES.map(|side| choice.part(side)));
        }
    }
    let results = run_each(&engines, &names, speed, go_on, notes)?;
    let Some((base, knock)) = results[0] else {
        return Err(PowerError::Study("the engine as it is does not settle at this speed".to_owned()));
    };
    let effects = choices
        .into_iter()
        .enumerate()
        .filter_map(|(i, choice)| effect(choice, (base, knock), results[1 + 2 * i], results[2 + 2 * i]))
        .collect();
    Ok(largest_first(effects))
}

/// What the variations of a study that was stopped say already: the choices of which both sides have ended. None before the
/// engine as it is has been run.
pub fn sensitivity_so_far<S: BuildHasher>(known: &HashMap<String, Note, S>) -> Option<Vec<Effect>> {
    let ended = |name: &str| match known.get(name) {
        Some(Note::Variation(settled)) => Some(*settled),
        _ => None,
    };
    let base = ended(AS_IT_IS)??;
    let so_far = |choice: Choice| {
        let [up, down] = SIDES.map(|side| ended(&choice.part(side)));
        effect(choice, base, up?, down?)
    };
    Some(largest_first(Choice::ALL.into_iter().filter_map(so_far).collect()))
}

fn largest_first(mut effects: Vec<Effect>) -> Vec<Effect> {
    effects.sort_by(|a, b| b.torque_change.abs().total_cmp(&a.torque_change.abs()));
    effects
}

fn effect(
    choice: Choice,
    base: (f64, f64),
    up: Option<(f64, f64)>,
    down: Option<(f64, f64)>,
) -> Option<Effect> {
    let (step, dimension) = choice.step();
    let gain = |run: (f64, f64)| (run.0 / base.0 - 1.0, run.1 - base.1);
    let (change, curvature, knock, one_sided) = match (up.map(gain), down.map(gain)) {
        (Some(up), Some(down)) => {
            (0.5 * (up.0 - down.0), 0.5 * (up.0 + down.0), 0.5 * (up.1 - down.1), false)
        }
        (Some(up), None) => (up.0, 0.0, up.1, true),
        (None, Some(down)) => (-down.0, 0.0, -down.1, true),
        (None, None) => return None,
    };
    Some(Effect {
        choice,
        label: choice.words().to_owned(),
        step,
        dimension,
        torque_change: change,
        curvature,
        knock_change: knock,
        one_sided,
    })
}

fn check_speed(speed: f64) -> Result<(), PowerError> {
    if speed > 0.0 && speed <= 2100.0 { Ok(()) } else { Err(PowerError::Speed(speed)) }
}

/// Torque over intake and exhaust timing at one speed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CamSweep {
    /// rad/s.
    pub speed: f64,
    /// Lobe centres of the intake after top dead centre, rad.
    pub intake: Vec<f64>,
    /// Lobe centres of the exhaust before top dead centre, rad.
    pub exhaust: Vec<f64>,
    /// Closing of the intake valves at the check lift for each intake centre, rad after bottom dead centre.
    pub closing: Vec<f64>,
    /// N m: for each exhaust centre, for each intake centre; none where it did not settle.
    pub torque: Vec<Vec<Option<f64>>>,
    /// Intake centre, exhaust centre, torque of the best cell.
    pub best: Option<(f64, f64, f64)>,
    /// As the engine stands: intake centre, exhaust centre, torque where it is one of the cells.
    pub now: (f64, f64),
}

/// Sweeps the lobe centres (rad) of both cams at one crank speed (rad/s). Lift curves keep their shape.
///
/// # Errors
/// When the engine cannot be run, nothing is to vary, or somebody stops it.
pub fn cam_sweep(
    specification: &Specification,
    speed: f64,
    intake: &[f64],
    exhaust: &[f64],
    go_on: GoOn<'_>,
) -> Result<CamSweep, PowerError> {
    cam_sweep_noted(specification, speed, (intake, exhaust), go_on, &())
}

/// As [`cam_sweep`] over intake and exhaust centres; each cell is noted when it has ended, and one that is known is not run again.
///
/// # Errors
/// As [`cam_sweep`].
pub fn cam_sweep_noted(
    specification: &Specification,
    speed: f64,
    (intake, exhaust): (&[f64], &[f64]),
    go_on: GoOn<'_>,
    notes: &dyn Notes,
) -> Result<CamSweep, PowerError> {
    let parts = parts(specification)?;
    check_speed(speed)?;
    if intake.is_empty() || exhaust.is_empty() || intake.len() * exhaust.len() > 10_000 {
        return Err(PowerError::Study("a sweep needs from one to 10,000 pairs of lobe centres".to_owned()));
    }
    let now = centres(parts);
    let cells: Vec<(f64, f64)> = exhaust.iter().flat_map(|e| snake(intake, *e, exhaust)).collect();
    let cell = |(i, e): &(f64, f64)| name(&[*i, *e]);
    let mut torques: Vec<Option<Ended>> = cells.iter().map(|c| variation(notes, &cell(c))).collect();
    let open: Vec<usize> = (0..cells.len()).filter(|c| torques[*c].is_none()).collect();
    let before = cells.len() - open.len();
    let outcomes = run_points_with(
        &parts.engine,
        &vec![1.0; open.len()],
        &Settings::default(),
        |_| speed,
        |simulation, point| {
            let (i, e) = cells[open[point]];
            for (unit, own) in simulation.network.units.iter_mut().zip(&parts.engine.cylinders) {
                unit.intake.lift = moved(&own.intake.lift, now.0 - i);
                // Measured before top dead centre: a larger centre is earlier.
                unit.exhaust.lift = moved(&own.exhaust.lift, e - now.1);
            }
            simulation.set_speed(speed);
        },
        |_, index, point| {
            let settled = settled(&point);
            notes.note(&cell(&cells[open[index]]), Note::Variation(settled));
            Ok(settled)
        },
        |p| go_on(Progress { done: before + p.done, of: before + p.of, ..p }),
    );
    if outcomes.iter().any(|o| matches!(o, Err(RunError::Stopped))) {
        return Err(PowerError::Stopped);
    }
    for (index, outcome) in open.iter().zip(outcomes) {
        torques[*index] = Some(Ended(outcome.ok().flatten()));
    }
    let made = cells.iter().zip(torques).map(|(cell, ended)| (*cell, ended.and_then(|e| e.0)));
    Ok(swept(parts, speed, (intake, exhaust), made))
}

/// The cells of a sweep that was stopped, as far as they have ended. None before the first.
pub fn cam_sweep_so_far<S: BuildHasher>(
    specification: &Specification,
    speed: f64,
    (intake, exhaust): (&[f64], &[f64]),
    known: &HashMap<String, Note, S>,
) -> Option<CamSweep> {
    let parts = specification.parts.as_ref()?;
    let cells = exhaust.iter().flat_map(|e| intake.iter().map(move |i| (*i, *e)));
    let mut ended = cells
        .filter_map(|cell| match known.get(&name(&[cell.0, cell.1]))? {
            Note::Variation(settled) => Some((cell, *settled)),
            _ => None,
        })
        .peekable();
    ended.peek()?;
    Some(swept(parts, speed, (intake, exhaust), ended))
}

/// A sweep from its cells: lobe centres, and torque and knock integral where the cell settled.
fn swept(
    parts: &Parts,
    speed: f64,
    (intake, exhaust): (&[f64], &[f64]),
    cells: impl Iterator<Item = ((f64, f64), Option<(f64, f64)>)>,
) -> CamSweep {
    let now = centres(parts);
    let mut torque = vec![vec![None; intake.len()]; exhaust.len()];
    let mut best: Option<(f64, f64, f64)> = None;
    for ((i, e), settled) in cells {
        let Some((made, _)) = settled else { continue };
        let (Some(column), Some(row)) = (position(intake, i), position(exhaust, e)) else { continue };
        torque[row][column] = Some(made);
        if best.is_none_or(|b| made > b.2) {
            best = Some((i, e, made));
        }
    }
    let closes = parts.engine.cylinders[0].intake.lift.events_at_check_lift().closes;
    let closing = intake.iter().map(|i| closes + (i - now.0) - 3.0 * PI).collect();
    CamSweep { speed, intake: intake.to_vec(), exhaust: exhaust.to_vec(), closing, torque, best, now }
}

fn position(list: &[f64], value: f64) -> Option<usize> {
    list.iter().position(|v| v.to_bits() == value.to_bits())
}

/// One row to the right, the next to the left, so that each cell starts from its neighbour.
fn snake(intake: &[f64], exhaust: f64, rows: &[f64]) -> Vec<(f64, f64)> {
    let mut row: Vec<(f64, f64)> = intake.iter().map(|i| (*i, exhaust)).collect();
    if position(rows, exhaust).is_some_and(|r| r % 2 == 1) {
        row.reverse();
    }
    row
}

fn moved(lift: &Lift, advance: f64) -> Lift {
    if advance == 0.0 { lift.clone() } else { lift.advanced(advance) }
}

/// Lobe centres as the engine stands: intake after, exhaust before top dead centre of gas exchange.
fn centres(parts: &Parts) -> (f64, f64) {
    let unit = &parts.engine.cylinders[0];
    (unit.intake.lift.centre_angle() - 2.0 * PI, 2.0 * PI - unit.exhaust.lift.centre_angle())
}

impl CamSweep {
    /// Lobe centres on both sides of those of the engine: `steps` to either side, each `step` rad.
    pub fn around(specification: &Specification, steps: u32, step: f64) -> Option<(Vec<f64>, Vec<f64>)> {
        let now = centres(specification.parts.as_ref()?);
        let list = |centre: f64| {
            (0..=2 * steps).map(|i| centre + (f64::from(i) - f64::from(steps)) * step).collect::<Vec<f64>>()
        };
        Some((list(now.0), list(now.1)))
    }
}

/// How far a study has come, for a bar.
pub fn share_done(progress: &Progress) -> f64 {
    progress.done as f64 / progress.of.max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stopped_study_speaks_of_the_choices_that_ended_on_both_sides() {
        let mut known = HashMap::new();
        let mut ended = |name: String, settled| known.insert(name, Note::Variation(settled));
        ended(Choice::Boost.part("up"), Some((102.0, 0.9)));
        ended(Choice::Boost.part("down"), Some((98.0, 0.7)));
        ended(Choice::Compression.part("up"), Some((101.0, 0.8)));
        ended(Choice::Lambda.part("up"), None);
        ended(Choice::Lambda.part("down"), Some((99.0, 0.8)));
        assert_eq!(sensitivity_so_far(&known), None, "nothing to compare with yet");
        known.insert(AS_IT_IS.to_owned(), Note::Variation(Some((100.0, 0.8))));
        let effects = sensitivity_so_far(&known).expect("effects");
        let said: Vec<(Choice, bool)> = effects.iter().map(|e| (e.choice, e.one_sided)).collect();
        assert_eq!(said, [(Choice::Boost, false), (Choice::Lambda, true)], "the largest first");
        assert!((effects[0].torque_change - 0.02).abs() < 1e-12);
        assert!((effects[0].knock_change - 0.1).abs() < 1e-12);
    }
}
