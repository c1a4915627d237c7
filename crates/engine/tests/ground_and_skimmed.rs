//! Work that takes metal off for good: a journal that was ground has a range of its own, and a skim counts with what it takes.
//! The engine is the demo four (invented) with readings and limits changed.

mod demo;

use demo::{FOUR, Job};
use engine::document::{OperationKind as K, parse_document};
use engine::findings::Verdict;
use engine::quantity::UnitSystem;
use engine::sizes::alpha_of;

const V8: (&str, &str) = (
    include_str!("../../../examples/pushrod-v8.toml"),
    include_str!("../../../examples/pushrod-v8.readings.csv"),
);

const GRIND: &str = "\n[[operations]]\nname = \"grind\"\nkind = \"regrind\"\nonly = [\"crank.pin.2\"]\namount = \"0.22 mm\"\n";
const RANGE: &str = "\n[crank.ground_pins]\n2 = { nominal = \"46.235 mm\", min = \"46.228 mm\", max = \"46.240 mm\", origin = \"builder\" }\n";

/// The four after its worn pin was ground and read again.
fn ground(more: &str) -> Job {
    let (text, csv) = FOUR;
    let row = |line: &str| match line.strip_prefix("crank.pin.2.") {
        Some(rest) => {
            let fields: Vec<&str> = rest.split(',').collect();
            format!(
                "crank.pin.2.{},46.235 mm,{},{},grind,{}",
                fields[0],
                fields[2],
                fields[3],
                fields[5..].join(",")
            )
        }
        None => line.to_owned(),
    };
    let csv: Vec<String> = csv.lines().map(row).collect();
    Job::of(&format!("{text}{GRIND}{more}"), &csv.join("\n"))
}

#[test]
fn a_ground_journal_asks_for_its_range_and_is_judged_by_it() {
    let before = Job::of(FOUR.0, FOUR.1);
    let find = |job: &Job| job.assessment.finding("pin_size/2").expect("a finding").clone();
    assert_eq!(find(&before).verdict, Verdict::Bad, "worn");
    // Ground, and nobody has said to which size: the drawing tells nothing any more.
    let asked = find(&ground(""));
    assert_eq!(asked.verdict, Verdict::Unknown, "{asked:?}");
    assert!(asked.missing.iter().any(|m| m.contains("crank.ground_pins.2")), "{:?}", asked.missing);
    let judged = find(&ground(RANGE));
    assert_eq!(judged.verdict, Verdict::Good, "{judged:?}");
    // The other pins keep the range of the drawing.
    let other = ground(RANGE);
    assert_eq!(other.assessment.finding("pin_size/1").expect("a finding").verdict, Verdict::Good);
}

#[test]
fn a_skim_deeper_than_the_stock_waits_for_the_maker_and_counts_in_the_choice() {
    let (text, csv) = FOUR;
    // A ridge of 0.1 mm across the deck between bores 2 and 3.
    let ridge = csv
        .replace("block.deck_face.a.in.3,0.004", "block.deck_face.a.in.3,0.104")
        .replace("block.deck_face.a.mid.3,0.005", "block.deck_face.a.mid.3,0.105")
        .replace("block.deck_face.a.out.3,0.004", "block.deck_face.a.out.3,0.104");
    let plain = Job::of(text, csv);
    let within = Job::of(text, &ridge);
    let beyond = Job::of(&text.replace("deck_stock = \"0.15 mm\"", "deck_stock = \"0.05 mm\""), &ridge);
    let skim = |job: &Job| job.plan.cuts.iter().find(|c| c.operation == K::DeckSkim).expect("a skim").clone();
    let deep = skim(&beyond);
    assert!(deep.only_if.is_some_and(|only_if| only_if.contains("maker of the part allows")), "{deep:?}");
    assert!(deep.text.print(beyond.engine.units()).contains("deeper than the 0.050 mm"), "{deep:?}");
    assert!(skim(&within).stock_left.is_some_and(|left| left > 0.0 && left < 0.06e-3), "{:?}", skim(&within));
    // What is said of ratio and quench is of the deck after the skim.
    let said = |job: &Job| {
        let choice = job.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("a choice");
        let placed: Vec<String> =
            choice.placements.iter().map(|p| p.result.print(UnitSystem::Metric)).collect();
        format!("{} {placed:?}", choice.summary.print(UnitSystem::Metric))
    };
    assert_ne!(said(&within), said(&plain));
}

