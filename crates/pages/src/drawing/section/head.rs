//! The head cut along a bank: chambers, valves with guides, springs, buckets or rockers, camshaft.

use super::block::faces;
use super::frame::{Pencil, boxed, chamfered};
use crate::drawing::hand::{HIDDEN, INK, PAPER, THIN, THIN_COVER};
use crate::drawing::places::Places;
use crate::drawing::sizes::Sizes;
use crate::drawing::svg::{Point, number, path_data};
use engine::document::{Document, LashAdjustment};
use engine::features::Side;

/// What stands on the valve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Follower {
    /// Bucket under the cam.
    Bucket,
    /// Finger under the cam.
    Finger,
    /// Rocker from a pushrod or a cam elsewhere.
    Rocker,
}

/// A valve as it is drawn: place across the view from the bore axis, head diameter, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ValvePlace {
    /// From the bore axis along the crank, mm.
    pub u: f64,
    /// Head diameter, mm.
    pub head: f64,
    /// Side.
    pub side: Side,
    /// `a` is the front one.
    pub letter: char,
}

/// How the heads are drawn.
#[derive(Clone, Debug)]
pub struct HeadPlan {
    /// Valves in the cut, front first.
    pub cut: Vec<ValvePlace>,
    /// Valves of each cylinder are drawn for the intake side only; the exhaust side stands behind.
    pub exhaust_behind: bool,
    /// Those that stand behind, front first.
    pub behind: Vec<ValvePlace>,
    /// Follower.
    pub follower: Follower,
    /// Valve counts are given.
    pub given: bool,
    /// Spring width, mm.
    pub spring_width: f64,
}

impl HeadPlan {
    /// From the document.
    pub fn of(document: &Document, sizes: &Sizes) -> Self {
        let layout = &document.layout;
        let given = layout.intake_valves.is_some();
        let intake = layout.intake_valves.unwrap_or(2).clamp(1, 3);
        let exhaust = layout.exhaust_valves.unwrap_or(intake).clamp(1, 3);
        let follower = match document.cams.lash_adjustment {
            Some(LashAdjustment::FingerShim) => Follower::Finger,
            Some(LashAdjustment::RockerScrew) => Follower::Rocker,
            _ if document.cams.pushrod.is_some() || document.cams.rocker_ratio.is_some() => Follower::Rocker,
            _ => Follower::Bucket,
        };
        let exhaust_behind = intake > 1 || exhaust > 1;
        let gap = 0.025 * sizes.bore.mm;
        let mut cut = Vec::new();
        let mut behind = Vec::new();
        if exhaust_behind {
            let row = |side: Side, count: u32, head: f64| {
                (0..count).map(move |i| ValvePlace {
                    u: (head + gap) * (f64::from(i) - f64::from(count - 1) / 2.0),
                    head,
                    side,
                    letter: char::from(b'a' + i as u8),
                })
            };
            cut.extend(row(Side::Intake, intake, sizes.intake_valve.mm));
            behind.extend(row(Side::Exhaust, exhaust, sizes.exhaust_valve.mm));
        } else {
            let total = sizes.intake_valve.mm + sizes.exhaust_valve.mm + gap;
            let valve = |u, head, side| ValvePlace { u, head, side, letter: 'a' };
            cut.push(valve((sizes.intake_valve.mm - total) / 2.0, sizes.intake_valve.mm, Side::Intake));
            cut.push(valve((total - sizes.exhaust_valve.mm) / 2.0, sizes.exhaust_valve.mm, Side::Exhaust));
        }
        let spacing = if cut.len() > 1 { cut[1].u - cut[0].u } else { sizes.bore.mm };
        let spring_width = (0.32 * sizes.bore.mm).min(0.84 * spacing);
        Self { cut, exhaust_behind, behind, follower, given, spring_width }
    }

    /// Where a valve stands, mm from the bore axis, in the cut or behind it.
    pub fn place_of(&self, side: Side, letter: char) -> Option<ValvePlace> {
        let all = || self.cut.iter().chain(&self.behind);
        let same = all().find(|v| v.side == side && v.letter == letter);
        same.or_else(|| all().find(|v| v.side == side)).or_else(|| self.cut.first()).copied()
    }
}

