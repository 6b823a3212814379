use std::f64::consts::PI;

use super::lomb_scargle::LombScargle;

/// Chance that pure noise of equal spread makes a peak of this power anywhere below a frequency.
///
/// An upper bound that is close for small chances and does not suffer from gaps. Noise is taken as white: a series whose slow
/// changes are larger than its fast ones (cloud) needs a local comparison beside it, see [`local_chance`](super::local_chance).
///
/// * `power`: of the highest peak, 0 to 1.
/// * `highest_hz`: the highest frequency looked at.
///
/// # Source
///
/// R. V. Baluev, *Mon. Not. R. Astron. Soc.* 385, 1279 (2008), for the normalisation by the residual variance of the mean.
pub fn false_alarm(series: &LombScargle, power: f64, highest_hz: f64) -> f64 {
    false_alarm_of(series.samples(), series.time_variance_s2(), power, highest_hz)
}

/// [`false_alarm`] from the number of samples and the variance of their times.
pub(crate) fn false_alarm_of(samples: usize, time_variance_s2: f64, power: f64, highest_hz: f64) -> f64 {
    let n = samples as f64;
    let power = power.clamp(0.0, 1.0);
    let [of_mean, of_sine] = [n - 1.0, n - 3.0];
    let one_frequency = (1.0 - power).powf(0.5 * of_sine);
    let effective_s = (4.0 * PI * time_variance_s2).sqrt();
    let width = highest_hz * effective_s;
    let crossings =
        gamma_ratio(of_mean) * width * (1.0 - power).powf(0.5 * (of_sine - 1.0)) * (0.5 * of_mean * power).sqrt();
    (-(-crossings).exp_m1() + one_frequency * (-crossings).exp()).clamp(0.0, 1.0)
}

/// sqrt(2/n) Gamma(n/2) / Gamma((n-1)/2), near 1 for large n.
fn gamma_ratio(n: f64) -> f64 {
    (2.0 / n).sqrt() * (log_gamma(n / 2.0) - log_gamma((n - 1.0) / 2.0)).exp()
}

/// Logarithm of the gamma function for x > 0: Lanczos' sum with g = 7 and nine terms (Godfrey's coefficients), good to 1e-13.
fn log_gamma(x: f64) -> f64 {
    const COEFFICIENTS: [f64; 8] = [
        676.520_368_121_885_1,
        -1_259.139_216_722_402_8,
        771.323_428_777_653_1,
        -176.615_029_162_140_6,
        12.507_343_278_686_905,
        -0.138_571_095_265_720_12,
        9.984_369_578_019_572e-6,
        1.505_632_735_149_311_6e-7,
    ];
    let x = x - 1.0;
    let mut sum = 0.999_999_999_999_809_9;
    for (index, coefficient) in COEFFICIENTS.iter().enumerate() {
        sum += coefficient / (x + index as f64 + 1.0);
    }
    let t = x + 7.5;
    0.5 * (2.0 * PI).ln() + (x + 0.5) * t.ln() - t + sum.ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gamma_of_whole_numbers_is_the_factorial() {
        for (x, factorial) in [(1.0, 1.0_f64), (5.0, 24.0), (11.0, 3_628_800.0)] {
            assert!((log_gamma(x) - factorial.ln()).abs() < 1e-12);
        }
        assert!((log_gamma(0.5) - PI.sqrt().ln()).abs() < 1e-12);
    }
}
