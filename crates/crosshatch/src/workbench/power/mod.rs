//! Power of an engine: runs in the background, one at a time for each engine, and their results as the store keeps them.

mod job;
pub(super) mod kept;
mod notebook;

pub(super) use job::Jobs;
pub use job::{Job, JobState};
pub use kept::{Computed, KeptResult};

use super::clock::now;
use super::error::{Error, Result};
use super::slot::Slot;
use super::{Assessed, Workbench};
use engine::power::{
    CamSweep, Factor, MeasuredCurve, Note, Notes, PowerError, PowerRun, Progress, Request, SpecInput,
    Specification, calibrate_noted, cam_sweep_noted, cam_sweep_so_far, input_changes, run_noted,
    sensitivity_noted, sensitivity_so_far, specify,
};
use engine::quantity::{Dimension, parse_quantity};
use job::Running;
use notebook::Notebook;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::sync::Arc;
use store::{ResultDraft, Store};

/// What is to be computed.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub enum Work {
    /// A torque curve.
    Curve(Request),
    /// The points that a stopped curve did not reach.
    Resume(u64),
    /// What each choice is worth at a crank speed, rad/s.
    Choices(f64),
    /// Torque over the lobe centres at a crank speed (rad/s): so many steps to either side, each so large (rad).
    Sweep(f64, u32, f64),
    /// Factors adjusted to a measured curve, with their bounds; points that are held out, 0 first.
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

    /// Parts in all, where that is known beforehand.
    fn parts(&self, specification: &Specification) -> Option<usize> {
        match self {
            Self::Curve(request) => Some(request.speeds.len()),
            Self::Sweep(_, steps, _) => Some((2 * *steps as usize + 1) * (2 * *steps as usize + 1)),
            Self::Choices(_) => {
                let choices = engine::power::Choice::ALL.into_iter().filter(|c| c.applies(specification));
                Some(1 + 2 * choices.count())
            }
            Self::Resume(_) | Self::Calibration(..) => None,
        }
    }
}

/// A computation that was stopped, or that ended with the program.
#[derive(Clone, Debug)]
pub struct Unfinished {
    /// What was asked.
    pub work: Work,
    /// Its word in the store.
    pub kind: String,
    /// When it was begun, RFC 3339.
    pub when: String,
    /// Parts that are done.
    pub done: usize,
    /// Parts in all, where that is known beforehand.
    pub of: Option<usize>,
    /// Points of a curve: speed in rad/s, torque in N m, power in W.
    pub reached: Vec<(f64, f64, f64)>,
    /// What the parts of a study say so far, as a result of its kind that is not whole.
    pub so_far: Option<Computed>,
    /// The engine has changed since.
    pub changed: bool,
}

/// The part of a study's result that its ended parts give.
fn so_far(work: &Work, specification: &Specification, known: &HashMap<String, Note>) -> Option<Computed> {
    match work {
        Work::Choices(speed) => Some(Computed::Choices(*speed, sensitivity_so_far(known)?)),
        Work::Sweep(speed, steps, step) => {
            let (intake, exhaust) = CamSweep::around(specification, *steps, *step)?;
            cam_sweep_so_far(specification, *speed, (&intake, &exhaust), known).map(Computed::Sweep)
        }
        Work::Curve(_) | Work::Resume(_) | Work::Calibration(..) => None,
    }
}

/// What stands in the store of a computation that was begun.
#[derive(Debug, Serialize, Deserialize)]
struct Begun {
    work: Work,
    inputs: Vec<SpecInput>,
}

/// The moment that a computation starts from.
struct Start {
    store: Store,
    id: String,
    document: u64,
    sequence: u64,
    who: String,
    specification: Specification,
    slot: Arc<Slot>,
}

impl Start {
    /// Notes that this work was begun.
    fn begin(&self, work: &Work, when: String) -> store::Result<()> {
        let begun = Begun { work: work.clone(), inputs: self.specification.inputs.clone() };
        let draft = ResultDraft {
            kind: work.kind().to_owned(),
            body: serde_json::to_string(&begun).unwrap_or_default(),
            document: self.document,
            sequence: self.sequence,
            who: self.who.clone(),
            when,
        };
        self.store.begin(&self.id, draft)
    }
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

