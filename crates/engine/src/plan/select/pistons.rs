//! Pistons, pins and rods to cylinders.

use super::{Desk, missing, outcome, placement, window};
use crate::cautions;
use crate::document::OperationKind;
use crate::findings::{
    Allowed, Finding, Verdict, Widened, is_of_rejected, left_from_before, mean_size, pin_in, piston_in,
};
use crate::plan::{Outcome, Placement, Selection, Widen};
use crate::quantity::{Dimension, Phrase, counted, phrase_list};
use mechanics::metrology::{SourceKind, Uncertain};
use mechanics::selection::pistons::{
    Allowed as Limit, CylinderSet, Pin, Piston, Place, Request, Rod, Whole, WholeChoice, choose,
    choose_whole, with_fewer_moves,
};
use mechanics::selection::{Limits, Window};

const CODE: &str = "pistons";
const TITLE: &str = "Pistons, pins and rods to cylinders";

/// Wider than any fit of a pin, m: stands for the side of a range that is open.
const OPEN: f64 = 1e-3;
/// Step of the scale to which weights are compared when pins and rods are free, kg.
const SCALE_STEP: f64 = 0.1e-3;

/// Places that must be read before pistons can be matched.
fn unread(desk: &Desk<'_>) -> Vec<String> {
    let mut paths = Vec::new();
    for cylinder in desk.bench.cylinders() {
        if desk.planned_bore(cylinder).is_none() {
            paths.push(format!("block.bore.{cylinder}.mid.thrust"));
        }
        paths.extend(left_from_before(desk.bench, cylinder));
        let gauge = format!("piston.{cylinder}.gauge");
        if desk.bench.size(&gauge).is_none() {
            paths.push(gauge);
        }
    }
    paths
}

/// All that is read of pistons, pins and rods, by their number less one.
struct Parts {
    bores: Vec<f64>,
    gauge: Vec<f64>,
    pin_bore: Vec<Option<f64>>,
    pin: Vec<Option<f64>>,
    bush: Vec<Option<f64>>,
    /// Pistons, pins and rods; only when every one of them is weighed: half a set would favour the unweighed.
    masses: Option<[Vec<f64>; 3]>,
    /// Piston in each cylinder now.
    stands: Vec<usize>,
    /// The pin of each piston.
    own_pin: Vec<usize>,
    /// Readings that a limit of the pins asks for, and that are not there.
    unread: Vec<String>,
    limit: Limit,
    /// Farthest that the weights may lie apart as weighed, kg, for the masses to be sure to be inside; none without a limit.
    sure_spread: Option<f64>,
}

impl Parts {
    fn read(desk: &Desk<'_>, clearance: Window) -> Self {
        let bench = desk.bench;
        // A part that is not used is as one that is not there.
        let used = |path: &str| !desk.is_rejected(path);
        let value = |path: String| bench.size(&path).filter(|_| used(&path)).map(|s| s.value.value());
        let all = |path: &dyn Fn(u32) -> String| -> Vec<Option<f64>> {
            bench.cylinders().map(|n| value(path(n))).collect()
        };
        let weighed = |path: &dyn Fn(u32) -> String| -> Option<Vec<f64>> { all(path).into_iter().collect() };
        let stands: Vec<usize> = bench.cylinders().map(|c| piston_in(bench, c) as usize - 1).collect();
        let mut own_pin = vec![0; stands.len()];
        for (cylinder, &piston) in bench.cylinders().zip(&stands) {
            if let Some(pin) = own_pin.get_mut(piston) {
                *pin = pin_in(bench, cylinder) as usize - 1;
            }
        }
        let limit = Limit {
            clearance,
            pin_in_piston: bench.limit("pin_in_piston").map(|l| open_window(&l)),
            pin_in_bush: bench.limit("pin_in_rod").map(|l| open_window(&l)),
            mass_spread: bench.limit("mass_spread").and_then(|l| l.used.max),
        };
        let asked = [
            ("piston", "pin_bore", limit.pin_in_piston.is_some()),
            ("pin", "diameter", limit.pin_in_piston.or(limit.pin_in_bush).is_some()),
            ("rod", "small_end", limit.pin_in_bush.is_some()),
        ];
        let paths = asked
            .iter()
            .filter(|(.., asked)| *asked)
            .flat_map(|(part, size, _)| bench.cylinders().map(move |n| format!("{part}.{n}.{size}")));
        let masses = [
            weighed(&|n| format!("piston.{n}.mass")),
            weighed(&|n| format!("pin.{n}.mass")),
            weighed(&|n| format!("rod.{n}.small_end_mass")),
        ];
        let [pistons, pins, rods] = masses;
        Self {
            bores: bench.cylinders().filter_map(|c| desk.planned_bore(c)).collect(),
            gauge: all(&|n| format!("piston.{n}.gauge")).into_iter().flatten().collect(),
            pin_bore: all(&|n| format!("piston.{n}.pin_bore")),
            pin: all(&|n| format!("pin.{n}.diameter")),
            bush: all(&|n| format!("rod.{n}.small_end")),
            masses: pistons.zip(pins).zip(rods).map(|((p, q), r)| [p, q, r]),
            stands,
            own_pin,
            unread: paths.filter(|path| bench.size(path).is_none() || !used(path)).collect(),
            sure_spread: limit.mass_spread.map(|most| sure_spread(desk, most)),
            limit,
        }
    }

