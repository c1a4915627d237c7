//! What a cut leaves, what it is held by, and whether its target can be met: walls carried on through cuts, targets inside their
//! limits with the tolerance of the order, steps that wait for what an earlier one changes.

use engine::document::{OperationKind as K, parse_with_readings};
use engine::findings::{Finding, Verdict};
use engine::quantity::UnitSystem;
use engine::readings::{Operation, Reading};
use engine::{Assessment, Engine, Plan, assess, plan};
use std::fmt::Write as _;

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
        labels(cut).contains(&"bore 1 as measured after first hone, mean, and hone 2 taken off since"),
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
    assert!((value(finding(&after, "wall/1")) - value(finding(&before, "wall/1"))).abs() < 1e-15);

    let wider = FOUR.replace("bore = \"89.100 mm\"  ", "bore = \"89.600 mm\"  ").replace(
        "[limits.bore]\nmin = \"89.090 mm\"\nmax = \"89.110 mm\"\ntarget = \"89.100 mm\"",
        "[limits.bore]\nmin = \"89.590 mm\"\nmax = \"89.610 mm\"\ntarget = \"89.600 mm\"",
    );
    let to_come = assess(&engine_of(&wider, READ, Vec::new(), Vec::new()));
    let wall = finding(&to_come, "wall/1");
    assert!(labels(wall).contains(&"finish bore, nominal, taken as exact"), "{:?}", labels(wall));
    let thinnest = wall.working.inputs.iter().filter(|i| i.feature.is_some()).map(|i| i.value.value);
    assert!((value(wall) - (thinnest.fold(f64::INFINITY, f64::min) - 0.5 * MM)).abs() < 1e-9);
    assert_ne!(wall.verdict, Verdict::Unknown);
}

fn texts(assessment: &Assessment, plan: &Plan) -> Vec<String> {
    let said = assessment.findings.iter().flat_map(|f| &f.actions).map(|a| &a.text);
    said.chain(plan.cuts.iter().map(|c| &c.text)).map(|t| t.print(UnitSystem::Metric)).collect()
}

/// The demo with another greatest bore: the hone of bore 2 and its largest level.
fn hone_of_bore_2(greatest: &str) -> (Plan, f64) {
    let text = FOUR.replace("max = \"89.110 mm\"", &format!("max = \"{greatest}\""));
    let (_, assessment, plan) = judged(&text, READ);
    let inputs = &finding(&assessment, "bore_taper/2").working.inputs;
    let levels = inputs.chunks(2).map(|pair| pair.iter().map(|i| i.value.value).sum::<f64>() / 2.0);
    let largest = levels.fold(0.0, f64::max);
    (plan, largest)
}

/// A target stands inside the limits with the whole tolerance of its order; where it cannot, the order says which tolerance it takes.
#[test]
fn half_of_an_order_is_never_scrap() {
    let (plan, largest) = hone_of_bore_2("89.110 mm");
    let usual = plan.cuts.iter().find(|c| c.operation == K::Hone && c.part == "bore 2").expect("a hone");
    let (to, tolerance) = (usual.to.expect("a size"), usual.tolerance.expect("a tolerance"));
    assert!((to - 89.105 * MM).abs() < 1e-9 && to - tolerance > largest - 0.6e-6);

    let (plan, largest) = hone_of_bore_2("89.1066 mm");
    let shifted = plan.cuts.iter().find(|c| c.operation == K::Hone && c.part == "bore 2").expect("a hone");
    let to = shifted.to.expect("a size");
    assert!(to + tolerance <= 89.1066 * MM + 1e-9, "{to} reaches past the greatest bore");
    assert!(to - tolerance > largest - 0.6e-6, "{to} cleans up {largest}");
    assert!(shifted.text.print(UnitSystem::Metric).contains(&format!("{:.3}", to / MM)));

    let (plan, largest) = hone_of_bore_2(&format!("{:.4} mm", largest / MM + 0.0030));
    let tight = plan.cuts.iter().find(|c| c.operation == K::Hone && c.part == "bore 2").expect("a hone");
    let text = tight.text.print(UnitSystem::Metric);
    // Between clean (largest + 1.5 µm) and the greatest (largest + 3.0 µm, rounded to 0.1) there is room for ± 0.75 µm.
    assert!(
        text.contains("room for ± 0.0007 mm only") || text.contains("room for ± 0.0008 mm only"),
        "{text}"
    );
    assert!((tight.to.expect("a size") - largest - 2.25e-6).abs() < 0.1e-6);

    let (plan, _) = hone_of_bore_2(&format!("{:.4} mm", largest / MM));
    assert!(plan.cuts.iter().all(|c| !(c.operation == K::Hone && c.part == "bore 2")), "{:#?}", plan.cuts);
    let text = sleeve_of_bore_2(&plan).text.print(UnitSystem::Metric);
    assert!(text.contains("does not clean up inside the greatest bore allowed"), "{text}");
}

