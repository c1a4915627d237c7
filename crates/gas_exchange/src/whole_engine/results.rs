//! What a converged cycle says.

use crate::cylinder::temperatures::WallTemperatures;

/// One cylinder over one cycle.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CylinderResult {
    /// Indicated work of the whole cycle, J.
    pub indicated_work: f64,
    /// Work of the exhaust and intake strokes, J (negative: it costs).
    pub pumping_work: f64,
    /// Air through the intake valves, less what went back, kg: also what passes straight through while both valves are open.
    pub air: f64,
    /// Fuel given, kg.
    pub fuel: f64,
    /// Burned gas from the cycle before in the charge at intake closing, share of mass.
    pub residual: f64,
    /// Air to fuel of the trapped charge against the chemically exact one.
    pub trapped_lambda: f64,
    /// Peak pressure of the mean cycle, Pa, and its angle, rad after top dead centre.
    pub peak_pressure: f64,
    /// rad after top dead centre.
    pub peak_angle: f64,
    /// Peak pressure of a strong cycle (two standard deviations), Pa; none for a motored cylinder.
    pub strong_peak_pressure: Option<f64>,
    /// Half of the charge burned, rad after top dead centre.
    pub half_burned: f64,
    /// From 10 to 90 % burned, rad.
    pub burn_duration: f64,
    /// Knock integral of the end gas (1: border).
    pub knock_integral: f64,
    /// Timing was put later because of knock.
    pub knock_limited: bool,
    /// Pressure at intake closing, Pa.
    pub closing_pressure: f64,
    /// Temperature at intake closing, K.
    pub closing_temperature: f64,
    /// Temperature at exhaust opening, K.
    pub opening_temperature: f64,
    /// Heat to all walls, J.
    pub wall_heat: f64,
    /// Temperatures of crown, rings, liner, head, valves and plug that follow from it by a simple network.
    pub walls: Option<WallTemperatures>,
    /// Gas past the rings, kg.
    pub blow_by: f64,
}

/// Turbocharger over one cycle.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RotorResult {
    /// rad/s.
    pub speed: f64,
    /// Pressure ratio of the compressor.
    pub pressure_ratio: f64,
    /// Air through one compressor, kg/s.
    pub mass_flow: f64,
    /// The same at the map's reference state, kg/s.
    pub corrected_flow: f64,
    /// Compressor power of one, W.
    pub power: f64,
    /// Share of the exhaust that goes through the wastegate.
    pub wastegate_share: f64,
    /// Wastegate shut and the boost below its target.
    pub gate_shut_short: bool,
    /// Wastegate fully open and the boost above its target.
    pub gate_open_over: bool,
    /// Share by which the flow can fall at this speed until the surge line (negative: beyond it, share of the line's flow that lacks).
    pub surge_margin: f64,
    /// Distance to choke, share of the choke flow (negative: beyond).
    pub choke_margin: f64,
    /// Distance to the greatest speed of the map, share of it (negative: beyond).
    pub speed_margin: f64,
    /// The rotor was asked to turn as fast as the map is read or faster: no point of operation.
    pub at_end_of_map: bool,
    /// Pressure before the compressor (behind a restrictor), mean over the cycle, Pa.
    pub inlet_pressure: f64,
    /// Temperature there, K.
    pub inlet_temperature: f64,
    /// Pressure behind the compressor, mean over the cycle, Pa.
    pub outlet_pressure: f64,
    /// Temperature of the air that leaves the compressor, mean by mass, K.
    pub outlet_temperature: f64,
    /// Behind the charge cooler, before the throttle, Pa; none where there is no cooler.
    pub cooler_pressure: Option<f64>,
    /// K, there.
    pub cooler_temperature: Option<f64>,
    /// Turbine inlet pressure, mean over the cycle, Pa.
    pub turbine_pressure: f64,
    /// Temperature of the gas that enters the turbine, mean by mass, K.
    pub turbine_temperature: f64,
    /// Turbine power left over, share of the compressor's.
    pub imbalance: f64,
    /// Boost below its target, share of it (negative: above).
    pub boost_error: f64,
}

