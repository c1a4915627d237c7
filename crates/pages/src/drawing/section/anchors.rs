//! Where on the drawing a finding hangs.

use super::block::faces;
use super::crank::ends;
use super::frame::Frame;
use super::head::{HeadPlan, Levels};
use super::piston::{grooves, rod_widths};
use crate::drawing::places::{CylinderPlace, Places};
use crate::drawing::sizes::Sizes;
use crate::drawing::svg::Point;
use engine::document::Arrangement;
use engine::features::Side;
use engine::findings::Finding;
use mechanics::math::cos;

/// How high on a bore.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Height {
    /// Near the deck.
    Top,
    /// Half way.
    Mid,
    /// Near the crankcase.
    Low,
}

/// A place on the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// The wall of a bore.
    Bore(u32, Height),
    /// The casting as a whole: hardness.
    Casting,
    /// The deck at a cylinder.
    Deck(u32),
    /// The deck of a bank (0 first).
    DeckOf(usize),
    /// The head face of a bank.
    HeadFace(usize),
    /// A main housing and its cap.
    MainCap(u32),
    /// A main journal in its shells.
    Main(u32),
    /// A crank pin.
    Pin(u32),
    /// The nose of the crank.
    Nose,
    /// The thrust bearing, at the rear main.
    Thrust,
    /// A big end.
    BigEnd(u32),
    /// A rod's shank.
    Rod(u32),
    /// A piston pin.
    PistonPin(u32),
    /// A piston skirt.
    Piston(u32),
    /// A piston crown.
    Crown(u32),
    /// A ring, top 0.
    Ring(u32, u8),
    /// A combustion chamber.
    Chamber(u32),
    /// The gasket at a cylinder.
    Gasket(u32),
    /// A valve head and seat.
    Valve(Side, u32, char),
    /// The intake port of a cylinder, where its injectors spray.
    Injector(u32),
    /// A valve stem in its guide.
    Guide(Side, u32, char),
    /// A spring.
    Spring(Side, u32, char),
    /// Lash: bucket, shim, rocker.
    Lash(Side, u32, char),
    /// A camshaft bearing.
    Cam(u32),
    /// The whole engine.
    Engine,
}

/// `intake.3b` as side, cylinder, letter.
pub fn valve_of(instance: &str) -> Option<(Side, u32, char)> {
    let (side, rest) = instance.split_once('.')?;
    let side = match side {
        "intake" => Side::Intake,
        "exhaust" => Side::Exhaust,
        _ => return None,
    };
    let letter = rest.chars().last()?;
    let digits = rest.strip_suffix(letter).unwrap_or(rest);
    if letter.is_ascii_digit() {
        Some((side, rest.parse().ok()?, 'a'))
    } else {
        Some((side, digits.parse().ok()?, letter))
    }
}

/// The first number among the dotted pieces of a name, `rod.3` → 3.
fn number_in(text: &str) -> Option<u32> {
    text.split(['.', '/', ' ', '_']).find_map(|piece| piece.parse().ok())
}

impl Anchor {
    /// The place of a finding: by its code, then by the kind of feature that it reads, then by its sheet.
    pub fn of(finding: &Finding) -> Self {
        let subject = &finding.subject;
        let number = number_in(&subject.instance).or_else(|| number_in(&subject.part)).unwrap_or(1);
        let first = subject.features.first().map_or("", String::as_str);
        // A map hangs where it is worst: at its thinnest reading.
        let thinnest = finding
            .working
            .inputs
            .iter()
            .filter(|i| i.feature.as_deref().is_some_and(|p| p.starts_with("block.wall")))
            .min_by(|a, b| a.value.value.total_cmp(&b.value.value))
            .and_then(|i| i.feature.as_deref());
        let feature = thinnest.unwrap_or(first);
        if let Some((side, cylinder, letter)) = valve_of(&subject.instance) {
            return valve_place(finding.code, side, cylinder, letter);
        }
        let bank = usize::from(subject.instance == "b" || subject.part == "head.b");
        by_code(finding.code, number, bank, feature).unwrap_or_else(|| by_feature(feature, number, bank))
    }
}