    /// Every piston with its own pin, every rod where it is.
    fn kept(&self) -> Option<WholeChoice> {
        let whole = |piston: usize| {
            let pin = self.own_pin[piston];
            Whole {
                gauge_diameter: self.gauge[piston],
                pin_fit: self.pin_bore[piston].zip(self.pin[pin]).map(|(bore, pin)| bore - pin),
                pin_diameter: self.pin[pin],
                mass: self.masses.as_ref().map(|m| m[0][piston] + m[1][pin]),
            }
        };
        let place = |cylinder: usize| Place {
            bore: self.bores[cylinder],
            bush: self.bush[cylinder],
            rod_mass: self.masses.as_ref().map(|m| m[2][cylinder]),
            stands: Some(self.stands[cylinder]),
        };
        let pistons: Vec<Whole> = (0..self.gauge.len()).map(whole).collect();
        let places: Vec<Place> = (0..self.bores.len()).map(place).collect();
        choose_whole(&pistons, &places, &self.limit).ok()
    }

    /// Pins and rods free, for which every size that a limit asks for must be read; at least the relaxation of the clearances.
    fn free(&self, desk: &Desk<'_>) -> Option<(Vec<CylinderSet>, Tried)> {
        let all_read = self.unread.is_empty();
        let mass = |kind: usize, index: usize| self.masses.as_ref().map_or(0.0, |m| m[kind][index]);
        let count = if all_read { self.bores.len() } else { 0 };
        let pistons: Vec<Piston> = (0..self.gauge.len())
            .map(|index| Piston {
                gauge_diameter: self.gauge[index],
                pin_bore: self.pin_bore[index].unwrap_or_default(),
                mass: mass(0, index),
            })
            .collect();
        let pins: Vec<Pin> = (0..count)
            .map(|index| Pin { diameter: self.pin[index].unwrap_or_default(), mass: mass(1, index) })
            .collect();
        let rods: Vec<Rod> = (0..count)
            .map(|index| Rod { bush: self.bush[index].unwrap_or_default(), mass: mass(2, index) })
            .collect();
        let request = Request {
            bores: &self.bores,
            clearance: self.limit.clearance,
            pistons: &pistons,
            pins: &pins,
            rods: &rods,
            pin_in_piston: self.limit.pin_in_piston,
            pin_in_bush: self.limit.pin_in_bush,
            mass_spread: self.limit.mass_spread.unwrap_or(OPEN * 1e3),
            mass_step: SCALE_STEP,
        };
        let solution = choose(&request, Limits::default()).ok()?;
        let bush = self.bores.len() + usize::from(self.limit.pin_in_piston.is_some());
        let names = |w: usize| match w {
            w if w < self.bores.len() => ("piston_clearance", format!("cylinder {}", w + 1)),
            w if w < bush => ("pin_in_piston", "every pin".to_owned()),
            _ => ("pin_in_rod", "every pin".to_owned()),
        };
        let tried = Tried {
            outcome: outcome(desk, &solution, &names, &[]),
            outside: (solution.objectives.0[0], solution.objectives.0[1]),
            rods_and_pins: all_read,
        };
        let sets = if all_read {
            with_fewer_moves(&request, solution.choice, &self.own_pin).ok()?
        } else {
            solution.choice
        };
        Some((sets, tried))
    }

