//! An engine with what was found and what is to do: one moment, shared by all who look at it.

use engine::{Assessment, Engine, Plan, assess, plan};

/// An engine at one moment. Never changed; a change makes another one.
#[derive(Clone, Debug)]
pub struct Assessed {
    /// Name in addresses.
    pub id: String,
    /// Text of the document.
    pub text: String,
    /// Its version.
    pub version: u64,
    /// Document, readings and operations.
    pub engine: Engine,
    /// What was found.
    pub assessment: Assessment,
    /// What is to do.
    pub plan: Plan,
    /// Readings of the log whose places the document no longer has.
    pub unplaced: usize,
    /// When it last changed, RFC 3339.
    pub changed: String,
}

impl Assessed {
    /// Assesses an engine.
    pub(super) fn of(start: Start, engine: Engine) -> Self {
        let assessment = assess(&engine);
        let plan = plan(&engine, &assessment);
        let Start { id, text, version, unplaced, changed } = start;
        Self { id, text, version, engine, assessment, plan, unplaced, changed }
    }

    /// Number of the last reading.
    pub fn last(&self) -> u64 {
        self.engine.readings.iter().map(|r| r.number).max().unwrap_or(0)
    }
}

/// What stands around an engine.
pub(super) struct Start {
    pub id: String,
    pub text: String,
    pub version: u64,
    pub unplaced: usize,
    pub changed: String,
}
