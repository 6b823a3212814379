//! Length of a trail from the moments of a trailed star.

use crate::Moments;

/// Trails are told from round stars up to this many standard deviations of their width.
const LONGEST_SIGMA: f64 = 60.0;
/// Steps of Newton's rule at most: it doubles its digits with each, and begins within a factor of two.
const MOST_STEPS: usize = 12;
/// Change of the square sought at which it has come to rest, as a share.
const LAST_STEP: f64 = 1e-12;
/// Below this length the trail is a Gaussian to 1e-4, and the rounding of the difference below would be larger.
const SHORT_LENGTH: f64 = 0.05;

/// Length of the even trail whose star has these moments, px; 0 for a round one.
///
/// An even trail adds `L²/12` to the variance along it. The moments of a [`crate::Star`] are measured in a window that
/// fits the star; for a trail longer than the star is wide that window leaves out the ends, which is undone here.
///
/// In units of the star's own width: a trail from `-L/2` to `L/2` under a Gaussian window of variance `w` has a variance
/// of `w/(1 + w) + (w/(1 + w))² T`, with `T` that of a normal distribution of variance `1 + w` cut off at the ends; the
/// window is at rest where that is `w/2`. So `T/(1 + w) = (w - 1)/(2 w)`, and with the series
/// `erf(a/√2) = 2 a φ(a) S`, `S = 1 + a²/3 + a⁴/(3·5) + ...`, cut off at `a = L/(2 √(1 + w))`, `S = 2 w/(1 + w)`.
/// (Abramowitz & Stegun 1964, 26.2.11, from memory; the rest is algebra.)
pub fn trail_length_px(moments: &Moments) -> f64 {
    let [long, short] = moments.axes_px2();
    if !(short > 0.0 && long > short) {
        return 0.0;
    }
    let w = long / short;
    // the window that fits an endless trail is endless too
    let length = if w.is_finite() { 2.0 * (end_square(2.0 * w / (1.0 + w)) * (1.0 + w)).sqrt() } else { LONGEST_SIGMA };
    length.min(LONGEST_SIGMA) * short.sqrt()
}

/// The `a²` at which the series `S` has a value from 1 to 2; `a²` is then 0 to 1.96.
fn end_square(value: f64) -> f64 {
    // the series is convex, so that Newton's rule comes down from here without passing by
    let mut square = 3.0 * (value - 1.0);
    for _ in 0..MOST_STEPS {
        let (sum, slope) = series(square);
        let step = (sum - value) / slope;
        square -= step;
        if step.abs() <= LAST_STEP * square {
            break;
        }
    }
    square.max(0.0)
}

/// `1 + x/3 + x²/(3·5) + x³/(3·5·7) + ...` and its slope.
fn series(x: f64) -> (f64, f64) {
    let (mut sum, mut slope, mut term, mut k) = (1.0, 0.0, 1.0, 1.0);
    while term > f64::EPSILON * sum {
        let factor = 1.0 / (2.0 * k + 1.0);
        slope += k * term * factor;
        term *= x * factor;
        sum += term;
        k += 1.0;
    }
    (sum, slope)
}

/// Light at a place along an even trail blurred by a Gaussian of variance 1.
pub(crate) fn profile(u: f64, length: f64) -> f64 {
    if length < SHORT_LENGTH {
        return (-0.5 * u * u).exp();
    }
    (normal_cdf(u + 0.5 * length) - normal_cdf(u - 0.5 * length)) / length
}

/// Share of a normal distribution below `x`.
///
/// Abramowitz & Stegun 1964, *Handbook of Mathematical Functions*, 7.1.26: to 1.5e-7, from memory.
fn normal_cdf(x: f64) -> f64 {
    let z = x.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * z);
    let series =
        t * (0.254_829_592 + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let erf = 1.0 - series * (-z * z).exp();
    0.5 * (1.0 + erf.copysign(x))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The window of the moments ends here, as in the measurement.
    const WINDOW_SIGMA: f64 = 3.5;
    /// Points per standard deviation in the sums over the trail.
    const POINTS_PER_SIGMA: f64 = 6.0;

    /// Variance that a fitted window finds along an even trail of `length` blurred by a Gaussian of variance 1, as it is
    /// measured: by sums in a window that is made to fit.
    fn fitted_variance(length: f64) -> f64 {
        let mut w = 1.0 + length * length / 12.0;
        for _ in 0..200 {
            let inside = windowed_variance(length, w);
            let next = (inside.recip() - w.recip()).recip();
            let change = (next - w).abs();
            w = next;
            if change < 1e-9 * w {
                break;
            }
        }
        w
    }

    fn windowed_variance(length: f64, w: f64) -> f64 {
        let reach = WINDOW_SIGMA * w.sqrt();
        let steps = (reach * POINTS_PER_SIGMA).ceil();
        let (mut light, mut square, mut u) = (0.0, 0.0, 0.0);
        while u <= reach {
            let value = profile(u, length) * (-0.5 * u * u / w).exp();
            light += value;
            square += value * u * u;
            u += reach / steps;
        }
        // the middle counts once, each other place twice
        square / (light - 0.5 * profile(0.0, length))
    }

    #[test]
    fn a_short_trail_adds_a_twelfth_of_its_square() {
        // the window leaves out little of a short trail
        for length in [0.3, 0.6, 0.9] {
            let added = fitted_variance(length) - 1.0;
            assert!((added - length * length / 12.0).abs() < 0.02 * length * length / 12.0, "{length}: {added}");
        }
    }

    /// 4e-4 at 1, where the sums' error function (to 1.5e-7) and the cut-off of the window show; 2e-5 and less from 3 on.
    #[test]
    fn the_length_comes_back() {
        for length in [0.5, 1.0, 3.0, 8.0, 25.0, 55.0] {
            let moments = Moments::ellipse(4.0 * fitted_variance(length), 4.0, 30.0);
            let back = 0.5 * trail_length_px(&moments);
            assert!((back - length).abs() < 5e-4, "{length}: {back}");
        }
    }

    #[test]
    fn no_trail_is_longer_than_can_be_told() {
        for long in [1e6, 1e12] {
            let length = trail_length_px(&Moments::ellipse(long, 1.0, 0.0));
            assert!((length - LONGEST_SIGMA).abs() < 1e-9, "{long}: {length}");
        }
        assert!(trail_length_px(&Moments::ellipse(1.0 + 1e-12, 1.0, 0.0)) < 1e-4);
        assert!(trail_length_px(&Moments::ellipse(f64::NAN, 1.0, 0.0)) < 1e-4);
    }
}
