//! Throws, banks and firing orders.

use mechanics::kinematics::KinematicsError;
use mechanics::kinematics::layout::{
    BankNumbering, Layout, bank_angles_deg, dead_centres_deg, even_throw_angles_deg, firing_plan,
    shared_throws, throw_angles_of_pins_deg,
};

const ALTERNATING: BankNumbering = BankNumbering::Alternating;

fn vee(included_angle_deg: f64, numbering: BankNumbering) -> Layout {
    Layout::Vee { included_angle_deg, numbering }
}

/// Derives the throws, checks that they fire evenly in that order and compares with the expected throws.
fn check(layout: Layout, order: &[usize], expected: &[f64]) -> Vec<f64> {
    let banks = bank_angles_deg(layout, order.len()).unwrap();
    let throws = even_throw_angles_deg(&banks, order).unwrap();
    assert_eq!(throws, expected, "{layout:?} {order:?}");
    let plan = firing_plan(&banks, &throws, order).unwrap();
    assert!(plan.even, "{plan:?}");
    assert_eq!(plan.firings.iter().map(|(cylinder, _)| *cylinder).collect::<Vec<_>>(), order);
    assert!((plan.intervals_deg.iter().sum::<f64>() - 720.0).abs() < 1e-9);
    throws
}

/// Throws of Taylor's and Heywood's balance tables (from memory): I3 0-240-120, I4 0-180-180-0,
/// I5 1-2-4-5-3 0-144-216-288-72, I6 0-240-120-120-240-0 for 1-5-3-6-2-4.
#[test]
fn inline_engines() {
    check(Layout::Inline, &[1], &[0.0]);
    check(Layout::Inline, &[1, 2], &[0.0, 0.0]);
    check(Layout::Inline, &[1, 3, 2], &[0.0, 120.0, 240.0]);
    check(Layout::Inline, &[1, 2, 3], &[0.0, 240.0, 120.0]);
    check(Layout::Inline, &[1, 3, 4, 2], &[0.0, 180.0, 180.0, 0.0]);
    check(Layout::Inline, &[1, 2, 4, 3], &[0.0, 180.0, 180.0, 0.0]);
    check(Layout::Inline, &[1, 2, 4, 5, 3], &[0.0, 144.0, 216.0, 288.0, 72.0]);
    check(Layout::Inline, &[1, 5, 3, 6, 2, 4], &[0.0, 120.0, 240.0, 240.0, 120.0, 0.0]);
}

#[test]
fn cross_plane_v8_has_four_pins_at_quarter_turns() {
    // The row that leans with the rotation carries 1 to 4, as in the example of the project.
    let order = [1, 3, 6, 2, 7, 8, 4, 5];
    let throws = check(
        vee(90.0, BankNumbering::RowAfterRowSecondFirst),
        &order,
        &[0.0, 270.0, 90.0, 180.0, 0.0, 270.0, 90.0, 180.0],
    );
    assert_eq!(shared_throws(&throws), [vec![1, 5], vec![2, 6], vec![3, 7], vec![4, 8]]);
}

#[test]
fn v6_of_90_degrees_needs_split_pins_for_even_firing() {
    let throws = check(vee(90.0, ALTERNATING), &[1, 2, 3, 4, 5, 6], &[0.0, 30.0, 240.0, 270.0, 120.0, 150.0]);
    assert_eq!(shared_throws(&throws).len(), 6);
    // Common pins fire unevenly: 90 and 150 by turns (an odd-firing V6 fires at 0, 90, 240, 330, 480, 570).
    let banks = bank_angles_deg(vee(90.0, ALTERNATING), 6).unwrap();
    let common = throw_angles_of_pins_deg(&[0, 0, 1, 1, 2, 2], &[0.0, 240.0, 120.0]).unwrap();
    let plan = firing_plan(&banks, &common, &[1, 2, 3, 4, 5, 6]).unwrap();
    assert!(!plan.even);
    assert_eq!(plan.intervals_deg, [90.0, 150.0, 90.0, 150.0, 90.0, 150.0]);
}

