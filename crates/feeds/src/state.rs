use std::fmt;

use serde::Serialize;

/// How a feed stands, in one word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FeedState {
    /// Its newest valid sample is as new as it should be.
    Fresh,
    /// Older than usual; still of use.
    Ageing,
    /// Too old to drive a decision; shown with its age.
    Stale,
    /// A body is stored, and nothing here can tell the time of its newest sample.
    Unchecked,
    /// Its newest sample is dated in the future: this machine's clock, or the feed, is wrong.
    AheadOfClock,
    /// The service refuses this program, or answers with a page for people.
    Blocked,
    /// The address has answered twice that there is nothing there any more.
    Retired,
    /// No good body has ever been stored.
    Never,
}

impl FeedState {
    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fresh => "fresh",
            Self::Ageing => "ageing",
            Self::Stale => "stale",
            Self::Unchecked => "not checked",
            Self::AheadOfClock => "ahead of the clock",
            Self::Blocked => "blocked",
            Self::Retired => "retired",
            Self::Never => "never",
        }
    }
}

impl fmt::Display for FeedState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}
