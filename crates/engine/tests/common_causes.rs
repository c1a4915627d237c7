//! Uncertain findings that have one cause in common say so; what stops the build never does.

use engine::document::parse_with_readings;
use engine::findings::{CommonCause, Verdict, common_cause};
use engine::sizes::Doubt;
use engine::{Assessment, Engine, assess};
use std::fs;
use std::path::Path;

/// The demo four, with one column of its readings emptied or written over.
fn four(column: &str, with: &str) -> (Engine, Assessment) {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let text = fs::read_to_string(examples.join("hill-climb-four.toml")).expect("the document");
    let csv = fs::read_to_string(examples.join("hill-climb-four.readings.csv")).expect("its readings");
    let head: Vec<&str> = csv.lines().next().expect("a head").split(',').collect();
    let place = head.iter().position(|name| *name == column);
    let written: Vec<String> = csv
        .lines()
        .enumerate()
        .map(|(i, line)| {
            let mut fields: Vec<&str> = line.splitn(head.len(), ',').collect();
            if let Some(place) = place.filter(|place| i > 0 && !fields[*place].is_empty()) {
                fields[place] = with;
            }
            fields.join(",")
        })
        .collect();
    let parsed = parse_with_readings(&text, "four", &written.join("\n"), "readings");
    let engine = Engine::new(parsed.document.expect("a document"), Vec::new(), Vec::new());
    let assessment = assess(&engine);
    (engine, assessment)
}

fn causes(engine: &Engine, assessment: &Assessment, code: &str) -> Vec<Option<CommonCause>> {
    let uncertain = assessment.findings.iter().filter(|f| f.code == code && f.verdict == Verdict::Uncertain);
    uncertain.map(|finding| common_cause(engine, assessment, finding)).collect()
}

#[test]
fn a_temperature_that_nobody_stated_is_the_cause_where_it_makes_most_of_the_uncertainty() {
    let (engine, assessment) = four("temperature", "");
    let found = causes(&engine, &assessment, "piston_clearance");
    assert_eq!(found, vec![Some(CommonCause::Doubt(Doubt::TemperatureNotSaid)); 4]);
    let cause = found[0].clone().expect("one");
    assert_eq!(cause.words(&engine), "no temperature given: 20 °C ± 5 K taken");
    // With the temperatures the two that are uncertain are so for another reason.
    let (engine, assessment) = four("", "");
    let found = causes(&engine, &assessment, "piston_clearance");
    assert_eq!(found.len(), 2);
    assert!(!found.contains(&Some(CommonCause::Doubt(Doubt::TemperatureNotSaid))), "{found:?}");
}

#[test]
fn a_gauge_that_nobody_named_and_how_a_part_was_held_are_causes() {
    let (engine, assessment) = four("instrument", "");
    let found = causes(&engine, &assessment, "ring_side_clearance");
    assert_eq!(found, vec![Some(CommonCause::Doubt(Doubt::GaugeNotSaid)); 8]);
    let (engine, assessment) = four("held", "free");
    let found = causes(&engine, &assessment, "bore_size");
    assert_eq!(found.len(), 4);
    for cause in found {
        let words = cause.expect("a cause").words(&engine);
        assert_eq!(words, "read without the torque plate");
    }
}

#[test]
fn what_stops_the_build_has_no_cause_to_be_folded_under() {
    for (column, with) in [("temperature", ""), ("instrument", ""), ("held", "free")] {
        let (engine, assessment) = four(column, with);
        let other = assessment.findings.iter().filter(|f| f.verdict != Verdict::Uncertain);
        let mut other = other.filter(|f| common_cause(&engine, &assessment, f).is_some());
        assert!(other.next().is_none());
        assert!(assessment.findings.iter().any(engine::findings::Finding::stops));
    }
}

/// Each finding names its own places; the cause that they share names only the gauge.
#[test]
fn a_gauge_that_cannot_see_it_is_one_cause_for_all_its_places() {
    let (engine, assessment) = four("instrument", "B1");
    let found = causes(&engine, &assessment, "pin_size");
    assert_eq!(found.len(), 4);
    let cause = found[0].clone().expect("one");
    assert!(found.iter().all(|other| other.as_ref() == Some(&cause)), "{found:?}");
    assert_eq!(cause.to_do(&engine), "Read with a gauge that can see it: B1 is a bore gauge, which cannot");
}
