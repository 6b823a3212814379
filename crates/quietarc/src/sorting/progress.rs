//! How far a sort is, with the time that is left as far as that can be said.

use std::collections::VecDeque;
use std::time::{Duration, Instant};

/// Time that the pace is taken over: long enough for a mix of files, short enough to follow a slow card.
const PACE_OVER: Duration = Duration::from_mins(1);
/// Frames that must be measured before a time is said.
const LEAST_FOR_A_TIME: usize = 8;
/// Time that must have passed, likewise.
const LEAST_TIME: Duration = Duration::from_secs(3);

/// How far a sort is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Progress {
    /// Frames measured now.
    pub(crate) measured: usize,
    /// Frames to be measured in this run.
    pub(crate) to_measure: usize,
    /// Frames known from before.
    pub(crate) known: usize,
    /// Time left, as far as that can be said.
    pub(crate) left: Option<Duration>,
}

impl Progress {
    /// "120 of 480 frames measured, about 4 min left".
    pub(crate) fn words(&self) -> String {
        let left = self.left.map_or_else(String::new, |left| format!(", about {} left", span(left)));
        format!("{} of {} frames measured{left}", self.measured, self.to_measure)
    }
}

/// "40 s", "4 min", "1 h 20 min": no finer than it is known.
pub(crate) fn span(left: Duration) -> String {
    let seconds = left.as_secs();
    match seconds {
        0..=59 => format!("{} s", (seconds / 5 + 1) * 5),
        60..=5399 => format!("{} min", seconds.div_ceil(60)),
        _ => {
            let ten_minutes = seconds.div_ceil(600);
            format!("{} h {} min", ten_minutes / 6, ten_minutes % 6 * 10)
        }
    }
}

/// The pace of the last minute, in bytes: large files take longer.
pub(crate) struct Pace {
    started: Instant,
    /// Moments with the bytes done by then.
    marks: VecDeque<(Instant, u64)>,
    bytes_done: u64,
    bytes_all: u64,
    measured: usize,
    to_measure: usize,
    known: usize,
}

impl Pace {
    pub(crate) fn new(now: Instant, known: usize, to_measure: usize, bytes_all: u64) -> Self {
        Self {
            started: now,
            marks: VecDeque::from([(now, 0)]),
            bytes_done: 0,
            bytes_all,
            measured: 0,
            to_measure,
            known,
        }
    }

    /// Takes note of a frame that is done.
    pub(crate) fn done(&mut self, now: Instant, bytes: u64) -> Progress {
        self.measured += 1;
        self.bytes_done += bytes;
        self.marks.push_back((now, self.bytes_done));
        while self.marks.len() > 2 && self.marks.get(1).is_some_and(|mark| now.duration_since(mark.0) > PACE_OVER) {
            self.marks.pop_front();
        }
        Progress { measured: self.measured, to_measure: self.to_measure, known: self.known, left: self.left(now) }
    }

    fn left(&self, now: Instant) -> Option<Duration> {
        if self.measured < LEAST_FOR_A_TIME || now.duration_since(self.started) < LEAST_TIME {
            return None;
        }
        let (since, bytes_then) = *self.marks.front()?;
        let pace = (self.bytes_done - bytes_then) as f64 / now.duration_since(since).as_secs_f64().max(1e-3);
        let seconds = self.bytes_all.saturating_sub(self.bytes_done) as f64 / pace.max(1.0);
        Duration::try_from_secs_f64(seconds).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_left_follows_the_pace_of_the_last_minute() {
        let start = Instant::now();
        let mut pace = Pace::new(start, 0, 1000, 100_000);
        let mut last = None;
        // 10 frames a second for 20 s, then one a second for 80 s
        for tenth in 1..=200u64 {
            last = pace.done(start + Duration::from_millis(100 * tenth), 100).left;
        }
        assert_eq!(last.map(|left| left.as_secs()), Some(80));
        for second in 1..=80u64 {
            last = pace.done(start + Duration::from_secs(20 + second), 100).left;
        }
        let left = last.map_or(0, |left| left.as_secs());
        assert!((700..=740).contains(&left), "{left}");
    }

    #[test]
    fn nothing_is_said_too_early() {
        let start = Instant::now();
        let mut pace = Pace::new(start, 5, 100, 1000);
        assert_eq!(pace.done(start + Duration::from_secs(10), 10).left, None);
        assert_eq!(span(Duration::from_secs(3)), "5 s");
        assert_eq!(span(Duration::from_secs(61)), "2 min");
        assert_eq!(span(Duration::from_secs(5 * 3600 + 1900)), "5 h 40 min");
        assert_eq!(span(Duration::from_mins(99)), "1 h 40 min");
        assert_eq!(span(Duration::from_secs(2 * 3600 - 1)), "2 h 0 min");
    }
}
