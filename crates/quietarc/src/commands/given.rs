//! The inputs of a verb: given by hand, read from files, and where neither, taken from the stored feeds.

use std::cell::OnceCell;
use std::path::Path;

use feeds::Settings;
use feeds::weather::{AviationReports, weather_at};
use jiff::SignedDuration;
use job::{Activity, Kit, PrecipitationOpinion, Site, UpstreamWind, Weather};
use journal::Journal;
use quantity::{Fraction, GeoPosition, Timestamp};

use super::{open_journal, open_journal_if_there, read, required};
use crate::cli::{InputArgs, JournalArgs, PlaceArgs};
use crate::stored_feeds::{StoredFeeds, settings};
use crate::{Failure, output};

/// What is given by hand holds this long to either side of the instant.
pub(super) const GIVEN_HOLDS: SignedDuration = SignedDuration::from_hours(1);
/// How far around the instant a table of Kp is read.
pub(super) const TABLE_READ: SignedDuration = SignedDuration::from_hours(24);
/// A span of time.
pub(super) type Span = (Timestamp, Timestamp);

/// The kit of that name in the journal, or the plain one.
pub(super) fn kit(name: Option<&str>, journal: &JournalArgs) -> Result<Kit, Failure> {
    Ok(kit_named(name, journal)?.unwrap_or_else(Kit::plain))
}

/// The kit of that name in the journal, where one is named.
pub(super) fn kit_named(name: Option<&str>, journal: &JournalArgs) -> Result<Option<Kit>, Failure> {
    name.map(|name| Ok(open_journal(journal)?.kit_named(name)?.kit)).transpose()
}

/// A place by the name of its site, by coordinates, or none.
pub(super) fn position(
    site: Option<&str>,
    place: &PlaceArgs,
    journal: &JournalArgs,
) -> Result<Option<GeoPosition>, Failure> {
    Ok(match (site, place.lat, place.lon) {
        (Some(name), _, _) => Some(open_journal(journal)?.site_named(name)?.site.position),
        (None, None, None) => None,
        (None, lat, lon) => Some(GeoPosition::new(required(lat, "--lat")?, required(lon, "--lon")?, place.elev)?),
    })
}

/// What drives the aurora, as found.
pub(super) struct FoundActivity {
    pub(super) activity: Activity,
    pub(super) others: Vec<Activity>,
    pub(super) upstream: Option<UpstreamWind>,
    /// Solar radio flux at 10.7 cm, solar flux units.
    pub(super) f107: f64,
    pub(super) notes: Vec<String>,
}

/// Where a command finds activity and weather.
pub(super) struct Inputs<'a> {
    arguments: &'a InputArgs,
    asked_at: Timestamp,
    stored: Option<(Journal, Settings)>,
    /// Files of weather, read once for all sites.
    weather_files: Vec<(String, Vec<u8>)>,
    /// Reports of airfields, read once for all sites.
    airfields: OnceCell<AviationReports>,
}

impl<'a> Inputs<'a> {
    /// Opens the stored feeds, unless they are not wanted or there is no journal yet: asking makes none.
    pub(super) fn new(arguments: &'a InputArgs, journal: &JournalArgs, asked_at: Timestamp) -> Result<Self, Failure> {
        let stored = match open_journal_if_there(journal)? {
            Some(journal) if !arguments.no_feeds => Some((journal, settings(&arguments.settings)?)),
            _none => None,
        };
        let files = arguments.weather_file.iter().map(|path| Ok((path.display().to_string(), read(path)?)));
        let weather_files = files.collect::<Result<Vec<_>, Failure>>()?;
        Ok(Self { arguments, asked_at, stored, weather_files, airfields: OnceCell::new() })
    }

