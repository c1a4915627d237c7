//! The command line as a person or a script runs it: exit codes, JSON, help, and the examples of `docs/commands.md`.

use serde_json::Value;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Runs the program in the folder of the project, as the examples are written.
fn run(arguments: &[&str], data: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_crosshatch"))
        .args(arguments)
        .current_dir(root())
        .env("CROSSHATCH_DATA", data)
        .output()
        .expect("the program runs")
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("an exit code")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

const FOUR: &str = "examples/hill-climb-four.toml";

/// A folder for files and a data folder in it that does not exist yet.
fn folders() -> (TempDir, PathBuf) {
    let folder = TempDir::new().expect("a folder");
    let data = folder.path().join("data");
    (folder, data)
}

fn path(folder: &TempDir, name: &str) -> String {
    folder.path().join(name).to_str().expect("UTF-8").to_owned()
}

#[test]
fn check_ends_with_what_it_found() {
    let (folder, data) = folders();
    let bad = run(&["check", FOUR], &data);
    assert_eq!(code(&bad), 1, "the demo has troubles: {}", err(&bad));
    let text = out(&bad);
    for words in [
        "bore 2, taper",
        "0.021 ± 0.002 mm",
        "at most 0.010",
        "bore_taper/2",
        "hill-climb-four.readings.csv",
        "invented",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert!(text.contains("Caution: A compressed spring"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
    assert!(!data.exists(), "checking a file needs no database");

    let empty = path(&folder, "empty.toml");
    std::fs::write(&empty, "crosshatch = 2\n").expect("written");
    let open = run(&["check", &empty], &data);
    assert_eq!(code(&open), 3, "an almost empty document is no error, and proves nothing: {}", err(&open));
    assert!(out(&open).contains("NOT PROVED"), "{}", out(&open));

    let wrong = path(&folder, "wrong.toml");
    std::fs::write(&wrong, "crosshatch = 2\n[layout]\nbore = 89.1\n").expect("written");
    let refused = run(&["check", &wrong], &data);
    assert_eq!(code(&refused), 2);
    assert!(err(&refused).contains("line 3, column 8"), "{}", err(&refused));
    assert_eq!(code(&run(&["check", &path(&folder, "none.toml")], &data)), 2);
    assert_eq!(
        code(&run(&["check", FOUR, "--readings", &wrong], &data)),
        2,
        "a file of readings that is none"
    );
    assert_eq!(code(&run(&["check"], &data)), 2);
    assert_eq!(code(&run(&["chekc", FOUR], &data)), 2);
}

#[test]
fn a_plan_without_prices_adds_nothing_up_and_names_places_in_words() {
    let (folder, data) = folders();
    let file = path(&folder, "two.toml");
    let text = "crosshatch = 2\n[layout]\narrangement = \"inline\"\ncylinders = 2\nbore = \"89.100 mm\"\n[limits]\npiston_clearance = { min = \"0.080 mm\", max = \"0.092 mm\", origin = \"builder\" }\n";
    std::fs::write(&file, text).expect("written");
    let said = out(&run(&["plan", &file], &data));
    assert!(said.contains("Still to read: "), "{said}");
    assert!(!said.contains("piston.1.gauge") && said.contains("piston 1, skirt"), "{said}");
    assert!(!said.contains("price is stated") && !said.contains("0.00"), "nothing to buy: {said}");
    assert!(!said.contains("document: ") && !said.contains("layout.stroke,"), "{said}");

    // Something to buy, nothing priced; then a price only for what is held.
    let four = std::fs::read_to_string(root().join(FOUR)).expect("the demo");
    let unpriced: Vec<String> =
        four.lines().filter(|l| !l.starts_with("currency")).map(without_price).collect();
    std::fs::write(&file, unpriced.join("\n")).expect("written");
    std::fs::copy(
        root().join(FOUR.replace(".toml", ".readings.csv")),
        file.replace(".toml", ".readings.csv"),
    )
    .expect("copied");
    let said = out(&run(&["plan", &file], &data));
    assert!(said.contains("No price is stated; the longest wait ") && !said.contains(" EUR"), "{said}");
}

/// A line without its `price = "…"`.
fn without_price(line: &str) -> String {
    let Some((before, behind)) = line.split_once("price = \"") else { return line.to_owned() };
    let (_, behind) = behind.split_once('"').expect("a closed string");
    format!("{before}{}", behind.trim_start_matches(", "))
}

#[test]
fn the_working_gives_limits_their_unit_and_what_is_missing_its_name() {
    let (folder, data) = folders();
    let said = out(&run(&["show", FOUR, "bore_taper/2"], &data));
    assert!(said.lines().any(|l| l.trim_start().starts_with("limit") && l.ends_with(" mm")), "{said}");
    let file = path(&folder, "two.toml");
    let text = "crosshatch = 2\n[layout]\narrangement = \"inline\"\ncylinders = 2\nbore = \"89.100 mm\"\n[limits]\npiston_clearance = { min = \"0.080 mm\", max = \"0.092 mm\", origin = \"builder\" }\n";
    std::fs::write(&file, text).expect("written");
    let said = out(&run(&["show", &file, "piston_clearance/1"], &data));
    assert!(said.contains("piston 1, skirt") && !said.contains("piston.1.gauge"), "{said}");
}

#[test]
fn what_is_placed_too_early_is_said() {
    let (_folder, data) = folders();
    let said = out(&run(&["plan", FOUR], &data));
    assert!(said.contains("bore 3: NOT BEFORE THIS IS SETTLED: bore 3, least wall after boring."), "{said}");
    assert!(said.contains("Surely needed: 6.50 EUR"), "{said}");
    // Both rings of a cylinder are held: each is named, not their cylinder twice.
    assert!(
        said.contains("top ring 2 and second ring 2: NOT BEFORE THIS IS SETTLED: bore 2, taper."),
        "{said}"
    );
    // The work of a selection that can hurt says so, as a finding does.
    assert!(said.contains("Caution: Rod bolts near yield"), "{said}");
    assert!(said.contains("Tolerance \u{b1} 0.002 mm (common practice, no source)."), "{said}");
}

#[test]
fn every_verb_answers_as_json_in_one_shape() {
    let (folder, data) = folders();
    let (new, export, backup) =
        (path(&folder, "new.toml"), path(&folder, "export"), path(&folder, "backup.sqlite"));
    let restored = path(&folder, "restored");
    let verbs: [(&[&str], i32, &str); 12] = [
        (&["check", FOUR], 1, "findings"),
        (&["plan", FOUR], 1, "orders"),
        (&["next", FOUR], 0, "measure_next"),
        (&["show", FOUR, "bore_taper/2"], 1, "working"),
        (&["show", FOUR, "bore_taper/9"], 2, "problems"),
        (&["new", "V8", "--out", &new, "--units", "inch"], 0, "file"),
        (&["schema"], 0, "schema"),
        (&["import", FOUR], 0, "engine"),
        (&["engines"], 0, "engines"),
        (&["export", "hill-climb-four", "--out", &export], 0, "head"),
        (&["backup", &backup], 0, "heads"),
        (&["verify"], 0, "heads"),
    ];
    for (arguments, exit, holds) in verbs {
        let output = run(&[arguments, &["--json"]].concat(), &data);
        assert_eq!(code(&output), exit, "{arguments:?}: {}{}", out(&output), err(&output));
        let json: Value = serde_json::from_str(&out(&output)).expect("JSON");
        assert_eq!(
            (&json["crosshatch"], &json["exit"]),
            (&Value::from(1), &Value::from(exit)),
            "{arguments:?}"
        );
        assert_eq!(json["command"], arguments[0]);
        assert!(!json[holds].is_null(), "{arguments:?} has no {holds}: {json:#}");
    }
    let output = run(&["restore", &backup, "--data", &restored], &data);
    assert_eq!(code(&output), 0, "{}", err(&output));
    let here = out(&run(&["verify", "hill-climb-four"], &data));
    assert_eq!(out(&run(&["verify", "hill-climb-four", "--data", &restored], &data)), here);
    assert!(here.contains("last hash"));
    // An export goes into another folder with the same hashes.
    let other = path(&folder, "other");
    assert_eq!(code(&run(&["import", &export, "--data", &other], &data)), 0);
    assert_eq!(out(&run(&["verify", "hill-climb-four", "--data", &other], &data)), here);
    // Nothing is written over.
    for again in [
        &["export", "hill-climb-four", "--out", &export][..],
        &["backup", &backup],
        &["new", "V8", "--out", &new],
    ] {
        assert_eq!(code(&run(again, &data)), 2, "{again:?}");
    }
}

#[test]
fn bad_input_says_what_is_expected() {
    let (_folder, data) = folders();
    for (arguments, words) in [
        (&["new", "X4"][..], "I1 to I6, V2 to V12"),
        (&["show", FOUR, "bore_taper/9"], "bore_taper/1"),
        (&["show", FOUR, "bore_tapr/2"], "nearest are bore_taper/2"),
        (&["engines"], "no data folder"),
        (&["open", "--listen", "0.0.0.0"], "loopback only"),
        (&["open", "--listen", "192.168.1.4", "--port", "0"], "loopback only"),
        (&["--port", "0", "check", FOUR], "belong to \"open\""),
        (&["restore", FOUR], "--data"),
    ] {
        let output = run(arguments, &data);
        assert_eq!(code(&output), 2, "{arguments:?}: {}", out(&output));
        assert!(err(&output).contains(words), "{arguments:?}: {}", err(&output));
    }
    assert!(!data.exists(), "nothing was made");
}

#[test]
fn units_are_the_reader_s() {
    let (_folder, data) = folders();
    let inch = out(&run(&["show", FOUR, "bore_taper/2", "--units", "inch"], &data));
    assert!(inch.contains("0.0008") && inch.contains("in"), "{inch}");
    let metric = out(&run(&["check", "examples/pushrod-v8.toml", "--units", "metric"], &data));
    assert!(metric.contains(" mm"), "{metric}");
}

#[test]
fn a_new_document_can_be_checked_at_once() {
    let (folder, data) = folders();
    for layout in ["I1", "I4", "I6", "V2", "V8", "V12", "F4", "F12"] {
        let file = path(&folder, &format!("{layout}.toml"));
        assert_eq!(code(&run(&["new", layout, "--out", &file, "--name", "bench mule"], &data)), 0);
        let output = run(&["check", &file], &data);
        assert_eq!(code(&output), 3, "{layout}: {}{}", out(&output), err(&output));
        let text = out(&output).replace('\n', " ");
        assert!(text.contains("NOT PROVED") && text.contains("not known"), "{layout}: {text}");
        assert!(text.contains("questions are open") && !text.contains("ALL GOOD"), "{layout}: {text}");
    }
}

#[test]
fn help_shows_examples_and_exit_codes() {
    let (_folder, data) = folders();
    let help = run(&["--help"], &data);
    assert_eq!(code(&help), 0);
    assert!(out(&help).contains("Examples:") && out(&help).contains("Ends with 0"));
    assert!(out(&run(&["check", "--help"], &data)).contains("crosshatch check engine.toml"));
    assert_eq!(code(&run(&["--version"], &data)), 0);
}

/// Words that a bench hand may not know are explained where they stand.
#[test]
fn help_explains_its_words() {
    let (_folder, data) = folders();
    let help = |command: &str| {
        let text = out(&run(&[command, "--help"], &data));
        assert!(!text.is_empty(), "{command} has help");
        // Lines are broken to the width of the terminal.
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    for (command, words) in [
        (
            "new",
            "I in line: one row, I1 to I6 V vee: two banks at an angle, V2 to V12, even numbers F flat: two banks opposite",
        ),
        ("new", "I (in line), V (vee) or F (flat) with the number of cylinders"),
        ("open", "what happens without a command"),
        (
            "verify",
            "Prove, against the last hashes that you noted, that no record was changed, removed or put in since",
        ),
        ("verify", "What the chain cannot show by itself"),
        ("power", "whether they reach what the document asks for"),
        ("power", "[duty] in the document: power and torque, each with its speed"),
        ("calibrate", "Adjust named factors of the computation"),
    ] {
        let text = help(command);
        assert!(text.contains(words), "{command}: {text}");
    }
    let all = out(&run(&["--help"], &data));
    let listed = all.lines().skip_while(|line| !line.starts_with("Commands:")).skip(1);
    let commands: Vec<&str> = listed
        .take_while(|line| !line.is_empty())
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert_eq!(commands.len(), 15, "{commands:?}");
    for command in commands {
        let text = help(command);
        let bare = |word: &&str| ["verb", "verbs"].contains(&word.trim_matches(|c: char| !c.is_alphabetic()));
        assert!(!text.split_whitespace().any(|word| bare(&word)), "{command} speaks of a verb: {text}");
    }
}

/// The server as a person starts and stops it.
#[cfg(unix)]
#[test]
fn the_program_opens_says_where_and_stops_when_asked() {
    use std::io::{BufRead, BufReader, Read};
    use std::process::Stdio;
    let (folder, data) = folders();
    let mut child = Command::new(env!("CARGO_BIN_EXE_crosshatch"))
        .args(["--port", "0"])
        .env("CROSSHATCH_DATA", &data)
        .stdout(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut lines = BufReader::new(child.stdout.take().expect("its output"));
    let mut first = String::new();
    lines.read_line(&mut first).expect("a line");
    let address =
        first.split_whitespace().find(|word| word.starts_with("http://127.0.0.1:")).expect("an address");
    let shelf = ureq::get(address).call().expect("an answer").into_body().read_to_string().expect("a page");
    assert!(shelf.contains("Hill-climb four") && shelf.contains("Pushrod V8"));
    // Looking and copying go on beside it; what writes is told who holds the folder.
    let listed = run(&["engines"], &data);
    assert_eq!(code(&listed), 0, "{}", err(&listed));
    assert!(out(&listed).contains("hill-climb-four"));
    let (copy, export) = (path(&folder, "copy.sqlite"), path(&folder, "export"));
    for beside in [&["backup", &copy][..], &["export", "hill-climb-four", "--out", &export], &["verify"]] {
        let output = run(beside, &data);
        assert_eq!(code(&output), 0, "{beside:?}: {}", err(&output));
    }
    let held = run(&["import", FOUR], &data);
    assert_eq!(code(&held), 2);
    assert!(err(&held).contains("in use") && err(&held).contains("New engine"), "{}", err(&held));
    let stopped = Command::new("kill").arg(child.id().to_string()).status().expect("kill runs");
    assert!(stopped.success());
    assert_eq!(child.wait().expect("it ends").code(), Some(0));
    let mut rest = String::new();
    lines.read_to_string(&mut rest).expect("the rest");
    assert!(rest.contains("Stop it with Ctrl+C") && rest.contains("Stopped."), "{rest}");
    assert_eq!(code(&run(&["verify"], &data)), 0);
}

/// The page of commands cannot rot: each example is run and compared. `CROSSHATCH_WRITE_DOCS=1` writes them anew.
#[test]
fn the_page_of_commands_shows_what_the_program_says() {
    let file = root().join("docs/commands.md");
    let old = std::fs::read_to_string(&file).expect("docs/commands.md");
    let (folder, data) = folders();
    let mut new = String::new();
    let mut examples = 0;
    let mut blocks = old.split("```");
    while let Some(prose) = blocks.next() {
        new.push_str(prose);
        let Some(block) = blocks.next() else { break };
        let command = block.strip_prefix("console\n$ crosshatch ").and_then(|b| b.lines().next());
        let shown = command.map(|command| example(command, &folder, &data));
        examples += usize::from(shown.is_some());
        let _ = write!(new, "```{}```", shown.as_deref().unwrap_or(block));
    }
    assert!(examples >= 12, "each verb has an example: {examples}");
    if std::env::var_os("CROSSHATCH_WRITE_DOCS").is_some() {
        std::fs::write(&file, &new).expect("written");
    } else {
        assert!(
            new == old,
            "docs/commands.md is out of date; repair it with:\n  CROSSHATCH_WRITE_DOCS=1 cargo test -p crosshatch --test commands page_of_commands"
        );
    }
}

/// Most lines of an output that the page shows.
const SHOWN: usize = 24;

/// An example with its output as it is now; what differs from run to run (times, hashes, folders) is written as dots.
fn example(command: &str, folder: &TempDir, data: &Path) -> String {
    let own = folder.path().to_str().expect("UTF-8");
    let arguments: Vec<String> = command
        .split_whitespace()
        .map(|word| word.replace("~/", &format!("{own}/")))
        .map(|word| if word.starts_with('"') { word.trim_matches('"').to_owned() } else { word })
        .collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let output = run(&arguments, data);
    let said = format!("{}{}", out(&output), err(&output)).replace(&format!("{own}/"), "~/");
    // How far a computation is depends on the machine.
    let said = said.lines().filter(|line| !(line.ends_with(" done") && line.contains(" of ")));
    let lines: Vec<String> = said.map(without_hashes).collect();
    let mut text = format!("console\n$ crosshatch {command}\n");
    for line in lines.iter().take(SHOWN) {
        text.push_str(line.trim_end());
        text.push('\n');
    }
    if lines.len() > SHOWN {
        let _ = writeln!(text, "[{} more lines]", lines.len() - SHOWN);
    }
    format!("{text}[ends with {}]\n", code(&output))
}

fn without_hashes(line: &str) -> String {
    match line.find("last hash ") {
        Some(at) => format!("{}last hash …", &line[..at]),
        None => line.to_owned(),
    }
}

/// Two speeds of the demo; ends within the time that a stuck run would overstay.
#[test]
fn power_answers_for_two_speeds() {
    let (_folder, data) = folders();
    let mut running = Command::new(env!("CARGO_BIN_EXE_crosshatch"))
        .args(["power", FOUR, "--speeds", "6000, 7000", "--json"])
        .current_dir(root())
        .env("CROSSHATCH_DATA", &data)
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::null())
        .spawn()
        .expect("the program runs");
    let mut stdout = running.stdout.take().expect("its output");
    let reader = std::thread::spawn(move || {
        let mut text = String::new();
        std::io::Read::read_to_string(&mut stdout, &mut text).map(|_| text)
    });
    let until = std::time::Instant::now() + std::time::Duration::from_mins(5);
    let status = loop {
        if let Some(status) = running.try_wait().expect("its end") {
            break status;
        }
        if std::time::Instant::now() > until {
            running.kill().expect("ended");
            panic!("two speeds took more than five minutes");
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
    };
    let text = reader.join().expect("read").expect("UTF-8");
    let json: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(json["command"], "power");
    assert_eq!(json["exit"].as_i64(), status.code().map(i64::from), "{text}");
    assert!([0, 1, 3].contains(&status.code().unwrap_or(2)), "a result, whatever it says of the engine");
    let run = &json["run"];
    assert_eq!((&run["stopped"], &run["failures"]), (&Value::from(false), &Value::from(Vec::<Value>::new())));
    let points = run["points"].as_array().expect("points");
    assert_eq!(points.len(), 2);
    for (point, asked) in points.iter().zip([6000.0, 7000.0]) {
        let figure = |name: &str| point[name].as_f64().unwrap_or(f64::NAN);
        let speed = asked * std::f64::consts::TAU / 60.0;
        assert!((figure("speed") - speed).abs() < 1e-9 * speed, "{point}");
        assert!(figure("torque") > 0.0, "{point}");
        assert!(
            (figure("power") / (figure("torque") * speed) - 1.0).abs() < 1e-9,
            "power is torque times speed"
        );
        assert_eq!(point["closure"]["converged"], true, "{point}");
    }
    let found = json["findings"].as_array().expect("findings");
    assert!(!found.is_empty() && found.iter().all(|f| !f["verdict"].is_null()), "{found:?}");
}

#[test]
#[cfg(unix)]
fn ctrl_c_keeps_the_points_and_ends_with_its_own_code() {
    use std::io::{BufRead, BufReader, Read};
    let (folder, data) = folders();
    let file = path(&folder, "four.toml");
    std::fs::copy(root().join(FOUR), &file).expect("a copy");
    std::fs::copy(root().join("examples/hill-climb-four.readings.csv"), path(&folder, "four.readings.csv"))
        .expect("a copy");
    let mut running = Command::new(env!("CARGO_BIN_EXE_crosshatch"))
        .args(["power", &file, "--keep", "--speeds", "4500 to 8500 by 100"])
        .env("CROSSHATCH_DATA", &data)
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .expect("the program runs");
    let mut told = BufReader::new(running.stderr.take().expect("its progress"));
    let mut line = String::new();
    // Two chains run at once: a count may be passed over.
    let done = |line: &str| line.split_once(" of 41").and_then(|(n, _)| n.trim().parse::<u32>().ok());
    while done(&line).is_none_or(|n| n < 2) {
        line.clear();
        assert!(told.read_line(&mut line).expect("UTF-8") > 0, "it ended before two points were done");
    }
    let sent = Command::new("kill").args(["-INT", &running.id().to_string()]).status().expect("kill runs");
    assert!(sent.success());
    let mut rest = String::new();
    told.read_to_string(&mut rest).expect("UTF-8");
    let done = running.wait_with_output().expect("its end");
    assert!(rest.contains("what is done is kept"), "{rest}");
    let text = out(&done);
    assert!(text.contains("Stopped: ") && text.contains("were not reached"), "{text}");
    assert!([1, 3].contains(&code(&done)), "{text}");
    assert_ne!(code(&done), 130, "it was not cut off");

    // The points that were kept speak for the engine from then on.
    let kept = path(&folder, "four.power.json");
    let kept_run: Value =
        serde_json::from_str(&std::fs::read_to_string(&kept).expect("it is kept")).expect("JSON");
    let count = kept_run["points"].as_array().map_or(0, Vec::len);
    assert!((2..41).contains(&count), "{count} points");
    let shown = run_in(&["check", &file, "--all"], &data);
    assert!(shown.contains("power_target/1") && !shown.contains("no torque curve is kept"), "{shown}");
    let text =
        std::fs::read_to_string(&file).expect("UTF-8").replacen("stroke = \"83.9", "stroke = \"84.9", 1);
    std::fs::write(&file, text).expect("a change");
    let shown = run_in(&["check", &file, "--all"], &data);
    assert!(shown.contains("run it again"), "stale since the stroke changed: {shown}");
    let none = run_in(&["check", FOUR, "--all"], &data);
    assert!(none.contains("power_run/none"), "without a curve it says so: {none}");
    std::fs::write(&kept, "{}").expect("a bad file");
    let bad = run(&["check", &file], &data);
    assert_eq!(code(&bad), 2);
    assert!(err(&bad).contains("four.power.json") && err(&bad).contains("power --keep"), "{}", err(&bad));
}

/// What a verb prints, however it ends.
fn run_in(arguments: &[&str], data: &Path) -> String {
    out(&run(arguments, data))
}

#[test]
fn a_factor_is_found_again_in_a_curve_that_was_made_with_it() {
    let (folder, data) = folders();
    let file = path(&folder, "four.toml");
    std::fs::copy(root().join("examples/hill-climb-four.readings.csv"), path(&folder, "four.readings.csv"))
        .expect("a copy");
    let text = std::fs::read_to_string(root().join(FOUR)).expect("UTF-8");
    let neutral = "\nfriction = \"1\"\n";
    assert_eq!(text.matches(neutral).count(), 1, "the demo states its factor of friction, neutral");
    let factor = text.replacen(neutral, "\nfriction = \"1.15\"\n", 1);
    std::fs::write(&file, factor).expect("a document");
    let made = run(&["power", &file, "--json", "--speeds", "5500, 6500, 7500, 8000"], &data);
    let made: Value = serde_json::from_str(&out(&made)).expect("JSON");
    let mut curve = String::from("speed,torque\n");
    for point in made["run"]["points"].as_array().expect("points") {
        let speed = point["speed"].as_f64().expect("a speed") * 60.0 / std::f64::consts::TAU;
        let _ = writeln!(curve, "{speed},{}", point["torque"].as_f64().expect("a torque"));
    }
    let measured = path(&folder, "measured.csv");
    std::fs::write(&measured, &curve).expect("a curve");
    let fit = ["calibrate", FOUR, "--curve", &measured, "--speed", "speed", "--torque", "torque"];
    let found = run(&[&fit[..], &["--adjust", "friction", "--hold-out", "2", "--json"]].concat(), &data);
    let json: Value = serde_json::from_str(&out(&found)).expect("JSON");
    assert_eq!(code(&found), 0, "{}", out(&found));
    let value = json["calibration"]["factors"][0]["value"].as_f64().expect("a value");
    assert!((value - 1.15).abs() < 0.02, "{value}");
    let refused = run(&[&fit[..], &["--adjust", "luck"]].concat(), &data);
    assert_eq!(code(&refused), 2);
    assert!(err(&refused).contains("\"luck\" is no factor"), "{}", err(&refused));
}

/// The demo beside readings of which some are replaced: the path of the document.
fn four_with(folder: &TempDir, changes: &[(&str, &str)]) -> String {
    let file = path(folder, "four.toml");
    std::fs::copy(root().join(FOUR), &file).expect("a copy");
    let mut readings =
        std::fs::read_to_string(root().join("examples/hill-climb-four.readings.csv")).expect("UTF-8");
    for (from, to) in changes {
        assert_eq!(readings.matches(from).count(), 1, "{from}");
        readings = readings.replace(from, to);
    }
    std::fs::write(path(folder, "four.readings.csv"), readings).expect("readings");
    file
}

fn in_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_plan_without_an_answer_says_which_limits_would_do() {
    // A pin that is worn by a little more than the thickest shells make up, and one that no limit in reason would let pass.
    for (worn, said) in [
        ("46.45", "No answer inside all limits. Widen one of these; any one of them is enough: - "),
        ("46.40", "No answer inside all limits. What has to give: - the parts, not a limit: "),
    ] {
        let (folder, data) = folders();
        let pin = |place: &str, read: &str| {
            let line = |value: &str| format!("crank.pin.3.{place},{value} mm");
            (line(read), line(&format!("{worn}{}", &read[read.len() - 1..])))
        };
        let pins = [
            pin("front.vertical", "46.486"),
            pin("front.across", "46.486"),
            pin("rear.vertical", "46.485"),
            pin("rear.across", "46.486"),
        ];
        let changes: Vec<(&str, &str)> = pins.iter().map(|(from, to)| (from.as_str(), to.as_str())).collect();
        let planned = in_one_line(&out(&run(&["plan", &four_with(&folder, &changes)], &data)));
        assert!(planned.contains(said), "{worn}: {planned}");
    }
}

#[test]
fn readings_of_a_file_are_asked_about_as_typed_ones_are() {
    let (folder, data) = folders();
    let file = four_with(
        &folder,
        &[
            ("block.bore.1.mid.along,89.099 mm", "block.bore.1.mid.along,90.0 mm"),
            ("block.bore.2.mid.along,89.098 mm,B1", "block.bore.2.mid.along,89.098 mm,B3"),
        ],
    );
    let checked = in_one_line(&out(&run(&["check", &file, "--all"], &data)));
    assert!(
        checked.contains(
            "read as 90.0 mm. This is 0.900 mm from the other readings of this bore, which agree on 89.100 mm. Read it again: is it right?"
        ),
        "{checked}"
    );
    assert!(
        checked
            .contains("with a gauge that reaches it, or name the one that was used: B3 reads 5 mm to 35 mm"),
        "{checked}"
    );
}

#[test]
fn mistakes_in_speeds_are_named_with_what_is_expected() {
    let (_folder, data) = folders();
    for (speeds, words) in [
        ("6000 to 5000 by 10", "expected the lower one first, as in 5000 to 6000 by 10"),
        ("3000 to 5000 by 0", "\"0\" in \"3000 to 5000 by 0\" is no step; expected 1 rev/min or more"),
        ("4500 bar", "\"4500 bar\" is no crank speed; expected a number of rev/min, such as 3000"),
        ("-4000", "\"-4000\" is no crank speed; expected 100 to 20000 rev/min, such as 4500"),
        ("", "none is given; expected 1 to 200 crank speeds"),
    ] {
        let refused = run(&["power", FOUR, "--speeds", speeds], &data);
        assert_eq!(code(&refused), 2, "{speeds}");
        assert!(err(&refused).contains(words), "{speeds}: {}", err(&refused));
    }
    let with_unit = run(&["power", FOUR, "--speeds", "7000 rpm", "--json"], &data);
    let json: Value = serde_json::from_str(&out(&with_unit)).expect("JSON");
    assert_eq!(json["run"]["points"].as_array().map(Vec::len), Some(1), "a unit behind the figure is taken");
    let help = out(&run(&["power", "--help"], &data));
    assert!(help.contains("by 500 when it says no step"), "{help}");
}

#[test]
fn mistakes_in_a_measured_curve_are_named_with_file_line_and_column() {
    let (folder, data) = folders();
    let curve = path(&folder, "measured.csv");
    let good = "rpm,torque\n6000,200\n7000,200\n8000,190\n";
    for (text, torque, more, words) in [
        ("", "torque", &[][..], "there is nothing in it; expected a line of headings"),
        ("\n \n", "torque", &[], "there is nothing in it; expected a line of headings"),
        (
            "rpm,torque\n6000,200\n7000,\n8000,190\n",
            "torque",
            &[],
            "line 3, column \"torque\": the cell is empty; write a torque such as 401.5",
        ),
        (
            "rpm;torque\n6000;200,5\n7000;1.250\n8000;190,1\n",
            "torque",
            &[],
            "line 3, column \"torque\": \"1.250\" may be 1250, or 1,250",
        ),
        (good, "rpm", &[], "speed and torque are both to be read from the column \"rpm\""),
        (good, "power", &[], "there is no column \"power\": the file has rpm, torque"),
        (
            good,
            "torque",
            &["--adjust", "friction:low"],
            "\"low\" is no bound of a factor; expected a number, as in friction:",
        ),
        (
            good,
            "torque",
            &["--hold-out", "7"],
            "--hold-out 7: the curve has speeds 1 to 3; expected the place of one",
        ),
    ] {
        std::fs::write(&curve, text).expect("a curve");
        let fit = ["calibrate", FOUR, "--curve", &curve, "--speed", "rpm", "--torque", torque];
        let refused = run(&[&fit[..], more].concat(), &data);
        assert_eq!(code(&refused), 2, "{text}: {}", out(&refused));
        let said = err(&refused).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(words), "{text}: {said}");
    }
}

#[test]
fn an_engine_of_the_data_folder_is_checked_by_its_name() {
    let (_folder, data) = folders();
    let bench = crosshatch::workbench::Workbench::open(&data, "test").expect("a folder");
    drop(bench);
    let checked = run(&["check", "hill-climb-four"], &data);
    assert_eq!(code(&checked), code(&run(&["check", FOUR], &data)), "{}", err(&checked));
    assert!(out(&checked).contains("Hill-climb four"));
    assert_eq!(code(&run(&["plan", "hill-climb-four"], &data)), 1);
    assert_eq!(code(&run(&["show", "hill-climb-four", "wall/1"], &data)), 0);
    let unknown = run(&["check", "six"], &data);
    assert_eq!(code(&unknown), 2);
    assert!(err(&unknown).contains("neither a file six nor an engine"), "{}", err(&unknown));
}

/// The two verbs that compute take an engine as the others do.
#[test]
fn power_and_calibrate_take_an_engine_of_the_data_folder_by_its_name() {
    let (folder, data) = folders();
    drop(crosshatch::workbench::Workbench::open(&data, "test").expect("a folder"));
    let power = |engine: &str| run(&["power", engine, "--speeds", "7000", "--json"], &data);
    let by_name: Value = serde_json::from_str(&out(&power("hill-climb-four"))).expect("JSON");
    let by_file: Value = serde_json::from_str(&out(&power(FOUR))).expect("JSON");
    let torque = |json: &Value| json["run"]["points"][0]["torque"].as_f64().expect("a torque");
    assert!((torque(&by_name) - torque(&by_file)).abs() < 1e-9, "{by_name}");
    for verb in ["power", "calibrate"] {
        let more: &[&str] = match verb {
            "power" => &[],
            _ => &["--curve", "none.csv", "--speed", "speed", "--torque", "torque"],
        };
        let unknown = run(&[&[verb, "six"], more].concat(), &data);
        assert_eq!(code(&unknown), 2);
        assert!(err(&unknown).contains("neither a file six nor an engine"), "{}", err(&unknown));
    }
    let kept = run(&["power", "hill-climb-four", "--keep"], &data);
    assert_eq!(code(&kept), 2);
    assert!(err(&kept).contains("its page Power"), "{}", err(&kept));
    let curve = path(&folder, "measured.csv");
    std::fs::write(&curve, "speed,torque\n6000,200\n7000,200\n8000,190\n").expect("a curve");
    let fit = ["calibrate", "hill-climb-four", "--curve", &curve, "--speed", "speed", "--torque", "torque"];
    let refused = run(&[&fit[..], &["--adjust", "luck"]].concat(), &data);
    assert!(err(&refused).contains("\"luck\" is no factor"), "{}", err(&refused));
}

#[test]
fn help_is_a_word_too_and_every_refusal_begins_alike() {
    let (_folder, data) = folders();
    let help = run(&["help"], &data);
    assert_eq!(code(&help), 0);
    assert!(out(&help).contains("crosshatch check engine.toml"));
    assert_eq!(code(&run(&["help", "check"], &data)), 0);
    for wrong in
        [&["chek"][..], &["check"], &["check", "no-such.toml"], &["restore", "nofile", "--data", "x"]]
    {
        let refused = run(wrong, &data);
        assert_eq!(code(&refused), 2);
        assert!(err(&refused).starts_with("Error"), "{wrong:?}: {}", err(&refused));
    }
}

#[test]
fn a_size_out_of_proportion_is_said_by_check() {
    let (folder, data) = folders();
    let file = folder.path().join("six.toml");
    std::fs::write(&file, "crosshatch = 2\n[layout]\nbore = \"3 in\"\npitch = \"3.4 mm\"\n").expect("a file");
    let checked = run(&["check", file.to_str().expect("a path")], &data);
    assert_eq!(code(&checked), 3, "asked, not refused");
    let said = out(&checked);
    for words in ["(layout.pitch)", "common practice, no source", "did you mean 3.4 in (86.36 mm)"] {
        assert!(said.contains(words), "{words} in {said}");
    }
}

#[test]
fn what_power_lacks_stands_in_the_order_in_which_it_is_found_with_the_lines_to_write() {
    let (folder, data) = folders();
    let file = path(&folder, "new.toml");
    assert_eq!(code(&run(&["new", "I4", "--out", &file], &data)), 0);
    let said = run(&["power", &file], &data);
    assert_eq!(code(&said), 3);
    let text = out(&said);
    let places: Vec<usize> = [
        "1. Read off the engine",
        "2. Off the maker's sheet or the cam card",
        "3. Off a bench",
        "4. Off a standard or a handbook, or chosen by you",
        "Not asked for, since a usual figure stands in",
    ]
    .iter()
    .map(|heading| text.find(heading).unwrap_or_else(|| panic!("{heading}: {text}")))
    .collect();
    assert!(places.is_sorted(), "{text}");
    assert!(text.contains("        [flow_bench]\n        depression = \"\u{2026} inH2O\"\n"), "{text}");
    assert!(in_one_line(&text).contains("named by `published = \"mean_poppet_valve\"`"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 120), "{text}");
    let said = run(&["power", &file, "--json"], &data);
    let json: serde_json::Value = serde_json::from_str(&out(&said)).expect("JSON");
    assert_eq!(json["to_find"][0]["found"], "engine", "{json}");
    assert!(json["to_find"][0]["missing"][0]["what"].is_string());
}

#[test]
fn the_old_name_of_adjust_is_still_read() {
    let (folder, data) = folders();
    let curve = path(&folder, "curve.csv");
    std::fs::write(&curve, "speed,torque\n5000,410\n6000,500\n7000,510\n").expect("written");
    let calibrate = ["calibrate", FOUR, "--curve", &curve, "--speed", "speed", "--torque", "torque"];
    for option in ["--fit", "--adjust"] {
        let refused = run(&[&calibrate[..], &[option, "luck"]].concat(), &data);
        assert!(err(&refused).contains("\"luck\" is no factor"), "{option}: {}", err(&refused));
    }
    assert!(!out(&run(&["calibrate", "--help"], &data)).contains("--fit"), "help names the new one alone");
}
