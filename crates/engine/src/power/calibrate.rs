//! Named factors adjusted to a measured curve, within bounds, with speeds held out to show what the adjustment is worth.

use super::curve::MeasuredCurve;
use super::notes::{Note, Notes, name};
use super::run::{GoOn, PowerError, parts};
use super::specification::{InputOrigin, Specification};
use crate::quantity::{Phrase, counted, format_fixed};
use gas_exchange::cylinder::friction::FrictionLaw;
use gas_exchange::cylinder::heat_transfer::HeatLaw;
use gas_exchange::whole_engine::{EngineSpec, Progress, RunError, Settings, run_points};
use serde::{Deserialize, Serialize};
use std::fmt::Write as _;

/// Differences of a fraction of a per cent are looked for.
const SETTINGS: Settings = Settings { tolerance: 1e-4, most_cycles: 100 };
/// Step of a factor for its derivative.
const STEP: f64 = 0.03;
/// Steps of the adjustment at most.
const ITERATIONS: usize = 4;

/// A named factor of the document's `[power]`, neutral at 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Factor {
    /// Multiplies friction.
    Friction,
    /// Multiplies the heat to the cylinder walls.
    Heat,
    /// Multiplies the effective area of the intake valves.
    IntakeFlow,
    /// Multiplies the effective area of the exhaust valves.
    ExhaustFlow,
    /// Multiplies the burn duration.
    BurnDuration,
}

impl Factor {
    /// All.
    pub const ALL: [Self; 5] =
        [Self::Friction, Self::Heat, Self::IntakeFlow, Self::ExhaustFlow, Self::BurnDuration];

    /// Key in the document.
    pub const fn path(self) -> &'static str {
        match self {
            Self::Friction => "power.friction",
            Self::Heat => "power.heat",
            Self::IntakeFlow => "power.intake_flow",
            Self::ExhaustFlow => "power.exhaust_flow",
            Self::BurnDuration => "power.burn_duration",
        }
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Friction => "friction",
            Self::Heat => "heat to the walls",
            Self::IntakeFlow => "flow of the intake valves",
            Self::ExhaustFlow => "flow of the exhaust valves",
            Self::BurnDuration => "burn duration",
        }
    }

    /// Bounds that a person would defend without further evidence (judgement; friction: the band of the published sets).
    pub const fn usual_bounds(self) -> (f64, f64) {
        match self {
            Self::Friction => (0.75, 1.25),
            Self::Heat => (0.7, 1.5),
            Self::IntakeFlow | Self::ExhaustFlow => (0.9, 1.1),
            Self::BurnDuration => (0.8, 1.25),
        }
    }

    /// Multiplies what is there by `by`.
    fn apply(self, engine: &mut EngineSpec, by: f64) {
        match self {
            Self::Friction => {
                if let FrictionLaw::ChenFlynn(c) = &mut engine.friction {
                    c.constant *= by;
                    c.peak_pressure *= by;
                    c.piston_speed *= by;
                    c.piston_speed_squared *= by;
                }
            }
            Self::Heat => engine.cylinders.iter_mut().for_each(|u| match &mut u.cylinder.heat {
                HeatLaw::Woschni(woschni) => woschni.factor *= by,
                HeatLaw::Hohenberg { factor } => *factor *= by,
                HeatLaw::Adiabatic => {}
            }),
            // Twice the number of valves and twice the area of each are the same.
            Self::IntakeFlow => engine.cylinders.iter_mut().for_each(|u| u.intake.count *= by),
            Self::ExhaustFlow => engine.cylinders.iter_mut().for_each(|u| u.exhaust.count *= by),
            Self::BurnDuration => engine.burn_by_speed.iter_mut().for_each(|b| b.ten_to_ninety *= by),
        }
    }
}

/// One adjusted factor.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Adjusted {
    /// Which.
    pub factor: Factor,
    /// Value for the document.
    pub value: f64,
    /// Value before.
    pub before: f64,
    /// Standard uncertainty by the scatter of the adjustment; none when the points cannot tell it from the other factors.
    pub standard: Option<f64>,
    /// It stands at one of its bounds: something else is missing from the model or the measurement.
    pub at_bound: bool,
}

