//! How every stored feed stands, and what to do about it.

use feeds::{FeedId, FeedState, Needs, Settings, newest_sample};
use journal::{BodyOrigin, FeedStanding, Journal, StoredFeed};
use quantity::Timestamp;
use serde::Serialize;

use crate::Failure;
use crate::feed_round::clock;

/// How every feed stands.
#[derive(Debug, Serialize)]
pub(crate) struct FeedsReport {
    pub(crate) asked_at: Timestamp,
    pub(crate) feeds: Vec<StandingLine>,
}

/// How one address of a feed stands.
#[derive(Debug, Serialize)]
pub(crate) struct StandingLine {
    pub(crate) feed: FeedId,
    pub(crate) is_on: bool,
    pub(crate) state: FeedState,
    pub(crate) newest_sample_at: Option<Timestamp>,
    pub(crate) newest_sample_age_s: Option<i64>,
    pub(crate) problem: Option<String>,
    pub(crate) remedy: Option<String>,
    pub(crate) stored: Option<StoredFeed>,
}

fn line(
    feed: FeedId,
    is_on: bool,
    row: &StoredFeed,
    journal: &Journal,
    asked_at: Timestamp,
) -> Result<StandingLine, Failure> {
    let Some(body) = journal.feed_body(feed.as_str(), &row.url)? else {
        let line = StandingLine::never(feed, is_on, Some(row));
        return Ok(StandingLine { state: standing_state(row.standing).unwrap_or(FeedState::Never), ..line });
    };
    // a report without a month is of the month in which it came
    let came_at = row.received_at.unwrap_or(asked_at);
    let (newest_sample_at, unreadable) = match newest_sample(feed, &body, came_at) {
        Ok(newest) => (newest, None),
        Err(error) => (None, Some(error)),
    };
    let by_age =
        newest_sample_at.map_or(FeedState::Unchecked, |newest| feed.source().freshness.state(newest, asked_at));
    let state = standing_state(row.standing).unwrap_or(by_age);
    let problem = row.last_error.clone().or_else(|| unreadable.as_ref().map(ToString::to_string));
    let remedy = row.last_remedy.clone().or_else(|| unreadable.map(|error| error.hint().to_owned()));
    Ok(StandingLine {
        feed,
        is_on,
        state,
        newest_sample_at,
        newest_sample_age_s: newest_sample_at.map(|newest| asked_at.duration_since(newest).as_secs()),
        problem,
        remedy: remedy.or_else(|| remedy_by_state(feed, state)),
        stored: Some(row.clone()),
    })
}

/// The states that count more than the age of what is stored.
fn standing_state(standing: FeedStanding) -> Option<FeedState> {
    match standing {
        FeedStanding::Blocked => Some(FeedState::Blocked),
        FeedStanding::Retired => Some(FeedState::Retired),
        FeedStanding::Good | FeedStanding::Failing => None,
    }
}

fn remedy_by_state(feed: FeedId, state: FeedState) -> Option<String> {
    match state {
        FeedState::Never | FeedState::Ageing | FeedState::Stale => Some(match feed.source().needs {
            Needs::Nothing => format!("quietarc feeds pull {feed}"),
            Needs::Place => format!("quietarc feeds pull {feed} --lat .. --lon .."),
            Needs::GridPoint => format!("quietarc feeds pull nws_points {feed} --lat .. --lon .."),
            Needs::Stations => format!("quietarc feeds pull {feed} --station ENTC"),
        }),
        FeedState::AheadOfClock => Some("check the clock of this machine".to_owned()),
        FeedState::Fresh | FeedState::Unchecked | FeedState::Blocked | FeedState::Retired => None,
    }
}

impl StandingLine {
    fn never(feed: FeedId, is_on: bool, row: Option<&StoredFeed>) -> Self {
        let remedy = row.and_then(|row| row.last_remedy.clone());
        Self {
            feed,
            is_on,
            state: FeedState::Never,
            newest_sample_at: None,
            newest_sample_age_s: None,
            problem: row.and_then(|row| row.last_error.clone()),
            remedy: remedy.or_else(|| remedy_by_state(feed, FeedState::Never)).filter(|_| is_on),
            stored: row.cloned(),
        }
    }

    fn row(&self) -> String {
        let stored = self.stored.as_ref();
        let state = if self.is_on { self.state.word() } else { "off" };
        let age = self.newest_sample_age_s.map_or_else(|| "-".to_owned(), age_words);
        let checked = stored.and_then(|row| row.checked_at).map(clock);
        let is_from_folder = stored.is_some_and(|row| row.origin == Some(BodyOrigin::Folder));
        let checked = checked.unwrap_or_else(|| if is_from_folder { "from a folder" } else { "-" }.to_owned());
        let next = stored.and_then(|row| row.next_allowed_at).map_or_else(|| "-".to_owned(), clock);
        let mut text = format!("{:<23} {state:<19} {age:<9} {checked:<21} {next}", self.feed);
        let place = stored.filter(|_| self.feed.source().needs != Needs::Nothing).map(|row| row.url.clone());
        let notes = stored.map(|row| row.notes.clone()).unwrap_or_default();
        let remedy = self.remedy.iter().map(|remedy| format!("remedy: {remedy}"));
        for more in place.into_iter().chain(self.problem.clone()).chain(remedy).chain(notes) {
            text.push_str("\n    ");
            text.push_str(&more);
        }
        text
    }
}

impl FeedsReport {
    /// Reads how every feed stands.
    pub(crate) fn read(settings: &Settings, journal: &Journal, asked_at: Timestamp) -> Result<Self, Failure> {
        let stored = journal.feeds()?;
        let mut lines = Vec::new();
        for feed in FeedId::ALL.iter().copied() {
            // an address of earlier settings is of no use any more; one with a place is of use for that place
            let is_fixed = feed.source().needs == Needs::Nothing;
            let is_current = |row: &&StoredFeed| !is_fixed || row.url == settings.template(feed);
            let rows: Vec<&StoredFeed> =
                stored.iter().filter(|row| row.feed == feed.as_str()).filter(is_current).collect();
            if rows.is_empty() {
                lines.push(StandingLine::never(feed, settings.is_on(feed), None));
            }
            for row in rows {
                lines.push(line(feed, settings.is_on(feed), row, journal, asked_at)?);
            }
        }
        Ok(Self { asked_at, feeds: lines })
    }

    pub(crate) fn text(&self) -> String {
        let head = format!("{:<23} {:<19} {:<9} {:<21} {}", "feed", "state", "sample", "checked", "next allowed");
        let rows: Vec<String> = self.feeds.iter().map(StandingLine::row).collect();
        format!("Feeds at {}\n\n{head}\n{}", clock(self.asked_at), rows.join("\n"))
    }
}

/// An age in its largest fitting unit.
fn age_words(age_s: i64) -> String {
    match age_s {
        ..=0 => "now".to_owned(),
        1..5400 => format!("{} min", age_s.div_euclid(60)),
        5400..172_800 => format!("{:.1} h", age_s as f64 / 3600.0),
        172_800.. => format!("{} d", age_s.div_euclid(86_400)),
    }
}
