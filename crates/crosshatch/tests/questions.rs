//! Questions about sizes are asked once on the forms; questions about readings stay until a person answers them.

mod common;

use common::{FOUR, Program, reading};
use serde_json::json;

/// What the form sends along to say that it was asked.
fn word(html: &str) -> String {
    let found = html.split("name=\"_asked\" value=\"").nth(1).and_then(|rest| rest.split('"').next());
    found.expect("a form that was asked about").replace("&quot;", "\"").replace("&amp;", "&")
}

/// The program with an inline six that nobody has measured, and where that stands.
fn program_with_a_six() -> (Program, &'static str) {
    let program = Program::start();
    let fields = [
        ("name", "Six"),
        ("arrangement", "inline"),
        ("cylinders", "6"),
        ("units", "metric"),
        ("bore", "76.2"),
        ("stroke", "88.9"),
    ];
    assert_eq!(program.post_form("/new", &fields).status, 303);
    (program, "/engine/six")
}

#[test]
fn a_size_out_of_proportion_is_asked_about_once_and_kept_the_second_time() {
    let program = Program::start();
    let at = format!("{FOUR}/parts/block");
    let asked = program.post_form(&at, &[("based_on", "1"), ("deck_height", "8.5")]);
    assert_eq!(asked.status, 422, "{}", asked.body);
    assert!(asked.body.contains("8.5 in (215.9 mm)"), "the likely slip is named");
    assert!(asked.body.contains("id=\"deck_height-note\""), "beside the field");
    assert!(program.get(&format!("{FOUR}/document.toml")).body.contains("deck_height = \"219.15 mm\""));
    // Another slip is another question.
    let word = word(&asked.body);
    let other = program.post_form(&at, &[("based_on", "1"), ("deck_height", "21.915"), ("_asked", &word)]);
    assert_eq!(other.status, 422);
    let kept = program.post_form(&at, &[("based_on", "1"), ("deck_height", "8.5"), ("_asked", &word)]);
    assert_eq!(kept.status, 303, "{}", kept.body);
    // It stays in sight, and a change of something else does not ask about it again.
    let sheet = program.get(FOUR).body;
    assert!(sheet.contains("of the document to look at"), "{sheet}");
    assert!(program.get(&format!("{FOUR}/document")).body.contains("8.5 in (215.9 mm)"));
    let next = program.post_form(&at, &[("based_on", "2"), ("bore_length", "141 mm")]);
    assert_eq!(next.status, 303, "{}", next.body);
}

#[test]
fn a_new_engine_of_three_millimetres_is_asked_about() {
    let program = Program::start();
    let form = |asked: &str| {
        let fields = [
            ("name", "Six"),
            ("arrangement", "inline"),
            ("cylinders", "6"),
            ("units", "metric"),
            ("bore", "3"),
            ("stroke", "3.5 in"),
            ("_asked", asked),
        ];
        program.post_form("/new", &fields)
    };
    let asked = form("");
    assert_eq!(asked.status, 422);
    assert!(asked.body.contains("3 in (76.2 mm)"), "{}", asked.body);
    assert_eq!(form(&word(&asked.body)).status, 303);
}

#[test]
fn an_order_unlike_the_usual_crank_is_asked_about() {
    let program = Program::start();
    let fields = [("name", "Six"), ("arrangement", "inline"), ("cylinders", "6"), ("units", "metric")];
    assert_eq!(program.post_form("/new", &fields).status, 303);
    let at = "/engine/six/parts/layout";
    let asked = program.post_form(at, &[("based_on", "1"), ("firing_order", "1, 2, 3, 4, 5, 6")]);
    assert_eq!(asked.status, 422);
    assert!(asked.body.contains("id=\"firing_order-note\"") && asked.body.contains("1-5-3-6-2-4"));
    let word = word(&asked.body);
    let kept =
        program.post_form(at, &[("based_on", "1"), ("firing_order", "1, 2, 3, 4, 5, 6"), ("_asked", &word)]);
    assert_eq!(kept.status, 303);
    let text = program.get("/engine/six/document.toml").body;
    assert!(text.contains("firing_order = [1, 2, 3, 4, 5, 6]\n"), "the remark goes: {text}");
}

