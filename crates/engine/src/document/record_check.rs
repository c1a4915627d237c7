//! Operations and readings: names, gauges, corrections, dates; a reading against the place where it was taken.

use super::diagnostic::{Code, Draft};
use super::figure::{self, parse_any_quantity};
use super::issue::Issue;
use super::model::Document;
use super::path::Segment::{Entry, Key};
use super::shape::{QuantityShape, Sign};
use super::suggest::nearest;
use super::workshop::{OperationKind, ReadingEntry, currency_code, is_part_temperature};
use crate::features::{Catalogue, Feature, plain_name, work_places};
use crate::quantity::{Dimension, Quantity as _, units_of};
use std::collections::HashMap;
use toml_edit::Datetime;

/// Checks of gauges, operations, readings and prices.
pub(super) fn check(document: &Document) -> Vec<Issue<'_>> {
    let mut issues = Vec::new();
    instruments(document, &mut issues);
    operations(document, &mut issues);
    let names_places = document.operations.iter().any(|operation| !operation.only.is_empty());
    let records = (names_places || !document.readings.is_empty()).then(|| Records::new(document));
    if let Some(records) = &records {
        places_of_work(document, &records.catalogue, &mut issues);
    }
    currency(document, &mut issues);
    jobs(document, &mut issues);
    if let Some(records) = records {
        for (i, entry) in document.readings.iter().enumerate() {
            for (key, draft) in records.reading(entry, &document.readings[..i]) {
                let path = [Key("readings"), Entry(i + 1), Key(key)];
                issues.push(Issue::new(path, draft).needs(needs_of(key)));
            }
        }
    }
    issues
}

fn needs_of(key: &str) -> &'static [&'static str] {
    match key {
        "instrument" => &["instruments"],
        "after" => &["operations"],
        "feature" | "value" => &["layout", "crosshatch"],
        _ => &[],
    }
}

/// All figures of a gauge measure the same; `unit` is one that exists.
fn instruments<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    for (name, gauge) in &document.instruments {
        let figures = [
            ("smallest", &gauge.smallest),
            ("largest", &gauge.largest),
            ("resolution", &gauge.resolution),
            ("max_error", &gauge.max_error),
            ("setting", &gauge.setting),
            ("repeatability", &gauge.repeatability),
            ("zero_before", &gauge.zero_before),
            ("zero_after", &gauge.zero_after),
        ];
        let mut first = None;
        for (key, figure) in figures {
            let Some(Ok((_, unit))) = figure.as_deref().map(parse_any_quantity) else { continue };
            let (first_key, dimension) = *first.get_or_insert((key, unit.dimension));
            if unit.dimension != dimension {
                let message = format!(
                    "this is a {}, but `{first_key}` of the same gauge is a {}",
                    unit.dimension.word(),
                    dimension.word()
                );
                let draft =
                    Draft::error(Code::WrongUnit, message).expected(figure::expected(Some(dimension)));
                issues.push(Issue::new([Key("instruments"), Key(name), Key(key)], draft));
            }
        }
        let size = |text: &Option<String>| text.as_deref().and_then(|t| parse_any_quantity(t).ok());
        if let (Some((smallest, one)), Some((largest, other))) = (size(&gauge.smallest), size(&gauge.largest))
            && one.dimension == other.dimension
            && smallest >= largest
        {
            let [smallest, largest] =
                [&gauge.smallest, &gauge.largest].map(|text| text.as_deref().unwrap_or_default());
            let message = format!(
                "the largest size that the gauge reads, \"{largest}\", is not above its smallest, \"{smallest}\""
            );
            let draft = Draft::error(Code::MinAboveMax, message).expected("a size above `smallest`");
            issues.push(Issue::new([Key("instruments"), Key(name), Key("largest")], draft));
        }
        if let Some(unit) = &gauge.unit
            && let Err(error) = parse_any_quantity(&format!("1 {unit}"))
        {
            let draft = Draft::error(Code::UnknownUnit, format!("the unit {unit} is not known"))
                .expected("a unit such as \"mm\", \"in\", \"g\", \"cm3\"")
                .hint_if(
                    matches!(error, crate::quantity::QuantityError::BareNumber { .. })
                        .then(|| "leave the key out".into()),
                );
            issues.push(Issue::new([Key("instruments"), Key(name), Key("unit")], draft));
        }
    }
}

