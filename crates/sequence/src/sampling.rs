//! What frames taken this often and this long could show of a flicker, and what not.

use std::f64::consts::PI;

use serde::Serialize;

use crate::SequenceError;
use crate::robust::{median, middle_and_spread};

/// Share of a flicker's swing below which an exposure has washed it out.
const LEAST_RETAINED: f64 = 0.5;
/// `f T` at which an exposure keeps half of a flicker's swing: the root of sin(pi x) / (pi x) = 1/2.
const HALF_RETAINED_CYCLES: f64 = 0.603_354_6;
/// Periods that a sequence must hold before one is said to be there: fewer are a rise and a fall.
const LEAST_PERIODS: f64 = 3.0;
/// Lamps fed by alternating current flicker at twice its frequency, 50 or 60 Hz.
const LAMP_HZ: [f64; 2] = [100.0, 120.0];

/// Fast changes of aurora that people ask for, with their frequencies.
///
/// Pulsating aurora: periods of 2 to 20 s, with a modulation near 3 Hz on top (the first from a review's introduction, the second
/// from memory). Flickering: 3 to 15 Hz (Kataoka et al., *Earth Planets Space* 67, 23, 2015), imaged up to 80 Hz (Fukuda et al. 2017).
pub const REPORTED_FLICKERS: [Flicker; 4] = [
    Flicker { name: "pulsation", low_hz: 0.05, high_hz: 0.5 },
    Flicker { name: "modulation of pulsation", low_hz: 3.0, high_hz: 3.0 },
    Flicker { name: "flickering", low_hz: 10.0, high_hz: 15.0 },
    Flicker { name: "fastest flicker reported", low_hz: 80.0, high_hz: 80.0 },
];

/// A kind of fast change.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Flicker {
    /// Its name.
    pub name: &'static str,
    /// Lowest frequency, Hz.
    pub low_hz: f64,
    /// Highest frequency, Hz.
    pub high_hz: f64,
}

/// Whether a frequency could have been seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Visibility {
    /// It could.
    Visible,
    /// Fewer than three periods fit into the sequence.
    TooSlow,
    /// Above half the frame rate: it would show as another, slower one.
    TooFast,
    /// The exposure averages over it: less than half of its swing is left.
    WashedOut,
}

/// What is needed to see a flicker.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FlickerVerdict {
    /// The kind.
    pub flicker: Flicker,
    /// Whether its highest frequency could have been seen here.
    pub at_highest: Visibility,
    /// Whether its lowest could.
    pub at_lowest: Visibility,
    /// Frames a second that must be exceeded for its highest frequency.
    pub frames_per_s_above: f64,
    /// Longest exposure that keeps half of its swing, s; the frame rate itself may allow less.
    pub longest_exposure_s: f64,
}

/// A lamp's flicker as these frames show it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LampBeat {
    /// What the lamp does, Hz.
    pub lamp_hz: f64,
    /// As what it shows, Hz; 0 is not at all.
    pub shows_as_hz: f64,
    /// Share of its swing that the exposure leaves.
    pub retained: f64,
    /// Error of `shows_as_hz`, from what is not known of the frame interval, Hz. Where it is above the frame rate the beat may
    /// stand anywhere.
    pub sigma_hz: f64,
}

/// When the frames of a sequence were taken.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Sampling {
    /// Frames.
    pub frames: usize,
    /// From the first to the last, s.
    pub span_s: f64,
    /// Median time between frames, s.
    pub interval_s: f64,
    /// Gaussian-equivalent scatter of that time, s.
    pub jitter_s: f64,
    /// Longest time between frames, s.
    pub longest_gap_s: f64,
    /// Exposure, s; none where it is not known.
    pub exposure_s: Option<f64>,
}

impl Sampling {
    /// From the times of frames in order, s.
    ///
    /// # Errors
    ///
    /// Fewer than two different times, or an exposure below 0.
    pub fn of(times_s: &[f64], exposure_s: Option<f64>) -> Result<Self, SequenceError> {
        let steps: Vec<f64> = times_s.windows(2).map(|pair| pair[1] - pair[0]).filter(|step| *step > 0.0).collect();
        let too_few = SequenceError::TooFewSamples { what: "the frame interval", found: times_s.len(), needed: 2 };
        let interval_s = median(&mut steps.clone()).ok_or_else(|| too_few.clone())?;
        let (_, jitter_s) = middle_and_spread(&steps).ok_or_else(|| too_few.clone())?;
        if let Some(value) = exposure_s.filter(|exposure| !(*exposure >= 0.0 && exposure.is_finite())) {
            return Err(SequenceError::OutOfRange { what: "the exposure in seconds", value, bound: "0 or more" });
        }
        Ok(Self {
            frames: times_s.len(),
            span_s: times_s.last().zip(times_s.first()).map_or(0.0, |(last, first)| last - first),
            interval_s,
            jitter_s,
            longest_gap_s: steps.iter().copied().fold(0.0, f64::max),
            exposure_s,
        })
    }

    /// Half the frame rate, Hz: nothing above it can be told from something below it.
    pub fn nyquist_hz(&self) -> f64 {
        0.5 / self.interval_s
    }

