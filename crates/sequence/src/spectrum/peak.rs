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
/// are so no period; the level is taken higher by two of its errors. 1 where there is too little around the peak, or
/// nothing slower, to compare with.
///
/// # Source
///
/// S. Vaughan, *Astron. Astrophys.* 431, 391 (2005), a test for periodic signals in red noise; here over the surroundings only.
pub fn local_chance(frequencies_hz: &[f64], powers: &[f64], peak: SpectralPeak, span_s: f64) -> f64 {
    let lines = Lines { frequencies_hz, powers, span_s };
    lines.level(peak.frequency_hz, 1).map_or(1.0, |level| lines.chance(peak.power / level, 1))
}

/// Standard deviation of the logarithm of an exponentially distributed number: pi / sqrt(6).
const LOG_SPREAD: f64 = 1.282_549_830_161_864;
/// The level of noise is taken higher by so many of its standard errors: few or one-sided surroundings say little of it.
const LEVEL_SIGMAS: f64 = 2.0;

/// Widths of a peak that are tried, independent frequencies: strictly regular, and two kinds of less regular. Pulsating patches come
/// back at intervals that differ by a fifth or more, which spreads their power over several frequencies.
const WIDTHS: [usize; 3] = [1, 5, 9];
/// A broad peak must stand this many times above the level of noise: a bend in the spectrum of cloud makes twice.
const LEAST_BROAD: f64 = 4.0;

/// Independent frequencies that a list must hold for each that a broad peak takes.
const LINES_A_WIDTH: usize = 8;
/// Share of the power of the broadest peak that one frequency must hold to be called regular.
const MOST_IN_ONE: f64 = 0.5;
/// Chance below which a regular peak is preferred to a broad one, however much smaller the chance of that.
const SURE: f64 = 1e-6;

/// The frequency that stands highest above the noise around it, alone or with its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct StrongestPeriod {
    /// Middle, Hz.
    pub(crate) frequency_hz: f64,
    /// Independent frequencies that it takes.
    pub(crate) width: usize,
    /// Share of the variance in them.
    pub(crate) power: f64,
    /// Chance that noise does this anywhere in the list.
    pub(crate) chance: f64,
}

/// Looks for the strongest period of a spectrum, regular or nearly so.
pub(crate) fn strongest_period(frequencies_hz: &[f64], powers: &[f64], span_s: f64) -> Option<StrongestPeriod> {
    let lines = Lines { frequencies_hz, powers, span_s };
    let whole = lines.around(f64::NAN, 0);
    let course = LogLine::through(&whole)?;
    let found: Vec<StrongestPeriod> = WIDTHS
        .iter()
        .filter(|width| **width == 1 || whole.len() >= LINES_A_WIDTH * lines.step() * **width)
        .filter_map(|&width| lines.candidate(width, &course))
        .collect();
    let best = found.iter().min_by(|a, b| a.chance.total_cmp(&b.chance))?;
    // a single line is in every broad band around it: regular is what has most of the power in one
    let regular = found.iter().find(|one| {
        let widest = found.iter().map(|broad| broad.power).fold(0.0, f64::max);
        one.width == 1 && one.power >= MOST_IN_ONE * widest
    });
    Some(*regular.filter(|regular| regular.chance < SURE || regular.chance <= best.chance).unwrap_or(best))
}

/// A spectrum with the length of its series.
struct Lines<'a> {
    frequencies_hz: &'a [f64],
    powers: &'a [f64],
    span_s: f64,
}

