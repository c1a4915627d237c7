//! Lash shims: from what is in the engine, then the box, then bought.

use super::{Desk, missing, outcome, placement, window};
use crate::cautions;
use crate::document::{LashAdjustment, Supply};
use crate::features::{Side, ValveName, valve_names};
use crate::findings::{document_field, lash_limit};
use crate::plan::{OrderLine, Outcome, Placement, Selection, Undecided};
use crate::quantity::{Dimension, Phrase, counted};
use mechanics::metrology::Uncertain;
use mechanics::selection::deck_and_gasket::SHARES;
use mechanics::selection::shims::{Series, ShimChoice, ShimSource, Valve, choose, choose_without_harm};
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
    let Read { valves, stacks, unread } = read(desk, &names)?;
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
    let needed: Vec<Option<Needed>> = valves
        .iter()
        .zip(&stacks)
        .zip(&solution.choice)
        .map(|((valve, stack), choice)| (!fits(valve, choice.lash_after)).then(|| Needed::of(valve, stack)))
        .collect();
    let placements: Vec<Placement> = names
        .iter()
        .zip(&solution.choice)
        .zip(&needed)
        .map(|((name, choice), needed)| place(&names, name, choice, needed.as_ref()))
        .collect();
    let bought: Vec<(f64, String)> = solution
        .choice
        .iter()
        .zip(&names)
        .filter(|(c, _)| matches!(c.source, ShimSource::Bought))
        .map(|(c, n)| (c.shim, n.path()))
        .collect();
    order(desk, &bought, &series.map(|s| s.supply.clone()).unwrap_or_default());
    let moved = placements.iter().filter(|p| !p.stays).count();
    // It is no limit that has to give where nobody has said which sizes can be had.
    let open: Vec<(&ValveName, &Needed)> = names
        .iter()
        .zip(&needed)
        .filter_map(|(name, needed)| Some((name, needed.as_ref()?)))
        .filter(|_| on_sale.is_none())
        .collect();
    desk.undecided.extend(open.iter().map(|(name, needed)| needed.undecided(name)));
    let all_needed =
        open.iter().map(|(name, needed)| needed.words().say(format!(" for valve {}", name.label())));
    let all_needed = all_needed.reduce(|all, next| all.say(", ").join(next));
    let selection = Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: if all_needed.is_some() {
            Outcome::Missing { features: vec![document_field(SERIES)] }
        } else {
            match outcome(
                desk,
                &solution,
                &|w| (lash_limit(names[w].side), format!("valve {}", names[w].label())),
                &[lash_limit(Side::Intake), lash_limit(Side::Exhaust)],
            ) {
                Outcome::Best { proved, proof } if moved > 0 => {
                    Outcome::Best { proved, proof: format!("{proof}; {}", kept(share)) }
                }
                other => other,
            }
        },
        summary: Phrase::words(match (moved, bought.len()) {
            (0, _) if all_needed.is_some() => {
                "no shim at hand brings a valve inside that is outside".to_owned()
            }
            (0, _) => "all shims stay".to_owned(),
            (n, 0) => format!("{}; nothing to buy", counted(n, "shim changes", "shims change")),
            (n, b) => format!("{}; buy {b}", counted(n, "shim changes", "shims change")),
        })
        .join(all_needed.map_or_else(Phrase::new, |all| Phrase::words("; needed: ").join(all))),
        placements,
        objective: "lash inside its range, fewest to buy, fewest valves opened, off the limits by the greatest share of its uncertainty, nearest to the target",
        caution: (moved > 0).then_some(cautions::CAM_CAPS),
        settles: Vec::new(),
    };
    let mut selection = selection.settling(&["lash"]);
    if let Outcome::Missing { .. } = selection.outcome {
        // What the shims at hand bring inside is settled all the same.
        let placed = selection.placements.iter().zip(&needed).filter(|(_, needed)| needed.is_none());
        selection.settles = placed.map(|(p, _)| format!("lash/{}", p.instance)).collect();
    }
    Some(selection)
}

/// Valves as read.
struct Read {
    valves: Vec<Valve>,
    /// Lash and shim together.
    stacks: Vec<Uncertain>,
    /// Places that are not read.
    unread: Vec<String>,
}

