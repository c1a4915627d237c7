//! Documents by hand and part by part, new engines, readings from and to files.

mod common;

use common::{FOUR, Program};

fn text(program: &Program, engine: &str) -> String {
    program.get(&format!("{engine}/document.toml")).body
}

#[test]
fn a_document_is_edited_by_hand_and_read_back() {
    let program = Program::start();
    let old = text(&program, FOUR);
    let new = old.replace("name = \"Hill-climb four\"", "name = \"Hill-climb four, second rebuild\"");
    assert_ne!(old, new);
    let answer = program
        .post_form(&format!("{FOUR}/document"), &[("text", &new.replace('\n', "\r\n")), ("based_on", "1")]);
    assert_eq!(
        (answer.status, answer.header("location")),
        (303, "/engine/hill-climb-four/document?done=kept-2")
    );
    assert_eq!(text(&program, FOUR), new);
    assert!(program.get("/").body.contains("second rebuild"));
    let page = program.get(&format!("{FOUR}/document?done=kept-2")).body;
    assert!(page.contains("Kept as version 2"));
    assert!(page.contains("document/version/1") && page.contains("document/changes?from=1&amp;to=2"));
    // Each version can be read, and what changed between two of them.
    let first = program.get(&format!("{FOUR}/document/version/1")).body;
    assert!(
        first.contains("name = &quot;Hill-climb four&quot;") && !first.contains("second rebuild&quot;\n")
    );
    let changes = program.get(&format!("{FOUR}/document/changes?from=1&to=2")).body;
    assert!(changes.contains("1 line added, 1 line removed."));
    assert!(
        changes
            .contains("<td>+ added</td><td><code>name = &quot;Hill-climb four, second rebuild&quot;</code>")
    );
    for missing in ["version/3", "version/one", "changes?from=1&to=9", "changes"] {
        assert_eq!(program.get(&format!("{FOUR}/document/{missing}")).status, 404, "{missing}");
    }
    // Somebody who started from version 1 is shown both, and nothing is overwritten.
    let late = program.post_form(&format!("{FOUR}/document"), &[("text", &old), ("based_on", "1")]);
    assert_eq!(late.status, 409);
    assert!(late.body.contains("version 2") && late.body.contains("second rebuild"));
    assert_eq!(text(&program, FOUR), new);
}

#[test]
fn mistakes_are_shown_with_their_place_and_nothing_changes() {
    let program = Program::start();
    let old = text(&program, FOUR);
    for (from, to, words) in [
        ("bore = \"89.100 mm\"", "bore = 89.1", "89.1"),
        ("bore = \"89.100 mm\"", "bore = \"-89.1 mm\"", "-89.1 mm is "),
        ("firing_order = [1, 3, 4, 2]", "firing_order = [1, 3, 3, 2]", "cylinder"),
        ("firing_order = [1, 3, 4, 2]", "firing_order = [1, 4, 3, 2]", "fir"),
        ("stroke = \"83.90 mm\"", "strok = \"83.90 mm\"", "stroke"),
        ("[layout]", "[layout", "line"),
    ] {
        let new = old.replace(from, to);
        assert_ne!(old, new, "{from}");
        let answer = program.post_form(&format!("{FOUR}/document"), &[("text", &new), ("based_on", "1")]);
        assert_eq!(answer.status, 422, "{to}");
        assert!(answer.body.contains("in line ") && answer.body.contains(words), "{to}");
        assert_eq!(text(&program, FOUR), old, "{to}");
    }
}

#[test]
fn a_part_is_filled_in_and_comments_stay() {
    let program = Program::start();
    let old = text(&program, FOUR);
    let at = format!("{FOUR}/parts/layout");
    let answer = program.post_form(&at, &[("based_on", "1"), ("stroke", "84.00 mm"), ("bore", "89.100 mm")]);
    assert_eq!(answer.status, 303, "{}", answer.body);
    assert_eq!(text(&program, FOUR), old.replace("stroke = \"83.90 mm\"", "stroke = \"84.00 mm\""));
    // What is empty is left out.
    assert_eq!(program.post_form(&at, &[("based_on", "2"), ("pitch", "")]).status, 303);
    assert!(!text(&program, FOUR).contains("\npitch = \"98.30 mm\""));
    // Refused: nothing changes, and the field says why.
    let kept = text(&program, FOUR);
    let wrong = program.post_form(&at, &[("based_on", "3"), ("stroke", "long"), ("bore", "90 bar")]);
    assert_eq!(wrong.status, 422);
    assert!(
        wrong.body.contains("does not start with a number")
            && wrong.body.contains("does not measure a length")
    );
    let swapped = program.post_form(
        &format!("{FOUR}/parts/limits"),
        &[("based_on", "3"), ("bore_taper.min", "0.5 mm"), ("bore_taper.max", "0.010 mm")],
    );
    assert_eq!(swapped.status, 422, "least above most");
    assert_eq!(text(&program, FOUR), kept);
    assert_eq!(program.post_form(&at, &[("based_on", "1"), ("stroke", "85 mm")]).status, 409);
    assert_eq!(text(&program, FOUR), kept);
}

