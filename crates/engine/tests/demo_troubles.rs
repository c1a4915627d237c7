//! The demo engines (both invented) as a person sees them: each planted trouble is found with its action, each decoy is
//! good, and nothing else is called out than what follows from a planted trouble.
//!
//! The expected figures are those of the demo's own description, which were computed by hand; `demo_documents.rs` gets them
//! from the files a second time by plain arithmetic.
#![allow(clippy::print_stdout)] // The table is what the test is for: see it with `-- --nocapture`.

use engine::document::{OperationKind, parse_with_readings};
use engine::findings::{ActionKind, Finding, Verdict};
use engine::quantity::UnitSystem;
use engine::readings::SlipKind;
use engine::{Assessment, Engine, Plan, assess, plan};

const MM: f64 = 1e-3;
const CM3: f64 = 1e-6;
/// Half of the last digit that a demo figure is stated to.
const HALF_MICROMETRE: f64 = 0.5e-6;

struct Demo {
    name: &'static str,
    engine: Engine,
    assessment: Assessment,
    plan: Plan,
}

fn demo(name: &'static str, text: &str, csv: &str) -> Demo {
    let parsed = parse_with_readings(text, &format!("{name}.toml"), csv, &format!("{name}.readings.csv"));
    assert!(parsed.diagnostics.is_empty(), "{name}: {:#?}", parsed.diagnostics);
    let engine = Engine::new(parsed.document.expect("no diagnostics"), Vec::new(), Vec::new());
    let assessment = assess(&engine);
    let plan = plan(&engine, &assessment);
    Demo { name, engine, assessment, plan }
}

fn four() -> Demo {
    demo(
        "hill-climb four",
        include_str!("../../../examples/hill-climb-four.toml"),
        include_str!("../../../examples/hill-climb-four.readings.csv"),
    )
}

fn v8() -> Demo {
    demo(
        "pushrod V8",
        include_str!("../../../examples/pushrod-v8.toml"),
        include_str!("../../../examples/pushrod-v8.readings.csv"),
    )
}

fn both() -> Vec<Demo> {
    vec![four(), v8()]
}

