use super::cells::SkyCells;
use super::found::{CellPulsation, PulsationBlock, PulsationStanding};
use super::in_step::{Common, common};
use super::on_off::on_times;
use super::patches::patches;
use super::watch::{Level, PulsationSettings};
use crate::robust::median;
use crate::sampling::{LampBeat, Sampling};
use crate::spectrum::{Band, SharedSpectrum, StrongestPeriod, false_alarm_of, strongest_period, without_trend};

/// How far the times on and off together may be from the period, as a share, beside one sample: periods of real patches scatter by
/// about as much (judgement).
const TIMES_SHARE: f64 = 0.3;
/// Chance of one cell from which a period that is not regular is believed, if a neighbour has it too: both by chance are one in a
/// million.
const IRREGULAR_CHANCE: f64 = 1e-3;
/// Periods that a block must hold before its spectrum begins; to be believed a period must stand three more above that, so that there
/// is something slower to compare it with.
const LEAST_PERIODS: f64 = 5.0;
/// The slow course of a cell is its running median over this share of a block: all that is looked for is faster.
const COURSE_SHARE: f64 = 1.0 / 3.0;
/// Share of a cell's samples that must be there.
const LEAST_FILLED: f64 = 0.7;
/// Means of frames lose what is faster: of their highest frequencies this share is used.
const OF_MEANS: f64 = 0.8;
/// Two periods are one within so many resolutions of the block.
const SAME_RESOLUTIONS: f64 = 1.5;
/// Turns of a lamp's flicker by which the times of frames scatter: from here on it is noise, not a beat.
const INCOHERENT_TURNS: f64 = 0.25;
/// Share of a lamp's flicker that an exposure must leave for its beat to count; lamps flicker by up to half of their light.
const LEAST_LAMP: f64 = 0.005;

/// Cosine of the phase within which a cell swings in step with all (60 degrees); of cells without a swing a third do by chance.
const IN_STEP: f64 = 0.5;
/// Share of the common swing that a cell must show to follow it.
const FOLLOWING: f64 = 0.3;
/// Share of the cells that must follow.
const MOST_CELLS: f64 = 0.6;

/// Slowest period taken for pulsation, s: twice the longest that reviews give (2 to 20 s).
const SLOWEST_S: f64 = 40.0;

/// Judges the samples of a level; none where too few of them are at hand.
pub(super) fn judge(level: &Level, cells: &SkyCells, settings: &PulsationSettings) -> Option<PulsationBlock> {
    let times_s = &level.times_s;
    let exposure_s = settings.exposure_s.filter(|exposure| *exposure >= 0.0 && exposure.is_finite());
    let sampling = Sampling::of(times_s, exposure_s).ok()?;
    let highest_hz = sampling.nyquist_hz() * if level.frames_averaged > 1 { OF_MEANS } else { 1.0 };
    let band = Band { low_hz: LEAST_PERIODS / sampling.span_s, high_hz: highest_hz };
    let spectrum = SharedSpectrum::new(times_s, band).ok()?;
    let series: Vec<(usize, Vec<f64>)> = (0..cells.cells.len())
        .map(|cell| (cell, level.values.iter().map(|sample| f64::from(sample[cell])).collect::<Vec<f64>>()))
        .filter(|(_, values)| {
            let present = values.iter().filter(|value| value.is_finite()).count();
            present as f64 >= LEAST_FILLED * values.len() as f64
        })
        .collect();
    let values: Vec<Vec<f64>> = series.iter().map(|(_, values)| values.clone()).collect();
    let Common { course, steps } = common(times_s, &values);
    let lens = Lens { times_s, sampling: &sampling, spectrum: &spectrum, band };
    let alone = 1.0;
    let together = course.as_ref().and_then(|course| {
        let flat = lens.flat(course);
        let (period, _) = lens.period(&flat, alone)?;
        (period.chance < settings.largest_chance && lens.shared(&flat, &values, &period)).then_some(period)
    });
    let mut mean_powers = vec![0.0; spectrum.frequencies_hz.len()];
    let found: Vec<CellPulsation> = series
        .iter()
        .filter_map(|(cell, values)| {
            let corrected: Vec<f64> = match &course {
                Some(course) => values.iter().zip(course).map(|(value, share)| value / share).collect(),
                None => values.clone(),
            };
            let flat = lens.flat(&corrected);
            let (period, powers) = lens.period(&flat, series.len() as f64)?;
            for (sum, power) in mean_powers.iter_mut().zip(&powers) {
                *sum += power / series.len() as f64;
            }
            let single = period.chance / series.len() as f64;
            let believed =
                if period.width == 1 { period.chance < settings.largest_chance } else { single < IRREGULAR_CHANCE };
            believed.then(|| {
                let standing = lens.standing(&period, together.as_ref(), course.is_some());
                lens.describe(*cell, &period, powers, standing, &corrected, &flat)
            })
        })
        .collect();
    let same_hz = SAME_RESOLUTIONS / sampling.span_s;
    let mut found = found;
    mark_uncertain(cells, &mut found, same_hz);
    Some(PulsationBlock {
        from_s: *times_s.first()?,
        to_s: *times_s.last()?,
        frames_averaged: level.frames_averaged,
        sampling,
        band,
        frequencies_hz: spectrum.frequencies_hz.clone(),
        mean_powers,
        judged: series.len(),
        common_period_s: together.map(|found| 1.0 / found.frequency_hz),
        common_steps: steps,
        patches: patches(cells, &found, same_hz),
        found,
    })
}

