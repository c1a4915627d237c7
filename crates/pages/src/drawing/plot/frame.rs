//! The frame of every plot: where values stand on the paper, axes with round steps.

use super::super::hand::{GRID, INK, SMALL, SOFT, type_of};
use super::super::svg::{Align, Svg};
use super::Axis;
use crate::words::grouped;
use engine::quantity::format_fixed;
use mechanics::math::{log10, powf, powi};

/// Paper and values.
pub(super) struct Frame {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
    pub x0: f64,
    pub x1: f64,
    pub y0: f64,
    pub y1: f64,
    /// Places are the decimal logarithms of the values, which are written.
    pub logarithmic: bool,
}

impl Frame {
    pub fn x(&self, value: f64) -> f64 {
        self.left + (value - self.x0) / (self.x1 - self.x0) * (self.right - self.left)
    }

    pub fn y(&self, value: f64) -> f64 {
        self.bottom - (value - self.y0) / (self.y1 - self.y0) * (self.bottom - self.top)
    }
}

fn decimals(step: f64) -> usize {
    (0..6)
        .find(|d| {
            let scaled = step * [1.0, 10.0, 100.0, 1e3, 1e4, 1e5][*d];
            (scaled - scaled.round()).abs() < 1e-6 * scaled.max(1.0)
        })
        .unwrap_or(6)
}

/// A value to the place of a step.
pub(super) fn shown(value: f64, step: f64) -> String {
    grouped(&format_fixed(value, decimals(step)))
}

/// The value at a place of an axis, written to the place of `step`; on a logarithmic one to three digits.
pub(super) fn written(logarithmic: bool, place: f64, step: f64) -> String {
    if !logarithmic {
        return shown(place, step);
    }
    let digits = powi(10.0, place.floor() as i32 - 2);
    shown((powf(10.0, place) / digits).round() * digits, digits)
}

/// What stands at a tick: 1, 2 and 5 of a decade as they are.
fn tick(logarithmic: bool, place: f64, step: f64) -> String {
    if !logarithmic {
        return shown(place, step);
    }
    let decade = powi(10.0, (place + 1e-9).floor() as i32);
    shown((powf(10.0, place) / decade).round() * decade, decade)
}

/// "crank speed, rev/min"
pub(super) fn name(axis: &Axis) -> String {
    if axis.unit.is_empty() { axis.label.clone() } else { format!("{}, {}", axis.label, axis.unit) }
}

/// Where an axis has its figures: every step; on a logarithmic one at 1, 2 and 5 of each decade.
fn places(logarithmic: bool, (from, to): (f64, f64), step: f64) -> Vec<f64> {
    if logarithmic {
        let decades = from.floor() as i32..=to.floor() as i32;
        let all = decades.flat_map(|decade| [1.0, 2.0, 5.0].map(|m| f64::from(decade) + log10(m)));
        return all.filter(|place| (from - 1e-9..=to + 1e-9).contains(place)).collect();
    }
    let first = (from / step - 1e-9).ceil() * step;
    let count = ((to - first) / step + 1e-9).floor().max(0.0) as usize;
    (0..=count.min(60)).map(|i| first + step * i as f64).collect()
}

/// Grid, ticks, figures and names.
pub(super) fn axes(svg: &mut Svg, (along, up): (&Axis, &Axis), frame: &Frame, (x_step, y_step): (f64, f64)) {
    let thin = format!("stroke=\"{GRID}\" stroke-width=\"0.7\"");
    let style = type_of(SMALL, SOFT, false);
    for value in places(frame.logarithmic, (frame.y0, frame.y1), y_step) {
        let y = frame.y(value);
        svg.line((frame.left, y), (frame.right, y), &thin);
        svg.text((frame.left - 8.0, y + 4.5), Align::End, &style, &tick(frame.logarithmic, value, y_step));
    }
    for value in places(frame.logarithmic, (frame.x0, frame.x1), x_step) {
        let x = frame.x(value);
        svg.line(
            (x, frame.bottom),
            (x, frame.bottom + 5.0),
            &format!("stroke=\"{INK}\" stroke-width=\"0.9\""),
        );
        svg.text((x, frame.bottom + 20.0), Align::Middle, &style, &tick(frame.logarithmic, value, x_step));
    }
    svg.polyline(
        &[(frame.left, frame.top), (frame.left, frame.bottom), (frame.right, frame.bottom)],
        &format!("stroke=\"{INK}\" stroke-width=\"1\""),
    );
    svg.text((frame.right, frame.bottom + 38.0), Align::End, &style, &name(along));
    svg.upward_text((16.0, f64::midpoint(frame.top, frame.bottom)), Align::Middle, &style, &name(up));
}
