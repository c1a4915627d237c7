//! Troubles put into a true engine: beyond a limit by so many U, with the kind of action that cures each.

use super::layouts::Shape;
use super::random::Draws;
use super::truth::Truth;
use engine::document::Document;
use engine::features::{Catalogue, HEIGHTS, ValveName, WALL_DIRECTIONS, bank_name, valve_names};
use engine::findings::ActionKind;
use mechanics::math::{cos, sin};
use std::f64::consts::{PI, TAU};

const MM: f64 = 1e-3;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    Taper,
    BoreSize,
    WornPin,
    RingGap,
    Lash,
    Chamber,
    SpringHeight,
    DeckLean,
    MainOffLine,
    RodSide,
    PistonClearance,
    Quench,
    Guide,
    CamJournal,
    Wall,
}

pub const KINDS: [Kind; 15] = [
    Kind::Taper,
    Kind::BoreSize,
    Kind::WornPin,
    Kind::RingGap,
    Kind::Lash,
    Kind::Chamber,
    Kind::SpringHeight,
    Kind::DeckLean,
    Kind::MainOffLine,
    Kind::RodSide,
    Kind::PistonClearance,
    Kind::Quench,
    Kind::Guide,
    Kind::CamJournal,
    Kind::Wall,
];

/// One trouble in one engine.
pub struct Planted {
    pub kind: Kind,
    pub finding: String,
    /// How many U beyond the limit.
    pub by: u32,
    pub actions: &'static [ActionKind],
    /// Places it moved.
    pub moved: Vec<usize>,
    /// Cylinder it sits in.
    pub cylinder: u32,
}

/// Expanded uncertainty and limits of a finding, from a run on true readings.
pub type Figures<'a> = &'a dyn Fn(&str) -> Option<(f64, Option<f64>, Option<f64>)>;

pub struct Shop<'a> {
    pub shape: &'a Shape,
    pub document: &'a Document,
    pub catalogue: &'a Catalogue,
}

