//! What a whole engine is made of, in SI units.

use crate::cylinder::CylinderSpec;
use crate::cylinder::burn_estimate::BurnEstimate;
use crate::cylinder::friction::FrictionLaw;
use crate::cylinder::spread::Spread;
use crate::ducts::DuctSpec;
use crate::gas::{Air, Fuel};
use crate::network::ValveGroup;
use crate::turbocharger::{CompressorMap, Turbine};

/// The air outside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ambient {
    /// Pa.
    pub pressure: f64,
    /// K.
    pub temperature: f64,
    /// Water vapour in it.
    pub air: Air,
}

/// One cylinder with what belongs to it alone.
#[derive(Clone, Debug)]
pub struct CylinderUnit {
    /// Sizes, burn, heat transfer.
    pub cylinder: CylinderSpec,
    /// Crank angle at which it fires, rad, 0 up to 4π.
    pub firing: f64,
    /// Intake valves.
    pub intake: ValveGroup,
    /// Exhaust valves.
    pub exhaust: ValveGroup,
    /// Port and runner, from the valve outward.
    pub intake_duct: DuctSpec,
    /// Port and primary pipe, from the valve outward.
    pub exhaust_duct: DuctSpec,
    /// Fuel that its injectors give against the mean of the engine, 1 where they are alike.
    pub fuel_factor: f64,
    /// Distance of the injectors from the valve, m.
    pub injector_distance: f64,
}

/// The intake side beyond the runners.
#[derive(Clone, Debug, PartialEq)]
pub struct IntakeSpec {
    /// Plenum, m³; `None`: each runner ends in the open air (or in its own throttle).
    pub plenum: Option<f64>,
    /// Effective area of the throttle in front of the plenum, or of each runner's own, m²; `None`: there is none.
    pub throttle: Option<f64>,
    /// Effective area of a restrictor in front of everything, m².
    pub restrictor: Option<f64>,
    /// Discharge coefficient of a runner's mouth for gas that enters it, 0 to 1.
    pub mouth: f64,
    /// Length that the air before a runner's mouth adds to it, in radii of the mouth: 0.6133 for a plain pipe (Levine and Schwinger,
    /// 1948), 0.8217 in a wide flange.
    pub end_correction: f64,
}

/// Pipes that meet.
#[derive(Clone, Debug)]
pub struct Collector {
    /// Numbers of its cylinders, from 0.
    pub cylinders: Vec<usize>,
    /// Volume in which they meet, m³.
    pub volume: f64,
    /// Angle between each of its pipes and the pipe behind, rad (0: straight on); `None`: all velocity head is lost there.
    pub angle: Option<f64>,
    /// Pipe behind it, from the junction outward; `None`: the junction is the turbine's inlet or the open air.
    pub duct: Option<DuctSpec>,
}

/// The exhaust side beyond the primaries.
#[derive(Clone, Debug)]
pub struct ExhaustSpec {
    /// Where primaries meet; one for each inlet of the turbine, or as many as there are.
    pub collectors: Vec<Collector>,
    /// Discharge coefficient of a pipe's mouth for gas that enters it from a junction without a stated angle or from outside, 0 to 1.
    pub mouth: f64,
    /// Length that the air outside adds to the last pipe, in its radii (as for the intake).
    pub end_correction: f64,
    /// Effective area of what lies behind the last pipe or the turbine (silencer, tail pipe), m²; `None`: nothing.
    pub outlet: Option<f64>,
}

/// Turbochargers; equal units in parallel count as one with a count.
#[derive(Clone, Debug)]
pub struct TurbochargerUnit {
    /// How many in parallel.
    pub count: f64,
    /// Compressor map.
    pub compressor: CompressorMap,
    /// Turbine.
    pub turbine: Turbine,
    /// Inertia of one rotor, kg m².
    pub inertia: f64,
    /// Share of the turbine's power that reaches the compressor.
    pub mechanical_efficiency: f64,
    /// Boost aimed at in the plenum, Pa absolute.
    pub boost_target: f64,
    /// Boost aimed at over the crank speed (rad/s, Pa absolute), slowest first, straight between and level outside; where it is
    /// not empty it takes the place of `boost_target`.
    pub boost_by_speed: Vec<(f64, f64)>,
    /// Greatest effective area of the wastegate, all units together, m².
    pub wastegate_area: f64,
    /// Volume of the charge pipes between compressor and cooler, m³.
    pub charge_pipe_volume: f64,
    /// Volume between turbine and outlet, m³.
    pub outlet_volume: f64,
    /// Charge cooler; `None`: the pipes lead straight to the plenum.
    pub cooler: Option<Cooler>,
}

