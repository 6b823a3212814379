//! Requests in, reports out: the same functions as the command line.

use std::sync::Arc;

use axum::Json;
use axum::extract::{Path, Query, State};
use job::{
    AlmanacReport, AlmanacRequest, ExposeReport, ExposeRequest, Kit, MagneticReport, MagneticRequest, OutlookReport,
    OutlookRequest, ReadReport, ScoresReport, Site, SkymapReport, SkymapRequest, StandReport, StandRequest,
};
use journal::{Journal, JournalError, OutingId, ReadingId, ReadingSummary};
use serde::{Deserialize, Serialize};

use super::Shared;
use super::refusal::{Ask, Refusal};
use crate::Failure;

pub(super) type Answer<T> = Result<Json<T>, Refusal>;

/// Runs work that takes more than a moment away from the threads that answer.
pub(super) async fn aside<T, E, W>(work: W) -> Result<T, Refusal>
where
    T: Send + 'static,
    E: Into<Failure> + Send + 'static,
    W: FnOnce() -> Result<T, E> + Send + 'static,
{
    let done = tokio::task::spawn_blocking(work).await.map_err(|error| {
        Refusal::internal(Failure::new(format!("the work was broken off: {error}"), "report this as a bug"))
    })?;
    Ok(done?)
}

/// Reads from the journal.
async fn from_journal<T: Send + 'static>(
    shared: Shared,
    read: impl FnOnce(&Journal) -> Result<T, JournalError> + Send + 'static,
) -> Result<T, Refusal> {
    aside(move || {
        let journal = shared.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        read(&journal)
    })
    .await
}

pub(super) async fn outlook(
    State(shared): State<Shared>,
    Ask(request): Ask<OutlookRequest>,
) -> Answer<Arc<OutlookReport>> {
    aside(move || with_record(&shared, request)).await.map(Json)
}

/// The outlook with the record of earlier ones as the journal has it now.
pub(super) fn with_record(shared: &Shared, request: OutlookRequest) -> Result<Arc<OutlookReport>, Failure> {
    let report = shared.recent.answer(request)?;
    let journal = shared.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let scores = crate::commands::scores::of_journal(&journal, Some(report.request.night))?;
    drop(journal);
    Ok(Arc::new(report.as_ref().clone().with_past_scores(scores)))
}

pub(super) async fn scores(State(shared): State<Shared>) -> Answer<ScoresReport> {
    aside(move || {
        let journal = shared.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        crate::commands::scores::of_journal(&journal, None)
    })
    .await
    .map(Json)
}

pub(super) async fn expose(Ask(request): Ask<ExposeRequest>) -> Answer<ExposeReport> {
    aside(move || job::expose(request)).await.map(Json)
}

pub(super) async fn stand(Ask(request): Ask<StandRequest>) -> Answer<StandReport> {
    aside(move || job::stand(request)).await.map(Json)
}

pub(super) async fn skymap(Ask(request): Ask<SkymapRequest>) -> Answer<SkymapReport> {
    aside(move || job::skymap(request)).await.map(Json)
}

pub(super) async fn almanac(Ask(request): Ask<AlmanacRequest>) -> Answer<AlmanacReport> {
    aside(move || job::almanac(request)).await.map(Json)
}

pub(super) async fn magnetic(Ask(request): Ask<MagneticRequest>) -> Answer<MagneticReport> {
    aside(move || job::magnetic(request)).await.map(Json)
}

/// One row of the list of outings.
#[derive(Serialize)]
pub(super) struct OutingRow {
    id: OutingId,
    title: String,
    site_name: String,
    night: jiff::civil::Date,
    invented: bool,
    has_prediction: bool,
}

pub(super) async fn outings(State(shared): State<Shared>) -> Answer<Vec<OutingRow>> {
    let outings = from_journal(shared, Journal::outings).await?;
    let rows = outings.into_iter().map(|outing| OutingRow {
        id: outing.id,
        title: outing.title,
        site_name: outing.site_name,
        night: outing.night,
        invented: outing.invented,
        has_prediction: outing.latest.is_some(),
    });
    Ok(Json(rows.collect()))
}

/// One outing with what was asked and answered for it.
#[derive(Serialize)]
pub(super) struct OutingPage {
    id: OutingId,
    title: String,
    invented: bool,
    request: Option<OutlookRequest>,
    report: Option<OutlookReport>,
}

pub(super) async fn outing(State(shared): State<Shared>, Path(id): Path<String>) -> Answer<OutingPage> {
    let id = id.parse().map(OutingId::new).map_err(|_cause| Refusal::not_found(&format!("outing {id:?}")))?;
    let found = from_journal(shared, move |journal| match journal.outing(id) {
        Ok(outing) => Ok(Some((outing, journal.latest_prediction(id)?))),
        Err(JournalError::NotFound { .. }) => Ok(None),
        Err(other) => Err(other),
    })
    .await?;
    let (outing, report) = found.ok_or_else(|| Refusal::not_found(&format!("outing {id}")))?;
    Ok(Json(OutingPage {
        id,
        title: outing.title,
        invented: outing.invented,
        request: report.as_ref().map(|report| report.request.clone()),
        report,
    }))
}

/// Which readings are asked for.
#[derive(Deserialize)]
pub(super) struct ReadingsOf {
    /// Those of one outing; all without it.
    outing: Option<i64>,
}

pub(super) async fn readings(
    State(shared): State<Shared>,
    Query(of): Query<ReadingsOf>,
) -> Answer<Vec<ReadingSummary>> {
    from_journal(shared, move |journal| journal.readings(of.outing.map(OutingId::new))).await.map(Json)
}

pub(super) async fn reading(State(shared): State<Shared>, Path(id): Path<String>) -> Answer<ReadReport> {
    let id = id.parse().map(ReadingId::new).map_err(|_cause| Refusal::not_found(&format!("reading {id:?}")))?;
    let found = from_journal(shared, move |journal| match journal.reading(id) {
        Ok(report) => Ok(Some(report)),
        Err(JournalError::NotFound { .. }) => Ok(None),
        Err(other) => Err(other),
    })
    .await?;
    found.map(Json).ok_or_else(|| Refusal::not_found(&format!("reading {id}")))
}

pub(super) async fn sites(State(shared): State<Shared>) -> Answer<Vec<Site>> {
    let sites = from_journal(shared, Journal::sites).await?;
    Ok(Json(sites.into_iter().map(|stored| stored.site).collect()))
}

pub(super) async fn kits(State(shared): State<Shared>) -> Answer<Vec<Kit>> {
    let kits = from_journal(shared, Journal::kits).await?;
    Ok(Json(kits.into_iter().map(|stored| stored.kit).collect()))
}

/// What runs here.
#[derive(Serialize)]
pub(super) struct Status {
    version: &'static str,
}

pub(super) async fn status() -> Json<Status> {
    Json(Status { version: env!("CARGO_PKG_VERSION") })
}