    fn feeds(&self) -> Option<StoredFeeds<'_>> {
        self.stored.as_ref().map(|(journal, settings)| StoredFeeds::new(journal, settings, self.asked_at))
    }

    /// One Kp over a span, an agency's table over another, or what the stored feeds say over that.
    pub(super) fn activity(&self, given_over: Span, read_over: Span) -> Result<FoundActivity, Failure> {
        let given = self.arguments.f107;
        let alone = |activity| FoundActivity {
            activity,
            others: Vec::new(),
            upstream: None,
            f107: given.unwrap_or(job::MIDDLING_F107_SFU),
            notes: Vec::new(),
        };
        match (&self.arguments.kp_file, self.arguments.kp, self.feeds()) {
            (Some(path), _, _) => Ok(alone(kp_table(path, read_over)?)),
            (None, Some(kp), _) => Ok(alone(Activity::given(kp, given_over.0, given_over.1))),
            (None, None, Some(feeds)) => {
                let found = feeds.space_weather(read_over)?;
                let (others, upstream) = (found.others, found.upstream);
                let stored = found.radio_flux.map(|flux| flux.f107_sfu);
                let f107 = given.or(stored).unwrap_or(job::MIDDLING_F107_SFU);
                Ok(FoundActivity { activity: found.main, others, upstream, f107, notes: found.notes })
            }
            (None, None, None) => {
                Ok(alone(Activity { source: "nothing given".to_owned(), issued_at: None, intervals: Vec::new() }))
            }
        }
    }

    /// The activity about an instant: given by hand for an hour to either side, a table or the feeds for a day.
    pub(super) fn activity_about(&self, at: Timestamp) -> Result<FoundActivity, Failure> {
        self.activity(around(at, GIVEN_HOLDS)?, around(at, TABLE_READ)?)
    }

    /// What the stored precipitation grid says at a site, unless the activity is given by hand.
    pub(super) fn precipitation(&self, site: &Site) -> Result<Option<PrecipitationOpinion>, Failure> {
        let is_given = self.arguments.kp.is_some() || self.arguments.kp_file.is_some();
        self.feeds().filter(|_| !is_given).map_or(Ok(None), |feeds| feeds.precipitation(site.position))
    }

    /// One cover over the span, files of any kind read here, or what the stored feeds say; with what is to be said of
    /// it.
    pub(super) fn weather(&self, site: &Site, over: Span) -> Result<(Weather, Vec<String>), Failure> {
        if let Some(tenths) = self.arguments.cloud {
            return Ok((Weather::given_cloud(cloud(tenths)?, over.0, over.1), Vec::new()));
        }
        if !self.weather_files.is_empty() {
            let files = self.weather_files.iter().map(|(name, body)| (name.as_str(), body.as_slice()));
            let weather = weather_at(&files.collect::<Vec<_>>(), site.position, self.asked_at)?;
            return Ok((weather, Vec::new()));
        }
        let Some(feeds) = self.feeds() else { return Ok((Weather::unknown(), Vec::new())) };
        let airfields = if let Some(known) = self.airfields.get() {
            known
        } else {
            let read = feeds.airfields()?;
            self.airfields.get_or_init(|| read)
        };
        feeds.weather(airfields, site, over)
    }
}

/// An agency's table over a span.
pub(super) fn kp_table(path: &Path, over: Span) -> Result<Activity, Failure> {
    let series = feeds::parse_kp(&read(path)?, &path.display().to_string())?;
    if let Some(summary) = series.rejected_summary() {
        output::note(&summary);
    }
    Ok(series.to_activity(over.0, over.1))
}

/// A span about an instant.
pub(super) fn around(at: Timestamp, span: SignedDuration) -> Result<(Timestamp, Timestamp), Failure> {
    Ok((at.checked_sub(span).map_err(|_cause| far(at))?, at.checked_add(span).map_err(|_cause| far(at))?))
}

fn far(at: Timestamp) -> Failure {
    Failure::new(format!("--at {at} is at the end of the calendar"), "give an instant between 1975 and 2030")
}

/// `--cloud` as a share of the sky.
pub(super) fn cloud(tenths: f64) -> Result<Fraction, Failure> {
    Fraction::new(tenths / 10.0).map_err(|_cause| {
        Failure::new(format!("--cloud {tenths} is outside 0 to 10"), "give tenths of the sky, 0 clear to 10 overcast")
    })
}
