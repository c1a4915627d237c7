//! What a torque curve is worth, in one place: findings, page and command line say it from here.

use super::result::PowerRun;
use super::specification::{InputOrigin, SpecInput};
use crate::features::Side;
use mechanics::math::hypot;

/// Half-width of the band in which a curve that was not calibrated lies, least (where the engine breathes as its flow bench says) and
/// greatest (near the ends of the range), share of torque. The greater is taken as k = 2. Source: [`UNCALIBRATED_SOURCE`].
pub const UNCALIBRATED_BAND: (f64, f64) = (0.05, 0.08);
/// Where that band comes from, in words.
pub const UNCALIBRATED_SOURCE: &str =
    "judgement, after published comparisons of one-dimensional models of like detail, from memory";
/// What a calibrated curve is never thought better than, share (k = 1): repeatability of a test bed (common practice, no source).
const BEST: f64 = 0.01;
/// Share of torque for each share of flow of the intake valves, the most that the demo engines show near their greatest power
/// (`cargo test -p engine --test power_published flow_moves_torque`).
const TORQUE_BY_INTAKE_FLOW: f64 = 0.50;
/// The same for the exhaust valves.
const TORQUE_BY_EXHAUST_FLOW: f64 = 0.25;

/// Sides whose flow is taken from a published mean curve, with its half-width (k = 2), share of the effective area.
pub fn published_flow(inputs: &[SpecInput]) -> Vec<(Side, f64)> {
    let of = |side: Side| {
        let start = format!("flow_bench.{}.published.", side.word());
        let here = |i: &&SpecInput| i.origin == InputOrigin::Published && i.path.starts_with(&start);
        let bands = inputs.iter().filter(here).map(|i| i.expanded / i.value);
        bands.max_by(f64::total_cmp).map(|band| (side, band))
    };
    Side::BOTH.into_iter().filter_map(of).collect()
}

/// That flow rests on a published curve, as the end of a sentence: "the flow of intake and exhaust valves is …"; none where it was read.
pub fn rests_on_published(inputs: &[SpecInput]) -> Option<String> {
    let sides: Vec<&str> = published_flow(inputs).into_iter().map(|(side, _)| side.word()).collect();
    (!sides.is_empty()).then(|| {
        format!(
            "the flow of {} valves is a published mean curve (from memory), not that of this head",
            sides.join(" and ")
        )
    })
}

/// Half-width of the band of a run's torque, least and greatest, share (k = 2), and what it rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// Least.
    pub least: f64,
    /// Greatest: the one that is judged by and drawn.
    pub greatest: f64,
    /// By what a calibration left unexplained, not by judgement.
    pub calibrated: bool,
    /// Widened for a published mean curve of flow.
    pub published: bool,
}

impl Worth {
    /// Of a run. A factor was moved, but nobody says what stayed unexplained: the band of an uncalibrated curve holds.
    pub fn of(run: &PowerRun) -> Self {
        let sides = published_flow(&run.inputs);
        if let Some(residual) = run.residual.filter(|_| run.calibrated) {
            let band = 2.0 * residual.max(BEST);
            return Self { least: band, greatest: band, calibrated: true, published: false };
        }
        let by_flow = |(side, band): &(Side, f64)| match side {
            Side::Intake => TORQUE_BY_INTAKE_FLOW * band,
            Side::Exhaust => TORQUE_BY_EXHAUST_FLOW * band,
        };
        let widened = |band: f64| sides.iter().map(by_flow).fold(band, hypot);
        let (least, greatest) = UNCALIBRATED_BAND;
        Self {
            least: widened(least),
            greatest: widened(greatest),
            calibrated: false,
            published: !sides.is_empty(),
        }
    }

    /// Standard uncertainty of torque, share.
    pub fn standard(&self) -> f64 {
        0.5 * self.greatest
    }

    /// "± 5 to 8 %", "± 2 %".
    pub fn band_words(&self) -> String {
        let [least, greatest] = [self.least, self.greatest].map(|band| format!("{:.0}", 100.0 * band));
        if least == greatest {
            format!("\u{b1} {greatest} %")
        } else {
            format!("\u{b1} {least} to {greatest} %")
        }
    }

    /// As the sentence of a page or a terminal.
    pub fn words(&self, run: &PowerRun) -> String {
        let rests = rests_on_published(&run.inputs)
            .map_or_else(String::new, |words| format!(" It rests on this: {words}."));
        let first = if self.calibrated {
            format!(
                "Calibrated on a measured curve: what stays unexplained is {:.1} % of torque (one standard deviation).",
                100.0 * run.residual.unwrap_or_default()
            )
        } else {
            let start = if run.calibrated {
                "Calibrated, but nobody says what stayed unexplained"
            } else {
                "Not calibrated"
            };
            let wide = if self.published { ", widened for the published flow" } else { "" };
            format!("{start}: torque is worth {}{wide} ({UNCALIBRATED_SOURCE}).", self.band_words())
        };
        first + &rests
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_band_is_said_as_narrow_as_it_is() {
        let worth = Worth { least: 0.05, greatest: 0.08, calibrated: false, published: false };
        assert_eq!(worth.band_words(), "\u{b1} 5 to 8 %");
        assert_eq!(Worth { least: 0.021, greatest: 0.021, ..worth }.band_words(), "\u{b1} 2 %");
    }
}
