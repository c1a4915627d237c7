//! The cut across the engine, seen from the front: both banks at their angle, crank at the chosen angle.

use super::barrels::{self, case_beside, casting_top};
use super::block::rail;
use super::crank::COUNTERWEIGHT_HALF_DEG;
use super::frame::{Frame, Pencil, arc, boxed};
use super::head::{Follower, HeadPlan, Levels, ValvePlace, valve_gear};
use super::piston::{piston_front, rod_front};
use crate::drawing::hand::{HIDDEN, SKETCH, THIN_COVER};
use crate::drawing::places::{CylinderPlace, Places};
use crate::drawing::sizes::Sizes;
use crate::drawing::svg::{Point, Svg};
use engine::document::Arrangement;
use engine::features::Side;
use mechanics::math::{cos, sin, tan};

/// What the front view needs.
pub struct Front<'a> {
    /// Arrangement.
    pub places: &'a Places,
    /// Sizes.
    pub sizes: &'a Sizes,
    /// Heads.
    pub plan: &'a HeadPlan,
    /// Crank angle, degrees.
    pub crank_deg: f64,
}

impl Front<'_> {
    /// Half the width of a bank with its outer walls, mm.
    fn half_bank(&self) -> f64 {
        let s = self.sizes;
        s.bore.mm / 2.0 + s.wall.mm + 0.17 * s.bore.mm
    }

    /// Left, right, top and bottom of the view around the crank axis, mm.
    pub fn extent(&self) -> (f64, f64, f64, f64) {
        let levels = Levels::of(self.sizes, self.plan);
        let top = self.sizes.head_face() + levels.top;
        let half = self.half_bank() * 1.18;
        let (mut left, mut right, mut up, mut down) = (0.0_f64, 0.0_f64, 0.0_f64, 0.0_f64);
        for lean in &self.places.leans_deg {
            let frame = Frame::leaning((0.0, 0.0), 1.0, *lean);
            for (u, v) in [(-half, top), (half, top), (half, 0.0), (-half, 0.0)] {
                let (x, y) = frame.at(u, v);
                left = left.min(x);
                right = right.max(x);
                up = up.min(y);
                down = down.max(y);
            }
        }
        let low = if self.places.arrangement == Arrangement::Flat {
            self.sizes.swing() * 1.15
        } else {
            rail(self.sizes) + 3.0
        };
        (
            left.min(-self.sizes.swing() * 1.15),
            right.max(self.sizes.swing() * 1.15),
            -up,
            down.max(low).max(self.sizes.swing()),
        )
    }

    /// The front cylinder of each bank.
    pub fn cylinders(&self) -> Vec<CylinderPlace> {
        (0..self.places.banks()).filter_map(|bank| self.places.of_bank(bank).first().copied()).collect()
    }

    /// Draws it around `origin`.
    pub fn draw(&self, svg: &mut Svg, origin: Point, scale: f64) {
        let upright = Frame::upright(origin, scale);
        let cylinders = self.cylinders();
        for lean in &self.places.leans_deg {
            let mut pencil = Pencil { svg, frame: Frame::leaning(origin, scale, *lean) };
            self.bank_casting(&mut pencil, *lean);
        }
        let mut pencil = Pencil { svg, frame: upright };
        self.crankcase(&mut pencil);
        let mut drawn: Vec<usize> = Vec::new();
        for cylinder in &cylinders {
            if !drawn.contains(&cylinder.throw) {
                self.web(&mut pencil, self.places.direction_deg(cylinder.throw, self.crank_deg));
                drawn.push(cylinder.throw);
            }
        }
        let journal = self.sizes.main_journal.mm / 2.0 * scale;
        pencil.svg.circle(origin, journal, HIDDEN);
        for cylinder in cylinders.iter().rev() {
            let lean = self.places.leans_deg[cylinder.bank];
            let mut pencil = Pencil { svg, frame: Frame::leaning(origin, scale, lean) };
            self.moving(&mut pencil, cylinder, lean);
        }
        self.axes(svg, origin, scale);
    }

    fn moving(&self, pencil: &mut Pencil, cylinder: &CylinderPlace, lean: f64) {
        let s = self.sizes;
        let pin = self.places.pin_height(*cylinder, self.crank_deg, s);
        let angle = (self.places.direction_deg(cylinder.throw, self.crank_deg) - lean).to_radians();
        piston_front(pencil, s, pin);
        rod_front(pencil, s, (0.0, pin), (s.radius() * sin(angle), s.radius() * cos(angle)));
    }

    fn axes(&self, svg: &mut Svg, origin: Point, scale: f64) {
        let levels = Levels::of(self.sizes, self.plan);
        for lean in &self.places.leans_deg {
            let mut pencil = Pencil { svg, frame: Frame::leaning(origin, scale, *lean) };
            let top = self.sizes.head_face() + levels.top + 8.0 / scale;
            pencil.axis((0.0, -0.3 * self.sizes.swing()), (0.0, top));
        }
        let reach = self.sizes.swing() * 1.3;
        let mut pencil = Pencil { svg, frame: Frame::upright(origin, scale) };
        pencil.axis((-reach, 0.0), (reach, 0.0));
        pencil.axis((0.0, -reach), (0.0, reach * 0.6));
    }

    /// Walls, deck and head of one bank in its own frame.
    fn bank_casting(&self, pencil: &mut Pencil, lean: f64) {
        let s = self.sizes;
        let given = s.block_given();
        let (bore, outer) = (s.bore.mm / 2.0, self.half_bank());
        let wall = s.wall.mm;
        let (deck, bottom) = (s.deck.mm, s.bore_bottom());
        for side in [-1.0, 1.0] {
            // The wall that faces the other bank must not cross the middle of the engine.
            let inner = lean != 0.0 && side * lean < 0.0 && lean.abs() < 89.0;
            let middle = outer / tan(lean.abs().to_radians()).max(1e-6);
            let low = if inner { bottom.max(middle.min(deck - 0.3 * s.bore.mm)) } else { bottom };
            let jacket_low = low + 0.32 * (deck - low);
            let jacket = boxed_between(
                side * (bore + wall),
                side * (outer - wall),
                (jacket_low, deck - 0.12 * s.bore.mm),
            );
            let column = boxed_between(side * bore, side * outer, (low, deck));
            if s.barrel_shim.is_some() {
                let low = bottom.max(middle.min(casting_top(s) - 0.04 * s.bore.mm));
                let low = if inner { low } else { bottom };
                pencil.cut(&[case_beside(s, side, outer, low)], given, false);
                continue;
            }
            if inner && low > bottom + 1.0 {
                pencil.cut(
                    &[boxed_between(side * bore, side * (bore + wall * 1.2), (bottom, low))],
                    given,
                    false,
                );
            }
            pencil.cut(&[column, jacket], given, false);
        }
        if s.barrel_shim.is_some() {
            barrels::draw(pencil, s, 0.0, barrels::reach(s).min(outer));
        }
        pencil.thin((-bore, bottom), (bore, bottom));
        self.head(pencil, lean);
    }

    fn head(&self, pencil: &mut Pencil, lean: f64) {
        let s = self.sizes;
        let b = s.bore.mm;
        let levels = Levels::of(s, self.plan);
        let base = s.head_face();
        let outer = self.half_bank();
        let half = b / 2.0;
        let known = s.bore.given && self.plan.given;
        if s.barrel_shim.is_some() {
            barrels::gasket(pencil, s, 0.0);
        } else {
            pencil.solid((-outer, -s.fire_ring.mm / 2.0), (s.deck.mm, base), s.gasket.given);
            pencil.solid((s.fire_ring.mm / 2.0, outer), (s.deck.mm, base), s.gasket.given);
        }
        let peak = if self.plan.follower == Follower::Rocker { levels.roof } else { levels.roof * 1.9 };
        let ring = vec![
            (-outer, base),
            (-half, base),
            (-0.1 * b, base + peak),
            (0.1 * b, base + peak),
            (half, base),
            (outer, base),
            (outer, base + levels.seat),
            (0.62 * outer, base + levels.seat * 0.98),
            (0.0, base + levels.seat * 1.18),
            (-0.62 * outer, base + levels.seat * 0.98),
            (-outer, base + levels.seat),
        ];
        pencil.cut(&[ring], known, true);
        let cover = [
            (-outer, base + levels.seat),
            (-outer * 1.12, base + levels.spring_top),
            (-outer * 0.9, base + levels.top),
            (outer * 0.9, base + levels.top),
            (outer * 1.12, base + levels.spring_top),
            (outer, base + levels.seat),
        ];
        let placed = pencil.place(&cover);
        pencil.svg.polyline(&placed, HIDDEN);
        // Intake toward the valley of a vee, to the right of an inline engine.
        let intake_side = if lean > 0.0 { -1.0 } else { 1.0 };
        let scale = pencil.frame.scale;
        let tilts: &[(Side, f64)] = match self.plan.follower {
            Follower::Rocker => &[(Side::Intake, 14.0)],
            _ => &[(Side::Intake, 19.0), (Side::Exhaust, 19.0)],
        };
        for (side, tilt) in tilts {
            let way = if *side == Side::Intake { intake_side } else { -intake_side };
            // The valve's own frame turns about a point on the roof.
            let foot_u = if tilts.len() == 1 { 0.0 } else { way * 0.235 * b };
            let foot = pencil.frame.at(foot_u, base);
            let frame = Frame::leaning(foot, scale, lean + way * tilt);
            let mut own = Pencil { svg: pencil.svg, frame };
            let head = if *side == Side::Intake { s.intake_valve.mm } else { s.exhaust_valve.mm };
            let lift = if tilts.len() == 1 { 0.0 } else { 0.03 * b };
            let valve = ValvePlace { u: 0.0, head, side: *side, letter: 'a' };
            let mut plan = self.plan.clone();
            plan.spring_width = plan.spring_width.min(0.3 * b);
            valve_gear(&mut own, s, &plan, &levels, (0.0, lift), &valve);
        }
    }

    /// The turning web with its counterweight, from the front.
    fn web(&self, pencil: &mut Pencil, direction: f64) {
        let s = self.sizes;
        let angle = direction.to_radians();
        let pin = (s.radius() * sin(angle), s.radius() * cos(angle));
        let end = s.pin_journal.mm / 2.0 + 0.075 * s.bore.mm;
        let mut outline = arc(pin, end, direction - 80.0, direction + 80.0);
        let half = COUNTERWEIGHT_HALF_DEG;
        outline.extend(arc((0.0, 0.0), s.main_journal.mm * 0.6, direction + 80.0, direction + 100.0));
        outline.extend(arc(
            (0.0, 0.0),
            s.counterweight(),
            direction + 180.0 - half,
            direction + 180.0 + half,
        ));
        outline.extend(arc((0.0, 0.0), s.main_journal.mm * 0.6, direction - 100.0, direction - 80.0));
        pencil.part(&outline, s.crank_given());
    }

    /// Walls from the banks down to the pan rail, or across between the banks of a flat engine.
    fn crankcase(&self, pencil: &mut Pencil) {
        let s = self.sizes;
        let given = s.block_given();
        let t = 0.075 * s.bore.mm;
        let outer = self.half_bank();
        let room = s.swing() * 1.06 + 2.0;
        if self.places.arrangement == Arrangement::Flat {
            for side in [-1.0, 1.0] {
                let (from, to) = (room.max(outer - t), room.max(outer - t) + t);
                let bottom = s.bore_bottom();
                pencil.cut(&[boxed_between(-bottom, bottom, (side * from, side * to))], given, false);
                for end in [-1.0, 1.0] {
                    pencil.edge((end * bottom, side * outer), (end * bottom, side * to));
                }
            }
            return;
        }
        let depth = rail(s);
        let flange = 0.16 * s.bore.mm;
        for (lean, side) in self.outer_sides() {
            let frame = Frame::leaning((0.0, 0.0), 1.0, lean);
            let (x, y) = frame.at(side * outer, s.bore_bottom());
            let top = (x, -y);
            let inside = frame.at(side * (outer - t), s.bore_bottom());
            let inside = (inside.0, -inside.1);
            let wide = side * room;
            let knee = (wide, (top.1 * 0.35).min(room * 0.5));
            let ring = vec![
                top,
                (knee.0 + side * t, knee.1),
                (wide + side * t, 0.07 * s.bore.mm - depth),
                (wide + side * (t + flange), 0.07 * s.bore.mm - depth),
                (wide + side * (t + flange), -depth),
                (wide, -depth),
                knee,
                inside,
            ];
            pencil.cut(&[ring], given, false);
        }
        if self.places.banks() == 2 {
            self.valley(pencil, given);
        }
        let style = if given { THIN_COVER } else { SKETCH };
        let half = s.main_housing.mm / 2.0 + 0.3 * s.bore.mm;
        pencil.shape(&boxed((-half, half), (-(s.main_housing.mm / 2.0 + 0.26 * s.bore.mm), 0.0)), style);
    }

    /// The floor between the banks of a vee.
    fn valley(&self, pencil: &mut Pencil, given: bool) {
        let s = self.sizes;
        let lean = self.places.leans_deg[1].abs().to_radians();
        let bore = s.bore.mm / 2.0;
        let foot =
            (-bore * cos(lean) + s.bore_bottom() * sin(lean), bore * sin(lean) + s.bore_bottom() * cos(lean));
        if foot.0 > 0.06 * s.bore.mm {
            let t = 0.1 * s.bore.mm;
            pencil.cut(&[boxed((-foot.0, foot.0), (foot.1, foot.1 + t))], given, false);
        }
    }

    /// Lean and side of the outermost walls.
    fn outer_sides(&self) -> Vec<(f64, f64)> {
        match self.places.leans_deg.as_slice() {
            [lean] => vec![(*lean, -1.0), (*lean, 1.0)],
            both => both.iter().map(|lean| (*lean, lean.signum())).collect(),
        }
    }
}

fn boxed_between(u: f64, w: f64, v: (f64, f64)) -> Vec<Point> {
    boxed((u.min(w), u.max(w)), v)
}
