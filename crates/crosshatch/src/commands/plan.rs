//! `plan`: what to order, what to cut, what goes where.

use super::arguments::{Common, FileArguments};
use super::check::heading;
use super::file::{FromFile, read};
use super::report::{Answer, Report};
use super::table::{Table, wrap};
use super::{standing, words};
use engine::findings::Finding;
use engine::plan::{Outcome as Ended, Placement, Plan, Selection, Widen};
use engine::quantity::{Phrase, UnitSystem, format_money, phrase_list};
use serde_json::{Value, json};
use std::fmt::Write as _;

pub(super) fn run(arguments: &FileArguments, common: &Common) -> Answer {
    let read = read(arguments, common)?;
    let units = common.units(read.engine.units());
    let outcome = standing::of_all(&read.assessment);
    let text = format!("{}{}", heading(&read), text(&read, units));
    Ok(Report::new(outcome, text, json(&read.plan, units)))
}

fn money(price: Option<f64>, plan: &Plan) -> String {
    price.map_or_else(|| "not known".to_owned(), |p| format_money(p, &plan.currency))
}

/// What a finding that holds a line is called, and what it waits for; its name where it is not among the findings.
fn holding(read: &FromFile, id: &str) -> String {
    read.assessment.finding(id).map_or_else(|| id.to_owned(), Finding::hold_words)
}

/// " NOT BEFORE THIS IS SETTLED: bore 3, least wall after boring (bore 3)."
fn held(read: &FromFile, by: &[String]) -> String {
    if by.is_empty() {
        return String::new();
    }
    let by: Vec<String> = by.iter().map(|id| holding(read, id)).collect();
    format!(" NOT BEFORE THIS IS SETTLED: {}.", by.join("; "))
}

/// " Only if the second map finds the wall as thin."
fn condition(only_if: Option<&str>) -> String {
    only_if.map(|c| format!(" ONLY IF {c}.")).unwrap_or_default()
}

fn text(read: &FromFile, units: UnitSystem) -> String {
    let plan = &read.plan;
    let mut out = String::from("ORDER\n");
    let mut orders = Table::new(&["pieces", "price each", "lead time", "what"]);
    for line in &plan.orders {
        orders.row([
            line.quantity.to_string(),
            money(line.price, plan),
            line.days.map_or_else(|| "not known".to_owned(), words::days),
            format!(
                "{}{}{}",
                line.item.print(units),
                line.only_if.map(|c| format!(", ONLY IF {c}")).unwrap_or_default(),
                if line.held_by.is_empty() {
                    String::new()
                } else {
                    format!(".{}", held(read, &line.held_by))
                },
            ),
        ]);
    }
    out.push_str(&or_nothing(&orders));
    out.push_str("\nCUT, IN THIS ORDER\n");
    let mut cuts = Table::new(&["step", "part", "price", "what to do"]);
    for cut in &plan.cuts {
        let held = held(read, &cut.held_by);
        let opens = if cut.opens_again.is_empty() {
            String::new()
        } else {
            format!(" Read again after it: {}.", cut.opens_again.join(", "))
        };
        let caution = words::caution(cut.caution);
        let text = cut.text.print(units);
        let stop = if text.ends_with('.') { "" } else { "." };
        let only_if = condition(cut.only_if);
        let tolerance = cut.tolerance_words(units).map(|t| format!(" Tolerance {t}.")).unwrap_or_default();
        cuts.row([
            cut.step.to_string(),
            cut.part.clone(),
            if cut.price == Some(0.0) { "own work".to_owned() } else { money(cut.price, plan) },
            format!("{text}{stop}{tolerance}{only_if}{held}{opens}{caution}"),
        ]);
    }
    out.push_str(&or_nothing(&cuts));
    if !plan.bench.is_empty() {
        out.push_str("\nAT THE BENCH\n");
        let mut tasks = Table::new(&["part", "what to do"]);
        for task in &plan.bench {
            let caution = words::caution(task.caution);
            let text = task.text.print(units);
            let stop = if text.ends_with('.') { "" } else { "." };
            tasks.row([task.part.clone(), format!("{text}{stop}{caution}")]);
        }
        out.push_str(&tasks.print());
    }
    if !plan.undecided.is_empty() {
        out.push_str("\nUNDECIDED\n");
        for line in &plan.undecided {
            let caution = words::caution(line.caution(&read.assessment));
            let text = line.text.print(units);
            let stop = if text.ends_with('.') || caution.is_empty() { "" } else { "." };
            out.push_str(&paragraph(&format!("{text}{stop}{caution}")));
        }
    }
    for selection in &plan.selections {
        let _ = write!(out, "\n{}\n", selection.title.to_uppercase());
        out.push_str(&selection_text(read, selection, units));
    }
    let cost = plan.cost_words();
    if !cost.is_empty() {
        out.push('\n');
        out.push_str(&paragraph(cost.print(units).trim()));
    }
    out
}

fn or_nothing(table: &Table) -> String {
    if table.is_empty() { "nothing\n".to_owned() } else { table.print() }
}

