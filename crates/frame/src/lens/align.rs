//! One frame's sky laid over another's by their stars.

use super::solution::LensSolution;
use super::vector::{Vector, compose, refined, small_turn, transpose, turn, unit};
use crate::StarField;

/// Stars of each frame that are compared, the most significant ones: enough for a rotation to a hundredth of a pixel.
const MOST_STARS: usize = 250;
/// Stars that must lie on stars: fewer are an accident or a hole in the cloud.
const FEWEST_STARS: usize = 10;
/// How many times more stars must lie on stars than chance would put there.
const OVER_CHANCE: f64 = 4.0;
/// How far a star may be from its place, px, round after round: from what a clock of whole seconds and the last frame's place
/// leave open, down to what a good lens solution leaves over (half a pixel).
const REACHES_PX: [f64; 4] = [8.0, 4.0, 2.5, 1.5];
/// Sidereal turn of the sky, rad/s: IERS Conventions 2010, 5.4.4 (rate of the Earth Rotation Angle).
const TURN_RAD_S: f64 = 7.292_115_146_706_9e-5;

/// How a frame's sky lies over that of a reference frame through the same lens.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StarAlignment {
    /// Turns directions in the frame's camera axes into the reference's; see [`crate::LensModel`] for the axes.
    pub turn: [[f64; 3]; 3],
    /// Stars that lie on stars of the reference.
    pub matched: usize,
    /// Root mean square distance of those, px.
    pub residual_px: f64,
}

impl LensSolution {
    /// What a camera that stands still sees after some seconds, turned back onto what it sees now: for
    /// [`StarAlignment::turn`]. The air's lift is left as it is.
    pub fn turn_after(&self, seconds: f64) -> [[f64; 3]; 3] {
        let sky = small_turn([0.0, 0.0, TURN_RAD_S * seconds]);
        compose(&compose(&self.attitude, &sky), &transpose(&self.attitude))
    }

    /// The turn from another solution of the same lens onto this one, by the stars of the catalogue.
    pub fn turn_from(&self, other: &Self) -> [[f64; 3]; 3] {
        compose(&self.attitude, &transpose(&other.attitude))
    }

    /// Lays a frame's stars over those of the frame that this solution is of.
    ///
    /// Every star found counts, in the catalogue or not. The lens must be the same and the frames of one size.
    ///
    /// * `guesses`: turns to begin from, the likeliest first: by the clocks ([`LensSolution::turn_after`]), by the catalogue ([`LensSolution::turn_from`]).
    ///   Each must be right to some 8 px.
    ///
    /// `None` where no guess puts enough stars on stars.
    pub fn align_stars(&self, own: &StarField, field: &StarField, guesses: &[[[f64; 3]; 3]]) -> Option<StarAlignment> {
        let ready = self.model.ready();
        let places = |field: &StarField| -> Vec<([f64; 2], Vector)> {
            let brightest = field.stars.iter().take(MOST_STARS).map(|star| [star.x_px, star.y_px]);
            brightest.filter_map(|px| Some((px, ready.direction_of(px)?))).collect()
        };
        let (own_places, seen) = (places(own), places(field));
        let area_px = own.size_px[0] as f64 * own.size_px[1] as f64;
        let by_chance = |reach_px: f64| {
            own_places.len() as f64 * seen.len() as f64 * std::f64::consts::PI * reach_px * reach_px / area_px.max(1.0)
        };
        guesses.iter().find_map(|guess| {
            let mut found = StarAlignment { turn: *guess, matched: 0, residual_px: f64::INFINITY };
            for reach_px in REACHES_PX {
                let mut square = 0.0;
                let (mut from, mut to) = (Vec::new(), Vec::new());
                for (_, direction) in &seen {
                    let Some(at) = unit(turn(&found.turn, *direction)).and_then(|v| ready.pixel_of(v)) else {
                        continue;
                    };
                    if let Some((distance, star)) = nearest(at, &own_places)
                        && distance <= reach_px
                    {
                        square += distance * distance;
                        from.push(*direction);
                        to.push(star);
                    }
                }
                if from.len() < FEWEST_STARS {
                    return None;
                }
                let residual_px = (square / from.len() as f64).sqrt();
                found = StarAlignment { turn: refined(found.turn, &from, &to)?, matched: from.len(), residual_px };
            }
            let last = REACHES_PX[REACHES_PX.len() - 1];
            (found.matched as f64 >= OVER_CHANCE * by_chance(last)).then_some(found)
        })
    }
}

fn nearest([x, y]: [f64; 2], places: &[([f64; 2], Vector)]) -> Option<(f64, Vector)> {
    let distance = |[px, py]: [f64; 2]| (px - x).hypot(py - y);
    places.iter().map(|(place, direction)| (distance(*place), *direction)).min_by(|a, b| a.0.total_cmp(&b.0))
}