fn operations<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    let mut seen: HashMap<&str, usize> = HashMap::new();
    for (i, operation) in document.operations.iter().enumerate() {
        let at = |key| [Key("operations"), Entry(i + 1), Key(key)];
        if operation.name.trim().is_empty() {
            let draft = Draft::error(Code::Incomplete, "this operation has no name")
                .hint("give it a short name, so that readings can say `after` it");
            issues.push(Issue::new(at("name"), draft));
        } else if let Some(first) = seen.insert(&operation.name, i) {
            let message = format!("\"{}\" is the name of operation {} as well", operation.name, first + 1);
            let draft =
                Draft::error(Code::DuplicateName, message).expected("a name of its own for each operation");
            issues.push(Issue::new(at("name"), draft));
        }
        if operation.kind.is_none() {
            let draft = Draft::error(Code::Incomplete, "this operation does not say what was done")
                .expected("kind = \"hone\" or another kind of operation");
            issues.push(Issue::new(at("kind"), draft));
        }
        issues.extend(date(&operation.when).map(|draft| Issue::new(at("when"), draft)));
        if operation.kind == Some(OperationKind::NewPart) {
            let bare = |only: &&String| !only.is_empty() && only.bytes().all(|b| b.is_ascii_digit());
            let draft = |only: &String| {
                Draft::warning(Code::UnknownWord, format!("\"{only}\" alone does not say which part is new: what is read at every place of that number is taken as moved"))
                    .expected(format!("the name of the part, \"rod.{only}\" or \"piston.{only}\""))
            };
            issues.extend(operation.only.iter().find(bare).map(|only| Issue::new(at("only"), draft(only))));
        }
    }
}

/// Each place that an operation names is one of this engine: a hone of no bore would leave the old readings standing.
fn places_of_work<'a>(document: &'a Document, catalogue: &Catalogue, issues: &mut Vec<Issue<'a>>) {
    if catalogue.features.is_empty() {
        return;
    }
    for (i, operation) in document.operations.iter().enumerate() {
        let Some(kind) = operation.kind else { continue };
        let problem = |only: &String| match kind {
            OperationKind::NewPart => new_part(only, catalogue),
            _ => place_of_work(kind, only, document, catalogue),
        };
        for draft in operation.only.iter().filter_map(problem) {
            let path = [Key("operations"), Entry(i + 1), Key("only")];
            issues.push(Issue::new(path, draft).needs(&["layout", "crosshatch"]));
        }
    }
}

fn place_of_work(
    kind: OperationKind,
    only: &str,
    document: &Document,
    catalogue: &Catalogue,
) -> Option<Draft> {
    if work_places(kind, only, document, catalogue).is_some() {
        return None;
    }
    let shown = super::diagnostic::quote(only);
    let message = format!("{} is done at no place \"{shown}\" of this engine", kind.word().replace('_', " "));
    Some(Draft::error(Code::UnknownFeature, message).expected(places_of(kind)))
}

/// A new part at which nothing is read: one of a known kind with a number that the engine does not have is a mistake.
fn new_part(only: &str, catalogue: &Catalogue) -> Option<Draft> {
    if catalogue.is_read(only) || catalogue.is_read(&plain_name(only)) {
        return None;
    }
    let shown = super::diagnostic::quote(only);
    let kind = only.split('.').next().unwrap_or_default();
    let known = catalogue.features.iter().any(|f| f.part.split('.').next() == Some(kind));
    let draft = if known && only.contains('.') {
        Draft::error(Code::UnknownFeature, format!("this engine has no part \"{shown}\""))
    } else {
        let message = format!("nothing is read at a part \"{shown}\", so a new one makes no reading stale");
        Draft::warning(Code::UnknownName, message)
    };
    let parts = catalogue.features.iter().map(|f| f.part.as_str());
    let draft = draft.nearest(nearest(only, parts));
    Some(draft.expected("the name of the part, \"rod.2\", \"piston.2\" or \"crank\""))
}

