//! How long a feed is left alone.

use jiff::SignedDuration;
use quantity::Timestamp;

use crate::Source;

/// First pause after a failure, seconds: no service wants to be tried again sooner.
const FIRST_BACK_OFF_S: u32 = 60;
/// Longest pause by back-off, before its random part, seconds. With it: 30 minutes.
const LONGEST_BACK_OFF_S: u32 = 24 * 60;
/// Random part of a back-off, as a share of it: spreads programs that failed together.
const BACK_OFF_JITTER: f64 = 0.25;
/// Longest random addition to a pause after a good answer, seconds.
const LONGEST_JITTER_S: f64 = 30.0;
/// Longest pause a server's word is taken for: a slip of the pen there must not silence a feed for good.
const LONGEST_PAUSE: SignedDuration = SignedDuration::from_hours(7 * 24);
/// How long an address that says it is gone is left alone.
const RETIRED_PAUSE: SignedDuration = LONGEST_PAUSE;

/// When to ask again after a good answer: not before the minimum interval, not before the answer's own lifetime ends,
/// and a little later than others do.
pub(super) fn after_success(
    source: &Source,
    asked_at: Timestamp,
    lifetime: Option<SignedDuration>,
    random_fraction: f64,
) -> Timestamp {
    let minimum_s = source.minimum_interval_s;
    let lifetime = lifetime.unwrap_or(SignedDuration::ZERO).min(LONGEST_PAUSE);
    let pause = lifetime.max(SignedDuration::from_secs(i64::from(minimum_s)));
    later(asked_at, pause.saturating_add(seconds(random_fraction * LONGEST_JITTER_S.min(f64::from(minimum_s) / 10.0))))
}

/// When to ask again after a failure, the `failures`th in a row: 60 s, doubled each time, up to 30 minutes; longer
/// where the server says so.
pub(super) fn after_failure(
    asked_at: Timestamp,
    failures: u32,
    retry_after: Option<SignedDuration>,
    random_fraction: f64,
) -> Timestamp {
    let doublings = failures.saturating_sub(1).min(16);
    let back_off_s = FIRST_BACK_OFF_S.saturating_mul(1 << doublings).min(LONGEST_BACK_OFF_S);
    let back_off = seconds(f64::from(back_off_s) * (1.0 + BACK_OFF_JITTER * random_fraction));
    later(asked_at, back_off.max(retry_after.unwrap_or(SignedDuration::ZERO).min(LONGEST_PAUSE)))
}

/// When to look again whether a retired address has come back.
pub(super) fn after_retirement(asked_at: Timestamp) -> Timestamp {
    later(asked_at, RETIRED_PAUSE)
}

/// The stored time, unless it is further ahead than any pause: then a clock was wrong when it was stored.
pub(super) fn still_waiting(now: Timestamp, next_allowed_at: Option<Timestamp>) -> Option<Timestamp> {
    // a week, its jitter, and a day for the difference of clocks
    let furthest = later(now, LONGEST_PAUSE.saturating_add(SignedDuration::from_hours(24)));
    next_allowed_at.filter(|next| now < *next && *next <= furthest)
}

fn later(at: Timestamp, pause: SignedDuration) -> Timestamp {
    at.saturating_add(pause).unwrap_or(Timestamp::MAX)
}

fn seconds(seconds: f64) -> SignedDuration {
    SignedDuration::try_from_secs_f64(seconds).unwrap_or(SignedDuration::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FeedId;

    fn noon() -> Timestamp {
        "2026-03-14T12:00:00Z".parse().unwrap()
    }

    fn pause_s(next: Timestamp) -> i64 {
        next.duration_since(noon()).as_secs()
    }

    #[test]
    fn back_off_doubles_from_a_minute_to_half_an_hour() {
        let pauses = |fraction: f64| {
            [1, 2, 3, 4, 5, 6, 7, u32::MAX].map(|failures| pause_s(after_failure(noon(), failures, None, fraction)))
        };
        assert_eq!(pauses(0.0), [60, 120, 240, 480, 960, 1440, 1440, 1440]);
        assert_eq!(pauses(1.0), [75, 150, 300, 600, 1200, 1800, 1800, 1800]);
    }

    #[test]
    fn a_servers_wish_for_rest_is_longer_but_not_for_ever() {
        let wait = |seconds| pause_s(after_failure(noon(), 1, Some(SignedDuration::from_secs(seconds)), 0.0));
        assert_eq!(wait(5), 60, "never sooner than a minute");
        assert_eq!(wait(7200), 7200);
        assert_eq!(wait(i64::from(u32::MAX)), 7 * 24 * 3600);
    }

    #[test]
    fn the_longer_of_interval_and_lifetime_counts() {
        let source = FeedId::NoaaKp3h.source();
        let next = |lifetime_s: i64, fraction| {
            pause_s(after_success(source, noon(), Some(SignedDuration::from_secs(lifetime_s)), fraction))
        };
        assert_eq!(next(60, 0.0), 900);
        assert_eq!(next(3600, 0.0), 3600);
        assert_eq!(next(3600, 1.0), 3630);
        assert_eq!(pause_s(after_success(source, noon(), None, 0.0)), 900);
    }

    #[test]
    fn a_time_stored_by_a_wrong_clock_does_not_silence_a_feed() {
        let next = |text: &str| still_waiting(noon(), Some(text.parse().unwrap())).is_some();
        assert!(next("2026-03-14T12:00:01Z"));
        assert!(!next("2026-03-14T12:00:00Z"));
        assert!(!next("2036-01-01T00:00:00Z"));
        assert!(still_waiting(noon(), None).is_none());
    }
}
