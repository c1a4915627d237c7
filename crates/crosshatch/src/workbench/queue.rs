//! Readings of one engine that wait to be delivered, and what they are answered with.

use super::assessed::Assessed;
use super::error::Result;
use super::judge::ReadingInput;
use engine::readings::Reading;
use std::sync::Arc;
use std::sync::mpsc::SyncSender;
use std::time::{Duration, Instant};

/// What became of a reading.
#[derive(Clone, Debug)]
pub enum ReadingAnswer {
    /// It is in the log, flushed to the disk.
    Kept {
        /// Its number.
        number: u64,
        /// The engine before.
        before: Arc<Assessed>,
        /// The engine with it.
        after: Arc<Assessed>,
    },
    /// Not stored: the builder is asked first.
    Asked {
        /// The question.
        text: String,
        /// What was probably meant, in the unit of the field.
        likely: Option<String>,
        /// It is a second reading that differs from the first.
        differs: bool,
        /// The engine as it is.
        now: Arc<Assessed>,
    },
    /// Not stored: another reading stands there.
    Conflict {
        /// That reading.
        theirs: Box<Reading>,
        /// The engine as it is.
        now: Arc<Assessed>,
    },
}

/// A reading that waits, and where its answer goes.
#[derive(Debug)]
pub(super) struct Delivery {
    pub input: ReadingInput,
    pub answer: SyncSender<Result<ReadingAnswer>>,
}

/// Readings that wait, and whether somebody works on them.
#[derive(Debug, Default)]
pub(super) struct Queue {
    pub waiting: Vec<Delivery>,
    pub busy: bool,
    /// How many were answered together last, and when.
    pub answered: Option<(usize, Instant)>,
}

impl Queue {
    /// How many hands are likely to bring a reading at this moment: as many as were answered together just now.
    pub fn expected(&self) -> usize {
        self.answered.filter(|(_, when)| when.elapsed() < JUST_NOW).map_or(1, |(together, _)| together)
    }
}

/// Hands that type one reading after the other bring the next one within this time.
const JUST_NOW: Duration = Duration::from_millis(50);
