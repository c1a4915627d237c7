//! What is asked about, or put right, before metal is cut or money spent. The engines are the demo four and V8 (invented) with single
//! readings or sizes changed. What a workshop does is common practice, no source.

mod demo;

use demo::{FOUR, Job};
use engine::document::{OperationKind as K, parse_document};
use engine::features::Catalogue;
use engine::findings::Verdict;
use engine::readings::SlipKind;

/// The readings of the four with the value at one place changed.
fn read_as(csv: &str, place: &str, value: &str) -> String {
    let changed = |line: &str| match line.strip_prefix(&format!("{place},")) {
        Some(rest) => format!("{place},{value},{}", rest.split_once(',').expect("a row").1),
        None => line.to_owned(),
    };
    let text: Vec<String> = csv.lines().map(changed).collect();
    assert_ne!(text.join("\n").trim(), csv.trim(), "{place} stands in the readings");
    text.join("\n")
}

/// The four with one reading changed: the slip at that place, if one is asked about.
fn slip_at(job: &Job, place: &str) -> Option<SlipKind> {
    assert!(job.engine.catalogue.features.iter().any(|f| f.path.starts_with(place)), "{place}");
    job.assessment.slips.iter().find(|s| s.feature.starts_with(place)).map(|s| s.slip.clone())
}

#[test]
fn a_piston_whose_ends_stand_apart_is_asked_about() {
    let place = "cylinder.2.below_deck.front";
    let cocked = Job::of(FOUR.0, &read_as(FOUR.1, place, "0.350 mm"));
    assert!(matches!(slip_at(&cocked, place), Some(SlipKind::Apart { .. })), "{:?}", cocked.assessment.slips);
    assert_ne!(cocked.assessment.finding("quench/2").expect("quench").verdict, Verdict::Good);
    let level = Job::of(FOUR.0, &read_as(FOUR.1, place, "0.120 mm"));
    assert_eq!(slip_at(&level, place), None);
}

#[test]
fn one_bore_reading_that_stands_alone_is_asked_about_before_the_bore_is_worked() {
    let place = "block.bore.2.mid.thrust";
    let wild = Job::of(FOUR.0, &read_as(FOUR.1, place, "89.200 mm"));
    assert!(slip_at(&wild, place).is_some(), "{:?}", wild.assessment.slips);
    let worked = |job: &Job| {
        let of_bore = job.plan.cuts.iter().filter(|c| c.settles.iter().any(|id| id.ends_with("/2")));
        of_bore
            .filter(|c| matches!(c.operation, K::Sleeve | K::Bore | K::Hone) && c.held_by.is_empty())
            .count()
    };
    assert_eq!(worked(&wild), 0, "{:#?}", wild.plan.cuts);
}

#[test]
fn a_crank_without_end_float_and_a_seat_that_runs_out_are_troubles_and_no_slips() {
    for (place, value, id) in [
        ("crank.end_float", "0.03 mm", "end_float/1"),
        ("head.intake.2a.seat_run_out", "0.07 mm", "seat_run_out/intake.2a"),
    ] {
        let job = Job::of(FOUR.0, &read_as(FOUR.1, place, value));
        assert_eq!(slip_at(&job, place), None, "{place}");
        assert_eq!(job.assessment.finding(id).expect("a finding").verdict, Verdict::Bad, "{id}");
    }
    let tenth = Job::of(FOUR.0, &read_as(FOUR.1, "crank.end_float", "0.012 mm"));
    assert_eq!(slip_at(&tenth, "crank.end_float"), Some(SlipKind::TenTimes));
}

#[test]
fn a_seat_to_cut_stands_on_the_cutting_list() {
    let csv = read_as(FOUR.1, "head.intake.2a.seat_run_out", "0.07 mm");
    let job = Job::of(FOUR.0, &csv);
    let cut = job.plan.cuts.iter().find(|c| c.operation == K::SeatCut).expect("a seat cut");
    assert_eq!(cut.settles, ["seat_run_out/intake.2a"]);
    assert!(cut.opens_again.iter().any(|o| o == "chamber volumes"), "{:?}", cut.opens_again);
}

