//! The parser against texts that nobody meant: it never panics, never reads half, and always says where.

use engine::document::{
    Code, Document, MAX_BYTES, MAX_DIAGNOSTICS, Severity, parse_document, render_json, render_text, text_of,
};
use engine::quantity::{Dimension, UNITS, parse_quantity};
use proptest::prelude::*;

const WHOLE: &str = include_str!("../../../examples/hill-climb-four.toml");

/// What must hold for any text.
fn check(text: &str) -> Result<(), TestCaseError> {
    let parsed = parse_document(text, "any.toml");
    prop_assert_eq!(parsed.document.is_none(), parsed.has_errors());
    prop_assert!(parsed.diagnostics.len() <= MAX_DIAGNOSTICS + 1);
    let lines = text.lines().count().max(1);
    for d in &parsed.diagnostics {
        // An older file is shown in its new form, which may be longer.
        prop_assert!(parsed.migrated.is_some() || (d.line >= 1 && d.line <= lines + 1), "{:?}", d);
        prop_assert!(d.column >= 1 && d.excerpt.width >= 1 && !d.message.is_empty());
    }
    prop_assert_eq!(
        render_json(&parsed.diagnostics).as_array().map(Vec::len),
        Some(parsed.diagnostics.len())
    );
    prop_assert_eq!(render_text(&parsed.diagnostics).is_empty(), parsed.diagnostics.is_empty());
    Ok(())
}

/// Pieces that slips are made of.
fn slip() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "\"",
            "'",
            "[",
            "]",
            "[[",
            "]]",
            "{",
            "}",
            "=",
            ",",
            ".",
            "#",
            "\n",
            "\r\n",
            "-",
            "nan",
            "inf",
            "1e999",
            "mm",
            "in",
            "\"\"\"",
            "'''",
            "\\",
            "\u{0}",
            "\u{feff}",
            "crosshatch = 0\n",
            "[layout]\n",
            "true",
            "0x1",
            "1979-05-27",
            "99999999999999999999",
            "°",
            "\u{2212}",
        ])
        .prop_map(str::to_owned),
        "\\PC{1,6}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_answered(text in "\\PC{0,400}") {
        check(&text)?;
    }

    #[test]
    fn any_toml_is_answered(
        lines in prop::collection::vec("(\\[{0,2}[a-z_.]{1,12}\\]{0,2}|[a-z_.]{1,9} = [\"\\[{]?[a-z0-9 .,-]{0,9}[\"\\]}]?)", 0..30),
    ) {
        check(&lines.join("\n"))?;
    }

    #[test]
    fn a_slip_in_a_good_document_is_answered(
        slips in prop::collection::vec((any::<prop::sample::Index>(), 0usize..12, slip()), 1..4),
    ) {
        let mut text = WHOLE.to_owned();
        for (at, removed, inserted) in slips {
            let start = text.floor_char_boundary(at.index(text.len() + 1));
            let end = text.ceil_char_boundary((start + removed).min(text.len()));
            text.replace_range(start..end, &inserted);
        }
        check(&text)?;
    }

    /// Number and unit survive printing and parsing, in every unit of every dimension.
    #[test]
    fn a_quantity_is_read_as_it_was_written(number in -1e9f64..1e9, unit in prop::sample::select(UNITS)) {
        let written = format!("{number} {}", unit.symbol);
        let (si, read) = parse_quantity(&written, unit.dimension).unwrap();
        prop_assert_eq!(read, &unit);
        prop_assert_eq!(si.to_bits(), (number * unit.factor + unit.offset).to_bits());
    }

    /// What is printed in the first unit of a dimension comes back within the last printed digit, 1e-6 of that unit.
    #[test]
    fn a_printed_document_is_read_as_the_same(bore in 1e-3f64..0.3, mass in 0.0f64..10.0, angle in 0.0f64..6.0) {
        let mut document = Document { crosshatch: engine::document::FORMAT_VERSION, ..Document::default() };
        document.layout.bore = Some(engine::quantity::Length(bore));
        document.pistons.mass = Some(engine::quantity::Mass(mass));
        document.ignition.advance = Some(engine::quantity::Angle(angle));
        let text = toml_edit::ser::to_string(&document).unwrap();
        let parsed = parse_document(&text, "printed");
        // Sizes drawn at random are out of proportion: that is asked, not refused.
        prop_assert!(!parsed.has_errors(), "{}", render_text(&parsed.diagnostics));
        let read = parsed.document.unwrap();
        prop_assert!((read.layout.bore.unwrap().0 - bore).abs() <= 0.5e-9 + 1e-15);
        prop_assert!((read.pistons.mass.unwrap().0 - mass).abs() <= 0.5e-9 + 1e-15);
        prop_assert!((read.ignition.advance.unwrap().0 - angle).abs() <= 0.5e-6 * std::f64::consts::PI / 180.0 + 1e-15);
        let again = parse_document(&toml_edit::ser::to_string(&read).unwrap(), "again").document.unwrap();
        prop_assert_eq!(again, read);
    }
}

