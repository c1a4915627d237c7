//! The question about a gauge that cannot have read its place.

use super::gauges::{Unsuited, unsuited};
use crate::engine::Engine;
use crate::readings::{Reading, active_readings};

/// The question about the gauge of a reading that is not stored yet. Asked once of each gauge and kind of place: not where a
/// reading of such a place by this gauge stands already.
pub fn gauge_question(engine: &Engine, reading: &Reading) -> Option<String> {
    let feature = engine.catalogue.feature(&reading.feature)?;
    let unsuited = unsuited(&engine.document, &reading.instrument, feature, reading.value)?;
    let of_such_a_place =
        |r: &Reading| engine.catalogue.feature(&r.feature).is_some_and(|f| f.family == feature.family);
    if active_readings(&engine.readings).any(|r| r.instrument == reading.instrument && of_such_a_place(r)) {
        return None;
    }
    let (gauge, place) = (&reading.instrument, &feature.label);
    Some(match unsuited {
        Unsuited::Kind(kind) => {
            format!("{gauge} is {}, which does not read {place}. Was it read with {gauge}?", kind.named())
        }
        Unsuited::Range(range) => {
            format!("{gauge} reads {range} and does not reach {place}. Was it read with {gauge}?")
        }
    })
}
