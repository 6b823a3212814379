//! Real numbers to whole ones and to single precision, in one place: out of range they stop at the type's end.

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "meant: below 0 and NaN become 0")]
pub(crate) fn index(value: f64) -> usize {
    value as usize
}

#[expect(clippy::cast_possible_truncation, reason = "meant: the fraction is dropped, NaN becomes 0")]
pub(crate) fn step(value: f64) -> isize {
    value as isize
}

#[expect(clippy::cast_possible_truncation, reason = "meant: samples are single precision")]
pub(crate) fn single(value: f64) -> f32 {
    value as f32
}

pub(crate) fn signed(value: usize) -> isize {
    isize::try_from(value).unwrap_or(isize::MAX)
}

/// Whole pixels within `reach` of `centre` on an axis of `n`; `None` if there are none.
pub(crate) fn clipped(centre: f64, reach: f64, n: usize) -> Option<std::ops::Range<usize>> {
    if !centre.is_finite() || !reach.is_finite() {
        return None;
    }
    let from = (centre - reach).ceil().max(0.0);
    let to = (centre + reach).floor().min(n as f64 - 1.0);
    (from <= to).then(|| index(from)..index(to) + 1)
}
