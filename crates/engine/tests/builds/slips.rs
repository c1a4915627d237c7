//! Slips of the pen among the readings of whole engines, and good readings that are asked about.
//!
//! Each slip is put where the documented condition says that it can be seen (`docs/physics/metrology.md`); other readings are
//! not counted.

use super::random::Draws;
use super::truth::Truth;
use super::{Kit, kits, readings};
use engine::Engine;
use engine::quantity::Dimension;
use engine::readings::{Reading, SlipKind};
use engine::sizes::{gauge_figures, slips, standard_of};

const ENGINES: u64 = 200;
/// Slips of each kind put into each engine, one at a time.
const EACH: usize = 2;
/// Per cent of units, decimal points and exchanged cylinders that must be asked about.
const ALWAYS: f64 = 100.0;

#[derive(Default)]
struct Rate {
    put: usize,
    caught: usize,
    named: usize,
}

impl Rate {
    fn percent(&self) -> f64 {
        100.0 * self.caught as f64 / self.put.max(1) as f64
    }
}

/// A slip in some readings: which numbers are wrong now.
struct Slipped {
    readings: Vec<Reading>,
    wrong: Vec<u64>,
}

fn expanded(engine: &Engine, reading: &Reading) -> f64 {
    let feature = engine.catalogue.feature(&reading.feature).expect("a place");
    let figures = gauge_figures(&engine.document, &reading.instrument, feature.gauge, feature.dimension);
    2.0 * standard_of(&figures, reading.value.abs())
}

fn family(engine: &Engine, reading: &Reading) -> (usize, &'static str) {
    let feature = engine.catalogue.feature(&reading.feature).expect("a place");
    (feature.table, feature.family)
}

fn same_family<'a>(engine: &'a Engine, of: &Reading) -> impl Iterator<Item = &'a Reading> {
    let wanted = family(engine, of);
    engine.readings.iter().filter(move |r| family(engine, r) == wanted)
}

/// Condition for units and decimal points: a nominal and the reading near it, or three readings, most of them alike and well
/// above U, and this one among them.
fn scale_can_be_seen(engine: &Engine, reading: &Reading) -> bool {
    let feature = engine.catalogue.feature(&reading.feature).expect("a place");
    let near = |usual: f64| (1.0 / 1.6..=1.6).contains(&(reading.value / usual));
    if let Some(nominal) = feature.nominal.filter(|n| *n > 0.0) {
        return near(nominal);
    }
    let mut values: Vec<f64> = same_family(engine, reading).map(|r| r.value).collect();
    values.sort_by(f64::total_cmp);
    let usual = values[values.len() / 2];
    let alike = values.iter().filter(|v| (1.0 / 1.6..=1.6).contains(&(**v / usual))).count();
    // One of them is about to be wrong.
    values.len() >= 3
        && 2 * (alike - 1) > values.len()
        && usual > 6.0 * expanded(engine, reading)
        && near(usual)
}

fn scaled(engine: &Engine, factor: f64, lengths_only: bool, draws: &mut Draws) -> Option<Slipped> {
    for _ in 0..200 {
        let index = draws.below(engine.readings.len());
        let reading = &engine.readings[index];
        let feature = engine.catalogue.feature(&reading.feature)?;
        let length = feature.dimension == Dimension::Length && !reading.text.ends_with("um");
        if (lengths_only && !length) || feature.signed || !scale_can_be_seen(engine, reading) {
            continue;
        }
        let mut readings = engine.readings.clone();
        rewrite(&mut readings[index], factor * number(&engine.readings[index].text).0);
        return Some(Slipped { readings, wrong: vec![index as u64 + 1] });
    }
    None
}

/// Number, unit and decimals as typed.
fn number(text: &str) -> (f64, &str, usize) {
    let (number, unit) = text.split_once(' ').expect("number and unit");
    let decimals = number.split_once('.').map_or(0, |(_, d)| d.len());
    (number.parse().expect("a number"), unit, decimals)
}

fn rewrite(reading: &mut Reading, typed: f64) {
    let (old, unit, decimals) = number(&reading.text);
    let text = format!("{typed:.decimals$} {unit}");
    reading.value *= number(&text).0 / old;
    reading.text = text;
}

/// One digit wrong by more than 6 U on bores, journals and big ends.
fn wrong_digit(engine: &Engine, draws: &mut Draws) -> Option<Slipped> {
    for _ in 0..500 {
        let index = draws.below(engine.readings.len());
        let reading = &engine.readings[index];
        if !matches!(family(engine, reading).1, "block.bore" | "crank.main" | "crank.pin" | "rod.big_end") {
            continue;
        }
        let mut digits: Vec<u8> = reading.text.bytes().collect();
        let places: Vec<usize> = (0..digits.len()).filter(|i| digits[*i].is_ascii_digit()).collect();
        let place = *draws.one_of(&places);
        let digit = b'0' + draws.below(10) as u8;
        if digit == digits[place] {
            continue;
        }
        digits[place] = digit;
        let typed = number(std::str::from_utf8(&digits).expect("digits")).0;
        let mut readings = engine.readings.clone();
        rewrite(&mut readings[index], typed);
        let change = (readings[index].value - reading.value).abs();
        if change > 6.0 * expanded(engine, reading) {
            return Some(Slipped { readings, wrong: vec![index as u64 + 1] });
        }
    }
    None
}

