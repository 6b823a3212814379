//! What a pull says of each feed, as text and as JSON.

use feeds::FeedId;
use feeds::client::{Answer, Answered, FetchError, Note};
use quantity::Timestamp;
use serde::Serialize;

/// What came of one feed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum PullOutcome {
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
pub(super) struct PullLine {
    pub(super) feed: FeedId,
    pub(super) outcome: PullOutcome,
    pub(super) url: Option<String>,
    pub(super) bytes: Option<usize>,
    pub(super) newest_sample_at: Option<Timestamp>,
    pub(super) next_allowed_at: Option<Timestamp>,
    pub(super) problem: Option<String>,
    pub(super) hint: Option<String>,
    pub(super) notes: Vec<String>,
}

/// A whole pull.
#[derive(Debug, Serialize)]
pub(super) struct PullReport {
    pub(super) asked_at: Timestamp,
    pub(super) from: Option<String>,
    pub(super) feeds: Vec<PullLine>,
    pub(super) failed: usize,
    pub(super) bodies_pruned: u32,
}

impl PullLine {
    pub(super) fn new(feed: FeedId, outcome: PullOutcome) -> Self {
        Self {
            feed,
            outcome,
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
    pub(super) fn without_answer(feed: FeedId, outcome: PullOutcome, error: &FetchError) -> Self {
        let (problem, hint) = (Some(error.to_string()), Some(error.hint()));
        Self { problem, hint, ..Self::new(feed, outcome) }
    }

    pub(super) fn answered(feed: FeedId, url: &str, answered: &Answered) -> Self {
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
    pub(super) fn text(&self) -> String {
        let said = match self.outcome {
            PullOutcome::New => format!("new, {} bytes{}", self.bytes.unwrap_or(0), self.newest_words()),
            PullOutcome::Unchanged => "unchanged at the publisher's".to_owned(),
            PullOutcome::NotYet => {
                format!("not asked: too early, from {}", self.next_allowed_at.map_or_else(String::new, clock))
            }
            PullOutcome::Skipped => format!("left out: {}", self.problem_words()),
            PullOutcome::Failed => format!("FAILED: {}", self.problem_words()),
        };
        let mut text = format!("{:<23} {said}", self.feed);
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
pub(super) fn clock(at: Timestamp) -> String {
    at.strftime("%Y-%m-%d %H:%M UTC").to_string()
}
