//! The engine drawn to scale from its own sizes: cut along the crank through each bank, and across it for a vee or a
//! flat engine. Findings hang on it as balloons; bores, mains, heads are links to their sheets.

pub mod anchors;
mod balloons;
mod barrels;
mod block;
mod crank;
mod frame;
mod front;
mod head;
mod layout;
mod marks;
mod piston;

pub use anchors::{Anchor, Height};
pub use balloons::{Area, Sides, cross, place, spread};

use super::places::Places;
use super::sizes::Sizes;
use super::svg::Svg;
use engine::document::{Arrangement, Document};
use engine::features::Sheet;
use engine::quantity::counted;
use frame::{Frame, Pencil};
use head::HeadPlan;

/// A numbered balloon (ISO 6433) on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Balloon {
    /// Item number, as in the list beside the drawing.
    pub number: u32,
    /// Where it points.
    pub anchor: Anchor,
    /// What it is, in words.
    pub label: String,
    /// Where touching it leads.
    pub href: String,
    /// It stops the build.
    pub stops: bool,
}

/// A part of the drawing that leads to a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Region {
    /// Sheet.
    pub sheet: Sheet,
    /// Table on it.
    pub table: &'static str,
    /// Row: cylinder, main, pin.
    pub instance: String,
    /// In words.
    pub words: String,
}

/// What to show.
pub struct SectionOptions<'a> {
    /// Width at which it will be shown, px; text is 13 px and more at that width. 840 is usual, 360 the least.
    pub width: f64,
    /// Crank angle after top dead centre of cylinder 1, degrees.
    pub crank_angle_deg: f64,
    /// Balloons.
    pub balloons: &'a [Balloon],
    /// Number of the balloon that is open.
    pub selected: Option<u32>,
    /// Where a region leads; None leaves it without a link.
    pub region_href: &'a dyn Fn(&Region) -> Option<String>,
}

impl Default for SectionOptions<'_> {
    fn default() -> Self {
        Self { width: 840.0, crank_angle_deg: 0.0, balloons: &[], selected: None, region_href: &|_| None }
    }
}

/// A coil spring on its seat at `foot`, px.
pub fn spring_picture(svg: &mut Svg, foot: super::svg::Point, height: f64, width: f64) {
    let mut pencil = Pencil { svg, frame: Frame::upright(foot, 1.0) };
    head::spring(&mut pencil, (0.0, 0.0), height, width, true);
}

/// Everything that is decided before drawing.
struct Scene<'a> {
    document: &'a Document,
    sizes: Sizes,
    places: Places,
    plan: HeadPlan,
    crank_deg: f64,
}

/// The engine section as SVG.
pub fn engine_section(document: &Document, options: &SectionOptions) -> String {
    let sizes = Sizes::of(document);
    let places = Places::of(document, &sizes);
    let plan = HeadPlan::of(document, &sizes);
    let crank_deg =
        if options.crank_angle_deg.is_finite() { options.crank_angle_deg.rem_euclid(720.0) } else { 0.0 };
    let scene = Scene { document, sizes, places, plan, crank_deg };
    let sheet = layout::Layout::of(&scene, options.width.clamp(360.0, 4000.0), options.balloons.len());
    let mut svg = Svg::new();
    for view in &sheet.along {
        for (bank, frame) in &view.banks {
            draw_behind(&mut svg, &scene, *bank, *frame);
        }
        for (i, (bank, frame)) in view.banks.iter().enumerate() {
            draw_along(&mut svg, &scene, *bank, *frame, i == 0);
        }
        marks::axes(&mut svg, &scene, view);
    }
    if let Some(front) = &sheet.front {
        front::Front { places: &scene.places, sizes: &scene.sizes, plan: &scene.plan, crank_deg }.draw(
            &mut svg,
            front.origin,
            front.scale,
        );
    }
    let placed = marks::place_balloons(&scene, &sheet, options);
    marks::leaders(&mut svg, &placed, options);
    marks::dimensions(&mut svg, &scene, &sheet, &placed);
    marks::words(&mut svg, &scene, &sheet);
    marks::regions(&mut svg, &scene, &sheet, options);
    marks::balloons(&mut svg, &placed, options);
    svg.group(sheet.width, sheet.height, "engine-section", &in_words(&scene, options))
}

fn draw_behind(svg: &mut Svg, scene: &Scene, bank: usize, frame: Frame) {
    let mut pencil = Pencil { svg, frame };
    block::behind(&mut pencil, &scene.places, &scene.sizes, bank);
}

/// One bank along the crank; `shaft` says whether this view draws the crank.
fn draw_along(svg: &mut Svg, scene: &Scene, bank: usize, frame: Frame, shaft: bool) {
    let (places, sizes) = (&scene.places, &scene.sizes);
    let lean = places.leans_deg[bank];
    let mut pencil = Pencil { svg, frame };
    block::cut_block(&mut pencil, places, sizes, bank);
    if shaft {
        block::mains(&mut pencil, places, sizes);
        crank::crank(&mut pencil, places, sizes, lean, scene.crank_deg);
    }
    let others = places.cylinders.iter().filter(|c| c.bank != bank);
    if places.arrangement == Arrangement::Vee {
        for cylinder in others {
            let height = crank_pin_height(scene, cylinder.throw, lean);
            piston::big_end_along(&mut pencil, sizes, cylinder.x, height, piston::rod_widths(sizes).2);
        }
    }
    for cylinder in places.of_bank(bank) {
        let pin = places.pin_height(cylinder, scene.crank_deg, sizes);
        let crank_pin = crank_pin_height(scene, cylinder.throw, lean);
        piston::skirt_behind(&mut pencil, sizes, cylinder.x, pin);
        piston::rod_along(&mut pencil, sizes, cylinder.x, pin, crank_pin);
        piston::piston_along(&mut pencil, sizes, cylinder.x, pin);
    }
    head::head(&mut pencil, places, sizes, &scene.plan, bank);
    block::gasket(&mut pencil, places, sizes, bank);
}

fn crank_pin_height(scene: &Scene, throw: usize, lean: f64) -> f64 {
    let angle = scene.places.direction_deg(throw, scene.crank_deg) - lean;
    scene.sizes.radius() * mechanics::math::cos(angle.to_radians())
}

fn in_words(scene: &Scene, options: &SectionOptions) -> String {
    let shape = match scene.places.arrangement {
        Arrangement::Inline => "inline",
        Arrangement::Vee => "vee",
        Arrangement::Flat => "flat",
    };
    let cylinders = match scene.document.layout.cylinders {
        None | Some(0) => "an unknown number of cylinders".to_owned(),
        Some(n) => counted(n as usize, "cylinder", "cylinders"),
    };
    let name = if scene.document.engine.name.is_empty() { "Engine" } else { &scene.document.engine.name };
    format!(
        "{name}: {shape} engine of {cylinders}, cut along the crank, crank at {:.0} degrees after top dead centre of cylinder 1, {} marked",
        scene.crank_deg,
        match options.balloons.len() {
            0 => "no finding".to_owned(),
            1 => "1 finding".to_owned(),
            n => format!("{n} findings"),
        }
    )
}
