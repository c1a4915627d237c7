//! What the gas-exchange computation needs beyond the parts: burn, flow bench, compressor map, turbine, cooler, and the named
//! factors by which a calibration may move the model.

use crate::quantity::{
    Angle, Area, Inertia, Length, MassFlow, Pressure, Ratio, Speed, Temperature, Volume, VolumeFlow,
};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Turbocharger.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Turbocharger {
    /// How many, side by side.
    pub count: Option<u32>,
    /// Absolute pressure aimed at in the plenum.
    pub plenum_pressure: Option<Pressure>,
    /// Speeds of the list below, rising, where the pressure aimed at goes with the speed.
    pub plenum_pressure_speed: Vec<Speed>,
    /// Absolute pressure aimed at in the plenum at each of these speeds.
    pub plenum_pressure_at_speed: Vec<Pressure>,
    /// Inertia of one rotor.
    pub inertia: Option<Inertia>,
    /// Share of the turbine's power that reaches the compressor.
    pub mechanical_efficiency: Option<Ratio>,
    /// Pressure to which the compressor map is corrected, absolute.
    pub reference_pressure: Option<Pressure>,
    /// Temperature to which the compressor map is corrected.
    pub reference_temperature: Option<Temperature>,
    /// Highest corrected speed that the maker allows.
    pub greatest_speed: Option<Speed>,
    /// Speed lines of the compressor map, slowest first.
    pub compressor: Vec<CompressorLine>,
    /// Turbine.
    pub turbine: TurbineData,
    /// Diameter of the hole that the wastegate opens, all units together (its effective area counts).
    pub wastegate: Option<Length>,
    /// Volume of the pipes between compressor and intercooler.
    pub charge_pipe: Option<Volume>,
    /// Volume between turbine and tail pipe.
    pub outlet: Option<Volume>,
    /// Intercooler; leave out where there is none.
    pub cooler: Option<CoolerData>,
}

/// One speed line of a compressor map: three lists of equal length, from surge to choke.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct CompressorLine {
    /// Corrected speed.
    pub speed: Option<Speed>,
    /// Corrected mass flow of each point.
    pub flow: Vec<MassFlow>,
    /// Total pressure ratio of each point.
    pub pressure_ratio: Vec<Ratio>,
    /// Isentropic efficiency of each point.
    pub efficiency: Vec<Ratio>,
}

/// Turbine: either its effective area or map points, and its efficiency.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct TurbineData {
    /// Effective nozzle area of one unit, all its inlets together.
    pub area: Option<Area>,
    /// Expansion ratio of each map point, total to static.
    pub expansion: Vec<Ratio>,
    /// Mass flow of each map point at the reference state.
    pub flow: Vec<MassFlow>,
    /// Pressure before the turbine to which the map flow is corrected.
    pub reference_pressure: Option<Pressure>,
    /// Temperature before the turbine to which the map flow is corrected.
    pub reference_temperature: Option<Temperature>,
    /// Wheel diameter at the gas inlet.
    pub wheel: Option<Length>,
    /// Efficiency at its best speed ratio.
    pub efficiency: Option<Ratio>,
    /// Blade speed over ideal gas speed at which the efficiency is best.
    pub speed_ratio: Option<Ratio>,
    /// Gas inlets of one unit: 1, or 2 for a twin scroll.
    pub inlets: Option<u32>,
}

/// Intercooler.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct CoolerData {
    /// Share of the difference to the coolant that it takes away, at full flow.
    pub effectiveness: Option<Ratio>,
    /// Temperature of the air or water that cools it.
    pub coolant: Option<Temperature>,
    /// Pressure loss at the stated flow, with the plenum pressure aimed at and the duty's intake temperature.
    pub pressure_loss: Option<Pressure>,
    /// Mass flow at which the loss is stated.
    pub loss_flow: Option<MassFlow>,
}

/// Which relation gives the heat to the walls.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HeatRelation {
    /// Woschni, SAE 670931.
    Woschni,
    /// Hohenberg, SAE 790825.
    Hohenberg,
}

/// What decides when the charge burns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum BurnTiming {
    /// Half burned as stated, knock or not.
    Fixed,
    /// Half burned as stated, later where the knock integral asks for it.
    KnockLimited,
}

