//! Small least-squares problems.

#![expect(clippy::needless_range_loop, reason = "matrix algebra reads as the textbook writes it")]

/// Solves a symmetric positive definite system for several right-hand sides by Cholesky's method.
///
/// A system that is not positive definite gives numbers that are not finite.
pub(crate) fn solve_normal<const N: usize, const K: usize>(
    mut normal: [[f64; N]; N],
    mut right: [[f64; K]; N],
) -> [[f64; K]; N] {
    for column in 0..N {
        let below: f64 = normal[column][..column].iter().map(|l| l * l).sum();
        let pivot = (normal[column][column] - below).sqrt();
        normal[column][column] = pivot;
        for row in column + 1..N {
            let sum: f64 = (0..column).map(|k| normal[row][k] * normal[column][k]).sum();
            normal[row][column] = (normal[row][column] - sum) / pivot;
        }
    }
    for side in 0..K {
        for row in 0..N {
            let sum: f64 = (0..row).map(|k| normal[row][k] * right[k][side]).sum();
            right[row][side] = (right[row][side] - sum) / normal[row][row];
        }
        for row in (0..N).rev() {
            let sum: f64 = (row + 1..N).map(|k| normal[k][row] * right[k][side]).sum();
            right[row][side] = (right[row][side] - sum) / normal[row][row];
        }
    }
    right
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_system_with_a_known_answer_is_solved() {
        let normal = [[4.0, 2.0, 1.0], [2.0, 5.0, 3.0], [1.0, 3.0, 6.0]];
        let answer = [[1.0, -2.0], [0.5, 3.0], [-1.0, 0.25]];
        let right: [[f64; 2]; 3] = std::array::from_fn(|i| {
            std::array::from_fn(|k| (0..3).map(|j: usize| normal[i][j] * answer[j][k]).sum::<f64>())
        });
        let solved = solve_normal(normal, right);
        assert!((0..3).all(|i| (0..2).all(|k| (solved[i][k] - answer[i][k]).abs() < 1e-12)));
    }
}
