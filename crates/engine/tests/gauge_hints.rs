//! The hints that name a gauge name one that reads the place: over both demo engines with and without their readings, and an
//! engine of which hardly anything is known, in a shop that has every kind of gauge.

use engine::document::{InstrumentKind as K, parse_document, parse_with_readings};
use engine::features::{Feature, Table};
use engine::findings::before_measuring;
use engine::quantity::{Dimension, parse_quantity};
use engine::{Engine, assess, plan};
use std::collections::BTreeMap;
use std::fmt::Write as _;

const FOUR: [&str; 2] = [
    include_str!("../../../examples/hill-climb-four.toml"),
    include_str!("../../../examples/hill-climb-four.readings.csv"),
];
const V8: [&str; 2] = [
    include_str!("../../../examples/pushrod-v8.toml"),
    include_str!("../../../examples/pushrod-v8.readings.csv"),
];
/// Four cylinders, two sizes and the limits that open hints; no gauge of its own.
const NEARLY_EMPTY: &str = r#"
crosshatch = 2
[layout]
arrangement = "inline"
cylinders = 4
bore = "80 mm"
[cams]
lash_adjustment = "bucket_shim"
bearings = 5
[crank]
main_journal = { nominal = "54 mm" }
[limits]
piston_clearance = { min = "0.03 mm", max = "0.05 mm" }
"#;

/// What can touch a family of places, written here by hand and not read from the catalogue (common practice, no source): a
/// micrometer spans a part from the outside, a bore gauge stands inside a bore, a dial indicator sees what moves or turns
/// under it, a depth gauge what lies below a face.
fn can_read(family: &str) -> &'static [K] {
    match family {
        "crank.main" | "crank.pin" | "main_shell" | "rod_shell" | "rod.bolt_stretch" | "piston.gauge"
        | "pin.diameter" | "gasket.compressed" | "valve.shim" | "valve.stem" | "valve.bucket"
        | "cam.journal" => &[K::Micrometer, K::CoordinateMachine, K::Caliper],
        "block.bore"
        | "block.main_housing"
        | "main_bearing.fitted_bore"
        | "rod_bearing.fitted_bore"
        | "rod.big_end"
        | "rod.small_end"
        | "piston.pin_bore"
        | "valve.guide"
        | "valve.bucket_bore"
        | "cam.bore" => &[K::BoreGauge, K::CoordinateMachine, K::Caliper],
        "rod.length" | "piston.compression_height" | "block.deck_height" => {
            &[K::HeightGauge, K::CoordinateMachine, K::DepthGauge, K::Micrometer, K::Caliper]
        }
        "block.wall" => &[K::UltrasonicGauge, K::CoordinateMachine],
        "block.main_axis" => &[K::AlignmentBar, K::CoordinateMachine],
        "block.deck_face" | "head.face" => {
            &[K::DialIndicator, K::CoordinateMachine, K::FeelerGauge, K::DepthGauge]
        }
        "crank.run_out" | "valve.seat_run_out" => &[K::DialIndicator, K::CoordinateMachine],
        "crank.end_float" | "rod.side_clearance" | "valve.lash" | "valve.pushrod_lash" => {
            &[K::DialIndicator, K::FeelerGauge]
        }
        "main_shell.crush" | "rod_shell.crush" => &[K::DialIndicator, K::FeelerGauge, K::DepthGauge],
        "cylinder.below_deck" | "valve.to_piston" => &[K::DialIndicator, K::DepthGauge],
        "ring.top.gap" | "ring.second.gap" | "ring.rail.gap" | "ring.side_clearance" => &[K::FeelerGauge],
        "main_bearing.clearance" | "rod_bearing.clearance" => &[K::PlasticStrip],
        "valve.seat_width" => &[K::Caliper, K::CoordinateMachine],
        "valve.spring_installed" => &[K::DepthGauge, K::Micrometer, K::Caliper],
        // The height at which the spring binds is read on the tester that compresses it, or over the bound spring.
        "valve.spring_bind" => &[K::SpringTester, K::Caliper, K::DepthGauge],
        "valve.seat_load" => &[K::SpringTester],
        "valve.pushrod" => &[K::Caliper, K::HeightGauge, K::Micrometer],
        "head.restrictor" => &[K::PinGauge, K::Other],
        "head.chamber" => &[K::Burette],
        "block.hardness" => &[K::HardnessTester],
        "block.bore_surface" | "face.roughness" => &[K::RoughnessTester],
        "rod.small_end_mass" | "rod.big_end_mass" | "piston.mass" | "pin.mass" => &[K::Balance],
        "head.port_flow" | "fuel.injector_flow" => &[K::FlowBench],
        other => panic!("{other}: say here what can read it"),
    }
}

