//! Computations of power over the pages: started, watched, stopped, gone on with, and marked when the engine changes.

mod common;

use common::{FOUR, Program};
use std::time::{Duration, Instant};

const POWER: &str = "/engine/hill-climb-four/power";

/// Asks until the line of the computation says so.
fn wait_for(program: &Program, what: &str, holds: impl Fn(&str) -> bool) -> String {
    let until = Instant::now() + Duration::from_mins(4);
    loop {
        let line = program.get(&format!("{POWER}/progress")).body;
        if holds(&line) {
            return line;
        }
        assert!(Instant::now() < until, "{what} never happened: {line}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

fn runs(line: &str) -> bool {
    line.contains("data-runs=\"yes\"")
}

fn start(program: &Program, speeds: &str) -> common::Answer {
    program.post_form(
        &format!("{POWER}/run"),
        &[("speeds", speeds), ("timing", "as_stated"), ("correction", "as_run")],
    )
}

#[test]
fn every_page_opens_before_anything_was_computed() {
    let program = Program::start();
    for page in ["", "/inputs", "/inside", "/choices", "/compare", "/calibrate"] {
        let answer = program.get(&format!("{POWER}{page}"));
        assert_eq!(answer.status, 200, "{page}: {}", answer.body);
        assert!(answer.body.contains("aria-current"), "{page}");
        assert!(!answer.body.contains("NaN") && !answer.body.contains("style=\""), "{page}");
    }
    assert!(program.get(POWER).body.contains("Nothing computed yet"));
    assert_eq!(program.get(&format!("{POWER}?run=9")).status, 404);
    assert_eq!(program.get("/engine/none/power").status, 404);
}

#[test]
fn a_run_is_watched_stopped_and_gone_on_with() {
    let program = Program::start();
    assert_eq!(start(&program, "6000, 6500, 7000, 7500, 8000, 8200").status, 303);
    let line = wait_for(&program, "a cycle", |l| l.contains("cycles") || !runs(l));
    assert!(runs(&line), "{line}");
    assert!(program.get(POWER).body.contains("progress max"), "a page that is loaded meanwhile shows it");
    assert_eq!(start(&program, "5000").status, 409, "one at a time");
    wait_for(&program, "a point", |l| l.contains("1 of 6") || l.contains("2 of 6") || !runs(l));
    assert_eq!(program.post_form(&format!("{POWER}/stop"), &[]).status, 303);
    wait_for(&program, "the end", |l| !runs(l));
    let page = program.get(POWER).body;
    assert!(page.contains("Run 1") && page.contains("Stopped"), "what was done is kept");
    assert!(page.contains("Go on with run 1"), "it can be gone on with");

    assert_eq!(program.post_form(&format!("{POWER}/resume"), &[("number", "1")]).status, 303);
    wait_for(&program, "the end", |l| !runs(l));
    let side_by_side = program.get(&format!("{POWER}/compare?run=1&run=2")).body;
    assert!(
        side_by_side.contains("run 1, stopped") && side_by_side.contains("6 of 6 speeds"),
        "{side_by_side}"
    );
    let page = program.get(POWER).body;
    assert!(page.contains("Run 2") && page.contains("It goes on from run 1"), "kept as a further result");
    assert!(!page.contains("Go on with run 2"), "nothing is left");
    for speed in ["6000", "6500", "7000", "7500", "8000", "8200"] {
        assert!(page.contains(&format!("scope=\"row\">{speed}</th>")), "{speed} is in the table");
    }
    assert!(page.contains("\u{b1} 5 to 8 %"), "what an uncalibrated curve is worth is said");
    assert_eq!(program.get(&format!("{POWER}/compare?run=1&run=2")).status, 200);
    let inside = program.get(&format!("{POWER}/inside?run=2&point=1")).body;
    for words in [
        "distance from the valve",
        "Pressure over volume",
        "Intake duct",
        "compressor map",
        "Effective area",
        "6500 rev/min",
    ] {
        assert!(inside.contains(words), "{words}");
    }
    assert!(!inside.contains("NaN") && !page.contains("NaN"));
}

#[test]
fn a_run_is_marked_when_the_engine_changes_and_survives_the_program() {
    let program = Program::start();
    assert_eq!(start(&program, "7000").status, 303);
    wait_for(&program, "the end", |l| !runs(l));
    let before = program.get(POWER).body;
    assert!(before.contains("Run 1") && !before.contains("Stale"), "it is current: {before}");
    let link =
        before.split("href=\"").find(|h| h.contains("/power/finding?run=1")).expect("a finding's working");
    let link = link.split('"').next().unwrap_or_default().replace("&amp;", "&");
    let working = program.get(&link);
    assert_eq!(working.status, 200, "{link}");
    for words in ["Limit and decision", "Source: ", "Power, run 1"] {
        assert!(working.body.contains(words), "{words}: {}", working.body);
    }
    assert_eq!(program.get(&format!("{POWER}/finding?run=1&id=none/1")).status, 404);

    assert_eq!(
        program
            .post_form(&format!("{POWER}/study/sweep"), &[("speed", "7000"), ("steps", "1"), ("step", "8")])
            .status,
        303
    );
    wait_for(&program, "the end", |l| !runs(l));
    let study = program.get(&format!("{POWER}/choices")).body;
    assert!(study.contains("Torque at 7000 rev/min") && !study.contains("Stale"), "{study}");
    let shown = program.get(&format!("{FOUR}/document.toml")).body;
    let text = shown.replace("bore = \"89.100 mm\"", "bore = \"89.100 mm\" # unchanged");
    assert_eq!(
        program.post_form(&format!("{FOUR}/document"), &[("text", &text), ("based_on", "1")]).status,
        303
    );
    assert!(!program.get(POWER).body.contains("Stale"), "a comment changes no input");
    let text = text.replace("intake_pressure = \"", "intake_pressure = \"1");
    let kept = program.post_form(&format!("{FOUR}/document"), &[("text", &text), ("based_on", "2")]);
    assert!([303, 422].contains(&kept.status));
    let text = shown.replacen("stroke = \"83.9", "stroke = \"84.9", 1);
    assert_ne!(text, shown, "the stroke stands in the document");
    let version = if kept.status == 303 { "3" } else { "2" };
    assert_eq!(
        program.post_form(&format!("{FOUR}/document"), &[("text", &text), ("based_on", version)]).status,
        303
    );
    let after = program.get(POWER).body;
    assert!(after.contains("Stale") && after.contains("changed since this run was made"), "marked");
    let study = program.get(&format!("{POWER}/choices")).body;
    assert!(
        study.contains("Stale") && study.contains("Stroke"),
        "a study is marked as well, with what changed"
    );

    let folder = program.stop().expect("a folder");
    let again = Program::start_in(folder.path().join("data"));
    let page = again.get(POWER).body;
    assert!(page.contains("Run 1") && page.contains("Stale"), "kept on the disk");
}

#[test]
fn bad_input_is_refused_by_name() {
    let program = Program::start();
    for (speeds, words) in [
        ("fast", "no crank speed"),
        ("", "1 to 200"),
        ("6000 to 5000 by 10", "no list"),
        ("NaN", "no crank speed"),
    ] {
        let refused = start(&program, speeds);
        assert_eq!(refused.status, 422, "{speeds}");
        assert!(refused.body.contains(words), "{speeds}: {}", refused.body);
        assert!(refused.body.contains("Nothing was started: 1 field needs another look"), "{speeds}");
        assert!(refused.body.contains(&format!("value=\"{speeds}\"")), "{speeds}: what was typed is lost");
    }
    assert_eq!(program.post_form(&format!("{POWER}/resume"), &[("number", "7")]).status, 404);
    assert_eq!(program.post_form(&format!("{POWER}/stop"), &[]).status, 404);
    let many = [("speeds", "fast"), ("throttle", "120"), ("ducts", "3000, 4000")];
    let many = program.post_form(&format!("{POWER}/run"), &many).body;
    assert!(many.contains("3 fields need another look"), "{many}");
    for field in ["run-speeds-note", "run-throttle-note", "run-ducts-note"] {
        assert!(many.contains(&format!("id=\"{field}\"")), "{field}");
    }
    let sweep = [("speed", "6000"), ("steps", "900"), ("step", "x")];
    let sweep = program.post_form(&format!("{POWER}/study/sweep"), &sweep);
    assert_eq!(sweep.status, 422);
    assert!(sweep.body.contains("2 fields need another look"), "{}", sweep.body);
    assert!(sweep.body.contains("value=\"900\""), "what was typed comes back");
    assert_eq!(program.post_form(&format!("{POWER}/study/choices"), &[("speed", "-1")]).status, 422);
    let fitted_as = |unit: &str| {
        program.post_form(
            &format!("{POWER}/calibrate"),
            &[
                ("curve", "n,\"torque, N\u{b7}m\"\n6000,400\n"),
                ("column_speed", "n"),
                ("unit_speed", "rev/min"),
                ("column_torque", "torque, N\u{b7}m"),
                ("unit_torque", unit),
                ("adjust_friction", "yes"),
                ("least_friction", "0.77"),
                ("most_friction", "1.4"),
            ],
        )
    };
    let contradicted = fitted_as("lbf\u{b7}ft");
    assert_eq!(contradicted.status, 422);
    assert!(contradicted.body.contains("says N\u{b7}m, and it is to be read as lbf\u{b7}ft"));
    let fit = fitted_as("Nm");
    assert_eq!(fit.status, 422);
    assert!(fit.body.contains("at least 3"), "{}", fit.body);
    assert!(fit.body.contains("value=\"0.77\""), "what was filled in comes back");
    assert!(fit.body.contains("value=\"Nm\""), "units as well");
    let checked = fit
        .body
        .split("name=\"adjust_")
        .skip(1)
        .filter(|f| f.split('>').next().is_some_and(|t| t.contains("checked")));
    assert_eq!(checked.count(), 1, "and only the box that was ticked");
    assert!(fit.body.contains("<option value=\"torque, N\u{b7}m\" selected>"), "{}", fit.body);
    let body = "_token=wrong";
    let kind = "application/x-www-form-urlencoded";
    assert_eq!(program.post_body(&format!("{POWER}/run"), kind, body, &[]).status, 403);
}

#[test]
fn what_a_kept_curve_says_stands_among_the_findings_of_the_engine() {
    let program = Program::start();
    let stops = |page: &str| {
        let at = page.find("class=\"sum\">").expect("the sum");
        page[at..]
            .split(" stop")
            .next()
            .and_then(|t| t.rsplit('>').next().map(str::to_owned))
            .unwrap_or_default()
    };
    let before = program.get(FOUR).body;
    assert!(before.contains("No torque curve is kept"), "one finding says that nothing was computed");
    let plan = program.get(&format!("{FOUR}/plan")).body;
    assert!(plan.contains("Compute the torque curve"), "the plan says to compute it");
    assert_eq!(program.get(&format!("{FOUR}/finding?id=power_run/none")).status, 200);

    assert_eq!(start(&program, "5500, 7000, 8200").status, 303);
    wait_for(&program, "the end", |l| !runs(l));
    let after = program.get(FOUR).body;
    assert!(!after.contains("No torque curve is kept"));
    assert!(after.contains("Engine, power at"), "the target is a finding of the engine");
    let working = program.get(&format!("{FOUR}/finding?id=power_target/1"));
    assert!(working.status == 200 && working.body.contains("/power\">power</a>"), "{}", working.body);
    let bad = program.get(POWER).body.matches("class=\"word stops\">bad").count();
    let count = |page: &str| stops(page).trim().parse::<usize>().unwrap_or(0);
    assert!(count(&after) >= count(&before), "{} {} {bad}", stops(&before), stops(&after));

    // A reading is judged without any run; what it moves makes the findings of power stale.
    let shown = program.get(&format!("{FOUR}/document.toml")).body;
    let text = shown.replacen("stroke = \"83.9", "stroke = \"84.9", 1);
    assert_eq!(
        program.post_form(&format!("{FOUR}/document"), &[("text", &text), ("based_on", "1")]).status,
        303
    );
    let working = program.get(&format!("{FOUR}/finding?id=power_target/1")).body;
    assert!(working.to_lowercase().contains("stale") && working.contains("run it again"), "{working}");
    let plan = program.get(&format!("{FOUR}/plan")).body.to_lowercase();
    assert!(plan.contains("computed before"), "the plan asks for it");

    let folder = program.stop().expect("a folder");
    let again = Program::start_in(folder.path().join("data"));
    let working = again.get(&format!("{FOUR}/finding?id=power_target/1"));
    assert!(working.status == 200 && working.body.contains("run it again"), "after a restart as well");
}

/// The findings and the page of power stay with the whole run; both say so.
#[test]
fn a_stopped_run_does_not_take_the_place_of_a_whole_one() {
    let program = Program::start();
    let form =
        [("speeds", "6200, 8200"), ("ducts", "8000"), ("timing", "as_stated"), ("correction", "as_run")];
    assert_eq!(program.post_form(&format!("{POWER}/run"), &form).status, 303);
    wait_for(&program, "the end", |l| !runs(l));
    let inside = |point: u32| program.get(&format!("{POWER}/inside?run=1&point={point}&cylinder=3")).body;
    assert!(inside(1).contains("Exhaust duct of cylinder 3"), "kept at the nearest speed");
    assert!(
        inside(0).contains("Exhaust duct of cylinder 1") && inside(0).contains("are not kept at this speed")
    );
    assert_eq!(start(&program, "4000, 4500, 5000, 5500, 6000, 6500").status, 303);
    wait_for(&program, "a point", |l| l.contains("1 of 6") || l.contains("2 of 6") || !runs(l));
    assert_eq!(program.post_form(&format!("{POWER}/stop"), &[]).status, 303);
    wait_for(&program, "the end", |l| !runs(l));
    let page = program.get(POWER).body;
    assert!(page.contains("<h2>Run 1</h2>") && page.contains("Not the newest"), "{page}");
    assert!(!page.contains("compute that speed"), "the duty was computed: {page}");
    let stopped = program.get(&format!("{POWER}?run=2")).body;
    assert!(stopped.contains("Stopped") && stopped.contains("not from this one"), "{stopped}");
}

#[test]
fn a_killed_program_loses_at_most_the_points_in_work() {
    let program = Program::start_process();
    assert_eq!(start(&program, "5500 to 8000 by 250").status, 303);
    let line = wait_for(&program, "live points", |l| l.contains("so-far") || !runs(l));
    assert!(runs(&line) && line.contains("plot-line") && line.contains("Stop"), "drawn as they come: {line}");
    // What the page has shown may still be on its way to the disk for a moment.
    std::thread::sleep(Duration::from_millis(300));
    let folder = program.kill();
    let again = Program::start_in(folder.path().join("data"));
    let page = again.get(POWER).body;
    let done = page.split("stopped at ").nth(1).and_then(|t| t.split(" of 12").next()?.parse::<u32>().ok());
    assert!(done.is_some_and(|n| (2..12).contains(&n)), "{page}");
    // The 6200 rev/min of the duty are one of the 12.
    assert!(page.contains("5500 to 8000 by 250 rev/min") && page.contains("so-far"), "{page}");
    assert_eq!(again.post_form(&format!("{POWER}/go-on"), &[("kind", "power_curve")]).status, 303);
    let first = wait_for(&again, "the points from before", |l| l.contains("so-far") || !runs(l));
    assert!(!first.contains(": beginning") || first.contains("so-far"));
    wait_for(&again, "the end", |l| !runs(l));
    let page = again.get(POWER).body;
    assert!(page.contains("Run 1") && !page.contains("stopped at"), "{page}");
    assert!(page.contains("value=\"5500 to 8000 by 250\""), "the form keeps what was typed");
}

#[test]
fn a_stopped_sweep_keeps_its_cells_and_goes_on() {
    let program = Program::start();
    let choices = format!("{POWER}/choices");
    let sweep = [("speed", "7000"), ("steps", "3"), ("step", "5")];
    assert_eq!(program.post_form(&format!("{POWER}/study/sweep"), &sweep).status, 303);
    wait_for(&program, "three cells", |l| {
        let done = l.split(" of 49").next().and_then(|t| t.rsplit(' ').next()).and_then(|n| n.parse().ok());
        done.is_some_and(|n: u32| n >= 3) || !runs(l)
    });
    assert_eq!(program.post_form(&format!("{POWER}/stop"), &[]).status, 303);
    wait_for(&program, "the end", |l| !runs(l));
    let page = program.get(&choices).body;
    let done = page.split("stopped at ").nth(1).and_then(|t| t.split(" of 49").next()?.parse::<u32>().ok());
    assert!(done.is_some_and(|n| n >= 3), "{page}");
    assert_eq!(program.post_form(&format!("{POWER}/go-on"), &[("kind", "power_sweep")]).status, 303);
    wait_for(&program, "the second end", |l| !runs(l));
    let page = program.get(&choices).body;
    assert!(page.contains("Torque at 7000 rev/min") && !page.contains("stopped at"), "{page}");
    for field in ["name=\"steps\" inputmode=\"numeric\" autocomplete=\"off\" value=\"3\"", "value=\"5\""] {
        assert!(page.contains(field), "{field} stays as it was typed: {page}");
    }
    assert_eq!(program.post_form(&format!("{POWER}/go-on"), &[("kind", "power_sweep")]).status, 422);
}

#[test]
fn a_new_engine_is_asked_in_the_order_in_which_a_person_finds_it() {
    let program = Program::start();
    let new = [("name", "lacks"), ("arrangement", "inline"), ("cylinders", "4"), ("units", "metric")];
    assert_eq!(program.post_form("/new", &new).status, 303);
    let page = program.get("/engine/lacks/power").body;
    let places: Vec<usize> = [
        "Read off the engine <span",
        "Off the maker's sheet or the cam card <span",
        "Off a bench <span",
        "Off a standard or a handbook, or chosen by you <span",
    ]
    .iter()
    .map(|heading| page.find(heading).unwrap_or_else(|| panic!("{heading}: {page}")))
    .collect();
    assert!(places.is_sorted());
    assert!(page.contains("depression = &quot;\u{2026} inH2O&quot;"), "{page}");
    assert!(page.contains("mean_poppet_valve"), "the way round the bench");
    // The form of the fuel has an example of its own and its caution.
    let fuel = program.get("/engine/lacks/parts/fuel").body;
    assert!(fuel.contains("550 cm3/min") && !fuel.contains("88.012 mm"), "{fuel}");
    assert!(fuel.contains("methanol poisons through skin and breath"), "{fuel}");
    assert!(program.get("/engine/lacks/parts/duty").body.contains("88.012 mm"));
}