/// What has to stand in the plan.
enum InPlan {
    /// One line of the order list: words in it, how many.
    Order(&'static str, u32),
    /// One cut: operation, part, size to reach with half of its last stated digit.
    Cut(OperationKind, &'static str, Option<(f64, f64)>),
    /// A cut that waits for a finding.
    Held(OperationKind, &'static str, &'static str),
    /// Selection, place, what goes there, what results (SI), half of its last stated digit.
    Place(&'static str, &'static str, &'static str, f64, f64),
}

struct Trouble {
    name: &'static str,
    /// Finding that names it, and its verdict.
    finding: &'static str,
    verdict: Verdict,
    /// Value in SI with half of the last digit that the demo states.
    value: (f64, f64),
    /// Actions: kind and words.
    actions: &'static [(ActionKind, &'static str)],
    plan: &'static [InPlan],
}

use ActionKind::{Ask, Cut, File, Hold, Order, Place, Refit};
use OperationKind as K;
use Verdict::{Bad, Uncertain};

#[rustfmt::skip]
const FOUR: &[Trouble] = &[
    Trouble {
        name: "1 core shift, bore 3", finding: "wall/3", verdict: Bad, value: (2.67 * MM, 0.005 * MM),
        actions: &[(Hold, "calibrate the gauge on this casting and map this bore again, 8 directions at 3 heights"), (Cut, "sleeve this bore, reject the casting, or limit the cylinder pressure")],
        plan: &[InPlan::Cut(K::Sleeve, "bore 3", None)],
    },
    Trouble {
        name: "2 taper, bore 2", finding: "bore_taper/2", verdict: Bad, value: (0.021 * MM, HALF_MICROMETRE),
        actions: &[(Cut, "Hone to 89.105 mm over the full length")],
        plan: &[
            InPlan::Cut(K::Hone, "bore 2", Some((89.105 * MM, HALF_MICROMETRE))),
            InPlan::Place("pistons", "bore 1", "piston 3", 0.085 * MM, HALF_MICROMETRE),
            InPlan::Place("pistons", "bore 2", "piston 1", 0.084 * MM, HALF_MICROMETRE),
            InPlan::Place("pistons", "bore 3", "piston 2", 0.086 * MM, HALF_MICROMETRE),
            InPlan::Place("pistons", "bore 4", "piston 4", 0.085 * MM, HALF_MICROMETRE),
        ],
    },
    Trouble {
        name: "3 main cap off line, main 3", finding: "main_line/3", verdict: Bad, value: (0.0285 * MM, HALF_MICROMETRE),
        actions: &[(Refit, "clean its register, seat it again"), (Cut, "cut the caps 0.05 mm and align hone all")],
        plan: &[InPlan::Cut(K::CapSeat, "main 3", None)],
    },
    Trouble {
        name: "4 worn journal, pin 2", finding: "rod_clearance/2", verdict: Bad, value: (0.066 * MM, HALF_MICROMETRE),
        actions: &[(Order, "Fit both shells of grade thick (1.4925 mm): clearance becomes 0.054 mm")],
        plan: &[
            InPlan::Order("rod shell pair, grade thick 1.4925 mm", 1),
            InPlan::Place("rod_shells", "rod 2", "both halves thick, 1.4925 mm", 0.054 * MM, HALF_MICROMETRE),
        ],
    },
    Trouble {
        name: "5 top ring gap, cylinder 2", finding: "top_ring_gap/2.top", verdict: Bad, value: (0.34 * MM, HALF_MICROMETRE),
        actions: &[(File, "File to 0.54 mm in the honed bore, square at 25 mm")],
        plan: &[InPlan::Cut(K::RingFile, "top ring 2", Some((0.54 * MM, HALF_MICROMETRE))), InPlan::Held(K::RingFile, "top ring 2", "bore_taper/2")],
    },
    Trouble {
        name: "5 top ring gap, cylinder 4", finding: "top_ring_gap/4.top", verdict: Bad, value: (0.37 * MM, HALF_MICROMETRE),
        actions: &[(File, "File to 0.54 mm in the honed bore, square at 25 mm")],
        plan: &[InPlan::Cut(K::RingFile, "top ring 4", Some((0.54 * MM, HALF_MICROMETRE)))],
    },
    Trouble {
        name: "6 lash, 1 intake a", finding: "lash/intake.1a", verdict: Bad, value: (0.31 * MM, 0.005 * MM),
        actions: &[(Place, "Change the shim")],
        plan: &[InPlan::Place("lash_shims", "valve 1 intake a", "shim 2.75 mm", 0.21 * MM, 0.005 * MM)],
    },
    Trouble {
        name: "6 lash, 2 intake b", finding: "lash/intake.2b", verdict: Bad, value: (0.14 * MM, 0.005 * MM),
        actions: &[(Place, "Change the shim")],
        plan: &[InPlan::Place("lash_shims", "valve 2 intake b", "shim 2.70 mm", 0.24 * MM, 0.005 * MM)],
    },
    Trouble {
        name: "6 lash, 3 exhaust a", finding: "lash/exhaust.3a", verdict: Bad, value: (0.43 * MM, 0.005 * MM),
        actions: &[(Place, "Change the shim")],
        plan: &[InPlan::Place("lash_shims", "valve 3 exhaust a", "shim 2.65 mm", 0.33 * MM, 0.005 * MM)],
    },
    Trouble {
        name: "6 lash, 4 exhaust b", finding: "lash/exhaust.4b", verdict: Bad, value: (0.22 * MM, 0.005 * MM),
        actions: &[(Place, "Change the shim")],
        plan: &[
            InPlan::Order("lash shim 2.60 mm", 1),
            InPlan::Place("lash_shims", "valve 4 exhaust b", "shim 2.60 mm", 0.32 * MM, 0.005 * MM),
        ],
    },
    Trouble {
        name: "7 spring 3 intake b", finding: "coil_bind_margin/intake.3b", verdict: Bad, value: (0.40 * MM, 0.005 * MM),
        actions: &[(Refit, "Take 0.90 mm of shim out")],
        plan: &[InPlan::Cut(K::SpringShim, "spring 3 intake b", Some((34.00 * MM, 0.005 * MM)))],
    },
    Trouble {
        name: "8 chamber 4", finding: "chamber/4", verdict: Bad, value: (41.30 * CM3, 0.005 * CM3),
        actions: &[(Cut, "Relieve 0.50 cm³ around the plug, not by sinking a valve")],
        plan: &[InPlan::Cut(K::ChamberRelief, "chamber 4", Some((41.80 * CM3, 0.005 * CM3)))],
    },
    Trouble {
        // 712 against a median of 750 cm³/min.
        name: "injector 2 of cylinder 3, 5 % short", finding: "injector_flow/3.2", verdict: Bad, value: (-0.0507, 0.0005),
        actions: &[(Refit, "Clean this injector and read it again")],
        plan: &[],
    },
    Trouble {
        name: "9 thousandths, rod 3 side", finding: "rod_side_clearance/3", verdict: Uncertain, value: (9.8 * MM, HALF_MICROMETRE),
        actions: &[(Ask, "confirm it or correct it")],
        plan: &[],
    },
];

#[rustfmt::skip]
const V8: &[Trouble] = &[
    Trouble {
        name: "deck of bank b leans", finding: "deck_lean/b", verdict: Bad, value: (0.006 * 25.4 * MM, 0.0005 * 25.4 * MM),
        actions: &[(Cut, "Skim this deck parallel to the main tunnel, down to its low corner")],
        plan: &[InPlan::Cut(K::DeckSkim, "deck B", None)],
    },
    Trouble {
        name: "short pushrod", finding: "pushrod/exhaust.7a", verdict: Bad, value: (8.090 * 25.4 * MM, 0.0005 * 25.4 * MM),
        actions: &[(Order, "One pushrod of 8.140 in")],
        plan: &[InPlan::Order("pushrod of 8.140 in", 1)],
    },
    Trouble {
        name: "worn pin 3, rod 3", finding: "rod_clearance/3", verdict: Bad, value: (0.0035 * 25.4 * MM, 0.00005 * 25.4 * MM),
        actions: &[(Order, "Fit both shells of grade thick (0.0622 in): clearance becomes 0.0025 in")],
        plan: &[
            InPlan::Order("rod shell pair, grade thick 0.0622 in", 2),
            InPlan::Place("rod_shells", "rod 3", "both halves thick, 0.0622 in", 0.0025 * 25.4 * MM, 0.00005 * 25.4 * MM),
        ],
    },
    Trouble {
        name: "millimetres among inches, rod 4", finding: "rod_clearance/4", verdict: Uncertain, value: (0.066 * 25.4 * MM, 0.00005 * 25.4 * MM),
        actions: &[(Ask, "confirm it or correct it")],
        plan: &[],
    },
];

/// What else is `bad` or `uncertain`, and from which trouble it follows.
const FOUR_FOLLOWS: &[(&str, &str)] = &[
    ("core_shift/3", "1: the wall is thin because the core has shifted"),
    ("main_step/2", "3: the step from main 2 to the housing that is off line"),
    ("main_step/3", "3: the step from the housing that is off line to main 4"),
    ("main_housing_round/3", "3: 60.524 against 60.490, the cap is not seated"),
    ("main_clearance/3", "3: the clearance follows the housing, and its action is to settle the housing"),
    ("pin_size/2", "4: the same worn pin"),
    ("ring_butting/2", "5: the same gap when hot"),
    ("ring_butting/4", "5: the same gap when hot"),
    ("seat_load/intake.3b", "7: the same spring, 367 N for 330"),
    ("spring_installed/intake.3b", "7: the same height against its own range"),
    ("compression_spread/1", "8: 9.27 against 9.20"),
    ("piston_clearance/1", "2: as numbered bore 1 stands below the limit, 0.079"),
    ("piston_clearance/2", "2: the mean of the tapered bore 2 puts its piston near the limit"),
];

const V8_FOLLOWS: &[(&str, &str)] = &[
    ("pin_size/3", "the same worn pin against its own range"),
    ("rod_clearance/7", "rods 3 and 7 share pin 3"),
];

/// Looks bad and is not: what is planted, and the finding that must stay good.
const DECOYS: &[(&str, &str)] = &[
    ("bore 1 read 89.107 at 27 °C", "bore_size/1"),
    ("bore 1 read 89.107 at 27 °C", "bore_taper/1"),
    ("piston 3 read at 24 °C", "piston_clearance/3"),
    ("one hardness dent of 203", "hardness/1"),
    ("spring 1 exhaust a 2 % soft", "seat_load/exhaust.1a"),
    ("top ring gap 0.52 in cylinder 1", "top_ring_gap/1.top"),
    ("top ring gap 0.52 in cylinder 1, hot", "ring_butting/1"),
    ("lash 0.335 at 2 exhaust a", "lash/exhaust.2a"),
    ("deck turned to Rz 8 µm", "deck_roughness/a"),
    ("head face turned to Rz 8 µm", "head_roughness/a"),
    ("chamber 41.75", "chamber/1"),
    ("chamber 41.75", "compression_ratio/1"),
];

/// Planted in the same engine, for physics that is not there yet: nothing may speak of them.
const NOT_YET: &[(&str, &[&str])] = &[
    ("10 head restrictor 2.4 mm", &["restrictor", "drain"]),
    ("11 head studs M10", &["stud", "clamp"]),
    ("12 torsion, solid hub", &["torsion", "damper", "critical"]),
];

fn finding<'a>(demo: &'a Demo, id: &str) -> &'a Finding {
    demo.assessment.finding(id).unwrap_or_else(|| panic!("{}: no finding {id}", demo.name))
}

