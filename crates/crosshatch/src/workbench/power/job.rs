//! Computations in threads of their own: one at a time for each engine, watched and stopped from anywhere.

use super::super::error::{Error, Result};
use engine::power::{Note, Progress};
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

/// How a computation stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobState {
    /// Points done.
    pub done: usize,
    /// Points in all; 0 before the first cycle.
    pub of: usize,
    /// Cycles run in all.
    pub cycles: u64,
    /// Points of a curve that are done: speed in rad/s, torque in N m, power in W, as run; the slowest first.
    pub reached: Vec<(f64, f64, f64)>,
    /// Somebody asked it to stop.
    pub stopping: bool,
    /// Number of the kept result, or why there is none; `None` while it runs.
    pub ended: Option<std::result::Result<u64, String>>,
}

/// One computation.
#[derive(Debug)]
pub struct Job {
    /// Its word in the store.
    pub kind: &'static str,
    /// When it was started, RFC 3339.
    pub started: String,
    stop: AtomicBool,
    state: Mutex<JobState>,
}

impl Job {
    /// How it stands now.
    pub fn state(&self) -> JobState {
        JobState { stopping: self.stop.load(Ordering::Relaxed), ..self.locked().clone() }
    }

    /// Does it still run?
    pub fn runs(&self) -> bool {
        self.locked().ended.is_none()
    }

    /// Asks it to stop; it does at the end of the cycle that it is in, and what was reached is kept.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    fn locked(&self) -> MutexGuard<'_, JobState> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn end(&self, outcome: std::result::Result<u64, String>) {
        self.locked().ended.get_or_insert(outcome);
    }
}

/// The side of a job that computes. A thread that breaks off ends its job all the same.
pub(in crate::workbench) struct Running(Arc<Job>);

impl Running {
    /// Notes how far it is, and says whether to go on.
    pub fn goes_on(&self, progress: Progress) -> bool {
        let mut state = self.0.locked();
        (state.done, state.of) = (progress.done.max(state.done), progress.of);
        state.cycles += 1;
        !self.0.stop.load(Ordering::Relaxed)
    }

    /// Shows a point of a curve.
    pub fn reached(&self, note: &Note) {
        if let Note::Point(point) = note {
            let mut state = self.0.locked();
            state.reached.push((point.speed, point.torque, point.power));
            state.reached.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        self.0.end(Err("the computation broke off; what it had noted is kept".to_owned()));
    }
}

/// A computation and its thread.
type Threaded = (Arc<Job>, JoinHandle<()>);

/// The last computation of each engine.
#[derive(Debug, Default)]
pub(in crate::workbench) struct Jobs {
    last: Mutex<HashMap<String, Threaded>>,
}

impl Jobs {
    /// Starts `work` unless one runs for this engine.
    pub fn start<W>(&self, id: &str, kind: &'static str, started: &str, work: W) -> Result<Arc<Job>>
    where
        W: FnOnce(&Running) -> std::result::Result<u64, String> + Send + 'static,
    {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if last.get(id).is_some_and(|(job, _)| job.runs()) {
            return Err(Error::Running);
        }
        let job = Arc::new(Job {
            kind,
            started: started.to_owned(),
            stop: AtomicBool::default(),
            state: Mutex::default(),
        });
        let running = Running(Arc::clone(&job));
        let thread = std::thread::Builder::new()
            .name("power".to_owned())
            .spawn(move || {
                let outcome = work(&running);
                running.0.end(outcome);
            })
            .map_err(|e| Error::Power(format!("the computation could not be started, the machine has no room for it ({e}): stop other programs and try again")))?;
        last.insert(id.to_owned(), (Arc::clone(&job), thread));
        Ok(job)
    }

    /// The last computation of an engine.
    pub fn of(&self, id: &str) -> Option<Arc<Job>> {
        let last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        last.get(id).map(|(job, _)| Arc::clone(job))
    }
}

impl Drop for Jobs {
    /// Stops what runs and waits until what it reached is kept.
    fn drop(&mut self) {
        let last = std::mem::take(&mut *self.last.lock().unwrap_or_else(PoisonError::into_inner));
        for (job, _) in last.values() {
            job.stop();
        }
        for (_, thread) in last.into_values() {
            let _ = thread.join();
        }
    }
}
