//! The crankshaft seen from the side (not cut: ISO 128-3 leaves shafts whole), turned to the chosen angle.

use super::frame::{Pencil, boxed, chamfered};
use crate::drawing::hand::THIN;
use crate::drawing::places::{Places, ThrowPlace};
use crate::drawing::sizes::Sizes;
use mechanics::math::cos;

/// Half the spread of a counterweight, degrees.
pub const COUNTERWEIGHT_HALF_DEG: f64 = 62.0;

/// One stretch of the shaft between two mains.
struct Bay {
    from: f64,
    to: f64,
    pins: Vec<Pin>,
}

/// A pin in a view: span along the crank and height of its axis.
struct Pin {
    span: (f64, f64),
    height: f64,
    /// From the view's upright to the throw, degrees.
    angle_deg: f64,
}

/// Length of a crank pin, mm.
pub fn pin_length(throw: &ThrowPlace, sizes: &Sizes) -> f64 {
    throw.rods as f64 * (1.06 * sizes.rod_width.mm) + 0.03 * sizes.bore.mm
}

/// Ends of the shaft beyond the outer mains: nose and flange, mm.
pub fn ends(sizes: &Sizes) -> (f64, f64) {
    (0.52 * sizes.bore.mm, 0.27 * sizes.bore.mm)
}

/// Draws the shaft in a view whose upright leans `lean_deg`.
pub fn crank(pencil: &mut Pencil, places: &Places, sizes: &Sizes, lean_deg: f64, crank_deg: f64) {
    let given = sizes.crank_given();
    let journal = sizes.main_journal.mm / 2.0;
    let half = sizes.main_width.mm / 2.0 + 0.012 * sizes.bore.mm;
    nose_and_flange(pencil, places, sizes, given);
    for m in &places.mains {
        pencil.part(&boxed((m - half, m + half), (-journal, journal)), given);
    }
    for bay in bays(places, sizes, lean_deg, crank_deg, half) {
        draw_bay(pencil, &bay, sizes, given);
    }
}

fn bays(places: &Places, sizes: &Sizes, lean_deg: f64, crank_deg: f64, half: f64) -> Vec<Bay> {
    places
        .mains
        .windows(2)
        .map(|pair| {
            let (from, to) = (pair[0] + half, pair[1] - half);
            let inside: Vec<usize> = (0..places.throws.len())
                .filter(|t| places.throws[*t].x > pair[0] && places.throws[*t].x < pair[1])
                .collect();
            let pins = inside
                .iter()
                .map(|&t| {
                    let throw = &places.throws[t];
                    let mut length = pin_length(throw, sizes);
                    let between_webs = to - from - 2.0 * sizes.web_thickness.mm;
                    if inside.len() == 1 && sizes.web_thickness.given && between_webs > length {
                        length = between_webs;
                    }
                    let length = length.min((to - from) / inside.len() as f64 * 0.8);
                    let angle_deg = places.direction_deg(t, crank_deg) - lean_deg;
                    Pin {
                        span: (throw.x - length / 2.0, throw.x + length / 2.0),
                        height: sizes.radius() * cos(angle_deg.to_radians()),
                        angle_deg,
                    }
                })
                .collect();
            Bay { from, to, pins }
        })
        .collect()
}

fn draw_bay(pencil: &mut Pencil, bay: &Bay, sizes: &Sizes, given: bool) {
    let pin_radius = sizes.pin_journal.mm / 2.0;
    for pin in &bay.pins {
        pencil.part(&boxed(pin.span, (pin.height - pin_radius, pin.height + pin_radius)), given);
    }
    let c = 0.035 * sizes.bore.mm;
    for (i, pin) in bay.pins.iter().enumerate() {
        let from = if i == 0 { bay.from } else { bay.pins[i - 1].span.1 };
        if i > 0 {
            flying_web(pencil, &bay.pins[i - 1], pin, sizes, given);
        } else {
            web(pencil, (from, pin.span.0), pin, sizes, given, c);
        }
        if i + 1 == bay.pins.len() {
            web(pencil, (pin.span.1, bay.to), pin, sizes, given, c);
        }
    }
}

