//! Middle and spread that a few wild values do not move.

/// Standard deviation of a Gaussian in units of its median absolute deviation: 1 / 0.6745.
pub(crate) const SIGMA_PER_MAD: f64 = 1.482_602_218_505_602;

/// Whether a value lies above a limit; not where either is not a number.
pub(crate) fn exceeds(value: f64, limit: f64) -> bool {
    value > limit
}

/// Median of the values; the list is put in order. None of an empty list. Values must be finite.
pub(crate) fn median(values: &mut [f64]) -> Option<f64> {
    quantile(values, 0.5)
}

/// The value at a place 0..1 in order, between neighbours by a straight line. None of an empty list.
pub(crate) fn quantile(values: &mut [f64], place: f64) -> Option<f64> {
    let last = values.len().checked_sub(1)?;
    let wanted = last as f64 * place.clamp(0.0, 1.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the last index")]
    let below = wanted.floor() as usize;
    let (_, low, above) = values.select_nth_unstable_by(below, f64::total_cmp);
    let low = *low;
    let high = above.iter().copied().min_by(f64::total_cmp).unwrap_or(low);
    Some(low + (high - low) * (wanted - below as f64))
}

/// Median and Gaussian-equivalent spread (median absolute deviation).
pub(crate) fn middle_and_spread(values: &[f64]) -> Option<(f64, f64)> {
    let mut scratch = values.to_vec();
    let middle = median(&mut scratch)?;
    for value in &mut scratch {
        *value = (*value - middle).abs();
    }
    Some((middle, median(&mut scratch)? * SIGMA_PER_MAD))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_lie_between_neighbours() {
        assert_eq!(median(&mut [3.0, 1.0]), Some(2.0));
        assert_eq!(median(&mut []), None);
        assert_eq!(quantile(&mut [4.0, 1.0, 3.0, 2.0, 5.0], 0.25), Some(2.0));
    }

    #[test]
    fn one_wild_value_does_not_move_the_spread() {
        let (middle, spread) = middle_and_spread(&[1.0, 2.0, 3.0, 4.0, 1e9]).unwrap();
        assert!((middle - 3.0).abs() < 1e-12 && (spread - SIGMA_PER_MAD).abs() < 1e-12);
    }
}