/// A sentence and what stands under it, a line each.
fn listed(above: &str, lines: &[Phrase], units: UnitSystem) -> String {
    let line = |phrase: &Phrase| paragraph(&format!("- {}", phrase.print(units)));
    std::iter::once(paragraph(above)).chain(lines.iter().map(line)).collect()
}

fn selection_text(read: &FromFile, selection: &Selection, units: UnitSystem) -> String {
    let summary = selection.summary.print(units);
    let stop = if selection.caution.is_some() { "." } else { "" };
    let mut out = paragraph(&format!("{summary}{stop}{}", words::caution(selection.caution)));
    let moves: Vec<_> = selection.placements.iter().filter(|p| !p.stays).collect();
    if !moves.is_empty() {
        let mut table = Table::new(&["what", "to", "from", "gives"]);
        for p in moves {
            table.row([p.what.print(units), p.place.clone(), p.from.print(units), p.result.print(units)]);
        }
        out.push_str(&table.print());
    }
    out.push_str(&held_places(read, &selection.placements, units));
    match &selection.outcome {
        Ended::Best { proof, .. } if !proof.is_empty() => out.push_str(&paragraph(proof)),
        Ended::Best { .. } => {}
        Ended::Relax { relax, widen } => {
            let above = format!("{} {}", Widen::NO_ANSWER, widen.words(relax.len()));
            out.push_str(&listed(&above, relax, units));
        }
        Ended::CannotTell { ask, relax, widen } => {
            out.push_str(&listed(Widen::CANNOT_TELL, ask, units));
            if !relax.is_empty() {
                let above = format!("{} {}", Widen::AFTER_THAT, widen.words(relax.len()));
                out.push_str(&listed(&above, relax, units));
            }
        }
        Ended::Missing { features } => {
            let (places, fields) = words::missing(&read.engine, features);
            for (what, list) in [("Still to read", places), ("To state in the document", fields)] {
                if !list.is_empty() {
                    out.push_str(&paragraph(&format!("{what}: {list}")));
                }
            }
        }
    }
    out
}

/// "NOT BEFORE THIS IS SETTLED: bore 3, least wall after boring (bore 3)." a line for each that holds.
fn held_places(read: &FromFile, placements: &[Placement], units: UnitSystem) -> String {
    // Two parts of one place, as the rings of a cylinder, are told apart by what they are.
    let shared = |place: &str| placements.iter().filter(|p| p.place == place).count() > 1;
    let named = |p: &Placement| if shared(&p.place) { p.what.print(units) } else { p.place.clone() };
    let mut holding: Vec<(&[String], Vec<String>)> = Vec::new();
    for placement in placements.iter().filter(|p| !p.held_by.is_empty()) {
        match holding.iter_mut().find(|(by, _)| *by == placement.held_by.as_slice()) {
            Some((_, places)) => places.push(named(placement)),
            None => holding.push((&placement.held_by, vec![named(placement)])),
        }
    }
    let line = |(by, places): (&[String], Vec<String>)| {
        paragraph(&format!("{}:{}", phrase_list(&places), held(read, by)))
    };
    holding.into_iter().map(line).collect()
}

fn paragraph(text: &str) -> String {
    wrap(text, 100).join("\n") + "\n"
}

fn json(plan: &Plan, units: UnitSystem) -> Value {
    json!({
        "orders": plan.orders.iter().map(|o| json!({
            "item": o.item.print(units), "quantity": o.quantity, "supplier": o.supplier, "price": o.price,
            "days": o.days, "settles": o.settles, "only_if": o.only_if, "held_by": o.held_by,
        })).collect::<Vec<_>>(),
        "cuts": plan.cuts.iter().map(|c| json!({
            "step": c.step, "operation": c.operation, "part": c.part, "text": c.text.print(units), "from": c.from,
            "to": c.to, "tolerance": c.tolerance, "tolerance_from": c.tolerance_from, "stock_left": c.stock_left, "price": c.price, "days": c.days,
            "opens_again": c.opens_again, "settles": c.settles, "held_by": c.held_by, "caution": c.caution,
            "only_if": c.only_if,
        })).collect::<Vec<_>>(),
        "selections": plan.selections.iter().map(|s| json!({
            "code": s.code, "title": s.title, "summary": s.summary.print(units), "objective": s.objective,
            "caution": s.caution, "outcome": s.outcome, "settles": s.settles,
            "placements": s.placements.iter().map(|p| json!({
                "what": p.what.print(units), "place": p.place, "instance": p.instance, "from": p.from.print(units),
                "result": p.result.print(units), "value": p.value, "stays": p.stays, "held_by": p.held_by,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "bench": plan.bench.iter().map(|t| json!({
            "kind": t.kind, "part": t.part, "text": t.text.print(units), "price": t.price, "days": t.days,
            "caution": t.caution, "settles": t.settles,
        })).collect::<Vec<_>>(),
        "undecided": plan.undecided.iter().map(|u| json!({
            "text": u.text.print(units), "settles": u.settles,
        })).collect::<Vec<_>>(),
        "currency": plan.currency,
        "sure": plan.sure,
        "if_needed": plan.if_needed,
    })
}
