//! Shims under separate barrels: which way each goes, and by how much, so that quench and ratio of every cylinder come inside.

use super::deck::{kept_words, left_apart, most_spread, planned_space, spread_uncertainty, uncertainty};
use super::{Desk, missing, placement};
use crate::cautions;
use crate::features::Face;
use crate::findings::{Allowed, Widened, barrel_words, shim_for_ratio, shim_under};
use crate::plan::{OrderLine, Outcome, Placement, Selection, Widen};
use crate::quantity::{Dimension, Phrase};
use mechanics::compression::Space;

const CODE: &str = "barrel_shims";
const TITLE: &str = "Shims under the barrels";

/// What a shim is made to, m. Common practice, no source.
const SHIM_TOLERANCE: f64 = 0.01e-3;
/// A change of less is none, m.
const NO_CHANGE: f64 = 0.5e-6;
/// The solver stands on its limits to rounding, m.
const ROUNDING: f64 = 1e-12;
/// Shares of the uncertainty that are kept off the limits, the most that can be had first.
const SHARES: [f64; 5] = [1.0, 0.75, 0.5, 0.25, 0.0];
/// Bands of ratio that are tried where the cylinders have to come together.
const BANDS: u32 = 800;

/// Least and most change of a shim, m: thicker is positive.
type Room = (f64, f64);

/// A range with open ends at infinity.
fn ends(allowed: Option<&Allowed>) -> (f64, f64) {
    let used = allowed.map(|allowed| &allowed.used);
    let least = used.and_then(|used| used.min).unwrap_or(f64::NEG_INFINITY);
    (least, used.and_then(|used| used.max).unwrap_or(f64::INFINITY))
}

/// One cylinder on its barrel.
struct Seat {
    cylinder: u32,
    space: Space,
    ratio: (f64, f64),
    quench: (f64, f64),
    /// Expanded uncertainties.
    ratio_guard: f64,
    quench_guard: f64,
}

impl Seat {
    /// Ratio and quench with the shim changed.
    fn after(&self, change: f64) -> Option<(f64, f64)> {
        let space = Space { deck_gap: self.space.deck_gap + change, ..self.space };
        Some((space.compression_ratio().ok()?.value, space.deck_gap + space.gasket_thickness))
    }

    /// Changes that keep the quench inside.
    fn for_quench(&self, share: f64) -> Room {
        let (now, off) = (self.space.deck_gap + self.space.gasket_thickness, share * self.quench_guard);
        (self.quench.0 + off - now, self.quench.1 - off - now)
    }

    /// Changes that keep the ratio between two.
    fn between(&self, least: f64, most: f64) -> Room {
        // A ratio of one or less is no compression: any shim keeps above it.
        let finite = |ratio: f64| Some(ratio).filter(|r| r.is_finite() && *r > 1.0);
        let (low, high) = shim_for_ratio(&self.space, finite(least), finite(most));
        (low.unwrap_or(f64::NEG_INFINITY), high.unwrap_or(f64::INFINITY))
    }

    fn for_ratio(&self, share: f64) -> Room {
        let off = share * self.ratio_guard;
        self.between(self.ratio.0 + off, self.ratio.1 - off)
    }
}

fn both((a, b): Room, (c, d): Room) -> Room {
    (a.max(c), b.min(d))
}

/// The change nearest to none inside a room; one that is made stands inside by the tolerance of a shim, as far as there is room.
fn nearest((low, high): Room) -> Option<f64> {
    if low > high + ROUNDING {
        return None;
    }
    let inside = SHIM_TOLERANCE.min((high - low).max(0.0) / 2.0);
    Some(if low > 0.0 {
        low + inside
    } else if high < 0.0 {
        high - inside
    } else {
        0.0
    })
}

/// Barrels that get one and the same change: those under one head, which lies on all of them.
struct Together {
    seats: Vec<Seat>,
}

impl Together {
    fn room(&self, share: f64, band: Option<(f64, f64)>) -> Room {
        self.seats.iter().fold((f64::NEG_INFINITY, f64::INFINITY), |room, seat| {
            let room = both(room, both(seat.for_quench(share), seat.for_ratio(share)));
            band.map_or(room, |(least, most)| both(room, seat.between(least, most)))
        })
    }
}

