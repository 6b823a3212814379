//! The bodies of feeds: the offline cache.
//!
//! Every result of a pull is one statement, so it is stored whole or not at all. Which feeds there are, what a body
//! means and when to ask again is not known here.

use std::str::FromStr;

use quantity::Timestamp;
use rusqlite::{OptionalExtension, Row, params};
use serde::Serialize;

use crate::text::{column, from_json, instant, optional_column, to_json};
use crate::{Journal, JournalError};

const WHAT: &str = "feed";

/// How an address answered when it was last asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FeedStanding {
    /// Well.
    Good,
    /// Not, or with something that cannot be used.
    Failing,
    /// It keeps this program out.
    Blocked,
    /// Again and again that there is nothing any more.
    Retired,
}

/// Where a body came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BodyOrigin {
    /// Over the network, from the publisher.
    Network,
    /// From a folder of stored bodies.
    Folder,
}

/// What is known of one address of a feed; the bodies themselves are read apart.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StoredFeed {
    /// The feed's name.
    pub feed: String,
    /// The address.
    pub url: String,
    /// How it answered last.
    pub standing: FeedStanding,
    /// When it was last asked, whatever came of it.
    pub asked_at: Option<Timestamp>,
    /// Status of the last answer.
    pub http_status: Option<u16>,
    /// Failures in a row.
    pub consecutive_failures: u32,
    /// Answers in a row that there is nothing any more.
    pub gone_answers: u32,
    /// Not to be asked before.
    pub next_allowed_at: Option<Timestamp>,
    /// Why the last question failed, if it did.
    pub last_error: Option<String>,
    /// What to do about it.
    pub last_remedy: Option<String>,
    /// What else a person should know.
    pub notes: Vec<String>,
    /// Where the stored body came from; none where no body is stored.
    pub origin: Option<BodyOrigin>,
    /// `ETag` of the stored body, exactly as it came.
    pub etag: Option<String>,
    /// `Last-Modified` of the stored body, exactly as it came.
    pub last_modified: Option<String>,
    /// `Expires` of the last good answer.
    pub expires_at: Option<Timestamp>,
    /// When the stored body came.
    pub received_at: Option<Timestamp>,
    /// When the publisher last confirmed it. Says nothing of the age of the data in it.
    pub checked_at: Option<Timestamp>,
    /// Size of the stored body, bytes.
    pub body_bytes: Option<u64>,
    /// When the bad body kept aside came.
    pub bad_body_at: Option<Timestamp>,
}

/// The result of one pull, to be stored as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FeedPull<'a> {
    /// The feed's name.
    pub feed: &'a str,
    /// The address.
    pub url: &'a str,
    /// When it was asked.
    pub asked_at: Timestamp,
    /// Status of the answer.
    pub http_status: Option<u16>,
    /// Failures in a row, this one included.
    pub consecutive_failures: u32,
    /// Answers in a row that there is nothing any more.
    pub gone_answers: u32,
    /// Not to be asked before.
    pub next_allowed_at: Timestamp,
    /// What else a person should know.
    pub notes: &'a [String],
    /// What came.
    pub outcome: FeedOutcome<'a>,
}

/// What a pull brought.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FeedOutcome<'a> {
    /// A new body, which takes the place of the stored one.
    New {
        /// The body.
        body: &'a [u8],
        /// `ETag`, exactly as it came.
        etag: Option<&'a str>,
        /// `Last-Modified`, exactly as it came.
        last_modified: Option<&'a str>,
        /// `Expires`.
        expires_at: Option<Timestamp>,
    },
    /// The stored body is still the newest.
    Unchanged {
        /// `ETag`, exactly as it came.
        etag: Option<&'a str>,
        /// `Last-Modified`, exactly as it came.
        last_modified: Option<&'a str>,
        /// `Expires`.
        expires_at: Option<Timestamp>,
    },
    /// Nothing of use: the stored body stays.
    Failed {
        /// How the address stands now.
        standing: FeedStanding,
        /// Why.
        error: &'a str,
        /// What to do about it.
        remedy: &'a str,
        /// What came instead, to be kept aside.
        bad_body: Option<&'a [u8]>,
    },
}

impl FeedOutcome<'_> {
    fn standing(&self) -> FeedStanding {
        match self {
            Self::New { .. } | Self::Unchanged { .. } => FeedStanding::Good,
            Self::Failed { standing, .. } => *standing,
        }
    }
}