/// One column of two journals or bores exchanged, whose other readings stand more than 6 U apart.
fn exchanged(engine: &Engine, draws: &mut Draws) -> Option<Slipped> {
    for _ in 0..2000 {
        let index = draws.below(engine.readings.len());
        let reading = &engine.readings[index];
        if !matches!(family(engine, reading).1, "block.bore" | "crank.main" | "crank.pin") {
            continue;
        }
        let feature = engine.catalogue.feature(&reading.feature)?;
        let row_mean = |row: usize| {
            let cells: Vec<f64> = same_family(engine, reading)
                .filter(|r| {
                    engine
                        .catalogue
                        .feature(&r.feature)
                        .is_some_and(|f| f.row == row && f.column != feature.column)
                })
                .map(|r| r.value)
                .collect();
            cells.iter().sum::<f64>() / cells.len() as f64
        };
        let others: Vec<usize> = (0..engine.readings.len())
            .filter(|i| {
                let other = engine.catalogue.feature(&engine.readings[*i].feature).expect("a place");
                other.table == feature.table && other.column == feature.column && other.row != feature.row
            })
            .collect();
        let with = *draws.one_of(&others);
        let other = engine.catalogue.feature(&engine.readings[with].feature)?;
        if (row_mean(feature.row) - row_mean(other.row)).abs() <= 6.0 * expanded(engine, reading) {
            continue;
        }
        let mut readings = engine.readings.clone();
        let typed = [index, with].map(|i| number(&engine.readings[i].text).0);
        rewrite(&mut readings[index], typed[1]);
        rewrite(&mut readings[with], typed[0]);
        return Some(Slipped { readings, wrong: vec![index as u64 + 1, with as u64 + 1] });
    }
    None
}

fn engine_of(kit: &Kit, seed: u64, draws: &mut Draws) -> Engine {
    let mut truth = Truth::drawn(kit.shape, &kit.document, &kit.catalogue, draws);
    // One bore and one main of another size, as a used engine has: else nobody could see an exchange.
    let off =
        draws.uniform(20e-6, 60e-6) * if seed.is_multiple_of(2) { 1.0 } else { -1.0 } * kit.shape.width();
    for family in ["block.bore", "crank.main"] {
        let row = draws.below(kit.shape.cylinders.min(4) as usize);
        for (place, feature) in kit.catalogue.features.iter().enumerate() {
            if feature.family == family && feature.row == row {
                truth.read[place] = truth.read[place].map(|v| v + off);
            }
        }
    }
    let room = readings::Room::drawn(kit.shape, &kit.document, &kit.catalogue, draws);
    kit.engine(readings::taken(kit.shape, &kit.catalogue, &truth, &room, draws))
}

fn named(kind: &SlipKind, name: &str) -> bool {
    match name {
        "× or ÷ 25.4" => matches!(kind, SlipKind::Inches | SlipKind::Millimetres),
        "× 10" | "÷ 10" => matches!(kind, SlipKind::TenTimes),
        "exchanged cylinders" => matches!(kind, SlipKind::Swapped { .. }),
        _ => matches!(kind, SlipKind::Digit),
    }
}

#[test]
fn slips_on_whole_engines() {
    const NAMES: [&str; 5] = ["× or ÷ 25.4", "× 10", "÷ 10", "exchanged cylinders", "a digit, above 6 U"];
    let kits = kits();
    let mut rates: [Rate; 5] = Default::default();
    let (mut normal, mut asked) = (0, 0);
    for seed in 0..ENGINES {
        let kit = &kits[seed as usize % kits.len()];
        let mut draws = Draws::seeded(90_000 + seed);
        let engine = engine_of(kit, seed, &mut draws);
        normal += engine.readings.len();
        asked += slips(&engine).len();
        for (rate, name) in rates.iter_mut().zip(NAMES) {
            for _ in 0..EACH {
                let slipped = match name {
                    "× or ÷ 25.4" => {
                        scaled(&engine, if kit.shape.inch { 25.4 } else { 1.0 / 25.4 }, true, &mut draws)
                    }
                    "× 10" => scaled(&engine, 10.0, false, &mut draws),
                    "÷ 10" => scaled(&engine, 0.1, false, &mut draws),
                    "exchanged cylinders" => exchanged(&engine, &mut draws),
                    _ => wrong_digit(&engine, &mut draws),
                };
                let Some(slipped) = slipped else { continue };
                let questions = slips(&kit.engine(slipped.readings));
                let about = |n: &u64| questions.iter().find(|q| q.reading == *n);
                rate.put += 1;
                rate.caught += usize::from(slipped.wrong.iter().all(|n| about(n).is_some()));
                rate.named +=
                    usize::from(slipped.wrong.iter().all(|n| about(n).is_some_and(|q| named(&q.slip, name))));
            }
        }
    }
    println!("\n| slip | put in | asked about | with the right name |\n|---|---|---|---|");
    for (rate, name) in rates.iter().zip(NAMES) {
        println!("| {name} | {} | {} ({:.1} %) | {} |", rate.put, rate.caught, rate.percent(), rate.named);
    }
    println!("| none (normal readings) | {normal} | {asked} | |");
    for rate in &rates {
        assert!(rate.put as u64 >= ENGINES, "enough places to put a slip: {}", rate.put);
    }
    for (rate, name) in rates.iter().zip(NAMES).take(4) {
        assert!(rate.percent() >= ALWAYS, "{name}: {} of {}", rate.caught, rate.put);
    }
    assert!(rates[4].percent() >= 95.0, "digits: {} of {}", rates[4].caught, rates[4].put);
    assert!(asked * 500 <= normal, "{asked} questions about {normal} normal readings");
}
