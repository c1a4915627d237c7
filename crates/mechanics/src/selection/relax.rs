//! What to relax when the windows cannot all be met.

use super::NanoWindow;

/// Which windows to widen so that everything fits.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Relaxation {
    /// Least widening of every window at both ends, in the window's unit; `None` when no widening helps (parts are missing).
    pub uniform: Option<f64>,
    /// Each window whose widening at one end alone suffices, the least widening first.
    pub single: Vec<SingleRelaxation>,
}

/// One end of one window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SingleRelaxation {
    /// Which window, from 0, in the order that the solver documents.
    pub window: usize,
    /// Whether it is the upper limit; otherwise the lower.
    pub upper: bool,
    /// By how much, in the window's unit.
    pub by: f64,
}

/// Finds both kinds by bisection over the finitely many widenings at which something changes.
///
/// `reachable` are the values that each window could see, `feasible` whether all windows can be met at once; it must not
/// turn false when a window gets wider.
pub(crate) fn relaxation(
    windows: &[NanoWindow],
    reachable: &[Vec<i64>],
    mut feasible: impl FnMut(&[NanoWindow]) -> bool,
) -> Relaxation {
    let excesses = windows.iter().zip(reachable).flat_map(|(w, values)| values.iter().map(|&v| w.excess(v)));
    let uniform = least(excesses.collect(), |by| {
        feasible(&windows.iter().map(|window| window.widened(by)).collect::<Vec<_>>())
    });
    let mut single = Vec::new();
    for (index, window) in windows.iter().enumerate() {
        for upper in [false, true] {
            let one_sided = |value: &i64| if upper { value - window.max } else { window.min - value };
            let steps = reachable[index].iter().map(one_sided).filter(|&by| by > 0).collect();
            let by = least(steps, |by| {
                let mut relaxed = windows.to_vec();
                *(if upper { &mut relaxed[index].max } else { &mut relaxed[index].min }) +=
                    if upper { by } else { -by };
                feasible(&relaxed)
            });
            single.extend(by.map(|by| SingleRelaxation { window: index, upper, by: by as f64 * 1e-9 }));
        }
    }
    single.sort_by(|a, b| a.by.total_cmp(&b.by));
    Relaxation { uniform: uniform.map(|by| by as f64 * 1e-9), single }
}

/// The least of the candidates that will do, if any; `enough` is monotone.
fn least(mut candidates: Vec<i64>, mut enough: impl FnMut(i64) -> bool) -> Option<i64> {
    candidates.sort_unstable();
    candidates.dedup();
    if !enough(*candidates.last()?) {
        return None;
    }
    let (mut low, mut high) = (0, candidates.len() - 1);
    while low < high {
        let middle = low.midpoint(high);
        if enough(candidates[middle]) { high = middle } else { low = middle + 1 }
    }
    Some(candidates[high])
}
