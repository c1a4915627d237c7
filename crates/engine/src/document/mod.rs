//! The engine document: types, parser with places, JSON Schema, edits that keep comments, migration.

mod barrels_check;
mod breathing;
mod breathing_check;
mod csv;
mod diagnostic;
mod edit;
mod edit_text;
mod field_unit;
mod figure;
mod firing;
mod issue;
mod layout_check;
mod limits;
mod meaning;
mod migrate;
mod model;
mod not_said;
mod parse;
mod parts;
mod path;
mod proportions;
mod record_check;
mod recover;
mod schema;
mod shape;
mod size_limit;
mod starter;
mod suggest;
mod systems;
mod titles;
mod typed;
mod usual_crank;
mod walk;
mod workshop;

pub use breathing::{
    Burn, BurnTiming, Calibration, CompressorLine, CoolerData, FlowBench, FuelKind, HeatRelation, PortFlow,
    PublishedCurve, TurbineData, Turbocharger,
};
pub(crate) use breathing_check::map_lines;
pub use csv::{CSV_COLUMNS, read_csv, write_csv};
pub use diagnostic::{
    Code, Diagnostic, Excerpt, MAX_DIAGNOSTICS, Severity, Span, has_errors, render_json, render_text,
};
pub use edit::{EditError, EditValue, SECTIONS, append, apply, get, remove, set};
pub use field_unit::field_unit;
pub use figure::parse_any_quantity;
pub use firing::Firing;

pub use limits::{Decision, Limit, Limits, Origin, Target};
pub use meaning::doubtful_sizes;
pub use migrate::Migrated;
pub use model::{About, Arrangement, Document, FORMAT_VERSION, Layout};
pub use parse::{Parsed, parse_document, parse_with_readings, text_of};
pub use parts::{
    Block, Cams, Crank, Cylinders, Fastener, Fasteners, Gasket, Head, LashAdjustment, Masses, Material, Pins,
    Pistons, Rings, Rods, Shells, Springs, ValveSide, Valves,
};
pub use schema::json_schema;
pub use shape::{Field, QuantityShape, Shape, Sign, TableShape, document_shape, shape_at};
pub use size_limit::MAX_BYTES;
pub use starter::{LayoutKind, NewEngine, UnknownLayout, new_document, proposed};
pub use systems::{Duct, Duty, Exhaust, Fuel, Ignition, Intake, Oil};
pub use titles::{field_title, field_words, inside_sentence, key_words, section_title, sentence};
pub use typed::{typed_entries, typed_in_unit, typed_quantity, typed_value};
pub use workshop::{
    GasketOption, Held, Instrument, InstrumentKind, OperationEntry, OperationKind, PART_TEMPERATURES,
    ReadingEntry, ShimSeries, Shop, Supply, is_part_temperature,
};