#[test]
fn a_huge_file_is_refused_without_reading_it() {
    let huge = "crosshatch = 2\n".to_owned() + &"#".repeat(MAX_BYTES);
    let parsed = parse_document(&huge, "huge.toml");
    assert_eq!(parsed.diagnostics.iter().map(|d| d.code).collect::<Vec<_>>(), [Code::TooLarge]);
}

#[test]
fn nesting_without_end_is_refused() {
    for text in [
        format!("a = {}", "[".repeat(100_000)),
        format!("a = {}", "{ b = ".repeat(100_000)),
        format!("{} = 1", vec!["a"; 100_000].join(".")),
        format!("[{}]", vec!["a"; 100_000].join(".")),
    ] {
        let parsed = parse_document(&text, "deep.toml");
        assert_eq!(parsed.diagnostics[0].code, Code::TooDeep, "{}", parsed.diagnostics[0].message);
    }
}

#[test]
fn a_flood_of_mistakes_is_counted_and_not_listed() {
    let keys: Vec<String> = (0..5000).map(|i| format!("zz{i} = 1\n")).collect();
    let text = "crosshatch = 2\n".to_owned() + &keys.concat();
    let parsed = parse_document(&text, "flood.toml");
    let last = parsed.diagnostics.last().unwrap();
    assert_eq!((last.code, last.severity), (Code::TooMany, Severity::Error));
    assert_eq!(last.message, "and 4800 more from here on");
}

#[test]
fn other_encodings_are_told() {
    let error = text_of(b"crosshatch = 2\nname = \"caf\xe9\"\n", "old.toml").unwrap_err();
    assert_eq!((error.line, error.column), (2, 12));
    assert_eq!(text_of("°".as_bytes(), "new.toml").unwrap(), "°");
}

#[test]
fn a_diagnostic_as_a_person_and_as_a_program_see_it() {
    let parsed = parse_document("crosshatch = 2\nlayout.bore = 89.1 # mm\n", "four.toml");
    assert_eq!(
        render_text(&parsed.diagnostics),
        "Error in four.toml, line 2, column 15 (layout.bore)\n\
         \x20 2 | layout.bore = 89.1 # mm\n\
         \x20   |               ^^^^ 89.1 has no unit\n\
         \x20     expected: a length with its unit, such as \"88.012 mm\" or \"3.4650 in\"\n\
         \x20     do: write \"89.1 mm\" or \"89.1 in\", whichever it is\n"
    );
    let json = &render_json(&parsed.diagnostics)[0];
    assert_eq!(json["code"], "bare_number");
    assert_eq!(json["severity"], "error");
    assert_eq!(json["span"], serde_json::json!({ "start": 29, "end": 33 }));
    assert_eq!(json["path"], "layout.bore");
    assert_eq!(json["text"], "89.1");
}

#[test]
fn an_older_file_is_brought_up_with_its_comments() {
    let old = "crosshatch = 0 # v0\n[layout]\n# the hone left\nbore_finish = \"89.1 mm\" # this\nstroke = \"83.9 mm\"\n";
    let parsed = parse_document(old, "old.toml");
    let migrated = parsed.migrated.unwrap();
    assert_eq!(migrated.text, old.replace("= 0 #", "= 2 #").replace("bore_finish", "bore"));
    assert_eq!(parsed.document, parse_document(&migrated.text, "new.toml").document);
    assert!(parsed.document.unwrap().layout.bore.is_some());
}

#[test]
fn boost_of_version_one_is_the_absolute_pressure_of_the_plenum() {
    let old = "crosshatch = 1\n[turbocharger]\nboost_target = \"2.8 bar\" # absolute\nboost_speed = [\"3000 rev/min\"]\nboost = [\"1.2 bar\"]\n";
    let parsed = parse_document(old, "old.toml");
    let migrated = parsed.migrated.unwrap();
    let new = "crosshatch = 2\n[turbocharger]\nplenum_pressure = \"2.8 bar\" # absolute\nplenum_pressure_speed = [\"3000 rev/min\"]\nplenum_pressure_at_speed = [\"1.2 bar\"]\n";
    assert_eq!(migrated.text, new);
    let turbocharger = parsed.document.unwrap().turbocharger.unwrap();
    assert!((turbocharger.plenum_pressure.unwrap().0 - 2.8e5).abs() < 1e-6);
    assert_eq!(turbocharger.plenum_pressure_at_speed.len(), 1);
    // Today's version does not know the old key.
    let mixed = parse_document(&old.replace("= 1\n", "= 2\n"), "mixed.toml");
    assert!(mixed.diagnostics.iter().any(|d| d.message.contains("boost_target")), "{:?}", mixed.diagnostics);
}

#[test]
fn every_dimension_has_an_example_that_it_reads() {
    for unit in UNITS {
        let example = unit.dimension.example();
        for written in example.split(" or ") {
            let read = parse_quantity(written.trim_matches('"'), unit.dimension);
            assert!(read.is_ok(), "{example}: {read:?}");
        }
        assert_eq!(Dimension::from_word(unit.dimension.word()), Some(unit.dimension));
    }
}