#[test]
fn the_bore_of_fitted_shells_is_corrected_with_what_holds_them() {
    let (text, csv) = FOUR;
    let place = "main_bearing.1.fitted_bore";
    let row = csv.lines().find(|line| line.starts_with(place)).expect("a reading");
    let warm = row.replace("20 \u{b0}C", "40 \u{b0}C");
    assert_ne!(warm, row);
    let size = |text: &str, csv: &str| {
        let job = Job::of(text, csv);
        let at = job.engine.catalogue.features.iter().position(|f| f.path == place).expect("a place");
        job.assessment.sizes.of_feature[at].as_ref().expect("a size").value.value()
    };
    let iron = size(text, csv) - size(text, &csv.replace(row, &warm));
    let aluminium_block =
        text.replacen("[block]\nmaterial = \"grey_iron\"", "[block]\nmaterial = \"aluminium_casting\"", 1);
    let aluminium_block =
        aluminium_block.replacen("expansion = \"10.5 1e-6/K\"", "expansion = \"22 1e-6/K\"", 1);
    assert_ne!(aluminium_block, text);
    let aluminium = size(&aluminium_block, csv) - size(&aluminium_block, &csv.replace(row, &warm));
    // Growth of a bore of 56.538 mm over 20 K: ISO 1, its size by the stated coefficient.
    for (found, coefficient) in [(iron, 10.5e-6), (aluminium, 22e-6)] {
        let exact = 56.538e-3 * coefficient * 20.0;
        assert!((found - exact).abs() < 2e-3 * exact, "{found} against {exact}");
    }
}

/// Thermal expansion of a stack: H·α − l·α − r·α − h·α (geometry; lengths and coefficients as the document states them).
#[test]
fn a_piston_below_deck_is_brought_to_20_degrees_by_all_that_stands_under_it() {
    let place = "cylinder.2.below_deck.front";
    let row = FOUR.1.lines().find(|line| line.starts_with(place)).expect("a reading");
    let warm = row.replace("22 \u{b0}C", "42 \u{b0}C");
    assert_ne!(warm, row);
    let size = |csv: &str| {
        let job = Job::of(FOUR.0, csv);
        let at = job.engine.catalogue.features.iter().position(|f| f.path == place).expect("a place");
        job.assessment.sizes.of_feature[at].as_ref().expect("a size").value.value()
    };
    let document = parse_document(FOUR.0, "engine.toml").document.expect("a document");
    let alpha = |material| alpha_of(&document, material).0;
    let (block, rods, crank, pistons) = (&document.block, &document.rods, &document.crank, &document.pistons);
    let growth = block.deck_height.expect("H").0 * alpha(block.material.expect("block"))
        - rods.length.expect("l").0 * alpha(rods.material.expect("rod"))
        - document.layout.stroke.expect("2 r").0 / 2.0 * alpha(crank.material.expect("crank"))
        - pistons.compression_height.expect("h").0 * alpha(pistons.material.expect("piston"));
    let found = size(FOUR.1) - size(&FOUR.1.replace(row, &warm));
    assert!((found - 20.0 * growth).abs() < 2e-3 * (20.0 * growth).abs() + 1e-9, "{found} against {growth}");
    assert!(growth.abs() > 1e-8, "{growth}");
}

/// The findings that an operation after all readings makes stale.
fn stale((text, csv): (&str, &str), kind: &str, only: &str) -> Vec<String> {
    let done =
        format!("{text}\n[[operations]]\nname = \"done now\"\nkind = \"{kind}\"\nonly = [\"{only}\"]\n");
    let was = Job::of(text, csv);
    let now = Job::of(&done, csv);
    let fresh = |id: &str| was.assessment.finding(id).is_some_and(|f| !f.stale);
    let found = now.assessment.findings.iter().filter(|f| f.stale && fresh(&f.id));
    found.map(|f| f.id.clone()).collect()
}

