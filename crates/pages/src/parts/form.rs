//! Fields of a form, from the shape of the document.

use super::edits::BareNumbers;
use crate::frame::{OPERATIONS, operation_words};
use crate::words::{count, full_stop, reader_words, sentence, spaced};
use engine::document::{
    Field, InstrumentKind, Material, Shape, TableShape, field_title, inside_sentence, key_words, shape_at,
};
use engine::quantity::{Dimension, UnitSystem, find_unit_of_any, parse_quantity};
use maud::{Markup, html};
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

/// What stands in the fields and what is wrong with it.
pub(super) struct Form<'a> {
    pub values: &'a BTreeMap<String, String>,
    pub errors: &'a BTreeMap<String, String>,
    /// What is asked once about what stands there.
    pub asked: &'a BTreeMap<String, String>,
    /// Units of bare numbers and examples.
    pub bare: BareNumbers<'a>,
    /// What stands in for a missing limit, in words, by its key.
    pub stand_ins: &'a BTreeMap<String, String>,
    /// What is usual for the layout and was said by nobody, by dotted path from the root of the document.
    pub proposed: &'a BTreeSet<String>,
    /// Has a wrong field taken the focus? The first one does, in the order of the form.
    pub focused: Cell<bool>,
}

/// Name of the box that says that what is proposed in a field is so.
pub fn given_name(path: &str) -> String {
    format!("_given.{path}")
}

/// Order of the fields of a range.
const RANGE: &[&str] = &["nominal", "min", "max", "target", "process", "origin", "source", "decision"];

/// Parts in the order of the job, with the beginnings of the names of their limits; a limit goes to the first group that
/// names it, what none names to the last.
const LIMIT_GROUPS: &[(&str, &[&str])] = &[
    ("Block and bores", &["bore", "wall", "core_shift", "hardness", "deck_", "barrel_", "face_roughness"]),
    (
        "Crank and bearings",
        &["main_", "tunnel_", "journal_", "crank_", "end_float", "rod_clearance", "crush"],
    ),
    ("Rods", &["big_end_", "rod_"]),
    (
        "Pistons, pins and rings",
        &["piston_clearance", "pin_", "mass_spread", "top_ring", "second_ring", "rail_gap", "ring_"],
    ),
    ("Chamber and compression", &["quench", "chamber", "compression_", "swept_volume", "head_flatness"]),
    (
        "Valves, springs and cams",
        &["lash_", "guide_", "seat_", "spring_", "coil_", "bucket_", "cam_", "piston_to_", "pushrod"],
    ),
    ("Oil, air and fuel", &[""]),
];

fn group_of(key: &str) -> &'static str {
    let named = LIMIT_GROUPS.iter().find(|(_, starts)| starts.iter().any(|start| key.starts_with(start)));
    named.map_or("", |(title, _)| title)
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}

/// Keys of a table in the order of the document, which is that of the job.
fn ordered(table: &TableShape) -> Vec<(&str, &Field)> {
    let mut list: Vec<(&str, &Field)> = table.ordered().collect();
    if table.is_range() {
        list.sort_by_key(|(key, _)| RANGE.iter().position(|r| r == key).unwrap_or(RANGE.len()));
    }
    list
}

