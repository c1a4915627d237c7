//! What is kept in memory of one engine, and who works on it.

use super::DOCUMENT;
use super::assessed::{Assessed, Start};
use super::entries::{self, ASKED, OPERATION, OPERATION_BACK, READING};
use super::error::{Error, Result};
use super::power::kept::speaking;
use super::queue::{Delivery, Queue};
use engine::Engine;
use engine::document::{parse_document, proposed};
use engine::features::Catalogue;
use std::collections::HashMap;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError, RwLock};
use std::time::Duration;
use store::Store;

/// Readings are gathered for so long at most.
const GATHERED: Duration = Duration::from_millis(10);

/// One engine in memory. Whoever changes it holds the bench; whoever looks takes what is ready.
#[derive(Debug, Default)]
pub(super) struct Slot {
    queue: Mutex<Queue>,
    /// Tells who gathers readings that another one has come.
    arrived: Condvar,
    bench: Mutex<Option<Loaded>>,
    ready: RwLock<Option<Arc<Assessed>>>,
}

/// An engine as the store holds it.
#[derive(Debug)]
pub(super) struct Loaded {
    pub assessed: Arc<Assessed>,
    /// Number and feature of each reading by its delivery key.
    pub delivered: HashMap<String, (u64, String)>,
    /// Number of the last log entry.
    pub last_sequence: u64,
}

impl Loaded {
    /// Readings that stand in the document.
    pub fn written(&self) -> u64 {
        self.assessed.engine.document.readings.len() as u64
    }
}

impl Slot {
    /// Takes the bench. A thread that broke off leaves it empty, and what it holds is read from the store again.
    pub fn bench(&self) -> MutexGuard<'_, Option<Loaded>> {
        self.bench.lock().unwrap_or_else(|broken| {
            self.bench.clear_poison();
            let mut bench = broken.into_inner();
            *bench = None;
            bench
        })
    }

    /// Readings that wait.
    pub fn queue(&self) -> MutexGuard<'_, Queue> {
        self.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts a reading among those that wait. True when nobody works on them.
    pub fn bring(&self, delivery: Delivery) -> bool {
        let mut queue = self.queue();
        queue.waiting.push(delivery);
        self.arrived.notify_all();
        !std::mem::replace(&mut queue.busy, true)
    }

    /// The readings that wait; where several hands were answered just now, those that they bring next as well, so that they share
    /// a flush and an assessment. A hand alone never waits for others.
    pub fn gather(&self) -> MutexGuard<'_, Queue> {
        let few = |queue: &mut Queue| (1..queue.expected()).contains(&queue.waiting.len());
        let gathered = self.arrived.wait_timeout_while(self.queue(), GATHERED, few);
        gathered.unwrap_or_else(PoisonError::into_inner).0
    }

    /// What is ready to be looked at.
    pub fn ready(&self) -> Option<Arc<Assessed>> {
        self.ready.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Shows a new state to all who look from now on.
    pub fn show(&self, assessed: &Arc<Assessed>) {
        *self.ready.write().unwrap_or_else(PoisonError::into_inner) = Some(Arc::clone(assessed));
    }

    /// Takes up what was computed since. An engine that is not loaded takes it when it is.
    pub fn take_up(&self, store: &Store, id: &str) {
        let mut bench = self.bench();
        if let Some(loaded) = bench.as_mut() {
            let found = speaking(store, id, &loaded.assessed.engine.document);
            loaded.assessed = Arc::new(loaded.assessed.with_power(found));
            self.show(&loaded.assessed);
        }
    }

    /// The engine on the bench, read from the store when it is not there.
    pub fn loaded<'a>(
        &self,
        bench: &'a mut MutexGuard<'_, Option<Loaded>>,
        store: &Store,
        id: &str,
    ) -> Result<&'a mut Loaded> {
        if bench.is_none() {
            let loaded = load(store, id)?;
            self.show(&loaded.assessed);
            **bench = Some(loaded);
        }
        bench.as_mut().ok_or(Error::BrokenOff)
    }
}

fn load(store: &Store, id: &str) -> Result<Loaded> {
    let saved = store.latest_document(id)?.ok_or_else(|| Error::NoDocument(id.to_owned()))?;
    let parsed = parse_document(&saved.text, DOCUMENT);
    let Some(document) = parsed.document else { return Err(Error::Document(parsed.diagnostics)) };
    let catalogue = Catalogue::of(&document);
    let written = document.readings.len() as u64;
    let (mut readings, mut operations, mut delivered) =
        (Vec::new(), Vec::<engine::readings::Operation>::new(), HashMap::new());
    let (mut unplaced, mut last_sequence) = (0, 0);
    let mut questions = Vec::new();
    let mut changed = saved.info.when.clone();
    for entry in store.entries(id, 0)? {
        last_sequence = entry.sequence;
        match entry.kind.as_str() {
            READING => {
                let found = entries::reading_of(&entry, &document, &catalogue)?;
                if let Some(key) = entry.delivery_key {
                    let feature = found.as_ref().map(|r| r.feature.clone()).unwrap_or_default();
                    delivered.insert(key, (entry.sequence + written, feature));
                }
                match found {
                    Some(reading) => readings.push(reading),
                    None => unplaced += 1,
                }
            }
            OPERATION => {
                let operation = entries::operation_of(&entry)?;
                // One that was downloaded with the document and came back in it is the same one.
                if !document.operations.iter().any(|o| o.name == operation.name) {
                    operations.push(operation);
                }
            }
            OPERATION_BACK => {
                let name = entries::operation_taken_back(&entry)?;
                operations.iter_mut().filter(|o| o.name == name).for_each(|o| o.withdrawn = true);
            }
            ASKED => questions.push(entry.clone()),
            // Notes and sign-offs of later programs.
            _ => {}
        }
        changed = changed.max(entry.when);
    }
    let (power, curve) = speaking(store, id, &document);
    let (id, text, version) = (id.to_owned(), saved.text, saved.info.version);
    let proposed = Arc::new(proposed(&text));
    let given = Arc::default();
    let start = Start { id, text, proposed, given, version, unplaced, changed, power, curve };
    let mut engine = Engine::new(document, readings, operations);
    for entry in questions {
        engine.asked.extend(entries::asked_of(&entry, written, &engine.readings)?);
    }
    Ok(Loaded { assessed: Arc::new(Assessed::of(start, engine)), delivered, last_sequence })
}
