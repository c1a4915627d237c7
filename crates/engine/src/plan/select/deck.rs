//! Deck cut and gasket together, for compression and quench.

use super::{Desk, missing, placement, window};
use crate::document::OperationKind;
use crate::features::{Sheet, bank_name, deck_label};
use crate::findings::Answer;
use crate::findings::space;
use crate::plan::{OrderLine, Outcome, Placement, Selection, Undecided};
use crate::quantity::{Dimension, Phrase};
use mechanics::compression::Space;
use mechanics::selection::deck_and_gasket::{
    Aim, Bank, BankChoice, Constraint, Cylinder, DeckRelaxation, Gasket, choose,
};
use mechanics::selection::{Solution, Window};

const CODE: &str = "deck_and_gasket";
const TITLE: &str = "Deck cut and gasket";

/// Space over a piston as it will be: planned bore and relieved chamber.
fn planned_space(desk: &Desk<'_>, cylinder: u32) -> Result<Space, Vec<String>> {
    let mut answer = Answer::new(desk.bench, CODE, Sheet::Head, String::new(), "", "");
    let Some((mut found, _, _)) = space(desk.bench, &mut answer, cylinder) else {
        return Err(answer.finish().missing);
    };
    found.deck_gap -= planned_skim(desk, cylinder);
    found.bore = desk.planned_bore(cylinder).unwrap_or(found.bore);
    let part = format!("chamber {cylinder}");
    if let Some(volume) = desk
        .cuts
        .iter()
        .find(|c| c.operation == OperationKind::ChamberRelief && c.part == part)
        .and_then(|c| c.to)
    {
        found.chamber_volume = volume;
    }
    Ok(found)
}

/// What the skim of the cutting list takes off over this cylinder: its deck height, between the corners, less the low corner.
fn planned_skim(desk: &Desk<'_>, cylinder: u32) -> f64 {
    let document = desk.bench.document();
    let bank = document.bank_of(cylinder);
    let name = bank_name(bank);
    let part = deck_label(document, bank);
    if !desk.cuts.iter().any(|c| c.operation == OperationKind::DeckSkim && c.part == part) {
        return 0.0;
    }
    let corner = |end: &str, side: &str| {
        desk.bench.size(&format!("block.deck_height.{name}.{end}.{side}")).map(|s| s.value.value())
    };
    let corners: Option<Vec<f64>> = [("front", "in"), ("front", "out"), ("rear", "in"), ("rear", "out")]
        .iter()
        .map(|(e, s)| corner(e, s))
        .collect();
    let Some(corners) = corners else { return 0.0 };
    let numbers = &document.banks()[bank];
    let place = numbers.iter().position(|c| *c == cylinder).unwrap_or(0) as f64;
    // Bores stand evenly between the ends.
    let along = (place + 0.5) / numbers.len().max(1) as f64;
    let (front, rear) = (f64::midpoint(corners[0], corners[1]), f64::midpoint(corners[2], corners[3]));
    front + (rear - front) * along - corners.iter().copied().fold(f64::INFINITY, f64::min)
}

/// How far the compression ratios of all cylinders lie apart afterwards, and how far they may.
fn spread(desk: &Desk<'_>, choice: &[BankChoice]) -> Option<(f64, f64)> {
    let ratios = || choice.iter().flat_map(|c| c.results.iter().map(|r| r.0));
    let spread = ratios().fold(f64::NEG_INFINITY, f64::max) - ratios().fold(f64::INFINITY, f64::min);
    Some((spread, desk.bench.limit("compression_spread")?.used.max?))
}

/// Said where they lie farther apart than allowed: nothing in the plan brings them together by itself.
fn too_far_apart(desk: &mut Desk<'_>, choice: &[BankChoice]) -> Phrase {
    let Some((apart, most)) = spread(desk, choice).filter(|(apart, most)| apart > most) else {
        return Phrase::new();
    };
    let words = Phrase::words("the compression ratios then lie ")
        .value(apart, Dimension::Ratio, 2)
        .say(" apart, allowed ")
        .value(most, Dimension::Ratio, 2);
    desk.undecided.push(Undecided {
        text: Phrase::words("Engine, spread of compression: a person must decide; ")
            .join(words.clone())
            .say(": skim both decks alike, relieve the small chambers, or accept it"),
        settles: vec!["compression_spread/1".to_owned()],
    });
    Phrase::words("; but ").join(words)
}

