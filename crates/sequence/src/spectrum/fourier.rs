use std::sync::Arc;

use realfft::{RealFftPlanner, RealToComplex};

use crate::SequenceError;
use crate::robust::exceeds;

use super::lomb_scargle::LEAST_SAMPLES;

/// A transform of one length, made once for very many series of it.
pub struct FourierTransform {
    samples: usize,
    padded: usize,
    transform: Arc<dyn RealToComplex<f64>>,
}

impl std::fmt::Debug for FourierTransform {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("FourierTransform")
            .field("samples", &self.samples)
            .field("padded", &self.padded)
            .finish_non_exhaustive()
    }
}

impl FourierTransform {
    /// A transform for series of a length, with zeros added to see between the Fourier frequencies (`oversampling` times as many
    /// frequencies, 1 to 16).
    ///
    /// # Errors
    ///
    /// Fewer than 8 samples.
    pub fn new(samples: usize, oversampling: usize) -> Result<Self, SequenceError> {
        if samples < LEAST_SAMPLES {
            return Err(SequenceError::TooFewSamples { what: "a spectrum", found: samples, needed: LEAST_SAMPLES });
        }
        let padded = samples.saturating_mul(oversampling.clamp(1, 16));
        Ok(Self { samples, padded, transform: RealFftPlanner::new().plan_fft_forward(padded) })
    }

    /// Frequencies of the powers for a step of time, Hz: from the first above 0 to half the sampling frequency.
    pub fn frequencies_hz(&self, step_s: f64) -> Vec<f64> {
        (1..=self.padded / 2).map(|index| index as f64 / (self.padded as f64 * step_s)).collect()
    }

    /// Powers of a series: the share of its variance that a sinusoid of each frequency takes away.
    ///
    /// The same quantity as [`LombScargle::power`](crate::LombScargle::power), but for the mean, which is taken off once.
    ///
    /// # Errors
    ///
    /// Another length than the transform's, a value that is not finite, or no variation.
    pub fn powers(&self, values: &[f64]) -> Result<Vec<f64>, SequenceError> {
        if values.len() != self.samples {
            return Err(SequenceError::UnequalLengths {
                what: "the series",
                found: values.len(),
                expected: self.samples,
            });
        }
        let mean = values.iter().sum::<f64>() / self.samples as f64;
        let mut input = self.transform.make_input_vec();
        let mut squares = 0.0;
        for (slot, value) in input.iter_mut().zip(values) {
            *slot = value - mean;
            squares += *slot * *slot;
        }
        if !squares.is_finite() {
            return Err(SequenceError::OutOfRange { what: "a value of the series", value: f64::NAN, bound: "finite" });
        }
        if !exceeds(squares, self.samples as f64 * (mean.abs() * 1e-12).powi(2)) {
            return Err(SequenceError::Constant { what: "the series" });
        }
        let mut output = self.transform.make_output_vec();
        // the lengths are the transform's own
        self.transform.process(&mut input, &mut output).map_err(|_lengths| SequenceError::UnequalLengths {
            what: "the series",
            found: values.len(),
            expected: self.samples,
        })?;
        let scale = 2.0 / (self.samples as f64 * squares);
        Ok(output.iter().skip(1).take(self.padded / 2).map(|value| (scale * value.norm_sqr()).min(1.0)).collect())
    }
}

/// Frequencies (Hz) and powers of an evenly spaced series; see [`FourierTransform::powers`].
///
/// # Errors
///
/// As [`FourierTransform`]; a step that is not above 0.
pub fn fourier_powers(values: &[f64], step_s: f64, oversampling: usize) -> Result<(Vec<f64>, Vec<f64>), SequenceError> {
    if !(step_s > 0.0 && step_s.is_finite()) {
        return Err(SequenceError::OutOfRange { what: "the step in seconds", value: step_s, bound: "above 0" });
    }
    let transform = FourierTransform::new(values.len(), oversampling)?;
    let powers = transform.powers(values)?;
    Ok((transform.frequencies_hz(step_s), powers))
}