/// Heights above the head face, mm.
#[derive(Clone, Copy, Debug)]
pub struct Levels {
    /// Roof of the chamber.
    pub roof: f64,
    /// Spring seat.
    pub seat: f64,
    /// Top of the spring.
    pub spring_top: f64,
    /// Top of the follower.
    pub follower_top: f64,
    /// Axis of the camshaft or rocker shaft.
    pub shaft: f64,
    /// Top of all.
    pub top: f64,
}

impl Levels {
    /// From the sizes.
    pub fn of(sizes: &Sizes, plan: &HeadPlan) -> Self {
        let b = sizes.bore.mm;
        let seat = sizes.spring_seat();
        let spring_top = seat + sizes.spring.mm;
        let follower_top = spring_top + if plan.follower == Follower::Bucket { 0.16 * b } else { 0.1 * b };
        let shaft = follower_top + if plan.follower == Follower::Rocker { 0.06 * b } else { 0.17 * b };
        let top = (shaft + 0.27 * b).max(sizes.head_height.mm);
        Self { roof: 0.11 * b, seat, spring_top, follower_top, shaft, top }
    }
}

/// The head of one bank.
pub fn head(pencil: &mut Pencil, places: &Places, sizes: &Sizes, plan: &HeadPlan, bank: usize) {
    let levels = Levels::of(sizes, plan);
    let base = sizes.head_face();
    let (front, rear) = faces(places, sizes);
    let cylinders: Vec<f64> = places.of_bank(bank).iter().map(|c| c.x).collect();
    let known = sizes.bore.given && plan.given;
    let wall = 0.055 * sizes.bore.mm;
    cover(pencil, (front, rear), base, &levels, sizes);
    if plan.follower != Follower::Rocker {
        camshaft(pencil, (front, rear), base, &levels, sizes);
    }
    let mut rings = vec![casting((front, rear), &cylinders, base, &levels, sizes)];
    for x in &cylinders {
        rings.extend(plan.cut.iter().map(|v| bowl(x + v.u, v.head, base, &levels, sizes)));
    }
    pencil.cut(&rings, known, true);
    for span in [(front, front + wall), (rear - wall, rear)] {
        let top = (base + sizes.head_height.mm).max(base + levels.seat + 2.0 * wall);
        pencil.cut(&[boxed(span, (base + levels.seat, top))], known, true);
    }
    for x in &cylinders {
        for valve in &plan.cut {
            valve_gear(pencil, sizes, plan, &levels, (x + valve.u, base), valve);
        }
    }
}

/// Cover over the valve gear: always only a sketch.
fn cover(pencil: &mut Pencil, (front, rear): (f64, f64), base: f64, levels: &Levels, sizes: &Sizes) {
    let c = 0.09 * sizes.bore.mm;
    let low = base + levels.seat;
    let points = [
        (front, low),
        (front, base + levels.top - c),
        (front + c, base + levels.top),
        (rear - c, base + levels.top),
        (rear, base + levels.top - c),
        (rear, low),
    ];
    let placed = pencil.place(&points);
    pencil.svg.polyline(&placed, HIDDEN);
}

fn camshaft(pencil: &mut Pencil, (front, rear): (f64, f64), base: f64, levels: &Levels, sizes: &Sizes) {
    let axis = base + levels.shaft;
    let radius = 0.095 * sizes.bore.mm;
    let inset = 0.08 * sizes.bore.mm;
    pencil.shape(
        &chamfered((front + inset, rear - inset), (axis - radius, axis + radius), 0.02 * sizes.bore.mm),
        THIN_COVER,
    );
    pencil.axis((front - 4.0, axis), (rear + 4.0, axis));
}

