//! Builds the catalogue: the tables in the order in which a hand measures.

mod bearings;
mod block;
mod cautions;
mod crank;
mod flow;
mod head;
mod pistons;
mod rods;
mod valves;

pub use flow::{injector_path, port_flow_path};

use super::{Catalogue, Feature, Sheet, Table};
use crate::document::{Document, Held, InstrumentKind as K, Material, Target};
use crate::quantity::{Dimension as D, Quantity};

/// What all cells of a column share.
struct Column {
    label: String,
    /// Ending of the path after the row's stem.
    ending: String,
    family: &'static str,
    dimension: D,
    nominal: Option<f64>,
    signed: bool,
    /// The gauge that is usual in this column and those that settle it, where they are not those of the table.
    by: Option<(K, &'static [K])>,
    /// What is read in this column is cut in another part than the row is of.
    cut_in: CutIn,
}

/// The body whose expansion corrects a column.
#[derive(Clone, Copy)]
enum CutIn {
    /// The part of the row.
    ItsPart,
    /// One of this material, where it is said.
    Other(Option<Material>),
}

impl Column {
    /// Its values may be negative.
    fn signed(self) -> Self {
        Self { signed: true, ..self }
    }

    /// Cut in another material than that of the row; none where it is not said.
    fn cut_in(self, material: Option<Material>) -> Self {
        Self { cut_in: CutIn::Other(material), ..self }
    }

    /// Read by another gauge than the rest of its table.
    fn by(self, usual: K, settles: &'static [K]) -> Self {
        Self { by: Some((usual, settles)), ..self }
    }
}

/// A row: label, path stem, part, instance.
#[derive(Clone)]
struct Row {
    label: String,
    stem: String,
    part: String,
    instance: String,
    material: Option<Material>,
}

struct Spec {
    id: &'static str,
    sheet: Sheet,
    title: &'static str,
    row_name: &'static str,
    gauge: K,
    settles: &'static [K],
    held: &'static [Held],
    decimals: usize,
    hint: &'static str,
}

fn column(label: &str, ending: &str, family: &'static str, dimension: D, nominal: Option<f64>) -> Column {
    Column {
        label: label.into(),
        ending: ending.into(),
        family,
        dimension,
        nominal,
        signed: false,
        by: None,
        cut_in: CutIn::ItsPart,
    }
}

fn row(
    label: impl Into<String>,
    stem: impl Into<String>,
    part: impl Into<String>,
    instance: impl std::fmt::Display,
    material: Option<Material>,
) -> Row {
    Row {
        label: label.into(),
        stem: stem.into(),
        part: part.into(),
        instance: instance.to_string(),
        material,
    }
}

fn si<Q: Quantity>(quantity: Option<Q>) -> Option<f64> {
    quantity.map(Quantity::si)
}

fn nominal(target: Option<&Target>) -> Option<f64> {
    let target = target?;
    let middle = target.min.zip(target.max).map(|(a, b)| f64::midpoint(a.0, b.0));
    si(target.nominal).or(middle)
}

impl Catalogue {
    fn add(&mut self, spec: &Spec, rows: &[Row], columns: &[Column]) {
        if rows.is_empty() || columns.is_empty() {
            return;
        }
        let table = self.tables.len();
        let mut cells = Vec::new();
        for (r, row) in rows.iter().enumerate() {
            let mut line = Vec::new();
            for (c, column) in columns.iter().enumerate() {
                line.push(Some(self.features.len()));
                let path = if column.ending.is_empty() {
                    row.stem.clone()
                } else {
                    format!("{}.{}", row.stem, column.ending)
                };
                self.index.insert(path.clone(), self.features.len());
                self.features.push(Feature {
                    label: feature_label(spec, row, column),
                    path,
                    part: row.part.clone(),
                    family: column.family,
                    instance: row.instance.clone(),
                    piston: None,
                    cylinder: None,
                    throw: None,
                    deck: String::new(),
                    head: String::new(),
                    dimension: column.dimension,
                    material: match column.cut_in {
                        CutIn::ItsPart => row.material,
                        CutIn::Other(material) => material,
                    },
                    nominal: column.nominal,
                    signed: column.signed,
                    gauge: column.by.map_or(spec.gauge, |by| by.0),
                    settles: column.by.map_or(spec.settles, |by| by.1),
                    table,
                    row: r,
                    column: c,
                });
            }
            cells.push(line);
        }
        self.tables.push(Table {
            id: spec.id,
            sheet: spec.sheet,
            title: spec.title.into(),
            row_name: spec.row_name,
            rows: rows.iter().map(|r| r.label.clone()).collect(),
            columns: columns.iter().map(|c| c.label.clone()).collect(),
            cells,
            gauge: columns[0].by.map_or(spec.gauge, |by| by.0),
            held: spec.held.to_vec(),
            decimals: spec.decimals,
            hint: spec.hint,
            caution: cautions::caution_of(spec.id),
        });
    }
}

fn feature_label(spec: &Spec, row: &Row, column: &Column) -> String {
    let row_words = format!("{} {}", spec.row_name, row.label);
    if column.label.is_empty() {
        row_words
    } else {
        format!("{row_words}, {}{}", column.label.replace('\n', " "), said_by_the_title(spec.id))
    }
}

/// What the title of a table says and its columns do not: a label is read alone in the log and in workings.
fn said_by_the_title(table: &str) -> &'static str {
    match table {
        "walls" => " wall",
        "main_line" => " from the datum",
        "main_housings" => " in the housing",
        "run_out" => " run-out",
        "main_shells" | "rod_shells" => " shell wall",
        "main_strips" | "rod_strips" => " by strip",
        "main_crush" | "rod_crush" => " height",
        "rod_masses" => " mass",
        "ring_gaps" => " ring gap",
        "ring_sides" => " ring, side clearance",
        "below_deck" => " below deck",
        "seats" => " of the seat",
        "valve_room" => " room to the piston",
        _ => "",
    }
}

