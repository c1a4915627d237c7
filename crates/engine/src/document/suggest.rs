//! The nearest known word: for keys, for words of a list, for names that a person gave.

use super::shape::{Shape, TableShape, document_shape};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// Likeness above which a word counts as a slip of the other one. From trial on typical slips (a letter left out,
/// two swapped, singular for plural, a hyphen for an underscore); no source.
const ALIKE: f64 = 0.6;
/// Likeness asked for when the candidate stands in another table.
const VERY_ALIKE: f64 = 0.8;
/// Likeness by Jaro and Winkler, which weighs the beginning of a word, above which a word counts.
const SAME_BEGINNING: f64 = 0.82;

fn likeness(a: &str, b: &str) -> f64 {
    let plain = |text: &str| text.to_lowercase().replace(['-', ' '], "_");
    strsim::normalized_damerau_levenshtein(&plain(a), &plain(b))
}

/// The candidate most like `word`, when one is like enough. Of equally good ones the first.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<String> {
    let candidates: Vec<&str> = candidates.into_iter().collect();
    let slip = best(word, &candidates, likeness).filter(|(_, score)| *score >= ALIKE);
    // "minimum" for "min", "honing" for "hone": the beginning is the same.
    let beginning =
        || best(word, &candidates, strsim::jaro_winkler).filter(|(_, score)| *score >= SAME_BEGINNING);
    slip.or_else(beginning).map(|(candidate, _)| candidate.to_owned())
}

/// True when one word is surely a slip of the other.
pub fn very_alike(a: &str, b: &str) -> bool {
    likeness(a, b) >= VERY_ALIKE
}

fn best<'a>(word: &str, candidates: &[&'a str], measure: fn(&str, &str) -> f64) -> Option<(&'a str, f64)> {
    // A word far longer than any key is no slip of one, and comparing it would cost time.
    if word.len() > 80 {
        return None;
    }
    candidates.iter().map(|candidate| (*candidate, measure(word, candidate))).fold(
        None,
        |best: Option<(&str, f64)>, next| {
            if best.is_none_or(|(_, score)| next.1 > score) { Some(next) } else { best }
        },
    )
}

/// Tables that have a key of exactly this name, or of a name very much like it: `(key, tables)`.
pub fn elsewhere(word: &str) -> Option<(String, Vec<String>)> {
    let index = key_index();
    if let Some(tables) = index.get(word) {
        return Some((word.to_owned(), tables.clone()));
    }
    let keys: Vec<&str> = index.keys().map(String::as_str).collect();
    let (key, score) = best(word, &keys, likeness)?;
    (score >= VERY_ALIKE).then(|| (key.to_owned(), index[key].clone()))
}

/// Every key of the format with the tables that have it; keys that stand in every limit are left out.
fn key_index() -> &'static BTreeMap<String, Vec<String>> {
    static INDEX: OnceLock<BTreeMap<String, Vec<String>>> = OnceLock::new();
    INDEX.get_or_init(|| {
        let mut index = BTreeMap::new();
        if let Shape::Table(root) = document_shape() {
            collect(root, "", &mut index);
        }
        index
    })
}

fn collect(table: &TableShape, path: &str, index: &mut BTreeMap<String, Vec<String>>) {
    for (key, field) in &table.fields {
        let table_path = if path.is_empty() { "the top of the file".to_owned() } else { format!("[{path}]") };
        index.entry(key.clone()).or_default().push(table_path);
        let below = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
        collect_shape(&field.shape, below, index);
    }
}

fn collect_shape(shape: &Shape, path: String, index: &mut BTreeMap<String, Vec<String>>) {
    match shape {
        Shape::Table(table) if !table.is_range() => collect(table, &path, index),
        Shape::Map(inner) => collect_shape(inner, format!("{path}.<name>"), index),
        Shape::List(inner) => collect_shape(inner, path, index),
        _ => {}
    }
}
