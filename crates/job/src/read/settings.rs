//! The light of one frame at the settings of another.

use super::ReadFrame;

/// By what the light of a frame is multiplied to stand at the settings of the first: exposure times ISO over the square of the
/// F-number. What neither of the two says is taken to be the same; what only one of them says leaves nothing to compare.
pub(super) fn factor_to(first: &ReadFrame, frame: &ReadFrame) -> Option<f64> {
    let ratio = |then: Option<f64>, now: Option<f64>| match (then, now) {
        (None, None) => Some(1.0),
        (Some(then), Some(now)) if then > 0.0 && now > 0.0 => Some(then / now),
        _one_alone_or_none_at_all => None,
    };
    let exposure = ratio(first.exposure_s, frame.exposure_s)?;
    let iso = ratio(first.iso, frame.iso)?;
    let f_number = ratio(first.f_number, frame.f_number)?;
    Some(exposure * iso / (f_number * f_number))
}
