//! Separate barrels, as air-cooled engines have them: what falls away, what is asked of a barrel instead, and which way its shim goes. Both
//! engines are invented; the sums stand beside each check.

use engine::document::{OperationKind, Parsed, parse_document};
use engine::findings::{Finding, Verdict};
use engine::plan::{Outcome, Selection};
use engine::quantity::UnitSystem;
use engine::{Assessment, Engine, Plan, assess, plan};
use std::f64::consts::FRAC_PI_4;

const INCH: f64 = 0.0254;
const CM3: f64 = 1e-6;

const FLAT_FOUR: &str = r#"
crosshatch = 2
[engine]
name = "Air-cooled flat four (invented)"
invented = true
units = "inch"
[layout]
arrangement = "flat"
cylinders = 4
bore = "3.622 in"
stroke = "2.756 in"
intake_valves = 1
exhaust_valves = 1
[block]
cylinders = "separate_barrels"
material = "magnesium_casting"
liner_material = "grey_iron"
barrel_shim = "0.020 in"
[rods]
length = "5.400 in"
[pistons]
dish = "0 cm3"
[gasket]
compressed = "0 in"
[limits]
compression_ratio = { min = "8.0", max = "8.4" }
quench = { min = "0.040 in", max = "0.070 in" }
[instruments.B1]
kind = "bore_gauge"
resolution = "0.0001 in"
[instruments.D1]
kind = "dial_indicator"
resolution = "0.0001 in"
[instruments.P1]
kind = "burette"
resolution = "0.1 cm3"
[instruments.H1]
kind = "height_gauge"
resolution = "0.0002 in"
"#;

const OWN_HEADS: &str = "[head]\ncylinders = [[1], [2], [3], [4]]\n";

const SINGLE: &str = r#"
crosshatch = 2
[engine]
name = "Air-cooled single (invented)"
invented = true
[layout]
arrangement = "inline"
cylinders = 1
bore = "79.000 mm"
stroke = "90.000 mm"
[block]
cylinders = "separate_barrels"
material = "aluminium_casting"
liner_material = "grey_iron"
[rods]
length = "172.0 mm"
[pistons]
dome = "6.0 cm3"
[gasket]
compressed = "0.80 mm"
fire_ring = "80.0 mm"
[limits]
compression_ratio = { min = "8.6", max = "9.0" }
quench = { min = "1.0 mm", max = "2.6 mm" }
[instruments.B1]
kind = "bore_gauge"
resolution = "0.001 mm"
[instruments.D1]
kind = "dial_indicator"
resolution = "0.001 mm"
[instruments.P1]
kind = "burette"
resolution = "0.05 cm3"
"#;

fn read(feature: &str, value: &str, gauge: &str) -> String {
    format!(
        "[[readings]]\nfeature = \"{feature}\"\nvalue = \"{value}\"\ninstrument = \"{gauge}\"\ntemperature = \"20 °C\"\n"
    )
}

/// Bores, chamber and piston below the barrel of each cylinder.
fn cylinders(bore: &str, chamber: &str, below: &[&str]) -> String {
    let mut out = String::new();
    for (cylinder, below) in (1..).zip(below) {
        for height in ["top", "mid", "low"] {
            for way in ["thrust", "along"] {
                out += &read(&format!("block.bore.{cylinder}.{height}.{way}"), bore, "B1");
            }
        }
        out += &read(&format!("head.chamber.{cylinder}"), chamber, "P1");
        for end in ["front", "rear"] {
            out += &read(&format!("cylinder.{cylinder}.below_deck.{end}"), below, "D1");
        }
    }
    out
}

struct Job {
    engine: Engine,
    assessment: Assessment,
    plan: Plan,
}

impl Job {
    fn of(text: &str) -> Self {
        let parsed = parse_document(text, "engine.toml");
        assert!(parsed.diagnostics.is_empty(), "{:#?}", parsed.diagnostics);
        let engine = Engine::new(parsed.document.expect("it is sound"), Vec::new(), Vec::new());
        let assessment = assess(&engine);
        let plan = plan(&engine, &assessment);
        Self { engine, assessment, plan }
    }

    fn finding(&self, id: &str) -> &Finding {
        self.assessment.finding(id).unwrap_or_else(|| panic!("no finding {id}"))
    }