/// Least changes for which everything is that share of its uncertainty off its limits; with `most`, the ratios no farther apart.
fn changes(heads: &[Together], share: f64, most: Option<f64>) -> Option<Vec<f64>> {
    let in_band = |band: Option<(f64, f64)>| -> Option<Vec<f64>> {
        heads.iter().map(|head| nearest(head.room(share, band))).collect()
    };
    let free = in_band(None)?;
    let Some(most) = most else { return Some(free) };
    if most <= 0.0 {
        return None;
    }
    let total = |list: &[f64]| {
        list.iter().zip(heads).map(|(change, head)| change.abs() * head.seats.len() as f64).sum::<f64>()
    };
    let ratios: Vec<f64> = heads
        .iter()
        .zip(&free)
        .flat_map(|(head, change)| head.seats.iter().map(|seat| (seat, *change)))
        .chain(heads.iter().flat_map(|head| head.seats.iter().map(|seat| (seat, 0.0))))
        .filter_map(|(seat, change)| Some(seat.after(change)?.0))
        .collect();
    let low = ratios.iter().copied().fold(f64::INFINITY, f64::min) - most;
    let high = ratios.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let bands = (0..=BANDS).map(|step| low + (high - low) * f64::from(step) / f64::from(BANDS));
    bands
        .filter_map(|least| in_band(Some((least, least + most))))
        .min_by(|a, b| total(a).total_cmp(&total(b)))
}

/// How the changes came about.
struct Chosen {
    changes: Vec<f64>,
    proof: String,
    /// The ratios lie near enough to each other.
    together: bool,
}

fn choose(desk: &Desk<'_>, heads: &[Together]) -> Option<Chosen> {
    let (most, guard) = (most_spread(desk), spread_uncertainty(desk));
    let none = vec![0.0; heads.len()];
    let apart = spread(heads, &none);
    let fits = heads.iter().all(|head| nearest(head.room(0.0, None)) == Some(0.0));
    if fits && most.is_none_or(|most| apart <= most) {
        let proof = "everything fits as it stands".to_owned();
        return Some(Chosen { changes: none, proof, together: true });
    }
    let found = |most: Option<f64>| {
        SHARES.iter().find_map(|share| {
            let most = most.map(|most| most - share * guard);
            Some((changes(heads, *share, most)?, *share))
        })
    };
    if let Some((changes, share)) = found(most) {
        return Some(Chosen { changes, proof: kept_words(share).to_owned(), together: true });
    }
    // Where nothing brings the ratios together, nothing is changed for it.
    if fits {
        return Some(Chosen {
            changes: none,
            proof: "each cylinder fits as it stands".to_owned(),
            together: false,
        });
    }
    found(None).map(|(changes, share)| Chosen {
        changes,
        proof: kept_words(share).to_owned(),
        together: false,
    })
}

/// How far the ratios of all cylinders lie apart with these changes.
fn spread(heads: &[Together], changes: &[f64]) -> f64 {
    let ratios = || {
        let each =
            heads.iter().zip(changes).flat_map(|(head, change)| head.seats.iter().map(|s| (s, *change)));
        each.filter_map(|(seat, change)| Some(seat.after(change)?.0))
    };
    ratios().fold(f64::NEG_INFINITY, f64::max) - ratios().fold(f64::INFINITY, f64::min)
}

/// The barrels under each head; the places that must be read first, or what must be stated.
fn asked(desk: &Desk<'_>) -> Result<Vec<Together>, Vec<String>> {
    let (ratio, quench) = (desk.bench.limit("compression_ratio"), desk.bench.limit("quench"));
    let mut unread: Vec<String> = Vec::new();
    let mut heads = Vec::new();
    for Face { cylinders, .. } in desk.bench.document().heads() {
        let mut seats = Vec::new();
        for cylinder in cylinders {
            match planned_space(desk, cylinder) {
                Ok(space) => seats.push(Seat {
                    cylinder,
                    space,
                    ratio: ends(ratio.as_ref()),
                    quench: ends(quench.as_ref()),
                    ratio_guard: uncertainty(desk, &format!("compression_ratio/{cylinder}")),
                    quench_guard: uncertainty(desk, &format!("quench/{cylinder}")),
                }),
                Err(paths) => unread.extend(paths),
            }
        }
        heads.push(Together { seats });
    }
    unread.dedup();
    if unread.is_empty() { Ok(heads) } else { Err(unread) }
}

