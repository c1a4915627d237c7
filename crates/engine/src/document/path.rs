//! Key paths: `layout.bore`, `readings.3.value` (entries counted from 1), `fasteners."rod bolt".torque`.

use std::ops::Range;
use toml_edit::{Item, Value};

/// One step of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Segment<'a> {
    /// A key of a table.
    Key(&'a str),
    /// An entry of a list, 1 first.
    Entry(usize),
}

/// A path as text.
pub(super) fn write_path(path: &[Segment]) -> String {
    let written: Vec<String> = path
        .iter()
        .map(|segment| match segment {
            Segment::Key(key) => write_key(key),
            Segment::Entry(number) => number.to_string(),
        })
        .collect();
    written.join(".")
}

/// A key as it is written in a document: bare where that is allowed.
pub(super) fn write_key(key: &str) -> String {
    toml_edit::Key::new(key).display_repr().into_owned()
}

/// Where the value (or, for a table, the key) at a path stands; the nearest table above it when it is not there.
pub(super) fn find_place(root: &Item, path: &[Segment]) -> Range<usize> {
    let mut here = root;
    let mut span = 0..0;
    for (depth, segment) in path.iter().enumerate() {
        let next = match segment {
            Segment::Key(key) => here.as_table_like().and_then(|table| {
                if let Some(key_span) = table.key(key).and_then(toml_edit::Key::span) {
                    span = key_span;
                }
                table.get(key)
            }),
            Segment::Entry(number) => match here {
                Item::ArrayOfTables(tables) => {
                    let Some(table) = tables.get(number - 1) else { break };
                    return in_table(table, &path[depth + 1..]);
                }
                Item::Value(Value::Array(array)) => {
                    return array
                        .get(number - 1)
                        .and_then(|v| in_value(v, &path[depth + 1..]))
                        .unwrap_or(span);
                }
                _ => None,
            },
        };
        let Some(next) = next else { break };
        if let Item::Value(value) = next {
            span = value.span().unwrap_or(span);
        }
        here = next;
    }
    span
}

fn in_table(table: &toml_edit::Table, path: &[Segment]) -> Range<usize> {
    let own = table.span().unwrap_or_default();
    let [Segment::Key(key), rest @ ..] = path else { return own };
    match table.get(key) {
        Some(Item::Value(value)) => in_value(value, rest).unwrap_or(own),
        Some(item) => find_place(item, rest),
        None => own,
    }
}

fn in_value(value: &Value, path: &[Segment]) -> Option<Range<usize>> {
    match (path, value) {
        ([Segment::Entry(number), rest @ ..], Value::Array(array)) => in_value(array.get(number - 1)?, rest),
        ([Segment::Key(key), rest @ ..], Value::InlineTable(table)) => in_value(table.get(key)?, rest),
        _ => value.span(),
    }
}

/// Takes out what stands at a written path, so that the rest can be read: the last key on the way that is not
/// inside a list of values (entries of a list of tables keep their numbers).
pub(super) fn take_out(root: &mut Item, path: &str) {
    let Ok(keys) = toml_edit::Key::parse(path) else { return };
    let keys: Vec<&str> = keys.iter().map(toml_edit::Key::get).collect();
    take_out_keys(root, &keys);
}

fn take_out_keys(here: &mut Item, keys: &[&str]) {
    let [key, rest @ ..] = keys else { return };
    match here {
        Item::ArrayOfTables(tables) => {
            if let Some(table) = key.parse::<usize>().ok().and_then(|n| tables.get_mut(n.wrapping_sub(1)))
                && let [key, rest @ ..] = rest
            {
                take_from(table, key, rest);
            }
        }
        here => {
            if let Some(table) = here.as_table_like_mut() {
                take_from(table, key, rest);
            }
        }
    }
}

fn take_from(table: &mut dyn toml_edit::TableLike, key: &str, rest: &[&str]) {
    match table.get_mut(key) {
        Some(next) if !rest.is_empty() && (next.is_table_like() || next.is_array_of_tables()) => {
            take_out_keys(next, rest);
        }
        _ => {
            table.remove(key);
        }
    }
}
