//! Operations: recorded, and taken back when they were not done after all.

use super::clock::now;
use super::entries;
use super::error::{Error, Result};
use super::{Assessed, Workbench, questions};
use engine::document::{EditError, EditValue, OperationKind, append};
use engine::features::{Sheet, work_places};
use engine::quantity::{Dimension, format_value, parse_quantity};
use engine::readings::{Operation, replaced_part, usual_most};
use std::collections::BTreeMap;
use std::sync::Arc;
use store::Draft;

/// An operation as a form hands it in.
#[derive(Clone, Debug, Default)]
pub struct OperationInput {
    /// Word of the operation, `hone`.
    pub kind: String,
    /// Which ones, separated by commas; empty: all.
    pub only: String,
    /// Unique short name; one is made when it is empty.
    pub name: String,
    /// In words.
    pub note: String,
    /// Material taken off with its unit; a bare number takes the engine's unit; may be empty.
    pub amount: String,
    /// The amount as it was typed when it was last asked about; the same once more is meant.
    pub asked: String,
    /// Sheet on whose form it was typed: a bare number means its rows.
    pub sheet: Option<Sheet>,
}

impl Workbench {
    /// Records an operation: what was read before it, and is moved by it, becomes stale.
    ///
    /// # Errors
    /// By field, what is wrong with the input; nothing is recorded then.
    pub fn record_operation(&self, id: &str, input: &OperationInput) -> Result<Arc<Assessed>> {
        self.log_one(id, |engine| {
            let operation = operation(engine, input, &self.who).map_err(Error::Fields)?;
            Ok(Draft {
                kind: entries::OPERATION.to_owned(),
                body: entries::operation_body(&operation, input.amount.trim()),
                who: operation.who,
                when: operation.when,
                delivery_key: None,
            })
        })
    }

    /// Takes an operation back that was not done: it moves nothing from now on, and stays in the record.
    ///
    /// # Errors
    /// When the log has no such operation, or it is taken back already.
    pub fn take_back_operation(&self, id: &str, name: &str) -> Result<Arc<Assessed>> {
        self.log_one(id, |engine| {
            let problem = match engine.recorded_operations().iter().find(|o| o.name == name) {
                Some(operation) if operation.withdrawn => "it is taken back already",
                Some(_) => {
                    return Ok(Draft {
                        kind: entries::OPERATION_BACK.to_owned(),
                        body: entries::operation_back_body(name),
                        who: self.who.clone(),
                        when: now(),
                        delivery_key: None,
                    });
                }
                None if engine.operations.iter().any(|o| o.name == name) => {
                    "it stands in the document: take it out there"
                }
                None => "there is no such operation",
            };
            let field = format!("\"{name}\" is not taken back");
            Err(Error::Fields(BTreeMap::from([(field, problem.to_owned())])))
        })
    }

    /// Logs what `draft` makes of the engine as it stands, and gives the engine as it stands then.
    fn log_one(
        &self,
        id: &str,
        draft: impl FnOnce(&engine::Engine) -> Result<Draft>,
    ) -> Result<Arc<Assessed>> {
        let slot = self.slot(id)?;
        let mut bench = slot.bench();
        let before = Arc::clone(&slot.loaded(&mut bench, &self.store, id)?.assessed);
        self.store.append(id, draft(&before.engine)?)?;
        *bench = None;
        let loaded = slot.loaded(&mut bench, &self.store, id)?;
        let (asked, now) = (before.assessment.slips.iter().cloned(), &loaded.assessed);
        let open = questions::left_open(asked, &now.assessment.slips, &now.engine);
        let written = loaded.written();
        self.keep_open(id, &mut bench, &open, written)?;
        Ok(Arc::clone(&slot.loaded(&mut bench, &self.store, id)?.assessed))
    }
}

