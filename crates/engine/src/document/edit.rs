//! Changes to a document's text that keep its comments, order and layout.
//!
//! After each change the result is read again. A change that brings a new mistake is refused with its diagnostics,
//! and the text stays as it was. Readings are append-only: they are added, never changed or taken out.

use super::diagnostic::Diagnostic;
use super::edit_text::{comments_in, take_out_text};
use super::not_said::is_not_said;
use super::parse::parse_document;
use super::shape::{Shape, shape_at};
use std::collections::HashMap;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

/// The tables of a document in the order in which they are written; a new one goes to its place.
pub const SECTIONS: &[&str] = &[
    "crosshatch",
    "engine",
    "layout",
    "duty",
    "block",
    "crank",
    "main_shells",
    "rods",
    "rod_shells",
    "pistons",
    "pins",
    "rings",
    "masses",
    "head",
    "gasket",
    "valves",
    "springs",
    "cams",
    "fasteners",
    "oil",
    "intake",
    "exhaust",
    "turbocharger",
    "fuel",
    "ignition",
    "burn",
    "flow_bench",
    "power",
    "limits",
    "instruments",
    "shop",
    "operations",
    "readings",
];

/// A value to write.
#[derive(Clone, Debug, PartialEq)]
pub enum EditValue {
    /// Text; quantities too: `"88.012 mm"`.
    Text(String),
    /// A whole number.
    Integer(i64),
    /// A plain number.
    Number(f64),
    /// True or false.
    Flag(bool),
    /// A list.
    List(Vec<EditValue>),
    /// A small table, written on one line.
    Table(Vec<(String, EditValue)>),
}

impl From<&str> for EditValue {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

/// Why a change was not made. The text is as it was.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EditError {
    /// The text itself cannot be changed: it is not TOML.
    #[error("the document cannot be read, so it cannot be changed: {}", first(.0))]
    Unreadable(Vec<Diagnostic>),
    /// The change would bring new mistakes.
    #[error("refused: {}", first(.0))]
    Refused(Vec<Diagnostic>),
    /// Not a key path, or one that leads nowhere.
    #[error("\"{path}\": {reason}; a path is written like layout.bore or operations.2.note")]
    Path {
        /// The path as given.
        path: String,
        /// What is wrong with it.
        reason: String,
    },
    /// Readings are never changed.
    #[error("\"{path}\": readings are never changed or taken out; add one that corrects it")]
    AppendOnly {
        /// The path as given.
        path: String,
    },
}

fn first(diagnostics: &[Diagnostic]) -> String {
    diagnostics.first().map_or_else(String::new, |d| {
        let expected = d.expected.as_ref().map_or_else(String::new, |e| format!("; expected {e}"));
        format!("{} ({}){expected}", d.message, d.path)
    })
}

/// Sets the value at a key path, making the tables on the way.
///
/// # Errors
/// [`EditError`]; nothing is changed then.
pub fn set(text: &str, path: &str, value: &EditValue) -> Result<String, EditError> {
    let keys = keys_of(path)?;
    append_only(path, &keys)?;
    change(text, |document| {
        let (last, above) = keys.split_last().ok_or_else(|| no_path(path, "it is empty"))?;
        let at = place_for(document, above, path)?;
        put(at, last, to_value(value), path)
    })
}

/// Takes out what stands at a key path; its comments stay.
///
/// # Errors
/// [`EditError`]; nothing is changed then.
pub fn remove(text: &str, path: &str) -> Result<String, EditError> {
    let keys = keys_of(path)?;
    append_only(path, &keys)?;
    let base = base_text(text)?;
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    let changed = take_out_text(&base.text, &keys).ok_or_else(|| no_path(path, "nothing stands there"))?;
    accept(&base, changed)
}

