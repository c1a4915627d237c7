//! The block cut along a bank: bore walls, bulkheads, main saddles, caps, shells.

use super::barrels;
use super::frame::{Pencil, boxed, chamfered};
use crate::drawing::hand::{SKETCH, THIN_COVER};
use crate::drawing::places::{CylinderPlace, Places};
use crate::drawing::sizes::Sizes;
use crate::drawing::svg::Point;
use engine::document::Arrangement;

/// Front and rear face of the block, mm along the crank.
pub fn faces(places: &Places, sizes: &Sizes) -> (f64, f64) {
    let half = sizes.main_width.mm / 2.0;
    let end = sizes.bore.mm / 2.0 + sizes.wall.mm + 0.14 * sizes.bore.mm;
    let front_bore = places.cylinders.iter().map(|c| c.x).fold(f64::INFINITY, f64::min) - end;
    let rear_bore = places.cylinders.iter().map(|c| c.x).fold(f64::NEG_INFINITY, f64::max) + end;
    let first = places.mains.first().map_or(front_bore, |m| m - half);
    let last = places.mains.last().map_or(rear_bore, |m| m + half);
    (first.min(front_bore), last.max(rear_bore))
}

/// Depth of the pan rail below the crank axis, mm.
pub fn rail(sizes: &Sizes) -> f64 {
    (sizes.main_housing.mm / 2.0 + 0.34 * sizes.bore.mm).max(0.6 * sizes.swing())
}

/// Walls between the bores of one bank and at its ends: from, to.
pub fn walls(cylinders: &[CylinderPlace], faces: (f64, f64), sizes: &Sizes) -> Vec<(f64, f64)> {
    let half = sizes.bore.mm / 2.0;
    let mut edges = vec![faces.0];
    for cylinder in cylinders {
        edges.extend([cylinder.x - half, cylinder.x + half]);
    }
    edges.push(faces.1);
    edges.chunks_exact(2).map(|e| (e[0], e[1])).collect()
}

/// What is seen behind the cut: bore ends and the pan rail.
pub fn behind(pencil: &mut Pencil, places: &Places, sizes: &Sizes, bank: usize) {
    let (front, rear) = faces(places, sizes);
    if places.arrangement != Arrangement::Flat {
        let depth = rail(sizes);
        let style = if sizes.block_given() { THIN_COVER } else { SKETCH };
        pencil.shape(&boxed((front, rear), (-depth, sizes.bore_bottom())), style);
        pencil.thin((front, -depth + 0.07 * sizes.bore.mm), (rear, -depth + 0.07 * sizes.bore.mm));
    }
    let half = sizes.bore.mm / 2.0;
    for cylinder in places.of_bank(bank) {
        for v in [sizes.bore_bottom(), sizes.deck.mm] {
            pencil.thin((cylinder.x - half, v), (cylinder.x + half, v));
        }
    }
}