/// What cannot be read, what the document contradicts and what a new entry lacks are told at once, each at its field.
#[test]
fn a_form_names_every_field_that_needs_another_look() {
    let program = Program::start();
    let at = format!("{FOUR}/parts/limits");
    let wrong = [
        ("based_on", "1"),
        ("main_clearance.min", "wide"),
        ("piston_clearance.min", "0.2 mm"),
        ("piston_clearance.max", "0.1 mm"),
        ("end_float.max", "3 bar"),
    ];
    let page = program.post_form(&at, &wrong);
    assert_eq!(page.status, 422);
    let (summary, fields) = page.body.split_once("<form").expect("a form");
    assert!(summary.contains("3 fields need another look"), "{summary}");
    for field in ["main_clearance.min", "piston_clearance.min", "end_float.max"] {
        assert!(summary.contains(&format!("href=\"#{field}\"")), "{field}: {summary}");
        assert!(fields.contains(&format!("id=\"{field}-note\"")), "{field}");
    }
    // One that cannot be read hides what goes with it: no contradiction is made up of what stood there before.
    let layout = format!("{FOUR}/parts/layout");
    let wrong =
        [("based_on", "1"), ("cylinders", "six"), ("firing_order", "1, 5, 3, 6, 2, 4"), ("stroke", "-3 mm")];
    let page = program.post_form(&layout, &wrong).body;
    let (summary, _) = page.split_once("<form").expect("a form");
    assert!(summary.contains("2 fields need another look"), "{summary}");
    assert!(summary.contains("href=\"#cylinders\"") && summary.contains("href=\"#stroke\""), "{summary}");
    // What the document refuses of a new entry stands at the field in which it was typed.
    let intake = format!("{FOUR}/parts/intake");
    let wrong = [("based_on", "1"), ("runner.+.length", "-20 mm"), ("runner.+.diameter", "wide")];
    let page = program.post_form(&intake, &wrong).body;
    for field in ["runner.+.length", "runner.+.diameter"] {
        assert!(page.contains(&format!("<div class=\"error\" id=\"{field}-note\"")), "{field}: {page}");
    }
}

/// Sizes of a new engine typed as bare numbers: a length, a volume, an angle, a list and a limit.
#[test]
fn a_bare_number_takes_the_unit_that_its_field_shows() {
    let program = Program::start();
    for (name, units, kept) in [
        ("Metric", "metric", ["\"87 mm\"", "\"0 cm³\"", "\"45 °\"", "[\"1 mm\", \"2.5 mm\"]", "\"0.05 mm\""]),
        ("Inch", "inch", ["\"87 in\"", "\"0 cm³\"", "\"45 °\"", "[\"1 in\", \"2.5 in\"]", "\"0.05 in\""]),
    ] {
        let new = [("name", name), ("arrangement", "inline"), ("cylinders", "4"), ("units", units)];
        assert_eq!(program.post_form("/new", &new).status, 303);
        let engine = format!("/engine/{}", name.to_lowercase());
        let mut version = 1;
        for (section, field, typed) in [
            ("valves", "intake.head_diameter", "87"),
            ("pistons", "dish", "0"),
            ("valves", "exhaust.seat_angle", "45"),
            ("flow_bench", "intake.lift", "1; 2,5"),
            ("limits", "piston_clearance.min", "0,05"),
        ] {
            let at = format!("{engine}/parts/{section}");
            let based_on = version.to_string();
            let answer = program.post_form(&at, &[("based_on", &based_on), (field, typed)]);
            assert_eq!(answer.status, 303, "{field} {typed}: {}", answer.body);
            version += 1;
        }
        let text = text(&program, &engine);
        for kept in kept {
            assert!(text.contains(kept), "{kept}: {text}");
        }
        // Empty fields show the unit that they take.
        let unit = if units == "inch" { "in" } else { "mm" };
        let page = program.get(&format!("{engine}/parts/crank")).body;
        assert!(page.contains(&format!("<span class=\"unit\">{unit}</span>")));
        // What may not be negative is named at its own field, entry by entry.
        let based_on = version.to_string();
        let wrong = program.post_form(
            &format!("{engine}/parts/flow_bench"),
            &[("based_on", &based_on), ("intake.lift", "1, -2, -3")],
        );
        assert_eq!(wrong.status, 422);
        assert!(wrong.body.contains("entry 2: ") && wrong.body.contains("entry 3: "), "{}", wrong.body);
        assert!(wrong.body.contains("id=\"intake.lift-note\""));
    }
}

