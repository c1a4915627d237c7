//! Readings that are probably slips: hands each family of places to the numeric search and puts the answer into words.

use super::gauges::{GaugeFigures, figures_at, standard_of};
use super::size::{against_the_cut, disagreement};
use crate::document::{Document, Shells, Target};
use crate::engine::Engine;
use crate::features::{Feature, Table};
use crate::quantity::{Dimension, Unit, parse_quantity};
use crate::readings::{Reading, Slip, SlipKind, active_readings, is_stale};
use mechanics::metrology::slips::{Cell, Kind, Suspicion, Table as Grid, TypedIn, suspicions};
use std::collections::HashMap;

/// Places whose readings follow no row-and-column pattern: a core shift is not a slip. Only unit and decimal point are
/// looked at there.
const NO_PATTERN: [&str; 5] =
    ["block.wall", "block.deck_face", "head.face", "block.main_axis", "block.hardness"];

/// Families whose columns are different quantities: each column is compared with itself only.
const EACH_COLUMN: [&str; 1] = ["block.bore_surface"];

/// The limits that a reading is judged by as it stands, by family and the end of the path; of valves those of both sides.
fn limits_of(feature: &Feature) -> &'static [&'static str] {
    match (feature.family, feature.path.rsplit('.').next()) {
        ("block.bore_surface", Some("rk")) => &["bore_rk"],
        ("block.bore_surface", Some("rpk")) => &["bore_rpk"],
        ("block.bore_surface", Some("rvk")) => &["bore_rvk"],
        ("ring.top.gap", _) => &["top_ring_gap"],
        ("ring.second.gap", _) => &["second_ring_gap"],
        ("ring.rail.gap", _) => &["rail_gap"],
        ("ring.side_clearance", _) => &["ring_side_clearance"],
        ("rod.side_clearance", _) => &["rod_side_clearance"],
        ("crank.end_float", _) => &["end_float"],
        ("crank.run_out", _) => &["crank_run_out"],
        ("main_bearing.clearance", _) => &["main_clearance"],
        ("rod_bearing.clearance", _) => &["rod_clearance"],
        ("valve.lash" | "valve.pushrod_lash", _) => &["lash_intake", "lash_exhaust"],
        ("valve.seat_width", _) => &["seat_width_intake", "seat_width_exhaust"],
        ("valve.seat_run_out", _) => &["seat_run_out"],
        _ => &[],
    }
}

/// Ring gaps of race engines as a share of the bore, least and greatest; common practice, no source.
const GAP_OF_BORE: (f64, f64) = (0.0035, 0.0075);
/// The greatest cold lash, m; common practice, no source.
const GREATEST_LASH: f64 = 0.8e-3;

/// Sizes of the document between which such a reading lies, where its place has no nominal of its own.
fn stated_about(document: &Document, feature: &Feature) -> Vec<f64> {
    let nominal = |target: Option<&Target>| target.and_then(|t| t.nominal).map(|n| n.0);
    let walls = |shells: &Shells| shells.grades.values().map(|wall| wall.0).collect();
    let all = |sizes: [Option<f64>; 2]| sizes.into_iter().flatten().collect();
    match feature.family {
        "valve.stem" | "valve.guide" => {
            all([document.valves.intake.stem, document.valves.exhaust.stem].map(|stem| stem.map(|s| s.0)))
        }
        "main_bearing.fitted_bore" => {
            all([document.crank.main_journal.as_ref(), document.block.main_housing.as_ref()].map(nominal))
        }
        "rod_bearing.fitted_bore" => {
            all([document.crank.pin_journal.as_ref(), document.rods.big_end.as_ref()].map(nominal))
        }
        "main_shell" => walls(&document.main_shells),
        "rod_shell" => walls(&document.rod_shells),
        _ => Vec::new(),
    }
}

/// How many times beyond its limit such a place is still found in an engine; common practice, no source.
const TROUBLE: f64 = 2.5;

