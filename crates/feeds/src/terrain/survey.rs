use std::collections::{BTreeMap, BTreeSet};

use job::HorizonPoint;
use quantity::{GeoPosition, wrap_degrees_360};
use serde::Serialize;

use super::curvature::sea_horizon_deg;
use super::line::{Line, Step, steps};
use super::profile::simplified;
use super::unknown::{UnknownCause, UnknownStretch, stretches};
use super::{HgtTile, TileName};

/// Azimuths of the profile: one a degree.
const BINS: usize = 360;
/// Rays of each, so that at 60 km they run 260 m apart; the highest counts, for the posts cut peaks off.
const RAYS_OF_A_BIN: usize = 4;
/// A gap of voids along a ray up to this long is looked over, m: less than a third of a kilometre seldom hides a summit.
const LONGEST_VOID_M: f64 = 300.0;
/// Rounding of the altitudes given, degrees.
const ALTITUDE_ROUNDING: f64 = 0.01;

/// What a tile that is not there stands for.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum MissingTiles {
    /// It is not known what is there.
    #[default]
    Unknown,
    /// Sea at height 0: the caller knows it.
    Sea,
}

/// How a skyline is to be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HorizonSettings {
    /// Height of the camera above the ground, m.
    pub eye_above_ground_m: f64,
    /// What missing tiles stand for.
    pub missing: MissingTiles,
    /// How far the straight lines between corners may depart from the skyline, degrees; larger where 72 corners would not
    /// do.
    pub tolerance_deg: f64,
}

impl Default for HorizonSettings {
    /// A tripod at 1.5 m; a quarter of a degree, half the width of the moon.
    fn default() -> Self {
        Self { eye_above_ground_m: 1.5, missing: MissingTiles::Unknown, tolerance_deg: 0.25 }
    }
}

/// The skyline of a place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TerrainHorizon {
    /// Its corners, by azimuth. In unknown stretches they are the least it can be.
    pub points: Vec<HorizonPoint>,
    /// Where it is not known.
    pub unknown: Vec<UnknownStretch>,
    /// Largest departure of the straight lines from the altitudes found, degrees.
    pub largest_departure_deg: f64,
    /// Height of the ground it was worked out for, m.
    pub ground_m: f64,
    /// Tiles used.
    pub tiles_used: Vec<TileName>,
    /// Tiles within reach that were not given.
    pub tiles_missing: Vec<TileName>,
}

/// A piece of a ray within one tile: steps `from..to`.
#[derive(Debug, Clone, Copy)]
struct Piece {
    ray: usize,
    from: usize,
    to: usize,
}

/// What is known of one ray.
#[derive(Debug, Clone, Copy)]
struct Ray {
    highest_slope: f64,
    unknown: Option<UnknownCause>,
}

/// The work on one place's skyline: says which tiles it wants and takes them in any order.
#[derive(Debug)]
pub struct HorizonSurvey {
    position: GeoPosition,
    ground_m: f64,
    settings: HorizonSettings,
    steps: Vec<Step>,
    rays: Vec<Ray>,
    pieces: BTreeMap<TileName, Vec<Piece>>,
    used: BTreeSet<TileName>,
}

impl HorizonSurvey {
    /// Begins with a place and the height of its ground, m: that of its tile ([`HgtTile::height_m`]), so that heights on
    /// all sides are counted from one source.
    pub fn new(position: GeoPosition, ground_m: f64, settings: HorizonSettings) -> Self {
        let ray = Ray { highest_slope: f64::NEG_INFINITY, unknown: None };
        let mut survey = Self {
            position,
            ground_m,
            settings,
            steps: steps(),
            rays: vec![ray; BINS * RAYS_OF_A_BIN],
            pieces: BTreeMap::new(),
            used: BTreeSet::new(),
        };
        for ray in 0..survey.rays.len() {
            survey.cut(ray);
        }
        survey
    }

    /// Cuts a ray into the pieces that lie in one tile each.
    fn cut(&mut self, ray: usize) {
        let line = Line::new(self.position, azimuth_deg(ray));
        let mut open: Option<(TileName, usize)> = None;
        for (index, step) in self.steps.iter().enumerate() {
            let (lat, lon) = line.at(step);
            let tile = TileName::of(lat, lon);
            if let Some((last, from)) = open.filter(|(last, _)| *last != tile) {
                self.pieces.entry(last).or_default().push(Piece { ray, from, to: index });
                open = Some((tile, index));
            } else if open.is_none() {
                open = Some((tile, index));
            }
        }
        if let Some((last, from)) = open {
            self.pieces.entry(last).or_default().push(Piece { ray, from, to: self.steps.len() });
        }
    }

