//! Pistons with rings and pin, and rods: along the crank and from the front.

use super::frame::{Pencil, arc, chamfered};
use crate::drawing::hand::{COVER, SKETCH, THIN, THIN_COVER};
use crate::drawing::sizes::Sizes;
use crate::drawing::svg::Point;
use mechanics::math::atan2;

/// Are the sizes of the pistons given?
const fn piston_given(sizes: &Sizes) -> bool {
    sizes.bore.given && sizes.compression_height.given
}

/// Widths of a rod along the crank: small end, shank, big end, mm.
pub fn rod_widths(sizes: &Sizes) -> (f64, f64, f64) {
    (0.235 * sizes.bore.mm, 0.15 * sizes.bore.mm, 1.04 * sizes.rod_width.mm)
}

/// A rod seen along the crank from its pin to the crank pin.
pub fn rod_along(pencil: &mut Pencil, sizes: &Sizes, x: f64, pin: f64, crank_pin: f64) {
    let (small, shank, big) = rod_widths(sizes);
    let given = sizes.rod.given;
    let eye = sizes.pin.mm / 2.0 + 0.06 * sizes.bore.mm;
    let end = big_end_radius(sizes);
    let c = 0.03 * sizes.bore.mm;
    pencil.part(
        &[
            (x - shank / 2.0, pin - eye),
            (x + shank / 2.0, pin - eye),
            (x + shank * 0.62, crank_pin + end),
            (x - shank * 0.62, crank_pin + end),
        ],
        given,
    );
    if given && pin - crank_pin > 2.2 * end {
        for side in [-1.0, 1.0] {
            pencil.thin(
                (x + side * shank * 0.22, pin - eye - 2.0 * c),
                (x + side * shank * 0.26, crank_pin + end + 2.0 * c),
            );
        }
    }
    pencil.part(&chamfered((x - small / 2.0, x + small / 2.0), (pin - eye, pin + eye), c), given);
    big_end_along(pencil, sizes, x, crank_pin, big);
}

/// The big end alone, as of the rod of the other bank.
pub fn big_end_along(pencil: &mut Pencil, sizes: &Sizes, x: f64, crank_pin: f64, width: f64) {
    let end = big_end_radius(sizes);
    let c = 0.03 * sizes.bore.mm;
    let given = sizes.rod.given;
    pencil.part(&chamfered((x - width / 2.0, x + width / 2.0), (crank_pin - end, crank_pin + end), c), given);
    if given {
        pencil.thin((x - width / 2.0, crank_pin), (x + width / 2.0, crank_pin));
    }
}

/// Outer radius of the big end, mm.
pub fn big_end_radius(sizes: &Sizes) -> f64 {
    sizes.big_end.mm / 2.0 + 0.075 * sizes.bore.mm
}

/// Heights of the ring grooves above the pin axis and their widths, top ring first.
pub fn grooves(sizes: &Sizes) -> [(f64, f64); 3] {
    let crown = sizes.compression_height.mm;
    let top = 0.065 * sizes.bore.mm;
    let oil = 0.028 * sizes.bore.mm;
    let room = (crown - sizes.pin.mm * 0.25 - top).max(0.12 * sizes.bore.mm);
    let step = (0.34 * room).min(0.06 * sizes.bore.mm);
    [
        (crown - top, sizes.top_ring.mm.min(step * 0.6)),
        (crown - top - step, sizes.second_ring.mm.min(step * 0.6)),
        (crown - top - 2.0 * step, oil.min(step * 0.8)),
    ]
}

/// Lower edge of the skirt below the pin axis, mm.
pub fn skirt(sizes: &Sizes) -> f64 {
    (0.62 * sizes.bore.mm - sizes.compression_height.mm).max(sizes.pin.mm * 0.62)
}

/// The crown's edge from left to right, with its dish or dome.
fn crown(sizes: &Sizes, x: f64, radius: f64, top: f64) -> Vec<Point> {
    if sizes.crown.abs() < 0.004 * sizes.bore.mm {
        return vec![(x - radius, top), (x + radius, top)];
    }
    let flat = 0.72 * radius;
    let slope = 0.62 * radius;
    vec![
        (x - radius, top),
        (x - flat, top),
        (x - slope, top + sizes.crown),
        (x + slope, top + sizes.crown),
        (x + flat, top),
        (x + radius, top),
    ]
}

/// The far half of the skirt, behind rod and pin.
pub fn skirt_behind(pencil: &mut Pencil, sizes: &Sizes, x: f64, pin: f64) {
    let half = 0.493 * sizes.bore.mm;
    let belt = pin + grooves(sizes)[2].0;
    let outline = chamfered((x - half, x + half), (pin - skirt(sizes), belt), 0.03 * sizes.bore.mm);
    pencil.shape(&outline, if piston_given(sizes) { THIN_COVER } else { SKETCH });
}

/// The piston cut along its pin.
pub fn piston_along(pencil: &mut Pencil, sizes: &Sizes, x: f64, pin: f64) {
    let known = piston_given(sizes);
    let radius = 0.993 * sizes.bore.mm / 2.0;
    let top = pin + sizes.compression_height.mm;
    let belt = pin + grooves(sizes)[2].0 - 0.045 * sizes.bore.mm;
    let boss_outer = (sizes.pin_length.mm / 2.0 + 0.02 * sizes.bore.mm).min(radius);
    let boss_inner = rod_widths(sizes).0 / 2.0 + 0.014 * sizes.bore.mm;
    let boss_low = pin - sizes.pin.mm / 2.0 - 0.05 * sizes.bore.mm;
    let under = top - 0.085 * sizes.bore.mm + sizes.crown.min(0.0);
    let mut ring = crown(sizes, x, radius, top);
    ring.extend([
        (x + radius, belt),
        (x + boss_outer, belt - 0.03 * sizes.bore.mm),
        (x + boss_outer, boss_low),
    ]);
    ring.extend([(x + boss_inner, boss_low), (x + boss_inner, under), (x - boss_inner, under)]);
    ring.extend([(x - boss_inner, boss_low), (x - boss_outer, boss_low)]);
    ring.extend([(x - boss_outer, belt - 0.03 * sizes.bore.mm), (x - radius, belt)]);
    pencil.cut(&[ring], known, true);
    rings(pencil, sizes, (x, pin), known);
    pin_along(pencil, sizes, (x, pin));
}

