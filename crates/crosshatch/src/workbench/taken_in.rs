//! An engine from outside: a document, and the readings beside it.

use super::Workbench;
use super::error::{Error, Result};
use engine::document::{has_errors, parse_document, parse_with_readings};

/// A file from outside: its name and its text.
#[derive(Clone, Copy, Debug)]
pub struct Outside<'a> {
    /// Name, for messages.
    pub name: &'a str,
    /// Text.
    pub text: &'a str,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TakenIn {
    /// Name in addresses.
    pub id: String,
    /// What the shop calls it.
    pub name: String,
    /// Readings from the file beside it.
    pub readings: usize,
}

impl Workbench {
    /// Puts an engine on the shelf with its readings: all of it or nothing.
    ///
    /// # Errors
    /// [`Error::Document`] with every mistake of both files.
    pub fn take_in(&self, document: Outside<'_>, readings: Option<Outside<'_>>) -> Result<TakenIn> {
        // Everything is read before anything is kept.
        let parsed = match readings {
            Some(csv) => parse_with_readings(document.text, document.name, csv.text, csv.name),
            None => parse_document(document.text, document.name),
        };
        let Some(engine) = parsed.document.filter(|_| !has_errors(&parsed.diagnostics)) else {
            return Err(Error::Document(parsed.diagnostics));
        };
        let stem = std::path::Path::new(document.name).file_stem().unwrap_or_default().to_string_lossy();
        let name = match engine.engine.name.trim() {
            "" => stem.into_owned(),
            name => name.to_owned(),
        };
        let id = self.add(&name, document.text, "imported")?;
        let readings = match readings {
            Some(csv) => self.import_csv(&id, csv.text, csv.name)?.added,
            None => 0,
        };
        Ok(TakenIn { id, name, readings })
    }
}
