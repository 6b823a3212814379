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

/// Numbers found by least squares, with their errors.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fit<const N: usize> {
    pub(crate) values: [f64; N],
    /// Standard deviations, from the scatter of the rows about the fit.
    pub(crate) sigmas: [f64; N],
    /// Scatter of one row, as a standard deviation.
    pub(crate) scatter: f64,
}

/// Rounds of reweighting: the weights are at rest well before.
const ROUNDS: usize = 12;
/// Distance in units of scatter at which a row's weight is halved (Cauchy's weights; 2.385 keeps 95 % of the efficiency
/// for Gaussian errors: common practice, no source).
const HALF_WEIGHT_SCATTER: f64 = 2.385;
/// Standard deviation of a Gaussian over its median absolute value.
const SIGMA_PER_MEDIAN: f64 = 1.482_602_2;

impl<const N: usize> Fit<N> {
    /// Fits `row · values = right` with little weight for rows that do not fit; `None` when the rows do not settle it.
    pub(crate) fn robust(rows: &[([f64; N], f64)]) -> Option<Self> {
        let mut weights = vec![1.0; rows.len()];
        let mut answer = None;
        for _ in 0..ROUNDS {
            let fit = Self::weighted(rows, &weights)?;
            let scatter = fit.scatter;
            for (weight, (row, right)) in weights.iter_mut().zip(rows) {
                let residual = right - dot(row, &fit.values);
                *weight = if scatter > 0.0 {
                    (1.0 + (residual / (HALF_WEIGHT_SCATTER * scatter)).powi(2)).recip()
                } else {
                    1.0
                };
            }
            answer = Some(fit);
        }
        answer
    }

    pub(crate) fn weighted(rows: &[([f64; N], f64)], weights: &[f64]) -> Option<Self> {
        let mut normal = [[0.0; N]; N];
        let mut right = [0.0; N];
        for ((row, value), weight) in rows.iter().zip(weights) {
            for i in 0..N {
                right[i] += weight * row[i] * value;
                for j in 0..N {
                    normal[i][j] += weight * row[i] * row[j];
                }
            }
        }
        let values = solve(normal, right)?;
        let mut sizes: Vec<f64> = rows.iter().map(|(row, value)| (value - dot(row, &values)).abs()).collect();
        let middle = sizes.len() / 2;
        let freedom = (rows.len() as f64 / (rows.len() as f64 - N as f64).max(1.0)).sqrt();
        let scatter = SIGMA_PER_MEDIAN * freedom * *sizes.select_nth_unstable_by(middle, f64::total_cmp).1;
        let mut sigmas = [0.0; N];
        for (i, sigma) in sigmas.iter_mut().enumerate() {
            let mut unit = [0.0; N];
            unit[i] = 1.0;
            *sigma = scatter * solve(normal, unit)?[i].max(0.0).sqrt();
        }
        Some(Self { values, sigmas, scatter })
    }
}

pub(crate) fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
