//! From text to [`Document`]: every mistake of a file in one run, each with its place.
//!
//! 1. The TOML tree against the format ([`super::walk`]).
//! 2. The tree into types.
//! 3. What it says against itself ([`super::meaning`]).
//!
//! Where the first stage finds mistakes, the later ones still run on the rest, so that one run shows all of them.

use super::csv::read_csv;
use super::diagnostic::{Code, Diagnostic, Draft, Source, has_errors, tidy};
use super::meaning;
use super::migrate::{Migrated, migrate};
use super::model::{Document, FORMAT_VERSION};
use super::path::find_place;
use super::recover::recover;
use super::shape::document_shape;
use super::size_limit::{MAX_BYTES, too_large};
use super::walk::{Walked, walk};
use serde::Deserialize;
use std::borrow::Cow;
use toml_edit::{Document as Tree, Item};

/// What came of reading a text.
#[derive(Clone, Debug)]
pub struct Parsed {
    /// The document; `None` when a diagnostic is an error.
    pub document: Option<Document>,
    /// All that is wrong or worth a look, in the order of the file.
    pub diagnostics: Vec<Diagnostic>,
    /// The text in today's format version, when the file is older.
    pub migrated: Option<Migrated>,
}

impl Parsed {
    fn refused(diagnostics: Vec<Diagnostic>) -> Self {
        Self { document: None, diagnostics, migrated: None }
    }

    /// True when a diagnostic is an error.
    pub fn has_errors(&self) -> bool {
        has_errors(&self.diagnostics)
    }
}

/// Reads an engine document. `file` is the name to show in diagnostics.
pub fn parse_document(text: &str, file: &str) -> Parsed {
    // A byte order mark is what some editors write first.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.len() > MAX_BYTES {
        return Parsed::refused(vec![too_large(text, file)]);
    }
    match older_version(text) {
        Some((tree, from)) => {
            let migrated = migrate(tree.into_mut(), from);
            let mut parsed = parse_current(&migrated.text, file);
            let note = version_note(&migrated, file);
            parsed.diagnostics = tidy(parsed.diagnostics.into_iter().chain([note]).collect());
            parsed.migrated = Some(migrated);
            parsed
        }
        None => parse_current(text, file),
    }
}

/// Reads an engine document with the CSV of readings beside it; the readings of the CSV follow those of the document.
/// A mistake in either leaves nothing half read.
pub fn parse_with_readings(text: &str, file: &str, csv: &str, csv_file: &str) -> Parsed {
    let mut parsed = parse_document(text, file);
    let Some(document) = &mut parsed.document else { return parsed };
    match read_csv(csv, csv_file, document) {
        Ok(readings) => document.add_readings(readings),
        Err(diagnostics) => {
            parsed.diagnostics.extend(diagnostics);
            parsed.document = None;
        }
    }
    parsed
}

impl Document {
    /// Adds readings of one file behind those that are there; the numbers of readings that they correct, counted
    /// in that file, move along.
    pub fn add_readings(&mut self, readings: Vec<super::ReadingEntry>) {
        let before = self.readings.len() as u64;
        self.readings.extend(readings.into_iter().map(|mut entry| {
            entry.corrects = entry.corrects.map(|number| number + before);
            entry
        }));
    }
}

/// The tree, when the text says an older version that can be brought up.
fn older_version(text: &str) -> Option<(Tree<&str>, u32)> {
    // Cheap look first: almost every file is of today's version.
    let line = text.lines().find(|line| line.trim_start().starts_with("crosshatch"))?;
    let written: u32 = line.split_once('=')?.1.split('#').next()?.trim().parse().ok()?;
    if written >= FORMAT_VERSION {
        return None;
    }
    let tree = Tree::parse(text).ok()?;
    let version = u32::try_from(tree.get("crosshatch")?.as_integer()?).ok()?;
    (version < FORMAT_VERSION).then_some((tree, version))
}

fn version_note(migrated: &Migrated, file: &str) -> Diagnostic {
    let source = Source::new(file, &migrated.text);
    let span = Tree::parse(migrated.text.as_str())
        .ok()
        .and_then(|tree| tree.get("crosshatch").and_then(Item::span))
        .unwrap_or_default();
    let message =
        format!("this file has format version {}, it was read as version {FORMAT_VERSION}", migrated.from);
    let draft = Draft::warning(Code::OlderVersion, message)
        .path("crosshatch")
        .hint(format!("save it in the new form: {}", migrated.changes.join("; ")));
    source.locate(draft, span)
}