impl Assessed {
    /// The document with the operations that were recorded on the pages, so that the readings after them find their state.
    ///
    /// # Errors
    /// When the text cannot be added to.
    pub fn whole_text(&self) -> std::result::Result<String, EditError> {
        let recorded = self.engine.recorded_operations().iter();
        recorded
            .filter(|operation| !operation.withdrawn)
            .try_fold(self.text.clone(), |text, operation| append(&text, "operations", &fields(operation)))
    }
}

/// An operation as a document writes it.
fn fields(operation: &Operation) -> Vec<(&'static str, EditValue)> {
    let kind = serde_json::to_value(operation.kind).ok();
    let kind = kind.as_ref().and_then(serde_json::Value::as_str).unwrap_or_default();
    let only = operation.only.iter().map(|o| EditValue::from(o.as_str())).collect();
    // To a hundredth of a nanometre: what was typed comes back, without the last bits of the conversion.
    let millimetres = |metres: f64| format!("{} mm", (metres * 1e11).round() / 1e8);
    let texts = [("note", &operation.note), ("when", &operation.when), ("who", &operation.who)];
    let mut all = vec![("name", EditValue::from(operation.name.as_str())), ("kind", EditValue::from(kind))];
    all.extend((!operation.only.is_empty()).then_some(("only", EditValue::List(only))));
    all.extend(operation.amount.map(|amount| ("amount", EditValue::Text(millimetres(amount)))));
    all.extend(
        texts
            .into_iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(key, text)| (key, EditValue::from(text.as_str()))),
    );
    all
}

/// What a form says of an operation, or what is wrong with each field.
fn operation(
    engine: &engine::Engine,
    input: &OperationInput,
    who: &str,
) -> std::result::Result<Operation, BTreeMap<String, String>> {
    let mut wrong = BTreeMap::new();
    let kind: Option<OperationKind> =
        serde_json::from_value(serde_json::Value::String(input.kind.trim().to_owned())).ok();
    if kind.is_none() {
        wrong.insert("kind".to_owned(), format!("\"{}\" is no operation that is known here", input.kind));
    }
    let mut only: Vec<String> = input
        .only
        .split([',', ';'])
        .map(str::trim)
        .filter(|o| !o.is_empty())
        .map(|name| as_on_sheets(engine, name))
        .collect();
    let has_no_place = |kind: OperationKind, name: &str| {
        work_places(kind, name, &engine.document, &engine.catalogue).is_none()
    };
    for name in &only {
        let problem = match (engine.catalogue.is_read(name), kind) {
            (true, Some(kind)) if has_no_place(kind, name) => {
                format!("{} is done at no place \"{name}\"", kind.word().replace('_', " "))
            }
            (false, kind) if kind.is_none_or(|kind| has_no_place(kind, name)) => format!(
                "\"{name}\" is no cylinder, journal, valve or part of this engine: write for instance 2, 3 or rod.2"
            ),
            _ => continue,
        };
        wrong.insert("only".to_owned(), problem);
    }
    // Mains and crank pins carry the same numbers.
    let of_journal = matches!(kind, Some(OperationKind::Regrind | OperationKind::Polish));
    if let Some(number) = only.iter().find(|o| of_journal && o.bytes().all(|b| b.is_ascii_digit())) {
        let problem =
            format!("{number} alone may be a main or a crank pin: write main.{number} or pin.{number}");
        wrong.insert("only".to_owned(), problem);
    }
    if kind == Some(OperationKind::NewPart) && !wrong.contains_key("only") {
        match new_parts(engine, &only, input.sheet) {
            Ok(parts) => only = parts,
            Err(problem) => {
                wrong.insert("only".to_owned(), problem);
            }
        }
    }
    let amount = match input.amount.trim() {
        "" => None,
        text => match length(text, engine.units()) {
            Ok(amount) => {
                let most = kind.and_then(usual_most).filter(|most| amount > *most);
                if let (Some(most), true) = (most, input.asked.trim() != text) {
                    let shown = |m| format_value(m, Dimension::Length, engine.units(), 3);
                    let question = format!(
                        "{} is much: this usually takes off {} at the most (common practice). Is number and unit right? Record it again to keep it as it stands",
                        shown(amount),
                        shown(most)
                    );
                    wrong.insert("amount".to_owned(), question);
                }
                Some(amount)
            }
            Err(problem) => {
                wrong.insert("amount".to_owned(), problem);
                None
            }
        },
    };
    if input.note.len() > 2000 || input.note.chars().any(|c| c.is_control() && c != '\n' && c != '\r') {
        wrong.insert(
            "note".to_owned(),
            "a note has at most 2000 characters and no control characters".to_owned(),
        );
    }
    let name = input.name.trim();
    if engine.operations.iter().any(|o| o.name == name) {
        wrong.insert(
            "name".to_owned(),
            format!("an operation called \"{name}\" stands already: give another name"),
        );
    }
    let (Some(kind), true) = (kind, wrong.is_empty()) else { return Err(wrong) };
    Ok(Operation {
        name: if name.is_empty() { free_name(engine, input.kind.trim()) } else { name.to_owned() },
        kind,
        only,
        note: input.note.trim().to_owned(),
        amount,
        withdrawn: false,
        who: who.to_owned(),
        when: now(),
    })
}

