use quantity::Timestamp;

use super::contribution::Contribution;
use super::layers::Layers;
use crate::FeedState;

/// A gap shorter than this is not worth a sentence, seconds.
const SHORTEST_GAP_S: i64 = 10 * 60;

/// Sources that are too old, or dated ahead, to drive what is yet to come; nothing where nothing is yet to come.
pub(super) fn by_age(contributions: &[Contribution], now: Timestamp, to: Timestamp) -> Vec<String> {
    if to <= now {
        return Vec::new();
    }
    let note = |entry: &Contribution| match entry.state {
        FeedState::Stale => {
            let age = hours(now.duration_since(entry.as_of).as_secs());
            Some(format!("{} ({}) is {age} old and is not used for what is ahead.", entry.label, entry.feed))
        }
        FeedState::AheadOfClock => {
            let lead = hours(entry.as_of.duration_since(now).as_secs());
            Some(format!(
                "{} ({}) is dated {lead} ahead of the clock and is not used: check the clock of this machine.",
                entry.label, entry.feed
            ))
        }
        FeedState::Fresh
        | FeedState::Ageing
        | FeedState::Unchecked
        | FeedState::Blocked
        | FeedState::Retired
        | FeedState::Never => None,
    };
    contributions.iter().filter_map(note).collect()
}

/// The stretches for which nobody has a value.
pub(super) fn gaps(layers: &Layers) -> Vec<String> {
    let gaps = layers.gaps().into_iter().map(|(from, to)| (from, to, to.duration_since(from).as_secs()));
    gaps.filter(|(.., seconds)| *seconds >= SHORTEST_GAP_S)
        .map(|(from, to, seconds)| {
            format!("No source has a Kp for {} from {} to {} UTC.", hours(seconds), minute(from), minute(to))
        })
        .collect()
}

/// A duration in its largest fitting unit.
fn hours(seconds: i64) -> String {
    match seconds {
        ..5400 => format!("{} min", seconds.max(0).div_euclid(60)),
        5400..172_800 => format!("{:.1} h", seconds as f64 / 3600.0),
        172_800.. => format!("{} d", seconds.div_euclid(86_400)),
    }
}

/// A date and time to the minute.
pub(super) fn minute(at: Timestamp) -> String {
    at.strftime("%Y-%m-%d %H:%M").to_string()
}