pub(super) fn catalogue(document: &Document) -> Catalogue {
    let mut catalogue = Catalogue::default();
    let cylinders: Vec<u32> = (1..=document.layout.cylinders.unwrap_or(0).min(12)).collect();
    if cylinders.is_empty() {
        return catalogue;
    }
    block::casting(&mut catalogue, document, &cylinders);
    block::bores(&mut catalogue, document, &cylinders);
    crank::crank(&mut catalogue, document);
    bearings::bearings(&mut catalogue, document, &cylinders);
    rods::rods(&mut catalogue, document, &cylinders);
    pistons::pistons(&mut catalogue, document, &cylinders);
    head::head(&mut catalogue, document, &cylinders);
    flow::flow(&mut catalogue, document, &cylinders);
    valves::valves(&mut catalogue, document);
    name_surroundings(&mut catalogue, document);
    name_pistons(&mut catalogue, document);
    catalogue
}

/// Names the piston at each place that is read in a cylinder: it need not carry its number.
fn name_pistons(catalogue: &mut Catalogue, document: &Document) {
    let order = document.pistons.in_cylinder.as_deref();
    let piston_in = |cylinder: u32| {
        order.and_then(|o| o.iter().position(|c| *c == cylinder)).map_or(cylinder, |p| p as u32 + 1)
    };
    let read_in_cylinder = ["cylinder.below_deck", "valve.to_piston", "ring.side_clearance"];
    for feature in catalogue.features.iter_mut().filter(|f| read_in_cylinder.contains(&f.family)) {
        feature.piston = feature.cylinder.map(piston_in);
    }
}

/// Families of places that belong to one cylinder, by their beginnings. Pistons are numbered by themselves.
const OF_CYLINDER: &[&str] = &[
    "block.bore",
    "block.wall",
    "cylinder.",
    "ring.",
    "rod.",
    "rod_",
    "valve.",
    "head.chamber",
    "head.port_flow",
    "barrel.",
];

/// Says of each place in which cylinder it is, on which throw, under which deck and head.
fn name_surroundings(catalogue: &mut Catalogue, document: &Document) {
    let (decks, heads) = (document.decks(), document.heads());
    let throws = document.throw_of_cylinder();
    let face_of = |faces: &[super::Face], cylinder: u32| {
        faces
            .iter()
            .find(|face| face.cylinders.contains(&cylinder))
            .map(|f| f.name.clone())
            .unwrap_or_default()
    };
    for feature in &mut catalogue.features {
        let path = feature.path.as_str();
        if OF_CYLINDER.iter().any(|stem| feature.family.starts_with(stem)) {
            let number = feature.instance.rsplit('.').next().unwrap_or_default();
            let number = number.trim_end_matches(|c: char| c.is_ascii_lowercase()).parse().ok();
            feature.cylinder = number;
            if let Some(cylinder) = number {
                feature.throw = throws.get(cylinder as usize - 1).copied();
                feature.deck = face_of(&decks, cylinder);
                feature.head = face_of(&heads, cylinder);
            }
        } else if feature.family == "crank.pin" {
            feature.throw = feature.instance.parse().ok();
        } else if path.starts_with("block.deck_") || path.starts_with("gasket.") {
            feature.deck.clone_from(&feature.instance);
        } else if path.starts_with("head.face") || path.starts_with("head.restrictor") {
            feature.head.clone_from(&feature.instance);
        }
    }
}

/// Two faces from the outside: a bore gauge does not reach them.
const OUTSIDE: &[K] = &[K::Micrometer, K::CoordinateMachine, K::Caliper];
/// A bore, by a bore gauge or an inside micrometer.
const INSIDE: &[K] = &[K::BoreGauge, K::CoordinateMachine, K::Caliper, K::Micrometer];
/// A distance to the middle of a bore, on the plate or on a machine.
const TO_AXIS: &[K] = &[K::HeightGauge, K::CoordinateMachine, K::DepthGauge, K::Micrometer, K::Caliper];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::parse_document;

    /// The log and the workings name a reading by its label alone.
    #[test]
    fn a_label_names_one_place() {
        for text in [
            include_str!("../../../../../examples/hill-climb-four.toml"),
            include_str!("../../../../../examples/pushrod-v8.toml"),
        ] {
            let document = parse_document(text, "engine.toml").document.unwrap();
            let mut seen = std::collections::HashMap::new();
            for feature in &Catalogue::of(&document).features {
                if let Some(other) = seen.insert(feature.label.clone(), feature.path.clone()) {
                    panic!("\"{}\" is {other} and {}", feature.label, feature.path);
                }
            }
        }
    }
}