impl Adjusted {
    /// The standard uncertainty of the factor, where it says something: at a bound, or when it is as wide as all that the factor may
    /// usually be, it does not.
    pub fn told_apart(&self) -> Option<f64> {
        let (least, most) = self.factor.usual_bounds();
        self.standard.filter(|s| !self.at_bound && 2.0 * s < most - least)
    }

    /// "1.098 ± 0.030": with its expanded uncertainty to two figures of it (GUM 7.2.6); where the measurement does not tell it, to the
    /// hundredth that is worth entering.
    pub fn figure(&self) -> String {
        let Some(expanded) = self.told_apart().map(|s| 2.0 * s) else { return format_fixed(self.value, 2) };
        let decimals = if expanded < 0.0995 { 3 } else { 2 };
        format!("{} \u{b1} {}", format_fixed(self.value, decimals), format_fixed(expanded, decimals))
    }
}

/// Measured and computed torque at one speed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Compared {
    /// rad/s.
    pub speed: f64,
    /// N m.
    pub measured: f64,
    /// N m, before the adjustment.
    pub before: f64,
    /// N m, after it.
    pub after: f64,
    /// Not used by the adjustment.
    pub held_out: bool,
}

/// What a calibration found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// Factors.
    pub factors: Vec<Adjusted>,
    /// Each measured speed.
    pub points: Vec<Compared>,
    /// Root mean square of the relative error at the speeds used, before and after.
    #[serde(alias = "fitted")]
    pub adjusted: (f64, f64),
    /// The same at the speeds held out; none when none was.
    pub held_out: Option<(f64, f64)>,
    /// What stays unexplained, in words.
    pub unexplained: String,
}

/// In which air measured and computed torque are compared, and what the measurement must be for that.
pub fn compared_in(specification: &Specification) -> Phrase {
    let input = |path: &str| specification.inputs.iter().find(|i| i.path == path);
    let mut words = Phrase::words("Measured and computed torque are compared in outside air of ");
    if let Some((pressure, temperature)) =
        input("duty.ambient_pressure").zip(input("duty.ambient_temperature"))
    {
        words = words
            .value(pressure.value, pressure.dimension, 3)
            .say(" and ")
            .value(temperature.value, temperature.dimension, 0)
            .say(if pressure.origin == InputOrigin::CommonPractice {
                " (the usual: the document states none)"
            } else {
                " (stated under duty)"
            });
    }
    words.say(". State the air of the day of the measurement under duty (ambient pressure and temperature), and give torque as it was run, not corrected to a standard air")
}

struct Problem<'a> {
    engine: EngineSpec,
    curve: &'a MeasuredCurve,
    choose: &'a [(Factor, f64, f64)],
    start: Vec<f64>,
    go_on: GoOn<'a>,
    notes: &'a dyn Notes,
    runs: usize,
    done: std::cell::Cell<usize>,
}