#[test]
fn a_vee_with_cams_in_its_heads_has_two_shafts_on_each_bank() {
    let text = "crosshatch = 2\n[engine]\nname = \"X\"\n[layout]\narrangement = \"vee\"\ncylinders = 6\n\
        [cams]\nlash_adjustment = \"bucket_shim\"\nbearings = 4\n";
    let document = parse_document(text, "x.toml").document.expect("a document");
    let catalogue = Catalogue::of(&document);
    let rows = &catalogue.tables.iter().find(|t| t.id == "cam_journals").expect("a table").rows;
    assert_eq!(rows.len(), 16, "{rows:?}");
    for path in ["cam.intake.1.bore", "cam.exhaust_b.4.journal"] {
        assert!(catalogue.feature(path).is_some(), "{path}");
    }
}

#[test]
fn sizes_that_no_engine_has_are_refused() {
    for (section, key, value) in [
        ("crank", "thrust_bearing", "7"),
        ("layout", "bank_angle", "\"190 deg\""),
        ("rods", "paired", "false"),
        ("valves.intake", "lobe_centre", "\"12 deg\""),
        ("valves.exhaust", "duration", "\"20 deg\""),
        ("springs", "rate", "\"3 N/m\""),
    ] {
        let base = "crosshatch = 2\n[engine]\nname = \"X\"\n";
        let layout = "[layout]\narrangement = \"vee\"\ncylinders = 2\nthrows = [\"0 deg\"]\nthrow_of_cylinder = [1, 1]\n";
        let text = if section == "layout" {
            format!("{base}{layout}{key} = {value}\n")
        } else {
            format!("{base}{layout}[{section}]\n{key} = {value}\n")
        };
        let parsed = parse_document(&text, "x.toml");
        let named = parsed.diagnostics.iter().any(|d| format!("{d:?}").contains(key));
        assert!(named, "{section}.{key}: {:?}", parsed.diagnostics);
    }
}

#[test]
fn a_cut_that_eats_the_room_of_a_valve_says_so() {
    // All pistons stand low: the deck is cut or the gasket is thinner, and the valves come nearer.
    let low = (1..=4).flat_map(|c| ["front", "rear"].map(|end| format!("cylinder.{c}.below_deck.{end}")));
    let csv = low.fold(FOUR.1.to_owned(), |csv, place| read_as(&csv, &place, "0.250 mm"));
    let said = |csv: &str| {
        let job = Job::of(FOUR.0, csv);
        let choice = job.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("a choice");
        assert!(choice.placements.iter().any(|p| !p.stays), "{:?}", choice.placements);
        choice.summary.print(engine::quantity::UnitSystem::Metric)
    };
    let least = 1.5;
    let tight = said(&read_as(&csv, "head.intake.2a.to_piston", &format!("{:.2} mm", least + 0.06)));
    assert!(tight.contains("see to the room of the valves first: valve 2 intake a would have "), "{tight}");
    let roomy = said(&read_as(&csv, "head.intake.2a.to_piston", &format!("{:.2} mm", least + 1.0)));
    assert!(!roomy.contains("valve 2 intake a"), "{roomy}");
}

#[test]
fn a_cylinder_above_its_own_limit_is_brought_down_and_no_other_raised_to_it() {
    // Its piston stands high: the gap is small, the ratio above its limit, and its chamber may not be opened so far.
    let csv = read_as(FOUR.1, "cylinder.2.below_deck.front", "-0.250 mm");
    let job = Job::of(FOUR.0, &read_as(&csv, "cylinder.2.below_deck.rear", "-0.250 mm"));
    let spread = job.assessment.finding("compression_spread/1").expect("a finding");
    let said: Vec<String> =
        spread.actions.iter().map(|a| a.text.print(engine::quantity::UnitSystem::Metric)).collect();
    assert!(!said.is_empty() && !said.iter().any(|s| s.starts_with("Raise")), "{said:?}");
}