    fn shims(&self) -> &Selection {
        let shims = self.plan.selections.iter().find(|s| s.code == "barrel_shims");
        shims.expect("the shims are chosen")
    }
}

/// Ratio by the definition: swept volume over what is left above the piston, and one.
fn ratio_of(bore: f64, stroke: f64, left: f64) -> f64 {
    1.0 + FRAC_PI_4 * bore * bore * stroke / left
}

/// The flat four at a gap of so many inches, chamber 56 cm³, nothing between head and barrel.
fn ratio_of_four(gap: f64) -> f64 {
    let bore = 3.622 * INCH;
    ratio_of(bore, 2.756 * INCH, 56.0 * CM3 + FRAC_PI_4 * bore * bore * gap * INCH)
}

fn parsed(text: &str) -> Parsed {
    parse_document(text, "engine.toml")
}

/// Deck, walls with core shift, gaskets by bank and a fire ring are not asked for, neither on the sheets nor by findings nor by the plan.
#[test]
fn what_only_a_casting_has_falls_away() {
    let bare = FLAT_FOUR.replace("compressed = \"0 in\"", "");
    for text in [FLAT_FOUR.to_owned(), format!("{FLAT_FOUR}{OWN_HEADS}"), bare, SINGLE.to_owned()] {
        let job = Job::of(&text);
        let gone =
            ["block.wall.", "block.deck_face.", "block.hardness.", "gasket.a.", "block.deck_height.a."];
        for feature in &job.engine.catalogue.features {
            assert!(!gone.iter().any(|start| feature.path.starts_with(start)), "{}", feature.path);
        }
        for finding in &job.assessment.findings {
            let gone = ["wall", "core_shift", "hardness", "deck_flatness", "deck_lean"];
            assert!(!gone.contains(&finding.code), "{}", finding.id);
            assert!(!finding.missing.iter().any(|m| m.contains("fire_ring")), "{}", finding.id);
        }
        assert!(job.plan.cuts.iter().all(|cut| cut.operation != OperationKind::DeckSkim));
        assert!(job.plan.selections.iter().all(|s| s.code != "deck_and_gasket"));
        let labels: std::collections::BTreeSet<&str> =
            job.engine.catalogue.features.iter().map(|f| f.label.as_str()).collect();
        assert_eq!(labels.len(), job.engine.catalogue.features.len(), "each label names one place");
    }
}

/// The same document without the key is a casting as before: 24 walls a cylinder.
#[test]
fn one_casting_is_the_default() {
    let text = FLAT_FOUR
        .replace("cylinders = \"separate_barrels\"\n", "")
        .replace("liner_material = \"grey_iron\"\n", "")
        .replace("barrel_shim = \"0.020 in\"\n", "");
    let job = Job::of(&text);
    let walls = job.engine.catalogue.features.iter().filter(|f| f.path.starts_with("block.wall.")).count();
    assert_eq!(walls, 96);
    assert!(job.assessment.findings.iter().any(|f| f.code == "deck_flatness"));
    assert!(job.assessment.findings.iter().all(|f| !f.code.starts_with("barrel_")));
}

/// Until a gasket is stated or read, its thickness is what is asked for, and 0 answers it.
#[test]
fn an_unstated_gasket_is_asked_for_by_its_barrel() {
    let text = format!(
        "{}{}",
        FLAT_FOUR.replace("compressed = \"0 in\"", ""),
        cylinders("3.622 in", "56.0 cm3", &["0.050 in"; 4])
    );
    let quench = Job::of(&text);
    let missing = &quench.finding("quench/2").missing;
    assert_eq!(missing, &["gasket.2.compressed".to_owned()]);
    let with_gasket = text.replace("[gasket]\n", "[gasket]\ncompressed = \"0.040 in\"\n");
    let ratio = Job::of(&with_gasket);
    let missing = &ratio.finding("compression_ratio/2").missing;
    assert!(missing.iter().any(|m| m.contains("gasket.fire_ring")), "a gasket has room in it: {missing:?}");
}

