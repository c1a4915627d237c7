//! Separate barrels on a crankcase: walls with their fins, the spigot in the case, the shim under the flange.

use super::frame::{Pencil, boxed};
use crate::drawing::places::{CylinderPlace, Places};
use crate::drawing::sizes::Sizes;
use crate::drawing::svg::Point;

/// Top of the casting above the crank axis, mm: the deck, or the face of the crankcase that the shims lie on.
pub fn casting_top(sizes: &Sizes) -> f64 {
    match sizes.barrel_shim {
        Some(shim) => flange_foot(sizes) - shim.mm,
        None => sizes.deck.mm,
    }
}

/// Underside of the flange above the crank axis, mm; the spigot below it is drawn, no document says its length.
fn flange_foot(sizes: &Sizes) -> f64 {
    sizes.bore_bottom() + 0.24 * sizes.bore_length.mm
}

/// Walls of the crankcase between the spigots of one bank and at its ends: from, to.
pub fn between(cylinders: &[CylinderPlace], faces: (f64, f64), sizes: &Sizes) -> Vec<(f64, f64)> {
    let half = sizes.bore.mm / 2.0 + sizes.wall.mm;
    let mut edges = vec![faces.0];
    for cylinder in cylinders {
        edges.extend([cylinder.x - half, cylinder.x + half]);
    }
    edges.push(faces.1);
    edges.chunks_exact(2).map(|e| (e[0], e[1].max(e[0]))).collect()
}

/// How far fins and flange may stand out along the crank, mm from the barrel's axis: neighbours leave air between them.
pub fn reach_along(places: &Places, sizes: &Sizes) -> f64 {
    let xs = places.cylinders.iter().flat_map(|a| {
        let own = |b: &&CylinderPlace| b.bank == a.bank && b.number != a.number;
        places.cylinders.iter().filter(own).map(move |b| (b.x - a.x).abs())
    });
    let room = xs.fold(f64::INFINITY, f64::min) / 2.0 - 0.01 * sizes.bore.mm;
    room.min(reach(sizes))
}

/// How far fins and flange stand out where nothing is beside them, mm from the barrel's axis: a proportion, no source.
pub fn reach(sizes: &Sizes) -> f64 {
    sizes.bore.mm / 2.0 + sizes.wall.mm + 0.15 * sizes.bore.mm
}

/// Draws the barrel on the axis `u` with what lies under it; its fins reach so far from the axis.
pub fn draw(pencil: &mut Pencil, sizes: &Sizes, u: f64, reach: f64) {
    let given = sizes.bore.given && sizes.deck.given;
    for side in [-1.0, 1.0] {
        let wall: Vec<Point> = wall(sizes, reach).into_iter().map(|(r, v)| (u + side * r, v)).collect();
        pencil.cut(&[wall], given, true);
        let (from, to) =
            (u + side * (sizes.bore.mm / 2.0 + sizes.wall.mm), u + side * reach.max(least(sizes)));
        if let Some(shim) = sizes.barrel_shim.filter(|shim| shim.mm > 0.0) {
            pencil.solid((from.min(to), from.max(to)), (casting_top(sizes), flange_foot(sizes)), shim.given);
        }
    }
}

/// A flange stands out at least a little, else nothing would lie on the shim.
fn least(sizes: &Sizes) -> f64 {
    sizes.bore.mm / 2.0 + 1.35 * sizes.wall.mm
}

/// One wall in the plane of the cut, (distance from the axis, height above the crank axis).
fn wall(sizes: &Sizes, reach: f64) -> Vec<Point> {
    let (bore, outer) = (sizes.bore.mm / 2.0, sizes.bore.mm / 2.0 + sizes.wall.mm);
    let (bottom, foot, top) = (sizes.bore_bottom(), flange_foot(sizes), sizes.deck.mm);
    let flange = 0.06 * sizes.bore.mm;
    let mut ring = vec![(bore, bottom), (bore, top), (outer, top)];
    // Room for fins? Else the wall is plain above its flange.
    if reach - outer > 0.03 * sizes.bore.mm {
        const FINS: u32 = 7;
        let pitch = (top - foot - 2.0 * flange) / f64::from(FINS);
        for fin in 0..FINS {
            let v = top - pitch * (f64::from(fin) + 0.35);
            ring.extend([(outer, v), (reach, v), (reach, v - 0.3 * pitch), (outer, v - 0.3 * pitch)]);
        }
    }
    let edge = reach.max(least(sizes));
    ring.extend([
        (outer, foot + flange),
        (edge, foot + flange),
        (edge, foot),
        (outer, foot),
        (outer, bottom),
    ]);
    ring
}

/// The gasket on one barrel, from its wall to the fire ring.
pub fn gasket(pencil: &mut Pencil, sizes: &Sizes, u: f64) {
    let (ring, outer) = (sizes.fire_ring.mm / 2.0, sizes.bore.mm / 2.0 + sizes.wall.mm);
    for side in [-1.0, 1.0] {
        let (a, b) = (u + side * ring.min(0.98 * outer), u + side * outer);
        pencil.solid((a.min(b), a.max(b)), (sizes.deck.mm, sizes.head_face()), sizes.gasket.given);
    }
}

/// The crankcase beside the spigot, seen from the front, as a box to one side: from the spigot out to the outer wall.
pub fn case_beside(sizes: &Sizes, side: f64, outer: f64, low: f64) -> Vec<Point> {
    let inner = sizes.bore.mm / 2.0 + sizes.wall.mm;
    let (a, b) = (side * inner, side * outer);
    boxed((a.min(b), a.max(b)), (low, casting_top(sizes).max(low)))
}
