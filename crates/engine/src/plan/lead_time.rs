//! How long the plan takes: the longest chain of waits through the order and the cutting list.

use super::{Cut, OrderLine, Task, Wait};
use crate::document::OperationKind as K;
use crate::quantity::{Phrase, phrase_list};

/// What a job is done to. Jobs on one of them follow each other, jobs on different ones run side by side.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    Block,
    Crank,
    Rods,
    Head,
    Rings,
}

const fn part_of(operation: K) -> Option<Part> {
    Some(match operation {
        K::CapSeat | K::AlignHone | K::DeckSkim | K::Sleeve | K::Bore | K::Hone => Part::Block,
        K::Regrind | K::Polish => Part::Crank,
        K::BigEndHone => Part::Rods,
        K::SeatCut | K::HeadSkim | K::ChamberRelief | K::SpringShim => Part::Head,
        K::RingFile => Part::Rings,
        _ => return None,
    })
}

/// Does this job wait for that order? A sleeve is pressed when it is there, and a bore is honed to the piston that is there.
fn waits_for(cuts: &[&Cut], order: &OrderLine) -> bool {
    cuts.iter().any(|cut| match cut.operation {
        K::Sleeve => order.settles.iter().any(|id| cut.settles.contains(id)),
        K::Bore | K::Hone => {
            let codes = ["piston_clearance/", "bore_size/", "pin_in_piston/"];
            order.settles.iter().any(|id| codes.iter().any(|code| id.starts_with(code)))
        }
        _ => false,
    })
}

struct Node {
    wait: Wait,
    finish: f64,
    before: Option<usize>,
}

/// The longest chain of waits, in the order of the work, and how many waits are not known. `cuts` stand in their order.
pub(super) fn longest(orders: &[&OrderLine], cuts: &[&Cut], bench: &[&Task]) -> (Vec<Wait>, usize) {
    let mut unknown = 0;
    let mut nodes: Vec<Node> = Vec::new();
    let mut days_of = |days: Option<f64>| {
        unknown += usize::from(days.is_none());
        days.unwrap_or(0.0)
    };
    for order in orders {
        let days = days_of(order.days);
        let wait = Wait { what: order.item.clone().say(" arrives"), days };
        nodes.push(Node { wait, finish: days, before: None });
    }
    for task in bench.iter().filter_map(|t| Some((t, t.days?))) {
        let wait = Wait { what: Phrase::words(format!("work on {}", task.0.part)), days: task.1 };
        nodes.push(Node { wait, finish: task.1, before: None });
    }
    let mut last: Vec<(Part, usize)> = Vec::new();
    // Rings are filed in the finished bore.
    let mut bores: Option<usize> = None;
    let mut rest = cuts;
    while let Some(first) = rest.first() {
        let same = rest.iter().take_while(|cut| cut.operation == first.operation).count();
        let (group, later) = rest.split_at(same);
        rest = later;
        let part = part_of(first.operation);
        let earlier = last.iter().filter(|(p, _)| Some(*p) == part).map(|(_, node)| *node);
        let parts_to_come =
            orders.iter().enumerate().filter(|(_, order)| waits_for(group, order)).map(|(node, _)| node);
        let finished_bore = bores.filter(|_| part == Some(Part::Rings));
        let before = earlier
            .chain(parts_to_come)
            .chain(finished_bore)
            .max_by(|a, b| nodes[*a].finish.total_cmp(&nodes[*b].finish));
        let most = group.iter().filter_map(|cut| cut.days).reduce(f64::max);
        let days = days_of(most);
        let finish = days + before.map_or(0.0, |node| nodes[node].finish);
        nodes.push(Node { wait: Wait { what: job(group), days }, finish, before });
        let node = nodes.len() - 1;
        last.extend(part.map(|part| (part, node)));
        if matches!(first.operation, K::Sleeve | K::Bore | K::Hone) {
            bores = Some(node);
        }
    }
    let mut next = (0..nodes.len()).max_by(|a, b| nodes[*a].finish.total_cmp(&nodes[*b].finish));
    let mut chain = Vec::new();
    while let Some(node) = next {
        // A wait that is not known, or none, says nothing.
        chain.extend((nodes[node].wait.days > 0.0).then(|| nodes[node].wait.clone()));
        next = nodes[node].before;
    }
    chain.reverse();
    (chain, unknown)
}

/// "hone bores 2 and 3"
fn job(cuts: &[&Cut]) -> Phrase {
    let Some(first) = cuts.first() else { return Phrase::new() };
    let word = match first.operation {
        K::Bore => "bore",
        K::Hone => "hone",
        K::DeckSkim | K::HeadSkim => "skim",
        K::Regrind => "grind",
        K::Polish => "polish",
        K::SeatCut => "cut the seat of",
        K::AlignHone => "align hone",
        K::CapSeat => "seat the cap of",
        K::RingFile => "file",
        K::SpringShim => "shim",
        K::ChamberRelief => "open",
        K::Sleeve => "sleeve",
        K::BigEndHone => "size the big end of",
        _ => "work on",
    };
    let mut parts: Vec<String> = cuts.iter().map(|cut| cut.part.clone()).collect();
    parts.dedup();
    let parts = if parts.len() > 3 { format!("{} parts", parts.len()) } else { phrase_list(&parts) };
    Phrase::words(format!("{word} {parts}"))
}