#[test]
fn what_belongs_together_changes_together() {
    let program = Program::start();
    let started = program.post_form(
        "/new",
        &[("name", "Six"), ("arrangement", "inline"), ("cylinders", "4"), ("units", "metric")],
    );
    assert_eq!(started.status, 303, "{}", started.body);
    let fields = [
        ("based_on", "1"),
        ("arrangement", "inline"),
        ("cylinders", "6"),
        ("firing_order", "1, 5, 3, 6, 2, 4"),
        ("throws", ""),
    ];
    let answer = program.post_form("/engine/six/parts/layout", &fields);
    assert_eq!(answer.status, 303, "{}", answer.body);
    assert!(text(&program, "/engine/six").contains("cylinders = 6"));
}

#[test]
fn a_new_engine_has_its_first_verdict() {
    let program = Program::start();
    let fields = [
        ("name", "Bench mule"),
        ("arrangement", "inline"),
        ("cylinders", "2"),
        ("units", "metric"),
        ("bore", "80.00"),
        ("stroke", "70 mm"),
    ];
    let answer = program.post_form("/new", &fields);
    assert_eq!((answer.status, answer.header("location")), (303, "/engine/bench-mule?done=started"));
    let mule = "/engine/bench-mule";
    assert_eq!(program.get(mule).status, 200);
    let limits = [("based_on", "1"), ("bore_taper.max", "0.010 mm")];
    assert_eq!(program.post_form(&format!("{mule}/parts/limits"), &limits).status, 303);
    for (place, value) in [("top", "80.010"), ("mid", "80.009"), ("low", "79.980")] {
        for way in ["thrust", "along"] {
            let body = common::reading(
                &format!("block.bore.1.{place}.{way}"),
                value,
                &serde_json::json!({ "instrument": "" }),
            );
            let answer = program.post_reading(mule, &body);
            assert_eq!(answer.status, 200, "{}", answer.body);
        }
    }
    let finding = program.get(&format!("{mule}/finding?id=bore_taper/1"));
    assert_eq!(finding.status, 200);
    assert!(finding.body.contains(">bad<"), "0.030 of taper where 0.010 is allowed");
}

#[test]
fn a_new_engine_names_the_fields_that_are_wrong() {
    let program = Program::start();
    for (fields, words) in [
        (vec![("name", ""), ("arrangement", "inline"), ("cylinders", "4")], "give it a name"),
        (vec![("name", "x"), ("arrangement", "vee"), ("cylinders", "7")], "7 do not go"),
        (vec![("name", "x"), ("arrangement", "inline"), ("cylinders", "four")], "no number of cylinders"),
        (
            vec![("name", "x"), ("arrangement", "inline"), ("cylinders", "4"), ("bore", "89 bar")],
            "not of length",
        ),
        (vec![("name", "x"), ("arrangement", "copy"), ("copy_of", "none")], "there is no engine"),
    ] {
        let answer = program.post_form("/new", &fields);
        assert_eq!(answer.status, 422, "{words}");
        assert!(answer.body.contains(words), "{words}: {}", answer.body);
    }
    assert_eq!(program.get("/").body.matches("engine-row").count(), 2);
}

#[test]
fn a_copy_takes_sizes_over_and_leaves_readings_behind() {
    let program = Program::start();
    let answer = program.post_form(
        "/new",
        &[("name", "Second four"), ("arrangement", "copy"), ("copy_of", "hill-climb-four")],
    );
    assert_eq!(answer.header("location"), "/engine/second-four?done=started", "{}", answer.body);
    let copy = text(&program, "/engine/second-four");
    assert!(copy.contains("name = \"Second four\"") && copy.contains("bore = \"89.100 mm\""));
    assert!(copy.contains("# 88.600 as cast"), "comments stay");
    assert!(!copy.contains("[[operations]]"));
    assert_eq!(program.get("/engine/second-four/readings.csv").body.lines().count(), 1, "only the head");
}

