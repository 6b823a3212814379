//! Laws of spectra, and hostile series.

use std::f64::consts::TAU;

use proptest::prelude::*;
use sequence::{
    Band, LombScargle, Sampling, SequenceError, SpectralMethod, Visibility, exposure_retains, fourier_powers,
    local_chance, periodogram, running_median,
};

/// A sine with a little noise that repeats itself; drawn, not observed.
pub(crate) fn sine(times_s: &[f64], period_s: f64, amplitude: f64, noise: f64) -> Vec<f64> {
    let mut state = 0x9e37_79b9_7f4a_7c15_u64;
    times_s.iter().map(|t| 10.0 + amplitude * (t / period_s * TAU).sin() + noise * gaussian(&mut state)).collect()
}

/// Nearly Gaussian noise from a generator of our own, the same each time: the sum of twelve even numbers less six.
pub(crate) fn gaussian(state: &mut u64) -> f64 {
    (0..12)
        .map(|_| {
            *state ^= *state << 13;
            *state ^= *state >> 7;
            *state ^= *state << 17;
            (*state >> 11) as f64 / (1u64 << 53) as f64
        })
        .sum::<f64>()
        - 6.0
}

pub(crate) fn every(step_s: f64, count: u32) -> Vec<f64> {
    (0..count).map(|index| f64::from(index) * step_s).collect()
}

#[test]
fn even_series_go_through_the_fast_transform_and_gaps_do_not() {
    let times = every(0.5, 400);
    let mut values = sine(&times, 8.0, 1.0, 0.3);
    let even = periodogram(&times, &values, None).unwrap();
    assert_eq!(even.method, SpectralMethod::Fourier);
    assert!((even.peaks(1)[0].frequency_hz - 0.125).abs() < 0.001);
    for value in values.iter_mut().skip(100).take(60) {
        *value = f64::NAN;
    }
    let with_gap = periodogram(&times, &values, None).unwrap();
    assert_eq!(with_gap.method, SpectralMethod::LombScargle);
    assert!((with_gap.peaks(1)[0].frequency_hz - 0.125).abs() < 0.001);
}

#[test]
fn both_methods_give_one_power_at_the_fourier_frequencies() {
    let times = every(1.0, 128);
    let values = sine(&times, 9.7, 1.0, 0.8);
    let (frequencies, powers) = fourier_powers(&values, 1.0, 1).unwrap();
    let lomb = LombScargle::new(&times, &values, None).unwrap();
    // the last frequency, half the sampling rate, is a case of its own: no sine can be fitted there
    for (frequency, power) in frequencies.iter().zip(&powers).take(62) {
        assert!((lomb.power(*frequency) - power).abs() < 1e-9, "{frequency}: {} {power}", lomb.power(*frequency));
    }
}

#[test]
fn slow_wandering_is_no_period() {
    // drawn: a random walk, as cloud makes; white-noise statistics would call its slowest swing certain
    let mut false_finds = 0;
    for seed in 1..60_u64 {
        let mut state = seed.wrapping_mul(0x2545_f491_4f6c_dd1d);
        let times = every(1.0, 600);
        let mut level = 0.0;
        let values: Vec<f64> = times
            .iter()
            .map(|_| {
                level += gaussian(&mut state);
                level
            })
            .collect();
        let course = running_median(&times, &values, 60.0);
        let flat: Vec<f64> = values.iter().zip(course).map(|(value, course)| value - course).collect();
        let spectrum = periodogram(&times, &flat, Some(Band { low_hz: 1.0 / 30.0, high_hz: 0.5 })).unwrap();
        let best = spectrum.peaks(1)[0];
        if local_chance(&spectrum.frequencies_hz, &spectrum.powers, best, spectrum.span_s) < 1e-3 {
            false_finds += 1;
        }
    }
    assert!(false_finds <= 1, "{false_finds} of 59");
}

#[test]
fn a_faint_sine_in_noise_is_found() {
    let times = every(1.0, 600);
    let values = sine(&times, 7.3, 0.5, 1.0);
    let spectrum = periodogram(&times, &values, None).unwrap();
    let best = spectrum.peaks(1)[0];
    assert!((1.0 / best.frequency_hz - 7.3).abs() < 0.05);
    assert!(local_chance(&spectrum.frequencies_hz, &spectrum.powers, best, spectrum.span_s) < 1e-6);
}

