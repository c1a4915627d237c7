//! An engine that is started: from a layout, or as a copy of one that is there.

use super::Workbench;
use super::clock::now;
use super::error::{Error, NewcomerFault, Result};
use engine::document::{
    self, Arrangement, EditError, EditValue, LayoutKind, NewEngine, new_document, parse_document, typed_value,
};
use engine::quantity::UnitSystem;
use std::collections::BTreeMap;
use store::DocumentDraft;

/// The layout that is asked for, or what is wrong with it, by field.
fn layout_kind(newcomer: &NewEngine) -> Result<LayoutKind, BTreeMap<String, String>> {
    let mut wrong = BTreeMap::new();
    let arrangement = match newcomer.arrangement.trim() {
        "" | "inline" => Some(Arrangement::Inline),
        "vee" => Some(Arrangement::Vee),
        "flat" => Some(Arrangement::Flat),
        other => {
            let problem = format!("\"{other}\" is no arrangement: choose inline, vee or flat");
            wrong.insert("arrangement".to_owned(), problem);
            None
        }
    };
    let typed = newcomer.cylinders.trim();
    let cylinders = typed.parse().ok();
    if cylinders.is_none() {
        let problem = format!("\"{typed}\" is no number of cylinders: write a whole number such as 4");
        wrong.insert("cylinders".to_owned(), problem);
    }
    let (Some(arrangement), Some(cylinders)) = (arrangement, cylinders) else { return Err(wrong) };
    let wanted = LayoutKind { arrangement, cylinders };
    if LayoutKind::all().contains(&wanted) {
        return Ok(wanted);
    }
    let expected = match arrangement {
        Arrangement::Inline => "1 to 6 in one row",
        Arrangement::Vee => "2, 4, 6, 8, 10 or 12 in a vee",
        Arrangement::Flat => "2, 4, 6, 8, 10 or 12 lying opposite",
    };
    let problem = format!(
        "{cylinders} do not go: expected {expected}; other layouts can be written in the document by hand"
    );
    Err(BTreeMap::from([("cylinders".to_owned(), problem)]))
}

/// Looks at the other fields while the layout itself is wrong; a document cannot be made of it.
const STAND_IN: LayoutKind = LayoutKind { arrangement: Arrangement::Inline, cylinders: 4 };

/// Units in which sizes are shown.
fn unit_system(newcomer: &NewEngine) -> UnitSystem {
    if newcomer.units.trim() == "inch" { UnitSystem::Inch } else { UnitSystem::Metric }
}

/// The text of the new document.
///
/// # Errors
/// By field, what is wrong.
fn started(newcomer: &NewEngine) -> Result<String, NewcomerFault> {
    let mut wrong = BTreeMap::new();
    if let Some(problem) = name_problem(newcomer) {
        wrong.insert("name".to_owned(), problem);
    }
    let kind = layout_kind(newcomer);
    let units = unit_system(newcomer);
    let mut text = new_document(*kind.as_ref().unwrap_or(&STAND_IN), newcomer.name.trim(), units);
    let in_vee = newcomer.arrangement.trim() == "vee";
    let typed = [
        ("bank_angle", newcomer.bank_angle.as_str(), in_vee),
        ("bore", &newcomer.bore, true),
        ("stroke", &newcomer.stroke, true),
        ("main_bearings", &newcomer.main_bearings, true),
        ("intake_valves", &newcomer.intake_valves, true),
        ("exhaust_valves", &newcomer.exhaust_valves, true),
    ];
    // Each by itself, so that a wrong one hides nothing that is wrong with another.
    for (field, typed, _) in typed.into_iter().filter(|(_, typed, asked)| *asked && !typed.trim().is_empty())
    {
        let path = format!("layout.{field}");
        match document::set(&text, &path, &typed_value(&path, typed, units)) {
            Ok(changed) => text = without_remark(changed, field),
            // With another layout than the one that was meant, only what is no such size at all is sure to be wrong.
            Err(error) if kind.is_ok() || is_unreadable(&error) => {
                wrong.insert(field.to_owned(), edit_words(&error));
            }
            Err(_) => {}
        }
    }
    wrong.extend(kind.err().into_iter().flatten());
    if wrong.is_empty() { Ok(text) } else { Err(NewcomerFault(wrong)) }
}

