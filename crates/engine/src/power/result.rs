//! What comes out of a run: a plain value, SI, that can be kept as text.

use super::request::Request;
use super::specification::SpecInput;
use crate::features::Side;
use crate::quantity::UnitSystem;
use serde::{Deserialize, Serialize};

/// One run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PowerRun {
    /// Version of this layout.
    pub format: u32,
    /// Name of the engine.
    pub engine: String,
    /// What was asked.
    pub request: Request,
    /// What it was computed from.
    pub inputs: Vec<SpecInput>,
    /// What was left out because nobody stated it.
    pub left_out: Vec<String>,
    /// Points that were reached, in the order of speed.
    pub points: Vec<PowerPoint>,
    /// Points that were not.
    pub failures: Vec<Failure>,
    /// Somebody stopped it.
    pub stopped: bool,
    /// Corrected power over power as run.
    pub correction_factor: f64,
    /// Which correction, or why none.
    pub correction_note: String,
    /// Compressor map with the operating points on it.
    pub map: Option<MapLines>,
    /// Flow of the valves of cylinder 1.
    pub valve_flow: Vec<ValveFlow>,
    /// Any named factor away from 1.
    pub calibrated: bool,
    /// What the calibration left unexplained, share of torque (one standard deviation); none where nothing was calibrated.
    pub residual: Option<f64>,
}

/// Places of a computed gas pressure: a curve is worth [`super::UNCALIBRATED_BAND`] where it is not calibrated, so that 0.01 bar and 0.1 psi are the second
/// figure of its uncertainty, the last that is worth showing (GUM 7.2.6). A mean effective pressure, ten times as large, has one less.
pub const fn pressure_decimals(units: UnitSystem) -> usize {
    match units {
        UnitSystem::Metric => 2,
        UnitSystem::Inch => 1,
    }
}

impl PowerRun {
    /// The points whose cycle repeats itself: what is judged. The others are drawn, marked, and judged by nobody.
    pub fn settled(&self) -> impl Iterator<Item = &PowerPoint> {
        self.points.iter().filter(|point| point.closure.converged)
    }
}

/// A point that was not reached.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Failure {
    /// rad/s.
    pub speed: f64,
    /// Where and why, in words.
    pub why: String,
}

/// Share by which the flow can fall until the surge line, or lacks beyond it, at which a map as it is read and an uncalibrated flow cannot tell one side from the
/// other. Judgement.
pub(super) const SURGE_DOUBT: f64 = 0.05;

/// What limits or warns at a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// The knock integral reaches its border, or timing was put later for it.
    Knock,
    /// Left of the surge line.
    Surge,
    /// Beyond the last point of the map.
    Choke,
    /// The rotor turns faster than the maker allows.
    Overspeed,
    /// Wastegate shut and the boost short of its target.
    BoostShort,
    /// Wastegate fully open and the boost above its target.
    BoostOver,
    /// Injectors open longer than is allowed.
    InjectorDuty,
    /// The pump gives less than is needed.
    PumpFlow,
    /// One cylinder runs leaner than the others.
    LeanCylinder,
    /// Exhaust hotter than is allowed.
    ExhaustTemperature,
    /// The intake valves are small for the speed: Mach index above [`super::INLET_MACH`].
    InletMach,
    /// Restrictor or open throttle pass nearly all that they can.
    ChokedThroat,
    /// The gas exchange takes more than a tenth of the work.
    Pumping,
    /// The cycle did not repeat itself.
    NotConverged,
}

impl Flag {
    /// It holds the power down or forbids more; a cylinder that differs from the others does not.
    pub fn is_limit(self) -> bool {
        self != Self::LeanCylinder
    }

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Knock => "knock",
            Self::Surge => "compressor surge",
            Self::Choke => "compressor choke",
            Self::Overspeed => "turbocharger overspeed",
            Self::BoostShort => "boost short of its target",
            Self::BoostOver => "boost above its target",
            Self::InjectorDuty => "injectors open too long",
            Self::PumpFlow => "fuel pump",
            Self::LeanCylinder => "a lean cylinder",
            Self::ExhaustTemperature => "exhaust temperature",
            Self::InletMach => "intake valves near choking",
            Self::ChokedThroat => "a choked restrictor or throttle",
            Self::Pumping => "work of the gas exchange",
            Self::NotConverged => "the cycle did not settle",
        }
    }
}

