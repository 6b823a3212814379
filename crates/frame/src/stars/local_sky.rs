use std::f64::consts::PI;

use crate::Plane;
use crate::least_squares::solve;
use crate::whole::{clipped, index};

/// Sectors of the ring in which the sky around a star is measured, so that a neighbour spoils one of them only.
const SECTORS: usize = 8;
/// Samples taken from the ring, about.
const RING_SAMPLES: f64 = 400.0;
/// Median deviation of a sector's median from the fitted plane that noise alone seldom exceeds, times the square root
/// of the sector's samples and over the noise of one: a median has 1.25 of a mean's error, the median of eight such
/// deviations is about 0.6 of it, and twice that is rare.
const SECTOR_NOISE: f64 = 1.5;
/// Sectors that must hold samples.
const LEAST_SECTORS: usize = 4;

/// The sky around a star: a tilted plane.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LocalSky {
    x: f64,
    y: f64,
    pub(crate) level: f64,
    slope_x: f64,
    slope_y: f64,
    /// Median deviation of the ring's sectors from a tilted plane.
    roughness: f64,
    /// Samples in a full sector.
    samples: usize,
}

impl LocalSky {
    /// Measures it in a ring between two radii; `None` where too little of the ring is on the plane.
    pub(crate) fn measure(plane: &Plane, [x, y]: [f64; 2], inner_px: f64, outer_px: f64) -> Option<Self> {
        let (inner2, outer2) = (inner_px * inner_px, outer_px * outer_px);
        let stride = (PI * (outer2 - inner2) / RING_SAMPLES).sqrt().round().max(1.0);
        let mut sectors: [Sector; SECTORS] = std::array::from_fn(|_| Sector::new());
        // steps from the pixel nearest to the place, so that every star's ring is sampled alike
        let (middle_x, middle_y) = (x.round(), y.round());
        let reach = (outer_px / stride).floor() * stride;
        let places = |middle: f64, n: usize| clipped(middle, reach, n).map(|range| range.step_by(index(stride)));
        let columns = places(middle_x, plane.width())?;
        for row in places(middle_y, plane.height())? {
            let samples = plane.row(row);
            let dy = row as f64 - y;
            // what of the row lies well inside the ring is not looked at
            let hole_px = (inner2 - dy * dy).max(0.0).sqrt() - 1.0;
            let mut columns = columns.clone();
            while let Some(column) = columns.next() {
                let dx = column as f64 - x;
                if dx < 0.0 && -dx < hole_px {
                    if let Some(last) = index((hole_px - dx) / stride).checked_sub(1) {
                        let _passed = columns.nth(last);
                    }
                    continue;
                }
                let sample = samples.at(column);
                let r2 = dx * dx + dy * dy;
                let counts = r2 >= inner2 && r2 <= outer2 && sample.is_finite();
                sectors[sector(dx, dy)].add(dx, dy, sample, counts);
            }
        }
        let full = sectors.iter().map(|sector| sector.count).max().unwrap_or(0);
        let points: Vec<[f64; 3]> =
            sectors.iter_mut().filter(|sector| sector.count * 2 > full).map(Sector::middle).collect();
        (points.len() >= LEAST_SECTORS).then(|| Self { samples: full, ..Self::through(&points, [x, y]) })
    }

    /// The plane through the middles of the sectors, with little weight for one that does not fit.
    fn through(points: &[[f64; 3]], [x, y]: [f64; 2]) -> Self {
        let mut weights = vec![1.0; points.len()];
        let (mut fit, mut roughness) = ([0.0; 3], 0.0);
        for _ in 0..4 {
            fit = weighted_plane(points, &weights);
            let residuals: Vec<f64> = points.iter().map(|[dx, dy, v]| v - fit[0] - fit[1] * dx - fit[2] * dy).collect();
            let mut sizes: Vec<f64> = residuals.iter().map(|r| r.abs()).collect();
            sizes.sort_by(f64::total_cmp);
            roughness = sizes[sizes.len() / 2];
            let scale = 2.0 * roughness;
            for (weight, residual) in weights.iter_mut().zip(&residuals) {
                *weight = if scale > 0.0 { (1.0 + (residual / scale).powi(2)).recip() } else { 1.0 };
            }
        }
        Self { x, y, level: fit[0], slope_x: fit[1], slope_y: fit[2], roughness, samples: 0 }
    }

