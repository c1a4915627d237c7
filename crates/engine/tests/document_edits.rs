//! A document is changed the way a careful person would do it: comments, order and blanks stay, and a change that
//! would bring a mistake is not made.

use engine::document::{
    Code, EditError, EditValue, LayoutKind, append, get, new_document, parse_document, remove, render_text,
    set, typed_quantity, typed_value,
};
use engine::quantity::{Dimension, QuantityError, UNITS, UnitSystem, display_unit, parse_quantity};
use proptest::prelude::*;

const FOUR: &str = r#"# An engine of the tests.
crosshatch = 2 # first version

[engine]
name = "four" # what we call it

# How it stands.
[layout]
cylinders = 4
firing_order = [ # from the front
  1, 3, # first turn
  4, 2, # second turn
]
bore = "89.100 mm"   # finished

# Nothing known about the block yet.
[block]

[limits]
# From the piston sheet.
piston_clearance = { min = "0.080 mm", max = "0.092 mm" } # cold

[[operations]]
name = "hone" # by hand
kind = "hone"

[[readings]]
feature = "block.bore.1.mid.thrust"
value = "89.100 mm" # good light

# The end.
"#;

fn comments(text: &str) -> Vec<String> {
    // The documents of these tests have no '#' inside text.
    let mut found: Vec<String> =
        text.lines().filter_map(|line| line.find('#').map(|at| line[at..].trim_end().to_owned())).collect();
    found.sort();
    found
}

fn is_read(text: &str) {
    let parsed = parse_document(text, "test");
    assert!(!parsed.has_errors(), "{}\n{text}", render_text(&parsed.diagnostics));
}

#[track_caller]
fn changed(text: &str, path: &str, value: &EditValue) -> String {
    let after = set(text, path, value).unwrap_or_else(|error| panic!("{path}: {error}"));
    is_read(&after);
    after
}

#[test]
fn one_value_changes_and_nothing_else() {
    let after = changed(FOUR, "layout.bore", &"89.105 mm".into());
    assert_eq!(after, FOUR.replace("89.100 mm\"   # finished", "89.105 mm\"   # finished"));
}

#[test]
fn a_new_key_stands_in_its_table() {
    let after = changed(FOUR, "layout.stroke", &"83.90 mm".into());
    assert_eq!(after, FOUR.replace("# finished\n", "# finished\nstroke = \"83.90 mm\"\n"));
}

#[test]
fn a_new_limit_stands_on_one_line() {
    let after = changed(FOUR, "limits.bore_taper.max", &"0.010 mm".into());
    assert!(after.contains("# cold\nbore_taper = { max = \"0.010 mm\" }\n"), "{after}");
    let after = changed(&after, "limits.bore_taper.source", &"the builder's own".into());
    assert!(
        after.contains("bore_taper = { max = \"0.010 mm\", source = \"the builder's own\" }\n"),
        "{after}"
    );
}

#[test]
fn a_new_table_stands_where_a_person_would_look_for_it() {
    let after = changed(FOUR, "crank.fillet", &"2.8 mm".into());
    assert!(after.contains("[block]\n\n[crank]\nfillet = \"2.8 mm\"\n\n[limits]"), "{after}");
    let after = changed(&after, "instruments.\"bore gauge\".resolution", &"0.001 mm".into());
    let (gauge, operations) = (after.find("[instruments.\"bore gauge\"]"), after.find("[[operations]]"));
    assert!(gauge.unwrap() < operations.unwrap(), "{after}");
    assert_eq!(comments(&after), comments(FOUR));
}

#[test]
fn comments_inside_a_list_that_is_replaced_stay_above_it() {
    let order = typed_value("layout.firing_order", "1-2-4-3", UnitSystem::Metric);
    let after = changed(FOUR, "layout.firing_order", &order);
    assert!(after.contains("# second turn\nfiring_order = [1, 2, 4, 3]\n"), "{after}");
    assert_eq!(comments(&after), comments(FOUR));
}

