//! A small square matrix, factorised: no heap.

/// Rows are equations, columns coordinates.
pub type Matrix<T, const N: usize> = [[T; N]; N];

/// A pivot this small against the largest is rounding.
const SINGULAR: f64 = 1e-11;

/// Lower and upper triangle of a matrix whose rows have been exchanged so that every pivot is the largest of its column.
#[derive(Clone, Copy, Debug)]
pub struct Factors<const N: usize> {
    triangles: Matrix<f64, N>,
    rows: [usize; N],
    /// Whether the determinant is positive.
    pub positive: bool,
    /// Whether it is singular to rounding, or not a number. It can be solved all the same, by a tiny number in place of a
    /// pivot that vanishes: the result then points the way that the matrix annuls.
    pub singular: bool,
}

#[allow(clippy::needless_range_loop, reason = "triangles are read by row and column")]
impl<const N: usize> Factors<N> {
    /// Factorises a matrix.
    #[inline]
    pub fn new(mut matrix: Matrix<f64, N>) -> Self {
        let mut rows = std::array::from_fn(|row| row);
        let mut positive = true;
        let (mut least, mut most) = (f64::INFINITY, f64::MIN_POSITIVE);
        for column in 0..N {
            let mut best = column;
            for row in column + 1..N {
                if matrix[row][column].abs() > matrix[best][column].abs() {
                    best = row;
                }
            }
            if best != column {
                matrix.swap(best, column);
                rows.swap(best, column);
                positive = !positive;
            }
            let mut pivot = matrix[column][column];
            most = most.max(pivot.abs());
            if pivot.abs() < SINGULAR * most {
                pivot = pivot.signum() * SINGULAR * most;
            }
            positive ^= pivot < 0.0;
            least = least.min(pivot.abs());
            let inverse = pivot.recip();
            // The inverse is what both substitutions need.
            matrix[column][column] = inverse;
            let upper = matrix[column];
            for row in column + 1..N {
                let factor = matrix[row][column] * inverse;
                matrix[row][column] = factor;
                for later in column + 1..N {
                    matrix[row][later] -= factor * upper[later];
                }
            }
        }
        // Also where they are not numbers.
        let sound = least > 2.0 * SINGULAR * most;
        Factors { triangles: matrix, rows, positive, singular: !sound }
    }

    /// The column that the matrix turns into `right`.
    #[inline]
    pub fn solve(&self, right: &[f64; N]) -> [f64; N] {
        let mut result = [0.0; N];
        for row in 0..N {
            let mut sum = right[self.rows[row]];
            for earlier in 0..row {
                sum -= self.triangles[row][earlier] * result[earlier];
            }
            result[row] = sum;
        }
        for row in (0..N).rev() {
            let mut sum = result[row];
            for later in row + 1..N {
                sum -= self.triangles[row][later] * result[later];
            }
            result[row] = sum * self.triangles[row][row];
        }
        result
    }

    /// The inverse matrix.
    pub fn inverse(&self) -> Matrix<f64, N> {
        let mut result = [[0.0; N]; N];
        for column in 0..N {
            let mut unit = [0.0; N];
            unit[column] = 1.0;
            for (row, entry) in self.solve(&unit).into_iter().enumerate() {
                result[row][column] = entry;
            }
        }
        result
    }
}
