//! A sequence read over HTTP: the rules are those of the command. To start, stop and keep takes somebody who sits at this machine.

use std::convert::Infallible;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Json;
use axum::extract::{ConnectInfo, Path, State};
use axum::http::StatusCode;
use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use futures_util::Stream;
use futures_util::stream::unfold;
use job::{ReadBeside, ReadReport, ReadSpace, read_beside};
use journal::{JournalError, OutingId, ReadingId};
use quantity::Timestamp;
use serde::{Deserialize, Serialize};

use super::Shared;
use super::api::{Answer, aside};
use super::night::locked;
use super::reads::{PreparedRead, Read, ReadPhase, ReadQuestion, ReadStanding};
use super::refusal::{Ask, Refusal};
use crate::Failure;
use crate::stored_feeds::StoredFeeds;

/// Least time between two words of progress: faster than anybody reads, slower than frames come.
const SAID_EVERY: Duration = Duration::from_millis(250);
/// The name of the reading that is not, or not only, in the journal.
const CURRENT: &str = "current";

/// What is read here, and how far it is.
#[derive(Serialize)]
pub(super) struct ReadPage {
    question: Option<ReadQuestion>,
    standing: Option<ReadStanding>,
    /// Folders to pick from, where the server was started with some.
    offered: Vec<String>,
    /// Whether any folder of this machine may be named.
    any_folder: bool,
    /// Whether whoever asks may start and keep.
    may_start: bool,
}

fn page(shared: &Shared, from: SocketAddr) -> ReadPage {
    let read = shared.reads.current();
    ReadPage {
        question: read.as_ref().map(|read| read.question.clone()),
        standing: read.as_ref().map(|read| read.standing.borrow().clone()),
        offered: shared.nights.folders.offered(),
        any_folder: shared.nights.folders == super::FrameFolders::Any,
        may_start: from.ip().is_loopback(),
    }
}

fn for_the_owner(from: SocketAddr) -> Result<(), Refusal> {
    if from.ip().is_loopback() {
        return Ok(());
    }
    Err(Refusal::forbidden(Failure::new(
        "a reading is started only on the machine where quietarc runs",
        "start it there; it can be looked at here",
    )))
}

pub(super) async fn standing(
    State(shared): State<Shared>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
) -> Answer<ReadPage> {
    aside(move || Ok::<_, Failure>(page(&shared, from))).await.map(Json)
}

pub(super) async fn start(
    State(shared): State<Shared>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Ask(question): Ask<ReadQuestion>,
) -> Result<(StatusCode, Json<ReadPage>), Refusal> {
    for_the_owner(from)?;
    let page = aside(move || {
        let prepared = PreparedRead::new(&locked(&shared.journal), &shared.nights.folders, &question)?;
        shared.reads.start(question, prepared, &shared.path, &shared.settings);
        Ok::<_, Failure>(page(&shared, from))
    })
    .await?;
    Ok((StatusCode::ACCEPTED, Json(page)))
}

pub(super) async fn stop(State(shared): State<Shared>, ConnectInfo(from): ConnectInfo<SocketAddr>) -> Answer<ReadPage> {
    for_the_owner(from)?;
    shared.reads.stop();
    standing(State(shared), ConnectInfo(from)).await
}

fn the_read(shared: &Shared) -> Result<Arc<Read>, Refusal> {
    shared.reads.current().ok_or_else(|| {
        Refusal::absent(Failure::new("no folder is read here", "name the folder of the night's frames first"))
    })
}

/// How far the reading is, as it goes on; the last word is that it is done.
pub(super) async fn progress(
    State(shared): State<Shared>,
) -> Result<Sse<impl Stream<Item = Result<Event, Infallible>>>, Refusal> {
    let mut changes = the_read(&shared)?.standing.subscribe();
    changes.mark_changed();
    let events = unfold(Some((changes, shared.nights.closing())), |listening| async move {
        let (mut changes, mut closing) = listening?;
        tokio::select! {
            changed = changes.changed() => changed.ok()?,
            _closed = closing.wait_for(|is_closing| *is_closing) => return None,
        }
        let standing = changes.borrow_and_update().clone();
        let is_last = standing.phase != ReadPhase::Reading;
        let event = Event::default().event("standing").json_data(standing).ok()?;
        if is_last {
            return Some((Ok(event), None));
        }
        tokio::time::sleep(SAID_EVERY).await;
        Some((Ok(event), Some((changes, closing))))
    });
    Ok(Sse::new(events).keep_alive(KeepAlive::default()))
}

/// Which reading: the current one, or one of the journal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    Current,
    Kept(ReadingId),
}

impl Which {
    pub(super) fn named(name: &str) -> Result<Self, Refusal> {
        if name == CURRENT {
            return Ok(Self::Current);
        }
        let id = name.parse().map_err(|_cause| Refusal::not_found(&format!("reading {name:?}")))?;
        Ok(Self::Kept(ReadingId::new(id)))
    }
}

/// The report of a reading.
pub(super) async fn report_of(shared: &Shared, which: Which) -> Result<Arc<ReadReport>, Refusal> {
    match which {
        Which::Current => the_read(shared)?.report().ok_or_else(|| {
            Refusal::conflict(Failure::new("the frames are still being read", "wait until the reading is done"))
        }),
        Which::Kept(id) => {
            let shared = shared.clone();
            let found = aside(move || match locked(&shared.journal).reading(id) {
                Ok(report) => Ok(Some(report)),
                Err(JournalError::NotFound { .. }) => Ok(None),
                Err(other) => Err(other),
            })
            .await?;
            found.map(Arc::new).ok_or_else(|| Refusal::not_found(&format!("reading {id}")))
        }
    }
}

/// A reading with what stands beside it.
#[derive(Serialize)]
pub(super) struct ReadWhole {
    report: Arc<ReadReport>,
    beside: ReadBeside,
    space: ReadSpace,
}

pub(super) async fn whole(State(shared): State<Shared>, Path(name): Path<String>) -> Answer<ReadWhole> {
    let report = report_of(&shared, Which::named(&name)?).await?;
    aside(move || {
        let space = space(&shared, &report)?;
        Ok::<_, Failure>(ReadWhole { beside: read_beside(&report), space, report })
    })
    .await
    .map(Json)
}

/// What was stored of the time of a reading when it was made; what is stored now where there was nothing then.
fn space(shared: &Shared, report: &ReadReport) -> Result<ReadSpace, Failure> {
    if let Some(kept) = report.space.as_ref().filter(|kept| !kept.is_empty()) {
        return Ok(kept.clone());
    }
    let Some((first, last)) = report.frames.first.zip(report.frames.last) else { return Ok(ReadSpace::default()) };
    let journal = locked(&shared.journal);
    StoredFeeds::new(&journal, &shared.settings, Timestamp::now()).beside_frames((first, last.max(first)))
}

/// With which outing.
#[derive(Deserialize)]
pub(super) struct KeepAsked {
    outing: i64,
}

/// Keeps the current reading with an outing.
pub(super) async fn keep(
    State(shared): State<Shared>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    Ask(asked): Ask<KeepAsked>,
) -> Answer<ReadPage> {
    for_the_owner(from)?;
    let read = the_read(&shared)?;
    let report = report_of(&shared, Which::Current).await?;
    aside(move || {
        let outing = OutingId::new(asked.outing);
        let id = locked(&shared.journal).record_reading(outing, Timestamp::now(), &report)?;
        read.keep(id);
        Ok::<_, Failure>(page(&shared, from))
    })
    .await
    .map(Json)
}
