use serde::Serialize;

/// A local maximum of a spectrum.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpectralPeak {
    /// Its place in the list of powers.
    pub index: usize,
    /// Its frequency, Hz.
    pub frequency_hz: f64,
    /// Its power, 0 to 1.
    pub power: f64,
}

/// Local maxima, the strongest first. A maximum at either end of the list is none: what rises there lies beyond.
pub fn peaks(frequencies_hz: &[f64], powers: &[f64], most: usize) -> Vec<SpectralPeak> {
    let mut found: Vec<SpectralPeak> = powers
        .windows(3)
        .enumerate()
        .filter(|(_, three)| three[1] > three[0] && three[1] >= three[2])
        .filter_map(|(before, three)| {
            let index = before + 1;
            Some(SpectralPeak { index, frequency_hz: *frequencies_hz.get(index)?, power: three[1] })
        })
        .collect();
    found.sort_by(|a, b| b.power.total_cmp(&a.power));
    found.truncate(most);
    found
}

/// Factor of frequency on either side of a peak in which its surroundings are looked at.
const SURROUNDINGS: f64 = 4.0;
/// Fewest frequencies of the surroundings.
const LEAST_SURROUNDINGS: usize = 8;
/// Fewest of them below the peak: where noise grows toward slow changes, what stands at the slow end of a list cannot be told from it.
const LEAST_BELOW: usize = 4;
/// Mean of the logarithm of an exponentially distributed number of mean 1, with its sign turned: Euler's constant.
const EULER: f64 = 0.577_215_664_901_532_9;

/// Chance that noise with the spectrum of the peak's surroundings makes such a peak anywhere in the list.
///
/// The level of noise is a power law through the powers within a factor of four in frequency, by least squares of their logarithms;
/// the peak itself (two resolutions each way) is left out. Powers of noise are distributed exponentially about their level, and a list
/// from `f1` to `f2` over `span_s` holds `(f2 - f1) span_s` independent ones. Slow unsteady changes, as of cloud, raise the level and
/// are so no period. 1 where there is too little around the peak, or
/// nothing slower, to compare with.
///
/// # Source
///
/// S. Vaughan, *Astron. Astrophys.* 431, 391 (2005), a test for periodic signals in red noise; here over the surroundings only.
pub fn local_chance(frequencies_hz: &[f64], powers: &[f64], peak: SpectralPeak, span_s: f64) -> f64 {
    let away_hz = 2.0 / span_s;
    let around: Vec<(f64, f64)> = frequencies_hz
        .iter()
        .zip(powers)
        .filter(|(frequency, power)| {
            let ratio = *frequency / peak.frequency_hz;
            (1.0 / SURROUNDINGS..=SURROUNDINGS).contains(&ratio)
                && (*frequency - peak.frequency_hz).abs() > away_hz
                && power.is_finite()
        })
        .map(|(frequency, power)| ((frequency / peak.frequency_hz).ln(), power.max(f64::MIN_POSITIVE).ln()))
        .collect();
    let below = around.iter().filter(|point| point.0 < 0.0).count();
    if around.len() < LEAST_SURROUNDINGS || below < LEAST_BELOW {
        return 1.0;
    }
    let level = (log_level(&around) + EULER).exp();
    let [first, last] = [frequencies_hz.first(), frequencies_hz.last()].map(|hz| hz.copied().unwrap_or(0.0));
    let independent = ((last - first) * span_s).max(1.0);
    let one = (-peak.power / level).exp();
    // 1 - (1 - one)^independent without loss for small chances
    (-(independent * (-one).ln_1p()).exp_m1()).clamp(0.0, 1.0)
}

/// The straight line through points, at 0.
fn log_level(points: &[(f64, f64)]) -> f64 {
    let count = points.len() as f64;
    let [mean_x, mean_y] = [points.iter().map(|point| point.0).sum::<f64>(), points.iter().map(|point| point.1).sum()]
        .map(|sum| sum / count);
    let spread: f64 = points.iter().map(|point| (point.0 - mean_x).powi(2)).sum();
    let slope = points.iter().map(|point| (point.0 - mean_x) * (point.1 - mean_y)).sum::<f64>() / spread;
    if slope.is_finite() { mean_y - slope * mean_x } else { mean_y }
}