#[test]
fn what_is_taken_out_leaves_its_comments() {
    for path in [
        "layout.bore",
        "layout.firing_order",
        "limits.piston_clearance",
        "limits",
        "operations",
        "engine.name",
    ] {
        let after = remove(FOUR, path).unwrap();
        is_read(&after);
        assert_eq!(comments(&after), comments(FOUR), "{path}\n{after}");
        assert_eq!(get(&after, path), None);
    }
    let after = remove(FOUR, "limits.piston_clearance.min").unwrap();
    assert!(after.contains("piston_clearance = { max = \"0.092 mm\" } # cold"), "{after}");
}

#[test]
fn readings_are_added_and_never_changed() {
    let fields = [
        ("feature", "block.bore.1.mid.thrust".into()),
        ("value", "89.101 mm".into()),
        ("corrects", EditValue::Integer(1)),
    ];
    let after = append(FOUR, "readings", &fields).unwrap();
    let last = "[[readings]]\nfeature = \"block.bore.1.mid.thrust\"\nvalue = \"89.101 mm\"\ncorrects = 1\n";
    assert!(after.contains(last), "{after}");
    assert_eq!(comments(&after), comments(FOUR));
    assert_eq!(get(&after, "readings.2.value").as_deref(), Some("89.101 mm"));
    for path in ["readings.1.value", "readings.1", "readings"] {
        assert!(matches!(set(&after, path, &"1 mm".into()), Err(EditError::AppendOnly { .. })));
        assert!(matches!(remove(&after, path), Err(EditError::AppendOnly { .. })));
    }
}

#[test]
fn an_operation_is_added_to_a_document_without_one() {
    let after = append("crosshatch = 2\n", "operations", &[("name", "hone".into()), ("kind", "hone".into())])
        .unwrap();
    assert_eq!(after, "crosshatch = 2\n\n[[operations]]\nname = \"hone\"\nkind = \"hone\"\n");
}

#[test]
fn a_change_that_brings_a_mistake_is_refused() {
    let refusal = |path: &str, value: EditValue| match set(FOUR, path, &value) {
        Err(EditError::Refused(diagnostics)) => diagnostics[0].code,
        other => panic!("{path}: {other:?}"),
    };
    assert_eq!(refusal("layout.stroke", "83.9".into()), Code::BareNumber);
    assert_eq!(refusal("layout.stroke", "83.9 g".into()), Code::WrongUnit);
    assert_eq!(refusal("layout.stroke", "-83.9 mm".into()), Code::Negative);
    assert_eq!(refusal("layout.strokes", "83.9 mm".into()), Code::UnknownKey);
    assert_eq!(refusal("limits.piston_clearance.min", "0.1 mm".into()), Code::MinAboveMax);
    assert_eq!(refusal("layout.cylinders", EditValue::Integer(3)), Code::UnknownCylinder);
    assert_eq!(
        refusal("layout.firing_order", EditValue::List(vec![EditValue::Integer(1); 4])),
        Code::MissingCylinder
    );
    assert_eq!(refusal("crosshatch", EditValue::Integer(9)), Code::NewerVersion);
    assert!(matches!(remove(FOUR, "crosshatch"), Err(EditError::Refused(_))));
}

#[test]
fn a_document_with_a_mistake_can_still_be_put_right() {
    let wrong = FOUR.replace("89.100 mm\"   #", "89.100\"   #");
    assert!(parse_document(&wrong, "test").has_errors());
    let better = set(&wrong, "layout.stroke", &"83.9 mm".into()).unwrap();
    is_read(&set(&better, "layout.bore", &"89.1 mm".into()).unwrap());
}

#[test]
fn paths_that_lead_nowhere_say_so() {
    for path in ["", "layout..bore", "layout.bore.min", "operations.9.name", "operations.0.name", "[x]"] {
        assert!(set(FOUR, path, &"1 mm".into()).is_err(), "{path}");
    }
    for path in ["layout.stroke", "gasket", "operations.2", "layout.firing_order.9"] {
        assert!(matches!(remove(FOUR, path), Err(EditError::Path { .. })), "{path}");
    }
    assert!(matches!(
        set("not = toml = at all", "layout.bore", &"1 mm".into()),
        Err(EditError::Unreadable(_))
    ));
}

