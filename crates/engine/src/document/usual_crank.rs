//! Is the crank that an order needs the usual one? Asked where the document leaves the throws out: the order then says how the
//! crank is built, and a slip in it builds another crank without a word.

use super::diagnostic::{Code, Draft};
use super::firing::Firing;
use super::issue::Issue;
use super::model::{Arrangement, Document};
use super::path::Segment::Key;
use mechanics::kinematics::layout::even_throw_angles_deg;

/// Orders named as examples at most.
const EXAMPLES: usize = 8;

/// The order needs a crank that such engines do not have. Usual cranks are common practice, no source.
pub(super) fn check(document: &Document) -> Option<Issue<'_>> {
    let layout = &document.layout;
    if layout.throws.is_some() || layout.throw_of_cylinder.is_some() {
        return None;
    }
    let order: Vec<String> = layout.firing_order.as_ref()?.iter().map(u32::to_string).collect();
    let firing = document.firing()?.ok()?;
    let unlike = unlike_the_usual(document, &firing)?;
    let message = format!("fired evenly, {} needs {unlike}", order.join("-"));
    let orders = usual_orders(document);
    let expected = if orders.is_empty() {
        "an order of the usual crank (common practice, no source)".to_owned()
    } else {
        format!("an order of the usual crank (common practice, no source): {}", orders.join(", "))
    };
    let draft = Draft::warning(Code::UnusualCrank, message).expected(expected).hint(
        "look at the crank; where it is so built, write its throws, and the order is checked against them",
    );
    Some(Issue::new([Key("layout"), Key("firing_order")], draft))
}

/// What the crank is, where it is not the usual one of its layout.
fn unlike_the_usual(document: &Document, firing: &Firing) -> Option<&'static str> {
    let up = |cylinder: u32| firing.throws_deg.get((cylinder as usize).checked_sub(1)?).copied();
    let banks = document.banks();
    let throws = |bank: &Vec<u32>| bank.iter().map(|cylinder| up(*cylinder)).collect::<Option<Vec<f64>>>();
    match document.layout.arrangement? {
        Arrangement::Inline => {
            let throws = throws(banks.first()?)?;
            let even = throws.len() >= 4 && throws.len().is_multiple_of(2);
            (even && !is_mirrored(&throws))
                .then_some("a crank whose throws are not alike from both ends, as those of the usual one are")
        }
        Arrangement::Vee => {
            if !document.pins_agree(firing) {
                return Some(
                    "a crank on which the two rods of a throw stand on pins of their own, set apart",
                );
            }
            let throws = throws(banks.first()?)?;
            let unlike = match throws.len() {
                4 => !is_mirrored(&throws) && !is_opposed(&throws),
                n => n > 4 && n.is_multiple_of(2) && !is_mirrored(&throws),
            };
            unlike.then_some("a crank whose throws are neither alike nor opposed from both ends, as those of the usual ones are")
        }
        Arrangement::Flat => {
            let pairs = banks.first()?.iter().zip(banks.get(1)?);
            let apart: Option<Vec<f64>> = pairs.map(|(a, b)| Some(apart(up(*a)?, up(*b)?))).collect();
            let usual = apart?.iter().all(|angle| *angle < NEAR || 180.0 - *angle < NEAR);
            (!usual).then_some(
                "a crank on which the throws of opposite cylinders stand neither together nor opposite",
            )
        }
    }
}

/// Degrees.
const NEAR: f64 = 1e-6;

/// 0 to 180 degrees.
fn apart(a: f64, b: f64) -> f64 {
    ((a - b + 180.0).rem_euclid(360.0) - 180.0).abs()
}

fn is_mirrored(throws: &[f64]) -> bool {
    throws.iter().zip(throws.iter().rev()).all(|(a, b)| apart(*a, *b) < NEAR)
}

fn is_opposed(throws: &[f64]) -> bool {
    throws.iter().zip(throws.iter().rev()).all(|(a, b)| 180.0 - apart(*a, *b) < NEAR)
}

/// The orders that the usual crank of a row fires evenly; cylinder 1 first.
fn usual_orders(document: &Document) -> Vec<String> {
    let count = document.layout.cylinders.unwrap_or(0) as usize;
    if document.layout.arrangement != Some(Arrangement::Inline) || count > 6 {
        return Vec::new();
    }
    let Some(row) = document.banks().into_iter().next() else { return Vec::new() };
    let row: Vec<usize> = row.iter().map(|cylinder| *cylinder as usize).collect();
    let upright = vec![0.0; count];
    let fires = |order: &Vec<usize>| {
        let Ok(up) = even_throw_angles_deg(&upright, order) else { return false };
        let throws: Option<Vec<f64>> = row.iter().map(|c| up.get(c.checked_sub(1)?).copied()).collect();
        throws.is_some_and(|throws| is_mirrored(&throws))
    };
    let mut orders = Vec::new();
    following(&mut vec![1], count, &mut orders);
    let written = |order: Vec<usize>| order.iter().map(usize::to_string).collect::<Vec<_>>().join("-");
    orders.into_iter().filter(fires).take(EXAMPLES).map(written).collect()
}

/// Every order that begins so.
fn following(order: &mut Vec<usize>, count: usize, orders: &mut Vec<Vec<usize>>) {
    if order.len() == count {
        orders.push(order.clone());
        return;
    }
    for cylinder in 1..=count {
        if !order.contains(&cylinder) {
            order.push(cylinder);
            following(order, count, orders);
            order.pop();
        }
    }
}
