//! Sizes of the document against each other. What is asked about, and that nothing plausible is.

use engine::document::{Code, Diagnostic, LayoutKind, Severity, new_document, parse_document};
use engine::quantity::UnitSystem;

fn questions(text: &str) -> Vec<Diagnostic> {
    let parsed = parse_document(text, "engine.toml");
    assert!(parsed.document.is_some(), "a question never refuses: {:?}", parsed.diagnostics);
    let asked: Vec<Diagnostic> =
        parsed.diagnostics.into_iter().filter(|d| d.code == Code::Proportion).collect();
    assert!(asked.iter().all(|d| d.severity == Severity::Warning));
    asked
}

fn one(text: &str) -> Diagnostic {
    let asked = questions(text);
    assert_eq!(asked.len(), 1, "{asked:#?}");
    asked.into_iter().next().expect("one")
}

const SIX: &str = "crosshatch = 2\n[layout]\narrangement = \"inline\"\ncylinders = 6\nbore = \"3.000 in\"\nstroke = \"3.500 in\"\n";

#[test]
fn a_deck_height_in_the_wrong_unit_is_asked_about() {
    let text = format!(
        "{SIX}[block]\ndeck_height = \"8.5 mm\"\n[rods]\nlength = \"5.6 in\"\n[pistons]\ncompression_height = \"1.15 in\"\n"
    );
    let asked = one(&text);
    assert_eq!(asked.path, "block.deck_height");
    let hint = asked.hint.expect("a slip");
    assert!(hint.contains("8.5 in"), "{hint}");
    assert!(asked.expected.expect("a range").contains("common practice, no source"));
    // Nothing else is known of the engine.
    let asked = one("crosshatch = 2\n[block]\ndeck_height = \"8.5 mm\"\n");
    assert_eq!(asked.path, "block.deck_height");
}

#[test]
fn a_pitch_in_the_wrong_unit_is_asked_about() {
    let asked = one(&SIX.replace("bore =", "pitch = \"3.4 mm\"\nbore ="));
    assert_eq!((asked.path.as_str(), asked.line), ("layout.pitch", 5));
    assert!(asked.hint.expect("a slip").contains("3.4 in (86.36 mm)"));
    assert!(asked.message.contains("3.4 mm"), "{}", asked.message);
}

#[test]
fn a_bore_without_its_unit_in_mind_is_asked_about() {
    let asked = one("crosshatch = 2\n[layout]\nbore = \"3 mm\"\n");
    assert_eq!(asked.path, "layout.bore");
    assert!(asked.hint.expect("a slip").contains("3 in (76.2 mm)"));
}

#[test]
fn a_bore_of_a_tenth_is_asked_about_and_not_the_stroke() {
    let asked = one("crosshatch = 2\n[layout]\nbore = \"8.91 mm\"\nstroke = \"83.9 mm\"\n");
    assert_eq!(asked.path, "layout.bore");
    assert!(asked.hint.expect("a slip").contains("89.1 mm"));
}

#[test]
fn sizes_of_another_order_are_each_asked_about() {
    let text = "crosshatch = 2\n[layout]\nbore = \"3000 mm\"\nstroke = \"3 mm\"\n[rods]\nlength = \"144 m\"\n[limits]\nbore = { min = \"3 mm\", max = \"4 mm\" }\n";
    let asked = questions(text);
    let paths: Vec<&str> = asked.iter().map(|d| d.path.as_str()).collect();
    for path in ["layout.bore", "layout.stroke", "rods.length"] {
        assert!(paths.contains(&path), "{path} of {paths:?}");
    }
    assert!(paths.iter().any(|path| path.starts_with("limits.bore")), "{paths:?}");
}

#[test]
fn a_limit_of_another_order_than_its_size_is_asked_about() {
    let asked = one(&format!("{SIX}[limits]\nbore_taper = {{ max = \"0.0005 mm\" }}\n"));
    assert_eq!(asked.path, "limits.bore_taper.max");
    assert!(asked.hint.expect("a slip").contains("0.0005 in"));
    let asked = one(&format!(
        "{SIX}[pistons]\ngauge_diameter = \"2.997 in\"\n[limits]\npiston_clearance = {{ min = \"0.003 in\", max = \"0.004 m\" }}\n"
    ));
    assert_eq!(asked.path, "limits.piston_clearance.max");
}