impl Form<'_> {
    /// All fields of a section.
    pub(super) fn section(&self, section: &str, shape: &Shape) -> Markup {
        match shape {
            Shape::Table(table) if section == "limits" => self.limits(table),
            Shape::Table(table) => self.table("", table),
            Shape::Map(inner) => self.map("", section, inner),
            other => self.one("", section, "", other),
        }
    }

    /// Limits by the part that they are about, each folded, with a list to jump by.
    fn limits(&self, table: &TableShape) -> Markup {
        let all = ordered(table);
        let groups: Vec<(&str, Vec<&(&str, &Field)>)> = LIMIT_GROUPS
            .iter()
            .map(|(title, _)| (*title, all.iter().filter(|(key, _)| group_of(key) == *title).collect()))
            .filter(|(_, limits): &(_, Vec<_>)| !limits.is_empty())
            .collect();
        html! {
            nav.jump-to.no-print aria-label="Parts" {
                @for (title, limits) in &groups {
                    @if let Some((first, _)) = limits.first() { a href=(format!("#{first}.min")) { (title) } }
                }
            }
            @for (title, limits) in &groups {
                @let given = limits.iter().filter(|(key, _)| self.touched(key)).count();
                @let noted = limits.iter().any(|(key, _)| self.is_noted(key));
                details.limit-group open[noted] {
                    summary { b { (title) } " " span.quiet { (given) " of " (limits.len()) " given" } }
                    @for (key, field) in limits { (self.any(key, key, field)) }
                    // One near every part: the form is long.
                    div.actions.no-print { button.main type="submit" { "Keep" } span.quiet.small { "keeps what is written on the whole page" } }
                }
            }
        }
    }

    /// Title of a field by its path below the section.
    fn title(&self, path: &str, key: &str) -> String {
        let keys = std::iter::once(self.bare.section).chain(path.split('.').filter(|key| !key.is_empty()));
        if path.is_empty() || path.ends_with('+') { sentence(&key_words(key)) } else { field_title(keys) }
    }

    /// `main_journal.min` → "Main journal, least"; entries of lists count from 1.
    fn path_words(&self, path: &str) -> String {
        let mut below = String::new();
        let words: Vec<String> = path
            .split('.')
            .map(|key| {
                below = join(&below, key);
                match (key, key.parse::<usize>()) {
                    (_, Ok(number)) => format!("number {}", number + 1),
                    ("+", _) => "new entry".to_owned(),
                    (key, _) if range_word(key) != key => range_word(key).to_owned(),
                    _ => inside_sentence(&self.title(&below, key)),
                }
            })
            .collect();
        sentence(&words.join(", "))
    }

    /// Is anything wrong with, or asked about, what stands below this path?
    fn is_noted(&self, path: &str) -> bool {
        let below = |at: &String| {
            at.as_str() == path || at.strip_prefix(path).is_some_and(|rest| rest.starts_with('.'))
        };
        self.errors.keys().chain(self.asked.keys()).any(below)
    }

    fn table(&self, path: &str, table: &TableShape) -> Markup {
        html! { @for (key, field) in ordered(table) { (self.any(&join(path, key), key, field)) } }
    }

    fn any(&self, path: &str, key: &str, field: &Field) -> Markup {
        match &field.shape {
            Shape::Table(table) if table.is_range() => self.range(path, key, table),
            Shape::Table(table) => html! {
                fieldset { legend { (self.title(path, key)) } (told_below(key, &field.description)) (self.table(path, table)) }
            },
            Shape::Map(inner) => html! {
                fieldset { legend { (self.title(path, key)) } (told_below(key, &field.description)) (self.map(path, key, inner)) }
            },
            Shape::List(inner) if matches!(**inner, Shape::Table(_)) => html! {
                fieldset { legend { (self.title(path, key)) } (told_below(key, &field.description)) (self.list(path, inner)) }
            },
            shape => self.one(path, key, &field.description, shape),
        }
    }

    /// A limit or a target: one row of small fields.
    fn range(&self, path: &str, key: &str, table: &TableShape) -> Markup {
        html! {
            fieldset {
                legend { (self.title(path, key)) }
                @if let Some(words) = self.stand_in(path) { p.stand-in { (words) } }
                div.range {
                    @for (inner, field) in ordered(table) {
                        @let at = join(path, inner);
                        @let label = format!("{} {}", spaced(key), spaced(inner));
                        label {
                            span title=(reader_words(&field.description)) { (range_word(inner)) }
                            (self.entry(&at, &label, &field.shape, inner == "source"))
                        }
                    }
                }
                (self.errors_below(path))
            }
        }
    }

    /// What is used while this limit is left out.
    fn stand_in(&self, path: &str) -> Option<&str> {
        let stated = ["min", "max"].iter().any(|key| self.has(&join(path, key)));
        if stated { None } else { self.stand_ins.get(path).map(String::as_str) }
    }

    /// Does what the starter proposed still stand in this field?
    fn is_proposed(&self, path: &str) -> bool {
        let unchanged = self.values.get(path) == self.bare.stands.get(path);
        unchanged && self.proposed.contains(&join(self.bare.section, path))
    }

    /// What nobody has said stays proposed until its field is changed or this box is ticked.
    fn proposal(&self, path: &str) -> Markup {
        let given = given_name(path);
        html! {
            div.hint.proposed {
                b.word { "Proposed" } ": usual for this layout, common practice, no source. Check yours."
                label {
                    input type="checkbox" name=(given) value="yes" data-of=(path) checked[self.values.contains_key(&given)];
                    "It is so: keep it as given"
                }
            }
        }
    }

    fn has(&self, path: &str) -> bool {
        self.values.get(path).is_some_and(|text| !text.trim().is_empty())
    }

    /// Is anything typed, or wrong, below this path?
    fn touched(&self, path: &str) -> bool {
        let prefix = format!("{path}.");
        let typed = self.values.iter().any(|(key, text)| key.starts_with(&prefix) && !text.is_empty());
        typed || self.errors.keys().chain(self.asked.keys()).any(|key| key.starts_with(&prefix))
    }

    /// What is wrong, at the top of the form: each line leads to its field.
    pub(super) fn summary(&self) -> Markup {
        html! {
            div.error-summary role="alert" tabindex="-1" id="wrong" {
                h2 { "Nothing was changed: " (count(self.errors.len(), "field needs", "fields need")) " another look" }
                ul {
                    @for (path, problem) in in_form_order(self.errors) {
                        li {
                            @if path.is_empty() { (problem) }
                            @else { a href=(format!("#{path}")) { (self.path_words(path)) } ": " (problem) }
                        }
                    }
                }
            }
        }
    }

    /// What is asked, at the top of the form: each line leads to its field.
    pub(super) fn questions(&self) -> Markup {
        html! {
            div.questions role="alert" tabindex="-1" id="asked" {
                h2 { "Not kept yet: is this meant?" }
                ul {
                    @for (path, question) in in_form_order(self.asked) {
                        li {
                            @if path.is_empty() { (question) }
                            @else { a href=(format!("#{path}")) { (self.path_words(path)) } ": " (full_stop(question)) }
                        }
                    }
                }
                p { "Asked once: Keep, or Enter in a field, keeps it as it is." }
            }
        }
    }

    fn errors_below(&self, path: &str) -> Markup {
        let prefix = format!("{path}.");
        html! {
            @for (at, error) in in_form_order(self.errors).into_iter().filter(|(at, _)| at.starts_with(&prefix) || at.as_str() == path) {
                p.error id=(format!("{at}-note")) { (spaced(range_word(at.trim_start_matches(&prefix)))) ": " (error) }
            }
            @for (at, question) in in_form_order(self.asked).into_iter().filter(|(at, _)| at.starts_with(&prefix) || at.as_str() == path) {
                p.asked-field id=(format!("{at}-note")) { (spaced(range_word(at.trim_start_matches(&prefix)))) ": " (question) }
            }
        }
    }

    /// Entries with names of the shop's own, and one more.
    fn map(&self, path: &str, what: &str, inner: &Shape) -> Markup {
        let names = self.children(path);
        html! {
            @let fold = names.len() >= MANY;
            @for name in &names { (self.map_entry(&join(path, name), name, inner, fold)) }
            @let new = join(path, "+");
            @let key = join(&new, "key");
            details open[names.is_empty() || self.touched(&new)] {
                summary { "Add one more to " (if what == "instruments" { "gauges".to_owned() } else { spaced(what) }) }
                @let (label, hint, shape) = name_of_new(what);
                (self.field(&key, label, hint, shape))
                @match inner {
                    Shape::Table(table) if table.is_range() => { (self.range(&new, "new", table)) }
                    Shape::Table(table) => { (self.table(&new, table)) }
                    simple => { (self.field(&join(&new, "value"), "Value", "", simple)) }
                }
            }
        }
    }

    fn map_entry(&self, path: &str, name: &str, inner: &Shape, fold: bool) -> Markup {
        match inner {
            Shape::Table(table) if table.is_range() => self.range(path, name, table),
            Shape::Table(table) => self.entry_of_many(path, &entry_name(path, name), table, fold),
            simple => self.field(path, &entry_name(path, name), "", simple),
        }
    }

    /// Numbered entries, and one more.
    fn list(&self, path: &str, inner: &Shape) -> Markup {
        let Shape::Table(table) = inner else { return html! {} };
        let mut numbers: Vec<usize> = self.children(path).iter().filter_map(|n| n.parse().ok()).collect();
        numbers.sort_unstable();
        html! {
            @let fold = numbers.len() >= MANY;
            @for number in &numbers {
                (self.entry_of_many(&join(path, &number.to_string()), &format!("Number {}", number + 1), table, fold))
            }
            @let new = join(path, "+");
            details open[self.touched(&new)] { summary { "Add one more" } (self.table(&new, table)) }
        }
    }

    /// One of several entries alike. Of many each is folded, with its name and what it is in sight; one that holds a
    /// mistake stands open.
    fn entry_of_many(&self, path: &str, name: &str, table: &TableShape, fold: bool) -> Markup {
        let fields = self.table(path, table);
        if !fold {
            return html! { fieldset { legend { (name) } (fields) } };
        }
        let prefix = format!("{path}.");
        let wrong = self.errors.keys().chain(self.asked.keys()).any(|at| at.starts_with(&prefix));
        html! {
            details.entry-of-many open[wrong] {
                summary { b { (name) } @if let Some(words) = self.in_a_few_words(path) { " " span.quiet { (words) } } }
                fieldset aria-label=(name) { (fields) }
            }
        }
    }

    /// What the entry calls itself: its label, else its kind, name or part.
    fn in_a_few_words(&self, path: &str) -> Option<String> {
        let said = |key: &str| self.values.get(&join(path, key)).filter(|text| !text.trim().is_empty());
        let words = |key: &str| said(key).map(|text| spaced(text));
        let own = said("label").or_else(|| said("name")).cloned();
        own.or_else(|| match (words("kind"), words("part")) {
            (Some(kind), Some(part)) => Some(format!("{kind}, {part}")),
            (kind, part) => kind.or(part),
        })
    }

    /// Names of the entries below a path.
    fn children(&self, path: &str) -> Vec<String> {
        let prefix = if path.is_empty() { String::new() } else { format!("{path}.") };
        let mut names: Vec<String> = self
            .values
            .keys()
            .filter_map(|key| key.strip_prefix(&prefix))
            .filter_map(|rest| rest.split('.').next())
            .filter(|name| !name.is_empty() && *name != "+" && !name.starts_with('_'))
            .map(str::to_owned)
            .collect();
        names.sort();
        names.dedup();
        names
    }

    fn one(&self, path: &str, key: &str, description: &str, shape: &Shape) -> Markup {
        self.field(path, &self.title(path, key), description, shape)
    }

    fn field(&self, path: &str, label: &str, description: &str, shape: &Shape) -> Markup {
        let description = if description.trim_end_matches('.') == label {
            String::new()
        } else {
            reader_words(description)
        };
        let error = self.errors.get(path);
        html! {
            div.field {
                label for=(path) { (label) }
                div.entry { (self.entry(path, "", shape, matches!(shape, Shape::Text | Shape::List(_)))) }
                @if self.is_proposed(path) { (self.proposal(path)) }
                @if let Some(question) = self.asked.get(path) { div.asked-field id=(format!("{path}-note")) { (full_stop(question)) } }
                @else if let Some(error) = error { div.error id=(format!("{path}-note")) { (error) } }
                @else { div.hint id=(format!("{path}-note")) { (description) @if let Shape::List(inner) = shape { (list_hint(inner)) } } }
            }
        }
    }

    /// The input itself. `label` is empty where a label stands beside it.
    fn entry(&self, path: &str, label: &str, shape: &Shape, wide: bool) -> Markup {
        let value = self.values.get(path).map_or("", String::as_str);
        let wrong = self.errors.contains_key(path).then_some("true");
        let noted = wrong.is_some() || self.asked.contains_key(path);
        let first = noted && !self.focused.replace(true);
        let note = noted
            .then(|| format!("{path}-note"))
            .or_else(|| label.is_empty().then(|| format!("{path}-note")));
        let label = (!label.is_empty()).then_some(label);
        let unit = self.unit(path, shape);
        let placeholder = if label.is_some() { &unit } else { way_of_writing(shape, self.bare.units) };
        let options: Option<Vec<(String, String)>> = match shape {
            Shape::Words(words) => Some(words.iter().map(|(w, d)| (w.clone(), option_words(w, d))).collect()),
            Shape::Flag => {
                Some(vec![("true".to_owned(), "yes".to_owned()), ("false".to_owned(), "no".to_owned())])
            }
            _ => None,
        };
        html! {
            @if let Some(options) = options {
                select id=(path) name=(path) aria-label=[label] aria-describedby=[note] aria-invalid=[wrong] autofocus[first] {
                    option value="" { "not said" }
                    @for (word, words) in options { option value=(word) selected[word == value] { (words) } }
                }
            } @else {
                input.wide[wide] id=(path) name=(path) type="text" value=(value) placeholder=(placeholder) autocomplete="off"
                    aria-label=[label] aria-describedby=[note] aria-invalid=[wrong] autofocus[first];
                @if !unit.is_empty() && !names_unit(value) { span.unit { (unit) } }
                // Written in another unit: typed over without one, it takes the usual one.
                @else if !unit.is_empty() && !in_unit(value, &unit) { span.unit { "a number alone: " (unit) } }
            }
        }
    }
}