/// Each cylinder has the ratio and the quench of its own barrel, by hand from the sizes above.
#[test]
fn each_cylinder_has_its_own_deck() {
    let gaps = ["0.050 in", "0.052 in", "0.030 in", "0.048 in"];
    let job = Job::of(&format!("{FLAT_FOUR}{OWN_HEADS}{}", cylinders("3.622 in", "56.0 cm3", &gaps)));
    for (cylinder, gap) in (1..).zip([0.050, 0.052, 0.030, 0.048]) {
        let ratio = job.finding(&format!("compression_ratio/{cylinder}")).value.expect("a ratio").value;
        assert!((ratio - ratio_of_four(gap)).abs() < 1e-6, "cylinder {cylinder}: {ratio}");
        let quench = job.finding(&format!("quench/{cylinder}")).value.expect("a quench").value;
        assert!((quench - gap * INCH).abs() < 1e-9, "cylinder {cylinder}: {quench}");
    }
    // Without a reading at top dead centre it follows from the height of that barrel over the crank, and of no other.
    let heights = read("block.deck_height.2.front", "8.100 in", "H1")
        + &read("block.deck_height.2.rear", "8.102 in", "H1");
    let parts =
        read("rod.2.length", "5.400 in", "H1") + &read("piston.2.compression_height", "1.270 in", "H1");
    let job = Job::of(&format!("{FLAT_FOUR}{heights}{parts}"));
    let quench = job.finding("quench/2").value.expect("predicted");
    assert!(quench.predicted);
    let by_hand = 8.101 - 2.756 / 2.0 - 5.400 - 1.270;
    assert!((quench.value - by_hand * INCH).abs() < 1e-9, "{}", quench.value / INCH);
    assert!(job.finding("quench/1").value.is_none());
    assert_eq!(job.finding("quench/1").missing, ["cylinder.1.below_deck.front"]);
}

/// Barrel 3 stands too low: the finding says that its shim gets thicker and by how much, the plan gives the figure, and the others stay.
#[test]
fn the_shim_of_a_low_barrel_gets_thicker() {
    let gaps = ["0.050 in", "0.050 in", "0.030 in", "0.050 in"];
    let job = Job::of(&format!("{FLAT_FOUR}{OWN_HEADS}{}", cylinders("3.622 in", "56.0 cm3", &gaps)));
    let (ratio, quench) = (job.finding("compression_ratio/3"), job.finding("quench/3"));
    assert_eq!((ratio.verdict, quench.verdict), (Verdict::Bad, Verdict::Bad));
    let said = |finding: &Finding| finding.actions[0].text.print(UnitSystem::Inch);
    // 0.040 − 0.030 and 0.070 − 0.030.
    let words = said(quench);
    assert!(
        words.starts_with("A shim thicker by 0.010 in to 0.040 in under barrel 3 brings the quench inside"),
        "{words}"
    );
    let words = said(ratio);
    assert!(
        words.starts_with("A shim thicker by 0.011 in to ")
            && words.contains("under barrel 3 brings the ratio"),
        "{words}"
    );
    assert!(ratio.actions.iter().all(|a| !a.text.print(UnitSystem::Inch).contains("deck")));

    let shims = job.shims();
    assert!(matches!(shims.outcome, Outcome::Best { .. }), "{:?}", shims.outcome);
    for placement in &shims.placements {
        assert_eq!(placement.stays, placement.instance != "3", "{}", placement.place);
    }
    let change = shims.placements.iter().find(|p| p.instance == "3").expect("barrel 3");
    let gap = 0.030 + change.value / INCH;
    let after = ratio_of_four(gap);
    assert!((0.040..=0.070).contains(&gap) && (8.0..=8.4).contains(&after), "{gap} in, {after}");
    // Common practice, no source: no more than 0.1 apart; the others keep 0.050 in.
    assert!((after - ratio_of_four(0.050)).abs() <= 0.1, "{after}");
    assert!(change.from.print(UnitSystem::Inch).starts_with("thicker by 0.0"), "{:?}", change.from);
    // 0.020 in lies there now.
    let ordered = &job.plan.orders.iter().find(|o| o.item.print(UnitSystem::Inch).starts_with("barrel shim"));
    let ordered = ordered.expect("the shim is ordered").item.print(UnitSystem::Inch);
    let thickness = format!("{:.4} in", 0.020 + change.value / INCH);
    assert!(ordered.contains(&thickness) && ordered.contains("barrel 3"), "{ordered}, {thickness}");
    for id in ["quench/3", "compression_ratio/3"] {
        assert!(shims.settles.iter().any(|s| s == id), "{id}");
    }
    assert!(job.plan.cuts.is_empty(), "{:#?}", job.plan.cuts);
}

