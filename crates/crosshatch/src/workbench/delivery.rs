//! Readings on their way into the log. Those that arrive together are judged in their order, flushed to the disk
//! together and assessed once: with twenty hands on one engine nobody waits for nineteen others one by one.

use super::Workbench;
use super::assessed::{Assessed, Start};
use super::entries::{self, READING};
use super::error::{Error, Result};
use super::judge::{Judged, ReadingFault, ReadingInput, judge};
use super::questions::{kept_open, left_open};
use super::queue::{Delivery, ReadingAnswer};
use super::slot::{Loaded, Slot};
use engine::Engine;
use engine::readings::Reading;
use std::sync::Arc;
use std::sync::mpsc::{SyncSender, sync_channel};
use std::time::Instant;
use store::{Draft, Store};

/// What was decided about a delivery, before the flush.
enum Decided {
    Store(Box<Reading>, Draft),
    Before(u64),
    Other(Judged),
    Refused(ReadingFault),
}

impl Workbench {
    /// Takes a reading. Returns when it is flushed to the disk and its engine is assessed with it.
    ///
    /// # Errors
    /// [`Error::Reading`] for what cannot be a reading here; nothing is stored then.
    pub fn take(&self, id: &str, input: ReadingInput) -> Result<ReadingAnswer> {
        let slot = self.slot(id)?;
        let (sender, receiver) = sync_channel(1);
        if slot.bring(Delivery { input, answer: sender }) {
            // A thread of its own: whoever brought the first reading is not held up by those that come after it.
            let hand = Hand {
                store: self.store().clone(),
                who: self.who().to_owned(),
                id: id.to_owned(),
                slot,
                finished: false,
            };
            std::thread::Builder::new()
                .name(format!("readings of {id}"))
                .spawn(move || hand.work())
                .map_err(|problem| Error::NotKept(problem.to_string()))?;
        }
        // A hand that broke off has dropped its senders.
        receiver.recv().unwrap_or(Err(Error::BrokenOff))
    }
}

/// Works on the readings of one engine until none waits.
struct Hand {
    store: Store,
    who: String,
    id: String,
    slot: Arc<Slot>,
    /// Nothing waited any more, and the queue knows it.
    finished: bool,
}

/// A hand that breaks off, or that no thread could be had for, leaves a queue in which the next reading starts anew.
impl Drop for Hand {
    fn drop(&mut self) {
        if !self.finished {
            let mut queue = self.slot.queue();
            queue.busy = false;
            queue.waiting.clear();
        }
    }
}

impl Hand {
    fn work(mut self) {
        loop {
            let waiting = {
                let mut queue = self.slot.gather();
                if queue.waiting.is_empty() {
                    queue.busy = false;
                    self.finished = true;
                    break;
                }
                std::mem::take(&mut queue.waiting)
            };
            let together = waiting.len();
            let mut bench = self.slot.bench();
            match self.slot.loaded(&mut bench, &self.store, &self.id) {
                Ok(loaded) => {
                    let sound = self.deliver(loaded, waiting);
                    if !sound {
                        *bench = None;
                    }
                }
                Err(error) => refuse_all(waiting, &error),
            }
            drop(bench);
            self.slot.queue().answered = Some((together, Instant::now()));
        }
    }