#[test]
fn what_is_no_series_is_refused_with_a_remedy() {
    let times = every(1.0, 20);
    for (error, says) in [
        (LombScargle::new(&times, &times[..3], None).unwrap_err(), "3 values, 20 expected"),
        (LombScargle::new(&times, &[5.0; 20], None).unwrap_err(), "does not vary"),
        (LombScargle::new(&times, &[f64::NAN; 20], None).unwrap_err(), "0 samples, 8 needed"),
        (LombScargle::new(&times, &times, Some(&[0.0; 20])).unwrap_err(), "0 samples, 8 needed"),
        (periodogram(&[], &[], None).unwrap_err(), "0 samples"),
        (periodogram(&[1.0; 20], &times, None).unwrap_err(), "samples"),
        (fourier_powers(&times, 0.0, 2).unwrap_err(), "above 0"),
        (fourier_powers(&[f64::INFINITY; 20], 1.0, 2).unwrap_err(), "finite"),
        (Sampling::of(&[1.0], None).unwrap_err(), "1 samples"),
        (Sampling::of(&times, Some(-1.0)).unwrap_err(), "0 or more"),
    ] {
        assert!(error.to_string().contains(says), "{error} does not say {says}");
        assert!(!SequenceError::hint(&error).is_empty());
    }
}

proptest! {
    #[test]
    fn power_is_a_share_and_knows_neither_scale_nor_level(
        period in 3.0_f64..40.0, scale in 0.001_f64..1e4, level in -100.0_f64..100.0, shift in -1e5_f64..1e5, frequency in 0.01_f64..0.4
    ) {
        let times: Vec<f64> = (0..90).map(|i| f64::from(i) + 0.31 * f64::from(i % 4)).collect();
        let values = sine(&times, period, 1.0, 0.5);
        let moved: Vec<f64> = values.iter().map(|value| value * scale + level * scale).collect();
        let shifted: Vec<f64> = times.iter().map(|time| time + shift).collect();
        let [a, b, c] = [(&times, &values), (&times, &moved), (&shifted, &values)]
            .map(|(times, values)| LombScargle::new(times, values, None).unwrap().power(frequency));
        prop_assert!((0.0..=1.0).contains(&a));
        prop_assert!((a - b).abs() < 1e-6 && (a - c).abs() < 1e-6, "{} {} {}", a, b, c);
    }

    #[test]
    fn an_alias_is_indistinguishable_at_the_times_of_the_frames(frequency in 0.1_f64..300.0, interval in 0.01_f64..10.0) {
        let times = every(interval, 50);
        let sampling = Sampling::of(&times, None).unwrap();
        let alias = sampling.alias_hz(frequency);
        prop_assert!(alias >= 0.0 && alias <= sampling.nyquist_hz() * (1.0 + 1e-9));
        for time in &times {
            let (a, b) = ((TAU * frequency * time).cos(), (TAU * alias * time).cos());
            prop_assert!((a - b).abs() < 1e-6, "{} {}", a, b);
        }
    }

    #[test]
    fn longer_exposures_keep_less_of_a_slow_enough_flicker(frequency in 0.1_f64..50.0, a in 0.0_f64..1.0, b in 0.0_f64..1.0) {
        // before the first null
        let [short, long] = [a.min(b) / frequency, a.max(b) / frequency];
        prop_assert!(exposure_retains(frequency, short) + 1e-12 >= exposure_retains(frequency, long));
    }

    #[test]
    fn what_is_visible_lies_between_the_bounds(interval in 0.01_f64..20.0, exposure in 0.0_f64..20.0, frequency in 0.001_f64..100.0) {
        let sampling = Sampling::of(&every(interval, 200), Some(exposure)).unwrap();
        let seen = sampling.visibility(frequency) == Visibility::Visible;
        let between = frequency >= sampling.lowest_hz() && frequency < sampling.highest_hz() - 1e-9;
        prop_assert!(!between || seen);
    }

    #[test]
    fn no_series_is_too_wild(values in proptest::collection::vec(any::<f64>(), 0..40)) {
        let times = every(1.0, u32::try_from(values.len()).unwrap());
        if let Ok(spectrum) = periodogram(&times, &values, None) {
            prop_assert!(spectrum.powers.iter().all(|power| (0.0..=1.0).contains(power)), "{:?}", spectrum.powers);
        }
    }
}