/// From so many entries on each is folded: a page is not many screens long.
const MANY: usize = 4;

impl Form<'_> {
    /// The unit that a bare number takes in this field.
    fn unit(&self, path: &str, shape: &Shape) -> String {
        let value = |key: &str| self.values.get(key).map(String::as_str);
        self.bare.unit(shape, path, &value).unwrap_or_default()
    }
}

/// Notes of fields by their paths, those of one range in the order of its fields: least before most.
fn in_form_order(notes: &BTreeMap<String, String>) -> Vec<(&String, &String)> {
    let place = |path: &str| {
        let (above, key) = path.rsplit_once('.').unwrap_or(("", path));
        let inner = RANGE.iter().position(|r| *r == key);
        let group = if inner.is_some() { above } else { path };
        (group.to_owned(), inner)
    };
    let mut list: Vec<_> = notes.iter().collect();
    list.sort_by_key(|(path, _)| place(path));
    list
}

/// What a group of fields holds, where its title does not say it already.
fn told_below(key: &str, description: &str) -> Markup {
    let repeats = description.trim_end_matches('.') == sentence(&spaced(key));
    html! { @if !repeats && !description.is_empty() { p.small.quiet { (reader_words(description)) } } }
}

/// `head_studs` → "Head studs"; a name with capitals or figures, such as a gauge's, stands as the shop writes it.
/// A job is called as everywhere else.
fn entry_name(path: &str, name: &str) -> String {
    let job = OPERATIONS.iter().find(|(_, named)| path.starts_with("jobs.") && *named == name);
    if let Some((kind, _)) = job {
        return sentence(operation_words(*kind));
    }

    let key = name.contains('_') && name.chars().all(|c| c.is_ascii_lowercase() || c == '_');
    if key { sentence(&spaced(name)) } else { name.to_owned() }
}

