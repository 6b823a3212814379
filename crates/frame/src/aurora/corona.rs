//! Fine stripes on all sides of the magnetic zenith that point at it.
//!
//! A corona is seen where rays are looked at along themselves. Its curtains are steep and fine, so that many of their cells are left out of the
//! sky as rough, and the form is often long: neither keeps a stripe from pointing somewhere. So stripes are taken near the aurora,
//! whether their cells were kept or not, and asked one question: do they point at the magnetic zenith, and from how many sides?

use super::finding::AuroraCorona;
use super::grid::quantile;
use super::rays::{Piece, noise_of};
use super::shape::{Seen, coherence, gradient};
use quantity::Horizontal;

/// Ring around the magnetic zenith in which stripes count, degrees: nearer, a window holds many bearings; farther, rays of any
/// curtain in a wide picture point at it.
const RING_DEG: [f64; 2] = [5.0, 45.0];
/// Cells along the long side for which the sizes below hold; of twice as many cells they are twice as large.
const CELLS_ALONG: f64 = 125.0;
/// Cells around the aurora in which its stripes lie (judgement).
const NEAR_CELLS: usize = 6;
/// Half a window in which the direction of stripes is taken, and steps from one to the next, cells.
const WINDOW: usize = 2;
const EVERY: usize = 3;
/// What is broader than so many cells to each side is no stripe of a corona, which is seen along its rays.
const BROADEST: usize = 2;
/// Agreement of gradients in a window (judgement).
const LEAST_COHERENCE: f64 = 0.6;
/// Stripes stand above the noise by this factor, as rays do.
const LEAST_SIGMAS: f64 = 3.0;
/// Angle by which a stripe may miss the magnetic zenith and still point at it, degrees: a stripe by chance does in one case of six.
const POINTS_DEG: f64 = 15.0;
/// Stripes of an eighth from which it has a say (judgement).
const LEAST_IN_EIGHTH: usize = 3;
/// Stripes from which anything is said (judgement).
const LEAST_PIECES: usize = 20;

/// None without a lens by stars, without a magnetic zenith, or with too few stripes.
pub(super) fn around_zenith(seen: &Seen<'_>) -> Option<AuroraCorona> {
    let (lens, zenith) = (seen.lens?, seen.magnetic_zenith?);
    let grid = seen.grid;
    let whole: Vec<bool> = seen.light.iter().map(|light| light.is_finite()).collect();
    let unit = crate::whole::index((grid.columns.max(grid.rows) as f64 / CELLS_ALONG).round()).max(1);
    let (window, every) = (WINDOW * unit, EVERY * unit);
    let fine = grid.smoothed(seen.light, &whole, unit - 1);
    let wide = grid.smoothed(seen.light, &whole, BROADEST * unit);
    let stripes: Vec<f64> = fine.iter().zip(&wide).map(|(fine, wide)| fine - wide).collect();
    let near = grid.widened(seen.mask, NEAR_CELLS * unit);
    let nine = grid.smoothed(seen.light, &whole, 1);
    let noise = noise_of(seen.light, &nine, (0..near.len()).filter(|cell| near[*cell]))?;
    let mut parts = [[0_usize; 2]; 8];
    let mut misses = Vec::new();
    for row in (window..grid.rows.saturating_sub(window)).step_by(every) {
        for column in (window..grid.columns.saturating_sub(window)).step_by(every) {
            let middle = row * grid.columns + column;
            let at = grid.place(middle).map(|cells| (cells + 0.5) * seen.cell_px - 0.5);
            let Some(direction) = near[middle].then(|| lens.horizontal_of(at)).flatten() else { continue };
            let off_deg = direction.separation_deg(zenith);
            if !(RING_DEG[0]..RING_DEG[1]).contains(&off_deg) {
                continue;
            }
            let cells = || grid.around(middle, window).filter(|cell| stripes[*cell].is_finite());
            let count = cells().count().max(1) as f64;
            let strength = (cells().map(|cell| stripes[cell].powi(2)).sum::<f64>() / count).sqrt();
            if strength < LEAST_SIGMAS * noise {
                continue;
            }
            let (agreement, angle) = coherence(cells().filter_map(|cell| gradient(grid, &stripes, cell)));
            let piece = Piece { at: grid.place(middle), along: [angle.cos(), angle.sin()] };
            if agreement < LEAST_COHERENCE {
                continue;
            }
            let Some(miss) = piece.misses_deg(zenith, seen.cell_px, lens) else { continue };
            misses.push(miss);
            let part = &mut parts[eighth(zenith, direction)];
            part[usize::from(miss <= POINTS_DEG)] += 1;
        }
    }
    if misses.len() < LEAST_PIECES {
        return None;
    }
    let pointing = misses.iter().filter(|miss| **miss <= POINTS_DEG).count();
    // every eighth speaks for itself: borders of curtains run across, so that twice the share of chance is asked for
    let sides = parts.iter().filter(|[beside, point]| *point >= LEAST_IN_EIGHTH && 2 * point >= *beside).count();
    Some(AuroraCorona {
        pieces: misses.len(),
        pointing_share: pointing as f64 / misses.len() as f64,
        sides,
        misses_deg: quantile(misses, 0.5)?,
    })
}

/// Which eighth of the sky around a direction another one lies in, counted by bearing.
fn eighth(about: Horizontal, to: Horizontal) -> usize {
    let [a, b] = [about, to].map(|direction| direction.altitude_deg.to_radians());
    let turn = (to.azimuth_deg - about.azimuth_deg).to_radians();
    let bearing = (turn.sin() * b.cos()).atan2(a.cos() * b.sin() - a.sin() * b.cos() * turn.cos());
    crate::whole::index((bearing.to_degrees().rem_euclid(360.0) / 45.0).floor()).min(7)
}