/// What is missing of a trouble; nothing when all of it is there.
fn shortcomings(demo: &Demo, trouble: &Trouble) -> Vec<String> {
    let units = demo.engine.units();
    let found = finding(demo, trouble.finding);
    let mut missing = Vec::new();
    if found.verdict != trouble.verdict {
        missing.push(format!("verdict {} instead of {}", found.verdict.word(), trouble.verdict.word()));
    }
    let value = found.value.map_or(f64::NAN, |v| v.value);
    if (value - trouble.value.0).abs().partial_cmp(&trouble.value.1) != Some(std::cmp::Ordering::Less) {
        missing.push(format!("value {value} instead of {}", trouble.value.0));
    }
    for (kind, words) in trouble.actions {
        if !found.actions.iter().any(|a| a.kind == *kind && a.text.print(units).contains(words)) {
            let said: Vec<String> =
                found.actions.iter().map(|a| format!("{:?} {}", a.kind, a.text.print(units))).collect();
            missing.push(format!("no action {kind:?} “{words}” among {said:?}"));
        }
    }
    missing.extend(trouble.plan.iter().filter(|p| !in_plan(&demo.plan, p, units)).map(plan_words));
    missing
}

fn in_plan(plan: &Plan, wanted: &InPlan, units: UnitSystem) -> bool {
    match wanted {
        InPlan::Order(words, quantity) => {
            plan.orders.iter().any(|o| o.item.print(units).contains(words) && o.quantity == *quantity)
        }
        InPlan::Cut(operation, part, to) => plan.cuts.iter().any(|c| {
            let reaches =
                to.is_none_or(|(size, half)| c.to.is_some_and(|reached| (reached - size).abs() < half));
            c.operation == *operation && c.part == *part && reaches
        }),
        InPlan::Held(operation, part, by) => plan
            .cuts
            .iter()
            .any(|c| c.operation == *operation && c.part == *part && c.held_by.iter().any(|h| h == by)),
        InPlan::Place(code, place, what, value, half) => plan
            .selections
            .iter()
            .filter(|s| s.code == *code)
            .flat_map(|s| &s.placements)
            .any(|p| p.place == *place && p.what.print(units) == *what && (p.value - value).abs() < *half),
    }
}