    /// Lowest frequency of which three periods fit into the sequence, Hz.
    pub fn lowest_hz(&self) -> f64 {
        LEAST_PERIODS / self.span_s
    }

    /// Share of a flicker's swing that the exposure leaves: |sin(pi f T) / (pi f T)|; 1 where the exposure is not known.
    pub fn retained(&self, frequency_hz: f64) -> f64 {
        exposure_retains(frequency_hz, self.exposure_s.unwrap_or(0.0))
    }

    /// Highest frequency that could be seen, Hz: by the frame rate and by the exposure.
    pub fn highest_hz(&self) -> f64 {
        let by_exposure = self.exposure_s.map_or(f64::INFINITY, |exposure| HALF_RETAINED_CYCLES / exposure);
        self.nyquist_hz().min(by_exposure)
    }

    /// The frequency as which one shows in frames taken at even intervals, Hz, 0 to half the frame rate.
    pub fn alias_hz(&self, frequency_hz: f64) -> f64 {
        let turns = frequency_hz * self.interval_s;
        (turns - turns.round()).abs() / self.interval_s
    }

    /// Whether a frequency could have been seen.
    pub fn visibility(&self, frequency_hz: f64) -> Visibility {
        if frequency_hz < self.lowest_hz() {
            Visibility::TooSlow
        } else if frequency_hz >= self.nyquist_hz() {
            Visibility::TooFast
        } else if self.retained(frequency_hz) < LEAST_RETAINED {
            Visibility::WashedOut
        } else {
            Visibility::Visible
        }
    }

    /// What could be seen of each kind of flicker, and what it would take.
    pub fn flickers(&self) -> [FlickerVerdict; 4] {
        REPORTED_FLICKERS.map(|flicker| FlickerVerdict {
            flicker,
            at_highest: self.visibility(flicker.high_hz),
            at_lowest: self.visibility(flicker.low_hz),
            frames_per_s_above: 2.0 * flicker.high_hz,
            longest_exposure_s: HALF_RETAINED_CYCLES / flicker.high_hz,
        })
    }

    /// As what lamps on alternating current show.
    ///
    /// The error counts the jitter of the interval, averaged over the frames, and a rounding of the times to the millisecond.
    pub fn lamp_beats(&self) -> [LampBeat; 2] {
        /// Times are seldom written more finely, s.
        const WRITTEN_TO_S: f64 = 5e-4;
        LAMP_HZ.map(|lamp_hz| {
            let interval_sigma_s = (self.jitter_s.powi(2) / self.frames.max(1) as f64
                + (WRITTEN_TO_S / self.frames.max(1) as f64).powi(2))
            .sqrt();
            LampBeat {
                lamp_hz,
                shows_as_hz: self.alias_hz(lamp_hz),
                retained: self.retained(lamp_hz),
                sigma_hz: lamp_hz * interval_sigma_s / self.interval_s,
            }
        })
    }
}

/// Share of the swing of a frequency that an exposure leaves.
pub fn exposure_retains(frequency_hz: f64, exposure_s: f64) -> f64 {
    let x = PI * frequency_hz * exposure_s;
    if x.abs() < 1e-9 { 1.0 } else { (x.sin() / x).abs() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of the project's sampling rule to two digits: 3 Hz through 0.1 s keeps 0.86, 8 Hz through 33 ms 0.89, 10 s through 5 s 0.64.
    #[test]
    fn exposures_keep_what_the_cardinal_sine_says() {
        for (frequency, exposure, kept) in [(3.0, 0.1, 0.86), (8.0, 0.033, 0.89), (0.1, 5.0, 0.64)] {
            assert!((exposure_retains(frequency, exposure) - kept).abs() < 0.006);
        }
        assert!((exposure_retains(HALF_RETAINED_CYCLES, 1.0) - 0.5).abs() < 1e-6);
    }

    #[test]
    fn stills_every_six_seconds_show_nothing_faster_than_twelve() {
        let times: Vec<f64> = (0..100).map(|i| f64::from(i) * 6.0).collect();
        let sampling = Sampling::of(&times, Some(2.0)).unwrap();
        assert!((1.0 / sampling.nyquist_hz() - 12.0).abs() < 1e-9);
        assert_eq!(sampling.visibility(0.1), Visibility::TooFast);
        assert_eq!(sampling.visibility(0.05), Visibility::Visible);
        let needed: Vec<f64> = sampling.flickers().iter().map(|verdict| verdict.frames_per_s_above).collect();
        assert_eq!(needed, [1.0, 6.0, 30.0, 160.0]);
    }

    #[test]
    fn video_shows_mains_as_a_beat() {
        let times: Vec<f64> = (0..500).map(|i| f64::from(i) / 30.0).collect();
        let sampling = Sampling::of(&times, Some(1.0 / 60.0)).unwrap();
        let [fifty, sixty] = sampling.lamp_beats();
        assert!((fifty.shows_as_hz - 10.0).abs() < 1e-6 && sixty.shows_as_hz < 1e-6, "{fifty:?} {sixty:?}");
    }
}
