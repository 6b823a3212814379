//! Exposure changes evened out: what must go, and what must stay.

use sequence::{DeflickerBasis, FrameLevel, SequenceError, background_level, deflicker_gains};

/// Rounding of double precision over some hundred sums of numbers near 1.
const EXACT: f64 = 1e-9;

fn shown(frames: &[FrameLevel]) -> Vec<f64> {
    let gains = deflicker_gains(frames).unwrap().gains;
    frames.iter().zip(gains).map(|(frame, gain)| frame.background[1] * gain[1]).collect()
}

fn frames(levels: impl IntoIterator<Item = f64>, exposure: impl Fn(usize) -> Option<f64>) -> Vec<FrameLevel> {
    let level = |(i, level): (usize, f64)| FrameLevel { background: [level; 3], exposure: exposure(i) };
    levels.into_iter().enumerate().map(level).collect()
}

/// Repeatable scatter: a linear congruence (Park & Miller 1988), even in -1..1.
fn scatter(count: usize) -> Vec<f64> {
    let mut state = 20_140_310_u64;
    (0..count)
        .map(|_| {
            state = state * 16_807 % 2_147_483_647;
            2.0 * state as f64 / 2_147_483_647.0 - 1.0
        })
        .collect()
}

/// A local straight line reproduces straight lines, to the ends (Cleveland 1979; Fan 1992, design adaptation): a sky that
/// brightens steadily, as at dawn, keeps its course.
#[test]
fn a_steady_course_is_left_as_it_is_up_to_the_ends() {
    for exposure in [Some(4.0), None] {
        let frames = frames((0..80).map(|i| 0.01 * f64::exp(0.04 * f64::from(i))), |_| exposure);
        for gain in deflicker_gains(&frames).unwrap().gains.concat() {
            assert!((gain - 1.0).abs() < EXACT, "{gain}");
        }
    }
}

/// A pulsation of 40 % within a second, settings unchanged: no more than a shutter's scatter is taken from its swing.
#[test]
fn a_pulsating_sky_is_not_flattened_where_the_settings_stay() {
    /// The rule takes at most 10 % of a level away at the crest and adds as much in the trough.
    const LEAST_LEFT: f64 = 0.4 - 0.1;
    let course: Vec<f64> = (0..100).map(|i| 0.02 * f64::exp(0.4 * f64::sin(f64::from(i)))).collect();
    let shown = shown(&frames(course, |_| Some(8.0)));
    let logs: Vec<f64> = shown[20..80].iter().map(|level| (level / 0.02).ln()).collect();
    let (low, high) = logs.iter().fold((f64::MAX, f64::MIN), |(low, high), log| (low.min(*log), high.max(*log)));
    assert!(high > LEAST_LEFT - 0.01 && low < -LEAST_LEFT + 0.01, "{low} {high}");
}

/// Two stops more in one frame, with the sky brightening by itself: the step is gone, the sky's own course is still there.
#[test]
fn a_step_of_the_settings_becomes_a_smooth_course_of_the_size_measured() {
    /// A camera's curve makes 1.2 of the 1.386 that the settings name.
    const AS_SHOWN: f64 = 1.2;
    /// Spread over 25 frames by weights that are greatest in the middle: a local line's steepest is below 1.5 / 12.
    const STEEPEST: f64 = 1.5 / 12.0 * AS_SHOWN;
    let own = |i: usize| 0.01 * i as f64;
    let level = |i: usize| f64::exp(own(i) + if i < 50 { 0.0 } else { AS_SHOWN }) * 0.01;
    let frames = frames((0..100).map(level), |i| Some(if i < 50 { 2.0 } else { 8.0 }));
    let found = deflicker_gains(&frames).unwrap();
    assert_eq!((found.steps, found.basis), (1, DeflickerBasis::Settings));
    let shown: Vec<f64> = shown(&frames).iter().map(|level| (level / 0.01).ln()).collect();
    for pair in shown.windows(2) {
        assert!(pair[1] > pair[0] - 0.02 && pair[1] - pair[0] < STEEPEST, "{pair:?}");
    }
    // far from the step nothing is changed
    for i in [0, 20, 80, 99] {
        let height = own(i) + if i < 50 { 0.0 } else { AS_SHOWN };
        assert!((shown[i] - height).abs() < 0.005, "frame {i}: {} {height}", shown[i]);
    }
}

/// Scatter of 6 % a frame: what is left is what a local line of 25 frames follows by itself. For even spacing its weight on
/// the frame itself is below 0.08, so the residue's variance is at most that of the smooth course: 0.08 of the scatter's.
#[test]
fn scatter_of_the_shutter_is_gone() {
    const LEFT: f64 = 0.35;
    let noise: Vec<f64> = scatter(300).iter().map(|value| 0.06 * value).collect();
    let shown: Vec<f64> = shown(&frames(noise.iter().map(|log| 0.02 * log.exp()), |_| Some(1.0)))
        .iter()
        .map(|level| (level / 0.02).ln())
        .collect();
    let power = |logs: &[f64]| logs.iter().map(|log| log * log).sum::<f64>() / logs.len() as f64;
    assert!(power(&shown) < LEFT * LEFT * power(&noise), "{} {}", power(&shown), power(&noise));
}

#[test]
fn without_settings_jumps_are_evened_out_and_that_is_said() {
    let frames = frames((0..60).map(|i| if i % 7 == 3 { 0.03 } else { 0.02 }), |i| (i != 5).then_some(1.0));
    assert_eq!(deflicker_gains(&frames).unwrap().basis, DeflickerBasis::LevelsAlone);
    let shown = shown(&frames);
    let (low, high) = shown.iter().fold((f64::MAX, 0.0_f64), |(low, high), level| (low.min(*level), high.max(*level)));
    assert!(high / low < 1.1, "{low} {high}");
}

#[test]
fn what_is_no_level_is_refused_and_few_frames_are_no_trouble() {
    assert!(deflicker_gains(&[]).unwrap().gains.is_empty());
    assert_eq!(deflicker_gains(&frames([0.5], |_| None)).unwrap().gains.len(), 1);
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(
            matches!(deflicker_gains(&frames([0.5, bad], |_| None)), Err(SequenceError::OutOfRange { .. })),
            "{bad}"
        );
    }
    assert_eq!(background_level(&[f32::NAN, 0.0, -1.0]), None);
}
