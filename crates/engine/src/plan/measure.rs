//! What to measure next: the readings that settle the most open verdicts, in the order of the hand, with the fewest
//! changes of gauge.

use super::MeasureGroup;
use crate::assess::Assessment;
use crate::document::InstrumentKind;
use crate::engine::Engine;
use crate::findings::{Finding, Verdict};
use crate::quantity::phrase_list;
use crate::readings::Slip;
use std::collections::{BTreeMap, BTreeSet};

/// Readings that an open finding waits for: what is missing, or what is there but cannot tell.
fn wanted(finding: &Finding) -> &[String] {
    match finding.verdict {
        // Without a limit no reading settles anything.
        Verdict::Unknown if finding.limit.is_some() => &finding.missing,
        // One that only follows from another is settled by that one.
        Verdict::Uncertain if finding.follows.is_none() => &finding.subject.features,
        _ if finding.stale => &finding.subject.features,
        _ => &[],
    }
}

/// A reading that looks like a slip is taken again alone: the others of its finding are not in question.
fn suspected<'a>(finding: &'a Finding, slips: &[Slip]) -> Option<&'a String> {
    let open = |path: &&String| slips.iter().any(|s| !s.confirmed && s.feature == **path);
    finding.subject.features.iter().find(open)
}

/// Groups by table, all tables of one gauge together; the gauge that settles the most comes first.
pub fn measure_next(engine: &Engine, assessment: &Assessment) -> Vec<MeasureGroup> {
    let catalogue = &engine.catalogue;
    let mut places: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    let mut settles: BTreeMap<usize, BTreeSet<&str>> = BTreeMap::new();
    for finding in &assessment.findings {
        let paths = match suspected(finding, &assessment.slips) {
            Some(path) if finding.verdict == Verdict::Uncertain => std::slice::from_ref(path),
            _ => wanted(finding),
        };
        for path in paths {
            let Some(place) = catalogue.find(path) else { continue };
            let table = catalogue.features[place].table;
            places.entry(table).or_default().insert(place);
            settles.entry(table).or_default().insert(&finding.id);
        }
    }
    let mut by_gauge: BTreeMap<InstrumentKind, usize> = BTreeMap::new();
    for (table, ids) in &settles {
        *by_gauge.entry(catalogue.tables[*table].gauge).or_default() += ids.len();
    }
    let mut tables: Vec<usize> = places.keys().copied().collect();
    tables.sort_by_key(|t| {
        let gauge = catalogue.tables[*t].gauge;
        (std::cmp::Reverse(by_gauge[&gauge]), gauge, *t)
    });
    tables.into_iter().map(|table| group(engine, table, &places[&table], &settles[&table])).collect()
}

fn group(engine: &Engine, table: usize, places: &BTreeSet<usize>, settles: &BTreeSet<&str>) -> MeasureGroup {
    let features = &engine.catalogue.features;
    let sheet_table = &engine.catalogue.tables[table];
    // Places are numbered row by row in the order of the hand, so the set is in that order already.
    let paths: Vec<String> = places.iter().map(|p| features[*p].path.clone()).collect();
    MeasureGroup {
        gauge: gauge_words(sheet_table.gauge, &paths),
        table: sheet_table.id,
        sheet: sheet_table.sheet.id(),
        text: group_words(engine, table, places),
        features: paths,
        settles: settles.iter().map(|s| (*s).to_owned()).collect(),
    }
}

/// What to take in the hand: where holes and shafts stand in one table, a micrometer reads only the shafts.
fn gauge_words(gauge: InstrumentKind, paths: &[String]) -> String {
    const HOLES: [&str; 5] = ["bore", "guide", "bucket_bore", "pin_bore", "small_end"];
    let is_hole = |path: &&String| path.rsplit('.').next().is_some_and(|end| HOLES.contains(&end));
    let holes = paths.iter().filter(is_hole).count();
    match (gauge, holes) {
        (InstrumentKind::Micrometer, n) if n > 0 && n == paths.len() => {
            InstrumentKind::BoreGauge.words().to_owned()
        }
        (InstrumentKind::Micrometer, 1..) => {
            format!("{} and {}", InstrumentKind::Micrometer.words(), InstrumentKind::BoreGauge.words())
        }
        _ => gauge.words().to_owned(),
    }
}

/// "Bores: 2, 3 and 4", or the single places when there are few.
fn group_words(engine: &Engine, table: usize, places: &BTreeSet<usize>) -> String {
    let features = &engine.catalogue.features;
    let sheet_table = &engine.catalogue.tables[table];
    if places.len() <= 2 {
        return phrase_list(&places.iter().map(|p| features[*p].label.clone()).collect::<Vec<_>>());
    }
    let total: usize = sheet_table.cells.iter().flatten().flatten().count();
    if places.len() == total {
        return format!("{}: all {total} places", sheet_table.title);
    }
    let rows: BTreeSet<usize> = places.iter().map(|p| features[*p].row).collect();
    let words: Vec<String> = rows.iter().map(|r| sheet_table.rows[*r].clone()).collect();
    format!(
        "{}, {} {}: {} places",
        sheet_table.title,
        sheet_table.row_name,
        phrase_list(&words),
        places.len()
    )
}
