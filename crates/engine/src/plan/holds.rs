//! What waits for what: a line of the cutting list, and a part that is chosen by a size, wait for every earlier line that changes a
//! size they rest on, and name the findings behind it.

use super::rest::codes_of;
use super::{Cut, Plan};
use crate::assess::Assessment;
use crate::document::OperationKind as K;
use crate::engine::Engine;
use crate::features::bank_name;
use crate::findings::Finding;
use crate::readings::{Operation, moves};

/// Holds the cuts and the placements of a plan whose lines stand in the order of the work.
pub(super) fn add(engine: &Engine, assessment: &Assessment, plan: &mut Plan) {
    let made: Vec<(Operation, Vec<String>)> =
        plan.cuts.iter().map(|cut| (operation(engine, assessment, cut), cut.settles.clone())).collect();
    let changed_by = |finding: &Finding, earlier: &[(Operation, Vec<String>)], own: &[String]| {
        let features = finding.subject.features.iter().filter_map(|path| engine.catalogue.feature(path));
        let features: Vec<_> = features.collect();
        let changing = earlier.iter().filter(|(cut, _)| features.iter().any(|f| moves(cut, f)));
        let ids = changing.flat_map(|(_, settles)| settles);
        ids.filter(|id| !own.contains(id)).cloned().collect::<Vec<_>>()
    };
    for (at, cut) in plan.cuts.iter_mut().enumerate() {
        let findings: Vec<&Finding> = cut.settles.iter().filter_map(|id| assessment.finding(id)).collect();
        for finding in findings {
            for id in changed_by(finding, &made[..at], &cut.settles) {
                push(&mut cut.held_by, id);
            }
        }
    }
    for selection in &mut plan.selections {
        for placement in &mut selection.placements {
            let findings = codes_of(selection.code)
                .iter()
                .filter_map(|code| assessment.finding(&format!("{code}/{}", placement.instance)));
            for finding in findings {
                // A deck that is cut because the choice says so does not hold the choice.
                let own =
                    |id: &String| codes_of(selection.code).iter().any(|c| id.split('/').next() == Some(c));
                for id in changed_by(finding, &made, &selection.settles).into_iter().filter(|id| !own(id)) {
                    push(&mut placement.held_by, id);
                }
            }
        }
    }
}

fn push(ids: &mut Vec<String>, id: String) {
    if !ids.contains(&id) {
        ids.push(id);
    }
}

/// A line of the cutting list as the operation that it will be, with the places that it touches.
fn operation(engine: &Engine, assessment: &Assessment, cut: &Cut) -> Operation {
    Operation {
        name: String::new(),
        kind: cut.operation,
        only: places(engine, assessment, cut),
        note: String::new(),
        amount: None,
        withdrawn: false,
        who: String::new(),
        when: String::new(),
    }
}

/// What a cut touches, as an operation names it; empty where it is all of its kind.
fn places(engine: &Engine, assessment: &Assessment, cut: &Cut) -> Vec<String> {
    let instance = || {
        let finding = cut.settles.iter().find_map(|id| assessment.finding(id));
        finding.map(|f| f.subject.instance.clone()).unwrap_or_default()
    };
    match cut.operation {
        K::AlignHone => Vec::new(),
        // Mains and pins carry the same numbers.
        K::Regrind => vec![format!("crank.{}", cut.part.replace(' ', "."))],
        K::DeckSkim | K::HeadSkim => {
            let banks = engine.document.banks();
            let bank = (0..banks.len()).find(|bank| banks.len() > 1 && bank_name(*bank) == instance());
            // One bank, or compression and quench, which name cylinders: the letter of the part tells the bank.
            let bank = bank.or_else(|| {
                (0..banks.len()).find(|bank| {
                    banks.len() > 1 && cut.part == crate::features::deck_label(&engine.document, *bank)
                })
            });
            bank.map_or_else(Vec::new, |bank| {
                let cylinders = banks[bank].iter().map(ToString::to_string);
                std::iter::once(bank_name(bank).to_owned()).chain(cylinders).collect()
            })
        }
        // "2.top": the gap of one ring changes no other.
        K::RingFile => vec![format!("ring.{}", instance())],
        _ => vec![instance()],
    }
}