    /// Everything where it is now.
    fn standing(&self) -> Vec<CylinderSet> {
        self.with_own_pins(&self.stands)
    }

    /// These pistons in the cylinders, with their own pins, over the rods that are there.
    fn with_own_pins(&self, pistons: &[usize]) -> Vec<CylinderSet> {
        let set = |(cylinder, &piston): (usize, &usize)| CylinderSet {
            piston,
            pin: None,
            rod: None,
            clearance: self.bores[cylinder] - self.gauge[piston],
            mass: 0.0,
        };
        pistons.iter().enumerate().map(set).collect()
    }

    /// How far the weights lie apart, kg, as weighed.
    fn spread(&self, sets: &[CylinderSet]) -> Option<f64> {
        let [pistons, pins, rods] = self.masses.as_ref()?;
        let mass = |(cylinder, set): (usize, &CylinderSet)| {
            pistons[set.piston]
                + pins[set.pin.unwrap_or(self.own_pin[set.piston])]
                + rods[set.rod.unwrap_or(cylinder)]
        };
        let (least, most) = ends(sets.iter().enumerate().map(mass));
        Some(most - least)
    }

    /// Are the masses inside their limit by more than a share of U?
    fn masses_are_sure(&self, spread: Option<f64>) -> bool {
        // Weights are compared to the microgram.
        spread.zip(self.sure_spread).is_some_and(|(spread, sure)| spread <= sure + 1e-9)
    }

    /// How far the weights lie farther apart than allowed, whole micrograms: sums of readings in grams are not exact.
    fn too_far(&self, sets: &[CylinderSet]) -> i64 {
        let over = self.spread(sets).zip(self.limit.mass_spread).map_or(0.0, |(spread, most)| spread - most);
        (over * 1e9).round().max(0.0) as i64
    }
}

/// What the exact choice came to with pins and rods free.
struct Tried {
    outcome: Outcome,
    /// Fits outside, and by how much in all, nm.
    outside: (i64, i64),
    /// Were the pins and rods part of it?
    rods_and_pins: bool,
}

/// A range with its open side far away.
fn open_window(allowed: &Allowed) -> Window {
    let (least, most) = (allowed.used.min, allowed.used.max);
    let min = least.unwrap_or_else(|| most.unwrap_or(0.0) - OPEN);
    let max = most.unwrap_or(min + OPEN);
    Window { min, target: f64::midpoint(min, max), max }
}

/// Share of U that the masses are kept off their limit, as decks and gaskets are off theirs. Common practice, no source.
const MASS_GUARD: f64 = 0.9;

/// How far the weights may lie apart as weighed, kg, where that is sure to be inside: the limit less a share of U; what is good as it
/// stands is good.
fn sure_spread(desk: &Desk<'_>, most: f64) -> f64 {
    let finding = desk.assessment.finding("mass_spread/1");
    let Some((finding, value)) = finding.and_then(|f| Some((f, f.value?))) else { return most };
    let good = if finding.verdict == Verdict::Good { value.value } else { 0.0 };
    (most - MASS_GUARD * value.expanded).max(good).min(most)
}

pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let clearance = window(&desk.bench.limit("piston_clearance")?)?;
    let unread = unread(desk);
    if desk.bench.cylinders().is_empty() {
        return None;
    }
    if !unread.is_empty() {
        return Some(missing(CODE, TITLE, unread));
    }
    let mut parts = Parts::read(desk, clearance);
    if let Some(as_it_stands) = stays(desk, &parts.bores, clearance) {
        return Some(as_it_stands);
    }
    let count = parts.bores.len();
    if parts.stands.iter().chain(&parts.own_pin).any(|number| *number >= count) || parts.gauge.len() != count
    {
        return None;
    }
    // First with the masses so far inside that they are sure to be; where nothing does that, to the limit itself.
    let most = parts.limit.mass_spread;
    if let Some(sure) = parts.sure_spread.filter(|sure| *sure > 0.0 && parts.masses.is_some()) {
        parts.limit.mass_spread = Some(sure);
        let found = inside(desk, &parts);
        parts.limit.mass_spread = most;
        if let Some((sets, outcome)) = found {
            return Some(selection(desk, &parts, &sets, outcome));
        }
    }
    let kept = parts.kept()?;
    let held = parts.with_own_pins(&kept.piston);
    let [outside, excess, over, ..] = kept.objectives.0;
    if (outside, over) == (0, 0) {
        let proof = if parts.masses.is_some() { KEPT } else { KEPT_UNWEIGHED };
        return Some(selection(desk, &parts, &held, Outcome::Best { proved: true, proof: proof.to_owned() }));
    }
    let (sets, tried) = parts.free(desk)?;
    let (outside_free, weights) = (tried.outside, parts.too_far(&sets));
    let better = tried.rods_and_pins && (outside_free.0, outside_free.1, weights) < (outside, excess, over);
    let chosen = if better { &sets } else { &held };
    // What brings no fit and no weight inside is not worth taking the engine apart for: then everything stays.
    let standing = parts.standing();
    let open = |sets: &[CylinderSet]| {
        (fits(desk, &parts, sets).iter().filter(|fit| fit.is_outside()).count(), parts.too_far(sets) > 0)
    };
    let (now, then) = (open(&standing), open(chosen));
    let nothing_gained = then.0 >= now.0 && then.1 >= now.1;
    let chosen = if nothing_gained { &standing } else { chosen };
    let (mut relax, mut widen) = match tried.outcome {
        Outcome::Best { .. } if better && weights == 0 => {
            let best = match tried.outcome {
                Outcome::Best { proved: true, .. } => Outcome::Best { proved: true, proof: FREE.to_owned() },
                other => other,
            };
            return Some(selection(desk, &parts, chosen, best));
        }
        Outcome::Relax { relax, widen } if !nothing_gained && !relax.is_empty() => (relax, widen),
        _ => (to_widen(desk, &parts, chosen), Widen::Each),
    };
    relax.extend(pistons_to_buy(&parts, chosen));
    if outside > 0 && !tried.rods_and_pins && tried.outside.0 == 0 {
        widen = Widen::AsSaid;
        relax.push(Phrase::words(
            "a pin is out of its range where it is, and other pins cannot be tried unread",
        ));
    }
    let by = parts.too_far(chosen);
    let spread = Widened::of(desk.bench, "mass_spread").and_then(|limit| limit.end(true, by as f64 * 1e-9));
    if let Some(words) = spread.filter(|_| by > 0) {
        widen = Widen::AsSaid;
        let beside = if relax.is_empty() { "" } else { "and beside one of these: " };
        let words = Phrase::words(beside).join(words);
        relax.push(words.say(", or as much off the heaviest piston at its maker's place"));
    }
    let fits_inside =
        chosen.iter().all(|s| s.clearance >= clearance.min - 1e-9 && s.clearance <= clearance.max + 1e-9);
    let outcome = match doubtful_fits(desk, &parts, chosen) {
        Some(ask) => Outcome::CannotTell { ask, relax, widen },
        None => Outcome::Relax { relax, widen },
    };
    let mut selection = selection(desk, &parts, chosen, outcome);
    if fits_inside {
        let of = |p: &Placement| format!("piston_clearance/{}", p.instance);
        selection.settles.extend(selection.placements.iter().map(of));
    }
    Some(selection)
}

/// A choice that keeps every limit: pins and rods where they are, else free.
fn inside(desk: &Desk<'_>, parts: &Parts) -> Option<(Vec<CylinderSet>, Outcome)> {
    let kept = parts.kept()?;
    let [outside, _, over, ..] = kept.objectives.0;
    if (outside, over) == (0, 0) {
        return Some((
            parts.with_own_pins(&kept.piston),
            Outcome::Best { proved: true, proof: KEPT.to_owned() },
        ));
    }
    let (sets, tried) = parts.free(desk)?;
    let fits = tried.rods_and_pins && tried.outside == (0, 0) && parts.too_far(&sets) == 0;
    match tried.outcome {
        Outcome::Best { proved: true, .. } if fits => {
            Some((sets, Outcome::Best { proved: true, proof: FREE.to_owned() }))
        }
        best @ Outcome::Best { .. } if fits => Some((sets, best)),
        _ => None,
    }
}