/// The casting from the head face to the spring seats, with the chambers cut out of its underside.
fn casting(
    (front, rear): (f64, f64),
    cylinders: &[f64],
    base: f64,
    levels: &Levels,
    sizes: &Sizes,
) -> Vec<Point> {
    let half = sizes.fire_ring.mm.min(sizes.bore.mm) / 2.0;
    let mut ring = vec![(front, base)];
    for x in cylinders {
        ring.extend([
            (x - half, base),
            (x - 0.86 * half, base + levels.roof),
            (x + 0.86 * half, base + levels.roof),
            (x + half, base),
        ]);
    }
    ring.extend([(rear, base), (rear, base + levels.seat), (front, base + levels.seat)]);
    ring
}

/// The port behind a valve.
fn bowl(x: f64, head: f64, base: f64, levels: &Levels, sizes: &Sizes) -> Vec<Point> {
    let throat = 0.42 * head;
    let guide = guide_width(sizes) / 2.0;
    let (roof, b) = (base + levels.roof, sizes.bore.mm);
    vec![
        (x - throat, roof),
        (x - throat, roof + 0.09 * b),
        (x - 0.92 * throat, roof + 0.17 * b),
        (x - guide, roof + 0.23 * b),
        (x + guide, roof + 0.23 * b),
        (x + 0.92 * throat, roof + 0.17 * b),
        (x + throat, roof + 0.09 * b),
        (x + throat, roof),
    ]
}

fn guide_width(sizes: &Sizes) -> f64 {
    sizes.stem.mm * 2.1
}

/// One valve with guide, spring and follower. `at` is the bore-side foot: place along the view and head face.
pub fn valve_gear(
    pencil: &mut Pencil,
    sizes: &Sizes,
    plan: &HeadPlan,
    levels: &Levels,
    at: Point,
    valve: &ValvePlace,
) {
    let (x, base) = at;
    let b = sizes.bore.mm;
    let given = match valve.side {
        Side::Intake => sizes.intake_valve.given,
        Side::Exhaust => sizes.exhaust_valve.given,
    };
    let guide = guide_width(sizes) / 2.0;
    pencil.part(
        &boxed((x - guide, x + guide), (base + levels.roof + 0.19 * b, base + levels.seat + 0.08 * b)),
        given,
    );
    let tip = base + levels.spring_top + 0.055 * b;
    pencil.part(&valve_outline(x, base + levels.roof, tip, valve.head, sizes), given);
    if plan.follower == Follower::Bucket {
        bucket(pencil, sizes, plan, levels, at);
    }
    let width = plan.spring_width;
    pencil.part(
        &boxed((x - width * 0.54, x + width * 0.54), (base + levels.seat, base + levels.seat + 0.022 * b)),
        given,
    );
    spring(
        pencil,
        (x, base + levels.seat + 0.022 * b),
        sizes.spring.mm - 0.022 * b,
        width,
        sizes.spring.given,
    );
    let top = base + levels.spring_top;
    pencil.part(
        &[
            (x - width * 0.52, top),
            (x + width * 0.52, top),
            (x + width * 0.46, top + 0.032 * b),
            (x - width * 0.46, top + 0.032 * b),
        ],
        given,
    );
    match plan.follower {
        Follower::Bucket | Follower::Finger => lobe(pencil, sizes, levels, at, plan),
        Follower::Rocker => rocker(pencil, sizes, levels, at),
    }
}

/// Stem and head of a valve that is shut.
pub fn valve_outline(x: f64, roof: f64, tip: f64, head: f64, sizes: &Sizes) -> Vec<Point> {
    let (r, s, b) = (head / 2.0, sizes.stem.mm / 2.0, sizes.bore.mm);
    let right = [
        (r * 0.94, roof - 0.022 * b),
        (r, roof - 0.006 * b),
        (r * 0.88, roof + 0.018 * b),
        (r * 0.5, roof + 0.042 * b),
        (s * 1.9, roof + 0.085 * b),
        (s, roof + 0.15 * b),
        (s, tip),
    ];
    let mut outline: Vec<Point> = right.iter().map(|(u, v)| (x + u, *v)).collect();
    outline.extend(right.iter().rev().map(|(u, v)| (x - u, *v)));
    outline
}

