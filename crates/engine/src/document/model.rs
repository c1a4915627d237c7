//! The engine document: what a person writes about one engine. Every size is optional; what is missing yields
//! findings that name what to measure, never an error.

use super::breathing::{Burn, Calibration, FlowBench, Turbocharger};
use super::limits::Limits;
use super::parts::{
    Block, Cams, Crank, Fasteners, Gasket, Head, Masses, Pins, Pistons, Rings, Rods, Shells, Springs, Valves,
};
use super::systems::{Duty, Exhaust, Fuel, Ignition, Intake, Oil};
use super::workshop::{Instrument, OperationEntry, ReadingEntry, Shop};
use crate::quantity::{Angle, Length, UnitSystem};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The format version that this program writes and reads; older ones are migrated first.
pub const FORMAT_VERSION: u32 = 2;

/// One engine.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Document {
    /// Format version of this file; 1 today.
    pub crosshatch: u32,
    /// Name and notes.
    pub engine: About,
    /// Cylinders, banks, crank throws, firing order.
    pub layout: Layout,
    /// What the engine must do.
    pub duty: Duty,
    /// Cylinder block.
    pub block: Block,
    /// Crankshaft.
    pub crank: Crank,
    /// Main bearing shells.
    pub main_shells: Shells,
    /// Connecting rods.
    pub rods: Rods,
    /// Rod bearing shells.
    pub rod_shells: Shells,
    /// Pistons.
    pub pistons: Pistons,
    /// Piston pins.
    pub pins: Pins,
    /// Piston rings.
    pub rings: Rings,
    /// Masses that move and are matched.
    pub masses: Masses,
    /// Cylinder head and chambers.
    pub head: Head,
    /// Head gasket.
    pub gasket: Gasket,
    /// Valves and guides, intake and exhaust.
    pub valves: Valves,
    /// Valve springs.
    pub springs: Springs,
    /// Camshafts and lash adjustment.
    pub cams: Cams,
    /// Bolts and studs.
    pub fasteners: Fasteners,
    /// Oil system.
    pub oil: Oil,
    /// Intake side.
    pub intake: Intake,
    /// Exhaust side.
    pub exhaust: Exhaust,
    /// Turbocharger; leave out where there is none.
    pub turbocharger: Option<Turbocharger>,
    /// Fuel.
    pub fuel: Fuel,
    /// Ignition.
    pub ignition: Ignition,
    /// How the charge burns.
    pub burn: Burn,
    /// Flow bench: its state, and flows of the drawn ports.
    pub flow_bench: FlowBench,
    /// Named factors of the power model; each is 1 where it changes nothing.
    pub power: Calibration,
    /// Allowed ranges and where they come from.
    pub limits: Limits,
    /// Gauges, by the name written beside each reading.
    pub instruments: BTreeMap<String, Instrument>,
    /// Stock on hand, prices, lead times.
    pub shop: Shop,
    /// What was done to parts, in the order in which it was done.
    pub operations: Vec<OperationEntry>,
    /// Readings; they may also stand in a CSV beside the document or in the store.
    pub readings: Vec<ReadingEntry>,
}

/// Name and notes.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct About {
    /// What the shop calls this engine.
    pub name: String,
    /// Yes for an invented example: every page then says so.
    pub invented: bool,
    /// Why it is here, what happened to it.
    pub note: String,
    /// Units in which sizes are shown.
    pub units: UnitSystem,
}

/// How the cylinders stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Arrangement {
    /// All cylinders in one row.
    Inline,
    /// Two banks at an angle.
    Vee,
    /// Two banks lying opposite.
    Flat,
}

/// Cylinders, banks, throws, firing order.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Layout {
    /// Inline, vee or flat.
    pub arrangement: Option<Arrangement>,
    /// Number of cylinders, 1 to 12.
    pub cylinders: Option<u32>,
    /// Angle between the banks of a vee; 180 deg for a flat engine.
    pub bank_angle: Option<Angle>,
    /// Cylinder numbers of each bank from the front; derived when left out.
    pub banks: Option<Vec<Vec<u32>>>,
    /// Firing order, every cylinder once.
    pub firing_order: Option<Vec<u32>>,
    /// Where each throw stands, from the front: ahead of throw 1 in the direction of turning; derived when left out.
    pub throws: Option<Vec<Angle>>,
    /// Throw that carries each cylinder, cylinder 1 first; derived when left out.
    pub throw_of_cylinder: Option<Vec<u32>>,
    /// Distance between neighbouring bores of one bank.
    pub pitch: Option<Length>,
    /// Bore of the finished engine.
    pub bore: Option<Length>,
    /// Stroke.
    pub stroke: Option<Length>,
    /// Intake valves of each cylinder.
    pub intake_valves: Option<u32>,
    /// Exhaust valves of each cylinder.
    pub exhaust_valves: Option<u32>,
    /// Main bearings; one more than the throws when left out.
    pub main_bearings: Option<u32>,
}
