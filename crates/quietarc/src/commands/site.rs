//! A site from the command line.

use job::{HorizonPoint, Site, SkyQuality};
use journal::Journal;
use quantity::GeoPosition;

use super::required;
use crate::Failure;
use crate::cli::SiteArgs;

/// The journal's site of that name, or the place given.
pub(super) fn site(arguments: &SiteArgs, journal: impl FnOnce() -> Result<Journal, Failure>) -> Result<Site, Failure> {
    if let Some(name) = &arguments.site {
        return Ok(journal()?.site_named(name)?.site);
    }
    let place = &arguments.place;
    let site = Site {
        time_zone: arguments.time_zone.clone(),
        sky_quality: sky_quality(arguments.sky_mag, arguments.bortle),
        horizon: arguments.horizon.as_deref().map_or(Ok(Vec::new()), horizon)?,
        snow_cover: arguments.snow,
        ..Site::bare(
            arguments.name.clone(),
            GeoPosition::new(required(place.lat, "--lat")?, required(place.lon, "--lon")?, place.elev)?,
        )
    };
    site.check()?;
    Ok(site)
}

/// Measured, by eye, or estimated from the towns around.
pub(super) fn sky_quality(sky_mag: Option<f64>, bortle: Option<u8>) -> SkyQuality {
    match (sky_mag, bortle) {
        (Some(zenith_mag_arcsec2), _) => SkyQuality::Measured { zenith_mag_arcsec2 },
        (None, Some(class)) => SkyQuality::Bortle { class },
        (None, None) => SkyQuality::FromTowns,
    }
}

/// "0:2,90:5" as corners of a skyline.
pub(super) fn horizon(text: &str) -> Result<Vec<HorizonPoint>, Failure> {
    text.split(',')
        .map(|corner| {
            let (azimuth, altitude) = corner.split_once(':')?;
            Some(HorizonPoint {
                azimuth_deg: azimuth.trim().parse().ok()?,
                altitude_deg: altitude.trim().parse().ok()?,
            })
        })
        .collect::<Option<Vec<_>>>()
        .ok_or_else(|| {
            Failure::new(
                format!("--horizon {text:?} is no skyline"),
                "give corners as azimuth:altitude, for example 0:2,90:5,180:1",
            )
        })
}
