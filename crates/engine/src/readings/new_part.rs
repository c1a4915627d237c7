//! A part that was replaced: what is read through it in its place is read again, and a bare number does not say which part it was.

use super::Operation;
use crate::document::OperationKind;
use crate::features::{Catalogue, Feature, Sheet, plain_name};

/// Families of places that are read through a part beside its own, by the kind of part. Common practice, no source.
const READ_THROUGH: &[(&str, &[&str])] = &[
    (
        "rod",
        &[
            "cylinder.below_deck",
            "valve.to_piston",
            "rod_shell.crush",
            "rod_bearing.fitted_bore",
            "rod_bearing.clearance",
        ],
    ),
    ("piston", &["cylinder.below_deck", "valve.to_piston", "ring.side_clearance"]),
    ("rod_shell", &["rod_bearing.fitted_bore", "rod_bearing.clearance"]),
    ("main_shell", &["main_bearing.fitted_bore", "main_bearing.clearance"]),
    (
        "crank",
        &[
            "main_bearing.clearance",
            "rod_bearing.clearance",
            "rod.side_clearance",
            "cylinder.below_deck",
            "valve.to_piston",
        ],
    ),
    (
        "block",
        &[
            "main_bearing.fitted_bore",
            "main_bearing.clearance",
            "main_shell.crush",
            "crank.end_float",
            "ring.top.gap",
            "ring.second.gap",
            "ring.rail.gap",
            "valve.to_piston",
            "valve.pushrod_lash",
        ],
    ),
    ("head", &["cam.bore"]),
    ("gasket", &["valve.to_piston", "valve.pushrod_lash"]),
];

/// Does a new part of this name ("rod.2", "crank", "head.a") move what is read at this place through it?
pub(super) fn opens(part: &str, feature: &Feature) -> bool {
    let (kind, which) = part.split_once('.').unwrap_or((part, ""));
    // Another valve sinks otherwise into its seat: the chamber has another volume.
    if let ("head", Some((_, valve))) = (kind, which.split_once('.')) {
        let cylinder = valve.trim_end_matches(|c: char| c.is_ascii_lowercase());
        return feature.family == "head.chamber" && feature.cylinder_is(cylinder);
    }
    let families = READ_THROUGH.iter().find(|(name, _)| *name == kind).map(|(_, families)| *families);
    families.is_some_and(|families| families.contains(&feature.family)) && stands_at(kind, which, feature)
}

/// Is the place in the cylinder, at the bearing or in the bank of this part? One without a number stands everywhere.
fn stands_at(kind: &str, which: &str, feature: &Feature) -> bool {
    // "intake.2a" and "2" are of cylinder 2.
    let number = feature.instance.rsplit('.').next().unwrap_or_default();
    let number = number.trim_end_matches(|c: char| c.is_ascii_lowercase());
    match which {
        "" => true,
        _ if which.bytes().all(|b| b.is_ascii_digit()) => match feature.piston {
            Some(piston) if kind == "piston" => piston.to_string() == which,
            _ => number == which,
        },
        bank => match feature.part.split_once('.') {
            Some(("head", of_head)) => of_head == bank,
            _ => true,
        },
    }
}

/// Names the part of each bare number of a new part that only one part carries; the others stay as they were recorded.
pub(crate) fn name_new_parts(operations: &mut [Operation], catalogue: &Catalogue) {
    for operation in operations.iter_mut().filter(|o| o.kind == OperationKind::NewPart) {
        for only in &mut operation.only {
            let plain = plain_name(only);
            if !catalogue.is_read(only) && catalogue.is_read(&plain) {
                *only = plain;
            }
            if let Ok(part) = replaced_part(only, None, catalogue) {
                *only = part;
            }
        }
    }
}

/// One sentence on each operation that names a new part by a number that several parts carry, as records from before such numbers were
/// refused may: all that is read at places of that number is taken as moved.
pub fn parts_not_said(operations: &[Operation], catalogue: &Catalogue) -> Vec<String> {
    let said = |operation: &Operation, number: &String| {
        let parts = replaced_part(number, None, catalogue).err()?;
        let parts = if parts.is_empty() { String::new() } else { format!(" ({})", parts.join(", ")) };
        Some(format!(
            "The operation \"{}\" does not say which part {number} is new{parts}: all that is read at places of that number is taken as moved. Take it back and record it again with the name of the part.",
            operation.name
        ))
    };
    let new = operations.iter().filter(|o| o.did(OperationKind::NewPart));
    new.filter_map(|o| o.only.iter().find_map(|number| said(o, number))).collect()
}

/// The part that was replaced, by the name that an operation takes: a bare number means the part of that number whose rows the sheet
/// has.
///
/// # Errors
/// The parts that it could be, where it is none or not one alone.
pub fn replaced_part(name: &str, sheet: Option<Sheet>, catalogue: &Catalogue) -> Result<String, Vec<String>> {
    if name.is_empty() || !name.bytes().all(|b| b.is_ascii_digit()) {
        return Ok(name.to_owned());
    }
    let ending = format!(".{name}");
    // A bearing is a place: its part is the shell.
    let is_part = |part: &str| part.ends_with(&ending) && !part.contains("_bearing.");
    let parts_of = |sheet: Option<Sheet>| {
        let mut parts: Vec<String> = Vec::new();
        let on_it = |f: &&Feature| sheet.is_none_or(|sheet| catalogue.tables[f.table].sheet == sheet);
        for feature in catalogue.features.iter().filter(on_it).filter(|f| is_part(&f.part)) {
            if !parts.contains(&feature.part) {
                parts.push(feature.part.clone());
            }
        }
        parts
    };
    match parts_of(sheet).as_slice() {
        [one] => Ok(one.clone()),
        [] => Err(parts_of(None)),
        several => Err(several.to_vec()),
    }
}