pub(super) fn select(desk: &mut Desk<'_>) -> Option<Selection> {
    let heads = match asked(desk) {
        Ok(heads) if heads.is_empty() => return None,
        Ok(heads) => heads,
        Err(unread) => return Some(missing(CODE, TITLE, unread)),
    };
    let Some(Chosen { changes, proof, together }) = choose(desk, &heads) else {
        return Some(no_answer(desk, &heads));
    };
    let placements: Vec<Placement> = heads
        .iter()
        .zip(&changes)
        .flat_map(|(head, change)| head.seats.iter().map(|seat| (seat, *change)))
        .map(|(seat, change)| place(desk, seat, change))
        .collect();
    let stays = placements.iter().all(|p| p.stays);
    let summary = if stays { Phrase::words("every shim stays") } else { sum_up(&heads, &changes) };
    let summary =
        if together { summary } else { summary.join(too_far_apart(desk, spread(&heads, &changes))) };
    let cylinders = desk.bench.cylinders();
    let mut settles: Vec<String> =
        cylinders.flat_map(|c| [format!("quench/{c}"), format!("compression_ratio/{c}")]).collect();
    if together {
        settles.push("compression_spread/1".to_owned());
    }
    order(desk, &heads, &changes);
    Some(Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: Outcome::Best { proved: false, proof },
        placements,
        summary,
        objective: "what fits stays; else compression and quench of every cylinder inside, ratios near enough to each other, barrels under one head all by the same, everything off its limits by the whole, three quarters, half or a quarter of its uncertainty (the most that can be had), least change of shims",
        caution: (!stays).then_some(cautions::HEAD_BOLTS),
        settles,
    })
}

fn place(desk: &Desk<'_>, seat: &Seat, change: f64) -> Placement {
    let stays = change.abs() < NO_CHANGE;
    let present = shim_under(desk.bench, seat.cylinder);
    let what = match present.map(|present| present + change) {
        Some(thickness) if thickness >= 0.0 => Phrase::words("shim ").length(thickness),
        _ => Phrase::words("shim"),
    };
    let result = seat.after(change).map_or_else(Phrase::new, |(ratio, quench)| {
        Phrase::words("ratio ").value(ratio, Dimension::Ratio, 2).say(", quench ").length_2(quench)
    });
    let words = match (stays, present) {
        (true, _) => Phrase::words("as it stands"),
        (false, Some(present)) if present + change < 0.0 => way(change)
            .say("; only ")
            .length(present)
            .say(" lies there: the rest has to come off the seat of the barrel, or from a taller piston"),
        (false, None) if change < 0.0 => way(change)
            .say("; state how thick the shim is now: where none lies, the barrel cannot come down by a shim"),
        (false, _) => way(change),
    };
    let name = seat.cylinder.to_string();
    placement(what, format!("barrel {name}"), name, words, result, change, stays)
}

/// "thicker by 0.250 mm".
fn way(change: f64) -> Phrase {
    Phrase::words(if change > 0.0 { "thicker by " } else { "thinner by " }).length(change.abs())
}

/// "barrels 1 and 3 thicker by 0.250 mm; barrel 2 thinner by 0.100 mm".
fn sum_up(heads: &[Together], changes: &[f64]) -> Phrase {
    let moved = heads.iter().zip(changes).filter(|(_, change)| change.abs() >= NO_CHANGE);
    let each = moved.map(|(head, change)| {
        let cylinders: Vec<u32> = head.seats.iter().map(|seat| seat.cylinder).collect();
        Phrase::words(format!("{}: shim ", barrel_words(&cylinders))).join(way(*change))
    });
    each.reduce(|all, next| all.say("; ").join(next)).unwrap_or_default()
}