/// Puts the policy columns, which every pull renews; what the outcome adds comes after.
const POLICY: &str = "INSERT INTO feed_body (feed, url, standing, asked_at, http_status, consecutive_failures, \
     gone_answers, next_allowed_at, notes_json, last_error, last_remedy, body, etag, last_modified, expires_at, \
     received_at, checked_at, origin, bad_body, bad_body_at) \
     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20) \
     ON CONFLICT (feed, url) DO UPDATE SET standing = excluded.standing, asked_at = excluded.asked_at, \
     http_status = excluded.http_status, consecutive_failures = excluded.consecutive_failures, \
     gone_answers = excluded.gone_answers, next_allowed_at = excluded.next_allowed_at, \
     notes_json = excluded.notes_json, last_error = excluded.last_error, last_remedy = excluded.last_remedy";
const NEW: &str = ", body = excluded.body, etag = excluded.etag, last_modified = excluded.last_modified, \
     expires_at = excluded.expires_at, received_at = excluded.received_at, checked_at = excluded.checked_at, \
     origin = excluded.origin";
const UNCHANGED: &str = ", etag = excluded.etag, last_modified = excluded.last_modified, \
     expires_at = excluded.expires_at, checked_at = excluded.checked_at";
/// A bad answer without a body leaves the bad body kept before.
const FAILED: &str = ", bad_body = coalesce(excluded.bad_body, feed_body.bad_body), \
     bad_body_at = coalesce(excluded.bad_body_at, feed_body.bad_body_at)";

/// All columns but the bodies.
const COLUMNS: &str = "feed, url, standing, asked_at, http_status, consecutive_failures, gone_answers, \
     next_allowed_at, last_error, last_remedy, notes_json, origin, etag, last_modified, expires_at, received_at, \
     checked_at, bad_body_at, length(body) AS body_bytes";

impl Journal {
    /// Stores the result of a pull, whole or not at all. Only a new body replaces the stored one.
    ///
    /// # Errors
    ///
    /// The journal is locked or full; then nothing is stored and the last good body is as it was.
    pub fn record_feed_pull(&self, pull: &FeedPull<'_>) -> Result<(), JournalError> {
        let at = instant(pull.asked_at);
        let (body, tags, failure) = parts(&pull.outcome);
        let expires_at = tags.and_then(|(_, _, expires_at)| expires_at).map(instant);
        let row = params![
            pull.feed,
            pull.url,
            standing_text(pull.outcome.standing()),
            at,
            pull.http_status,
            pull.consecutive_failures,
            pull.gone_answers,
            instant(pull.next_allowed_at),
            to_json(WHAT, pull.feed, &pull.notes.to_vec())?,
            failure.map(|(error, _, _)| error),
            failure.map(|(_, remedy, _)| remedy),
            body,
            tags.and_then(|(etag, _, _)| etag),
            tags.and_then(|(_, last_modified, _)| last_modified),
            expires_at,
            body.map(|_| &at),
            tags.map(|_| &at),
            body.map(|_| origin_text(BodyOrigin::Network)),
            failure.and_then(|(_, _, bad_body)| bad_body),
            failure.and_then(|(_, _, bad_body)| bad_body).map(|_| &at)
        ];
        let renew = match pull.outcome {
            FeedOutcome::New { .. } => NEW,
            FeedOutcome::Unchanged { .. } => UNCHANGED,
            FeedOutcome::Failed { .. } => FAILED,
        };
        self.connection.execute(&format!("{POLICY}{renew}"), row)?;
        Ok(())
    }

    /// Stores a body from a folder. The address counts as not asked; its tags are dropped, so that the next pull
    /// brings the publisher's own.
    ///
    /// # Errors
    ///
    /// The journal is locked or full.
    pub fn record_feed_file(
        &self,
        feed: &str,
        url: &str,
        body: &[u8],
        received_at: Timestamp,
    ) -> Result<(), JournalError> {
        let sql = "INSERT INTO feed_body (feed, url, standing, body, origin, received_at) \
                   VALUES (?1, ?2, 'good', ?3, 'folder', ?4) \
                   ON CONFLICT (feed, url) DO UPDATE SET body = excluded.body, origin = excluded.origin, \
                   received_at = excluded.received_at, checked_at = NULL, etag = NULL, last_modified = NULL, \
                   expires_at = NULL";
        self.connection.execute(sql, params![feed, url, body, instant(received_at)])?;
        Ok(())
    }