fn plan_words(wanted: &InPlan) -> String {
    match wanted {
        InPlan::Order(words, quantity) => format!("no order {quantity} × {words}"),
        InPlan::Cut(operation, part, to) => format!("no cut {operation:?} of {part} to {to:?}"),
        InPlan::Held(operation, part, by) => format!("{operation:?} of {part} does not wait for {by}"),
        InPlan::Place(code, place, what, value, _) => format!("{code}: no {what} in {place} with {value}"),
    }
}

/// Findings that are `bad` or `uncertain` and belong to no planted trouble.
fn alarms<'a>(demo: &'a Demo, troubles: &[Trouble], follows: &[(&str, &str)]) -> Vec<&'a str> {
    demo.assessment
        .findings
        .iter()
        .filter(|f| matches!(f.verdict, Bad | Uncertain))
        .map(|f| f.id.as_str())
        .filter(|id| !troubles.iter().any(|t| t.finding == *id) && !follows.iter().any(|f| f.0 == *id))
        .collect()
}

#[test]
fn every_planted_trouble_is_found_with_its_action_and_nothing_else_is_called_out() {
    let mut wrong = Vec::new();
    for (demo, (troubles, follows)) in both().iter().zip([(FOUR, FOUR_FOLLOWS), (V8, V8_FOLLOWS)]) {
        println!("\n{}", demo.name);
        for trouble in troubles {
            let missing = shortcomings(demo, trouble);
            let word = if missing.is_empty() { "found" } else { "MISSING" };
            println!(
                "  {word:8} {:36} {:10} {}",
                trouble.name,
                finding(demo, trouble.finding).verdict.word(),
                trouble.finding
            );
            wrong.extend(missing.into_iter().map(|m| format!("{}, {}: {m}", demo.name, trouble.name)));
        }
        for (id, reason) in follows {
            let verdict = finding(demo, id).verdict;
            println!("  follows  {id:36} {:10} {reason}", verdict.word());
            if !matches!(verdict, Bad | Uncertain) {
                wrong.push(format!("{}: {id} is {} and follows from nothing", demo.name, verdict.word()));
            }
        }
        let alarms = alarms(demo, troubles, follows);
        println!("  others   bad or uncertain without a planted cause: {alarms:?}");
        wrong.extend(alarms.into_iter().map(|id| format!("{}: a false alarm, {id}", demo.name)));
    }
    println!("  decoys of the four");
    let demo = four();
    for (name, id) in DECOYS {
        let verdict = finding(&demo, id).verdict;
        println!("  {:8} {name:36} {id}", verdict.word());
        if verdict != Verdict::Good {
            wrong.push(format!("decoy {name}: {id} is {}", verdict.word()));
        }
    }
    for (name, _) in NOT_YET {
        println!("  not yet  {name}");
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_orders_are_those_and_no_others() {
    let demo = four();
    let items: Vec<String> = demo
        .plan
        .orders
        .iter()
        .filter(|o| o.only_if.is_none())
        .map(|o| format!("{} × {}", o.quantity, o.item.print(UnitSystem::Metric)))
        .collect();
    assert_eq!(items, ["1 × lash shim 2.60 mm"]);
    let conditional: Vec<&str> = demo.plan.orders.iter().filter_map(|o| o.only_if).collect();
    let worn = "the journal passes its test for cracks and hardness, and the crank maker allows its size";
    assert_eq!(
        conditional,
        [worn, "the second map finds the wall as thin"],
        "the shells of the worn pin, the sleeve of bore 3"
    );
    // The skim of deck B drives its ratios 0.14 from those of deck A; the thickest gasket on B brings them to 0.11 of 0.12 allowed.
    // The thinnest on A brings them to 0.08, but leaves four quenches in doubt. By the order of the page the first is better (tried
    // one by one in `plan/select/deck.rs`: every pair of gaskets with every pair of cuts by 2 µm).
    let items: Vec<String> = v8()
        .plan
        .orders
        .iter()
        .map(|o| format!("{} × {}, {}", o.quantity, o.item.print(UnitSystem::Inch), o.supplier))
        .collect();
    assert_eq!(
        items,
        [
            "2 × rod shell pair, grade thick 0.0622 in, bearing house",
            "1 × head gasket, compressed 0.045 in (deck B, to follow its skim), gasket maker",
            "1 × One pushrod of 8.140 in (valve 7 exhaust), pushrod maker"
        ]
    );
}

#[test]
fn slips_are_asked_about_and_never_converted() {
    for (demo, (path, kind, read, likely)) in both().iter().zip([
        ("rod.3.side_clearance", SlipKind::Thousandths, 9.8 * MM, 0.249 * MM),
        ("rod_bearing.4.clearance", SlipKind::Millimetres, 0.066 * 25.4 * MM, 0.066 * MM),
    ]) {
        let [slip] = demo.assessment.slips.as_slice() else {
            panic!("{}: one slip is planted: {:?}", demo.name, demo.assessment.slips)
        };
        assert_eq!((slip.feature.as_str(), &slip.slip), (path, &kind));
        assert!((slip.read - read).abs() < 1e-9, "as read");
        assert!((slip.likely.unwrap_or_default() - likely).abs() < HALF_MICROMETRE, "{slip:?}");
        let place = demo.engine.catalogue.find(path).expect("the place is there");
        let size = demo.assessment.sizes.of_feature[place].as_ref().expect("it was read");
        // Within a tenth of a micrometre: the correction to 20 °C of so small a length.
        assert!((size.value.value() - read).abs() < 1e-7, "the size is what was typed");
    }
}

/// The wall passed before the cut: the finding says so, and carries the shared speed of sound.
#[test]
fn the_thin_wall_is_seen_before_the_cut_hides_it() {
    let demo = four();
    let wall = finding(&demo, "wall/3");
    let why = wall.why.print(UnitSystem::Metric);
    assert!(why.contains("2.92 ± 0.15 mm before the cut, 2.67 ± 0.15 mm after it"), "{why}");
    let expanded = wall.value.expect("it was mapped").expanded;
    assert!((expanded - 0.15 * MM).abs() < 0.005 * MM, "U {expanded}");
    let hold = wall.actions.first().expect("an action");
    assert_eq!(hold.kind, Hold, "what comes first is not to bore");
}

#[test]
fn the_spring_gets_its_seat_load_back_and_the_caution_stands_beside_it() {
    let demo = four();
    let spring = finding(&demo, "coil_bind_margin/intake.3b");
    let action = spring.actions.first().expect("an action");
    assert!(action.effect.print(UnitSystem::Metric).contains("seat load 367 N to 330 N"));
    assert!(action.caution.is_some(), "a compressed spring can injure");
}

#[test]
fn the_small_chamber_gives_its_ratio_away() {
    let demo = four();
    let ratio = |c: u32| finding(&demo, &format!("compression_ratio/{c}")).value.expect("read").value;
    assert!((ratio(4) - 9.27).abs() < 0.005, "{}", ratio(4));
    for cylinder in 1..=3 {
        assert!((9.195..9.215).contains(&ratio(cylinder)), "cylinder {cylinder}: {}", ratio(cylinder));
    }
}

/// Oil circuit, studs and torsion come with later physics; a finding that spoke of them now would be made up.
#[test]
fn what_is_not_yet_looked_at_is_not_spoken_of() {
    for demo in both() {
        let units = demo.engine.units();
        for finding in &demo.assessment.findings {
            let mut said = format!("{} {} {}", finding.id, finding.title(), finding.why.print(units));
            for action in &finding.actions {
                said = format!("{said} {} {}", action.text.print(units), action.effect.print(units));
            }
            let said = said.to_lowercase();
            for (trouble, words) in NOT_YET {
                let word = words.iter().find(|w| said.contains(**w));
                assert!(word.is_none(), "{}: {} speaks of {trouble}: {said}", demo.name, finding.id);
            }
        }
    }
}

/// Findings that stop the build or cannot be told, and of which the plan says nothing.
fn forgotten<'a>(assessment: &'a Assessment, plan: &Plan) -> Vec<&'a str> {
    let made = plan.cuts.iter().map(|c| &c.settles).chain(plan.orders.iter().map(|o| &o.settles));
    let read = plan.measure_next.iter().map(|m| &m.settles).chain(plan.selections.iter().map(|s| &s.settles));
    let rest = plan.bench.iter().map(|t| &t.settles).chain(plan.undecided.iter().map(|u| &u.settles));
    let named: Vec<&String> = made.chain(read).chain(rest).flatten().collect();
    let open = assessment.findings.iter().filter(|f| matches!(f.verdict, Bad | Uncertain));
    open.map(|f| f.id.as_str()).filter(|id| !named.iter().any(|n| n == id)).collect()
}

