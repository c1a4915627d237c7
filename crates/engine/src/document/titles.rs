//! What forms, sentences and links call the sections and fields of a document. One place, so that a field has one name wherever
//! a person reads of it.

use super::shape::{Shape, shape_at};

/// A key in words: `junction_angle` → "junction angle", `lambda_speed` → "λ speed".
pub fn key_words(key: &str) -> String {
    key.replace('_', " ").replace("lambda", "\u{3bb}")
}

/// First letter large; λ stays, since Λ is another sign.
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some('\u{3bb}') | None => text.to_owned(),
        Some(first) => first.to_uppercase().chain(letters).collect(),
    }
}

/// First letter small, as inside a sentence, unless the word is a sign or an abbreviation.
pub fn inside_sentence(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), Some(second)) if second.is_lowercase() => first.to_lowercase().chain(letters).collect(),
        _ => text.to_owned(),
    }
}

/// Title of a section: what it is, where the document says so in a few words, else its key.
pub fn section_title(section: &str) -> String {
    if section == "instruments" {
        return "Gauges".to_owned();
    }
    let told = shape_at([section]).map_or("", |(_, told)| told.trim_end_matches('.'));
    let name = told.split_whitespace().count() <= 4 && !told.contains([',', ';', '.']);
    if name && !told.is_empty() { told.to_owned() } else { sentence(&key_words(section)) }
}

/// Fields whose key alone says too little: section, key, title.
const SAYS_MORE: &[(&str, &str, &str)] = &[
    ("block", "cylinders", "How the cylinders are made"),
    ("burn", "form", "Wiebe form exponent"),
    ("burn", "completeness", "Completeness of the burn"),
    ("burn", "heat", "Relation for the heat to the walls"),
    ("burn", "timing", "Timing of the burn"),
    ("exhaust", "mouth", "Discharge coefficient of a pipe's mouth"),
    ("head", "cylinders", "Cylinders under each head"),
    ("instruments", "scale", "Uncertainty of its scale"),
    ("instruments", "setting", "Uncertainty of its setting"),
    ("intake", "mouth", "Discharge coefficient of a runner's mouth"),
    ("power", "residual", "Torque left unexplained"),
    ("springs", "bind", "Height at bind"),
    ("springs", "installed", "Installed height"),
    ("turbocharger", "cooler", "Intercooler"),
    ("turbocharger", "loss_flow", "Mass flow of the stated loss"),
    ("valves", "table_angle", "Crank angles of the lift table"),
];

/// Title of a field by its keys from the root: a limit or a target is called what it is about ("Main bearing oil clearance on
/// diameter"), any other field by its key ("Junction angle"), or by more where that says too little.
pub fn field_title<'a>(keys: impl IntoIterator<Item = &'a str>) -> String {
    let keys: Vec<&str> = keys.into_iter().collect();
    let key = keys.last().copied().unwrap_or_default();
    let says_more = |(section, of, _): &&(&str, &str, &str)| keys.first() == Some(section) && *of == key;
    if let Some((.., title)) = SAYS_MORE.iter().find(says_more) {
        return (*title).to_owned();
    }
    match shape_at(keys.iter().copied()) {
        // Told above a range that stands in a map of the shop's own names is the map.
        Some((Shape::Table(table), told)) if table.is_range() && !told.is_empty() && !in_map(&keys) => {
            told.trim_end_matches('.').replace('`', "")
        }
        _ => sentence(&key_words(key)),
    }
}

fn in_map(keys: &[&str]) -> bool {
    let above = keys.split_last().and_then(|(_, above)| shape_at(above.iter().copied()));
    matches!(above, Some((Shape::Map(_) | Shape::List(_), _)))
}

/// A field with its section, as a person finds it in the forms: "Fuel, λ at speed, number 1" for `fuel.lambda_at_speed.1`.
/// Entries of lists count from 1; in brackets the path counts from 0.
pub fn field_words(path: &str) -> String {
    let keys: Vec<String> = path
        .split(['.', '['])
        .map(|part| match (part.strip_suffix(']'), part) {
            (Some(bare), _) => {
                bare.parse::<usize>().map_or_else(|_| bare.to_owned(), |n| (n + 1).to_string())
            }
            (None, part) => part.to_owned(),
        })
        .collect();
    let keys: Vec<&str> = keys.iter().map(String::as_str).collect();
    let (Some((section, below)), inside) = (keys.split_first(), 2..=keys.len()) else { return String::new() };
    let titles = below.iter().zip(inside).map(|(key, depth)| key_title(key, &keys[..depth]));
    std::iter::once(section_title(section)).chain(titles).collect::<Vec<_>>().join(", ")
}

/// What one key of a path is called behind those above it.
fn key_title(key: &str, keys: &[&str]) -> String {
    match key.parse::<usize>() {
        Ok(number) => format!("number {number}"),
        Err(_) => inside_sentence(&field_title(keys.iter().copied())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_field_is_called_what_its_form_calls_it() {
        assert_eq!(field_words("exhaust.junction_angle"), "Exhaust side, junction angle");
        assert_eq!(field_words("duty.ambient_pressure"), "Duty, ambient pressure");
        assert_eq!(field_words("fuel.lambda_at_speed.1"), "Fuel, \u{3bb} at speed, number 1");
        assert_eq!(field_words("operations[0].amount"), "Operations, number 1, amount");
        assert_eq!(field_words("limits.main_clearance"), "Limits, main bearing oil clearance on diameter");
        assert_eq!(field_words("instruments"), "Gauges");
        assert_eq!(field_title(["limits", "bore_rk"]), "Roughness Rk of the bore");
        assert_eq!(field_title(["fuel", "lambda"]), "\u{3bb}");
        assert_eq!(field_words("springs.bind"), "Valve springs, height at bind");
    }

    #[test]
    fn each_field_that_says_more_is_a_field() {
        for (section, key, _) in SAYS_MORE {
            let inside = [&[][..], &["intake"], &["name"], &["cooler"]];
            let known = |between: &&[&str]| {
                let path = std::iter::once(*section).chain(between.iter().copied()).chain([*key]);
                shape_at(path).is_some()
            };
            assert!(inside.iter().any(known), "{section}.{key}");
        }
    }
}