/// What such a reading is about where neither a nominal nor its neighbours say it: the stated limits, else sizes of the document, else
/// what is usual of a ring gap and of a lash.
fn range(document: &Document, feature: &Feature) -> Option<(f64, f64)> {
    let limits = limits_of(feature).iter().filter_map(|name| document.limits.given(name));
    let ends = limits.map(|limit| limit.si()).filter(|(min, max, _)| min.is_some() || max.is_some());
    let about = stated_about(document, feature);
    let stated = ends
        .map(|(min, max, _)| (min.unwrap_or(0.0), max.unwrap_or(f64::INFINITY)))
        .chain(about.into_iter().map(|size| (size, size)))
        .reduce(|one, two| (one.0.min(two.0), one.1.max(two.1)));
    let lash = matches!(feature.family, "valve.lash" | "valve.pushrod_lash");
    match stated {
        // However tight it is, a tight valve is a trouble and no slip.
        Some((_, most)) if lash => Some((0.0, most)),
        None if lash => Some((0.0, GREATEST_LASH)),
        // A crank without end float and a seat that runs out are troubles: only what no engine has is a point in the wrong place.
        Some((least, most)) if feature.family == "crank.end_float" => Some((least / TROUBLE, most)),
        Some((_, most)) if matches!(feature.family, "valve.seat_run_out" | "crank.run_out") => {
            Some((0.0, most * TROUBLE))
        }
        Some(range) => Some(range),
        None if matches!(feature.family, "ring.top.gap" | "ring.second.gap" | "ring.rail.gap") => {
            let bore = document.layout.bore?.0;
            Some((GAP_OF_BORE.0 * bore, GAP_OF_BORE.1 * bore))
        }
        None => None,
    }
}

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

/// How far one size of a part may stand from its others as a share of it, where those agree, before it is asked about; common practice,
/// no source: a bore or journal that alone is so far off at one place, 0.07 mm in 89 mm, is to be looked at before it is worked by.
const ALIKE: f64 = 0.0008;
/// How far the ends of a piston may stand apart at its top dead centre, m; common practice, no source: more is a bent rod, a pin bore or
/// a deck out of square, or a slip.
pub const ENDS_ALIKE: f64 = 0.1e-3;

/// How far the readings of a row of such places may stand from each other; None where they are not of one size.
fn alike(family: &Family<'_>) -> Option<f64> {
    let nominals = |row: &Vec<Option<&Feature>>| {
        let mut nominals =
            row.iter().flatten().map(|f| f.nominal.filter(|n| f.dimension == Dimension::Length && *n > 5e-3));
        let first = nominals.next()??;
        nominals.all(|n| n.is_some_and(|n| (n - first).abs() <= 1e-9)).then_some(first)
    };
    let rows: Option<Vec<f64>> =
        family.features.iter().filter(|row| row.iter().any(Option::is_some)).map(nominals).collect();
    let greatest = rows?.into_iter().fold(0.0, f64::max);
    (greatest > 0.0).then_some(ALIKE * greatest)
}

/// Readings of one kind of place on one table: a row for each part, a column for each place on it.
struct Family<'a> {
    features: Vec<Vec<Option<&'a Feature>>>,
    readings: Vec<Vec<Option<&'a Reading>>>,
}

/// Suspicions among all readings that count, in the order of the tables.
pub fn slips(engine: &Engine) -> Vec<Slip> {
    let latest = latest_readings(engine, None);
    let mut slips: Vec<Slip> = engine
        .catalogue
        .tables
        .iter()
        .flat_map(|table| families(engine, table, &latest))
        .flat_map(|family| of_family(engine, &family))
        .collect();
    let add = |slips: &mut Vec<Slip>, found: Vec<Slip>| {
        let new: Vec<Slip> =
            found.into_iter().filter(|s| !slips.iter().any(|known| known.reading == s.reading)).collect();
        slips.extend(new);
    };
    let again = read_again(engine, &latest);
    for reading in &again {
        if let Some(slip) = slips.iter_mut().find(|slip| slip.reading == reading.number) {
            *slip = as_the_first_says(engine, reading, slip.clone());
        }
    }
    slips.retain(|slip| {
        slip.confirmed
            || !again.iter().any(|r| r.number == slip.reading && agrees_with_a_confirmed(engine, r))
    });
    add(&mut slips, again.iter().filter_map(|reading| differs(engine, reading)).collect());
    add(&mut slips, again.iter().filter_map(|reading| wrong_way(engine, reading)).collect());
    // A question stays until a person answers it, also where the neighbours that raised it are gone.
    let open: Vec<Slip> = engine
        .asked
        .iter()
        .filter(|asked| !slips.iter().any(|s| s.reading == asked.reading))
        .filter(|asked| waits_for_an_answer(engine, asked))
        .cloned()
        .collect();
    slips.extend(open);
    slips
}