    /// What is known of one address; none where it was never asked.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn feed(&self, feed: &str, url: &str) -> Result<Option<StoredFeed>, JournalError> {
        let sql = format!("SELECT {COLUMNS} FROM feed_body WHERE feed = ?1 AND url = ?2");
        let row = self.connection.query_row(&sql, [feed, url], feed_of_row).optional()?;
        row.map(with_notes).transpose()
    }

    /// What is known of every address, by feed and address.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn feeds(&self) -> Result<Vec<StoredFeed>, JournalError> {
        let sql = format!("SELECT {COLUMNS} FROM feed_body ORDER BY feed, url");
        let mut statement = self.connection.prepare(&sql)?;
        let rows = statement.query_map([], feed_of_row)?;
        rows.map(|row| row.map_err(JournalError::from).and_then(with_notes)).collect()
    }

    /// The last good body of an address.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn feed_body(&self, feed: &str, url: &str) -> Result<Option<Vec<u8>>, JournalError> {
        self.one_blob("SELECT body FROM feed_body WHERE feed = ?1 AND url = ?2", feed, url)
    }

    /// The last bad body of an address, kept aside for a report.
    ///
    /// # Errors
    ///
    /// The journal cannot be read.
    pub fn bad_feed_body(&self, feed: &str, url: &str) -> Result<Option<Vec<u8>>, JournalError> {
        self.one_blob("SELECT bad_body FROM feed_body WHERE feed = ?1 AND url = ?2", feed, url)
    }

    /// Lets an address be asked again at once: for an answer that another one has shown to be out of date.
    ///
    /// # Errors
    ///
    /// The journal is locked or cannot be written.
    pub fn allow_feed_now(&self, feed: &str, url: &str) -> Result<(), JournalError> {
        let sql = "UPDATE feed_body SET next_allowed_at = NULL WHERE feed = ?1 AND url = ?2";
        self.connection.execute(sql, [feed, url])?;
        Ok(())
    }

    /// Makes room: forgets addresses not heard of since `oldest` that may be asked again, and bad bodies older than
    /// that; then drops the bodies unconfirmed for longest, until the rest has `most_bytes` at most. Gives the number
    /// of bodies dropped.
    ///
    /// When an address may be asked again is never forgotten before that time.
    ///
    /// # Errors
    ///
    /// The journal is locked or cannot be written.
    pub fn prune_feeds(&mut self, now: Timestamp, oldest: Timestamp, most_bytes: u64) -> Result<u32, JournalError> {
        let (now, oldest) = (instant(now), instant(oldest));
        let most_bytes = i64::try_from(most_bytes).unwrap_or(i64::MAX);
        self.transaction(|journal| {
            let before = journal.count_bodies()?;
            journal.connection.execute(FORGET_OLD, params![oldest, now])?;
            journal.connection.execute(DROP_OLD_BAD_BODIES, params![oldest])?;
            journal.connection.execute(DROP_BEYOND_SIZE, params![most_bytes])?;
            Ok(before.saturating_sub(journal.count_bodies()?))
        })
    }

    fn count_bodies(&self) -> Result<u32, JournalError> {
        Ok(self.connection.query_row("SELECT count(received_at) FROM feed_body", [], |row| row.get(0))?)
    }

    fn one_blob(&self, sql: &str, feed: &str, url: &str) -> Result<Option<Vec<u8>>, JournalError> {
        let body = self.connection.query_row(sql, [feed, url], |row| row.get::<_, Option<Vec<u8>>>(0)).optional()?;
        Ok(body.flatten())
    }
}

const FORGET_OLD: &str = "DELETE FROM feed_body \
     WHERE max(coalesce(asked_at, ''), coalesce(received_at, '')) < ?1 \
     AND coalesce(next_allowed_at, '') <= ?2";
