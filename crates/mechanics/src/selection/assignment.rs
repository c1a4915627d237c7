//! The assignment problem with ordered objectives: each row gets one column, at the least total cost.
//!
//! Kuhn's Hungarian method in the shortest-augmenting-path form, O(n² m) (Kuhn 1955; Munkres 1957; Jonker & Volgenant
//! 1987, from memory). It only adds, subtracts and compares, so it works over any ordered group, here [`Objectives`].
//! The duals it returns prove the optimum: [`Assignment::verify`] checks them without trusting the search.

use super::Objectives;

/// A best assignment with its certificate.
#[derive(Clone, Debug, PartialEq)]
pub struct Assignment<const N: usize> {
    /// The column of each row.
    pub column_of_row: Vec<usize>,
    /// Total cost.
    pub cost: Objectives<N>,
    /// One dual value a row.
    pub row_duals: Vec<Objectives<N>>,
    /// One dual value a column, never positive, zero where the column is left over.
    pub column_duals: Vec<Objectives<N>>,
    /// How many columns were scanned for the shortest paths.
    pub explored: u64,
}

/// Why no assignment exists: these rows together may only take these columns, which are fewer (Hall's condition).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Blocked {
    /// Too many rows …
    pub rows: Vec<usize>,
    /// … for these columns.
    pub columns: Vec<usize>,
}

/// Assigns every row its own column at the least total cost; `cost` is `None` where a pair is forbidden.
///
/// Ties are broken by the lowest column in the order of the search: the same input gives the same answer.
///
/// # Errors
/// [`Blocked`] when the rows cannot all be served.
pub fn assign<const N: usize>(
    rows: usize,
    columns: usize,
    cost: impl Fn(usize, usize) -> Option<Objectives<N>>,
) -> Result<Assignment<N>, Blocked> {
    let table: Vec<Option<Objectives<N>>> = (0..rows)
        .flat_map(|row| (0..columns).map(move |column| (row, column)))
        .map(|(r, c)| cost(r, c))
        .collect();
    let mut search = Search {
        columns,
        table,
        row_duals: vec![Objectives::ZERO; rows],
        column_duals: vec![Objectives::ZERO; columns],
        row_of_column: vec![None; columns],
        explored: 0,
    };
    for row in 0..rows {
        search.augment(row)?;
    }
    let mut column_of_row = vec![0; rows];
    let mut total = Objectives::ZERO;
    for (column, row) in search.row_of_column.iter().enumerate() {
        if let Some(row) = *row {
            column_of_row[row] = column;
            total = search.table[row * columns + column].map_or(total, |cost| total + cost);
        }
    }
    Ok(Assignment {
        column_of_row,
        cost: total,
        row_duals: search.row_duals,
        column_duals: search.column_duals,
        explored: search.explored,
    })
}

struct Search<const N: usize> {
    columns: usize,
    table: Vec<Option<Objectives<N>>>,
    row_duals: Vec<Objectives<N>>,
    column_duals: Vec<Objectives<N>>,
    row_of_column: Vec<Option<usize>>,
    explored: u64,
}

impl<const N: usize> Search<N> {
    /// Gives `start` a column by the cheapest alternating path, keeping the duals feasible and tight on the matching.
    fn augment(&mut self, start: usize) -> Result<(), Blocked> {
        let mut distance: Vec<Option<Objectives<N>>> = vec![None; self.columns];
        let mut came_from: Vec<Option<usize>> = vec![None; self.columns];
        let mut done = vec![false; self.columns];
        let mut tree: Vec<usize> = Vec::new();
        let (mut row, mut through, mut so_far) = (start, None, Objectives::ZERO);
        let free = loop {
            let mut best: Option<(Objectives<N>, usize)> = None;
            for column in 0..self.columns {
                if done[column] {
                    continue;
                }
                self.explored += 1;
                if let Some(cost) = self.table[row * self.columns + column] {
                    let length = so_far + cost - self.row_duals[row] - self.column_duals[column];
                    if distance[column].is_none_or(|known| length < known) {
                        distance[column] = Some(length);
                        came_from[column] = through;
                    }
                }
                if let Some(length) = distance[column]
                    && best.is_none_or(|(least, _)| length < least)
                {
                    best = Some((length, column));
                }
            }
            let Some((length, column)) = best else {
                let rows = tree.iter().filter_map(|&c| self.row_of_column[c]).chain([start]).collect();
                return Err(Blocked { rows, columns: tree });
            };
            so_far = length;
            done[column] = true;
            match self.row_of_column[column] {
                None => break column,
                Some(next) => {
                    tree.push(column);
                    (row, through) = (next, Some(column));
                }
            }
        };
        self.adjust_duals(start, &tree, &distance, so_far);
        self.flip(start, free, &came_from);
        Ok(())
    }

    fn adjust_duals(
        &mut self,
        start: usize,
        tree: &[usize],
        distance: &[Option<Objectives<N>>],
        shortest: Objectives<N>,
    ) {
        self.row_duals[start] = self.row_duals[start] + shortest;
        for &column in tree {
            let slack = shortest - distance[column].unwrap_or(shortest);
            self.column_duals[column] = self.column_duals[column] - slack;
            if let Some(row) = self.row_of_column[column] {
                self.row_duals[row] = self.row_duals[row] + slack;
            }
        }
    }

    fn flip(&mut self, start: usize, free: usize, came_from: &[Option<usize>]) {
        let mut column = free;
        while let Some(previous) = came_from[column] {
            self.row_of_column[column] = self.row_of_column[previous];
            column = previous;
        }
        self.row_of_column[column] = Some(start);
    }
}

impl<const N: usize> Assignment<N> {
    /// Whether the duals prove that nothing is cheaper: every row has its own allowed column, the duals nowhere exceed
    /// the cost, meet it on the assignment (complementary slackness), and are never positive on columns and zero on
    /// those left over. Then the cost equals the sum of the duals, which no assignment can undercut.
    pub fn verify(
        &self,
        rows: usize,
        columns: usize,
        cost: impl Fn(usize, usize) -> Option<Objectives<N>>,
    ) -> bool {
        let mut taken = vec![false; columns];
        let mut total = Objectives::ZERO;
        if [self.column_of_row.len(), self.row_duals.len()] != [rows; 2] || self.column_duals.len() != columns
        {
            return false;
        }
        for row in 0..rows {
            let mine = self.column_of_row[row];
            if mine >= columns || core::mem::replace(&mut taken[mine], true) {
                return false;
            }
            let Some(paid) = cost(row, mine) else { return false };
            total = total + paid;
            let feasible = (0..columns)
                .all(|c| cost(row, c).is_none_or(|cost| self.row_duals[row] + self.column_duals[c] <= cost));
            if !feasible || self.row_duals[row] + self.column_duals[mine] != paid {
                return false;
            }
        }
        let left_over_free = (0..columns).all(|c| {
            self.column_duals[c] <= Objectives::ZERO && (taken[c] || self.column_duals[c] == Objectives::ZERO)
        });
        left_over_free && total == self.cost
    }
}