fn sleeve_of_bore_2(plan: &Plan) -> &engine::plan::Cut {
    let lines: Vec<_> = plan.cuts.iter().filter(|c| c.part == "bore 2").collect();
    let [line] = lines.as_slice() else { panic!("one line for the bore: {lines:#?}") };
    assert_eq!(line.operation, K::Sleeve, "{line:?}");
    line
}

/// A bore that does not clean up inside the greatest bore allowed has no hone size anywhere: one line, one decision, everything that
/// rests on the bore waits for it. So it is with its mean still in range, and with its mean above it.
#[test]
fn a_bore_that_does_not_clean_up_is_not_honed() {
    let places = PLACES.map(|place| format!("block.bore.2.{place},"));
    let larger = |by: f64| {
        let lines = READ.lines().map(|line| {
            let Some(place) = places.iter().find(|place| line.starts_with(place.as_str())) else {
                return line.to_owned();
            };
            let value = line[place.len()..].split(" mm").next().expect("a value");
            let read: f64 = value.parse().expect("a number");
            line.replacen(value, &format!("{:.3}", read + by), 1)
        });
        lines.map(|line| line + "\n").collect::<String>()
    };
    // A class with room for an oversize.
    let text = FOUR.replace("max = \"2100 cm3\"", "max = \"2200 cm3\"");
    for (by, above) in [(0.010, false), (0.030, true)] {
        let (_, assessment, plan) = judged(&text, &larger(by));
        let taper = finding(&assessment, "bore_taper/2");
        let size = finding(&assessment, "bore_size/2");
        assert_eq!(taper.verdict, Verdict::Bad);
        assert_eq!(size.verdict == Verdict::Bad, above, "{:?}", size.value);
        let line = sleeve_of_bore_2(&plan);
        assert_eq!(line.to, None);
        assert!(line.only_if.is_some_and(|c| c.starts_with("it is sleeved")), "{line:?}");
        let said = line.text.print(UnitSystem::Metric);
        assert!(said.contains("oversize pistons") && said.contains("allowed, 89.110 mm"), "{said}");
        let causes = [size, taper].into_iter().filter(|f| f.is_cause()).count();
        assert_eq!(causes, 1, "one row for one bore");
        for bad in [size, taper].into_iter().filter(|f| f.verdict == Verdict::Bad) {
            let [action] = bad.actions.as_slice() else { panic!("{:?}", bad.actions) };
            assert_eq!(action.text, line.text, "the sheet and the plan say the same");
            assert!(line.settles.contains(&bad.id), "{:?}", line.settles);
        }
        let all = texts(&assessment, &plan);
        let of_bore = all.iter().filter(|t| t.contains("Hone to 89.1") || t.contains("piston that"));
        assert_eq!(of_bore.count(), 0, "{all:#?}");
        let pistons = plan.selections.iter().find(|s| s.code == "pistons").expect("chosen");
        let here = pistons.placements.iter().find(|p| p.place == "bore 2");
        assert!(here.is_none_or(|p| p.held_by.iter().any(|id| id.starts_with("bore_"))), "{here:?}");
    }
}

/// Where the class rule leaves no oversize, the sleeve is the only way, and the line waits for no choice.
#[test]
fn an_oversize_that_the_class_forbids_is_not_offered() {
    let text = FOUR.replace("max = \"89.110 mm\"", "max = \"89.100 mm\"");
    let text = text.replace("max = \"2100 cm3\"", "max = \"2090 cm3\"");
    let (_, _, plan) = judged(&text, READ);
    let line = sleeve_of_bore_2(&plan);
    let said = line.text.print(UnitSystem::Metric);
    assert!(said.contains("leaves no oversize") && line.only_if.is_none(), "{said}");
}

