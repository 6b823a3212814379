//! The feeds the program knows: where they are, whose they are, and how they may be asked. Every default address
//! stands in this file and nowhere else.
//!
//! Addresses, licences and intervals are those of the publishers' own pages as of autumn 2026. A user's settings may
//! give another address or switch a feed off (see [`Settings`](crate::Settings)).

use std::fmt;
use std::str::FromStr;

use serde::{Serialize, Serializer};

use crate::FeedState;
use crate::agencies::{GFZ_KP_ATTRIBUTION, GFZ_LICENCE, NOAA_KP_ATTRIBUTION, NOAA_LICENCE};
use quantity::Timestamp;

/// Declares the feeds: each one's name in Rust and the name people and files know it by.
macro_rules! feed_ids {
    ($($(#[$doc:meta])* $name:ident = $id:literal,)*) => {
        /// One feed.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum FeedId { $($(#[$doc])* $name,)* }

        impl FeedId {
            /// Every feed, in the order in which they are asked.
            pub const ALL: &[FeedId] = &[$(FeedId::$name,)*];

            /// The name in commands, settings, files and the journal.
            pub fn as_str(self) -> &'static str {
                match self { $(FeedId::$name => $id,)* }
            }
        }
    };
}

feed_ids! {
    /// Magnetic field of the solar wind at L1, minute by minute.
    NoaaRtswMag = "noaa_rtsw_mag",
    /// Speed and density of the solar wind at L1, minute by minute.
    NoaaRtswWind = "noaa_rtsw_wind",
    /// The solar wind moved to Earth.
    NoaaPropagated = "noaa_propagated",
    /// Estimated planetary K of the last week, 3 hours.
    NoaaKp3h = "noaa_kp_3h",
    /// Planetary K forecast.
    NoaaKpForecast = "noaa_kp_forecast",
    /// Estimated planetary K, 1 minute.
    NoaaKp1m = "noaa_kp_1m",
    /// Grid of the short-term precipitation model.
    NoaaOvation = "noaa_ovation",
    /// Hemispheric power.
    NoaaHemiPower = "noaa_hemi_power",
    /// The 3-day forecast in words and numbers.
    Noaa3Day = "noaa_3day",
    /// The 27-day outlook.
    Noaa27Day = "noaa_27day",
    /// Kp of the authority, preliminary.
    GfzKp = "gfz_kp",
    /// Cloud and weather for a place.
    MetnoLocationforecast = "metno_locationforecast",
    /// Which forecast grid cell a place in the United States belongs to.
    NwsPoints = "nws_points",
    /// Cloud and weather of that cell.
    NwsGridpoints = "nws_gridpoints",
    /// Weather reports of airfields.
    Metar = "metar",
    /// Weather forecasts of airfields.
    Taf = "taf",
}

impl FeedId {
    /// What is known of the feed.
    pub fn source(self) -> &'static Source {
        // the table has the order of the enum; a test holds them together
        &SOURCES[self as usize]
    }
}

impl fmt::Display for FeedId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

/// A name that is no feed's.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("there is no feed {0:?}")]
pub struct UnknownFeed(pub String);

impl UnknownFeed {
    /// What to do about it.
    pub fn hint(&self) -> String {
        let names: Vec<&str> = FeedId::ALL.iter().map(|id| id.as_str()).collect();
        format!("give one of {}", names.join(", "))
    }
}

impl FromStr for FeedId {
    type Err = UnknownFeed;
    fn from_str(name: &str) -> Result<Self, UnknownFeed> {
        let known = Self::ALL.iter().find(|id| id.as_str() == name);
        known.copied().ok_or_else(|| UnknownFeed(crate::row::quote(name)))
    }
}

impl Serialize for FeedId {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.as_str())
    }
}

/// What an address must be told before it is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Needs {
    /// The address is complete.
    Nothing,
    /// `{lat}` and `{lon}`.
    Place,
    /// `{grid}`: the address the answer of [`FeedId::NwsPoints`] gives.
    GridPoint,
    /// `{stations}`: airfields, by their four letters.
    Stations,
}

