//! A reading goes in at the bench and its meaning comes back; what is no reading changes nothing.

mod common;

use common::{FOUR, Program, reading};
use serde_json::{Value, json};

/// Number of the reading that stands at a place.
fn standing(program: &Program, feature: &str, sheet: &str) -> Value {
    let changes = program.get(&format!("{FOUR}/changes?after=0&sheet={sheet}"));
    changes.json()["cells"][feature]["number"].clone()
}

fn last(program: &Program) -> u64 {
    program.get(&format!("{FOUR}/changes?after=0&sheet=bores")).json()["last"].as_u64().expect("a number")
}

const BORE: &str = "block.bore.2.low.thrust";

#[test]
fn a_correction_changes_the_verdict_and_keeps_the_record() {
    let program = Program::start();
    let before = program.get(&format!("{FOUR}/finding?id=bore_taper/2")).body;
    assert!(before.contains(">bad<"), "the demo's bore 2 is tapered");
    for feature in [BORE, "block.bore.2.low.along"] {
        let old = standing(&program, feature, "bores");
        let seen = last(&program);
        let answer = program
            .post_reading(FOUR, &reading(feature, "89.101", &json!({ "corrects": old, "seen": seen })));
        assert_eq!(answer.status, 200, "{}", answer.body);
        let said = answer.json();
        assert_eq!(said["shown"], "89.101");
        assert_eq!(said["number"], json!(seen + 1));
        assert_eq!(said["cells"][feature]["number"], json!(seen + 1));
        assert!(said["tabs"].as_str().is_some_and(|tabs| tabs.contains("Bores")));
        assert!(said["rows"].as_object().is_some_and(|rows| rows.contains_key("bores/1")), "{said:#}");
        // Only what changed comes back to a browser that knows the rest.
        assert!(!said["rows"].as_object().is_some_and(|rows| rows.contains_key("bores/3")), "{said:#}");
    }
    let after = program.get(&format!("{FOUR}/finding?id=bore_taper/2")).body;
    assert!(after.contains(">good<"), "the corrected bore is straight");
    let log = program.get(&format!("{FOUR}/readings")).body;
    assert!(log.contains("89.082") || log.contains("89.083"), "the corrected reading stays in the log");
}

#[test]
fn nothing_is_lost_over_a_restart() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let kept = program.post_reading(FOUR, &reading(BORE, "89.0995", &json!({ "corrects": old }))).json();
    let token = program.token.clone();
    let folder = program.stop().expect("its folder");
    let again = Program::start_in(folder.path().join("data"));
    assert_eq!(standing(&again, BORE, "bores"), kept["number"]);
    assert!(again.get(&format!("{FOUR}/readings.csv")).body.contains("89.0995 mm"));
    assert_eq!(again.token, token, "a page that was open may go on sending");
    assert_eq!(again.get("/").body.matches("engine-row").count(), 2, "the demo is loaded once");
}

#[test]
fn a_reading_that_comes_twice_is_there_once() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let body = reading(BORE, "89.099", &json!({ "corrects": old, "delivery_key": "tablet/1" }));
    let (first, second) = (program.post_reading(FOUR, &body), program.post_reading(FOUR, &body));
    assert_eq!((first.status, second.status), (200, 200));
    assert_eq!(first.json()["number"], second.json()["number"]);
    assert_eq!(last(&program), first.json()["number"].as_u64().expect("a number"));
    let other = reading("block.bore.1.top.thrust", "89.099", &json!({ "delivery_key": "tablet/1" }));
    assert_eq!(program.post_reading(FOUR, &other).status, 422, "the key belongs to another reading");
}

#[test]
fn twenty_queues_deliver_each_reading_once() {
    let program = Program::start();
    let before = last(&program);
    std::thread::scope(|scope| {
        for client in 0..20 {
            let program = &program;
            scope.spawn(move || {
                for n in 0..5 {
                    let key = format!("queue-{client}-{n}");
                    let body = reading(
                        BORE,
                        "89.100",
                        &json!({ "repeat": true, "confirmed": true, "delivery_key": key }),
                    );
                    for _ in 0..2 {
                        assert_eq!(program.post_reading(FOUR, &body).status, 200);
                    }
                }
            });
        }
    });
    assert_eq!(last(&program), before + 100);
}