/// A hone puts no metal back: the target clears the largest single reading, however small the mean of its level is.
#[test]
fn a_hone_target_clears_the_largest_reading() {
    let text = FOUR.replace("max = \"89.110 mm\"", "max = \"89.120 mm\"");
    let read = READ.replace("block.bore.2.mid.thrust,89.098 mm", "block.bore.2.mid.thrust,89.108 mm");
    let (_, assessment, plan) = judged(&text, &read);
    assert_eq!(finding(&assessment, "bore_taper/2").verdict, Verdict::Bad);
    let hones: Vec<_> = plan.cuts.iter().filter(|c| c.operation == K::Hone && c.part == "bore 2").collect();
    assert!(!hones.is_empty());
    for hone in hones {
        let to = hone.to.expect("a size");
        assert!((89.108 * MM..=89.115 * MM).contains(&to), "{to}");
    }
    let said = texts(&assessment, &plan).join("\n");
    assert!(!said.contains("Hone to 89.105"), "{said}");
}

/// What rests on a size that an earlier line changes is held behind that line, and names what asks for it.
#[test]
fn what_an_earlier_cut_changes_is_held() {
    let (_, assessment, plan) = judged(FOUR, READ);
    let pistons = plan.selections.iter().find(|s| s.code == "pistons").expect("chosen");
    let held = |bore: &str| &pistons.placements.iter().find(|p| p.place == bore).expect("placed").held_by;
    assert!(held("bore 3").contains(&"wall/3".to_owned()), "it may be sleeved: {:?}", held("bore 3"));
    assert!(held("bore 2").contains(&"bore_taper/2".to_owned()), "it is honed: {:?}", held("bore 2"));
    assert!(held("bore 1").is_empty(), "nothing cuts it: {:?}", held("bore 1"));
    let mains = plan.selections.iter().find(|s| s.code == "main_shells").expect("chosen");
    assert!(mains.placements.iter().all(|p| p.held_by.contains(&"main_line/3".to_owned())), "align-hone");
    let rods = plan.selections.iter().find(|s| s.code == "rod_shells").expect("chosen");
    assert!(rods.placements.iter().all(|p| p.held_by.is_empty()));
    for cut in &plan.cuts {
        assert!(
            !cut.held_by.iter().any(|id| cut.settles.contains(id)) || cut.operation == K::Hone,
            "{cut:?}"
        );
        assert!(cut.held_by.iter().all(|id| assessment.finding(id).is_some()));
    }
    let sure = plan.cuts.iter().filter(|c| c.only_if.is_none() && c.held_by.is_empty());
    let prices: f64 = sure.filter_map(|c| c.price).sum();
    let orders = plan.orders.iter().filter(|o| o.only_if.is_none());
    let ordered: f64 = orders.filter_map(|o| o.price.map(|p| p * f64::from(o.quantity))).sum();
    assert!((plan.sure.price - prices - ordered).abs() < 1e-9, "no cut that says not yet: {:?}", plan.sure);
}

/// A surface that the rings ask for is a line of the cutting list, and the ring of that bore is filed after it.
#[test]
fn a_hone_for_the_surface_is_a_cut_and_holds_its_rings() {
    let deep = |bore: u32| {
        let place = format!("block.bore_surface.{bore}.rvk,");
        let line = format!("{place}2.4 um,R1,21 °C,first hone,,builder,2026-03-04T09:30:00Z,,");
        match READ.lines().find(|l| l.starts_with(&place)) {
            Some(read) => READ.replace(read, &line),
            None => format!("{READ}{line}\n"),
        }
    };
    let rough = deep(4);
    let (_, assessment, plan) = judged(FOUR, &rough);
    assert_eq!(finding(&assessment, "bore_rvk/4").verdict, Verdict::Bad);
    let hone = plan.cuts.iter().find(|c| c.operation == K::Hone && c.part == "bore 4").expect("a hone");
    assert!(hone.settles.contains(&"bore_rvk/4".to_owned()));
    assert!(plan.bench.iter().all(|t| !t.settles.contains(&"bore_rvk/4".to_owned())));
    let ring =
        plan.cuts.iter().find(|c| c.operation == K::RingFile && c.part == "top ring 4").expect("a ring");
    assert!(ring.held_by.contains(&"bore_rvk/4".to_owned()), "{ring:?}");
    assert!(ring.step > hone.step);
    let (_, _, before) = judged(FOUR, READ);
    let same =
        before.cuts.iter().find(|c| c.operation == K::RingFile && c.part == "top ring 4").expect("a ring");
    assert_eq!(same.to, ring.to, "a surface takes nothing off that the plan could count");

    let (_, _, plan) = judged(FOUR, &deep(2));
    let hones: Vec<_> = plan.cuts.iter().filter(|c| c.operation == K::Hone && c.part == "bore 2").collect();
    let [hone] = hones.as_slice() else { panic!("one line: {hones:?}") };
    assert!(hone.text.print(UnitSystem::Metric).contains("Hone to 89.105 mm"));
    assert!(hone.text.print(UnitSystem::Metric).ends_with("to the ring maker's surface"), "{:?}", hone.text);
}

