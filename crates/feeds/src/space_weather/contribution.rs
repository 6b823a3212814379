use job::{Activity, ActivityKind, KpInterval};
use quantity::Timestamp;

use super::layers::Layers;
use crate::agencies::NOAA_LICENCE;
use crate::{FeedId, FeedState};

/// What one source says.
pub(super) struct Contribution {
    pub(super) feed: FeedId,
    /// What it is, in a few words, for the source line.
    pub(super) label: String,
    /// Time of its newest sample, or of its issue.
    pub(super) as_of: Timestamp,
    /// Its state by that time.
    pub(super) state: FeedState,
    /// In order of time, not overlapping.
    pub(super) intervals: Vec<KpInterval>,
}

/// What a source says of one part of the time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Intervals that are over and were observed.
    Over,
    /// What was observed of the interval that still runs, up to now.
    Running,
    /// What is computed or forecast.
    Ahead,
}

/// Which part of which feed counts before which. Power is not among them.
const ORDER: [(FeedId, Part); 13] = [
    (FeedId::GfzKp, Part::Over),
    (FeedId::NoaaKp3h, Part::Over),
    (FeedId::NoaaKpForecast, Part::Over),
    (FeedId::NoaaKp1m, Part::Over),
    (FeedId::NoaaRtswMag, Part::Ahead),
    (FeedId::NoaaPropagated, Part::Ahead),
    (FeedId::NoaaKp1m, Part::Running),
    (FeedId::GfzKp, Part::Running),
    (FeedId::NoaaKp3h, Part::Running),
    (FeedId::NoaaKpForecast, Part::Running),
    (FeedId::NoaaKpForecast, Part::Ahead),
    (FeedId::Noaa3Day, Part::Ahead),
    (FeedId::Noaa27Day, Part::Ahead),
];

impl Contribution {
    /// Whether it may drive what is yet to come.
    pub(super) fn is_current(&self) -> bool {
        matches!(self.state, FeedState::Fresh | FeedState::Ageing)
    }

    fn part(&self, part: Part, now: Timestamp) -> Vec<KpInterval> {
        let intervals = self.intervals.iter().filter(|interval| part_of(interval, now) == Some(part));
        match part {
            Part::Running | Part::Ahead if !self.is_current() => Vec::new(),
            Part::Running => intervals
                .map(|interval| KpInterval { to: now.min(interval.to), kind: ActivityKind::Nowcast, ..*interval })
                .collect(),
            Part::Over | Part::Ahead => intervals.copied().collect(),
        }
    }

    /// Everything it may be quoted with.
    fn quotable(&self, now: Timestamp) -> Vec<KpInterval> {
        let mut intervals: Vec<KpInterval> =
            [Part::Over, Part::Running, Part::Ahead].into_iter().flat_map(|part| self.part(part, now)).collect();
        intervals.sort_by_key(|interval| interval.from);
        intervals
    }
}

/// `None` for an observation of what has not yet begun.
fn part_of(interval: &KpInterval, now: Timestamp) -> Option<Part> {
    match interval.kind {
        ActivityKind::Definitive | ActivityKind::Preliminary if interval.to <= now => Some(Part::Over),
        ActivityKind::Definitive | ActivityKind::Preliminary | ActivityKind::Nowcast => {
            (interval.from < now).then_some(Part::Running)
        }
        ActivityKind::SolarWind
        | ActivityKind::Power
        | ActivityKind::Forecast
        | ActivityKind::LongRange
        | ActivityKind::Given => Some(Part::Ahead),
    }
}

/// The intervals to lay, the most trusted first, each with the index of its contribution.
pub(super) fn in_order_of_trust(contributions: &[Contribution], now: Timestamp) -> Vec<(usize, Vec<KpInterval>)> {
    let of = |feed: FeedId| contributions.iter().enumerate().filter(move |(_, entry)| entry.feed == feed);
    ORDER
        .into_iter()
        .flat_map(|(feed, part)| of(feed).map(move |(index, entry)| (index, entry.part(part, now))))
        .collect()
}

/// The pieces as one series, with everyone who contributed.
pub(super) fn main(contributions: &[Contribution], layers: &Layers, now: Timestamp) -> Activity {
    let contributed = |index: &usize| layers.pieces().iter().any(|(from, _)| from == index);
    let indices: Vec<usize> = (0..contributions.len()).filter(contributed).collect();
    let sources: Vec<&Contribution> = indices.iter().filter_map(|index| contributions.get(*index)).collect();
    Activity {
        source: source_line(&sources),
        issued_at: leading(contributions, layers, now),
        intervals: layers.pieces().iter().map(|(_, piece)| *piece).collect(),
    }
}

/// The age that counts: of the source that covers most of what is ahead, else of the newest record.
fn leading(contributions: &[Contribution], layers: &Layers, now: Timestamp) -> Option<Timestamp> {
    let ahead_s = |index: usize| -> i64 {
        let pieces = layers.pieces().iter().filter(|(from, piece)| *from == index && piece.to > now);
        pieces.map(|(_, piece)| piece.to.duration_since(piece.from.max(now)).as_secs()).sum()
    };
    let most = (0..contributions.len()).max_by_key(|index| ahead_s(*index)).filter(|index| ahead_s(*index) > 0);
    let as_of = |index: usize| contributions.get(index).map(|entry| entry.as_of.min(now));
    match most {
        Some(index) => as_of(index),
        None => layers.pieces().iter().filter_map(|(index, _)| as_of(*index)).max(),
    }
}

/// What each says by itself; one of which `main` has everything is not said twice.
pub(super) fn others(contributions: &[Contribution], layers: &Layers, now: Timestamp) -> Vec<Activity> {
    let mut others = Vec::new();
    for (index, entry) in contributions.iter().enumerate() {
        let mut intervals = entry.quotable(now);
        intervals.retain(|interval| layers.holds(interval));
        let is_in_main = |interval: &KpInterval| layers.pieces().contains(&(index, *interval));
        // `all` of nothing is true: one that says nothing of this time is left out too
        if !intervals.iter().all(is_in_main) {
            others.push(Activity { source: source_line(&[entry]), issued_at: Some(entry.as_of.min(now)), intervals });
        }
    }
    others
}

/// Everyone's words in one line, the same publisher's together.
fn source_line(sources: &[&Contribution]) -> String {
    let mut lines: Vec<String> = Vec::new();
    let is_gfz = |entry: &&&Contribution| entry.feed == FeedId::GfzKp;
    if let Some(gfz) = sources.iter().find(is_gfz) {
        lines.push(gfz.label.clone());
    }
    let mut noaa: Vec<&str> = sources.iter().filter(|entry| !is_gfz(entry)).map(|entry| entry.label.as_str()).collect();
    noaa.dedup();
    if !noaa.is_empty() {
        lines.push(format!("{}: NOAA Space Weather Prediction Center, {NOAA_LICENCE}", noaa.join(" + ")));
    }
    if lines.is_empty() { "no source has a value".to_owned() } else { lines.join("; ") }
}
