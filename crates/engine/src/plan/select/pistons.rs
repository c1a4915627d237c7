//! Pistons, pins and rods to cylinders.

use super::{Desk, missing, outcome, placement, window};
use crate::document::OperationKind;
use crate::findings::{Verdict, piston_in};
use crate::plan::{Outcome, Placement, Selection};
use crate::quantity::{Dimension, Phrase};
use mechanics::selection::pistons::{CylinderSet, Pin, Piston, Request, Rod, choose};
use mechanics::selection::{Limits, Window};

const CODE: &str = "pistons";
const TITLE: &str = "Pistons, pins and rods to cylinders";

/// Places that must be read before pistons can be matched.
fn unread(desk: &Desk<'_>) -> Vec<String> {
    let mut paths = Vec::new();
    for cylinder in desk.bench.cylinders() {
        if desk.planned_bore(cylinder).is_none() {
            paths.push(format!("block.bore.{cylinder}.mid.thrust"));
        }
        let gauge = format!("piston.{cylinder}.gauge");
        if desk.bench.size(&gauge).is_none() {
            paths.push(gauge);
        }
    }
    paths
}

pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let clearance = window(&desk.bench.limit("piston_clearance")?)?;
    let unread = unread(desk);
    if desk.bench.cylinders().is_empty() {
        return None;
    }
    if !unread.is_empty() {
        return Some(missing(CODE, TITLE, unread));
    }
    let value = |path: String| desk.bench.size(&path).map(|s| s.value.value());
    let bores: Vec<f64> = desk.bench.cylinders().filter_map(|c| desk.planned_bore(c)).collect();
    let pistons: Vec<Piston> = desk
        .bench
        .cylinders()
        .map(|n| Piston {
            gauge_diameter: value(format!("piston.{n}.gauge")).unwrap_or_default(),
            pin_bore: 0.0,
            mass: value(format!("piston.{n}.mass")).unwrap_or_default(),
        })
        .collect();
    // Weights count only when every one of them is read: half a set of masses would favour the unweighed.
    let masses: Option<Vec<(f64, f64)>> = desk
        .bench
        .cylinders()
        .map(|n| {
            value(format!("piston.{n}.mass"))
                .and(value(format!("pin.{n}.mass")))
                .zip(value(format!("rod.{n}.small_end_mass")))
        })
        .collect();
    let pins: Vec<Pin> = masses.iter().flatten().map(|m| Pin { diameter: 0.0, mass: m.0 }).collect();
    let rods: Vec<Rod> = masses.iter().flatten().map(|m| Rod { bush: 0.0, mass: m.1 }).collect();
    let spread_allowed = desk.bench.limit("mass_spread").and_then(|l| l.used.max).unwrap_or(1e-3);
    let request = |pins, rods| Request {
        bores: &bores,
        clearance,
        pistons: &pistons,
        pins,
        rods,
        pin_in_piston: None,
        pin_in_bush: None,
        mass_spread: spread_allowed,
        mass_step: 0.1e-3,
    };
    if let Some(as_it_stands) = stays(desk, &bores, clearance) {
        return Some(as_it_stands);
    }
    // Pins and rods stay with their cylinder unless the weights then spread too far.
    let alone = choose(&request(&[], &[]), Limits::default()).ok()?;
    let with_present =
        |s: &CylinderSet, cylinder: usize| pistons[s.piston].mass + pins[cylinder].mass + rods[cylinder].mass;
    let heavy = !pins.is_empty()
        && spread(alone.choice.iter().enumerate().map(|(c, s)| with_present(s, c))) > spread_allowed;
    let solution = if heavy { choose(&request(&pins, &rods), Limits::default()).ok()? } else { alone };
    let masses: Vec<f64> = solution
        .choice
        .iter()
        .enumerate()
        .map(|(c, s)| if heavy || pins.is_empty() { s.mass } else { with_present(s, c) })
        .collect();
    let placements: Vec<Placement> =
        solution.choice.iter().zip(1..).map(|(set, cylinder)| place(desk, set, cylinder)).collect();
    let even = !masses.is_empty() && !pins.is_empty() && spread(masses.iter().copied()) <= spread_allowed;
    let (least, most) = ends(solution.choice.iter().map(|s| s.clearance));
    let moved = placements.iter().filter(|p| !p.stays).count();
    let words = if moved == 0 {
        "all stay where they are: clearance ".to_owned()
    } else {
        format!("{moved} change place: clearance ")
    };
    let selection = Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: outcome(&solution, Dimension::Length, &|w| format!("cylinder {}", w + 1)),
        summary: Phrase::words(words)
            .length(least)
            .say(" to ")
            .length(most)
            .join(weights(&masses, !pins.is_empty())),
        placements,
        objective: OBJECTIVE,
        caution: None,
        settles: Vec::new(),
    };
    let mut selection = selection.settling(&["piston_clearance"]);
    let even = even && matches!(selection.outcome, Outcome::Best { .. });
    selection.settles.extend(even.then(|| "mass_spread/1".to_owned()));
    Some(selection)
}

