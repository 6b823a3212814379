//! Small systems of linear equations.

/// Solves `a x = b` by elimination with the largest pivot; `None` when the equations do not settle it.
pub(crate) fn solve<const N: usize>(mut a: [[f64; N]; N], mut b: [f64; N]) -> Option<[f64; N]> {
    /// A pivot this much smaller than the largest entry is rounding: 1000 times the rounding of a double.
    const LEAST_PIVOT: f64 = 1e-13;
    let largest = a.iter().flatten().fold(0.0, |m: f64, v| m.max(v.abs()));
    for k in 0..N {
        let pivot = (k..N).max_by(|i, j| a[*i][k].abs().total_cmp(&a[*j][k].abs()))?;
        let size = a[pivot][k].abs();
        if size.is_nan() || size <= LEAST_PIVOT * largest {
            return None;
        }
        a.swap(k, pivot);
        b.swap(k, pivot);
        for i in k + 1..N {
            let factor = a[i][k] / a[k][k];
            let above = a[k];
            for (entry, pivot) in a[i].iter_mut().zip(above).skip(k) {
                *entry -= factor * pivot;
            }
            b[i] -= factor * b[k];
        }
    }
    for k in (0..N).rev() {
        let known: f64 = (k + 1..N).map(|j| a[k][j] * b[j]).sum();
        b[k] = (b[k] - known) / a[k][k];
    }
    b.iter().all(|x| x.is_finite()).then_some(b)
}