    /// The tiles within reach, by name.
    pub fn tiles(&self) -> Vec<TileName> {
        self.pieces.keys().copied().collect()
    }

    /// Takes a tile. One out of reach, or given before, changes nothing.
    pub fn add(&mut self, tile: &HgtTile) {
        if !self.used.insert(tile.name()) {
            return;
        }
        let Some(pieces) = self.pieces.get(&tile.name()) else {
            self.used.remove(&tile.name());
            return;
        };
        for piece in pieces.clone() {
            self.look(piece, |lat, lon| tile.height_m(lat, lon));
        }
    }

    /// Looks along a piece of a ray for the highest apparent terrain.
    fn look(&mut self, piece: Piece, height_m: impl Fn(f64, f64) -> Option<f64>) {
        let line = Line::new(self.position, azimuth_deg(piece.ray));
        let eye_m = self.ground_m + self.settings.eye_above_ground_m;
        let ray = &mut self.rays[piece.ray];
        let mut void_from: Option<f64> = None;
        for step in &self.steps[piece.from..piece.to] {
            let (lat, lon) = line.at(step);
            if let Some(height) = height_m(lat, lon) {
                void_from = None;
                ray.highest_slope = ray.highest_slope.max(step.sighting.slope(eye_m, height));
            } else {
                let from = *void_from.get_or_insert(step.distance_m);
                if step.distance_m - from > LONGEST_VOID_M {
                    ray.unknown = ray.unknown.max(Some(UnknownCause::Void));
                }
            }
        }
    }

    /// The skyline from the tiles taken.
    pub fn finish(mut self) -> TerrainHorizon {
        let missing: Vec<TileName> = self.pieces.keys().filter(|name| !self.used.contains(name)).copied().collect();
        for name in &missing {
            let pieces = self.pieces.remove(name).unwrap_or_default();
            for piece in pieces {
                match self.settings.missing {
                    MissingTiles::Sea => self.look(piece, |_, _| Some(0.0)),
                    MissingTiles::Unknown => self.rays[piece.ray].unknown = Some(UnknownCause::MissingTile),
                }
            }
        }
        let lowest_deg = sea_horizon_deg(self.ground_m + self.settings.eye_above_ground_m);
        let bins: Vec<&[Ray]> = self.rays.chunks(RAYS_OF_A_BIN).collect();
        let altitudes: Vec<f64> = bins.iter().map(|rays| highest_deg(rays, lowest_deg)).collect();
        let profile = simplified(&altitudes, self.settings.tolerance_deg);
        let causes: Vec<Option<UnknownCause>> =
            bins.iter().map(|rays| rays.iter().filter_map(|ray| ray.unknown).max()).collect();
        TerrainHorizon {
            points: profile.corners,
            unknown: stretches(&causes),
            largest_departure_deg: profile.largest_departure_deg,
            ground_m: self.ground_m,
            tiles_used: self.used.into_iter().collect(),
            tiles_missing: missing,
        }
    }
}

/// The skyline of a place from tiles that are all at hand; none where the place's own tile is missing or void there.
pub fn horizon(position: GeoPosition, tiles: &[HgtTile], settings: HorizonSettings) -> Option<TerrainHorizon> {
    let ground_m = tiles.iter().find_map(|tile| tile.height_m(position.latitude_deg(), position.longitude_deg()))?;
    let mut survey = HorizonSurvey::new(position, ground_m, settings);
    for tile in tiles {
        survey.add(tile);
    }
    Some(survey.finish())
}

/// Azimuth of a ray: those of a bin lie evenly about its whole degree.
fn azimuth_deg(ray: usize) -> f64 {
    let spacing = 1.0 / RAYS_OF_A_BIN as f64;
    wrap_degrees_360((ray as f64 + 0.5) * spacing - 0.5)
}

/// Altitude of the highest of some rays, never below the sea's own horizon, rounded.
fn highest_deg(rays: &[Ray], lowest_deg: f64) -> f64 {
    let slope = rays.iter().map(|ray| ray.highest_slope).fold(f64::NEG_INFINITY, f64::max);
    let altitude = slope.atan().to_degrees().max(lowest_deg);
    (altitude / ALTITUDE_ROUNDING).round() * ALTITUDE_ROUNDING
}
