//! The engine document: types, parser with places, JSON Schema, edits that keep comments, migration.

mod limits;
mod model;
mod parts;
mod systems;
mod workshop;

pub use limits::{Decision, Limit, Limits, Origin, Target};
pub use model::{About, Arrangement, Document, FORMAT_VERSION, Layout};
pub use parts::{
    Block, Cams, Crank, Fastener, Fasteners, Gasket, Head, LashAdjustment, Masses, Material, Pins, Pistons,
    Rings, Rods, Shells, Springs, ValveSide, Valves,
};
pub use systems::{Duct, Duty, Exhaust, Fuel, Ignition, Intake, Oil, Turbocharger};
pub use workshop::{
    GasketOption, Held, Instrument, InstrumentKind, OperationEntry, OperationKind, ReadingEntry, ShimSeries,
    Shop, Supply,
};
