//! `quietarc feeds`: the cache of what the agencies publish.

mod pull;
mod replay;
mod report;
mod sources;
mod status;

use feeds::client::Question;
use feeds::{FeedId, Settings};
use journal::Journal;
use quantity::GeoPosition;

use crate::cli::{FeedsAction, FeedsArgs, FeedsPullArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &FeedsArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        FeedsAction::Pull(arguments) => pull::run(arguments),
        FeedsAction::Status(arguments) => status::run(arguments),
        FeedsAction::Sources(arguments) => sources::run(arguments),
    }
}

/// What may be told to the services.
fn question(arguments: &FeedsPullArgs, settings: &Settings, journal: &Journal) -> Result<Question, Failure> {
    let place = match (&arguments.site, arguments.lat, arguments.lon) {
        (Some(name), ..) => Some(journal.site_named(name)?.site.position),
        (None, Some(lat), Some(lon)) => Some(GeoPosition::new(lat, lon, 0.0)?),
        (None, ..) => None,
    };
    let stations = if arguments.stations.is_empty() { settings.stations.clone() } else { arguments.stations.clone() };
    Ok(Question { place, stations, grid: None })
}

/// Feeds by name, each once, in the order of the table; all where none is named.
fn chosen(names: &[String]) -> Result<Vec<FeedId>, Failure> {
    let named: Vec<FeedId> = names.iter().map(|name| name.parse()).collect::<Result<_, feeds::UnknownFeed>>()?;
    let all = FeedId::ALL.iter().copied();
    Ok(all.filter(|feed| named.is_empty() || named.contains(feed)).collect())
}
