//! Which operation moves which reading.

use super::{Operation, Reading};
use crate::document::{Arrangement, Document, OperationKind as K};
use crate::features::{Feature, is_at_a_main, moved_families, reaches};

/// Does this operation move what is read at this place? One that was taken back moves nothing.
pub fn moves(operation: &Operation, feature: &Feature) -> bool {
    if operation.withdrawn {
        return false;
    }
    if operation.kind == K::NewPart {
        // A new part is named by what it replaces: `rod.2`, `piston.1`; without a name nothing can be said. What is read through it
        // in its place is moved with it.
        let through = || operation.only.iter().any(|part| super::new_part::opens(part, feature));
        return !operation.only.is_empty() && (touches(operation, feature) || through());
    }
    let moved = moved_families(operation.kind);
    // Deck and head face share a family: which of them is moved is told by the path.
    let by_path = || feature.path.rsplit_once('.').is_some_and(|(stem, _)| moved.contains(&stem));
    (moved.contains(&feature.family) || by_path()) && touches(operation, feature)
}

/// Is the place on what the operation was done to?
fn touches(operation: &Operation, feature: &Feature) -> bool {
    let reached = |place: &String| reaches(operation.kind, place, feature);
    operation.only.is_empty() || operation.only.iter().any(reached)
}

/// Has an operation since the reading moved what it read?
pub fn is_stale(reading: &Reading, feature: &Feature, operations: &[Operation]) -> bool {
    operations_since(reading, operations).any(|operation| moves(operation, feature))
}

/// Operations that were done after the reading, in order.
pub fn operations_since<'a>(
    reading: &Reading,
    operations: &'a [Operation],
) -> impl Iterator<Item = &'a Operation> + use<'a> {
    operations_after(&reading.after, operations).iter()
}

/// Operations that were done after the one of that name, in order; all of them where the name is empty or unknown.
pub fn operations_after<'a>(name: &str, operations: &'a [Operation]) -> &'a [Operation] {
    let last = operations.iter().rposition(|o| !name.is_empty() && o.name == name);
    &operations[last.map_or(0, |p| p + 1)..]
}

/// What a cut moves that is read at no place of its own. Common practice, no source.
fn moved_besides(kind: K, document: &Document) -> Vec<&'static str> {
    let skim = matches!(kind, K::DeckSkim | K::HeadSkim);
    let lifts = skim || kind == K::BarrelShim;
    let pushrods = document.has_pushrods();
    let vee = document.layout.arrangement == Some(Arrangement::Vee);
    let all = [
        // The pushrod is as long as it was; the length that puts the rocker on the middle of the valve tip is another.
        (lifts && pushrods, "length of pushrod that the rocker needs"),
        // With cams in the head the cam drive spans the face; a crank axis that rises moves it in every engine.
        (lifts && !pushrods || kind == K::AlignHone, "cam timing"),
        (skim && vee, "faces and ports of the intake manifold between the heads"),
        (skim, "depth of the dowels"),
    ];
    all.into_iter().filter(|(moved, _)| *moved).map(|(_, words)| words).collect()
}

/// Places in words that an operation on this part opens again, for the cutting list.
pub fn opens_again(kind: K, part: &str, document: &Document) -> Vec<String> {
    // Lash over cams in the head is no place of a pushrod engine, and the other way round.
    let other = if document.has_pushrods() { "valve.lash" } else { "valve.pushrod_lash" };
    let barrels = document.block.is_of_separate_barrels();
    let absent = |family: &str| family.starts_with("barrel.") && !barrels;
    let elsewhere = |family: &str| match part.trim_start_matches("crank ").split(' ').next() {
        Some("main") if kind == K::Regrind => !is_at_a_main(family),
        Some("pin") if kind == K::Regrind => is_at_a_main(family),
        _ => false,
    };
    let families = moved_families(kind)
        .iter()
        .filter(|family| **family != other && !absent(family) && !elsewhere(family));
    families
        .map(|family| match *family {
            "block.bore" => "bores",
            "block.bore_surface" => "bore surface",
            "block.wall" => "walls",
            "block.deck_height" => "deck height",
            "block.deck_face" => "deck face",
            "block.main_housing" => "main housings",
            "block.main_axis" => "main line",
            "cylinder.below_deck" => "pistons below deck",
            "crank.main" => "main journals",
            "crank.pin" => "crank pins",
            "crank.run_out" => "run-out",
            "crank.end_float" => "end float",
            "main_bearing.fitted_bore" | "main_bearing.clearance" => "main bearing bores",
            "rod_bearing.fitted_bore" | "rod_bearing.clearance" => "rod bearing bores",
            "main_shell" | "rod_shell" => "shell walls",
            "main_shell.crush" | "rod_shell.crush" => "crush heights",
            "rod.big_end" => "big ends",
            "rod.length" => "rod centre distance",
            "ring.top.gap" | "ring.second.gap" | "ring.rail.gap" => "ring gaps",
            "barrel.height" => "heights of the barrels",
            "barrel.shim" => "shims under the barrels",
            "head.chamber" => "chamber volumes",
            "head.face" => "head face",
            "block.deck_roughness" => "deck roughness",
            "head.face_roughness" => "head face roughness",
            "head.port_flow" => "port flow",
            "valve.lash" | "valve.pushrod_lash" => "lash",
            "valve.shim" => "shims",
            "valve.spring_installed" => "spring heights",
            "valve.seat_load" => "seat loads",
            "valve.seat_width" | "valve.seat_run_out" => "seats",
            "valve.to_piston" => "piston to valve",
            other => other,
        })
        .chain(moved_besides(kind, document))
        .fold(Vec::new(), |mut words: Vec<String>, word| {
            if !words.iter().any(|w| w == word) {
                words.push(word.to_owned());
            }
            words
        })
}

/// Readings that count: not corrected by a later one, not withdrawn.
pub fn active_readings(readings: &[Reading]) -> impl Iterator<Item = &Reading> {
    let mut corrected: Vec<u64> = readings.iter().filter_map(|r| r.corrects).collect();
    corrected.sort_unstable();
    readings.iter().filter(move |r| !r.withdrawn && corrected.binary_search(&r.number).is_err())
}
