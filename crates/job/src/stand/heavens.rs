//! Moon, sun, planets and stars in the picture.

use quantity::Horizontal;
use serde::{Deserialize, Serialize};

use super::request::StandRequest;
use crate::JobError;
use crate::framing::{FramePlace, Framing, milli};
use crate::site_sky::SkyNow;

/// Stars of the picture: down to this V magnitude, the ones a person finds their way by.
const STAR_MAGNITUDE: f64 = 3.0;
/// Lit share below which the moon is too thin to flare.
const FLARING_LIT_SHARE: f64 = 0.1;
/// Distance from the frame within which the moon strikes the front lens and flares (common practice, no source), degrees.
const FLARE_LIKELY_DEG: f64 = 20.0;
/// Distance within which it may, without a hood.
const FLARE_POSSIBLE_DEG: f64 = 45.0;
/// Directions of the border looked at for that.
const BORDER_POINTS: usize = 96;

/// What the moon does to the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub enum FlareRisk {
    /// Down, hidden, thin or far away.
    None,
    /// It may strike the front lens from outside: use a hood.
    Possible,
    /// It strikes the front lens from just outside: shade it by hand.
    Likely,
    /// It is in the picture, burnt out, with a flare across it.
    InFrame,
}

/// The moon and the picture.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct MoonInFrame {
    /// Where.
    pub place: FramePlace,
    /// Whether it stands above the skyline.
    pub up: bool,
    /// Share of the disc that is lit.
    pub lit_fraction: f64,
    /// Degrees to the nearest edge of the picture; 0 inside.
    pub outside_by_deg: f64,
    /// What it does to the picture.
    pub flare: FlareRisk,
}

/// A star or planet in the picture, above the skyline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "typescript", derive(ts_rs::TS))]
pub struct FrameBody {
    /// Its name; a star without one by its Hipparcos number.
    pub name: String,
    /// V magnitude (planets: estimate).
    pub magnitude: f64,
    /// Where.
    pub place: FramePlace,
}

/// Sun, moon, planets and stars of one picture.
pub(super) struct Heavens {
    pub(super) moon: MoonInFrame,
    pub(super) sun: FramePlace,
    pub(super) planets: Vec<FrameBody>,
    pub(super) stars: Vec<FrameBody>,
}

/// Every star and planet above the skyline, framed or not: worked out once for many framings.
pub(super) struct BodiesUp {
    pub(super) planets: Vec<(String, f64, Horizontal)>,
    pub(super) stars: Vec<(String, f64, Horizontal)>,
}

impl BodiesUp {
    pub(super) fn new(request: &StandRequest) -> Result<Self, JobError> {
        let site = &request.site;
        let sky = sky::ObserverSky::new(request.at, site.position)
            .map_err(|error| JobError::bad("at", error.to_string(), error.hint()))?;
        let clear = |d: &Horizontal| d.altitude_deg > site.skyline_deg(d.azimuth_deg).max(0.0);
        let planets = sky::Planet::ALL.into_iter().map(|planet| {
            let place = sky.planet(planet);
            (planet.name().to_owned(), place.v_mag, apparent(place.horizontal))
        });
        let stars = sky.bright_stars_up(STAR_MAGNITUDE).into_iter().map(|place| {
            let name = place.star.name().map_or_else(|| format!("HIP {}", place.star.hip), str::to_owned);
            (name, place.star.v_mag, apparent(place.horizontal))
        });
        Ok(Self {
            planets: planets.filter(|(_, _, d)| clear(d)).collect(),
            stars: stars.filter(|(_, _, d)| clear(d)).collect(),
        })
    }
}

impl Heavens {
    pub(super) fn new(request: &StandRequest, now: &SkyNow, bodies: &BodiesUp, framing: &Framing) -> Self {
        Self {
            moon: moon(request, now, framing),
            sun: framing.place(apparent(now.sun)),
            planets: inside(&bodies.planets, framing),
            stars: inside(&bodies.stars, framing),
        }
    }
}

/// As seen through standard air.
pub(super) fn apparent(airless: Horizontal) -> Horizontal {
    Horizontal::new(sky::Air::default().apparent_altitude_deg(airless.altitude_deg), airless.azimuth_deg)
}

/// Whether the moon is there to disturb: above the skyline and not a thin crescent.
pub(super) fn moon_disturbs(request: &StandRequest, now: &SkyNow) -> bool {
    is_up(request, apparent(now.moon)) && now.moon_lit_fraction >= FLARING_LIT_SHARE
}

fn is_up(request: &StandRequest, direction: Horizontal) -> bool {
    direction.altitude_deg > request.site.skyline_deg(direction.azimuth_deg)
}

fn moon(request: &StandRequest, now: &SkyNow, framing: &Framing) -> MoonInFrame {
    let direction = apparent(now.moon);
    let place = framing.place(direction);
    let outside_by_deg = outside_by_deg(direction, place.inside, framing);
    let flare = match outside_by_deg {
        _ if !moon_disturbs(request, now) => FlareRisk::None,
        _ if place.inside => FlareRisk::InFrame,
        away if away < FLARE_LIKELY_DEG => FlareRisk::Likely,
        away if away < FLARE_POSSIBLE_DEG => FlareRisk::Possible,
        _ => FlareRisk::None,
    };
    let up = is_up(request, direction);
    MoonInFrame { place, up, lit_fraction: milli(now.moon_lit_fraction), outside_by_deg: milli(outside_by_deg), flare }
}

fn outside_by_deg(direction: Horizontal, inside: bool, framing: &Framing) -> f64 {
    if inside {
        return 0.0;
    }
    let border = framing.camera().frame_outline(BORDER_POINTS);
    border.into_iter().map(|corner| corner.separation_deg(direction)).fold(180.0, f64::min)
}

fn inside(bodies: &[(String, f64, Horizontal)], framing: &Framing) -> Vec<FrameBody> {
    bodies
        .iter()
        .map(|(name, magnitude, direction)| FrameBody {
            name: name.clone(),
            magnitude: milli(*magnitude),
            place: framing.place(*direction),
        })
        .filter(|body| body.place.inside)
        .collect()
}
