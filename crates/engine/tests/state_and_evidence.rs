//! The state of a part and the kind of evidence: what makes a reading stale, and what cannot settle a question.

use engine::document::{Material, parse_document};
use engine::findings::{ActionKind, Finding, Verdict};
use engine::quantity::UnitSystem;
use engine::readings::SlipKind;
use engine::sizes::{gauge_question, slip_question};
use engine::{Assessment, Engine, assess};

/// A small engine: the text of its document, to which a test adds readings and operations.
const ENGINE: &str = r#"
crosshatch = 2
[engine]
name = "test engine"
[layout]
arrangement = "inline"
cylinders = 1
bore = "80.000 mm"
stroke = "80.000 mm"
[block]
material = "grey_iron"
torque_plate = true
bore_as_found = "79.500 mm"
main_housing = { nominal = "60.000 mm", min = "59.990 mm", max = "60.010 mm" }
[crank]
material = "steel"
main_journal = { nominal = "56.000 mm", min = "55.990 mm", max = "56.010 mm" }
[main_shells]
grades = { mid = "1.975 mm" }
fitted = { 1 = ["mid"], 2 = ["mid"] }
[pistons]
material = "forged_piston_low_silicon"
[limits]
bore = { min = "79.990 mm", max = "80.010 mm" }
piston_clearance = { min = "0.060 mm", max = "0.080 mm" }
main_clearance = { min = "0.040 mm", max = "0.060 mm" }
end_float = { min = "0.08 mm", max = "0.20 mm" }
[instruments.B1]
kind = "bore_gauge"
resolution = "0.001 mm"
setting = "0.001 mm"
[instruments.M1]
kind = "micrometer"
resolution = "0.001 mm"
setting = "0.001 mm"
[instruments.coarse]
kind = "caliper"
resolution = "0.010 mm"
max_error = "0.030 mm"
"#;

fn engine_of(more: &str) -> Engine {
    let text = format!("{ENGINE}\n{more}");
    let parsed = parse_document(&text, "test.toml");
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new())
}

fn judged(more: &str) -> Assessment {
    assess(&engine_of(more))
}

fn finding<'a>(assessment: &'a Assessment, id: &str) -> &'a Finding {
    assessment.finding(id).unwrap_or_else(|| panic!("no finding {id}"))
}

fn reading(feature: &str, value: &str, more: &str) -> String {
    format!("[[readings]]\nfeature = \"{feature}\"\nvalue = \"{value}\"\ntemperature = \"20 °C\"\n{more}\n")
}

/// All six readings of the bore at one size.
fn bore(value: &str, more: &str) -> String {
    ["top", "mid", "low"]
        .iter()
        .flat_map(|h| ["thrust", "along"].map(|d| reading(&format!("block.bore.1.{h}.{d}"), value, more)))
        .collect()
}

const ON_PLATE: &str = "instrument = \"B1\"\nheld = [\"torque_plate\"]";

#[test]
fn a_hone_makes_the_bore_stale_and_a_new_reading_makes_it_fresh() {
    let before = bore("79.985 mm", ON_PLATE);
    let hone = "[[operations]]\nname = \"hone\"\nkind = \"hone\"\n";
    let stale = judged(&format!("{hone}{before}"));
    assert!(finding(&stale, "bore_size/1").stale);
    let after = bore("80.000 mm", &format!("{ON_PLATE}\nafter = \"hone\""));
    let fresh = judged(&format!("{hone}{before}{after}"));
    let size = finding(&fresh, "bore_size/1");
    assert!(!size.stale);
    assert_eq!(size.verdict, Verdict::Good);
}

#[test]
fn an_operation_on_another_cylinder_moves_nothing_here() {
    let two = ENGINE.replace("cylinders = 1", "cylinders = 2");
    for (cylinder, moved) in [("2", false), ("1", true)] {
        let hone = format!("[[operations]]\nname = \"hone\"\nkind = \"hone\"\nonly = [\"{cylinder}\"]\n");
        let text = format!("{two}\n{hone}{}", bore("80.000 mm", ON_PLATE));
        let document = parse_document(&text, "test.toml").document.expect("parses");
        let judged = assess(&Engine::new(document, Vec::new(), Vec::new()));
        assert_eq!(finding(&judged, "bore_size/1").stale, moved, "hone of {cylinder}");
    }
}

