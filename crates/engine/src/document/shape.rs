//! The format as a tree, read once from the JSON Schema: which keys a table has, what each value must be.
//! The parser walks a file along it; pages can build their forms from it.

use super::schema::json_schema;
use crate::quantity::Dimension;
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// What a value must be.
#[derive(Clone, Debug)]
pub enum Shape {
    /// A table with known keys.
    Table(Arc<TableShape>),
    /// A table whose keys are names given by the person.
    Map(Arc<Shape>),
    /// A list.
    List(Arc<Shape>),
    /// A number with a unit, written as text.
    Quantity(QuantityShape),
    /// One of some words: the word and what it means.
    Words(Arc<[(String, String)]>),
    /// Any text.
    Text,
    /// A whole number.
    Integer {
        /// Least allowed.
        min: i64,
        /// Most allowed.
        max: i64,
    },
    /// A plain number.
    Number {
        /// Least allowed.
        min: f64,
    },
    /// True or false.
    Flag,
    /// The schema says nothing that is understood here; a test keeps this from happening.
    Unclear,
}

/// A table with known keys.
#[derive(Clone, Debug)]
pub struct TableShape {
    /// Name of the type.
    pub name: String,
    /// Keys.
    pub fields: BTreeMap<String, Field>,
    /// The keys in the order in which the types write them: the order of the job.
    pub order: Vec<String>,
}

impl TableShape {
    /// A limit or a target: a small table that is written on one line.
    pub fn is_range(&self) -> bool {
        self.fields.contains_key("min") && self.fields.contains_key("max")
    }

    /// Keys with their fields, in the order of the job.
    pub fn ordered(&self) -> impl Iterator<Item = (&str, &Field)> {
        self.order.iter().filter_map(|key| Some((key.as_str(), self.fields.get(key)?)))
    }

    /// Every value is a plain one, so the table reads well on one line.
    pub fn is_flat(&self) -> bool {
        self.fields.values().all(|f| !matches!(f.shape, Shape::Table(_) | Shape::Map(_) | Shape::List(_)))
    }
}

/// A key of a table.
#[derive(Clone, Debug)]
pub struct Field {
    /// What it means.
    pub description: String,
    /// What its value must be.
    pub shape: Shape,
}

/// A number with a unit.
#[derive(Clone, Copy, Debug)]
pub struct QuantityShape {
    /// What it measures; `None`: any (what a gauge reads).
    pub dimension: Option<Dimension>,
    /// Which sign it may have.
    pub sign: Sign,
    /// Empty text counts as left out.
    pub may_be_empty: bool,
}

/// Which sign a quantity may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// Any.
    Any,
    /// Zero or more.
    ZeroOrMore,
    /// More than zero.
    AboveZero,
}

/// The shape of the whole document.
pub fn document_shape() -> &'static Shape {
    static SHAPE: OnceLock<Shape> = OnceLock::new();
    SHAPE.get_or_init(|| {
        let schema = json_schema();
        Reader { schema: &schema }.read("Document", &schema, None)
    })
}

/// The shape at a key path; names and list positions match any entry.
pub fn shape_at<'a>(path: impl IntoIterator<Item = &'a str>) -> Option<(&'static Shape, &'static str)> {
    let mut shape = document_shape();
    let mut description = "";
    for segment in path {
        shape = match shape {
            Shape::Table(table) => {
                let field = table.fields.get(segment)?;
                description = &field.description;
                &field.shape
            }
            Shape::Map(inner) | Shape::List(inner) => inner,
            _ => return None,
        };
    }
    Some((shape, description))
}

struct Reader<'a> {
    schema: &'a Value,
}