#[test]
fn readings_go_out_and_come_back() {
    let program = Program::start();
    let csv = program.get(&format!("{FOUR}/readings.csv")).body;
    let rows = csv.lines().count();
    assert!(rows > 500);
    // The same file again adds nothing.
    let again = program.post_form(&format!("{FOUR}/readings.csv"), &[("csv", &csv)]);
    assert_eq!(
        again.header("location"),
        "/engine/hill-climb-four/readings?done=imported-0",
        "{}",
        again.body
    );
    // Into a copy of the engine all of it goes, and out comes the same.
    let operations_kept = text(&program, FOUR).replace("name = \"Hill-climb four\"", "name = \"Twin\"");
    program.post_form("/new", &[("name", "Twin"), ("arrangement", "copy"), ("copy_of", "hill-climb-four")]);
    let twin = "/engine/twin";
    assert_eq!(
        program
            .post_form(&format!("{twin}/document"), &[("text", &operations_kept), ("based_on", "1")])
            .status,
        303
    );
    let taken = program.post_form(&format!("{twin}/readings.csv"), &[("csv", &csv)]);
    assert_eq!(
        taken.header("location"),
        format!("{twin}/readings?done=imported-{}", rows - 1),
        "{}",
        taken.body
    );
    assert_eq!(program.get(&format!("{twin}/readings.csv")).body, csv);
}

#[test]
fn a_bad_file_of_readings_is_refused_whole() {
    let program = Program::start();
    let before = program.get(&format!("{FOUR}/readings.csv")).body;
    for (csv, words) in [
        (
            "feature,value\nblock.bore.1.top.thrust,89.101 mm\nblock.bore.9.top.thrust,89.101 mm\n",
            "in line 3",
        ),
        ("feature,value\nblock.bore.1.top.thrust,89.101\n", "no unit"),
        ("feature,value\nblock.bore.1.top.thrust,NaN mm\n", "no number that can be measured"),
        ("place,value\nblock.bore.1.top.thrust,89.101 mm\n", "no column"),
    ] {
        let answer = program.post_form(&format!("{FOUR}/readings.csv"), &[("csv", csv)]);
        assert_eq!(answer.status, 422, "{words}");
        assert!(answer.body.contains(words), "{words}");
    }
    assert_eq!(program.get(&format!("{FOUR}/readings.csv")).body, before);
}

/// A form sends all its fields back, also those that nobody has touched.
#[test]
fn keeping_one_field_leaves_what_is_only_proposed_proposed() {
    let program = Program::start();
    let new = [("name", "Vee"), ("arrangement", "vee"), ("cylinders", "8"), ("units", "metric")];
    assert_eq!(program.post_form("/new", &new).status, 303);
    let proposed = |program: &Program| engine::document::proposed(&text(program, "/engine/vee"));
    let all = proposed(&program);
    let (order, throws) = ("layout.firing_order".to_owned(), "layout.throws".to_owned());
    assert!(all.contains(&order) && all.contains(&throws) && all.len() > 3, "{all:?}");
    let keep = |based_on: &str, changed: &[(&str, &str)]| {
        let mut fields = pages::part_values(&text(&program, "/engine/vee"), "layout");
        fields.extend(changed.iter().map(|(name, text)| ((*name).to_owned(), (*text).to_owned())));
        fields.insert("based_on".to_owned(), based_on.to_owned());
        let fields: Vec<(&str, &str)> = fields.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        program.post_form("/engine/vee/parts/layout", &fields)
    };
    assert_eq!(keep("1", &[("stroke", "80 mm")]).status, 303);
    assert!(text(&program, "/engine/vee").contains("stroke = \"80 mm\""));
    assert_eq!(proposed(&program), all, "the stroke alone was said");
    // Said with its box, and said by another value.
    assert_eq!(keep("2", &[("_given.throws", "yes"), ("bank_angle", "75 deg")]).status, 303);
    let left = proposed(&program);
    assert!(!left.contains(&throws) && !left.contains("layout.bank_angle"), "{left:?}");
    assert!(left.contains(&order) && left.len() == all.len() - 2, "{left:?}");
    // A box outlives a question: nothing was kept, and it stands ticked.
    let asked = keep("3", &[("_given.firing_order", "yes"), ("bore", "3.5 m")]);
    assert_eq!(asked.status, 422, "{}", asked.body);
    assert!(asked.body.contains("data-of=\"firing_order\" checked"));
}
