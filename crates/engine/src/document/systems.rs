//! What surrounds the engine: duty, oil, air, fuel, ignition.

use super::breathing::FuelKind;
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
    /// Absolute pressure in the intake at the duty. It only says whether the engine is boosted (above 1.2 bar), for the usual ring
    /// gaps and piston clearances where no limit is stated and for what is advised. Power is computed from
    /// `ambient_pressure` and, with a turbocharger, from its `plenum_pressure`.
    pub intake_pressure: Option<Pressure>,
    /// Temperature of the charge in the intake at the duty. It only says at which density the pressure loss of a
    /// turbocharger's intercooler is stated. Power is computed from `ambient_temperature`.
    pub intake_temperature: Option<Temperature>,
    /// Pressure of the air outside, absolute.
    pub ambient_pressure: Option<Pressure>,
    /// Temperature of the air outside.
    pub ambient_temperature: Option<Temperature>,
    /// Relative humidity of the air outside.
    pub humidity: Option<Ratio>,
    /// Temperature of the top ring at full load, mean round its length.
    pub top_ring_temperature: Option<Temperature>,
    /// Standard uncertainty (k = 1, half of a stated ±) of that temperature.
    pub top_ring_temperature_spread: Option<crate::quantity::TemperatureDifference>,
    /// Temperature of the second ring at full load; without it, from top ring and bore.
    pub second_ring_temperature: Option<Temperature>,
    /// Temperature of the bore where the top ring turns round.
    pub bore_temperature: Option<Temperature>,
    /// Standard uncertainty (k = 1, half of a stated ±) of that temperature.
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
    /// Discharge coefficient of an open throttle.
    pub throttle_coefficient: Option<Ratio>,
    /// Diameter of the air restrictor in front of everything.
    pub restrictor: Option<Length>,
    /// Discharge coefficient of the restrictor.
    pub restrictor_coefficient: Option<Ratio>,
    /// Discharge coefficient of a runner's mouth.
    pub mouth: Option<Ratio>,
    /// Length that the air before a runner's mouth adds to it, in radii of the mouth.
    pub end_correction: Option<Ratio>,
    /// Distance of the injectors from the valve.
    pub injector_distance: Option<Length>,
}

/// Exhaust side.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Exhaust {
    /// Port and primary of each cylinder, from the valve outward.
    pub primary: Vec<Duct>,
    /// Pipes behind the primaries.
    pub collector: Vec<Duct>,
    /// Volume in which the primaries of a group meet.
    pub junction: Option<Volume>,
    /// Free diameter of what lies behind the last pipe or the turbine (silencer, tail pipe).
    pub outlet: Option<Length>,
    /// Angle between the axis of each primary and that of the pipe behind where they meet (0: straight on). Without it the whole
    /// velocity head is taken as lost there.
    pub junction_angle: Option<Angle>,
    /// Discharge coefficient of a pipe's mouth at a junction without a stated angle.
    pub mouth: Option<Ratio>,
    /// Length that the air outside adds to the last pipe, in its radii.
    pub end_correction: Option<Ratio>,
    /// Highest temperature before the turbine or in the collector that the builder allows.
    pub greatest_temperature: Option<Temperature>,
    /// Cylinders that meet in each collector.
    pub groups: Option<Vec<Vec<u32>>>,
    /// Pressure before the turbine, absolute.
    pub turbine_inlet_pressure: Option<Pressure>,
    /// Temperature before the turbine.
    pub turbine_inlet_temperature: Option<Temperature>,
}

/// Fuel.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Fuel {
    /// What it is, in the shop's words.
    pub name: String,
    /// Which kind it is; an ethanol blend where only `ethanol` is given.
    pub kind: Option<FuelKind>,
    /// Share of ethanol by volume.
    pub ethanol: Option<Ratio>,
    /// Research octane number of its data sheet; where nothing is stated that of a compilation for its kind stands.
    pub research_octane_number: Option<Ratio>,
    /// Motor octane number of its data sheet.
    pub motor_octane_number: Option<Ratio>,
    /// Weight K of the motor number: research − K (research − motor) stands for the fuel; 0 where nothing is stated, 1 where only
    /// the motor number counts, often below 0 in boosted engines (Kalghatgi, from memory).
    pub motor_octane_weight: Option<Ratio>,
    /// λ: air–fuel ratio over the stoichiometric one.
    pub lambda: Option<Ratio>,
    /// Speeds of the list below, rising, where the mixture goes with the speed.
    pub lambda_speed: Vec<Speed>,
    /// λ at each of these speeds.
    pub lambda_at_speed: Vec<Ratio>,
    /// Flow at full load.
    pub flow: Option<VolumeFlow>,
    /// Injectors of each cylinder.
    pub injectors: Option<u32>,
    /// Flow of one injector.
    pub injector_flow: Option<VolumeFlow>,
    /// Share of the fuel that evaporates in the port.
    pub port_evaporation: Option<Ratio>,
    /// Share of the latent heat that the charge gives; hot walls and valves give the rest.
    pub charge_cooling: Option<Ratio>,
    /// Most that the fuel pump gives at the rail pressure.
    pub pump_flow: Option<VolumeFlow>,
    /// Share of the cycle for which an injector may be open; 0.90 is common practice, no source.
    pub greatest_duty: Option<Ratio>,
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
