//! Stored bodies from a folder: the offline way in, and the harness of tests.

use std::path::{Path, PathBuf};

use feeds::client::{FetchError, Question, check_body};
use feeds::{FeedId, Settings};
use journal::Journal;

use crate::commands::{now, read};
use crate::failure::Failure;
use crate::feed_round::{PullLine, PullOutcome, switched_off};
use crate::stored_feeds::address;

/// Loads the bodies of a folder whose files are named by feed (`gfz_kp.txt`, `noaa_kp_3h.json`).
///
/// Each is checked as an answer from the network would be, and stored under the address the feed has, so that
/// everything above works as if it had been pulled. A bad file leaves the stored body as it was.
pub(super) fn load(
    folder: &Path,
    feeds: &[FeedId],
    are_named: bool,
    settings: &Settings,
    question: &Question,
    journal: &Journal,
) -> Result<Vec<PullLine>, Failure> {
    let files = files(folder)?;
    let mut lines = Vec::new();
    for feed in feeds.iter().copied() {
        let named: Vec<&PathBuf> = files.iter().filter(|path| is_of(path, feed)).collect();
        match named.as_slice() {
            [] if !are_named => {}
            _some if !settings.is_on(feed) => lines.push(switched_off(feed, are_named)),
            [] => lines.push(refused(feed, format!("no file {feed}.* in {}", folder.display()), "name the file so")),
            [path] => lines.push(load_one(feed, path, settings, question, journal)?),
            [first, second, ..] => {
                let problem = format!("both {} and {} are named so", first.display(), second.display());
                lines.push(refused(feed, problem, "leave one of them"));
            }
        }
    }
    if lines.is_empty() {
        return Err(Failure::new(
            format!("{} holds no body of a feed", folder.display()),
            "name each file by its feed, for example noaa_kp_3h.json; quietarc feeds sources lists the names",
        ));
    }
    Ok(lines)
}

fn load_one(
    feed: FeedId,
    path: &Path,
    settings: &Settings,
    question: &Question,
    journal: &Journal,
) -> Result<PullLine, Failure> {
    let failed = |error: &FetchError| PullLine::without_answer(feed, PullOutcome::Failed, error);
    let url = match address(feed, settings, question, journal)? {
        Ok(url) => url,
        Err(error) => return Ok(failed(&error)),
    };
    let body = match read(path) {
        Ok(body) => body,
        Err(failure) => return Ok(refused(feed, failure.message, &failure.hint)),
    };
    let newest_sample_at = match check_body(feed, &body, now()) {
        Ok(newest_sample_at) => newest_sample_at,
        Err(error) => return Ok(failed(&error)),
    };
    journal.record_feed_file(feed.as_str(), &url, &body, now())?;
    let line = PullLine::new(feed, PullOutcome::New);
    Ok(PullLine { url: Some(url), bytes: Some(body.len()), newest_sample_at, ..line })
}

fn refused(feed: FeedId, problem: String, hint: &str) -> PullLine {
    PullLine { problem: Some(problem), hint: Some(hint.to_owned()), ..PullLine::new(feed, PullOutcome::Failed) }
}

/// The folder's files by name.
fn files(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("{} cannot be read: {error}", folder.display()), "give --from a readable folder")
    };
    let entries = std::fs::read_dir(folder).map_err(fault)?;
    let mut files =
        entries.map(|entry| entry.map(|entry| entry.path())).collect::<Result<Vec<_>, _>>().map_err(fault)?;
    files.retain(|path| path.is_file());
    files.sort();
    Ok(files)
}

/// Whether a file is named by a feed: `gfz_kp`, `gfz_kp.txt`, `gfz_kp.2026-03-14.txt`.
fn is_of(path: &Path, feed: FeedId) -> bool {
    let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
    name.split('.').next() == Some(feed.as_str())
}