    /// Judges, stores and answers. False when memory and store may differ.
    fn deliver(&self, loaded: &mut Loaded, waiting: Vec<Delivery>) -> bool {
        let before = Arc::clone(&loaded.assessed);
        let mut engine: Option<Engine> = None;
        let mut decided = Vec::with_capacity(waiting.len());
        for delivery in waiting {
            let known = engine.as_ref().unwrap_or(&before.engine);
            let place = decided.iter().filter(|(_, d)| matches!(d, Decided::Store(..))).count() as u64;
            let number = loaded.written() + loaded.last_sequence + place + 1;
            let decision = self.decide(loaded, known, &delivery.input, number);
            if let Decided::Store(reading, _) = &decision {
                let key = delivery.input.delivery_key.clone();
                loaded.delivered.insert(key, (number, reading.feature.clone()));
                engine.get_or_insert_with(|| before.engine.clone()).readings.push((**reading).clone());
            }
            decided.push((delivery.answer, decision));
        }
        let mut drafts: Vec<Draft> = decided
            .iter()
            .filter_map(|(_, d)| if let Decided::Store(_, draft) = d { Some(draft.clone()) } else { None })
            .collect();
        if let Some(engine) = engine {
            let changed = drafts.last().map_or(&before.changed, |draft| &draft.when).clone();
            let mut after = Assessed::of(start(&before, changed.clone()), engine);
            // A question stays when what was read beside it goes: it is logged together with the reading that would end it.
            let asked = before.assessment.slips.iter().cloned();
            let open = left_open(asked, &after.assessment.slips, &after.engine);
            if !open.is_empty() {
                drafts.extend(kept_open(&open, loaded.written(), &self.who));
                after.engine.asked.extend(open);
                after = Assessed::of(start(&before, changed), after.engine);
            }
            match self.store.append_many(&self.id, drafts) {
                Ok(entries) => {
                    let last = entries.last().map_or(loaded.last_sequence, |e| e.sequence);
                    let expected = loaded.last_sequence + entries.len() as u64;
                    loaded.last_sequence = last;
                    loaded.assessed = Arc::new(after);
                    // Shown before it is answered: who asks next finds it.
                    self.slot.show(&loaded.assessed);
                    answer_all(decided, &before, &loaded.assessed);
                    return last == expected;
                }
                Err(error) => {
                    let waiting = decided.into_iter().map(|(answer, _)| answer);
                    refuse(waiting, &error.to_string());
                    return false;
                }
            }
        }
        answer_all(decided, &before, &before);
        true
    }

    fn decide(&self, loaded: &Loaded, engine: &Engine, input: &ReadingInput, number: u64) -> Decided {
        if input.delivery_key.trim().is_empty() {
            return Decided::Refused(ReadingFault::Field { field: "delivery_key", most: 100 });
        }
        if let Some((number, feature)) = loaded.delivered.get(&input.delivery_key) {
            return if *feature == input.feature {
                Decided::Before(*number)
            } else {
                Decided::Refused(ReadingFault::KeyReused { feature: feature.clone() })
            };
        }
        match judge(engine, input, number, &self.who) {
            Err(fault) => Decided::Refused(fault),
            Ok(Judged::Keep(reading, temperature)) => {
                let draft = Draft {
                    kind: READING.to_owned(),
                    body: entries::reading_body(&reading, &temperature, loaded.written()),
                    who: reading.who.clone(),
                    when: reading.when.clone(),
                    delivery_key: Some(input.delivery_key.clone()),
                };
                Decided::Store(reading, draft)
            }
            Ok(other) => Decided::Other(other),
        }
    }
}

fn start(before: &Assessed, changed: String) -> Start {
    Start {
        id: before.id.clone(),
        text: before.text.clone(),
        proposed: Arc::clone(&before.proposed),
        given: Arc::clone(&before.given),
        version: before.version,
        unplaced: before.unplaced,
        changed,
        power: before.power.clone(),
        curve: before.curve,
    }
}

type Waiting = (SyncSender<Result<ReadingAnswer>>, Decided);

fn answer_all(decided: Vec<Waiting>, before: &Arc<Assessed>, after: &Arc<Assessed>) {
    for (answer, decision) in decided {
        let said = match decision {
            Decided::Store(reading, _) => Ok(kept(reading.number, before, after)),
            Decided::Before(number) => Ok(kept(number, before, after)),
            Decided::Other(Judged::Ask { text, likely, differs }) => {
                Ok(ReadingAnswer::Asked { text, likely, differs, now: Arc::clone(after) })
            }
            Decided::Other(Judged::Conflict(theirs)) => {
                Ok(ReadingAnswer::Conflict { theirs, now: Arc::clone(after) })
            }
            Decided::Other(Judged::Keep(..)) => Err(Error::BrokenOff),
            Decided::Refused(fault) => Err(Error::Reading(fault)),
        };
        // Whoever asked may have gone away.
        let _ = answer.send(said);
    }
}

fn kept(number: u64, before: &Arc<Assessed>, after: &Arc<Assessed>) -> ReadingAnswer {
    ReadingAnswer::Kept { number, before: Arc::clone(before), after: Arc::clone(after) }
}

fn refuse_all(waiting: Vec<Delivery>, error: &Error) {
    refuse(waiting.into_iter().map(|delivery| delivery.answer), &error.to_string());
}

fn refuse(waiting: impl Iterator<Item = SyncSender<Result<ReadingAnswer>>>, why: &str) {
    for answer in waiting {
        let _ = answer.send(Err(Error::NotKept(why.to_owned())));
    }
}
