//! The handle that everyone uses.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use rusqlite::Connection;

use crate::backup::{self, BackupReport};
use crate::check::{self, limits};
use crate::error::{Chain, Error, Result};
use crate::export::{self, ExportReport};
use crate::record::{
    Document, DocumentDraft, DocumentInfo, Draft, Engine, Entry, Head, Kept, KeptInfo, ResultDraft,
    Unfinished,
};
use crate::writer::Writer;
use crate::{
    canonical, documents, engines, files, import, log, results, schema, settings, unfinished, verify,
};

/// How many reading connections are kept for reuse.
const IDLE_READERS: usize = 8;

/// A handle on an open store. Clones share the same writer; the folder is free again when the last is dropped.
///
/// All methods block until they are done; those that write return after the commit, flushed to the disk.
#[derive(Clone)]
pub struct Store {
    shared: Arc<Shared>,
}

/// Fields are dropped in this order: the folder stays locked until the connections are closed. A handle that only
/// reads has neither writer nor lock.
struct Shared {
    writer: Option<Writer>,
    readers: Mutex<Vec<Connection>>,
    folder: PathBuf,
    _lock: Option<File>,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.debug_struct("Store").field("folder", &self.shared.folder).finish_non_exhaustive()
    }
}

impl Store {
    /// Opens the store in a folder; creates the folder and the store when they are not there, and brings
    /// an older store up to date.
    ///
    /// # Errors
    /// [`Error::FolderInUse`], [`Error::NotAStore`], [`Error::NewerFile`], or what the system or database refuses.
    pub fn open(folder: impl AsRef<Path>) -> Result<Self> {
        let folder = folder.as_ref();
        files::create_folder(folder)?;
        let lock = files::lock(folder)?;
        let path = folder.join(schema::DATABASE);
        let connection = schema::open_writer(&path)?;
        files::create_folder(&folder.join("backup"))?;
        files::sync_folder(folder)?;
        let writer = Writer::start(connection)?;
        let shared = Shared {
            writer: Some(writer),
            readers: Mutex::default(),
            folder: folder.to_owned(),
            _lock: Some(lock),
        };
        Ok(Self { shared: Arc::new(shared) })
    }

    /// Opens the store in a folder for reading beside the program that has it open, if one has: takes no lock, and
    /// each read sees one moment of the store. A store of an older format is brought up to date first, which needs
    /// the folder to be free.
    ///
    /// # Errors
    /// [`Error::Io`] when there is no store in the folder; [`Error::NotAStore`], [`Error::NewerFile`], or what the
    /// system or database refuses. Methods that write fail with [`Error::OnlyReads`].
    pub fn open_reading(folder: impl AsRef<Path>) -> Result<Self> {
        let folder = folder.as_ref();
        let path = folder.join(schema::DATABASE);
        std::fs::metadata(&path).map_err(Error::io("read", &path))?;
        if !schema::is_up_to_date(&path)? {
            return Self::open(folder);
        }
        let shared =
            Shared { writer: None, readers: Mutex::default(), folder: folder.to_owned(), _lock: None };
        Ok(Self { shared: Arc::new(shared) })
    }

    /// The folder of this store.
    pub fn folder(&self) -> &Path {
        &self.shared.folder
    }

    /// The folder within it that is meant for backups. A copy on another disk is worth more.
    pub fn backup_folder(&self) -> PathBuf {
        self.shared.folder.join("backup")
    }

    fn write<T, W>(&self, work: W) -> Result<T>
    where
        T: Send + 'static,
        W: FnOnce(&Connection) -> Result<T> + Send + 'static,
    {
        let writer = self.shared.writer.as_ref();
        writer.ok_or_else(|| Error::OnlyReads { folder: self.shared.folder.clone() })?.run(work)
    }

    /// Reads one moment of the store, beside the writer.
    fn read<T>(&self, work: impl FnOnce(&Connection) -> Result<T>) -> Result<T> {
        let idle = self.readers().pop();
        let connection = match idle {
            Some(connection) => connection,
            None => schema::open_reader(&self.shared.folder.join(schema::DATABASE))?,
        };
        let moment = connection.unchecked_transaction().map_err(Error::database("beginning to read"))?;
        let result = work(&moment);
        drop(moment);
        let mut readers = self.readers();
        if readers.len() < IDLE_READERS {
            readers.push(connection);
        }
        result
    }