/// One fit of a choice.
struct Fit {
    /// "clearance in bore 2".
    words: String,
    /// Name of its limit.
    limit: &'static str,
    value: Uncertain,
    window: Window,
    /// Places behind it, by their label: the one that adds more to the uncertainty.
    read: String,
}

impl Fit {
    /// Is it outside? Sizes are compared to the nanometre.
    fn is_outside(&self) -> bool {
        self.outside() > 1e-9
    }

    /// By how much it is outside its range, m; 0 inside it.
    fn outside(&self) -> f64 {
        (self.window.min - self.value.value()).max(self.value.value() - self.window.max).max(0.0)
    }

    /// Is its range too narrow for any size to be proved inside with 95 % by these readings?
    fn is_too_coarse(&self) -> bool {
        2.0 * SURE * self.value.standard() > self.window.max - self.window.min
    }

    /// Is it inside, but nearer to a limit than its readings can tell with 95 %?
    fn is_unsure(&self) -> bool {
        let value = self.value.value();
        let room = (value - self.window.min).min(self.window.max - value);
        room >= 0.0 && room < SURE * self.value.standard()
    }

    /// "U is 0.0010 in, most of it from micrometer MC, scatter: read piston 2, skirt with a finer gauge, or take the mean of more readings".
    fn cure(&self, desk: &Desk<'_>) -> Phrase {
        let sources = &desk.bench.sizes.sources;
        let largest = self.value.terms().iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        let most = largest.map(|(id, _)| sources.get(*id));
        let of_readings = most.is_some_and(|source| source.kind == SourceKind::Reading);
        let from = most.map_or_else(String::new, |source| format!(", most of it {}", source.name));
        let more = if of_readings { ", or take the mean of more readings" } else { "" };
        Phrase::words("U is ")
            .value(self.value.expanded(), Dimension::Length, 5)
            .say(format!("{from}: read {} with a finer gauge{more}", self.read))
    }
}

/// Standard uncertainties from a limit at which a size is inside with 95 %: Φ(1.645) = 0.95.
const SURE: f64 = 1.645;

/// Every fit of a choice that is read and has a closed range.
fn fits(desk: &Desk<'_>, parts: &Parts, sets: &[CylinderSet]) -> Vec<Fit> {
    type Size = Option<(Uncertain, String)>;
    let size = |path: String| -> Size {
        let label = desk.bench.engine.catalogue.feature(&path).map(|f| f.label.clone());
        Some((desk.bench.size(&path)?.value.clone(), label?))
    };
    let made = |words: String, limit: &'static str, hole: Size, shaft: Size| -> Option<Fit> {
        let ((hole, of_hole), (shaft, of_shaft)) = (hole?, shaft?);
        let read = if hole.standard() > shaft.standard() { of_hole } else { of_shaft };
        let window = match limit {
            "piston_clearance" => Some(parts.limit.clearance),
            "pin_in_piston" => parts.limit.pin_in_piston,
            _ => parts.limit.pin_in_bush,
        };
        Some(Fit { words, limit, value: &hole - &shaft, window: window?, read })
    };
    let mut all = Vec::new();
    for (cylinder, set) in (1..).zip(sets) {
        let (piston, pin) = (set.piston + 1, set.pin.unwrap_or(parts.own_pin[set.piston]) + 1);
        let rod = set.rod.map_or(cylinder as usize, |rod| rod + 1);
        let bore = match desk.planned_hone(cylinder) {
            Some(target) => Some(Uncertain::exact(target)),
            None => mean_size(desk.bench, cylinder),
        };
        let bore = bore.map(|bore| (bore, format!("bore {cylinder}")));
        let diameter = || size(format!("pin.{pin}.diameter"));
        all.extend(made(
            format!("piston {piston} in bore {cylinder}, clearance"),
            "piston_clearance",
            bore,
            size(format!("piston.{piston}.gauge")),
        ));
        all.extend(made(
            format!("pin {pin} in piston {piston}"),
            "pin_in_piston",
            size(format!("piston.{piston}.pin_bore")),
            diameter(),
        ));
        all.extend(made(
            format!("pin {pin} in rod {rod}"),
            "pin_in_rod",
            size(format!("rod.{rod}.small_end")),
            diameter(),
        ));
    }
    all
}

