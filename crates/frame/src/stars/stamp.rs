use std::f64::consts::PI;

use super::moments::Moments;
use crate::Plane;
use crate::whole::step;

/// The window ends where it has fallen to `exp(-3.5²/2)` = 0.2 %.
const WINDOW_SIGMA: f64 = 3.5;
/// Steps in which the window is made to fit; it gains a digit about every third.
const MOST_STEPS: usize = 30;
/// Change of centre (px) and of relative width at which the window fits: far below what noise moves them.
const LAST_STEP: f64 = 2e-3;
/// How far the centre may wander from the peak, in standard deviations of the first window.
const LEASH_SIGMA: f64 = 4.0;
/// Narrowest window, px² (2.6 px FWHM): in narrower ones the place between pixels moves the centre by 0.02 px. A sharper
/// star is measured in this one.
const LEAST_VARIANCE_PX2: f64 = 1.2;
/// Sectors of the ring in which the sky around a star is measured, so that a neighbour spoils one of them only.
const SECTORS: usize = 8;
/// Samples taken from the ring at most.
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
        let mut sectors: [Vec<[f64; 3]>; SECTORS] = Default::default();
        let stride = (PI * (outer_px * outer_px - inner_px * inner_px) / RING_SAMPLES).sqrt().ceil().max(1.0);
        let half = (outer_px / stride).ceil();
        for j in 0..=2 * step(half) {
            for i in 0..=2 * step(half) {
                let (dx, dy) = ((i as f64 - half) * stride, (j as f64 - half) * stride);
                let r2 = dx * dx + dy * dy;
                if r2 < inner_px * inner_px || r2 > outer_px * outer_px {
                    continue;
                }
                let Some(value) = sample(plane, (x + dx).round(), (y + dy).round()) else { continue };
                sectors[sector(dx, dy)].push([(x + dx).round() - x, (y + dy).round() - y, value]);
            }
        }
        let full = sectors.iter().map(Vec::len).max().unwrap_or(0);
        let points: Vec<[f64; 3]> =
            sectors.iter_mut().filter(|s| s.len() * 2 > full).map(|s| sector_middle(s)).collect();
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

fn sample(plane: &Plane, x: f64, y: f64) -> Option<f64> {
    if x < 0.0 || y < 0.0 {
        return None;
    }
    let value = *plane.row(crate::whole::index(y)).get(crate::whole::index(x))?;
    value.is_finite().then_some(f64::from(value))
}

/// Mean place and median value of a sector's samples.
fn sector_middle(samples: &mut [[f64; 3]]) -> [f64; 3] {
    let n = samples.len() as f64;
    let [sx, sy] = samples.iter().fold([0.0; 2], |[sx, sy], [dx, dy, _]| [sx + dx, sy + dy]);
    let middle = samples.len() / 2;
    let value = samples.select_nth_unstable_by(middle, |a, b| a[2].total_cmp(&b[2])).1[2];
    [sx / n, sy / n, value]
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
    crate::least_squares::solve(normal, right).unwrap_or_else(|| {
        let sum: f64 = weights.iter().sum();
        [points.iter().zip(weights).map(|(p, w)| w * p[2]).sum::<f64>() / sum, 0.0, 0.0]
    })
}

/// How the window of a measurement behaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Window {
    /// It stays as given; only its centre moves. For faint stars.
    Fixed,
    /// It is made to fit the star.
    Fitted,
}

/// Centre and shape of a star.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fit {
    pub(crate) x: f64,
    pub(crate) y: f64,
    /// Moments of the star itself, the window taken out.
    pub(crate) moments: Moments,
    /// Whether the window came to rest.
    pub(crate) settled: bool,
}

/// Mean of the four neighbours over a pixel, both less the sky, and that mean over its own noise.
///
/// * `noise`: of one pixel.
pub(crate) fn neighbours(plane: &Plane, sky: &LocalSky, x: usize, y: usize, noise: f64) -> Option<[f64; 2]> {
    let at = |dx: isize, dy: isize| {
        let (x, y) = (x.checked_add_signed(dx)?, y.checked_add_signed(dy)?);
        let value = f64::from(*plane.row(y).get(x)?);
        value.is_finite().then(|| value - sky.at(x as f64, y as f64))
    };
    let mean = 0.25 * (at(1, 0)? + at(-1, 0)? + at(0, 1)? + at(0, -1)?);
    let middle = at(0, 0)?;
    (middle > 0.0).then(|| [mean / middle, 2.0 * mean / noise.max(f64::MIN_POSITIVE)])
}

