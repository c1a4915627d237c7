//! How much of a section is given, and what is not.

use super::values::item_values;
use engine::document::{
    Document, Field, SECTIONS, Shape, TableShape, document_shape, field_title, inside_sentence,
};
use std::collections::{BTreeMap, BTreeSet};

/// Sections that are written elsewhere: by reading, by recording an operation.
const ELSEWHERE: &[&str] = &["crosshatch", "operations", "readings"];

/// Sections that have a form, in the order of the job.
pub(super) fn sections() -> Vec<(&'static str, &'static Field)> {
    let Shape::Table(table) = document_shape() else { return Vec::new() };
    let mut list: Vec<(&str, &Field)> = table
        .fields
        .iter()
        .map(|(key, field)| (key.as_str(), field))
        .filter(|(key, _)| !ELSEWHERE.contains(key))
        .collect();
    list.sort_by_key(|(key, _)| SECTIONS.iter().position(|o| o == key).unwrap_or(SECTIONS.len()));
    list
}

/// What stands in a section.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Filled {
    /// Sizes and choices that are given.
    pub given: usize,
    /// Choices that are usual for the layout and that no person has said.
    pub proposed: usize,
    /// Those that the document has a place for.
    pub places: usize,
    /// Entries with names or numbers of the shop's own; None where the section is no list.
    pub entries: Option<usize>,
    /// Names of what is not given, in the order of the document.
    pub missing: Vec<String>,
}

impl Filled {
    /// "7 of 15", "6 entries".
    pub(super) fn words(&self) -> String {
        match self.entries {
            Some(0) => "none yet".to_owned(),
            Some(n) => crate::words::count(n, "entry", "entries"),
            None if self.proposed > 0 => {
                format!("{} of {}, {} proposed: check yours", self.given, self.places, self.proposed)
            }
            None => format!("{} of {}", self.given, self.places),
        }
    }

    /// "fillet, mass and 4 more"; empty when all is given.
    pub(super) fn missing_words(&self) -> String {
        const SHOWN: usize = 4;
        let named = self.missing.iter().take(SHOWN).cloned().collect::<Vec<_>>().join(", ");
        match self.missing.len().saturating_sub(SHOWN) {
            0 => named,
            more => format!("{named} and {more} more"),
        }
    }
}

/// Every value of the document by dotted path from the root, as the document means it.
pub(super) fn document_values(document: &Document) -> BTreeMap<String, String> {
    let mut values = BTreeMap::new();
    if let Ok(mut written) = toml_edit::ser::to_document(document) {
        for list in ELSEWHERE {
            written.remove(list);
        }
        item_values("", written.as_item(), &mut values);
    }
    values.retain(|_, text| !text.is_empty());
    values
}

/// What stands in a section of the document.
pub(super) fn filled(
    section: &str,
    shape: &Shape,
    values: &BTreeMap<String, String>,
    proposed: &BTreeSet<String>,
) -> Filled {
    let mut filled = Filled::default();
    match shape {
        Shape::Table(table) => of_table(section, "", table, values, &mut filled),
        _ => filled.entries = Some(children(section, values)),
    }
    // What nobody has said is not given, and not missing either.
    let start = format!("{section}.");
    filled.proposed = proposed.iter().filter(|path| path.starts_with(&start)).count();
    filled.given = filled.given.saturating_sub(filled.proposed);
    filled
}

/// Sizes, choices and limits that are given, and those that have a place: "311 of 402 given".
pub fn given_words(document: &Document, proposed: &BTreeSet<String>) -> String {
    let values = document_values(document);
    let parts = sections().into_iter().map(|(key, field)| filled(key, &field.shape, &values, proposed));
    let (given, places) = parts.fold((0, 0), |(g, p), part| (g + part.given, p + part.places));
    match proposed.len() {
        0 => format!("{given} of {places} given"),
        n => format!("{given} of {places} given, {n} proposed"),
    }
}

/// Number of entries below a path.
fn children(path: &str, values: &BTreeMap<String, String>) -> usize {
    let prefix = format!("{path}.");
    let names: BTreeSet<&str> = values
        .range(prefix.clone()..)
        .map_while(|(key, _)| key.strip_prefix(&prefix))
        .filter_map(|rest| rest.split('.').next())
        .collect();
    names.len()
}

