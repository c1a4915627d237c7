//! A reading sheet: tables in the order of the hand, meaning at the end of the row, the part drawn below.

mod bar;
mod cells;
mod foot;
mod meaning;
mod operation;
mod unstated;

use crate::frame::{Current, Page, View, field_id, framed, tabs};
use crate::sheet_numbers::numbered;
use bar::{bar, head, head_of, last_operation};
pub use cells::Cell;
use cells::Place;
use engine::features::{Sheet, Table};
use engine::quantity::{Dimension, display_unit};
use maud::{Markup, html};
pub use operation::OperationForm;
use serde::Serialize;
use std::collections::BTreeMap;

/// What of a sheet changes when a reading arrives: the JSON that answers a reading or a poll.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SheetParts {
    /// Meaning of each row, by `{table id}/{row index}`; `{table id}/all` is what holds for all rows.
    pub rows: BTreeMap<String, String>,
    /// What stands in each field, by feature path.
    pub cells: BTreeMap<String, Cell>,
    /// Inside of the top edge.
    pub tabs: String,
    /// Foot of the sheet: selection and drawing.
    pub foot: String,
    /// What the page is made from, as the title block says it.
    pub edition: String,
    /// Number of the last reading that is known here.
    pub last: u64,
}

/// The parts of a sheet that change, made by the same functions as the whole sheet.
pub fn sheet_parts(view: &View, sheet: Sheet) -> SheetParts {
    let places = cells::places(view);
    let mut rows = BTreeMap::new();
    let mut shown = BTreeMap::new();
    for table in view.engine.catalogue.tables_of(sheet) {
        let index = meaning::TableFindings::of(view, table);
        for row in 0..table.rows.len() {
            let html = meaning::row_meaning(view, table, row, &index, &places).into_string();
            rows.insert(format!("{}/{row}", table.id), html);
        }
        rows.insert(format!("{}/all", table.id), meaning::whole_table(view, &index).into_string());
        for feature in view.engine.catalogue.features_of(table) {
            shown.insert(feature.path.clone(), places.cell(view, feature, table));
        }
    }
    SheetParts {
        rows,
        cells: shown,
        tabs: tabs(view, Current::Reading(sheet)).into_string(),
        foot: foot::foot(view, sheet).into_string(),
        edition: view.edition(),
        last: last_number(view),
    }
}

fn last_number(view: &View) -> u64 {
    view.engine.readings.iter().map(|r| r.number).max().unwrap_or(0)
}

/// The whole reading sheet.
pub fn sheet_page(view: &View, sheet: Sheet) -> String {
    page(view, sheet, None)
}

/// The sheet with an operation that was refused: its form open, filled as it was typed, the error beside its field.
pub fn refused_operation_page(view: &View, sheet: Sheet, refused: &OperationForm) -> String {
    page(view, sheet, Some(refused))
}

fn page(view: &View, sheet: Sheet, refused: Option<&OperationForm>) -> String {
    let places = cells::places(view);
    let (waiting, tables): (Vec<&Table>, Vec<&Table>) = view
        .engine
        .catalogue
        .tables_of(sheet)
        .partition(|table| unstated::waits_for_a_limit(view, table, &places));
    let body = html! {
        div.readings-sheet data-engine=(view.id) data-sheet=(sheet.id()) data-last=(last_number(view)) data-at=(view.at("")) data-who=(view.who) {
            (head(view, sheet, &tables, refused))
            @for table in &tables { (table_part(view, table, &places)) }
        }
        (unstated::to_state(view, sheet, &waiting))
        section.foot id="foot" aria-label="What it comes to" { (foot::foot(view, sheet)) }
    };
    let state = tables.iter().find_map(|t| last_operation(view, t)).unwrap_or_else(|| "as found".to_owned());
    framed(
        view,
        &Page {
            title: sheet.title(),
            current: Current::Reading(sheet),
            sheet: numbered(sheet),
            state,
            scripts: &["queue.js", "sheet.js", "plot.js"],
            body,
        },
    )
}