#[test]
fn an_align_hone_opens_deck_height_and_end_float_again() {
    let line = "[[operations]]\nname = \"line\"\nkind = \"align_hone\"\n";
    let float = reading("crank.end_float", "0.12 mm", "");
    assert!(finding(&judged(&format!("{line}{float}")), "end_float/1").stale);
    assert!(!finding(&judged(&float), "end_float/1").stale);
}

#[test]
fn a_bore_read_without_the_plate_settles_nothing() {
    let free = judged(&bore("80.000 mm", "instrument = \"B1\"\nheld = [\"free\"]"));
    let size = finding(&free, "bore_size/1");
    assert_eq!(size.verdict, Verdict::Uncertain);
    assert!(!size.actions.is_empty());
}

#[test]
fn a_two_point_gauge_sees_no_axis() {
    let axis = |instrument: &str| {
        let text: String = (1..=3)
            .flat_map(|m| {
                ["up", "aside"].map(|d| {
                    reading(
                        &format!("block.main_axis.{m}.{d}"),
                        "0.001 mm",
                        &format!("instrument = \"{instrument}\""),
                    )
                })
            })
            .collect();
        let bar = "[instruments.bar]\nkind = \"alignment_bar\"\nresolution = \"0.001 mm\"\n";
        // Three mains need two throws.
        let text = format!("{bar}{text}");
        let two = ENGINE.replace("cylinders = 1", "cylinders = 2");
        let parsed = parse_document(&format!("{two}\n{text}"), "test.toml");
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        let judged = assess(&Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new()));
        finding(&judged, "main_line/2").verdict
    };
    assert_eq!(axis("bar"), Verdict::Good);
    assert_eq!(axis("B1"), Verdict::Uncertain);
}

#[test]
fn the_fitted_bore_is_primary_and_a_disagreement_is_said() {
    let housing = reading(
        "block.main_housing.1.vertical",
        "60.000 mm",
        "instrument = \"B1\"\nheld = [\"caps_torqued\"]",
    );
    let journal: String = ["front.vertical", "front.across", "rear.vertical", "rear.across"]
        .iter()
        .map(|e| reading(&format!("crank.main.1.{e}"), "56.000 mm", "instrument = \"M1\""))
        .collect();
    let predicted = judged(&format!("{housing}{journal}"));
    let clearance = finding(&predicted, "main_clearance/1");
    let value = clearance.value.expect("a prediction");
    assert!(value.predicted);
    // 60.000 − 2 × 1.975 − 56.000 = 0.050 mm, by hand.
    assert!((value.value - 0.050e-3).abs() < 1e-9);
    let fitted = reading(
        "main_bearing.1.fitted_bore",
        "56.080 mm",
        "instrument = \"B1\"\nheld = [\"caps_torqued\", \"shells_in\"]",
    );
    let measured = judged(&format!("{housing}{journal}{fitted}"));
    let clearance = finding(&measured, "main_clearance/1");
    assert!(!clearance.value.expect("measured").predicted);
    assert_eq!(clearance.verdict, Verdict::Bad);
    assert_eq!(finding(&measured, "main_agreement/1").verdict, Verdict::Bad);
}

#[test]
fn piston_and_bore_at_28_degrees_do_not_shrink_alike() {
    let warm = "temperature = \"28 °C\"";
    let text = bore("80.000 mm", ON_PLATE).replace("temperature = \"20 °C\"", warm)
        + &reading("piston.1.gauge", "79.930 mm", "instrument = \"M1\"")
            .replace("temperature = \"20 °C\"", warm);
    let value = finding(&judged(&text), "piston_clearance/1").value.expect("both are read");
    // By hand: 80.000/(1 + 8 × 10.5e-6) − 79.930/(1 + 8 × 23e-6) = 0.07798 mm; 0.070 without the correction.
    assert!((value.value - 0.077_98e-3).abs() < 0.05e-6, "{}", value.value);
}

