//! Changes of sizes and limits, part by part, in the text of the document: its comments and order stay.

use super::newcomer::edit_words;
use engine::document::{self, EditError, EditValue, Shape, shape_at};
use std::collections::BTreeMap;

/// One change below a section.
#[derive(Clone, Debug)]
pub struct PartChange {
    /// Keys below the section; a number counts the entries of a list from 0.
    pub path: Vec<String>,
    /// TOML literal to write; None takes the key out.
    pub literal: Option<String>,
}

/// Changes that were refused, by the dotted path below the section. The text is as it was.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(|(field, problem)| format!("{field}: {problem}")).collect::<Vec<_>>().join("; "))]
pub struct PartFault(pub BTreeMap<String, String>);

/// Makes the changes of one form.
///
/// # Errors
/// By field, what was refused.
pub(crate) fn change(text: &str, section: &str, changes: &[PartChange]) -> Result<String, PartFault> {
    let mut waiting: Vec<(String, String, Option<EditValue>)> = Vec::new();
    for change in changes {
        let name = change.path.join(".");
        let path = edit_path(section, &change.path);
        let value = change.literal.as_deref().map(value_of).transpose().map_err(|problem| one(&name, problem))?;
        let stands = document::get(text, &path);
        let same = match &value {
            None => stands.is_none(),
            Some(value) => stands.as_deref() == Some(written(value).as_str()),
        };
        if !same {
            waiting.push((name, path, value));
        }
    }
    let mut text = text.to_owned();
    // A change may only be right after another one of the same form: go round as long as one succeeds.
    loop {
        let before = waiting.len();
        let mut refused = BTreeMap::new();
        let mut left = Vec::new();
        for (name, path, value) in waiting {
            match make(&text, &path, value.as_ref()) {
                Ok(changed) => text = changed,
                Err(error) => {
                    refused.insert(name.clone(), edit_words(&error));
                    left.push((name, path, value));
                }
            }
        }
        waiting = left;
        if waiting.is_empty() {
            return Ok(text);
        }
        if waiting.len() == before {
            return Err(PartFault(refused));
        }
    }
}

fn make(text: &str, path: &str, value: Option<&EditValue>) -> Result<String, EditError> {
    match value {
        Some(value) => document::set(text, path, value),
        None => document::remove(text, path),
    }
}

fn one(field: &str, problem: String) -> PartFault {
    PartFault(BTreeMap::from([(field.to_owned(), problem)]))
}

/// The path of an edit: entries of lists count from 1 there, and names with points are quoted.
fn edit_path(section: &str, path: &[String]) -> String {
    let mut keys = vec![section.to_owned()];
    for key in path {
        let shape = shape_at(keys.iter().map(String::as_str)).map(|(shape, _)| shape);
        let number = key.parse::<usize>().ok().filter(|_| matches!(shape, Some(Shape::List(_))));
        keys.push(number.map_or_else(|| key.clone(), |n| (n + 1).to_string()));
    }
    let quoted: Vec<String> =
        keys.iter().map(|key| toml_edit::Key::new(key.as_str()).display_repr().into_owned()).collect();
    quoted.join(".")
}

fn value_of(literal: &str) -> Result<EditValue, String> {
    let value: toml_edit::Value = literal.parse().map_err(|_| format!("{literal} cannot be written"))?;
    edit_value(&value).ok_or_else(|| format!("{literal} cannot be written"))
}

fn edit_value(value: &toml_edit::Value) -> Option<EditValue> {
    use toml_edit::Value as V;
    Some(match value {
        V::String(text) => EditValue::Text(text.value().clone()),
        V::Integer(number) => EditValue::Integer(*number.value()),
        V::Float(number) => EditValue::Number(*number.value()),
        V::Boolean(flag) => EditValue::Flag(*flag.value()),
        V::Array(list) => EditValue::List(list.iter().map(edit_value).collect::<Option<_>>()?),
        V::InlineTable(table) => EditValue::Table(
            table.iter().map(|(key, v)| Some((key.to_owned(), edit_value(v)?))).collect::<Option<_>>()?,
        ),
        V::Datetime(_) => return None,
    })
}

/// A value as `document::get` gives it.
fn written(value: &EditValue) -> String {
    match value {
        EditValue::Text(text) => text.clone(),
        EditValue::Integer(number) => number.to_string(),
        EditValue::Number(number) => number.to_string(),
        EditValue::Flag(flag) => flag.to_string(),
        EditValue::List(_) | EditValue::Table(_) => String::new(),
    }
}