/// Does a question still wait for a person? Not where its reading was confirmed, corrected or taken back; nor where an operation has
/// moved since what it read, or the readings that it contradicts were corrected or taken back.
pub fn waits_for_an_answer(engine: &Engine, slip: &Slip) -> bool {
    let asked_about = |r: &&Reading| r.number == slip.reading && r.feature == slip.feature && !r.confirmed;
    let Some(reading) = active_readings(&engine.readings).find(asked_about) else { return false };
    let moved = engine
        .catalogue
        .find(&reading.feature)
        .is_none_or(|place| is_stale(reading, &engine.catalogue.features[place], &engine.operations));
    // Two readings of one place contradict each other no more once the other one was corrected or taken back.
    let settled = match slip.slip {
        SlipKind::Differs { .. } => disagreement(engine, reading).is_none(),
        SlipKind::AgainstTheCut { .. } => against_the_cut(engine, reading).is_none(),
        _ => false,
    };
    !moved && !settled
}

/// The last readings of places that were read more than once: again in one state, or before and after a cut.
fn read_again<'a>(engine: &'a Engine, latest: &[Option<&'a Reading>]) -> Vec<&'a Reading> {
    let mut count = vec![0_usize; latest.len()];
    for place in active_readings(&engine.readings).filter_map(|r| engine.catalogue.find(&r.feature)) {
        count[place] += 1;
    }
    latest.iter().zip(count).filter(|(_, n)| *n > 1).filter_map(|(reading, _)| *reading).collect()
}

/// Does a reading say again what a person has confirmed at its place? Then nobody is asked a second time.
fn agrees_with_a_confirmed(engine: &Engine, reading: &Reading) -> bool {
    let Some(feature) = engine.catalogue.feature(&reading.feature) else { return false };
    let confirmed = active_readings(&engine.readings)
        .filter(|r| r.feature == reading.feature && r.number < reading.number && r.confirmed)
        .any(|r| reading.corrects != Some(r.number) && !is_stale(r, feature, &engine.operations));
    confirmed && disagreement(engine, reading).is_none()
}

/// A second reading that the first one contradicts.
fn differs(engine: &Engine, reading: &Reading) -> Option<Slip> {
    let found = disagreement(engine, reading)?;
    Some(without_a_likely_value(reading, SlipKind::Differs { from: found.before }))
}

/// Of a second reading the first one says more than the neighbours, save that a unit or a point is plain.
fn as_the_first_says(engine: &Engine, reading: &Reading, slip: Slip) -> Slip {
    let is_plain = matches!(
        slip.slip,
        SlipKind::Inches
            | SlipKind::Millimetres
            | SlipKind::Micrometres
            | SlipKind::Thousandths
            | SlipKind::TenTimes
    );
    if is_plain { slip } else { differs(engine, reading).unwrap_or(slip) }
}

/// A reading on the wrong side of what was read before a cut.
fn wrong_way(engine: &Engine, reading: &Reading) -> Option<Slip> {
    let (found, operations) = against_the_cut(engine, reading)?;
    Some(without_a_likely_value(reading, SlipKind::AgainstTheCut { from: found.before, operations }))
}

fn without_a_likely_value(reading: &Reading, slip: SlipKind) -> Slip {
    Slip {
        reading: reading.number,
        feature: reading.feature.clone(),
        slip,
        read: reading.value,
        likely: None,
        confirmed: reading.confirmed,
    }
}

/// Which way wear moves the size of such a place: a journal gets smaller, a bore and a clearance larger.
fn sense_of_wear(family: &str) -> Option<f64> {
    Some(match family {
        "crank.main" | "crank.pin" | "cam.journal" | "piston.gauge" | "pin.diameter" | "valve.stem"
        | "valve.bucket" | "main_shell" | "rod_shell" => -1.0,
        "block.bore"
        | "rod.small_end"
        | "rod.big_end"
        | "piston.pin_bore"
        | "cam.bore"
        | "valve.guide"
        | "valve.bucket_bore"
        | "main_bearing.fitted_bore"
        | "rod_bearing.fitted_bore"
        | "ring.top.gap"
        | "ring.second.gap"
        | "ring.rail.gap"
        | "ring.side_clearance"
        | "rod.side_clearance"
        | "crank.end_float"
        | "main_bearing.clearance"
        | "rod_bearing.clearance"
        | "valve.seat_width"
        | "valve.seat_run_out"
        | "crank.run_out" => 1.0,
        _ => return None,
    })
}

/// Can what looks like a wrong digit be wear as well: a journal smaller, a bore larger than the others say? A unit or a decimal point
/// cannot.
pub fn could_be_wear(feature: &Feature, slip: &Slip) -> bool {
    let apart = slip.likely.map_or(0.0, |likely| slip.read - likely);
    slip.slip == SlipKind::Digit && sense_of_wear(feature.family).is_some_and(|sense| sense * apart > 0.0)
}

/// Would this reading, not yet stored, be a slip?
pub fn check_new(engine: &Engine, reading: &Reading) -> Option<Slip> {
    let feature = engine.catalogue.feature(&reading.feature)?;
    if agrees_with_a_confirmed(engine, reading) {
        return wrong_way(engine, reading);
    }
    let table = &engine.catalogue.tables[feature.table];
    let latest = latest_readings(engine, Some(reading));
    families(engine, table, &latest)
        .iter()
        .flat_map(|family| of_family(engine, family))
        .find(|slip| slip.feature == reading.feature && slip.reading == reading.number)
        .map(|slip| as_the_first_says(engine, reading, slip))
        .or_else(|| differs(engine, reading))
        .or_else(|| wrong_way(engine, reading))
}

/// The last reading of each place that counts; `new` takes the place of what was there. What was read before an operation
/// moved the place says nothing of what is read after it.
fn latest_readings<'a>(engine: &'a Engine, new: Option<&'a Reading>) -> Vec<Option<&'a Reading>> {
    let mut latest = vec![None; engine.catalogue.features.len()];
    for reading in active_readings(&engine.readings).chain(new) {
        if let Some(place) = engine.catalogue.find(&reading.feature)
            && !is_stale(reading, &engine.catalogue.features[place], &engine.operations)
        {
            latest[place] = Some(reading);
        }
    }
    latest
}

/// Splits a table into its kinds of places.
fn families<'a>(engine: &'a Engine, table: &Table, latest: &[Option<&'a Reading>]) -> Vec<Family<'a>> {
    let features = &engine.catalogue.features;
    let kind_of = |p: usize| {
        let family = features[p].family;
        (family, EACH_COLUMN.contains(&family).then_some(features[p].column))
    };
    let mut kinds: Vec<_> = table.cells.iter().flatten().flatten().map(|p| kind_of(*p)).collect();
    kinds.sort_unstable();
    kinds.dedup();
    kinds
        .into_iter()
        .map(|kind| {
            let of_kind = |p: &&Option<usize>| p.is_some_and(|p| kind_of(p) == kind);
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

fn of_family<'a>(engine: &'a Engine, family: &Family<'a>) -> Vec<Slip> {
    let Some(sample) = family.features.iter().flatten().flatten().next() else { return Vec::new() };
    let mut gauges: HashMap<&str, GaugeFigures> = HashMap::new();
    let mut cell = |reading: &'a Reading| {
        let figures = gauges
            .entry(&reading.instrument)
            .or_insert_with(|| figures_at(&engine.document, &reading.instrument, sample));
        Cell { value: reading.value, expanded: 2.0 * standard_of(figures, reading.value.abs()) }
    };
    let rows: Vec<Vec<Option<Cell>>> =
        family.readings.iter().map(|row| row.iter().map(|r| r.map(&mut cell)).collect()).collect();
    let typed: Vec<(&str, &Unit)> = family
        .readings
        .iter()
        .flatten()
        .flatten()
        .filter_map(|r| Some((r.text.as_str(), parse_quantity(&r.text, sample.dimension).ok()?.1)))
        .collect();
    let Some(step) = typed.iter().map(|(text, unit)| step(text, unit)).reduce(f64::min) else {
        return Vec::new();
    };
    let patterned = !NO_PATTERN.contains(&sample.family);
    let grid = Grid {
        rows: &rows,
        typed_in: typed_in(sample.dimension, typed.iter().map(|(_, unit)| *unit)),
        step: if patterned { step } else { 0.0 },
        nominal: sample.nominal.filter(|n| *n > 0.0),
        plausible: plausible(sample).filter(|_| patterned),
        range: range(&engine.document, sample),
        alike: alike(family).filter(|_| patterned),
        // Where no pattern is known, nothing says that two places are exchanged.
        swap_with: (!patterned).then_some(&[]),
    };
    let found = suspicions(&grid);
    let cocked = if sample.family == "cylinder.below_deck" { ends_apart(&rows, &found) } else { Vec::new() };
    found.iter().chain(&cocked).filter_map(|s| slip(family, s)).collect()
}

/// Pistons whose ends stand apart: of both ends the one farther from all the others is asked about.
fn ends_apart(rows: &[Vec<Option<Cell>>], found: &[Suspicion]) -> Vec<Suspicion> {
    let usual = |own: usize| {
        let mut others: Vec<f64> = (0..rows.len())
            .filter(|row| *row != own)
            .flat_map(|row| rows[row].iter().flatten().map(|cell| cell.value))
            .collect();
        others.sort_by(f64::total_cmp);
        others.get(others.len() / 2).copied()
    };
    let asked = |row: usize| {
        let [Some(front), Some(rear)] = rows[row][..] else { return None };
        let (apart, expanded) = ((front.value - rear.value).abs(), front.expanded.max(rear.expanded));
        let known = found.iter().any(|s| s.row == row);
        (apart > ENDS_ALIKE.max(expanded) && !known).then_some(())?;
        let away = |cell: Cell| usual(row).map_or(0.0, |usual| (cell.value - usual).abs());
        let column = usize::from(away(rear) > away(front));
        let likely_value = if column == 0 { rear.value } else { front.value };
        let strength = apart / expanded.max(f64::MIN_POSITIVE);
        Some(Suspicion { row, column, kind: Kind::Apart, likely_value, strength })
    };
    (0..rows.len()).filter_map(asked).collect()
}

fn slip(family: &Family<'_>, suspicion: &Suspicion) -> Option<Slip> {
    let reading = family.readings[suspicion.row][suspicion.column]?;
    let kind = match suspicion.kind {
        Kind::Inches => SlipKind::Inches,
        Kind::Millimetres => SlipKind::Millimetres,
        Kind::Thousandths => SlipKind::Thousandths,
        Kind::Micrometres => SlipKind::Micrometres,
        Kind::TenTimes | Kind::Tenth | Kind::SeveralPlaces => SlipKind::TenTimes,
        Kind::Digit | Kind::Transposed => SlipKind::Digit,
        Kind::Swapped { other_row } => {
            SlipKind::Swapped { with: family.features[other_row][suspicion.column]?.path.clone() }
        }
        Kind::Apart => SlipKind::Apart { from: suspicion.likely_value },
        Kind::Unexplained => SlipKind::Implausible,
    };
    let is_guess = !matches!(kind, SlipKind::Apart { .. } | SlipKind::Implausible);
    let likely = is_guess.then_some(suspicion.likely_value);
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
fn typed_in<'a>(dimension: Dimension, units: impl Iterator<Item = &'a Unit>) -> TypedIn {
    if dimension != Dimension::Length {
        return TypedIn::Other;
    }
    let (inch, metric): (Vec<&Unit>, Vec<&Unit>) =
        units.partition(|unit| matches!(unit.symbol, "in" | "thou"));
    if inch.len() > metric.len() { TypedIn::Inches } else { TypedIn::Millimetres }
}

/// Last digit as typed, in SI: "89.098 mm" gives one micrometre.
fn step(text: &str, unit: &Unit) -> f64 {
    let number = text.trim().trim_end_matches(unit.symbol).trim();
    let decimals =
        number.split_once('.').map_or(0, |(_, d)| d.bytes().take_while(u8::is_ascii_digit).count());
    let tenth = (0..decimals).fold(1.0, |step, _| step / 10.0);
    tenth * unit.factor
}