/// None where a lash has no closed range.
fn read(desk: &Desk<'_>, names: &[ValveName]) -> Option<Read> {
    let mut unread = Vec::new();
    let mut valves = Vec::new();
    let mut stacks: Vec<Uncertain> = Vec::new();
    for name in names {
        let window = window(&desk.bench.limit(lash_limit(name.side))?)?;
        let mut value = |ending: &str| {
            let path = format!("head.{}.{ending}", name.path());
            let size = desk.bench.size(&path).map(|s| s.value.clone());
            if size.is_none() {
                unread.push(path);
            }
            size
        };
        let (lash, shim) = (value("lash"), value("shim"));
        let Some((lash, shim)) = lash.zip(shim) else { continue };
        valves.push(Valve { lash: lash.value(), shim: shim.value(), window });
        stacks.push(&lash + &shim);
    }
    Some(Read { valves, stacks, unread })
}

/// Field of the sizes that can be bought.
const SERIES: &str = "shop.lash_shim_series";

/// The shim that would bring a valve to its target, where none that can be had brings it inside.
struct Needed {
    /// Thickness, m.
    shim: f64,
    /// By how much it may be off, m: what the nearer limit of the lash leaves beside U of the readings; zero or less where that is nothing.
    tolerance: f64,
    /// U of lash and shim as read, m.
    expanded: f64,
}

impl Needed {
    fn of(valve: &Valve, stack: &Uncertain) -> Self {
        let Window { min, target, max } = valve.window;
        let expanded = stack.expanded();
        let tolerance = (target - min).min(max - target) - expanded;
        Self { shim: stack.value() - target, tolerance, expanded }
    }

    /// "2.620 mm ± 0.024 mm"; where U leaves no tolerance it says so.
    fn words(&self) -> Phrase {
        // Less than this no grinder keeps and no micrometer shows, m.
        const LEAST: f64 = 1e-6;
        let size = Phrase::words("shim of ").value(self.shim, Dimension::Length, 3);
        if self.tolerance < LEAST {
            let size = size.say(" (with U of ").value(self.expanded, Dimension::Length, 3);
            return size.say(" of lash and shim no tolerance is left: read both finer)");
        }
        size.say(" \u{b1} ").value(self.tolerance, Dimension::Length, 3)
    }

    fn undecided(&self, name: &ValveName) -> Undecided {
        let lash = format!("Valve {}: no shim at hand brings its lash inside. It takes a ", name.label());
        Undecided {
            text: Phrase::words(lash).join(self.words()).say(format!(
                " (shim + lash \u{2212} target); the sizes that can be bought are not stated: name the series to order from ({SERIES} in the document)"
            )),
            settles: vec![format!("lash/{}", name.path())],
        }
    }
}

fn fits(valve: &Valve, lash: f64) -> bool {
    // Sizes are compared to the nanometre.
    const ROUNDING: f64 = 1e-9;
    (valve.window.min - ROUNDING..=valve.window.max + ROUNDING).contains(&lash)
}

/// A choice, and by which share of its uncertainty every lash that changes stays off its limits.
struct Sure {
    solution: Solution<Vec<ShimChoice>, 5>,
    share: f64,
}

/// The best choice with every lash off its limits by the greatest share of its uncertainty that costs no other shim and opens no other
/// valve. A lash that fits as it stands is left alone. Where not all valves can be brought inside, none is harmed for another, and those
/// that stay outside do not stand in the way of the share of the others.
fn choose_sure(valves: &[Valve], guards: &[f64], loose: &[f64], on_sale: Option<&Series>) -> Option<Sure> {
    let all_fit = choose(valves, loose, on_sale).ok()?;
    // What has to give is worked out over all choices.
    let relaxation = all_fit.relaxation.clone();
    let solve = if relaxation.is_none() { choose } else { choose_without_harm };
    let plain = if relaxation.is_none() { all_fit } else { solve(valves, loose, on_sale).ok()? };
    let outside: Vec<bool> =
        valves.iter().zip(&plain.choice).map(|(valve, choice)| !fits(valve, choice.lash_after)).collect();
    for share in SHARES {
        let narrowed: Option<Vec<Valve>> = valves
            .iter()
            .zip(guards)
            .zip(&outside)
            .map(
                |((valve, guard), outside)| {
                    if *outside { Some(*valve) } else { off_limits(valve, share * guard) }
                },
            )
            .collect();
        let Some(solution) = narrowed.and_then(|valves| solve(&valves, loose, on_sale).ok()) else {
            continue;
        };
        let solution = Solution { relaxation: relaxation.clone(), ..solution };
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

fn place(names: &[ValveName], name: &ValveName, choice: &ShimChoice, needed: Option<&Needed>) -> Placement {
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
        match needed {
            None => Phrase::words("lash ").length_2(choice.lash_after),
            Some(needed) => Phrase::words("lash ")
                .length_2(choice.lash_after)
                .say(", outside: needs a ")
                .join(needed.words()),
        },
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
