//! What is missing for a run: each input in plain words, with lines that the document takes, in the order in which they are found.

use engine::document::{
    Code, CompressorLine, CoolerData, Document, Duct, FORMAT_VERSION, FuelKind, Turbocharger, parse_document,
};
use engine::power::{self, FoundIn, Specification};
use engine::quantity::UnitSystem;
use engine::{Engine, assess};

/// What is wrong with a line that cannot be read.
const UNREADABLE: [Code; 9] = [
    Code::Syntax,
    Code::DuplicateKey,
    Code::UnknownKey,
    Code::UnknownWord,
    Code::WrongType,
    Code::BareNumber,
    Code::WrongUnit,
    Code::UnknownUnit,
    Code::NotANumber,
];

fn specified(document: Document) -> Specification {
    let engine = Engine::new(document, Vec::new(), Vec::new());
    let assessment = assess(&engine);
    power::specify(&engine, &assessment)
}

/// Documents of which so much is known that each question comes up in one of them.
fn bare() -> Vec<Document> {
    let empty = Document::default();
    let mut begun = Document::default();
    begun.layout.cylinders = Some(4);
    begun.layout.intake_valves = Some(2);
    begun.layout.exhaust_valves = Some(2);
    begun.fuel.kind = Some(FuelKind::EthanolBlend);
    begun.intake.runner = vec![Duct::default()];
    begun.exhaust.primary = vec![Duct::default(), Duct::default()];
    let mut boosted = begun.clone();
    let compressor = vec![CompressorLine::default()];
    boosted.turbocharger =
        Some(Turbocharger { cooler: Some(CoolerData::default()), compressor, ..Turbocharger::default() });
    let mut mapped = begun.clone();
    mapped.turbocharger = Some(Turbocharger::default());
    mapped.cams.rocker_ratio = Some(1.5);
    vec![empty, begun, boosted, mapped]
}

#[test]
fn every_line_that_is_told_is_one_that_the_document_takes() {
    let mut told = 0;
    for document in bare() {
        for missing in &specified(document).missing {
            for units in [UnitSystem::Metric, UnitSystem::Inch] {
                let lines = missing.lines(units);
                assert!(!lines.is_empty(), "{} tells no line", missing.path);
                let text = lines.join("\n");
                assert!(text.contains('\u{2026}'), "{text}: a figure of somebody else's");
                // As a person fills it in: a figure for each …, and one of the words where they are told.
                let filled: Vec<String> = lines.iter().map(|line| filled(line)).collect();
                let document = format!("crosshatch = {FORMAT_VERSION}\n{}\n", filled.join("\n"));
                let parsed = parse_document(&document, "engine.toml");
                // Whether sizes go together is another question: each line stands alone here.
                let wrong: Vec<_> =
                    parsed.diagnostics.iter().filter(|d| UNREADABLE.contains(&d.code)).collect();
                // Read as it stands, it is refused: no figure is taken by itself.
                let bare = format!("crosshatch = {FORMAT_VERSION}\n{text}\n");
                assert!(
                    parse_document(&bare, "engine.toml").document.is_none(),
                    "{text} is taken as it stands"
                );
                assert!(wrong.is_empty(), "{document}{wrong:#?}");
                told += 1;
            }
        }
    }
    assert!(told > 60, "{told}");
}

fn filled(line: &str) -> String {
    match line.split_once("  # ") {
        Some((start, words)) if !start.starts_with('[') => {
            let first = words.split(", ").next().unwrap_or_default();
            start.replace('\u{2026}', first)
        }
        // Rising figures, as lists need them.
        _ => (1..5).fold(line.to_owned(), |line, n| line.replacen('\u{2026}', &n.to_string(), 1)),
    }
}

#[test]
fn what_is_missing_stands_in_the_order_in_which_it_is_found() {
    let specification = specified(bare().remove(1));
    let groups = specification.to_find();
    let order: Vec<FoundIn> = groups.iter().map(|(found, _)| *found).collect();
    assert_eq!(order, FoundIn::ALL);
    let count: usize = groups.iter().map(|(_, group)| group.len()).sum();
    assert_eq!(count, specification.missing.len(), "none is lost");
    let of = |path: &str| {
        let found = specification.missing.iter().find(|m| m.path.starts_with(path));
        found.unwrap_or_else(|| panic!("{path} is not missing")).found_in()
    };
    assert_eq!(of("exhaust.groups"), FoundIn::Engine);
    assert_eq!(of("valves.intake.lobe_centre"), FoundIn::Maker);
    assert_eq!(of("flow_bench.depression"), FoundIn::Bench);
    assert_eq!(of("burn.half_burned"), FoundIn::Handbook);
    // What stands in until it is stated is told in the same groups, and no factor of a calibration among it.
    let usual: Vec<&str> =
        specification.usual_figures().iter().flat_map(|(_, group)| group).map(|i| i.path.as_str()).collect();
    assert!(usual.contains(&"duty.ambient_pressure") && !usual.contains(&"power.friction"), "{usual:?}");
}

#[test]
fn each_question_is_a_sentence_and_the_bench_has_a_way_round() {
    for document in bare() {
        for missing in &specified(document).missing {
            let sentence = missing.sentence();
            assert!(sentence.chars().next().is_some_and(char::is_uppercase), "{sentence}");
            assert!(!sentence.ends_with('.') && !sentence.contains('_'), "{sentence}");
            if missing.path.starts_with("flow_bench.") && missing.path.rsplit('.').next() == Some("lift") {
                assert!(missing.instead().is_some_and(|words| words.contains("published = ")), "{sentence}");
            }
        }
    }
}
