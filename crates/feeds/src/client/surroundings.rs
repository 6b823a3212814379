use std::hash::{BuildHasher, Hasher, RandomState};
use std::time::Duration;

use quantity::Timestamp;

/// What the client takes from the world besides the network; tests bring their own.
pub trait Surroundings {
    /// The time of this machine.
    fn now(&self) -> Timestamp;

    /// A number from 0 up to 1, another each time, so that many programs do not ask at once.
    fn random_fraction(&mut self) -> f64;

    /// Waits.
    fn wait(&mut self, duration: Duration);
}

/// The clock, chance and patience of this machine.
#[derive(Debug, Clone, Copy, Default)]
pub struct ThisMachine;

impl Surroundings for ThisMachine {
    fn now(&self) -> Timestamp {
        Timestamp::now()
    }

    fn random_fraction(&mut self) -> f64 {
        // the standard library seeds each of these anew; enough to spread requests, no secret hangs on it
        let bits = RandomState::new().build_hasher().finish() >> 11;
        bits as f64 / (1_u64 << 53) as f64
    }

    fn wait(&mut self, duration: Duration) {
        std::thread::sleep(duration);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_lie_in_range_and_differ() {
        let fractions: Vec<f64> = (0..100).map(|_| ThisMachine.random_fraction()).collect();
        assert!(fractions.iter().all(|fraction| (0.0..1.0).contains(fraction)));
        assert!(fractions.windows(2).any(|pair| (pair[0] - pair[1]).abs() > 0.01));
        let mean = fractions.iter().sum::<f64>() / 100.0;
        // 100 even numbers have a mean with a standard error of 0.029; five of them
        assert!((mean - 0.5).abs() < 0.15, "{mean}");
    }
}
