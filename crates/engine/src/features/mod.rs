//! Every place that can be measured on one engine, arranged as the sheets on which a hand reads them.

mod build;
mod names;
mod sheets;
mod work;

pub use build::{injector_path, port_flow_path};
pub use names::{Face, Side, ValveName, bank_letter, bank_name, deck_label, face_label, valve_names};
pub use sheets::{Sheet, SheetNote};
pub use work::work_places;
pub(crate) use work::{is_at_a_main, moved_families, plain_name, reaches};

use crate::document::{Document, Held, InstrumentKind, Material};
use crate::quantity::Dimension;
use serde::Serialize;
use std::collections::HashMap;

/// The eight directions of a wall map, thrust first, then turning toward the front of the engine.
pub const WALL_DIRECTIONS: [&str; 8] =
    ["thrust", "thrust_front", "front", "anti_front", "anti_thrust", "anti_rear", "rear", "thrust_rear"];

/// A direction of a wall map in words: "anti-thrust, front" for the one between anti-thrust side and front.
pub fn direction_words(direction: &str) -> String {
    direction.replace("anti_thrust", "anti").replace("anti", "anti-thrust").replace('_', ", ")
}

/// Heights at which bores and walls are read, from the deck down.
pub const HEIGHTS: [&str; 3] = ["top", "mid", "low"];

/// A measurable place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Feature {
    /// Path that reads like a sentence, `block.bore.3.mid.thrust`.
    pub path: String,
    /// The same in words: "bore 3, mid, thrust".
    pub label: String,
    /// Part that carries it and on which operations are recorded, `block`, `rod.2`.
    pub part: String,
    /// Kind of place, `block.bore`; places of one kind are compared with each other.
    pub family: &'static str,
    /// Row instance the place belongs to (cylinder, journal, valve): `3`, `2`, `intake.4a`.
    pub instance: String,
    /// Piston that stands in the cylinder where it is read, 1 first; none where it is not read in a cylinder.
    #[serde(skip)]
    pub piston: Option<u32>,
    /// Cylinder that it belongs to, 1 first; none where it is of no cylinder alone.
    #[serde(skip)]
    pub cylinder: Option<u32>,
    /// Crank throw of that cylinder or crank pin, 1 first.
    #[serde(skip)]
    pub throw: Option<u32>,
    /// Deck that it stands under, as in paths; empty where none.
    #[serde(skip)]
    pub deck: String,
    /// Head that it stands under, as in paths; empty where none.
    #[serde(skip)]
    pub head: String,
    /// What is measured there.
    pub dimension: Dimension,
    /// Material whose expansion corrects a length, where the part's material is known.
    pub material: Option<Material>,
    /// Nominal value in SI, where the document says it.
    pub nominal: Option<f64>,
    /// May the value be negative?
    pub signed: bool,
    /// Kind of gauge that is usual here.
    pub gauge: InstrumentKind,
    /// Kinds of gauge whose readings can settle what is asked here.
    pub settles: &'static [InstrumentKind],
    /// Table it stands in.
    pub table: usize,
    /// Row in that table.
    pub row: usize,
    /// Column in that table.
    pub column: usize,
}

impl Feature {
    /// Is it of the cylinder of that number?
    pub fn cylinder_is(&self, number: &str) -> bool {
        self.cylinder.is_some() && number.parse() == Ok(self.cylinder.unwrap_or_default())
    }

    /// Is this path the place itself or above it: `block.bore.2` of `block.bore.2.mid.thrust`?
    pub fn is_below(&self, path: &str) -> bool {
        let rest = self.path.strip_prefix(path);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    }

    /// Would one name a gauge of this kind for this place? As what settles it, save that a micrometer reads sizes from the
    /// outside: readings of a bore by an inside micrometer are taken, but nobody is sent to a bore with a micrometer.
    pub fn advises(&self, kind: InstrumentKind) -> bool {
        let inside = self.gauge == InstrumentKind::BoreGauge;
        self.settles.contains(&kind) && !(inside && kind == InstrumentKind::Micrometer)
    }
}

/// One table of readings on a sheet, in the order of the hand.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Table {
    /// Short unique name, used in addresses: `bores`.
    pub id: &'static str,
    /// Sheet on which it stands.
    pub sheet: Sheet,
    /// Title.
    pub title: String,
    /// What the rows are: "cylinder", "main".
    pub row_name: &'static str,
    /// Row labels.
    pub rows: Vec<String>,
    /// Column labels.
    pub columns: Vec<String>,
    /// Index of the feature in each cell, row by row; None where there is nothing to read.
    pub cells: Vec<Vec<Option<usize>>>,
    /// Kind of gauge that is usual at its first column; a guide beside its stem takes another, see [`Feature::gauge`].
    pub gauge: InstrumentKind,
    /// How the part has to be held.
    pub held: Vec<Held>,
    /// Decimals of a metric reading.
    pub decimals: usize,
    /// A remark for the hand: how and where.
    pub hint: &'static str,
    /// What can hurt here; empty where there is nothing.
    pub caution: &'static str,
}

/// All tables and features of one engine.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Catalogue {
    /// Tables in the order of the job.
    pub tables: Vec<Table>,
    /// Features.
    pub features: Vec<Feature>,
    #[serde(skip)]
    index: HashMap<String, usize>,
}

impl Catalogue {
    /// The places of the engine that a document describes. Without a number of cylinders there are none.
    pub fn of(document: &Document) -> Self {
        build::catalogue(document)
    }

    /// Number of a feature.
    pub fn find(&self, path: &str) -> Option<usize> {
        self.index.get(path).copied()
    }

    /// A feature by its path.
    pub fn feature(&self, path: &str) -> Option<&Feature> {
        self.find(path).map(|i| &self.features[i])
    }

    /// Known path nearest to a wrong one.
    pub fn nearest(&self, path: &str) -> Option<&str> {
        self.features
            .iter()
            .map(|f| (strsim::jaro_winkler(path, &f.path), f.path.as_str()))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .filter(|(likeness, _)| *likeness > 0.7)
            .map(|(_, path)| path)
    }

    /// Is something read at a part, a place or a row of that name?
    pub fn is_read(&self, name: &str) -> bool {
        self.features.iter().any(|f| f.instance == name || f.part == name || f.is_below(name))
    }

    /// Tables of a sheet.
    pub fn tables_of(&self, sheet: Sheet) -> impl Iterator<Item = &Table> {
        self.tables.iter().filter(move |t| t.sheet == sheet)
    }

    /// Features of a table, row by row.
    pub fn features_of<'a>(&'a self, table: &'a Table) -> impl Iterator<Item = &'a Feature> + Clone {
        table.cells.iter().flatten().flatten().map(|&i| &self.features[i])
    }
}
