//! Where the views stand on the paper and at which scale.

use super::Scene;
use super::balloons::{Area, Sides};
use super::block::{faces, rail};
use super::crank::ends;
use super::frame::Frame;
use super::front::Front;
use super::head::Levels;
use crate::drawing::svg::Point;
use engine::document::Arrangement;

/// A view along the crank: one bank, or both banks of a flat engine.
pub struct Along {
    /// Bank and its frame.
    pub banks: Vec<(usize, Frame)>,
    /// What the drawing takes on the paper.
    pub outline: Area,
    /// The same with dimensions: balloons stand outside it.
    pub reserved: Area,
    /// Where its balloons may stand.
    pub sides: Sides,
}

/// The view from the front.
pub struct FrontView {
    /// Crank axis on the paper.
    pub origin: Point,
    /// px per mm.
    pub scale: f64,
    /// What it takes.
    pub outline: Area,
}

/// All views.
pub struct Layout {
    /// Views along the crank.
    pub along: Vec<Along>,
    /// From the front.
    pub front: Option<FrontView>,
    /// px
    pub width: f64,
    /// px
    pub height: f64,
}

/// Extent of a view along the crank, mm: left, right, up, down from the crank axis at x = 0.
struct Extent {
    left: f64,
    right: f64,
    up: f64,
    down: f64,
}

const BALLOON: f64 = 46.0;
const DIMENSION: f64 = 30.0;
const NUMBER: f64 = 22.0;
const CAPTION: f64 = 26.0;
/// Height of a screen as a share of the width at which the drawing is shown.
const SCREEN: f64 = 0.88;

impl Extent {
    fn of(scene: &Scene) -> Self {
        let s = &scene.sizes;
        let (front, rear) = faces(&scene.places, s);
        let (nose, flange) = ends(s);
        let half = s.main_width.mm / 2.0;
        let first = scene.places.mains.first().map_or(front, |m| m - half - nose);
        let last = scene.places.mains.last().map_or(rear, |m| m + half + flange);
        let up = s.head_face() + Levels::of(s, &scene.plan).top;
        let down = if scene.places.arrangement == Arrangement::Flat {
            up
        } else {
            rail(s).max(s.swing()).max(s.main_housing.mm / 2.0 + 0.28 * s.bore.mm)
        };
        Self { left: front.min(first), right: rear.max(last), up, down }
    }

    fn width(&self) -> f64 {
        self.right - self.left
    }

    fn height(&self) -> f64 {
        self.up + self.down
    }
}

/// What every arrangement of the views starts from.
struct Room {
    extent: Extent,
    /// Extent of the front view around the crank axis, mm: left, right, up, down.
    across: (f64, f64, f64, f64),
    /// px
    width: f64,
    /// Margin for balloons, px.
    ring: f64,
}

impl Room {
    fn of(scene: &Scene, width: f64, balloons: usize) -> Self {
        let front = Front { places: &scene.places, sizes: &scene.sizes, plan: &scene.plan, crank_deg: 0.0 };
        let ring = if balloons > 0 { BALLOON } else { 10.0 };
        Self { extent: Extent::of(scene), across: front.extent(), width, ring }
    }
}

impl Layout {
    /// Chooses scale and places. `balloons` decides whether margins are kept for them.
    pub fn of(scene: &Scene, width: f64, balloons: usize) -> Self {
        let room = Room::of(scene, width, balloons);
        if scene.places.arrangement == Arrangement::Vee && width >= 640.0 {
            let side_by_side = Self::side_by_side(scene, &room);
            let stacked = Self::stacked(scene, &room);
            // Both are shown at most as tall as a screen; the one that is larger there is the better one.
            return if side_by_side.shown_scale() >= stacked.shown_scale() { side_by_side } else { stacked };
        }
        Self::stacked(scene, &room)
    }

    /// Scale of the banks once the sheet is shrunk to the height of a screen.
    fn shown_scale(&self) -> f64 {
        let scale = self.along.first().and_then(|a| a.banks.first()).map_or(0.0, |(_, frame)| frame.scale);
        scale * (SCREEN * self.width / self.height).min(1.0)
    }

    /// Both banks of a vee beside each other, the front view below them.
    fn side_by_side(scene: &Scene, room: &Room) -> Self {
        let Room { extent, across, width, ring, .. } = room;
        // Balloons stand above and below only, so that the sides are left to the banks.
        let left = DIMENSION + 12.0;
        let between = DIMENSION + 18.0;
        let scale = ((width - left - between - 14.0) / (2.0 * extent.width())).min(2.2);
        let mut sheet = Self { along: Vec::new(), front: None, width: *width, height: 0.0 };
        let axis_y = 4.0 + ring + NUMBER + scale * extent.up;
        let mut x = left;
        for row in 0..2 {
            let mut one = along(scene, extent, (x - scale * extent.left, axis_y), scale, row);
            one.sides = Sides { top: true, bottom: true, left: false, right: false };
            if row == 1 {
                // Only the first view has dimensions.
                one.reserved.right = one.outline.right;
            }
            sheet.along.push(one);
            x += scale * extent.width() + between;
        }
        let bottom = axis_y + scale * extent.down + DIMENSION + ring;
        sheet.place_front(*across, scale, (*width, bottom), false);
        let bottom = sheet.front.as_ref().map_or(bottom, |f| f.outline.bottom + 26.0);
        sheet.height = (bottom + CAPTION).ceil();
        sheet
    }

