//! From a template to the address that is asked. What leaves the machine is decided here.

use quantity::GeoPosition;

use super::FetchError;
use crate::{Needs, Source};

/// Decimals of a position in an address: about 1 km, finer than any cloud model and no finer than needed.
const POSITION_DECIMALS: i32 = 2;
/// Most airfields asked about at once.
const MOST_STATIONS: usize = 20;

/// What a pull may tell a service about the person asking.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Question {
    /// The place, for weather.
    pub place: Option<GeoPosition>,
    /// Airfields, by their four letters.
    pub stations: Vec<String>,
    /// Address of the forecast grid cell; see [`grid_address`](super::grid_address).
    pub grid: Option<String>,
}

/// The address of a feed for a question.
///
/// Positions are cut to two decimals (about 1 km): services refuse more than four, and none needs more.
///
/// # Errors
///
/// [`FetchError::Missing`] where the question lacks what the feed needs; [`FetchError::NotCovered`] where the place
/// lies outside what the feed covers; [`FetchError::BadStation`]; [`FetchError::BadAddress`].
pub fn address(source: &Source, template: &str, question: &Question) -> Result<String, FetchError> {
    let filled = match source.needs {
        Needs::Place => with_place(source, template, question.place)?,
        Needs::GridPoint if template.contains("{grid}") => {
            // the place decides whether there can be a cell at all
            with_place(source, template, question.place)?;
            let grid = question.grid.as_deref().ok_or(FetchError::Missing { what: "the forecast grid cell" })?;
            template.replace("{grid}", grid)
        }
        Needs::Nothing | Needs::GridPoint => template.to_owned(),
        Needs::Stations => template.replace("{stations}", &station_list(&question.stations)?),
    };
    checked(&filled)?;
    Ok(filled)
}

fn with_place(source: &Source, template: &str, place: Option<GeoPosition>) -> Result<String, FetchError> {
    let place = place.ok_or(FetchError::Missing { what: "a place" })?;
    let (latitude_deg, longitude_deg) = (place.latitude_deg(), place.longitude_deg());
    if !source.coverage.may_include(latitude_deg, longitude_deg) {
        return Err(FetchError::NotCovered { feed: source.id });
    }
    Ok(template.replace("{lat}", &coarse(latitude_deg)).replace("{lon}", &coarse(longitude_deg)))
}

/// A coordinate without its fine decimals, and without zeros at its end, which one service answers with a redirect.
fn coarse(degrees: f64) -> String {
    let scale = 10_f64.powi(POSITION_DECIMALS);
    // the sum turns -0 into 0
    format!("{}", (degrees * scale).round() / scale + 0.0)
}

fn station_list(stations: &[String]) -> Result<String, FetchError> {
    if stations.is_empty() {
        return Err(FetchError::Missing { what: "an airfield" });
    }
    if stations.len() > MOST_STATIONS {
        return Err(FetchError::TooManyStations { given: stations.len(), limit: MOST_STATIONS });
    }
    let codes: Result<Vec<String>, FetchError> = stations.iter().map(|station| code(station)).collect();
    codes.map(|codes| codes.join(","))
}

/// An airfield's code; anything else could change the meaning of the address.
fn code(station: &str) -> Result<String, FetchError> {
    let station = station.trim();
    let is_code = station.len() == 4 && station.bytes().all(|byte| byte.is_ascii_alphanumeric());
    if is_code {
        Ok(station.to_ascii_uppercase())
    } else {
        Err(FetchError::BadStation { station: crate::row::quote(station) })
    }
}

/// Whether a text is an address this client asks.
pub(crate) fn check_address(url: &str) -> Result<(), FetchError> {
    checked(url).map(|_uri| ())
}

/// A web address in its parts; nothing else is asked, and no password travels in one.
pub(crate) fn checked(url: &str) -> Result<ureq::http::Uri, FetchError> {
    let bad = || FetchError::BadAddress { url: short(url) };
    let uri: ureq::http::Uri = url.parse().map_err(|_cause| bad())?;
    let is_web = matches!(uri.scheme_str(), Some("http" | "https"));
    let has_user = uri.authority().is_some_and(|authority| authority.as_str().contains('@'));
    let has_host = uri.host().is_some_and(|host| !host.is_empty());
    if is_web && has_host && !has_user { Ok(uri) } else { Err(bad()) }
}

/// An address, short enough for a message.
pub(crate) fn short(url: &str) -> String {
    const LONGEST: usize = 120;
    let mut text: String = url.chars().take(LONGEST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if url.chars().nth(LONGEST).is_some() {
        text.push('…');
    }
    text
}

/// The host of an address, for messages and to tell hosts apart; the address itself where it has none.
pub fn host(url: &str) -> String {
    url.parse::<ureq::http::Uri>().ok().and_then(|uri| uri.host().map(str::to_owned)).unwrap_or_else(|| short(url))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::FeedId;

    fn at(latitude_deg: f64, longitude_deg: f64) -> Question {
        let place = GeoPosition::new(latitude_deg, longitude_deg, 4.0).unwrap();
        Question { place: Some(place), ..Question::default() }
    }

    fn asked(feed: FeedId, question: &Question) -> Result<String, FetchError> {
        address(feed.source(), feed.source().url, question)
    }

    #[test]
    fn a_position_leaves_the_machine_with_two_decimals_at_most() {
        let url = asked(FeedId::MetnoLocationforecast, &at(69.649_205, 18.955_324)).unwrap();
        assert!(url.ends_with("lat=69.65&lon=18.96"), "{url}");
        let url = asked(FeedId::MetnoLocationforecast, &at(-45.0, 170.5001)).unwrap();
        assert!(url.ends_with("lat=-45&lon=170.5"), "{url}");
        let url = asked(FeedId::MetnoLocationforecast, &at(-0.001, 0.001)).unwrap();
        assert!(url.ends_with("lat=0&lon=0"), "{url}");
    }

    #[test]
    fn a_position_outside_its_country_is_not_sent() {
        assert!(matches!(asked(FeedId::NwsPoints, &at(69.65, 18.96)), Err(FetchError::NotCovered { .. })));
        assert_eq!(
            asked(FeedId::NwsPoints, &at(64.84, -147.72)).unwrap(),
            "https://api.weather.gov/points/64.84,-147.72"
        );
    }

    #[test]
    fn what_is_missing_is_named() {
        let nothing = Question::default();
        for feed in [FeedId::MetnoLocationforecast, FeedId::NwsGridpoints, FeedId::Metar] {
            assert!(matches!(asked(feed, &nothing), Err(FetchError::Missing { .. })), "{feed}");
        }
    }

    #[test]
    fn airfields_are_codes_and_cannot_add_to_the_address() {
        let stations = |codes: &[&str]| Question {
            stations: codes.iter().map(|code| (*code).to_owned()).collect(),
            ..Question::default()
        };
        let url = asked(FeedId::Metar, &stations(&["entc", " PAFA"])).unwrap();
        assert!(url.contains("ids=ENTC,PAFA&"), "{url}");
        for bad in ["EN", "EN&x", "ENTC1", "e n "] {
            assert!(matches!(asked(FeedId::Metar, &stations(&[bad])), Err(FetchError::BadStation { .. })), "{bad}");
        }
    }

    #[test]
    fn only_web_addresses_are_addresses() {
        assert!(checked("https://example.org/a?b=c").is_ok());
        for bad in ["", "file:///etc/passwd", "example.org/x", "https://", "http://a b/", "https://me:pw@example.org/"]
        {
            assert!(matches!(checked(bad), Err(FetchError::BadAddress { .. })), "{bad}");
        }
    }
}
