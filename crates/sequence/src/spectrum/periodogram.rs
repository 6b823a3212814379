use serde::Serialize;

use super::fourier::fourier_powers;
use super::lomb_scargle::LombScargle;
use super::peak::{SpectralPeak, peaks};
use crate::SequenceError;
use crate::robust::median;

/// Frequencies looked at for each independent one, so that no peak falls between.
const OVERSAMPLING: usize = 5;
/// Steps that differ by less than this share of their median are even: the phase at the highest frequency then strays by less
/// than a twentieth of a turn.
const EVEN_SHARE: f64 = 0.05;
/// Most frequencies of one spectrum: 20 000 samples at the oversampling above.
const MOST_FREQUENCIES: f64 = 50_000.0;

/// Frequencies between which a spectrum is taken, Hz.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Band {
    /// Lowest, Hz.
    pub low_hz: f64,
    /// Highest, Hz.
    pub high_hz: f64,
}

/// How a spectrum was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SpectralMethod {
    /// Fast Fourier transform, for even steps without gaps.
    Fourier,
    /// Generalised Lomb-Scargle, for all else.
    LombScargle,
}

/// Powers over a band of frequencies.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Periodogram {
    /// How it was made.
    pub method: SpectralMethod,
    /// Frequencies, Hz, in order.
    pub frequencies_hz: Vec<f64>,
    /// Share of the variance that a sinusoid of each frequency takes away.
    pub powers: Vec<f64>,
    /// Length of the series, s.
    pub span_s: f64,
}

impl Periodogram {
    /// Its highest local maxima.
    pub fn peaks(&self, most: usize) -> Vec<SpectralPeak> {
        peaks(&self.frequencies_hz, &self.powers, most)
    }
}

/// Median step between times in order, and whether all steps are as long.
pub(crate) fn even_step_s(times_s: &[f64]) -> Option<(f64, bool)> {
    let steps: Vec<f64> = times_s.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let step = median(&mut steps.clone())?;
    // steps that are each near the median may still run away from an even comb
    let first = times_s.first()?;
    let even = steps.iter().all(|one| (one - step).abs() < EVEN_SHARE * step)
        && times_s.iter().enumerate().all(|(index, time)| {
            let (count, span) = ((times_s.len() - 1) as f64, times_s[times_s.len() - 1] - first);
            (time - first - span * index as f64 / count).abs() < EVEN_SHARE * step
        });
    (step > 0.0).then_some((step, even))
}

/// The spectrum of a series: by fast Fourier transform where it is evenly spaced and whole, by Lomb-Scargle otherwise.
///
/// * `times_s`: in order. Values that are not finite are gaps.
/// * `band`: all that can be seen where none is given: from one period in the whole span to half the median sampling frequency.
///
/// # Errors
///
/// Fewer than 8 finite samples, no variation, lists of different lengths, times out of order or an empty band.
pub fn periodogram(times_s: &[f64], values: &[f64], band: Option<Band>) -> Result<Periodogram, SequenceError> {
    if times_s.len() != values.len() {
        return Err(SequenceError::UnequalLengths {
            what: "the list of values",
            found: values.len(),
            expected: times_s.len(),
        });
    }
    let kept: Vec<(f64, f64)> = times_s
        .iter()
        .copied()
        .zip(values.iter().copied())
        .filter(|(time, value)| time.is_finite() && value.is_finite())
        .collect();
    let (times_s, values): (Vec<f64>, Vec<f64>) = kept.into_iter().unzip();
    let too_few = || SequenceError::TooFewSamples {
        what: "a spectrum",
        found: times_s.len(),
        needed: super::lomb_scargle::LEAST_SAMPLES,
    };
    let (step_s, even) = even_step_s(&times_s).ok_or_else(too_few)?;
    let span_s = times_s.last().zip(times_s.first()).map_or(0.0, |(last, first)| last - first);
    let all = Band { low_hz: 1.0 / span_s, high_hz: 0.5 / step_s };
    let band = band.unwrap_or(all);
    if !(band.low_hz > 0.0 && band.high_hz > band.low_hz && band.high_hz.is_finite()) {
        return Err(SequenceError::OutOfRange {
            what: "the band in Hz",
            value: band.low_hz,
            bound: "above 0 and in order",
        });
    }
    if even {
        let even_step_s = span_s / (times_s.len() - 1) as f64;
        let (frequencies_hz, powers) = fourier_powers(&values, even_step_s, OVERSAMPLING)?;
        let (frequencies_hz, powers) = frequencies_hz
            .into_iter()
            .zip(powers)
            .filter(|(frequency, _)| (band.low_hz..=band.high_hz * (1.0 + 1e-9)).contains(frequency))
            .unzip();
        return Ok(Periodogram { method: SpectralMethod::Fourier, frequencies_hz, powers, span_s });
    }
    let series = LombScargle::new(&times_s, &values, None)?;
    let frequencies_hz = frequency_grid(band, span_s);
    let powers = series.powers(&frequencies_hz);
    Ok(Periodogram { method: SpectralMethod::LombScargle, frequencies_hz, powers, span_s })
}

/// Even frequencies over a band, close enough that no peak falls between.
pub(crate) fn frequency_grid(band: Band, span_s: f64) -> Vec<f64> {
    let wanted = (OVERSAMPLING as f64 * span_s * (band.high_hz - band.low_hz)).ceil().clamp(2.0, MOST_FREQUENCIES);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "2 to 50 000")]
    let count = wanted as u32;
    let step_hz = (band.high_hz - band.low_hz) / f64::from(count - 1);
    (0..count).map(|index| band.low_hz + f64::from(index) * step_hz).collect()
}
