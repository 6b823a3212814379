//! Rays: fine stripes across a form, and the point where they meet.

use super::finding::AuroraRays;
use super::grid::{Grid, quantile};
use super::shape::{Axes, Seen, coherence, gradient, wrapped};
use crate::LensSolution;
use crate::least_squares::solve;
use quantity::Horizontal;

/// Half a window in which the direction of stripes is taken, cells.
const WINDOW: usize = 3;
/// Steps from one window to the next, cells.
const EVERY: usize = 3;
/// Broadest stripe, cells to each side, over the map's long side: what is broader is a band.
const BROADEST: f64 = 1.0 / 40.0;
/// Agreement of gradients in a window of stripes.
const LEAST_COHERENCE: f64 = 0.6;
/// Stripes stand above the noise of cells by this factor (root mean square).
const LEAST_SIGMAS: f64 = 3.0;
/// Stripes are at least this share of the form's own light: less is the picture's own banding.
const LEAST_CONTRAST: f64 = 0.04;
/// Rays stand across a long form, at this angle or more, degrees; its edges run along it.
const LEAST_ANGLE_DEG: f64 = 30.0;
/// Windows from which there are rays.
const LEAST_PIECES: usize = 12;
/// Share of the windows over the form that must show them.
const LEAST_SHARE: f64 = 0.15;
/// Scatter of directions about the point, degrees, over which there is no point and the stripes are no rays: 67 is chance.
const MOST_SCATTER_DEG: f64 = 20.0;
/// Rounds of reweighting.
const ROUNDS: usize = 8;
/// Angle at which a piece's weight is halved, degrees.
const HALF_WEIGHT_DEG: f64 = 6.0;
/// A point farther off than so many long sides is none: the rays are parallel.
const FARTHEST_SIDES: f64 = 12.0;

/// A piece of a ray: place and direction, in cells.
pub(super) struct Piece {
    pub(super) at: [f64; 2],
    pub(super) along: [f64; 2],
}

impl Piece {
    /// Pole of the great circle along it on the sky; none where the lens makes no image.
    fn circle(&self, cell_px: f64, lens: &LensSolution) -> Option<[f64; 3]> {
        let end = |sign: f64| {
            let cells = [0, 1].map(|i| self.at[i] + sign * self.along[i]);
            lens.horizontal_of(cells.map(|cells| (cells + 0.5) * cell_px - 0.5)).map(Horizontal::east_north_up)
        };
        let ([ax, ay, az], [bx, by, bz]) = (end(-1.0)?, end(1.0)?);
        let n = [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx];
        let size = n.iter().map(|x| x * x).sum::<f64>().sqrt();
        (size > 0.0).then(|| n.map(|x| x / size))
    }

    /// Angle at the piece between it and the way to a direction, degrees, 0 to 90.
    pub(super) fn misses_deg(&self, direction: Horizontal, cell_px: f64, lens: &LensSolution) -> Option<f64> {
        let n = self.circle(cell_px, lens)?;
        let here = lens.horizontal_of(self.at.map(|cells| (cells + 0.5) * cell_px - 0.5))?;
        let to = direction.east_north_up();
        let off = (0..3).map(|i| n[i] * to[i]).sum::<f64>();
        let way = here.separation_deg(direction).to_radians().sin();
        (way > 0.0).then(|| (off / way).clamp(-1.0, 1.0).asin().to_degrees().abs())
    }
}

/// Light averaged over nine cells, and what of it is finer than a band.
fn stripes(grid: Grid, light: &[f64], counts: &[bool]) -> (Vec<f64>, Vec<f64>) {
    let long = grid.columns.max(grid.rows) as f64;
    let broad = crate::whole::index((BROADEST * long).round()).max(2);
    let fine = grid.smoothed(light, counts, 1);
    let wide = grid.smoothed(light, counts, broad);
    let stripes = fine.iter().zip(&wide).map(|(fine, wide)| fine - wide).collect();
    (fine, stripes)
}