/// A name as the sheets show it, "6 intake" or "main.4", as the places have it.
fn as_on_sheets(engine: &engine::Engine, name: &str) -> String {
    let catalogue = &engine.catalogue;
    if catalogue.is_read(name) {
        return name.to_owned();
    }
    let of_crank = format!("crank.{}", name.trim_start_matches("crank ").replace(' ', "."));
    if catalogue.is_read(&of_crank) {
        return of_crank;
    }
    // A row of a sheet, where all that is read in it is of one place.
    let rows = catalogue.tables.iter().flat_map(|t| t.rows.iter().zip(&t.cells));
    let instances: std::collections::BTreeSet<&str> = rows
        .filter(|(row, _)| row.as_str() == name)
        .flat_map(|(_, cells)| cells.iter().flatten())
        .map(|place| catalogue.features[*place].instance.as_str())
        .collect();
    match instances.iter().collect::<Vec<_>>().as_slice() {
        [one] => (**one).to_owned(),
        _ => name.to_owned(),
    }
}

/// The parts that are new, each by its name.
fn new_parts(
    engine: &engine::Engine,
    only: &[String],
    sheet: Option<Sheet>,
) -> std::result::Result<Vec<String>, String> {
    if only.is_empty() {
        return Err("write which part is new, for instance rod.2 or piston.2: only what was read with it is read again".to_owned());
    }
    let part = |name: &String| {
        replaced_part(name, sheet, &engine.catalogue).map_err(|parts| match parts.as_slice() {
            [] => format!("no part has the number {name}: write which part is new, for instance rod.2, piston.2 or crank"),
            parts => format!(
                "\"{name}\" alone does not say which part is new: write for instance {}",
                or_list(parts)
            ),
        })
    };
    only.iter().map(part).collect()
}

/// "rod.2, piston.2 or pin.2".
fn or_list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

fn length(text: &str, units: engine::quantity::UnitSystem) -> std::result::Result<f64, String> {
    let unit = engine::quantity::display_unit(Dimension::Length, units).symbol;
    let written =
        if text.ends_with(|c: char| c.is_ascii_digit()) { format!("{text} {unit}") } else { text.to_owned() };
    match parse_quantity(&written, Dimension::Length) {
        Ok((value, _)) if value < 0.0 => Err(format!("\"{text}\" is negative: write how much was taken off")),
        Ok((value, _)) => Ok(value),
        Err(problem) => Err(problem.to_string()),
    }
}

/// "hone", "hone 2", … : the first that is free.
fn free_name(engine: &engine::Engine, kind: &str) -> String {
    let kind = kind.replace('_', " ");
    let taken = |name: &str| engine.operations.iter().any(|o| o.name == name);
    let numbered = (2..).map(|n| format!("{kind} {n}"));
    std::iter::once(kind.clone()).chain(numbered).find(|name| !taken(name)).unwrap_or(kind)
}