#[test]
fn line_ends_of_another_system_stay() {
    let windows = FOUR.replace('\n', "\r\n");
    let after = changed(&windows, "layout.stroke", &"83.90 mm".into());
    assert_eq!(after.matches('\n').count(), after.matches("\r\n").count());
}

#[test]
fn what_is_typed_into_a_form_becomes_the_value_for_its_key() {
    let typed = |path: &str, text: &str, units| typed_value(path, text, units);
    assert_eq!(typed("layout.bore", "89.1", UnitSystem::Metric), "89.1 mm".into());
    assert_eq!(typed("layout.bore", "3.5", UnitSystem::Inch), "3.5 in".into());
    assert_eq!(typed("layout.bore", "3.5 in", UnitSystem::Metric), "3.5 in".into());
    assert_eq!(typed("fuel.lambda", "0.8", UnitSystem::Metric), "0.8".into());
    assert_eq!(typed("layout.cylinders", "4", UnitSystem::Metric), EditValue::Integer(4));
    assert_eq!(typed("block.torque_plate", "yes", UnitSystem::Metric), EditValue::Flag(true));
    assert_eq!(typed("engine.name", "4", UnitSystem::Metric), "4".into());
    let bank = |numbers: &[i64]| EditValue::List(numbers.iter().map(|n| EditValue::Integer(*n)).collect());
    assert_eq!(
        typed("layout.banks", "1 3 5 / 2 4 6", UnitSystem::Metric),
        EditValue::List(vec![bank(&[1, 3, 5]), bank(&[2, 4, 6])])
    );
    assert_eq!(
        typed("springs.shims", "0.5, 1.0 mm", UnitSystem::Metric),
        EditValue::List(vec!["0.5 mm".into(), "1.0 mm".into()])
    );
}

#[test]
fn a_bare_number_takes_the_usual_unit_and_a_comma_only_where_it_has_one_meaning() {
    let typed = |path: &str, text: &str| typed_value(path, text, UnitSystem::Metric);
    let list = |entries: &[&str]| EditValue::List(entries.iter().map(|entry| (*entry).into()).collect());
    assert_eq!(typed("layout.bore", "88,012"), "88.012 mm".into());
    assert_eq!(typed("layout.bore", "-0,5 mm"), "-0.5 mm".into());
    assert_eq!(typed("pistons.dish", "0"), "0 cm³".into());
    assert_eq!(typed("springs.shims", "0,5; 1"), list(&["0.5 mm", "1 mm"]));
    assert_eq!(typed("springs.shims", "0.5,1.0"), list(&["0.5 mm", "1.0 mm"]));
    assert_eq!(typed("springs.shims", "1, 2"), list(&["1 mm", "2 mm"]));
    // One number or two? It stays as typed, and is refused.
    assert_eq!(typed("springs.shims", "1,5"), "1,5".into());
    assert!(set(FOUR, "springs.shims", &typed("springs.shims", "1,5")).is_err());
    // 8.2 or 8200?
    let speed = |text: &str| typed_quantity(text, Some(Dimension::Speed), UnitSystem::Metric);
    assert!(matches!(speed("8,200"), Err(QuantityError::DecimalComma { .. })));
    assert_eq!(speed("8200").unwrap(), "8200 rev/min");
    assert!(speed("8200 mm").unwrap_err().to_string().contains("does not measure a speed"));
    let angle = typed_quantity("steep", Some(Dimension::Angle), UnitSystem::Metric).unwrap_err().to_string();
    assert!(angle.contains("write an angle such as \"90 deg\""), "{angle}");
}

/// Whatever is measured, a bare number is taken in the unit in which it is shown; what a price is in nobody can guess.
#[test]
fn a_bare_number_is_taken_for_every_dimension() {
    let price = typed_quantity("1,5", Some(Dimension::Money), UnitSystem::Metric);
    assert!(price.unwrap_err().to_string().contains("12.50 EUR"));
    for dimension in UNITS.iter().map(|unit| unit.dimension).filter(|d| *d != Dimension::Money) {
        for units in [UnitSystem::Metric, UnitSystem::Inch] {
            let symbol = display_unit(dimension, units).symbol;
            let text = typed_quantity("1,5", Some(dimension), units).unwrap();
            assert_eq!(text, format!("1.5 {symbol}").trim_end(), "{dimension:?}");
            assert_eq!(parse_quantity(&text, dimension).unwrap().1.symbol, symbol);
        }
    }
}

