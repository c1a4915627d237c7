//! One line of the map at a given speed, for many look-ups.

/// Where an operating point stands on the map.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Zone {
    /// Left of the surge point: the figures keep the computation going, a real compressor would surge.
    Surge,
    /// Between surge and choke.
    OnMap,
    /// Beyond the last entered point: the figures are extrapolated.
    Choke,
}

/// How much pressure ratio (relative) lies between the top of a line and no flow, in [`SpeedLine::flow_at`].
const SURGE_RISE: f64 = 0.02;
/// How much flow (relative) lies between the last point and a pressure ratio of 1.
const CHOKE_RUN: f64 = 0.02;

/// A line at one corrected speed: corrected flow, pressure ratio, efficiency from surge to choke, straight between knots.
///
/// Beyond the last point flow grows by 2 % down to a pressure ratio of 1 and then no more. Left of the surge point
/// [`SpeedLine::flow_at`] falls from the top of the line to no flow over 2 % of pressure ratio (stable, not real: flagged
/// [`Zone::Surge`]) and [`SpeedLine::pressure_ratio_at`] keeps the pressure ratio of the surge point.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeedLine {
    /// (flow, pressure ratio, efficiency); the last one is the extrapolated end.
    knots: Vec<(f64, f64, f64)>,
    /// Index of the knot with the greatest pressure ratio, the last one of equals.
    top: usize,
}

impl SpeedLine {
    pub(super) fn with_knots(count: usize) -> Self {
        Self { knots: Vec::with_capacity(count + 1), top: 0 }
    }

    pub(super) fn clear(&mut self) {
        self.knots.clear();
        self.top = 0;
    }

    pub(super) fn push(&mut self, flow: f64, pressure_ratio: f64, efficiency: f64) {
        // Between lines the cubics of close knots could pass each other by a rounding.
        let flow = self.knots.last().map_or(flow, |before| flow.max(before.0));
        if self.knots.get(self.top).is_some_and(|top| pressure_ratio >= top.1) {
            self.top = self.knots.len();
        }
        self.knots.push((flow, pressure_ratio, efficiency));
    }

    pub(super) fn close(&mut self) {
        let (flow, _, efficiency) = self.choke_knot();
        self.knots.push((flow * (1.0 + CHOKE_RUN), 1.0, efficiency));
    }

    fn choke_knot(&self) -> (f64, f64, f64) {
        self.knots[self.knots.len() - 1]
    }

    /// Corrected flow (kg/s) and pressure ratio of the surge point.
    pub fn surge(&self) -> (f64, f64) {
        (self.knots[0].0, self.knots[0].1)
    }

    /// Corrected flow (kg/s) and pressure ratio at choke (the last entered point).
    pub fn choke(&self) -> (f64, f64) {
        let knot = self.knots[self.knots.len() - 2];
        (knot.0, knot.1)
    }

    /// Corrected flow (kg/s) at a pressure ratio, on the falling part of the line.
    pub fn flow_at(&self, pressure_ratio: f64) -> (f64, Zone) {
        let top = self.knots[self.top];
        if pressure_ratio >= top.1 {
            let left = 1.0 - (pressure_ratio / top.1 - 1.0) / SURGE_RISE;
            let zone = if pressure_ratio > top.1 { Zone::Surge } else { Zone::OnMap };
            return (top.0 * left.clamp(0.0, 1.0), zone);
        }
        let falling = &self.knots[self.top..];
        let after = falling.partition_point(|knot| knot.1 > pressure_ratio);
        if after >= falling.len() {
            return (falling[falling.len() - 1].0, Zone::Choke);
        }
        let (a, b) = (falling[after - 1], falling[after]);
        let zone = if after == falling.len() - 1 { Zone::Choke } else { Zone::OnMap };
        (a.0 + (b.0 - a.0) * (a.1 - pressure_ratio) / (a.1 - b.1), zone)
    }

    /// Pressure ratio at a corrected flow, kg/s.
    pub fn pressure_ratio_at(&self, flow: f64) -> (f64, Zone) {
        let last = self.knots.len() - 1;
        if flow < self.knots[0].0 {
            return (self.knots[0].1, Zone::Surge);
        }
        if flow >= self.knots[last].0 {
            return (1.0, Zone::Choke);
        }
        let (a, b, t) = self.around(flow);
        let zone = if flow > self.knots[last - 1].0 { Zone::Choke } else { Zone::OnMap };
        (a.1 + t * (b.1 - a.1), zone)
    }

    /// Isentropic efficiency at a corrected flow (kg/s), that of the nearest end outside the line.
    pub fn efficiency_at(&self, flow: f64) -> f64 {
        if flow <= self.knots[0].0 {
            return self.knots[0].2;
        }
        if flow >= self.choke().0 {
            return self.choke_knot().2;
        }
        let (a, b, t) = self.around(flow);
        a.2 + t * (b.2 - a.2)
    }

    /// The knots on both sides of a flow inside the line, and the fraction between them.
    #[inline]
    fn around(&self, flow: f64) -> ((f64, f64, f64), (f64, f64, f64), f64) {
        let after = self.knots.partition_point(|knot| knot.0 <= flow).clamp(1, self.knots.len() - 1);
        let (a, b) = (self.knots[after - 1], self.knots[after]);
        (a, b, (flow - a.0) / (b.0 - a.0))
    }
}
