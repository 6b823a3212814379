//! Random numbers that are the same wherever and in whatever order they are asked for.

use std::f64::consts::TAU;

/// Step of the counter: 2⁶⁴ over the golden ratio, odd (Steele, Lea & Flood, OOPSLA 2014).
const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;
/// Mean from which a Poisson number is drawn from a corrected normal one: there the two agree to a thousandth.
const NORMAL_FROM: f64 = 40.0;

/// SplitMix64 (Steele, Lea & Flood, OOPSLA 2014): a counter put through a mixing function, so any stream may begin anywhere.
#[derive(Debug, Clone)]
pub(crate) struct Random {
    counter: u64,
    spare: Option<f64>,
}

impl Random {
    /// Stream `stream` of a seed.
    pub(crate) fn new(seed: u64, stream: u64) -> Self {
        Self { counter: mixed(seed ^ mixed(stream.wrapping_mul(GOLDEN))), spare: None }
    }

    pub(crate) fn bits(&mut self) -> u64 {
        self.counter = self.counter.wrapping_add(GOLDEN);
        mixed(self.counter)
    }

    /// Even in 0..1.
    pub(crate) fn even(&mut self) -> f64 {
        even_of(self.bits())
    }

    /// Normal with mean 0 and deviation 1 (Box & Muller 1958, both of the pair used).
    pub(crate) fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        // 1 - even is never 0
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        let (sin, cos) = (TAU * self.even()).sin_cos();
        self.spare = Some(radius * sin);
        radius * cos
    }

    /// A count of events whose mean is given: by inversion for few, above that a normal number bent to the skewness of the
    /// Poisson law (second term of Cornish & Fisher 1938).
    pub(crate) fn poisson(&mut self, mean: f64) -> f64 {
        if mean.is_nan() || mean <= 0.0 {
            return 0.0;
        }
        if mean >= NORMAL_FROM {
            let z = self.normal();
            return (mean + mean.sqrt() * z + (z * z - 1.0) / 6.0 + 0.5).floor().max(0.0);
        }
        let mut chance = (-mean).exp();
        let mut left = self.even() - chance;
        let mut count = 0.0;
        while left > 0.0 && chance > 1e-18 {
            count += 1.0;
            chance *= mean / count;
            left -= chance;
        }
        count
    }
}

/// The mixing function of SplitMix64.
pub(crate) fn mixed(value: u64) -> u64 {
    let z = value.wrapping_add(GOLDEN);
    let z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// 53 bits as a number in 0..1.
pub(crate) fn even_of(bits: u64) -> f64 {
    (bits >> 11) as f64 / (1u64 << 53) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moments(mean: f64) -> (f64, f64) {
        const DRAWS: u32 = 200_000;
        let mut random = Random::new(7, 3);
        let (mut sum, mut squares) = (0.0, 0.0);
        for _ in 0..DRAWS {
            let count = random.poisson(mean);
            sum += count;
            squares += count * count;
        }
        let found = sum / f64::from(DRAWS);
        (found, squares / f64::from(DRAWS) - found * found)
    }

    #[test]
    fn a_poisson_number_has_its_mean_and_the_same_variance() {
        for mean in [0.02, 0.7, 5.0, 39.0, 41.0, 3000.0] {
            let (found, variance) = moments(mean);
            // five deviations of the mean of 200 000 draws; the variance of a variance is about twice its square over n
            assert!((found - mean).abs() < 5.0 * (mean / 2e5).sqrt(), "{mean}: {found}");
            assert!((variance / mean - 1.0).abs() < 5.0 * ((2.0 + 1.0 / mean) / 2e5).sqrt(), "{mean}: {variance}");
        }
    }

    #[test]
    fn streams_differ_and_repeat() {
        let first = |seed, stream| Random::new(seed, stream).bits();
        assert_eq!(first(1, 2), first(1, 2));
        assert_ne!(first(1, 2), first(2, 1));
        assert_ne!(first(1, 2), first(1, 3));
    }
}
