//! Changes of sizes and limits, part by part, in the text of the document: its comments and order stay.

use engine::document::{self, EditError, EditValue, Shape, shape_at};
use engine::quantity::UnitSystem;
use std::collections::BTreeMap;

/// One change below a section.
#[derive(Clone, Debug)]
pub struct PartChange {
    /// Keys below the section; a number counts the entries of a list from 0.
    pub path: Vec<String>,
    /// TOML literal to write; None takes the key out.
    pub literal: Option<String>,
    /// A person says that it is so, even where it stands there already as a proposal.
    pub given: bool,
}

/// Changes that were refused, by the dotted path below the section. The text is as it was.
#[derive(Clone, Debug, Default, PartialEq, Eq, thiserror::Error)]
#[error("{}", .0.iter().map(|(field, problem)| format!("{field}: {problem}")).collect::<Vec<_>>().join("; "))]
pub struct PartFault(pub BTreeMap<String, String>);

/// Makes the changes of one form, all of them or none.
///
/// # Errors
/// By field, what was refused.
pub(crate) fn change(text: &str, section: &str, changes: &[PartChange]) -> Result<String, PartFault> {
    let inch = document::get(text, "engine.units").as_deref() == Some("inch");
    let units = if inch { UnitSystem::Inch } else { UnitSystem::Metric };
    let proposed = document::proposed(text);
    let mut made = Vec::new();
    for change in changes {
        let path = edit_path(section, &change.path);
        let value = change.literal.as_deref().map(value_of).transpose();
        let value = value.map_err(|problem| PartFault(BTreeMap::from([(change.path.join("."), problem)])))?;
        // A bare number takes the usual unit of its field, and the document writes it out.
        let value = value.map(|value| match value {
            EditValue::Text(typed) => document::typed_value(&path, &typed, units),
            other => other,
        });
        let stands = document::get(text, &path);
        let same = match &value {
            None => stands.is_none(),
            Some(value) => stands.is_some_and(|stands| stands == written(value)),
        };
        // What was only proposed is given when a person says so.
        if !same || (change.given && proposed.contains(&path)) {
            made.push((path, value));
        }
    }
    document::apply(text, &made).map_err(|error| PartFault(by_field(section, &error)))
}

/// What the document would refuse of these changes, by field; empty where it would take them.
pub fn part_faults(text: &str, section: &str, changes: &[PartChange]) -> PartFault {
    change(text, section, changes).err().unwrap_or_default()
}

/// What was refused, by the field that it is about; under the empty name where it is about none.
fn by_field(section: &str, error: &EditError) -> BTreeMap<String, String> {
    let (EditError::Refused(diagnostics) | EditError::Unreadable(diagnostics)) = error else {
        return BTreeMap::from([(String::new(), error.to_string())]);
    };
    let mut wrong = BTreeMap::new();
    for d in diagnostics {
        let problem =
            d.expected.as_ref().map_or_else(|| d.message.clone(), |e| format!("{}; expected {e}", d.message));
        // The form calls the ends of a range least and most.
        let problem = problem.replace("`min`", "least").replace("`max`", "most");
        // A mistake elsewhere that this form makes shows at the top, with its place.
        let (field, problem) = match field_of(section, &d.path) {
            Some((field, Some(entry))) => (field, format!("entry {entry}: {problem}")),
            Some((field, None)) => (field, problem),
            None => (String::new(), format!("{}: {problem}", document::field_words(&d.path))),
        };
        let wrong: &mut String = wrong.entry(field).or_default();
        if !wrong.is_empty() {
            wrong.push_str("; ");
        }
        wrong.push_str(&problem);
    }
    if wrong.is_empty() {
        wrong.insert(String::new(), error.to_string());
    }
    wrong
}

/// The field of the form of a section that a path of the document is about, and the entry of a list of plain values.
pub(super) fn field_of(section: &str, path: &str) -> Option<(String, Option<usize>)> {
    path.strip_prefix(section).and_then(|rest| rest.strip_prefix('.')).map(|field| form_path(section, field))
}

/// The path of a diagnostic (entries counted from 1) as the form names it (from 0). A list of plain values is one field,
/// so its entry comes by itself.
fn form_path(section: &str, field: &str) -> (String, Option<usize>) {
    let mut keys = vec![section.to_owned()];
    let mut form = Vec::new();
    let mut entry = None;
    for key in field.split('.') {
        let shape = shape_at(keys.iter().map(String::as_str)).map(|(shape, _)| shape);
        let inner = if let Some(Shape::List(inner)) = shape { Some(&**inner) } else { None };
        match (inner, key.parse::<usize>().ok().filter(|n| *n > 0)) {
            (Some(Shape::Table(_)), Some(number)) => form.push((number - 1).to_string()),
            (Some(_), Some(number)) => entry = entry.or(Some(number)),
            _ => form.push(key.trim_matches('"').to_owned()),
        }
        keys.push(key.to_owned());
    }
    (form.join("."), entry)
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
        EditValue::List(entries) => {
            let entries: Vec<String> = entries.iter().map(in_list).collect();
            format!("[{}]", entries.join(", "))
        }
        EditValue::Table(_) => String::new(),
    }
}

fn in_list(value: &EditValue) -> String {
    match value {
        EditValue::Text(text) => format!("\"{text}\""),
        other => written(other),
    }
}
