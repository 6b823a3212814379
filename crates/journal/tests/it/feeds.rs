//! Stored bodies of feeds: what a pull changes, what it never touches, and what is left after a kill.

use journal::{BodyOrigin, FeedOutcome, FeedPull, FeedStanding, Journal, JournalError, StoredFeed};
use quantity::Timestamp;
use rusqlite::Connection;

use crate::samples::{furnish, instant};

const FEED: &str = "noaa_kp_3h";
const URL: &str = "https://example.org/kp.json";

fn pull(asked_at: &str, outcome: FeedOutcome<'static>) -> FeedPull<'static> {
    let asked_at = instant(asked_at);
    let failed = matches!(outcome, FeedOutcome::Failed { .. });
    FeedPull {
        feed: FEED,
        url: URL,
        asked_at,
        http_status: Some(200),
        consecutive_failures: u32::from(failed),
        gone_answers: 0,
        next_allowed_at: asked_at + jiff::SignedDuration::from_mins(15),
        notes: &[],
        outcome,
    }
}

const NEW: FeedOutcome<'static> = FeedOutcome::New {
    body: b"[1]",
    etag: Some("W/\"a\""),
    last_modified: Some("Fri, 31 Jul 2026 06:05:00 GMT"),
    expires_at: None,
};
const BAD: FeedOutcome<'static> = FeedOutcome::Failed {
    standing: FeedStanding::Blocked,
    error: "a page",
    remedy: "look at it",
    bad_body: Some(b"<html>"),
};

fn stored(journal: &Journal) -> StoredFeed {
    journal.feed(FEED, URL).unwrap().unwrap()
}

#[test]
fn a_new_body_comes_back_with_its_tags() {
    let journal = Journal::in_memory().unwrap();
    assert_eq!(journal.feed(FEED, URL).unwrap(), None);
    let notes = ["the clock is wrong".to_owned()];
    let first = pull("2026-07-31T06:10:00Z", NEW);
    journal.record_feed_pull(&FeedPull { notes: &notes, ..first }).unwrap();
    let feed = stored(&journal);
    assert_eq!(journal.feed_body(FEED, URL).unwrap().as_deref(), Some(&b"[1]"[..]));
    assert_eq!((feed.etag.as_deref(), feed.body_bytes), (Some("W/\"a\""), Some(3)));
    assert_eq!(feed.received_at, feed.asked_at);
    assert_eq!(feed.checked_at, feed.asked_at);
    assert_eq!(feed.next_allowed_at, Some(instant("2026-07-31T06:25:00Z")));
    assert_eq!((feed.standing, feed.origin), (FeedStanding::Good, Some(BodyOrigin::Network)));
    assert_eq!(feed.notes, notes);
    assert_eq!(journal.feeds().unwrap(), [feed]);
}

#[test]
fn a_bad_answer_never_touches_the_last_good_body() {
    let journal = Journal::in_memory().unwrap();
    journal.record_feed_pull(&pull("2026-07-31T06:10:00Z", NEW)).unwrap();
    let before = stored(&journal);
    journal.record_feed_pull(&pull("2026-07-31T06:30:00Z", BAD)).unwrap();
    let after = stored(&journal);
    assert_eq!(journal.feed_body(FEED, URL).unwrap().as_deref(), Some(&b"[1]"[..]));
    assert_eq!(journal.bad_feed_body(FEED, URL).unwrap().as_deref(), Some(&b"<html>"[..]));
    assert_eq!((after.standing, after.consecutive_failures), (FeedStanding::Blocked, 1));
    assert_eq!(after.last_error.as_deref(), Some("a page"));
    assert_eq!(after.bad_body_at, Some(instant("2026-07-31T06:30:00Z")));
    let kept = |feed: &StoredFeed| {
        (feed.etag.clone(), feed.last_modified.clone(), feed.received_at, feed.checked_at, feed.origin, feed.body_bytes)
    };
    assert_eq!(kept(&before), kept(&after));
    // a later failure without a body keeps the bad body for the report; a good answer clears the error
    let quiet = FeedOutcome::Failed { standing: FeedStanding::Failing, error: "late", remedy: "wait", bad_body: None };
    journal.record_feed_pull(&pull("2026-07-31T06:40:00Z", quiet)).unwrap();
    assert!(journal.bad_feed_body(FEED, URL).unwrap().is_some());
    journal.record_feed_pull(&pull("2026-07-31T07:00:00Z", NEW)).unwrap();
    assert_eq!((stored(&journal).last_error, stored(&journal).standing), (None, FeedStanding::Good));
}

#[test]
fn an_unchanged_answer_renews_the_check_and_not_the_receipt() {
    let journal = Journal::in_memory().unwrap();
    journal.record_feed_pull(&pull("2026-07-31T06:10:00Z", NEW)).unwrap();
    let same = FeedOutcome::Unchanged { etag: Some("W/\"a\""), last_modified: None, expires_at: None };
    journal.record_feed_pull(&pull("2026-07-31T06:30:00Z", same)).unwrap();
    let feed = stored(&journal);
    assert_eq!(feed.received_at, Some(instant("2026-07-31T06:10:00Z")));
    assert_eq!(feed.checked_at, Some(instant("2026-07-31T06:30:00Z")));
    assert_eq!(journal.feed_body(FEED, URL).unwrap().as_deref(), Some(&b"[1]"[..]));
}

