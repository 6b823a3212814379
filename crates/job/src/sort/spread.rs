//! Robust measures of a handful of numbers.

/// Standard deviation of a normal distribution over its median absolute deviation.
const SIGMA_OF_MAD: f64 = 1.4826;

/// A number by its place in order, 0..1; `None` without any. What is not finite is left out.
pub(super) fn quantile(values: impl IntoIterator<Item = f64>, place: f64) -> Option<f64> {
    let mut values: Vec<f64> = values.into_iter().filter(|value| value.is_finite()).collect();
    values.sort_by(f64::total_cmp);
    let last = values.len().checked_sub(1)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place within the list")]
    let index = (last as f64 * place.clamp(0.0, 1.0)).round() as usize;
    values.get(index).copied()
}

pub(super) fn median(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    quantile(values, 0.5)
}

/// Standard deviation by the median absolute deviation.
pub(super) fn sigma(values: &[f64]) -> Option<f64> {
    let middle = median(values.iter().copied())?;
    median(values.iter().map(|value| (value - middle).abs())).map(|mad| SIGMA_OF_MAD * mad)
}

/// Place of each number among all, 0 for the least and 1 for the greatest; equal numbers share theirs.
pub(super) fn ranks(values: &[Option<f64>]) -> Vec<Option<f64>> {
    let mut order: Vec<f64> = values.iter().flatten().copied().filter(|value| value.is_finite()).collect();
    order.sort_by(f64::total_cmp);
    let last = order.len().saturating_sub(1).max(1) as f64;
    values
        .iter()
        .map(|value| {
            let value = value.filter(|value| value.is_finite())?;
            let below = order.partition_point(|other| *other < value);
            let upto = order.partition_point(|other| *other <= value);
            Some((below + upto - 1) as f64 / 2.0 / last)
        })
        .collect()
}
