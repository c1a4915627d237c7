//! Power of an engine: runs in the background, one at a time for each engine, and their results as the store keeps them.

mod job;
mod kept;

pub(super) use job::Jobs;
pub use job::{Job, JobState};
pub use kept::{Computed, KeptResult};

use super::clock::now;
use super::error::{Error, Result};
use super::{Assessed, Workbench};
use engine::power::{
    CamSweep, Factor, MeasuredCurve, PowerError, PowerRun, Progress, Request, Specification, calibrate,
    cam_sweep, run, sensitivity, specify,
};
use job::Running;
use std::sync::Arc;
use store::{ResultDraft, Store};

/// What is to be computed.
#[derive(Clone, Debug)]
pub enum Work {
    /// A torque curve.
    Curve(Request),
    /// The points that a stopped curve did not reach.
    Resume(u64),
    /// What each choice is worth at a crank speed, rad/s.
    Choices(f64),
    /// Torque over the lobe centres at a crank speed (rad/s): so many steps to either side, each so large (rad).
    Sweep(f64, u32, f64),
    /// Factors fitted to a measured curve, with their bounds; points that are held out, 0 first.
    Calibration(MeasuredCurve, Vec<(Factor, f64, f64)>, Vec<usize>),
}

impl Work {
    /// Its word in the store.
    const fn kind(&self) -> &'static str {
        match self {
            Self::Curve(_) | Self::Resume(_) => kept::CURVE,
            Self::Choices(_) => kept::CHOICES,
            Self::Sweep(..) => kept::SWEEP,
            Self::Calibration(..) => kept::CALIBRATION,
        }
    }
}

/// The moment that a computation starts from.
struct Start {
    store: Store,
    id: String,
    document: u64,
    sequence: u64,
    who: String,
    specification: Specification,
}

impl Workbench {
    /// What a computation of this engine starts from.
    ///
    /// # Errors
    /// When there is no such engine.
    pub fn specification(&self, id: &str) -> Result<(Arc<Assessed>, Specification)> {
        let assessed = self.engine(id)?;
        let specification = specify(&assessed.engine, &assessed.assessment);
        Ok((assessed, specification))
    }

    /// Starts a computation in a thread of its own.
    ///
    /// # Errors
    /// [`Error::Running`] while another one of this engine runs; [`Error::Power`] when it cannot start.
    pub fn start_power(&self, id: &str, work: Work) -> Result<Arc<Job>> {
        // Read first: an entry that arrives in between makes the result look older than it is, never newer.
        let sequence = self.store.head(id)?.entries;
        let (assessed, specification) = self.specification(id)?;
        if !specification.is_complete() {
            return Err(Error::Power(missing_words(&specification)));
        }
        let before = match work {
            Work::Resume(number) => Some((number, self.resumable(id, number, &specification)?)),
            _ => None,
        };
        let start = Start {
            store: self.store.clone(),
            id: id.to_owned(),
            document: assessed.version,
            sequence,
            who: self.who.clone(),
            specification,
        };
        let started = now();
        self.jobs.start(id, work.kind(), &started, move |job| compute(&start, work, before, job))
    }

    /// The computation of this engine that runs, or the last one of this run of the program.
    pub fn power_job(&self, id: &str) -> Option<Arc<Job>> {
        self.jobs.of(id)
    }

    /// A stopped curve of the engine as it is now.
    fn resumable(&self, id: &str, number: u64, specification: &Specification) -> Result<PowerRun> {
        let Computed::Curve(run) = self.power_result(id, number)?.computed else {
            return Err(Error::Power(format!("result {number} is no torque curve")));
        };
        if unreached(&run).is_empty() {
            return Err(Error::Power(format!("run {number} reached every speed that was asked for")));
        }
        if !engine::power::changes(specification, &run).is_empty() {
            let what =
                format!("run {number} was made from other sizes than the engine has now: start a new run");
            return Err(Error::Power(what));
        }
        Ok(*run)
    }
}

/// Speeds that were asked for and are neither among the points nor among the failures.
pub fn unreached(run: &PowerRun) -> Vec<f64> {
    let same = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs();
    let reached = |speed: f64| {
        run.points.iter().any(|p| same(p.speed, speed)) || run.failures.iter().any(|f| same(f.speed, speed))
    };
    run.request.speeds.iter().copied().filter(|s| !reached(*s)).collect()
}

