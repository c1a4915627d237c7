//! Rings to cylinders, and how much to file off each end gap.
//!
//! Objectives in order: gaps above the window (filing cannot mend them); how far above in total, nm; rings to file; rings that leave
//! the cylinder they were read in; metal to file, nm; Σ (gap − target)², nm². A ring whose gap is inside the window is
//! left alone; one below it is filed to the target.

use super::assignment::assign;
use super::relax::relaxation;
use super::{NanoWindow, Objectives, SelectionError, Solution, Window, nano};
use core::f64::consts::PI;

/// A ring and where its gap was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// End gap, m.
    pub gap: f64,
    /// Bore in which it was read, m.
    pub read_in: f64,
    /// The cylinder whose bore that was, from 0; `None` for a ring gauge.
    pub cylinder: Option<usize>,
}

/// What one cylinder gets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RingChoice {
    /// Ring, by its index.
    pub ring: usize,
    /// Gap in this bore before filing, m.
    pub gap_before: f64,
    /// To file off, m; 0: leave it.
    pub filing: f64,
}

/// Chooses a ring for every bore; exact, always proved. The relaxation's only window is the gap's, at its upper limit.
///
/// # Errors
/// When a size is no length, the window is not ordered or there are fewer rings than bores.
pub fn choose(
    bores: &[f64],
    rings: &[Ring],
    window: &Window,
) -> Result<Solution<Vec<RingChoice>, 6>, SelectionError> {
    let limits = NanoWindow::new(0, window)?;
    let mut gaps = Vec::with_capacity(bores.len() * rings.len());
    for (cylinder, &bore) in bores.iter().enumerate() {
        nano("bore", cylinder, bore)?;
        for (index, ring) in rings.iter().enumerate() {
            nano("bore of ring", index, ring.read_in)?;
            gaps.push(nano("gap of ring", index, ring.gap + PI * (bore - ring.read_in))?);
        }
    }
    let gap = |cylinder: usize, ring: usize| gaps[cylinder * rings.len() + ring];
    let cost = |limits: &NanoWindow, cylinder: usize, ring: usize| {
        let before = gap(cylinder, ring);
        let above = (before - limits.max).max(0);
        let filing = if before < limits.min { limits.target - before } else { 0 };
        Objectives([
            i64::from(above > 0),
            above,
            i64::from(filing > 0),
            i64::from(rings[ring].cylinder.is_some_and(|home| home != cylinder)),
            filing,
            limits.squared_deviation(before + filing),
        ])
    };
    let Ok(best) = assign(bores.len(), rings.len(), |cylinder, ring| Some(cost(&limits, cylinder, ring)))
    else {
        return Err(SelectionError::TooFew { name: "rings", found: rings.len(), needed: bores.len() });
    };
    let choice = best.column_of_row.iter().enumerate().map(|(cylinder, &ring)| {
        let before = gap(cylinder, ring);
        let filing = if before < limits.min { limits.target - before } else { 0 };
        RingChoice { ring, gap_before: before as f64 * 1e-9, filing: filing as f64 * 1e-9 }
    });
    let relaxation = (best.cost.0[0] > 0).then(|| {
        relaxation(&[limits], &[gaps.clone()], |limits| {
            let inside =
                |cylinder, ring| (cost(&limits[0], cylinder, ring).0[0] == 0).then_some(Objectives([]));
            assign(bores.len(), rings.len(), inside).is_ok()
        })
    });
    Ok(Solution {
        choice: choice.collect(),
        objectives: best.cost,
        proved: true,
        bound: best.cost,
        explored: best.explored,
        relaxation,
    })
}
