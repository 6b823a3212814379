use super::luminance;

/// Frames from which a value can be called an outlier of a pixel: with fewer, none is.
const FEWEST_FRAMES: u16 = 5;
/// Deviation of a Gaussian sample over that of the same sample without its least and greatest value: `1 + 3 (n - 2)^-0.9`,
/// fitted to computed samples of 5 to 300 values; 3 % off at most from 6 values on, 3.3 % at five.
const TRIMMED_FACTOR: f64 = 3.0;
const TRIMMED_POWER: f64 = -0.9;
/// Deviation that is believed at least: a step of 8 bits under the sRGB curve is 1 % of the light or more, and 20 of 65 535 in
/// the darkest (IEC 61966-2-1: 1 / 255 / 12.92); a step is spread evenly over twice its half.
const LEAST_SIGMA_SHARE: f64 = 0.01;
const LEAST_SIGMA: f64 = 10.0;

/// What is known of a pixel over the frames.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Moment {
    frames: u16,
    first: u16,
    low: u16,
    high: u16,
    /// Of the differences to the first.
    sum: i32,
    square: f32,
}

/// First look at a stack: which luminance is usual for each pixel.
///
/// Values come frame by frame; none is kept but the sums, the least and the greatest, 16 bytes a pixel.
#[derive(Debug, Clone, PartialEq)]
pub struct StackMoments {
    pixels: Vec<Moment>,
}

impl StackMoments {
    /// Most frames whose sums stay exact.
    pub const MOST_FRAMES: usize = 32_000;

    /// Of so many pixels.
    pub fn new(pixels: usize) -> Self {
        Self { pixels: vec![Moment::default(); pixels] }
    }

    /// Takes a frame's linear light (0 to 65 535) at a pixel in; a pixel beyond the last one is left out.
    pub fn push(&mut self, pixel: usize, light: [u16; 3]) {
        let Some(moment) = self.pixels.get_mut(pixel) else { return };
        let value = luminance(light);
        if moment.frames == 0 {
            *moment = Moment { frames: 1, first: value, low: value, high: value, sum: 0, square: 0.0 };
            return;
        }
        let difference = i32::from(value) - i32::from(moment.first);
        moment.frames = moment.frames.saturating_add(1);
        moment.low = moment.low.min(value);
        moment.high = moment.high.max(value);
        moment.sum = moment.sum.saturating_add(difference);
        moment.square = (difference as f32).mul_add(difference as f32, moment.square);
    }

    /// Between which luminances a value belongs to its pixel.
    ///
    /// Mean and deviation are those of the values without the least and the greatest, so that one satellite does not hide
    /// itself by widening them. Pixels of fewer than five frames have no limits.
    ///
    /// * `sigmas`: how many deviations on each side.
    pub fn limits(self, sigmas: f64) -> StackLimits {
        StackLimits { pixels: self.pixels.iter().map(|moment| moment.limits(sigmas)).collect() }
    }
}

impl Moment {
    fn limits(&self, sigmas: f64) -> [u16; 2] {
        if self.frames < FEWEST_FRAMES {
            return [0, u16::MAX];
        }
        let first = f64::from(self.first);
        let [low, high] = [self.low, self.high].map(|value| f64::from(value) - first);
        let inner = f64::from(self.frames) - 2.0;
        let mean = (f64::from(self.sum) - low - high) / inner;
        let square = (f64::from(self.square) - low * low - high * high) / inner;
        let factor = 1.0 + TRIMMED_FACTOR * inner.powf(TRIMMED_POWER);
        let least = LEAST_SIGMA + LEAST_SIGMA_SHARE * (first + mean).max(0.0);
        let sigma = (factor * (square - mean * mean).max(0.0).sqrt()).max(least);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 16 bits")]
        let whole = |value: f64| (first + value).clamp(0.0, f64::from(u16::MAX)).round() as u16;
        [whole(mean - sigmas * sigma), whole(mean + sigmas * sigma)]
    }
}

/// Between which luminances a value belongs to its pixel, see [`StackMoments::limits`].
#[derive(Debug, Clone, PartialEq)]
pub struct StackLimits {
    pixels: Vec<[u16; 2]>,
}

impl StackLimits {
    /// Whether a value belongs to its pixel.
    pub fn holds(&self, pixel: usize, light: [u16; 3]) -> bool {
        let value = luminance(light);
        self.pixels.get(pixel).is_none_or(|[low, high]| (*low..=*high).contains(&value))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One value in a thousand of a Gaussian is outside 3.3 deviations; a satellite is far outside.
    #[test]
    fn a_satellite_is_an_outlier_and_noise_is_not() {
        let mut moments = StackMoments::new(1);
        let noise = [990, 1010, 1003, 996, 1012, 985, 1001, 1007, 993];
        for value in noise.into_iter().chain([9000]) {
            moments.push(0, [value; 3]);
        }
        let limits = moments.limits(3.0);
        assert!(noise.iter().all(|value| limits.holds(0, [*value; 3])));
        assert!(!limits.holds(0, [9000; 3]));
        // a mean and deviation with the satellite in them would have held it: 1800 + 3 x 2400
    }

    #[test]
    fn few_frames_have_no_outliers() {
        let mut moments = StackMoments::new(2);
        for value in [100, 110, 105, 60_000] {
            moments.push(0, [value; 3]);
        }
        let limits = moments.limits(3.0);
        assert!(limits.holds(0, [60_000; 3]) && limits.holds(1, [7; 3]));
    }
}
