//! The plan: orders, cuts, who goes where, what to measure next.

mod cuts;
mod measure;
mod model;
mod select;

pub use model::{Cut, MeasureGroup, OrderLine, Outcome, Placement, Plan, Selection};

use crate::assess::Assessment;
use crate::engine::Engine;
use crate::findings::{ActionKind, Finding, Verdict};

/// Makes the plan from what was found. Pure: same input, same output.
pub fn plan(engine: &Engine, assessment: &Assessment) -> Plan {
    let cuts = cuts::cuts(engine, assessment);
    let (selections, mut orders) = select::selections(engine, assessment, &cuts);
    let chosen: Vec<String> = orders.iter().flat_map(|o| o.settles.clone()).collect();
    orders.extend(
        assessment
            .findings
            .iter()
            .filter(|f| f.verdict == Verdict::Bad && !chosen.contains(&f.id))
            .filter_map(part_to_buy),
    );
    let prices = || {
        orders.iter().map(|o| o.price.map(|p| p * f64::from(o.quantity))).chain(cuts.iter().map(|c| c.price))
    };
    let days = orders.iter().map(|o| o.days).chain(cuts.iter().map(|c| c.days)).flatten();
    Plan {
        cost: prices().flatten().sum(),
        unpriced: prices().filter(Option::is_none).count(),
        longest_days: days.fold(None, |most: Option<f64>, d| Some(most.map_or(d, |m| m.max(d)))),
        measure_next: measure::measure_next(engine, assessment),
        orders,
        cuts,
        selections,
    }
}

/// A finding whose action is to buy, where no selection has ordered for it. Shells and gaskets are ordered by theirs.
fn part_to_buy(finding: &Finding) -> Option<OrderLine> {
    if matches!(finding.code, "main_clearance" | "rod_clearance" | "quench" | "compression_ratio") {
        return None;
    }
    let action = finding.actions.iter().find(|a| a.kind == ActionKind::Order)?;
    Some(OrderLine {
        item: action.text.clone().say(format!(" ({})", finding.subject.label)),
        quantity: 1,
        supplier: String::new(),
        price: action.cost,
        days: action.days,
        settles: vec![finding.id.clone()],
    })
}
