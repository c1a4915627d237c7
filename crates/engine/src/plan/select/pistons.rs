//! Pistons, pins and rods to cylinders.

use super::{Desk, missing, outcome, placement, window};
use crate::findings::piston_in;
use crate::plan::{Placement, Selection};
use crate::quantity::{Dimension, Phrase};
use mechanics::selection::Limits;
use mechanics::selection::pistons::{CylinderSet, Pin, Piston, Request, Rod, choose};

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
    let request = Request {
        bores: &bores,
        clearance,
        pistons: &pistons,
        pins: &pins,
        rods: &rods,
        pin_in_piston: None,
        pin_in_bush: None,
        mass_spread: desk.bench.limit("mass_spread").and_then(|l| l.used.max).unwrap_or(1e-3),
        mass_step: 0.1e-3,
    };
    let solution = choose(&request, Limits::default()).ok()?;
    let placements: Vec<Placement> =
        solution.choice.iter().zip(1..).map(|(set, cylinder)| place(desk, set, cylinder)).collect();
    let (least, most) = solution
        .choice
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| (a.min(s.clearance), b.max(s.clearance)));
    let moved = placements.iter().filter(|p| !p.stays).count();
    let words = if moved == 0 {
        "all stay where they are: clearance ".to_owned()
    } else {
        format!("{moved} change place: clearance ")
    };
    Some(Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: outcome(&solution, Dimension::Length, &|w| format!("cylinder {}", w + 1)),
        summary: Phrase::words(words)
            .length(least)
            .say(" to ")
            .length(most)
            .join(weights(&solution.choice, !pins.is_empty())),
        placements,
        objective: "clearances inside their range, then equal to the target, then equal weights",
    })
}

fn weights(sets: &[CylinderSet], weighed: bool) -> Phrase {
    if !weighed {
        return Phrase::words("; weights not all read");
    }
    let masses = sets.iter().map(|s| s.mass);
    let spread = masses.clone().fold(f64::NEG_INFINITY, f64::max) - masses.fold(f64::INFINITY, f64::min);
    Phrase::words("; weights within ").value(spread, Dimension::Mass, 1)
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
    let from = Phrase::words(if stays { "as it stands" } else { "moves" });
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
