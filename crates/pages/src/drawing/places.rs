//! Where cylinders, throws and mains stand along the crank, and how far the crank has turned.
//!
//! Along the crank x grows from the front (nose) to the rear, mm, with the middle of the first bore of bank a at 0.
//! Angles are clockwise from upright as seen from the front: the way the crank turns.

use super::sizes::Sizes;
use engine::document::{Arrangement, Document};
use engine::quantity::Angle;
use mechanics::kinematics::layout::even_throw_angles_deg;
use mechanics::math::cos;

/// One cylinder.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CylinderPlace {
    /// Its number.
    pub number: u32,
    /// Bank, 0 or 1.
    pub bank: usize,
    /// Axis along the crank, mm.
    pub x: f64,
    /// Throw that carries it, 0 first.
    pub throw: usize,
}

/// One crank pin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThrowPlace {
    /// Middle along the crank, mm.
    pub x: f64,
    /// Where it points, degrees clockwise from upright, at crank angle 0.
    pub at_zero_deg: f64,
    /// How many rods it carries (at least one).
    pub rods: usize,
}

/// The whole arrangement.
#[derive(Clone, Debug)]
pub struct Places {
    /// Inline, vee or flat.
    pub arrangement: Arrangement,
    /// Lean of each bank, degrees clockwise.
    pub leans_deg: Vec<f64>,
    /// Cylinders in the order of their numbers.
    pub cylinders: Vec<CylinderPlace>,
    /// Throws from the front.
    pub throws: Vec<ThrowPlace>,
    /// Middles of the main bearings from the front, mm.
    pub mains: Vec<f64>,
    /// The throw angles follow from the document; false where they are only spread evenly.
    pub angles_given: bool,
    /// Number and arrangement of cylinders are given.
    pub given: bool,
}

impl Places {
    /// From the document. At least one cylinder is placed, so that there is something to draw.
    pub fn of(document: &Document, sizes: &Sizes) -> Self {
        let given = document.layout.cylinders.is_some_and(|n| (1..=12).contains(&n));
        let mut document = std::borrow::Cow::Borrowed(document);
        if !given {
            document.to_mut().layout = engine::document::Layout {
                cylinders: Some(1),
                arrangement: Some(Arrangement::Inline),
                ..Default::default()
            };
        }
        let document: &Document = &document;
        let arrangement = document.layout.arrangement.unwrap_or(Arrangement::Inline);
        let banks = sound_banks(document);
        let arrangement = if banks.len() == 2 { arrangement } else { Arrangement::Inline };
        let throw_of = sound_throws(document);
        let shared = shares_pins(&throw_of);
        let offset = match (banks.len(), shared) {
            (2, true) => 1.06 * sizes.rod_width.mm + 1.0,
            (2, false) => 0.5 * sizes.pitch.mm,
            _ => 0.0,
        };
        let mut cylinders: Vec<CylinderPlace> = banks
            .iter()
            .enumerate()
            .flat_map(|(bank, numbers)| numbers.iter().enumerate().map(move |(i, &number)| (bank, i, number)))
            .map(|(bank, i, number)| CylinderPlace {
                number,
                bank,
                x: sizes.pitch.mm * i as f64 + offset * bank as f64,
                throw: throw_of.get(number as usize - 1).map_or(0, |t| (*t as usize).saturating_sub(1)),
            })
            .collect();
        cylinders.sort_by_key(|c| c.number);
        let Drive { leans_deg, later_deg, given: angles_given } =
            drive(document, arrangement, &banks, &throw_of);
        let first = cylinders.first().map_or((0.0, 0), |c| (leans_deg[c.bank], c.throw));
        let datum = later_deg.get(first.1).copied().unwrap_or(0.0);
        let angles: Vec<f64> = later_deg.iter().map(|angle| first.0 - (angle - datum)).collect();
        let throws = throw_places(&cylinders, &angles, sizes.pitch.mm);
        let mains = main_places(&throws, document.main_count() as usize, sizes);
        Self { arrangement, leans_deg, cylinders, throws, mains, angles_given, given }
    }

    /// Number of banks, 1 or 2.
    pub fn banks(&self) -> usize {
        self.leans_deg.len()
    }