fn table_part(view: &View, table: &Table, places: &cells::Places) -> Markup {
    let index = meaning::TableFindings::of(view, table);
    let common = unit_of_all(view, table);
    let above = head_of(view, table);
    html! {
        section.table-part id=(table.id) data-table=(table.id) data-optional[meaning::optional(table)] aria-labelledby=(format!("{}-title", table.id)) {
            (bar(view, table, common))
            div.scroll role="region" aria-label=(format!("{}, table", table.title)) tabindex="0" {
                table class=(format!("readings columns-{}", table.columns.len().min(9))) {
                    thead {
                        tr {
                            th scope="col" { (table.row_name) }
                            @for (column, label) in table.columns.iter().enumerate() {
                                th scope="col" {
                                    span {
                                        (wrapped(label))
                                        @if common.is_none() && let Some(unit) = unit_of_column(view, table, column) { span.unit { ", " (unit) } }
                                    }
                                }
                            }
                            th scope="col" { "what it means" }
                        }
                    }
                    tbody {
                        @for (row, label) in table.rows.iter().enumerate() {
                            tr {
                                th scope="row" { (label) }
                                @for cell in &table.cells[row] { (field(view, table, *cell, places, &above)) }
                                td.meaning data-row=(format!("{}/{row}", table.id)) aria-live="polite" {
                                    (meaning::row_meaning(view, table, row, &index, places))
                                }
                            }
                        }
                    }
                }
            }
            div.whole data-row=(format!("{}/all", table.id)) { (meaning::whole_table(view, &index)) }
        }
    }
}

/// The unit of several columns that all hold the same: it is said once, above the table.
fn unit_of_all(view: &View, table: &Table) -> Option<&'static str> {
    let first = unit_of_column(view, table, 0)?;
    let columns = table.columns.len();
    (columns > 1 && (1..columns).all(|c| unit_of_column(view, table, c) == Some(first))).then_some(first)
}

/// The unit of what a column holds.
fn unit_of_column(view: &View, table: &Table, column: usize) -> Option<&'static str> {
    let first = table.cells.iter().find_map(|row| row.get(column).copied().flatten())?;
    let feature = &view.engine.catalogue.features[first];
    let unit = Place::of(view, feature, table).unit;
    (!unit.is_empty()).then_some(unit)
}

/// A column's label, one part a line.
fn wrapped(label: &str) -> Markup {
    html! {
        @for (i, line) in label.lines().enumerate() {
            @if i > 0 { br; }
            (line)
        }
    }
}

/// With what a field was read where that is not what stands above the table. `sheet.js` says the same after a change.
fn taken(view: &View, cell: &Cell, above: &(String, String)) -> String {
    let gauge = if above.0.is_empty() { "no gauge" } else { above.0.as_str() };
    let unit = display_unit(Dimension::Temperature, view.units()).symbol;
    let mut words = Vec::new();
    if cell.number.is_some() && cell.gauge != gauge {
        words.push(cell.gauge.clone());
    }
    if cell.number.is_some() && cell.temperature != above.1 {
        words.push(if cell.temperature.is_empty() {
            format!("? {unit}")
        } else {
            format!("{} {unit}", cell.temperature)
        });
    }
    words.join(", ")
}

/// One field of a table, or the hatching that says that there is nothing to read. A gauge or a temperature that is not
/// the one `above` the table stands in the field.
fn field(
    view: &View,
    table: &Table,
    cell: Option<usize>,
    places: &cells::Places,
    above: &(String, String),
) -> Markup {
    let Some(feature) = cell.map(|i| &view.engine.catalogue.features[i]) else {
        return html! { td.none { span.reader-only { "nothing to read here" } } };
    };
    let cell = places.cell(view, feature, table);
    let place = Place::of(view, feature, table);
    let id = field_id(&feature.path);
    let note = format!("{id}-note");
    html! {
        td.in.flagged[!cell.flag.is_empty()] {
            input id=(id) type="text" inputmode="decimal" autocomplete="off" spellcheck="false" enterkeyhint="next"
                aria-label=(format!("{}, {}", feature.label, place.unit_words()))
                aria-describedby=(note)
                data-feature=(feature.path) data-unit=(place.unit) data-dimension=(feature.dimension.word())
                data-number=[cell.number] data-decimals=(place.decimals)
                placeholder=[(!cell.before.is_empty()).then_some(&cell.before)]
                value=(cell.shown);
            span.taken data-gauge=(cell.gauge) data-temperature=(cell.temperature) { (taken(view, &cell, above)) }
            span.flag id=(note) { (cell.flag) }
        }
    }
}