#[test]
fn two_browsers_on_one_place_see_each_other() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let seen = last(&program);
    let first =
        program.post_reading(FOUR, &reading(BORE, "89.099", &json!({ "corrects": old, "seen": seen })));
    assert_eq!(first.status, 200);
    // The second one has not seen it and corrects the same reading.
    let second =
        program.post_reading(FOUR, &reading(BORE, "89.101", &json!({ "corrects": old, "seen": seen })));
    assert_eq!(second.status, 409, "{}", second.body);
    let said = second.json();
    assert_eq!(
        said["conflict"],
        json!({ "shown": "89.099", "who": "tester", "number": first.json()["number"] })
    );
    assert_eq!(last(&program), seen + 1, "nothing of the second was stored");
    // Its builder decides: the mean of both.
    let mean =
        program.post_reading(FOUR, &reading(BORE, "89.101", &json!({ "repeat": true, "seen": seen + 1 })));
    assert_eq!(mean.status, 200);
    assert_eq!(mean.json()["shown"], "89.100");
    // And the first browser hears of it.
    let heard = program.get(&format!("{FOUR}/changes?after={}&sheet=bores", seen + 1));
    assert_eq!(heard.json()["cells"][BORE]["shown"], "89.100");
    assert_eq!(program.get(&format!("{FOUR}/changes?after={}&sheet=bores", seen + 2)).status, 204);
}

#[test]
fn a_slip_is_asked_about_once() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let before = last(&program);
    let asked = program.post_reading(FOUR, &reading(BORE, "8.9099", &json!({ "corrects": old }))).json();
    assert_eq!(asked["number"], Value::Null);
    assert_eq!(asked["ask"]["likely"], "89.099");
    assert_eq!(last(&program), before, "nothing is stored before the answer");
    let kept =
        program.post_reading(FOUR, &reading(BORE, "8.9099", &json!({ "corrects": old, "confirmed": true })));
    assert_eq!(kept.status, 200);
    assert_eq!(last(&program), before + 1);
}

#[test]
fn a_slip_is_answered_in_the_unit_that_was_typed() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let asked = program.post_reading(FOUR, &reading(BORE, "35.078 in", &json!({ "corrects": old }))).json();
    let likely = asked["ask"]["likely"].as_str().unwrap_or_default();
    assert!(likely.starts_with("3.507") && likely.ends_with(" in"), "{asked:#}");
}

#[test]
fn a_unit_typed_by_mistake_is_offered_in_the_unit_of_the_field() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let asked = program.post_reading(FOUR, &reading(BORE, "89.099 in", &json!({ "corrects": old }))).json();
    assert_eq!(asked["ask"]["likely"], "89.099", "{asked:#}");
    assert!(asked["ask"]["text"].as_str().is_some_and(|t| t.contains("89.099 mm")), "{asked:#}");
}

/// Sent without a page: 1 % beside the other readings of the bore, which no wrong digit explains.
#[test]
fn a_reading_far_from_the_others_of_its_bore_is_asked_about() {
    let program = Program::start();
    let before = last(&program);
    let standing = standing(&program, "block.bore.2.mid.along", "bores");
    let fields = json!({ "corrects": standing, "temperature": "20 \u{b0}C", "instrument": "B1" });
    let asked = program.post_reading(FOUR, &reading("block.bore.2.mid.along", "90.0", &fields)).json();
    let text = asked["ask"]["text"].as_str().unwrap_or_default();
    assert!(text.contains("from the other readings of this bore, which agree on 89."), "{asked:#}");
    assert_eq!(last(&program), before, "nothing counts before the answer");
}

#[test]
fn a_gauge_that_does_not_read_the_place_is_asked_about_once() {
    let program = Program::start();
    let before = last(&program);
    let place = "block.bore.2.mid.along";
    let shown =
        program.get(&format!("{FOUR}/changes?after=0&sheet=bores")).json()["cells"][place]["shown"].clone();
    let again = |gauge: &str, confirmed: bool| {
        let fields = json!({
            "repeat": true, "temperature": "20 \u{b0}C", "instrument": gauge, "confirmed": confirmed
        });
        program.post_reading(FOUR, &reading(place, shown.as_str().unwrap_or_default(), &fields)).json()
    };
    for (gauge, words) in [
        ("D1", "D1 is a dial indicator, which does not read bore 2, mid along. Was it read with D1?"),
        ("B3", "B3 reads 5 mm to 35 mm and does not reach bore 2, mid along. Was it read with B3?"),
    ] {
        let asked = again(gauge, false);
        assert_eq!((&asked["number"], &asked["ask"]["text"]), (&Value::Null, &json!(words)), "{asked:#}");
    }
    assert_eq!(last(&program), before, "nothing counts before the answer");
    assert_eq!(again("B3", true)["number"], json!(before + 1), "and what was typed is kept");
    assert_eq!(again("B3", false)["number"], json!(before + 2), "asked once of each gauge and kind of place");
}