#[test]
fn v12_of_60_degrees_shares_six_pins() {
    let order = [1, 12, 5, 8, 3, 10, 6, 7, 2, 11, 4, 9];
    let banks = bank_angles_deg(vee(60.0, BankNumbering::RowAfterRow), 12).unwrap();
    let throws = even_throw_angles_deg(&banks, &order).unwrap();
    assert!(firing_plan(&banks, &throws, &order).unwrap().even);
    // An inline-six crank: cylinder k and k + 6 side by side on one pin, two throws in each of three directions.
    assert_eq!(shared_throws(&throws), [vec![1, 6, 7, 12], vec![2, 5, 8, 11], vec![3, 4, 9, 10]]);
}

#[test]
fn flat_four_boxer_has_opposed_throws() {
    let layout = Layout::Flat { numbering: ALTERNATING };
    let banks = bank_angles_deg(layout, 4).unwrap();
    let throws = even_throw_angles_deg(&banks, &[1, 3, 2, 4]).unwrap();
    // Opposed cylinders 1 and 2 stand on throws half a turn apart, and so do 3 and 4: a boxer.
    assert_eq!(throws, [0.0, 180.0, 180.0, 0.0]);
    assert!(firing_plan(&banks, &throws, &[1, 3, 2, 4]).unwrap().even);
}

#[test]
fn v2_with_a_common_pin_fires_unevenly() {
    let banks = bank_angles_deg(vee(90.0, ALTERNATING), 2).unwrap();
    let plan = firing_plan(&banks, &[0.0, 0.0], &[1, 2]).unwrap();
    assert_eq!(plan.intervals_deg, [90.0, 630.0]);
    assert!(!plan.even);
    assert_eq!(dead_centres_deg(&banks, &[0.0, 0.0]).unwrap(), [0.0, 90.0]);
}

#[test]
fn impossible_orders_say_what_is_impossible() {
    let banks = [0.0; 4];
    let throws = [0.0, 180.0, 180.0, 0.0];
    let error = firing_plan(&banks, &throws, &[1, 4, 2, 3]).unwrap_err();
    assert_eq!(
        error,
        KinematicsError::OrderImpossible {
            cylinder: 3,
            after: 2,
            after_deg: 540.0,
            dead_centre_deg: 180.0,
            found_deg: 900.0
        }
    );
    assert!(error.to_string().contains("top dead centres are at 180° and 540°"), "{error}");
    for (order, expected) in [
        (vec![1, 3, 4, 5], "names cylinder 5"),
        (vec![1, 3, 4, 0], "names cylinder 0"),
        (vec![1, 3, 3, 2], "cylinder 3 twice"),
        (vec![1, 3, 4], "3 entries for 4 cylinders"),
    ] {
        let error = firing_plan(&banks, &throws, &order).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
    }
    assert!(firing_plan(&banks, &throws[..3], &[1, 3, 4, 2]).is_err());
    assert!(firing_plan(&banks, &[0.0, f64::NAN, 0.0, 0.0], &[1, 3, 4, 2]).is_err());
    assert!(bank_angles_deg(Layout::Inline, 7).is_err());
    assert!(bank_angles_deg(vee(90.0, ALTERNATING), 5).is_err());
    assert!(bank_angles_deg(vee(f64::NAN, ALTERNATING), 6).is_err());
}

/// The greedy choice of the earliest dead centre against trying all 2ⁿ choices of compression or exhaust stroke.
#[test]
fn earliest_dead_centre_decides_like_exhaustive_search() {
    let banks = [0.0; 4];
    for code in 0..4_usize.pow(3) {
        let throws = [0.0, (code % 4) as f64 * 90.0, (code / 4 % 4) as f64 * 90.0, (code / 16) as f64 * 90.0];
        for order in [[1, 2, 3, 4], [1, 2, 4, 3], [1, 3, 2, 4], [1, 3, 4, 2], [1, 4, 2, 3], [1, 4, 3, 2]] {
            let possible = (0..8).any(|choice: usize| {
                let mut last = 0.0;
                order[1..].iter().enumerate().all(|(k, cylinder)| {
                    let at = throws[cylinder - 1] + if choice >> k & 1 == 1 { 360.0 } else { 0.0 };
                    let later = at > last;
                    last = at;
                    later
                })
            });
            assert_eq!(firing_plan(&banks, &throws, &order).is_ok(), possible, "{throws:?} {order:?}");
        }
    }
}