impl Problem<'_> {
    /// Torque at every measured speed with these factors.
    fn torque(&self, factors: &[f64]) -> Result<Vec<f64>, PowerError> {
        let part = name(factors);
        if let Some(Note::Torques(known)) = self.notes.known(&part) {
            self.done.set(self.done.get() + 1);
            return Ok(known);
        }
        let torques = self.compute(factors)?;
        self.notes.note(&part, Note::Torques(torques.clone()));
        Ok(torques)
    }

    fn compute(&self, factors: &[f64]) -> Result<Vec<f64>, PowerError> {
        let mut engine = self.engine.clone();
        for ((factor, _, _), (value, start)) in self.choose.iter().zip(factors.iter().zip(&self.start)) {
            factor.apply(&mut engine, value / start);
        }
        let speeds: Vec<f64> = self.curve.points.iter().map(|p| p.speed).collect();
        let weights: Vec<f64> = speeds.iter().map(|s| 1.0 / s).collect();
        let before = self.done.get() * speeds.len();
        let all = self.runs * speeds.len();
        let progress = |p: Progress| (self.go_on)(Progress { done: before + p.done, of: all, ..p });
        let outcomes = run_points(
            &engine,
            &weights,
            &SETTINGS,
            |point| speeds[point],
            |simulation, point| simulation.set_speed(speeds[point]),
            progress,
        );
        self.done.set(self.done.get() + 1);
        outcomes
            .into_iter()
            .zip(&speeds)
            .map(|(outcome, speed)| match outcome {
                Ok(point) if super::study::settled(&point).is_some() => Ok(point.torque),
                Ok(point) if point.torque.is_finite() => Err(PowerError::Study(format!(
                    "{:.0} rev/min did not settle in {} cycles: leave that point out of the measured curve",
                    speed * 30.0 / std::f64::consts::PI,
                    point.closure.cycles
                ))),
                Ok(_) => Err(PowerError::Study(format!(
                    "no torque at {:.0} rev/min",
                    speed * 30.0 / std::f64::consts::PI
                ))),
                Err(RunError::Stopped) => Err(PowerError::Stopped),
                Err(error) => Err(PowerError::Study(error.to_string())),
            })
            .collect()
    }

    fn residuals(&self, torque: &[f64]) -> Vec<f64> {
        torque.iter().zip(&self.curve.points).map(|(t, p)| t / p.torque - 1.0).collect()
    }
}

fn root_mean_square(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for value in values {
        sum += value * value;
        count += 1.0;
    }
    if count > 0.0 { (sum / count).sqrt() } else { 0.0 }
}

/// Adjusts the chosen factors (with least and greatest value) to a measured curve by bounded least squares on the relative error of
/// torque (Gauss and Newton, damped, each factor held within its bounds). Points numbered in `held_out` (0 first) are not used.
/// Boost is taken as measured where the curve has it, the mixture as the mean of what was measured.
///
/// # Errors
/// When there is nothing to adjust, too few points, or the engine cannot be run at one of the speeds.
pub fn calibrate(
    specification: &Specification,
    curve: &MeasuredCurve,
    choose: &[(Factor, f64, f64)],
    held_out: &[usize],
    go_on: GoOn<'_>,
) -> Result<Calibration, PowerError> {
    calibrate_noted(specification, curve, (choose, held_out), go_on, &())
}

/// As [`calibrate`] with the factors and the points held out; each set of factors is noted when its curve is computed, and one that
/// is known is not run again.
///
/// # Errors
/// As [`calibrate`].
pub fn calibrate_noted(
    specification: &Specification,
    curve: &MeasuredCurve,
    (choose, held_out): (&[(Factor, f64, f64)], &[usize]),
    go_on: GoOn<'_>,
    notes: &dyn Notes,
) -> Result<Calibration, PowerError> {
    let parts = parts(specification)?;
    let used: Vec<usize> = (0..curve.points.len()).filter(|i| !held_out.contains(i)).collect();
    check(curve, choose, &used)?;
    let start: Vec<f64> =
        choose.iter().map(|(f, _, _)| specification.input(f.path()).map_or(1.0, |i| i.value)).collect();
    let problem = Problem {
        engine: as_measured(&parts.engine, curve),
        curve,
        choose,
        start: start.clone(),
        go_on,
        notes,
        runs: 1 + ITERATIONS * (choose.len() + 1),
        done: std::cell::Cell::new(0),
    };
    let before = problem.torque(&start)?;
    let (factors, after, jacobian) = adjust(&problem, &used, before.clone())?;
    Ok(report(&problem, &used, &factors, &before, &after, &jacobian))
}

