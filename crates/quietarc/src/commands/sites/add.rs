//! `quietarc site add` and `quietarc site change`

use feeds::terrain::{HorizonSettings, MissingTiles};
use job::{Site, SkyQuality};
use quantity::GeoPosition;

use super::{surroundings, terrain};
use crate::cli::{SiteAddArgs, SiteChangeArgs, SiteFactsArgs};
use crate::commands::{open_journal, required, site};
use crate::failure::{Failure, Outcome};
use crate::{keeping, output, present_site};

/// Range of the camera's height above the ground, m: from a tripod lying down to a fire lookout.
const EYE_HEIGHTS_M: std::ops::RangeInclusive<f64> = 0.0..=100.0;
/// What empties a list.
const NONE: &str = "none";
/// What empties the skyline.
const FLAT: &str = "flat";

pub(super) fn add(arguments: &SiteAddArgs) -> Result<Outcome, Failure> {
    let facts = &arguments.facts;
    let name = arguments.site.as_ref().or(arguments.name.as_ref()).cloned().unwrap_or_default();
    let position =
        GeoPosition::new(required(facts.lat, "--lat")?, required(facts.lon, "--lon")?, facts.elev.unwrap_or_default())?;
    let site = told(Site::bare(name, position), facts)?;
    // before the journal is opened: a bad number must not make one
    site.check()?;
    let kept = keeping::add(&open_journal(&arguments.journal)?, site)?;
    output::answer(&format!("kept:\n{}", present_site::site(&kept)))?;
    Ok(Outcome::Done)
}

pub(super) fn change(arguments: &SiteChangeArgs) -> Result<Outcome, Failure> {
    let journal = open_journal(&arguments.journal)?;
    let mut site = told(journal.site_named(&arguments.name)?.site, &arguments.facts)?;
    if let Some(name) = &arguments.rename {
        site.name.clone_from(name);
    }
    let kept = keeping::replace(&journal, &arguments.name, site)?;
    output::answer(&format!("changed:\n{}", present_site::site(&kept)))?;
    Ok(Outcome::Done)
}

/// A site with the facts given; the rest stays.
fn told(mut site: Site, facts: &SiteFactsArgs) -> Result<Site, Failure> {
    let before = site.position;
    let height_m = facts.elev.unwrap_or(before.height_m());
    let (lat, lon) = (facts.lat.unwrap_or(before.latitude_deg()), facts.lon.unwrap_or(before.longitude_deg()));
    site.position = GeoPosition::new(lat, lon, height_m)?;
    if let Some(zone) = &facts.time_zone {
        site.time_zone.clone_from(zone);
    }
    if facts.sky_mag.is_some() || facts.bortle.is_some() {
        site.sky_quality = site::sky_quality(facts.sky_mag, facts.bortle);
    } else if facts.sky_estimated {
        site.sky_quality = SkyQuality::FromTowns;
    }
    site.snow_cover = facts.snow.unwrap_or(site.snow_cover);
    if let Some(notes) = &facts.notes {
        notes.trim().clone_into(&mut site.notes);
    }
    site.drive_minutes = facts.drive_minutes.or(site.drive_minutes);
    if let Some(water) = listed(&facts.water, surroundings::water)? {
        site.water = water;
    }
    if let Some(foreground) = listed(&facts.foreground, surroundings::foreground)? {
        site.foreground = foreground;
    }
    match facts.horizon.as_deref() {
        Some(FLAT) => site.horizon.clear(),
        Some(corners) => site.horizon = site::horizon(corners)?,
        None => {}
    }
    if let Some(folder) = &facts.horizon_from {
        let found = terrain::skyline(folder, site.position, facts.elev, settings(facts)?)?;
        site.horizon = found.points;
        if facts.elev.is_none() {
            site.position = GeoPosition::new(lat, lon, found.ground_m)?;
        }
    }
    Ok(site)
}

/// The items of a list that may be given again; nothing where none was given, an empty list for the word "none".
fn listed<T>(texts: &[String], read: impl Fn(&str) -> Result<T, Failure>) -> Result<Option<Vec<T>>, Failure> {
    match texts {
        [] => Ok(None),
        [only] if only == NONE => Ok(Some(Vec::new())),
        texts => texts.iter().map(|text| read(text)).collect::<Result<_, _>>().map(Some),
    }
}

fn settings(facts: &SiteFactsArgs) -> Result<HorizonSettings, Failure> {
    let eye_above_ground_m = facts.eye_height_m;
    if !EYE_HEIGHTS_M.contains(&eye_above_ground_m) {
        return Err(Failure::new(
            format!("--eye-height-m {eye_above_ground_m} is outside 0 to 100"),
            "give the height of the camera above the ground in metres",
        ));
    }
    let missing = if facts.missing_is_sea { MissingTiles::Sea } else { MissingTiles::Unknown };
    Ok(HorizonSettings { eye_above_ground_m, missing, ..HorizonSettings::default() })
}
