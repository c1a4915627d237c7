//! What a junction of pipes gives to a pipe that it feeds: part of the velocity head of what flows in, by the angle.
//!
//! Pipes that bring gas (suppliers) open into the junction at its static pressure p. A pipe that takes gas away has the static
//! pressure p − C ρ U², C = 1 − (V/U) cos ¾(π − φ), with U its own velocity, V that of the suppliers and φ the angle between
//! both axes (π: straight on). The loss of total pressure over ρV²/2 is then K = r² + 1 − 2 r cos ¾(π − φ), r = U/V
//! (Bassett, Winterbone and Pearson, Proceedings of the Institution of Mechanical Engineers, part C, 215, 2001, p. 861, for a pipe that divides). Of several suppliers V is the
//! mean weighted by flow and φ the angle of Σ Q sin φ over Σ Q cos φ (Mynard and Valen-Sendstad, Int. J. Numer. Meth. Biomed. Engng
//! 31, 2015, e02717; their exchange of energy between several pipes that take gas away is left out).

use super::boundary::{Face, Reservoir};
use super::connection::Connection;
use super::power::quick_power;
use core::f64::consts::PI;
use mechanics::math::{atan2, cos};

/// Lowest share of the junction's pressure that is offered to a pipe.
const LEAST: f64 = 0.3;

/// Pipes that meet in a volume at stated angles.
#[derive(Clone, Debug)]
pub struct Junction {
    /// Volume by its number.
    volume: usize,
    /// Connections of its pipes.
    connections: Vec<usize>,
    /// Cosine and sine of the angle between each pair of pipes, row by row.
    angles: Vec<(f64, f64)>,
}

impl Junction {
    /// A junction of pipes; `axes` are the directions in which they leave it (of any length), one for each connection.
    pub fn new(volume: usize, connections: Vec<usize>, axes: &[[f64; 3]]) -> Self {
        let length = |a: &[f64; 3]| dot(a, a).sqrt();
        let angles = axes
            .iter()
            .flat_map(|a| axes.iter().map(move |b| (dot(a, b) / (length(a) * length(b))).clamp(-1.0, 1.0)))
            .map(|cosine| (cosine, (1.0 - cosine * cosine).sqrt()))
            .collect();
        Self { volume, connections, angles }
    }

    /// Directions of pipes that come in around the pipe behind at one angle to it (0: straight on), evenly spread; the pipe behind
    /// is the last.
    pub fn cone(pipes: usize, angle: f64) -> Vec<[f64; 3]> {
        let (sine, cosine) = (mechanics::math::sin(angle), cos(angle));
        (0..pipes)
            .map(|pipe| {
                let around = 2.0 * PI * pipe as f64 / pipes as f64;
                [-cosine, sine * cos(around), sine * mechanics::math::sin(around)]
            })
            .chain([[1.0, 0.0, 0.0]])
            .collect()
    }

    /// Its volume.
    pub(super) fn volume(&self) -> usize {
        self.volume
    }

    /// Sets what each pipe is offered, from what flowed in the last step.
    pub(super) fn offer(&self, connections: &mut [Connection], reservoir: &Reservoir) {
        for (row, number) in self.connections.iter().enumerate() {
            let taker = connections[*number].face;
            connections[*number].offered =
                if taker.velocity < 0.0 { self.share(row, &taker, connections, reservoir) } else { 1.0 };
        }
    }

    /// Total pressure offered to a pipe over the static one of the junction.
    fn share(&self, row: usize, taker: &Face, connections: &[Connection], reservoir: &Reservoir) -> f64 {
        let columns = self.connections.len();
        let angles = &self.angles[row * columns..(row + 1) * columns];
        let (mut flow, mut momentum, mut along, mut across) = (0.0, 0.0, 0.0, 0.0);
        for (number, (cosine, sine)) in self.connections.iter().zip(angles) {
            let giver = &connections[*number].face;
            if giver.velocity > 0.0 {
                // By volume, as the source has it.
                let q = giver.mass * giver.temperature / giver.pressure;
                flow += q;
                momentum += q * giver.velocity;
                along += q * cosine;
                across += q * sine;
            }
        }
        if flow <= 0.0 {
            return 1.0;
        }
        let given = momentum / flow;
        let turned = cos(0.75 * (PI - atan2(across, along)));
        let gas = reservoir.gas_constant;
        let cp_twice = 2.0 * gas * reservoir.gamma / (reservoir.gamma - 1.0);
        let exponent = reservoir.gamma / (reservoir.gamma - 1.0);
        let u = -taker.velocity;
        // Of a gas whose density changes the static pressure is the source's, the total one isentropic from it.
        let density = 1.0 / (gas * taker.temperature);
        let fixed = 1.0 - density * u * (u - given * turned);
        let total = fixed.max(LEAST) * quick_power(1.0 + u * u / (cp_twice * taker.temperature), exponent);
        // Nobody gets more than the fastest way through would leave.
        let most = quick_power(1.0 + given * given / (cp_twice * taker.temperature), exponent);
        total.min(most)
    }
}

fn dot(a: &[f64; 3], b: &[f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