fn check(curve: &MeasuredCurve, choose: &[(Factor, f64, f64)], used: &[usize]) -> Result<(), PowerError> {
    let wrong = |text: String| Err(PowerError::Study(text));
    if choose.is_empty() {
        return wrong("choose at least one factor to adjust".to_owned());
    }
    for (i, (factor, least, greatest)) in choose.iter().enumerate() {
        if choose[..i].iter().any(|(other, _, _)| other == factor) {
            return wrong(format!("{} is chosen twice", factor.words()));
        }
        if !(*least > 0.0 && least < greatest && *greatest <= 10.0) {
            return wrong(format!(
                "the bounds of {} are {least} and {greatest}: least above 0, greatest above it and up to 10",
                factor.words()
            ));
        }
    }
    if used.len() <= choose.len() {
        return wrong(format!(
            "{} of {} to adjust {}: at least one more point than factors is needed",
            used.len(),
            counted(curve.points.len(), "point is left", "points are left"),
            counted(choose.len(), "factor", "factors")
        ));
    }
    Ok(())
}

/// The engine with boost and mixture as they were measured.
fn as_measured(engine: &EngineSpec, curve: &MeasuredCurve) -> EngineSpec {
    let mut engine = engine.clone();
    if let Some(unit) = &mut engine.turbocharger {
        let boost: Vec<(f64, f64)> = curve.points.iter().filter_map(|p| Some((p.speed, p.boost?))).collect();
        if !boost.is_empty() {
            unit.boost_by_speed = boost;
        }
    }
    let lambda: Vec<(f64, f64)> = curve.points.iter().filter_map(|p| Some((p.speed, p.lambda?))).collect();
    if !lambda.is_empty() {
        engine.lambda_by_speed = lambda;
    }
    engine
}

type Adjustment = (Vec<f64>, Vec<f64>, Vec<Vec<f64>>);

fn adjust(problem: &Problem<'_>, used: &[usize], mut torque: Vec<f64>) -> Result<Adjustment, PowerError> {
    let mut factors: Vec<f64> = problem
        .choose
        .iter()
        .zip(&problem.start)
        .map(|((_, least, most), s)| s.clamp(*least, *most))
        .collect();
    if factors != problem.start {
        torque = problem.torque(&factors)?;
    }
    let error = |torque: &[f64]| {
        let residuals = problem.residuals(torque);
        root_mean_square(used.iter().map(|i| residuals[*i]))
    };
    let mut jacobian = Vec::new();
    for _ in 0..ITERATIONS {
        jacobian = derivatives(problem, &factors, &torque)?;
        let residuals = problem.residuals(&torque);
        let step = bounded_step(problem.choose, &factors, used, &residuals, &jacobian);
        let next: Vec<f64> = factors.iter().zip(&step).map(|(f, s)| f + s).collect();
        let made = problem.torque(&next)?;
        let (old, new) = (error(&torque), error(&made));
        if new < old {
            factors = next;
            torque = made;
        }
        if new >= old * 0.98 {
            break;
        }
    }
    Ok((factors, torque, jacobian))
}

/// ∂(relative error)/∂factor, one list for each factor; one-sided, away from the nearer bound.
fn derivatives(problem: &Problem<'_>, factors: &[f64], torque: &[f64]) -> Result<Vec<Vec<f64>>, PowerError> {
    let base = problem.residuals(torque);
    (0..factors.len())
        .map(|k| {
            let mut changed = factors.to_vec();
            let step = if changed[k] + STEP <= problem.choose[k].2 { STEP } else { -STEP };
            changed[k] += step;
            let residuals = problem.residuals(&problem.torque(&changed)?);
            Ok(residuals.iter().zip(&base).map(|(r, b)| (r - b) / step).collect())
        })
        .collect()
}

