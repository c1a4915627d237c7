//! The frame of every plot: where values stand on the paper, axes with round steps.

use super::super::hand::{GRID, INK, SMALL, SOFT, type_of};
use super::super::svg::{Align, Svg};
use super::Axis;
use engine::quantity::format_fixed;

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
    format_fixed(value, decimals(step)).replace('-', "\u{2212}")
}

/// "crank speed, rev/min"
pub(super) fn name(axis: &Axis) -> String {
    if axis.unit.is_empty() { axis.label.clone() } else { format!("{}, {}", axis.label, axis.unit) }
}

/// Grid, ticks, figures and names.
pub(super) fn axes(svg: &mut Svg, (along, up): (&Axis, &Axis), frame: &Frame, (x_step, y_step): (f64, f64)) {
    let thin = format!("stroke=\"{GRID}\" stroke-width=\"0.7\"");
    let style = type_of(SMALL, SOFT, false);
    let first = (frame.y0 / y_step - 1e-9).ceil() * y_step;
    let count = ((frame.y1 - first) / y_step + 1e-9).floor().max(0.0) as usize;
    for i in 0..=count.min(40) {
        let value = first + y_step * i as f64;
        let y = frame.y(value);
        svg.line((frame.left, y), (frame.right, y), &thin);
        svg.text((frame.left - 8.0, y + 4.5), Align::End, &style, &shown(value, y_step));
    }
    let first = (frame.x0 / x_step - 1e-9).ceil() * x_step;
    let count = ((frame.x1 - first) / x_step + 1e-9).floor().max(0.0) as usize;
    for i in 0..=count.min(60) {
        let value = first + x_step * i as f64;
        let x = frame.x(value);
        svg.line(
            (x, frame.bottom),
            (x, frame.bottom + 5.0),
            &format!("stroke=\"{INK}\" stroke-width=\"0.9\""),
        );
        svg.text((x, frame.bottom + 20.0), Align::Middle, &style, &shown(value, x_step));
    }
    svg.polyline(
        &[(frame.left, frame.top), (frame.left, frame.bottom), (frame.right, frame.bottom)],
        &format!("stroke=\"{INK}\" stroke-width=\"1\""),
    );
    svg.text((frame.right, frame.bottom + 38.0), Align::End, &style, &name(along));
    svg.upward_text((16.0, f64::midpoint(frame.top, frame.bottom)), Align::Middle, &style, &name(up));
}
