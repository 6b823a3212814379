//! How likely so many matches are by chance.

/// Decimal logarithm of the chance of `least` or more events where `expected` are expected (Poisson).
pub(crate) fn log10_poisson_tail(least: usize, expected: f64) -> f64 {
    if least == 0 {
        return 0.0;
    }
    if expected <= 0.0 {
        return f64::NEG_INFINITY;
    }
    let n = least as f64;
    if n <= expected {
        return 0.0;
    }
    // the first term, and the falling ones after it as a geometric series from above
    let log_factorial: f64 = (1..=least).map(|i| (i as f64).ln()).sum();
    let first = n * expected.ln() - expected - log_factorial;
    let ratio = expected / (n + 1.0);
    ((first - (1.0 - ratio).ln()) / std::f64::consts::LN_10).min(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tail of a Poisson law of mean 2 from 8 on: 1.0967e-3 (summed by hand from its terms).
    #[test]
    fn the_tail_is_that_of_a_sum() {
        let mut term = (-2f64).exp();
        let mut below = 0.0;
        for i in 0..8 {
            below += term;
            term *= 2.0 / f64::from(i + 1);
        }
        assert!((log10_poisson_tail(8, 2.0) - (1.0 - below).log10()).abs() < 0.01);
        assert!(log10_poisson_tail(1, 5.0).abs() < 1e-9);
    }
}
