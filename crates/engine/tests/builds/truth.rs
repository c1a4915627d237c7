//! True sizes at 20 °C of one engine's parts, in SI, drawn from part tolerances: what the process makes, cut off at the tolerance.
//! Fits are drawn from their own range where the shop pairs parts (piston to bore, pin to bush, stem to guide), and by
//! taking the next part where it does not (housing, shell, journal), so that a clean engine is inside all its limits.

use super::layouts::*;
use super::random::Draws;
use engine::document::Document;
use engine::features::{Catalogue, HEIGHTS, WALL_DIRECTIONS, bank_name, valve_names};
use std::collections::HashMap;
use std::f64::consts::{PI, TAU};

const MM: f64 = 1e-3;
const UM: f64 = 1e-6;

/// True values by place; `unread` are true and nobody reads them (walls and gasket out of the box).
#[derive(Clone)]
pub struct Truth {
    pub read: Vec<Option<f64>>,
    pub unread: HashMap<String, f64>,
}

struct Making<'a> {
    catalogue: &'a Catalogue,
    truth: Truth,
}

impl Making<'_> {
    fn set(&mut self, path: impl AsRef<str>, value: f64) {
        if let Some(place) = self.catalogue.find(path.as_ref()) {
            self.truth.read[place] = Some(value);
        }
    }

    fn keep(&mut self, read: bool, path: String, value: f64) {
        if read {
            self.set(path, value);
        } else {
            self.truth.unread.insert(path, value);
        }
    }
}

impl Truth {
    pub fn get(&self, catalogue: &Catalogue, path: &str) -> f64 {
        let place = catalogue.find(path).unwrap_or_else(|| panic!("no place {path}"));
        self.read[place]
            .or_else(|| self.unread.get(path).copied())
            .unwrap_or_else(|| panic!("{path} has no truth"))
    }

    pub fn set(&mut self, catalogue: &Catalogue, path: &str, value: f64) -> usize {
        let place = catalogue.find(path).unwrap_or_else(|| panic!("no place {path}"));
        self.read[place] = Some(value);
        place
    }

    /// A clean engine.
    pub fn drawn(shape: &Shape, document: &Document, catalogue: &Catalogue, draws: &mut Draws) -> Self {
        let truth = Self { read: vec![None; catalogue.features.len()], unread: HashMap::new() };
        let mut making = Making { catalogue, truth };
        casting(&mut making, shape, document, draws);
        crank_and_bearings(&mut making, shape, document, draws);
        for cylinder in 1..=shape.cylinders {
            bore_and_piston(&mut making, shape, cylinder, draws);
        }
        deck_and_chambers(&mut making, shape, document, draws);
        valve_gear(&mut making, document, draws);
        making.truth
    }
}

fn casting(making: &mut Making<'_>, shape: &Shape, document: &Document, draws: &mut Draws) {
    for cylinder in 1..=shape.cylinders {
        let (mean, shift, toward) =
            (4.9 + draws.normal(0.1), draws.uniform(0.0, 0.7), draws.uniform(0.0, TAU));
        for height in HEIGHTS {
            let share = draws.uniform(0.6, 1.0);
            for (step, direction) in WALL_DIRECTIONS.iter().enumerate() {
                let angle = step as f64 * PI / 4.0 - toward;
                let wall = mean + share * shift * mechanics::math::cos(angle) + draws.normal(0.05);
                making.set(format!("block.wall.{cylinder}.{height}.{direction}"), wall * MM);
            }
        }
    }
    for dent in 1..=8 {
        making.set(format!("block.hardness.{dent}"), 215.0 + draws.normal(2.0));
    }
    let lines = [0, 1].map(|_| (draws.normal(20.0), draws.normal(5.0)));
    for main in 1..=shape.mains() {
        for (direction, line) in ["up", "aside"].iter().zip(lines) {
            let off = line.0 + line.1 * f64::from(main) + draws.normal(1.5);
            making.set(format!("block.main_axis.{main}.{direction}"), off * UM);
        }
    }
    for (bank, cylinders) in document.banks().iter().enumerate() {
        for family in ["block.deck_face", "head.face"] {
            for side in ["in", "mid", "out"] {
                for column in 1..=cylinders.len() + 1 {
                    let path = format!("{family}.{}.{side}.{column}", bank_name(bank));
                    making.set(path, draws.normal(2.5) * UM);
                }
            }
        }
    }
}

/// Four readings of a journal whose mean is its size: taper and oval about it.
fn journal(making: &mut Making<'_>, stem: &str, size: f64, draws: &mut Draws) {
    let taper = draws.normal(0.4);
    for (end, sign) in [("front", 1.0), ("rear", -1.0)] {
        let oval = draws.normal(0.4);
        making.set(format!("{stem}.{end}.vertical"), size + (sign * taper + oval) * UM);
        making.set(format!("{stem}.{end}.across"), size + (sign * taper - oval) * UM);
    }
}

