use std::f64::consts::PI;

use crate::Plane;
use crate::least_squares::solve;
use crate::whole::{index, signed, step};

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

/// Places around a pixel in which the sky of a star is measured: a ring, sector by sector. Made once for all stars of a shape.
#[derive(Debug, Clone)]
pub(crate) struct SkyRing {
    rows: Vec<RingRow>,
}

/// Places of a ring in one row.
#[derive(Debug, Clone)]
struct RingRow {
    /// Of the row, from the middle.
    down: isize,
    /// Columns from the middle, and the sector each lies in.
    places: Vec<(isize, usize)>,
}

impl SkyRing {
    /// The ring between two radii, thinned to about [`RING_SAMPLES`] places.
    pub(crate) fn new(inner_px: f64, outer_px: f64) -> Self {
        let (inner2, outer2) = (inner_px * inner_px, outer_px * outer_px);
        let stride = (PI * (outer2 - inner2) / RING_SAMPLES).sqrt().round().max(1.0);
        let steps = signed(index(outer_px / stride));
        let offsets = || (-steps..=steps).map(|at| at as f64 * stride);
        let row = |dy: f64| {
            let inside = offsets().filter(|dx| (inner2..=outer2).contains(&(dx * dx + dy * dy)));
            RingRow { down: step(dy), places: inside.map(|dx| (step(dx), sector(dx, dy))).collect() }
        };
        Self { rows: offsets().map(row).filter(|row| !row.places.is_empty()).collect() }
    }
}

impl LocalSky {
    /// Measures it in a ring around the pixel nearest to a place; `None` where too little of the ring is on the plane.
    pub(crate) fn measure(plane: &Plane, [x, y]: [f64; 2], ring: &SkyRing) -> Option<Self> {
        if !x.is_finite() || !y.is_finite() {
            return None;
        }
        let middle = [x, y].map(|value| step(value.round()));
        let mut sectors: [Sector; SECTORS] = std::array::from_fn(|_| Sector::new());
        for RingRow { down, places } in &ring.rows {
            let Some(row) = middle[1].checked_add(*down).and_then(|row| usize::try_from(row).ok()) else { continue };
            let samples = plane.row(row);
            for (right, sector) in places {
                // left of the plane wraps to a column that no plane has
                let sample = samples.at(middle[0].wrapping_add(*right).cast_unsigned());
                if sample.is_finite() {
                    sectors[*sector].add([*right, *down], sample);
                }
            }
        }
        let full = sectors.iter().map(|sector| sector.count).max().unwrap_or(0);
        // the middles of the sectors from the place itself
        let beside = [x - x.round(), y - y.round()];
        let mut points = [[0.0; 3]; SECTORS];
        let mut count = 0;
        for sector in sectors.iter_mut().filter(|sector| sector.count * 2 > full) {
            let [dx, dy, value] = sector.middle();
            points[count] = [dx - beside[0], dy - beside[1], value];
            count += 1;
        }
        (count >= LEAST_SECTORS).then(|| Self { samples: full, ..Self::through(&points[..count], [x, y]) })
    }

    /// The plane through the middles of the sectors, with little weight for one that does not fit.
    fn through(points: &[[f64; 3]], [x, y]: [f64; 2]) -> Self {
        let mut weights = [1.0; SECTORS];
        let (mut fit, mut roughness) = ([0.0; 3], 0.0);
        for _ in 0..4 {
            fit = weighted_plane(points, &weights);
            let mut sizes = [0.0; SECTORS];
            for (size, [dx, dy, value]) in sizes.iter_mut().zip(points) {
                *size = (value - fit[0] - fit[1] * dx - fit[2] * dy).abs();
            }
            let mut sorted = sizes;
            let sorted = &mut sorted[..points.len()];
            sorted.sort_unstable_by(f64::total_cmp);
            roughness = sorted[sorted.len() / 2];
            let scale = 2.0 * roughness;
            for (weight, size) in weights.iter_mut().zip(&sizes) {
                *weight = if scale > 0.0 { (1.0 + (size / scale).powi(2)).recip() } else { 1.0 };
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
    /// Sums of the steps from the middle.
    sums: [isize; 2],
    samples: [f32; MOST_IN_SECTOR],
    count: usize,
}

impl Sector {
    fn new() -> Self {
        Self { sums: [0; 2], samples: [0.0; MOST_IN_SECTOR], count: 0 }
    }

    fn add(&mut self, [right, down]: [isize; 2], sample: f32) {
        if let Some(room) = self.samples.get_mut(self.count) {
            *room = sample;
            self.sums = [self.sums[0] + right, self.sums[1] + down];
            self.count += 1;
        }
    }

    /// Mean place and median value.
    fn middle(&mut self) -> [f64; 3] {
        let n = self.count as f64;
        let samples = &mut self.samples[..self.count];
        let value = *samples.select_nth_unstable_by(self.count / 2, f32::total_cmp).1;
        [self.sums[0] as f64 / n, self.sums[1] as f64 / n, f64::from(value)]
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
        let sum: f64 = weights.iter().take(points.len()).sum();
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
