//! Every page opens, says what it should, and carries the headers that keep strangers out.

mod common;

use common::{FOUR, Program};

#[test]
fn every_page_opens_with_its_headers() {
    let program = Program::start();
    for (path, words) in [
        ("/", "Hill-climb four"),
        ("/new", "New engine"),
        (FOUR, "<svg"),
        ("/engine/hill-climb-four?angle=30", "<svg"),
        ("/engine/hill-climb-four/sheet/casting", "Casting"),
        ("/engine/hill-climb-four/sheet/bores", "block.bore.3.mid.thrust"),
        ("/engine/hill-climb-four/sheet/crank", "crank.pin.2"),
        ("/engine/hill-climb-four/sheet/bearings", "Bearings"),
        ("/engine/hill-climb-four/sheet/rods", "Rods"),
        ("/engine/hill-climb-four/sheet/pistons", "Pistons"),
        ("/engine/hill-climb-four/sheet/head", "Head"),
        ("/engine/hill-climb-four/sheet/valves", "Valves"),
        ("/engine/hill-climb-four/fits", "Fits"),
        ("/engine/hill-climb-four/plan", "Plan"),
        ("/engine/hill-climb-four/finding?id=bore_taper/2", "JCGM 100"),
        ("/engine/hill-climb-four/parts", "Specification"),
        ("/engine/hill-climb-four/parts/layout", "89.100 mm"),
        ("/engine/hill-climb-four/parts/limits", "piston_clearance"),
        ("/engine/hill-climb-four/document", "crosshatch = 2"),
        ("/engine/hill-climb-four/readings", "holds"),
        ("/engine/pushrod-v8", "Pushrod V8"),
        ("/engine/pushrod-v8/sheet/bores", "in"),
    ] {
        let answer = program.get(path);
        assert_eq!(answer.status, 200, "{path}");
        assert!(answer.body.contains(words), "{path} says nothing of {words}");
        assert!(
            answer.header("content-security-policy").starts_with("default-src 'none'; script-src 'self'"),
            "{path}"
        );
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("referrer-policy"), "no-referrer", "{path}");
        assert!(!answer.body.contains("style=\""), "{path}: the policy would drop inline styles");
    }
}

#[test]
fn what_is_embedded_is_served_and_nothing_else() {
    let program = Program::start();
    let style = program.get("/static/crosshatch.css");
    assert_eq!((style.status, style.header("content-type")), (200, "text/css; charset=utf-8"));
    assert!(style.header("cache-control").contains("immutable"));
    for path in ["/static/none.css", "/static/..%2fCargo.toml", "/static/../Cargo.toml"] {
        assert_eq!(program.get(path).status, 404, "{path}");
    }
}

#[test]
fn wrong_addresses_say_what_is_there() {
    let program = Program::start();
    for (path, words) in [
        ("/nothing", "no page"),
        ("/engine/none", "No engine has the id"),
        ("/engine/hill-climb-four/sheet/boers", "there are casting, bores"),
        ("/engine/hill-climb-four/finding?id=none", "no finding"),
        ("/engine/hill-climb-four/parts/none", "no section"),
    ] {
        let answer = program.get(path);
        assert_eq!(answer.status, 404, "{path}");
        assert!(answer.body.contains(words), "{path}: {}", answer.body);
        assert!(!answer.header("content-security-policy").is_empty(), "{path}");
    }
    assert_eq!(program.post_form("/engine/hill-climb-four/fits", &[]).status, 405);
}

#[test]
fn strangers_are_refused() {
    let program = Program::start();
    // A name of somebody else that points to this machine (DNS rebinding).
    assert_eq!(program.get_with("/", &[("host", "engines.example:7117")]).status, 403);
    // A page of somebody else.
    assert_eq!(program.get_with("/", &[("origin", "https://engines.example")]).status, 403);
    let form = "application/x-www-form-urlencoded";
    let token = format!("_token={}&name=x&arrangement=inline&cylinders=4", program.token);
    assert_eq!(program.post_body("/new", form, &token, &[("origin", "http://127.0.0.1:1")]).status, 403);
    assert_eq!(program.post_body("/new", form, &token, &[("sec-fetch-site", "cross-site")]).status, 403);
    // Without our token, or with another one.
    assert_eq!(program.post_body("/new", form, "name=x&arrangement=inline&cylinders=4", &[]).status, 403);
    assert_eq!(
        program.post_body("/new", form, "_token=00&name=x&arrangement=inline&cylinders=4", &[]).status,
        403
    );
    assert_eq!(program.post_body(&format!("{FOUR}/readings"), "application/json", "{}", &[]).status, 403);
    assert_eq!(program.get("/").body.matches("engine-row").count(), 2, "nothing was started");
}

#[test]
fn what_is_too_large_is_refused() {
    let program = Program::start();
    let large = "x".repeat(3 << 20);
    let answer = program.post_form("/new", &[("name", &large)]);
    assert_eq!(answer.status, 413, "{}", answer.body);
    assert!(answer.body.contains("at most 4 MiB"));
    let body = common::reading("block.bore.1.top.thrust", &large, &serde_json::json!({}));
    assert_eq!(program.post_reading(FOUR, &body).status, 413);
    // Five mebibytes of document: read, and refused by the engine with a clear word.
    let huge = format!("crosshatch = 2\n# {}", "x".repeat(5 << 20));
    let answer = program.post_form(&format!("{FOUR}/document"), &[("text", &huge), ("based_on", "1")]);
    assert_eq!(answer.status, 422);
    assert!(answer.body.contains("4 MiB"));
}

/// Page, shelf and command line count the same findings in the same words; where little is known none of them reads as good.
#[test]
fn an_engine_stands_alike_on_pages_and_on_the_command_line() {
    let program = Program::start();
    let fresh = program.post_form(
        "/new",
        &[
            ("_token", &program.token),
            ("name", "Nothing read"),
            ("arrangement", "inline"),
            ("cylinders", "2"),
        ],
    );
    assert_eq!(fresh.status, 303, "{}", fresh.body);
    let shelf = program.get("/").body;
    for (id, file) in [
        ("hill-climb-four", Some("examples/hill-climb-four.toml")),
        ("pushrod-v8", Some("examples/pushrod-v8.toml")),
        ("nothing-read", None),
    ] {
        let page = program.get(&format!("/engine/{id}")).body;
        let sum = between(&page, "<p class=\"sum\">", "</p>");
        let stops: usize = sum.split(' ').next().and_then(|n| n.parse().ok()).expect("a count first");
        let in_short = if stops > 0 { sum.split(',').next().unwrap_or_default() } else { "not proved: " };
        assert!(shelf.contains(in_short), "{id}: the shelf does not say {in_short}");
        match file {
            Some(file) => {
                assert!(stops > 0 && page.contains("<h1>What stops this engine</h1>"), "{id}: {sum}");
                let check = std::process::Command::new(env!("CARGO_BIN_EXE_crosshatch"))
                    .args(["check", file])
                    .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
                    .output()
                    .expect("the program runs");
                let said = String::from_utf8(check.stdout).expect("UTF-8").replace('\n', " ");
                assert!(said.contains(sum), "{id}: the page says {sum}");
            }
            None => {
                assert!(page.contains("<h1>Not proved: nothing is known yet</h1>"), "{id}: {sum}");
            }
        }
    }
}

fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    text.split_once(from).and_then(|(_, rest)| rest.split_once(to)).map_or("", |(inside, _)| inside)
}