/// Step of least squares; factors that would leave their bounds are set onto them and the rest is solved again.
fn bounded_step(
    choose: &[(Factor, f64, f64)],
    factors: &[f64],
    used: &[usize],
    residuals: &[f64],
    jacobian: &[Vec<f64>],
) -> Vec<f64> {
    let count = factors.len();
    let mut step = vec![0.0; count];
    let mut free: Vec<usize> = (0..count).collect();
    loop {
        // What the fixed steps have already done.
        let left: Vec<f64> = used
            .iter()
            .map(|i| residuals[*i] + (0..count).map(|k| jacobian[k][*i] * step[k]).sum::<f64>())
            .collect();
        let solved = normal_equations(&free, used, &left, jacobian);
        let mut trial = step.clone();
        for (k, s) in free.iter().zip(&solved) {
            trial[*k] += s;
        }
        let over = free.iter().copied().find(|k| {
            let (_, least, most) = choose[*k];
            !(least..=most).contains(&(factors[*k] + trial[*k]))
        });
        match over {
            None => return trial,
            Some(k) => {
                let (_, least, most) = choose[k];
                step[k] = (factors[k] + trial[k]).clamp(least, most) - factors[k];
                free.retain(|f| *f != k);
            }
        }
    }
}

/// Solves `(JᵀJ + δ) s = −Jᵀ r` for the free factors; δ is small beside the diagonal and only keeps it solvable.
fn normal_equations(free: &[usize], used: &[usize], left: &[f64], jacobian: &[Vec<f64>]) -> Vec<f64> {
    let dot = |a: usize, b: usize| used.iter().map(|i| jacobian[a][*i] * jacobian[b][*i]).sum::<f64>();
    let matrix: Vec<Vec<f64>> = free
        .iter()
        .map(|a| free.iter().map(|b| dot(*a, *b) * if a == b { 1.0 + 1e-6 } else { 1.0 }).collect())
        .collect();
    let right: Vec<f64> =
        free.iter().map(|a| -used.iter().zip(left).map(|(i, r)| jacobian[*a][*i] * r).sum::<f64>()).collect();
    solve(matrix, right).unwrap_or_else(|| vec![0.0; free.len()])
}

/// Gauss with the largest pivot; `None` when the equations do not determine an answer.
fn solve(mut matrix: Vec<Vec<f64>>, mut right: Vec<f64>) -> Option<Vec<f64>> {
    let n = right.len();
    for column in 0..n {
        let pivot =
            (column..n).max_by(|a, b| matrix[*a][column].abs().total_cmp(&matrix[*b][column].abs()))?;
        if matrix[pivot][column].abs() < 1e-14 {
            return None;
        }
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        for row in column + 1..n {
            let factor = matrix[row][column] / matrix[column][column];
            let above = matrix[column].clone();
            for (own, other) in matrix[row].iter_mut().zip(&above).skip(column) {
                *own -= factor * other;
            }
            right[row] -= factor * right[column];
        }
    }
    for row in (0..n).rev() {
        let sum: f64 = (row + 1..n).map(|k| matrix[row][k] * right[k]).sum();
        right[row] = (right[row] - sum) / matrix[row][row];
    }
    Some(right)
}

fn report(
    problem: &Problem<'_>,
    used: &[usize],
    factors: &[f64],
    before: &[f64],
    after: &[f64],
    jacobian: &[Vec<f64>],
) -> Calibration {
    let (old, new) = (problem.residuals(before), problem.residuals(after));
    let at = |list: &[f64], adjusted: bool| {
        root_mean_square((0..list.len()).filter(|i| used.contains(i) == adjusted).map(|i| list[i]))
    };
    let freedom = used.len() - factors.len();
    let variance = used.iter().map(|i| new[*i] * new[*i]).sum::<f64>() / freedom as f64;
    let adjusted = problem.choose.iter().enumerate().map(|(k, (factor, least, most))| Adjusted {
        factor: *factor,
        value: factors[k],
        before: problem.start[k],
        standard: standard(k, used, jacobian, variance),
        at_bound: (factors[k] - least).abs() < 1e-9 || (factors[k] - most).abs() < 1e-9,
    });
    let held = used.len() < problem.curve.points.len();
    let held_out = held.then(|| (at(&old, false), at(&new, false)));
    let worst = largest(used, &new);
    let adjusted: Vec<Adjusted> = adjusted.collect();
    let bound = adjusted.iter().filter(|f| f.at_bound).map(|f| f.factor.words()).collect::<Vec<_>>();
    let sign = if new[worst] < 0.0 { '\u{2212}' } else { '+' };
    let mut unexplained = format!(
        "{:.1} % root mean square at the speeds used, at most {sign}{:.1} % at {:.0} rev/min",
        100.0 * at(&new, true),
        100.0 * new[worst].abs(),
        problem.curve.points[worst].speed * 30.0 / std::f64::consts::PI
    );
    if let Some((_, after)) = held_out {
        let _ = write!(unexplained, "; {:.1} % at the speeds that were left out", 100.0 * after);
    }
    if !bound.is_empty() {
        let _ = write!(
            unexplained,
            "; at its bound: {} (look for what the model or the measurement lacks)",
            bound.join(", ")
        );
    }
    Calibration {
        factors: adjusted,
        points: (0..after.len())
            .map(|i| Compared {
                speed: problem.curve.points[i].speed,
                measured: problem.curve.points[i].torque,
                before: before[i],
                after: after[i],
                held_out: !used.contains(&i),
            })
            .collect(),
        adjusted: (at(&old, true), at(&new, true)),
        held_out,
        unexplained,
    }
}