#[test]
fn an_open_question_stays_when_the_neighbours_that_raised_it_go() {
    let (program, six) = program_with_a_six();
    let read = |place: &str, text: &str| {
        let answer = program.post_reading(six, &reading(place, text, &json!({ "instrument": "" })));
        assert_eq!(answer.status, 200, "{place}: {}", answer.body);
    };
    // The first reading has no neighbour yet to be asked by.
    read("block.bore.3.mid.along", "76.261");
    let mut last = 1;
    for bore in [3, 4, 5, 6] {
        for place in ["top.thrust", "top.along", "mid.thrust", "mid.along", "low.thrust", "low.along"] {
            if (bore, place) != (3, "mid.along") {
                last += 1;
                read(&format!("block.bore.{bore}.{place}"), &format!("76.21{}", (bore + last) % 3));
            }
        }
    }
    let asked = |page: &str| page.contains("Asked about");
    assert!(asked(&program.get(six).body), "the neighbours raise the question");
    let text = program.get(&format!("{six}/document.toml")).body;
    let three = text
        .replace("cylinders = 6", "cylinders = 3")
        .replace("firing_order = [1, 5, 3, 6, 2, 4]", "firing_order = [1, 3, 2]");
    let kept = program.post_form(&format!("{six}/document"), &[("text", &three), ("based_on", "1")]);
    assert_eq!(kept.status, 303, "{}", kept.body);
    let after = program.get(six).body;
    assert!(asked(&after), "it was never answered");
    // It is still there after the program was started anew, and goes when it is answered.
    let folder = program.stop().expect("a folder");
    let kept = std::fs::read_dir(folder.path().join("data")).expect("the folder").flatten().any(|file| {
        let bytes = std::fs::read(file.path()).unwrap_or_default();
        bytes.windows(8).any(|eight| eight == b"\"slip\":{")
    });
    assert!(kept, "nothing raises it any more: the log keeps it open");
    let program = Program::start_in(folder.path().join("data"));
    assert!(asked(&program.get(six).body));
    let fields = json!({ "corrects": 1, "confirmed": true, "instrument": "" });
    let answered = program.post_reading(six, &reading("block.bore.3.mid.along", "76.261", &fields));
    assert_eq!(answered.status, 200, "{}", answered.body);
    assert!(!asked(&program.get(six).body));
}

#[test]
fn an_engine_is_put_away_and_brought_back_with_all_that_it_has() {
    let program = Program::start();
    let away = |word: &str| program.post_form(&format!("{FOUR}/away"), &[("away", word)]);
    let readings = program.get(&format!("{FOUR}/readings.csv")).body;
    assert_eq!(away("yes").status, 303);
    let shelf = program.get("/").body;
    let (here, apart) = shelf.split_once("<details>").expect("engines that are put away");
    assert!(!here.contains("Hill-climb four") && apart.contains("Hill-climb four"), "{shelf}");
    assert_eq!(program.get(&format!("{FOUR}/readings.csv")).body, readings, "nothing is lost");
    assert_eq!(away("no").status, 303);
    assert!(!program.get("/").body.contains("<details>"));
    assert_eq!(program.post_form("/engine/no-such/away", &[("away", "yes")]).status, 404);
}

#[test]
fn the_older_of_two_readings_can_be_taken_back() {
    let program = Program::start();
    let place = "block.bore.2.low.thrust";
    let log = || program.get(&format!("{FOUR}/readings?what={place}")).body;
    let number = |html: &str| {
        let rest = html.split("<tr id=\"reading-").nth(1).expect("a row");
        rest.split('"').next().expect("a number").to_owned()
    };
    let older = number(&log());
    let fields = json!({ "repeat": true, "confirmed": true });
    assert_eq!(program.post_reading(FOUR, &reading(place, "89.085", &fields)).status, 200);
    let newer = number(&log());
    assert_ne!(older, newer);
    let back = |number: &str| program.post_form(&format!("{FOUR}/readings/back"), &[("number", number)]);
    assert_eq!(back(&older).status, 303);
    // The newer one alone counts now, and is the one that can be taken back still.
    let html = log();
    assert!(html.contains(&format!("name=\"number\" value=\"{newer}\"")));
    assert!(!html.contains(&format!("name=\"number\" value=\"{older}\"")));
    assert_eq!(back("99999").status, 404);
}