/// Makes all the changes of a form and only then checks the result: what belongs together (cylinders and firing order)
/// goes together. `None` takes out what stands there, if anything does. A number one past the end of a list of tables
/// adds an entry.
///
/// # Errors
/// [`EditError`]; nothing is changed then.
pub fn apply(text: &str, changes: &[(String, Option<EditValue>)]) -> Result<String, EditError> {
    let base = base_text(text)?;
    let mut kept = base.text.clone();
    for (path, _) in changes.iter().filter(|(_, value)| value.is_none()) {
        let keys = keys_of(path)?;
        append_only(path, &keys)?;
        let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
        kept = take_out_text(&kept, &keys).unwrap_or(kept);
    }
    let mut document: DocumentMut = kept.parse().map_err(|_| EditError::Unreadable(Vec::new()))?;
    for (path, value) in changes {
        let Some(value) = value else { continue };
        let keys = keys_of(path)?;
        append_only(path, &keys)?;
        let (last, above) = keys.split_last().ok_or_else(|| no_path(path, "it is empty"))?;
        add_entries(&mut document, above, path)?;
        put(place_for(&mut document, above, path)?, last, to_value(value), path)?;
    }
    accept(&base, document.to_string())
}

/// Adds the entry of a list of tables that a path names, when it is the next one.
fn add_entries(document: &mut DocumentMut, path: &[String], given: &str) -> Result<(), EditError> {
    for (depth, key) in path.iter().enumerate().skip(1) {
        let list = &path[..depth];
        let shape = shape_at(list.iter().map(String::as_str));
        let (Some((Shape::List(inner), _)), Ok(number)) = (shape, key.parse::<usize>()) else { continue };
        let (Shape::Table(_), Some((name, above))) = (&**inner, list.split_last()) else { continue };
        let Some(table) = place_for(document, above, given)?.as_table_like_mut() else { continue };
        match table.entry(name).or_insert(Item::ArrayOfTables(ArrayOfTables::new())) {
            Item::ArrayOfTables(tables) if tables.len() + 1 == number => {
                let mut table = Table::new();
                table.decor_mut().set_prefix("\n");
                tables.push(table);
            }
            Item::Value(Value::Array(array)) if array.len() + 1 == number => array.push(InlineTable::new()),
            _ => {}
        }
    }
    Ok(())
}

/// Adds an entry at the end of a list of tables such as `readings` or `operations`.
///
/// # Errors
/// [`EditError`]; nothing is changed then.
pub fn append(text: &str, path: &str, fields: &[(&str, EditValue)]) -> Result<String, EditError> {
    let keys = keys_of(path)?;
    change(text, |document| {
        let (last, above) = keys.split_last().ok_or_else(|| no_path(path, "it is empty"))?;
        let position = above.is_empty().then(|| position_for(document, last));
        let list = place_for(document, above, path)?
            .as_table_like_mut()
            .ok_or_else(|| no_path(path, "it is not in a table"))?
            .entry(last)
            .or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
        match list {
            Item::ArrayOfTables(tables) => {
                let mut table = Table::new();
                if tables.is_empty() {
                    table.set_position(position.flatten());
                }
                table.decor_mut().set_prefix("\n");
                for (key, value) in fields {
                    table.insert(key, Item::Value(to_value(value)));
                }
                tables.push(table);
            }
            Item::Value(Value::Array(array)) => {
                array.push(inline(fields.iter().map(|(key, value)| (*key, value))));
            }
            _ => return Err(no_path(path, "it is not a list of tables")),
        }
        Ok(())
    })
}

/// The value at a key path as text without quotes; `None` when nothing or a table stands there.
pub fn get(text: &str, path: &str) -> Option<String> {
    let document: DocumentMut = text.parse().ok()?;
    let mut here = document.as_item();
    for key in keys_of(path).ok()? {
        here = match here {
            Item::ArrayOfTables(_) | Item::Value(Value::Array(_)) => {
                here.get(key.parse::<usize>().ok()?.checked_sub(1)?)?
            }
            _ => here.get(&key)?,
        };
    }
    match here {
        Item::Value(Value::String(text)) => Some(text.value().clone()),
        Item::Value(value) => Some(value.clone().decorated("", "").to_string()),
        _ => None,
    }
}