/// The cut block of one bank, hatched; of separate barrels the crankcase that they stand on, and they on it.
pub fn cut_block(pencil: &mut Pencil, places: &Places, sizes: &Sizes, bank: usize) {
    let faces = faces(places, sizes);
    let cylinders = places.of_bank(bank);
    let walls = match sizes.barrel_shim {
        Some(_) => barrels::between(&cylinders, faces, sizes),
        None => walls(&cylinders, faces, sizes),
    };
    let half = sizes.main_width.mm / 2.0;
    let mut free: Vec<f64> = places.mains.clone();
    let given = sizes.block_given();
    for (i, wall) in walls.iter().enumerate() {
        let end = if i == 0 {
            End::Front
        } else if i + 1 == walls.len() {
            End::Rear
        } else {
            End::None
        };
        // The end walls stand on the outer mains, however far those reach under the bore.
        let main = match end {
            End::Front if !free.is_empty() => Some(0),
            End::Rear if !free.is_empty() => Some(free.len() - 1),
            _ => free.iter().position(|m| m + half > wall.0 - 2.0 && m - half < wall.1 + 2.0),
        };
        let foot = main.map(|m| {
            let m = free.remove(m);
            match end {
                End::Front => (wall.0, m + half),
                End::Rear => (m - half, wall.1),
                End::None => (m - half, m + half),
            }
        });
        let mut rings = vec![column(*wall, foot, sizes)];
        if sizes.barrel_shim.is_none() {
            rings.extend(jacket(*wall, end, sizes));
        }
        pencil.cut(&rings, given, false);
    }
    if sizes.barrel_shim.is_some() {
        for cylinder in &cylinders {
            barrels::draw(pencil, sizes, cylinder.x, barrels::reach_along(places, sizes));
        }
    }
    // Bulkheads that stand below a bore (flat engines) end under the skirt.
    let top = sizes.bore_bottom().min(below_skirt(sizes));
    let saddle = sizes.main_housing.mm / 2.0;
    for m in free {
        if top > saddle + 3.0 {
            pencil.cut(&[boxed((m - half, m + half), (saddle, top))], given, false);
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum End {
    Front,
    Rear,
    None,
}

/// Height that a skirt leaves free at bottom dead centre.
fn below_skirt(sizes: &Sizes) -> f64 {
    sizes.rod.mm - sizes.radius() - 0.46 * sizes.bore.mm
}

/// A wall from the deck to the end of the bore, and the bulkhead below it down to the main saddle.
fn column(wall: (f64, f64), foot: Option<(f64, f64)>, sizes: &Sizes) -> Vec<Point> {
    let (deck, bottom, saddle) =
        (barrels::casting_top(sizes), sizes.bore_bottom(), sizes.main_housing.mm / 2.0);
    let flare = (0.07 * sizes.bore.mm).min((bottom - saddle - 2.0).max(0.5) / 2.0);
    let under_bore = foot.is_some_and(|f| f.0 < wall.0 - 2.0 || f.1 > wall.1 + 2.0);
    let shoulder = if under_bore { (bottom - flare).min(below_skirt(sizes)) } else { bottom - flare };
    match foot {
        Some(foot) if shoulder > saddle => {
            let mut ring =
                vec![(wall.0, deck), (wall.1, deck), (wall.1, bottom), (foot.1, shoulder), (foot.1, saddle)];
            ring.extend([(foot.0, saddle), (foot.0, shoulder), (wall.0, bottom)]);
            ring
        }
        _ => boxed(wall, (bottom, deck)),
    }
}

/// Water space where a wall is wide enough to have one.
fn jacket(wall: (f64, f64), end: End, sizes: &Sizes) -> Option<Vec<Point>> {
    let room = wall.1 - wall.0;
    let outer = (1.1 * sizes.wall.mm).max(0.05 * sizes.bore.mm);
    let (left, right) = match end {
        End::Front => (wall.0 + outer, wall.1 - sizes.wall.mm),
        End::Rear => (wall.0 + sizes.wall.mm, wall.1 - outer),
        End::None => (wall.0 + sizes.wall.mm, wall.1 - sizes.wall.mm),
    };
    let (top, low) = (sizes.deck.mm - 0.12 * sizes.bore.mm, sizes.bore_bottom() + 0.3 * sizes.bore_length.mm);
    (room > 0.0 && right - left > 0.035 * sizes.bore.mm && top > low + 5.0)
        .then(|| chamfered((left, right), (low, top), 0.03 * sizes.bore.mm))
}

/// Caps and shells at the mains.
pub fn mains(pencil: &mut Pencil, places: &Places, sizes: &Sizes) {
    let half = sizes.main_width.mm / 2.0;
    let (journal, housing) = (sizes.main_journal.mm / 2.0, sizes.main_housing.mm / 2.0);
    let depth = housing + 0.26 * sizes.bore.mm;
    for m in &places.mains {
        let span = (m - half, m + half);
        if places.arrangement != Arrangement::Flat {
            let c = 0.03 * sizes.bore.mm;
            let cap = vec![
                (span.0, -housing),
                (span.1, -housing),
                (span.1, c - depth),
                (span.1 - c, -depth),
                (span.0 + c, -depth),
                (span.0, c - depth),
            ];
            pencil.cut(&[cap], sizes.block_given() && sizes.main_housing.given, true);
        }
        let given = sizes.main_housing.given && sizes.main_journal.given;
        pencil.solid(span, (journal, housing), given);
        pencil.solid(span, (-housing, -journal), given);
    }
}

/// The gasket between deck and head, open at the fire rings.
pub fn gasket(pencil: &mut Pencil, places: &Places, sizes: &Sizes, bank: usize) {
    let (front, rear) = faces(places, sizes);
    let ring = sizes.fire_ring.mm / 2.0;
    if sizes.barrel_shim.is_some() {
        for cylinder in places.of_bank(bank) {
            barrels::gasket(pencil, sizes, cylinder.x);
        }
        return;
    }
    let mut from = front;
    for cylinder in places.of_bank(bank) {
        pencil.solid((from, cylinder.x - ring), (sizes.deck.mm, sizes.head_face()), sizes.gasket.given);
        from = cylinder.x + ring;
    }
    pencil.solid((from, rear), (sizes.deck.mm, sizes.head_face()), sizes.gasket.given);
}