/// What an operation of this kind takes in its list.
const fn places_of(kind: OperationKind) -> &'static str {
    use OperationKind as K;
    match kind {
        K::DeckSkim => "the deck by its letter, \"a\", or a cylinder that ends in it, \"3\"",
        K::HeadSkim => "the head by its letter, \"a\", or a cylinder under it, \"3\"",
        K::Regrind | K::Polish => "the journal, \"crank.main.2\" or \"crank.pin.2\"",
        K::NewShells => "the bearing, \"main_shell.2\" or \"rod_shell.2\"",
        K::AlignHone | K::CapSeat => "the number of the main, \"2\"",
        K::BigEndHone => "the number of the rod, \"2\"",
        K::SeatCut | K::LashShim | K::SpringShim => "the valve, \"intake.2a\", or its cylinder, \"2\"",
        K::RingFile => "the ring, \"ring.2.top\", or its cylinder, \"2\"",
        _ => "the number of the cylinder, \"2\"",
    }
}

/// The currency of the workshop is one that is known.
fn currency<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    let stated = document.shop.currency.as_str();
    let known = || units_of(Dimension::Money).map(|unit| unit.symbol);
    if stated.is_empty() || currency_code(stated).is_some() {
        return;
    }
    let shown = super::diagnostic::quote(stated);
    let draft = Draft::error(Code::UnknownUnit, format!("the currency \"{shown}\" is not known"))
        .expected(format!("a code of ISO 4217, one of {}", known().collect::<Vec<_>>().join(", ")))
        .nearest(nearest(&stated.to_uppercase(), known()));
    issues.push(Issue::new([Key("shop"), Key("currency")], draft));
}

/// A price for a job that no operation has is never used.
fn jobs<'a>(document: &'a Document, issues: &mut Vec<Issue<'a>>) {
    for job in document.shop.jobs.keys() {
        if serde_json::from_value::<OperationKind>(serde_json::Value::String(job.clone())).is_err() {
            let draft = Draft::warning(
                Code::UnknownName,
                format!(
                    "no operation is called \"{}\", so this price is never used",
                    super::diagnostic::quote(job)
                ),
            )
            .nearest(nearest(job, operation_words()));
            issues.push(Issue::new([Key("shop"), Key("jobs"), Key(job)], draft));
        }
    }
}

fn operation_words() -> impl Iterator<Item = &'static str> {
    use super::shape::{Shape, shape_at};
    let words = match shape_at(["operations", "1", "kind"]) {
        Some((Shape::Words(words), _)) => &words[..],
        _ => &[],
    };
    words.iter().map(|(word, _)| word.as_str())
}

/// What readings are checked against.
pub(super) struct Records<'a> {
    document: &'a Document,
    catalogue: Catalogue,
    operations: Vec<&'a str>,
}

impl<'a> Records<'a> {
    pub fn new(document: &'a Document) -> Self {
        let operations = document.operations.iter().map(|o| o.name.as_str()).collect();
        Self { document, catalogue: Catalogue::of(document), operations }
    }

    /// What is wrong with one reading: the key and the message. `earlier` are the readings before it.
    pub fn reading(&self, entry: &ReadingEntry, earlier: &[ReadingEntry]) -> Vec<(&'static str, Draft)> {
        let feature = self.catalogue.feature(&entry.feature);
        let found = [
            ("feature", self.feature(entry, feature)),
            ("value", value(entry, feature)),
            ("temperature", temperature(&entry.temperature)),
            ("instrument", self.instrument(&entry.instrument)),
            ("after", self.after(&entry.after)),
            ("corrects", corrects(entry, earlier)),
            ("when", date(&entry.when)),
        ];
        found.into_iter().filter_map(|(key, draft)| Some((key, draft?))).collect()
    }

    fn feature(&self, entry: &ReadingEntry, feature: Option<&Feature>) -> Option<Draft> {
        if entry.feature.trim().is_empty() {
            let draft = Draft::error(Code::Incomplete, "this reading does not say where it was taken");
            return Some(draft.expected("a feature such as block.bore.3.mid.thrust"));
        }
        // Without a number of cylinders the engine has no places yet; the findings ask for it.
        if feature.is_some() || self.catalogue.features.is_empty() {
            return None;
        }
        let shown = super::diagnostic::quote(&entry.feature);
        let layout = &self.document.layout;
        let count = |count: Option<u32>| count.map_or("not given".to_owned(), |n| n.to_string());
        let draft = Draft::error(Code::UnknownFeature, format!("this engine has no place \"{shown}\""))
            .nearest(
                (entry.feature.len() < 200)
                    .then(|| self.catalogue.nearest(&entry.feature))
                    .flatten()
                    .map(str::to_owned),
            )
            .hint(format!(
                "places follow from [layout]: cylinders {}, intake_valves {}, exhaust_valves {}",
                count(layout.cylinders),
                count(layout.intake_valves),
                count(layout.exhaust_valves)
            ));
        Some(draft)
    }