#[test]
fn a_second_reading_that_differs_is_asked_about_before_it_counts() {
    let program = Program::start();
    let before = last(&program);
    let place = "block.bore.1.mid.thrust";
    let again = |text: &str, more: Value| {
        // As warm as the first one was.
        let mut fields = json!({ "repeat": true, "temperature": "27 \u{b0}C" });
        if let (Some(all), Some(more)) = (fields.as_object_mut(), more.as_object()) {
            all.extend(more.clone());
        }
        program.post_reading(FOUR, &reading(place, text, &fields)).json()
    };
    let shown =
        program.get(&format!("{FOUR}/changes?after=0&sheet=bores")).json()["cells"][place]["shown"].clone();
    let first: f64 = shown.as_str().and_then(|s| s.parse().ok()).expect("a number");
    let asked = again(&format!("{:.3}", first + 0.018), json!({}));
    assert_eq!((&asked["number"], &asked["ask"]["differs"]), (&Value::Null, &json!(true)), "{asked:#}");
    assert!(asked["ask"]["text"].as_str().is_some_and(|t| t.contains("differs by 0.018 mm")), "{asked:#}");
    assert_eq!(last(&program), before, "nothing counts before the answer");
    let near = again(&format!("{:.3}", first + 0.002), json!({}));
    assert_eq!(near["number"], json!(before + 1), "two good readings are averaged at once: {near:#}");
    let kept = again(&format!("{:.3}", first + 0.018), json!({ "confirmed": true }));
    assert_eq!(kept["number"], json!(before + 2));
}

#[test]
fn a_reading_is_taken_back_by_another() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let kept = program.post_reading(FOUR, &reading(BORE, "89.099", &json!({ "corrects": old }))).json();
    let gone = reading(BORE, "", &json!({ "corrects": kept["number"], "withdrawn": true }));
    let answer = program.post_reading(FOUR, &gone);
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert_eq!(answer.json()["cells"][BORE]["shown"], "");
    let log = program.get(&format!("{FOUR}/readings")).body;
    assert!(log.contains("taken back"));
    assert!(!program.get(&format!("{FOUR}/readings.csv")).body.contains("block.bore.2.low.thrust,89.099 mm"));
}

#[test]
fn an_undo_says_that_something_was_taken_back_and_confirms_nothing() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let before = program.get(&format!("{FOUR}/readings.csv")).body;
    let line = |csv: &str| csv.lines().find(|l| l.starts_with(BORE)).map(str::to_owned).expect("its line");
    let corrected = json!({ "corrects": old, "temperature": "27" });
    let kept = program.post_reading(FOUR, &reading(BORE, "89.099", &corrected)).json();
    let undo =
        reading(BORE, "89.0", &json!({ "corrects": kept["number"], "undone": true, "temperature": "30" }));
    let answer = program.post_reading(FOUR, &undo);
    assert_eq!(answer.status, 200, "{}", answer.body);
    let number = answer.json()["number"].as_u64().expect("a number");
    let log = program.get(&format!("{FOUR}/readings")).body;
    let row = log.split(&format!("id=\"reading-{number}\"")).nth(1).and_then(|r| r.split("</tr>").next());
    let row = row.expect("its row");
    assert!(row.contains("taken back") && !row.contains("confirmed"), "{row}");
    // Value, gauge and temperature are those of the reading that stands again.
    let words = |csv: &str| line(csv).split(',').take(4).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(words(&program.get(&format!("{FOUR}/readings.csv")).body), words(&before));
    let gone = reading(BORE, "", &json!({ "corrects": number, "withdrawn": true }));
    let number = program.post_reading(FOUR, &gone).json()["number"].as_u64().expect("a number");
    let log = program.get(&format!("{FOUR}/readings")).body;
    let row = log.split(&format!("id=\"reading-{number}\"")).nth(1).and_then(|r| r.split("</tr>").next());
    let row = row.expect("its row");
    assert!(row.contains("taken back") && !row.contains("confirmed") && !row.contains("not said"), "{row}");
}

#[test]
fn units_and_inches_are_understood() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let answer = program.post_reading(
        FOUR,
        &reading(BORE, "3.50787 in", &json!({ "corrects": old, "temperature": "68 °F" })),
    );
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert_eq!(answer.json()["shown"], "89.100");
    let csv = program.get(&format!("{FOUR}/readings.csv")).body;
    assert!(csv.contains("block.bore.2.low.thrust,3.50787 in,B1,20 °C"), "what was typed is kept");
}