/// Where a feed has anything to say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Coverage {
    /// Everywhere.
    World,
    /// The United States and their waters.
    UnitedStates,
}

impl Coverage {
    /// Whether it may pay to ask for a place. For the United States a generous box: it keeps a European position from
    /// being sent for nothing, and leaves the border to the service.
    pub fn may_include(self, latitude_deg: f64, longitude_deg: f64) -> bool {
        match self {
            Self::World => true,
            Self::UnitedStates => {
                let americas = (17.0..=72.0).contains(&latitude_deg) && (-180.0..=-64.0).contains(&longitude_deg);
                let western_aleutians = (50.0..=56.0).contains(&latitude_deg) && longitude_deg >= 170.0;
                let western_pacific = (-16.0..=21.0).contains(&latitude_deg)
                    && (longitude_deg >= 140.0 || (-173.0..=-168.0).contains(&longitude_deg));
                americas || western_aleutians || western_pacific
            }
        }
    }
}

/// The form of a good body, as far as a look without a parser can tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// JSON.
    Json,
    /// Plain text.
    Text,
}

/// What a server error is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Retry {
    /// Wait for the next pull.
    Later,
    /// Ask once more after ten seconds: this service's errors mostly pass.
    OnceSoon,
}

/// From which age of its newest valid sample a feed is no longer fresh, seconds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Freshness {
    /// Fresh up to here, then ageing.
    pub ageing_after_s: u32,
    /// Ageing up to here, then stale: no longer a reason to go.
    pub stale_after_s: u32,
    /// A sample further than this in the future shows that a clock is wrong, or that a time was misread.
    pub ahead_after_s: u32,
}

impl Freshness {
    /// The state by the newest valid sample's own time.
    pub fn state(self, newest_sample_at: Timestamp, now: Timestamp) -> FeedState {
        let age_s = now.duration_since(newest_sample_at).as_secs();
        if age_s < -i64::from(self.ahead_after_s) {
            FeedState::AheadOfClock
        } else if age_s <= i64::from(self.ageing_after_s) {
            FeedState::Fresh
        } else if age_s <= i64::from(self.stale_after_s) {
            FeedState::Ageing
        } else {
            FeedState::Stale
        }
    }
}

/// Everything about one feed but its contents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Which.
    pub id: FeedId,
    /// What it holds.
    pub title: &'static str,
    /// Who publishes it.
    pub agency: &'static str,
    /// The default address, with the places to fill in braces.
    pub url: &'static str,
    /// What the address must be told.
    pub needs: Needs,
    /// Where it has anything to say.
    pub coverage: Coverage,
    /// Licence of the data.
    pub licence: &'static str,
    /// The line to print beside anything made from it.
    pub credit: &'static str,
    /// Whether the service refuses programs that give nobody to write to.
    pub wants_contact: bool,
    /// Never asked more often, seconds.
    pub minimum_interval_s: u32,
    /// When its samples are old.
    pub freshness: Freshness,
    /// Largest body taken, bytes, after unpacking.
    pub largest_bytes: usize,
    /// Longest wait for a connection, seconds.
    pub connect_timeout_s: u32,
    /// Longest time for the whole answer, seconds.
    pub whole_timeout_s: u32,
    /// The form of a good body.
    pub shape: Shape,
    /// What to do on a server error.
    pub retry: Retry,
}

const NOAA: &str = "NOAA Space Weather Prediction Center";
const NOAA_CREDIT: &str = "NOAA Space Weather Prediction Center, public domain (US government work)";
const NWS_CREDIT: &str = "US National Weather Service, public domain (US government work)";
const AWC_CREDIT: &str = "NOAA/NWS Aviation Weather Center, public domain (US government work)";

const MINUTE: u32 = 60;
const HOUR: u32 = 60 * MINUTE;
const DAY: u32 = 24 * HOUR;
const MB: usize = 1 << 20;

