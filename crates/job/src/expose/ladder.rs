//! The values that cameras can be set to: third-stop ladders with their printed names.

/// Shutter times as cameras print them, s; from a thousandth to the 30 s that most time by themselves.
const SECONDS: [f64; 46] = [
    1.0 / 1000.0,
    1.0 / 800.0,
    1.0 / 640.0,
    1.0 / 500.0,
    1.0 / 400.0,
    1.0 / 320.0,
    1.0 / 250.0,
    1.0 / 200.0,
    1.0 / 160.0,
    1.0 / 125.0,
    1.0 / 100.0,
    1.0 / 80.0,
    1.0 / 60.0,
    1.0 / 50.0,
    1.0 / 40.0,
    1.0 / 30.0,
    1.0 / 25.0,
    1.0 / 20.0,
    1.0 / 15.0,
    1.0 / 13.0,
    1.0 / 10.0,
    1.0 / 8.0,
    1.0 / 6.0,
    1.0 / 5.0,
    1.0 / 4.0,
    0.3,
    0.4,
    0.5,
    0.6,
    0.8,
    1.0,
    1.3,
    1.6,
    2.0,
    2.5,
    3.2,
    4.0,
    5.0,
    6.0,
    8.0,
    10.0,
    13.0,
    15.0,
    20.0,
    25.0,
    30.0,
];
/// ISO settings.
const ISO: [f64; 31] = [
    50.0, 64.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 320.0, 400.0, 500.0, 640.0, 800.0, 1000.0, 1250.0, 1600.0,
    2000.0, 2500.0, 3200.0, 4000.0, 5000.0, 6400.0, 8000.0, 10000.0, 12800.0, 16000.0, 20000.0, 25600.0, 32000.0,
    40000.0, 51200.0,
];
/// F-numbers.
const F_NUMBERS: [f64; 22] =
    [1.0, 1.1, 1.2, 1.4, 1.6, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 5.6, 6.3, 7.1, 8.0, 9.0, 10.0, 11.0];
/// A printed value stands for one up to a few per cent off: "13 s" is 12.7 s. Limits are not kept more finely than that.
const PRINTED_GRACE: f64 = 1.03;

/// Longest time cameras count by themselves, s; longer ones need a remote release.
pub(crate) const LONGEST_TIMED_S: f64 = 30.0;

/// The printed time nearest to a wish and not above `longest_s`; the limit itself where even the shortest is above it.
pub(crate) fn seconds(wish_s: f64, longest_s: f64) -> f64 {
    nearest_up_to(&SECONDS, wish_s, longest_s)
}

/// The printed ISO nearest to a wish within `low..=high`; a bound itself where none is inside.
pub(crate) fn iso(wish: f64, low: f64, high: f64) -> f64 {
    let inside = ISO.iter().copied().filter(|iso| (low..=high * PRINTED_GRACE).contains(iso));
    nearest(inside, wish).unwrap_or_else(|| wish.clamp(low, high.max(low)))
}

/// The printed f-number nearest to a wish.
pub(crate) fn f_number(wish: f64) -> f64 {
    nearest(F_NUMBERS.iter().copied(), wish).unwrap_or(wish)
}

fn nearest_up_to(ladder: &[f64], wish: f64, highest: f64) -> f64 {
    nearest(ladder.iter().copied().filter(|value| *value <= highest * PRINTED_GRACE), wish).unwrap_or(highest)
}

/// Nearest by ratio.
fn nearest(values: impl Iterator<Item = f64>, wish: f64) -> Option<f64> {
    let off = |value: f64| (value / wish).ln().abs();
    values.min_by(|a, b| off(*a).total_cmp(&off(*b)))
}

/// "1/4 s", "0.4 s", "13 s".
pub(crate) fn seconds_text(seconds: f64) -> String {
    if seconds < 0.28 {
        return format!("1/{:.0} s", 1.0 / seconds);
    }
    let rounded = if seconds < 9.95 { format!("{seconds:.1}") } else { format!("{seconds:.0}") };
    format!("{} s", rounded.strip_suffix(".0").unwrap_or(&rounded))
}

/// "f/2.8", "f/4".
pub(crate) fn f_number_text(f_number: f64) -> String {
    let rounded = format!("{f_number:.1}");
    format!("f/{}", rounded.strip_suffix(".0").unwrap_or(&rounded))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Third-stop ladders are a cube root of two apart; f-numbers printed with two figures are up to 4 % from that, squared.
    const STEP_RATIO: (f64, f64) = (1.11, 1.37);

    #[test]
    fn every_ladder_rises_by_third_stops() {
        let times = SECONDS.windows(2).chain(ISO.windows(2)).map(|pair| pair[1] / pair[0]);
        // an f-number step is the square root of a step of light
        let apertures = F_NUMBERS.windows(2).map(|pair| (pair[1] / pair[0]).powi(2));
        for ratio in times.chain(apertures) {
            assert!((STEP_RATIO.0..STEP_RATIO.1).contains(&ratio), "{ratio}");
        }
    }

    #[test]
    fn a_limit_is_kept_as_printed() {
        assert!((seconds(20.0, 12.7) - 13.0).abs() < 1e-9);
        assert!((seconds(20.0, 12.0) - 10.0).abs() < 1e-9);
        assert!((seconds(1.0, 1e-5) - 1e-5).abs() < 1e-12);
        assert!((iso(9000.0, 100.0, 6400.0) - 6400.0).abs() < 1e-9);
        assert!((iso(9000.0, 100.0, 110.0) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn values_are_said_as_cameras_print_them() {
        assert_eq!([0.25, 0.4, 1.0, 1.3, 13.0].map(seconds_text), ["1/4 s", "0.4 s", "1 s", "1.3 s", "13 s"]);
        assert_eq!([1.0 / 60.0, 0.3].map(seconds_text), ["1/60 s", "0.3 s"]);
        assert_eq!([1.8, 4.0].map(f_number_text), ["f/1.8", "f/4"]);
    }
}