    /// The views along the crank below each other, the front view beside them or below.
    fn stacked(scene: &Scene, room: &Room) -> Self {
        let Room { extent, across, width, ring } = room;
        let (across, width, ring) = (*across, *width, *ring);
        let across_width = across.1 - across.0;
        let vee = scene.places.arrangement == Arrangement::Vee;
        let flat = scene.places.arrangement == Arrangement::Flat;
        let rows = if vee { 2 } else { 1 };
        let tallest = if flat {
            640.0
        } else if vee {
            360.0
        } else {
            520.0
        };
        let left = ring + DIMENSION + 8.0;
        let sides = 2.0 * left;
        let full = (width - sides) / extent.width();
        let capped = (tallest * (width / 840.0).max(0.6) / extent.height()).min(2.2);
        // Along the crank takes what it needs; the front view stands beside it or below.
        let beside = (width - left - DIMENSION - 24.0) / (extent.width() + 0.72 * across_width);
        let (scale, front_place) = if vee && width >= 640.0 {
            (beside.min(capped), Some(true))
        } else if vee || flat {
            (full.min(capped), Some(false))
        } else {
            let scale = full.min(capped);
            let left_over = width - left - DIMENSION - 24.0 - scale * extent.width();
            (scale, (left_over > 0.85 * scale * across_width).then_some(true))
        };
        let alone = front_place != Some(true);
        let mut sheet = Self { along: Vec::new(), front: None, width, height: 0.0 };
        let slack = if alone { (width - sides - scale * extent.width()) / 2.0 } else { 0.0 };
        let mut top = 4.0;
        for row in 0..rows {
            let axis = (left + slack - scale * extent.left, top + ring + NUMBER + scale * extent.up);
            let mut one = along(scene, extent, axis, scale, row);
            one.sides.right = alone;
            sheet.along.push(one);
            let numbers = if flat { NUMBER } else { 0.0 };
            top = axis.1 + scale * extent.down + numbers + DIMENSION + ring;
        }
        if let Some(beside) = front_place {
            sheet.place_front(across, scale, (left + slack + scale * extent.width(), top), beside);
            if !beside && let Some(front) = &sheet.front {
                top = front.outline.bottom + 26.0;
            }
        }
        let bottom = sheet.front.as_ref().map_or(0.0, |f| f.outline.bottom + 26.0);
        sheet.height = (top.max(bottom) + CAPTION).ceil();
        sheet
    }

    fn place_front(
        &mut self,
        across: (f64, f64, f64, f64),
        scale: f64,
        (right, bottom): Point,
        beside: bool,
    ) {
        let (left_mm, right_mm, up, down) = across;
        let (from, to) =
            if beside { (right + DIMENSION + 16.0, self.width - 6.0) } else { (8.0, self.width - 8.0) };
        let own = ((to - from) / (right_mm - left_mm)).min(scale);
        let middle = f64::midpoint(from, to);
        let origin_x = middle - own * f64::midpoint(left_mm, right_mm);
        let height = own * (up + down);
        let origin_y = if beside {
            match self.along.as_slice() {
                // On the level of the crank axis where that leaves room, as a projection should.
                [one] => one.banks.first().map_or(0.0, |(_, f)| f.origin.1).max(own * up + 8.0),
                _ => (bottom - height) / 2.0 + own * up,
            }
        } else {
            bottom + 14.0 + own * up
        };
        self.front = Some(FrontView {
            origin: (origin_x, origin_y),
            scale: own,
            outline: Area {
                left: origin_x + own * left_mm,
                top: origin_y - own * up,
                right: origin_x + own * right_mm,
                bottom: origin_y + own * down,
            },
        });
    }
}

fn along(scene: &Scene, extent: &Extent, axis: Point, scale: f64, row: usize) -> Along {
    let flat = scene.places.arrangement == Arrangement::Flat && scene.places.banks() == 2;
    let banks = if flat {
        vec![(0, Frame::upright(axis, scale)), (1, Frame::downward(axis, scale))]
    } else {
        vec![(row.min(scene.places.banks() - 1), Frame::upright(axis, scale))]
    };
    let outline = Area {
        left: axis.0 + scale * extent.left,
        top: axis.1 - scale * extent.up,
        right: axis.0 + scale * extent.right,
        bottom: axis.1 + scale * extent.down,
    };
    let reserved = Area {
        left: outline.left - DIMENSION,
        top: outline.top - NUMBER,
        right: outline.right + DIMENSION,
        bottom: outline.bottom + DIMENSION + if flat { NUMBER } else { 0.0 },
    };
    let sides = Sides { top: true, bottom: true, left: true, right: true };
    Along { banks, outline, reserved, sides }
}
