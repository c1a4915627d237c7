//! Turbine by swallowing capacity or by map points, with efficiency over the blade speed ratio.

use super::{TurbochargerError, check_points, in_range};
use crate::monotone::{MonotoneCurve, interval};
use crate::valves::Nozzle;
use mechanics::math::powf;

/// How much gas the wheel lets through. All figures are for **one** unit, all its inlets together.
#[derive(Debug, Clone, PartialEq)]
pub enum Swallowing {
    /// A nozzle of this effective area, m²: choked flow parameter ṁ√(R T)/(p) = ψ* area.
    EffectiveArea(f64),
    /// Lines of constant speed (any speed when there is one): see [`SwallowingLine`].
    Map(Vec<SwallowingLine>),
}

/// Flow of one speed of the turbine.
#[derive(Debug, Clone, PartialEq)]
pub struct SwallowingLine {
    /// Speed parameter N/√T, rad/(s √K).
    pub speed: f64,
    /// (expansion ratio total to static above 1, flow parameter ṁ√T/p in kg √K/(s Pa)), both rising or level.
    pub points: Vec<(f64, f64)>,
}

/// Total-to-static efficiency over the blade speed ratio U/C₀.
#[derive(Debug, Clone, PartialEq)]
pub enum Efficiency {
    /// η = peak (2x − x²), x = ratio over `best_ratio`; 0 at standstill and from twice the best ratio on.
    /// Source: N. Watson and M. S. Janota, *Turbocharging the Internal Combustion Engine*, 1982 (from memory).
    Parabola {
        /// Efficiency at the best ratio.
        peak: f64,
        /// U/C₀ of the peak, about 0.65 to 0.70 for radial wheels.
        best_ratio: f64,
    },
    /// Points (U/C₀, η); from (0, 0), held after the last one up to 1.2 times its ratio, 0 from 1.3 times on.
    Points(Vec<(f64, f64)>),
}

/// A turbine, or several equal ones in parallel.
#[derive(Debug, Clone)]
pub struct Turbine {
    swallowing: Lines,
    efficiency: EfficiencyCurve,
    wheel_diameter: f64,
    inlets: f64,
    units: f64,
    nozzle: &'static Nozzle,
}

#[derive(Debug, Clone)]
enum Lines {
    Area(f64),
    Map { speeds: Vec<f64>, curves: Vec<MonotoneCurve> },
}

#[derive(Debug, Clone)]
enum EfficiencyCurve {
    Parabola { peak: f64, best_ratio: f64 },
    Curve(MonotoneCurve),
}

/// Gas before one inlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurbineInlet {
    /// Total pressure, Pa.
    pub pressure: f64,
    /// Total temperature, K.
    pub temperature: f64,
    /// Specific heat at constant pressure, J/(kg K).
    pub specific_heat: f64,
    /// Ratio of the specific heats.
    pub gamma: f64,
}

/// What one inlet passes and gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expansion {
    /// Mass flow of this inlet, all units together, kg/s.
    pub mass_flow: f64,
    /// Blade speed ratio U/C₀ (0 without expansion).
    pub speed_ratio: f64,
    /// Total-to-static efficiency.
    pub efficiency: f64,
    /// Temperature behind, K.
    pub outlet_temperature: f64,
    /// Power of all units together, W.
    pub power: f64,
}

impl Turbine {
    /// A turbine of `units` equal units in parallel, each with `inlets` equal inlets (1, or 2 for a twin scroll) on one wheel of
    /// `wheel_diameter` (m, at the inlet).
    ///
    /// # Errors
    /// Names the figure that is not possible.
    pub fn new(
        swallowing: &Swallowing,
        efficiency: &Efficiency,
        wheel_diameter: f64,
        inlets: u32,
        units: u32,
    ) -> Result<Self, TurbochargerError> {
        in_range("wheel diameter", wheel_diameter, 0.0, 1.0, "in metres, above 0, up to 1")?;
        in_range("turbine inlets", f64::from(inlets), 0.0, 2.0, "1 or 2")?;
        in_range("turbine units", f64::from(units), 0.0, 8.0, "1 to 8")?;
        Ok(Self {
            swallowing: lines(swallowing)?,
            efficiency: efficiency_curve(efficiency)?,
            wheel_diameter,
            inlets: f64::from(inlets),
            units: f64::from(units),
            nozzle: Nozzle::shared(),
        })
    }

