//! Which primaries meet, and what lies behind.

use super::Builder;
use crate::power::specification::Group;
use gas_exchange::whole_engine::{Collector, ExhaustSpec};
use std::f64::consts::PI;

/// The exhaust beyond the primaries.
pub(super) fn exhaust(b: &mut Builder<'_>) -> Option<ExhaustSpec> {
    let document = b.bench.document();
    let exhaust = &document.exhaust;
    let count = document.layout.cylinders?;
    let groups = match &exhaust.groups {
        Some(groups) => groups.clone(),
        None if count == 1 => vec![vec![1]],
        None => {
            b.lacks("cylinders that meet in each collector", "exhaust.groups", false);
            return None;
        }
    };
    let junction = b.stated_or(
        Group::Exhaust,
        "volume in which primaries meet",
        "exhaust.junction",
        exhaust.junction,
        0.3e-3,
    );
    let duct = if exhaust.collector.is_empty() {
        None
    } else {
        Some(b.duct(
            Group::Exhaust,
            "pipe behind the junction",
            "exhaust.collector",
            &exhaust.collector,
            700.0,
        )?)
    };
    let mouth = b.stated_or(
        Group::Exhaust,
        "discharge coefficient of a pipe's mouth at the junction",
        "exhaust.mouth",
        exhaust.mouth,
        0.9,
    );
    let angle = match exhaust.junction_angle {
        Some(angle) if (0.0..PI).contains(&angle.0) => b.stated(
            Group::Exhaust,
            "angle between a primary and the pipe behind the junction",
            "exhaust.junction_angle",
            Some(angle),
        ),
        Some(_) => {
            b.problem("exhaust.junction_angle", "expected 0 deg (straight on) to below 180 deg");
            None
        }
        None => {
            if groups.iter().any(|group| group.len() > 1) {
                b.leaves_out(
                    "loss by angle where primaries meet",
                    &["exhaust.junction_angle"],
                    ": the whole velocity head is lost there",
                );
            }
            None
        }
    };
    let outlet = exhaust.outlet.map(|diameter| {
        b.stated(Group::Exhaust, "free diameter behind", "exhaust.outlet", Some(diameter));
        0.25 * PI * diameter.0 * diameter.0
    });
    let collectors = groups
        .iter()
        .map(|group| Collector {
            cylinders: group.iter().filter_map(|c| (*c as usize).checked_sub(1)).collect(),
            volume: junction,
            angle,
            duct: duct.clone(),
        })
        .collect();
    let end_correction = b.stated_or(
        Group::Exhaust,
        "end correction of the last pipe, radii (Levine and Schwinger, 1948, plain pipe)",
        "exhaust.end_correction",
        exhaust.end_correction,
        0.6133,
    );
    Some(ExhaustSpec { collectors, mouth, end_correction, outlet })
}