/// Where no number of readings can prove a limit, that is said; every uncertain size of a bore has an advice.
#[test]
fn advice_can_work() {
    for (limit, with) in [
        ("[limits.bore_taper]\nmax = \"0.010 mm\"", "[limits.bore_taper]\nmax = \"0.0002 mm\""),
        ("[limits.bore_round]\nmax = \"0.008 mm\"", "[limits.bore_round]\nmax = \"0.0002 mm\""),
        (
            "[limits.bore]\nmin = \"89.090 mm\"\nmax = \"89.110 mm\"",
            "[limits.bore]\nmin = \"89.100 mm\"\nmax = \"89.110 mm\"",
        ),
    ] {
        assert!(FOUR.contains(limit), "{limit}");
        let (_, assessment, _) = judged(&FOUR.replace(limit, with), READ);
        let unsure: Vec<&Finding> = assessment
            .findings
            .iter()
            .filter(|f| matches!(f.code, "bore_taper" | "bore_round" | "bore_size"))
            .filter(|f| f.verdict == Verdict::Uncertain)
            .collect();
        assert!(!unsure.is_empty(), "{with}");
        for finding in unsure {
            assert!(!finding.actions.is_empty(), "{} has no advice", finding.id);
            let text = finding.actions[0].text.print(UnitSystem::Metric);
            let too_fine = with.contains("0.0002");
            assert_eq!(
                text.contains("finer than these readings can prove"),
                too_fine,
                "{}: {text}",
                finding.id
            );
        }
    }
    let free = FOUR.replace("torque_plate = true\n", "");
    assert_ne!(free, FOUR);
    let (_, assessment, plan) = judged(&free, READ);
    assert!(texts(&assessment, &plan).iter().all(|t| !t.contains("torque plate")), "no plate is stated");
    let (_, assessment, plan) = judged(FOUR, READ);
    assert!(texts(&assessment, &plan).iter().any(|t| t.contains("torque plate on")));
}

/// One line of work for one part, and what is bought is named.
#[test]
fn the_plan_says_each_thing_once() {
    let read = engine_of(FOUR, READ, Vec::new(), Vec::new());
    let first = read.readings.iter().find(|r| r.feature == "block.bore.1.low.thrust").expect("read");
    let wrong = Reading {
        number: 10_000,
        value: 891.0 * MM,
        corrects: Some(first.number),
        confirmed: true,
        ..first.clone()
    };
    let engine = engine_of(FOUR, READ, vec![wrong], Vec::new());
    let assessment = assess(&engine);
    let plan = plan(&engine, &assessment);
    let said = plan.bench.iter().filter(|t| t.text.print(UnitSystem::Metric).contains("a second time first"));
    let said: Vec<_> = said.collect();
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].settles.len() > 1, "{said:#?}");

    let lines: Vec<&str> = READ.lines().filter(|l| l.starts_with("ring.3.second.gap,")).collect();
    let [line] = lines.as_slice() else { panic!("one reading") };
    let value = line.split(',').nth(1).expect("a value");
    let (_, _, plan) = judged(FOUR, &READ.replace(line, &line.replacen(value, "0.80 mm", 1)));
    let items: Vec<String> = plan.orders.iter().map(|o| o.item.print(UnitSystem::Metric)).collect();
    assert!(items.iter().any(|i| i.starts_with("second ring 3, another one")), "{items:?}");
    assert!(items.iter().all(|i| !i.contains("a gap cannot be made smaller")), "{items:?}");
}

