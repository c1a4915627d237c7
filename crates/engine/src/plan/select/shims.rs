//! Lash shims: from what is in the engine, then the box, then bought.

use super::{Desk, missing, outcome, placement, window};
use crate::cautions;
use crate::document::{LashAdjustment, Supply};
use crate::features::{ValveName, valve_names};
use crate::findings::lash_limit;
use crate::plan::{OrderLine, Placement, Selection};
use crate::quantity::{Dimension, Phrase};
use mechanics::selection::shims::{Series, ShimChoice, ShimSource, Valve, choose};

const CODE: &str = "lash_shims";
const TITLE: &str = "Lash shims to valves";

pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let document = desk.bench.document();
    if !matches!(document.cams.lash_adjustment, Some(LashAdjustment::BucketShim | LashAdjustment::FingerShim))
    {
        return None;
    }
    let names = valve_names(document);
    let mut unread = Vec::new();
    let mut valves = Vec::new();
    for name in &names {
        let window = window(&desk.bench.limit(lash_limit(name.side))?)?;
        let mut value = |ending: &str| {
            let path = format!("head.{}.{ending}", name.path());
            let size = desk.bench.size(&path).map(|s| s.value.value());
            if size.is_none() {
                unread.push(path);
            }
            size
        };
        let (lash, shim) = (value("lash"), value("shim"));
        valves.extend(lash.zip(shim).map(|(lash, shim)| Valve { lash, shim, window }));
    }
    if valves.is_empty() && names.is_empty() {
        return None;
    }
    if !unread.is_empty() {
        return Some(missing(CODE, TITLE, unread));
    }
    let loose: Vec<f64> = document.shop.lash_shims.iter().map(|s| s.0).collect();
    let series = document.shop.lash_shim_series.as_ref();
    let on_sale = series.and_then(|s| Some(Series { min: s.from?.0, max: s.to?.0, step: s.step?.0 }));
    let solution = choose(&valves, &loose, on_sale.as_ref()).ok()?;
    let placements: Vec<Placement> =
        names.iter().zip(&solution.choice).map(|(name, choice)| place(&names, name, choice)).collect();
    let bought: Vec<(f64, String)> = solution
        .choice
        .iter()
        .zip(&names)
        .filter(|(c, _)| matches!(c.source, ShimSource::Bought))
        .map(|(c, n)| (c.shim, n.path()))
        .collect();
    order(desk, &bought, &series.map(|s| s.supply.clone()).unwrap_or_default());
    let moved = placements.iter().filter(|p| !p.stays).count();
    let selection = Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: outcome(&solution, (Dimension::Length, desk.bench.engine.units()), &|w| {
            format!("valve {}", names[w].label())
        }),
        summary: Phrase::words(match (moved, bought.len()) {
            (0, _) => "all shims stay".to_owned(),
            (n, 0) => format!("{n} shims change; nothing to buy"),
            (n, b) => format!("{n} shims change; buy {b}"),
        }),
        placements,
        objective: "lash inside its range, fewest to buy, fewest valves opened, nearest to the target",
        caution: (moved > 0).then_some(cautions::CAM_CAPS),
        settles: Vec::new(),
    };
    Some(selection.settling(&["lash"]))
}

fn place(names: &[ValveName], name: &ValveName, choice: &ShimChoice) -> Placement {
    let (from, stays) = match choice.source {
        ShimSource::Stays => (Phrase::words("as it stands"), true),
        ShimSource::Valve(other) => (Phrase::words(format!("from {}", names[other].label())), false),
        ShimSource::Box(_) => (Phrase::words("from the box"), false),
        ShimSource::Bought => (Phrase::words("buy"), false),
    };
    placement(
        Phrase::words("shim ").length_2(choice.shim),
        format!("valve {}", name.label()),
        name.path(),
        from,
        Phrase::words("lash ").length_2(choice.lash_after),
        choice.lash_after,
        stays,
    )
}

fn order(desk: &mut Desk<'_>, bought: &[(f64, String)], supply: &Supply) {
    let mut lines: Vec<(f64, Vec<String>)> = Vec::new();
    for (size, instance) in bought {
        match lines.iter_mut().find(|l| (l.0 - size).abs() < 1e-7) {
            Some(line) => line.1.push(instance.clone()),
            None => lines.push((*size, vec![instance.clone()])),
        }
    }
    for (size, instances) in lines {
        desk.orders.push(OrderLine {
            item: Phrase::words("lash shim ").length_2(size),
            quantity: instances.len() as u32,
            supplier: supply.from.clone(),
            price: supply.price.map(|p| p.0),
            days: supply.days,
            settles: instances.iter().map(|i| format!("lash/{i}")).collect(),
            only_if: None,
        });
    }
}