/// The noise of nine cells, from what differs between a cell and its mean.
pub(super) fn noise_of(light: &[f64], fine: &[f64], cells: impl Iterator<Item = usize>) -> Option<f64> {
    Some(quantile(cells.map(|cell| (light[cell] - fine[cell]).abs()), 0.5)? / 0.6745 / 3.0)
}

pub(super) fn find(seen: &Seen<'_>, axes: &Axes) -> Option<AuroraRays> {
    let pieces = pieces(seen, axes)?;
    let on_sky = seen.lens.and_then(|lens| meeting_on_sky(&pieces, seen.cell_px, lens));
    if let (Some((direction, scatter_deg)), Some(lens)) = (on_sky, seen.lens) {
        if scatter_deg > MOST_SCATTER_DEG {
            return None;
        }
        return Some(AuroraRays {
            pieces: pieces.len(),
            vanishing_px: lens.pixel_of_horizontal(direction),
            scatter_deg,
            from_magnetic_zenith_deg: seen.magnetic_zenith.map(|zenith| zenith.separation_deg(direction)),
            misses_zenith_deg: seen.magnetic_zenith.and_then(|zenith| {
                quantile(pieces.iter().filter_map(|piece| piece.misses_deg(zenith, seen.cell_px, lens)), 0.5)
            }),
        });
    }
    let (point, scatter_deg) = meeting(&pieces, seen.grid);
    if scatter_deg > MOST_SCATTER_DEG {
        return None;
    }
    let vanishing_px = point.map(|point| point.map(|cells| (cells + 0.5) * seen.cell_px - 0.5));
    Some(AuroraRays {
        pieces: pieces.len(),
        vanishing_px,
        scatter_deg,
        from_magnetic_zenith_deg: None,
        misses_zenith_deg: None,
    })
}

fn pieces(seen: &Seen<'_>, axes: &Axes) -> Option<Vec<Piece>> {
    let grid = seen.grid;
    let (fine, stripes) = stripes(grid, seen.excess, seen.usable);
    let inside = || (0..seen.mask.len()).filter(|cell| seen.mask[*cell]);
    let noise = noise_of(seen.excess, &fine, inside())?;
    let light = quantile(inside().map(|cell| fine[cell].abs()), 0.5)?;
    let is_long = axes.elongation() >= 2.0;
    let (mut windows, mut found) = (0usize, Vec::new());
    for row in (WINDOW..grid.rows.saturating_sub(WINDOW)).step_by(EVERY) {
        for column in (WINDOW..grid.columns.saturating_sub(WINDOW)).step_by(EVERY) {
            let middle = row * grid.columns + column;
            if !seen.mask[middle] {
                continue;
            }
            windows += 1;
            let cells = || grid.around(middle, WINDOW).filter(|cell| stripes[*cell].is_finite());
            let count = cells().count().max(1) as f64;
            let strength = (cells().map(|cell| stripes[cell].powi(2)).sum::<f64>() / count).sqrt();
            if strength < LEAST_SIGMAS * noise || strength < LEAST_CONTRAST * light {
                continue;
            }
            let (agreement, angle) = coherence(cells().filter_map(|cell| gradient(grid, &stripes, cell)));
            let across = wrapped(angle - axes.angle).abs().to_degrees();
            if agreement >= LEAST_COHERENCE && (!is_long || across >= LEAST_ANGLE_DEG) {
                found.push(Piece { at: grid.place(middle), along: [angle.cos(), angle.sin()] });
            }
        }
    }
    (found.len() >= LEAST_PIECES && found.len() as f64 >= LEAST_SHARE * windows as f64).then_some(found)
}

