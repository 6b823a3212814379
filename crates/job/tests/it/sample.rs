//! Requests to start from.

use jiff::Timestamp;
use job::{Activity, ActivityKind, Kit, KpInterval, OutlookRequest, Site, SkyQuality, Weather};
use quantity::{Fraction, GeoPosition};

/// A country sky: class 3 on Bortle's scale.
pub(crate) fn site(name: &str, latitude_deg: f64, longitude_deg: f64) -> Site {
    Site {
        sky_quality: SkyQuality::Bortle { class: 3 },
        ..Site::bare(name, GeoPosition::new(latitude_deg, longitude_deg, 50.0).unwrap())
    }
}

/// Clear sky, definitive Kp in three-hour steps from `first_interval`.
pub(crate) fn request(site: Site, night: &str, first_interval: &str, kp: &[f64]) -> OutlookRequest {
    let start: Timestamp = first_interval.parse().unwrap();
    let at = |index: usize| Timestamp::from_second(start.as_second() + 10_800 * i64::try_from(index).unwrap()).unwrap();
    let intervals = kp
        .iter()
        .enumerate()
        .map(|(i, &kp)| KpInterval { from: at(i), to: at(i + 1), kp, kind: ActivityKind::Definitive })
        .collect();
    OutlookRequest {
        site,
        night: night.parse().unwrap(),
        asked_at: start,
        kit: Kit::plain(),
        activity: Activity {
            source: "GFZ definitive Kp (CC BY 4.0, Matzka et al. 2021)".to_owned(),
            issued_at: None,
            intervals,
        },
        other_activity: Vec::new(),
        elsewhere: Vec::new(),
        weather: Weather::given_cloud(Fraction::NONE, start_of_time(), end_of_time()),
        input_notes: Vec::new(),
        upstream: None,
        precipitation: None,
        f107: 120.0,
        adaptation_minutes: 30.0,
    }
}

/// Before any night of the tests.
pub(crate) fn start_of_time() -> Timestamp {
    "1970-01-01T00:00:00Z".parse().unwrap()
}

/// After any night of the tests.
pub(crate) fn end_of_time() -> Timestamp {
    "2100-01-01T00:00:00Z".parse().unwrap()
}
