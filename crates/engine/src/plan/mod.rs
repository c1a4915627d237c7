//! The plan: orders, cuts, who goes where, work at the bench, what to measure next, what is left to a person.

mod cuts;
mod measure;
mod model;
mod rest;
mod select;

pub use model::{Cut, MeasureGroup, OrderLine, Outcome, Placement, Plan, Selection, Sum, Task, Undecided};

use crate::assess::Assessment;
use crate::document::OperationKind;
use crate::engine::Engine;
use crate::findings::{ActionKind, Finding, Verdict};
use crate::quantity::{Phrase, phrase_list};

/// Makes the plan from what was found. Pure: same input, same output.
pub fn plan(engine: &Engine, assessment: &Assessment) -> Plan {
    let mut cuts = cuts::cuts(engine, assessment);
    let select::Selected { selections, mut orders, undecided, rings } =
        select::selections(engine, assessment, &cuts);
    let files = cuts::ring_files(engine, assessment, &rings, cuts.len());
    drop(rings);
    cuts.extend(files);
    cuts::add_deck_cuts(engine, assessment, &selections, &mut cuts);
    let chosen: Vec<String> = orders.iter().flat_map(|o| o.settles.clone()).collect();
    orders.extend(
        assessment
            .findings
            .iter()
            .filter(|f| f.verdict == Verdict::Bad && !chosen.contains(&f.id))
            .filter_map(part_to_buy),
    );
    orders.extend(sleeves(engine, &cuts));
    let mut plan = Plan {
        measure_next: measure::measure_next(engine, assessment),
        currency: engine.document.shop.currency().to_owned(),
        orders,
        cuts,
        selections,
        undecided,
        ..Plan::default()
    };
    rest::add(assessment, &mut plan);
    (plan.sure, plan.if_needed) = sums(&plan);
    plan
}

/// What is needed in any case, and that with the conditional lines.
fn sums(plan: &Plan) -> (Sum, Sum) {
    let (mut sure, mut all) = (Sum::default(), Sum::default());
    let orders = plan.orders.iter().map(|o| (o.only_if, o.price.map(|p| p * f64::from(o.quantity)), o.days));
    let cuts = plan.cuts.iter().map(|c| (c.only_if, c.price, c.days));
    // Work at the own bench costs nothing where the shop has not put a price on it.
    let bench = plan.bench.iter().map(|t| (None, t.price.or(Some(0.0)), t.days));
    for (only_if, price, days) in orders.chain(cuts).chain(bench) {
        all.add(price, days);
        if only_if.is_none() {
            sure.add(price, days);
        }
    }
    (sure, all)
}

/// A sleeve to press is a sleeve to buy.
fn sleeves(engine: &Engine, cuts: &[Cut]) -> Option<OrderLine> {
    let jobs: Vec<&Cut> = cuts.iter().filter(|c| c.operation == OperationKind::Sleeve).collect();
    let supply = engine.document.shop.parts.get("sleeve");
    let bores: Vec<String> = jobs.iter().map(|c| c.part.clone()).collect();
    Some(OrderLine {
        item: Phrase::words(format!("sleeve ({})", phrase_list(&bores))),
        quantity: jobs.len() as u32,
        supplier: supply.map(|s| s.from.clone()).unwrap_or_default(),
        price: supply.and_then(|s| s.price).map(|p| p.0),
        days: supply.and_then(|s| s.days),
        settles: jobs.iter().flat_map(|c| c.settles.clone()).collect(),
        only_if: jobs.first()?.only_if,
    })
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
        supplier: action.supplier.clone(),
        price: action.cost,
        days: action.days,
        settles: vec![finding.id.clone()],
        only_if: None,
    })
}