/// A pin that no shell on the list serves gets none: nothing is ordered that misses its range, and the others are chosen without it.
#[test]
fn a_shell_that_misses_its_range_is_not_ordered() {
    let read = READ
        .replace("crank.pin.3.front.vertical,46.486 mm", "crank.pin.3.front.vertical,46.406 mm")
        .replace("crank.pin.3.front.across,46.486 mm", "crank.pin.3.front.across,46.406 mm")
        .replace("crank.pin.3.rear.vertical,46.485 mm", "crank.pin.3.rear.vertical,46.405 mm")
        .replace("crank.pin.3.rear.across,46.486 mm", "crank.pin.3.rear.across,46.406 mm");
    let (_, _, plan) = judged(FOUR, &read);
    let rods = plan.selections.iter().find(|s| s.code == "rod_shells").expect("chosen");
    assert!(matches!(rods.outcome, engine::plan::Outcome::Relax { .. }), "{:?}", rods.outcome);
    assert!(rods.placements.iter().all(|p| p.instance != "3"), "{:?}", rods.placements);
    let said = rods.summary.print(UnitSystem::Metric);
    assert!(said.contains("no grade on the list serves rod 3") && said.contains("grind"), "{said}");
    let (_, _, usual) = judged(FOUR, READ);
    let shells = |plan: &Plan| {
        plan.orders.iter().filter(|o| o.item.print(UnitSystem::Metric).starts_with("rod shell")).count()
    };
    assert!(shells(&plan) <= shells(&usual), "nothing is ordered for rod 3");
}

/// Which grade is in is not stated, but its walls were read: the shells that fit stay, and none is ordered.
#[test]
fn shells_whose_walls_were_read_stay_where_they_fit() {
    let stated = "fitted = { 1 = [\"middle\"], 2 = [\"middle\"], 3 = [\"middle\"], 4 = [\"middle\"] }\n";
    assert!(FOUR.contains(stated));
    let text = FOUR.replace(stated, "");
    let mut read = READ.to_owned();
    for rod in 1..=4 {
        for half in ["upper", "lower"] {
            let place = format!("rod_shell.{rod}.{half},");
            if !read.contains(&place) {
                let _ = writeln!(read, "{place}1.4865 mm,M1,20 °C,,,builder,2026-03-04T12:00:00Z,,");
            }
        }
    }
    let (_, _, known) = judged(FOUR, &read);
    let (_, _, read_only) = judged(&text, &read);
    let of = |plan: &Plan| {
        let rods = plan.selections.iter().find(|s| s.code == "rod_shells").expect("chosen");
        rods.placements.iter().map(|p| (p.place.clone(), p.stays)).collect::<Vec<_>>()
    };
    assert_eq!(of(&read_only), of(&known));
    assert!(of(&known).iter().any(|(_, stays)| *stays), "some fit");
}

/// A hone that was recorded since, and nothing read after it: the old order would cut the bore a second time.
#[test]
fn a_bore_that_was_honed_since_it_was_read_has_no_hone_line() {
    let (_, _, before) = judged(FOUR, READ);
    let hones =
        |plan: &Plan| plan.cuts.iter().filter(|c| c.operation == K::Hone && c.part == "bore 2").count();
    assert_eq!(hones(&before), 1, "the demo hones bore 2");
    let engine = engine_of(FOUR, READ, Vec::new(), vec![done("hone 2", K::Hone, None)]);
    let assessment = assess(&engine);
    let plan = plan(&engine, &assessment);
    assert_eq!(hones(&plan), 0, "{:#?}", plan.cuts);
    let taper = finding(&assessment, "bore_taper/2");
    assert!(taper.stale);
    let said: Vec<String> = taper.actions.iter().map(|a| a.text.print(UnitSystem::Metric)).collect();
    assert_eq!(said, ["Read bore 2 again first, as it is now: this was read before hone 2"]);
    let read = plan.measure_next.iter().any(|m| m.settles.contains(&"bore_taper/2".to_owned()));
    assert!(read, "it stands on the list of what to measure");
    // Pistons and rings are not placed or filed by the bores as they were.
    for selection in plan.selections.iter().filter(|s| s.code == "pistons") {
        assert!(selection.placements.iter().all(|p| p.stays || !p.held_by.is_empty()), "{selection:#?}");
    }
    assert!(plan.cuts.iter().all(|c| c.operation != K::RingFile || !c.is_sure()), "{:#?}", plan.cuts);
}

