//! The places where drawings stand: what a page hands to `drawing`, and the markup around it.

use crate::frame::View;
use engine::features::Sheet;
use engine::findings::Finding;
use maud::{Markup, html};

/// Gauge figure of a finding: limits as strokes, value as a dot, uncertainty as a box.
pub(crate) fn gauge(_finding: &Finding, _view: &View) -> Markup {
    html! {}
}

/// One balloon on the engine drawing.
pub(crate) struct Balloon<'a> {
    /// Number in the list.
    pub number: usize,
    /// Finding that it stands for.
    pub finding: &'a Finding,
}

/// The engine to scale with its balloons.
pub(crate) fn section(_view: &View, _balloons: &[Balloon], _crank_degrees: f64) -> Markup {
    html! {}
}

/// The drawing at the foot of a reading sheet.
pub(crate) fn sheet_drawing(_view: &View, _sheet: Sheet) -> Markup {
    html! {}
}

/// Drawings of the fits with dimension lines.
pub(crate) fn fit_drawings(_view: &View) -> Markup {
    html! {}
}
