//! What waits for what: a line of the cutting list, and a part that is chosen by a size, wait for every earlier line that changes a
//! size they rest on, and name the findings behind it. They wait as well for every finding they rest on whose readings are in doubt or
//! were taken before a cut.

use super::rest::{codes_of, selections_of};
use super::{Cut, Outcome, Plan};
use crate::assess::Assessment;
use crate::document::OperationKind as K;
use crate::engine::Engine;
use crate::features::bank_name;
use crate::findings::{Finding, Verdict, rejected};
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
    // The pushrod that a rocker needs is another one after a skim of its deck or head.
    for order in &mut plan.orders {
        let valves = order.settles.iter().filter_map(|id| id.strip_prefix("pushrod/"));
        let rooms = valves.filter_map(|valve| engine.catalogue.feature(&format!("head.{valve}.to_piston")));
        let rooms: Vec<_> = rooms.collect();
        let skims = made.iter().filter(|(cut, _)| matches!(cut.kind, K::DeckSkim | K::HeadSkim));
        let lifting = skims.filter(|(cut, _)| rooms.iter().any(|room| moves(cut, room)));
        let ids: Vec<String> = lifting.flat_map(|(_, settles)| settles.clone()).collect();
        push_all(&mut order.held_by, ids);
    }
    in_doubt(engine, assessment, plan);
    after_the_seat(assessment, plan);
    on_sizes_in_doubt(assessment, plan);
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

