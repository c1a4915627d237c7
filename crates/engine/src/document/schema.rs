//! The JSON Schema of the document (draft 2020-12), generated from the types.
//!
//! What the types cannot say is added here: the pattern of each quantity with its units (`x-quantity` names the
//! dimension), which sizes may be negative (`x-sign`), and ranges of counts.

use super::model::{Document, FORMAT_VERSION};
use crate::quantity::{Dimension, spellings_pattern};
use serde_json::{Map, Value, json};

/// A property of a type with what is added to its schema.
type Addition = (&'static str, &'static str, &'static str, fn() -> Value);

/// Text that holds a quantity of any dimension; a gauge may read lengths, volumes, masses or forces.
const ANY: fn() -> Value = || json!("any");
/// Negative is a value like any other: an offset, a zero check, an interference.
const ANY_SIGN: fn() -> Value = || json!("any");
/// Zero is no size.
const ABOVE_ZERO: fn() -> Value = || json!("above_zero");

const ADDITIONS: &[Addition] = &[
    ("Instrument", "smallest", "x-quantity", ANY),
    ("Instrument", "largest", "x-quantity", ANY),
    ("Instrument", "resolution", "x-quantity", ANY),
    ("Instrument", "max_error", "x-quantity", ANY),
    ("Instrument", "setting", "x-quantity", ANY),
    ("Instrument", "repeatability", "x-quantity", ANY),
    ("Instrument", "zero_before", "x-quantity", ANY),
    ("Instrument", "zero_before", "x-sign", ANY_SIGN),
    ("Instrument", "zero_after", "x-quantity", ANY),
    ("Instrument", "zero_after", "x-sign", ANY_SIGN),
    ("ReadingEntry", "value", "x-quantity", ANY),
    ("ReadingEntry", "value", "x-sign", ANY_SIGN),
    ("ReadingEntry", "temperature", "x-quantity", || json!("temperature")),
    ("ReadingEntry", "value", "x-may-be-empty", || json!(true)),
    ("ReadingEntry", "temperature", "x-may-be-empty", || json!(true)),
    ("ReadingEntry", "corrects", "minimum", || json!(1)),
    ("Limits", "pin_in_rod", "x-sign", ANY_SIGN),
    ("Limits", "injector_spread", "x-sign", ANY_SIGN),
    ("Pistons", "pin_offset", "x-sign", ANY_SIGN),
    ("Layout", "bore", "x-sign", ABOVE_ZERO),
    ("Layout", "stroke", "x-sign", ABOVE_ZERO),
    ("Layout", "pitch", "x-sign", ABOVE_ZERO),
    ("Layout", "cylinders", "minimum", || json!(1)),
    ("Layout", "cylinders", "maximum", || json!(12)),
    ("Layout", "main_bearings", "minimum", || json!(1)),
    ("Layout", "main_bearings", "maximum", || json!(13)),
    ("Layout", "intake_valves", "minimum", || json!(1)),
    ("Layout", "intake_valves", "maximum", || json!(4)),
    ("Layout", "exhaust_valves", "minimum", || json!(1)),
    ("Layout", "exhaust_valves", "maximum", || json!(4)),
    ("Cams", "bearings", "maximum", || json!(99)),
    ("Cams", "rocker_ratio", "minimum", || json!(0)),
    ("Fastener", "count", "maximum", || json!(999)),
    ("Fastener", "friction", "minimum", || json!(0)),
    ("Supply", "days", "minimum", || json!(0)),
    ("Oil", "jets", "maximum", || json!(99)),
    ("Oil", "drains", "maximum", || json!(99)),
    ("Intake", "throttles", "maximum", || json!(12)),
    ("Turbocharger", "count", "maximum", || json!(12)),
    ("Fuel", "injectors", "maximum", || json!(12)),
    ("Duct", "length", "x-sign", ABOVE_ZERO),
    ("Duct", "diameter", "x-sign", ABOVE_ZERO),
    ("Duct", "far_diameter", "x-sign", ABOVE_ZERO),
    ("Burn", "ten_to_ninety", "x-sign", ABOVE_ZERO),
    ("Burn", "half_burned", "x-sign", ANY_SIGN),
    ("Burn", "completeness", "x-sign", ABOVE_ZERO),
    ("Fuel", "lambda_at_speed", "x-sign", ABOVE_ZERO),
    ("ValveSide", "table_angle", "x-sign", ANY_SIGN),
    ("TurbineData", "inlets", "minimum", || json!(1)),
    ("TurbineData", "inlets", "maximum", || json!(2)),
    ("PortFlow", "valves_open", "minimum", || json!(1)),
    ("PortFlow", "valves_open", "maximum", || json!(4)),
    ("Calibration", "friction", "x-sign", ABOVE_ZERO),
    ("Calibration", "heat", "x-sign", ABOVE_ZERO),
    ("Calibration", "intake_flow", "x-sign", ABOVE_ZERO),
    ("Calibration", "exhaust_flow", "x-sign", ABOVE_ZERO),
    ("Calibration", "burn_duration", "x-sign", ABOVE_ZERO),
    ("Calibration", "knock_delay", "x-sign", ABOVE_ZERO),
    ("Ignition", "plugs", "maximum", || json!(4)),
];

/// The schema of the engine document. `docs/schema/engine.schema.json` holds it for editors that know JSON Schema.
pub fn json_schema() -> Value {
    let mut schema = schemars::schema_for!(Document).to_value();
    strip_nothing(&mut schema);
    name_limits(&mut schema);
    add(&mut schema);
    patterns(&mut schema);
    schema["$id"] = json!("engine.schema.json");
    schema["title"] = json!("Engine document");
    schema["required"] = json!(["crosshatch"]);
    schema["properties"]["crosshatch"] = json!({
        "description": "Format version of this file.",
        "type": "integer",
        "const": FORMAT_VERSION,
    });
    schema
}

/// TOML has no "null": what is left out is left out. Takes away `null` types, `null` and empty defaults.
fn strip_nothing(value: &mut Value) {
    match value {
        Value::Object(map) => {
            strip_object(map);
            map.values_mut().for_each(strip_nothing);
        }
        Value::Array(list) => list.iter_mut().for_each(strip_nothing),
        _ => {}
    }
}

fn strip_object(map: &mut Map<String, Value>) {
    let is_null = |v: &Value| v.get("type") == Some(&json!("null"));
    if let Some(Value::Array(options)) = map.get_mut("anyOf") {
        options.retain(|option| !is_null(option));
        if let [Value::Object(only)] = options.as_slice() {
            let only = only.clone();
            map.remove("anyOf");
            map.extend(only);
        }
    }
    if let Some(Value::Array(types)) = map.get_mut("type") {
        types.retain(|t| t != "null");
        if let [only] = types.as_slice() {
            let only = only.clone();
            map.insert("type".into(), only);
        }
    }
    // Only words are worth showing; a property may itself be called "default", and is then an object with a type.
    if map.get("default").is_some_and(|d| d.as_str().is_none_or(str::is_empty) && d.get("type").is_none()) {
        map.remove("default");
    }
}

/// `Limit`, `Limit2`, … become `LengthLimit`, `MassLimit`, ….
fn name_limits(schema: &mut Value) {
    let Some(definitions) = schema["$defs"].as_object_mut() else { return };
    let renames: Vec<(String, String)> = definitions
        .iter()
        .filter(|(name, _)| name.trim_start_matches("Limit").bytes().all(|b| b.is_ascii_digit()))
        .filter_map(|(name, definition)| {
            let of = definition["properties"]["min"]["$ref"].as_str()?.trim_start_matches("#/$defs/");
            Some((name.clone(), format!("{of}Limit")))
        })
        .collect();
    for (old, new) in &renames {
        if let Some(definition) = definitions.remove(old) {
            definitions.insert(new.clone(), definition);
        }
    }
    let references: Vec<_> =
        renames.iter().map(|(old, new)| (format!("#/$defs/{old}"), format!("#/$defs/{new}"))).collect();
    rename_references(schema, &references);
}

fn rename_references(value: &mut Value, renames: &[(String, String)]) {
    match value {
        Value::Object(map) => {
            if let Some(Value::String(reference)) = map.get_mut("$ref")
                && let Some((_, new)) = renames.iter().find(|(old, _)| old == reference)
            {
                reference.clone_from(new);
            }
            map.values_mut().for_each(|v| rename_references(v, renames));
        }
        Value::Array(list) => list.iter_mut().for_each(|v| rename_references(v, renames)),
        _ => {}
    }
}

fn add(schema: &mut Value) {
    for (of, property, key, value) in ADDITIONS {
        if let Some(Value::Object(target)) = schema["$defs"][of]["properties"].get_mut(property) {
            target.insert((*key).to_owned(), value());
        }
    }
    let Some(definitions) = schema["$defs"].as_object_mut() else { return };
    for (_, limit) in definitions.iter_mut().filter(|(name, _)| name.ends_with("Limit")) {
        limit["properties"]["process"]["x-sign"] = json!("zero_or_more");
    }
}

/// Gives each quantity a pattern of number and unit, so that any validator refuses a bare number or a wrong unit.
fn patterns(schema: &mut Value) {
    if let Some(definitions) = schema["$defs"].as_object_mut() {
        for definition in definitions.values_mut() {
            let dimension = definition["x-quantity"].as_str().and_then(Dimension::from_word);
            if let Some(dimension) = dimension {
                definition["pattern"] = json!(pattern(dimension));
            }
        }
    }
}

fn pattern(dimension: Dimension) -> String {
    // The currency of a price may stand in the shop.
    let may_be_bare = if dimension == Dimension::Money { "?" } else { "" };
    format!(
        "^\\s*[-+\u{2212}]?([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][-+]?[0-9]+)?\\s*({}){may_be_bare}\\s*$",
        spellings_pattern(dimension)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_addition_finds_its_property() {
        let schema = schemars::schema_for!(Document).to_value();
        for (of, property, _, _) in ADDITIONS {
            assert!(schema["$defs"][of]["properties"].get(property).is_some(), "{of}.{property} is gone");
        }
    }

    #[test]
    fn nothing_is_null() {
        let text = json_schema().to_string();
        assert!(!text.contains("null"), "TOML has no null");
        assert!(!text.contains("Limit2"));
    }
}
