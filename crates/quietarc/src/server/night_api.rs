//! A folder sorted over HTTP: the rules are those of the command.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use futures_util::Stream;
use futures_util::stream::unfold;
use job::{PersonVerdict, SortReport};
use journal::Journal;
use serde::{Deserialize, Serialize};

use super::Shared;
use super::api::{Answer, aside};
use super::night::{Arrived, FaultLine, Night, Phase, Said, Standing, locked};
use super::refusal::{Ask, Refusal};
use crate::sorting::{NightQuestion, PreparedNight, write_ratings};
use crate::{Failure, present_sort};

/// Least time between two words of progress: faster than anybody reads, slower than frames come.
const SAID_EVERY: Duration = Duration::from_millis(250);

/// What is sorted here, and how far it is.
#[derive(Serialize)]
pub(super) struct NightPage {
    /// What was asked; `None` before anything was.
    question: Option<NightQuestion>,
    /// Its folder without links.
    folder: Option<String>,
    standing: Option<Standing>,
    /// Folders to pick from, where the server was started with some.
    offered: Vec<String>,
    /// Whether any folder of this machine may be named.
    any_folder: bool,
}

fn page(shared: &Shared) -> NightPage {
    let night = shared.nights.current();
    NightPage {
        question: night.as_ref().map(|night| night.question.clone()),
        folder: night.as_ref().map(|night| night.folder.display().to_string()),
        standing: night.as_ref().map(|night| night.standing.borrow().clone()),
        offered: shared.nights.folders.offered(),
        any_folder: shared.nights.folders == super::FrameFolders::Any,
    }
}

pub(super) async fn standing(State(shared): State<Shared>) -> Answer<NightPage> {
    aside(move || Ok::<_, Failure>(page(&shared))).await.map(Json)
}

pub(super) async fn start(
    State(shared): State<Shared>,
    Ask(question): Ask<NightQuestion>,
) -> Result<(StatusCode, Json<NightPage>), Refusal> {
    let page = aside(move || {
        let folder = crate::sorting::real_folder(&question.folder)?;
        shared.nights.folders.admit(&folder)?;
        // from here on the folder is the one that was admitted, wherever a link may lead later
        let admitted = NightQuestion { folder, ..question.clone() };
        let prepared = PreparedNight::new(&locked(&shared.journal), &admitted, None)?;
        shared.nights.start(question, prepared, &shared.path);
        Ok::<_, Failure>(page(&shared))
    })
    .await?;
    Ok((StatusCode::ACCEPTED, Json(page)))
}

pub(super) async fn stop(State(shared): State<Shared>) -> Answer<NightPage> {
    if let Some(night) = shared.nights.current() {
        night.stop();
    }
    standing(State(shared)).await
}

fn the_night(shared: &Shared) -> Result<Arc<Night>, Refusal> {
    shared.nights.current().ok_or_else(|| {
        Refusal::absent(Failure::new("no folder is sorted here", "name the folder of the night's frames first"))
    })
}

/// One word of progress.
#[derive(Serialize)]
struct Progress {
    #[serde(flatten)]
    standing: Standing,
    /// Frames that can be shown since the last word.
    arrived: Vec<Arrived>,
}

/// How far the sort is, as it goes on; the last word is that it is done.
pub(super) async fn progress(
    State(shared): State<Shared>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Refusal> {
    let night = the_night(&shared)?;
    let mut changes = night.standing.subscribe();
    changes.mark_changed();
    let listening = Some((night, changes, shared.nights.closing(), 0));
    let events = unfold(listening, |listening| async move {
        let (night, mut changes, mut closing, told) = listening?;
        tokio::select! {
            changed = changes.changed() => changed.ok()?,
            _closed = closing.wait_for(|is_closing| *is_closing) => return None,
        }
        let standing = changes.borrow_and_update().clone();
        let is_last = standing.phase != Phase::Measuring;
        let arrived = night.arrived_since(told);
        let told = told + arrived.len();
        let event = Event::default().event("standing").json_data(Progress { standing, arrived }).ok()?;
        if is_last {
            return Some((Ok(event), None));
        }
        tokio::time::sleep(SAID_EVERY).await;
        Some((Ok(event), Some((night, changes, closing, told))))
    });
    Ok(Sse::new(events).keep_alive(KeepAlive::default()))
}

/// A night's report with what went wrong beside it.
#[derive(Serialize)]
pub(super) struct NightReport {
    folder: String,
    report: SortReport,
    faults: Vec<FaultLine>,
}

pub(super) async fn report(State(shared): State<Shared>) -> Answer<NightReport> {
    let night = the_night(&shared)?;
    let found = aside(move || {
        let sorted = locked(&night.sorted);
        Ok::<_, Failure>(sorted.as_ref().map(|sorted| NightReport {
            folder: night.folder.display().to_string(),
            report: sorted.report.clone(),
            faults: sorted.gathered.faults.iter().map(FaultLine::from).collect(),
        }))
    })
    .await?;
    found.map(Json).ok_or_else(|| {
        Refusal::conflict(Failure::new("the frames are still being measured", "wait until the sort is done"))
    })
}

/// What a person says about a frame.
#[derive(Deserialize)]
pub(super) struct Verdict {
    content_hash: String,
    /// `null` takes back what was said.
    verdict: Option<PersonVerdict>,
}

pub(super) async fn say(State(shared): State<Shared>, Ask(said): Ask<Verdict>) -> Answer<Said> {
    let night = the_night(&shared)?;
    if said.content_hash.len() != HASH_LETTERS {
        return Err(Failure::new(
            "nothing can be kept about a file that could not be read",
            "copy it from the card again, and sort again",
        )
        .into());
    }
    let found = aside(move || night.say(&shared.journal, &said.content_hash, said.verdict)).await?;
    found.map(Json).ok_or_else(|| Refusal::not_found("this frame"))
}

/// Letters of a SHA-256.
const HASH_LETTERS: usize = 64;

/// Whether ratings of a person's own are overwritten too.
#[derive(Deserialize)]
pub(super) struct RatingsAsked {
    #[serde(default)]
    overwrite: bool,
}

/// What became of the ratings.
#[derive(Serialize)]
pub(super) struct RatingsDone {
    words: String,
    written: usize,
    unchanged: usize,
    /// Frames whose own rating was left.
    left: Vec<String>,
    faults: Vec<FaultLine>,
}

pub(super) async fn rate(State(shared): State<Shared>, Ask(asked): Ask<RatingsAsked>) -> Answer<RatingsDone> {
    let night = the_night(&shared)?;
    aside(move || {
        let wishes = locked(&night.sorted)
            .as_ref()
            .map(crate::sorting::SortedNight::wishes)
            .ok_or_else(|| Failure::new("the frames are still being measured", "wait until the sort is done"))?;
        // a journal of its own: a disk may be slow
        let mut journal = Journal::open(&shared.path)?;
        let rated = write_ratings(&mut journal, &wishes, asked.overwrite);
        Ok::<_, Failure>(RatingsDone {
            words: present_sort::rated(&rated),
            written: rated.written,
            unchanged: rated.unchanged,
            faults: rated.faults.iter().map(FaultLine::from).collect(),
            left: rated.left,
        })
    })
    .await
    .map(Json)
}