/// Is the value itself no such size, whatever else the document says?
fn is_unreadable(error: &EditError) -> bool {
    use document::Code as C;
    let of_value = |d: &document::Diagnostic| {
        matches!(
            d.code,
            C::WrongType
                | C::BareNumber
                | C::WrongUnit
                | C::UnknownUnit
                | C::NotANumber
                | C::NotFinite
                | C::Negative
                | C::OutOfRange
        )
    };
    matches!(error, EditError::Refused(diagnostics) if diagnostics.iter().any(of_value))
}

fn name_problem(newcomer: &NewEngine) -> Option<String> {
    let name = newcomer.name.trim();
    let long = name.len() > store::limits::SHORT || name.chars().any(char::is_control);
    if name.is_empty() {
        Some("give it a name, any that the shop will know it by".to_owned())
    } else if long {
        Some(format!("expected one line of at most {} characters", store::limits::SHORT))
    } else {
        None
    }
}

/// What a person has said is no common practice: the remark behind the starter's own value goes.
fn without_remark(text: String, field: &str) -> String {
    let Ok(mut tree) = text.parse::<toml_edit::DocumentMut>() else { return text };
    let value = tree.get_mut("layout").and_then(|layout| layout.get_mut(field)?.as_value_mut());
    let Some(value) = value else { return text };
    value.decor_mut().set_suffix("");
    tree.to_string()
}

/// A refused change in one sentence.
pub(super) fn edit_words(error: &EditError) -> String {
    match error {
        EditError::Refused(diagnostics) | EditError::Unreadable(diagnostics) => {
            let one = |d: &engine::document::Diagnostic| match &d.expected {
                Some(expected) => format!("{}; expected {expected}", d.message),
                None => d.message.clone(),
            };
            diagnostics.first().map_or_else(|| error.to_string(), one)
        }
        other => other.to_string(),
    }
}

/// The text of a copy: another name, without what was done to and read from the first.
fn copy(text: &str, name: &str) -> Result<String, EditError> {
    let mut copied = document::set(text, "engine.name", &EditValue::from(name))?;
    if let Ok(mut tree) = copied.parse::<toml_edit::DocumentMut>() {
        // Readings and operations belong to the engine that they were made on.
        tree.remove("readings");
        tree.remove("operations");
        copied = tree.to_string();
    }
    Ok(copied)
}

impl Workbench {
    /// Starts an engine and gives its id.
    ///
    /// # Errors
    /// [`Error::Newcomer`] by field; nothing is kept then.
    pub fn start(&self, newcomer: &NewEngine) -> Result<String> {
        let text = if newcomer.arrangement.trim() == "copy" {
            self.copy_text(newcomer)?
        } else {
            let text = started(newcomer)?;
            let place = |path: &str| path.strip_prefix("layout.").map(str::to_owned);
            super::questions::ask(None, &text, place, &newcomer.asked)?;
            text
        };
        self.add(newcomer.name.trim(), &text, "started")
    }

    fn copy_text(&self, newcomer: &NewEngine) -> Result<String> {
        let field = |field: &str, problem: String| {
            Error::Newcomer(NewcomerFault(BTreeMap::from([(field.to_owned(), problem)])))
        };
        if let Some(problem) = name_problem(newcomer) {
            return Err(field("name", problem));
        }
        let source = newcomer.copy_of.trim();
        if source.is_empty() {
            return Err(field("copy_of", "choose the engine to copy".to_owned()));
        }
        let assessed = match self.engine(source) {
            Err(Error::Store(store::Error::UnknownEngine { .. })) => {
                return Err(field("copy_of", format!("there is no engine \"{source}\" on this machine")));
            }
            found => found?,
        };
        copy(&assessed.text, newcomer.name.trim()).map_err(|e| field("copy_of", edit_words(&e)))
    }