/// Rings in their grooves: thin cut parts, blackened.
fn rings(pencil: &mut Pencil, sizes: &Sizes, (x, pin): Point, known: bool) {
    if !known {
        return;
    }
    let wall = sizes.bore.mm / 2.0;
    let depth = 0.042 * sizes.bore.mm;
    for (height, width) in grooves(sizes) {
        for side in [-1.0, 1.0] {
            let (a, b) = (x + side * wall, x + side * (wall - depth));
            pencil.solid((a.min(b), a.max(b)), (pin + height - width, pin + height), true);
        }
    }
}

fn pin_along(pencil: &mut Pencil, sizes: &Sizes, (x, pin): Point) {
    let half = sizes.pin_length.mm / 2.0;
    let (outer, inner) = (sizes.pin.mm / 2.0, sizes.pin_bore.mm / 2.0);
    pencil.part(
        &chamfered((x - half, x + half), (pin - outer, pin + outer), 0.012 * sizes.bore.mm),
        sizes.pin.given,
    );
    for side in [-1.0, 1.0] {
        pencil.hidden((x - half, pin + side * inner), (x + half, pin + side * inner));
    }
}

/// The piston cut across its pin, as seen from the front; `v` is the height of the pin.
pub fn piston_front(pencil: &mut Pencil, sizes: &Sizes, v: f64) {
    let known = piston_given(sizes);
    let radius = 0.993 * sizes.bore.mm / 2.0;
    let top = v + sizes.compression_height.mm;
    let bottom = v - skirt(sizes);
    let under = top - 0.085 * sizes.bore.mm + sizes.crown.min(0.0);
    let wall = 0.05 * sizes.bore.mm;
    let belt = v + grooves(sizes)[2].0 - 0.05 * sizes.bore.mm;
    let mut ring = crown(sizes, 0.0, radius, top);
    ring.extend([
        (radius, bottom),
        (radius - wall * 0.7, bottom),
        (radius - wall, belt),
        (radius - 0.1 * sizes.bore.mm, under),
    ]);
    ring.extend([
        (0.1 * sizes.bore.mm - radius, under),
        (wall - radius, belt),
        (wall * 0.7 - radius, bottom),
        (-radius, bottom),
    ]);
    pencil.cut(&[ring], known, true);
    rings(pencil, sizes, (0.0, v), known);
}

/// A rod from the front between its two eyes, then the pin.
pub fn rod_front(pencil: &mut Pencil, sizes: &Sizes, pin: Point, crank_pin: Point) {
    let given = sizes.rod.given;
    let (du, dv) = (pin.0 - crank_pin.0, pin.1 - crank_pin.1);
    let length = (du * du + dv * dv).sqrt().max(1e-6);
    let (tu, tv) = (du / length, dv / length);
    let lean_deg = atan2(tu, tv).to_degrees();
    let along = |from: Point, forth: f64, aside: f64| {
        (from.0 + tu * forth + tv * aside, from.1 + tv * forth - tu * aside)
    };
    let eye = sizes.pin.mm / 2.0 + 0.06 * sizes.bore.mm;
    let end = big_end_radius(sizes);
    let lug = sizes.big_end.mm / 2.0 + 0.13 * sizes.bore.mm;
    let mut outline = arc(pin, eye, lean_deg - 125.0, lean_deg + 125.0);
    outline.push(along(crank_pin, end * 1.15, 0.15 * sizes.bore.mm));
    outline.push(along(crank_pin, end * 0.62, lug));
    outline.push(along(crank_pin, -end * 0.62, lug));
    outline.extend(arc(crank_pin, end, lean_deg + 140.0, lean_deg + 220.0));
    outline.push(along(crank_pin, -end * 0.62, -lug));
    outline.push(along(crank_pin, end * 0.62, -lug));
    outline.push(along(crank_pin, end * 1.15, -0.15 * sizes.bore.mm));
    pencil.part(&outline, given);
    let split = sizes.big_end.mm / 2.0;
    for side in [-1.0, 1.0] {
        pencil.thin(along(crank_pin, 0.0, side * split), along(crank_pin, 0.0, side * lug));
        pencil.thin(
            along(pin, -eye * 1.15, side * 0.055 * sizes.bore.mm),
            along(crank_pin, end * 1.25, side * 0.085 * sizes.bore.mm),
        );
    }
    pencil.disc(crank_pin, sizes.big_end.mm / 2.0, given);
    pencil.disc(crank_pin, sizes.pin_journal.mm / 2.0, sizes.pin_journal.given);
    pencil.disc(pin, sizes.pin.mm / 2.0, sizes.pin.given);
    let at = pencil.frame.at(pin.0, pin.1);
    pencil.svg.circle(at, sizes.pin_bore.mm / 2.0 * pencil.frame.scale, THIN);
    let at = pencil.frame.at(crank_pin.0, crank_pin.1);
    pencil.svg.circle(at, 2.0, COVER);
}
