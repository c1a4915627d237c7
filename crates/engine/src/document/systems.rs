//! What surrounds the engine: duty, oil, air, fuel, ignition.

use crate::quantity::{
    Angle, Displacement, Length, Power, Pressure, Ratio, Speed, Temperature, Torque, Volume, VolumeFlow,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the engine must do.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Duty {
    /// Power wanted.
    pub power: Option<Power>,
    /// Speed at that power.
    pub power_speed: Option<Speed>,
    /// Torque wanted.
    pub torque: Option<Torque>,
    /// Speed at that torque.
    pub torque_speed: Option<Speed>,
    /// Speed limiter.
    pub limiter: Option<Speed>,
    /// Mean peak cylinder pressure.
    pub peak_pressure: Option<Pressure>,
    /// Peak pressure of a strong cycle.
    pub strong_cycle_pressure: Option<Pressure>,
    /// Intake pressure, absolute.
    pub intake_pressure: Option<Pressure>,
    /// Intake temperature.
    pub intake_temperature: Option<Temperature>,
    /// Temperature of the top ring at full load, mean round its length.
    pub top_ring_temperature: Option<Temperature>,
    /// Standard uncertainty of that temperature.
    pub top_ring_temperature_spread: Option<crate::quantity::TemperatureDifference>,
    /// Temperature of the bore where the top ring turns round.
    pub bore_temperature: Option<Temperature>,
    /// Standard uncertainty of that temperature.
    pub bore_temperature_spread: Option<crate::quantity::TemperatureDifference>,
}

/// Oil system.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Oil {
    /// Oil by its SAE J300 grade.
    pub grade: String,
    /// Temperature at the duty.
    pub temperature: Option<Temperature>,
    /// Pump volume for each turn of the crank.
    pub pump: Option<Displacement>,
    /// Volumetric efficiency of the pump.
    pub pump_efficiency: Option<Ratio>,
    /// Relief pressure.
    pub relief: Option<Pressure>,
    /// Piston jets.
    pub jets: Option<u32>,
    /// Diameter of a jet.
    pub jet_diameter: Option<Length>,
    /// Pressure at which the jets open.
    pub jet_opening: Option<Pressure>,
    /// Diameter of the turbocharger feed.
    pub turbo_feed: Option<Length>,
    /// Oil in the sump.
    pub sump: Option<Volume>,
    /// Drains from the head.
    pub drains: Option<u32>,
    /// Diameter of a drain.
    pub drain_diameter: Option<Length>,
}

/// One piece of pipe from one diameter to another.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Duct {
    /// Length.
    pub length: Option<Length>,
    /// Diameter at the cylinder's end.
    pub diameter: Option<Length>,
    /// Diameter at the far end.
    pub far_diameter: Option<Length>,
    /// Wall temperature.
    pub wall: Option<Temperature>,
}

/// Intake side.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Intake {
    /// Port and runner of each cylinder, from the valve outward.
    pub runner: Vec<Duct>,
    /// Plenum volume.
    pub plenum: Option<Volume>,
    /// Throttle diameter.
    pub throttle: Option<Length>,
    /// Throttles, one for each cylinder or one for all.
    pub throttles: Option<u32>,
}

/// Exhaust side.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Exhaust {
    /// Port and primary of each cylinder, from the valve outward.
    pub primary: Vec<Duct>,
    /// Pipes behind the primaries.
    pub collector: Vec<Duct>,
    /// Cylinders that meet in each collector.
    pub groups: Option<Vec<Vec<u32>>>,
    /// Pressure before the turbine, absolute.
    pub turbine_inlet_pressure: Option<Pressure>,
    /// Temperature before the turbine.
    pub turbine_inlet_temperature: Option<Temperature>,
}

/// Turbocharger.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Turbocharger {
    /// How many.
    pub count: Option<u32>,
    /// Boost aimed at, absolute.
    pub boost_target: Option<Pressure>,
}

/// Fuel.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Fuel {
    /// What it is, in the shop's words.
    pub name: String,
    /// Share of ethanol by volume.
    pub ethanol: Option<Ratio>,
    /// Air to fuel against the chemically exact one.
    pub lambda: Option<Ratio>,
    /// Flow at full load.
    pub flow: Option<VolumeFlow>,
    /// Injectors of each cylinder.
    pub injectors: Option<u32>,
    /// Flow of one injector.
    pub injector_flow: Option<VolumeFlow>,
}

/// Ignition.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Ignition {
    /// Advance at the power speed, before top dead centre.
    pub advance: Option<Angle>,
    /// Plugs of each cylinder.
    pub plugs: Option<u32>,
}
