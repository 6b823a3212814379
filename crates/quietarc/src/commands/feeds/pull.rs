//! `quietarc feeds pull`

use feeds::client::Question;
use journal::Journal;
use quantity::GeoPosition;

use super::{chosen, replay};
use crate::cli::FeedsPullArgs;
use crate::commands::{now, open_journal};
use crate::failure::{Failure, Outcome};
use crate::feed_round::{Asked, AskedPlace, PullLine, finish, pull};
use crate::output;
use crate::stored_feeds::settings;

pub(super) fn run(arguments: &FeedsPullArgs) -> Result<Outcome, Failure> {
    let asked_at = now();
    let feeds = chosen(&arguments.feeds)?;
    let settings = settings(&arguments.settings)?;
    let mut journal = open_journal(&arguments.journal)?;
    let places = places(arguments, &journal)?;
    let stations = if arguments.stations.is_empty() { &settings.stations } else { &arguments.stations };
    let are_named = !arguments.feeds.is_empty();
    let say = |line: &PullLine| if arguments.json { Ok(()) } else { output::answer(&line.text()) };
    let report = if let Some(folder) = &arguments.from {
        let place = places.first().map(|place| place.position);
        let question = Question { place, stations: stations.clone(), grid: None };
        let lines = replay::load(folder, &feeds, are_named, &settings, &question, &journal)?;
        lines.iter().try_for_each(say)?;
        finish(lines, Some(folder.display().to_string()), &mut journal, asked_at)?
    } else {
        let asked = Asked { feeds: &feeds, are_named, places: &places, stations };
        pull(&asked, &settings, &mut journal, asked_at, say)?
    };
    if arguments.json {
        output::json(&report)?;
    }
    let of = report.asked();
    Ok(if report.failed == 0 { Outcome::Done } else { Outcome::SomeFailed { failed: report.failed, of } })
}

/// The places whose weather is wanted.
fn places(arguments: &FeedsPullArgs, journal: &Journal) -> Result<Vec<AskedPlace>, Failure> {
    match (&arguments.site, arguments.lat, arguments.lon) {
        (Some(name), ..) => Ok(vec![AskedPlace { position: journal.site_named(name)?.site.position, name: None }]),
        (None, Some(lat), Some(lon)) => Ok(vec![AskedPlace { position: GeoPosition::new(lat, lon, 0.0)?, name: None }]),
        (None, ..) if arguments.everywhere => Ok(journal
            .sites()?
            .into_iter()
            .map(|stored| AskedPlace { position: stored.site.position, name: Some(stored.site.name) })
            .collect()),
        (None, ..) => Ok(Vec::new()),
    }
}
