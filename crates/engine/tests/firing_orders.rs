//! Firing orders that need a crank unlike the usual one.

use engine::document::{Code, Diagnostic, EditValue, Severity, new_document, parse_document, proposed, set};
use engine::quantity::UnitSystem;

fn asked(layout: &str) -> Vec<Diagnostic> {
    let parsed = parse_document(&format!("crosshatch = 2\n[layout]\n{layout}"), "engine.toml");
    assert!(parsed.document.is_some(), "{:?}", parsed.diagnostics);
    parsed.diagnostics.into_iter().filter(|d| d.code == Code::UnusualCrank).collect()
}

fn inline(order: &[u32]) -> String {
    format!("arrangement = \"inline\"\ncylinders = {}\nfiring_order = {order:?}\n", order.len())
}

#[test]
fn an_inline_six_from_front_to_back_is_asked_about() {
    let found = asked(&inline(&[1, 2, 3, 4, 5, 6]));
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].path.as_str(), found[0].severity), ("layout.firing_order", Severity::Warning));
    let expected = found[0].expected.as_deref().expect("orders");
    // The eight orders of a six with throws mirrored about the middle: handbook fact, from memory.
    for order in ["1-5-3-6-2-4", "1-4-2-6-3-5", "1-2-3-6-5-4", "1-2-4-6-5-3", "1-5-4-6-2-3"] {
        assert!(expected.contains(order), "{order} in {expected}");
    }
}

#[test]
fn orders_of_usual_cranks_are_not() {
    for order in
        [&[1, 3, 4, 2][..], &[1, 2, 4, 3], &[1, 5, 3, 6, 2, 4], &[1, 2, 4, 5, 3], &[1, 3, 2], &[1, 2]]
    {
        assert!(asked(&inline(order)).is_empty(), "{order:?}");
    }
    // Cross-plane and flat-plane eights; from memory.
    for order in [[1, 8, 4, 3, 6, 5, 7, 2], [1, 8, 3, 6, 7, 2, 5, 4]] {
        let layout = format!(
            "arrangement = \"vee\"\ncylinders = 8\nbank_angle = \"90 deg\"\nfiring_order = {order:?}\n"
        );
        let found = asked(&layout);
        assert!(found.is_empty(), "{order:?}: {found:?}");
    }
}

#[test]
fn a_four_that_fires_along_the_row_is_asked_about_until_its_throws_are_written() {
    let layout = inline(&[1, 2, 3, 4]);
    assert_eq!(asked(&layout).len(), 1);
    let stated = format!("{layout}throws = [\"0 deg\", \"180 deg\", \"0 deg\", \"180 deg\"]\n");
    assert!(asked(&stated).is_empty());
    let other = format!(
        "crosshatch = 2\n[layout]\n{layout}throws = [\"0 deg\", \"180 deg\", \"180 deg\", \"0 deg\"]\n"
    );
    assert!(parse_document(&other, "e").has_errors(), "refused on a crank that cannot fire it");
}

#[test]
fn a_value_of_ones_own_is_not_called_common_practice() {
    let text = new_document("I6".parse().expect("a layout"), "Six", UnitSystem::Metric);
    assert!(text.contains("firing_order = [1, 5, 3, 6, 2, 4]  # common practice"));
    let order = EditValue::List([1, 2, 4, 6, 5, 3].map(EditValue::Integer).to_vec());
    let changed = set(&text, "layout.firing_order", &order).expect("an order");
    assert!(changed.contains("firing_order = [1, 2, 4, 6, 5, 3]\n"), "{changed}");
    // A remark of the builder's own stays.
    let own = text.replace("# common practice, no source: check yours", "# read on the cap");
    assert!(set(&own, "layout.firing_order", &order).expect("an order").contains("5, 3]  # read on the cap"));
}

#[test]
fn what_the_starter_proposes_is_named_until_it_is_said() {
    let text = new_document("F4".parse().expect("a layout"), "Four", UnitSystem::Metric);
    let named = proposed(&text);
    assert_eq!(named.iter().map(String::as_str).collect::<Vec<_>>(), ["layout.banks", "layout.firing_order"]);
    let same = EditValue::List([1, 3, 2, 4].map(EditValue::Integer).to_vec());
    let said = set(&text, "layout.firing_order", &same).expect("the same order");
    assert!(!proposed(&said).contains("layout.firing_order"), "kept by a person: {said}");
    assert!(proposed(&said).contains("layout.banks"));
}