/// An aluminium block with iron liners: the bore grows as iron, the housings as aluminium.
#[test]
fn a_liner_grows_as_its_own_material() {
    let block = "material = \"grey_iron\"\ntorque_plate";
    let text = ENGINE.replace(
        block,
        "material = \"aluminium_casting\"\nliner_material = \"grey_iron\"\nliner_expansion = \"10.2 1e-6/K\"\ntorque_plate",
    );
    assert_ne!(text, ENGINE);
    let warm = bore("80.000 mm", ON_PLATE).replace("20 °C", "28 °C")
        + &reading("piston.1.gauge", "79.930 mm", "instrument = \"M1\"").replace("20 °C", "28 °C");
    let parsed = parse_document(&format!("{text}\n{warm}"), "test.toml");
    assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
    let engine = Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new());
    let value = finding(&assess(&engine), "piston_clearance/1").value.expect("both are read").value;
    // By hand: 80.000/(1 + 8 × 10.2e-6) − 79.930/(1 + 8 × 23e-6) = 0.078 18 mm; 0.070 9 with the block's 21.5e-6.
    assert!((value - 0.078_18e-3).abs() < 0.05e-6, "{value}");
    let of = |place: &str| engine.catalogue.feature(place).expect("a place").material;
    assert_eq!(of("block.bore.1.top.thrust"), Some(Material::GreyIron));
    assert_eq!(of("block.main_housing.1.vertical"), Some(Material::AluminiumCasting));
}

#[test]
fn a_guard_band_limit_needs_proof() {
    // 5 µm from the limit with u about 1 µm is proved; 1 µm is not.
    let house = ENGINE.replace(
        "bore = { min = \"79.990 mm\", max = \"80.010 mm\" }",
        "bore = { min = \"79.990 mm\", max = \"80.010 mm\", decision = \"guard_band\" }",
    );
    let verdict = |value: &str| {
        let parsed = parse_document(&format!("{house}\n{}", bore(value, ON_PLATE)), "test.toml");
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        finding(
            &assess(&Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new())),
            "bore_size/1",
        )
        .verdict
    };
    assert_eq!(verdict("80.005 mm"), Verdict::Good);
    assert_eq!(verdict("80.009 mm"), Verdict::Uncertain);
    assert_eq!(verdict("80.020 mm"), Verdict::Bad);
}

#[test]
fn the_sheet_warns_before_the_measuring_starts() {
    let parsed = parse_document(ENGINE, "test.toml");
    let engine = Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new());
    let table = engine.catalogue.tables.iter().find(|t| t.id == "bores").expect("bores");
    assert!(engine::findings::before_measuring(&engine, table, "B1").is_none());
    let warning = engine::findings::before_measuring(&engine, table, "coarse").expect("a caliper cannot");
    assert!(warning.print(engine.units()).contains("B1"), "{warning:?}");
}

#[test]
fn an_empty_document_asks_and_never_fails() {
    let parsed = parse_document("crosshatch = 2\n", "empty.toml");
    assert!(!parsed.has_errors());
    let engine = Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new());
    let judged = assess(&engine);
    assert!(judged.findings.iter().all(|f| f.verdict == Verdict::Unknown));
    let _ = engine::plan(&engine, &judged);
}

/// A chance that is computed from a reading that is probably none says nothing, so none is shown.
#[test]
fn no_chance_is_shown_where_a_reading_is_questioned_as_a_slip() {
    let gaps = |three: &str| {
        let text = ENGINE
            .replace("cylinders = 1", "cylinders = 4")
            .replace("[limits]", "[limits]\ntop_ring_gap = { min = \"0.30 mm\", max = \"0.40 mm\" }");
        let gap = |c: u32, value: &str| reading(&format!("ring.{c}.top.gap"), value, "");
        let more = [gap(1, "0.35 mm"), gap(2, "0.34 mm"), gap(3, three), gap(4, "0.36 mm")].concat();
        let parsed = parse_document(&format!("{text}\n{more}"), "test.toml");
        assess(&Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new()))
    };
    let slip = gaps("13.8 mm");
    assert!(!slip.slips.is_empty(), "thousandths of an inch, asked about");
    let questioned = finding(&slip, "top_ring_gap/3.top");
    assert_eq!((questioned.verdict, questioned.probability_outside), (Verdict::Uncertain, None));
    let rule = questioned.working.rule.print(engine::quantity::UnitSystem::Metric);
    assert!(!rule.contains("chance"), "{rule}");
    assert!(finding(&gaps("0.35 mm"), "top_ring_gap/3.top").probability_outside.is_some());
}

