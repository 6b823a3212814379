//! `quietarc feeds`: the cache of what the agencies publish.

mod pull;
mod replay;
mod report;
mod sources;
mod status;

use std::path::PathBuf;

use feeds::client::{FetchError, Question, grid_address};
use feeds::{FeedId, Needs, Settings};
use journal::{Journal, JournalError};
use quantity::GeoPosition;

use super::read;
use crate::cli::{FeedSettingsArgs, FeedsAction, FeedsArgs, FeedsPullArgs};
use crate::failure::{Failure, Outcome};

pub(super) fn run(arguments: &FeedsArgs) -> Result<Outcome, Failure> {
    match &arguments.action {
        FeedsAction::Pull(arguments) => pull::run(arguments),
        FeedsAction::Status(arguments) => status::run(arguments),
        FeedsAction::Sources(arguments) => sources::run(arguments),
    }
}

/// The settings named, or those of this account; none is no fault unless it was named.
fn settings(arguments: &FeedSettingsArgs) -> Result<Settings, Failure> {
    let path = match &arguments.settings {
        Some(path) => path.clone(),
        None => match default_settings() {
            Some(path) if path.is_file() => path,
            _absent => return Ok(Settings::default()),
        },
    };
    let bytes = read(&path)?;
    let text = std::str::from_utf8(&bytes)
        .map_err(|_cause| Failure::new(format!("{} is not text", path.display()), "save the settings as UTF-8 text"))?;
    Settings::parse(text).map_err(|error| Failure::new(format!("{}: {error}", path.display()), error.hint()))
}

fn default_settings() -> Option<PathBuf> {
    let folder = std::env::var_os("XDG_CONFIG_HOME")
        .map(PathBuf::from)
        .or_else(|| std::env::var_os("HOME").map(|home| PathBuf::from(home).join(".config")));
    folder.map(|folder| folder.join("quietarc/settings.toml"))
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

/// The address of a feed; that of a forecast grid cell comes from the stored answer that names it.
fn address(
    feed: FeedId,
    settings: &Settings,
    question: &Question,
    journal: &Journal,
) -> Result<Result<String, FetchError>, JournalError> {
    if feed.source().needs != Needs::GridPoint || settings.is_overridden(feed) {
        return Ok(settings.address(feed, question));
    }
    let points_url = match settings.address(FeedId::NwsPoints, question) {
        Ok(url) => url,
        Err(error) => return Ok(Err(error)),
    };
    let grid = match journal.feed_body(FeedId::NwsPoints.as_str(), &points_url)? {
        Some(body) => match grid_address(&body, &points_url) {
            Ok(grid) => Some(grid),
            Err(error) => return Ok(Err(error)),
        },
        None => None,
    };
    Ok(settings.address(feed, &Question { grid, ..question.clone() }))
}

/// Feeds by name, each once, in the order of the table; all where none is named.
fn chosen(names: &[String]) -> Result<Vec<FeedId>, Failure> {
    let named: Vec<FeedId> = names.iter().map(|name| name.parse()).collect::<Result<_, feeds::UnknownFeed>>()?;
    let all = FeedId::ALL.iter().copied();
    Ok(all.filter(|feed| named.is_empty() || named.contains(feed)).collect())
}