#[test]
fn every_open_finding_has_its_line_in_the_plan() {
    for demo in both() {
        assert_eq!(forgotten(&demo.assessment, &demo.plan), Vec::<&str>::new(), "{}", demo.name);
    }
}

/// Where a limit is drawn that nothing can keep, a person must decide, and the plan says about which finding.
#[test]
fn what_no_arrangement_settles_is_left_to_a_person_by_name() {
    let mut demo = four();
    let clearance = demo.engine.document.limits.piston_clearance.as_mut().expect("the demo has it");
    let times = |factor: f64| move |l: engine::quantity::Length| engine::quantity::Length(l.0 * factor);
    (clearance.min, clearance.max, clearance.target) =
        (clearance.max.map(times(3.0)), clearance.max.map(times(3.1)), None);
    demo.assessment = assess(&demo.engine);
    demo.plan = plan(&demo.engine, &demo.assessment);
    assert_eq!(forgotten(&demo.assessment, &demo.plan), Vec::<&str>::new());
    let line = demo
        .plan
        .undecided
        .iter()
        .find(|u| u.settles.iter().any(|id| id == "piston_clearance/4"))
        .expect("the clearance of this piston is undecided");
    let words = line.text.print(UnitSystem::Metric);
    assert!(words.starts_with("piston 4, skirt clearance, cold: a person must decide. No "), "{words}");
}