impl Reader<'_> {
    fn read(&self, name: &str, node: &Value, sign: Option<Sign>) -> Shape {
        let sign = sign_of(node).or(sign);
        if let Some(word) = node["x-quantity"].as_str() {
            return Shape::Quantity(quantity(word, sign, node["x-may-be-empty"] == true));
        }
        if let Some(reference) = node["$ref"].as_str() {
            let name = reference.trim_start_matches("#/$defs/");
            return self.read(name, &self.schema["$defs"][name], sign);
        }
        if let Some(options) = node["oneOf"].as_array() {
            return words(options);
        }
        match node["type"].as_str() {
            Some("object") if node["properties"].is_object() => self.table(name, node, sign),
            Some("object") => Shape::Map(Arc::new(self.read(name, &node["additionalProperties"], sign))),
            Some("array") => Shape::List(Arc::new(self.read(name, &node["items"], sign))),
            Some("string") if node["enum"].is_array() => {
                words(node["enum"].as_array().map_or(&[], Vec::as_slice))
            }
            Some("string") => Shape::Text,
            Some("integer") => Shape::Integer {
                min: node["minimum"].as_i64().unwrap_or(0),
                max: node["maximum"].as_i64().unwrap_or(i64::from(u32::MAX)),
            },
            Some("number") => Shape::Number { min: node["minimum"].as_f64().unwrap_or(f64::NEG_INFINITY) },
            Some("boolean") => Shape::Flag,
            _ => Shape::Unclear,
        }
    }

    fn table(&self, name: &str, node: &Value, sign: Option<Sign>) -> Shape {
        let field = |property: &Value| Field {
            description: property["description"].as_str().unwrap_or_default().to_owned(),
            shape: self.read(name, property, sign),
        };
        let properties = || node["properties"].as_object().into_iter().flatten();
        let order = properties().map(|(key, _)| key.clone()).collect();
        let fields = properties().map(|(key, property)| (key.clone(), field(property))).collect();
        Shape::Table(Arc::new(TableShape { name: name.to_owned(), fields, order }))
    }
}

fn sign_of(node: &Value) -> Option<Sign> {
    match node["x-sign"].as_str()? {
        "any" => Some(Sign::Any),
        "zero_or_more" => Some(Sign::ZeroOrMore),
        "above_zero" => Some(Sign::AboveZero),
        _ => None,
    }
}

fn quantity(word: &str, sign: Option<Sign>, may_be_empty: bool) -> QuantityShape {
    let dimension = Dimension::from_word(word);
    // An angle may be counted backwards, and 0 °C is no least temperature.
    let usual = match dimension {
        Some(Dimension::Angle | Dimension::Temperature) => Sign::Any,
        _ => Sign::ZeroOrMore,
    };
    QuantityShape { dimension, sign: sign.unwrap_or(usual), may_be_empty }
}

fn words(options: &[Value]) -> Shape {
    let word = |option: &Value| {
        let text = option["const"].as_str().or(option.as_str());
        let description = option["description"].as_str();
        (text.unwrap_or_default().to_owned(), description.unwrap_or_default().to_owned())
    };
    Shape::Words(options.iter().map(word).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(path: &str, shape: &Shape) {
        match shape {
            Shape::Unclear => panic!("{path} is not understood"),
            Shape::Words(words) => assert!(words.iter().all(|(w, _)| !w.is_empty()), "{path}"),
            Shape::Table(table) => {
                table.fields.iter().for_each(|(key, f)| check(&format!("{path}.{key}"), &f.shape));
            }
            Shape::Map(inner) | Shape::List(inner) => check(&format!("{path}.*"), inner),
            _ => {}
        }
    }

    #[test]
    fn keys_stand_in_the_order_of_the_types() {
        let Some((Shape::Table(crank), _)) = shape_at(["crank"]) else { panic!("crank is a table") };
        let first: Vec<&str> = crank.ordered().map(|(key, _)| key).take(3).collect();
        assert_eq!(first, ["material", "main_journal", "pin_journal"]);
        assert_eq!(crank.order.len(), crank.fields.len());
    }

    #[test]
    fn the_whole_schema_is_understood() {
        check("", document_shape());
    }
}