    /// Cylinders of a bank from the front.
    pub fn of_bank(&self, bank: usize) -> Vec<CylinderPlace> {
        let mut list: Vec<_> = self.cylinders.iter().copied().filter(|c| c.bank == bank).collect();
        list.sort_by(|a, b| a.x.total_cmp(&b.x));
        list
    }

    /// A cylinder by its number.
    pub fn cylinder(&self, number: u32) -> Option<CylinderPlace> {
        self.cylinders.iter().copied().find(|c| c.number == number)
    }

    /// Where a throw points at a crank angle (degrees after top dead centre of cylinder 1), degrees clockwise from upright.
    pub fn direction_deg(&self, throw: usize, crank_deg: f64) -> f64 {
        self.throws.get(throw).map_or(0.0, |t| t.at_zero_deg) + crank_deg
    }

    /// Height of the piston pin above the crank axis along the bore, mm.
    pub fn pin_height(&self, cylinder: CylinderPlace, crank_deg: f64, sizes: &Sizes) -> f64 {
        let angle =
            (self.direction_deg(cylinder.throw, crank_deg) - self.leans_deg[cylinder.bank]).to_radians();
        let (c, r, l) = (cos(angle), sizes.radius(), sizes.rod.mm);
        r * c + (l * l - r * r * (1.0 - c * c)).max(0.0).sqrt()
    }
}

fn shares_pins(throw_of: &[u32]) -> bool {
    throw_of.iter().enumerate().any(|(i, t)| throw_of[..i].contains(t))
}

/// Banks that hold every cylinder once; what the document says wrongly is put right for the drawing.
fn sound_banks(document: &Document) -> Vec<Vec<u32>> {
    let count = document.layout.cylinders.unwrap_or(0).min(12);
    let banks: Vec<Vec<u32>> = document.banks().into_iter().filter(|b| !b.is_empty()).collect();
    let mut all: Vec<u32> = banks.iter().flatten().copied().collect();
    all.sort_unstable();
    if all == (1..=count).collect::<Vec<_>>() && banks.len() <= 2 {
        return banks;
    }
    let two = matches!(document.layout.arrangement, Some(Arrangement::Vee | Arrangement::Flat));
    if two && count > 1 {
        vec![(1..=count).step_by(2).collect(), (2..=count).step_by(2).collect()]
    } else {
        vec![(1..=count).collect()]
    }
}

fn sound_throws(document: &Document) -> Vec<u32> {
    let count = document.layout.cylinders.unwrap_or(0).min(12);
    let throws = document.throw_of_cylinder();
    let sound = throws.len() == count as usize && throws.iter().all(|t| (1..=count).contains(t));
    if sound { throws } else { (1..=count).collect() }
}

/// How the banks lean and where the throws stand.
struct Drive {
    leans_deg: Vec<f64>,
    /// Crank angle at which each throw points up, degrees, any datum.
    later_deg: Vec<f64>,
    given: bool,
}

/// Decides the lean of each bank (bank a with the turning, unless the order can only fire the other way round) and the
/// throws: as written, else evenly by the firing order, else spread as is usual.
fn drive(document: &Document, arrangement: Arrangement, banks: &[Vec<u32>], throw_of: &[u32]) -> Drive {
    let written = document.layout.bank_angle.map(|a: Angle| a.0.to_degrees());
    let half = match arrangement {
        Arrangement::Inline => 0.0,
        Arrangement::Vee => written.filter(|a| (1.0..=180.0).contains(a)).unwrap_or(90.0) / 2.0,
        Arrangement::Flat => 90.0,
    };
    let leans = |a: f64| if banks.len() == 2 { vec![a, -a] } else { vec![0.0] };
    let count = throw_of.iter().copied().max().unwrap_or(1) as usize;
    let bank_of =
        |cylinder: usize| banks.iter().position(|b| b.contains(&(cylinder as u32 + 1))).unwrap_or(0);
    // The angles of the cylinders as angles of the throws, when those on one throw agree.
    let of_throws = |angles: &[f64]| -> Option<Vec<f64>> {
        let mut later: Vec<Option<f64>> = vec![None; count];
        for (throw, angle) in throw_of.iter().zip(angles) {
            let place = &mut later[*throw as usize - 1];
            let apart = (place.unwrap_or(*angle) - angle).rem_euclid(360.0);
            if apart.min(360.0 - apart) > 0.1 {
                return None;
            }
            *place = Some(*angle);
        }
        later.into_iter().collect()
    };
    if let Some(throws) = document.layout.throws.as_ref().filter(|t| t.len() >= count) {
        let lean = document.firing().and_then(Result::ok).and_then(|f| {
            let first = banks.first()?.first()?;
            f.leans_deg.get(*first as usize - 1).copied()
        });
        // Written as places ahead in the direction of turning: they point up the sooner.
        let later_deg = throws.iter().map(|a| -a.0.to_degrees()).collect();
        return Drive { leans_deg: leans(lean.unwrap_or(half)), later_deg, given: true };
    }
    if let Some(order) = &document.layout.firing_order {
        let order: Vec<usize> = order.iter().map(|c| *c as usize).collect();
        for a in [half, -half] {
            let leans_deg = leans(a);
            let of_cylinders: Vec<f64> = (0..throw_of.len()).map(|c| leans_deg[bank_of(c)]).collect();
            let later =
                even_throw_angles_deg(&of_cylinders, &order).ok().and_then(|angles| of_throws(&angles));
            if let Some(later_deg) = later {
                return Drive { leans_deg, later_deg, given: true };
            }
        }
    }
    let later_deg = spread_evenly(arrangement, throw_of.len(), count);
    Drive { leans_deg: leans(half), later_deg, given: count <= 1 }
}

