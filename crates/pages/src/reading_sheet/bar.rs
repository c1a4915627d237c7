//! What stands above a table: gauge, zero, temperature, state, how the part is held, each changed by one key.

use super::cells::temperature_of;
use super::operation::{OperationForm, operation_form};
use crate::frame::{View, after_words};
use crate::words::{caution, printed, spaced};
use engine::document::{Held, Instrument, InstrumentKind, PART_TEMPERATURES};
use engine::features::{Feature, Sheet, Table};
use engine::quantity::{Dimension, Unit, UnitSystem, display_unit, find_unit, find_unit_of_any, phrase_list};
use engine::readings::{self, Operation, Reading};
use engine::sizes::{Reach, reach};
use maud::{Markup, html};

/// Head of the sheet: title, keys, the line that says what waits and what was saved.
pub(super) fn head(view: &View, sheet: Sheet, tables: &[&Table], refused: Option<&OperationForm>) -> Markup {
    html! {
        div.reading-head {
            h1 { (sheet.title()) }
            @if !tables.is_empty() {
                p.keys aria-label="Keys" {
                    span { kbd { "Enter" } " next" } span { kbd { "\u{2212}" } " correct" } span { kbd { "R" } " read again" }
                    span { kbd { "G" } " gauge" } span { kbd { "T" } " temperature" } span { kbd { "H" } " held" }
                    span { kbd { "O" } " operation" } span { kbd { "Esc" } " back" } span { kbd { "Ctrl" } "+" kbd { "Z" } " undo" }
                }
            }
            p.status id="status" role="status" aria-live="polite" {}
        }
        noscript { p.notice { "Readings are typed with the help of a small script, which is switched off here. All that was read and what it means is shown." } }
        @if !tables.is_empty() {
            div.jump {
                @if tables.len() > 1 {
                    nav aria-label="Tables of this sheet" {
                        @for table in tables { a href=(format!("#{}", table.id)) { (table.title) } }
                    }
                }
                (operation_form(view, sheet, refused))
            }
        }
    }
}

/// Words for the last operation that moved what a table reads.
pub(super) fn last_operation(view: &View, table: &Table) -> Option<String> {
    let moves = |operation: &Operation| {
        view.engine.catalogue.features_of(table).any(|f| readings::moves(operation, f))
    };
    view.engine.operations.iter().rev().find(|o| moves(o)).map(after_words)
}

/// The bar of one table; a unit that all its columns share stands in its title.
pub(super) fn bar(view: &View, table: &Table, unit_of_all: Option<&str>) -> Markup {
    let last = last_reading(view, table);
    let instruments = instruments(view, table);
    let chosen = chosen(view, table, &instruments);
    let unit = display_unit(Dimension::Temperature, view.units());
    let temperature = last.map(|r| temperature_of(r, view.units())).unwrap_or_default();
    html! {
        div.bar {
            h2 id=(format!("{}-title", table.id)) { (table.title) @if let Some(unit) = unit_of_all { span.count { ", in " (unit) } } }
            label {
                "with " select name="instrument" data-setting="instrument" {
                    option value="" selected[chosen.is_empty()] { "no gauge named" }
                    @let (read, not): (Vec<&Choice>, Vec<&Choice>) = instruments.iter().partition(|i| i.reads);
                    @for i in read { (option(i, &chosen, view.units())) }
                    @if !not.is_empty() {
                        optgroup label="not for this table" { @for i in not { (option(i, &chosen, view.units())) } }
                    }
                }
                kbd.no-print aria-hidden="true" { "G" }
            }
            @for i in &instruments {
                @if let Some(zero) = &i.zero { span.set.zero data-instrument=(i.name) hidden[i.name != chosen] { (zero) } }
            }
            label {
                "part at " input type="text" name="temperature" data-setting="temperature" data-least=(PART_TEMPERATURES.start()) data-most=(PART_TEMPERATURES.end()) inputmode="decimal" autocomplete="off" value=(temperature) placeholder="not given";
                span.unit { (unit.symbol) } kbd.no-print aria-hidden="true" { "T" }
            }
            (held(table, last))
            span.set { (last_operation(view, table).unwrap_or_else(|| "as found".to_owned())) }
            @for i in &instruments { (warning(i, &chosen)) }
            @if !table.hint.is_empty() { p.hint { (table.hint) } }
            (caution(Some(table.caution)))
        }
    }
}

