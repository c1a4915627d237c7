//! What to measure next: the readings that settle the most open verdicts, in the order of the hand, with the fewest
//! changes of gauge.

use super::MeasureGroup;
use crate::assess::Assessment;
use crate::document::{InstrumentKind, inside_sentence};
use crate::engine::Engine;
use crate::findings::{Finding, Line, Verdict, lines_that_settle, rejected};
use crate::quantity::{counted, phrase_list};
use crate::readings::Slip;
use std::collections::{BTreeMap, BTreeSet};

/// Readings that an open finding waits for: what is missing, or what is there but cannot tell.
fn wanted(finding: &Finding) -> &[String] {
    match finding.verdict {
        // Without a limit no reading settles anything.
        Verdict::Unknown if finding.limit.is_some() => &finding.missing,
        // One that only follows from another is settled by that one.
        Verdict::Uncertain if finding.follows.is_none() => &finding.subject.features,
        // One chamber alone that is large is read again before anything is done about it.
        Verdict::Bad if finding.code == "chamber" && finding.waits_for().is_some() => {
            &finding.subject.features
        }
        // What it rests on beside its own places was cut: that is to be read, and not they.
        _ if finding.stale && !finding.missing.is_empty() => &finding.missing,
        _ if finding.stale => &finding.subject.features,
        _ => &[],
    }
}

/// A reading that looks like a slip is taken again alone: the others of its finding are not in question.
fn suspected<'a>(finding: &'a Finding, slips: &[Slip]) -> Option<&'a String> {
    let open = |path: &&String| slips.iter().any(|s| !s.confirmed && s.feature == **path);
    finding.subject.features.iter().find(open)
}

/// Groups by gauge and table, all tables of one gauge together; the gauge that settles the most comes first.
pub fn measure_next(engine: &Engine, assessment: &Assessment) -> Vec<MeasureGroup> {
    let catalogue = &engine.catalogue;
    let mut groups: BTreeMap<Line, Group<'_>> = BTreeMap::new();
    let not_used = rejected(&assessment.findings, catalogue);
    for finding in &assessment.findings {
        let paths = match suspected(finding, &assessment.slips) {
            Some(path) if finding.verdict == Verdict::Uncertain => std::slice::from_ref(path),
            _ => wanted(finding),
        };
        let mut lines: BTreeMap<Line, BTreeSet<usize>> = BTreeMap::new();
        for place in paths.iter().filter_map(|path| catalogue.find(path)) {
            let feature = &catalogue.features[place];
            // Nothing is measured on a part that is not used, nor through it.
            if !not_used.iter().any(|part| part.carries(feature)) {
                lines.entry((feature.gauge, feature.table)).or_default().insert(place);
            }
        }
        let all: Vec<Line> = lines.keys().copied().collect();
        // What is not read yet, or was cut since, takes every line of it.
        let (chosen, alone) = match finding.verdict {
            Verdict::Uncertain if !finding.stale => lines_that_settle(finding, &all),
            _ => (all.clone(), all.len() == 1),
        };
        for line in chosen {
            let group = groups.entry(line).or_default();
            group.places.extend(&lines[&line]);
            let ids = if alone { &mut group.settles } else { &mut group.with_others };
            ids.insert(&finding.id);
        }
    }
    let mut by_gauge: BTreeMap<InstrumentKind, usize> = BTreeMap::new();
    for ((gauge, _), group) in &groups {
        *by_gauge.entry(*gauge).or_default() += group.settles.len() + group.with_others.len();
    }
    let mut order: Vec<Line> = groups.keys().copied().collect();
    order.sort_by_key(|&(gauge, table)| (std::cmp::Reverse(by_gauge[&gauge]), gauge, table));
    order.into_iter().map(|line| measure_group(engine, line, &groups[&line])).collect()
}

/// What one line is for.
#[derive(Default)]
struct Group<'a> {
    places: BTreeSet<usize>,
    /// Findings that it settles.
    settles: BTreeSet<&'a str>,
    /// Findings that it settles together with other lines only.
    with_others: BTreeSet<&'a str>,
}

fn measure_group(engine: &Engine, at: Line, group: &Group<'_>) -> MeasureGroup {
    let (gauge, table) = at;
    let ids = |ids: &BTreeSet<&str>| ids.iter().map(|id| (*id).to_owned()).collect();
    let features = &engine.catalogue.features;
    let sheet_table = &engine.catalogue.tables[table];
    // Places are numbered row by row in the order of the hand, so the set is in that order already.
    let paths: Vec<String> = group.places.iter().map(|p| features[*p].path.clone()).collect();
    MeasureGroup {
        gauge: gauge.words().to_owned(),
        table: sheet_table.id,
        sheet: sheet_table.sheet.id(),
        text: group_words(engine, at, &group.places),
        features: paths,
        settles: ids(&group.settles),
        with_others: ids(&group.with_others),
    }
}

/// "bores, bore 2, 3 and 4: 12 places", or the single places when there are few.
fn group_words(engine: &Engine, (gauge, table): Line, places: &BTreeSet<usize>) -> String {
    let features = &engine.catalogue.features;
    let sheet_table = &engine.catalogue.tables[table];
    if places.len() <= 2 {
        return phrase_list(&places.iter().map(|p| features[*p].label.clone()).collect::<Vec<_>>());
    }
    let all = engine.catalogue.features_of(sheet_table);
    let total = all.clone().filter(|f| f.gauge == gauge).count();
    // Where other columns of the table take another gauge, the columns are named.
    let title = if all.clone().all(|f| f.gauge == gauge) {
        inside_sentence(&sheet_table.title)
    } else {
        let columns: BTreeSet<usize> = places.iter().map(|p| features[*p].column).collect();
        let words: Vec<String> = columns.iter().map(|c| sheet_table.columns[*c].replace('\n', " ")).collect();
        format!("{}, {}", inside_sentence(&sheet_table.title), phrase_list(&words))
    };
    if places.len() == total {
        return if total == 1 {
            format!("{title}: its one place")
        } else {
            format!("{title}: all {total} places")
        };
    }
    let rows: BTreeSet<usize> = places.iter().map(|p| features[*p].row).collect();
    let words: Vec<String> = rows.iter().map(|r| sheet_table.rows[*r].clone()).collect();
    let places = counted(places.len(), "place", "places");
    format!("{title}, {} {}: {places}", sheet_table.row_name, phrase_list(&words))
}
