//! From millimetres on the engine to px on the paper, and a pencil that draws there.

use crate::drawing::hand::{self, AXIS, COVER, HIDDEN, OUTLINE, SKETCH, SOLID, THIN};
use crate::drawing::svg::{Point, Svg};
use mechanics::math::{cos, sin};

/// A view's own axes: `u` to the right, `v` along the bores away from the crank, mm.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// Where the crank axis stands, px.
    pub origin: Point,
    /// px per mm.
    pub scale: f64,
    cos: f64,
    sin: f64,
    down: bool,
}

impl Frame {
    /// Upright.
    pub const fn upright(origin: Point, scale: f64) -> Self {
        Self { origin, scale, cos: 1.0, sin: 0.0, down: false }
    }

    /// The same with `v` downward: the second bank of a flat engine along the crank.
    pub const fn downward(origin: Point, scale: f64) -> Self {
        Self { origin, scale, cos: 1.0, sin: 0.0, down: true }
    }

    /// Leaning clockwise.
    pub fn leaning(origin: Point, scale: f64, lean_deg: f64) -> Self {
        let angle = lean_deg.to_radians();
        Self { origin, scale, cos: cos(angle), sin: sin(angle), down: false }
    }

    /// The point on the paper.
    pub fn at(&self, u: f64, v: f64) -> Point {
        let v = if self.down { -v } else { v };
        let (x, y) = (u * self.cos + v * self.sin, v * self.cos - u * self.sin);
        (self.origin.0 + self.scale * x, self.origin.1 - self.scale * y)
    }
}

/// Four corners of a rectangle.
pub fn boxed(u: (f64, f64), v: (f64, f64)) -> Vec<Point> {
    vec![(u.0, v.0), (u.1, v.0), (u.1, v.1), (u.0, v.1)]
}

/// A rectangle with all four corners cut by `c`.
pub fn chamfered(u: (f64, f64), v: (f64, f64), c: f64) -> Vec<Point> {
    let c = c.min((u.1 - u.0).abs() / 2.5).min((v.1 - v.0).abs() / 2.5);
    vec![
        (u.0 + c, v.0),
        (u.1 - c, v.0),
        (u.1, v.0 + c),
        (u.1, v.1 - c),
        (u.1 - c, v.1),
        (u.0 + c, v.1),
        (u.0, v.1 - c),
        (u.0, v.0 + c),
    ]
}

/// Points of an arc about a centre from one angle to another (degrees clockwise from `v`).
pub fn arc(centre: Point, radius: f64, from_deg: f64, to_deg: f64) -> Vec<Point> {
    let steps = ((to_deg - from_deg).abs() / 9.0).ceil().max(1.0) as usize;
    (0..=steps)
        .map(|i| {
            let angle = (from_deg + (to_deg - from_deg) * i as f64 / steps as f64).to_radians();
            (centre.0 + radius * sin(angle), centre.1 + radius * cos(angle))
        })
        .collect()
}

/// Draws in a frame. `given` chooses between a full outline and the dashed one of a part whose size is not known.
pub struct Pencil<'a> {
    /// The drawing.
    pub svg: &'a mut Svg,
    /// The frame.
    pub frame: Frame,
}

impl Pencil<'_> {
    /// Points on the paper.
    pub fn place(&self, points: &[Point]) -> Vec<Point> {
        points.iter().map(|p| self.frame.at(p.0, p.1)).collect()
    }

    /// A part that is seen: it covers what is behind.
    pub fn part(&mut self, points: &[Point], given: bool) {
        let placed = self.place(points);
        self.svg.polygon(&placed, if given { COVER } else { SKETCH });
    }

    /// A part drawn with other attributes.
    pub fn shape(&mut self, points: &[Point], attributes: &str) {
        let placed = self.place(points);
        self.svg.polygon(&placed, attributes);
    }

    /// Cut metal: outline and hatching; further rings are holes. Dashed and unhatched where it is only sketched.
    pub fn cut(&mut self, rings: &[Vec<Point>], given: bool, rising: bool) {
        let placed: Vec<Vec<Point>> = rings.iter().map(|r| self.place(r)).collect();
        let data: String = placed.iter().map(|r| crate::drawing::svg::path_data(r, true)).collect();
        let fill = if given { COVER } else { SKETCH };
        self.svg.path(&data, &format!("{fill} fill-rule=\"evenodd\""));
        if given {
            hand::hatch(self.svg, &placed, 4.2, rising);
        }
    }

    /// Thin cut parts are blackened; never thinner than a stroke.
    pub fn solid(&mut self, u: (f64, f64), v: (f64, f64), given: bool) {
        if !given {
            self.shape(&boxed(u, v), HIDDEN);
            return;
        }
        let least = 1.1 / self.frame.scale;
        let grow = |(a, b): (f64, f64)| {
            if b - a < least {
                (f64::midpoint(a, b) - least / 2.0, f64::midpoint(a, b) + least / 2.0)
            } else {
                (a, b)
            }
        };
        self.shape(&boxed(grow(u), grow(v)), SOLID);
    }

    /// A thin line.
    pub fn thin(&mut self, from: Point, to: Point) {
        self.line(from, to, THIN);
    }

    /// An outline.
    pub fn edge(&mut self, from: Point, to: Point) {
        self.line(from, to, OUTLINE);
    }

    /// A hidden edge.
    pub fn hidden(&mut self, from: Point, to: Point) {
        self.line(from, to, HIDDEN);
    }

    /// A chain line.
    pub fn axis(&mut self, from: Point, to: Point) {
        self.line(from, to, AXIS);
    }

    /// A line with any attributes.
    pub fn line(&mut self, from: Point, to: Point, attributes: &str) {
        self.svg.line(self.frame.at(from.0, from.1), self.frame.at(to.0, to.1), attributes);
    }

    /// A circle that covers what is behind.
    pub fn disc(&mut self, centre: Point, radius: f64, given: bool) {
        let at = self.frame.at(centre.0, centre.1);
        self.svg.circle(at, radius * self.frame.scale, if given { COVER } else { SKETCH });
    }
}