/// Share of its light that each neighbour of a sharp star has at least, and how surely: a star of 1.1 px FWHM, its pixel
/// included, gives 0.05; electrons that leak out of a hot pixel make 0.01 to 0.02 (from memory).
pub(crate) const SHARP_STAR: [f64; 2] = [0.05, 5.0];

/// Sums over a window.
#[derive(Default)]
struct Sums {
    light: f64,
    x: f64,
    y: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

/// Centre and second moments in a Gaussian window that follows the star.
///
/// A window `W` over a Gaussian star `C` leaves `M = (C⁻¹ + W⁻¹)⁻¹`, and moves the barycentre by half the distance
/// when `W = C`: so the centre steps twice the offset, and `C = (M⁻¹ - W⁻¹)⁻¹` becomes the next window.
/// Bernstein & Jarvis 2002, Astron. J. 123, 583, section 3 (adaptive moments), from memory.
pub(crate) fn fit(
    plane: &Plane,
    sky: &LocalSky,
    start: [f64; 2],
    first: Moments,
    window: Window,
    most_variance_px2: f64,
) -> Option<Fit> {
    let [mut x, mut y] = start;
    let mut w = bounded(&first, &first, LEAST_VARIANCE_PX2);
    let mut moments = first;
    let leash = LEASH_SIGMA * first.axes_px2()[0].sqrt() + 1.0;
    for _ in 0..MOST_STEPS {
        let sums = windowed(plane, sky, [x, y], &w)?;
        if sums.light <= 0.0 {
            return None;
        }
        let (dx, dy) = (sums.x / sums.light, sums.y / sums.light);
        let inside = Moments {
            xx: sums.xx / sums.light - dx * dx,
            yy: sums.yy / sums.light - dy * dy,
            xy: sums.xy / sums.light - dx * dy,
        };
        let by_window = w.inverse()?;
        let narrow = inside.inverse()?.minus(&by_window).inverse();
        // a patch wider than the window shows no edge in it yet
        moments = narrow.unwrap_or_else(|| w.scaled(2.0));
        let star = if window == Window::Fixed { first } else { bounded(&moments, &w, 0.0) };
        let (u, v) = (by_window.xx * dx + by_window.xy * dy, by_window.xy * dx + by_window.yy * dy);
        x += dx + star.xx * u + star.xy * v;
        y += dy + star.xy * u + star.yy * v;
        let strayed = (x - start[0]).hypot(y - start[1]);
        if strayed.is_nan() || strayed >= leash {
            return None;
        }
        let next = if window == Window::Fixed { w } else { bounded(&moments, &w, LEAST_VARIANCE_PX2) };
        let [longer, shorter] = next.minus(&w).axes_px2();
        let change = dx.hypot(dy).max(longer.abs().max(shorter.abs()) / w.axes_px2()[0]);
        w = next;
        if change < LAST_STEP {
            return Some(Fit { x, y, moments, settled: narrow.is_some() });
        }
        if w.axes_px2()[0] > most_variance_px2 {
            return None;
        }
    }
    Some(Fit { x, y, moments, settled: false })
}

/// Centre of the light within a circle that moves with it; the circle's edge is a pixel soft.
pub(crate) fn barycentre(plane: &Plane, sky: &LocalSky, start: [f64; 2], radius_px: f64) -> Option<[f64; 2]> {
    let [mut x, mut y] = start;
    for _ in 0..MOST_STEPS {
        let (mut light, mut sum_x, mut sum_y) = (0.0, 0.0, 0.0);
        for row in clipped(y, radius_px + 0.5, plane.height())? {
            for column in clipped(x, radius_px + 0.5, plane.width())? {
                let (dx, dy) = (column as f64 - x, row as f64 - y);
                let inside = (radius_px + 0.5 - (dx * dx + dy * dy).sqrt()).clamp(0.0, 1.0);
                let value = f64::from(plane.row(row)[column]) - sky.at(column as f64, row as f64);
                if value.is_finite() {
                    light += inside * value;
                    sum_x += inside * value * dx;
                    sum_y += inside * value * dy;
                }
            }
        }
        if light <= 0.0 {
            return None;
        }
        let (dx, dy) = (sum_x / light, sum_y / light);
        x += dx;
        y += dy;
        if dx.hypot(dy) < LAST_STEP {
            break;
        }
    }
    Some([x, y])
}

/// Moments kept above a floor, and no more than four times as wide as the last window.
fn bounded(next: &Moments, last: &Moments, floor_px2: f64) -> Moments {
    let [long, short] = next.axes_px2();
    let most = (4.0 * last.axes_px2()[0]).max(floor_px2);
    Moments::ellipse(long.clamp(floor_px2, most), short.clamp(floor_px2, most), next.angle_deg())
}

fn windowed(plane: &Plane, sky: &LocalSky, [x, y]: [f64; 2], w: &Moments) -> Option<Sums> {
    let inverse = w.inverse()?;
    let (reach_x, reach_y) = (WINDOW_SIGMA * w.xx.sqrt(), WINDOW_SIGMA * w.yy.sqrt());
    let mut sums = Sums::default();
    let rows = clipped(y, reach_y, plane.height())?;
    let columns = clipped(x, reach_x, plane.width())?;
    for row in rows {
        let dy = row as f64 - y;
        let samples = plane.row(row);
        for column in columns.clone() {
            let dx = column as f64 - x;
            let q = inverse.form(dx, dy);
            let value = f64::from(samples[column]);
            if q > WINDOW_SIGMA * WINDOW_SIGMA || !value.is_finite() {
                continue;
            }
            let light = (-0.5 * q).exp() * (value - sky.at(column as f64, row as f64));
            sums.light += light;
            sums.x += light * dx;
            sums.y += light * dy;
            sums.xx += light * dx * dx;
            sums.yy += light * dy * dy;
            sums.xy += light * dx * dy;
        }
    }
    Some(sums)
}

/// Whole pixels within `reach` of `centre` on an axis of `n`; `None` if there are none.
pub(crate) fn clipped(centre: f64, reach: f64, n: usize) -> Option<std::ops::Range<usize>> {
    if !centre.is_finite() || !reach.is_finite() {
        return None;
    }
    let from = (centre - reach).ceil().max(0.0);
    let to = (centre + reach).floor().min(n as f64 - 1.0);
    (from <= to).then(|| crate::whole::index(from)..crate::whole::index(to) + 1)
}

/// Light within a circle and how it is spread.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Growth {
    pub(crate) flux: f64,
    /// Diameter of the circle that holds half of the flux.
    pub(crate) hfd_px: f64,
}

