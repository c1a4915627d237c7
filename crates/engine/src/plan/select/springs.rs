//! Shims under springs that stand at the wrong height.

use super::{Desk, placement};
use crate::cautions;
use crate::features::valve_names;
use crate::findings::{ActionKind, off_height};
use crate::plan::{Outcome, Placement, Selection};
use crate::quantity::Phrase;

/// Every spring is shimmed back to the nominal installed height, by as much as the readings say. The stack under a spring
/// is not a reading, so the plan says how much has to go or to come, not which shims they are.
pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let mut placements: Vec<Placement> = Vec::new();
    for valve in valve_names(desk.bench.document()) {
        let instance = valve.path();
        let Some(off) = off_height(desk.bench, &instance) else { continue };
        let result = Phrase::words("height ").length_2(off.nominal);
        let result = match off.load_words(desk.bench) {
            Some(load) => result.say("; ").join(load),
            None => result,
        };
        placements.push(placement(
            off.words(),
            format!("spring {}", valve.label()),
            instance,
            Phrase::words("now ").length_2(off.installed),
            result,
            off.nominal,
            false,
        ));
    }
    if placements.is_empty() {
        return None;
    }
    let count = placements.len();
    let selection = Selection {
        code: "spring_shims",
        title: "Shims under the springs".to_owned(),
        outcome: Outcome::Best { proved: true, proof: "each spring stands for itself".to_owned() },
        placements,
        summary: Phrase::words(if count == 1 {
            "1 spring to shim".to_owned()
        } else {
            format!("{count} springs to shim")
        }),
        objective: "installed height as the document says",
        caution: Some(cautions::SPRING),
        settles: Vec::new(),
    };
    let mut selection = selection.settling(&["coil_bind_margin", "spring_installed", "seat_load"]);
    // What asks for another spring is not settled by a shim.
    selection.settles.retain(|id| {
        let finding = desk.assessment.finding(id);
        finding.is_none_or(|f| f.actions.iter().any(|action| action.kind == ActionKind::Refit))
    });
    Some(selection)
}
