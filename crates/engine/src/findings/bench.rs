//! What every question works with: the engine, its sizes, its limits.

use super::common_practice;
use super::model::LimitUsed;
use crate::document::{Decision, Document, Limit, OperationKind, Origin, Supply, Target};
use crate::engine::Engine;
use crate::quantity::{Dimension, Length};
use crate::sizes::{ENDS_ALIKE, Size, Sizes};

/// Engine and sizes together.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    /// Document, places, readings, operations.
    pub engine: &'a Engine,
    /// Sizes of what was read.
    pub sizes: &'a Sizes,
}

/// A limit in SI with the standard deviation of the process, where it is known.
#[derive(Clone, Debug)]
pub struct Allowed {
    /// As a page shows it.
    pub used: LimitUsed,
    /// Process standard deviation, SI.
    pub process: Option<f64>,
}

impl<'a> Bench<'a> {
    /// The document.
    pub fn document(&self) -> &'a Document {
        &self.engine.document
    }

    /// The size read at a path.
    pub fn size(&self, path: &str) -> Option<&'a Size> {
        self.sizes.of_feature[self.engine.catalogue.find(path)?].as_ref()
    }

    /// Cylinder numbers.
    pub fn cylinders(&self) -> std::ops::RangeInclusive<u32> {
        1..=self.document().layout.cylinders.unwrap_or(0).min(12)
    }

    /// The limit of that name: the document's, else the trade's common practice, else none.
    pub fn limit(&self, name: &'static str) -> Option<Allowed> {
        if let Some(limit) = self.document().limits.given(name) {
            return from_limit(name, &limit);
        }
        let (min, max, target) = common_practice::range(name, self.document())?;
        let source = "replace it by the part maker's or your own".to_owned();
        Some(Allowed {
            used: LimitUsed {
                name: name.into(),
                min,
                max,
                target,
                origin: Origin::CommonPractice,
                source,
                guard_band: false,
            },
            process: None,
        })
    }
}

fn from_limit(name: &str, limit: &Limit<Length>) -> Option<Allowed> {
    let (min, max, target) = limit.si();
    if min.is_none() && max.is_none() {
        return None;
    }
    let used = LimitUsed {
        name: name.into(),
        min,
        max,
        target,
        origin: limit.origin,
        source: limit.source.clone(),
        guard_band: limit.decision == Decision::GuardBand,
    };
    Some(Allowed { used, process: limit.process.map(|p| p.0) })
}

/// The limit of a nominal size with tolerance.
pub fn from_target(name: &'static str, target: Option<&Target>) -> Option<Allowed> {
    let target = target?;
    let limit = Limit {
        min: target.min,
        max: target.max,
        target: target.nominal,
        origin: target.origin,
        source: target.source.clone(),
        decision: target.decision,
        process: None,
    };
    from_limit(name, &limit)
}

impl Allowed {
    /// Target, or the middle of a closed range.
    pub fn aim(&self) -> Option<f64> {
        let middle = self.used.min.zip(self.used.max).map(|(a, b)| f64::midpoint(a, b));
        self.used.target.or(middle)
    }
}

/// Decimals in which a window is shown in metric units.
pub const fn decimals(dimension: Dimension) -> usize {
    match dimension {
        Dimension::Length => 3,
        Dimension::Volume | Dimension::Ratio | Dimension::Roughness => 2,
        Dimension::Mass | Dimension::Temperature => 1,
        _ => 0,
    }
}

impl<'a> Bench<'a> {
    /// Price and lead time of a job, where the shop has written them.
    pub fn job(&self, kind: OperationKind) -> Option<&'a Supply> {
        self.document().shop.jobs.get(kind.word())
    }

    /// Price and lead time of a part by its name, or of the first whose name starts with it ("pushrod 8.140").
    pub fn part(&self, name: &str) -> Option<&'a Supply> {
        let parts = &self.document().shop.parts;
        parts.get(name).or_else(|| parts.iter().find(|(n, _)| n.starts_with(name)).map(|(_, supply)| supply))
    }
}

impl OperationKind {
    /// The word in documents.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Hone => "hone",
            Self::DeckSkim => "deck_skim",
            Self::HeadSkim => "head_skim",
            Self::Regrind => "regrind",
            Self::Polish => "polish",
            Self::SeatCut => "seat_cut",
            Self::AlignHone => "align_hone",
            Self::CapSeat => "cap_seat",
            Self::NewShells => "new_shells",
            Self::RingFile => "ring_file",
            Self::LashShim => "lash_shim",
            Self::SpringShim => "spring_shim",
            Self::BarrelShim => "barrel_shim",
            Self::ChamberRelief => "chamber_relief",
            Self::Sleeve => "sleeve",
            Self::NewPart => "new_part",
            Self::BigEndHone => "big_end_hone",
            Self::Handled => "handled",
        }
    }
}

/// A range of the trade that no document states. Common practice, no source.
fn of_the_trade(name: &str, min: Option<f64>, max: f64) -> Allowed {
    let used = LimitUsed {
        name: name.into(),
        min,
        max: Some(max),
        target: None,
        origin: Origin::CommonPractice,
        source: "common practice, no source".into(),
        guard_band: false,
    };
    Allowed { used, process: None }
}

/// What the bore of fitted shells may differ from housing less walls: − 8 to + 15 µm, since crush widens the housing.
/// Common practice, no source.
pub fn growth_window() -> Allowed {
    of_the_trade("growth by crush", Some(-8e-6), 15e-6)
}

/// How far the ends of a piston may stand apart at top dead centre. Common practice, no source.
pub fn level_window() -> Allowed {
    of_the_trade("ends of a piston apart", None, ENDS_ALIKE)
}
