//! The demo: an invented station, invented people and places, real physics, a real storm's Kp.
//!
//! Skerrow Bay, Haldane Point and Tarrant Sound do not exist; they stand on a plausible northern and a plausible southern coast.

use jiff::civil::Date;
use job::{ForegroundObject, HorizonPoint, Kit, OutlookReport, OutlookRequest, Site, WaterBearing, Weather};
use quantity::{Fraction, GeoPosition};

use crate::Failure;

/// Definitive Kp of 16 to 18 March 2015 (GFZ, CC BY 4.0; Matzka et al. 2021, doi 10.1029/2020SW002641).
const KP_TABLE: &[u8] = include_bytes!("../data/gfz_kp_2015-03.json");

/// The invented outings, answered.
pub(crate) fn reports() -> Result<Vec<(&'static str, OutlookReport)>, Failure> {
    let skerrow = site(
        "Skerrow Bay (invented)",
        (69.15, 15.65, 3.0),
        "Europe/Oslo",
        &[(0.0, 1.5), (60.0, 6.0), (150.0, 9.0), (230.0, 4.0), (300.0, 0.5)],
    )?;
    let skerrow = Site {
        water: vec![WaterBearing { from_deg: 290.0, to_deg: 40.0, sheltered: true }],
        foreground: vec![object("boathouse", 335.0, 45.0, 3.5, 7.0), object("lone birch", 12.0, 28.0, 5.0, 3.0)],
        ..skerrow
    };
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
        ("A storm night at Skerrow Bay", ask(&skerrow, "2015-03-17", "2015-03-17T15:00:00Z", Some(0.3))?),
        ("The same storm from Haldane Point", ask(&haldane, "2015-03-17", "2015-03-17T15:00:00Z", Some(0.2))?),
        ("The same storm from Tarrant Sound", ask(&tarrant, "2015-03-17", "2015-03-17T06:00:00Z", None)?),
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

fn object(name: &str, bearing_deg: f64, distance_m: f64, height_m: f64, width_m: f64) -> ForegroundObject {
    ForegroundObject { name: name.to_owned(), bearing_deg, distance_m, height_m, width_m }
}

fn ask(site: &Site, night: &str, asked_at: &str, cover: Option<f64>) -> Result<OutlookReport, Failure> {
    let bug = |_: jiff::Error| Failure::new("the demo's own date is wrong", "report this as a bug");
    let night: Date = night.parse().map_err(bug)?;
    let times = job::night_times(night, site.position)?;
    let activity = feeds::parse_kp(KP_TABLE, "GFZ definitive Kp")?.to_activity(times.from, times.to);
    let weather = match cover {
        Some(cover) => Weather {
            source: "invented for the demo".to_owned(),
            ..Weather::given_cloud(Fraction::new(cover)?, times.from, times.to)
        },
        None => Weather::unknown(),
    };
    Ok(job::outlook(OutlookRequest {
        site: site.clone(),
        night,
        asked_at: asked_at.parse().map_err(bug)?,
        kit: Kit::plain(),
        activity,
        weather,
        f107: 120.0,
        adaptation_minutes: 30.0,
    })?)
}
