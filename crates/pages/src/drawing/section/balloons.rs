//! Balloons around a view: placed on a ring outside the outline so that leaders do not cross.

use crate::drawing::svg::Point;

/// A rectangle on the paper, px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// Left.
    pub left: f64,
    /// Top.
    pub top: f64,
    /// Right.
    pub right: f64,
    /// Bottom.
    pub bottom: f64,
}

impl Area {
    /// Grown on all sides.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, right: self.right + by, bottom: self.bottom + by }
    }
}

/// Sides of the ring that may carry balloons, one independent of the other.
#[expect(clippy::struct_excessive_bools, reason = "four sides, each free or not")]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sides {
    /// Above.
    pub top: bool,
    /// Below.
    pub bottom: bool,
    /// Left.
    pub left: bool,
    /// Right.
    pub right: bool,
}

/// Middle to middle, px: two balloons with their outlines.
const LEAST: f64 = 34.5;
/// Wanted distance: a finger's width.
const WANTED: f64 = 46.0;

/// Moves values apart until neighbours differ by `gap`, staying within `low..=high` and as near as possible to where
/// they want to be (pool adjacent violators: groups that touch move as one).
pub fn spread(wanted: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let n = wanted.len();
    if n == 0 {
        return Vec::new();
    }
    let gap = if n > 1 { gap.min((high - low) / (n - 1) as f64) } else { gap };
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    // With k · gap taken off, "apart by gap" becomes "not falling": isotonic regression.
    let mut groups: Vec<(f64, usize)> = Vec::new();
    for (k, &i) in order.iter().enumerate() {
        groups.push((wanted[i] - gap * k as f64, 1));
        while groups.len() > 1 && groups[groups.len() - 2].0 > groups[groups.len() - 1].0 {
            let (b, m) = groups.pop().unwrap_or((0.0, 0));
            if let Some(last) = groups.last_mut() {
                *last = ((last.0 * last.1 as f64 + b * m as f64) / (last.1 + m) as f64, last.1 + m);
            }
        }
    }
    let mut placed = vec![0.0; n];
    let mut k = 0;
    for (value, count) in groups {
        // Where they fill the side, rounding may leave the end before the beginning.
        let value = value.clamp(low, (high - gap * (n - 1) as f64).max(low));
        for _ in 0..count {
            placed[order[k]] = value + gap * k as f64;
            k += 1;
        }
    }
    placed
}

/// Places a balloon for each anchor on the ring around `outline`.
pub fn place(anchors: &[Point], outline: Area, sides: Sides) -> Vec<Point> {
    let ring = outline.grown(22.0);
    let mut groups: [Vec<usize>; 4] = Default::default();
    let room = |side: usize| {
        let length = if side < 2 { ring.right - ring.left } else { ring.bottom - ring.top };
        ((length / LEAST).floor() as usize).max(1)
    };
    for (i, anchor) in anchors.iter().enumerate() {
        let mut cost = [
            (anchor.1 - ring.top).abs(),
            (ring.bottom - anchor.1).abs(),
            (anchor.0 - ring.left).abs() * 1.15,
            (ring.right - anchor.0).abs() * 1.15,
        ];
        for (side, allowed) in [sides.top, sides.bottom, sides.left, sides.right].into_iter().enumerate() {
            if !allowed || groups[side].len() >= room(side) {
                cost[side] += 1e6;
            }
        }
        let best = (0..4).min_by(|a, b| cost[*a].total_cmp(&cost[*b])).unwrap_or(0);
        groups[best].push(i);
    }
    let mut places = vec![(0.0, 0.0); anchors.len()];
    for (side, members) in groups.iter().enumerate() {
        let along: Vec<f64> =
            members.iter().map(|i| if side < 2 { anchors[*i].0 } else { anchors[*i].1 }).collect();
        let (low, high) =
            if side < 2 { (ring.left, ring.right) } else { (ring.top + 24.0, ring.bottom - 24.0) };
        for (i, at) in members.iter().zip(spread(&along, WANTED, low, high.max(low))) {
            places[*i] = match side {
                0 => (at, ring.top),
                1 => (at, ring.bottom),
                2 => (ring.left, at),
                _ => (ring.right, at),
            };
        }
    }
    uncross(anchors, &mut places);
    places
}

/// Two leaders that cross exchange their balloons: together they get shorter, so this ends.
fn uncross(anchors: &[Point], places: &mut [Point]) {
    for _ in 0..200 {
        let mut changed = false;
        for i in 0..anchors.len() {
            for j in i + 1..anchors.len() {
                if cross(anchors[i], places[i], anchors[j], places[j]) {
                    places.swap(i, j);
                    changed = true;
                }
            }
        }
        if !changed {
            return;
        }
    }
}

/// Do two leaders cross?
pub fn cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.0 - p.0) * (r.1 - p.1) - (q.1 - p.1) * (r.0 - p.0);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As many as fill a side, and more: rounding may leave no room, which is no reason to fall over.
    #[test]
    fn balloons_that_fill_a_side_stay_on_it() {
        for n in 2..70 {
            for k in 0..50 {
                let low = 0.37 + 1.7 * f64::from(k);
                let high = low + 613.1 / f64::from(k + 1);
                let wanted: Vec<f64> = (0..n).map(|i| f64::from(i * 7 % 13)).collect();
                let placed = spread(&wanted, WANTED, low, high);
                assert!(placed.iter().all(|p| *p > low - 1e-6 && *p < high + 1e-6), "{n} in {low} to {high}");
            }
        }
    }
}