/// Prices of the demo's own list, added by hand: 6.50 shim; with the shells of the worn pin 31.00, the hone 45.00, which is held by the thin wall of bore
/// 3, and with sleeve 85.00, its job 390.00 and its hone 45.00, and the align hone 310.00, where the second look at wall and cap asks for them. Days: the shim 3, longer than cap
/// 0.5, hone 2 and rings 0.1 one after the other; with the sleeve 7 to come, 8 to press, 2 to hone, 0.1 for the rings in the finished bore.
#[test]
fn the_sum_keeps_what_is_sure_apart_from_what_may_be_needed() {
    let plan = four().plan;
    assert_eq!(plan.currency, "EUR");
    assert!((plan.sure.price - 6.5).abs() < 1e-9, "{:?}", plan.sure);
    assert!((plan.if_needed.price - 912.5).abs() < 1e-9, "{:?}", plan.if_needed);
    assert_eq!((plan.sure.unpriced, plan.if_needed.unpriced), (0, 0));
    assert_eq!(plan.sure.longest_days, Some(3.0));
    assert!((plan.if_needed.longest_days.expect("days") - 17.1).abs() < 1e-9, "{:?}", plan.if_needed);
    let said = plan.if_needed.waits().print(UnitSystem::Metric);
    let chain = "(sleeve (bore 3) arrives: 7 days, then sleeve bore 3: 8 days, then hone bore 2 and bore 3: 2 days, then file ";
    assert!(said.starts_with("the longest wait 17.1 days ") && said.contains(chain), "{said}");
    let conditional: Vec<_> = plan.cuts.iter().filter(|c| c.only_if.is_some()).map(|c| c.operation).collect();
    assert_eq!(conditional, [K::AlignHone, K::Sleeve, K::Hone]);
    let v8 = v8().plan;
    assert_eq!(v8.currency, "USD");
    // The pair of shells of a worn pin, 35.00, waits for its test; the pushrod, 14.00, for the skim of its deck.
    assert!((v8.if_needed.price - v8.sure.price - 49.0).abs() < 1e-9, "{v8:?}");
}

