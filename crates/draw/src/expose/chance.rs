//! Random numbers that are the same every time.

/// A small generator (SplitMix64: Steele, Lea & Flood, OOPSLA 2014), ample for pictures.
#[derive(Debug, Clone)]
pub(super) struct Chance(u64);

/// Means above which a Poisson number is drawn from a bell curve: its skew is then under a fifth.
const BELL_FROM: f64 = 30.0;

impl Chance {
    pub(super) fn seeded(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even, 0..1 without 0.
    pub(super) fn even(&mut self) -> f64 {
        // 53 bits fill the digits of a double
        ((self.next() >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    /// Bell curve of width 1 (Box & Muller 1958).
    pub(super) fn bell(&mut self) -> f64 {
        (-2.0 * self.even().ln()).sqrt() * (std::f64::consts::TAU * self.even()).cos()
    }

    /// A count of a mean, 0 or more.
    pub(super) fn count(&mut self, mean: f64) -> f64 {
        if mean > BELL_FROM {
            return (mean + mean.sqrt() * self.bell()).round().max(0.0);
        }
        // products of even numbers (Knuth), for small means
        let end = (-mean.max(0.0)).exp();
        let (mut product, mut count) = (self.even(), 0.0);
        while product > end {
            product *= self.even();
            count += 1.0;
        }
        count
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Numbers drawn; the standard error of their mean and variance is about a hundredth of the deviation.
    const DRAWN: u32 = 20_000;

    #[test]
    fn counts_have_the_mean_and_the_variance_of_their_mean() {
        for mean in [0.5, 5.0, 29.0, 31.0, 400.0] {
            let mut chance = Chance::seeded(7);
            let all: Vec<f64> = (0..DRAWN).map(|_| chance.count(mean)).collect();
            let average = all.iter().sum::<f64>() / f64::from(DRAWN);
            let variance = all.iter().map(|n| (n - average).powi(2)).sum::<f64>() / f64::from(DRAWN);
            assert!((average - mean).abs() < 4.0 * mean.sqrt() / f64::from(DRAWN).sqrt(), "{mean}: {average}");
            assert!((variance / mean - 1.0).abs() < 0.06, "{mean}: {variance}");
        }
    }
}
