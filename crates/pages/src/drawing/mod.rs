//! Drawings as SVG text: pure functions of engine types, one hand for all of them.
//!
//! Every function takes what it shows and gives a whole `<svg>`; widths are px at which the drawing is meant to be
//! shown, and text is never below 13 px there. Colours are fixed, so screen, print and PDF are the same.

pub mod bore_form;
pub mod deviations;
pub mod fit;
pub mod gauge;
pub mod hand;
pub mod main_line;
pub mod measured;
pub mod of_engine;
pub mod places;
pub mod plot;
pub mod rows;
pub mod section;
pub mod sizes;
pub mod spring_heights;
pub mod svg;
pub mod walls;

pub use bore_form::bore_form;
pub use deviations::{Deviations, Round, Surface, deviations};
pub use fit::{FitDrawing, fit_drawing};
pub use gauge::{GaugeFigure, gauge_figure};
pub use main_line::{MainAxis, MainLine, main_line};
pub use measured::{Allowed, Figures, Value};
pub use of_engine::{Titled, fit_drawings, kinematics_plots, sheet_drawings};
pub use plot::{
    Axis, Contour, Envelope, LimitLine, Line, MapPlot, Marker, Plot, Reached, SpeedLine, Target, contour,
    map_plot, plot, plot_values,
};
pub use rows::{Item, Row, bars, deck_figure, lash_figure, ring_gap_figure};
pub use section::{Anchor, Balloon, Region, SectionOptions, engine_section};
pub use spring_heights::{SpringHeights, spring_figure};
pub use walls::{WallColumn, WallMap, WallRing, wall_map};
