//! Every layout from one cylinder in line to twelve in two banks can be written, with any order that its crank can
//! fire; what cannot be built is told.

use engine::document::{Code, parse_document, render_text};
use mechanics::kinematics::layout::firing_plan;
use proptest::prelude::*;
use std::fmt::Write as _;

fn codes(text: &str) -> Vec<Code> {
    parse_document(text, "layout").diagnostics.iter().map(|d| d.code).collect()
}

fn layout(arrangement: &str, cylinders: u32, rest: &str) -> String {
    format!("crosshatch = 2\n[layout]\narrangement = \"{arrangement}\"\ncylinders = {cylinders}\n{rest}\n")
}

#[test]
fn every_layout_is_accepted_with_and_without_its_details() {
    let mut seen = 0;
    for (arrangement, counts) in [("inline", 1..=6), ("vee", 2..=12), ("flat", 2..=12)] {
        for count in counts {
            let order: Vec<u32> = (1..=count).collect();
            let mut rest = format!("firing_order = {order:?}\n");
            if arrangement != "inline" {
                let (a, b) = order.split_at(order.len().div_ceil(2));
                _ = writeln!(rest, "banks = [{a:?}, {b:?}]\nbank_angle = \"180 deg\"");
            }
            let text = layout(arrangement, count, &rest);
            let parsed = parse_document(&text, "layout");
            // In order along the row needs an unusual crank here and there: that is asked, not refused.
            let asked = |code| code == Code::UnusualCrank;
            assert!(
                parsed.diagnostics.iter().all(|d| asked(d.code)),
                "{text}{}",
                render_text(&parsed.diagnostics)
            );
            let document = parsed.document.unwrap();
            assert_eq!(document.banks().iter().map(Vec::len).sum::<usize>(), count as usize);
            assert!(document.firing().unwrap().unwrap().plan.even);
            // Almost nothing is a document too; an odd number over two banks must be told how it divides.
            let short = codes(&layout(arrangement, count, ""));
            let divides = arrangement == "inline" || count % 2 == 0;
            assert_eq!(short.is_empty(), divides, "{arrangement} {count}: {short:?}");
            seen += 1;
        }
    }
    assert_eq!(seen, 6 + 11 + 11);
}

/// Even firing of an inline four needs 1 and 4 together, 2 and 3 together; of the six orders that begin with 1 two
/// pass. Crank drawings of any handbook; from memory.
#[test]
fn an_inline_four_fires_two_orders_on_its_usual_crank() {
    let orders = [[1, 2, 3, 4], [1, 2, 4, 3], [1, 3, 2, 4], [1, 3, 4, 2], [1, 4, 2, 3], [1, 4, 3, 2]];
    let throws = "throws = [\"0 deg\", \"180 deg\", \"180 deg\", \"0 deg\"]";
    let fires = |order: &[u32; 4]| {
        codes(&layout("inline", 4, &format!("{throws}\nfiring_order = {order:?}"))).is_empty()
    };
    let good: Vec<_> = orders.into_iter().filter(fires).collect();
    assert_eq!(good, [[1, 2, 4, 3], [1, 3, 4, 2]]);
}

/// A throw that stands ahead in the direction of turning comes up the sooner: 1-5-3-6-2-4 and its mirror image
/// 1-4-2-6-3-5 need cranks of opposite hand.
#[test]
fn the_hand_of_a_crank_for_six_in_line_decides_its_order() {
    let right = "throws = [\"0 deg\", \"240 deg\", \"120 deg\", \"120 deg\", \"240 deg\", \"0 deg\"]";
    let left = "throws = [\"0 deg\", \"120 deg\", \"240 deg\", \"240 deg\", \"120 deg\", \"0 deg\"]";
    let fires = |throws, order| {
        let text = layout("inline", 6, &format!("{throws}\nfiring_order = {order}"));
        parse_document(&text, "six").document.and_then(|d| d.firing()).is_some_and(|f| f.unwrap().plan.even)
    };
    assert!(fires(right, "[1, 5, 3, 6, 2, 4]") != fires(left, "[1, 5, 3, 6, 2, 4]"));
    assert!(fires(right, "[1, 4, 2, 6, 3, 5]") != fires(left, "[1, 4, 2, 6, 3, 5]"));
    assert!(fires(right, "[1, 5, 3, 6, 2, 4]") != fires(right, "[1, 4, 2, 6, 3, 5]"));
}

#[test]
fn layouts_that_cannot_be_are_told() {
    assert_eq!(codes(&layout("inline", 0, "")), [Code::OutOfRange]);
    assert_eq!(codes(&layout("vee", 13, "")), [Code::OutOfRange]);
    assert_eq!(codes(&layout("inline", 4, "bank_angle = \"60 deg\"")), [Code::Layout]);
    assert_eq!(codes(&layout("flat", 4, "bank_angle = \"60 deg\"")), [Code::Layout]);
    assert_eq!(codes(&layout("inline", 2, "banks = [[1], [2]]")), [Code::Layout]);
    assert_eq!(codes(&layout("vee", 4, "throw_of_cylinder = [1, 1, 2]")), [Code::Throws]);
    assert_eq!(codes(&layout("vee", 4, "throw_of_cylinder = [1, 1, 2, 5]")), [Code::Throws]);
    assert_eq!(codes(&layout("vee", 4, "throws = [\"0 deg\", \"90 deg\", \"180 deg\"]")), [Code::Throws]);
    assert_eq!(
        codes(&layout("inline", 3, "firing_order = [1, 2, 2]")),
        [Code::MissingCylinder, Code::DuplicateCylinder]
    );
}

proptest! {
    /// Whatever order and throws are written, the document is refused exactly when the crank cannot fire that order.
    #[test]
    fn an_order_is_refused_exactly_when_no_crank_angle_is_left(
        order in Just((1u32..=6).collect::<Vec<_>>()).prop_shuffle(),
        throws in prop::collection::vec(0u32..12, 6),
    ) {
        let angles: Vec<String> = throws.iter().map(|t| format!("\"{} deg\"", t * 30)).collect();
        let text = layout("inline", 6, &format!("firing_order = {order:?}\nthrows = [{}]", angles.join(", ")));
        let up: Vec<f64> = throws.iter().map(|t| -30.0 * f64::from(*t)).collect();
        let wanted: Vec<usize> = order.iter().map(|c| *c as usize).collect();
        let possible = firing_plan(&[0.0; 6], &up, &wanted).is_ok();
        prop_assert_eq!(codes(&text).is_empty(), possible);
    }
}