fn missing_words(specification: &Specification) -> String {
    let first = specification
        .missing
        .iter()
        .map(engine::power::Missing::words)
        .chain(specification.problems.iter().cloned());
    let words: Vec<String> = first.take(3).collect();
    format!("Power cannot be computed yet. Missing first: {}.", words.join("; "))
}

/// Computes, keeps the result, and gives its number.
fn compute(
    start: &Start,
    work: Work,
    before: Option<(u64, PowerRun)>,
    job: &Running,
) -> std::result::Result<u64, String> {
    let kind = work.kind();
    let body = results(start, work, before, &|progress| job.goes_on(progress)).map_err(|e| e.to_string())?;
    let draft = ResultDraft {
        kind: kind.to_owned(),
        body,
        document: start.document,
        sequence: start.sequence,
        who: start.who.clone(),
        when: now(),
    };
    start.store.keep_result(&start.id, draft).map(|info| info.number).map_err(|e| e.to_string())
}

fn results(
    start: &Start,
    work: Work,
    before: Option<(u64, PowerRun)>,
    go_on: &(dyn Fn(Progress) -> bool + Sync),
) -> std::result::Result<String, PowerError> {
    let specification = &start.specification;
    let computed = match work {
        Work::Curve(request) => Computed::Curve(Box::new(run(specification, &request, go_on)?)),
        Work::Resume(_) => {
            let Some((number, earlier)) = before else { return Err(PowerError::Stopped) };
            let request = Request { speeds: unreached(&earlier), ..earlier.request.clone() };
            let further = run(specification, &request, go_on)?;
            return Ok(kept::body(
                &Computed::Curve(Box::new(joined(earlier, further))),
                &specification.inputs,
                Some(number),
            ));
        }
        Work::Choices(speed) => Computed::Choices(speed, sensitivity(specification, speed, go_on)?),
        Work::Sweep(speed, steps, step) => {
            let (intake, exhaust) =
                CamSweep::around(specification, steps, step).ok_or(PowerError::Stopped)?;
            Computed::Sweep(cam_sweep(specification, speed, &intake, &exhaust, go_on)?)
        }
        Work::Calibration(curve, choose, held_out) => {
            Computed::Calibration(calibrate(specification, &curve, &choose, &held_out, go_on)?)
        }
    };
    Ok(kept::body(&computed, &specification.inputs, None))
}

/// A stopped run and what was computed later, as one.
fn joined(earlier: PowerRun, further: PowerRun) -> PowerRun {
    let mut points = earlier.points;
    points.extend(further.points);
    points.sort_by(|a, b| a.speed.total_cmp(&b.speed));
    let mut failures = earlier.failures;
    failures.extend(further.failures);
    PowerRun { points, failures, request: earlier.request, stopped: further.stopped, ..further }
}

/// Crank speeds as a person lists them, in rev/min: "3000, 3500, 4000" or "3000 to 8500 by 500"; rad/s.
///
/// # Errors
/// What is wrong with the text.
pub fn speeds(text: &str) -> std::result::Result<Vec<f64>, String> {
    let number = |word: &str| {
        let word = word.trim().trim_end_matches("rev/min").trim();
        word.parse::<f64>()
            .ok()
            .filter(|n| *n >= 100.0 && *n <= 20_000.0)
            .ok_or_else(|| format!("speeds: \"{word}\" is no crank speed; expected 100 to 20000 rev/min"))
    };
    let list: Vec<f64> = if let Some((from, rest)) = text.split_once(" to ") {
        let (to, by) = rest.split_once(" by ").unwrap_or((rest, "500"));
        let step = by.trim().parse::<f64>().ok().filter(|s| *s >= 1.0);
        let (from, to) = (number(from)?, number(to)?);
        let step = step.ok_or_else(|| format!("speeds: \"{by}\" is no step"))?;
        let count = ((to - from) / step + 1e-9).floor();
        if !(0.0..200.0).contains(&count) {
            return Err(format!("speeds: \"{text}\" gives no list of 1 to 200 speeds"));
        }
        (0..=count as u32).map(|k| from + f64::from(k) * step).collect()
    } else {
        text.split([',', ';'])
            .filter(|w| !w.trim().is_empty())
            .map(number)
            .collect::<std::result::Result<_, _>>()?
    };
    if list.is_empty() || list.len() > 200 {
        return Err("speeds: give 1 to 200 crank speeds, for instance 3000, 3500, 4000".to_owned());
    }
    Ok(list.into_iter().map(|n| n * std::f64::consts::TAU / 60.0).collect())
}