    /// What one inlet does at a shaft `speed` (rad/s) against `outlet_pressure` (static, Pa).
    ///
    /// With a twin scroll each inlet has its share of the area and expands on its own at its own U/C₀; leakage between the
    /// scrolls is not modelled, and the powers add. No expansion gives no flow and no power: the wheel is a valve that does
    /// not run backward.
    pub fn expand(&self, inlet: &TurbineInlet, speed: f64, outlet_pressure: f64) -> Expansion {
        let still = Expansion {
            mass_flow: 0.0,
            speed_ratio: 0.0,
            efficiency: 0.0,
            outlet_temperature: inlet.temperature,
            power: 0.0,
        };
        if outlet_pressure >= inlet.pressure || inlet.pressure <= 0.0 || inlet.temperature <= 0.0 {
            return still;
        }
        let pressure_ratio = (outlet_pressure / inlet.pressure).max(1e-3);
        let mass_flow = self.flow(inlet, speed, pressure_ratio) * self.units / self.inlets;
        let drop = 1.0 - powf(pressure_ratio, (inlet.gamma - 1.0) / inlet.gamma);
        let ideal = inlet.specific_heat * inlet.temperature * drop;
        if ideal <= 0.0 {
            return Expansion { mass_flow, ..still };
        }
        let speed_ratio = 0.5 * speed.abs() * self.wheel_diameter / (2.0 * ideal).sqrt();
        let efficiency = self.efficiency_at(speed_ratio);
        Expansion {
            mass_flow,
            speed_ratio,
            efficiency,
            outlet_temperature: inlet.temperature * (1.0 - efficiency * drop),
            power: mass_flow * efficiency * ideal,
        }
    }

    /// Efficiency at a blade speed ratio.
    pub fn efficiency_at(&self, speed_ratio: f64) -> f64 {
        match &self.efficiency {
            EfficiencyCurve::Parabola { peak, best_ratio } => {
                let x = speed_ratio / best_ratio;
                if (0.0..=2.0).contains(&x) { peak * x * (2.0 - x) } else { 0.0 }
            }
            EfficiencyCurve::Curve(curve) => curve.at(speed_ratio),
        }
    }

    /// Mass flow of one unit with every inlet at this state, kg/s.
    fn flow(&self, inlet: &TurbineInlet, speed: f64, pressure_ratio: f64) -> f64 {
        match &self.swallowing {
            Lines::Area(area) => {
                let r = inlet.specific_heat * (inlet.gamma - 1.0) / inlet.gamma;
                let factor = self.nozzle.flow_factor(pressure_ratio, inlet.gamma);
                area * inlet.pressure / (r * inlet.temperature).sqrt() * factor
            }
            Lines::Map { speeds, curves } => {
                let at = |i: usize| curves[i].at(1.0 / pressure_ratio);
                let root = inlet.temperature.sqrt();
                let parameter = if speeds.len() == 1 {
                    at(0)
                } else {
                    let reduced = (speed / root).clamp(speeds[0], speeds[speeds.len() - 1]);
                    let i = interval(speeds, reduced);
                    let t = (reduced - speeds[i]) / (speeds[i + 1] - speeds[i]);
                    at(i) + t * (at(i + 1) - at(i))
                };
                parameter * inlet.pressure / root
            }
        }
    }
}

fn lines(swallowing: &Swallowing) -> Result<Lines, TurbochargerError> {
    match swallowing {
        Swallowing::EffectiveArea(area) => {
            in_range("turbine effective area", *area, 0.0, 0.1, "in m², above 0, up to 0.1")?;
            Ok(Lines::Area(*area))
        }
        Swallowing::Map(lines) => {
            if lines.is_empty() {
                return Err(TurbochargerError::TooFewPoints { name: "turbine map", found: 0 });
            }
            let mut before = -1.0;
            let mut curves = Vec::new();
            for line in lines {
                in_range(
                    "turbine speed parameter",
                    line.speed,
                    before,
                    1e6,
                    "above that of the line before it",
                )?;
                before = line.speed;
                let expected = "an expansion ratio above 1 and above the last, a flow parameter above 0";
                check_points("turbine speed line", &line.points, 1.0, 1.0, expected)?;
                for (i, pair) in line.points.windows(2).enumerate() {
                    if pair[1].1 < pair[0].1 {
                        let (x, y) = pair[1];
                        let expected = "a flow parameter not below that of the point before it";
                        return Err(TurbochargerError::Point {
                            name: "turbine speed line",
                            point: i + 2,
                            x,
                            y,
                            expected,
                        });
                    }
                }
                let mut points = vec![(1.0, 0.0)];
                points.extend(&line.points);
                curves.push(MonotoneCurve::new(&points));
            }
            Ok(Lines::Map { speeds: lines.iter().map(|line| line.speed).collect(), curves })
        }
    }
}

fn efficiency_curve(efficiency: &Efficiency) -> Result<EfficiencyCurve, TurbochargerError> {
    match efficiency {
        Efficiency::Parabola { peak, best_ratio } => {
            in_range("turbine peak efficiency", *peak, 0.0, 1.0, "above 0, up to 1")?;
            in_range("best blade speed ratio", *best_ratio, 0.2, 1.2, "above 0.2, up to 1.2")?;
            Ok(EfficiencyCurve::Parabola { peak: *peak, best_ratio: *best_ratio })
        }
        Efficiency::Points(points) => {
            let expected = "a ratio above 0 and above the last, an efficiency above 0, up to 1";
            check_points("turbine efficiency", points, 0.0, 1.0, expected)?;
            let mut all = vec![(0.0, 0.0)];
            all.extend(points);
            let (last, value) = points[points.len() - 1];
            all.extend([(1.2 * last, value), (1.3 * last, 0.0)]);
            Ok(EfficiencyCurve::Curve(MonotoneCurve::new(&all)))
        }
    }
}
