//! Readings that are probably slips: hands each family of places to the numeric search and puts the answer into words.

use super::gauges::{gauge_figures, standard_of};
use crate::engine::Engine;
use crate::features::{Feature, Table};
use crate::quantity::{Dimension, parse_quantity};
use crate::readings::{Reading, Slip, SlipKind, active_readings};
use mechanics::metrology::slips::{Cell, Kind, Suspicion, Table as Grid, TypedIn, suspicions};

/// Places whose readings follow no row-and-column pattern: a core shift is not a slip. Only unit and decimal point are
/// looked at there.
const NO_PATTERN: [&str; 5] =
    ["block.wall", "block.deck_face", "head.face", "block.main_axis", "block.hardness"];

/// How far from its nominal a size may plausibly lie, as a share of it; common practice, no source. Small lengths
/// (restrictors, clearances) and forces vary by more than any slip test could tell.
fn plausible(feature: &Feature) -> Option<f64> {
    let nominal = feature.nominal.filter(|n| *n > 0.0)?;
    match feature.dimension {
        Dimension::Length if nominal > 5e-3 => Some(0.05 * nominal),
        Dimension::Mass | Dimension::Volume => Some(0.2 * nominal),
        _ => None,
    }
}

/// Readings of one kind of place on one table: a row for each part, a column for each place on it.
struct Family<'a> {
    features: Vec<Vec<Option<&'a Feature>>>,
    readings: Vec<Vec<Option<&'a Reading>>>,
}

/// Suspicions among all readings that count, in the order of the tables.
pub fn slips(engine: &Engine) -> Vec<Slip> {
    let latest = latest_readings(engine, None);
    engine
        .catalogue
        .tables
        .iter()
        .flat_map(|table| families(engine, table, &latest))
        .flat_map(|family| of_family(engine, &family))
        .collect()
}

/// Would this reading, not yet stored, be a slip?
pub fn check_new(engine: &Engine, reading: &Reading) -> Option<Slip> {
    let feature = engine.catalogue.feature(&reading.feature)?;
    let table = &engine.catalogue.tables[feature.table];
    let latest = latest_readings(engine, Some(reading));
    families(engine, table, &latest)
        .iter()
        .flat_map(|family| of_family(engine, family))
        .find(|slip| slip.feature == reading.feature && slip.reading == reading.number)
}

/// The last reading of each place that counts; `new` takes the place of what was there.
fn latest_readings<'a>(engine: &'a Engine, new: Option<&'a Reading>) -> Vec<Option<&'a Reading>> {
    let mut latest = vec![None; engine.catalogue.features.len()];
    for reading in active_readings(&engine.readings).chain(new) {
        if let Some(place) = engine.catalogue.find(&reading.feature) {
            latest[place] = Some(reading);
        }
    }
    latest
}

/// Splits a table into its kinds of places.
fn families<'a>(engine: &'a Engine, table: &Table, latest: &[Option<&'a Reading>]) -> Vec<Family<'a>> {
    let features = &engine.catalogue.features;
    let mut kinds: Vec<&str> = table.cells.iter().flatten().flatten().map(|p| features[*p].family).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
        .into_iter()
        .map(|kind| {
            let of_kind = |p: &&Option<usize>| p.is_some_and(|p| features[p].family == kind);
            let places: Vec<Vec<Option<usize>>> =
                table.cells.iter().map(|row| row.iter().filter(of_kind).copied().collect()).collect();
            Family {
                features: places
                    .iter()
                    .map(|row| row.iter().map(|p| p.map(|p| &features[p])).collect())
                    .collect(),
                readings: places
                    .iter()
                    .map(|row| row.iter().map(|p| p.and_then(|p| latest[p])).collect())
                    .collect(),
            }
        })
        .collect()
}

fn of_family(engine: &Engine, family: &Family<'_>) -> Vec<Slip> {
    let Some(sample) = family.features.iter().flatten().flatten().next() else { return Vec::new() };
    let cell = |reading: &Reading| {
        let figures = gauge_figures(&engine.document, &reading.instrument, sample.gauge, sample.dimension);
        Cell { value: reading.value, expanded: 2.0 * standard_of(&figures, reading.value.abs()) }
    };
    let rows: Vec<Vec<Option<Cell>>> =
        family.readings.iter().map(|row| row.iter().map(|r| r.map(cell)).collect()).collect();
    let all = || family.readings.iter().flatten().flatten();
    let step = all().map(|r| step(&r.text, sample.dimension)).fold(f64::INFINITY, f64::min);
    let patterned = !NO_PATTERN.contains(&sample.family);
    if !step.is_finite() {
        return Vec::new();
    }
    let grid = Grid {
        rows: &rows,
        typed_in: typed_in(sample.dimension, all().map(|r| r.text.as_str())),
        step: if patterned { step } else { 0.0 },
        nominal: sample.nominal.filter(|n| *n > 0.0),
        plausible: plausible(sample).filter(|_| patterned),
        // Where no pattern is known, nothing says that two places are exchanged.
        swap_with: (!patterned).then_some(&[]),
    };
    suspicions(&grid).iter().filter_map(|s| slip(family, s)).collect()
}

fn slip(family: &Family<'_>, suspicion: &Suspicion) -> Option<Slip> {
    let reading = family.readings[suspicion.row][suspicion.column]?;
    let kind = match suspicion.kind {
        Kind::Inches => SlipKind::Inches,
        Kind::Millimetres => SlipKind::Millimetres,
        Kind::Thousandths => SlipKind::Thousandths,
        Kind::Micrometres => SlipKind::Micrometres,
        Kind::TenTimes | Kind::Tenth => SlipKind::TenTimes,
        Kind::Digit | Kind::Transposed => SlipKind::Digit,
        Kind::Swapped { other_row } => {
            SlipKind::Swapped { with: family.features[other_row][suspicion.column]?.path.clone() }
        }
        Kind::Unexplained => SlipKind::Implausible,
    };
    let likely = (kind != SlipKind::Implausible).then_some(suspicion.likely_value);
    Some(Slip {
        reading: reading.number,
        feature: reading.feature.clone(),
        slip: kind,
        read: reading.value,
        likely,
        confirmed: reading.confirmed,
    })
}

/// Unit in which most of the readings were typed.
fn typed_in<'a>(dimension: Dimension, texts: impl Iterator<Item = &'a str>) -> TypedIn {
    if dimension != Dimension::Length {
        return TypedIn::Other;
    }
    let (mut metric, mut inch) = (0, 0);
    for text in texts {
        match parse_quantity(text, dimension) {
            Ok((_, unit)) if matches!(unit.symbol, "in" | "thou") => inch += 1,
            Ok(_) => metric += 1,
            Err(_) => {}
        }
    }
    if inch > metric { TypedIn::Inches } else { TypedIn::Millimetres }
}

/// Last digit as typed, in SI: "89.098 mm" gives one micrometre.
fn step(text: &str, dimension: Dimension) -> f64 {
    let Ok((_, unit)) = parse_quantity(text, dimension) else { return f64::INFINITY };
    let number = text.trim().trim_end_matches(unit.symbol).trim();
    let decimals =
        number.split_once('.').map_or(0, |(_, d)| d.bytes().take_while(u8::is_ascii_digit).count());
    let tenth = (0..decimals).fold(1.0, |step, _| step / 10.0);
    tenth * unit.factor
}