fn crank_and_bearings(making: &mut Making<'_>, shape: &Shape, document: &Document, draws: &mut Draws) {
    let w = shape.width();
    let shells = |draws: &mut Draws, wall: f64| [0, 1].map(|_| wall * MM + draws.normal(GRADE_SPREAD * MM));
    for main in 1..=shape.mains() {
        loop {
            let size = shape.main * MM + draws.made_within(6.0 * w * UM);
            let housing = shape.main_housing() * MM + draws.made_within(6.0 * w * UM);
            let oval = draws.normal(1.0 * UM);
            let walls = shells(draws, MAIN_WALL);
            let clearance = housing + oval - walls[0] - walls[1] - size;
            if (clearance - MAIN_CLEARANCE * MM).abs() > 8.0 * w * UM {
                continue;
            }
            journal(making, &format!("crank.main.{main}"), size, draws);
            making.set(format!("block.main_housing.{main}.vertical"), housing + oval);
            making.set(format!("block.main_housing.{main}.across"), housing - oval);
            making.keep(shape.reads_walls, format!("main_shell.{main}.upper"), walls[0]);
            making.keep(shape.reads_walls, format!("main_shell.{main}.lower"), walls[1]);
            break;
        }
        making.set(format!("crank.run_out.{main}"), (8.0 + draws.made_within(8.0)) * UM);
    }
    making.set("crank.end_float", 0.14 * MM + draws.made_within(0.06 * MM));
    let throws = document.throw_of_cylinder();
    for throw in 1..=document.throw_count() {
        // The pin is drawn first; rods and shells that would not fit it are not taken.
        let size = shape.pin * MM + draws.made_within(6.0 * w * UM);
        journal(making, &format!("crank.pin.{throw}"), size, draws);
        for cylinder in (1..=shape.cylinders).filter(|c| throws[*c as usize - 1] == throw) {
            rod(making, shape, cylinder, size, draws);
        }
    }
}

fn rod(making: &mut Making<'_>, shape: &Shape, number: u32, pin: f64, draws: &mut Draws) {
    let w = shape.width();
    loop {
        let big_end = shape.big_end() * MM + draws.made_within(5.0 * w * UM);
        let walls = [0, 1].map(|_| ROD_WALL * MM + draws.normal(GRADE_SPREAD * MM));
        let growth = draws.uniform(2.0, 6.0) * UM;
        let fitted = big_end - walls[0] - walls[1] + growth;
        let clearance = if shape.reads_fitted { fitted - pin } else { fitted - growth - pin };
        if (clearance - ROD_CLEARANCE * MM).abs() > 7.0 * w * UM {
            continue;
        }
        making.set(format!("rod.{number}.big_end.vertical"), big_end);
        making.set(format!("rod.{number}.big_end.left"), big_end + draws.normal(0.8) * UM);
        making.set(format!("rod.{number}.big_end.right"), big_end + draws.normal(0.8) * UM);
        making.keep(shape.reads_walls, format!("rod_shell.{number}.upper"), walls[0]);
        making.keep(shape.reads_walls, format!("rod_shell.{number}.lower"), walls[1]);
        if shape.reads_fitted {
            making.set(format!("rod_bearing.{number}.fitted_bore"), fitted);
        }
        break;
    }
    making.set(format!("rod.{number}.length"), 146.5 * MM + draws.made_within(0.02 * MM));
    making.set(format!("rod.{number}.side_clearance"), 0.26 * MM + draws.made_within(0.06 * MM));
    making.set(format!("rod.{number}.small_end_mass"), 0.158 + draws.normal(0.07e-3));
}