/// Findings that the chosen gasket and cut bring inside.
fn settles(desk: &Desk<'_>, choice: &[BankChoice]) -> Vec<String> {
    let cylinders = desk.bench.cylinders();
    let mut ids: Vec<String> =
        cylinders.flat_map(|c| [format!("quench/{c}"), format!("compression_ratio/{c}")]).collect();
    if spread(desk, choice).is_some_and(|(apart, most)| apart <= most) {
        ids.push("compression_spread/1".to_owned());
    }
    ids
}

pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let quench = window(&desk.bench.limit("quench")?)?;
    let ratio = window(&desk.bench.limit("compression_ratio")?)?;
    let document = desk.bench.document();
    let mut banks = Vec::new();
    let mut unread = Vec::new();
    for numbers in document.banks() {
        let mut cylinders = Vec::new();
        for cylinder in numbers {
            match planned_space(desk, cylinder) {
                Ok(space) => cylinders.push(Cylinder { space, ratio, quench }),
                Err(paths) => unread.extend(paths),
            }
        }
        banks.push(Bank { cylinders, least_cut: 0.0, stock: document.block.deck_stock.map_or(0.0, |s| s.0) });
    }
    unread.dedup();
    if !unread.is_empty() || banks.is_empty() {
        return (!unread.is_empty()).then(|| missing(CODE, TITLE, unread));
    }
    let fire_ring = document.gasket.fire_ring?.0;
    let options: Vec<f64> = options(desk);
    let gaskets: Vec<Gasket> =
        options.iter().map(|t| Gasket { thickness: *t, bore: fire_ring, price: price(desk, *t) }).collect();
    // What fits as it stands is left alone: nothing is bought or cut to come nearer to a target.
    let as_it_stands = choose(&banks, &gaskets[..1.min(gaskets.len())], true, Aim::LeastCut).ok();
    let fits =
        |s: &Solution<Vec<BankChoice>, 5>| s.choice.iter().all(|c| c.relaxation.is_none() && c.cut < 0.5e-6);
    let solution = match as_it_stands.filter(fits) {
        Some(present) => present,
        None => choose(&banks, &gaskets, true, Aim::LeastCut).ok()?,
    };
    let placements: Vec<Placement> = solution
        .choice
        .iter()
        .enumerate()
        .map(|(bank, choice)| place(desk, bank, choice, &gaskets))
        .collect();
    let relax: Vec<Phrase> = solution
        .choice
        .iter()
        .zip(document.banks())
        .filter_map(|(c, b)| c.relaxation.as_ref().map(|r| relax_words(r, &b, ratio, quench)))
        .flatten()
        .collect();
    let stays = placements.iter().all(|p| p.stays);
    let summary = if stays {
        Phrase::words(if desk.cuts.iter().any(|c| c.operation == OperationKind::DeckSkim) {
            "no cut beyond the skim of the cutting list, the gasket stays"
        } else {
            "no cut, the gasket stays"
        })
    } else {
        placements[0].from.clone()
    };
    let summary = summary.join(too_far_apart(desk, &solution.choice));
    let settles = if relax.is_empty() { settles(desk, &solution.choice) } else { Vec::new() };
    for choice in &solution.choice {
        order(desk, &gaskets[choice.gasket]);
    }
    Some(Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: if relax.is_empty() {
            Outcome::Best {
                proved: true,
                proof: format!("proved best of {} gaskets at any cut", gaskets.len()),
            }
        } else {
            Outcome::Relax { relax }
        },
        placements,
        summary,
        objective: "compression and quench of every cylinder inside; what fits stays; else least cut, nearest to the targets, price",
        caution: None,
        settles,
    })
}

/// Gaskets that can be had, the present one first.
fn options(desk: &Desk<'_>) -> Vec<f64> {
    let document = desk.bench.document();
    let present = desk
        .bench
        .size("gasket.a.compressed")
        .map(|s| s.value.value())
        .or(document.gasket.compressed.map(|g| g.0));
    let mut all: Vec<f64> = present.into_iter().collect();
    for option in document.shop.gaskets.iter().filter_map(|g| g.compressed) {
        if !all.iter().any(|t| (t - option.0).abs() < 1e-6) {
            all.push(option.0);
        }
    }
    all
}

