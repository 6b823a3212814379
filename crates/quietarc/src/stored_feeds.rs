//! From the bodies of feeds in the journal to the inputs of a request: the one way from the cache into the verbs.

use std::path::PathBuf;

use feeds::client::{FetchError, Question, grid_address};
use feeds::noaa::{Hemisphere, parse_precipitation_grid};
use feeds::solar_wind::{SolarWind, SolarWindSample, parse_field, parse_plasma, parse_propagated};
use feeds::weather::{AviationReports, parse_aviation_reports, weather_at};
use feeds::{FeedId, FeedState, Needs, Settings, SpaceWeather, space_weather};
use job::{
    Candidate, Conditions, ConditionsRequest, KpInterval, PrecipitationOpinion, ReadSpace, ReadWind, Site, Weather,
};
use journal::{Journal, JournalError};
use quantity::{Fraction, GeoPosition, Timestamp};

use crate::Failure;
use crate::cli::FeedSettingsArgs;

/// Forecasts of cloud for a place, the most telling first: with layers, then without.
const FORECASTS: [FeedId; 2] = [FeedId::MetnoLocationforecast, FeedId::NwsGridpoints];
/// What an airfield sees and what is forecast must differ by so much of the sky before it is said (judgement: two of
/// the eight parts in which airfields count are noise).
const COVER_DIFFERS: f64 = 0.4;

/// Samples of the solar wind shown at most: more than a page has room for.
const MOST_OF_WIND: usize = 400;