    fn readers(&self) -> std::sync::MutexGuard<'_, Vec<Connection>> {
        // A list of idle connections is in order whatever happened to a thread that held it.
        self.shared.readers.lock().unwrap_or_else(PoisonError::into_inner)
    }

    // Engines

    /// Creates an engine.
    ///
    /// # Errors
    /// [`Error::EngineExists`]; [`Error::Invalid`] for an id that is no slug, an empty name or a bad time.
    pub fn create_engine(&self, id: &str, name: &str, created: &str) -> Result<Engine> {
        check::engine_id(id)?;
        check::short("name", name)?;
        check::when(created)?;
        let engine = Engine { id: id.to_owned(), name: name.to_owned(), created: created.to_owned() };
        self.write(move |connection| engines::create(connection, &engine).map(|()| engine))
    }

    /// All engines, by id.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub fn engines(&self) -> Result<Vec<Engine>> {
        self.read(engines::all)
    }

    /// One engine.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`].
    pub fn engine(&self, id: &str) -> Result<Engine> {
        self.read(|connection| engines::find(connection, id))
    }

    /// Gives an engine another name. Its id stays.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`], [`Error::Invalid`] for an empty name.
    pub fn rename(&self, id: &str, name: &str) -> Result<()> {
        check::short("name", name)?;
        let (id, name) = (id.to_owned(), name.to_owned());
        self.write(move |connection| engines::rename(connection, &id, &name))
    }

    // Documents

    /// The latest document of an engine, `None` before the first was saved.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`].
    pub fn latest_document(&self, engine: &str) -> Result<Option<Document>> {
        self.read(|connection| documents::latest(connection, engine))
    }

    /// One version of an engine's document.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`], [`Error::UnknownVersion`].
    pub fn document_version(&self, engine: &str, version: u64) -> Result<Document> {
        self.read(|connection| documents::version(connection, engine, version))
    }

    /// All versions of an engine's document, without their texts, from the first.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`].
    pub fn versions(&self, engine: &str) -> Result<Vec<DocumentInfo>> {
        self.read(|connection| documents::versions(connection, engine))
    }

    /// Saves a new version of the document, made from version `based_on` (`None` for the first one).
    ///
    /// # Errors
    /// [`Error::Conflict`] when `based_on` is not the latest version: nothing is saved, and the error
    /// names the latest. [`Error::TooLarge`] and [`Error::Invalid`] for what cannot be taken.
    pub fn save_document(
        &self,
        engine: &str,
        based_on: Option<u64>,
        draft: DocumentDraft,
    ) -> Result<DocumentInfo> {
        check::size("document text", draft.text.len(), limits::DOCUMENT)?;
        check::document_fields(&draft.who, &draft.when, &draft.note)?;
        let engine = engine.to_owned();
        self.write(move |connection| documents::save(connection, &engine, based_on, draft))
    }

    // Log

    /// Appends an entry. With a delivery key that came before, returns the first entry and adds nothing.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`]; [`Error::DeliveryKeyReused`] when the key came with another kind or body;
    /// [`Error::Invalid`], [`Error::TooLarge`], [`Error::BodyNotJson`] for what cannot be taken.
    pub fn append(&self, engine: &str, draft: Draft) -> Result<Entry> {
        self.append_many(engine, vec![draft])?.pop().ok_or(Error::Closed)
    }

    /// Appends entries in their order, all or none. Returns one entry for each draft.
    ///
    /// # Errors
    /// As [`Store::append`]; on an error none is appended.
    pub fn append_many(&self, engine: &str, mut drafts: Vec<Draft>) -> Result<Vec<Entry>> {
        check::size("list of entries", drafts.len(), limits::ENTRIES_AT_ONCE)?;
        for draft in &mut drafts {
            check::entry_fields(&draft.kind, &draft.who, &draft.when, draft.delivery_key.as_deref())?;
            check::size("body", draft.body.len(), limits::BODY)?;
            draft.body = canonical::canonical_json(&draft.body)?;
            // Escapes may make the canonical text the longer one.
            check::size("body", draft.body.len(), limits::BODY)?;
        }
        let engine = engine.to_owned();
        self.write(move |connection| log::append(connection, &engine, drafts))
    }

    /// The entries after a sequence number (0: all), in order.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`].
    pub fn entries(&self, engine: &str, after_sequence: u64) -> Result<Vec<Entry>> {
        self.read(|connection| log::after(connection, engine, after_sequence))
    }

    // Results

    /// Keeps the result of a computation under the next number. Nothing that was kept is ever replaced.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`]; [`Error::Invalid`] and [`Error::TooLarge`] for what cannot be taken.
    pub fn keep_result(&self, engine: &str, draft: ResultDraft) -> Result<KeptInfo> {
        check::result_fields(&draft.kind, &draft.who, &draft.when)?;
        check::size("result", draft.body.len(), limits::RESULT)?;
        let engine = engine.to_owned();
        self.write(move |connection| results::keep(connection, &engine, draft))
    }

    /// All kept results of an engine without their bodies, the first one first.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`].
    pub fn results(&self, engine: &str) -> Result<Vec<KeptInfo>> {
        self.read(|connection| results::all(connection, engine))
    }

    /// One kept result.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`], [`Error::UnknownResult`]; [`Error::ResultChanged`] when its text is no longer what was kept.
    pub fn result(&self, engine: &str, number: u64) -> Result<Kept> {
        self.read(|connection| results::one(connection, engine, number))
    }

    /// Begins a computation whose parts are kept as they come. Another one of its kind is dropped.
    ///
    /// # Errors
    /// As [`Store::keep_result`].
    pub fn begin(&self, engine: &str, draft: ResultDraft) -> Result<()> {
        check::result_fields(&draft.kind, &draft.who, &draft.when)?;
        check::size("result", draft.body.len(), limits::RESULT)?;
        let engine = engine.to_owned();
        self.write(move |connection| unfinished::begin(connection, &engine, &draft))
    }

    /// Keeps finished parts (name, any text) of a computation; one of the same name is replaced.
    ///
    /// # Errors
    /// [`Error::TooLarge`] for what cannot be taken.
    pub fn keep_parts(&self, engine: &str, kind: &str, parts: Vec<(String, String)>) -> Result<()> {
        for (_, body) in &parts {
            check::size("part of a result", body.len(), limits::RESULT)?;
        }
        let (engine, kind) = (engine.to_owned(), kind.to_owned());
        self.write(move |connection| unfinished::keep_parts(connection, &engine, &kind, &parts))
    }

    /// Computations of an engine that have not ended.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`].
    pub fn unfinished(&self, engine: &str) -> Result<Vec<Unfinished>> {
        self.read(|connection| unfinished::all(connection, engine))
    }

    /// The finished parts of one of them, by name.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub fn parts(&self, engine: &str, kind: &str) -> Result<Vec<(String, String)>> {
        self.read(|connection| unfinished::parts(connection, engine, kind))
    }

    /// Drops one of them with its parts.
    ///
    /// # Errors
    /// When the database cannot be written.
    pub fn drop_unfinished(&self, engine: &str, kind: &str) -> Result<()> {
        let (engine, kind) = (engine.to_owned(), kind.to_owned());
        self.write(move |connection| unfinished::drop_one(connection, &engine, &kind))
    }

    // Chains

    /// Where the chains of an engine end, as stored.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`].
    pub fn head(&self, engine: &str) -> Result<Head> {
        self.read(|connection| verify::head(connection, engine))
    }

    /// Where the chains of all engines end, as stored: what is worth printing at the end of a day
    /// (each [`Head`] displays itself for paper).
    ///
    /// # Errors
    /// When the database cannot be read.
    pub fn heads(&self) -> Result<Vec<Head>> {
        self.read(verify::heads)
    }

    /// Walks both chains of an engine from the start.
    ///
    /// # Errors
    /// [`Error::Broken`] names the first link that does not hold.
    pub fn verify(&self, engine: &str) -> Result<Head> {
        self.read(|connection| verify::engine(connection, engine))
    }

    /// [`Store::verify`] for every engine.
    ///
    /// # Errors
    /// [`Error::Broken`] names the first link that does not hold.
    pub fn verify_all(&self) -> Result<Vec<Head>> {
        self.read(verify::all)
    }

    /// [`Store::verify`], and checks that a record still carries the hash that was noted for it on
    /// paper (spaces and capitals do not matter). This finds what the walk alone cannot: a chain that
    /// was rewritten, or whose end was removed.
    ///
    /// # Errors
    /// [`Error::Broken`] when the record is missing or carries another hash, or the chain is broken.
    pub fn verify_noted(&self, engine: &str, chain: Chain, number: u64, hash: &str) -> Result<Head> {
        self.read(|connection| verify::noted(connection, engine, chain, number, hash))
    }

    // Settings

    /// A setting of the program, `None` when it was never set.
    ///
    /// # Errors
    /// When the database cannot be read.
    pub fn setting(&self, key: &str) -> Result<Option<String>> {
        self.read(|connection| settings::get(connection, key))
    }

    /// Sets a setting; `None` removes it.
    ///
    /// # Errors
    /// [`Error::Invalid`] for a key that is not one line, [`Error::TooLarge`].
    pub fn set_setting(&self, key: &str, value: Option<&str>) -> Result<()> {
        check::short("setting", key)?;
        check::size("value of a setting", value.map_or(0, str::len), limits::SETTING)?;
        let (key, value) = (key.to_owned(), value.map(str::to_owned));
        self.write(move |connection| settings::set(connection, &key, value.as_deref()))
    }

    // Copies

    /// Writes a backup of the whole store into a new file while others go on working, reads it back
    /// (pages, references, chains), and only then gives it its name.
    ///
    /// # Errors
    /// [`Error::FileExists`], [`Error::BackupDamaged`]; nothing is left behind.
    pub fn backup_to(&self, path: impl AsRef<Path>) -> Result<BackupReport> {
        self.read(|connection| backup::write(connection, path.as_ref()))
    }

    /// Reads a backup from end to end without changing it: pages, references, chains.
    ///
    /// # Errors
    /// [`Error::NotAStore`], [`Error::NewerFile`], [`Error::BackupDamaged`].
    pub fn check_backup(path: impl AsRef<Path>) -> Result<BackupReport> {
        backup::check(path.as_ref())
    }

    /// Restores a backup on trial, into a new folder within `beside` that is removed again: what a person would do
    /// after a loss is known to go.
    ///
    /// # Errors
    /// As [`Store::restore_from`]; nothing is left behind.
    pub fn rehearse_restore(backup: impl AsRef<Path>, beside: impl AsRef<Path>) -> Result<BackupReport> {
        backup::rehearse(backup.as_ref(), beside.as_ref())
    }

    /// Restores a backup into an empty or new folder, verified in the same way. Open it afterwards.
    ///
    /// # Errors
    /// [`Error::FolderNotEmpty`], [`Error::NotAStore`], [`Error::NewerFile`], [`Error::BackupDamaged`];
    /// nothing is left behind.
    pub fn restore_from(backup: impl AsRef<Path>, folder: impl AsRef<Path>) -> Result<BackupReport> {
        backup::restore(backup.as_ref(), folder.as_ref())
    }

    /// Writes one engine as open text into an empty or new folder, after verifying it.
    ///
    /// # Errors
    /// [`Error::UnknownEngine`], [`Error::Broken`], [`Error::FolderNotEmpty`]; nothing is left behind.
    pub fn export(&self, engine: &str, folder: impl AsRef<Path>) -> Result<ExportReport> {
        self.read(|connection| export::write(connection, engine, folder.as_ref()))
    }

    /// Takes in the export of an engine that is not in this store yet, exactly as it was: same numbers,
    /// same hashes. All of it is checked before anything is written.
    ///
    /// # Errors
    /// [`Error::Import`] names the file and line; [`Error::EngineExists`]. Nothing is left behind.
    pub fn import(&self, folder: impl AsRef<Path>) -> Result<Head> {
        let import = import::read(folder.as_ref())?;
        self.write(move |connection| import::write(connection, &import))
    }
}