/// A coil spring from the side: the near halves of its turns, drawn as wire.
pub fn spring(pencil: &mut Pencil, foot: Point, height: f64, width: f64, given: bool) {
    let turns = 6;
    let wire = (height / f64::from(turns) * 0.5).min(width * 0.16);
    let (low, high) = (foot.1 + wire / 2.0, foot.1 + height - wire / 2.0);
    let step = (high - low) / f64::from(turns);
    let side = width / 2.0 - wire / 2.0;
    let mut near = String::new();
    for i in 0..turns {
        let v = low + step * f64::from(i);
        let line = [pencil.frame.at(foot.0 - side, v), pencil.frame.at(foot.0 + side, v + step)];
        near.push_str(&path_data(&line, false));
    }
    let flat = [pencil.frame.at(foot.0 - side, high), pencil.frame.at(foot.0 + side, high)];
    near.push_str(&path_data(&flat, false));
    let flat = [pencil.frame.at(foot.0 - side, low), pencil.frame.at(foot.0 + side, low)];
    near.push_str(&path_data(&flat, false));
    let px = (wire * pencil.frame.scale).max(1.6);
    let dash = if given { "" } else { " stroke-dasharray=\"3 2\"" };
    if px < 2.6 || !given {
        pencil
            .svg
            .path(&near, &format!("stroke=\"{INK}\" stroke-width=\"1\" stroke-linecap=\"round\"{dash}"));
    } else {
        let outer = number(px);
        let inner = number(px - 1.5);
        pencil
            .svg
            .path(&near, &format!("stroke=\"{INK}\" stroke-width=\"{outer}\" stroke-linecap=\"round\""));
        pencil
            .svg
            .path(&near, &format!("stroke=\"{PAPER}\" stroke-width=\"{inner}\" stroke-linecap=\"round\""));
    }
}

/// An upturned cup over spring and retainer, with its shim below the crown.
fn bucket(pencil: &mut Pencil, sizes: &Sizes, plan: &HeadPlan, levels: &Levels, (x, base): Point) {
    let b = sizes.bore.mm;
    let spacing = if plan.cut.len() > 1 { plan.cut[1].u - plan.cut[0].u } else { b };
    let half = sizes.bucket.mm.min(spacing * 0.97) / 2.0;
    let wall = 0.026 * b;
    let top = base + levels.follower_top;
    let low = top - 0.3 * b;
    let crown = top - 0.055 * b;
    let ring = vec![
        (x - half, low),
        (x - half, top),
        (x + half, top),
        (x + half, low),
        (x + half - wall, low),
        (x + half - wall, crown),
        (x - half + wall, crown),
        (x - half + wall, low),
    ];
    pencil.cut(&[ring], sizes.bucket.given, false);
    let shim = sizes.stem.mm * 1.3;
    pencil.solid((x - shim, x + shim), (crown - 0.045 * b, crown), sizes.bucket.given);
}

/// The cam lobe over a follower, from the side.
fn lobe(pencil: &mut Pencil, sizes: &Sizes, levels: &Levels, (x, base): Point, plan: &HeadPlan) {
    let b = sizes.bore.mm;
    let low =
        if plan.follower == Follower::Finger { levels.follower_top - 0.02 * b } else { levels.follower_top };
    if plan.follower == Follower::Finger {
        let span = (base + levels.spring_top + 0.055 * b, base + low);
        pencil.part(&chamfered((x - 0.05 * b, x + 0.05 * b), span, 0.015 * b), false);
    }
    pencil.shape(
        &chamfered((x - 0.07 * b, x + 0.07 * b), (base + low, base + levels.shaft + 0.2 * b), 0.015 * b),
        THIN_COVER,
    );
}

/// The end of a rocker over the valve tip.
fn rocker(pencil: &mut Pencil, sizes: &Sizes, levels: &Levels, (x, base): Point) {
    let b = sizes.bore.mm;
    let low = base + levels.spring_top + 0.055 * b;
    pencil.shape(&chamfered((x - 0.07 * b, x + 0.07 * b), (low, low + 0.17 * b), 0.03 * b), THIN_COVER);
    let at = pencil.frame.at(x, base + levels.shaft + 0.07 * b);
    pencil.svg.circle(at, 0.035 * b * pencil.frame.scale, THIN);
}
