//! An engine with what was found and what is to do: one moment, shared by all who look at it.

use engine::power::KeptPower;
use engine::{Assessment, Engine, Plan, assess, plan};
use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

/// An engine at one moment. Never changed; a change makes another one.
#[derive(Clone, Debug)]
pub struct Assessed {
    /// Name in addresses.
    pub id: String,
    /// Text of the document.
    pub text: String,
    /// What stands in it that the starter proposed and nobody has said, by dotted path.
    pub proposed: Arc<BTreeSet<String>>,
    /// How much of the document is given, in words: the same until the document is another, made by the first page that says it.
    pub given: Arc<OnceLock<String>>,
    /// Its version.
    pub version: u64,
    /// Document, readings and operations.
    pub engine: Engine,
    /// What was found.
    pub assessment: Assessment,
    /// What is to do.
    pub plan: Plan,
    /// What was computed of its power and speaks for it; the findings hold what it says.
    pub power: KeptPower,
    /// Number of the torque curve among the kept results.
    pub curve: Option<u64>,
    /// Readings of the log whose places the document no longer has.
    pub unplaced: usize,
    /// When it last changed, RFC 3339.
    pub changed: String,
    /// Version of the document, number of operations and last reading in one word, which differs when any of them does.
    pub moment: String,
}

impl Assessed {
    /// Assesses an engine.
    pub(super) fn of(start: Start, engine: Engine) -> Self {
        let Start { id, text, proposed, given, version, unplaced, changed, power, curve } = start;
        let assessment = assess(&engine).with_power(&engine, &power);
        let plan = plan(&engine, &assessment);
        let last = last(&engine);
        let moment = format!("{version}.{}.{last}", operation_entries(&engine));
        Self {
            id,
            text,
            proposed,
            given,
            version,
            engine,
            assessment,
            plan,
            power,
            curve,
            unplaced,
            changed,
            moment,
        }
    }

    /// The same engine with other computations.
    pub(super) fn with_power(&self, (power, curve): (KeptPower, Option<u64>)) -> Self {
        let start = Start {
            id: self.id.clone(),
            text: self.text.clone(),
            proposed: Arc::clone(&self.proposed),
            given: Arc::clone(&self.given),
            version: self.version,
            unplaced: self.unplaced,
            changed: self.changed.clone(),
            power,
            curve,
        };
        Self::of(start, self.engine.clone())
    }

    /// What happened since `moment`; all of it is new where that cannot be read.
    pub fn since(&self, moment: &str) -> Since {
        let mut numbers = moment.split('.').map(|n| n.parse::<u64>().unwrap_or(0));
        let mut number = || numbers.next().unwrap_or(0);
        let (version, operations, last) = (number(), number(), number());
        Since {
            document: (version != self.version).then_some(self.version),
            operations: operations != operation_entries(&self.engine),
            readings: self.last().saturating_sub(last),
        }
    }

    /// Number of the last reading.
    pub fn last(&self) -> u64 {
        last(&self.engine)
    }
}

/// Operations, and each one that was taken back a second time.
fn operation_entries(engine: &Engine) -> u64 {
    let back = engine.operations.iter().filter(|o| o.withdrawn).count();
    (engine.operations.len() + back) as u64
}

fn last(engine: &Engine) -> u64 {
    engine.readings.iter().map(|r| r.number).max().unwrap_or(0)
}

/// What others did to an engine since a page was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Since {
    /// Version of the document, when it is another one.
    pub document: Option<u64>,
    /// Was an operation recorded?
    pub operations: bool,
    /// Readings that came in.
    pub readings: u64,
}

impl Since {
    /// Did nothing happen?
    pub const fn is_nothing(self) -> bool {
        self.document.is_none() && !self.operations && self.readings == 0
    }
}

/// What stands around an engine.
pub(super) struct Start {
    pub id: String,
    pub text: String,
    pub proposed: Arc<BTreeSet<String>>,
    pub given: Arc<OnceLock<String>>,
    pub version: u64,
    pub unplaced: usize,
    pub changed: String,
    pub power: KeptPower,
    pub curve: Option<u64>,
}