pub(super) fn keys_of(path: &str) -> Result<Vec<String>, EditError> {
    toml_edit::Key::parse(path)
        .map(|keys| keys.iter().map(|key| key.get().to_owned()).collect())
        .map_err(|_| no_path(path, "this is no key path"))
}

fn no_path(path: &str, reason: &str) -> EditError {
    EditError::Path { path: path.to_owned(), reason: reason.to_owned() }
}

fn append_only(path: &str, keys: &[String]) -> Result<(), EditError> {
    if keys.first().is_some_and(|key| key == "readings") {
        return Err(EditError::AppendOnly { path: path.to_owned() });
    }
    Ok(())
}

/// A text that can be changed, with the mistakes that it has already.
struct Base {
    text: String,
    mistakes: Vec<Diagnostic>,
    crlf: bool,
}

const FILE: &str = "engine document";

fn base_text(text: &str) -> Result<Base, EditError> {
    let crlf = text.contains("\r\n");
    let text = text.strip_prefix('\u{feff}').unwrap_or(text).replace("\r\n", "\n");
    let parsed = parse_document(&text, FILE);
    let text = parsed.migrated.map_or(text, |migrated| migrated.text);
    if text.parse::<DocumentMut>().is_err() {
        return Err(EditError::Unreadable(parsed.diagnostics));
    }
    Ok(Base { text, mistakes: parsed.diagnostics, crlf })
}

fn change(
    text: &str,
    edit: impl FnOnce(&mut DocumentMut) -> Result<(), EditError>,
) -> Result<String, EditError> {
    let base = base_text(text)?;
    let mut document: DocumentMut = base.text.parse().map_err(|_| EditError::Unreadable(Vec::new()))?;
    edit(&mut document)?;
    accept(&base, document.to_string())
}

/// The changed text, unless it has a mistake that was not there before.
fn accept(base: &Base, changed: String) -> Result<String, EditError> {
    let mut before: HashMap<_, usize> = HashMap::new();
    for d in &base.mistakes {
        *before.entry((d.code, d.path.clone(), d.message.clone())).or_default() += 1;
    }
    let mut fresh = parse_document(&changed, FILE).diagnostics;
    fresh.retain(|d| {
        let known = before.get_mut(&(d.code, d.path.clone(), d.message.clone()));
        let old = known.is_some_and(|count| std::mem::replace(count, count.saturating_sub(1)) > 0);
        d.is_error() && !old
    });
    if !fresh.is_empty() {
        return Err(EditError::Refused(fresh));
    }
    Ok(if base.crlf { changed.replace('\n', "\r\n") } else { changed })
}

/// The table at a path, made where it is missing.
fn place_for<'a>(
    document: &'a mut DocumentMut,
    path: &[String],
    given: &str,
) -> Result<&'a mut Item, EditError> {
    let position = path.first().map(|key| position_for(document, key));
    let mut here = document.as_item_mut();
    for (depth, key) in path.iter().enumerate() {
        let inline_parent = here.is_value();
        here = match here {
            Item::ArrayOfTables(_) | Item::Value(Value::Array(_)) => {
                let at = key.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
                at.and_then(|at| here.get_mut(at)).ok_or_else(|| no_path(given, "there is no such entry"))?
            }
            here => {
                let table =
                    here.as_table_like_mut().ok_or_else(|| no_path(given, "a part of it is not a table"))?;
                let new =
                    || new_table(&path[..=depth], inline_parent, position.filter(|_| depth == 0).flatten());
                table.entry(key).or_insert_with(new)
            }
        };
    }
    Ok(here)
}

/// A table that reads well: ranges and prices on one line, everything else under a header of its own.
fn new_table(path: &[String], inline_parent: bool, position: Option<isize>) -> Item {
    let small = match shape_at(path.iter().map(String::as_str)) {
        Some((Shape::Table(table), _)) => table.is_range() || (table.is_flat() && table.fields.len() <= 3),
        _ => false,
    };
    if inline_parent || small {
        return Item::Value(Value::InlineTable(InlineTable::new()));
    }
    let mut table = Table::new();
    table.decor_mut().set_prefix("\n");
    table.set_position(position);
    Item::Table(table)
}

