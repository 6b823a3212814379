//! Length of a trail from the moments of a trailed star.

use crate::Moments;

/// Trails are told from round stars up to this many standard deviations of their width.
const LONGEST_SIGMA: f64 = 60.0;
/// Halvings of the interval: the length is then known to a thousandth of a pixel.
const HALVINGS: usize = 50;
/// Points per standard deviation in the sums over the trail.
const POINTS_PER_SIGMA: f64 = 6.0;
/// Below this length the trail is a Gaussian to 1e-4, and the rounding of the difference below would be larger.
const SHORT_LENGTH: f64 = 0.05;
/// The window of the moments ends here, as in the measurement.
const WINDOW_SIGMA: f64 = 3.5;

/// Length of the even trail whose star has these moments, px; 0 for a round one.
///
/// An even trail adds `L²/12` to the variance along it. The moments of a [`crate::Star`] are measured in a window that
/// fits the star; for a trail longer than the star is wide that window leaves out the ends, which is undone here.
pub fn trail_length_px(moments: &Moments) -> f64 {
    let [long, short] = moments.axes_px2();
    if !(short > 0.0 && long > short) {
        return 0.0;
    }
    let ratio = long / short;
    let (mut low, mut high) = (0.0, LONGEST_SIGMA);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if fitted_variance(middle) < ratio { low = middle } else { high = middle }
    }
    0.5 * (low + high) * short.sqrt()
}

/// Variance that a fitted window finds along an even trail of `length` blurred by a Gaussian of variance 1.
///
/// The window of variance `w` comes to rest where the variance inside it is `w/2`.
pub(crate) fn fitted_variance(length: f64) -> f64 {
    let mut w = 1.0 + length * length / 12.0;
    for _ in 0..HALVINGS {
        let inside = windowed_variance(length, w);
        let next = (inside.recip() - w.recip()).recip();
        if !(next.is_finite() && next > 0.0) {
            break;
        }
        let change = (next - w).abs();
        w = next;
        if change < 1e-6 * w {
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

    #[test]
    fn a_short_trail_adds_a_twelfth_of_its_square() {
        // the window leaves out little of a short trail
        for length in [0.3, 0.6, 0.9] {
            let added = fitted_variance(length) - 1.0;
            assert!((added - length * length / 12.0).abs() < 0.02 * length * length / 12.0, "{length}: {added}");
        }
    }

    #[test]
    fn the_length_comes_back() {
        for length in [0.5, 1.0, 3.0, 8.0, 25.0] {
            let moments = Moments::ellipse(4.0 * fitted_variance(length), 4.0, 30.0);
            assert!((trail_length_px(&moments) - 2.0 * length).abs() < 1e-3, "{length}");
        }
    }
}