#[test]
fn a_pin_and_a_crown_as_large_as_the_bore_are_asked_about() {
    let text = "crosshatch = 2\n[layout]\nbore = \"76.2 mm\"\nstroke = \"88.9 mm\"\n[pins]\ndiameter = \"76.152 mm\"\n[pistons]\ngauge_diameter = \"76.15 mm\"\ncompression_height = \"761.51 mm\"\n";
    let paths: Vec<String> = questions(text).into_iter().map(|d| d.path).collect();
    assert_eq!(paths, ["pins.diameter", "pistons.compression_height"]);
}

#[test]
fn the_examples_and_every_layout_are_asked_nothing() {
    for example in ["hill-climb-four.toml", "pushrod-v8.toml"] {
        let file = format!("{}/../../examples/{example}", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(file).expect("an example");
        assert!(questions(&text).is_empty(), "{example}: {:#?}", questions(&text));
    }
    for kind in LayoutKind::all() {
        for units in [UnitSystem::Metric, UnitSystem::Inch] {
            let parsed = parse_document(&new_document(kind, "New", units), "new");
            assert!(parsed.diagnostics.is_empty(), "{kind}: {:?}", parsed.diagnostics);
        }
    }
}

/// Proportions of engines of each kind, from memory and rounded; invented as engines. In mm: bore, stroke, rod, compression
/// height, deck height, pitch, main journal, crank pin, big end, piston pin, intake and exhaust valve, lift; piston mass in g;
/// limiter in rev/min.
#[rustfmt::skip]
const ENGINES: &[(&str, [f64; 15])] = &[
    ("50 cm³ racing single",      [39.0, 41.4, 80.0, 22.0, 123.0, 50.0, 20.0, 18.0, 24.0, 12.0, 0.0, 0.0, 0.0, 55.0, 13500.0]),
    ("125 cm³ single, rollers",   [54.0, 54.5, 110.0, 28.0, 165.5, 70.0, 25.0, 22.0, 30.0, 15.0, 0.0, 0.0, 0.0, 130.0, 13000.0]),
    ("small four of 250 cm³",     [49.0, 33.0, 62.0, 17.0, 95.6, 52.5, 24.0, 24.0, 27.0, 13.0, 19.0, 16.5, 6.5, 75.0, 20000.0]),
    ("superbike twin",            [116.0, 60.8, 125.0, 27.0, 182.5, 160.0, 63.0, 45.0, 48.0, 21.0, 46.8, 38.2, 16.0, 360.0, 12000.0]),
    ("superbike four",            [81.0, 48.5, 101.0, 21.5, 147.0, 87.0, 36.0, 34.0, 37.0, 17.0, 33.5, 27.5, 10.5, 155.0, 15000.0]),
    ("ten of 3 litres, 19000",    [98.0, 39.75, 102.0, 18.0, 140.2, 106.0, 44.0, 34.0, 37.0, 18.0, 42.0, 32.0, 18.0, 220.0, 19500.0]),
    ("drag eight",                [106.4, 114.3, 177.0, 32.0, 266.7, 124.5, 71.0, 56.0, 60.0, 29.5, 62.0, 49.0, 15.5, 750.0, 8600.0]),
    ("aircooled flat six",        [100.0, 76.4, 127.0, 32.0, 198.0, 118.0, 60.0, 53.0, 57.0, 23.0, 49.0, 41.5, 12.5, 480.0, 8500.0]),
    ("long-stroke single of 1930",[79.0, 100.0, 190.0, 45.0, 286.0, 110.0, 25.0, 38.0, 50.0, 22.0, 46.0, 42.0, 9.5, 480.0, 6500.0]),
    ("pre-war six, side valves",  [70.0, 120.0, 240.0, 45.0, 346.0, 92.0, 45.0, 45.0, 49.0, 20.0, 34.0, 34.0, 8.0, 450.0, 4200.0]),
    ("truck diesel",              [131.0, 158.0, 267.0, 80.0, 426.5, 165.0, 108.0, 99.0, 106.0, 54.0, 45.0, 42.0, 13.0, 3500.0, 2100.0]),
    ("medium-speed diesel",       [320.0, 400.0, 810.0, 250.0, 1260.0, 490.0, 300.0, 270.0, 285.0, 140.0, 100.0, 100.0, 24.0, 48000.0, 800.0]),
    ("large four-stroke diesel",  [510.0, 600.0, 1200.0, 420.0, 1920.0, 820.0, 415.0, 430.0, 455.0, 220.0, 165.0, 165.0, 35.0, 240_000.0, 514.0]),
];

fn engine(sizes: &[f64; 15]) -> String {
    let [
        bore,
        stroke,
        rod,
        crown,
        deck,
        pitch,
        main,
        pin,
        big_end,
        piston_pin,
        intake,
        exhaust,
        lift,
        mass,
        limiter,
    ] = sizes;
    let valves = if *intake > 0.0 {
        format!(
            "[valves.intake]\nhead_diameter = \"{intake} mm\"\nlift = \"{lift} mm\"\nstem = \"{} mm\"\n[valves.exhaust]\nhead_diameter = \"{exhaust} mm\"\nlift = \"{lift} mm\"\n[limits.lash_intake]\nmin = \"0.10 mm\"\nmax = \"{} mm\"\n",
            0.15 * intake,
            0.04 * lift
        )
    } else {
        String::new()
    };
    format!(
        "crosshatch = 2\n[layout]\nbore = \"{bore} mm\"\nstroke = \"{stroke} mm\"\npitch = \"{pitch} mm\"\n[duty]\nlimiter = \"{limiter} rev/min\"\n[block]\ndeck_height = \"{deck} mm\"\n[crank]\nmain_journal = {{ nominal = \"{main} mm\" }}\npin_journal = {{ nominal = \"{pin} mm\" }}\n[rods]\nlength = \"{rod} mm\"\nbig_end = {{ nominal = \"{big_end} mm\" }}\n[pistons]\nmass = \"{mass} g\"\ncompression_height = \"{crown} mm\"\ngauge_diameter = \"{} mm\"\n[pins]\ndiameter = \"{piston_pin} mm\"\n{valves}[limits.bore_taper]\nmax = \"{} mm\"\n[limits.piston_clearance]\nmin = \"{} mm\"\nmax = \"{} mm\"\n[limits.main_clearance]\nmin = \"{} mm\"\nmax = \"{} mm\"\n",
        bore * 0.999,
        1e-4 * bore,
        4e-4 * bore,
        1.5e-3 * bore,
        5e-4 * main,
        1.2e-3 * main
    )
}

#[test]
fn engines_from_motorcycle_to_large_diesel_are_asked_nothing() {
    for (name, sizes) in ENGINES {
        let asked = questions(&engine(sizes));
        assert!(asked.is_empty(), "{name}: {asked:#?}");
    }
}

#[test]
fn a_length_of_any_of_them_in_the_wrong_unit_is_found_and_named() {
    let keys = ["bore", "stroke", "rod", "compression height", "deck"];
    let paths =
        ["layout.bore", "layout.stroke", "rods.length", "pistons.compression_height", "block.deck_height"];
    let (mut found, mut all) = (0, 0);
    for (name, sizes) in ENGINES {
        for (at, key) in keys.iter().enumerate() {
            for factor in [1.0 / 25.4, 25.4, 0.1, 10.0] {
                let wrong = {
                    let mut wrong = *sizes;
                    wrong[at] *= factor;
                    // The limits and the piston that follow the bore stay as they were.
                    let right = engine(sizes);
                    let written = |sizes: &[f64; 15]| format!("= \"{} mm\"", sizes[at]);
                    right.replacen(&written(sizes), &written(&wrong), 1)
                };
                let asked = questions(&wrong);
                all += 1;
                assert!(!asked.is_empty(), "{name}, {key} × {factor}: nothing asked");
                if asked.len() == 1 && asked[0].path == paths[at] {
                    found += 1;
                }
            }
        }
    }
    assert!(found * 10 >= all * 9, "{found} of {all}");
}

/// A speed of the pistons is told in the units of the document.
#[test]
fn a_piston_speed_is_told_in_the_units_of_the_engine() {
    for (units, told) in [("inch", "ft/s"), ("metric", "m/s")] {
        let text = format!(
            "crosshatch = 2\n[engine]\nunits = \"{units}\"\n[layout]\nbore = \"3.000 in\"\nstroke = \"3.500 in\"\n[duty]\nlimiter = \"80000 rev/min\"\n"
        );
        let asked = one(&text);
        let said = format!("{} {}", asked.message, asked.expected.unwrap_or_default());
        assert!(said.contains(&format!(" {told}")), "{said}");
    }
}
