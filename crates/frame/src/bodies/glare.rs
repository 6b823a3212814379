//! Light in rings around a disc.

use super::patches::{Blocks, Patch};
use crate::{CellKind, SkyMask};

/// Directions in which a ring is sampled.
const DIRECTIONS: usize = 32;
/// Rings, in radii of the disc or in shares of the frame's long side, whichever is wider: beside the disc, and three through
/// the glare, each twice as wide as the one before.
const RINGS: [[f64; 2]; 4] = [[1.5, 0.004], [2.0, 0.015], [4.0, 0.03], [8.0, 0.06]];

/// Directions of a ring that must be sky; of a disc too small for a shape, which may be a light on the rim of a fisheye.
const LEAST: usize = 8;
const SMALL_LEAST: usize = 24;

/// Share of the directions beside a disc that are sky.
pub(super) fn sky_around(blocks: &Blocks, patch: &Patch, mask: &SkyMask) -> f64 {
    let reach = 1.5 * patch.radius() + 1.0;
    let is_sky = |direction: &usize| {
        let (sin, cos) = (std::f64::consts::TAU * *direction as f64 / DIRECTIONS as f64).sin_cos();
        let place = [patch.middle[0] + reach * cos, patch.middle[1] + reach * sin];
        mask.at(blocks.place_px(place)) == CellKind::Sky
    };
    (0..DIRECTIONS).filter(is_sky).count() as f64 / DIRECTIONS as f64
}

/// Medians of the rings, and half the quartile range of the third.
#[derive(Debug, Clone, Copy)]
pub(super) struct Glare {
    pub(super) levels: [f64; 4],
    pub(super) unevenness: f64,
}

impl Glare {
    /// Of a disc, in the sky only.
    pub(super) fn around(blocks: &Blocks, patch: &Patch, mask: &SkyMask) -> Self {
        let mut unevenness = f64::INFINITY;
        let least = if patch.blocks < super::SHAPED_BLOCKS { SMALL_LEAST } else { LEAST };
        let levels = RINGS.map(|[radii, share]| {
            let reach = (radii * patch.radius()).max(share * blocks.long_px() / blocks.side_px);
            let mut ring: Vec<f64> = (0..DIRECTIONS)
                .filter_map(|direction| {
                    let (sin, cos) = (std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64).sin_cos();
                    let place = [patch.middle[0] + reach * cos, patch.middle[1] + reach * sin];
                    // the ground does not shine with it
                    let is_sky = mask.at(blocks.place_px(place)) == CellKind::Sky;
                    if is_sky { blocks.at(place) } else { None }
                })
                .collect();
            ring.sort_by(f64::total_cmp);
            let place = |quarters: usize| ring.get(ring.len() * quarters / 4).copied();
            if radii.to_bits() == RINGS[2][0].to_bits() {
                unevenness = place(3).zip(place(1)).map_or(f64::INFINITY, |(high, low)| 0.5 * (high - low));
            }
            // a ring mostly outside the sky says nothing: as good as no glare
            if ring.len() < least { f64::NAN } else { place(2).unwrap_or(f64::NAN) }
        });
        Self { levels, unevenness }
    }
}