#[test]
fn a_body_from_a_folder_drops_the_tags_and_keeps_the_patience() {
    let journal = Journal::in_memory().unwrap();
    journal.record_feed_pull(&pull("2026-07-31T06:10:00Z", NEW)).unwrap();
    journal.record_feed_file(FEED, URL, b"[2]", instant("2026-07-31T06:12:00Z")).unwrap();
    let feed = stored(&journal);
    assert_eq!(journal.feed_body(FEED, URL).unwrap().as_deref(), Some(&b"[2]"[..]));
    assert_eq!((feed.etag, feed.last_modified, feed.checked_at), (None, None, None));
    assert_eq!(feed.origin, Some(BodyOrigin::Folder));
    assert_eq!(feed.next_allowed_at, Some(instant("2026-07-31T06:25:00Z")));
    journal.record_feed_file("metar", URL, b"[3]", instant("2026-07-31T06:12:00Z")).unwrap();
    assert_eq!(journal.feeds().unwrap().len(), 2);
}

#[test]
fn an_address_may_be_let_off_its_pause() {
    let journal = Journal::in_memory().unwrap();
    journal.record_feed_pull(&pull("2026-07-31T06:10:00Z", NEW)).unwrap();
    journal.allow_feed_now(FEED, URL).unwrap();
    assert_eq!(stored(&journal).next_allowed_at, None);
}

fn filled(ages: &[(&'static str, &str)]) -> Journal {
    let journal = Journal::in_memory().unwrap();
    for (url, asked_at) in ages {
        let one = FeedPull { url, ..pull(asked_at, NEW) };
        journal.record_feed_pull(&one).unwrap();
    }
    journal
}

fn left(journal: &Journal) -> Vec<String> {
    let with_body = journal.feeds().unwrap().into_iter().filter(|feed| feed.body_bytes.is_some());
    with_body.map(|feed| feed.url).collect()
}

#[test]
fn pruning_goes_by_age_then_by_size_and_spares_the_newest() {
    let now: Timestamp = instant("2026-08-31T00:00:00Z");
    let ages = [("u:c", "2026-08-30T00:00:00Z"), ("u:a", "2026-07-01T00:00:00Z"), ("u:b", "2026-08-29T00:00:00Z")];
    let mut journal = filled(&ages);
    let month_ago = instant("2026-08-01T00:00:00Z");
    assert_eq!(journal.prune_feeds(now, month_ago, 1000).unwrap(), 1);
    assert_eq!(left(&journal), ["u:b", "u:c"]);
    assert_eq!(journal.prune_feeds(now, month_ago, 5).unwrap(), 1, "two bodies of 3 bytes");
    assert_eq!(left(&journal), ["u:c"]);
    let without = journal.feed(FEED, "u:b").unwrap().unwrap();
    assert_eq!((without.etag, without.body_bytes), (None, None), "no tags without the body they belong to");
    assert!(without.next_allowed_at.is_some(), "the pause is not forgotten");
}

#[test]
fn an_address_that_may_not_be_asked_yet_is_not_forgotten() {
    let mut journal = filled(&[("u:a", "2026-07-01T00:00:00Z")]);
    let early = instant("2026-07-01T00:10:00Z");
    assert_eq!(journal.prune_feeds(early, instant("2026-07-01T00:05:00Z"), 1000).unwrap(), 0);
    assert_eq!(journal.prune_feeds(early, instant("2026-07-01T00:05:00Z"), 0).unwrap(), 1);
    assert!(journal.feed(FEED, "u:a").unwrap().unwrap().next_allowed_at.is_some());
}

#[test]
fn a_program_killed_while_it_stores_leaves_the_last_good_body() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night.qarc");
    let mut journal = Journal::open(&path).unwrap();
    journal.record_feed_pull(&pull("2026-07-31T06:10:00Z", NEW)).unwrap();
    let large: &'static [u8] = Box::leak(vec![b'1'; 4 << 20].into_boxed_slice());
    let copy = folder.path().join("copy.qarc");
    let stopped = journal.transaction(|journal| {
        let outcome = FeedOutcome::New { body: large, etag: None, last_modified: None, expires_at: None };
        journal.record_feed_pull(&pull("2026-07-31T06:30:00Z", outcome))?;
        for suffix in ["", "-wal"] {
            let from = format!("{}{suffix}", path.display());
            std::fs::copy(from, format!("{}{suffix}", copy.display())).unwrap();
        }
        Err::<(), _>(JournalError::Full)
    });
    assert!(stopped.is_err());
    for left in [&path, &copy] {
        let journal = Journal::open(left).unwrap();
        journal.check().unwrap();
        assert_eq!(journal.feed_body(FEED, URL).unwrap().as_deref(), Some(&b"[1]"[..]));
        assert_eq!(stored(&journal).received_at, Some(instant("2026-07-31T06:10:00Z")));
    }
}

#[test]
fn a_journal_of_the_first_version_gains_the_table_and_keeps_its_house() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.qarc");
    let first = Connection::open(&path).unwrap();
    first.execute_batch(include_str!("../../migrations/0001_house.sql")).unwrap();
    first.pragma_update(None, "user_version", 1).unwrap();
    drop(first);
    let journal = Journal::open(&path).unwrap();
    let outing = furnish(&journal);
    assert!(journal.feeds().unwrap().is_empty());
    journal.record_feed_pull(&pull("2026-07-31T06:10:00Z", NEW)).unwrap();
    drop(journal);
    let journal = Journal::open(&path).unwrap();
    assert_eq!(journal.feeds().unwrap().len(), 1);
    journal.outing(outing).unwrap();
    journal.remove_everything().unwrap();
    assert!(journal.feeds().unwrap().is_empty());
}
