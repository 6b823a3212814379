//! `quietarc feeds pull`

use std::collections::BTreeSet;

use feeds::client::{
    Answer, Answered, Client, FetchError, GONE_ANSWERS_TO_RETIRE, Memory, Note, Pulled, Question, ThisMachine, host,
};
use feeds::{FeedId, Settings};
use jiff::SignedDuration;
use journal::{FeedOutcome, FeedPull, FeedStanding, Journal, JournalError};
use quantity::Timestamp;

use super::report::{PullLine, PullOutcome, PullReport};
use super::{chosen, question, replay};
use crate::stored_feeds::{address, settings};
use crate::cli::FeedsPullArgs;
use crate::commands::{now, open_journal};
use crate::failure::{Failure, Outcome};
use crate::output;

/// Bodies not heard of for so long are forgotten.
const KEPT_FOR: SignedDuration = SignedDuration::from_hours(30 * 24);
/// Most bytes of bodies kept: a dozen times what all feeds of one place have together.
const MOST_BYTES: u64 = 128 << 20;

pub(super) fn run(arguments: &FeedsPullArgs) -> Result<Outcome, Failure> {
    let asked_at = now();
    let feeds = chosen(&arguments.feeds)?;
    let settings = settings(&arguments.settings)?;
    let mut journal = open_journal(&arguments.journal)?;
    let question = question(arguments, &settings, &journal)?;
    let lines = lines(arguments, &feeds, &settings, &question, &journal)?;
    // away from every network nothing is thrown away: there is nothing newer
    let is_renewed = |line: &PullLine| matches!(line.outcome, PullOutcome::New | PullOutcome::Unchanged);
    let bodies_pruned = if lines.iter().any(is_renewed) { prune(&mut journal, asked_at)? } else { 0 };
    let failed = lines.iter().filter(|line| line.outcome == PullOutcome::Failed).count();
    let of = lines.iter().filter(|line| line.outcome != PullOutcome::Skipped).count();
    let from = arguments.from.as_ref().map(|folder| folder.display().to_string());
    let report = PullReport { asked_at, from, feeds: lines, failed, bodies_pruned };
    if arguments.json {
        output::json(&report)?;
    }
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed, of } })
}

fn prune(journal: &mut Journal, asked_at: Timestamp) -> Result<u32, JournalError> {
    let oldest = asked_at.saturating_sub(KEPT_FOR).unwrap_or(Timestamp::MIN);
    journal.prune_feeds(asked_at, oldest, MOST_BYTES)
}

/// What came of each feed, said as it comes.
fn lines(
    arguments: &FeedsPullArgs,
    feeds: &[FeedId],
    settings: &Settings,
    question: &Question,
    journal: &Journal,
) -> Result<Vec<PullLine>, Failure> {
    let are_named = !arguments.feeds.is_empty();
    let say = |line: &PullLine| if arguments.json { Ok(()) } else { output::answer(&line.text()) };
    if let Some(folder) = &arguments.from {
        let lines = replay::load(folder, feeds, are_named, settings, question, journal)?;
        lines.iter().try_for_each(say)?;
        return Ok(lines);
    }
    let mut round = Round::new(settings, question, are_named);
    let lines = feeds.iter().map(|feed| {
        let line = round.pull(*feed, journal)?;
        say(&line).map(|()| line)
    });
    lines.collect()
}

/// One round over the feeds: a host that does not answer is tried once in it.
struct Round<'a> {
    client: Client,
    settings: &'a Settings,
    question: &'a Question,
    are_named: bool,
    silent_hosts: BTreeSet<String>,
}

impl<'a> Round<'a> {
    fn new(settings: &'a Settings, question: &'a Question, are_named: bool) -> Self {
        let client = Client::new(settings.contact.as_ref());
        Self { client, settings, question, are_named, silent_hosts: BTreeSet::new() }
    }

    /// Asks one feed and stores what came, before the next is asked.
    fn pull(&mut self, feed: FeedId, journal: &Journal) -> Result<PullLine, Failure> {
        if !self.settings.is_on(feed) {
            return Ok(switched_off(feed, self.are_named));
        }
        let url = match address(feed, self.settings, self.question, journal)? {
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
                self.look_up_cell_again(feed, &answered, journal)?;
                Ok(PullLine::answered(feed, &url, &answered))
            }
        }
    }

    /// A forecast cell that is gone has moved: where to, the points address says, and it may be asked at once.
    fn look_up_cell_again(&self, feed: FeedId, answered: &Answered, journal: &Journal) -> Result<(), JournalError> {
        let is_gone = matches!(answered.answer, Answer::Failed { error: FetchError::Gone { .. }, .. });
        match self.settings.address(FeedId::NwsPoints, self.question) {
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
pub(super) fn switched_off(feed: FeedId, is_named: bool) -> PullLine {
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