fn option(choice: &Choice, chosen: &str, units: UnitSystem) -> Markup {
    let dimension = choice.unit.map(|unit| unit.dimension.word());
    // Named only where it is another than the pages show, however that is written.
    let differs = |own: &&Unit| {
        let shown = display_unit(own.dimension, units);
        (own.factor, own.offset) != (shown.factor, shown.offset)
    };
    html! {
        option value=(choice.name) selected[choice.name == chosen] data-unit=[choice.unit.map(|unit| unit.symbol)] data-dimension=[dimension] {
            (choice.words) @if let Some(unit) = choice.unit.filter(differs) { ", in " (unit.symbol) } (choice.place)
        }
    }
}

fn held(table: &Table, last: Option<&Reading>) -> Markup {
    html! {
        @for (i, held) in table.held.iter().enumerate() {
            label {
                input type="checkbox" name="held" data-setting="held" value=(held_word(*held))
                    checked[last.is_none_or(|r| r.held.contains(held))];
                (held_words(*held))
                @if i == 0 { kbd.no-print aria-hidden="true" { "H" } }
            }
        }
    }
}

const fn held_words(held: Held) -> &'static str {
    match held {
        Held::Free => "lying free",
        Held::CapsTorqued => "caps torqued",
        Held::TorquePlate => "torque plate on",
        Held::ShellsIn => "shells in",
    }
}

const fn held_word(held: Held) -> &'static str {
    match held {
        Held::Free => "free",
        Held::CapsTorqued => "caps_torqued",
        Held::TorquePlate => "torque_plate",
        Held::ShellsIn => "shells_in",
    }
}

/// A gauge as the bar offers it.
struct Choice<'a> {
    name: &'a str,
    words: String,
    /// The unit of a bare number that it types, where that is stated.
    unit: Option<&'static Unit>,
    /// The kind that is usual at this table: it is taken when nothing else was chosen.
    usual: bool,
    /// Can it settle anything here that its range holds? One that states no range might.
    reads: bool,
    /// How many of the sizes here its range leaves out: of two gauges the one that reaches more stands first.
    out_of_reach: usize,
    /// It states no range: it stands after those that are known to reach.
    unsure: bool,
    /// What it can settle here, where that is not all: " (for the guide)".
    place: String,
    zero: Option<String>,
    warning: Option<String>,
}

fn instruments<'a>(view: &View<'a>, table: &Table) -> Vec<Choice<'a>> {
    let mut list: Vec<Choice> = view
        .engine
        .document
        .instruments
        .iter()
        .map(|(name, i)| Choice {
            name,
            words: instrument_words(name, i),
            unit: own_unit(i),
            usual: i.kind == table.gauge,
            reads: places_of(view, table, i).any(|f| reach(i, f) != Reach::Outside),
            out_of_reach: places_of(view, table, i).filter(|f| reach(i, f) == Reach::Outside).count(),
            unsure: places_of(view, table, i).all(|f| reach(i, f) != Reach::Inside),
            place: place(view, table, i.kind),
            zero: zero_words(i),
            warning: before_measuring(view, table, name),
        })
        .collect();
    list.sort_by_key(|c| (!c.reads, !c.usual, c.out_of_reach, c.unsure));
    list
}

/// The places of a table that a gauge of this kind can settle.
fn places_of<'a>(
    view: &View<'a>,
    table: &'a Table,
    instrument: &Instrument,
) -> impl Iterator<Item = &'a Feature> + use<'a> {
    let kind = instrument.kind;
    view.engine.catalogue.features_of(table).filter(move |f| f.settles.contains(&kind))
}

/// What of a table this kind of gauge can settle, where that is not all of it.
fn place(view: &View, table: &Table, kind: InstrumentKind) -> String {
    let places = || view.engine.catalogue.features_of(table);
    let mut columns: Vec<usize> = places().filter(|f| f.settles.contains(&kind)).map(|f| f.column).collect();
    columns.sort_unstable();
    columns.dedup();
    if columns.is_empty() || columns.len() == table.columns.len() {
        String::new()
    } else {
        let words: Vec<String> = columns.iter().map(|c| table.columns[*c].replace('\n', " ")).collect();
        format!(" (for {})", phrase_list(&words))
    }
}