#[test]
fn a_mean_bore_is_computed_and_a_grade_stands_in_the_document() {
    let all = judged(&bore("80.000 mm", ON_PLATE));
    let inputs = &finding(&all, "swept_volume/1").working.inputs;
    let mean = inputs.iter().find(|i| i.label.contains("bore")).expect("a mean bore");
    assert_eq!(mean.origin(), "computed from the readings of bore 1");
    let clearance = finding(&all, "main_clearance/1");
    let wall = clearance.working.inputs.iter().find(|i| i.label.contains("grade")).expect("a shell wall");
    assert_eq!(wall.origin(), "from the document");
}

/// Two readings of one place: 79.985 mm and another, with gauge B1 (u 1.04 µm, so that good ones agree to 4.9 µm).
fn read_twice(second: &str, more: &str) -> Assessment {
    let place = "block.bore.1.mid.thrust";
    let again = reading(place, second, &format!("{ON_PLATE}\n{more}"));
    judged(&format!("{}{again}", bore("79.985 mm", ON_PLATE)))
}

/// A slip of 1 % in one bore, nothing else read: no other row is there to compare with, and no wrong digit explains it.
#[test]
fn a_reading_far_from_the_others_of_its_bore_is_asked_about() {
    let good = bore("79.985 mm", ON_PLATE);
    let slipped = |value: &str| judged(&good.replacen("79.985 mm", value, 1)).slips;
    assert_eq!(slipped("79.985 mm"), []);
    // Wear at one place that is no more than a bore has at the end of its range.
    assert_eq!(slipped("80.045 mm"), []);
    for value in ["80.085 mm", "80.793 mm", "80.8 mm", "79.187 mm"] {
        let found = slipped(value);
        assert_eq!(found.len(), 1, "{value}: {found:?}");
        assert_eq!((found[0].reading, found[0].likely), (1, None), "{value}: no digit explains it");
        let SlipKind::Apart { from } = found[0].slip else { panic!("{value}: {found:?}") };
        assert!((from - 79.985e-3).abs() < 1e-9, "{value}: {from}");
    }
    // Two that agree are no slip of one.
    let two = good.replacen("79.985 mm", "80.8 mm", 2);
    assert_eq!(judged(&two).slips, []);
    let engine = engine_of(&good.replacen("79.985 mm", "80.8 mm", 1));
    let slip = &assess(&engine).slips[0];
    let shown = |si: f64| format!("{:.3} mm", si * 1e3);
    assert_eq!(
        slip_question(&engine, &engine.readings[0], slip, &shown),
        "This is 0.815 mm from the other readings of this bore, which agree on 79.985 mm. Read it again: is it right?"
    );
}

/// A gauge that does not read such a place, and one whose range leaves it out: the finding names gauge and place, and a
/// new reading is asked about once.
#[test]
fn a_gauge_that_cannot_have_read_its_place_is_named() {
    let gauges = "[instruments.deep]\nkind = \"depth_gauge\"\nresolution = \"0.01 mm\"\n\
        [instruments.small]\nkind = \"bore_gauge\"\nresolution = \"0.001 mm\"\nsmallest = \"5 mm\"\nlargest = \"35 mm\"\n";
    for (gauge, why, action, question) in [
        (
            "deep",
            "this kind of gauge cannot settle the question",
            "deep is a depth gauge, which cannot",
            "deep is a depth gauge, which does not read bore 1, mid thrust. Was it read with deep?",
        ),
        (
            "small",
            "the range of the gauge leaves this size out",
            "small reads 5 mm to 35 mm",
            "small reads 5 mm to 35 mm and does not reach bore 1, mid thrust. Was it read with small?",
        ),
    ] {
        let held = ON_PLATE.replace("B1", gauge);
        assert_ne!(held, ON_PLATE);
        let read = judged(&format!("{gauges}{}", bore("80.000 mm", &held)));
        let size = finding(&read, "bore_size/1");
        assert_eq!(size.verdict, Verdict::Uncertain, "{gauge}: {size:?}");
        assert!(size.why.print(UnitSystem::Metric).contains(why), "{gauge}: {:?}", size.why);
        let asked =
            size.actions.iter().map(|a| a.text.print(UnitSystem::Metric)).find(|text| text.contains(action));
        assert!(asked.is_some_and(|text| text.contains("bore 1, ")), "{gauge}: {:?}", size.actions);

        let new = |more: &str| {
            let engine = engine_of(&format!("{gauges}{more}"));
            let with_it =
                engine_of(&format!("{gauges}{}", reading("block.bore.1.mid.thrust", "80.000 mm", &held)));
            gauge_question(&engine, &with_it.readings[0])
        };
        assert_eq!(new("").as_deref(), Some(question));
        assert_eq!(new(&bore("80.000 mm", &held)), None, "asked once of each gauge and kind of place");
    }
    let good = engine_of(&bore("80.000 mm", ON_PLATE));
    assert_eq!(gauge_question(&engine_of(""), &good.readings[0]), None);
}