#[test]
fn the_starter_for_every_layout_is_read_without_a_remark_and_can_fire() {
    for kind in LayoutKind::all() {
        for units in [UnitSystem::Metric, UnitSystem::Inch] {
            let text = new_document(kind, "a \"quoted\" name", units);
            let parsed = parse_document(&text, "starter");
            assert!(parsed.diagnostics.is_empty(), "{kind}: {}\n{text}", render_text(&parsed.diagnostics));
            let document = parsed.document.unwrap();
            assert_eq!(document.engine.name, "a \"quoted\" name");
            assert_eq!(document.engine.units, units);
            assert_eq!(document.layout.cylinders, Some(kind.cylinders));
            assert_eq!(kind.to_string().parse(), Ok(kind));
            if let Some(firing) = document.firing() {
                let uneven = ["V2", "V4"].contains(&kind.to_string().as_str());
                assert_eq!(firing.unwrap().plan.even, !uneven, "{kind}");
            }
            assert!(text.lines().all(|line| line.chars().count() <= 110), "{kind} has a long line");
        }
    }
}

#[test]
fn the_sections_are_those_of_the_format() {
    let engine::document::Shape::Table(root) = engine::document::document_shape() else { panic!() };
    let mut sections = engine::document::SECTIONS.to_vec();
    sections.sort_unstable();
    assert_eq!(sections, root.fields.keys().map(String::as_str).collect::<Vec<_>>());
}

/// Places to write to, with a value that is right there.
fn some_edit() -> impl Strategy<Value = (&'static str, String)> {
    let length = (1u32..200_000)
        .prop_map(|thousandths| format!("{}.{:03} mm", thousandths / 1000, thousandths % 1000));
    let place = prop::sample::select(vec![
        "layout.bore",
        "layout.stroke",
        "block.wall",
        "block.deck_height",
        "crank.main_journal.nominal",
        "valves.intake.lift",
        "limits.quench.target",
        "limits.bore.max",
        "gasket.compressed",
        "head.bucket_bore.min",
        "fasteners.\"rod bolt\".stretch",
        "shop.lash_shim_series.step",
        "operations.1.amount",
        "rod_shells.grades.red",
    ]);
    (place, length)
}

proptest! {
    #[test]
    fn what_was_set_is_there_and_every_comment_stays(
        edits in prop::collection::vec(some_edit(), 1..12),
        starter in any::<bool>(),
    ) {
        let mut text = if starter {
            new_document("I4".parse().unwrap(), "four", UnitSystem::Metric) + "\n[[operations]]\nname = \"hone\"\nkind = \"hone\"\n"
        } else {
            FOUR.to_owned()
        };
        let before = comments(&text);
        for (path, value) in &edits {
            text = set(&text, path, &value.as_str().into()).map_err(|e| TestCaseError::fail(format!("{path}: {e}")))?;
            prop_assert_eq!(get(&text, path), Some(value.clone()));
            prop_assert_eq!(&comments(&text), &before, "{}", text);
        }
        for (path, _) in &edits {
            if get(&text, path).is_some() {
                text = remove(&text, path).map_err(|e| TestCaseError::fail(format!("{path}: {e}")))?;
            }
            prop_assert_eq!(get(&text, path), None);
            prop_assert_eq!(&comments(&text), &before, "{}", text);
        }
    }

    #[test]
    fn no_change_panics_on_any_text(text in "\\PC{0,200}", path in "\\PC{0,30}", value in "\\PC{0,30}") {
        _ = set(&text, &path, &value.as_str().into());
        _ = remove(&text, &path);
        _ = append(&text, &path, &[("feature", value.as_str().into())]);
        _ = get(&text, &path);
    }
}