/// What most feeds have in common: those of the space weather centre.
const NOAA_JSON: Source = Source {
    id: FeedId::NoaaRtswMag,
    title: "",
    agency: NOAA,
    url: "",
    needs: Needs::Nothing,
    coverage: Coverage::World,
    licence: NOAA_LICENCE,
    credit: NOAA_CREDIT,
    wants_contact: false,
    minimum_interval_s: MINUTE,
    freshness: Freshness { ageing_after_s: 10 * MINUTE, stale_after_s: 30 * MINUTE, ahead_after_s: CLOCKS_DIFFER },
    largest_bytes: MB,
    connect_timeout_s: 10,
    whole_timeout_s: 30,
    shape: Shape::Json,
    retry: Retry::Later,
};

/// Clocks may differ by so much before a sample counts as ahead of them, seconds.
const CLOCKS_DIFFER: u32 = 10 * MINUTE;
/// The 3-hour interval a sample stands for has just ended when it is new, and the next comes 3 hours later; where the
/// running interval is published, its end lies up to 3 hours ahead.
const KP_3H: Freshness =
    Freshness { ageing_after_s: 4 * HOUR, stale_after_s: 7 * HOUR, ahead_after_s: 3 * HOUR + CLOCKS_DIFFER };
/// Grids of precipitation and hemispheric power come every 5 minutes.
const NOWCAST: Freshness = Freshness { ageing_after_s: 20 * MINUTE, stale_after_s: HOUR, ahead_after_s: CLOCKS_DIFFER };
/// Weather models run 4 to 24 times a day.
const WEATHER: Freshness =
    Freshness { ageing_after_s: 3 * HOUR, stale_after_s: 9 * HOUR, ahead_after_s: CLOCKS_DIFFER };