    /// Puts an engine with this document on the shelf and gives its id.
    ///
    /// # Errors
    /// [`Error::Document`] when the text has mistakes.
    pub fn add(&self, name: &str, text: &str, note: &str) -> Result<String> {
        let parsed = parse_document(text, super::DOCUMENT);
        if parsed.document.is_none() {
            return Err(Error::Document(parsed.diagnostics));
        }
        let when = now();
        let slug = slug(name);
        let numbered = (2..).map(|n| format!("{slug}-{n}"));
        for id in std::iter::once(slug.clone()).chain(numbered) {
            match self.store().create_engine(&id, name, &when) {
                Err(store::Error::EngineExists { .. }) => {}
                created => {
                    created?;
                    let draft = DocumentDraft {
                        text: text.to_owned(),
                        who: self.who().to_owned(),
                        when,
                        note: note.to_owned(),
                    };
                    self.store().save_document(&id, None, draft)?;
                    return Ok(id);
                }
            }
        }
        Err(Error::BrokenOff)
    }
}

/// A name as part of an address.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        match c {
            'a'..='z' | '0'..='9' => slug.push(c),
            _ if !slug.is_empty() && !slug.ends_with('-') => slug.push('-'),
            _ => {}
        }
        if slug.len() >= 48 {
            break;
        }
    }
    let slug = slug.trim_matches('-');
    if slug.is_empty() { "engine".to_owned() } else { slug.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_addresses() {
        assert_eq!(slug("Hill-climb 2.1"), "hill-climb-2-1");
        assert_eq!(slug("  Ångström!  "), "ngstr-m");
        assert_eq!(slug("✂"), "engine");
    }

    #[test]
    fn wrong_fields_are_named_together() {
        let newcomer = NewEngine { cylinders: "seven".into(), ..NewEngine::default() };
        let wrong = started(&newcomer).expect_err("wrong").0;
        assert!(wrong.contains_key("name") && wrong.contains_key("cylinders"), "{wrong:?}");
        let newcomer = NewEngine {
            name: "Six".into(),
            cylinders: "seven".into(),
            bore: "wide".into(),
            stroke: "80 bar".into(),
            // More than the layout that stands in would take, and right for the one that was meant.
            main_bearings: "7".into(),
            ..NewEngine::default()
        };
        let wrong = started(&newcomer).expect_err("wrong").0;
        assert_eq!(wrong.keys().collect::<Vec<_>>(), ["bore", "cylinders", "stroke"], "{wrong:?}");
    }

    #[test]
    fn an_angle_that_was_said_is_not_called_common_practice() {
        let vee = |bank_angle: &str| {
            let newcomer = NewEngine {
                name: "Eight".into(),
                arrangement: "vee".into(),
                cylinders: "8".into(),
                bank_angle: bank_angle.into(),
                ..NewEngine::default()
            };
            let text = started(&newcomer).expect("a document");
            text.lines().find(|line| line.starts_with("bank_angle")).expect("the angle").to_owned()
        };
        assert_eq!(vee("75 deg"), "bank_angle = \"75 deg\"");
        assert!(vee("").contains("common practice"));
    }

    #[test]
    fn a_bare_number_takes_the_chosen_unit() {
        let newcomer = NewEngine {
            name: "Single".into(),
            arrangement: "inline".into(),
            cylinders: "1".into(),
            units: "inch".into(),
            bore: "3.5".into(),
            stroke: "80 mm".into(),
            ..NewEngine::default()
        };
        let text = started(&newcomer).expect("a document");
        assert_eq!(document::get(&text, "layout.bore").as_deref(), Some("3.5 in"));
        assert_eq!(document::get(&text, "layout.stroke").as_deref(), Some("80 mm"));
    }
}