#[test]
fn a_second_reading_far_from_the_first_is_asked_about() {
    for near in ["79.985 mm", "79.981 mm", "79.989 mm"] {
        assert_eq!(read_twice(near, "").slips, [], "{near}");
    }
    let far = read_twice("80.003 mm", "");
    assert_eq!(far.slips.len(), 1, "{:?}", far.slips);
    let SlipKind::Differs { from } = far.slips[0].slip else { panic!("{:?}", far.slips) };
    assert!((from - 79.985e-3).abs() < 1e-9);
    assert_eq!((far.slips[0].reading, far.slips[0].confirmed), (7, false));
    assert_eq!(finding(&far, "bore_size/1").verdict, Verdict::Uncertain, "not until somebody has answered");
    assert!(read_twice("80.003 mm", "confirmed = true").slips.iter().all(|s| s.confirmed));
    assert_eq!(
        read_twice("80.003 mm", "corrects = 3").slips,
        [],
        "a correction takes the place of the first"
    );
    let hone = "[[operations]]\nname = \"hone\"\nkind = \"hone\"\n";
    let after = reading("block.bore.1.mid.thrust", "80.003 mm", &format!("{ON_PLATE}\nafter = \"hone\""));
    let honed = judged(&format!("{hone}{}{after}", bore("79.985 mm", ON_PLATE)));
    assert_eq!(honed.slips, [], "a cut lies between them");
}

/// A mean of two readings a hundredfold apart says nothing: 66.7 µm ± over 100 µm on a range of 0.8 to 1.5 µm.
#[test]
fn an_uncertainty_over_the_value_proves_nothing() {
    let limit = "[limits.bore_rvk]\nmin = \"0.8 um\"\nmax = \"1.5 um\"\n";
    let place = "block.bore_surface.1.rvk";
    let two = judged(&format!(
        "{limit}{}{}",
        reading(place, "132 um", "confirmed = true"),
        reading(place, "1.31 um", "confirmed = true")
    ));
    let found = finding(&two, "bore_rvk/1");
    assert_eq!(found.verdict, Verdict::Uncertain, "{found:#?}");
    let one = judged(&format!("{limit}{}", reading(place, "132 um", "confirmed = true")));
    assert_eq!(
        finding(&one, "bore_rvk/1").verdict,
        Verdict::Bad,
        "a reading with its U below its value still proves it"
    );
}

#[test]
fn a_first_reading_out_of_all_proportion_to_its_limit_is_asked_about() {
    let limit = "[limits.bore_rvk]\nmin = \"0.8 um\"\nmax = \"1.5 um\"\n";
    for (value, asked) in [("1.2 um", false), ("2.9 um", false), ("132 um", true), ("12 um", true)] {
        let surface = judged(&format!("{limit}{}", reading("block.bore_surface.1.rvk", value, "")));
        assert_eq!(!surface.slips.is_empty(), asked, "{value}");
    }
    // No limit of the gap is stated: what a ring gap is about follows from the bore.
    for (value, asked) in [("0.40 mm", false), ("0.9 mm", false), ("4.0 mm", true), ("1000 mm", true)] {
        let gap = judged(&reading("ring.1.top.gap", value, ""));
        assert_eq!(!gap.slips.is_empty(), asked, "{value}");
    }
}

