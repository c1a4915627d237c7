//! Small dense systems for the fits.

/// Solution of `matrix · x = right` by elimination with row pivoting; `None` when it is singular to rounding.
pub(super) fn solve<const N: usize>(mut matrix: [[f64; N]; N], mut right: [f64; N]) -> Option<[f64; N]> {
    let largest = matrix.iter().flatten().fold(0.0_f64, |most, a| most.max(a.abs()));
    for column in 0..N {
        let pivot =
            (column..N).max_by(|&a, &b| matrix[a][column].abs().total_cmp(&matrix[b][column].abs()))?;
        if matrix[pivot][column].abs() <= 1e-13 * largest || !matrix[pivot][column].is_finite() {
            return None;
        }
        matrix.swap(pivot, column);
        right.swap(pivot, column);
        for row in column + 1..N {
            let factor = matrix[row][column] / matrix[column][column];
            let above = matrix[column];
            for (a, b) in matrix[row].iter_mut().zip(above).skip(column) {
                *a -= factor * b;
            }
            right[row] -= factor * right[column];
        }
    }
    for row in (0..N).rev() {
        let known: f64 = (row + 1..N).map(|k| matrix[row][k] * right[k]).sum();
        right[row] = (right[row] - known) / matrix[row][row];
    }
    Some(right)
}

/// Inverse of a symmetric positive definite matrix, column by column.
pub(super) fn inverse<const N: usize>(matrix: [[f64; N]; N]) -> Option<[[f64; N]; N]> {
    let mut out = [[0.0; N]; N];
    for column in 0..N {
        let mut unit = [0.0; N];
        unit[column] = 1.0;
        let solved = solve(matrix, unit)?;
        for row in 0..N {
            out[row][column] = solved[row];
        }
    }
    Some(out)
}

/// Σ vᵢ vᵢᵀ.
pub(super) fn gram<const N: usize>(rows: impl IntoIterator<Item = [f64; N]>) -> [[f64; N]; N] {
    let mut out = [[0.0; N]; N];
    for v in rows {
        for i in 0..N {
            for j in 0..N {
                out[i][j] += v[i] * v[j];
            }
        }
    }
    out
}

/// Matrix times vector.
pub(super) fn times<const N: usize>(matrix: &[[f64; N]; N], v: [f64; N]) -> [f64; N] {
    matrix.map(|row| row.iter().zip(v).map(|(a, b)| a * b).sum())
}
