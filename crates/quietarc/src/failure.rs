//! What can go wrong, said once, and the exit code it leads to.

use std::process::ExitCode;

use crate::output;

/// A request that could not be carried out: one sentence and its remedy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// What is wrong.
    pub message: String,
    /// What to do about it.
    pub hint: String,
    /// The field of the request at fault, where there is one.
    pub field: Option<String>,
}

impl Failure {
    /// A failure with its remedy.
    pub fn new(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self { message: message.into(), hint: hint.into(), field: None }
    }
}

impl From<job::JobError> for Failure {
    fn from(error: job::JobError) -> Self {
        Self { message: error.to_string(), hint: error.hint(), field: error.field().map(str::to_owned) }
    }
}

impl From<draw::documents::DocumentError> for Failure {
    fn from(error: draw::documents::DocumentError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<journal::JournalError> for Failure {
    fn from(error: journal::JournalError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<feeds::FeedError> for Failure {
    fn from(error: feeds::FeedError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<feeds::UnknownFeed> for Failure {
    fn from(error: feeds::UnknownFeed) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<quantity::QuantityError> for Failure {
    fn from(error: quantity::QuantityError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<geomag::GeomagError> for Failure {
    fn from(error: geomag::GeomagError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

impl From<sky::SkyError> for Failure {
    fn from(error: sky::SkyError) -> Self {
        Self::new(error.to_string(), error.hint())
    }
}

/// How a command ended.
#[derive(Debug)]
pub enum Outcome {
    /// All done.
    Done,
    /// Some items of a batch failed; each was named as it came.
    SomeFailed {
        /// How many failed.
        failed: usize,
        /// Of how many.
        of: usize,
    },
    /// The request itself was wrong; nothing was done.
    Refused(Failure),
}

impl Outcome {
    /// Says what there is to say on standard error and gives the exit code: 0 done, 1 some failed, 2 refused.
    pub fn report(self) -> ExitCode {
        match self {
            Self::Done => ExitCode::SUCCESS,
            Self::SomeFailed { failed, of } => {
                let others = if failed < of { "; the others are done" } else { "" };
                output::note(&format!("{failed} of {of} failed{others}"));
                ExitCode::from(1)
            }
            Self::Refused(failure) => {
                output::note(&format!("error: {}", failure.message));
                output::note(&format!("hint: {}", failure.hint));
                ExitCode::from(2)
            }
        }
    }
}