/// A gauge of each kind that is sold, all of them better than any window asks, so that kind and range alone decide; small,
/// middle and large ones of what comes in ranges.
fn every_gauge() -> String {
    let kinds = [
        "depth_gauge",
        "dial_indicator",
        "alignment_bar",
        "coordinate_machine",
        "ultrasonic_gauge",
        "feeler_gauge",
        "caliper",
        "height_gauge",
        "burette",
        "balance",
        "spring_tester",
        "hardness_tester",
        "roughness_tester",
        "pin_gauge",
        "plastic_strip",
        "flow_bench",
        "other",
    ];
    let mut text = String::new();
    let mut add = |name: &str, kind: &str, range: &str| {
        let step = match kind {
            "burette" => "0.001 cm3",
            "balance" => "0.001 g",
            "spring_tester" => "0.001 N",
            "hardness_tester" => "1 HB",
            "flow_bench" => "0.1 L/min",
            _ => "0.001 mm",
        }; // writing to a string cannot fail
        let _ =
            write!(text, "[instruments.every_{name}]\nkind = \"{kind}\"\nresolution = \"{step}\"\n{range}");
    };
    for kind in kinds {
        add(kind, kind, "");
    }
    for kind in ["micrometer", "bore_gauge"] {
        for (size, range) in [
            ("small", "smallest = \"0 mm\"\nlargest = \"25 mm\"\n"),
            ("middle", "smallest = \"25 mm\"\nlargest = \"76 mm\"\n"),
            ("large", "smallest = \"76 mm\"\nlargest = \"300 mm\"\n"),
        ] {
            add(&format!("{kind}_{size}"), kind, range);
        }
    }
    text
}

/// The engine with its own gauges, or with only those of the test.
fn engine(text: &str, readings: &str, shop: &str) -> Engine {
    let text = format!("{text}\n{shop}");
    let parsed = if readings.is_empty() {
        parse_document(&text, "test.toml")
    } else {
        parse_with_readings(&text, "test.toml", readings, "test.csv")
    };
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new())
}

fn engines() -> Vec<(&'static str, Engine)> {
    let every = every_gauge();
    vec![
        ("four", engine(FOUR[0], FOUR[1], "")),
        ("four without readings", engine(FOUR[0], "", "")),
        ("four, every gauge", engine(FOUR[0], FOUR[1], &every)),
        ("V8", engine(V8[0], V8[1], "")),
        ("V8 without readings", engine(V8[0], "", "")),
        ("V8, every gauge", engine(V8[0], V8[1], &every)),
        ("nearly empty", engine(NEARLY_EMPTY, "", "")),
        ("nearly empty, every gauge", engine(NEARLY_EMPTY, "", &every)),
    ]
}

/// Names of the shop's gauges that a sentence holds after "; ".
fn named<'a>(engine: &'a Engine, sentence: &str) -> Vec<&'a str> {
    let Some((_, rest)) = sentence.split_once("; ") else { return Vec::new() };
    let first = rest.split(" would settle it").next().unwrap_or_default();
    engine.document.instruments.keys().map(String::as_str).filter(|name| *name == first).collect()
}

#[test]
fn the_gauge_that_would_settle_it_reads_the_place() {
    let mut hints = 0;
    for (which, engine) in engines() {
        for table in &engine.catalogue.tables {
            let gauges = engine.document.instruments.keys().map(String::as_str).chain([""]);
            for chosen in gauges {
                let Some(phrase) = before_measuring(&engine, table, chosen) else { continue };
                let said = phrase.print(engine.units());
                for name in named(&engine, &said) {
                    hints += 1;
                    fits(&engine, table, name, &format!("{which}, {} with {chosen:?}: {said}", table.id));
                }
            }
        }
    }
    assert!(hints > 200, "only {hints} hints named a gauge: the test sees nothing");
}