/// How far the cycle repeats itself, and how the books close.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Closure {
    /// Cycles run.
    pub cycles: u32,
    /// Greatest relative change of air, work, pressures and rotor speed from the cycle before.
    pub drift: f64,
    /// The drift came below what was asked for.
    pub converged: bool,
    /// Mass that the books miss, share of the mass through the engine.
    pub mass_residual: f64,
    /// Energy that the books miss, share of the fuel's energy (motored: of the ambient pressure times the swept volume).
    pub energy_residual: f64,
    /// Steps in the last cycle.
    pub steps: u64,
    /// Evaluations of the boundary equations in the last cycle.
    pub evaluations: u64,
}

/// One operating point.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OperatingPoint {
    /// Crank speed, rad/s.
    pub speed: f64,
    /// At the flywheel, N m.
    pub torque: f64,
    /// W.
    pub power: f64,
    /// Mean effective pressures, Pa: indicated over the whole cycle.
    pub indicated_mean_pressure: f64,
    /// Of the gas exchange.
    pub pumping_mean_pressure: f64,
    /// Of friction.
    pub friction_mean_pressure: f64,
    /// At the flywheel.
    pub brake_mean_pressure: f64,
    /// Air against the swept volume filled at the state of the air outside.
    pub volumetric_efficiency: f64,
    /// Air against the swept volume filled at the state in the plenum.
    pub plenum_volumetric_efficiency: f64,
    /// kg/s.
    pub air_flow: f64,
    /// kg/s.
    pub fuel_flow: f64,
    /// Fuel for the power, kg/J.
    pub specific_consumption: f64,
    /// Mean plenum pressure, Pa (the air outside where there is no plenum).
    pub plenum_pressure: f64,
    /// K.
    pub plenum_temperature: f64,
    /// Mean temperature of the exhaust by energy where the pipes meet, K.
    pub exhaust_temperature: f64,
    /// Pa, there.
    pub exhaust_pressure: f64,
    /// Share of the air of a cylinder that passed its own throttle while that was choked, the largest of all cylinders; none where
    /// runners have no throttles of their own.
    pub choked_air: Option<f64>,
    /// Each cylinder.
    pub cylinders: Vec<CylinderResult>,
    /// Turbocharger.
    pub rotor: Option<RotorResult>,
    /// Books.
    pub closure: Closure,
}

/// Pressure and temperature over one cycle, for plots; one entry for each whole degree of the crank.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Trace {
    /// Crank angle of the samples, rad.
    pub angle: Vec<f64>,
    /// Pressure in each cylinder, Pa.
    pub pressure: Vec<Vec<f64>>,
    /// Temperature in each cylinder, K.
    pub temperature: Vec<Vec<f64>>,
    /// Volume of each cylinder, m³.
    pub volume: Vec<Vec<f64>>,
    /// Flow into each cylinder through its intake valves, kg/s.
    pub intake_flow: Vec<Vec<f64>>,
    /// Flow out of each cylinder through its exhaust valves, kg/s.
    pub exhaust_flow: Vec<Vec<f64>>,
    /// Centres of the cells of the intake duct of the cylinder that is drawn, m from the valve; its open end holds the end
    /// correction.
    pub intake_cells: Vec<f64>,
    /// Mean diameter of each of them, m.
    pub intake_diameters: Vec<f64>,
    /// The same of its exhaust duct, m from the valve.
    pub exhaust_cells: Vec<f64>,
    /// m.
    pub exhaust_diameters: Vec<f64>,
    /// Pressure in the ducts of the cylinder that is drawn: for each sample, each cell, Pa.
    pub intake_duct: Vec<Vec<f64>>,
    /// The same in its exhaust duct.
    pub exhaust_duct: Vec<Vec<f64>>,
}
