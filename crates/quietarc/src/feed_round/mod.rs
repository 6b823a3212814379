//! One round over the feeds: asks each that may be asked, and stores what came before the next.

mod report;

use std::collections::BTreeSet;

use feeds::client::{
    Answer, Answered, Client, FetchError, GONE_ANSWERS_TO_RETIRE, Memory, Note, Pulled, Question, ThisMachine, host,
};
use feeds::{FeedId, Needs, Settings};
use jiff::SignedDuration;
use journal::{FeedOutcome, FeedPull, FeedStanding, Journal, JournalError};
use quantity::{GeoPosition, Timestamp};

pub(crate) use self::report::{PullLine, PullOutcome, PullReport, clock};
use crate::Failure;
use crate::stored_feeds::address;

/// Bodies not heard of for so long are forgotten.
const KEPT_FOR: SignedDuration = SignedDuration::from_hours(30 * 24);
/// Most bytes of bodies kept: what all feeds of a few hundred places have together.
const MOST_BYTES: u64 = 128 << 20;

/// A place whose weather is wanted.
pub(crate) struct AskedPlace {
    /// What people call it, where it has a name.
    pub(crate) name: Option<String>,
    /// Where it is.
    pub(crate) position: GeoPosition,
}

/// What a round asks about.
pub(crate) struct Asked<'a> {
    /// Which feeds.
    pub(crate) feeds: &'a [FeedId],
    /// Whether somebody named them: then one that cannot be asked is a failure.
    pub(crate) are_named: bool,
    /// Places whose weather is wanted.
    pub(crate) places: &'a [AskedPlace],
    /// Airfields.
    pub(crate) stations: &'a [String],
}

/// Asks every feed for every place it needs, says each line as it comes, and forgets what is long out of date.
pub(crate) fn pull(
    asked: &Asked<'_>,
    settings: &Settings,
    journal: &mut Journal,
    asked_at: Timestamp,
    mut say: impl FnMut(&PullLine) -> Result<(), Failure>,
) -> Result<PullReport, Failure> {
    let mut round = Round::new(settings, asked.are_named);
    let mut lines = Vec::new();
    let stations = asked.stations.to_vec();
    for feed in asked.feeds.iter().copied() {
        let by_place = matches!(feed.source().needs, Needs::Place | Needs::GridPoint) && !asked.places.is_empty();
        let places = if by_place { asked.places } else { &[] };
        let questions = places.iter().map(|place| (place.name.clone(), Some(place.position)));
        let nowhere = (!by_place).then_some((None, None));
        for (name, place) in questions.chain(nowhere) {
            let question = Question { place, stations: stations.clone(), grid: None };
            let line = PullLine { place: name, ..round.pull(feed, &question, journal)? };
            // places near one another share an answer, which is then not too early but just come
            let is_known = lines.iter().any(|known: &PullLine| known.url.is_some() && known.url == line.url);
            // what covers none of the places is said once, not for each
            let is_said = line.outcome == PullOutcome::Skipped
                && lines.iter().any(|known| known.feed == feed && known.problem == line.problem);
            if !is_known && !is_said {
                say(&line)?;
                lines.push(line);
            }
        }
    }
    finish(lines, None, journal, asked_at)
}

/// Forgets what is long out of date and adds up what came, from the publishers or from a folder.
pub(crate) fn finish(
    lines: Vec<PullLine>,
    from: Option<String>,
    journal: &mut Journal,
    asked_at: Timestamp,
) -> Result<PullReport, Failure> {
    // away from every network nothing is thrown away: there is nothing newer
    let is_renewed = |line: &PullLine| matches!(line.outcome, PullOutcome::New | PullOutcome::Unchanged);
    let bodies_pruned = if lines.iter().any(is_renewed) { prune(journal, asked_at)? } else { 0 };
    Ok(PullReport::new(asked_at, from, lines, bodies_pruned))
}

fn prune(journal: &mut Journal, asked_at: Timestamp) -> Result<u32, JournalError> {
    let oldest = asked_at.saturating_sub(KEPT_FOR).unwrap_or(Timestamp::MIN);
    journal.prune_feeds(asked_at, oldest, MOST_BYTES)
}

/// A round: a host that does not answer is tried once in it.
struct Round<'a> {
    client: Client,
    settings: &'a Settings,
    are_named: bool,
    silent_hosts: BTreeSet<String>,
}

impl<'a> Round<'a> {
    fn new(settings: &'a Settings, are_named: bool) -> Self {
        let client = Client::new(settings.contact.as_ref());
        Self { client, settings, are_named, silent_hosts: BTreeSet::new() }
    }