/// Rings per pixel of radius in the curve of growth.
const RINGS_PER_PX: f64 = 4.0;
/// Side of the grid of points that stand for the pixels near the centre.
const POINTS: usize = 5;
/// Radius up to which pixels are divided, px: further out the light is even across one pixel.
const DIVIDED_PX: f64 = 4.0;

/// Sums the light within `radius_px`, ring by ring. `None` without light.
pub(crate) fn growth(plane: &Plane, sky: &LocalSky, [x, y]: [f64; 2], radius_px: f64) -> Option<Growth> {
    let mut rings = vec![0.0; crate::whole::index((radius_px * RINGS_PER_PX).ceil()).max(1)];
    for row in clipped(y, radius_px + 1.0, plane.height())? {
        let samples = plane.row(row);
        for column in clipped(x, radius_px + 1.0, plane.width())? {
            let value = f64::from(samples[column]) - sky.at(column as f64, row as f64);
            if !value.is_finite() {
                continue;
            }
            let (dx, dy) = (column as f64 - x, row as f64 - y);
            let r = (dx * dx + dy * dy).sqrt();
            spread(&mut rings, value, [dx, dy], if r < DIVIDED_PX || r > radius_px - 1.0 { POINTS } else { 1 });
        }
    }
    let flux: f64 = rings.iter().sum();
    (flux > 0.0).then(|| Growth { flux, hfd_px: 2.0 * half_radius(&rings, 0.5 * flux) })
}

/// Adds a pixel's light to the rings its points fall in; what falls beyond the last ring is left out.
fn spread(rings: &mut [f64], value: f64, [dx, dy]: [f64; 2], points: usize) {
    let weight = 1.0 / (points * points) as f64;
    let place = |i: usize| (i as f64 + 0.5) / points as f64 - 0.5;
    for j in 0..points {
        for i in 0..points {
            let (u, v) = (dx + place(i), dy + place(j));
            let r = (u * u + v * v).sqrt();
            if let Some(ring) = rings.get_mut(crate::whole::index(r * RINGS_PER_PX)) {
                *ring += weight * value;
            }
        }
    }
}

/// Radius at which the sum over the rings first reaches `half`.
fn half_radius(rings: &[f64], half: f64) -> f64 {
    let mut sum = 0.0;
    for (i, light) in rings.iter().enumerate() {
        if sum + light >= half {
            let share = if *light > 0.0 { (half - sum) / light } else { 0.0 };
            return (i as f64 + share.clamp(0.0, 1.0)) / RINGS_PER_PX;
        }
        sum += light;
    }
    rings.len() as f64 / RINGS_PER_PX
}