#[test]
fn a_plan_by_sizes_that_are_to_be_read_again_proves_nothing() {
    let skimmed = format!("{}\n[[operations]]\nname = \"done now\"\nkind = \"deck_skim\"\n", FOUR.0);
    for (text, sure) in [(FOUR.0, true), (skimmed.as_str(), false)] {
        let job = Job::of(text, FOUR.1);
        let choice = job.plan.selections.iter().find(|s| s.code == "deck_and_gasket").expect("a choice");
        let summary = choice.summary.print(engine::quantity::UnitSystem::Metric);
        assert_eq!(summary.contains("rests on what is open"), !sure, "{summary}");
        let engine::plan::Outcome::Best { proved, .. } = choice.outcome else { panic!("{choice:?}") };
        assert_eq!(proved, sure);
    }
}

#[test]
fn cams_of_both_banks_are_judged() {
    let text = "crosshatch = 2\n[engine]\nname = \"X\"\n[layout]\narrangement = \"vee\"\ncylinders = 6\n\
        [cams]\nlash_adjustment = \"bucket_shim\"\nbearings = 4\n\
        [limits.cam_clearance]\nmin = \"0.035 mm\"\nmax = \"0.070 mm\"\norigin = \"builder\"\n";
    let csv = "feature,value\ncam.intake_b.2.bore,26.020 mm\ncam.intake_b.2.journal,26.030 mm\n";
    let parsed = engine::document::parse_with_readings(text, "x.toml", csv, "x.csv");
    let engine = engine::Engine::new(parsed.document.expect("a document"), Vec::new(), Vec::new());
    let assessment = engine::assess(&engine);
    let finding = assessment.finding("cam_clearance/intake_b.2").expect("a finding");
    assert!(finding.value.is_some_and(|v| (v.value + 10e-6).abs() < 1e-6), "{:?}", finding.value);
}

#[test]
fn a_stem_larger_than_its_guide_asks_for_the_rows_and_a_tight_one_for_a_seat_cut() {
    let place = "head.intake.2a.stem";
    let row = FOUR.1.lines().find(|l| l.starts_with(place)).expect("a row");
    let stem: f64 =
        row.split(',').nth(1).and_then(|v| v.split(' ').next()).expect("a value").parse().expect("mm");
    let job = |by: f64| Job::of(FOUR.0, &read_as(FOUR.1, place, &format!("{:.3} mm", stem + by)));
    let said = |job: &Job| {
        let guide = job.assessment.finding("guide/intake.2a").expect("a guide");
        guide
            .actions
            .iter()
            .map(|a| a.text.print(engine::quantity::UnitSystem::Metric))
            .collect::<Vec<_>>()
            .join(" ")
    };
    let cuts = |job: &Job| job.plan.cuts.iter().filter(|c| c.operation == K::SeatCut).count();
    let swapped = job(0.080);
    assert!(said(&swapped).contains("exchanged"), "{}", said(&swapped));
    assert_eq!(cuts(&swapped), 0);
    let tight = job(0.020);
    assert!(said(&tight).contains("ream"), "{}", said(&tight));
    assert_eq!(cuts(&tight), 1);
}

#[test]
fn a_cocked_piston_that_was_read_twice_stops_the_build() {
    let csv = read_as(FOUR.1, "cylinder.2.below_deck.front", "0.350 mm");
    let mut engine = Job::of(FOUR.0, &csv).engine;
    for reading in engine.readings.iter_mut().filter(|r| r.feature.starts_with("cylinder.2.below_deck")) {
        reading.confirmed = true;
    }
    let assessment = engine::assess(&engine);
    let level = assessment.finding("piston_level/2").expect("it is asked");
    assert_eq!(level.verdict, Verdict::Bad);
    assert!(assessment.finding("piston_level/1").is_none(), "a level one is not");
}

#[test]
fn shells_are_not_chosen_by_sizes_that_no_shell_can_fill() {
    let rows = ["front.vertical", "front.across", "rear.vertical", "rear.across"];
    let csv = rows
        .iter()
        .fold(FOUR.1.to_owned(), |csv, row| read_as(&csv, &format!("crank.pin.2.{row}"), "59.985 mm"));
    let job = Job::of(FOUR.0, &csv);
    let shells = job.plan.selections.iter().find(|s| s.code == "rod_shells").expect("rod shells");
    let summary = shells.summary.print(engine::quantity::UnitSystem::Metric);
    assert!(summary.contains("nothing is chosen for rod 2") && !summary.contains("grind"), "{summary}");
}