/// Where the lines meet in the picture, in cells, and their scatter in angle.
fn meeting(pieces: &[Piece], grid: Grid) -> (Option<[f64; 2]>, f64) {
    let long = grid.columns.max(grid.rows) as f64;
    let mut weights = vec![1.0; pieces.len()];
    let mut point: Option<[f64; 2]> = None;
    let mut scatter = f64::NAN;
    for _ in 0..ROUNDS {
        let (mut normal, mut right) = ([[0.0; 2]; 2], [0.0; 2]);
        for (piece, weight) in pieces.iter().zip(&weights) {
            let n = [-piece.along[1], piece.along[0]];
            let off = n[0] * piece.at[0] + n[1] * piece.at[1];
            for i in 0..2 {
                right[i] += weight * n[i] * off;
                for j in 0..2 {
                    normal[i][j] += weight * n[i] * n[j];
                }
            }
        }
        let Some(met) = solve(normal, right) else { return (None, scatter) };
        let angles: Vec<f64> = pieces.iter().map(|piece| off_deg(piece, met)).collect();
        for ((weight, piece), angle) in weights.iter_mut().zip(pieces).zip(&angles) {
            // in angle, not in distance: a far piece says less about the place
            let distance = (met[0] - piece.at[0]).hypot(met[1] - piece.at[1]).max(2.0);
            *weight = (1.0 + (angle / HALF_WEIGHT_DEG).powi(2)).recip() * (long / distance).powi(2);
        }
        scatter = quantile(angles.iter().map(|angle| angle.abs()), 0.5).unwrap_or(f64::NAN) / 0.6745;
        point = Some(met);
    }
    let middle = [0.5 * grid.columns as f64, 0.5 * grid.rows as f64];
    let near = point.filter(|p| (p[0] - middle[0]).hypot(p[1] - middle[1]) < FARTHEST_SIDES * long);
    (near, scatter)
}

fn off_deg(piece: &Piece, point: [f64; 2]) -> f64 {
    let towards = (point[1] - piece.at[1]).atan2(point[0] - piece.at[0]);
    wrapped(towards - piece.along[1].atan2(piece.along[0])).to_degrees()
}

/// Where the great circles through the pieces meet on the sky, and their scatter in degrees.
fn meeting_on_sky(pieces: &[Piece], cell_px: f64, lens: &LensSolution) -> Option<(Horizontal, f64)> {
    let normals: Vec<[f64; 3]> = pieces.iter().filter_map(|piece| piece.circle(cell_px, lens)).collect();
    if normals.len() < LEAST_PIECES {
        return None;
    }
    let mut weights = vec![1.0; normals.len()];
    let mut answer = None;
    for _ in 0..ROUNDS {
        let mut sum = [[0.0; 3]; 3];
        for (n, weight) in normals.iter().zip(&weights) {
            for i in 0..3 {
                for j in 0..3 {
                    sum[i][j] += weight * n[i] * n[j];
                }
            }
        }
        let point = smallest(sum)?;
        let angle = |n: &[f64; 3]| (0..3).map(|i| n[i] * point[i]).sum::<f64>().clamp(-1.0, 1.0).asin().to_degrees();
        for (weight, n) in weights.iter_mut().zip(&normals) {
            *weight = (1.0 + (angle(n) / HALF_WEIGHT_DEG).powi(2)).recip();
        }
        let scatter = quantile(normals.iter().map(|n| angle(n).abs()), 0.5)? / 0.6745;
        let up = if point[2] < 0.0 { point.map(|x| -x) } else { point };
        answer = Some((Horizontal::from_east_north_up(up), scatter));
    }
    answer
}

/// Unit vector that a symmetric matrix shrinks the most, by inverse iteration.
fn smallest(mut matrix: [[f64; 3]; 3]) -> Option<[f64; 3]> {
    let trace = matrix[0][0] + matrix[1][1] + matrix[2][2];
    for (i, row) in matrix.iter_mut().enumerate() {
        // keeps a perfect fit from being singular
        row[i] += 1e-9 * trace;
    }
    let mut vector = [0.5, 0.6, 0.7];
    for _ in 0..30 {
        let next = solve(matrix, vector)?;
        let size = next.iter().map(|x| x * x).sum::<f64>().sqrt();
        vector = next.map(|x| x / size);
    }
    vector.iter().all(|x| x.is_finite()).then_some(vector)
}
