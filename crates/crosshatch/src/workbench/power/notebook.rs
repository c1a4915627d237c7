//! Finished parts of a computation go to the disk as they come, a few at a time, on a thread of their own: the computation never
//! waits for the disk.

use super::job::Running;
use engine::power::{Note, Notes};
use std::collections::HashMap;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, Sender, channel};
use store::Store;

/// The parts of one computation: what is known from before, and where the new ones go.
pub(super) struct Notebook<'a> {
    known: HashMap<String, Note>,
    sender: Mutex<Sender<(String, String)>>,
    job: &'a Running,
}

impl<'a> Notebook<'a> {
    /// Opens one with what is known, and the end from which a writer takes the new parts.
    pub fn open(known: HashMap<String, Note>, job: &'a Running) -> (Self, Receiver<(String, String)>) {
        let (sender, receiver) = channel();
        for note in known.values() {
            job.reached(note);
        }
        (Self { known, sender: Mutex::new(sender), job }, receiver)
    }
}

impl Notes for Notebook<'_> {
    fn known(&self, name: &str) -> Option<Note> {
        self.known.get(name).cloned()
    }

    fn note(&self, name: &str, note: Note) {
        self.job.reached(&note);
        if let Ok(text) = serde_json::to_string(&note)
            && let Ok(sender) = self.sender.lock()
        {
            // A writer that has gone away keeps nothing more; the computation goes on all the same.
            let _ = sender.send((name.to_owned(), text));
        }
    }
}

/// Writes parts until no more can come; those that came meanwhile go together.
pub(super) fn write(store: &Store, engine: &str, kind: &str, parts: &Receiver<(String, String)>) {
    while let Ok(first) = parts.recv() {
        let together: Vec<(String, String)> = std::iter::once(first).chain(parts.try_iter()).collect();
        if store.keep_parts(engine, kind, together).is_err() {
            return;
        }
    }
}

/// The parts of a computation that has not ended; what cannot be read is computed again.
pub(super) fn known(store: &Store, engine: &str, kind: &str) -> HashMap<String, Note> {
    let parts = store.parts(engine, kind).unwrap_or_default();
    parts.into_iter().filter_map(|(name, text)| Some((name, serde_json::from_str(&text).ok()?))).collect()
}
