//! What a pull says of each feed, as text and as JSON.

use feeds::FeedId;
use feeds::client::{Answer, Answered, FetchError, Note};
use quantity::Timestamp;
use serde::Serialize;

/// What came of one feed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum PullOutcome {
    /// A new body is stored.
    New,
    /// The stored body is still the newest.
    Unchanged,
    /// Not asked: it is too early.
    NotYet,
    /// Not asked: nobody named it, and it cannot be asked or is switched off.
    Skipped,
    /// Not to be had; what is stored stays.
    Failed,
}

/// One feed's part of a pull.
#[derive(Debug, Serialize)]
pub(crate) struct PullLine {
    pub(crate) feed: FeedId,
    pub(crate) outcome: PullOutcome,
    /// The site it was asked for, where a round asks for several.
    pub(crate) place: Option<String>,
    pub(crate) url: Option<String>,
    pub(crate) bytes: Option<usize>,
    pub(crate) newest_sample_at: Option<Timestamp>,
    pub(crate) next_allowed_at: Option<Timestamp>,
    pub(crate) problem: Option<String>,
    pub(crate) hint: Option<String>,
    pub(crate) notes: Vec<String>,
}

/// A whole pull.
#[derive(Debug, Serialize)]
pub(crate) struct PullReport {
    pub(crate) asked_at: Timestamp,
    pub(crate) from: Option<String>,
    pub(crate) feeds: Vec<PullLine>,
    pub(crate) failed: usize,
    pub(crate) bodies_pruned: u32,
}

impl PullReport {
    pub(crate) fn new(asked_at: Timestamp, from: Option<String>, feeds: Vec<PullLine>, bodies_pruned: u32) -> Self {
        let failed = feeds.iter().filter(|line| line.outcome == PullOutcome::Failed).count();
        Self { asked_at, from, feeds, failed, bodies_pruned }
    }

    /// How many were asked or should have been.
    pub(crate) fn asked(&self) -> usize {
        self.feeds.iter().filter(|line| line.outcome != PullOutcome::Skipped).count()
    }
}

impl PullLine {
    pub(crate) fn new(feed: FeedId, outcome: PullOutcome) -> Self {
        Self {
            feed,
            outcome,
            place: None,
            url: None,
            bytes: None,
            newest_sample_at: None,
            next_allowed_at: None,
            problem: None,
            hint: None,
            notes: Vec::new(),
        }
    }

    /// A feed that was not or could not be asked.
    pub(crate) fn without_answer(feed: FeedId, outcome: PullOutcome, error: &FetchError) -> Self {
        let (problem, hint) = (Some(error.to_string()), Some(error.hint()));
        Self { problem, hint, ..Self::new(feed, outcome) }
    }

    pub(crate) fn answered(feed: FeedId, url: &str, answered: &Answered) -> Self {
        let blank = |outcome| Self {
            url: Some(url.to_owned()),
            next_allowed_at: Some(answered.next_allowed_at),
            notes: answered.notes.iter().map(Note::text).collect(),
            ..Self::new(feed, outcome)
        };
        match &answered.answer {
            Answer::New { body, newest_sample_at, .. } => {
                Self { bytes: Some(body.len()), newest_sample_at: *newest_sample_at, ..blank(PullOutcome::New) }
            }
            Answer::Unchanged { .. } => blank(PullOutcome::Unchanged),
            Answer::Failed { error, .. } => {
                Self { problem: Some(error.to_string()), hint: Some(error.hint()), ..blank(PullOutcome::Failed) }
            }
        }
    }

    /// For a terminal: one line, and the remedy and the notes under it.
    pub(crate) fn text(&self) -> String {
        let said = match self.outcome {
            PullOutcome::New => format!("new, {} bytes{}", self.bytes.unwrap_or(0), self.newest_words()),
            PullOutcome::Unchanged => "unchanged at the publisher's".to_owned(),
            PullOutcome::NotYet => {
                format!("not asked: too early, from {}", self.next_allowed_at.map_or_else(String::new, clock))
            }
            PullOutcome::Skipped => format!("left out: {}", self.problem_words()),
            PullOutcome::Failed => format!("FAILED: {}", self.problem_words()),
        };
        let place = self.place.as_ref().map_or_else(String::new, |place| format!("{place}: "));
        let mut text = format!("{:<23} {place}{said}", self.feed);
        let hint = self.hint.iter().map(|hint| format!("hint: {hint}"));
        for more in hint.chain(self.notes.iter().map(|note| format!("note: {note}"))) {
            text.push_str("\n    ");
            text.push_str(&more);
        }
        text
    }

    fn newest_words(&self) -> String {
        self.newest_sample_at.map_or_else(String::new, |at| format!(", newest sample {}", clock(at)))
    }

    fn problem_words(&self) -> &str {
        let problem = self.problem.as_deref().unwrap_or_default();
        problem.strip_prefix("not asked: ").unwrap_or(problem)
    }
}

/// A time to the minute, with its date, UTC.
pub(crate) fn clock(at: Timestamp) -> String {
    at.strftime("%Y-%m-%d %H:%M UTC").to_string()
}
