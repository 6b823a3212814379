//! The demo: an invented station, invented people and places, real physics, a real storm's Kp.
//!
//! Skerrow Bay, Haldane Point and Tarrant Sound do not exist; they stand on a plausible northern and a plausible southern coast.

use jiff::civil::Date;
use job::{
    Candidate, CloudCover, ForegroundObject, HorizonPoint, Kit, NightTimes, OutlookReport, OutlookRequest, Site,
    WaterBearing, Weather, WeatherHour,
};
use quantity::{Fraction, GeoPosition, Timestamp};

use crate::Failure;

/// Definitive Kp of 16 to 18 March 2015 (GFZ, CC BY 4.0; Matzka et al. 2021, doi 10.1029/2020SW002641).
const KP_TABLE: &[u8] = include_bytes!("../data/gfz_kp_2015-03.json");

/// The test frame of the demo and of the page that tries one: rendered by `scene` (its sample `quiet_arc`, seed 1), with its truth
/// beside it; no photograph. How it is made: `docs/scene.md`.
pub(crate) const DEMO_FRAME: &[u8] = include_bytes!("../data/demo_frame.composed.jpg");
/// What it is called.
pub(crate) const DEMO_FRAME_NAME: &str = "demo_frame.composed.jpg (invented)";

/// The invented outings, answered.
pub(crate) fn reports() -> Result<Vec<(&'static str, OutlookReport)>, Failure> {
    let haldane = site(
        "Haldane Point (invented)",
        (57.65, -4.05, 12.0),
        "Europe/London",
        &[(0.0, 0.3), (120.0, 2.0), (200.0, 5.0), (290.0, 2.0)],
    )?;
    let tarrant = site(
        "Tarrant Sound (invented)",
        (-46.55, 169.45, 5.0),
        "Pacific/Auckland",
        &[(90.0, 3.0), (180.0, 0.4), (270.0, 4.0), (0.0, 6.0)],
    )?;
    Ok(vec![
        ("A storm night at Skerrow Bay", ask(&north_coast()?, "2015-03-17", "2015-03-17T15:00:00Z")?),
        ("The same storm from Haldane Point", ask(&[(haldane, Some(MIXED))], "2015-03-17", "2015-03-17T15:00:00Z")?),
        ("The same storm from Tarrant Sound", ask(&[(tarrant, None)], "2015-03-17", "2015-03-17T06:00:00Z")?),
    ])
}

/// Invented cloud at the beginning and the end of a night, shares of the sky: low, middle, high.
type Clouds = [[f64; 3]; 2];
/// Low cloud going, a veil coming.
const CLEARING: Clouds = [[0.5, 0.1, 0.0], [0.0, 0.1, 0.3]];
/// Low cloud from the sea all night.
const COVERED: Clouds = [[0.8, 0.3, 0.2], [0.9, 0.4, 0.2]];
/// A few clouds of each kind.
const MIXED: Clouds = [[0.2, 0.1, 0.1], [0.1, 0.1, 0.3]];
/// A sky without cloud but for a thin veil.
const OPEN: Clouds = [[0.0, 0.0, 0.1], [0.0, 0.0, 0.1]];

/// Skerrow Bay and three places its keeper might drive to instead.
fn north_coast() -> Result<Vec<(Site, Option<Clouds>)>, Failure> {
    let skerrow = Site {
        water: vec![WaterBearing { from_deg: 300.0, to_deg: 30.0, sheltered: true }],
        foreground: vec![
            ForegroundObject {
                name: "boathouse".to_owned(),
                bearing_deg: 345.0,
                distance_m: 60.0,
                height_m: 5.5,
                width_m: 9.0,
            },
            ForegroundObject {
                name: "old pine".to_owned(),
                bearing_deg: 25.0,
                distance_m: 35.0,
                height_m: 11.0,
                width_m: 5.0,
            },
        ],
        drive_minutes: Some(20.0),
        ..site(
            "Skerrow Bay (invented)",
            (69.15, 15.65, 3.0),
            "Europe/Oslo",
            &[(0.0, 1.5), (60.0, 6.0), (150.0, 9.0), (230.0, 4.0), (300.0, 0.5)],
        )?
    };
    let near = |name: &str, place, minutes, horizon: &[(f64, f64)]| -> Result<Site, Failure> {
        Ok(Site { drive_minutes: Some(minutes), ..site(name, place, "Europe/Oslo", horizon)? })
    };
    Ok(vec![
        (skerrow, Some(CLEARING)),
        (near("Marrow Head (invented)", (69.30, 15.20, 40.0), 55.0, &[(0.0, 0.0), (180.0, 2.0)])?, Some(COVERED)),
        (near("Ternholm Lake (invented)", (68.75, 16.85, 120.0), 95.0, &[(0.0, 4.0), (180.0, 7.0)])?, Some(OPEN)),
        (near("Cold Harbour quay (invented)", (69.05, 15.40, 2.0), 5.0, &[(0.0, 8.0), (180.0, 5.0)])?, Some(MIXED)),
    ])
}