/// What an operation moves. Common practice, no source.
#[test]
fn work_reaches_all_that_rests_on_its_part_and_nothing_else() {
    for (engine, kind, only, reached, not) in [
        (FOUR, "big_end_hone", "2", &["quench/2", "compression_ratio/2", "rod_clearance/2"][..], "quench/1"),
        (FOUR, "regrind", "crank.pin.3", &["pin_round/3", "rod_clearance/3", "quench/3"], "main_round/3"),
        (FOUR, "regrind", "crank.main.3", &["main_round/3", "main_clearance/3"], "quench/3"),
        (
            V8,
            "deck_skim",
            "b",
            &["deck_flatness/b", "quench/6", "compression_ratio/8", "to_piston/intake.6a"],
            "quench/1",
        ),
        (V8, "head_skim", "a", &["compression_ratio/1", "to_piston/exhaust.4a"], "compression_ratio/5"),
        (
            FOUR,
            "seat_cut",
            "intake.1a",
            &["seat_width/intake.1a", "compression_ratio/1"],
            "seat_width/intake.1b",
        ),
        (FOUR, "hone", "2", &["bore_size/2", "top_ring_gap/2.top"], "bore_size/1"),
        (FOUR, "new_shells", "main_shell.1", &["main_clearance/1"], "rod_clearance/1"),
        (
            FOUR,
            "new_part",
            "head.intake.2a",
            &["guide/intake.2a", "compression_ratio/2"],
            "cam_clearance/intake.1",
        ),
        (FOUR, "align_hone", "3", &["quench/1", "end_float/1"], "bore_size/3"),
    ] {
        let found = stale(engine, kind, only);
        for id in reached {
            assert!(found.iter().any(|f| f == id), "{kind} {only} reaches {id}: {found:?}");
        }
        assert!(!found.iter().any(|f| f == not), "{kind} {only} leaves {not}: {found:?}");
    }
}

#[test]
fn a_place_of_work_may_be_named_in_several_ways() {
    for (engine, kind, one, other) in [
        (FOUR, "hone", "2", "block.bore.2"),
        (FOUR, "hone", "2", "bore 2"),
        (FOUR, "seat_cut", "intake.1a", "head.intake.1a"),
        (V8, "seat_cut", "b", "head.b"),
        (V8, "deck_skim", "b", "deck B"),
        (V8, "deck_skim", "b", "6"),
        (V8, "head_skim", "b", "head.b"),
        (FOUR, "new_shells", "main_shell.1", "main.1"),
        (FOUR, "cap_seat", "3", "block.main_housing.3"),
        (FOUR, "regrind", "crank.pin.2", "pin 2"),
        (FOUR, "big_end_hone", "2", "rod.2"),
        (FOUR, "ring_file", "ring.2.top", "2.top"),
        (V8, "seat_cut", "intake.2a", "intake.2"),
        (FOUR, "new_part", "piston.2", "Piston 2"),
    ] {
        let found = stale(engine, kind, one);
        assert!(!found.is_empty(), "{kind} {one}");
        assert_eq!(found, stale(engine, kind, other), "{kind}: {one} and {other}");
    }
}

#[test]
fn work_at_no_place_of_the_engine_is_refused_in_a_file() {
    for (kind, only) in [
        ("hone", "blok.bore.2"),
        ("hone", "9"),
        ("seat_cut", "intake.9a"),
        ("deck_skim", "c"),
        ("regrind", "pin.7"),
        ("new_part", "piston.9"),
    ] {
        let text =
            format!("{}\n[[operations]]\nname = \"x\"\nkind = \"{kind}\"\nonly = [\"{only}\"]\n", FOUR.0);
        let parsed = parse_document(&text, "engine.toml");
        let said = parsed
            .diagnostics
            .iter()
            .find(|d| d.message.contains("at no place") || d.message.contains("no part"));
        let said = said.unwrap_or_else(|| panic!("{kind} {only}: {:?}", parsed.diagnostics));
        assert!(said.message.contains(only) && said.line > 1, "{said:?}");
    }
}
