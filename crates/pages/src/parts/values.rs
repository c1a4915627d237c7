//! What stands in a section of the document, as the form shows it.

use std::collections::BTreeMap;
use toml_edit::{Item, Value};

/// Values of a section by dotted path, as they stand in the document text; empty when the text is not TOML.
pub fn part_values(text: &str, section: &str) -> BTreeMap<String, String> {
    let mut values = BTreeMap::new();
    if let Ok(document) = text.parse::<toml_edit::DocumentMut>()
        && let Some(item) = document.get(section)
    {
        item_values("", item, &mut values);
    }
    values
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}

pub(super) fn item_values(path: &str, item: &Item, values: &mut BTreeMap<String, String>) {
    match item {
        Item::Table(table) => {
            table.iter().for_each(|(key, item)| item_values(&join(path, key), item, values));
        }
        Item::ArrayOfTables(tables) => {
            for (i, table) in tables.iter().enumerate() {
                table
                    .iter()
                    .for_each(|(key, item)| item_values(&join(path, &format!("{i}.{key}")), item, values));
            }
        }
        Item::Value(value) => value_values(path, value, values),
        Item::None => {}
    }
}

fn value_values(path: &str, value: &Value, values: &mut BTreeMap<String, String>) {
    match value {
        Value::InlineTable(table) => {
            table.iter().for_each(|(key, v)| value_values(&join(path, key), v, values));
        }
        Value::Array(array) if array.iter().any(Value::is_inline_table) => {
            for (i, v) in array.iter().enumerate() {
                value_values(&join(path, &i.to_string()), v, values);
            }
        }
        simple => {
            values.insert(path.to_owned(), written(simple));
        }
    }
}

fn written(value: &Value) -> String {
    match value {
        Value::String(text) => text.value().clone(),
        Value::Array(array) => {
            let nested = array.iter().any(Value::is_array);
            let items: Vec<String> = array.iter().map(written).collect();
            items.join(if nested { " / " } else { ", " })
        }
        other => other.clone().decorated("", "").to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_as_written() {
        let text = "[layout]\nbore = \"89.100 mm\" # finish\ncylinders = 4\nbanks = [[1, 3], [2, 4]]\nfiring_order = [1, 3, 4, 2]\n\
                    [limits]\nbore_taper = { max = \"0.010 mm\", origin = \"part_maker\" }\n[[intake.runner]]\nlength = \"80 mm\"\n";
        let layout = part_values(text, "layout");
        assert_eq!(layout["bore"], "89.100 mm");
        assert_eq!(layout["cylinders"], "4");
        assert_eq!(layout["banks"], "1, 3 / 2, 4");
        assert_eq!(layout["firing_order"], "1, 3, 4, 2");
        assert_eq!(part_values(text, "limits")["bore_taper.max"], "0.010 mm");
        assert_eq!(part_values(text, "intake")["runner.0.length"], "80 mm");
        assert!(part_values("not = [toml", "layout").is_empty());
    }
}
