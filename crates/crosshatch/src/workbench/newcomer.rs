//! An engine that is started: from a layout, or as a copy of one that is there.

use super::Workbench;
use super::clock::now;
use super::error::{Error, NewcomerFault, Result};
use engine::document::{
    self, Arrangement, EditError, EditValue, LayoutKind, new_document, parse_document, typed_value,
};
use engine::quantity::UnitSystem;
use std::collections::BTreeMap;
use store::DocumentDraft;

/// What a person says of a new engine, as typed.
#[derive(Clone, Debug, Default)]
pub struct Newcomer {
    /// What the shop calls it.
    pub name: String,
    /// `inline`, `vee`, `flat` or `copy`.
    pub arrangement: String,
    /// Number of cylinders.
    pub cylinders: String,
    /// Angle between the banks of a vee; may be empty.
    pub bank_angle: String,
    /// `metric` or `inch`.
    pub units: String,
    /// May be empty.
    pub bore: String,
    /// May be empty.
    pub stroke: String,
    /// May be empty.
    pub main_bearings: String,
    /// Intake valves of a cylinder; may be empty.
    pub intake_valves: String,
    /// Exhaust valves of a cylinder; may be empty.
    pub exhaust_valves: String,
    /// Engine to copy.
    pub copy_of: String,
}

impl Newcomer {
    /// The layout that is asked for.
    fn kind(&self) -> Result<LayoutKind, (&'static str, String)> {
        let arrangement = match self.arrangement.trim() {
            "" | "inline" => Arrangement::Inline,
            "vee" => Arrangement::Vee,
            "flat" => Arrangement::Flat,
            other => {
                return Err((
                    "arrangement",
                    format!("\"{other}\" is no arrangement: choose inline, vee or flat"),
                ));
            }
        };
        let typed = self.cylinders.trim();
        let cylinders: u32 = typed.parse().map_err(|_| {
            ("cylinders", format!("\"{typed}\" is no number of cylinders: write a whole number such as 4"))
        })?;
        let wanted = LayoutKind { arrangement, cylinders };
        if LayoutKind::all().contains(&wanted) {
            Ok(wanted)
        } else {
            let expected = match arrangement {
                Arrangement::Inline => "1 to 6 in one row",
                Arrangement::Vee => "2, 4, 6, 8, 10 or 12 in a vee",
                Arrangement::Flat => "2, 4, 6, 8, 10 or 12 lying opposite",
            };
            Err((
                "cylinders",
                format!(
                    "{cylinders} do not go: expected {expected}; other layouts can be written in the document by hand"
                ),
            ))
        }
    }

    /// Units in which sizes are shown.
    pub fn unit_system(&self) -> UnitSystem {
        if self.units.trim() == "inch" { UnitSystem::Inch } else { UnitSystem::Metric }
    }

    /// The text of the new document.
    ///
    /// # Errors
    /// By field, what is wrong.
    pub fn document(&self) -> Result<String, NewcomerFault> {
        let mut wrong = BTreeMap::new();
        if let Some(problem) = self.name_problem() {
            wrong.insert("name".to_owned(), problem);
        }
        let kind = self.kind().map_err(|(field, problem)| {
            wrong.insert(field.to_owned(), problem);
        });
        let Ok(kind) = kind else { return Err(NewcomerFault(wrong)) };
        let units = self.unit_system();
        let mut text = new_document(kind, self.name.trim(), units);
        let typed = [
            ("bank_angle", &self.bank_angle),
            ("bore", &self.bore),
            ("stroke", &self.stroke),
            ("main_bearings", &self.main_bearings),
            ("intake_valves", &self.intake_valves),
            ("exhaust_valves", &self.exhaust_valves),
        ];
        for (field, typed) in typed {
            if typed.trim().is_empty() || (field == "bank_angle" && kind.arrangement != Arrangement::Vee) {
                continue;
            }
            let path = format!("layout.{field}");
            match document::set(&text, &path, &typed_value(&path, typed, units)) {
                Ok(changed) => text = changed,
                Err(error) => {
                    wrong.insert(field.to_owned(), edit_words(&error));
                }
            }
        }
        if wrong.is_empty() { Ok(text) } else { Err(NewcomerFault(wrong)) }
    }

    fn name_problem(&self) -> Option<String> {
        let name = self.name.trim();
        let long = name.len() > store::limits::SHORT || name.chars().any(char::is_control);
        if name.is_empty() {
            Some("give it a name, any that the shop will know it by".to_owned())
        } else if long {
            Some(format!("expected one line of at most {} characters", store::limits::SHORT))
        } else {
            None
        }
    }
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
    pub fn start(&self, newcomer: &Newcomer) -> Result<String> {
        let text = if newcomer.arrangement.trim() == "copy" {
            self.copy_text(newcomer)?
        } else {
            newcomer.document()?
        };
        self.add(newcomer.name.trim(), &text, "started")
    }

    fn copy_text(&self, newcomer: &Newcomer) -> Result<String> {
        let field = |field: &str, problem: String| {
            Error::Newcomer(NewcomerFault(BTreeMap::from([(field.to_owned(), problem)])))
        };
        if let Some(problem) = newcomer.name_problem() {
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
        let newcomer = Newcomer { cylinders: "seven".into(), ..Newcomer::default() };
        let wrong = newcomer.document().expect_err("wrong").0;
        assert!(wrong.contains_key("name") && wrong.contains_key("cylinders"), "{wrong:?}");
    }

    #[test]
    fn a_bare_number_takes_the_chosen_unit() {
        let newcomer = Newcomer {
            name: "Single".into(),
            arrangement: "inline".into(),
            cylinders: "1".into(),
            units: "inch".into(),
            bore: "3.5".into(),
            stroke: "80 mm".into(),
            ..Newcomer::default()
        };
        let text = newcomer.document().expect("a document");
        assert_eq!(document::get(&text, "layout.bore").as_deref(), Some("3.5 in"));
        assert_eq!(document::get(&text, "layout.stroke").as_deref(), Some("80 mm"));
    }
}