/// A lash, a stem or the bore of fitted shells has no nominal of its own: what it is about follows from the limit, from the sizes of the
/// document, or from what is usual.
#[test]
fn a_first_reading_without_a_neighbour_or_a_nominal_is_asked_about() {
    let valves = |limits: &str, place: &str, value: &str| {
        let text = ENGINE
            .replace("[limits]", &format!("[limits]\n{limits}"))
            .replace("[layout]", "[layout]\nintake_valves = 1\nexhaust_valves = 1")
            .replace("[pistons]", "[valves]\nintake = { stem = \"6.0 mm\" }\n[pistons]");
        let parsed = parse_document(&format!("{text}\n{}", reading(place, value, "")), "test.toml");
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        !assess(&Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new())).slips.is_empty()
    };
    let lash = "lash_intake = { min = \"0.15 mm\", max = \"0.25 mm\" }";
    for (limits, place, value, asked) in [
        (lash, "head.intake.1a.lash", "5 mm", true),
        (lash, "head.intake.1a.lash", "0.30 mm", false),
        // A tight valve is a trouble, no slip.
        (lash, "head.intake.1a.lash", "0.02 mm", false),
        ("", "head.intake.1a.lash", "5 mm", true),
        ("", "head.intake.1a.lash", "0.50 mm", false),
        ("", "head.intake.1a.stem", "60.0 mm", true),
        ("", "head.intake.1a.stem", "5.95 mm", false),
        ("", "main_bearing.1.fitted_bore", "5.608 mm", true),
        ("", "main_bearing.1.fitted_bore", "56.05 mm", false),
        ("", "main_bearing.1.clearance", "0.5 mm", true),
        ("", "main_bearing.1.clearance", "0.02 mm", false),
    ] {
        assert_eq!(valves(limits, place, value), asked, "{place} {value}");
    }
}

/// A hone takes metal off and so does grinding: what comes back smaller, or larger, was read wrong or in another order.
#[test]
fn a_bore_that_shrinks_in_a_hone_is_asked_about() {
    let after = |kind: &str, before: &str, value: &str| {
        let text = format!("[[operations]]\nname = \"cut\"\nkind = \"{kind}\"\n{}", bore(before, ON_PLATE));
        judged(&format!("{text}{}", bore(value, &format!("{ON_PLATE}\nafter = \"cut\""))))
    };
    let shrunk = after("hone", "80.000 mm", "79.991 mm");
    assert_eq!(shrunk.slips.len(), 6, "{:?}", shrunk.slips);
    let SlipKind::AgainstTheCut { from, operations } = &shrunk.slips[0].slip else {
        panic!("{:?}", shrunk.slips)
    };
    assert!((from - 80e-3).abs() < 1e-9);
    assert_eq!(operations, "cut");
    assert_eq!(
        finding(&shrunk, "bore_size/1").verdict,
        Verdict::Uncertain,
        "not until somebody has answered"
    );
    // The same, within what two readings may differ by; larger; and a sleeve, which may be anything.
    for (kind, value) in
        [("hone", "79.998 mm"), ("hone", "80.009 mm"), ("bore", "80.009 mm"), ("sleeve", "79.900 mm")]
    {
        assert_eq!(after(kind, "80.000 mm", value).slips, [], "{kind} {value}");
    }
    let journal = |kind: &str, value: &str| {
        let all = |value: &str, more: &str| -> String {
            ["front.vertical", "front.across", "rear.vertical", "rear.across"]
                .iter()
                .map(|e| {
                    reading(&format!("crank.main.1.{e}"), value, &format!("instrument = \"M1\"\n{more}"))
                })
                .collect()
        };
        let cut = format!("[[operations]]\nname = \"ground\"\nkind = \"{kind}\"\n");
        judged(&format!("{cut}{}{}", all("55.995 mm", ""), all(value, "after = \"ground\""))).slips
    };
    for kind in ["regrind", "polish"] {
        assert_eq!(journal(kind, "56.005 mm").len(), 4, "{kind}: it grew");
        assert_eq!(journal(kind, "55.992 mm"), [], "{kind}");
    }
}

/// Which readings, of which places, and with which gauge.
#[test]
fn a_gauge_that_cannot_see_it_is_named_with_its_readings() {
    let text: String = ["front.vertical", "front.across", "rear.vertical", "rear.across"]
        .iter()
        .map(|e| reading(&format!("crank.main.1.{e}"), "56.000 mm", "instrument = \"B1\""))
        .collect();
    let judged = judged(&text);
    let asked = &finding(&judged, "main_size/1").actions;
    let words = asked[0].text.print(engine::quantity::UnitSystem::Metric);
    assert_eq!(asked.len(), 1, "{asked:?}");
    assert!(words.contains("main 1") && words.contains("and 3 more places"), "{words}");
    assert!(words.contains("B1 is a bore gauge, which cannot"), "{words}");
}

