//! Lash shims: from what is in the engine, then the box, then bought.

use super::{Desk, missing, outcome, placement, window};
use crate::cautions;
use crate::document::{LashAdjustment, Supply};
use crate::features::{Side, ValveName, valve_names};
use crate::findings::lash_limit;
use crate::plan::{OrderLine, Outcome, Placement, Selection};
use crate::quantity::{Phrase, counted};
use mechanics::selection::deck_and_gasket::SHARES;
use mechanics::selection::shims::{Series, ShimChoice, ShimSource, Valve, choose};
use mechanics::selection::{Solution, Window};

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
    // Lash and shim are read as they stand: what another shim gives is as unsure as the reading.
    let unsure = |name: &ValveName| {
        let finding = desk.assessment.finding(&format!("lash/{}", name.path()));
        finding.and_then(|f| f.value).map_or(0.0, |v| v.expanded)
    };
    let guards: Vec<f64> = names.iter().map(unsure).collect();
    let Sure { solution, share } = choose_sure(&valves, &guards, &loose, on_sale.as_ref())?;
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
        outcome: match outcome(
            desk,
            &solution,
            &|w| (lash_limit(names[w].side), format!("valve {}", names[w].label())),
            &[lash_limit(Side::Intake), lash_limit(Side::Exhaust)],
        ) {
            Outcome::Best { proved, proof } if moved > 0 => {
                Outcome::Best { proved, proof: format!("{proof}; {}", kept(share)) }
            }
            other => other,
        },
        summary: Phrase::words(match (moved, bought.len()) {
            (0, _) => "all shims stay".to_owned(),
            (n, 0) => format!("{}; nothing to buy", counted(n, "shim changes", "shims change")),
            (n, b) => format!("{}; buy {b}", counted(n, "shim changes", "shims change")),
        }),
        placements,
        objective: "lash inside its range, fewest to buy, fewest valves opened, off the limits by the greatest share of its uncertainty, nearest to the target",
        caution: (moved > 0).then_some(cautions::CAM_CAPS),
        settles: Vec::new(),
    };
    Some(selection.settling(&["lash"]))
}

/// A choice, and by which share of its uncertainty every lash that changes stays off its limits.
struct Sure {
    solution: Solution<Vec<ShimChoice>, 5>,
    share: f64,
}

/// The best choice with every lash off its limits by the greatest share of its uncertainty that costs no other shim and opens no other
/// valve. A lash that fits as it stands is left alone.
fn choose_sure(valves: &[Valve], guards: &[f64], loose: &[f64], on_sale: Option<&Series>) -> Option<Sure> {
    let plain = choose(valves, loose, on_sale).ok()?;
    let fits = plain.objectives.0[..2] == [0, 0];
    for share in SHARES.into_iter().filter(|_| fits) {
        let narrowed: Option<Vec<Valve>> =
            valves.iter().zip(guards).map(|(valve, guard)| off_limits(valve, share * guard)).collect();
        let Some(solution) = narrowed.and_then(|valves| choose(&valves, loose, on_sale).ok()) else {
            continue;
        };
        if solution.objectives.0[..4] == plain.objectives.0[..4] {
            return Some(Sure { solution, share });
        }
    }
    Some(Sure { solution: plain, share: 0.0 })
}

/// The valve with its window narrowed at both ends, but not past a lash that fits as it stands; none where nothing is left of it.
fn off_limits(valve: &Valve, by: f64) -> Option<Valve> {
    let Window { min, target, max } = valve.window;
    let fits = (min..=max).contains(&valve.lash);
    let (mut low, mut high) = (min + by, max - by);
    if fits {
        (low, high) = (low.min(valve.lash), high.max(valve.lash));
    }
    (low <= high)
        .then(|| Valve { window: Window { min: low, target: target.clamp(low, high), max: high }, ..*valve })
}

/// How sure the lash of the shims that change is.
fn kept(share: f64) -> String {
    let part = match share {
        s if s > 0.9 => "the whole",
        s if s > 0.7 => "three quarters",
        s if s > 0.4 => "half",
        s if s > 0.1 => "a quarter",
        _ => {
            return "without another shim or valve no choice keeps every lash off its limits by even a quarter of its uncertainty"
                .to_owned();
        }
    };
    format!("every lash that changes is off its limits by {part} of its uncertainty")
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
            held_by: Vec::new(),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::{Sure, choose, choose_sure};
    use mechanics::selection::Window;
    use mechanics::selection::shims::Valve;

    const MM: f64 = 1e-3;

    fn valve(lash: f64) -> Valve {
        let window = Window { min: 0.18 * MM, target: 0.20 * MM, max: 0.22 * MM };
        Valve { lash: lash * MM, shim: 2.5 * MM, window }
    }

    /// Lash after of both valves, mm.
    fn after(solution: &super::Solution<Vec<super::ShimChoice>, 5>) -> Vec<f64> {
        solution.choice.iter().map(|c| (c.lash_after / MM * 1e4).round() / 1e4).collect()
    }

    /// Two valves too wide and three loose shims. The squares alone choose 0.218 and 0.199, a hair inside: 18² + 1² = 325. Off the
    /// limits by U = 0.005 it is 0.187 and 0.187: 13² + 13² = 338.
    #[test]
    fn a_lash_that_changes_is_kept_off_its_limits() {
        let valves = [valve(0.272), valve(0.284)];
        let loose = [2.554 * MM, 2.585 * MM, 2.597 * MM];
        let plain = choose(&valves, &loose, None).expect("a choice");
        let Sure { solution, share } =
            choose_sure(&valves, &[0.005 * MM, 0.005 * MM], &loose, None).expect("a choice");
        assert_eq!(plain.objectives.0[..4], solution.objectives.0[..4], "no other shim, no other valve");
        assert_eq!(after(&plain), [0.218, 0.199]);
        assert_eq!(after(&solution), [0.187, 0.187]);
        assert!((share - 1.0).abs() < 1e-12);
    }

    /// A lash inside its range is no reason to open a valve, however near to the limit it is.
    #[test]
    fn what_fits_as_it_stands_is_left_alone() {
        let valves = [valve(0.181), valve(0.260)];
        let Sure { solution, share } =
            choose_sure(&valves, &[0.005 * MM; 2], &[2.560 * MM, 2.48 * MM], None).expect("a choice");
        assert_eq!(after(&solution), [0.181, 0.2]);
        assert!((share - 1.0).abs() < 1e-12, "the lash that changes is off its limits");
    }
}
