/// Threshold of the cones above the final one once they are adapted, in decades.
const CONE_FLOOR_LOG10: f64 = 2.6;
/// Loss of the cones at the moment the light goes out, in decades, and its decay time in minutes.
const CONE_START_LOG10: f64 = 2.0;
const CONE_DECAY_MIN: f64 = 1.5;
/// Rods: elevation at `ROD_START_MIN` and recovery rate, decades per minute (the S2 rate).
const ROD_START_LOG10: f64 = 3.0;
const ROD_RATE_LOG10_PER_MIN: f64 = 0.24;
const ROD_START_MIN: f64 = 5.0;
/// The slow end: decades left at `ROD_TAIL_MIN` and the decay time.
const ROD_TAIL_LOG10: f64 = 0.3;
const ROD_TAIL_MIN: f64 = 18.0;
const ROD_TAIL_DECAY_MIN: f64 = 8.0;

/// How far the absolute threshold lies above the final one, in decades, so many minutes after white light.
///
/// A working model of the classical curve (cones first, a break near the seventh minute, then the rods): good to about
/// 0.4 decades, people and previous lights differ. It is the threshold of a light both systems can see; on a bright sky
/// the sky, not the adaptation, sets the limit. Minutes below 0 (or not a number) count as 0.
///
/// # Source
///
/// Shape after Hecht, Haig & Chase, J. Gen. Physiol. 20, 831 (1937) and Lamb & Pugh, Prog. Retin. Eye Res. 23, 307
/// (2004); the constants are a judgement.
pub fn adaptation_log10_elevation(minutes_since_white_light: f64) -> f64 {
    let cones = CONE_FLOOR_LOG10 + cone_log10_elevation(minutes_since_white_light);
    cones.min(rod_log10_elevation(minutes_since_white_light))
}

/// Elevation of the rods' own threshold above their final one, decades.
pub(crate) fn rod_log10_elevation(minutes: f64) -> f64 {
    let t = minutes.max(0.0);
    let rising = ROD_START_LOG10 - ROD_RATE_LOG10_PER_MIN * (t - ROD_START_MIN);
    let rods = rising.max(ROD_TAIL_LOG10 * (-(t - ROD_TAIL_MIN) / ROD_TAIL_DECAY_MIN).exp());
    // Bleached rods do not recover before their start: until then they are never ahead of the cones.
    if t < ROD_START_MIN { rods.max(CONE_FLOOR_LOG10 + cone_log10_elevation(t)) } else { rods }
}

/// Elevation of the cones' own threshold above their final one, decades.
pub(crate) fn cone_log10_elevation(minutes: f64) -> f64 {
    CONE_START_LOG10 * (-minutes.max(0.0) / CONE_DECAY_MIN).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_threshold_only_falls_in_the_dark_and_has_its_break_near_seven_minutes() {
        let curve: Vec<f64> = (0..=600).map(|i| adaptation_log10_elevation(f64::from(i) / 10.0)).collect();
        assert!(curve.windows(2).all(|w| w[1] <= w[0]));
        assert!((curve[0] - 4.6).abs() < 1e-9, "{}", curve[0]);
        assert!(curve[60] > 2.6 && curve[80] < 2.4);
        assert!(curve[300] < 0.1 && curve[600] < 0.01);
    }
}