/// A question is answered by what a person says of its own reading, and by nothing that happens to the readings beside it.
#[test]
fn an_open_question_stays_when_the_readings_beside_it_are_taken_back_or_corrected() {
    let (program, six) = program_with_a_six();
    let read = |place: &str, text: &str, more: &serde_json::Value| {
        let mut fields = json!({ "instrument": "" });
        fields.as_object_mut().expect("fields").extend(more.as_object().expect("fields").clone());
        let answer = program.post_reading(six, &reading(place, text, &fields));
        assert_eq!(answer.status, 200, "{place}: {}", answer.body);
        answer.json()
    };
    read("block.bore.3.mid.along", "76.261", &json!({}));
    let mut beside = Vec::new();
    for bore in [3, 4, 5, 6] {
        for place in ["top.thrust", "top.along", "mid.thrust", "mid.along", "low.thrust", "low.along"] {
            if (bore, place) != (3, "mid.along") {
                let place = format!("block.bore.{bore}.{place}");
                read(&place, &format!("76.21{}", (bore + beside.len()) % 3), &json!({}));
                beside.push((place, beside.len() as u64 + 2));
            }
        }
    }
    let asked = |program: &Program| program.get(six).body.contains("Asked about");
    assert!(asked(&program), "the neighbours raise the question");
    // One of them is corrected, all the others are taken back.
    for (n, (place, number)) in beside.iter().enumerate() {
        if n == 0 {
            read(place, "76.214", &json!({ "corrects": number, "confirmed": true }));
        } else {
            let back = [("number", number.to_string())];
            let fields: Vec<(&str, &str)> = back.iter().map(|(k, v)| (*k, v.as_str())).collect();
            assert_eq!(program.post_form(&format!("{six}/readings/back"), &fields).status, 303, "{place}");
        }
        assert!(asked(&program), "nobody has answered it: {place}");
    }
    let folder = program.stop().expect("a folder");
    let program = Program::start_in(folder.path().join("data"));
    assert!(asked(&program), "it is still there after the program was started anew");
    let fields = json!({ "corrects": 1, "instrument": "" });
    let corrected = program.post_reading(six, &reading("block.bore.3.mid.along", "76.211", &fields));
    assert_eq!(corrected.status, 200, "{}", corrected.body);
    assert!(!asked(&program), "a corrected reading is asked about no more");
}

/// A journal that is smaller than the others may be worn, a larger one cannot be.
#[test]
fn a_reading_that_may_be_wear_is_not_called_a_slip() {
    let program = Program::start();
    let place = "crank.pin.1.front.across";
    let sheet = program.get(&format!("{FOUR}/changes?after=0&sheet=crank")).json();
    let old = &sheet["cells"][place]["number"];
    let ask = |text: &str| {
        let more = json!({ "corrects": old, "instrument": "M2" });
        let asked = program.post_reading(FOUR, &reading(place, text, &more)).json();
        asked["ask"]["text"].as_str().unwrap_or_else(|| panic!("{text} is asked about: {asked:#}")).to_owned()
    };
    let worn = ask("46.425");
    assert!(worn.contains("46.485 mm (a wrong digit), or is it real wear?"), "{worn}");
    assert!(!worn.contains("Perhaps"), "{worn}");
    let grown = ask("46.585");
    assert!(grown.contains("did you mean 46.485 mm") && !grown.contains("wear"), "{grown}");
}

/// Nothing stands beside the first lash, yet none is five millimetres.
#[test]
fn a_first_lash_of_five_millimetres_is_asked_about() {
    let (program, six) = program_with_a_six();
    let text = program.get(&format!("{six}/document.toml")).body;
    let valves = text.replacen("[layout]\n", "[layout]\nintake_valves = 1\nexhaust_valves = 1\n", 1);
    let kept = program.post_form(&format!("{six}/document"), &[("text", &valves), ("based_on", "1")]);
    assert_eq!(kept.status, 303, "{}", kept.body);
    let more = json!({ "instrument": "" });
    let asked = program.post_reading(six, &reading("head.intake.1a.lash", "5", &more)).json();
    assert!(asked["ask"]["text"].is_string(), "{asked:#}");
    let kept = program.post_reading(six, &reading("head.intake.1a.lash", "0.25", &more));
    assert!(kept.json()["number"].is_u64(), "{}", kept.body);
}