/// The ports were on the flow bench before the seats were cut: what was read then is stale and asked for again.
#[test]
fn flow_bench_readings_from_before_the_seats_were_cut_are_asked_for_again() {
    let demo = four();
    for side in ["intake", "exhaust"] {
        let found = finding(&demo, &format!("port_flow/{side}"));
        assert!(found.stale, "{side}");
        assert!(found.actions.iter().any(|a| a.kind == ActionKind::Measure), "{side}");
        let asked = demo.plan.measure_next.iter().filter(|g| g.table == format!("{side}_ports"));
        let places: usize = asked.map(|g| g.features.len()).sum();
        assert_eq!(places, 28, "four ports at seven lifts");
    }
    let chamber = finding(&demo, "chamber/1");
    assert!(!chamber.stale, "read after the seats were cut");
}

#[test]
fn no_sheet_says_good_while_one_of_its_rows_is_bad() {
    for demo in both() {
        let mut bad_only_by_others = 0;
        for note in &demo.assessment.sheets {
            let bad: Vec<&Finding> = demo
                .assessment
                .findings
                .iter()
                .filter(|f| f.sheet == note.sheet && f.verdict == Verdict::Bad)
                .collect();
            if bad.is_empty() {
                continue;
            }
            bad_only_by_others += usize::from(note.stops == 0);
            let said = match note.stops {
                0 if bad.len() == 1 => "1 follows from elsewhere".to_owned(),
                0 => format!("{} follow from elsewhere", bad.len()),
                1 => "1 stops the build".to_owned(),
                more => format!("{more} stop the build"),
            };
            let open = match note.asked {
                0 => String::new(),
                1 => ", 1 question open".to_owned(),
                more => format!(", {more} questions open"),
            };
            assert_eq!(note.words, said + &open, "{}: {:?}", demo.name, note.sheet);
        }
        // The crank of the four: its small journal follows from the clearance.
        assert!(demo.name != "hill-climb four" || bad_only_by_others > 0, "nothing was tested");
    }
}

#[test]
fn shares_of_flow_are_printed_in_per_cent() {
    let four = four();
    let weak = four
        .assessment
        .findings
        .iter()
        .find(|f| f.code == "injector_flow" && f.verdict == Verdict::Bad)
        .expect("the demo has a weak injector");
    let value = weak.value.expect("it was read");
    let printed = engine::quantity::format_with_uncertainty(
        value.value,
        value.expanded,
        value.dimension,
        UnitSystem::Metric,
    );
    assert_eq!(printed, "-5.1 ± 0.7 %");
}