/// What repeats share is not taken off by reading again: the advice names it.
#[test]
fn an_advice_to_read_again_is_given_only_where_it_can_help() {
    let gauges = "[instruments.B2]\nkind = \"bore_gauge\"\nresolution = \"0.001 mm\"\nsetting = \"0.003 mm\"\n\
                  [instruments.B3]\nkind = \"bore_gauge\"\nrepeatability = \"0.006 mm\"\n";
    let advice = |readings: &str| {
        let judged = judged(&format!("{gauges}{readings}"));
        let size = finding(&judged, "bore_size/1");
        assert_eq!(size.verdict, Verdict::Uncertain, "{size:#?}");
        assert_eq!(size.actions.len(), 1, "{:?}", size.actions);
        (size.actions[0].kind, size.actions[0].text.print(engine::quantity::UnitSystem::Metric))
    };
    let on_plate = |gauge: &str| ON_PLATE.replace("B1", gauge);
    // 20 °C ± 5 K on 80 mm of iron: u = 2.4 µm, and the gauge 1.0 µm.
    let cold = bore("80.008 mm", ON_PLATE).replace("temperature = \"20 °C\"\n", "");
    let (kind, words) = advice(&cold);
    assert_eq!(kind, ActionKind::Measure);
    assert!(
        words.contains("temperature of block, not given") && words.contains("of part and gauge"),
        "{words}"
    );
    assert!(words.starts_with("Reading it again cannot tell"), "{words}");
    let (kind, words) = advice(&bore("80.008 mm", &on_plate("B2")));
    assert_eq!(kind, ActionKind::Calibrate);
    assert!(words.contains("B2, setting") && words.contains("against a master"), "{words}");
    // Scatter is what repeats are for: six readings leave u = 2.4 µm.
    let (kind, words) = advice(&bore("80.008 mm", &on_plate("B3")));
    assert_eq!(kind, ActionKind::Measure);
    assert!(words.starts_with("Read it again at the same places, twice each"), "{words}");
}

/// A light alloy casting with liners: no gauge sees the wall of the casting behind a liner, and its hardness is not that of iron. Both are
/// asked for only where a wall or a limit is stated. An iron casting with liners keeps its hardness.
#[test]
fn a_lined_block_is_asked_for_no_casting_bore() {
    const IRON: &str = "material = \"grey_iron\"\ntorque_plate";
    let asked = |block: &str, limits: &str| {
        let text = ENGINE.replacen(IRON, block, 1).replacen("[limits]\n", &format!("[limits]\n{limits}"), 1);
        assert!(block == IRON || text != ENGINE);
        let parsed = parse_document(&text, "test.toml");
        assert!(!parsed.has_errors(), "{:#?}", parsed.diagnostics);
        let engine = Engine::new(parsed.document.expect("parses"), Vec::new(), Vec::new());
        let judged = assess(&engine);
        ["wall", "hardness"].map(|what| {
            let start = format!("block.{what}.");
            let places = engine.catalogue.features.iter().any(|f| f.path.starts_with(&start));
            let found = judged.findings.iter().any(|f| f.code == what);
            assert_eq!(places, found, "{what}: sheet and findings ask alike");
            assert!(what != "wall" || found || judged.findings.iter().all(|f| f.code != "core_shift"));
            found
        })
    };
    let lined = "material = \"aluminium_casting\"\nliner_material = \"grey_iron\"\ntorque_plate";
    assert_eq!(asked(IRON, ""), [true, true]);
    assert_eq!(asked(lined, ""), [false, false]);
    assert_eq!(asked(&lined.replacen("aluminium", "magnesium", 1), ""), [false, false]);
    assert_eq!(asked(lined, "wall = { min = \"4.0 mm\" }\n"), [true, false]);
    assert_eq!(asked(lined, "hardness = { min = \"80 HBW\" }\n"), [false, true]);
    assert_eq!(asked(&IRON.replacen("torque", "liner_material = \"steel\"\ntorque", 1), ""), [false, true]);
    assert_eq!(
        asked(&lined.replacen("liner_material = \"grey_iron\"\n", "", 1), ""),
        [true, true],
        "no liner is stated"
    );
}
