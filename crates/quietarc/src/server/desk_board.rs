//! The board of the desk over HTTP: the rules are those of the command.

use std::convert::Infallible;
use std::time::Duration;

use axum::Json;
use axum::extract::{Path, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ETAG, IF_NONE_MATCH, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, StatusCode};
use axum::response::sse::{Event, KeepAlive};
use axum::response::{IntoResponse, Response, Sse};
use futures_util::Stream;
use futures_util::stream::unfold;
use journal::{Journal, JournalError, Listed, Point, SubmissionId, SubmissionRow, SubmissionState};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::Shared;
use super::api::{Answer, aside};
use super::night::locked;
use super::refusal::{AskQuery, Refusal};
use crate::Failure;
use crate::desk::{BoardAsked, Stock, StockedCopy, Whole, whole};
use crate::sorting::content_hash;

/// Least time between two words of arrivals.
const SAID_EVERY: Duration = Duration::from_millis(300);

/// A failure of the journal as an answer.
pub(super) fn refused(error: JournalError) -> Refusal {
    match error {
        JournalError::NotFound { .. } => Refusal::absent(error.into()),
        JournalError::Changed { .. } | JournalError::RundownChanged => Refusal::conflict(error.into()),
        JournalError::NotPermitted { .. } => Refusal::forbidden(error.into()),
        _ => Refusal::internal(error.into()),
    }
}

/// Works on the journal away from the threads that answer, and tells who listens where something changed.
pub(super) async fn with_journal<T: Send + 'static>(
    shared: &Shared,
    work: impl FnOnce(&mut Journal) -> Result<T, JournalError> + Send + 'static,
) -> Result<T, Refusal> {
    let journal = std::sync::Arc::clone(&shared.journal);
    let done = aside(move || Ok::<_, Failure>(work(&mut locked(&journal)))).await?;
    done.map_err(refused)
}

/// What stands on the board beside the list.
#[derive(Serialize)]
pub(super) struct Board {
    counts: Vec<(SubmissionState, u32)>,
    rundown: Vec<SubmissionRow>,
    forms: Vec<(String, u32)>,
}

pub(super) async fn board(State(shared): State<Shared>) -> Answer<Board> {
    with_journal(&shared, |journal| {
        Ok(Board {
            counts: journal.submission_counts()?,
            rundown: journal.rundown_rows()?,
            forms: journal.submission_forms()?,
        })
    })
    .await
    .map(Json)
}

pub(super) async fn list(State(shared): State<Shared>, AskQuery(asked): AskQuery<BoardAsked>) -> Answer<Listed> {
    answered(&shared, move |journal| Ok(journal.submissions(&asked.question(journal)?)?)).await
}

pub(super) async fn points(State(shared): State<Shared>, AskQuery(asked): AskQuery<BoardAsked>) -> Answer<Vec<Point>> {
    answered(&shared, move |journal| Ok(journal.submission_points(&asked.question(journal)?)?)).await
}

/// A question to the journal whose faults have words of their own.
async fn answered<T: Send + 'static>(
    shared: &Shared,
    work: impl FnOnce(&Journal) -> Result<T, Failure> + Send + 'static,
) -> Answer<T> {
    let journal = std::sync::Arc::clone(&shared.journal);
    aside(move || work(&locked(&journal))).await.map(Json)
}

/// Whether the place is wanted as it was given.
#[derive(Deserialize)]
pub(super) struct Exactly {
    #[serde(default)]
    exact: bool,
}

pub(super) async fn one(
    State(shared): State<Shared>,
    Path(id): Path<i64>,
    AskQuery(asked): AskQuery<Exactly>,
) -> Answer<Whole> {
    with_journal(&shared, move |journal| whole(journal, SubmissionId::new(id), asked.exact)).await.map(Json)
}

/// Somebody else was first: what stands there now goes along, so that neither text is lost.
pub(super) fn conflict(failure: &Failure, current: &Whole) -> Response {
    let body = json!({ "error": failure.message, "hint": failure.hint, "field": null, "current": current });
    (StatusCode::CONFLICT, Json(body)).into_response()
}

pub(super) async fn small(state: State<Shared>, id: Path<i64>, headers: HeaderMap) -> Result<Response, Refusal> {
    picture(state, id, &headers, StockedCopy::Small).await
}

pub(super) async fn view(state: State<Shared>, id: Path<i64>, headers: HeaderMap) -> Result<Response, Refusal> {
    picture(state, id, &headers, StockedCopy::View).await
}

/// Only copies made by a worker are shown, never what was sent. A browser asks each time whether its copy still stands: one
/// that was erased is shown by none.
async fn picture(
    State(shared): State<Shared>,
    Path(id): Path<i64>,
    asked: &HeaderMap,
    which: StockedCopy,
) -> Result<Response, Refusal> {
    let submission = with_journal(&shared, move |journal| journal.submission(SubmissionId::new(id))).await?;
    let path = Stock::beside(&shared.path).copy(&submission.content_hash, which);
    let bytes = aside(move || Ok::<_, Failure>(std::fs::read(path).ok())).await?;
    let bytes = bytes.ok_or_else(|| Refusal::not_found("this picture"))?;
    let tag = format!("\"{}\"", content_hash(&bytes));
    let kept = [(ETAG, tag.as_str()), (CACHE_CONTROL, "private, no-cache")];
    if asked.get(IF_NONE_MATCH).is_some_and(|theirs| theirs.as_bytes() == tag.as_bytes()) {
        return Ok((StatusCode::NOT_MODIFIED, kept).into_response());
    }
    let headers = [
        (CONTENT_TYPE, "image/jpeg"),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (CONTENT_SECURITY_POLICY, "default-src 'none'; sandbox"),
    ];
    Ok((kept, headers, bytes).into_response())
}

/// A word for each change of what is here, at most some a second.
pub(super) async fn arrivals(State(shared): State<Shared>) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let listening = (shared.desk.listen(), shared.nights.closing(), true);
    let events = unfold(listening, |(mut changes, mut closing, is_first)| async move {
        if !is_first {
            tokio::select! {
                changed = changes.changed() => changed.ok()?,
                _closed = closing.wait_for(|is_closing| *is_closing) => return None,
            }
            tokio::time::sleep(SAID_EVERY).await;
        }
        let count = *changes.borrow_and_update();
        let event = Event::default().event("changed").data(count.to_string());
        Some((Ok(event), (changes, closing, false)))
    });
    Sse::new(events).keep_alive(KeepAlive::default())
}
