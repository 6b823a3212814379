//! Stars that are the same pixel for pixel, and stars on the ground.

use frame::{Plane, Star};

use crate::check::FrameLayers;
use crate::desk::grey::whole;

/// Half the side of what is compared around a star, px.
const REACH: usize = 3;
/// Stars compared, at most.
const MOST: usize = 150;
/// Significance and height from which noise makes two stars differ by more than the limit.
const LEAST_SNR: f64 = 15.0;
const LEAST_PEAK: f64 = 0.03;
/// Root mean square difference of two stars, of their height, below which they are twins.
const TWIN: f32 = 0.008;
/// Stars from which the share on the ground is told.
const LEAST_STARS: usize = 20;

/// Whether a pixel as stored lies on the ground.
pub(super) fn is_ground(layers: &FrameLayers, [x, y]: [f64; 2]) -> bool {
    let [column, row] = [x, y].map(|px| whole((px + 0.5) / layers.cell_px.max(1.0)));
    column < layers.columns && layers.ground.get(row * layers.columns + column).copied().unwrap_or(false)
}

/// Share of the stars that lie on the ground; `None` without ground or with too few stars.
pub(super) fn on_ground(stars: &[Star], layers: &FrameLayers) -> Option<f64> {
    let has_ground = layers.ground.iter().any(|ground| *ground);
    let on = stars.iter().filter(|star| is_ground(layers, [star.x_px, star.y_px])).count();
    (has_ground && stars.len() >= LEAST_STARS).then(|| on as f64 / stars.len() as f64)
}

/// Stars with a twin, and how many were compared.
pub(super) fn twins(plane: &Plane, stars: &[Star]) -> (u32, u32) {
    let stamps: Vec<Vec<f32>> = stars
        .iter()
        .filter(|star| star.snr >= LEAST_SNR && star.peak >= LEAST_PEAK && !star.saturated)
        .take(MOST)
        .filter_map(|star| stamp(plane, star))
        .collect();
    let is_twin = |index: usize| {
        stamps.iter().enumerate().any(|(other, stamp)| other != index && difference(&stamps[index], stamp) < TWIN)
    };
    let count = |things: usize| u32::try_from(things).unwrap_or(u32::MAX);
    (count((0..stamps.len()).filter(|index| is_twin(*index)).count()), count(stamps.len()))
}

fn stamp(plane: &Plane, star: &Star) -> Option<Vec<f32>> {
    let [x, y] = [star.x_px, star.y_px].map(|px| whole(px.round()));
    let (left, top) = (x.checked_sub(REACH)?, y.checked_sub(REACH)?);
    let mut values = Vec::new();
    for row in top..=y + REACH {
        values.extend(plane.row(row).part(left..x + REACH + 1));
    }
    #[expect(clippy::cast_possible_truncation, reason = "a level of light")]
    let sky = star.background as f32;
    let peak = values.iter().copied().fold(0.0f32, f32::max) - sky;
    let is_whole = values.len() == (2 * REACH + 1).pow(2);
    (is_whole && peak > 0.0 && values.iter().all(|value| value.is_finite()))
        .then(|| values.iter().map(|value| (value - sky) / peak).collect())
}

fn difference(a: &[f32], b: &[f32]) -> f32 {
    let sum: f32 = a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum();
    (sum / a.len().max(1) as f32).sqrt()
}
