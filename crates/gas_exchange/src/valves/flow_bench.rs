//! Effective area of valve and port from readings on a flow bench.

use super::orifice::flow_factor;
use crate::monotone::MonotoneCurve;
use core::f64::consts::PI;

/// What is wrong with a set of flow-bench readings.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FlowBenchError {
    /// A size or condition is not a finite number in its range.
    #[error("{name} is {value}: expected {expected}")]
    OutOfRange {
        /// What it is.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What would be accepted.
        expected: &'static str,
    },
    /// One reading makes no curve.
    #[error("{direction} flow has {found} readings: at least 2 lifts are needed")]
    TooFewReadings {
        /// "forward" or "reverse".
        direction: &'static str,
        /// How many there are.
        found: usize,
    },
    /// Lifts must rise from reading to reading.
    #[error("{direction} reading {reading} is at a lift of {lift} m, not above the reading before it")]
    LiftNotRising {
        /// "forward" or "reverse".
        direction: &'static str,
        /// Which reading, from 1.
        reading: usize,
        /// Its lift.
        lift: f64,
    },
    /// A flow must be above 0.
    #[error("{direction} reading {reading} at {lift} m has a flow of {flow} m³/s: it must be above 0")]
    FlowNotPositive {
        /// "forward" or "reverse".
        direction: &'static str,
        /// Which reading, from 1.
        reading: usize,
        /// Its lift.
        lift: f64,
        /// Its flow.
        flow: f64,
    },
    /// More flow than the gap between valve and seat can pass: units, depression or the number of valves are wrong.
    #[error(
        "{direction} reading {reading} at {lift} m needs {coefficient:.3} of the curtain area πDL: above 1 is impossible; check the units, the depression and how many valves were open"
    )]
    MoreThanTheCurtain {
        /// "forward" or "reverse".
        direction: &'static str,
        /// Which reading, from 1.
        reading: usize,
        /// Its lift.
        lift: f64,
        /// Effective area over curtain area.
        coefficient: f64,
    },
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Valve lift, m.
    pub lift: f64,
    /// Volume flow referred to the state **before** the valve (bench inlet), all open valves together, m³/s.
    pub volume_flow: f64,
}

/// The state of the bench while it was read. For a bench that reports flow at standard conditions these are those conditions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlowBench {
    /// Total pressure before the valve, Pa.
    pub inlet_pressure: f64,
    /// Total temperature before the valve, K.
    pub inlet_temperature: f64,
    /// Pressure before minus pressure behind, Pa (28 inH₂O at 4 °C is 6,974.49 Pa).
    pub depression: f64,
    /// Gas constant, J/(kg K); dry air 287.053.
    pub gas_constant: f64,
    /// Ratio of the specific heats; air 1.4.
    pub gamma: f64,
}

impl FlowBench {
    /// Ideal volume flow at inlet density through 1 m² by the compressible formula, m/s: √(R T₀) ψ(1 − Δp/p₀).
    ///
    /// Example: 28 inH₂O, 15 °C, 101,325 Pa: 140.39 ft³/min through a square inch (the trade's 146 is the incompressible figure;
    /// coefficients based on it are 4 % lower). Source: [`flow_factor`].
    pub fn ideal_velocity(&self) -> f64 {
        (self.gas_constant * self.inlet_temperature).sqrt()
            * flow_factor(1.0 - self.depression / self.inlet_pressure, self.gamma)
    }

    fn check(&self) -> Result<(), FlowBenchError> {
        in_range("inlet pressure", self.inlet_pressure, 1e3, 1e7, "a pressure in Pa")?;
        in_range("inlet temperature", self.inlet_temperature, 200.0, 400.0, "200 to 400 K")?;
        in_range(
            "depression",
            self.depression,
            0.0,
            self.inlet_pressure,
            "above 0 and below the inlet pressure, in Pa",
        )?;
        in_range("gas constant", self.gas_constant, 0.0, 1e4, "above 0, in J/(kg K)")?;
        in_range("ratio of specific heats", self.gamma, 1.0, 1.7, "above 1, up to 1.7")
    }
}

/// What a discharge coefficient is a fraction of. The effective area is the same for both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReferenceArea {
    /// Valve head, π D²/4.
    ValveHead,
    /// Curtain, π D L.
    Curtain,
}

/// Where the coefficients for flow against the usual direction come from. There is no default.
#[derive(Debug, Clone, PartialEq)]
pub enum ReverseFlow {
    /// Readings with the port blown the other way.
    Measured(Vec<Reading>),
    /// The forward effective area times this factor (above 0, at most 1.5), named in the document by who chose it.
    Factor(f64),
}

/// Effective area of **one** valve with its share of the port, over lift.
///
/// Effective area = volume flow / [`FlowBench::ideal_velocity`] / number of open valves, a monotone curve over lift/diameter
/// through (0, 0) and each reading. Above the last reading it stays at the last value ([`FlowCoefficients::is_beyond`] tells).
/// A reading that falls with lift (a port that stalls) is kept as it was read.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowCoefficients {
    diameter: f64,
    forward: MonotoneCurve,
    reverse: MonotoneCurve,
    reverse_factor: f64,
}

