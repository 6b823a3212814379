use std::f64::consts::TAU;

use crate::SequenceError;
use crate::robust::exceeds;

/// Fewest samples for a spectrum: four numbers are fitted, and something must be left over.
pub const LEAST_SAMPLES: usize = 8;

/// A series of unevenly spaced samples with weights, made ready for its spectrum.
///
/// The generalised Lomb-Scargle periodogram: a sine, a cosine and a mean are fitted at each frequency by weighted least squares,
/// and the power is the share of the weighted variance that the fit takes away (0 to 1, "standard" normalisation).
///
/// # Source
///
/// J. D. Scargle, *Astrophys. J.* 263, 835 (1982); M. Zechmeister & M. Kürster, *Astron. Astrophys.* 496, 577 (2009), eqs 4 to 19.
/// Checked against another implementation in `tests/it/published.rs`.
///
/// # Example
///
/// ```
/// use sequence::LombScargle;
///
/// let times_s: Vec<f64> = (0..60).map(|i| f64::from(i) * 2.0 + 0.3 * f64::from(i % 3)).collect();
/// let values: Vec<f64> = times_s.iter().map(|t| 5.0 + (t / 15.0 * std::f64::consts::TAU).sin()).collect();
/// let series = LombScargle::new(&times_s, &values, None)?;
/// assert!(series.power(1.0 / 15.0) > 0.999);
/// assert!((series.amplitude(1.0 / 15.0) - 1.0).abs() < 1e-6);
/// # Ok::<(), sequence::SequenceError>(())
/// ```
#[derive(Debug, Clone)]
pub struct LombScargle {
    /// Times from the first sample, s.
    times_s: Vec<f64>,
    /// Weights; their sum is 1.
    weights: Vec<f64>,
    /// Values less their weighted mean.
    values: Vec<f64>,
    /// Weighted variance of the values.
    variance: f64,
}

/// The fit of one frequency.
struct Fit {
    power: f64,
    cosine: f64,
    sine: f64,
}

impl LombScargle {
    /// Takes a series; samples that are not finite are left out.
    ///
    /// * `sigma`: standard errors of the values, in their unit; all alike where none are given. A sample whose error is not
    ///   above 0 is left out.
    ///
    /// # Errors
    ///
    /// Lists of different lengths, fewer than 8 samples, or no variation.
    pub fn new(times_s: &[f64], values: &[f64], sigma: Option<&[f64]>) -> Result<Self, SequenceError> {
        for (what, found) in
            [("the list of values", values.len()), ("the list of errors", sigma.map_or(times_s.len(), <[f64]>::len))]
        {
            if found != times_s.len() {
                return Err(SequenceError::UnequalLengths { what, found, expected: times_s.len() });
            }
        }
        let kept: Vec<(f64, f64, f64)> = times_s
            .iter()
            .zip(values)
            .enumerate()
            .map(|(index, (time, value))| (*time, *value, sigma.map_or(1.0, |sigma| sigma[index])))
            .filter(|(time, value, sigma)| time.is_finite() && value.is_finite() && *sigma > 0.0 && sigma.is_finite())
            .collect();
        if kept.len() < LEAST_SAMPLES {
            return Err(SequenceError::TooFewSamples { what: "a spectrum", found: kept.len(), needed: LEAST_SAMPLES });
        }
        let total: f64 = kept.iter().map(|(_, _, sigma)| sigma.powi(-2)).sum();
        let weights: Vec<f64> = kept.iter().map(|(_, _, sigma)| sigma.powi(-2) / total).collect();
        let mean: f64 = kept.iter().zip(&weights).map(|((_, value, _), weight)| value * weight).sum();
        let values: Vec<f64> = kept.iter().map(|(_, value, _)| value - mean).collect();
        let variance: f64 = values.iter().zip(&weights).map(|(value, weight)| weight * value * value).sum();
        // rounding alone leaves this much of a constant
        if !exceeds(variance, (mean.abs() * 1e-12).powi(2)) {
            return Err(SequenceError::Constant { what: "the series" });
        }
        let first_s = kept.iter().map(|(time, _, _)| *time).fold(f64::INFINITY, f64::min);
        let times_s = kept.iter().map(|(time, _, _)| time - first_s).collect();
        Ok(Self { times_s, weights, values, variance })
    }

    /// Samples in use.
    pub fn samples(&self) -> usize {
        self.values.len()
    }

    /// Time from the first to the last sample, s.
    pub fn span_s(&self) -> f64 {
        self.times_s.iter().copied().fold(0.0, f64::max)
    }

    /// Share of the variance that a sinusoid of this frequency takes away, 0 to 1.
    pub fn power(&self, frequency_hz: f64) -> f64 {
        self.fit(frequency_hz).power
    }

    /// Half the swing of the best sinusoid of this frequency, in the unit of the values.
    pub fn amplitude(&self, frequency_hz: f64) -> f64 {
        let fit = self.fit(frequency_hz);
        fit.cosine.hypot(fit.sine)
    }

    /// Powers over a list of frequencies.
    pub fn powers(&self, frequencies_hz: &[f64]) -> Vec<f64> {
        frequencies_hz.iter().map(|frequency| self.power(*frequency)).collect()
    }

    /// Weighted variance of the times, s²: what Baluev's formula needs.
    pub(crate) fn time_variance_s2(&self) -> f64 {
        let mean: f64 = self.times_s.iter().zip(&self.weights).map(|(time, weight)| weight * time).sum();
        self.times_s.iter().zip(&self.weights).map(|(time, weight)| weight * (time - mean).powi(2)).sum()
    }

    fn fit(&self, frequency_hz: f64) -> Fit {
        let omega = TAU * frequency_hz;
        let [mut c, mut s, mut yc, mut ys, mut cc, mut cs] = [0.0; 6];
        for ((time, weight), value) in self.times_s.iter().zip(&self.weights).zip(&self.values) {
            let (sine, cosine) = (omega * time).sin_cos();
            c += weight * cosine;
            s += weight * sine;
            yc += weight * value * cosine;
            ys += weight * value * sine;
            cc += weight * cosine * cosine;
            cs += weight * cosine * sine;
        }
        // the floating mean: the weighted mean of the values is 0 already
        let ss = 1.0 - cc - s * s;
        let cc = cc - c * c;
        let cs = cs - c * s;
        let determinant = cc * ss - cs * cs;
        // at frequency 0 and where all samples have one phase no sinusoid can be told from the mean
        if !exceeds(determinant, 1e-14) {
            return Fit { power: 0.0, cosine: 0.0, sine: 0.0 };
        }
        let cosine = (yc * ss - ys * cs) / determinant;
        let sine = (ys * cc - yc * cs) / determinant;
        let power = ((cosine * yc + sine * ys) / self.variance).clamp(0.0, 1.0);
        Fit { power, cosine, sine }
    }
}