/// How far a web reaches down and up in the view.
fn reach(angle_deg: f64, sizes: &Sizes) -> (f64, f64) {
    let end = sizes.pin_journal.mm / 2.0 + 0.075 * sizes.bore.mm;
    let pin = sizes.radius() * cos(angle_deg.to_radians());
    let heel = |toward_deg: f64| {
        let away = (angle_deg + 180.0 - toward_deg).rem_euclid(360.0);
        let away = away.min(360.0 - away);
        let nearest = (away - COUNTERWEIGHT_HALF_DEG).max(0.0);
        sizes.counterweight() * cos(nearest.to_radians())
    };
    let journal = sizes.main_journal.mm * 0.56;
    let up = (pin + end).max(heel(0.0)).max(journal);
    let down = (pin - end).min(-heel(180.0)).min(-journal);
    (down, up)
}

fn web(pencil: &mut Pencil, span: (f64, f64), pin: &Pin, sizes: &Sizes, given: bool, c: f64) {
    if span.1 - span.0 < 1.0 {
        return;
    }
    let (down, up) = reach(pin.angle_deg, sizes);
    pencil.part(&chamfered(span, (down, up), c), given);
    // The shoulder between cheek and counterweight.
    let side = if pin.height >= 0.0 { -1.0 } else { 1.0 };
    let shoulder = side * sizes.main_journal.mm * 0.34;
    let wide = cos(pin.angle_deg.to_radians()).abs() > 0.35;
    if wide && given {
        pencil.line((span.0, shoulder), (span.1, shoulder), THIN);
    }
}

/// Between two pins without a main: it joins both.
fn flying_web(pencil: &mut Pencil, a: &Pin, b: &Pin, sizes: &Sizes, given: bool) {
    let end = sizes.pin_journal.mm / 2.0 + 0.06 * sizes.bore.mm;
    let (low, high) = (a.height.min(b.height) - end, a.height.max(b.height) + end);
    pencil.part(&chamfered((a.span.1, b.span.0), (low, high), 0.02 * sizes.bore.mm), given);
}

fn nose_and_flange(pencil: &mut Pencil, places: &Places, sizes: &Sizes, given: bool) {
    let (nose, flange) = ends(sizes);
    let half = sizes.main_width.mm / 2.0;
    let journal = sizes.main_journal.mm;
    if let Some(front) = places.mains.first().map(|m| m - half) {
        let step = front - 0.16 * sizes.bore.mm;
        pencil.part(&boxed((step, front), (-0.4 * journal, 0.4 * journal)), given);
        let radius = 0.29 * journal;
        let tip = front - nose;
        let c = 0.025 * sizes.bore.mm;
        pencil.part(
            &[
                (step, -radius),
                (step, radius),
                (tip + c, radius),
                (tip, radius - c),
                (tip, c - radius),
                (tip + c, -radius),
            ],
            given,
        );
        pencil.thin((tip + c, -radius), (tip + c, radius));
        pencil.shape(
            &boxed((step - 0.2 * sizes.bore.mm, step - 0.03 * sizes.bore.mm), (radius * 0.62, radius)),
            THIN,
        );
    }
    if let Some(rear) = places.mains.last().map(|m| m + half) {
        let neck = rear + 0.1 * sizes.bore.mm;
        pencil.part(&boxed((rear, neck), (-0.55 * journal, 0.55 * journal)), given);
        let radius = 0.78 * journal;
        pencil.part(&chamfered((neck, rear + flange), (-radius, radius), 0.015 * sizes.bore.mm), given);
        for side in [-1.0, 1.0] {
            let v = side * 0.62 * journal;
            pencil.axis((neck - 3.0, v), (rear + flange + 3.0, v));
        }
    }
}