impl FlowCoefficients {
    /// From readings on `bench` with `valves` equal valves of head diameter `diameter` (m) open together.
    ///
    /// # Errors
    /// Names the reading or the condition that is wrong.
    pub fn from_readings(
        diameter: f64,
        valves: u32,
        bench: &FlowBench,
        forward: &[Reading],
        reverse: &ReverseFlow,
    ) -> Result<Self, FlowBenchError> {
        bench.check()?;
        in_range("valve diameter", diameter, 0.0, 1.0, "in metres, above 0 and below 1")?;
        in_range("number of valves", f64::from(valves), 0.0, 9.0, "1 to 8")?;
        let curve = |direction, readings: &[Reading]| {
            area_curve(direction, readings, diameter, f64::from(valves), bench)
        };
        let forward = curve("forward", forward)?;
        let (reverse, reverse_factor) = match reverse {
            ReverseFlow::Measured(readings) => (curve("reverse", readings)?, 1.0),
            ReverseFlow::Factor(factor) => {
                in_range("reverse flow factor", *factor, 0.0, 1.5, "above 0, up to 1.5")?;
                (forward.clone(), *factor)
            }
        };
        Ok(Self { diameter, forward, reverse, reverse_factor })
    }

    /// From coefficients on the valve head, π D²/4, over lift/diameter (both plain ratios, lifts rising): effective area = C π D²/4.
    /// Flow against the usual direction is the share `reverse` of the usual one (above 0, up to 1.5).
    ///
    /// # Errors
    /// Names the point or the size that is wrong.
    pub fn from_coefficients(
        diameter: f64,
        points: &[(f64, f64)],
        reverse: f64,
    ) -> Result<Self, FlowBenchError> {
        in_range("valve diameter", diameter, 0.0, 1.0, "in metres, above 0 and below 1")?;
        in_range("reverse flow factor", reverse, 0.0, 1.5, "above 0, up to 1.5")?;
        let direction = "forward";
        let head = 0.25 * PI * diameter * diameter;
        let areas = points.iter().map(|(ratio, c)| (ratio * diameter, c * head));
        let forward = curve_of_areas(direction, areas, diameter)?;
        Ok(Self { diameter, reverse: forward.clone(), forward, reverse_factor: reverse })
    }

    /// Effective area for the usual direction (intake: into the cylinder; exhaust: out of it) at a lift in m, m².
    #[inline]
    pub fn effective_area(&self, lift: f64) -> f64 {
        self.forward.at(lift / self.diameter)
    }

    /// The same ports with all effective areas, both ways, multiplied by `factor`: a variation for studies.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self { forward: self.forward.scaled(factor), reverse: self.reverse.scaled(factor), ..self.clone() }
    }

    /// Effective area against the usual direction, m².
    #[inline]
    pub fn reverse_effective_area(&self, lift: f64) -> f64 {
        self.reverse_factor * self.reverse.at(lift / self.diameter)
    }

    /// Discharge coefficient of the usual direction on a reference area; 0 at no lift.
    pub fn discharge_coefficient(&self, lift: f64, reference: ReferenceArea) -> f64 {
        let area = match reference {
            ReferenceArea::ValveHead => 0.25 * PI * self.diameter * self.diameter,
            ReferenceArea::Curtain => PI * self.diameter * lift,
        };
        if area > 0.0 { self.effective_area(lift) / area } else { 0.0 }
    }

    /// Whether a lift is above the last forward reading, where the area is held and not measured.
    pub fn is_beyond(&self, lift: f64) -> bool {
        lift / self.diameter > self.forward.end()
    }
}

fn area_curve(
    direction: &'static str,
    readings: &[Reading],
    diameter: f64,
    valves: f64,
    bench: &FlowBench,
) -> Result<MonotoneCurve, FlowBenchError> {
    for (i, &Reading { lift, volume_flow: flow }) in readings.iter().enumerate() {
        if !(flow > 0.0 && flow.is_finite()) {
            return Err(FlowBenchError::FlowNotPositive { direction, reading: i + 1, lift, flow });
        }
    }
    let area = |flow: f64| flow / bench.ideal_velocity() / valves;
    curve_of_areas(direction, readings.iter().map(|r| (r.lift, area(r.volume_flow))), diameter)
}

/// Effective areas (m²) at lifts (m) as a curve over lift/diameter through (0, 0).
fn curve_of_areas(
    direction: &'static str,
    areas: impl ExactSizeIterator<Item = (f64, f64)>,
    diameter: f64,
) -> Result<MonotoneCurve, FlowBenchError> {
    let found = areas.len();
    if found < 2 {
        return Err(FlowBenchError::TooFewReadings { direction, found });
    }
    let mut points = vec![(0.0, 0.0)];
    let mut before = 0.0;
    for (i, (lift, area)) in areas.enumerate() {
        let reading = i + 1;
        if !(lift > before && lift < 1.0) {
            return Err(FlowBenchError::LiftNotRising { direction, reading, lift });
        }
        let coefficient = area / (PI * diameter * lift);
        // Not a number is refused as well.
        if !(coefficient > 0.0 && coefficient <= 1.0) {
            return Err(FlowBenchError::MoreThanTheCurtain { direction, reading, lift, coefficient });
        }
        points.push((lift / diameter, area));
        before = lift;
    }
    Ok(MonotoneCurve::new(&points))
}

/// `value` above `low`, up to `high`.
fn in_range(
    name: &'static str,
    value: f64,
    low: f64,
    high: f64,
    expected: &'static str,
) -> Result<(), FlowBenchError> {
    if value > low && value <= high {
        Ok(())
    } else {
        Err(FlowBenchError::OutOfRange { name, value, expected })
    }
}
