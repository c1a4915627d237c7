//! Shims under springs that stand at the wrong height.

use super::{Desk, placement};
use crate::cautions;
use crate::features::valve_names;
use crate::findings::{ActionKind, OffHeight, Setting, setting};
use crate::plan::{Outcome, Placement, Selection, Widen};
use crate::quantity::{Phrase, counted};

/// Every spring is shimmed as near to its installed height as the shims of the document allow, inside the limits of height, room and
/// load. The stack under a spring is not a reading, so the plan says how much has to go or to come, and in which shims.
pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let mut placements: Vec<Placement> = Vec::new();
    let mut relax: Vec<Phrase> = Vec::new();
    let listed = !desk.bench.document().springs.shims.is_empty();
    for valve in valve_names(desk.bench.document()) {
        let instance = valve.path();
        let Some(set) = setting(desk.bench, &instance) else { continue };
        let spring = format!("spring {}", valve.label());
        relax.extend(set.relax.iter().map(|words| Phrase::words(format!("{spring}: ")).join(words.clone())));
        let off = set.off_height();
        let result = Phrase::words("height ").length_2(set.height);
        let result = match off.and_then(|off| off.load_words(desk.bench, &instance)) {
            Some(load) => result.say("; ").join(load),
            None => result,
        };
        placements.push(placement(
            off.map_or_else(|| Phrase::words("no shim of the list brings it nearer"), OffHeight::words),
            spring,
            instance,
            Phrase::words("now ").length_2(set.installed),
            result.join(in_shims(&set)),
            set.height,
            off.is_none(),
        ));
    }
    if placements.is_empty() {
        return None;
    }
    let count = placements.len();
    let words = counted(count, "spring to shim", "springs to shim");
    let unlisted = "; no shims are listed under springs: amounts are as needed, not as they can be had";
    let proof = if listed {
        "proved for each spring by itself: no one to three shims of the list, put in or taken out, stand it nearer inside its limits"
    } else {
        "each spring stands for itself"
    };
    let outcome = if relax.is_empty() {
        Outcome::Best { proved: true, proof: proof.to_owned() }
    } else {
        Outcome::Relax { relax, widen: Widen::Each }
    };
    let selection = Selection {
        code: "spring_shims",
        title: "Shims under the springs".to_owned(),
        outcome,
        placements,
        summary: Phrase::words(words).say(if listed { "" } else { unlisted }),
        objective: "inside the limits of installed height, room before the coils touch and seat load; then nearest to the installed height of the document; then fewest shims",
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

/// "; in shims 1.00 mm + 0.10 mm".
fn in_shims(set: &Setting) -> Phrase {
    let out = set.height > set.installed;
    let mut words = Phrase::new();
    for (index, shim) in set.shims.iter().enumerate() {
        let before = match (index, out) {
            (0, true) => "; such as shims of ",
            (0, false) => "; shims of ",
            _ => " + ",
        };
        words = words.say(before).length_2(*shim);
    }
    if out && !set.shims.is_empty() { words.say(", as far as they stand under it") } else { words }
}