fn site(
    name: &str,
    (lat, lon, height_m): (f64, f64, f64),
    zone: &str,
    horizon: &[(f64, f64)],
) -> Result<Site, Failure> {
    Ok(Site {
        time_zone: zone.to_owned(),
        horizon: horizon
            .iter()
            .map(|&(azimuth_deg, altitude_deg)| HorizonPoint { azimuth_deg, altitude_deg })
            .collect(),
        notes: "Invented for the demo: do not drive there.".to_owned(),
        ..Site::bare(name, GeoPosition::new(lat, lon, height_m)?)
    })
}

/// The outlook for the first place, compared with the others.
fn ask(places: &[(Site, Option<Clouds>)], night: &str, asked_at: &str) -> Result<OutlookReport, Failure> {
    let bug = |_: jiff::Error| Failure::new("the demo's own date is wrong", "report this as a bug");
    let night: Date = night.parse().map_err(bug)?;
    let asked_at: Timestamp = asked_at.parse().map_err(bug)?;
    let mut candidates = places
        .iter()
        .map(|(site, clouds)| {
            let times = job::night_times(night, site.position)?;
            let weather = clouds.map_or_else(|| Ok(Weather::unknown()), |clouds| forecast(clouds, &times, asked_at))?;
            Ok(Candidate { weather, site: site.clone() })
        })
        .collect::<Result<Vec<_>, Failure>>()?
        .into_iter();
    let Candidate { site, weather } = candidates
        .next()
        .ok_or_else(|| Failure::new("the demo has an outing without a place", "report this as a bug"))?;
    let times = job::night_times(night, site.position)?;
    Ok(job::outlook(OutlookRequest {
        night,
        asked_at,
        kit: Kit::plain(),
        activity: feeds::parse_kp(KP_TABLE, "GFZ definitive Kp")?.to_activity(times.from, times.to),
        other_activity: Vec::new(),
        elsewhere: candidates.collect(),
        weather,
        input_notes: Vec::new(),
        upstream: None,
        precipitation: None,
        f107: 120.0,
        adaptation_minutes: 30.0,
        site,
    })?)
}

/// An invented forecast: cloud changing evenly through the night, a calm frosty coast.
fn forecast(clouds: Clouds, times: &NightTimes, asked_at: Timestamp) -> Result<Weather, Failure> {
    const HOURS: i32 = 24;
    let hour = |index: i32| -> Result<WeatherHour, Failure> {
        let share = f64::from(index) / f64::from(HOURS - 1);
        let cover = |layer: usize| Fraction::clamped(clouds[0][layer] * (1.0 - share) + clouds[1][layer] * share);
        let at = |index: i32| {
            times
                .from
                .checked_add(jiff::SignedDuration::from_hours(i64::from(index)))
                .map_err(|_cause| Failure::new("the demo's own date is out of range", "report this as a bug"))
        };
        let open: f64 = (0..3).map(|layer| 1.0 - cover(layer).value()).product();
        Ok(WeatherHour {
            cloud: CloudCover {
                total: Some(Fraction::clamped(1.0 - open)),
                low: Some(cover(0)),
                medium: Some(cover(1)),
                high: Some(cover(2)),
            },
            temperature_c: Some(-2.0 - 5.0 * share),
            dew_point_c: Some(-5.0 - 3.0 * share),
            wind_m_s: Some(2.5 - 2.0 * share),
            wind_from_deg: Some(120.0),
            ..WeatherHour::unknown(at(index)?, at(index + 1)?)
        })
    };
    Ok(Weather {
        source: "forecast invented for the demo".to_owned(),
        issued_at: Some(asked_at),
        hours: (0..HOURS).map(hour).collect::<Result<_, _>>()?,
        around: Vec::new(),
    })
}
