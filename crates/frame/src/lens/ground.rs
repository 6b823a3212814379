//! The catalogue as it stands over one place at one instant, lifted by the air.

use quantity::Horizontal;
use sky::{Air, ObserverSky};

use super::hints::LensHints;
use super::sky_index::{SkyIndex, direction};
use super::vector::{Rotation, Vector, rotation_between, transpose, turn};

/// From the sky's fixed axes to the horizon of one place and instant, and the air there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ground {
    /// From ICRS to east, north, up.
    rotation: Rotation,
    air: Air,
}

/// Stars lower than this, airless, cannot be seen, degrees: the air lifts by 0.6 at most, a mountain's horizon dips by 2.
const LOWEST_SEEN_DEG: f64 = -2.0;
/// Share of the pairs that must be up for the time and place to be believed: a few pairs are chance.
const LEAST_UP: f64 = 0.95;

impl Ground {
    /// Of hints that hold time and place, with all stars of an index in place of its own directions: seen ones, turned back
    /// to ICRS axes so that only refraction and aberration are different. `None` where the instant is out of range.
    pub(crate) fn new(hints: &LensHints, index: &SkyIndex) -> Option<(Self, SkyIndex)> {
        let sky_then = ObserverSky::new(hints.taken_at?, hints.place?).ok()?;
        let axes = [[0.0, 0.0], [90.0, 0.0], [0.0, 90.0]];
        let seen = axes.map(|[ra, dec]| sky_then.icrs(ra, dec).east_north_up());
        let rotation = rotation_between(&axes.map(|[ra, dec]| direction(ra, dec)), &seen)?;
        let ground = Self { rotation, air: hints.air.unwrap_or_default() };
        let directions = index
            .hip
            .iter()
            .zip(&index.directions)
            .map(|(hip, v)| {
                let star = sky::catalogue().star(*hip);
                star.map_or(*v, |star| ground.icrs_of(ground.air.apparent(sky_then.star(star))))
            })
            .collect();
        Some((ground, SkyIndex::new(index.hip.clone(), directions)))
    }

    /// Whether the stars of these directions (ICRS) were above the horizon.
    pub(crate) fn agrees(&self, stars: &[Vector]) -> bool {
        let up = stars.iter().filter(|v| self.horizontal_of(**v).altitude_deg > LOWEST_SEEN_DEG).count();
        up as f64 >= LEAST_UP * stars.len() as f64
    }

    /// Seen direction of seen ICRS axes.
    pub(crate) fn horizontal_of(&self, v: Vector) -> Horizontal {
        Horizontal::from_east_north_up(turn(&self.rotation, v))
    }

    /// From ICRS to east, north, up.
    pub(crate) fn rotation(&self) -> Rotation {
        self.rotation
    }

    pub(crate) fn icrs_of(&self, seen: Horizontal) -> Vector {
        turn(&transpose(&self.rotation), seen.east_north_up())
    }

    /// A seen direction without the air.
    pub(crate) fn without_air(&self, v: Vector) -> Vector {
        self.icrs_of(self.air.airless(self.horizontal_of(v)))
    }

    pub(crate) fn with_air(&self, v: Vector) -> Vector {
        self.icrs_of(self.air.apparent(self.horizontal_of(v)))
    }
}
