//! The one careful client: asks a feed no more often than it may, and never takes rubbish for data.
//!
//! One policy for all feeds. Bounds on time, size and redirects; conditional questions with the stored tags; the
//! minimum interval, `Expires`, `Cache-Control` and `Retry-After` kept; after a failure a pause that grows from one
//! minute to half an hour; an honest `User-Agent`. A body is only ever handed on whole and looked at.
//!
//! **What it does not do:** it stores nothing, schedules nothing and asks for one feed at a time. It never pretends to
//! be a browser.

mod address;
mod error;
mod grid;
mod headers;
mod judge;
mod pause;
mod surroundings;
mod transport;

use std::time::Duration;

use jiff::SignedDuration;
use quantity::Timestamp;
use ureq::Agent;

pub(crate) use address::check_address;
pub use address::{Question, address, host};
pub use error::{Block, FetchError};
pub use grid::grid_address;
pub use judge::check_body;
pub use surroundings::{Surroundings, ThisMachine};

use crate::settings::Contact;
use crate::{Retry, Source};
use judge::Judged;
use transport::{Reply, Tags};

/// How long to wait before the one quick retry of a service whose errors mostly pass.
const QUICK_RETRY: Duration = Duration::from_secs(10);
/// After how many answers of 404 or 410 in a row a feed counts as retired.
pub const GONE_ANSWERS_TO_RETIRE: u32 = 2;

/// What is remembered of a feed's address from earlier pulls.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Memory {
    /// `ETag` of the stored body, exactly as it came; only where there is a stored body.
    pub etag: Option<String>,
    /// `Last-Modified` of the stored body, exactly as it came.
    pub last_modified: Option<String>,
    /// Not to be asked before.
    pub next_allowed_at: Option<Timestamp>,
    /// Failures in a row.
    pub consecutive_failures: u32,
    /// Answers of 404 or 410 in a row.
    pub gone_answers: u32,
}

/// What came of a pull.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pulled {
    /// Too early: nothing was asked.
    NotYet {
        /// Not to be asked before.
        until: Timestamp,
    },
    /// It cannot be asked; nothing is counted against it.
    NotAsked(FetchError),
    /// It was asked.
    Asked(Answered),
}

/// What an asked feed answered, and what to remember of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answered {
    /// When it was asked.
    pub asked_at: Timestamp,
    /// Status of the answer, where there was one.
    pub http_status: Option<u16>,
    /// The answer.
    pub answer: Answer,
    /// Not to be asked before.
    pub next_allowed_at: Timestamp,
    /// Failures in a row, this one included.
    pub consecutive_failures: u32,
    /// Answers of 404 or 410 in a row, this one included.
    pub gone_answers: u32,
    /// What a person should know besides.
    pub notes: Vec<Note>,
}

/// The answer itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// A new body, whole and looked at.
    New {
        /// The body, unpacked.
        body: Vec<u8>,
        /// Its tags and lifetime.
        tags: BodyTags,
        /// Time of its newest valid sample; `None` where nothing here can tell.
        newest_sample_at: Option<Timestamp>,
    },
    /// The stored body is still the newest: it has been checked, its data are as old as before.
    Unchanged {
        /// Tags and lifetime as renewed.
        tags: BodyTags,
    },
    /// Nothing of use; the stored body stays.
    Failed {
        /// Why.
        error: FetchError,
        /// What came instead, cut to 64 KiB, to be kept aside.
        bad_body: Option<Vec<u8>>,
    },
}

/// What belongs to a body and is sent back with the next question.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BodyTags {
    /// `ETag`, exactly as it came.
    pub etag: Option<String>,
    /// `Last-Modified`, exactly as it came.
    pub last_modified: Option<String>,
    /// `Expires`.
    pub expires: Option<Timestamp>,
}

/// Something a person should know although the pull went well.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Note {
    /// Status 203: the publisher will switch this address off.
    Deprecated,
    /// The address has moved.
    Moved {
        /// Where to.
        to: String,
    },
    /// This machine's clock and the server's disagree.
    Clock {
        /// This machine's minus the server's; positive: this machine is ahead.
        lead: SignedDuration,
    },
}

impl Note {
    /// In words.
    pub fn text(&self) -> String {
        match self {
            Self::Deprecated => {
                "the publisher marks this address as deprecated (status 203); look for its successor".to_owned()
            }
            Self::Moved { to } => format!("the address has moved to {to}; give it as url in the settings"),
            Self::Clock { lead } => {
                let side = if lead.is_negative() { "behind" } else { "ahead of" };
                let minutes = lead.as_secs().unsigned_abs().div_ceil(60);
                format!("this machine's clock is {minutes} min {side} the server's: set it, every age depends on it")
            }
        }
    }
}

/// The client. Cheap to keep; connections are reused.
#[derive(Debug, Clone)]
pub struct Client {
    agent: Agent,
    has_contact: bool,
}

impl Client {
    /// A client that says who it is: `quietarc/VERSION (+contact)`.
    pub fn new(contact: Option<&Contact>) -> Self {
        let product = concat!("quietarc/", env!("CARGO_PKG_VERSION"));
        let user_agent =
            contact.map_or_else(|| product.to_owned(), |contact| format!("{product} (+{})", contact.as_str()));
        let agent = Agent::config_builder().user_agent(user_agent).build().new_agent();
        Self { agent, has_contact: contact.is_some() }
    }