fn valve_place(code: &str, side: Side, cylinder: u32, letter: char) -> Anchor {
    let has = |words: &[&str]| words.iter().any(|w| code.contains(w));
    if has(&["spring", "coil", "seat_load", "installed", "bind"]) {
        Anchor::Spring(side, cylinder, letter)
    } else if has(&["lash", "bucket", "shim", "pushrod", "rocker"]) {
        Anchor::Lash(side, cylinder, letter)
    } else if has(&["guide", "stem"]) {
        Anchor::Guide(side, cylinder, letter)
    } else {
        Anchor::Valve(side, cylinder, letter)
    }
}

/// A level of a bore named in a path.
fn height_in(feature: &str) -> Height {
    if feature.contains(".top") {
        Height::Top
    } else if feature.contains(".low") {
        Height::Low
    } else {
        Height::Mid
    }
}

fn by_code(code: &str, n: u32, bank: usize, feature: &str) -> Option<Anchor> {
    let has = |words: &[&str]| words.iter().any(|w| code.contains(w));
    Some(match code {
        _ if has(&["wall", "core_shift"]) => Anchor::Bore(n, height_in(feature)),
        _ if has(&["hardness"]) => Anchor::Casting,
        _ if has(&["tunnel", "main_line", "main_step", "main_housing"]) => Anchor::MainCap(n),
        _ if has(&["main_clearance", "main_shell", "main_journal", "run_out_main", "crank_run_out"]) => {
            Anchor::Main(n)
        }
        _ if has(&["rod_clearance", "rod_shell", "crush", "big_end", "rod_bolt", "rod_side"]) => {
            Anchor::BigEnd(n)
        }
        _ if has(&["end_float", "thrust_float"]) => Anchor::Thrust,
        _ if has(&["torsion", "nose", "damper"]) => Anchor::Nose,
        _ if has(&["rod_length"]) => Anchor::Rod(n),
        _ if has(&["pin_in_", "piston_pin"]) => Anchor::PistonPin(n),
        _ if has(&["second_ring"]) => Anchor::Ring(n, 1),
        _ if has(&["rail_gap", "oil_ring"]) => Anchor::Ring(n, 2),
        _ if has(&["ring"]) && !has(&["fire_ring", "spring"]) => Anchor::Ring(n, 0),
        _ if has(&["deck_lean", "deck_flat"]) => Anchor::DeckOf(bank),
        _ if has(&["head_flat", "head_face"]) => Anchor::HeadFace(bank),
        _ if has(&["quench", "deck", "protrusion"]) => Anchor::Crown(n),
        _ if has(&["gasket", "stud", "clamp"]) => Anchor::Gasket(n),
        _ if has(&["chamber", "compression", "swept"]) => Anchor::Chamber(n),
        _ if has(&["injector"]) => Anchor::Injector(n),
        _ if has(&["piston"]) => Anchor::Piston(n),
        _ if has(&["cam"]) => Anchor::Cam(n),
        _ if has(&["restrictor"]) => Anchor::HeadFace(0),
        _ if has(&["mass"]) => Anchor::Rod(n),
        _ if has(&["bore"]) => Anchor::Bore(n, height_in(feature)),
        _ => return None,
    })
}

fn by_feature(feature: &str, n: u32, bank: usize) -> Anchor {
    let starts = |stem: &str| feature.starts_with(stem);
    if starts("block.bore") || starts("block.wall") {
        Anchor::Bore(n, height_in(feature))
    } else if starts("block.main") {
        Anchor::MainCap(n)
    } else if starts("block.deck_face") {
        Anchor::DeckOf(bank)
    } else if starts("block.deck") {
        Anchor::Deck(n)
    } else if starts("crank.pin") {
        Anchor::Pin(n)
    } else if starts("crank.end") {
        Anchor::Thrust
    } else if starts("crank") || starts("main_") {
        Anchor::Main(n)
    } else if starts("rod") {
        Anchor::BigEnd(n)
    } else if starts("ring") {
        Anchor::Ring(n, 0)
    } else if starts("piston") {
        Anchor::Piston(n)
    } else if starts("pin") {
        Anchor::PistonPin(n)
    } else if starts("head") {
        Anchor::Chamber(n)
    } else {
        Anchor::Engine
    }
}

