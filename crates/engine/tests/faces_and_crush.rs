//! Roughness of the faces that a gasket seals, and crush height of the shells: what each reading says about them.

use engine::document::parse_document;
use engine::findings::{ActionKind, Finding, Verdict};
use engine::{Assessment, Engine, assess};

const ENGINE: &str = r#"
crosshatch = 2
[layout]
arrangement = "inline"
cylinders = 2
[block]
material = "grey_iron"
[limits]
face_roughness = { max = "10 um", origin = "part_maker", source = "gasket sheet" }
crush = { min = "0.020 mm", max = "0.050 mm", origin = "part_maker", source = "shell sheet" }
[instruments.R1]
kind = "roughness_tester"
resolution = "0.01 um"
repeatability = "0.1 um"
[instruments.D1]
kind = "dial_indicator"
resolution = "0.001 mm"
repeatability = "0.001 mm"
[[operations]]
name = "skim"
kind = "deck_skim"
"#;

fn judged(more: &str) -> Assessment {
    let parsed = parse_document(&format!("{ENGINE}{more}"), "test.toml");
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    assess(&Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new()))
}

fn read(feature: &str, value: &str, gauge: &str, after: &str) -> String {
    format!(
        "[[readings]]\nfeature = \"{feature}\"\nvalue = \"{value}\"\ninstrument = \"{gauge}\"\ntemperature = \"20 °C\"\nafter = \"{after}\"\n"
    )
}

fn answer(id: &str, more: &str) -> Finding {
    judged(more).finding(id).unwrap_or_else(|| panic!("no finding {id}")).clone()
}

const FACES: [(&str, &str); 2] =
    [("deck_roughness/a", "block.deck_roughness.a"), ("head_roughness/a", "head.face_roughness.a")];

#[test]
fn a_face_is_good_bad_or_uncertain_by_its_roughness() {
    for (id, path) in FACES {
        // U is 0.2 um (k = 2, two scatters of 0.1): 8.0 is far inside, 12.0 far outside, 10.0 on the limit.
        for (value, verdict) in
            [("8.0 um", Verdict::Good), ("12.0 um", Verdict::Bad), ("10.0 um", Verdict::Uncertain)]
        {
            let found = answer(id, &read(path, value, "R1", "skim"));
            assert_eq!((found.verdict, found.stale), (verdict, false), "{id} at {value}");
        }
        let bad = answer(id, &read(path, "12.0 um", "R1", "skim"));
        assert_eq!(bad.actions.first().map(|a| a.kind), Some(ActionKind::Refit), "{id}");
    }
}

#[test]
fn an_unread_face_names_what_to_measure() {
    for (id, path) in FACES {
        let unread = answer(id, "");
        assert_eq!((unread.verdict, unread.missing), (Verdict::Unknown, vec![path.to_owned()]), "{id}");
    }
}

/// The cutter leaves a new face behind it, on the part that it cuts and on no other.
#[test]
fn a_skim_makes_the_roughness_of_its_own_face_stale() {
    let (deck, head) = (FACES[0], FACES[1]);
    assert!(answer(deck.0, &read(deck.1, "8.0 um", "R1", "")).stale, "read before the deck was skimmed");
    assert!(!answer(head.0, &read(head.1, "8.0 um", "R1", "")).stale, "the head was not touched");
    let head_skim = "[[operations]]\nname = \"head\"\nkind = \"head_skim\"\n";
    assert!(answer(head.0, &format!("{head_skim}{}", read(head.1, "8.0 um", "R1", ""))).stale);
    assert!(!answer(deck.0, &format!("{head_skim}{}", read(deck.1, "8.0 um", "R1", "skim"))).stale);
}

#[test]
fn crush_height_is_good_bad_or_unknown() {
    for (id, path) in [("main_crush/1", "main_shell.1.crush"), ("rod_crush/2", "rod_shell.2.crush")] {
        for (value, verdict) in [
            ("0.035 mm", Verdict::Good),
            ("0.010 mm", Verdict::Bad),
            ("0.062 mm", Verdict::Bad),
            ("0.050 mm", Verdict::Uncertain),
        ] {
            assert_eq!(answer(id, &read(path, value, "D1", "")).verdict, verdict, "{id} at {value}");
        }
        let unread = answer(id, "");
        assert_eq!((unread.verdict, unread.missing), (Verdict::Unknown, vec![path.to_owned()]), "{id}");
        let new = "[[operations]]\nname = \"new\"\nkind = \"new_shells\"\n";
        assert!(
            answer(id, &format!("{new}{}", read(path, "0.035 mm", "D1", ""))).stale,
            "other shells are in"
        );
    }
}

/// Without a limit and without a reading nobody is bothered with a question.
#[test]
fn without_a_limit_and_a_reading_nothing_is_asked() {
    let text =
        ENGINE.lines().filter(|l| !l.starts_with("crush") && !l.starts_with("face_")).collect::<Vec<_>>();
    let parsed = parse_document(&text.join("\n"), "test.toml");
    let all = assess(&Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new()));
    for id in ["deck_roughness/a", "head_roughness/a", "main_crush/1", "rod_crush/1"] {
        assert!(all.finding(id).is_none(), "{id}");
    }
}