/// What stays where it is by sizes that are to be read again, or that a question is open about, says so: nothing is proved by them.
fn on_sizes_in_doubt(assessment: &Assessment, plan: &mut Plan) {
    const NAMED: usize = 3;
    for selection in plan.selections.iter_mut().filter(|s| s.placements.iter().all(|p| p.held_by.is_empty()))
    {
        let codes = codes_of(selection.code);
        let open = assessment.findings.iter().filter(|f| codes.contains(&f.code) && f.waits_for().is_some());
        let open: Vec<String> = open.map(Finding::hold_words).collect();
        let Outcome::Best { proved, proof } = &mut selection.outcome else { continue };
        if open.is_empty() {
            continue;
        }
        let more = match open.len().saturating_sub(NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let named = open.into_iter().take(NAMED).collect::<Vec<String>>().join("; ");
        selection.summary = std::mem::take(&mut selection.summary)
            .say(format!("; but it rests on what is open: {named}{more}. Settle that, then look here again"));
        *proved = false;
        *proof = format!("for the sizes as they were read: {}", proof.trim_start_matches("proved: "));
    }
}

/// Guide first, then seat, then lash and spring: shims of a valve whose guide or seat is still to be worked on wait for that.
fn after_the_seat(assessment: &Assessment, plan: &mut Plan) {
    let work: Vec<&Finding> = assessment
        .findings
        .iter()
        .filter(|f| f.verdict == Verdict::Bad && matches!(f.code, "guide" | "seat_width" | "seat_run_out"))
        .collect();
    let of = |valve: &str| {
        let own = work.iter().filter(|f| f.subject.instance == valve);
        own.map(|f| f.id.clone()).collect::<Vec<String>>()
    };
    let shims = plan.selections.iter_mut().filter(|s| matches!(s.code, "lash_shims" | "spring_shims"));
    for placement in shims.flat_map(|s| &mut s.placements).filter(|p| !p.stays) {
        push_all(&mut placement.held_by, of(&placement.instance));
    }
    for cut in plan.cuts.iter_mut().filter(|cut| cut.operation == K::SeatCut) {
        let guides = work.iter().filter(|f| f.code == "guide");
        let own =
            |f: &&&Finding| cut.settles.iter().any(|id| id.ends_with(&format!("/{}", f.subject.instance)));
        let ids = guides.filter(own).map(|f| f.id.clone()).filter(|id| !cut.settles.contains(id)).collect();
        push_all(&mut cut.held_by, ids);
    }
    for order in &mut plan.orders {
        let valves = order.settles.iter().filter_map(|id| id.strip_prefix("lash/"));
        let ids: Vec<String> = valves.flat_map(of).collect();
        push_all(&mut order.held_by, ids);
    }
}

/// Holds what rests on a finding that waits for an answer or for another reading.
fn in_doubt(engine: &Engine, assessment: &Assessment, plan: &mut Plan) {
    // What was read through a part that is not used waits for the finding that says so.
    let not_used = rejected(&assessment.findings, &engine.catalogue);
    let waiting: Vec<(&Finding, &str)> = assessment
        .findings
        .iter()
        .filter_map(|finding| {
            let part = not_used.iter().find(|part| part.bears(finding, &engine.catalogue));
            match part {
                Some(part) => Some((finding, part.id.as_str())),
                None => finding.waits_for().map(|_| (finding, finding.id.as_str())),
            }
        })
        .collect();
    // A verdict that stands by either value of a reading settles what is cut; a choice by sizes may be another one.
    let choices: Vec<(&Finding, &str)> = assessment
        .findings
        .iter()
        .filter(|f| f.either_value.is_some() && !waiting.iter().any(|(w, _)| w.id == f.id))
        .map(|f| (f, f.id.as_str()))
        .chain(waiting.iter().copied())
        .collect();
    if choices.is_empty() {
        return;
    }
    // One choice over all places is another one when one of them is read otherwise; else each place stands for itself.
    let behind = |code: &str, instances: &[&str]| {
        let together = matches!(code, "pistons" | "deck_and_gasket" | "barrel_shims" | "lash_shims");
        let codes = codes_of(code);
        let of_it = choices.iter().filter(move |(f, _)| codes.contains(&f.code));
        let of_it = of_it.filter(|(f, _)| together || instances.contains(&f.subject.instance.as_str()));
        of_it.map(|(_, id)| (*id).to_owned()).collect::<Vec<String>>()
    };
    for selection in &mut plan.selections {
        for placement in selection.placements.iter_mut().filter(|p| !p.stays) {
            let ids = behind(selection.code, &[placement.instance.as_str()]);
            push_all(&mut placement.held_by, ids);
        }
    }
    let chosen_by = |settles: &[String]| {
        // Deck and gasket or the shims under the barrels: both answer the same, by the same findings.
        let code = |id: &String| id.split('/').next().and_then(|code| selections_of(code).next());
        let instances: Vec<&str> = settles.iter().filter_map(|id| Some(id.split_once('/')?.1)).collect();
        settles.iter().find_map(code).map_or_else(Vec::new, |selection| behind(selection, &instances))
    };
    for order in &mut plan.orders {
        let own =
            waiting.iter().filter(|(f, _)| order.settles.contains(&f.id)).map(|(_, id)| (*id).to_owned());
        let ids: Vec<String> = own.chain(chosen_by(&order.settles)).collect();
        push_all(&mut order.held_by, ids);
    }
    for cut in &mut plan.cuts {
        // A deck that is cut because the choice says so, and not only to be level again.
        let by_choice = cut.operation == K::DeckSkim
            && plan.selections.iter().any(|s| {
                s.code == "deck_and_gasket" && s.placements.iter().any(|p| p.place == cut.part && !p.stays)
            });
        let choice = if by_choice { behind("deck_and_gasket", &[]) } else { Vec::new() };
        let own = waiting.iter().filter(|(f, _)| cut.settles.contains(&f.id)).map(|(_, id)| (*id).to_owned());
        let features: Vec<_> = cut
            .settles
            .iter()
            .filter_map(|id| assessment.finding(id))
            .flat_map(|f| &f.subject.features)
            .filter_map(|path| engine.catalogue.feature(path))
            .collect();
        // A cap that is cleaned and seated again is how the others get settled.
        let moving = waiting.iter().filter(|(f, id)| {
            cut.operation != K::CapSeat
                && *id == f.id
                && may_ask_for(f).is_some_and(|later| features.iter().any(|place| moves(&later, place)))
        });
        let ids: Vec<String> = own.chain(choice).chain(moving.map(|(f, _)| f.id.clone())).collect();
        push_all(&mut cut.held_by, ids);
    }
}

/// A rod of the wrong length: the piston over it does not stand where it will.
pub(super) fn is_wrong_rod(finding: &Finding) -> bool {
    finding.code == "rod_length" && finding.verdict == Verdict::Bad
}

/// The cut that a finding may turn out to ask for.
fn may_ask_for(finding: &Finding) -> Option<Operation> {
    let only = |place: String| vec![place];
    let instance = finding.subject.instance.clone();
    let (kind, only) = match finding.code {
        "bore_size" | "bore_taper" | "bore_round" => (K::Hone, only(instance)),
        "main_taper" | "main_round" => (K::Regrind, only(format!("crank.main.{instance}"))),
        "pin_taper" | "pin_round" => (K::Regrind, only(format!("crank.pin.{instance}"))),
        "big_end_size" | "big_end_round" => (K::BigEndHone, only(instance)),
        "main_line" | "main_housing_size" | "main_housing_round" => (K::AlignHone, Vec::new()),
        _ => return None,
    };
    Some(Operation::planned(kind, only))
}

fn push_all(ids: &mut Vec<String>, more: Vec<String>) {
    for id in more {
        push(ids, id);
    }
}

fn push(ids: &mut Vec<String>, id: String) {
    if !ids.contains(&id) {
        ids.push(id);
    }
}

/// A line of the cutting list as the operation that it will be, with the places that it touches.
fn operation(engine: &Engine, assessment: &Assessment, cut: &Cut) -> Operation {
    Operation::planned(cut.operation, places(engine, assessment, cut))
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
        K::Regrind => vec![format!("crank.{}", cut.part.trim_start_matches("crank ").replace(' ', "."))],
        K::HeadSkim => {
            let heads = engine.document.heads();
            let head = heads.iter().find(|head| heads.len() > 1 && head.name == instance());
            head.map_or_else(Vec::new, |head| {
                let cylinders = head.cylinders.iter().map(ToString::to_string);
                std::iter::once(head.name.clone()).chain(cylinders).collect()
            })
        }
        K::DeckSkim => {
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
        K::RingFile => match cut.settles.first().and_then(|id| id.strip_prefix("ring_butting/")) {
            Some(cylinder) => vec![format!("ring.{cylinder}.top")],
            None => vec![format!("ring.{}", instance())],
        },
        _ => vec![instance()],
    }
}
