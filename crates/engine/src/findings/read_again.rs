//! What to do about readings that cannot tell: read again where that can help, and say so where it cannot.

use super::model::{Action, ActionKind, Finding, LimitUsed, Verdict};
use crate::quantity::{Dimension, Phrase};

/// Standard uncertainties from a limit at which a size is inside with 95 %: Φ(1.645) = 0.95.
const SURE: f64 = 1.645;

/// Gives each finding that its readings cannot settle an advice that can: another reading where the mean of two would leave room
/// inside the limits, else a finer gauge or another limit.
pub(super) fn advise(findings: &mut [Finding]) {
    for finding in findings.iter_mut().filter(|f| f.verdict == Verdict::Uncertain && f.follows.is_none()) {
        let Some((value, limit)) = finding.value.zip(finding.limit.clone()) else { continue };
        // Doubts about the evidence (how it was held, a slip, the gauge) are asked about by the finding itself.
        let asked = finding.actions.iter().any(|a| a.kind == ActionKind::Ask);
        let read = !value.predicted && !finding.subject.features.is_empty();
        let lengths = matches!(
            value.dimension,
            Dimension::Length | Dimension::Roughness | Dimension::Mass | Dimension::Volume
        );
        if asked || !read || !lengths {
            continue;
        }
        let can_help = finding.actions.iter().all(|a| a.kind == ActionKind::Measure);
        if !can_help {
            continue;
        }
        match too_fine(value.value, value.expanded, &limit) {
            Some(most) => {
                finding.actions.retain(|a| a.kind != ActionKind::Measure);
                finding.actions.push(finer(value.expanded, value.dimension, most));
            }
            None if finding.actions.is_empty() => finding.actions.push(again()),
            None => {}
        }
    }
}

/// The greatest U with which a size could be proved inside, where the limits leave less room than the mean of two such readings needs:
/// half of a range, or the range from zero where what is judged cannot be less (a taper, out-of-round).
pub(super) fn too_fine(value: f64, expanded: f64, limit: &LimitUsed) -> Option<f64> {
    let room = match (limit.min, limit.max) {
        (Some(min), Some(max)) => (max - min) / 2.0,
        (None, Some(max)) if value >= 0.0 => max,
        _ => return None,
    };
    // Reading twice takes at most √2 off U; what both readings share stays.
    let after_two = expanded / 2.0_f64.sqrt();
    (SURE * after_two / 2.0 > room).then_some(2.0 * room / SURE)
}

fn finer(expanded: f64, dimension: Dimension, most: f64) -> Action {
    let decimals = if dimension == Dimension::Length { 4 } else { 2 };
    let text = Phrase::words(
        "The limit is finer than these readings can prove, however often they are repeated: U is ",
    )
    .value(expanded, dimension, decimals)
    .say(", it would take ")
    .value(most, dimension, decimals)
    .say(" or less. Read with a finer gauge, or have whoever set the limit look at it");
    Action::new(ActionKind::Measure, text)
}

const AGAIN: &str =
    "Read it again at the same places, twice each: the readings are too near to the limit to tell";

fn again() -> Action {
    Action::new(ActionKind::Measure, Phrase::words(AGAIN))
}

/// Is this the advice to read again, and nothing else?
pub(super) fn is_again(action: &Action) -> bool {
    action.text == Phrase::words(AGAIN)
}
