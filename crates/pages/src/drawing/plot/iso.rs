//! Lines of equal value over a grid whose nodes may lie anywhere on the paper.

use super::super::svg::Point;

/// A grid of values, rows of columns, each node with its place on the paper.
pub(super) struct Grid<'a> {
    pub values: &'a [Vec<Option<f64>>],
    pub place: &'a dyn Fn(usize, usize) -> Point,
}

/// An end of a piece: the edge of the grid that it lies on, so that pieces are joined exactly.
type Edge = (usize, usize, bool);

impl Grid<'_> {
    /// Value of a node; None where there is none.
    pub fn value(&self, row: usize, column: usize) -> Option<f64> {
        self.values.get(row)?.get(column).copied().flatten().filter(|v| v.is_finite())
    }

    /// Where the level crosses an edge: from a node to the right, or (`down`) to the next row.
    fn crossing(&self, (row, column, down): Edge, level: f64) -> Option<Point> {
        let (r, c) = if down { (row + 1, column) } else { (row, column + 1) };
        let (a, b) = (self.value(row, column)?, self.value(r, c)?);
        if (a >= level) == (b >= level) {
            return None;
        }
        let t = (level - a) / (b - a);
        let (p, q) = ((self.place)(row, column), (self.place)(r, c));
        Some((p.0 + t * (q.0 - p.0), p.1 + t * (q.1 - p.1)))
    }

    /// Pieces of the line within the cells: two edges each.
    fn pieces(&self, level: f64) -> Vec<(Edge, Edge)> {
        let mut pieces = Vec::new();
        for row in 0..self.values.len().saturating_sub(1) {
            for column in 0..self.values[row].len().saturating_sub(1) {
                let corners = [(row, column), (row, column + 1), (row + 1, column + 1), (row + 1, column)];
                let Some(values) =
                    corners.iter().map(|(r, c)| self.value(*r, *c)).collect::<Option<Vec<f64>>>()
                else {
                    continue;
                };
                let edges: [Edge; 4] = [
                    (row, column, false),
                    (row, column + 1, true),
                    (row + 1, column, false),
                    (row, column, true),
                ];
                let crossed: Vec<Edge> =
                    edges.into_iter().filter(|e| self.crossing(*e, level).is_some()).collect();
                match crossed[..] {
                    [a, b] => pieces.push((a, b)),
                    [a, b, c, d] => {
                        // A saddle: the middle says which corners belong together.
                        let middle = values.iter().sum::<f64>() / 4.0;
                        if (middle >= level) == (values[0] >= level) {
                            pieces.extend([(a, b), (c, d)]);
                        } else {
                            pieces.extend([(a, d), (b, c)]);
                        }
                    }
                    _ => {}
                }
            }
        }
        pieces
    }

    /// The lines of one level, each as points on the paper.
    pub fn lines(&self, level: f64) -> Vec<Vec<Point>> {
        let mut pieces = self.pieces(level);
        let mut lines = Vec::new();
        while let Some((a, b)) = pieces.pop() {
            let mut chain = std::collections::VecDeque::from([a, b]);
            while let Some(at) = pieces.iter().position(|(p, q)| {
                [chain.front(), chain.back()].into_iter().flatten().any(|end| end == p || end == q)
            }) {
                let (p, q) = pieces.swap_remove(at);
                let back = chain.back().copied();
                if back == Some(p) {
                    chain.push_back(q);
                } else if back == Some(q) {
                    chain.push_back(p);
                } else if chain.front() == Some(&p) {
                    chain.push_front(q);
                } else {
                    chain.push_front(p);
                }
            }
            lines.push(chain.into_iter().filter_map(|edge| self.crossing(edge, level)).collect());
        }
        lines
    }

    /// Least and greatest value.
    pub fn span(&self) -> Option<(f64, f64)> {
        super::super::hand::span(self.values.iter().flatten().filter_map(|v| *v))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_a_cone_are_closed_rings_of_the_right_size() {
        let values: Vec<Vec<Option<f64>>> = (0..41)
            .map(|r| {
                (0..41)
                    .map(|c| {
                        let (x, y) = (f64::from(c) - 20.0, f64::from(r) - 20.0);
                        Some((x * x + y * y).sqrt())
                    })
                    .collect()
            })
            .collect();
        let grid = Grid { values: &values, place: &|r, c| (c as f64, r as f64) };
        let lines = grid.lines(10.0);
        assert_eq!(lines.len(), 1, "one ring");
        assert_eq!(lines[0].first(), lines[0].last(), "it closes");
        for (x, y) in &lines[0] {
            let radius = ((x - 20.0) * (x - 20.0) + (y - 20.0) * (y - 20.0)).sqrt();
            assert!((radius - 10.0).abs() < 0.02, "{radius}");
        }
    }

    #[test]
    fn a_hole_in_the_grid_leaves_a_gap() {
        let mut values = vec![vec![Some(0.0), Some(0.0), Some(0.0)], vec![Some(1.0), Some(1.0), Some(1.0)]];
        assert_eq!(Grid { values: &values, place: &|r, c| (c as f64, r as f64) }.lines(0.5)[0].len(), 3);
        values[0][2] = None;
        assert_eq!(Grid { values: &values, place: &|r, c| (c as f64, r as f64) }.lines(0.5)[0].len(), 2);
    }
}