const DROP_OLD_BAD_BODIES: &str = "UPDATE feed_body SET bad_body = NULL, bad_body_at = NULL WHERE bad_body_at < ?1";
const DROP_BEYOND_SIZE: &str = "UPDATE feed_body SET body = NULL, origin = NULL, received_at = NULL, checked_at = NULL, \
     etag = NULL, last_modified = NULL, expires_at = NULL WHERE id IN (SELECT id FROM (SELECT id, \
     sum(length(body)) OVER (ORDER BY coalesce(checked_at, received_at) DESC, id DESC) AS total \
     FROM feed_body WHERE body IS NOT NULL) WHERE total > ?1)";

type Tags<'a> = (Option<&'a str>, Option<&'a str>, Option<Timestamp>);
type FailureParts<'a> = (&'a str, &'a str, Option<&'a [u8]>);

/// The three groups of columns an outcome may fill.
fn parts<'a>(outcome: &FeedOutcome<'a>) -> (Option<&'a [u8]>, Option<Tags<'a>>, Option<FailureParts<'a>>) {
    match *outcome {
        FeedOutcome::New { body, etag, last_modified, expires_at } => {
            (Some(body), Some((etag, last_modified, expires_at)), None)
        }
        FeedOutcome::Unchanged { etag, last_modified, expires_at } => {
            (None, Some((etag, last_modified, expires_at)), None)
        }
        FeedOutcome::Failed { error, remedy, bad_body, .. } => (None, None, Some((error, remedy, bad_body))),
    }
}

/// A row, its notes still as JSON.
fn feed_of_row(row: &Row<'_>) -> rusqlite::Result<(StoredFeed, String)> {
    let feed = StoredFeed {
        feed: row.get("feed")?,
        url: row.get("url")?,
        standing: column::<Word<FeedStanding>>(row, "standing")?.0,
        asked_at: optional_column(row, "asked_at")?,
        http_status: row.get("http_status")?,
        consecutive_failures: row.get("consecutive_failures")?,
        gone_answers: row.get("gone_answers")?,
        next_allowed_at: optional_column(row, "next_allowed_at")?,
        last_error: row.get("last_error")?,
        last_remedy: row.get("last_remedy")?,
        notes: Vec::new(),
        origin: optional_column::<Word<BodyOrigin>>(row, "origin")?.map(|word| word.0),
        etag: row.get("etag")?,
        last_modified: row.get("last_modified")?,
        expires_at: optional_column(row, "expires_at")?,
        received_at: optional_column(row, "received_at")?,
        checked_at: optional_column(row, "checked_at")?,
        body_bytes: row.get::<_, Option<i64>>("body_bytes")?.and_then(|bytes| u64::try_from(bytes).ok()),
        bad_body_at: optional_column(row, "bad_body_at")?,
    };
    Ok((feed, row.get("notes_json")?))
}

fn with_notes((mut feed, notes_json): (StoredFeed, String)) -> Result<StoredFeed, JournalError> {
    feed.notes = from_json(WHAT, &feed.feed, &notes_json)?;
    Ok(feed)
}

fn standing_text(standing: FeedStanding) -> &'static str {
    match standing {
        FeedStanding::Good => "good",
        FeedStanding::Failing => "failing",
        FeedStanding::Blocked => "blocked",
        FeedStanding::Retired => "retired",
    }
}

fn origin_text(origin: BodyOrigin) -> &'static str {
    match origin {
        BodyOrigin::Network => "network",
        BodyOrigin::Folder => "folder",
    }
}

/// A choice read from its column.
struct Word<T>(T);

impl FromStr for Word<FeedStanding> {
    type Err = UnknownWord;
    fn from_str(word: &str) -> Result<Self, UnknownWord> {
        let all = [FeedStanding::Good, FeedStanding::Failing, FeedStanding::Blocked, FeedStanding::Retired];
        let known = all.into_iter().find(|standing| standing_text(*standing) == word);
        known.map(Self).ok_or_else(|| UnknownWord(word.to_owned()))
    }
}

impl FromStr for Word<BodyOrigin> {
    type Err = UnknownWord;
    fn from_str(word: &str) -> Result<Self, UnknownWord> {
        let known = [BodyOrigin::Network, BodyOrigin::Folder].into_iter().find(|origin| origin_text(*origin) == word);
        known.map(Self).ok_or_else(|| UnknownWord(word.to_owned()))
    }
}

#[derive(Debug, thiserror::Error)]
#[error("{0:?} is not a word of this column")]
struct UnknownWord(String);