impl Lines<'_> {
    /// Places of the list from one independent frequency to the next.
    fn step(&self) -> usize {
        let [first, second] = [0, 1].map(|index| self.frequencies_hz.get(index).copied().unwrap_or(f64::NAN));
        let steps = (1.0 / self.span_s / (second - first)).round();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; at least 1")]
        let steps = steps.max(1.0) as usize;
        steps
    }

    /// Power over `width` independent frequencies about a place; none at the ends of the list.
    fn sum(&self, index: usize, width: usize) -> Option<f64> {
        let step = self.step();
        let first = index.checked_sub(width / 2 * step)?;
        (0..width).map(|line| self.powers.get(first + line * step)).sum()
    }

    /// The strongest peak of a width.
    fn candidate(&self, width: usize, course: &LogLine) -> Option<StrongestPeriod> {
        let index = self.highest(width, course)?;
        let sum = self.sum(index, width)?;
        let line = self.level(self.frequencies_hz[index], width)?;
        // a broad peak must stand above either side of it, or it is the knee where cloud gives way to noise
        let level = if width == 1 { line } else { self.flanks(index, width).fold(line, f64::max) };
        let chance = (self.chance(sum / level, width) * WIDTHS.len() as f64).min(1.0);
        // the middle of its power
        let first = index.checked_sub(width / 2 * self.step())?;
        let places = (0..width).map(|line| first + line * self.step());
        let moment: f64 = places.map(|place| self.frequencies_hz[place] * self.powers[place]).sum();
        let frequency_hz = if sum > 0.0 { moment / sum } else { self.frequencies_hz[index] };
        let stands = width == 1 || sum >= LEAST_BROAD * level * width as f64;
        stands.then_some(StrongestPeriod { frequency_hz, width, power: sum.min(1.0), chance })
    }

    /// Mean power of as many independent frequencies as a broad peak has, on either side of it and beyond its wings.
    fn flanks(&self, index: usize, width: usize) -> impl Iterator<Item = f64> {
        let away = 2 * width + 2;
        let beside = [index.checked_sub(away * self.step()), index.checked_add(away * self.step())];
        beside.map(|place| Some(self.sum(place?, width)? / width as f64)).into_iter().flatten()
    }

    /// The place that stands highest above the course of the whole spectrum; of single frequencies only maxima.
    fn highest(&self, width: usize, course: &LogLine) -> Option<usize> {
        let above = |index: usize| {
            let sum = self.sum(index, width)?;
            Some(sum / course.at(self.frequencies_hz[index].ln()).exp())
        };
        (1..self.powers.len().saturating_sub(1))
            .filter(|index| {
                width > 1
                    || (self.powers[*index] > self.powers[index - 1] && self.powers[*index] >= self.powers[index + 1])
            })
            .filter_map(|index| Some((index, above(index)?)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(index, _)| index)
    }

    /// Logarithms of frequency and power around a frequency, without the peak itself; of the whole list where it is none.
    fn around(&self, frequency_hz: f64, width: usize) -> Vec<(f64, f64)> {
        let away_hz = (2.0 + width as f64 / 2.0) / self.span_s;
        self.frequencies_hz
            .iter()
            .zip(self.powers)
            .filter(|(frequency, power)| {
                let ratio = *frequency / frequency_hz;
                let near =
                    (1.0 / SURROUNDINGS..=SURROUNDINGS).contains(&ratio) && (*frequency - frequency_hz).abs() > away_hz;
                (near || frequency_hz.is_nan()) && power.is_finite()
            })
            .map(|(frequency, power)| (frequency.ln(), power.max(f64::MIN_POSITIVE).ln()))
            .collect()
    }

    /// Level of the noise at a frequency, from its surroundings; none where there is too little to compare with.
    fn level(&self, frequency_hz: f64, width: usize) -> Option<f64> {
        let around = self.around(frequency_hz, width);
        let below = around.iter().filter(|point| point.0 < frequency_hz.ln()).count();
        if around.len() < LEAST_SURROUNDINGS || below < LEAST_BELOW {
            return None;
        }
        let line = LogLine::through(&around)?;
        let independent = around.len() as f64 / self.step() as f64;
        let doubt = LEVEL_SIGMAS * LOG_SPREAD * line.leverage(frequency_hz.ln(), independent).sqrt();
        Some((line.at(frequency_hz.ln()) + EULER + doubt).exp())
    }

    /// Chance that `width` powers of noise add up to so many times their level, anywhere in the list.
    fn chance(&self, times: f64, width: usize) -> f64 {
        let [first, last] =
            [self.frequencies_hz.first(), self.frequencies_hz.last()].map(|hz| hz.copied().unwrap_or(0.0));
        let independent = ((last - first) * self.span_s).max(1.0);
        // the sum of exponentially distributed numbers: exp(-x) (1 + x + x²/2 + ...)
        let (mut term, mut series) = (1.0, 1.0);
        for order in 1..width {
            term *= times / order as f64;
            series += term;
        }
        let one = ((-times).exp() * series).min(1.0);
        // 1 - (1 - one)^independent without loss for small chances
        (-(independent * (-one).ln_1p()).exp_m1()).clamp(0.0, 1.0)
    }
}

/// A straight line by least squares.
struct LogLine {
    mean_x: f64,
    mean_y: f64,
    slope: f64,
    /// Mean square distance of the points from their middle.
    variance_x: f64,
}

impl LogLine {
    fn through(points: &[(f64, f64)]) -> Option<Self> {
        let count = points.len() as f64;
        let [mean_x, mean_y] =
            [points.iter().map(|point| point.0).sum::<f64>(), points.iter().map(|point| point.1).sum()]
                .map(|sum| sum / count);
        let spread: f64 = points.iter().map(|point| (point.0 - mean_x).powi(2)).sum();
        let slope = points.iter().map(|point| (point.0 - mean_x) * (point.1 - mean_y)).sum::<f64>() / spread;
        mean_y.is_finite().then_some(Self {
            mean_x,
            mean_y,
            slope: if slope.is_finite() { slope } else { 0.0 },
            variance_x: spread / count,
        })
    }

    /// Variance of the line at a place, in units of that of one point.
    fn leverage(&self, x: f64, independent: f64) -> f64 {
        let away = (x - self.mean_x).powi(2) / self.variance_x.max(f64::MIN_POSITIVE);
        (1.0 + away) / independent.max(1.0)
    }

    fn at(&self, x: f64) -> f64 {
        self.mean_y + self.slope * (x - self.mean_x)
    }
}
