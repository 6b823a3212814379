//! How far a clip is.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Frames packed in this run, and the time that is left by their pace.
pub(crate) struct ClipProgress {
    started: Instant,
    noted: Instant,
    packed: Arc<AtomicU64>,
    /// Frames packed before.
    begun: usize,
    all: usize,
    /// Time between two notes.
    every: Duration,
}

impl ClipProgress {
    pub(crate) fn new(begun: usize, all: usize, every: Duration) -> Self {
        let now = Instant::now();
        Self { started: now, noted: now, packed: Arc::default(), begun, all, every }
    }

    /// The count that the encoder keeps.
    pub(crate) fn packed(&self) -> &Arc<AtomicU64> {
        &self.packed
    }

    /// "120 of 480 frames packed, about 40 s left", where it is time to say so again.
    pub(crate) fn words(&mut self, now: Instant) -> Option<String> {
        if now.duration_since(self.noted) < self.every {
            return None;
        }
        self.noted = now;
        let packed = self.packed.load(Ordering::Relaxed);
        let done = self.begun + usize::try_from(packed).unwrap_or_default();
        let left = left(packed, self.all.saturating_sub(done), now.duration_since(self.started));
        Some(format!("{done} of {} frames packed{left}", self.all))
    }
}

fn left(packed: u64, to_do: usize, passed: Duration) -> String {
    if packed == 0 {
        return String::new();
    }
    let seconds = passed.as_secs_f64() / packed as f64 * to_do as f64;
    if seconds < 90.0 {
        return format!(", about {:.0} s left", 5.0 * (seconds / 5.0).ceil());
    }
    format!(", about {:.0} min left", (seconds / 60.0).ceil())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_follows_the_pace_so_far() {
        let mut progress = ClipProgress::new(100, 400, Duration::from_secs(5));
        assert_eq!(progress.words(progress.started + Duration::from_secs(1)), None);
        progress.packed.store(50, Ordering::Relaxed);
        // 50 in 10 s, 250 are left
        let words = progress.words(progress.started + Duration::from_secs(10));
        assert_eq!(words.as_deref(), Some("150 of 400 frames packed, about 50 s left"));
    }
}