/// The gauge reads some place of the table, in its dimension, and its range holds that place's size.
fn fits(engine: &Engine, table: &Table, name: &str, whole: &str) {
    let gauge = &engine.document.instruments[name];
    let size = |text: &Option<String>, d| text.as_ref().and_then(|t| parse_quantity(t, d).ok()).map(|q| q.0);
    let reads = |f: &&Feature| {
        let nominal = f.nominal.filter(|n| *n > 0.0);
        let (least, most) = (size(&gauge.smallest, f.dimension), size(&gauge.largest, f.dimension));
        can_read(f.family).contains(&gauge.kind)
            && nominal.is_none_or(|n| least.is_none_or(|l| l <= n) && most.is_none_or(|m| n <= m))
            && size(&gauge.resolution, f.dimension).is_some()
    };
    assert!(engine.catalogue.features_of(table).any(|f| reads(&f)), "{whole}");
}

#[test]
fn what_to_measure_next_names_a_gauge_that_reads_every_place_of_its_line() {
    let mut kinds = BTreeMap::new();
    for (which, engine) in engines() {
        let judged = assess(&engine);
        for group in plan(&engine, &judged).measure_next {
            for path in &group.features {
                let feature = engine.catalogue.feature(path).expect("a place");
                let words: Vec<&str> = can_read(feature.family).iter().map(|k| k.words()).collect();
                assert!(words.contains(&group.gauge.as_str()), "{which}: {} for {path}", group.gauge);
                assert_eq!(feature.gauge.words(), group.gauge);
                *kinds.entry(group.gauge.clone()).or_insert(0) += 1;
            }
        }
    }
    assert!(kinds.len() >= 12, "hints over few kinds of gauge: {kinds:?}");
}

/// The catalogue itself, place by place: what is usual, what settles, what is advised.
#[test]
fn each_place_is_settled_by_gauges_that_can_read_it() {
    for (which, engine) in engines() {
        for feature in &engine.catalogue.features {
            let allowed = can_read(feature.family);
            assert!(feature.advises(feature.gauge), "{which}: {}", feature.path);
            for kind in feature.settles {
                let inside_micrometer = *kind == K::Micrometer && feature.gauge == K::BoreGauge;
                assert!(
                    allowed.contains(kind) || inside_micrometer,
                    "{which}: {kind:?} for {}",
                    feature.path
                );
                assert_eq!(
                    feature.advises(*kind),
                    allowed.contains(kind),
                    "{which}: {kind:?}, {}",
                    feature.path
                );
            }
            let of_length = feature.dimension == Dimension::Length;
            assert_eq!(feature.settles.contains(&K::Balance), feature.dimension == Dimension::Mass);
            assert!(of_length || !feature.settles.contains(&K::Micrometer), "{}", feature.path);
        }
    }
}

/// The demos state the ranges of the gauges that come in ranges; each reading lies in the range of its gauge.
#[test]
fn the_readings_of_the_demos_are_within_the_ranges_of_their_gauges() {
    for (which, files) in [("four", FOUR), ("V8", V8)] {
        let engine = engine(files[0], files[1], "");
        let mut seen = 0;
        // A stretch is the difference of two readings.
        for reading in engine.readings.iter().filter(|r| !r.feature.contains("bolt_stretch")) {
            let gauge = &engine.document.instruments[&reading.instrument];
            let Some((least, most)) = gauge.smallest.as_ref().zip(gauge.largest.as_ref()) else { continue };
            let [least, most] =
                [least, most].map(|t| parse_quantity(t, Dimension::Length).expect("a length").0);
            assert!(
                (least..=most).contains(&reading.value),
                "{which}: {} {} with {}",
                reading.feature,
                reading.text,
                reading.instrument
            );
            seen += 1;
        }
        assert!(seen > 100, "{which}: {seen}");
    }
}

#[test]
fn a_wrong_kind_and_a_range_that_leaves_the_size_out_are_said() {
    let engine = engine(NEARLY_EMPTY, "", &every_gauge());
    let said = |table: &str, gauge: &str| {
        let table = engine.catalogue.tables.iter().find(|t| t.id == table).expect("a table");
        before_measuring(&engine, table, gauge).map(|p| p.print(engine.units())).unwrap_or_default()
    };
    assert_eq!(
        said("mains", "every_bore_gauge_middle"),
        "every_bore_gauge_middle (bore gauge) does not read this; every_micrometer_middle would settle it (U 0.001 mm)"
    );
    assert_eq!(said("mains", "every_micrometer_middle"), "");
    assert!(
        said("mains", "every_micrometer_small").starts_with("every_micrometer_small does not reach 54.00 mm")
    );
    // A bore has no use for a balance, and none for a micrometer that spans from the outside.
    assert!(
        said("bores", "every_balance")
            .contains("every_balance (balance) does not read this; every_bore_gauge_large")
    );
}
