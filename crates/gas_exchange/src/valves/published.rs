//! Mean flow coefficients of poppet valves over lift, for an engine of which no port was put on a flow bench.

use super::Side;
use super::flow_bench::{FlowBenchError, FlowCoefficients};

/// A mean curve of many ports; never one of this engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PublishedFlow {
    /// Lift over head diameter, and effective area over the area of the valve head π D²/4, rising.
    pub points: &'static [(f64, f64)],
    /// Flow against the usual direction as a share of the usual one. From memory.
    pub reverse: f64,
    /// Half-width within which the ports of engines lie about it, share of the effective area (k = 2). Judgement from the spread of
    /// the coefficients that the books show.
    pub band: f64,
}

/// Where the curves come from, in words.
pub const SOURCE: &str = "from memory, after Heywood, Internal Combustion Engine Fundamentals, 6.3.2 (coefficients on the curtain), and Taylor, The Internal-Combustion Engine, vol. 1, ch. 6 (on the valve head): read again in the book before anything rests on it";

/// Intake: C on the curtain 0.70 at low lift (the jet fills the gap), falling to 0.41 as it leaves the seat and the port takes over.
const INTAKE: &[(f64, f64)] = &[
    (0.05, 0.140),
    (0.10, 0.270),
    (0.15, 0.375),
    (0.20, 0.455),
    (0.25, 0.515),
    (0.30, 0.550),
    (0.35, 0.570),
];
/// Exhaust, out of the cylinder: C on the curtain 0.70 up to a lift of a tenth, 0.44 at most lift.
const EXHAUST: &[(f64, f64)] = &[
    (0.05, 0.140),
    (0.10, 0.280),
    (0.15, 0.400),
    (0.20, 0.490),
    (0.25, 0.555),
    (0.30, 0.595),
    (0.35, 0.615),
];

impl PublishedFlow {
    /// The mean curve of a side. Source: see [`SOURCE`].
    pub const fn mean_poppet_valve(side: Side) -> Self {
        match side {
            Side::Intake => Self { points: INTAKE, reverse: 0.90, band: 0.15 },
            Side::Exhaust => Self { points: EXHAUST, reverse: 0.85, band: 0.15 },
        }
    }

    /// Effective areas of a valve of head diameter `diameter` (m), each multiplied by `factor`; flow against the usual direction is
    /// the share `reverse` of it. Above the last lift the area is held.
    ///
    /// # Errors
    /// When the diameter, a coefficient or the share is outside of what can be.
    pub fn of_valve(
        &self,
        diameter: f64,
        factor: f64,
        reverse: f64,
    ) -> Result<FlowCoefficients, FlowBenchError> {
        let points: Vec<(f64, f64)> = self.points.iter().map(|(lift, c)| (*lift, factor * c)).collect();
        FlowCoefficients::from_coefficients(diameter, &points, reverse)
    }
}