    /// Asks a feed, unless it is too early.
    ///
    /// * `url`: from [`address`].
    /// * `memory`: what was remembered of this address; the caller stores what comes back.
    pub fn pull(&self, source: &Source, url: &str, memory: &Memory, around: &mut impl Surroundings) -> Pulled {
        let asked_at = around.now();
        if let Some(until) = pause::still_waiting(asked_at, memory.next_allowed_at) {
            return Pulled::NotYet { until };
        }
        if source.wants_contact && !self.has_contact {
            return Pulled::NotAsked(FetchError::NoContact { agency: source.agency });
        }
        let tags = Tags { etag: memory.etag.as_deref(), last_modified: memory.last_modified.as_deref() };
        match self.exchange(source, url, tags, around) {
            Err(error) if !error.was_asked() => Pulled::NotAsked(error),
            outcome => {
                let random_fraction = around.random_fraction();
                let pull = Pull { source, url, memory, asked_at, received_at: around.now(), random_fraction };
                Pulled::Asked(pull.answered(outcome))
            }
        }
    }

    /// One exchange; a second one where the service's errors mostly pass and it did not ask for rest.
    fn exchange(
        &self,
        source: &Source,
        url: &str,
        tags: Tags<'_>,
        around: &mut impl Surroundings,
    ) -> Result<Reply, FetchError> {
        let first = transport::exchange(&self.agent, source, url, tags)?;
        let passes = first.status >= 500 && first.head.retry_after.is_none();
        if passes && source.retry == Retry::OnceSoon {
            around.wait(QUICK_RETRY);
            return transport::exchange(&self.agent, source, url, tags);
        }
        Ok(first)
    }
}

/// One pull, on its way from the wire to what is remembered.
struct Pull<'a> {
    source: &'a Source,
    url: &'a str,
    memory: &'a Memory,
    asked_at: Timestamp,
    received_at: Timestamp,
    random_fraction: f64,
}

impl Pull<'_> {
    fn answered(&self, outcome: Result<Reply, FetchError>) -> Answered {
        let reply = match outcome {
            Ok(reply) => reply,
            Err(error) => return self.failed(None, error, None, None, Vec::new()),
        };
        let notes = self.notes(&reply);
        let lifetime = reply.head.lifetime(self.received_at);
        let retry_after = reply.head.retry_after(self.received_at);
        let status = reply.status;
        let tags = BodyTags {
            etag: reply.head.etag.clone(),
            last_modified: reply.head.last_modified.clone(),
            expires: reply.head.expires,
        };
        let was_conditional = self.memory.etag.is_some() || self.memory.last_modified.is_some();
        let answer = match judge::judge(self.source, self.url, was_conditional, reply, self.received_at) {
            Judged::New { body, newest_sample_at } => Answer::New { body, tags, newest_sample_at },
            Judged::Unchanged => Answer::Unchanged { tags: self.renewed(tags) },
            Judged::Failed { error, bad_body } => {
                return self.failed(Some(status), error, bad_body, retry_after, notes);
            }
        };
        Answered {
            asked_at: self.asked_at,
            http_status: Some(status),
            answer,
            next_allowed_at: pause::after_success(self.source, self.asked_at, lifetime, self.random_fraction),
            consecutive_failures: 0,
            gone_answers: 0,
            notes,
        }
    }

    fn failed(
        &self,
        http_status: Option<u16>,
        error: FetchError,
        bad_body: Option<Vec<u8>>,
        retry_after: Option<SignedDuration>,
        notes: Vec<Note>,
    ) -> Answered {
        let is_gone = matches!(error, FetchError::Gone { .. });
        let gone_answers = if is_gone { self.memory.gone_answers.saturating_add(1) } else { 0 };
        // without a network nothing is the feed's fault: the pause stays short, so that it is tried when the line is back
        let is_offline = matches!(error, FetchError::NoNetwork { .. });
        let consecutive_failures = self.memory.consecutive_failures.saturating_add(u32::from(!is_offline));
        let failures = if is_offline { 1 } else { consecutive_failures };
        let next_allowed_at = if gone_answers >= GONE_ANSWERS_TO_RETIRE {
            pause::after_retirement(self.asked_at)
        } else {
            pause::after_failure(self.asked_at, failures, retry_after, self.random_fraction)
        };
        let answer = Answer::Failed { error, bad_body };
        Answered {
            asked_at: self.asked_at,
            http_status,
            answer,
            next_allowed_at,
            consecutive_failures,
            gone_answers,
            notes,
        }
    }

    /// A 304 need not repeat the tags; those it repeats are newer.
    fn renewed(&self, tags: BodyTags) -> BodyTags {
        BodyTags {
            etag: tags.etag.or_else(|| self.memory.etag.clone()),
            last_modified: tags.last_modified.or_else(|| self.memory.last_modified.clone()),
            expires: tags.expires,
        }
    }

    fn notes(&self, reply: &Reply) -> Vec<Note> {
        let deprecated = (reply.status == 203).then_some(Note::Deprecated);
        let moved = reply.moved_to.clone().map(|to| Note::Moved { to });
        let clock = judge::clock_lead(reply.head.server_time(), self.received_at).map(|lead| Note::Clock { lead });
        deprecated.into_iter().chain(moved).chain(clock).collect()
    }
}
