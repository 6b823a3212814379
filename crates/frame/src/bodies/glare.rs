//! Light in rings around a disc.

use super::patches::{Blocks, Patch};

/// Directions in which a ring is sampled.
const DIRECTIONS: usize = 32;
/// Rings, in radii of the disc or in shares of the frame's long side, whichever is wider: beside the disc, and three through
/// the glare, each twice as wide as the one before.
const RINGS: [[f64; 2]; 4] = [[1.5, 0.004], [2.0, 0.015], [4.0, 0.03], [8.0, 0.06]];

/// Medians of the rings, and half the quartile range of the third.
#[derive(Debug, Clone, Copy)]
pub(super) struct Glare {
    pub(super) levels: [f64; 4],
    pub(super) unevenness: f64,
}

impl Glare {
    pub(super) fn around(blocks: &Blocks, patch: &Patch) -> Self {
        let mut unevenness = f64::INFINITY;
        let levels = RINGS.map(|[radii, share]| {
            let reach = (radii * patch.radius()).max(share * blocks.long_px() / blocks.side_px);
            let mut ring: Vec<f64> = (0..DIRECTIONS)
                .filter_map(|direction| {
                    let (sin, cos) = (std::f64::consts::TAU * direction as f64 / DIRECTIONS as f64).sin_cos();
                    blocks.at([patch.middle[0] + reach * cos, patch.middle[1] + reach * sin])
                })
                .collect();
            ring.sort_by(f64::total_cmp);
            let place = |quarters: usize| ring.get(ring.len() * quarters / 4).copied();
            if radii.to_bits() == RINGS[2][0].to_bits() {
                unevenness = place(3).zip(place(1)).map_or(f64::INFINITY, |(high, low)| 0.5 * (high - low));
            }
            // a ring mostly outside the frame says nothing: as good as no glare
            if ring.len() < DIRECTIONS / 4 { f64::NAN } else { place(2).unwrap_or(f64::NAN) }
        });
        Self { levels, unevenness }
    }
}
