//! A skyline from a folder of terrain tiles.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use feeds::terrain::{HgtTile, HorizonSettings, HorizonSurvey, MissingTiles, TerrainHorizon, TileName, UnknownCause};
use quantity::GeoPosition;

use crate::commands::read;
use crate::{Failure, output};

/// A given height that differs from the tile's by more than this is said, m: tiles are good to about 10 m.
const HEIGHTS_AGREE_M: f64 = 30.0;
/// Tiles named one by one in a note.
const MOST_NAMED: usize = 8;

/// The skyline of a place; `given_m` is its height where the caller gave one.
pub(super) fn skyline(
    folder: &Path,
    place: GeoPosition,
    given_m: Option<f64>,
    settings: HorizonSettings,
) -> Result<TerrainHorizon, Failure> {
    let files = tiles(folder)?;
    let own = TileName::containing(place);
    let path = files.get(&own).ok_or_else(|| {
        Failure::new(
            format!("there is no {own}.hgt in {}", folder.display()),
            "give the folder that holds the tile of the site itself, unpacked; or give the skyline by hand with --horizon",
        )
    })?;
    let ground_m = load(path)?.height_m(place.latitude_deg(), place.longitude_deg()).or(given_m).ok_or_else(|| {
        Failure::new(format!("{own} has no height at the site"), "give --elev, or a tile without gaps")
    })?;
    if let Some(given) = given_m.filter(|given| (given - ground_m).abs() > HEIGHTS_AGREE_M) {
        output::note(&format!(
            "note: --elev {given} m, but the ground of {own} is {ground_m:.0} m there; the skyline is for the ground"
        ));
    }
    let mut survey = HorizonSurvey::new(place, ground_m, settings);
    for name in survey.tiles() {
        if let Some(path) = files.get(&name) {
            survey.add(&load(path)?);
        }
    }
    let found = survey.finish();
    say(&found, settings);
    Ok(found)
}

fn load(path: &Path) -> Result<HgtTile, Failure> {
    Ok(HgtTile::parse(&read(path)?, &path.display().to_string())?)
}

/// The tiles of a folder by name. Other files are passed over.
fn tiles(folder: &Path) -> Result<BTreeMap<TileName, PathBuf>, Failure> {
    let fault = |error: std::io::Error| {
        Failure::new(format!("the folder {} cannot be read: {error}", folder.display()), "give a folder of .hgt tiles")
    };
    let mut files = BTreeMap::new();
    for entry in std::fs::read_dir(folder).map_err(fault)? {
        let path = entry.map_err(fault)?.path();
        let is_tile = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("hgt"));
        let name = path.file_name().and_then(|name| TileName::of_file(&name.to_string_lossy()).ok());
        if let Some(name) = name.filter(|_| is_tile) {
            files.insert(name, path);
        }
    }
    Ok(files)
}

/// Says what the skyline rests on and what it does not know.
fn say(found: &TerrainHorizon, settings: HorizonSettings) {
    output::note(&format!(
        "skyline: {} corners from {}, lines within {:.2} deg of the terrain; ground at {:.0} m",
        found.points.len(),
        names(&found.tiles_used),
        found.largest_departure_deg,
        found.ground_m
    ));
    if !found.tiles_missing.is_empty() && settings.missing == MissingTiles::Sea {
        output::note(&format!("taken as sea, as you said: {}", names(&found.tiles_missing)));
    }
    for stretch in &found.unknown {
        let cause = match stretch.cause {
            UnknownCause::MissingTile => "tiles are missing",
            UnknownCause::Void => "the tiles have gaps",
        };
        output::note(&format!(
            "not known from {:.0} to {:.0} deg: {cause}; the skyline given there is the least it can be",
            stretch.from_deg, stretch.to_deg
        ));
    }
    if found.unknown.iter().any(|stretch| stretch.cause == UnknownCause::MissingTile) {
        output::note(&format!(
            "hint: add {}, or give --missing-is-sea if there is nothing but sea",
            names(&found.tiles_missing)
        ));
    }
}

fn names(tiles: &[TileName]) -> String {
    let mut named: Vec<String> = tiles.iter().take(MOST_NAMED).map(ToString::to_string).collect();
    if tiles.len() > MOST_NAMED {
        named.push(format!("{} more", tiles.len() - MOST_NAMED));
    }
    named.join(", ")
}
