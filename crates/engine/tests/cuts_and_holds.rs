//! What a cut leaves, what it is held by, and whether its target can be met: walls carried on through cuts, targets inside their
//! limits with the tolerance of the order, steps that wait for what an earlier one changes.

use engine::document::{OperationKind as K, parse_with_readings};
use engine::findings::{Finding, Verdict};
use engine::quantity::UnitSystem;
use engine::readings::{Operation, Reading};
use engine::{Assessment, Engine, Plan, assess, plan};

const MM: f64 = 1e-3;

const FOUR: &str = include_str!("../../../examples/hill-climb-four.toml");
const READ: &str = include_str!("../../../examples/hill-climb-four.readings.csv");

fn engine_of(text: &str, csv: &str, later: Vec<Reading>, operations: Vec<Operation>) -> Engine {
    let parsed = parse_with_readings(text, "engine.toml", csv, "readings.csv");
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    Engine::new(parsed.document.expect("no errors"), later, operations)
}

fn judged(text: &str, csv: &str) -> (Engine, Assessment, Plan) {
    let engine = engine_of(text, csv, Vec::new(), Vec::new());
    let assessment = assess(&engine);
    let plan = plan(&engine, &assessment);
    (engine, assessment, plan)
}

fn done(name: &str, kind: K, amount: Option<f64>) -> Operation {
    Operation {
        name: name.to_owned(),
        kind,
        only: Vec::new(),
        note: String::new(),
        amount,
        withdrawn: false,
        who: String::new(),
        when: String::new(),
    }
}

fn finding<'a>(assessment: &'a Assessment, id: &str) -> &'a Finding {
    assessment.finding(id).unwrap_or_else(|| panic!("{id} is asked"))
}

fn value(finding: &Finding) -> f64 {
    finding.value.expect("it has a value").value
}

fn labels(finding: &Finding) -> Vec<&str> {
    finding.working.inputs.iter().map(|i| i.label.as_str()).collect()
}

fn bore_reading(place: &str, value: f64, after: &str, number: u64) -> Reading {
    Reading {
        number,
        feature: format!("block.bore.1.{place}"),
        value,
        text: format!("{} mm", value / MM),
        instrument: String::new(),
        temperature: Some(293.15),
        after: after.to_owned(),
        held: Vec::new(),
        corrects: None,
        confirmed: true,
        withdrawn: false,
        who: String::new(),
        when: String::new(),
        note: String::new(),
    }
}

const PLACES: [&str; 6] = ["top.thrust", "top.along", "mid.thrust", "mid.along", "low.thrust", "low.along"];

/// A hone of 1 mm on diameter takes half a millimetre off each wall, whether it is stated or measured; where it is neither the
/// wall is stale and the bore is asked for.
#[test]
fn a_wall_is_carried_through_what_was_cut_since_its_map() {
    let before = assess(&engine_of(FOUR, READ, Vec::new(), Vec::new()));
    let wall = finding(&before, "wall/1");
    assert!(labels(wall).contains(&"bore 1 as measured, mean"), "{:?}", labels(wall));

    let stated = assess(&engine_of(FOUR, READ, Vec::new(), vec![done("hone 2", K::Hone, Some(1.0 * MM))]));
    let cut = finding(&stated, "wall/1");
    assert!((value(cut) - (value(wall) - 0.5 * MM)).abs() < 1e-9, "{} of {}", value(cut), value(wall));
    assert!(cut.value.expect("a value").predicted && !cut.stale);
    assert!(
        labels(cut).iter().any(|l| *l == "bore 1 as measured after first hone, mean, and hone 2 taken off since"),
        "{:?}",
        labels(cut)
    );
    assert!(cut.working.contributions.iter().any(|(name, _)| name == "amounts taken off, as stated"));

    let unsaid = assess(&engine_of(FOUR, READ, Vec::new(), vec![done("hone 2", K::Hone, None)]));
    let lost = finding(&unsaid, "wall/1");
    assert!(lost.stale, "{lost:#?}");
    assert!(lost.missing.contains(&"block.bore.1.mid.thrust".to_owned()), "{:?}", lost.missing);
    assert!(lost.why.print(UnitSystem::Metric).contains("read the bore again"));

    let read = (1000..).zip(PLACES).map(|(n, place)| bore_reading(place, 90.1 * MM, "hone 2", n)).collect();
    let measured = assess(&engine_of(FOUR, READ, read, vec![done("hone 2", K::Hone, None)]));
    let known = finding(&measured, "wall/1");
    assert!(!known.stale);
    // Mapped in the bore as found, 88.600: 1.5 mm on diameter.
    let thinnest = known.working.inputs.iter().filter(|i| i.feature.is_some()).map(|i| i.value.value);
    let expected = thinnest.fold(f64::INFINITY, f64::min) - 0.75 * MM;
    assert!((value(known) - expected).abs() < 1e-6, "{} {expected}", value(known));
}

/// An operation that was taken back took nothing off; a bore that is measured but not yet at its finish is still to be cut there.
#[test]
fn a_wall_knows_what_is_still_to_be_cut() {
    let before = assess(&engine_of(FOUR, READ, Vec::new(), Vec::new()));
    let taken_back = Operation { withdrawn: true, ..done("hone 2", K::Hone, Some(1.0 * MM)) };
    let after = assess(&engine_of(FOUR, READ, Vec::new(), vec![taken_back]));
    assert_eq!(value(finding(&after, "wall/1")), value(finding(&before, "wall/1")));

    let wider = FOUR.replace("bore = \"89.100 mm\"  ", "bore = \"89.600 mm\"  ").replace("[limits.bore]\nmin = \"89.090 mm\"\nmax = \"89.110 mm\"\ntarget = \"89.100 mm\"", "[limits.bore]\nmin = \"89.590 mm\"\nmax = \"89.610 mm\"\ntarget = \"89.600 mm\"");
    let to_come = assess(&engine_of(&wider, READ, Vec::new(), Vec::new()));
    let wall = finding(&to_come, "wall/1");
    assert!(labels(wall).contains(&"finish bore, nominal, taken as exact"), "{:?}", labels(wall));
    let thinnest = wall.working.inputs.iter().filter(|i| i.feature.is_some()).map(|i| i.value.value);
    assert!((value(wall) - (thinnest.fold(f64::INFINITY, f64::min) - 0.5 * MM)).abs() < 1e-9);
    assert_ne!(wall.verdict, Verdict::Unknown);
}