/// Which ends of which limits have to give for this choice, each as far as it must.
fn to_widen(desk: &Desk<'_>, parts: &Parts, sets: &[CylinderSet]) -> Vec<Phrase> {
    let all = fits(desk, parts, sets);
    let worst = |limit: &str, upper: bool| {
        let by = |fit: &Fit| {
            if upper { fit.value.value() - fit.window.max } else { fit.window.min - fit.value.value() }
        };
        all.iter().filter(|fit| fit.limit == limit && fit.is_outside()).map(by).fold(0.0, f64::max)
    };
    let ends = ["piston_clearance", "pin_in_piston", "pin_in_rod"]
        .into_iter()
        .flat_map(|limit| [(limit, false), (limit, true)]);
    ends.filter_map(|(limit, upper)| {
        let by = worst(limit, upper);
        Widened::of(desk.bench, limit).filter(|_| by > 0.0)?.end(upper, by)
    })
    .collect()
}

/// Pistons that fit their bores where these do not: what to buy instead of widening a limit.
fn pistons_to_buy(parts: &Parts, sets: &[CylinderSet]) -> Vec<Phrase> {
    let window = parts.limit.clearance;
    let outside = |set: &CylinderSet| !(window.min - 1e-9..=window.max + 1e-9).contains(&set.clearance);
    let one = |(cylinder, set): (u32, &CylinderSet)| {
        let size = parts.gauge[set.piston] + set.clearance - window.target;
        Phrase::words(format!("instead of that, in bore {cylinder}: a piston of "))
            .value(size, Dimension::Length, 3)
            .say(" at the maker's gauge point, or the bore honed to its piston where it is the smaller one")
    };
    (1..).zip(sets).filter(|(_, set)| outside(set)).map(one).collect()
}

/// What to read finer first, where all that is outside a limit is so by less than its U; none where something is surely outside.
fn doubtful_fits(desk: &Desk<'_>, parts: &Parts, sets: &[CylinderSet]) -> Option<Vec<Phrase>> {
    let all = fits(desk, parts, sets);
    let outside: Vec<&Fit> = all.iter().filter(|fit| fit.is_outside()).collect();
    if outside.iter().any(|fit| fit.outside() > fit.value.expanded()) {
        return None;
    }
    let mut ask: Vec<Phrase> = outside
        .iter()
        .map(|fit| {
            Phrase::words(format!("{}: outside by ", fit.words))
                .value(fit.outside(), Dimension::Length, 5)
                .say(" only, ")
                .join(fit.cure(desk))
        })
        .collect();
    let by = parts.too_far(sets) as f64 * 1e-9;
    if by > 0.0 {
        let expanded = desk.assessment.finding("mass_spread/1")?.value?.expanded;
        if by > expanded {
            return None;
        }
        ask.push(
            Phrase::words("masses: too far apart by ")
                .value(by, Dimension::Mass, 2)
                .say(" only, U is ")
                .value(expanded, Dimension::Mass, 2)
                .say(": weigh them on a finer balance"),
        );
    }
    (!ask.is_empty()).then_some(ask)
}

const KEPT: &str = "proved: while each piston keeps its pin and each rod its cylinder, no other order of the pistons does better";
const FREE: &str = "with every pin in its piston and every rod in its cylinder a fit or the masses stay outside; proved: with all of them free nothing is nearer inside, nor any clearances nearer to the target. How few move is sought by exchanges, and not proved";
const KEPT_UNWEIGHED: &str = "proved, without the masses: while each piston keeps its pin and each rod its cylinder, no other order of the pistons does better";