#[test]
fn what_is_no_reading_is_refused_and_changes_nothing() {
    let program = Program::start();
    let before = last(&program);
    let old = standing(&program, BORE, "bores");
    let with = |fields: Value| {
        let mut all = json!({ "corrects": old });
        if let (Some(all), Some(fields)) = (all.as_object_mut(), fields.as_object()) {
            all.extend(fields.clone());
        }
        all
    };
    let refused = [
        ("89.1 bar", with(json!({})), "does not measure a length"),
        ("89.1 furlong", with(json!({})), "not known"),
        ("NaN", with(json!({})), "not a finite number"),
        ("1e999", with(json!({})), "not a finite number"),
        ("1e3", with(json!({})), "has an exponent, which would be 1000 mm"),
        ("8.91E+1 mm", with(json!({})), "has an exponent, which would be 89.1 mm"),
        ("89100", with(json!({})), "larger than anything"),
        ("-89.1", with(json!({})), "negative"),
        ("", with(json!({})), "nothing was typed"),
        ("abc", with(json!({})), "does not start with a number"),
        ("89,1", with(json!({})), "value of bore 2"),
        ("89.1", with(json!({ "unit": "bar" })), "does not measure a length"),
        (
            "89.1",
            json!({ "feature": "block.bore.9.mid.thrust" }),
            "no place \"block.bore.9.mid.thrust\"; nearest is block.bore.",
        ),
        ("89.1", with(json!({ "instrument": "Z9" })), "no gauge of that name"),
        ("89.1", with(json!({ "temperature": "warm" })), "temperature"),
        ("89.1", with(json!({ "temperature": "900 °C" })), "between -30 °C and 150 °C"),
        (
            "89.1",
            with(json!({ "held": ["by hand"] })),
            "free, caps torqued, torque plate on or shells in is expected",
        ),
        ("89.1", json!({ "corrects": 1 }), "is no reading of bore 2"),
        ("89.1", json!({ "corrects": 99999 }), "is no reading of bore 2"),
        ("", json!({ "withdrawn": true, "repeat": true }), "which reading"),
        ("89.1", with(json!({ "delivery_key": "" })), "delivery_key"),
        ("89.1", with(json!({ "held": "torque_plate" })), "could not be read"),
    ];
    for (text, fields, words) in refused {
        let answer = program.post_reading(FOUR, &reading(BORE, text, &fields));
        assert_eq!(answer.status, 422, "{text} {fields}: {}", answer.body);
        let error = answer.json()["error"].as_str().unwrap_or_default().to_owned();
        assert!(error.contains(words), "{text} {fields}: {error}");
    }
    let broken = program.post_body(
        &format!("{FOUR}/readings"),
        "application/json",
        "{",
        &[("x-crosshatch-token", &program.token)],
    );
    assert_eq!(broken.status, 422);
    assert_eq!(program.post_reading("/engine/none", &reading(BORE, "89.1", &json!({}))).status, 404);
    assert_eq!(last(&program), before, "nothing was stored");
}

#[test]
fn an_operation_makes_readings_stale_and_new_ones_stand_beside() {
    let program = Program::start();
    let old = standing(&program, BORE, "bores");
    let old_shown =
        program.get(&format!("{FOUR}/changes?after=0&sheet=bores")).json()["cells"][BORE]["shown"].clone();
    let honed =
        [("kind", "hone"), ("only", "2"), ("note", "to 89.105"), ("amount", "0.005"), ("back", "bores")];
    let answer = program.post_form(&format!("{FOUR}/operations"), &honed);
    assert_eq!(answer.status, 303, "{}", answer.body);
    assert_eq!(answer.header("location"), format!("{FOUR}/sheet/bores?done=operation"));
    let cell = |feature: &str| {
        program.get(&format!("{FOUR}/changes?after=0&sheet=bores")).json()["cells"][feature].clone()
    };
    assert!(cell(BORE)["flag"].as_str().is_some_and(|flag| flag.contains("stale")), "{}", cell(BORE));
    // The field is empty for the new reading, and says what was read before the hone.
    assert_eq!((&cell(BORE)["number"], &cell(BORE)["shown"]), (&Value::Null, &json!("")));
    assert_eq!(cell(BORE)["before"], old_shown);
    // A new reading is typed over it as into an empty field.
    let other = "block.bore.2.low.along";
    let answer = program.post_reading(FOUR, &reading(other, "89.104", &json!({})));
    assert_eq!(answer.status, 200, "{}", answer.body);
    assert_eq!(answer.json()["shown"], "89.104");
    let log = program.get(&format!("{FOUR}/readings")).body;
    assert!(log.contains(&format!("id=\"reading-{old}\"")), "the old one stays in the log");
    // A browser that has not heard of the hone corrects what it sees; the reading before it was right and stays so.
    let kept = program.post_reading(FOUR, &reading(BORE, "89.105", &json!({ "corrects": old }))).json();
    assert_eq!(kept["cells"][BORE]["flag"], "", "{kept:#}");
    assert_eq!(kept["cells"][BORE]["struck"], json!([]));
    let wrong = program
        .post_form(&format!("{FOUR}/operations"), &[("kind", "paint"), ("only", "9"), ("amount", "4 bar")]);
    assert_eq!(wrong.status, 422);
    for words in ["paint", "\"9\" is no cylinder", "does not measure a length"] {
        assert!(
            wrong.body.contains(words) || wrong.body.contains(&words.replace('"', "&quot;")),
            "{words}: {}",
            wrong.body
        );
    }
}
