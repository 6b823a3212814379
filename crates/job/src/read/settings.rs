//! The light of one frame at the settings of another.

use super::ReadFrame;

/// By what the light of a frame is multiplied to stand at the settings of the first.
pub(super) fn factor_to(first: &ReadFrame, frame: &ReadFrame) -> Option<f64> {
    factor([first.exposure_s, first.iso, first.f_number], [frame.exposure_s, frame.iso, frame.f_number])
}

/// The ratio of exposure times ISO over the square of the F-number; settings in this order. What neither of the two says is
/// taken to be the same; what only one of them says leaves nothing to compare.
pub(super) fn factor(then: [Option<f64>; 3], now: [Option<f64>; 3]) -> Option<f64> {
    let ratio = |then: Option<f64>, now: Option<f64>| match (then, now) {
        (None, None) => Some(1.0),
        (Some(then), Some(now)) if then > 0.0 && now > 0.0 => Some(then / now),
        _one_alone => None,
    };
    let [exposure, iso, f_number] = [0, 1, 2].map(|which| ratio(then[which], now[which]));
    Some(exposure? * iso? / f_number?.powi(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Exact: ratios of small whole numbers.
    const EXACT: f64 = 1e-12;

    #[test]
    fn settings_that_only_one_frame_says_give_no_factor() {
        let all = [Some(4.0), Some(1600.0), Some(2.0)];
        let other = [Some(2.0), Some(3200.0), Some(4.0)];
        // half the time, twice the ISO, a quarter of the pupil: four times less light
        assert!((factor(all, other).unwrap() - 4.0).abs() < EXACT);
        assert_eq!(factor(all, [Some(4.0), None, Some(2.0)]), None);
        assert_eq!(factor([Some(4.0), None, None], all), None);
        assert!((factor([Some(4.0), None, None], [Some(1.0), None, None]).unwrap() - 4.0).abs() < EXACT);
        assert_eq!(factor([None; 3], [None; 3]), Some(1.0));
        assert_eq!(factor([Some(0.0), None, None], [Some(1.0), None, None]), None);
    }
}
