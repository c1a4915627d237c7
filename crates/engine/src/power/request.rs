//! What is asked of a run.

use crate::document::Document;
use serde::{Deserialize, Serialize};
use std::f64::consts::TAU;

/// Points of a full-throttle curve where nothing else is asked.
const POINTS: u32 = 16;

/// What decides the timing in this run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TimingMode {
    /// As the document states it.
    #[default]
    AsStated,
    /// Half burned as stated, knock or not.
    Fixed,
    /// Later where the knock integral asks for it.
    KnockLimited,
}

/// To which conditions the power is corrected.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CorrectionMode {
    /// None.
    #[default]
    AsRun,
    /// SAE J1349.
    SaeJ1349,
    /// ISO 1585.
    Iso1585,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Request {
    /// Crank speeds, rad/s, rising.
    pub speeds: Vec<f64>,
    /// Opening of the throttle, share of its area, above 0 to 1; full where it is left out.
    #[serde(default)]
    pub throttle: Option<f64>,
    /// Timing.
    #[serde(default)]
    pub timing: TimingMode,
    /// Correction. Never used where the boost is controlled.
    #[serde(default)]
    pub correction: CorrectionMode,
    /// Keep pressure and temperature over the crank angle at each point.
    #[serde(default)]
    pub traces: bool,
    /// Keep the pressure along the ducts of every cylinder at the point nearest to this speed, rad/s; else those of cylinder 1 alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ducts_at: Option<f64>,
}

impl Request {
    /// A full-throttle curve of 16 points from a third of the top speed up to it; the speeds of the duty are among them.
    /// `None` when the document states neither limiter nor power speed.
    pub fn full_throttle(document: &Document) -> Option<Self> {
        let duty = &document.duty;
        let top = duty.limiter.or(duty.power_speed)?.0 * TAU;
        let from = 0.35 * top;
        let step = (top - from) / f64::from(POINTS - 1);
        let mut speeds: Vec<f64> = (0..POINTS).map(|i| from + f64::from(i) * step).collect();
        for wanted in [duty.power_speed, duty.torque_speed].into_iter().flatten() {
            let wanted = wanted.0 * TAU;
            let nearest =
                speeds.iter_mut().min_by(|a, b| (**a - wanted).abs().total_cmp(&(**b - wanted).abs()));
            if let Some(nearest) = nearest {
                *nearest = wanted;
            }
        }
        Some(Self {
            speeds,
            throttle: None,
            timing: TimingMode::AsStated,
            correction: CorrectionMode::AsRun,
            traces: true,
            ducts_at: None,
        })
    }

    /// The speed at which the ducts of every cylinder are kept, rad/s: the asked one nearest to what was chosen.
    pub fn ducts_kept_at(&self) -> Option<f64> {
        let wanted = self.ducts_at.filter(|_| self.traces)?;
        self.speeds.iter().copied().min_by(|a, b| (a - wanted).abs().total_cmp(&(b - wanted).abs()))
    }

    /// With the speeds of the duty that lie within its range: a torque between two computed speeds is a guess.
    #[must_use]
    pub fn through_duty(mut self, document: &Document) -> Self {
        let duty = &document.duty;
        let (Some(first), Some(last)) = (self.speeds.first().copied(), self.speeds.last().copied()) else {
            return self;
        };
        for wanted in [duty.power_speed, duty.torque_speed].into_iter().flatten() {
            let wanted = wanted.0 * TAU;
            let same = |speed: &f64| (speed / wanted - 1.0).abs() < 1e-9;
            if (first..=last).contains(&wanted) && !self.speeds.iter().any(same) {
                self.speeds.push(wanted);
            }
        }
        self.speeds.sort_by(f64::total_cmp);
        self
    }
}