/// The selection with its words.
fn selection(desk: &Desk<'_>, parts: &Parts, sets: &[CylinderSet], outcome: Outcome) -> Selection {
    let placements: Vec<Placement> =
        sets.iter().zip(1..).map(|(set, cylinder)| place(desk, &parts.own_pin, set, cylinder)).collect();
    let moved = placements.iter().filter(|p| !p.stays).count();
    let words = if moved == 0 {
        "all stay where they are: clearance ".to_owned()
    } else {
        format!("{}: clearance ", counted(moved, "changes place", "change place"))
    };
    let (least, most) = ends(sets.iter().map(|s| s.clearance));
    let spread = parts.spread(sets);
    let mut summary = Phrase::words(words)
        .range(least, most, Dimension::Length, 3)
        .join(weights(spread))
        .join(unproved_masses(desk, parts, spread))
        .join(pins(desk, parts));
    if sets.iter().enumerate().any(|(cylinder, s)| s.rod.is_some_and(|rod| rod != cylinder)) {
        summary =
            summary.say("; a rod that moves takes its big end along: read its bearing clearance again there");
    }
    let selection = Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome,
        summary,
        placements,
        objective: OBJECTIVE,
        // A piston comes out with its rod.
        caution: (moved > 0).then_some(cautions::PISTON_OUT),
        settles: Vec::new(),
    };
    let mut selection = selection.settling(&["piston_clearance"]);
    if matches!(selection.outcome, Outcome::Best { .. }) {
        if parts.masses_are_sure(spread) {
            selection.settles.push("mass_spread/1".to_owned());
        }
        // Every fit that is read is inside now; one that was outside is cured by the move.
        selection.settles.extend(bad_pin_fits(desk).map(|f| f.id.clone()));
        name_coarse(desk, parts, sets, &mut selection);
    }
    selection
}

/// Said where the best choice is inside, but not surely: its readings are too coarse for any choice to be proved so, or it lies nearer
/// to a limit than they can tell. Those clearances stay open.
fn name_coarse(desk: &Desk<'_>, parts: &Parts, sets: &[CylinderSet], selection: &mut Selection) {
    let all = fits(desk, parts, sets);
    let of_bores: Vec<(String, &Fit)> = (1..=sets.len())
        .filter_map(|cylinder| {
            let ending = format!("in bore {cylinder}, clearance");
            let fit = all.iter().find(|fit| fit.words.ends_with(&ending))?;
            (fit.is_too_coarse() || fit.is_unsure()).then(|| (cylinder.to_string(), fit))
        })
        .collect();
    let Some((_, first)) = of_bores.first() else { return };
    let bores: Vec<String> = of_bores.iter().map(|(bore, _)| bore.clone()).collect();
    let many = if bores.len() == 1 { "bore" } else { "bores" };
    let words = if first.is_too_coarse() {
        format!(
            "; no choice is sure for {many} {}: the limits are finer than the readings, ",
            phrase_list(&bores)
        )
    } else {
        format!("; not surely inside in {many} {}: a limit is nearer than U; ", phrase_list(&bores))
    };
    selection.summary = std::mem::take(&mut selection.summary).say(words).join(first.cure(desk));
    selection.settles.retain(|id| !bores.iter().any(|bore| *id == format!("piston_clearance/{bore}")));
}

/// Said where the masses are inside their limit as weighed, but not by what the balance can tell.
fn unproved_masses(desk: &Desk<'_>, parts: &Parts, spread: Option<f64>) -> Phrase {
    let within = spread.zip(parts.limit.mass_spread).is_some_and(|(spread, most)| spread <= most + 1e-9);
    let finding = desk.assessment.finding("mass_spread/1");
    match finding.and_then(|f| f.value).filter(|_| within && !parts.masses_are_sure(spread)) {
        Some(value) => Phrase::words(", which is not proved to be inside the limit: U is ")
            .value(value.expanded, Dimension::Mass, 1)
            .say(", weigh them on a finer balance or lighten the heaviest piston at its maker's place"),
        None => Phrase::new(),
    }
}

/// Said where a limit of the pins cannot be looked at.
fn pins(desk: &Desk<'_>, parts: &Parts) -> Phrase {
    const NAMED: usize = 3;
    let label = |path: &String| {
        desk.bench
            .engine
            .catalogue
            .feature(path)
            .map_or_else(|| path.clone(), |feature| feature.label.clone())
            + if desk.is_rejected(path) { " (not used)" } else { "" }
    };
    let named = parts.unread.iter().take(NAMED).map(label).collect::<Vec<_>>().join("; ");
    let words = match parts.unread.len().saturating_sub(NAMED) {
        0 if named.is_empty() => return Phrase::new(),
        0 => format!("; pin fits looked at only as far as they are read, not read: {named}"),
        more => {
            format!("; pin fits looked at only as far as they are read, not read: {named}; and {more} more")
        }
    };
    Phrase::words(words)
}

