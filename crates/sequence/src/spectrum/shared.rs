use std::f64::consts::TAU;

use super::fourier::FourierTransform;
use super::lomb_scargle::LombScargle;
use super::periodogram::{Band, even_step_s, frequency_grid};
use crate::SequenceError;
use crate::robust::exceeds;

/// Frequencies looked at for each independent one.
const OVERSAMPLING: usize = 4;

/// Spectra of very many series that share their times: what depends on the times alone is worked out once.
pub(crate) struct SharedSpectrum {
    pub(crate) frequencies_hz: Vec<f64>,
    pub(crate) span_s: f64,
    times_s: Vec<f64>,
    kind: Kind,
}

enum Kind {
    /// Even times: by fast Fourier transform; which of its frequencies are kept.
    Fourier { transform: FourierTransform, kept: std::ops::Range<usize> },
    /// Uneven times: sine and cosine of each frequency at each time, less their means, and the sums of their products.
    LombScargle(Vec<Waves>),
}

struct Waves {
    cosines: Vec<f64>,
    sines: Vec<f64>,
    cc: f64,
    ss: f64,
    cs: f64,
}

impl SharedSpectrum {
    /// For times in order; the band is cut to what the times can show.
    pub(crate) fn new(times_s: &[f64], band: Band) -> Result<Self, SequenceError> {
        let too_few = SequenceError::TooFewSamples {
            what: "a spectrum",
            found: times_s.len(),
            needed: super::lomb_scargle::LEAST_SAMPLES,
        };
        let (step_s, even) = even_step_s(times_s).ok_or_else(|| too_few.clone())?;
        let span_s = times_s.last().zip(times_s.first()).map_or(0.0, |(last, first)| last - first);
        let band = Band { low_hz: band.low_hz.max(1.0 / span_s), high_hz: band.high_hz.min(0.5 / step_s) };
        if times_s.len() < super::lomb_scargle::LEAST_SAMPLES || !exceeds(band.high_hz, band.low_hz) {
            return Err(too_few);
        }
        let times: Vec<f64> = times_s.iter().map(|time| time - times_s[0]).collect();
        if even {
            let transform = FourierTransform::new(times.len(), OVERSAMPLING)?;
            let all = transform.frequencies_hz(span_s / (times.len() - 1) as f64);
            let from = all.partition_point(|frequency| *frequency < band.low_hz * (1.0 - 1e-9));
            let to = all.partition_point(|frequency| *frequency <= band.high_hz * (1.0 + 1e-9));
            let frequencies_hz = all.get(from..to).unwrap_or_default().to_vec();
            let kind = Kind::Fourier { transform, kept: from..to };
            return Ok(Self { frequencies_hz, span_s, times_s: times, kind });
        }
        let frequencies_hz = frequency_grid(band, span_s);
        let waves = frequencies_hz.iter().map(|frequency| Waves::of(&times, *frequency)).collect();
        Ok(Self { frequencies_hz, span_s, times_s: times, kind: Kind::LombScargle(waves) })
    }

    /// Powers of one series; values that are not finite are gaps.
    pub(crate) fn powers(&self, values: &[f64]) -> Result<Vec<f64>, SequenceError> {
        if values.iter().any(|value| !value.is_finite()) {
            return Ok(LombScargle::new(&self.times_s, values, None)?.powers(&self.frequencies_hz));
        }
        match &self.kind {
            Kind::Fourier { transform, kept } => {
                Ok(transform.powers(values)?.get(kept.clone()).unwrap_or_default().to_vec())
            }
            Kind::LombScargle(waves) => {
                let mean = values.iter().sum::<f64>() / values.len() as f64;
                let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
                if !exceeds(squares, values.len() as f64 * (mean.abs() * 1e-12).powi(2)) {
                    return Err(SequenceError::Constant { what: "the series" });
                }
                Ok(waves.iter().map(|wave| wave.power(values, squares)).collect())
            }
        }
    }

    /// Variance of the times, s².
    pub(crate) fn time_variance_s2(&self) -> f64 {
        let mean = self.times_s.iter().sum::<f64>() / self.times_s.len() as f64;
        self.times_s.iter().map(|time| (time - mean).powi(2)).sum::<f64>() / self.times_s.len() as f64
    }
}

impl Waves {
    fn of(times_s: &[f64], frequency_hz: f64) -> Self {
        let (mut sines, mut cosines): (Vec<f64>, Vec<f64>) =
            times_s.iter().map(|time| (TAU * frequency_hz * time).sin_cos()).unzip();
        // the floating mean of the fit
        for wave in [&mut sines, &mut cosines] {
            let mean = wave.iter().sum::<f64>() / wave.len() as f64;
            for value in wave.iter_mut() {
                *value -= mean;
            }
        }
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let [cc, ss, cs] = [dot(&cosines, &cosines), dot(&sines, &sines), dot(&cosines, &sines)];
        Self { cosines, sines, cc, ss, cs }
    }

    fn power(&self, values: &[f64], squares: f64) -> f64 {
        let [mut yc, mut ys] = [0.0; 2];
        for ((value, cosine), sine) in values.iter().zip(&self.cosines).zip(&self.sines) {
            yc += value * cosine;
            ys += value * sine;
        }
        let determinant = self.cc * self.ss - self.cs * self.cs;
        if !exceeds(determinant, 1e-14 * (values.len() as f64).powi(2)) {
            return 0.0;
        }
        let explained = (yc * yc * self.ss + ys * ys * self.cc - 2.0 * yc * ys * self.cs) / determinant;
        (explained / squares).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shared_waves_give_what_a_series_alone_gives() {
        let times: Vec<f64> = (0..50).map(|i| f64::from(i) + 0.4 * f64::from(i % 3)).collect();
        let values: Vec<f64> = times.iter().map(|t| 3.0 + (t / 7.0).sin() + 0.2 * (t * t).sin()).collect();
        let shared = SharedSpectrum::new(&times, Band { low_hz: 0.05, high_hz: 0.4 }).unwrap();
        let alone = LombScargle::new(&times, &values, None).unwrap();
        for (frequency, power) in shared.frequencies_hz.iter().zip(shared.powers(&values).unwrap()) {
            assert!((alone.power(*frequency) - power).abs() < 1e-10);
        }
    }
}
