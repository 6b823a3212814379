use std::collections::{BTreeMap, BTreeSet};

use job::HorizonPoint;
use quantity::{GeoPosition, wrap_degrees_360};
use serde::Serialize;

use super::curvature::{EARTH_RADIUS_M, Sighting, sea_horizon_deg};
use super::profile::simplified;
use super::{HgtTile, TileName};

/// How far terrain is looked for, m. At 60 km a mountain of 1000 m stands 0.7 degrees high and one of 250 m is below the
/// horizon; farther ones matter less than the doubt about refraction and cost many more tiles.
pub const REACH_M: f64 = 60_000.0;
/// How near terrain is looked for, m: within three posts of 1 second of arc the heights' errors of a few metres would
/// look like degrees.
pub const NEAREST_M: f64 = 100.0;
/// Steps along a ray, m: half the distance of posts of 1 second of arc, so that no ridge of one post is stepped over.
const STEP_M: f64 = 15.0;
/// Far out the steps grow with the distance: what is smaller than 2 minutes of arc does not matter.
const STEP_SHARE: f64 = 0.0005;
/// Azimuths of the profile: one a degree.
const BINS: usize = 360;
/// Rays of each, so that at 60 km they run 260 m apart; the highest counts, for the posts cut peaks off.
const RAYS_OF_A_BIN: usize = 4;
/// A gap of voids along a ray up to this long is looked over, m: less than a third of a kilometre seldom hides a summit.
const LONGEST_VOID_M: f64 = 300.0;
/// Latitude up to which azimuths are told apart: at the pole itself there is none to count from; this is 10 cm off.
const NEAREST_POLE_DEG: f64 = 89.999_999;
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

/// Why a stretch of the skyline is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UnknownCause {
    /// The tile has no heights there.
    Void,
    /// There is no tile.
    MissingTile,
}

/// A stretch of azimuths, clockwise, where the skyline may be higher than given.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct UnknownStretch {
    /// First azimuth, degrees.
    pub from_deg: f64,
    /// Last azimuth, degrees.
    pub to_deg: f64,
    /// Why.
    pub cause: UnknownCause,
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

/// One distance from the eye.
#[derive(Debug, Clone, Copy)]
struct Step {
    distance_m: f64,
    sine: f64,
    cosine: f64,
    sighting: Sighting,
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

fn steps() -> Vec<Step> {
    let mut steps = Vec::new();
    let mut distance_m = NEAREST_M;
    while distance_m <= REACH_M {
        let (sine, cosine) = (distance_m / EARTH_RADIUS_M).sin_cos();
        steps.push(Step { distance_m, sine, cosine, sighting: Sighting::at(distance_m) });
        distance_m += STEP_M.max(distance_m * STEP_SHARE);
    }
    steps
}

/// Azimuth of a ray: those of a bin lie evenly about its whole degree.
fn azimuth_deg(ray: usize) -> f64 {
    let spacing = 1.0 / RAYS_OF_A_BIN as f64;
    wrap_degrees_360((ray as f64 + 0.5) * spacing - 0.5)
}

/// A great circle from a place.
#[derive(Debug, Clone, Copy)]
struct Line {
    sine_lat: f64,
    cosine_lat: f64,
    longitude_deg: f64,
    sine_az: f64,
    cosine_az: f64,
}

impl Line {
    fn new(from: GeoPosition, azimuth_deg: f64) -> Self {
        let latitude_deg = from.latitude_deg().clamp(-NEAREST_POLE_DEG, NEAREST_POLE_DEG);
        let (sine_lat, cosine_lat) = latitude_deg.to_radians().sin_cos();
        let (sine_az, cosine_az) = azimuth_deg.to_radians().sin_cos();
        Self { sine_lat, cosine_lat, longitude_deg: from.longitude_deg(), sine_az, cosine_az }
    }

    /// Latitude and longitude at a step, degrees. On the sphere: 60 km come out up to 0.3 km off, far less than the rays part.
    fn at(&self, step: &Step) -> (f64, f64) {
        let sine = self.sine_lat * step.cosine + self.cosine_lat * step.sine * self.cosine_az;
        let east = self.sine_az * step.sine * self.cosine_lat;
        let turn = east.atan2(step.cosine - self.sine_lat * sine);
        (sine.clamp(-1.0, 1.0).asin().to_degrees(), self.longitude_deg + turn.to_degrees())
    }
}

/// Altitude of the highest of some rays, never below the sea's own horizon, rounded.
fn highest_deg(rays: &[Ray], lowest_deg: f64) -> f64 {
    let slope = rays.iter().map(|ray| ray.highest_slope).fold(f64::NEG_INFINITY, f64::max);
    let altitude = slope.atan().to_degrees().max(lowest_deg);
    (altitude / ALTITUDE_ROUNDING).round() * ALTITUDE_ROUNDING
}

/// Neighbouring azimuths of one cause, joined across north.
fn stretches(causes: &[Option<UnknownCause>]) -> Vec<UnknownStretch> {
    let count = causes.len();
    let half = 180.0 / count as f64;
    let centre = |index: usize| index as f64 * 360.0 / count as f64;
    let begins = (0..count).find(|&i| causes[i] != causes[(i + count - 1) % count]);
    let Some(start) = begins else {
        // all alike: all around or nowhere
        let all = causes.first().copied().flatten();
        return all.map(|cause| UnknownStretch { from_deg: 0.0, to_deg: 360.0, cause }).into_iter().collect();
    };
    let mut found: Vec<UnknownStretch> = Vec::new();
    let mut last = None;
    for index in (start..start + count).map(|i| i % count) {
        let to_deg = wrap_degrees_360(centre(index) + half);
        match (causes[index], found.last_mut()) {
            (Some(cause), Some(stretch)) if last == Some(cause) => stretch.to_deg = to_deg,
            (Some(cause), _) => {
                let from_deg = wrap_degrees_360(centre(index) - half);
                found.push(UnknownStretch { from_deg, to_deg, cause });
            }
            (None, _) => {}
        }
        last = causes[index];
    }
    found.sort_by(|a, b| a.from_deg.total_cmp(&b.from_deg));
    found
}