/// The points on both sides of a speed and how far it lies between them; the outermost one twice beyond the ends. Slowest first.
fn place<T>(points: &[T], speed_of: impl Fn(&T) -> f64, speed: f64) -> Option<(&T, &T, f64)> {
    let (first, last) = (points.first()?, points.last()?);
    if speed <= speed_of(first) {
        return Some((first, first, 0.0));
    }
    let Some(pair) = points.windows(2).find(|pair| speed < speed_of(&pair[1])) else {
        return Some((last, last, 0.0));
    };
    let (low, high) = (speed_of(&pair[0]), speed_of(&pair[1]));
    Some((&pair[0], &pair[1], (speed - low) / (high - low)))
}

impl TurbochargerUnit {
    /// Boost aimed at in the plenum at a crank speed in rad/s, Pa absolute.
    pub fn boost_at(&self, speed: f64) -> f64 {
        let points = &self.boost_by_speed;
        place(points, |point| point.0, speed)
            .map_or(self.boost_target, |(low, high, share)| low.1 + share * (high.1 - low.1))
    }
}

/// Charge cooler.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cooler {
    /// Share of the difference to the coolant that it takes away, 0 to 1.
    pub effectiveness: f64,
    /// Temperature of the air or water that cools it, K.
    pub coolant: f64,
    /// Pressure loss divided by ṁ² and multiplied by the density of the cooled gas behind it, 1/m⁴.
    pub loss: f64,
}

/// Where ignition or burn stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Timing {
    /// Half of the charge has burned at this angle after top dead centre, rad, knock or not.
    HalfBurned(f64),
    /// As early as this, and later where knock asks for it: half burned at the angle, and the share of the knock integral
    /// that is allowed (1: on the border).
    KnockLimited {
        /// Earliest half-burned angle, rad after top dead centre.
        earliest: f64,
        /// Knock integral allowed.
        integral: f64,
    },
}

/// Burn at one crank speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnPoint {
    /// Crank speed, rad/s.
    pub speed: f64,
    /// Half of the charge burned (knock-limited: at the earliest), rad after top dead centre.
    pub half_burned: f64,
    /// From 10 to 90 % burned, rad.
    pub ten_to_ninety: f64,
}

impl BurnPoint {
    /// Half-burned angle and duration at a speed; none without points.
    pub fn at(points: &[Self], speed: f64) -> Option<(f64, f64)> {
        let (low, high, share) = place(points, |point| point.speed, speed)?;
        let between = |a: f64, b: f64| a + share * (b - a);
        Some((between(low.half_burned, high.half_burned), between(low.ten_to_ninety, high.ten_to_ninety)))
    }
}

/// A whole engine.
#[derive(Clone, Debug)]
pub struct EngineSpec {
    /// Air outside.
    pub ambient: Ambient,
    /// Fuel.
    pub fuel: Fuel,
    /// Air to fuel against the chemically exact one.
    pub lambda: f64,
    /// The same over the crank speed (rad/s), slowest first, straight between and level outside; where it is not empty it takes the
    /// place of `lambda`.
    pub lambda_by_speed: Vec<(f64, f64)>,
    /// Cylinders in the order of their numbers.
    pub cylinders: Vec<CylinderUnit>,
    /// Intake.
    pub intake: IntakeSpec,
    /// Exhaust.
    pub exhaust: ExhaustSpec,
    /// Turbochargers.
    pub turbocharger: Option<TurbochargerUnit>,
    /// Share of the fuel that evaporates in the port, 0 to 1.
    pub port_evaporation: f64,
    /// Share of the fuel's latent heat that the charge itself gives; the rest comes from hot walls and valves, 0 to 1.
    pub charge_cooling: f64,
    /// When it burns.
    pub timing: Timing,
    /// Burn over speed, slowest first, straight between the points and level outside; where it is not empty it takes the place
    /// of the angle in `timing` and of the duration in each cylinder's law.
    pub burn_by_speed: Vec<BurnPoint>,
    /// Duration estimated cylinder by cylinder from speed, charge and residual where nobody measured it; takes the place of the
    /// duration above, not of the timing. A cylinder burns only if its own law says so.
    pub burn_estimate: Option<BurnEstimate>,
    /// How cycles differ: the strong cycle beside the mean one.
    pub spread: Spread,
    /// Friction of the engine with its pumps and valve gear.
    pub friction: FrictionLaw,
    /// Length of a cell in the ducts, m.
    pub cell_length: f64,
}

impl EngineSpec {
    /// Air to fuel at a crank speed in rad/s.
    pub fn lambda_at(&self, speed: f64) -> f64 {
        place(&self.lambda_by_speed, |point| point.0, speed)
            .map_or(self.lambda, |(low, high, share)| low.1 + share * (high.1 - low.1))
    }
}