    fn instrument(&self, name: &str) -> Option<Draft> {
        if name.is_empty() || self.document.instruments.contains_key(name) {
            return None;
        }
        let known: Vec<&str> = self.document.instruments.keys().map(String::as_str).collect();
        Some(unknown_name("gauge", name, &known, "describe it: [instruments.NAME] with kind and resolution"))
    }

    fn after(&self, name: &str) -> Option<Draft> {
        if name.is_empty() || self.operations.contains(&name) {
            return None;
        }
        Some(unknown_name(
            "operation",
            name,
            &self.operations,
            "record it first: [[operations]] with name and kind",
        ))
    }
}

fn unknown_name(what: &str, name: &str, known: &[&str], hint: &str) -> Draft {
    let shown = super::diagnostic::quote(name);
    let mut known: Vec<&str> = known.iter().copied().filter(|name| !name.is_empty()).collect();
    known.dedup();
    let draft = Draft::error(Code::UnknownName, format!("there is no {what} \"{shown}\""))
        .nearest(nearest(name, known.iter().copied()))
        .hint(hint);
    if known.is_empty() { draft } else { draft.expected(format!("one of {}", known.join(", "))) }
}

fn value(entry: &ReadingEntry, feature: Option<&Feature>) -> Option<Draft> {
    if entry.value.trim().is_empty() {
        let draft = Draft::error(Code::Incomplete, "this reading has no value");
        return Some(draft.expected(figure::expected(feature.map(|f| f.dimension))));
    }
    let shape = QuantityShape {
        dimension: feature.map(|f| f.dimension),
        sign: if feature.is_some_and(|f| !f.signed) { Sign::ZeroOrMore } else { Sign::Any },
        may_be_empty: false,
    };
    figure::read(&entry.value, shape).err().map(|draft| *draft)
}

fn temperature(text: &str) -> Option<Draft> {
    if text.trim().is_empty() {
        return None;
    }
    match crate::quantity::parse_typed::<crate::quantity::Temperature>(text) {
        Ok(t) if !is_part_temperature(t.si()) => {
            let draft =
                Draft::error(Code::OutOfRange, format!("no part was read by hand at {}", text.trim()));
            Some(draft.expected("the temperature of the part, such as \"20.5 °C\" or \"69 °F\""))
        }
        Ok(_) => None,
        Err(_) => {
            let shape = QuantityShape {
                dimension: Some(crate::quantity::Dimension::Temperature),
                sign: Sign::Any,
                may_be_empty: false,
            };
            figure::read(text, shape).err().map(|draft| *draft)
        }
    }
}

/// A correction names an earlier reading of the same place.
fn corrects(entry: &ReadingEntry, earlier: &[ReadingEntry]) -> Option<Draft> {
    let number = entry.corrects?;
    let own = earlier.len() + 1;
    let corrected = usize::try_from(number).ok().and_then(|n| n.checked_sub(1)).and_then(|n| earlier.get(n));
    let draft = match corrected {
        Some(corrected) if corrected.feature == entry.feature => return None,
        Some(corrected) => {
            let shown = super::diagnostic::quote(&corrected.feature);
            Draft::error(Code::BadCorrection, format!("reading {number} was taken at {shown}, not here"))
        }
        None => Draft::error(
            Code::BadCorrection,
            format!("reading {number} does not stand before this one, which is number {own}"),
        ),
    };
    Some(draft.expected("the number of an earlier reading of the same feature, counted from 1"))
}

fn date(text: &str) -> Option<Draft> {
    if text.is_empty() || text.parse::<Datetime>().is_ok_and(|d| d.date.is_some()) {
        return None;
    }
    let draft = Draft::error(Code::BadDate, format!("\"{}\" is no date", super::diagnostic::quote(text)));
    Some(draft.expected("a date such as \"2026-03-14\" or \"2026-03-14T09:30:00+01:00\" (RFC 3339)"))
}
