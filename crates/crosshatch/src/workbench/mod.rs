//! The typed layer over the store: what a workshop says goes in as documents, readings and operations, and comes out
//! as an [`Engine`](engine::Engine) with its findings and its plan, kept ready for each engine and made anew on change.
//!
//! All methods block (the store flushes to the disk); the server calls them on threads made for that.

mod assessed;
mod backups;
mod clock;
mod csv;
mod delivery;
mod demo;
mod entries;
mod error;
mod judge;
mod newcomer;
mod operations;
mod parts;
mod power;
mod questions;
mod queue;
mod slot;
mod taken_in;
mod words;

pub use assessed::{Assessed, Since};
pub use backups::Kept;
pub use clock::now;
pub use csv::CsvTaken;
pub use error::{Error, NewcomerFault, Result};
pub use judge::{ReadingFault, ReadingInput};
pub use operations::OperationInput;
pub use parts::{PartChange, PartFault, part_faults};
pub use power::{
    Computed, Job, JobState, KeptResult, Unfinished, Work, is_range, speeds, speeds_text, unreached,
};
pub use questions::Questions;
pub use queue::ReadingAnswer;
pub use taken_in::{Outside, TakenIn};
pub use words::layout_words;

use engine::document::{Document, parse_document};
use slot::Slot;
use std::collections::HashMap;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use store::{DocumentDraft, DocumentInfo, Head, Store};

/// Name of a document in messages.
const DOCUMENT: &str = "engine document";

/// Everything on one machine.
#[derive(Debug)]
pub struct Workbench {
    // First, so that what runs is stopped and kept before the store closes.
    jobs: power::Jobs,
    store: Store,
    who: String,
    slots: Mutex<HashMap<String, Arc<Slot>>>,
}

/// One engine on the shelf.
#[derive(Clone, Debug)]
pub struct OnShelf {
    /// Name in addresses.
    pub id: String,
    /// What the shop calls it.
    pub name: String,
    /// The engine with its findings, or why it cannot be opened.
    pub state: std::result::Result<Arc<Assessed>, String>,
    /// Day of the last change.
    pub changed: String,
    /// Put away: nothing of it is lost, it only stands apart.
    pub away: bool,
}

impl Workbench {
    /// Opens the folder, checks every chain of records in it, and loads the demo engines when it is new.
    ///
    /// # Errors
    /// What the store refuses; a broken chain names its first broken link.
    pub fn open(folder: &Path, who: &str) -> Result<Self> {
        let bench = Self::without_demo(folder, who)?;
        demo::load(&bench)?;
        bench.store.verify_all()?;
        Ok(bench)
    }

    /// Opens the folder as it is.
    ///
    /// # Errors
    /// What the store refuses.
    pub fn without_demo(folder: &Path, who: &str) -> Result<Self> {
        Ok(Self {
            jobs: power::Jobs::default(),
            store: Store::open(folder)?,
            who: who.to_owned(),
            slots: Mutex::default(),
        })
    }

    /// Opens the folder for reading, beside a program that may have it open. Nothing can be kept through it.
    ///
    /// # Errors
    /// What the store refuses.
    pub fn reading(folder: &Path, who: &str) -> Result<Self> {
        Ok(Self {
            jobs: power::Jobs::default(),
            store: Store::open_reading(folder)?,
            who: who.to_owned(),
            slots: Mutex::default(),
        })
    }

    /// The store below, for copies and checks.
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// Who works here.
    pub fn who(&self) -> &str {
        &self.who
    }

    /// A secret that stays with the folder, so that pages which were open before a restart may go on sending.
    ///
    /// # Errors
    /// When the store fails, or the system has no random numbers.
    pub fn page_token(&self) -> Result<String> {
        if let Some(token) = self.store.setting("page_token")? {
            return Ok(token);
        }
        let mut bytes = [0_u8; 24];
        getrandom::fill(&mut bytes).map_err(|e| Error::NoRandomNumbers(e.to_string()))?;
        let token = bytes.iter().fold(String::new(), |token, byte| format!("{token}{byte:02x}"));
        self.store.set_setting("page_token", Some(&token))?;
        Ok(token)
    }

    fn slot(&self, id: &str) -> Result<Arc<Slot>> {
        let mut slots = self.slots.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(slot) = slots.get(id) {
            return Ok(Arc::clone(slot));
        }
        self.store.engine(id)?;
        let slot = Arc::new(Slot::default());
        slots.insert(id.to_owned(), Arc::clone(&slot));
        Ok(slot)
    }

    /// The engine with its findings and plan, as they stand now.
    ///
    /// # Errors
    /// When there is no such engine, or its document cannot be read by this program.
    pub fn engine(&self, id: &str) -> Result<Arc<Assessed>> {
        let slot = self.slot(id)?;
        if let Some(ready) = slot.ready() {
            return Ok(ready);
        }
        let mut bench = slot.bench();
        Ok(Arc::clone(&slot.loaded(&mut bench, &self.store, id)?.assessed))
    }

