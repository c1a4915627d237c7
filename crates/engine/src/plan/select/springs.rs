//! Shims under springs that stand at the wrong height.

use super::{Desk, placement};
use crate::cautions;
use crate::features::valve_names;
use crate::plan::{Outcome, Placement, Selection};
use crate::quantity::{Dimension, Phrase};
use mechanics::fit::valve::spring_load;

/// Every spring is shimmed back to the nominal installed height, by as much as the readings say. The stack under a spring
/// is not a reading, so the plan says how much has to go or to come, not which shims they are.
pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let springs = &desk.bench.document().springs;
    let nominal = springs.installed?.0;
    // A tenth of a millimetre either way is as set: common practice, no source.
    let tolerance = desk
        .bench
        .limit("spring_installed")
        .and_then(|l| l.used.max)
        .map_or(0.1e-3, |max| (max - nominal).abs());
    let mut placements: Vec<Placement> = Vec::new();
    for valve in valve_names(desk.bench.document()) {
        let instance = valve.path();
        let Some(size) = desk.bench.size(&format!("head.{instance}.spring_installed")) else { continue };
        let change = nominal - size.value.value();
        if change.abs() <= tolerance {
            continue;
        }
        let what = if change > 0.0 {
            Phrase::words("take ").length_2(change).say(" of shim out")
        } else {
            Phrase::words("put ").length_2(-change).say(" of shim in")
        };
        let load = springs
            .seat_load
            .zip(springs.rate)
            .map(|(f, k)| spring_load(f.0, nominal, k.0, size.value.value()));
        let result = Phrase::words("height ").length_2(nominal);
        let result = match (load, springs.seat_load) {
            (Some(now), Some(then)) => result
                .say("; seat load ")
                .value(now, Dimension::Force, 0)
                .say(" to ")
                .value(then.0, Dimension::Force, 0),
            _ => result,
        };
        placements.push(placement(
            what,
            format!("spring {}", valve.label()),
            instance,
            Phrase::words("now ").length_2(size.value.value()),
            result,
            nominal,
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
    Some(selection.settling(&["coil_bind_margin", "spring_installed"]))
}