/// Said where they lie farther apart than allowed: no shim brings them together.
fn too_far_apart(desk: &mut Desk<'_>, apart: f64) -> Phrase {
    let Some(most) = most_spread(desk) else { return Phrase::new() };
    left_apart(desk, apart, most, "no shims bring them together inside the other limits")
}

/// Shims of a thickness that is known, one line for each thickness.
fn order(desk: &mut Desk<'_>, heads: &[Together], changes: &[f64]) {
    let mut wanted: Vec<(f64, Vec<u32>)> = Vec::new();
    let moved = heads.iter().zip(changes).filter(|(_, change)| change.abs() >= NO_CHANGE);
    for (seat, change) in moved.flat_map(|(head, change)| head.seats.iter().map(move |seat| (seat, change))) {
        let Some(present) = shim_under(desk.bench, seat.cylinder) else { continue };
        let thickness = present + change;
        if thickness < NO_CHANGE {
            continue;
        }
        match wanted.iter_mut().find(|(known, _)| (known - thickness).abs() < NO_CHANGE) {
            Some((_, cylinders)) => cylinders.push(seat.cylinder),
            None => wanted.push((thickness, vec![seat.cylinder])),
        }
    }
    let supply = desk.bench.part("barrel shim");
    for (thickness, cylinders) in wanted {
        desk.orders.push(OrderLine {
            item: Phrase::words("barrel shim, ")
                .length(thickness)
                .say(format!(" ({})", barrel_words(&cylinders))),
            quantity: cylinders.len() as u32,
            supplier: supply.map(|s| s.from.clone()).unwrap_or_default(),
            price: supply.and_then(|s| s.price).map(|p| p.0),
            days: supply.and_then(|s| s.days),
            settles: cylinders
                .iter()
                .flat_map(|c| [format!("quench/{c}"), format!("compression_ratio/{c}")])
                .collect(),
            only_if: None,
            held_by: Vec::new(),
        });
    }
}

/// No change suits: what has to give, cylinder by cylinder.
fn no_answer(desk: &Desk<'_>, heads: &[Together]) -> Selection {
    let seats = heads.iter().flat_map(|head| &head.seats);
    let mut relax: Vec<Phrase> = seats.filter_map(|seat| conflict(desk, seat)).collect();
    if relax.is_empty() {
        let tight = heads.iter().filter(|head| nearest(head.room(0.0, None)).is_none());
        relax.extend(tight.map(|head| {
            let cylinders: Vec<u32> = head.seats.iter().map(|seat| seat.cylinder).collect();
            Phrase::words(format!(
                "{} stand under one head and need changes that differ: bring them to one height, or their chambers to one volume, first",
                barrel_words(&cylinders)
            ))
        }));
    }
    Selection {
        code: CODE,
        title: TITLE.to_owned(),
        outcome: Outcome::Relax { relax, widen: Widen::AsSaid },
        placements: Vec::new(),
        summary: Phrase::words("no change of shims brings quench and ratio of every cylinder inside"),
        objective: "",
        caution: None,
        settles: Vec::new(),
    }
}

