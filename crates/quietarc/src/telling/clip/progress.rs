//! How far a clip is.

use std::cell::Cell;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use crate::telling::time_left::time_left;

/// Frames packed in this run, and the time that is left by their pace.
pub(crate) struct ClipProgress {
    started: Instant,
    noted: Instant,
    packed: Arc<AtomicU64>,
    /// Frames packed before, and those left out since.
    begun: usize,
    all: usize,
    /// Time between two notes.
    every: Duration,
}

/// A word of how far it is.
pub(crate) struct ClipNews {
    /// "120 of 480 frames packed, about 40 s left".
    pub(crate) words: String,
    /// Frames that have come out of the encoder, those of earlier runs among them.
    pub(crate) done: usize,
    /// Of how many.
    pub(crate) of: usize,
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

    /// A frame was left out: it is done with, and was not packed.
    pub(crate) fn pass(&mut self) {
        self.begun += 1;
    }

    /// How far it is, where it is time to say so again.
    pub(crate) fn news(&mut self, now: Instant) -> Option<ClipNews> {
        if now.duration_since(self.noted) < self.every {
            return None;
        }
        self.noted = now;
        let packed = self.packed.load(Ordering::Relaxed);
        let done = (self.begun + usize::try_from(packed).unwrap_or_default()).min(self.all);
        let left = time_left(packed, self.all - done, now.duration_since(self.started));
        Some(ClipNews { words: format!("{done} of {} frames packed{left}", self.all), done, of: self.all })
    }
}

/// How far it is before the first frame is packed: frames are looked at for their times, then read through to be known again.
pub(crate) struct BeforePacking<'a> {
    said: Cell<Instant>,
    every: Duration,
    news: &'a dyn Fn(&ClipNews),
}

impl<'a> BeforePacking<'a> {
    pub(crate) fn new(every: Duration, news: &'a dyn Fn(&ClipNews)) -> Self {
        Self { said: Cell::new(Instant::now()), every, news }
    }

    /// Says how far it is where it is time to say so again.
    ///
    /// * `what`: is done with a frame.
    pub(crate) fn at(&self, what: &str, done: usize, of: usize) {
        let now = Instant::now();
        if now.duration_since(self.said.get()) >= self.every {
            self.said.set(now);
            (self.news)(&ClipNews { words: format!("{done} of {of} frames {what}, none packed yet"), done: 0, of });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_follows_the_pace_so_far() {
        let mut progress = ClipProgress::new(100, 400, Duration::from_secs(5));
        assert!(progress.news(progress.started + Duration::from_secs(1)).is_none());
        progress.packed.store(50, Ordering::Relaxed);
        // 50 in 10 s, 250 are left
        let news = progress.news(progress.started + Duration::from_secs(10)).unwrap();
        assert_eq!(news.words, "150 of 400 frames packed, about 50 s left");
        assert_eq!((news.done, news.of), (150, 400));
        progress.pass();
        let news = progress.news(progress.started + Duration::from_secs(20)).unwrap();
        assert_eq!((news.done, news.of), (151, 400));
    }
}