/// One speed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PowerPoint {
    /// rad/s.
    pub speed: f64,
    /// N m, as run.
    pub torque: f64,
    /// W, as run.
    pub power: f64,
    /// N m.
    pub corrected_torque: f64,
    /// W.
    pub corrected_power: f64,
    /// Indicated mean effective pressure, Pa.
    pub imep: f64,
    /// Of the gas exchange, Pa (negative: it costs).
    pub pmep: f64,
    /// Of friction, Pa.
    pub fmep: f64,
    /// At the flywheel, Pa.
    pub bmep: f64,
    /// Against the air outside.
    pub volumetric_efficiency: f64,
    /// Against the plenum.
    pub plenum_volumetric_efficiency: f64,
    /// kg/s.
    pub air_flow: f64,
    /// kg/s.
    pub fuel_flow: f64,
    /// kg/J.
    pub specific_consumption: f64,
    /// Pa.
    pub plenum_pressure: f64,
    /// K.
    pub plenum_temperature: f64,
    /// Pa.
    pub exhaust_pressure: f64,
    /// K.
    pub exhaust_temperature: f64,
    /// Share of the cycle for which the injectors are open, in the mean of the cylinders, by their steady flow; their dead time and the
    /// fluid and pressure of their bench are not in it.
    pub injector_duty: Option<f64>,
    /// Share of what the pump gives.
    pub pump_share: Option<f64>,
    /// Mean inlet Mach index of the cylinder whose intake valves are smallest for it; none in results of older programs.
    #[serde(default)]
    pub inlet_mach: Option<f64>,
    /// Air over the most that the restrictor, or the open throttle, can pass; the larger of both.
    #[serde(default)]
    pub throat_share: Option<f64>,
    /// Share of the air of a cylinder that passes its own throttle while that is choked, the largest of all cylinders; none where
    /// one throttle serves all, and in results of older programs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub choked_air: Option<f64>,
    /// Each cylinder.
    pub cylinders: Vec<CylinderPoint>,
    /// Turbocharger.
    pub rotor: Option<RotorPoint>,
    /// Books.
    pub closure: ClosurePoint,
    /// What limits or warns.
    pub flags: Vec<Flag>,
    /// Over the crank angle.
    pub trace: Option<PowerTrace>,
}

/// One cylinder at one speed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct CylinderPoint {
    /// 1 first.
    pub number: u32,
    /// J.
    pub indicated_work: f64,
    /// kg a cycle.
    pub air: f64,
    /// kg a cycle.
    pub fuel: f64,
    /// Burned gas of the cycle before, share of mass.
    pub residual: f64,
    /// Air to fuel of the trapped charge against the exact ratio.
    pub trapped_lambda: f64,
    /// Pa.
    pub peak_pressure: f64,
    /// rad after top dead centre.
    pub peak_angle: f64,
    /// rad after top dead centre.
    pub half_burned: f64,
    /// 1 is the border.
    pub knock_integral: f64,
    /// Timing was put later because of knock.
    pub knock_limited: bool,
    /// Pa.
    pub closing_pressure: f64,
    /// K.
    pub closing_temperature: f64,
    /// K.
    pub opening_temperature: f64,
    /// J a cycle.
    pub wall_heat: f64,
    /// kg a cycle; none where it is not computed, for want of gaps or crevice, or since a ring butts.
    pub blow_by: Option<f64>,
    /// Peak pressure of a strong cycle (two standard deviations), Pa.
    pub strong_peak_pressure: Option<f64>,
}

/// Turbocharger at one speed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct RotorPoint {
    /// rad/s.
    pub speed: f64,
    /// Of the compressor.
    pub pressure_ratio: f64,
    /// kg/s at the map's reference state.
    pub corrected_flow: f64,
    /// kg/s, one compressor.
    pub mass_flow: f64,
    /// W, one compressor.
    pub power: f64,
    /// Share of the exhaust through the wastegate.
    pub wastegate_share: f64,
    /// Share by which the flow can fall at this speed until the surge line; below 0: beyond it, the share of the line's flow that lacks.
    pub surge_margin: f64,
    /// Below 0: beyond.
    pub choke_margin: f64,
    /// Below 0: beyond.
    pub speed_margin: f64,
    /// Before the compressor, behind a restrictor where there is one, mean over the cycle, Pa; none in results of older programs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inlet_pressure: Option<f64>,
    /// The same, K.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inlet_temperature: Option<f64>,
    /// Behind the compressor, mean over the cycle, Pa; this and the others here are none in results of older programs.
    #[serde(default)]
    pub outlet_pressure: Option<f64>,
    /// Air that leaves the compressor, K.
    #[serde(default)]
    pub outlet_temperature: Option<f64>,
    /// Behind the charge cooler, Pa; none without one.
    #[serde(default)]
    pub cooler_pressure: Option<f64>,
    /// Behind the charge cooler, K.
    #[serde(default)]
    pub cooler_temperature: Option<f64>,
    /// Before the turbine, mean over the cycle, Pa.
    pub turbine_pressure: f64,
    /// Gas that enters the turbine, mean by mass, K.
    #[serde(default)]
    pub turbine_temperature: Option<f64>,
    /// Boost below its target, share of it.
    pub boost_error: f64,
}

