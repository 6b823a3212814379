//! Sites and kits kept, changed and removed over HTTP, with the checks of the commands.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse;
use job::{Kit, Site, Starters};
use serde::{Deserialize, Serialize};

use super::Shared;
use super::api::aside;
use super::refusal::{Ask, Refusal};
use crate::Failure;
use crate::keeping::{self, ImportReport, KeepError, Kept};

type Answer<T> = Result<Json<T>, Refusal>;

/// Which one, by name.
#[derive(Deserialize)]
pub(super) struct Named {
    name: String,
}

/// A site in the place of the one of that name.
#[derive(Deserialize)]
pub(super) struct ChangedSite {
    name: String,
    site: Site,
}

/// A kit in the place of the one of that name.
#[derive(Deserialize)]
pub(super) struct ChangedKit {
    name: String,
    kit: Kit,
}

/// A file of places as text.
#[derive(Deserialize)]
pub(super) struct PlacesFile {
    file_name: String,
    text: String,
    time_zone: String,
}

/// What was removed.
#[derive(Serialize)]
pub(super) struct Removed {
    removed: String,
}

/// Works on the journal away from the threads that answer.
async fn keep<T: Send + 'static>(
    shared: Shared,
    work: impl FnOnce(&mut journal::Journal) -> Result<T, KeepError> + Send + 'static,
) -> Result<T, Refusal> {
    let done = aside(move || {
        let mut journal = shared.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        Ok::<_, Failure>(work(&mut journal))
    })
    .await?;
    done.map_err(|error| match error {
        KeepError::Unfit(failure) => failure.into(),
        KeepError::Conflict(failure) => Refusal::conflict(failure),
        KeepError::NotThere(failure) => Refusal::absent(failure),
        KeepError::Journal(error) => Refusal::internal(error.into()),
    })
}

async fn add<T: Kept + Send + 'static>(shared: Shared, record: T) -> Result<(StatusCode, Json<T>), Refusal> {
    let kept = keep(shared, |journal| keeping::add(journal, record)).await?;
    Ok((StatusCode::CREATED, Json(kept)))
}

async fn change<T: Kept + Send + 'static>(shared: Shared, name: String, record: T) -> Answer<T> {
    keep(shared, move |journal| keeping::replace(journal, &name, record)).await.map(Json)
}

async fn remove<T: Kept + 'static>(shared: Shared, name: String) -> Answer<Removed> {
    keep(shared, move |journal| {
        keeping::remove::<T>(journal, &name)?;
        Ok(Removed { removed: name })
    })
    .await
    .map(Json)
}

pub(super) async fn add_site(
    State(shared): State<Shared>,
    Ask(site): Ask<Site>,
) -> Result<(StatusCode, Json<Site>), Refusal> {
    add(shared, site).await
}

pub(super) async fn change_site(State(shared): State<Shared>, Ask(asked): Ask<ChangedSite>) -> Answer<Site> {
    change(shared, asked.name, asked.site).await
}

pub(super) async fn remove_site(State(shared): State<Shared>, Ask(asked): Ask<Named>) -> Answer<Removed> {
    remove::<Site>(shared, asked.name).await
}

pub(super) async fn import_sites(State(shared): State<Shared>, Ask(file): Ask<PlacesFile>) -> Answer<ImportReport> {
    let PlacesFile { file_name, text, time_zone } = file;
    let found = aside(move || feeds::places::parse_places(text.as_bytes(), &file_name)).await?;
    keep(shared, move |journal| keeping::import(journal, &found, &time_zone)).await.map(Json)
}

/// All sites as a file to save, which an import reads back whole.
pub(super) async fn sites_file(State(shared): State<Shared>) -> Result<impl IntoResponse, Refusal> {
    let sites = keep(shared, |journal| journal.sites().map_err(KeepError::Journal)).await?;
    let sites: Vec<Site> = sites.into_iter().map(|stored| stored.site).collect();
    let headers =
        [(CONTENT_TYPE, "application/geo+json"), (CONTENT_DISPOSITION, "attachment; filename=\"sites.geojson\"")];
    Ok((headers, feeds::places::to_geojson(&sites)))
}

pub(super) async fn add_kit(
    State(shared): State<Shared>,
    Ask(kit): Ask<Kit>,
) -> Result<(StatusCode, Json<Kit>), Refusal> {
    add(shared, kit).await
}

pub(super) async fn change_kit(State(shared): State<Shared>, Ask(asked): Ask<ChangedKit>) -> Answer<Kit> {
    change(shared, asked.name, asked.kit).await
}

pub(super) async fn remove_kit(State(shared): State<Shared>, Ask(asked): Ask<Named>) -> Answer<Removed> {
    remove::<Kit>(shared, asked.name).await
}

pub(super) async fn starters() -> Json<Starters> {
    Json(job::starters())
}
