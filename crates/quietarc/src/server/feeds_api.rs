//! The stored feeds: what they say of a night, how they stand, and a round for newer ones.

use axum::Json;
use axum::extract::State;
use feeds::FeedId;
use job::{Conditions, ConditionsRequest};
use journal::Journal;
use quantity::Timestamp;
use serde::Deserialize;

use super::Shared;
use super::api::{Answer, aside};
use super::refusal::Ask;
use crate::feed_round::{self, Asked, AskedPlace, PullReport};
use crate::feed_standing::FeedsReport;
use crate::stored_feeds::StoredFeeds;

pub(super) async fn conditions(
    State(shared): State<Shared>,
    Ask(request): Ask<ConditionsRequest>,
) -> Answer<Conditions> {
    aside(move || {
        let journal = shared.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        StoredFeeds::new(&journal, &shared.settings, request.asked_at).conditions(&request)
    })
    .await
    .map(Json)
}

pub(super) async fn standing(State(shared): State<Shared>) -> Answer<FeedsReport> {
    aside(move || {
        let journal = shared.journal.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        FeedsReport::read(&shared.settings, &journal, Timestamp::now())
    })
    .await
    .map(Json)
}

/// What a page may have asked for.
#[derive(Deserialize)]
pub(super) struct PullRequest {
    /// Sites of the journal whose weather is wanted, by name.
    #[serde(default)]
    sites: Vec<String>,
}

/// Asks the publishers. No service is asked again before its time, however often a page is told to.
pub(super) async fn pull(State(shared): State<Shared>, Ask(request): Ask<PullRequest>) -> Answer<PullReport> {
    aside(move || {
        // a journal of its own: the others need not wait while the network is slow
        let mut journal = Journal::open(&shared.path)?;
        let places = request.sites.iter().map(|name| {
            let site = journal.site_named(name)?.site;
            Ok(AskedPlace { position: site.position, name: Some(site.name) })
        });
        let places = places.collect::<Result<Vec<_>, crate::Failure>>()?;
        let stations = &shared.settings.stations;
        let asked = Asked { feeds: FeedId::ALL, are_named: false, places: &places, stations };
        feed_round::pull(&asked, &shared.settings, &mut journal, Timestamp::now(), |_line| Ok(()))
    })
    .await
    .map(Json)
}