fn instrument_words(name: &str, instrument: &Instrument) -> String {
    if instrument.label.is_empty() {
        format!("{name}, {}", spaced(kind_word(instrument)))
    } else {
        // The name first: a narrow list cuts the end.
        format!("{name}, {}", instrument.label)
    }
}

/// The unit in which this gauge shows its values, where it states one of what it reads.
fn own_unit(instrument: &Instrument) -> Option<&'static Unit> {
    let written = instrument.unit.as_deref()?;
    match instrument.kind.reads() {
        Some(dimension) => find_unit(written, dimension),
        None => find_unit_of_any(written),
    }
}

fn kind_word(instrument: &Instrument) -> &'static str {
    use engine::document::InstrumentKind as K;
    match instrument.kind {
        K::Micrometer => "micrometer",
        K::BoreGauge => "bore gauge",
        K::DepthGauge => "depth gauge",
        K::DialIndicator => "dial indicator",
        K::AlignmentBar => "alignment bar",
        K::CoordinateMachine => "coordinate machine",
        K::UltrasonicGauge => "ultrasonic gauge",
        K::FeelerGauge => "feeler gauge",
        K::Caliper => "caliper",
        K::HeightGauge => "height gauge",
        K::Burette => "burette",
        K::Balance => "balance",
        K::SpringTester => "spring tester",
        K::HardnessTester => "hardness tester",
        K::RoughnessTester => "roughness tester",
        K::PinGauge => "pin gauge",
        K::FlowBench => "flow bench",
        K::PlasticStrip => "plastic strip",
        K::Other => "gauge",
    }
}

fn zero_words(instrument: &Instrument) -> Option<String> {
    match (&instrument.zero_before, &instrument.zero_after) {
        (Some(before), Some(after)) => Some(format!("zero {before} before, {after} after")),
        (Some(before), None) => Some(format!("zero {before} before")),
        (None, Some(after)) => Some(format!("zero {after} after")),
        (None, None) => None,
    }
}

/// The warning before measuring starts: this gauge cannot settle what is asked here.
fn before_measuring(view: &View, table: &Table, instrument: &str) -> Option<String> {
    engine::findings::before_measuring(view.engine, table, instrument)
        .map(|phrase| printed(&phrase, view.units()))
}

fn warning(choice: &Choice, chosen: &str) -> Markup {
    html! {
        @if let Some(warning) = &choice.warning {
            p.warning data-instrument=(choice.name) hidden[choice.name != chosen] { (warning) }
        }
    }
}

/// The gauge used last of those that fit this table, else the one that is usual here, else the one used last.
fn chosen(view: &View, table: &Table, instruments: &[Choice]) -> String {
    let used = || readings_of(view, table).map(|r| r.instrument.as_str()).filter(|name| !name.is_empty());
    let fits = |name: &str, without_warning: bool| {
        instruments.iter().any(|i| i.name == name && i.reads && !(without_warning && i.warning.is_some()))
    };
    let usual = || instruments.first().filter(|i| i.usual && i.reads).map(|i| i.name);
    used()
        .find(|name| fits(name, true))
        .or_else(|| used().find(|name| fits(name, false)))
        .or_else(usual)
        .unwrap_or_default()
        .to_owned()
}

/// Gauge and temperature as they stand above a table.
pub(super) fn head_of(view: &View, table: &Table) -> (String, String) {
    let last = last_reading(view, table);
    let temperature = last.map(|r| temperature_of(r, view.units())).unwrap_or_default();
    (chosen(view, table, &instruments(view, table)), temperature)
}

pub(super) fn last_reading<'a>(view: &View<'a>, table: &Table) -> Option<&'a Reading> {
    readings_of(view, table).next()
}

/// Readings of a table, the last first.
fn readings_of<'a>(view: &View<'a>, table: &Table) -> impl Iterator<Item = &'a Reading> + use<'a> {
    let engine = view.engine;
    let position = engine.catalogue.tables.iter().position(|t| t.id == table.id);
    let here =
        move |r: &&Reading| engine.catalogue.feature(&r.feature).is_some_and(|f| Some(f.table) == position);
    engine.readings.iter().rev().filter(here)
}