/// The feeds, in the order of [`FeedId::ALL`].
static SOURCES: [Source; 16] = [
    Source {
        id: FeedId::NoaaRtswMag,
        title: "magnetic field of the solar wind at L1, 1 min, all spacecraft",
        url: "https://services.swpc.noaa.gov/json/rtsw/rtsw_mag_1m.json",
        // 1.5 MB in 2026; three spacecraft may become more
        largest_bytes: 8 * MB,
        whole_timeout_s: 60,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NoaaRtswWind,
        title: "speed and density of the solar wind at L1, 1 min, all spacecraft",
        url: "https://services.swpc.noaa.gov/json/rtsw/rtsw_wind_1m.json",
        // 2.8 MB in 2026
        largest_bytes: 8 * MB,
        whole_timeout_s: 60,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NoaaPropagated,
        title: "solar wind moved to Earth, last hour",
        url: "https://services.swpc.noaa.gov/products/geospace/propagated-solar-wind-1-hour.json",
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NoaaKp3h,
        title: "estimated planetary K, 3 h, last week",
        url: "https://services.swpc.noaa.gov/products/noaa-planetary-k-index.json",
        credit: NOAA_KP_ATTRIBUTION,
        minimum_interval_s: 15 * MINUTE,
        freshness: KP_3H,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NoaaKpForecast,
        title: "planetary K, 3 h, last week and next three days",
        url: "https://services.swpc.noaa.gov/products/noaa-planetary-k-index-forecast.json",
        credit: NOAA_KP_ATTRIBUTION,
        minimum_interval_s: 15 * MINUTE,
        freshness: KP_3H,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NoaaKp1m,
        title: "estimated planetary K, 1 min, last six hours",
        url: "https://services.swpc.noaa.gov/json/planetary_k_index_1m.json",
        credit: NOAA_KP_ATTRIBUTION,
        minimum_interval_s: 5 * MINUTE,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NoaaOvation,
        title: "short-term precipitation model, 1 degree grid",
        url: "https://services.swpc.noaa.gov/json/ovation_aurora_latest.json",
        minimum_interval_s: 5 * MINUTE,
        freshness: NOWCAST,
        // 0.92 MB in 2026
        largest_bytes: 4 * MB,
        whole_timeout_s: 60,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NoaaHemiPower,
        title: "hemispheric power, 5 min, today",
        url: "https://services.swpc.noaa.gov/text/aurora-nowcast-hemi-power.txt",
        minimum_interval_s: 5 * MINUTE,
        freshness: NOWCAST,
        shape: Shape::Text,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::Noaa3Day,
        title: "3-day forecast, issued twice a day",
        url: "https://services.swpc.noaa.gov/text/3-day-forecast.txt",
        minimum_interval_s: HOUR,
        freshness: Freshness { ageing_after_s: 13 * HOUR, stale_after_s: 25 * HOUR, ahead_after_s: CLOCKS_DIFFER },
        shape: Shape::Text,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::Noaa27Day,
        title: "27-day outlook, issued on Mondays",
        url: "https://services.swpc.noaa.gov/text/27-day-outlook.txt",
        minimum_interval_s: DAY,
        freshness: Freshness { ageing_after_s: 8 * DAY, stale_after_s: 15 * DAY, ahead_after_s: CLOCKS_DIFFER },
        shape: Shape::Text,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::GfzKp,
        title: "Kp, 3 h, preliminary, last weeks",
        agency: "GFZ Helmholtz Centre for Geosciences",
        // one fixed address, unlike the query for a span of days: its answers can be asked for conditionally
        url: "https://kp.gfz.de/app/files/Kp_ap_nowcast.txt",
        licence: GFZ_LICENCE,
        credit: GFZ_KP_ATTRIBUTION,
        minimum_interval_s: 30 * MINUTE,
        freshness: KP_3H,
        shape: Shape::Text,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::MetnoLocationforecast,
        title: "cloud in three layers and weather for a place, nine days",
        agency: "MET Norway",
        // no altitude: it changes the temperature only, and one that is merely supposed would change it wrongly
        url: "https://api.met.no/weatherapi/locationforecast/2.0/complete?lat={lat}&lon={lon}",
        needs: Needs::Place,
        licence: "CC BY 4.0 or NLOD",
        credit: "weather: MET Norway, CC BY 4.0",
        wants_contact: true,
        minimum_interval_s: 10 * MINUTE,
        freshness: WEATHER,
        largest_bytes: 2 * MB,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NwsPoints,
        title: "forecast grid cell of a place in the United States",
        agency: "US National Weather Service",
        url: "https://api.weather.gov/points/{lat},{lon}",
        needs: Needs::Place,
        coverage: Coverage::UnitedStates,
        credit: NWS_CREDIT,
        wants_contact: true,
        // cells move now and then
        minimum_interval_s: 7 * DAY,
        freshness: Freshness { ageing_after_s: 8 * DAY, stale_after_s: 31 * DAY, ahead_after_s: CLOCKS_DIFFER },
        retry: Retry::OnceSoon,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::NwsGridpoints,
        title: "cloud and weather of that cell, seven days",
        agency: "US National Weather Service",
        url: "{grid}",
        needs: Needs::GridPoint,
        coverage: Coverage::UnitedStates,
        credit: NWS_CREDIT,
        wants_contact: true,
        minimum_interval_s: 15 * MINUTE,
        freshness: WEATHER,
        largest_bytes: 4 * MB,
        retry: Retry::OnceSoon,
        ..NOAA_JSON
    },
    Source {
        id: FeedId::Metar,
        title: "weather reports of airfields, last three hours",
        agency: "NOAA/NWS Aviation Weather Center",
        url: "https://aviationweather.gov/api/data/metar?ids={stations}&format=json&hours=3",
        needs: Needs::Stations,
        credit: AWC_CREDIT,
        minimum_interval_s: 5 * MINUTE,
        freshness: Freshness { ageing_after_s: 75 * MINUTE, stale_after_s: 3 * HOUR, ahead_after_s: CLOCKS_DIFFER },
        ..NOAA_JSON
    },
    Source {
        id: FeedId::Taf,
        title: "weather forecasts of airfields",
        agency: "NOAA/NWS Aviation Weather Center",
        url: "https://aviationweather.gov/api/data/taf?ids={stations}&format=json",
        needs: Needs::Stations,
        credit: AWC_CREDIT,
        minimum_interval_s: 10 * MINUTE,
        freshness: Freshness { ageing_after_s: 7 * HOUR, stale_after_s: 12 * HOUR, ahead_after_s: CLOCKS_DIFFER },
        ..NOAA_JSON
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_has_the_order_of_the_enum_and_every_row_is_filled() {
        assert_eq!(SOURCES.len(), FeedId::ALL.len());
        for id in FeedId::ALL {
            let source = id.source();
            assert_eq!(source.id, *id);
            assert_eq!(id.as_str().parse::<FeedId>().unwrap(), *id);
            assert!(!source.title.is_empty() && !source.licence.is_empty() && !source.credit.is_empty());
            assert!(source.freshness.ageing_after_s < source.freshness.stale_after_s);
            assert!(source.minimum_interval_s >= 60, "{id} may not be asked more than once a minute");
            assert!(source.connect_timeout_s <= source.whole_timeout_s);
        }
    }

    #[test]
    fn every_default_address_is_https_and_asks_for_what_it_needs() {
        for source in &SOURCES {
            let braces: Vec<&str> = source.url.split('{').skip(1).filter_map(|rest| rest.split('}').next()).collect();
            let wanted: &[&str] = match source.needs {
                Needs::Nothing => &[],
                Needs::Place => &["lat", "lon"],
                Needs::GridPoint => &["grid"],
                Needs::Stations => &["stations"],
            };
            assert_eq!(braces, wanted, "{}", source.id);
            assert!(source.url.starts_with("https://") || source.needs == Needs::GridPoint, "{}", source.id);
        }
    }

    #[test]
    fn the_box_of_the_united_states_holds_its_far_ends_and_not_europe() {
        let us = Coverage::UnitedStates;
        // Key West, Fairbanks, Utqiagvik, Adak, Shemya, Honolulu, Guam, Pago Pago, San Juan
        for (lat, lon) in [(24.6, -81.8), (64.8, -147.7), (71.3, -156.8), (51.9, -176.6), (52.7, 174.1)] {
            assert!(us.may_include(lat, lon), "{lat} {lon}");
        }
        for (lat, lon) in [(21.3, -157.9), (13.5, 144.8), (-14.3, -170.7), (18.4, -66.1)] {
            assert!(us.may_include(lat, lon), "{lat} {lon}");
        }
        for (lat, lon) in [(69.65, 18.96), (64.1, -21.9), (-45.9, 170.5), (35.7, 139.7)] {
            assert!(!us.may_include(lat, lon), "{lat} {lon}");
        }
    }

    #[test]
    fn freshness_goes_by_the_samples_own_time() {
        let now: Timestamp = "2026-03-14T22:00:00Z".parse().unwrap();
        let wind = FeedId::NoaaRtswMag.source().freshness;
        let state = |text: &str| wind.state(text.parse().unwrap(), now);
        assert_eq!(state("2026-03-14T21:50:00Z"), FeedState::Fresh);
        assert_eq!(state("2026-03-14T21:49:59Z"), FeedState::Ageing);
        assert_eq!(state("2026-03-14T21:30:00Z"), FeedState::Ageing);
        assert_eq!(state("2026-03-14T21:29:59Z"), FeedState::Stale);
        assert_eq!(state("2026-03-14T22:10:00Z"), FeedState::Fresh);
        assert_eq!(state("2026-03-14T22:10:01Z"), FeedState::AheadOfClock, "an hour of summer time shows");
        let kp = FeedId::NoaaKp3h.source().freshness;
        assert_eq!(kp.state("2026-03-15T00:00:00Z".parse().unwrap(), now), FeedState::Fresh, "the running interval");
    }
}