fn range_word(key: &str) -> &str {
    match key {
        "min" => "least",
        "max" => "most",
        "target" => "aimed at",
        "process" => "process spread",
        "origin" => "comes from",
        "decision" => "decided by",
        other => other,
    }
}

/// `hone` → "honing": the words in which pages, sheets and plan name the same thing.
fn option_words(word: &str, description: &str) -> String {
    let job = OPERATIONS.iter().find(|(_, named)| *named == word).map(|(kind, _)| operation_words(*kind));
    let known = job
        .or_else(|| Material::from_word(word).map(Material::words))
        .or_else(|| InstrumentKind::from_word(word).map(InstrumentKind::words));
    if let Some(words) = known {
        return words.to_owned();
    }
    match word {
        // Authors of the formula.
        "woschni" | "hohenberg" => sentence(word),
        "iso_octane" => "isooctane".to_owned(),
        "risk" | "guard_band" => reader_words(description.trim_end_matches('.')),
        _ => spaced(word),
    }
}

fn list_hint(inner: &Shape) -> &'static str {
    match inner {
        Shape::List(_) => " Numbers with commas, a slash between the lists: 1, 3, 5, 7 / 2, 4, 6, 8.",
        Shape::Quantity(_) => " With commas between them, or semicolons where the decimal mark is a comma.",
        _ => " With commas between them.",
    }
}

