//! Many operating points: a full-throttle curve, a sweep of cam timing.
//!
//! Points run in two chains at once, each warm-started from its neighbour. The chains are the same on every machine, so
//! the result does not depend on the number of cores.

use super::cycle::{RunError, Settings, Simulation};
use super::results::OperatingPoint;
use super::spec::EngineSpec;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

/// Chains of points that run side by side.
pub const CHAINS: usize = 2;

/// How far a run has come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// Points done.
    pub done: usize,
    /// Points in all.
    pub of: usize,
    /// Number of the point that runs now in this chain.
    pub point: usize,
    /// Cycles of that point so far.
    pub cycles: u32,
    /// Its drift.
    pub drift: f64,
}

/// Runs `count` points; `prepare` turns the engine of the point before into that of the next. The outcome of each point stands
/// in its place; after a stop the points that did not run say [`RunError::Stopped`].
///
/// `go_on` is asked after each cycle of each chain; false stops them all.
pub fn run_points(
    spec: &EngineSpec,
    weights: &[f64],
    settings: &Settings,
    first_speed: impl Fn(usize) -> f64 + Sync,
    prepare: impl Fn(&mut Simulation, usize) + Sync,
    go_on: impl Fn(Progress) -> bool + Sync,
) -> Vec<Result<OperatingPoint, RunError>> {
    let keep = |_: &mut Simulation, _: usize, point: OperatingPoint| Ok(point);
    run_points_with(spec, weights, settings, first_speed, prepare, keep, go_on)
}

/// As [`run_points`]; `look` sees the engine of each point once it has converged, and makes of it what is kept (a
/// [`Simulation::record`] for instance).
pub fn run_points_with<T: Clone + Send>(
    spec: &EngineSpec,
    weights: &[f64],
    settings: &Settings,
    first_speed: impl Fn(usize) -> f64 + Sync,
    prepare: impl Fn(&mut Simulation, usize) + Sync,
    look: impl Fn(&mut Simulation, usize, OperatingPoint) -> Result<T, RunError> + Sync,
    go_on: impl Fn(Progress) -> bool + Sync,
) -> Vec<Result<T, RunError>> {
    let count = weights.len();
    let results = Mutex::new(vec![Err(RunError::Stopped); count]);
    let done = Mutex::new(0_usize);
    let stopped = AtomicBool::new(false);
    let chain = |points: std::ops::Range<usize>| {
        let mut simulation: Option<Simulation> = None;
        for point in points {
            if stopped.load(Ordering::Relaxed) {
                return;
            }
            let outcome =
                one_point(spec, &mut simulation, point, &first_speed, &prepare, settings, |cycles, drift| {
                    let so_far = done.lock().map_or(0, |d| *d);
                    let on = go_on(Progress { done: so_far, of: count, point, cycles, drift });
                    if !on {
                        stopped.store(true, Ordering::Relaxed);
                    }
                    on && !stopped.load(Ordering::Relaxed)
                });
            let outcome = outcome.and_then(|converged| match &mut simulation {
                Some(running) => look(running, point, converged),
                None => Err(RunError::Stopped),
            });
            if outcome.is_err() {
                // What went wrong must not spoil the next point: it starts cold.
                simulation = None;
            }
            if let Ok(mut all) = results.lock() {
                all[point] = outcome;
            }
            if let Ok(mut d) = done.lock() {
                *d += 1;
            }
        }
    };
    std::thread::scope(|scope| {
        for points in parts(weights) {
            scope.spawn(|| chain(points));
        }
    });
    results.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner)
}

fn one_point(
    spec: &EngineSpec,
    simulation: &mut Option<Simulation>,
    point: usize,
    first_speed: &impl Fn(usize) -> f64,
    prepare: &impl Fn(&mut Simulation, usize),
    settings: &Settings,
    go_on: impl FnMut(u32, f64) -> bool,
) -> Result<OperatingPoint, RunError> {
    let mut running = match simulation.take() {
        Some(warm) => warm,
        None => Simulation::new(spec, first_speed(point))?,
    };
    prepare(&mut running, point);
    let outcome = running.converge(settings, go_on)?;
    *simulation = Some(running);
    Ok(outcome)
}

/// Splits points into chains of about equal work.
fn parts(weights: &[f64]) -> Vec<std::ops::Range<usize>> {
    let total: f64 = weights.iter().sum();
    let mut parts = Vec::with_capacity(CHAINS);
    let (mut from, mut sum) = (0, 0.0);
    for (index, weight) in weights.iter().enumerate() {
        sum += weight;
        let full = sum >= total * (parts.len() + 1) as f64 / CHAINS as f64 - 1e-9 * total;
        if full && parts.len() + 1 < CHAINS {
            parts.push(from..index + 1);
            from = index + 1;
        }
    }
    parts.push(from..weights.len());
    parts
}

/// Full-throttle curve over crank speeds in rad/s.
pub fn curve(
    spec: &EngineSpec,
    speeds: &[f64],
    settings: &Settings,
    go_on: impl Fn(Progress) -> bool + Sync,
) -> Vec<Result<OperatingPoint, RunError>> {
    // A cycle has more steps the slower the crank turns.
    let weights: Vec<f64> = speeds.iter().map(|speed| 1.0 / speed.max(1.0)).collect();
    run_points(
        spec,
        &weights,
        settings,
        |point| speeds[point],
        |simulation, point| simulation.set_speed(speeds[point]),
        go_on,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chains_share_the_work() {
        assert_eq!(parts(&[1.0; 16]), vec![0..8, 8..16]);
        assert_eq!(parts(&[1.0]), vec![0..1, 1..1]);
        let uneven = parts(&[8.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0]);
        assert_eq!(uneven, vec![0..1, 1..9]);
    }
}