/// Throws in the usual mirrored order of their number; common practice, no source.
fn spread_evenly(arrangement: Arrangement, cylinders: usize, count: usize) -> Vec<f64> {
    let angles: &[f64] = match (arrangement, cylinders, count) {
        (Arrangement::Flat, 6, 6) => &[0.0, 180.0, 240.0, 60.0, 120.0, 300.0],
        (_, _, 2) => &[0.0, 180.0],
        (_, _, 3) => &[0.0, 240.0, 120.0],
        (Arrangement::Vee, 8, 4) => &[0.0, 90.0, 270.0, 180.0],
        (_, _, 4) => &[0.0, 180.0, 180.0, 0.0],
        (_, _, 5) => &[0.0, 144.0, 216.0, 288.0, 72.0],
        (_, _, 6) => &[0.0, 240.0, 120.0, 120.0, 240.0, 0.0],
        _ => &[],
    };
    if angles.len() == count {
        return angles.to_vec();
    }
    (0..count).map(|i| 360.0 * i as f64 / count.max(1) as f64).collect()
}

fn throw_places(cylinders: &[CylinderPlace], angles: &[f64], pitch: f64) -> Vec<ThrowPlace> {
    let mut places: Vec<ThrowPlace> = (0..angles.len())
        .map(|throw| {
            let on: Vec<f64> = cylinders.iter().filter(|c| c.throw == throw).map(|c| c.x).collect();
            let x =
                if on.is_empty() { pitch * throw as f64 } else { on.iter().sum::<f64>() / on.len() as f64 };
            ThrowPlace { x, at_zero_deg: angles[throw], rods: on.len().max(1) }
        })
        .collect();
    let in_order = places.windows(2).all(|w| w[1].x > w[0].x + 0.2 * pitch / 2.0);
    if !in_order {
        for (i, place) in places.iter_mut().enumerate() {
            place.x = pitch * i as f64;
        }
    }
    places
}

/// Mains stand between groups of throws, and one at either end.
fn main_places(throws: &[ThrowPlace], written: usize, sizes: &Sizes) -> Vec<f64> {
    let bays = written.saturating_sub(1).clamp(1, throws.len().max(1));
    let first_of = |bay: usize| bay * throws.len() / bays;
    let spacing = if throws.len() > 1 { (throws[1].x - throws[0].x).abs() } else { sizes.pitch.mm };
    let rods = throws.first().map_or(1, |t| t.rods) as f64;
    let least = sizes.rod_width.mm * rods + sizes.main_width.mm + 0.3 * sizes.bore.mm;
    let reach = (spacing / 2.0).max(least / 2.0);
    let Some((front, rear)) = throws.first().zip(throws.last()) else { return Vec::new() };
    let mut mains = vec![front.x - reach];
    for bay in 1..bays {
        let next = first_of(bay);
        mains.push(f64::midpoint(throws[next - 1].x, throws[next].x));
    }
    mains.push(rear.x + reach);
    mains
}
