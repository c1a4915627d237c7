//! Files and folders: written so that they are there after a crash, or not at all.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

/// The file whose lock says that a program has the folder open.
const LOCK: &str = "crosshatch.lock";

/// Takes the folder for this handle; the lock ends with the returned file (also when the program is killed).
pub(crate) fn lock(folder: &Path) -> Result<File> {
    let path = folder.join(LOCK);
    let open = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path);
    let mut file = open.map_err(Error::io("open", &path))?;
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let mut holder = String::new();
            // Where the system forbids reading a locked file, the holder stays unnamed.
            let named = file.read_to_string(&mut holder).is_ok() && !holder.trim().is_empty();
            let holder = if named { holder.trim().to_owned() } else { "another program".to_owned() };
            return Err(Error::FolderInUse { folder: folder.to_owned(), holder });
        }
        Err(TryLockError::Error(source)) => return Err(Error::Io { doing: "lock", path, source }),
    }
    let mut name = || {
        file.set_len(0)?;
        writeln!(file, "process {}", std::process::id())
    };
    name().map_err(Error::io("write", &path))?;
    Ok(file)
}

/// Creates a folder with all above it.
pub(crate) fn create_folder(folder: &Path) -> Result<()> {
    fs::create_dir_all(folder).map_err(Error::io("create", folder))
}

/// Makes the names in a folder last through a power cut.
pub(crate) fn sync_folder(folder: &Path) -> Result<()> {
    // Elsewhere a folder cannot be opened as a file, and its names are kept by the file system's journal.
    if cfg!(unix) {
        let sync = || File::open(folder)?.sync_all();
        sync().map_err(Error::io("flush", folder))?;
    }
    Ok(())
}

/// Refuses a folder that holds anything. One that is not there is fine.
pub(crate) fn must_be_empty(folder: &Path) -> Result<()> {
    match fs::read_dir(folder) {
        Ok(mut names) => match names.next() {
            None => Ok(()),
            Some(_) => Err(Error::FolderNotEmpty { folder: folder.to_owned() }),
        },
        Err(fault) if fault.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Err(source) => Err(Error::Io { doing: "read", path: folder.to_owned(), source }),
    }
}

/// Things that are being made, removed again unless [`Unfinished::keep`] is reached.
pub(crate) struct Unfinished {
    files: Vec<PathBuf>,
    folder: Option<PathBuf>,
}

impl Unfinished {
    /// A database that is being written, with the files that `SQLite` may put beside it.
    pub(crate) fn database(path: &Path) -> Self {
        let beside = ["", "-wal", "-shm", "-journal"].map(|end| {
            let mut name = path.as_os_str().to_owned();
            name.push(end);
            PathBuf::from(name)
        });
        Self { files: beside.into(), folder: None }
    }

    /// A folder: created now when it is not there, and removed again in that case.
    pub(crate) fn folder(folder: &Path) -> Result<Self> {
        let is_new = !folder.exists();
        create_folder(folder)?;
        Ok(Self { files: Vec::new(), folder: is_new.then(|| folder.to_owned()) })
    }

    /// One more file in it.
    pub(crate) fn file(&mut self, path: PathBuf) {
        self.files.push(path);
    }

    pub(crate) fn keep(mut self) {
        self.files.clear();
        self.folder = None;
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        for file in &self.files {
            let _ = fs::remove_file(file);
        }
        if let Some(folder) = &self.folder {
            let _ = fs::remove_dir(folder);
        }
    }
}