    /// Starts a computation in a thread of its own. One of its kind that had not ended is dropped.
    ///
    /// # Errors
    /// [`Error::Running`] while another one of this engine runs; [`Error::Power`] when it cannot start.
    pub fn start_power(&self, id: &str, work: Work) -> Result<Arc<Job>> {
        self.start_with(id, work, None)
    }

    /// Goes on with a computation of this kind that was stopped, or that ended with the program: what is done is not done again.
    ///
    /// # Errors
    /// As [`Workbench::start_power`]; [`Error::Power`] where there is none, or the engine has changed since.
    pub fn go_on_power(&self, id: &str, kind: &str) -> Result<Arc<Job>> {
        let unfinished = self.unfinished_power(id)?.into_iter().find(|u| u.kind == kind);
        let Some(unfinished) = unfinished else {
            return Err(Error::Power("nothing of this kind waits to be gone on with".to_owned()));
        };
        if unfinished.changed {
            let what = "it was begun from other sizes than the engine has now: start it anew";
            return Err(Error::Power(what.to_owned()));
        }
        let known = notebook::known(&self.store, id, kind);
        self.start_with(id, unfinished.work, Some(known))
    }

    fn start_with(&self, id: &str, work: Work, known: Option<HashMap<String, Note>>) -> Result<Arc<Job>> {
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
            slot: self.slot(id)?,
        };
        let started = now();
        let when = started.clone();
        self.jobs.start(id, work.kind(), &started, move |job| {
            if known.is_none() {
                start.begin(&work, when).map_err(|e| e.to_string())?;
            }
            compute(&start, work, before, known.unwrap_or_default(), job)
        })
    }

    /// Computations of this engine that have not ended and do not run.
    ///
    /// # Errors
    /// When there is no such engine. What this program cannot read is left out.
    pub fn unfinished_power(&self, id: &str) -> Result<Vec<Unfinished>> {
        let all = self.store.unfinished(id)?;
        if all.is_empty() {
            return Ok(Vec::new());
        }
        let runs = self.power_job(id).filter(|job| job.runs()).map(|job| job.kind);
        let (_, specification) = self.specification(id)?;
        let read = |row: store::Unfinished| {
            let begun: Begun = serde_json::from_str(&row.body).ok()?;
            let known = notebook::known(&self.store, id, &row.kind);
            let mut reached: Vec<(f64, f64, f64)> = known
                .values()
                .filter_map(|note| match note {
                    Note::Point(p) => Some((p.speed, p.torque, p.power)),
                    _ => None,
                })
                .collect();
            reached.sort_by(|a, b| a.0.total_cmp(&b.0));
            Some(Unfinished {
                changed: !input_changes(&specification, &begun.inputs).is_empty(),
                of: begun.work.parts(&specification),
                so_far: so_far(&begun.work, &specification, &known),
                work: begun.work,
                kind: row.kind,
                when: row.when,
                done: known.len(),
                reached,
            })
        };
        Ok(all.into_iter().filter(|row| Some(row.kind.as_str()) != runs).filter_map(read).collect())
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

/// Computes, keeps the result, and gives its number. What stops before there is a result leaves its parts to go on from.
fn compute(
    start: &Start,
    work: Work,
    before: Option<(u64, PowerRun)>,
    known: HashMap<String, Note>,
    job: &Running,
) -> std::result::Result<u64, String> {
    let kind = work.kind();
    let (notebook, parts) = Notebook::open(known, job);
    let outcome = std::thread::scope(|scope| {
        scope.spawn(move || notebook::write(&start.store, &start.id, kind, &parts));
        // The notebook ends here, and with it the writer.
        let notebook = notebook;
        results(start, work, before, &|progress| job.goes_on(progress), &notebook)
    });
    let body = match outcome {
        Ok(body) => body,
        Err(PowerError::Stopped) => return Err("stopped; what is done is kept".to_owned()),
        Err(error) => {
            // It would end like this again.
            let _ = start.store.drop_unfinished(&start.id, kind);
            return Err(error.to_string());
        }
    };
    let draft = ResultDraft {
        kind: kind.to_owned(),
        body,
        document: start.document,
        sequence: start.sequence,
        who: start.who.clone(),
        when: now(),
    };
    let number =
        start.store.keep_result(&start.id, draft).map(|info| info.number).map_err(|e| e.to_string())?;
    let _ = start.store.drop_unfinished(&start.id, kind);
    start.slot.take_up(&start.store, &start.id);
    Ok(number)
}

fn results(
    start: &Start,
    work: Work,
    before: Option<(u64, PowerRun)>,
    go_on: &(dyn Fn(Progress) -> bool + Sync),
    notes: &dyn Notes,
) -> std::result::Result<String, PowerError> {
    let specification = &start.specification;
    let computed = match work {
        Work::Curve(request) => Computed::Curve(Box::new(run_noted(specification, &request, go_on, notes)?)),
        Work::Resume(_) => {
            let Some((number, earlier)) = before else { return Err(PowerError::Stopped) };
            let request = Request { speeds: unreached(&earlier), ..earlier.request.clone() };
            let further = run_noted(specification, &request, go_on, notes)?;
            return Ok(kept::body(
                &Computed::Curve(Box::new(joined(earlier, further))),
                &specification.inputs,
                Some(number),
            ));
        }
        Work::Choices(speed) => {
            Computed::Choices(speed, sensitivity_noted(specification, speed, go_on, notes)?)
        }
        Work::Sweep(speed, steps, step) => {
            let (intake, exhaust) =
                CamSweep::around(specification, steps, step).ok_or(PowerError::Stopped)?;
            Computed::Sweep(cam_sweep_noted(specification, speed, (&intake, &exhaust), go_on, notes)?)
        }
        Work::Calibration(curve, choose, held_out) => {
            Computed::Calibration(calibrate_noted(specification, &curve, (&choose, &held_out), go_on, notes)?)
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
/// What is wrong with the text, and what is expected.
pub fn speeds(text: &str) -> std::result::Result<Vec<f64>, String> {
    let mut list: Vec<f64> = Vec::new();
    for part in text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
        match part.split_once(" to ") {
            None => list.push(speed(part)?),
            Some((from, rest)) => list.extend(range(part, from, rest)?),
        }
    }
    list.sort_by(f64::total_cmp);
    list.dedup();
    match list.len() {
        0 => Err(format!(
            "speeds: none is given; expected 1 to {MOST_SPEEDS} crank speeds, such as {SPEEDS_EXAMPLE}"
        )),
        n if n > MOST_SPEEDS => Err(format!(
            "speeds: {n} are given; expected 1 to {MOST_SPEEDS} crank speeds, such as {SPEEDS_EXAMPLE}"
        )),
        _ => Ok(list.into_iter().map(|n| n * std::f64::consts::TAU / 60.0).collect()),
    }
}

/// More speeds than this are no curve but a mistake.
const MOST_SPEEDS: usize = 200;
/// Steps of a range that says none, rev/min.
const STEP: &str = "500";
const SPEEDS_EXAMPLE: &str = "3000, 3500, 4000 or 3000 to 8500 by 500";

/// A crank speed in rev/min; its unit may stand behind it.
fn speed(word: &str) -> std::result::Result<f64, String> {
    let word = word.trim();
    let written = word.parse::<f64>().ok().or_else(|| {
        let (per_second, _) = parse_quantity(word, Dimension::Speed).ok()?;
        Some((per_second * 60.0 * 1e6).round() / 1e6)
    });
    match written {
        Some(n) if (100.0..=20_000.0).contains(&n) => Ok(n),
        Some(n) if n.is_finite() => {
            Err(format!("speeds: \"{word}\" is no crank speed; expected 100 to 20000 rev/min, such as 4500"))
        }
        _ => Err(format!(
            "speeds: \"{word}\" is no crank speed; expected a number of rev/min, such as {SPEEDS_EXAMPLE}"
        )),
    }
}

/// "3000 to 8500 by 500", of which `rest` stands behind "to".
fn range(part: &str, from: &str, rest: &str) -> std::result::Result<impl Iterator<Item = f64>, String> {
    let (to, by) = rest.split_once(" by ").unwrap_or((rest, STEP));
    let (from, to) = (speed(from)?, speed(to)?);
    if to < from {
        return Err(format!(
            "speeds: \"{part}\" gives no list, its first speed is above its last; expected the lower one first, as in {to} to {from} by {}",
            by.trim()
        ));
    }
    let step = by.trim().parse::<f64>().ok().filter(|step| step.is_finite() && *step >= 1.0);
    let Some(step) = step else {
        return Err(format!(
            "speeds: \"{}\" in \"{part}\" is no step; expected 1 rev/min or more, as in {from} to {to} by {STEP}",
            by.trim()
        ));
    };
    let steps = ((to - from) / step + 1e-9).floor() as usize;
    if steps >= MOST_SPEEDS {
        let least = ((to - from) / (MOST_SPEEDS - 1) as f64).ceil();
        return Err(format!(
            "speeds: \"{part}\" gives {} speeds; expected at most {MOST_SPEEDS}, as in {from} to {to} by {least}",
            steps + 1
        ));
    }
    Ok((0..=steps).map(move |k| from + k as f64 * step))
}

/// Are these speeds a range, whose steps need not hit what the duty asks for?
pub fn is_range(text: &str) -> bool {
    text.contains(" to ")
}

/// Crank speeds as a person would list them, in rev/min: "3000 to 8500 by 500" where they are evenly spaced, else one by one.
pub fn speeds_text(speeds: &[f64]) -> String {
    let rounded = |speed: &f64| (speed * 60.0 / std::f64::consts::TAU * 1e3).round() / 1e3;
    let list: Vec<f64> = speeds.iter().map(rounded).collect();
    let steps: Vec<f64> = list.windows(2).map(|pair| pair[1] - pair[0]).collect();
    match (steps.as_slice(), list.first(), list.last()) {
        ([first, _, ..], Some(from), Some(to)) if steps.iter().all(|s| (s - first).abs() < 2e-3) => {
            format!("{from} to {to} by {first}")
        }
        _ => list.iter().map(f64::to_string).collect::<Vec<_>>().join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn speeds_are_written_as_they_are_read() {
        for text in ["3000 to 8500 by 500", "3000, 3500, 5000", "7000", "4500 to 8500 by 100", "2870.5, 4000"]
        {
            assert_eq!(speeds_text(&speeds(text).expect("speeds")), text);
        }
        // A range beside single speeds, in any order, each speed once.
        let mixed = speeds("7763, 3000 to 5000 by 1000, 4000").expect("speeds");
        assert_eq!(speeds_text(&mixed), "3000, 4000, 5000, 7763");
        // The unit may stand behind, and a range without a step goes by 500.
        assert_eq!(
            speeds_text(&speeds("4500 rpm, 5000 rev/min, 6000 rpm").expect("speeds")),
            "4500, 5000, 6000"
        );
        assert_eq!(speeds_text(&speeds("3000 to 4500").expect("speeds")), "3000 to 4500 by 500");
    }

    #[test]
    fn a_mistake_in_speeds_is_named_with_what_is_expected() {
        for (text, words) in [
            (
                "",
                "speeds: none is given; expected 1 to 200 crank speeds, such as 3000, 3500, 4000 or 3000 to 8500 by 500",
            ),
            (
                "3000, fast",
                "speeds: \"fast\" is no crank speed; expected a number of rev/min, such as 3000, 3500, 4000 or 3000 to 8500 by 500",
            ),
            (
                "NaN",
                "speeds: \"NaN\" is no crank speed; expected a number of rev/min, such as 3000, 3500, 4000 or 3000 to 8500 by 500",
            ),
            ("-4000", "speeds: \"-4000\" is no crank speed; expected 100 to 20000 rev/min, such as 4500"),
            (
                "45000 rpm",
                "speeds: \"45000 rpm\" is no crank speed; expected 100 to 20000 rev/min, such as 4500",
            ),
            (
                "6000 to 5000 by 10",
                "speeds: \"6000 to 5000 by 10\" gives no list, its first speed is above its last; expected the lower one first, as in 5000 to 6000 by 10",
            ),
            (
                "3000 to 5000 by 0, 4000",
                "speeds: \"0\" in \"3000 to 5000 by 0\" is no step; expected 1 rev/min or more, as in 3000 to 5000 by 500",
            ),
            (
                "3000 to 5000 by few",
                "speeds: \"few\" in \"3000 to 5000 by few\" is no step; expected 1 rev/min or more, as in 3000 to 5000 by 500",
            ),
            (
                "3000 to 8000 by 10",
                "speeds: \"3000 to 8000 by 10\" gives 501 speeds; expected at most 200, as in 3000 to 8000 by 26",
            ),
        ] {
            assert_eq!(speeds(text), Err(words.to_owned()), "{text}");
        }
    }
}