/// How far the cycle repeats itself.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ClosurePoint {
    /// Cycles run.
    pub cycles: u32,
    /// Greatest relative change from the cycle before.
    pub drift: f64,
    /// It came below what was asked.
    pub converged: bool,
    /// Share of the mass through the engine.
    pub mass_residual: f64,
    /// Share of the fuel's energy.
    pub energy_residual: f64,
}

/// One cycle over the crank angle, a sample each degree.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct PowerTrace {
    /// Cylinder whose ducts are kept, 1 first.
    pub cylinder: u32,
    /// rad.
    pub angle: Vec<f64>,
    /// Pa, each cylinder.
    pub pressure: Vec<Vec<f64>>,
    /// K, each cylinder.
    pub temperature: Vec<Vec<f64>>,
    /// m³, each cylinder, without the crevice above the top ring.
    pub volume: Vec<Vec<f64>>,
    /// kg/s, each cylinder.
    pub intake_flow: Vec<Vec<f64>>,
    /// kg/s, each cylinder.
    pub exhaust_flow: Vec<Vec<f64>>,
    /// m from the valve: centres of the cells of the intake duct with its end correction; empty in results of older programs.
    #[serde(default)]
    pub intake_cells: Vec<f64>,
    /// m: mean diameter of each.
    #[serde(default)]
    pub intake_diameters: Vec<f64>,
    /// m from the valve: centres of the cells of the exhaust duct.
    #[serde(default)]
    pub exhaust_cells: Vec<f64>,
    /// m: mean diameter of each.
    #[serde(default)]
    pub exhaust_diameters: Vec<f64>,
    /// Pa: for each sample each cell, from the valve outward.
    pub intake_duct: Vec<Vec<f64>>,
    /// Pa: for each sample each cell, from the valve outward.
    pub exhaust_duct: Vec<Vec<f64>>,
    /// Ducts of the other cylinders, at the one speed for which they were asked.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub others: Vec<DuctTrace>,
}

/// Every how many samples of a trace the ducts of the other cylinders are kept: a wave passes a cell in some 2° of the crank at 6,000
/// rev/min, and a page draws every 6°.
pub(super) const DUCTS_EVERY: usize = 4;

/// Pressure along the ducts of one further cylinder.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct DuctTrace {
    /// 1 first.
    pub cylinder: u32,
    /// rad.
    pub angle: Vec<f64>,
    /// m from the valve: centres of the cells of the intake duct with its end correction.
    pub intake_cells: Vec<f64>,
    /// m: mean diameter of each.
    pub intake_diameters: Vec<f64>,
    /// m from the valve: centres of the cells of the exhaust duct.
    pub exhaust_cells: Vec<f64>,
    /// m: mean diameter of each.
    pub exhaust_diameters: Vec<f64>,
    /// Pa: for each sample each cell, from the valve outward.
    pub intake_duct: Vec<Vec<f64>>,
    /// Pa: for each sample each cell, from the valve outward.
    pub exhaust_duct: Vec<Vec<f64>>,
}

/// Compressor map for the plot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MapLines {
    /// Pa.
    pub reference_pressure: f64,
    /// K.
    pub reference_temperature: f64,
    /// rad/s, corrected.
    pub greatest_speed: f64,
    /// Slowest first.
    pub lines: Vec<MapLine>,
}

/// One speed line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MapLine {
    /// rad/s, corrected.
    pub speed: f64,
    /// Corrected flow in kg/s, pressure ratio, efficiency, from surge to choke.
    pub points: Vec<[f64; 3]>,
}

/// Flow of the valves of one side.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ValveFlow {
    /// Side.
    pub side: Side,
    /// m.
    pub lift: Vec<f64>,
    /// Effective area of one valve at each lift, m².
    pub area: Vec<f64>,
    /// The same over the curtain π D L.
    pub coefficient: Vec<f64>,
    /// rad after firing top dead centre.
    pub crank: Vec<f64>,
    /// Lift at each crank angle, m.
    pub valve_lift: Vec<f64>,
}