fn bore_and_piston(making: &mut Making<'_>, shape: &Shape, number: u32, draws: &mut Draws) {
    let w = shape.width();
    let mean = shape.bore * MM + draws.made_within(10.0 * w * UM);
    let levels = [0, 1, 2].map(|_| draws.normal(1.0 * w * UM));
    let middle = levels.iter().sum::<f64>() / 3.0;
    for (height, level) in HEIGHTS.iter().zip(levels) {
        let oval = draws.normal(0.8 * w * UM);
        making.set(format!("block.bore.{number}.{height}.thrust"), mean + level - middle + oval);
        making.set(format!("block.bore.{number}.{height}.along"), mean + level - middle - oval);
    }
    for (place, middle, half) in [("rk", 0.7, 0.2), ("rpk", 0.2, 0.1), ("rvk", 1.3, 0.4)] {
        making.set(format!("block.bore_surface.{number}.{place}"), (middle + draws.made_within(half)) * UM);
    }
    let skirt = mean - PISTON_CLEARANCE * MM - draws.made_within(6.0 * w * UM);
    making.set(format!("piston.{number}.gauge"), skirt);
    let pin = PISTON_PIN * MM + draws.made_within(2.0 * UM);
    making.set(format!("pin.{number}.diameter"), pin);
    making.set(format!("piston.{number}.pin_bore"), pin + 9.0 * UM + draws.made_within(4.0 * w * UM));
    making.set(format!("rod.{number}.small_end"), pin + 13.0 * UM + draws.made_within(4.0 * w * UM));
    making.set(format!("piston.{number}.mass"), 0.338 + draws.normal(0.07e-3));
    making.set(format!("pin.{number}.mass"), 0.110 + draws.normal(0.07e-3));
    for (ring, middle, half) in [
        ("top.gap", shape.top_gap(), 0.05),
        ("second.gap", shape.top_gap() + 0.06, 0.05),
        ("upper_rail.gap", 0.375, 0.125),
        ("lower_rail.gap", 0.375, 0.125),
        ("top.side_clearance", 0.045, 0.015),
        ("second.side_clearance", 0.045, 0.015),
    ] {
        making.set(format!("ring.{number}.{ring}"), (middle + draws.made_within(half)) * MM);
    }
}

fn deck_and_chambers(making: &mut Making<'_>, shape: &Shape, document: &Document, draws: &mut Draws) {
    for (bank, cylinders) in document.banks().iter().enumerate() {
        let name = bank_name(bank);
        let height = 219.15 * MM + draws.normal(5.0 * UM);
        for corner in ["front.in", "front.out", "rear.in", "rear.out"] {
            let lean = draws.normal(1.5 * shape.width() * UM);
            making.set(format!("block.deck_height.{name}.{corner}"), height + lean);
        }
        let gasket = GASKET * MM + draws.normal(GASKET_SPREAD * MM);
        making.keep(shape.reads_gasket, format!("gasket.{name}.compressed"), gasket);
        for cylinder in cylinders {
            let below = BELOW_DECK * MM + draws.normal(0.01 * MM);
            let rock = draws.normal(3.0 * UM);
            making.set(format!("cylinder.{cylinder}.below_deck.front"), below + rock);
            making.set(format!("cylinder.{cylinder}.below_deck.rear"), below - rock);
            making.set(format!("head.chamber.{cylinder}"), (shape.chamber() + draws.made_within(0.3)) * 1e-6);
        }
    }
}

fn valve_gear(making: &mut Making<'_>, document: &Document, draws: &mut Draws) {
    for valve in valve_names(document) {
        let at = |ending: &str| format!("head.{}.{ending}", valve.path());
        let intake = valve.side == engine::features::Side::Intake;
        let of_side = |i: f64, e: f64| if intake { i } else { e };
        making.set(at("lash"), of_side(0.22, 0.32) * MM + draws.made_within(0.03 * MM));
        making.set(at("shim"), (2.4 + 0.05 * draws.below(10) as f64) * MM + draws.normal(1.0 * UM));
        let height = SPRING + draws.made_within(0.2);
        making.set(at("spring_installed"), height * MM);
        making
            .set(at("seat_load"), SEAT_LOAD * (1.0 + draws.normal(0.004)) + SPRING_RATE * (SPRING - height));
        let stem = 5.975 * MM + draws.made_within(5.0 * UM);
        making.set(at("stem"), stem);
        making.set(at("guide"), stem + of_side(0.035, 0.045) * MM + draws.made_within(0.01 * MM));
        making.set(at("seat_width"), of_side(1.1, 1.5) * MM + draws.made_within(0.2 * MM));
        making.set(at("seat_run_out"), 0.010 * MM + draws.made_within(0.01 * MM));
        making.set(at("to_piston"), of_side(1.9, 2.4) * MM + draws.made_within(0.2 * MM));
        let bucket = 34.975 * MM + draws.made_within(5.0 * UM);
        making.set(at("bucket"), bucket);
        making.set(at("bucket_bore"), bucket + 0.035 * MM + draws.made_within(0.015 * MM));
        making.set(at("pushrod"), PUSHROD * MM + draws.made_within(0.25 * MM));
    }
    let shafts: &[&str] =
        if making.catalogue.find("cam.cam.1.bore").is_some() { &["cam"] } else { &["intake", "exhaust"] };
    for shaft in shafts {
        for number in 1..=5 {
            let journal = 25.97 * MM + draws.made_within(8.0 * UM);
            making.set(format!("cam.{shaft}.{number}.journal"), journal);
            making.set(
                format!("cam.{shaft}.{number}.bore"),
                journal + 0.05 * MM + draws.made_within(0.015 * MM),
            );
        }
    }
}