/// Under one head both barrels go by the same: the head lies on both.
#[test]
fn barrels_under_one_head_go_together() {
    let gaps = ["0.050 in", "0.050 in", "0.030 in", "0.050 in"];
    let job = Job::of(&format!("{FLAT_FOUR}{}", cylinders("3.622 in", "56.0 cm3", &gaps)));
    let change = |instance: &str| {
        job.shims().placements.iter().find(|p| p.instance == instance).expect("a barrel").value
    };
    assert!(change("1") > 0.0108 * INCH && (change("1") - change("3")).abs() < 1e-12);
    assert_eq!((change("2"), change("4")), (0.0, 0.0));
    // By the same shim they stay apart, and that is said and left to a person.
    let text: Vec<String> = job.plan.undecided.iter().map(|u| u.text.print(UnitSystem::Inch)).collect();
    assert!(text.iter().any(|t| t.contains("no shims bring them together")), "{text:#?}");
    // The barrels of a head have to end at one height: asked of two, not of one alone.
    assert_eq!(job.finding("barrel_match/a").subject.features.len(), 8);
    let own = Job::of(&format!("{FLAT_FOUR}{OWN_HEADS}"));
    assert!(own.assessment.findings.iter().all(|f| f.code != "barrel_match"));
    assert_eq!(own.assessment.findings.iter().filter(|f| f.code == "head_flatness").count(), 4);
    assert_eq!(job.assessment.findings.iter().filter(|f| f.code == "head_flatness").count(), 2);
}

/// Heights round a barrel and between the barrels of a head: largest less smallest, by hand, with the shims where they are read.
#[test]
fn barrels_are_parallel_and_of_one_height() {
    let heights = |cylinder: u32, four: [&str; 4]| -> String {
        let places = ["front", "rear", "in", "out"].into_iter().zip(four);
        places.map(|(at, value)| read(&format!("barrel.{cylinder}.height.{at}"), value, "H1")).collect()
    };
    let text = format!(
        "{FLAT_FOUR}{}{}",
        heights(1, ["3.7500 in", "3.7500 in", "3.7500 in", "3.7500 in"]),
        heights(3, ["3.7400 in", "3.7400 in", "3.7360 in", "3.7440 in"])
    );
    let job = Job::of(&text);
    assert_eq!(job.finding("barrel_parallel/1").verdict, Verdict::Good);
    let leaning = job.finding("barrel_parallel/3");
    // 3.744 − 3.736 in against the usual 0.05 mm.
    assert!((leaning.value.expect("a value").value - 0.008 * INCH).abs() < 1e-9);
    assert_eq!(leaning.verdict, Verdict::Bad);
    let uneven = job.finding("barrel_match/a");
    assert!((uneven.value.expect("a value").value - 0.010 * INCH).abs() < 1e-9);
    assert_eq!(uneven.verdict, Verdict::Bad);
    let shims = read("barrel.1.shim", "0.0200 in", "H1") + &read("barrel.3.shim", "0.0300 in", "H1");
    let level = Job::of(&format!("{text}{shims}"));
    assert!(level.finding("barrel_match/a").value.expect("a value").value.abs() < 1e-9);
}