impl Shop<'_> {
    fn get(&self, truth: &Truth, path: &str) -> f64 {
        truth.get(self.catalogue, path)
    }

    /// Adds to several places; says which.
    fn shift(&self, truth: &mut Truth, paths: &[String], by: f64) -> Vec<usize> {
        paths.iter().map(|p| truth.set(self.catalogue, p, self.get(truth, p) + by)).collect()
    }

    fn bores(cylinder: u32) -> Vec<String> {
        HEIGHTS
            .iter()
            .flat_map(|h| ["thrust", "along"].map(|d| format!("block.bore.{cylinder}.{h}.{d}")))
            .collect()
    }

    fn pin_of(&self, cylinder: u32) -> Vec<String> {
        let throw = self.document.throw_of_cylinder()[cylinder as usize - 1];
        ["front.vertical", "front.across", "rear.vertical", "rear.across"]
            .iter()
            .map(|e| format!("crank.pin.{throw}.{e}"))
            .collect()
    }

    fn mean(&self, truth: &Truth, paths: &[String]) -> f64 {
        paths.iter().map(|p| self.get(truth, p)).sum::<f64>() / paths.len() as f64
    }

    /// Rod clearance by its definition from true sizes.
    pub fn rod_clearance(&self, truth: &Truth, cylinder: u32) -> f64 {
        let bore = if self.shape.reads_fitted {
            self.get(truth, &format!("rod_bearing.{cylinder}.fitted_bore"))
        } else {
            let wall = |half: &str| self.get(truth, &format!("rod_shell.{cylinder}.{half}"));
            self.get(truth, &format!("rod.{cylinder}.big_end.vertical")) - wall("upper") - wall("lower")
        };
        bore - self.mean(truth, &self.pin_of(cylinder))
    }

    /// Largest true level of a bore.
    pub fn largest_level(&self, truth: &Truth, cylinder: u32) -> f64 {
        Self::bores(cylinder).chunks(2).map(|pair| self.mean(truth, pair)).fold(f64::NEG_INFINITY, f64::max)
    }

    #[allow(clippy::too_many_lines)] // One arm a kind of trouble.
    /// Puts one trouble in, `by` U beyond a limit; None where this engine has no such place.
    pub fn plant(
        &self,
        truth: &mut Truth,
        kind: Kind,
        cylinder: u32,
        by: u32,
        figures: Figures<'_>,
        draws: &mut Draws,
    ) -> Option<Planted> {
        use ActionKind::{Cut, File, Hold, Order, Place, Refit};
        let valves: Vec<ValveName> =
            valve_names(self.document).into_iter().filter(|v| v.cylinder == cylinder).collect();
        let valve = draws.one_of(&valves).path();
        let at = |ending: &str| format!("head.{valve}.{ending}");
        let above = draws.coin();
        let beyond = |id: &str, above: bool| -> Option<f64> {
            let (expanded, min, max) = figures(id)?;
            let by = f64::from(by) * expanded;
            if above { max.map(|m| m + by) } else { min.map(|m| m - by) }
        };
        let (finding, actions, moved): (String, &[ActionKind], Vec<usize>) = match kind {
            Kind::Taper => {
                let id = format!("bore_taper/{cylinder}");
                (id.clone(), &[Cut], self.taper(truth, cylinder, beyond(&id, true)?, draws))
            }
            Kind::BoreSize => {
                let id = format!("bore_size/{cylinder}");
                let by = beyond(&id, above)? - self.mean(truth, &Self::bores(cylinder));
                (id, &[Cut], self.shift(truth, &Self::bores(cylinder), by))
            }
            Kind::WornPin => {
                let id = format!("rod_clearance/{cylinder}");
                let by = self.rod_clearance(truth, cylinder) - beyond(&id, true)?;
                (id, &[Order], self.shift(truth, &self.pin_of(cylinder), by))
            }
            Kind::RingGap => {
                let id = format!("top_ring_gap/{cylinder}.top");
                let place = format!("ring.{cylinder}.top.gap");
                let moved = vec![truth.set(self.catalogue, &place, beyond(&id, above)?)];
                (id, if above { &[Order] } else { &[File] }, moved)
            }
            Kind::Lash => {
                let id = format!("lash/{valve}");
                let size = beyond(&id, above)?;
                (id, &[Place], vec![truth.set(self.catalogue, &at("lash"), size)])
            }
            Kind::Chamber => {
                let id = format!("chamber/{cylinder}");
                let size = beyond(&id, above)?;
                // One alone that is large is read again; a small one is relieved.
                let action: &[ActionKind] = if above { &[ActionKind::Measure] } else { &[Cut] };
                (id, action, vec![truth.set(self.catalogue, &format!("head.chamber.{cylinder}"), size)])
            }
            Kind::SpringHeight => {
                let id = format!("spring_installed/{valve}");
                let size = beyond(&id, above)?;
                let load =
                    (self.get(truth, &at("spring_installed")) - size) / MM * super::layouts::SPRING_RATE;
                let mut moved = self.shift(truth, &[at("seat_load")], load);
                moved.push(truth.set(self.catalogue, &at("spring_installed"), size));
                (id, &[Refit], moved)
            }
            Kind::DeckLean => {
                let bank = bank_name(self.document.bank_of(cylinder));
                let id = format!("deck_lean/{bank}");
                let lean = beyond(&id, true)?;
                let base = self.get(truth, &format!("block.deck_height.{bank}.front.in"));
                let corners = [("front.in", 0.0), ("front.out", 0.1), ("rear.in", 0.9), ("rear.out", 1.0)];
                let moved = corners.map(|(c, share)| {
                    truth.set(self.catalogue, &format!("block.deck_height.{bank}.{c}"), base + share * lean)
                });
                (id, &[Cut], moved.to_vec())
            }
            Kind::MainOffLine => {
                let main = 2 + draws.below(self.shape.mains() as usize - 2) as u32;
                let id = format!("main_line/{main}");
                (id.clone(), &[Refit], self.off_line(truth, main, beyond(&id, true)?, draws))
            }
            Kind::RodSide => {
                let id = format!("rod_side_clearance/{cylinder}");
                let moved = vec![truth.set(
                    self.catalogue,
                    &format!("rod.{cylinder}.side_clearance"),
                    beyond(&id, above)?,
                )];
                // A rod can be faced, not widened.
                (id, if above { &[Order] } else { &[Cut] }, moved)
            }
            Kind::PistonClearance => {
                let id = format!("piston_clearance/{cylinder}");
                let size = self.mean(truth, &Self::bores(cylinder)) - beyond(&id, above)?;
                (id, &[Place], vec![truth.set(self.catalogue, &format!("piston.{cylinder}.gauge"), size)])
            }
            Kind::Quench => {
                let id = format!("quench/{cylinder}");
                let below = ["front", "rear"].map(|e| format!("cylinder.{cylinder}.below_deck.{e}"));
                let gasket = self
                    .get(truth, &format!("gasket.{}.compressed", bank_name(self.document.bank_of(cylinder))));
                let by = beyond(&id, above)? - gasket - self.mean(truth, &below);
                (id, &[Order], self.shift(truth, &below, by))
            }
            Kind::Guide => {
                let id = format!("guide/{valve}");
                let size = self.get(truth, &at("stem")) + beyond(&id, true)?;
                (id, &[Refit], vec![truth.set(self.catalogue, &at("guide"), size)])
            }
            Kind::CamJournal => {
                let shaft = if self.catalogue.find("cam.cam.1.bore").is_some() {
                    "cam"
                } else {
                    *draws.one_of(&["intake", "exhaust"])
                };
                let number = 1 + draws.below(5);
                let id = format!("cam_clearance/{shaft}.{number}");
                let size = self.get(truth, &format!("cam.{shaft}.{number}.bore")) - beyond(&id, true)?;
                (
                    id,
                    &[Refit],
                    vec![truth.set(self.catalogue, &format!("cam.{shaft}.{number}.journal"), size)],
                )
            }
            Kind::Wall => {
                let id = format!("wall/{cylinder}");
                let (_, min, _) = figures(&id)?;
                (id, &[Hold], self.thin_wall(truth, cylinder, min?, by, draws))
            }
        };
        Some(Planted { kind, finding, by, actions, moved, cylinder })
    }

    /// Levels spread by just so much about the old mean size, in a random order of heights.
    fn taper(&self, truth: &mut Truth, cylinder: u32, taper: f64, draws: &mut Draws) -> Vec<usize> {
        let mean = self.mean(truth, &Self::bores(cylinder));
        let middle = draws.uniform(-0.25, 0.25) * taper;
        let mut levels = [0.5 * taper, middle, -0.5 * taper].map(|l| l - middle / 3.0);
        let turn = draws.below(3);
        levels.rotate_left(turn);
        let mut moved = Vec::new();
        for (height, level) in HEIGHTS.iter().zip(levels) {
            let pair = ["thrust", "along"].map(|d| format!("block.bore.{cylinder}.{height}.{d}"));
            let by = mean + level - self.mean(truth, &pair);
            moved.extend(self.shift(truth, &pair, by));
        }
        moved
    }

    /// One housing off the line through the end ones by just so much.
    fn off_line(&self, truth: &mut Truth, main: u32, off: f64, draws: &mut Draws) -> Vec<usize> {
        let last = self.shape.mains();
        let angle = draws.uniform(0.0, TAU);
        let share = f64::from(main - 1) / f64::from(last - 1);
        [("up", sin(angle)), ("aside", cos(angle))]
            .map(|(direction, part)| {
                let end = |m: u32| self.get(truth, &format!("block.main_axis.{m}.{direction}"));
                let line = end(1) + share * (end(last) - end(1));
                truth.set(self.catalogue, &format!("block.main_axis.{main}.{direction}"), line + part * off)
            })
            .to_vec()
    }

    /// A core shift that leaves `by` U less than the limit at one place. Walls and bores are read in one state, so that nothing is cut
    /// between. U is that of the ultrasonic gauge there, from its own figures.
    fn thin_wall(
        &self,
        truth: &mut Truth,
        cylinder: u32,
        least: f64,
        by: u32,
        draws: &mut Draws,
    ) -> Vec<usize> {
        let gauge = super::layouts::gauge_of("block.wall").expect("walls are read");
        let figures = self.shape.figures(gauge);
        let mut thin = least;
        for _ in 0..20 {
            let own = (figures.step * figures.step / 12.0 + figures.scatter * figures.scatter).sqrt() * MM;
            let shared = gauge.scale * thin;
            let expanded = 2.0 * (own * own + shared * shared).sqrt();
            thin = least - f64::from(by) * expanded;
        }
        let (mean, toward, level) = (4.9 * MM, draws.below(8), draws.below(3));
        let mut moved = Vec::new();
        for (at, height) in HEIGHTS.iter().enumerate() {
            let share = if at == level { 1.0 } else { 0.6 };
            for (step, direction) in WALL_DIRECTIONS.iter().enumerate() {
                let angle = (step as f64 - toward as f64) * PI / 4.0;
                let wall = mean - share * (mean - thin) * cos(angle);
                moved.push(truth.set(
                    self.catalogue,
                    &format!("block.wall.{cylinder}.{height}.{direction}"),
                    wall,
                ));
            }
        }
        moved
    }
}