/// Where quench and ratio of one cylinder pull its barrel two ways: what each asks for, and which limit would have to give.
fn conflict(desk: &Desk<'_>, seat: &Seat) -> Option<Phrase> {
    let (quench, ratio) = (seat.for_quench(0.0), seat.for_ratio(0.0));
    let (low, high) = both(quench, ratio);
    if low <= high + ROUNDING {
        return None;
    }
    // The quench asks for a thicker shim than the ratio bears, or the other way round.
    let thicker = quench.0 > ratio.1;
    let (for_quench, for_ratio) = if thicker { (quench.0, ratio.1) } else { (quench.1, ratio.0) };
    let reached = seat.after(for_quench)?.0;
    let end = if thicker { seat.ratio.0 } else { seat.ratio.1 };
    let give_ratio = Widened::of(desk.bench, "compression_ratio")?.end(!thicker, (reached - end).abs())?;
    let give_quench = Widened::of(desk.bench, "quench")?.end(!thicker, (for_quench - for_ratio).abs())?;
    let signed = |change: f64| if change.abs() < NO_CHANGE { Phrase::words("as it is") } else { way(change) };
    Some(
        Phrase::words(format!("Cylinder {}: the limit of its quench is met with a shim ", seat.cylinder))
            .join(signed(for_quench))
            .say(", that of its ratio with one ")
            .join(signed(for_ratio))
            .say(": no shim keeps both. Another piston or chamber, or one of these gives: ")
            .join(give_ratio)
            .say("; or ")
            .join(give_quench),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seat(deck_gap: f64, chamber: f64) -> Seat {
        let space = Space {
            bore: 0.0940,
            stroke: 0.0690,
            chamber_volume: chamber,
            gasket_bore: 0.0940,
            gasket_thickness: 0.0,
            deck_gap,
            dome_volume: 0.0,
            crevice_volume: 0.0,
        };
        let ratio = (8.2, 8.6);
        Seat { cylinder: 1, space, ratio, quench: (1.0e-3, 1.6e-3), ratio_guard: 0.0, quench_guard: 0.0 }
    }

    /// π/4 · bore² · stroke over chamber and gap, by hand.
    fn ratio_by_hand(deck_gap: f64, chamber: f64) -> f64 {
        let area = std::f64::consts::FRAC_PI_4 * 0.0940 * 0.0940;
        1.0 + area * 0.0690 / (chamber + area * deck_gap)
    }

    /// A barrel that stands too low gets the least shim by which ratio and quench are inside, and a hair less is outside.
    #[test]
    fn the_least_change_is_made_and_no_less() {
        let seat = seat(0.6e-3, 57.0e-6);
        assert!(ratio_by_hand(0.6e-3, 57.0e-6) > 8.6);
        let (low, high) = both(seat.for_quench(0.0), seat.for_ratio(0.0));
        assert!(low > 0.0 && low < high, "{low} {high}");
        let inside = |change: f64| {
            let (gap, ratio) = (0.6e-3 + change, ratio_by_hand(0.6e-3 + change, 57.0e-6));
            (1.0e-3..=1.6e-3).contains(&gap) && (8.2..=8.6).contains(&ratio)
        };
        assert!(inside(low + 1e-9) && !inside(low - 1e-7), "{low}");
        assert!(inside(high - 1e-9) && !inside(high + 1e-7), "{high}");
        let made = nearest((low, high)).expect("there is room");
        assert!((made - low - SHIM_TOLERANCE).abs() < 1e-12);
    }

    /// Two barrels, each with its own head, whose ratios lie too far apart come together by the least shims.
    #[test]
    fn ratios_come_together_where_each_has_its_own_head() {
        let heads = [seat(1.2e-3, 56.5e-6), seat(1.2e-3, 55.0e-6)].map(|seat| Together { seats: vec![seat] });
        let none = [0.0, 0.0];
        assert!(spread(&heads, &none) > 0.1);
        let made = changes(&heads, 0.0, Some(0.1)).expect("there is room");
        assert!(spread(&heads, &made) <= 0.1 + 1e-9, "{made:?}");
        let total: f64 = made.iter().map(|change| change.abs()).sum();
        for a in -60..=60 {
            for b in -60..=60 {
                let tried = [f64::from(a) * 1e-5, f64::from(b) * 1e-5];
                let fits = heads.iter().zip(tried).all(|(head, change)| {
                    let (low, high) = head.room(0.0, None);
                    (low..=high).contains(&change)
                });
                if fits && spread(&heads, &tried) <= 0.1 {
                    let other: f64 = tried.iter().map(|change| change.abs()).sum();
                    // Each change that is made stands inside by the tolerance of a shim; the bands are steps.
                    assert!(total <= other + 2.0 * SHIM_TOLERANCE + 1e-5, "{made:?} against {tried:?}");
                }
            }
        }
    }

    /// Under one head both go by the same, or there is no answer.
    #[test]
    fn barrels_under_one_head_go_together() {
        let one_head = [Together { seats: vec![seat(0.6e-3, 57.0e-6), seat(0.7e-3, 57.0e-6)] }];
        let made = changes(&one_head, 0.0, None).expect("there is room");
        assert_eq!(made.len(), 1);
        let far = [Together { seats: vec![seat(0.2e-3, 57.0e-6), seat(1.5e-3, 57.0e-6)] }];
        assert!(changes(&far, 0.0, None).is_none());
    }
}