/// What rests on a reading that is asked about is not cut or bought before the answer.
#[test]
fn what_rests_on_a_reading_in_doubt_is_held() {
    let (_, _, sure) = judged(FOUR, READ);
    let ring = |plan: &Plan, cylinder: &str| {
        plan.cuts
            .iter()
            .filter(|c| c.operation == K::RingFile && c.part.contains(cylinder))
            .map(|c| c.held_by.clone())
            .collect::<Vec<_>>()
    };
    let filed = sure.cuts.iter().find(|c| c.operation == K::RingFile).expect("the demo files rings");
    let cylinder = filed.part.chars().filter(char::is_ascii_digit).collect::<String>();
    // A wrong digit in that bore.
    let place = format!("block.bore.{cylinder}.mid.thrust,");
    let line = READ.lines().find(|l| l.starts_with(&place)).expect("it is read");
    let value = line.split(',').nth(1).expect("a value");
    let (_, assessment, plan) = judged(FOUR, &READ.replace(line, &line.replacen(value, "89.600 mm", 1)));
    assert!(
        assessment.slips.iter().any(|s| s.feature == place.trim_end_matches(',')),
        "{:?}",
        assessment.slips
    );
    let held = ring(&plan, &cylinder);
    assert!(
        !held.is_empty() && held.iter().all(|by| by.contains(&format!("bore_size/{cylinder}"))),
        "{held:?}"
    );
    let words = finding(&assessment, &format!("bore_size/{cylinder}")).hold_words();
    assert!(words.contains("in doubt: answer its question first"), "{words}");
    // Compression is computed from that bore as well: it is what it is by either value, and says that one is asked about.
    let ratio = finding(&assessment, &format!("compression_ratio/{cylinder}"));
    assert!(ratio.verdict == Verdict::Good && ratio.either_value.is_some(), "{ratio:#?}");
    assert!(ratio.hold_words().contains("in doubt"), "{}", ratio.hold_words());

    // A lash that is asked about: the shims are one choice, and none is ordered before the answer.
    let (_, _, plan) =
        judged(FOUR, &READ.replace("head.intake.1a.lash,0.31 mm", "head.intake.1a.lash,5.31 mm"));
    let shims: Vec<_> =
        plan.orders.iter().filter(|o| o.item.print(UnitSystem::Metric).starts_with("lash shim")).collect();
    assert!(!shims.is_empty(), "the choice is shown");
    assert!(
        shims.iter().all(|o| o.held_by.contains(&"lash/intake.1a".to_owned()) && !o.is_sure()),
        "{shims:?}"
    );
    assert!(plan.has_conditional());
}

/// A wall that is thin and a bore that does not clean up are one sleeve: one line to press it, one sleeve to buy, one hone after it.
#[test]
fn a_thin_wall_and_an_outgrown_bore_are_one_sleeve() {
    let larger: String = READ
        .lines()
        .map(|line| match line.strip_prefix("block.bore.3.").and_then(|rest| rest.split_once(',')) {
            Some((_, rest)) => {
                let value = rest.split(" mm").next().expect("a value");
                let read: f64 = value.parse().expect("a number");
                // The mid level is out by more than a hone takes, so that the bore has to be cut as well.
                let by = if line.contains(".mid.") { 0.030 } else { 0.004 };
                line.replacen(value, &format!("{:.3}", read + by), 1) + "\n"
            }
            None => line.to_owned() + "\n",
        })
        .collect();
    for most in ["2100 cm3", "2200 cm3"] {
        let text = FOUR.replace("max = \"2100 cm3\"", &format!("max = \"{most}\""));
        let (_, assessment, plan) = judged(&text, &larger);
        let (wall, taper) = (finding(&assessment, "wall/3"), finding(&assessment, "bore_taper/3"));
        assert!(matches!(wall.verdict, Verdict::Bad | Verdict::Uncertain), "{:?}", wall.value);
        assert_eq!(taper.verdict, Verdict::Bad, "{:?}", taper.value);
        let sleeves: Vec<_> =
            plan.cuts.iter().filter(|c| c.part == "bore 3" && c.operation == K::Sleeve).collect();
        let [sleeve] = sleeves.as_slice() else { panic!("one line: {sleeves:#?}") };
        for bad in [wall, taper] {
            assert!(sleeve.settles.contains(&bad.id), "{}: {sleeve:#?}", bad.id);
        }
        let said = sleeve.text.print(UnitSystem::Metric);
        assert!(
            said.contains("does not clean up") && said.contains("its wall is in question as well"),
            "{said}"
        );
        let bought: Vec<_> = plan
            .orders
            .iter()
            .filter(|o| o.item.print(UnitSystem::Metric).starts_with("sleeve"))
            .map(|o| (o.item.print(UnitSystem::Metric), o.quantity))
            .collect();
        assert_eq!(bought, [("sleeve (bore 3)".to_owned(), 1)]);
        let hones = plan.cuts.iter().filter(|c| c.part == "bore 3" && c.operation == K::Hone).count();
        assert!(hones <= 1, "{:#?}", plan.cuts);
        assert!(plan.bench.iter().all(|t| !t.settles.contains(&taper.id)), "{:#?}", plan.bench);
    }
}