    /// Puts an engine away, or brings it back. Its document, readings and results stay as they are.
    ///
    /// # Errors
    /// When there is no such engine.
    pub fn put_away(&self, id: &str, away: bool) -> Result<()> {
        self.store.engine(id)?;
        Ok(self.store.set_setting(&away_key(id), away.then_some("yes"))?)
    }

    /// All engines, by name.
    ///
    /// # Errors
    /// When the store cannot be read. An engine that cannot be opened stands on the shelf with the reason.
    pub fn shelf(&self) -> Result<Vec<OnShelf>> {
        let mut shelf = Vec::new();
        for engine in self.store.engines()? {
            let state = self.engine(&engine.id).map_err(|e| e.to_string());
            let day = |when: &str| when.chars().take(10).collect::<String>();
            let changed = match &state {
                Ok(assessed) => day(&assessed.changed),
                Err(_) => day(&engine.created),
            };
            let away = self.store.setting(&away_key(&engine.id))?.is_some();
            shelf.push(OnShelf { id: engine.id, name: engine.name, state, changed, away });
        }
        shelf.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(shelf)
    }

    /// Saves a new text of the document, made from version `based_on`. Nothing is saved when it has mistakes.
    ///
    /// # Errors
    /// [`Error::Document`] with every mistake; [`Error::Conflict`] when somebody saved meanwhile.
    pub fn save_document(&self, id: &str, text: &str, based_on: u64, note: &str) -> Result<Arc<Assessed>> {
        let parsed = parse_document(text, DOCUMENT);
        let Some(document) = parsed.document else { return Err(Error::Document(parsed.diagnostics)) };
        let text = parsed.migrated.map_or_else(|| text.to_owned(), |m| m.text);
        let slot = self.slot(id)?;
        let mut bench = slot.bench();
        // A first load that fails (a document that this program cannot read) is no reason to refuse a better one.
        if let Ok(loaded) = slot.loaded(&mut bench, &self.store, id)
            && loaded.assessed.text == text
            && loaded.assessed.version == based_on
        {
            return Ok(Arc::clone(&loaded.assessed));
        }
        let before = bench.as_ref().map(|loaded| Arc::clone(&loaded.assessed));
        let draft = DocumentDraft { text, who: self.who.clone(), when: now(), note: note.to_owned() };
        match self.store.save_document(id, Some(based_on), draft) {
            Err(store::Error::Conflict { latest, .. }) => {
                let theirs = self.store.latest_document(id)?.map(|d| d.text).unwrap_or_default();
                return Err(Error::Conflict { based_on, latest: latest.unwrap_or(0), theirs });
            }
            saved => saved?,
        };
        self.rename_after(id, &document)?;
        *bench = None;
        if let Some(before) = before {
            let loaded = slot.loaded(&mut bench, &self.store, id)?;
            let (open, written) = (questions::left_open_by_document(&before, loaded), loaded.written());
            self.keep_open(id, &mut bench, &open, written)?;
        }
        Ok(Arc::clone(&slot.loaded(&mut bench, &self.store, id)?.assessed))
    }

    /// Makes the changes of one form of sizes and limits; comments and order of the document stay. `answered` are the questions
    /// that were asked about them before.
    ///
    /// # Errors
    /// [`Error::Part`] by field; [`Error::Asked`] where a person should look once more; [`Error::Conflict`] when somebody saved meanwhile. Nothing is changed then.
    pub fn change_part(
        &self,
        id: &str,
        section: &str,
        changes: &[PartChange],
        based_on: u64,
        answered: &str,
    ) -> Result<Arc<Assessed>> {
        let assessed = self.engine(id)?;
        if assessed.version != based_on {
            let theirs = assessed.text.clone();
            return Err(Error::Conflict { based_on, latest: assessed.version, theirs });
        }
        let text = parts::change(&assessed.text, section, changes)?;
        let place = |path: &str| parts::field_of(section, path).map(|(field, _)| field);
        questions::ask(Some(&assessed.text), &text, place, answered)?;
        self.save_document(id, &text, based_on, &section.replace('_', " "))
    }

    /// The shelf calls an engine what its document calls it.
    fn rename_after(&self, id: &str, document: &Document) -> Result<()> {
        let name = document.engine.name.trim();
        if !name.is_empty() && name.len() <= store::limits::SHORT && !name.chars().any(char::is_control) {
            self.store.rename(id, name)?;
        }
        Ok(())
    }

    /// Every version of the document, the first one first.
    ///
    /// # Errors
    /// When there is no such engine.
    pub fn versions(&self, id: &str) -> Result<Vec<DocumentInfo>> {
        Ok(self.store.versions(id)?)
    }

    /// The text of one version.
    ///
    /// # Errors
    /// When there is no such engine or version.
    pub fn version(&self, id: &str, version: u64) -> Result<String> {
        Ok(self.store.document_version(id, version)?.text)
    }

    /// Walks both chains of an engine from the start.
    ///
    /// # Errors
    /// A broken chain names its first broken link.
    pub fn verify(&self, id: &str) -> Result<Head> {
        Ok(self.store.verify(id)?)
    }
}

/// Name of the setting that says that an engine is put away.
fn away_key(id: &str) -> String {
    format!("away/{id}")
}