    /// Asks one feed and stores what came, before the next is asked.
    fn pull(&mut self, feed: FeedId, question: &Question, journal: &Journal) -> Result<PullLine, Failure> {
        if !self.settings.is_on(feed) {
            return Ok(switched_off(feed, self.are_named));
        }
        let url = match address(feed, self.settings, question, journal)? {
            Ok(url) => url,
            Err(error) => return Ok(self.not_asked(feed, &error)),
        };
        let host = host(&url);
        if self.silent_hosts.contains(&host) {
            return Ok(self.not_asked(feed, &FetchError::HostIsDown { host }));
        }
        let memory = memory(feed, &url, journal)?;
        match self.client.pull(feed.source(), &url, &memory, &mut ThisMachine) {
            Pulled::NotYet { until } => {
                let line = PullLine::new(feed, PullOutcome::NotYet);
                Ok(PullLine { url: Some(url), next_allowed_at: Some(until), ..line })
            }
            Pulled::NotAsked(error) => Ok(self.not_asked(feed, &error)),
            Pulled::Asked(answered) => {
                if let Answer::Failed { error, .. } = &answered.answer
                    && error.is_host_down()
                {
                    self.silent_hosts.insert(host);
                }
                store(feed, &url, &answered, journal)?;
                self.look_up_cell_again(feed, question, &answered, journal)?;
                Ok(PullLine::answered(feed, &url, &answered))
            }
        }
    }

    /// A forecast cell that is gone has moved: where to, the points address says, and it may be asked at once.
    fn look_up_cell_again(
        &self,
        feed: FeedId,
        question: &Question,
        answered: &Answered,
        journal: &Journal,
    ) -> Result<(), JournalError> {
        let is_gone = matches!(answered.answer, Answer::Failed { error: FetchError::Gone { .. }, .. });
        match self.settings.address(FeedId::NwsPoints, question) {
            Ok(points) if is_gone && feed == FeedId::NwsGridpoints => {
                journal.allow_feed_now(FeedId::NwsPoints.as_str(), &points)
            }
            _nothing_to_do => Ok(()),
        }
    }

    fn not_asked(&self, feed: FeedId, error: &FetchError) -> PullLine {
        let is_beside_the_point = matches!(error, FetchError::Missing { .. } | FetchError::NotCovered { .. });
        let outcome = if is_beside_the_point && !self.are_named { PullOutcome::Skipped } else { PullOutcome::Failed };
        PullLine::without_answer(feed, outcome, error)
    }
}

/// A feed that is switched off is left out, and said to be off where it was named.
pub(crate) fn switched_off(feed: FeedId, is_named: bool) -> PullLine {
    let outcome = if is_named { PullOutcome::Failed } else { PullOutcome::Skipped };
    PullLine {
        problem: Some("switched off in the settings".to_owned()),
        hint: is_named.then(|| format!("remove off from [feeds.{feed}]")),
        ..PullLine::new(feed, outcome)
    }
}

/// What earlier pulls left; tags only where the body they belong to is there.
fn memory(feed: FeedId, url: &str, journal: &Journal) -> Result<Memory, JournalError> {
    let Some(stored) = journal.feed(feed.as_str(), url)? else { return Ok(Memory::default()) };
    let has_body = stored.body_bytes.is_some();
    Ok(Memory {
        etag: stored.etag.filter(|_| has_body),
        last_modified: stored.last_modified.filter(|_| has_body),
        next_allowed_at: stored.next_allowed_at,
        consecutive_failures: stored.consecutive_failures,
        gone_answers: stored.gone_answers,
    })
}

fn store(feed: FeedId, url: &str, answered: &Answered, journal: &Journal) -> Result<(), JournalError> {
    let notes: Vec<String> = answered.notes.iter().map(Note::text).collect();
    let failure = match &answered.answer {
        Answer::Failed { error, .. } => Some((error.to_string(), error.hint())),
        Answer::New { .. } | Answer::Unchanged { .. } => None,
    };
    let (error, remedy) = failure.as_ref().map_or(("", ""), |(error, remedy)| (error, remedy));
    let outcome = match &answered.answer {
        Answer::New { body, tags, .. } => FeedOutcome::New {
            body,
            etag: tags.etag.as_deref(),
            last_modified: tags.last_modified.as_deref(),
            expires_at: tags.expires,
        },
        Answer::Unchanged { tags } => FeedOutcome::Unchanged {
            etag: tags.etag.as_deref(),
            last_modified: tags.last_modified.as_deref(),
            expires_at: tags.expires,
        },
        Answer::Failed { error: cause, bad_body } => FeedOutcome::Failed {
            standing: standing(cause, answered.gone_answers),
            error,
            remedy,
            bad_body: bad_body.as_deref(),
        },
    };
    journal.record_feed_pull(&FeedPull {
        feed: feed.as_str(),
        url,
        asked_at: answered.asked_at,
        http_status: answered.http_status,
        consecutive_failures: answered.consecutive_failures,
        gone_answers: answered.gone_answers,
        next_allowed_at: answered.next_allowed_at,
        notes: &notes,
        outcome,
    })
}

fn standing(cause: &FetchError, gone_answers: u32) -> FeedStanding {
    match cause {
        FetchError::Blocked { .. } => FeedStanding::Blocked,
        _other if gone_answers >= GONE_ANSWERS_TO_RETIRE => FeedStanding::Retired,
        _other => FeedStanding::Failing,
    }
}