/// Finds places on the paper.
pub struct Locator<'a> {
    /// Arrangement.
    pub places: &'a Places,
    /// Sizes.
    pub sizes: &'a Sizes,
    /// Heads.
    pub plan: &'a HeadPlan,
    /// Crank angle, degrees.
    pub crank_deg: f64,
    /// The frame along each bank.
    pub frames: &'a [Frame],
}

impl Locator<'_> {
    /// Does it stand behind the cut, so that the drawing shows something else there?
    pub fn is_hidden(&self, anchor: Anchor) -> bool {
        let (Anchor::Valve(side, ..)
        | Anchor::Guide(side, ..)
        | Anchor::Spring(side, ..)
        | Anchor::Lash(side, ..)) = anchor
        else {
            return false;
        };
        side == Side::Exhaust && self.plan.exhaust_behind
    }

    /// Bank and point on the paper; None when that cylinder or bearing is not there.
    pub fn find(&self, anchor: Anchor) -> Option<(usize, Point)> {
        let s = self.sizes;
        match anchor {
            Anchor::MainCap(n) => {
                self.main(n).map(|x| self.on_shaft(x, -(s.main_housing.mm / 2.0 + 0.13 * s.bore.mm)))
            }
            Anchor::Main(n) => self.main(n).map(|x| self.on_shaft(x, -0.2 * s.main_journal.mm)),
            Anchor::Pin(n) => {
                let throw = (n as usize).checked_sub(1)?;
                let x = self.places.throws.get(throw)?.x;
                let angle = self.places.direction_deg(throw, self.crank_deg) - self.places.leans_deg[0];
                Some(self.on_shaft(x - 0.3 * s.rod_width.mm, s.radius() * cos(angle.to_radians())))
            }
            Anchor::Nose => {
                self.main(1).map(|x| self.on_shaft(x - s.main_width.mm / 2.0 - 0.7 * ends(s).0, 0.0))
            }
            Anchor::Thrust => self
                .main(self.places.mains.len() as u32)
                .map(|x| self.on_shaft(x + 0.5 * s.main_width.mm, -0.35 * s.main_journal.mm)),
            Anchor::DeckOf(bank) | Anchor::HeadFace(bank) => self.on_face(anchor, bank),
            Anchor::Casting | Anchor::Engine => {
                let (front, _) = faces(self.places, s);
                Some((
                    0,
                    self.frames.first()?.at(front + 0.06 * s.bore.mm, s.deck.mm - 0.45 * s.bore_length.mm),
                ))
            }
            _ => self.at_cylinder(anchor),
        }
    }

    fn main(&self, n: u32) -> Option<f64> {
        self.places.mains.get((n as usize).checked_sub(1)?).copied()
    }

    fn on_shaft(&self, x: f64, v: f64) -> (usize, Point) {
        (0, self.frames[0].at(x, v))
    }

    fn on_face(&self, anchor: Anchor, bank: usize) -> Option<(usize, Point)> {
        let bank = bank.min(self.places.banks() - 1);
        let last = *self.places.of_bank(bank).last()?;
        let s = self.sizes;
        let v = match anchor {
            Anchor::HeadFace(_) => s.head_face() + 0.04 * s.bore.mm,
            _ => s.deck.mm - 0.02 * s.bore.mm,
        };
        Some((bank, self.frames.get(bank)?.at(last.x + 0.5 * s.bore.mm + s.wall.mm, v)))
    }

    fn at_cylinder(&self, anchor: Anchor) -> Option<(usize, Point)> {
        let s = self.sizes;
        let half = s.bore.mm / 2.0;
        let (number, place): (u32, &dyn Fn(CylinderPlace) -> Point) = match anchor {
            Anchor::Bore(n, height) => (n, &move |c| {
                let depth = match height {
                    Height::Top => 0.12,
                    Height::Mid => 0.5,
                    Height::Low => 0.88,
                };
                (c.x - half - 0.2 * s.wall.mm, s.deck.mm - depth * s.bore_length.mm)
            }),
            Anchor::Deck(n) => (n, &move |c| (c.x - half - 0.4 * s.wall.mm, s.deck.mm - 0.02 * s.bore.mm)),
            Anchor::BigEnd(n) => {
                (n, &move |c| (c.x + 0.3 * rod_widths(s).2, self.crank_pin(c) + 0.2 * s.pin_journal.mm))
            }
            Anchor::Rod(n) => (n, &move |c| (c.x, 0.55 * self.pin(c) + 0.45 * self.crank_pin(c))),
            Anchor::PistonPin(n) => (n, &move |c| (c.x - 0.3 * s.pin_length.mm, self.pin(c))),
            Anchor::Piston(n) => (n, &move |c| (c.x + 0.43 * s.bore.mm, self.pin(c) - 0.2 * s.pin.mm)),
            Anchor::Crown(n) => (n, &move |c| {
                (c.x - 0.25 * s.bore.mm, self.pin(c) + s.compression_height.mm - 0.02 * s.bore.mm)
            }),
            Anchor::Ring(n, ring) => (n, &move |c| {
                (c.x + half - 0.02 * s.bore.mm, self.pin(c) + grooves(s)[usize::from(ring.min(2))].0)
            }),
            Anchor::Chamber(n) => (n, &move |c| (c.x, s.head_face() + 0.035 * s.bore.mm)),
            Anchor::Gasket(n) => (n, &move |c| (c.x - half - 0.5 * s.wall.mm, s.deck.mm + s.gasket.mm / 2.0)),
            Anchor::Cam(n) => (n.min(self.places.cylinders.len() as u32).max(1), &move |c| {
                (c.x + half, s.head_face() + Levels::of(s, self.plan).shaft)
            }),
            Anchor::Valve(side, n, letter) => {
                (n, &move |c| self.on_valve(c, side, letter, |l| l.roof + 0.01 * s.bore.mm, 0.3))
            }
            // In the bowl over the head of the first valve.
            Anchor::Injector(n) => {
                (n, &move |c| self.on_valve(c, Side::Intake, 'a', |l| 0.8 * l.roof + 0.2 * l.seat, 0.25))
            }
            Anchor::Guide(side, n, letter) => {
                (n, &move |c| self.on_valve(c, side, letter, |l| 0.4 * l.roof + 0.6 * l.seat, 0.0))
            }
            Anchor::Spring(side, n, letter) => {
                (n, &move |c| self.on_valve(c, side, letter, |l| 0.6 * l.seat + 0.4 * l.spring_top, 0.0))
            }
            Anchor::Lash(side, n, letter) => {
                (n, &move |c| self.on_valve(c, side, letter, |l| l.follower_top - 0.02 * s.bore.mm, 0.0))
            }
            _ => return None,
        };
        let cylinder = self.places.cylinder(number)?;
        let (u, v) = place(cylinder);
        Some((cylinder.bank, self.frames.get(cylinder.bank)?.at(u, v)))
    }

    fn on_valve(
        &self,
        c: CylinderPlace,
        side: Side,
        letter: char,
        level: impl Fn(&Levels) -> f64,
        aside: f64,
    ) -> Point {
        let levels = Levels::of(self.sizes, self.plan);
        let valve = self.plan.place_of(side, letter);
        let (u, head) = valve.map_or((0.0, 0.0), |v| (v.u, v.head));
        (c.x + u - aside * head, self.sizes.head_face() + level(&levels))
    }

    fn pin(&self, c: CylinderPlace) -> f64 {
        self.places.pin_height(c, self.crank_deg, self.sizes)
    }

    fn crank_pin(&self, c: CylinderPlace) -> f64 {
        let angle = self.places.direction_deg(c.throw, self.crank_deg) - self.places.leans_deg[c.bank];
        self.sizes.radius() * cos(angle.to_radians())
    }

    /// True when both banks lie in one view.
    pub fn joined(&self) -> bool {
        self.places.arrangement == Arrangement::Flat
    }
}