/// Marks what is not regular and has no neighbour that does the same.
fn mark_uncertain(cells: &SkyCells, found: &mut [CellPulsation], same_hz: f64) {
    for patch in patches(cells, found, same_hz).iter().filter(|patch| patch.cells.len() == 1) {
        for alone in found.iter_mut().filter(|found| patch.cells.contains(&found.cell) && !found.is_regular) {
            alone.standing = PulsationStanding::Uncertain;
        }
    }
}

/// The complex amplitude of a frequency in a series; gaps count as nothing.
fn swing(times_s: &[f64], values: &[f64], frequency_hz: f64) -> [f64; 2] {
    let mut sum = [0.0; 2];
    let mut count = 0.0;
    for (time, value) in times_s.iter().zip(values).filter(|(_, value)| value.is_finite()) {
        let (sine, cosine) = (std::f64::consts::TAU * frequency_hz * time).sin_cos();
        sum[0] += value * cosine;
        sum[1] += value * sine;
        count += 1.0;
    }
    sum.map(|part| 2.0 * part / count)
}

/// What all cells of a block share.
struct Lens<'a> {
    times_s: &'a [f64],
    sampling: &'a Sampling,
    spectrum: &'a SharedSpectrum,
    band: Band,
}

impl Lens<'_> {
    /// A series without its slow course.
    fn flat(&self, values: &[f64]) -> Vec<f64> {
        without_trend(self.times_s, values, self.sampling.span_s * COURSE_SHARE)
    }

    /// The strongest period of a series, with its chance among `series` of them, and its spectrum.
    fn period(&self, flat: &[f64], series: f64) -> Option<(StrongestPeriod, Vec<f64>)> {
        let powers = self.spectrum.powers(flat).ok()?;
        let mut found = strongest_period(&self.spectrum.frequencies_hz, &powers, self.spectrum.span_s)?;
        if found.width == 1 {
            let samples = flat.iter().filter(|value| value.is_finite()).count();
            let variance_s2 = self.spectrum.time_variance_s2();
            found.chance = found.chance.max(false_alarm_of(samples, variance_s2, found.power, self.band.high_hz));
        }
        found.chance *= series;
        Some((found, powers))
    }

    /// Whether most of the cells swing with the common course, in step and by as much: a period of a few cells shows in the median of
    /// all as well, but the rest do not follow it.
    fn shared(&self, course: &[f64], cells: &[Vec<f64>], period: &StrongestPeriod) -> bool {
        let frequency_hz = period.frequency_hz;
        let [re, im] = swing(self.times_s, course, frequency_hz);
        let size = re.hypot(im);
        let following = cells
            .iter()
            .filter(|values| {
                let mut present: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
                let Some(usual) = median(&mut present).filter(|usual| *usual > 0.0) else { return false };
                let [cell_re, cell_im] = swing(self.times_s, &self.flat(values), frequency_hz).map(|part| part / usual);
                let along = (cell_re * re + cell_im * im) / size;
                along > IN_STEP * cell_re.hypot(cell_im) && along > FOLLOWING * size
            })
            .count();
        following as f64 >= MOST_CELLS * cells.len() as f64
    }

    fn standing(
        &self,
        period: &StrongestPeriod,
        together: Option<&StrongestPeriod>,
        common_known: bool,
    ) -> PulsationStanding {
        let widest = period.width.max(together.map_or(1, |together| together.width));
        let same_hz = SAME_RESOLUTIONS.max(widest as f64 / 2.0) / self.sampling.span_s;
        let frequency_hz = period.frequency_hz;
        if together.is_some_and(|together| (together.frequency_hz - frequency_hz).abs() < same_hz) {
            return PulsationStanding::CommonToAll;
        }
        if let Some(beat) =
            self.lamps().find(|beat| (beat.shows_as_hz - frequency_hz).abs() < same_hz + 3.0 * beat.sigma_hz)
        {
            return PulsationStanding::MayBeLamp { lamp_hz: beat.lamp_hz };
        }
        if frequency_hz * SLOWEST_S < 1.0 {
            return PulsationStanding::SlowerThanPulsation;
        }
        if common_known { PulsationStanding::Pulsating } else { PulsationStanding::CannotTellFromCommon }
    }

    /// Beats of lamps that these frames can show.
    fn lamps(&self) -> impl Iterator<Item = LampBeat> {
        let jitter_s = self.sampling.jitter_s;
        self.sampling
            .lamp_beats()
            .into_iter()
            .filter(move |beat| beat.retained > LEAST_LAMP && beat.lamp_hz * jitter_s < INCOHERENT_TURNS)
    }

    fn describe(
        &self,
        cell: usize,
        period: &StrongestPeriod,
        powers: Vec<f64>,
        standing: PulsationStanding,
        corrected: &[f64],
        flat: &[f64],
    ) -> CellPulsation {
        let frequency_hz = period.frequency_hz;
        let resolution_hz = 1.0 / self.sampling.span_s;
        let present: Vec<f64> = flat.iter().copied().filter(|value| value.is_finite()).collect();
        let mean = present.iter().sum::<f64>() / present.len() as f64;
        let variance = present.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / present.len() as f64;
        // the variance of a sinusoid is half the square of its amplitude
        let amplitude = (2.0 * variance * period.power).sqrt();
        let mut levels: Vec<f64> = corrected.iter().copied().filter(|value| value.is_finite()).collect();
        let usual = median(&mut levels).unwrap_or(f64::NAN);
        let on_s = on_times(self.times_s, flat);
        let mut on: Vec<f64> = on_s.iter().map(|[from, to]| to - from + self.sampling.interval_s).collect();
        let mut off: Vec<f64> =
            on_s.windows(2).map(|pair| pair[1][0] - pair[0][1] - self.sampling.interval_s).collect();
        // times that do not add up to the period are those of the noise
        let (on_s_median, off_s_median) = (median(&mut on), median(&mut off));
        let slack_s = TIMES_SHARE / frequency_hz + self.sampling.interval_s;
        let adds_up =
            on_s_median.zip(off_s_median).is_some_and(|(on, off)| (on + off - 1.0 / frequency_hz).abs() <= slack_s);
        CellPulsation {
            cell,
            standing,
            period_s: 1.0 / frequency_hz,
            period_sigma_s: 0.5 * period.width as f64 * resolution_hz / frequency_hz.powi(2),
            is_regular: period.width == 1,
            powers,
            amplitude,
            relative_amplitude: amplitude / usual,
            retained: self.sampling.retained(frequency_hz),
            chance: period.chance.min(1.0),
            on_median_s: on_s_median.filter(|_| adds_up),
            off_median_s: off_s_median.filter(|_| adds_up),
            on_s,
        }
    }
}