/// Which of the points in `among` is off by most.
fn largest(among: &[usize], off: &[f64]) -> usize {
    among.iter().copied().max_by(|a, b| off[*a].abs().total_cmp(&off[*b].abs())).unwrap_or(0)
}

/// √(s² (JᵀJ)⁻¹ₖₖ); none where the factors cannot be told apart.
fn standard(k: usize, used: &[usize], jacobian: &[Vec<f64>], variance: f64) -> Option<f64> {
    let n = jacobian.len();
    let dot = |a: usize, b: usize| used.iter().map(|i| jacobian[a][*i] * jacobian[b][*i]).sum::<f64>();
    let matrix: Vec<Vec<f64>> = (0..n).map(|a| (0..n).map(|b| dot(a, b)).collect()).collect();
    let unit: Vec<f64> = (0..n).map(|i| if i == k { 1.0 } else { 0.0 }).collect();
    let inverse = solve(matrix, unit)?[k];
    (inverse > 0.0).then(|| (variance * inverse).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_stays_within_its_bounds_and_solves_the_rest_again() {
        // r = A s + r0 with A = [[1, 1], [1, 2], [1, 3]]: without bounds the line through the points.
        let jacobian = vec![vec![1.0, 1.0, 1.0], vec![1.0, 2.0, 3.0]];
        let residuals = vec![-0.30, -0.40, -0.50];
        let wide = [(Factor::Friction, 0.1, 9.0), (Factor::Heat, 0.1, 9.0)];
        let step = bounded_step(&wide, &[1.0, 1.0], &[0, 1, 2], &residuals, &jacobian);
        assert!((step[0] - 0.2).abs() < 1e-4 && (step[1] - 0.1).abs() < 1e-4, "{step:?}");
        let narrow = [(Factor::Friction, 0.9, 1.1), (Factor::Heat, 0.1, 9.0)];
        let step = bounded_step(&narrow, &[1.0, 1.0], &[0, 1, 2], &residuals, &jacobian);
        // First factor on its bound, 0.1; the second: Σ x (y − 0.1)/Σ x² = (0.2 + 0.6 + 1.2)/14.
        assert!((step[0] - 0.1).abs() < 1e-12 && (step[1] - 2.0 / 14.0).abs() < 1e-4, "{step:?}");
    }

    /// A point that was left out once lent its error to the words on those used.
    #[test]
    fn the_worst_of_the_fitted_points_is_a_fitted_point() {
        assert_eq!(largest(&[0, 2], &[0.001, -0.02, -0.003]), 2);
        assert_eq!(largest(&[0, 1, 2], &[0.001, -0.02, -0.003]), 1);
    }

    #[test]
    fn equations_that_say_nothing_have_no_answer() {
        assert!(solve(vec![vec![1.0, 1.0], vec![1.0, 1.0]], vec![1.0, 1.0]).is_none());
    }
}