/// A single whose barrel stands too high: thinner, from what lies there; and where less lies there than has to go, that is said.
#[test]
fn the_shim_of_a_high_barrel_gets_thinner() {
    let readings = cylinders("79.000 mm", "50.0 cm3", &["2.60 mm"]);
    let with_shim = |shim: &str| SINGLE.replace("[block]\n", &format!("[block]\nbarrel_shim = \"{shim}\"\n"));
    let job = Job::of(&format!("{}{readings}", with_shim("1.50 mm")));
    // 50 − 6 cm³, 0.8 mm in a ring of 80 mm, 2.6 mm in the bore.
    let left = |gap: f64| 44.0 * CM3 + FRAC_PI_4 * (0.080 * 0.080 * 0.8e-3 + 0.079 * 0.079 * gap * 1e-3);
    let now = ratio_of(0.079, 0.090, left(2.60));
    let ratio = job.finding("compression_ratio/1");
    assert!((ratio.value.expect("a ratio").value - now).abs() < 1e-6 && now < 8.6, "{now}");
    let words = ratio.actions[0].text.print(UnitSystem::Metric);
    assert!(words.starts_with("A shim thinner by ") && words.contains("under barrel 1"), "{words}");
    let change = &job.shims().placements[0];
    assert!(change.value < 0.0 && change.value > -1.5e-3);
    let gap = 2.60 + change.value * 1e3;
    let after = ratio_of(0.079, 0.090, left(gap));
    assert!((8.6..=9.0).contains(&after) && (1.0..=2.6).contains(&(gap + 0.8)), "{after} at {gap}");
    let thin = Job::of(&format!("{}{readings}", with_shim("0.10 mm")));
    let words = thin.shims().placements[0].from.print(UnitSystem::Metric);
    assert!(words.contains("only 0.100 mm lies there"), "{words}");
    let unsaid = Job::of(&format!("{SINGLE}{readings}"));
    let words = unsaid.shims().placements[0].from.print(UnitSystem::Metric);
    assert!(words.contains("state how thick the shim is now"), "{words}");
}

/// Quench and ratio that pull a barrel two ways have no shim: the plan says what each asks for and which limit would have to give.
#[test]
fn no_shim_is_named_where_none_helps() {
    let readings = cylinders("79.000 mm", "60.0 cm3", &["0.10 mm"]);
    let job = Job::of(&format!("{SINGLE}{readings}"));
    let Outcome::Relax { relax, .. } = &job.shims().outcome else { panic!("{:?}", job.shims().outcome) };
    let words = relax[0].print(UnitSystem::Metric);
    assert!(
        words.starts_with(
            "Cylinder 1: the limit of its quench is met with a shim thicker by 0.100 mm, that of its ratio with one thinner by "
        ),
        "{words}"
    );
    assert!(words.contains("Compression ratio, least: from 8.60 to ") && words.contains("Quench"), "{words}");
    assert!(job.shims().placements.is_empty());
}

/// Another shim moves what is read over that barrel, and nothing over the others.
#[test]
fn another_shim_makes_its_own_readings_old() {
    let readings = cylinders("3.622 in", "56.0 cm3", &["0.050 in"; 4]);
    let changed = "[[operations]]\nname = \"shim 3\"\nkind = \"barrel_shim\"\nonly = [\"3\"]\n";
    let job = Job::of(&format!("{FLAT_FOUR}{OWN_HEADS}{changed}{readings}"));
    for cylinder in 1..=4 {
        assert_eq!(job.finding(&format!("quench/{cylinder}")).stale, cylinder == 3, "cylinder {cylinder}");
        assert!(!job.finding(&format!("bore_size/{cylinder}")).stale);
    }
}

/// What is written and not used is said where it stands; heads name each cylinder once.
#[test]
fn a_document_is_told_what_does_not_apply() {
    let at = |text: &str| -> Vec<(String, bool)> {
        parsed(text).diagnostics.iter().map(|d| (d.path.clone(), d.is_error())).collect()
    };
    let stock = FLAT_FOUR.replace("[block]\n", "[block]\ndeck_stock = \"0.010 in\"\nwall = \"0.200 in\"\n");
    assert_eq!(at(&stock), [("block.deck_stock".to_owned(), false), ("block.wall".to_owned(), false)]);
    let casting = FLAT_FOUR.replace("\"separate_barrels\"", "\"one_casting\"");
    assert_eq!(at(&casting), [("block.barrel_shim".to_owned(), false)]);
    let twice = format!("{FLAT_FOUR}[head]\ncylinders = [[1, 3], [2, 3]]\n");
    let found = parsed(&twice).diagnostics;
    assert!(found.iter().any(|d| d.is_error() && d.message == "cylinder 3 is named twice"), "{found:#?}");
    assert!(found.iter().any(|d| d.is_error() && d.message == "cylinder 4 is not named"), "{found:#?}");
    let word = FLAT_FOUR.replace("separate_barrels", "separate barrels");
    let found = parsed(&word).diagnostics;
    assert!(found[0].is_error() && format!("{found:?}").contains("separate_barrels"), "{found:#?}");
}