fn parse_current(text: &str, file: &str) -> Parsed {
    let source = Source::new(file, text);
    match Tree::parse(text) {
        Ok(tree) => read_tree(tree, &source, Vec::new()),
        Err(error) => {
            let (tree, mistakes) = recover(&source, &error);
            match tree {
                Some(tree) => read_tree(tree, &source, mistakes),
                None => Parsed::refused(tidy(mistakes)),
            }
        }
    }
}

fn read_tree<S: AsRef<str>>(tree: Tree<S>, source: &Source, mut diagnostics: Vec<Diagnostic>) -> Parsed {
    if let Some(refusal) = version(tree.as_item(), source) {
        let newer = refusal.code == Code::NewerVersion;
        diagnostics.push(refusal);
        // Keys of a newer format would all look wrong.
        if newer {
            return Parsed::refused(tidy(diagnostics));
        }
    }
    let Walked { diagnostics: found, damaged, currency } = walk(tree.as_item(), document_shape(), source);
    diagnostics.extend(found);
    let raw = tree.raw().to_owned();
    let typed: Result<Document, _> = if damaged.is_empty() {
        Document::deserialize(toml_edit::de::Deserializer::from(tree))
    } else {
        let mut tree = tree.into_mut();
        for path in &damaged {
            super::path::take_out(tree.as_item_mut(), path);
        }
        toml_edit::de::from_document(tree)
    };
    let document = match typed {
        Ok(mut document) => {
            currency.unwrap_or_default().clone_into(&mut document.shop.prices_in);
            diagnostics.extend(meanings(&document, &damaged, &raw, source));
            (!has_errors(&diagnostics)).then_some(document)
        }
        Err(error) => {
            if diagnostics.is_empty() {
                let draft = Draft::error(Code::WrongType, error.message().to_owned());
                diagnostics.push(source.locate(draft, error.span().unwrap_or_default()));
            }
            None
        }
    };
    Parsed { document, diagnostics: tidy(diagnostics), migrated: None }
}

/// Stage 3. Places are looked up in a second reading of the text, only when there is something to say.
fn meanings(document: &Document, damaged: &[String], raw: &str, source: &Source) -> Vec<Diagnostic> {
    let issues = meaning::check(document);
    if issues.is_empty() {
        return Vec::new();
    }
    let Ok(tree) = Tree::parse(raw) else { return Vec::new() };
    let touches = |path: &str| {
        damaged.iter().any(|d| d == path || d.strip_prefix(path).is_some_and(|rest| rest.starts_with('.')))
    };
    let within = |path: &str| {
        damaged.iter().any(|d| path.strip_prefix(d.as_str()).is_some_and(|rest| rest.starts_with('.')))
    };
    issues
        .into_iter()
        .filter_map(|issue| {
            let path = super::path::write_path(&issue.path);
            let doubtful = touches(&path) || within(&path) || issue.needs.iter().any(|need| touches(need));
            let span = find_place(tree.as_item(), &issue.path);
            (!doubtful).then(|| source.locate(issue.draft.path(path), span))
        })
        .collect()
}

fn version(root: &Item, source: &Source) -> Option<Diagnostic> {
    let Some(item) = root.get("crosshatch") else {
        let draft = Draft::error(Code::MissingVersion, "this file does not say its format version")
            .path("crosshatch")
            .hint(format!("write crosshatch = {FORMAT_VERSION} in the first line"));
        return Some(source.locate(draft, 0..0));
    };
    let version = item.as_integer()?;
    (version > i64::from(FORMAT_VERSION)).then(|| {
        let message =
            format!("this file has format version {version}, this program reads up to {FORMAT_VERSION}");
        let draft =
            Draft::error(Code::NewerVersion, message).path("crosshatch").hint("open it with a newer program");
        source.locate(draft, item.span().unwrap_or_default())
    })
}

/// Text of a file that may not be UTF-8; some spreadsheets write Latin-1.
///
/// # Errors
/// Says at which byte the text stops being UTF-8.
pub fn text_of(bytes: &[u8], file: &str) -> Result<String, Box<Diagnostic>> {
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text.to_owned()),
        Err(error) => {
            let good = String::from_utf8_lossy(&bytes[..error.valid_up_to().min(MAX_BYTES)]);
            let shown: Cow<str> = good + "\u{fffd}";
            let draft = Draft::error(Code::Syntax, "this file is not UTF-8 text").hint("save it as UTF-8");
            let end = shown.len();
            Err(Box::new(Source::new(file, &shown).locate(draft, end - 3..end)))
        }
    }
}