/// Does what stands in the field name its unit, as `88.012 mm`? Else the usual one stands behind the field.
fn names_unit(value: &str) -> bool {
    value.chars().any(|c| !c.is_ascii_digit() && !c.is_whitespace() && !".,;+-\u{2212}".contains(c))
}

/// Is what stands in the field, or last in its list, in this unit already, however it is spelled?
fn in_unit(value: &str, unit: &str) -> bool {
    let last = value.rsplit([',', ';']).find(|entry| !entry.trim().is_empty()).unwrap_or_default();
    find_unit_of_any(unit).is_some_and(|unit| {
        parse_quantity(last, unit.dimension).is_ok_and(|(_, written)| written.is_same(unit))
    })
}

/// How a list is written. No field suggests a figure: a figure in the field of a bolt's torque would read as advice.
fn way_of_writing(shape: &Shape, units: UnitSystem) -> &'static str {
    let Shape::List(inner) = shape else { return "" };
    match &**inner {
        Shape::Quantity(q) if q.dimension == Some(Dimension::Length) => match units {
            UnitSystem::Metric => "1.0, 2.0, 3.0, \u{2026}",
            UnitSystem::Inch => "0.050, 0.100, 0.150, \u{2026}",
        },
        Shape::Integer { .. } => "1, 3, 4, 2",
        Shape::List(_) => "1, 3 / 2, 4",
        _ => "",
    }
}

/// Label, hint and shape of the field that names a new entry.
fn name_of_new(what: &str) -> (&'static str, &'static str, &'static Shape) {
    // A price for a job counts only under the word of an operation.
    let operations = || shape_at(["operations", "1", "kind"]).map_or(&Shape::Text, |(shape, _)| shape);
    match what {
        "fitted" => ("Journal", "Its number, counted from the front.", &Shape::Text),
        "grades" => {
            ("Grade", "Its name on the box, without point or comma: std, thick, under 25.", &Shape::Text)
        }
        "jobs" => ("Job", "", operations()),
        "parts" => {
            ("Part", "As the plan names it: sleeve, ring set, valve spring, pushrod, injector.", &Shape::Text)
        }
        _ => ("Name", "A short name of your own, without a point.", &Shape::Text),
    }
}