/// Fits of pins that are bad as they stand.
fn bad_pin_fits<'a>(desk: &'a Desk<'_>) -> impl Iterator<Item = &'a Finding> {
    let of_pins = |f: &&Finding| matches!(f.code, "pin_in_piston" | "pin_in_rod");
    desk.assessment
        .findings
        .iter()
        .filter(of_pins)
        .filter(|f| f.verdict == Verdict::Bad && !is_of_rejected(f))
}

/// What is in range and off its edges, with even weights, is left where it is.
fn stays(desk: &Desk<'_>, bores: &[f64], clearance: Window) -> Option<Selection> {
    let good = |code: &str| {
        desk.assessment.findings.iter().filter(|f| f.code == code).all(|f| f.verdict == Verdict::Good)
    };
    let hone = desk.cuts.iter().any(|c| c.operation == OperationKind::Hone);
    if hone || bad_pin_fits(desk).next().is_some() || !good("piston_clearance") || !good("mass_spread") {
        return None;
    }
    let placements: Vec<Placement> = desk
        .bench
        .cylinders()
        .zip(bores)
        .filter_map(|(cylinder, bore)| {
            let piston = piston_in(desk.bench, cylinder);
            let gauge = desk.bench.size(&format!("piston.{piston}.gauge"))?.value.value();
            let set = CylinderSet {
                piston: piston as usize - 1,
                pin: None,
                rod: None,
                clearance: bore - gauge,
                mass: 0.0,
            };
            Some(place(desk, &[], &set, cylinder))
        })
        .collect();
    if placements.len() != bores.len() {
        return None;
    }
    debug_assert!(placements.iter().all(|p| p.value >= clearance.min && p.value <= clearance.max));
    let (least, most) = ends(placements.iter().map(|p| p.value));
    let selection = Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: Outcome::Best {
            proved: true,
            proof: "every clearance and the masses are good as they stand".to_owned(),
        },
        summary: Phrase::words("all stay where they are: clearance ").range(
            least,
            most,
            Dimension::Length,
            3,
        ),
        placements,
        objective: OBJECTIVE,
        caution: None,
        settles: Vec::new(),
    };
    Some(selection.settling(&["piston_clearance"]))
}

const OBJECTIVE: &str = "what is good stays; else every fit inside its range (piston in bore, pin in piston, pin in rod), masses inside their spread, clearances nearest to the target, even masses. A piston keeps its pin and a cylinder its rod; only where that leaves a fit or the masses outside are pins and rods free, and then few of them move rather than the masses come still nearer";

fn ends(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
}

fn weights(spread: Option<f64>) -> Phrase {
    match spread {
        Some(spread) => Phrase::words("; masses within ").value(spread, Dimension::Mass, 1),
        None => Phrase::words("; masses not all read"),
    }
}

fn place(desk: &Desk<'_>, own_pin: &[usize], set: &CylinderSet, cylinder: u32) -> Placement {
    let piston = set.piston as u32 + 1;
    let mut what = format!("piston {piston}");
    let mut stays = piston_in(desk.bench, cylinder) == piston;
    let homes =
        [("pin", set.pin, own_pin.get(set.piston).copied()), ("rod", set.rod, Some(cylinder as usize - 1))];
    for (word, index, home) in homes {
        if let Some(index) = index {
            what = format!("{what}, {word} {}", index + 1);
            stays &= Some(index) == home;
        }
    }
    let from = match (stays, desk.planned_hone(cylinder).is_some()) {
        (true, false) => Phrase::words("as it stands"),
        (true, true) => Phrase::words("as it stands, after the hone"),
        (false, false) => Phrase::words("moves"),
        (false, true) => Phrase::words("moves, not before the hone"),
    };
    placement(
        Phrase::words(what),
        format!("bore {cylinder}"),
        cylinder.to_string(),
        from,
        Phrase::words("clearance ").length(set.clearance),
        set.clearance,
        stays,
    )
}