/// The settings named, or those of this account; none is no fault unless it was named.
pub(crate) fn settings(arguments: &FeedSettingsArgs) -> Result<Settings, Failure> {
    let path = match &arguments.settings {
        Some(path) => path.clone(),
        None => match default_settings() {
            Some(path) if path.is_file() => path,
            _absent => return Ok(Settings::default()),
        },
    };
    let bytes = crate::commands::read(&path)?;
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

/// The address of a feed; that of a forecast grid cell comes from the stored answer that names it.
pub(crate) fn address(
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

/// The stored feeds, asked at one moment.
pub(crate) struct StoredFeeds<'a> {
    journal: &'a Journal,
    settings: &'a Settings,
    asked_at: Timestamp,
}

impl<'a> StoredFeeds<'a> {
    pub(crate) fn new(journal: &'a Journal, settings: &'a Settings, asked_at: Timestamp) -> Self {
        Self { journal, settings, asked_at }
    }

    /// Activity and weather of a night, for the site and for those elsewhere.
    pub(crate) fn conditions(&self, request: &ConditionsRequest) -> Result<Conditions, Failure> {
        let night = job::night_times(request.night, request.site.position)?;
        let over = (night.from, night.to);
        let space = self.space_weather(over)?;
        let airfields = self.airfields()?;
        let mut notes = space.notes;
        let (weather, said) = self.weather(&airfields, &request.site, over)?;
        notes.extend(said);
        let mut elsewhere = Vec::new();
        for site in &request.elsewhere {
            let (weather, _said) = self.weather(&airfields, site, over)?;
            elsewhere.push(Candidate { site: site.clone(), weather });
        }
        notes.extend(without_weather(&elsewhere));
        let (activity, other_activity, upstream) = (space.main, space.others, space.upstream);
        let f107 = space.radio_flux.map(|flux| flux.f107_sfu);
        let precipitation = self.precipitation(request.site.position)?;
        Ok(Conditions { activity, other_activity, upstream, precipitation, f107, weather, elsewhere, notes })
    }

    /// What every stored feed of space weather says of a span of time.
    pub(crate) fn space_weather(&self, (from, to): (Timestamp, Timestamp)) -> Result<SpaceWeather, Failure> {
        let mut bodies = Vec::new();
        for feed in FeedId::ALL.iter().copied().filter(|feed| feed.source().needs == Needs::Nothing) {
            if let Some(body) = self.body(feed, &Question::default())? {
                bodies.push((feed, body));
            }
        }
        let borrowed: Vec<(FeedId, &[u8])> = bodies.iter().map(|(feed, body)| (*feed, body.as_slice())).collect();
        let mut found = space_weather(&borrowed, self.asked_at, from, to);
        if bodies.is_empty() {
            found.notes = vec!["No space weather is stored: quietarc feeds pull.".to_owned()];
        }
        Ok(found)
    }

    /// Kp and solar wind over the time of frames, with who says them.
    pub(crate) fn beside_frames(&self, over: (Timestamp, Timestamp)) -> Result<ReadSpace, Failure> {
        let activity = self.space_weather(over)?.main;
        let (wind, wind_source) = self.wind(over)?;
        let holds = |interval: &KpInterval| interval.from <= over.1 && over.0 < interval.to;
        let kp: Vec<KpInterval> = activity.intervals.into_iter().filter(holds).collect();
        let (kp_source, kp_issued_at) =
            if kp.is_empty() { (String::new(), None) } else { (activity.source, activity.issued_at) };
        let asked_at = Some(self.asked_at);
        Ok(ReadSpace { kp, kp_source, kp_issued_at, kp_taken: None, wind, wind_source, asked_at })
    }

    /// The solar wind that reached Earth in a span of time, and who measured it; empty where none is stored of it.
    ///
    /// The wind as published moved to Earth; before and after what is stored of that, the one measured upstream, moved at its own speed.
    fn wind(&self, (from, to): (Timestamp, Timestamp)) -> Result<(Vec<ReadWind>, String), Failure> {
        let any = Question::default();
        let moved = self.body(FeedId::NoaaPropagated, &any)?;
        let moved = moved.and_then(|body| parse_propagated(&body, FeedId::NoaaPropagated.as_str()).ok());
        let moved = moved.map_or_else(Vec::new, |moved| moved.samples);
        let bodies = self.body(FeedId::NoaaRtswMag, &any)?.zip(self.body(FeedId::NoaaRtswWind, &any)?);
        let upstream = bodies.and_then(|(field, plasma)| {
            let field = parse_field(&field, FeedId::NoaaRtswMag.as_str()).ok()?;
            let plasma = parse_plasma(&plasma, FeedId::NoaaRtswWind.as_str()).ok()?;
            Some(SolarWind::join(&field, &plasma).samples)
        });
        Ok(joined_wind(&moved, &upstream.unwrap_or_default(), (from, to)))
    }

    /// What the stored precipitation grid says on the meridian of a place; none where it is not stored, cannot be read, is
    /// too old or not of this time.
    pub(crate) fn precipitation(&self, place: GeoPosition) -> Result<Option<PrecipitationOpinion>, Failure> {
        let feed = FeedId::NoaaOvation;
        let Some(body) = self.body(feed, &Question::default())? else { return Ok(None) };
        let Ok(grid) = parse_precipitation_grid(&body, feed.as_str()) else { return Ok(None) };
        let state = feed.source().freshness.state(grid.observed_at, self.asked_at);
        let hemisphere = if place.latitude_deg() < 0.0 { Hemisphere::South } else { Hemisphere::North };
        let peak = grid.peak_on_meridian(place.longitude_deg(), hemisphere);
        Ok(peak.filter(|_| matches!(state, FeedState::Fresh | FeedState::Ageing)).map(|peak| PrecipitationOpinion {
            source: feed.source().credit.to_owned(),
            observed_at: grid.observed_at,
            valid_at: grid.valid_at,
            overhead: grid.at(place),
            peak: peak.value,
            peak_latitude_deg: peak.latitude_deg,
        }))
    }

    /// The weather of a site over a span of time, and what is to be said of it.
    pub(crate) fn weather(
        &self,
        airfields: &AviationReports,
        site: &Site,
        over: (Timestamp, Timestamp),
    ) -> Result<(Weather, Vec<String>), Failure> {
        let mut notes = Vec::new();
        let seen = airfields.weather_at(site.position, "the airfields").ok().filter(|weather| reaches(weather, over));
        for feed in FORECASTS {
            let question = Question { place: Some(site.position), ..Question::default() };
            let Some(body) = self.body(feed, &question)? else { continue };
            match weather_at(&[(feed.as_str(), &body)], site.position, self.asked_at) {
                Ok(forecast) if reaches(&forecast, over) => {
                    notes.extend(seen.as_ref().and_then(|seen| differs(&forecast, seen, self.asked_at)));
                    return Ok((forecast, notes));
                }
                Ok(_elapsed) => notes.push(format!(
                    "The {feed} stored for {} does not reach into this night: quietarc feeds pull {feed}.",
                    site.name
                )),
                Err(error) => notes.push(format!("{error}; {}.", error.hint())),
            }
        }
        if let Some(seen) = seen {
            return Ok((seen, notes));
        }
        if notes.is_empty() {
            notes.push(format!("No forecast of cloud is stored for {}: quietarc feeds pull.", site.name));
        }
        Ok((Weather::unknown(), notes))
    }

    /// Every stored report of an airfield; none where there are none or they cannot be read.
    pub(crate) fn airfields(&self) -> Result<AviationReports, Failure> {
        let mut all = AviationReports::default();
        for row in self.journal.feeds()? {
            let is_wanted = |feed: &FeedId| row.feed == feed.as_str() && self.settings.is_on(*feed);
            let Some(feed) = [FeedId::Metar, FeedId::Taf].into_iter().find(is_wanted) else { continue };
            let Some(body) = self.journal.feed_body(&row.feed, &row.url)? else { continue };
            if let Ok(reports) = parse_aviation_reports(&body, feed.as_str(), self.asked_at) {
                all.metars.extend(reports.metars);
                all.tafs.extend(reports.tafs);
                all.places.extend(reports.places);
            }
        }
        Ok(all)
    }

    /// The last good body of a feed that is not switched off, if one is stored for this question.
    fn body(&self, feed: FeedId, question: &Question) -> Result<Option<Vec<u8>>, JournalError> {
        if !self.settings.is_on(feed) {
            return Ok(None);
        }
        match address(feed, self.settings, question, self.journal)? {
            Ok(url) => self.journal.feed_body(feed.as_str(), &url),
            // nothing can be stored under an address that cannot be made
            Err(_unanswerable) => Ok(None),
        }
    }
}

/// The wind of a span: as its publisher moved it to Earth where that is stored, as measured upstream outside of it.
fn joined_wind(
    moved: &[SolarWindSample],
    upstream: &[SolarWindSample],
    (from, to): (Timestamp, Timestamp),
) -> (Vec<ReadWind>, String) {
    let times = || moved.iter().map(|one| one.arrives_at);
    let ends = times().min().zip(times().max());
    let is_beyond = |at: Timestamp| ends.is_none_or(|(begin, end)| at < begin || end < at);
    let is_within = |one: &&SolarWindSample| from <= one.arrives_at && one.arrives_at <= to;
    let by_publisher: Vec<_> = moved.iter().filter(is_within).collect();
    let by_speed: Vec<_> = upstream.iter().filter(is_within).filter(|one| is_beyond(one.arrives_at)).collect();
    let named = |feed: FeedId, how: &str| format!("{}, {how}", feed.source().credit);
    let mut sources = Vec::new();
    if !by_publisher.is_empty() {
        sources.push(named(FeedId::NoaaPropagated, "moved to Earth by its publisher"));
    }
    if !by_speed.is_empty() {
        sources.push(named(FeedId::NoaaRtswWind, "measured upstream and moved to Earth at its own speed"));
    }
    let mut all = [by_publisher, by_speed].concat();
    all.sort_by_key(|one| one.arrives_at);
    let every = all.len().div_ceil(MOST_OF_WIND).max(1);
    let wind = all.into_iter().step_by(every).map(|one| ReadWind {
        at: one.arrives_at,
        bz_nt: one.bz_nt,
        speed_km_s: one.speed_km_s,
        density_cm3: one.density_cm3,
    });
    (wind.collect(), sources.join("; "))
}

/// How many of the other sites have no weather, where any has none.
pub(crate) fn without_weather(elsewhere: &[Candidate]) -> Option<String> {
    let without = elsewhere.iter().filter(|candidate| candidate.weather.hours.is_empty()).count();
    (without > 0).then(|| {
        let all = elsewhere.len();
        format!("No cloud is known for {without} of the {all} other sites: quietarc feeds pull --everywhere.")
    })
}

fn reaches(weather: &Weather, (from, to): (Timestamp, Timestamp)) -> bool {
    weather.hours.iter().any(|hour| hour.from < to && from < hour.to)
}

/// What an airfield near by sees now, where the forecast says something else.
fn differs(forecast: &Weather, seen: &Weather, now: Timestamp) -> Option<String> {
    let cover = |weather: &Weather| weather.at(now).and_then(|hour| hour.cloud.overall());
    let (expected, found) = (cover(forecast)?, cover(seen)?);
    ((expected.value() - found.value()).abs() >= COVER_DIFFERS).then(|| {
        let tenths = |share: Fraction| share.in_ten();
        format!(
            "The forecast has {} tenths of cloud now, but the {} has {}.",
            tenths(expected),
            seen.source,
            tenths(found)
        )
    })
}

#[cfg(test)]
mod tests {
    use feeds::solar_wind::Arrival;

    use super::*;

    /// A sample that arrives some minutes after 20:00 of 14 March 2026, with that number as its southward field.
    fn arriving(minute: i8) -> SolarWindSample {
        let arrives_at = format!("2026-03-14T20:{minute:02}:00Z").parse().unwrap();
        SolarWindSample {
            at: arrives_at,
            arrives_at,
            arrival: Arrival::Published,
            field_spacecraft: None,
            plasma_spacecraft: None,
            bt_nt: 60.0,
            by_nt: 0.0,
            bz_nt: -f64::from(minute),
            speed_km_s: 500.0,
            density_cm3: None,
        }
    }

    fn of_minutes(moved: &[i8], upstream: &[i8]) -> (Vec<f64>, String) {
        let [moved, upstream] =
            [moved, upstream].map(|minutes| minutes.iter().map(|one| arriving(*one)).collect::<Vec<_>>());
        let over = ("2026-03-14T20:10:00Z".parse().unwrap(), "2026-03-14T20:40:00Z".parse().unwrap());
        let (wind, source) = joined_wind(&moved, &upstream, over);
        (wind.iter().map(|one| -one.bz_nt).collect(), source)
    }

    #[test]
    fn wind_measured_upstream_fills_in_beyond_what_was_published_moved_and_is_named() {
        // the published one covers 20 to 25: within it nothing else counts, and what lies outside of the span goes
        let (minutes, source) = of_minutes(&[20, 25], &[5, 15, 22, 30, 50]);
        assert_eq!(minutes, [15.0, 20.0, 25.0, 30.0]);
        assert!(source.contains("moved to Earth by its publisher; ") && source.contains("upstream"), "{source}");
        let (minutes, source) = of_minutes(&[50, 55], &[15, 30, 52]);
        assert_eq!(minutes, [15.0, 30.0], "published wind of another time hides nothing");
        assert!(!source.contains("by its publisher") && source.contains("measured upstream"), "{source}");
        let (minutes, source) = of_minutes(&[15, 30], &[]);
        assert_eq!(minutes, [15.0, 30.0]);
        assert!(source.contains("by its publisher") && !source.contains("upstream"), "{source}");
        assert_eq!(of_minutes(&[50], &[]), (Vec::new(), String::new()));
    }
}