fn price(desk: &Desk<'_>, thickness: f64) -> i64 {
    let option = desk
        .bench
        .document()
        .shop
        .gaskets
        .iter()
        .find(|g| g.compressed.is_some_and(|c| (c.0 - thickness).abs() < 1e-6));
    option.filter(|g| g.on_hand == 0).and_then(|g| g.supply.price).map_or(0, |p| (p.0 * 100.0).round() as i64)
}

fn place(desk: &Desk<'_>, bank: usize, choice: &BankChoice, gaskets: &[Gasket]) -> Placement {
    let thickness = gaskets[choice.gasket].thickness;
    let stays = choice.gasket == 0 && choice.cut < 0.5e-6;
    let name = bank_name(bank);
    let from = match (choice.gasket == 0, choice.cut < 0.5e-6) {
        (true, true) => Phrase::words("as it stands"),
        (true, false) => Phrase::words("take ").length(choice.cut).say(" off the deck"),
        (false, true) => Phrase::words("change the gasket to ").length_2(thickness),
        (false, false) => Phrase::words("change the gasket to ")
            .length_2(thickness)
            .say(", take ")
            .length(choice.cut)
            .say(" off the deck"),
    };
    let (mut ratio, mut quench) = ((f64::INFINITY, f64::NEG_INFINITY), (f64::INFINITY, f64::NEG_INFINITY));
    for (r, q) in &choice.results {
        ratio = (ratio.0.min(*r), ratio.1.max(*r));
        quench = (quench.0.min(*q), quench.1.max(*q));
    }
    let result = Phrase::words("ratio ")
        .value(ratio.0, Dimension::Ratio, 2)
        .say(" to ")
        .value(ratio.1, Dimension::Ratio, 2)
        .say(", quench ")
        .length_2(quench.0)
        .say(" to ")
        .length_2(quench.1);
    let place = deck_label(desk.bench.document(), bank);
    placement(
        Phrase::words("gasket ").length_2(thickness),
        place,
        name.to_owned(),
        from,
        result,
        choice.cut,
        stays,
    )
}

fn relax_words(relaxation: &DeckRelaxation, bank: &[u32], ratio: Window, quench: Window) -> Vec<Phrase> {
    let mut words: Vec<Phrase> = relaxation
        .single
        .iter()
        .take(3)
        .map(|single| {
            let end = if single.upper { "greatest" } else { "least" };
            match single.constraint {
                Constraint::Ratio(c) => Phrase::words(format!(
                    "alone: {end} compression of cylinder {} by ",
                    bank[c]
                ))
                .value(single.by, Dimension::Ratio, 2),
                Constraint::Quench(c) => {
                    Phrase::words(format!("alone: {end} quench of cylinder {} by ", bank[c]))
                        .length(single.by)
                }
                Constraint::Stock => Phrase::words("alone: metal left on the deck by ").length(single.by),
            }
        })
        .collect();
    if let Some(fraction) = relaxation.uniform_fraction {
        words.push(
            Phrase::words("or every compression by ")
                .value(fraction * (ratio.max - ratio.min), Dimension::Ratio, 2)
                .say(" and every quench by ")
                .length(fraction * (quench.max - quench.min))
                .say(" at both ends"),
        );
    }
    words
}

fn order(desk: &mut Desk<'_>, gasket: &Gasket) {
    let option = desk
        .bench
        .document()
        .shop
        .gaskets
        .iter()
        .find(|g| g.compressed.is_some_and(|c| (c.0 - gasket.thickness).abs() < 1e-6));
    let Some(option) = option.filter(|g| g.on_hand == 0) else { return };
    desk.orders.push(OrderLine {
        item: Phrase::words("head gasket, compressed ").length_2(gasket.thickness),
        quantity: 1,
        supplier: option.supply.from.clone(),
        price: option.supply.price.map(|p| p.0),
        days: option.supply.days,
        settles: Vec::new(),
        only_if: None,
    });
}
