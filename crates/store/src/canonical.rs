//! One spelling for a JSON text: no space outside strings, keys of an object in the order of their
//! bytes, each key once, strings with the fewest escapes. Numbers stay as they were written, since
//! "89.10" and "89.1" do not say the same about a reading.

use std::collections::BTreeMap;
use std::fmt;

use serde::Deserialize;
use serde::de::{self, MapAccess, Visitor};
use serde_json::value::RawValue;

use crate::check::limits;
use crate::error::{Error, Result};

/// Rewrites a JSON text in its canonical spelling.
///
/// # Errors
/// When the text is not JSON, is nested deeper than [`limits::BODY_DEPTH`], or holds a key twice.
pub fn canonical_json(text: &str) -> Result<String> {
    let mut canonical = String::with_capacity(text.len());
    write(read(text)?, 0, &mut canonical)?;
    Ok(canonical)
}

fn read<'text, T: Deserialize<'text>>(text: &'text str) -> Result<T> {
    serde_json::from_str(text).map_err(|fault| Error::BodyNotJson { problem: fault.to_string() })
}

fn write(value: &RawValue, depth: usize, canonical: &mut String) -> Result<()> {
    if depth > limits::BODY_DEPTH {
        let problem = format!("nested deeper than {} levels", limits::BODY_DEPTH);
        return Err(Error::BodyNotJson { problem });
    }
    let text = value.get();
    match text.as_bytes().first() {
        Some(b'{') => write_object(&read::<Object>(text)?, depth, canonical),
        Some(b'[') => write_array(&read::<Vec<&RawValue>>(text)?, depth, canonical),
        Some(b'"') => {
            canonical.push_str(&quoted(&read::<String>(text)?));
            Ok(())
        }
        _ => {
            canonical.push_str(text);
            Ok(())
        }
    }
}

fn write_object(object: &Object, depth: usize, canonical: &mut String) -> Result<()> {
    canonical.push('{');
    for (index, (key, value)) in object.0.iter().enumerate() {
        if index > 0 {
            canonical.push(',');
        }
        canonical.push_str(&quoted(key));
        canonical.push(':');
        write(value, depth + 1, canonical)?;
    }
    canonical.push('}');
    Ok(())
}

fn write_array(array: &[&RawValue], depth: usize, canonical: &mut String) -> Result<()> {
    canonical.push('[');
    for (index, value) in array.iter().enumerate() {
        if index > 0 {
            canonical.push(',');
        }
        write(value, depth + 1, canonical)?;
    }
    canonical.push(']');
    Ok(())
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// An object whose keys are unique and sorted.
struct Object<'text>(BTreeMap<String, &'text RawValue>);

impl<'de> Deserialize<'de> for Object<'de> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Keys;
        impl<'de> Visitor<'de> for Keys {
            type Value = Object<'de>;

            fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut keys = BTreeMap::new();
                while let Some((key, value)) = map.next_entry::<String, &RawValue>()? {
                    if keys.contains_key(&key) {
                        return Err(de::Error::custom(format!("the key \"{key}\" stands twice")));
                    }
                    keys.insert(key, value);
                }
                Ok(Object(keys))
            }
        }
        deserializer.deserialize_map(Keys)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(text: &str, expected: &str) {
        assert_eq!(canonical_json(text).unwrap(), expected);
        assert_eq!(canonical_json(expected).unwrap(), expected, "canonical text stays as it is");
    }

    #[test]
    fn one_spelling() {
        check(" { \"b\" : 1 ,\n\"a\":[ true, null , {} ,[] ] } ", r#"{"a":[true,null,{},[]],"b":1}"#);
        check(r#""\u0041\u00b5\/\n\u0001""#, "\"Aµ/\\n\\u0001\"");
        check(r#"{"é":1,"z":2,"A":3}"#, r#"{"A":3,"z":2,"é":1}"#);
    }

    #[test]
    fn numbers_stay_as_written() {
        check(
            "[89.10, 89.1, 1E5, -0, 12345678901234567890123]",
            "[89.10,89.1,1E5,-0,12345678901234567890123]",
        );
    }

    #[test]
    fn what_is_not_json_is_refused_with_a_reason() {
        for (text, part) in [
            ("", "EOF"),
            ("{", "EOF"),
            ("{\"a\":1,\"a\":2}", "\"a\" stands twice"),
            ("{\"a\":{\"b\":1,\"b\":1}}", "\"b\" stands twice"),
            ("1 2", "trailing"),
            ("NaN", "expected value"),
            ("'a'", "expected value"),
            (r#""\ud800""#, "escape"),
            (&"[".repeat(2000), "EOF"),
            (&format!("{}{}", "[".repeat(100), "]".repeat(100)), "nested deeper"),
        ] {
            let message = canonical_json(text).unwrap_err().to_string();
            assert!(message.contains(part), "{text}: {message}");
        }
    }
}
