//! `quietarc site add`

use feeds::terrain::{HorizonSettings, MissingTiles};
use job::Site;
use quantity::GeoPosition;

use super::{surroundings, terrain};
use crate::cli::SiteAddArgs;
use crate::commands::{open_journal, site};
use crate::failure::{Failure, Outcome};
use crate::{keeping, output, present_site};

/// Range of the camera's height above the ground, m: from a tripod lying down to a fire lookout.
const EYE_HEIGHTS_M: std::ops::RangeInclusive<f64> = 0.0..=100.0;

pub(super) fn run(arguments: &SiteAddArgs) -> Result<Outcome, Failure> {
    let site = described(arguments)?;
    // before the journal is opened: a bad number must not make one
    site.check()?;
    let journal = open_journal(&arguments.journal)?;
    let kept = if arguments.replace {
        let name = feeds::places::clean_name(&site.name);
        keeping::replace(&journal, &name, site)?
    } else {
        keeping::add(&journal, site)?
    };
    let done = if arguments.replace { "changed" } else { "kept" };
    output::answer(&format!("{done}:\n{}", present_site::site(&kept)))?;
    Ok(Outcome::Done)
}

fn described(arguments: &SiteAddArgs) -> Result<Site, Failure> {
    let name = arguments.site.as_ref().or(arguments.name.as_ref()).cloned().unwrap_or_default();
    let ground = GeoPosition::new(arguments.lat, arguments.lon, arguments.elev.unwrap_or_default())?;
    let mut site = Site {
        time_zone: arguments.time_zone.clone(),
        sky_quality: site::sky_quality(arguments.sky_mag, arguments.bortle),
        horizon: arguments.horizon.as_deref().map_or(Ok(Vec::new()), site::horizon)?,
        snow_cover: arguments.snow,
        notes: arguments.notes.trim().to_owned(),
        water: arguments.water.iter().map(|text| surroundings::water(text)).collect::<Result<_, _>>()?,
        foreground: arguments.foreground.iter().map(|text| surroundings::foreground(text)).collect::<Result<_, _>>()?,
        drive_minutes: arguments.drive_minutes,
        ..Site::bare(name, ground)
    };
    if let Some(folder) = &arguments.horizon_from {
        let found = terrain::skyline(folder, ground, arguments.elev, settings(arguments)?)?;
        site.horizon = found.points;
        if arguments.elev.is_none() {
            site.position = GeoPosition::new(arguments.lat, arguments.lon, found.ground_m)?;
        }
    }
    Ok(site)
}

fn settings(arguments: &SiteAddArgs) -> Result<HorizonSettings, Failure> {
    let eye_above_ground_m = arguments.eye_height_m;
    if !EYE_HEIGHTS_M.contains(&eye_above_ground_m) {
        return Err(Failure::new(
            format!("--eye-height-m {eye_above_ground_m} is outside 0 to 100"),
            "give the height of the camera above the ground in metres",
        ));
    }
    let missing = if arguments.missing_is_sea { MissingTiles::Sea } else { MissingTiles::Unknown };
    Ok(HorizonSettings { eye_above_ground_m, missing, ..HorizonSettings::default() })
}