/// Has an engine of this layout a place for that field? What cannot be given does not count as left out.
fn applies(path: &str, values: &BTreeMap<String, String>) -> bool {
    let is = |path: &str, word: &str| values.get(path).is_some_and(|said| said == word);
    match path {
        "layout.bank_angle" | "layout.banks" => !is("layout.arrangement", "inline"),
        "block.barrel_shim" | "limits.barrel_parallel" | "limits.barrel_match" => {
            is("block.cylinders", "separate_barrels")
        }
        "block.deck_stock" => !is("block.cylinders", "separate_barrels"),
        "cams.pushrod" | "limits.pushrod" => !is("cams.lash_adjustment", "shim"),
        _ => true,
    }
}

fn of_table(
    path: &str,
    name: &str,
    table: &TableShape,
    values: &BTreeMap<String, String>,
    filled: &mut Filled,
) {
    for (key, field) in table.ordered() {
        let at = format!("{path}.{key}");
        if !applies(&at, values) {
            continue;
        }
        let title = inside_sentence(&field_title(at.split('.')));
        let called = format!("{name} {title}").trim_start().to_owned();
        let given = match &field.shape {
            Shape::Table(range) if range.is_range() => ["nominal", "min", "max", "target"]
                .iter()
                .any(|key| values.contains_key(&format!("{at}.{key}"))),
            Shape::Table(inner) => {
                of_table(&at, &called, inner, values, filled);
                continue;
            }
            Shape::Map(_) => children(&at, values) > 0,
            Shape::List(_) => values.contains_key(&at) || children(&at, values) > 0,
            _ => values.contains_key(&at),
        };
        filled.places += 1;
        if given {
            filled.given += 1;
        } else {
            filled.missing.push(called);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::document::{new_document, parse_document, proposed, shape_at};
    use engine::quantity::UnitSystem;

    /// What is not given of the layout of such an engine.
    fn layout_of(arrangement: &str) -> Vec<String> {
        let text = format!(
            "crosshatch = 2\n[engine]\nname = \"X\"\n[layout]\narrangement = \"{arrangement}\"\ncylinders = 4\n"
        );
        let document = parse_document(&text, "test").document.expect("a document");
        let (layout, _) = shape_at(["layout"]).expect("layout");
        filled("layout", layout, &document_values(&document), &BTreeSet::new()).missing
    }

    #[test]
    fn what_is_given_is_counted_and_what_is_not_is_named() {
        let text = "crosshatch = 2\n[crank]\nmaterial = \"steel\"\nmain_journal = { nominal = \"60 mm\" }\n\
                    [instruments.M1]\nresolution = \"0.001 mm\"\n";
        let document = parse_document(text, "test").document.expect("a document");
        let values = document_values(&document);
        let (crank, _) = shape_at(["crank"]).expect("crank");
        let crank = filled("crank", crank, &values, &BTreeSet::new());
        assert_eq!(crank.given, 2);
        assert_eq!(crank.places, crank.given + crank.missing.len());
        let missing = crank.missing_words();
        assert!(
            missing.starts_with("crank pin diameter, ground mains, ground pins, web thickness and "),
            "{missing}"
        );
        assert!(!layout_of("inline").contains(&"bank angle".to_owned()));
        assert!(layout_of("vee").contains(&"bank angle".to_owned()));
        let (gauges, _) = shape_at(["instruments"]).expect("instruments");
        let starter = new_document("F4".parse().expect("a layout"), "Four", UnitSystem::Metric);
        let document = parse_document(&starter, "test").document.expect("a document");
        let (layout, _) = shape_at(["layout"]).expect("layout");
        let proposed = proposed(&starter);
        assert!(
            proposed.contains("layout.firing_order") && proposed.contains("layout.banks"),
            "{proposed:?}"
        );
        let layout = filled("layout", layout, &document_values(&document), &proposed);
        assert_eq!((layout.given, layout.proposed), (2, 2), "arrangement and cylinders are given");
        assert_eq!(filled("instruments", gauges, &values, &BTreeSet::new()).words(), "1 entry");
    }
}