/// How the charge burns. Lists over speed: one entry holds at all speeds, more go with `speed` one to one.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Burn {
    /// Speeds of the lists below, rising.
    pub speed: Vec<Speed>,
    /// Half of the charge burned, after top dead centre.
    pub half_burned: Vec<Angle>,
    /// Crank angle from 10 % to 90 % burned.
    pub ten_to_ninety: Vec<Angle>,
    /// Wiebe form exponent; 2 is usual.
    pub form: Option<Ratio>,
    /// Share of the fuel in the flame's reach that burns; 0.99 is usual beside a stated crevice above the top ring and 0.98 without
    /// (from memory: 1 to 2.5 % of the fuel escapes in crevices, oil film and deposits).
    pub completeness: Option<Ratio>,
    /// Standard deviation from cycle to cycle of the half-burned angle; 2° is usual at full load (from memory).
    pub half_burned_spread: Option<Angle>,
    /// Standard deviation from cycle to cycle of the burn duration, share of it; 0.06 is usual at full load (from memory).
    pub duration_spread: Option<Ratio>,
    /// Relation for the heat to the walls.
    pub heat: Option<HeatRelation>,
    /// What decides when it burns.
    pub timing: Option<BurnTiming>,
    /// Knock integral that is allowed; 1 is the border.
    pub knock_integral: Option<Ratio>,
    /// Mean surface temperature of the piston crown at full load.
    pub crown_temperature: Option<Temperature>,
    /// Mean surface temperature of the chamber in the head at full load.
    pub chamber_temperature: Option<Temperature>,
    /// Mean surface temperature of the liner at full load.
    pub liner_temperature: Option<Temperature>,
}

/// The state of the flow bench, and a bench sheet of the drawn port where nothing was read on this head.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct FlowBench {
    /// Pressure before the valve less pressure behind it.
    pub depression: Option<Pressure>,
    /// Air before the valve, absolute pressure to which the flows are stated.
    pub pressure: Option<Pressure>,
    /// Air before the valve, temperature to which the flows are stated.
    pub temperature: Option<Temperature>,
    /// Intake ports.
    pub intake: PortFlow,
    /// Exhaust ports.
    pub exhaust: PortFlow,
}

/// Flow of one kind of port over lift: lists of equal length.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct PortFlow {
    /// Valves of the port that were open together; all of the cylinder's when left out.
    pub valves_open: Option<u32>,
    /// Lifts at which the flow is read, rising.
    pub lift: Vec<Length>,
    /// Flow in the usual direction of the drawn port at each lift.
    pub flow: Vec<VolumeFlow>,
    /// Flow against the usual direction at each lift.
    pub reverse: Vec<VolumeFlow>,
    /// Flow against the usual direction as a share of the usual one, where it was not read.
    pub reverse_factor: Option<Ratio>,
    /// Published mean curve that stands in for a bench reading; only where it is named here, and never as a reading.
    pub published: Option<PublishedCurve>,
}

/// A mean curve of flow coefficients over lift/diameter, of many ports and not of this one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum PublishedCurve {
    /// Mean of poppet valves, after Heywood 6.3.2 and Taylor vol. 1 ch. 6, from memory; ports lie within 15 % of it.
    MeanPoppetValve,
}

/// Named factors that calibration may move. Each is 1 where it changes nothing, and there are no others.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Calibration {
    /// Multiplies the friction of the published law.
    pub friction: Option<Ratio>,
    /// Multiplies the heat to the cylinder walls.
    pub heat: Option<Ratio>,
    /// Multiplies the effective area of the intake valves and ports.
    pub intake_flow: Option<Ratio>,
    /// Multiplies the effective area of the exhaust valves and ports.
    pub exhaust_flow: Option<Ratio>,
    /// Multiplies the crank angle from 10 % to 90 % burned.
    pub burn_duration: Option<Ratio>,
    /// Multiplies the ignition delay of the end gas.
    pub knock_delay: Option<Ratio>,
    /// Standard deviation, share of torque, that the calibration left unexplained on speeds that were left out.
    pub residual: Option<Ratio>,
    /// Where these come from: the measured curve, the date.
    pub source: String,
}

/// Which kind of fuel it is; its properties are those of the gas tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FuelKind {
    /// A petrol blend.
    Petrol,
    /// Pure iso-octane.
    IsoOctane,
    /// Ethanol with petrol; `ethanol` says how much.
    EthanolBlend,
    /// Pure ethanol.
    Ethanol,
    /// Pure methanol.
    Methanol,
}
