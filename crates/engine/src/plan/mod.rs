//! The plan: orders, cuts, what goes where, work at the bench, what to measure next, what is left to a person.

mod cuts;
mod holds;
mod lead_time;
mod measure;
mod model;
mod rest;
mod select;

pub use model::{
    Cut, MeasureGroup, OrderLine, Outcome, Placement, Plan, Selection, Sum, Task, Undecided, Wait, Widen,
};

use crate::assess::Assessment;
use crate::document::OperationKind;
use crate::engine::Engine;
use crate::findings::{Action, ActionKind, Finding, Verdict};
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
    cuts::add_sleeve_hones(engine, assessment, &mut cuts);
    let chosen: Vec<String> = orders.iter().flat_map(|o| o.settles.clone()).collect();
    orders.extend(
        assessment
            .findings
            .iter()
            .filter(|f| f.verdict == Verdict::Bad && !f.stale && !chosen.contains(&f.id))
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
    holds::add(engine, assessment, &mut plan);
    rest::add(assessment, &mut plan);
    (plan.sure, plan.if_needed) = sums(&plan);
    plan
}

/// What is needed in any case, and that with the lines that are held or wait for a condition.
fn sums(plan: &Plan) -> (Sum, Sum) {
    let sum = |conditional: bool| {
        let orders: Vec<&OrderLine> = plan.orders.iter().filter(|o| conditional || o.is_sure()).collect();
        let cuts: Vec<&Cut> = plan.cuts.iter().filter(|c| conditional || c.is_sure()).collect();
        let bench: Vec<&Task> = plan.bench.iter().collect();
        let mut sum = Sum::default();
        let ordered = orders.iter().map(|o| o.price.map(|p| p * f64::from(o.quantity)));
        // Work at the own bench costs nothing where the shop has not put a price on it.
        let at_bench = bench.iter().map(|t| t.price.or(Some(0.0)));
        for price in ordered.chain(cuts.iter().map(|c| c.price)).chain(at_bench) {
            sum.add(price);
        }
        (sum.chain, sum.unknown_waits) = lead_time::longest(&orders, &cuts, &bench);
        sum.longest_days = (!sum.chain.is_empty()).then(|| sum.chain.iter().map(|wait| wait.days).sum());
        sum
    };
    (sum(false), sum(true))
}

/// A sleeve to press is a sleeve to buy.
fn sleeves(engine: &Engine, cuts: &[Cut]) -> Option<OrderLine> {
    let jobs: Vec<&Cut> = cuts.iter().filter(|c| c.operation == OperationKind::Sleeve).collect();
    let supply = engine.document.shop.parts.get("sleeve");
    let bores: Vec<String> = jobs.iter().map(|c| c.part.clone()).collect();
    Some(OrderLine {
        item: Phrase::words(format!("{} ({})", engine.document.block.bore_insert(), phrase_list(&bores))),
        quantity: jobs.len() as u32,
        supplier: supply.map(|s| s.from.clone()).unwrap_or_default(),
        price: supply.and_then(|s| s.price).map(|p| p.0),
        days: supply.and_then(|s| s.days),
        settles: jobs.iter().flat_map(|c| c.settles.clone()).collect(),
        only_if: jobs.first()?.only_if,
        held_by: Vec::new(),
    })
}

/// What is bought, by its name where the action is a sentence about more than that.
fn item_of(finding: &Finding, action: &Action) -> Phrase {
    let label = &finding.subject.label;
    match finding.code {
        "top_ring_gap" | "second_ring_gap" | "rail_gap" => {
            Phrase::words(format!("{label}, another one (with a smaller gap, to file)"))
        }
        "rod_side_clearance" | "rod_length" => Phrase::words(format!("another rod, for {label}")),
        _ => action.text.clone().say(format!(" ({label})")),
    }
}

/// A finding whose action is to buy, where no selection has ordered for it. Shells and gaskets are ordered by theirs.
fn part_to_buy(finding: &Finding) -> Option<OrderLine> {
    if matches!(finding.code, "main_clearance" | "rod_clearance" | "quench" | "compression_ratio") {
        return None;
    }
    let action = finding.actions.iter().find(|a| a.kind == ActionKind::Order)?;
    Some(OrderLine {
        item: item_of(finding, action),
        quantity: 1,
        supplier: action.supplier.clone(),
        price: action.cost,
        days: action.days,
        settles: vec![finding.id.clone()],
        // A rod that is too long is read again first.
        only_if: (finding.code == "rod_length"
            && finding.actions.iter().any(|a| a.kind == ActionKind::Measure))
        .then_some("a second reading says the same"),
        held_by: Vec::new(),
    })
}