/// Where a new table at the top belongs: behind the last one of the sections before it.
fn position_for(document: &DocumentMut, section: &str) -> Option<isize> {
    let rank = |key: &str| SECTIONS.iter().position(|s| *s == key);
    let own = rank(section)?;
    let before = document.iter().filter(|(key, _)| rank(key).is_some_and(|r| r < own));
    before.filter_map(|(_, item)| last_position(item)).max().or(Some(0))
}

fn last_position(item: &Item) -> Option<isize> {
    match item {
        Item::Table(table) => {
            table.iter().filter_map(|(_, item)| last_position(item)).chain(table.position()).max()
        }
        Item::ArrayOfTables(tables) => {
            let inner = |t: &Table| t.iter().filter_map(|(_, i)| last_position(i)).chain(t.position()).max();
            tables.iter().filter_map(inner).max()
        }
        _ => None,
    }
}

/// Writes a value under a key, with the blanks and the comment that the old one had.
fn put(at: &mut Item, key: &str, mut value: Value, path: &str) -> Result<(), EditError> {
    if let Item::Value(Value::Array(array)) = at {
        let old = key.parse::<usize>().ok().and_then(|n| array.get_mut(n.checked_sub(1)?));
        let old = old.ok_or_else(|| no_path(path, "there is no such entry"))?;
        *value.decor_mut() = old.decor().clone();
        *old = value;
        return Ok(());
    }
    let table: &mut dyn TableLike =
        at.as_table_like_mut().ok_or_else(|| no_path(path, "a part of it is not a table"))?;
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *value.decor_mut() = old.decor().clone();
            // What a person has said is no common practice, even where it is the same.
            if is_not_said(old) {
                value.decor_mut().set_suffix("");
            }
            let inner = comments_in(&old.clone().decorated("", "").to_string());
            *old = value;
            keep_above(table, key, &inner);
        }
        Some(Item::None) | None => {
            if let Some((_, Item::Value(last))) = table.iter_mut().last() {
                take_blank_over(last, &mut value);
            }
            table.insert(key, Item::Value(value));
        }
        Some(_) => return Err(no_path(path, "a table stands there; set the keys in it")),
    }
    Ok(())
}

/// In `{ max = "1 mm" }` the blank before the brace belongs to the last value; a new last one takes it over.
fn take_blank_over(last: &mut Value, new: &mut Value) {
    let blank = last.decor().suffix().and_then(|s| s.as_str()) == Some(" ");
    if blank {
        last.decor_mut().set_suffix("");
        new.decor_mut().set_prefix(" ");
        new.decor_mut().set_suffix(" ");
    }
}

/// Comments from inside a value that is replaced go above its key.
fn keep_above(table: &mut dyn TableLike, key: &str, comments: &[String]) {
    if comments.is_empty() {
        return;
    }
    if let Some(mut key) = table.key_mut(key) {
        let decor = key.leaf_decor_mut();
        let before = decor.prefix().and_then(|p| p.as_str()).unwrap_or_default().to_owned();
        decor.set_prefix(format!("{before}{}\n", comments.join("\n")));
    }
}

fn to_value(value: &EditValue) -> Value {
    match value {
        EditValue::Text(text) => text.as_str().into(),
        EditValue::Integer(number) => (*number).into(),
        EditValue::Number(number) => (*number).into(),
        EditValue::Flag(flag) => (*flag).into(),
        EditValue::List(entries) => Value::Array(entries.iter().map(to_value).collect::<Array>()),
        EditValue::Table(fields) => inline(fields.iter().map(|(key, value)| (key.as_str(), value))),
    }
}

fn inline<'a>(fields: impl Iterator<Item = (&'a str, &'a EditValue)>) -> Value {
    let mut table = InlineTable::new();
    for (key, value) in fields {
        table.insert(key, to_value(value));
    }
    Value::InlineTable(table)
}