    /// How far the sky around is from a tilted plane, beyond what pixels of a noise make of one.
    pub(crate) fn roughness_beyond(&self, pixel_noise: f64) -> f64 {
        let noise = SECTOR_NOISE * pixel_noise / (self.samples.max(1) as f64).sqrt();
        (self.roughness * self.roughness - noise * noise).max(0.0).sqrt()
    }

    /// The same slope through another level at a place.
    pub(crate) fn through_level(&self, x: f64, y: f64, level: f64) -> Self {
        Self { level: self.level + level - self.at(x, y), ..*self }
    }

    pub(crate) fn at(&self, x: f64, y: f64) -> f64 {
        self.level + self.slope_x * (x - self.x) + self.slope_y * (y - self.y)
    }
}

/// Which eighth of the circle a direction lies in.
fn sector(dx: f64, dy: f64) -> usize {
    usize::from(dx > 0.0) + 2 * usize::from(dy > 0.0) + 4 * usize::from(dx.abs() > dy.abs())
}

/// Samples of a sector, at most: twice those of a ring whose stride is only just rounded down (2.25 times as many samples
/// as asked for, in eight sectors).
const MOST_IN_SECTOR: usize = 256;

/// Samples of one eighth of the ring.
struct Sector {
    /// Sums of the steps from the star.
    sums: [f64; 2],
    samples: [f32; MOST_IN_SECTOR],
    count: usize,
}

impl Sector {
    fn new() -> Self {
        Self { sums: [0.0; 2], samples: [0.0; MOST_IN_SECTOR], count: 0 }
    }

    /// Adds a sample if it counts: written in any case, for a branch here would be guessed wrong too often.
    fn add(&mut self, dx: f64, dy: f64, sample: f32, counts: bool) {
        self.samples[self.count % MOST_IN_SECTOR] = sample;
        let share = if counts { [dx, dy] } else { [0.0; 2] };
        self.sums = [self.sums[0] + share[0], self.sums[1] + share[1]];
        self.count += usize::from(counts && self.count + 1 < MOST_IN_SECTOR);
    }

    /// Mean place and median value.
    fn middle(&mut self) -> [f64; 3] {
        let n = self.count as f64;
        let samples = &mut self.samples[..self.count];
        let value = *samples.select_nth_unstable_by(self.count / 2, f32::total_cmp).1;
        [self.sums[0] / n, self.sums[1] / n, f64::from(value)]
    }
}

/// Least squares for `level + a dx + b dy`.
fn weighted_plane(points: &[[f64; 3]], weights: &[f64]) -> [f64; 3] {
    let mut normal = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    for ([dx, dy, value], weight) in points.iter().zip(weights) {
        let row = [1.0, *dx, *dy];
        for i in 0..3 {
            right[i] += weight * row[i] * value;
            for j in 0..3 {
                normal[i][j] += weight * row[i] * row[j];
            }
        }
    }
    solve(normal, right).unwrap_or_else(|| {
        let sum: f64 = weights.iter().sum();
        [points.iter().zip(weights).map(|(p, w)| w * p[2]).sum::<f64>() / sum, 0.0, 0.0]
    })
}

/// Mean of the four neighbours over a pixel, both less the sky, and that mean over its own noise.
///
/// * `noise`: of one pixel.
pub(crate) fn neighbours(plane: &Plane, sky: &LocalSky, x: usize, y: usize, noise: f64) -> Option<[f64; 2]> {
    let at = |dx: isize, dy: isize| {
        let (x, y) = (x.checked_add_signed(dx)?, y.checked_add_signed(dy)?);
        let value = f64::from(plane.row(y).get(x)?);
        value.is_finite().then(|| value - sky.at(x as f64, y as f64))
    };
    let mean = 0.25 * (at(1, 0)? + at(-1, 0)? + at(0, 1)? + at(0, -1)?);
    let middle = at(0, 0)?;
    (middle > 0.0).then(|| [mean / middle, 2.0 * mean / noise.max(f64::MIN_POSITIVE)])
}

/// Share of its light that each neighbour of a sharp star has at least, and how surely: a star of 1.1 px FWHM, its pixel
/// included, gives 0.05; electrons that leak out of a hot pixel make 0.01 to 0.02 (from memory).
pub(crate) const SHARP_STAR: [f64; 2] = [0.05, 5.0];