/// What is in range and off its edges, with even weights, is left where it is.
fn stays(desk: &Desk<'_>, bores: &[f64], clearance: Window) -> Option<Selection> {
    let good = |code: &str| {
        desk.assessment.findings.iter().filter(|f| f.code == code).all(|f| f.verdict == Verdict::Good)
    };
    let hone = desk.cuts.iter().any(|c| c.operation == OperationKind::Hone);
    if hone || !good("piston_clearance") || !good("mass_spread") {
        return None;
    }
    let placements: Vec<Placement> = desk
        .bench
        .cylinders()
        .zip(bores)
        .filter_map(|(cylinder, bore)| {
            let piston = piston_in(desk.bench, cylinder);
            let gauge = desk.bench.size(&format!("piston.{piston}.gauge"))?.value.value();
            let set = CylinderSet {
                piston: piston as usize - 1,
                pin: None,
                rod: None,
                clearance: bore - gauge,
                mass: 0.0,
            };
            Some(place(desk, &set, cylinder))
        })
        .collect();
    if placements.len() != bores.len() {
        return None;
    }
    debug_assert!(placements.iter().all(|p| p.value >= clearance.min && p.value <= clearance.max));
    let (least, most) = ends(placements.iter().map(|p| p.value));
    let selection = Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: Outcome::Best {
            proved: true,
            proof: "every clearance and the weights are good as they stand".to_owned(),
        },
        summary: Phrase::words("all stay where they are: clearance ").length(least).say(" to ").length(most),
        placements,
        objective: OBJECTIVE,
        caution: None,
        settles: Vec::new(),
    };
    Some(selection.settling(&["piston_clearance"]))
}

const OBJECTIVE: &str =
    "what is good stays; else clearances inside their range, then nearest to the target, then even weights";

fn ends(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
}

fn spread(values: impl Iterator<Item = f64>) -> f64 {
    let (least, most) = ends(values);
    most - least
}

fn weights(masses: &[f64], weighed: bool) -> Phrase {
    if !weighed {
        return Phrase::words("; weights not all read");
    }
    Phrase::words("; weights within ").value(spread(masses.iter().copied()), Dimension::Mass, 1)
}

fn place(desk: &Desk<'_>, set: &CylinderSet, cylinder: u32) -> Placement {
    let piston = set.piston as u32 + 1;
    let mut what = format!("piston {piston}");
    let mut stays = piston_in(desk.bench, cylinder) == piston;
    for (word, index) in [("pin", set.pin), ("rod", set.rod)] {
        if let Some(index) = index {
            what = format!("{what}, {word} {}", index + 1);
            stays &= index as u32 + 1 == cylinder;
        }
    }
    let from = match (stays, desk.is_honed(cylinder)) {
        (true, false) => Phrase::words("as it stands"),
        (true, true) => Phrase::words("as it stands, after the hone"),
        (false, false) => Phrase::words("moves"),
        (false, true) => Phrase::words("moves, not before the hone"),
    };
    placement(
        Phrase::words(what),
        format!("bore {cylinder}"),
        cylinder.to_string(),
        from,
        Phrase::words("clearance ").length(set.clearance),
        set.clearance,
        stays,
    )
}
