//! What bright stars do to their surroundings: full pixels, wings and ghosts that look like faint stars.

use super::Star;
use super::growth::growth;
use super::level::Level;
use super::local_sky::{LocalSky, SkyRing};
use super::moments::{FWHM_PER_SIGMA, Moments};
use super::peaks::Peak;
use super::stamp::{Window, fit};
use crate::Plane;
use crate::whole::clipped;

/// Pixels within a hundredth of the highest sample that make a flat top: a star's own top is a single pixel or two.
const FLAT_TOP_PIXELS: usize = 3;
/// Samples this near to the highest one are on the flat top: noise reduction and compression wrinkle it.
const FLAT_TOP_SHARE: f64 = 0.98;
/// Brightness over a neighbour's from which the neighbour may be a piece of this star's wing.
const MUCH_BRIGHTER: f64 = 20.0;
/// Reach of a bright star's wings, ringing and spikes, in its own FWHM.
const WING_FWHM: f64 = 6.0;
/// Share of a true neighbour's height that must be missing on the other side of the bright star.
const LEAST_EXCESS: f64 = 0.5;

/// Sample value from which pixels are full, if the picture shows one: the brightest stars then have flat tops.
pub(crate) fn saturation(plane: &Plane, stars: &[Star]) -> Option<f64> {
    let top = |star: &Star| star.peak + star.background;
    let highest = stars.iter().map(top).filter(|v| v.is_finite()).max_by(f64::total_cmp)?;
    let limit = FLAT_TOP_SHARE * highest;
    let flat = |star: &&Star| top(star) >= limit && above(plane, star, limit) >= FLAT_TOP_PIXELS;
    stars.iter().find(flat).map(|_| limit)
}

fn above(plane: &Plane, star: &Star, limit: f64) -> usize {
    let reach = 0.5 * star.fwhm_px.max(2.0) + 1.0;
    let rows = clipped(star.y_px, reach, plane.height());
    let columns = clipped(star.x_px, reach, plane.width());
    let (Some(rows), Some(columns)) = (rows, columns) else { return 0 };
    rows.flat_map(|row| plane.row(row).part(columns.clone())).filter(|value| f64::from(*value) >= limit).count()
}

/// Samples within this share of the highest make the flat top of a star so bright that it has no peak: compression
/// wrinkles it.
const BLOT_TOP_SHARE: f64 = 0.8;
/// Its area over the square of the typical FWHM: a Gaussian has a quarter of that above 0.8; four times as much is flat.
const BLOT_TOP_AREA: f64 = 1.0;
/// Width of such a star over the typical one, from and to: below, it has a peak; above, it is a lamp or the moon.
const BLOT_FWHM: [f64; 2] = [1.2, 6.0];
/// Elongation it may have beside the typical one's: spikes and bloom.
const BLOT_ELONGATION: f64 = 0.35;

/// A star whose flat top is so wide that it has no peak among patches of the typical width.
pub(crate) fn blot(level: &Level, full: &Plane, peak: &Peak, typical: &Moments) -> Option<Star> {
    let factor = level.factor as f64;
    let fwhm = typical.fwhm_px().max(1.5);
    let start = [peak.x as f64, peak.y as f64];
    let place = start.map(|value| level.full(value));
    let rows = clipped(place[1], 2.0 * factor, full.height())?;
    let columns = clipped(place[0], 2.0 * factor, full.width())?;
    let highest = rows.flat_map(|row| full.row(row).part(columns.clone())).fold(f32::NAN, f32::max);
    let sky = LocalSky::measure(&level.plane, start, &SkyRing::new(6.0 * fwhm / factor, 10.0 * fwhm / factor))?;
    let widest = (BLOT_FWHM[1] * fwhm / FWHM_PER_SIGMA / factor).powi(2).max(4.0);
    let found =
        fit(&level.plane, &sky, start, Moments::round(2.0), Window::Fitted, widest).filter(|fit| fit.settled)?;
    let moments = found.moments.scaled(factor * factor);
    let light = growth(&level.plane, &sky, [found.x, found.y], 2.0 * moments.fwhm_px() / factor)?;
    let star = Star {
        x_px: level.full(found.x),
        y_px: level.full(found.y),
        flux: light.flux * factor * factor,
        peak: f64::from(highest) - sky.level,
        background: sky.level,
        moments,
        fwhm_px: moments.fwhm_px(),
        hfd_px: light.hfd_px * factor,
        elongation: moments.elongation(),
        angle_deg: moments.angle_deg(),
        snr: f64::from(peak.significance),
        saturated: true,
        shape_measured: false,
    };
    let wide = (BLOT_FWHM[0]..BLOT_FWHM[1]).contains(&(star.fwhm_px / typical.fwhm_px()));
    let round = star.elongation < BLOT_ELONGATION + typical.elongation();
    let top_px = BLOT_TOP_AREA * (fwhm * fwhm).max(2.0);
    let flat = above(full, &star, BLOT_TOP_SHARE * f64::from(highest)) as f64 >= top_px;
    (wide && round && flat).then_some(star)
}

/// Removes stars that are pieces of a much brighter one: what its other side shows as well.
///
/// Answers how many were removed.
pub(crate) fn drop_wings(plane: &Plane, stars: &mut Vec<Star>) -> usize {
    let before = stars.len();
    let mut by_flux: Vec<usize> = (0..before).collect();
    by_flux.sort_by(|a, b| stars[*b].flux.total_cmp(&stars[*a].flux));
    let faintest = stars.iter().map(|star| star.flux).filter(|flux| *flux > 0.0).fold(f64::INFINITY, f64::min);
    let mut keep = vec![true; before];
    for bright in by_flux {
        let (sun, reach) = (stars[bright], WING_FWHM * stars[bright].fwhm_px);
        if sun.flux < MUCH_BRIGHTER * faintest {
            break;
        }
        for (other, star) in stars.iter().enumerate() {
            let (dx, dy) = (star.x_px - sun.x_px, star.y_px - sun.y_px);
            let near = other != bright && dx * dx + dy * dy < reach * reach;
            if near && keep[bright] && star.flux * MUCH_BRIGHTER < sun.flux {
                keep[other] &= !is_wing(plane, &sun, star);
            }
        }
    }
    let mut kept = keep.iter();
    stars.retain(|_| kept.next().is_some_and(|keep| *keep));
    before - stars.len()
}

fn is_wing(plane: &Plane, sun: &Star, star: &Star) -> bool {
    let radius = (star.fwhm_px / FWHM_PER_SIGMA).max(1.0);
    let here = mean_near(plane, star.x_px, star.y_px, radius);
    let there = mean_near(plane, 2.0 * sun.x_px - star.x_px, 2.0 * sun.y_px - star.y_px, radius);
    match (here, there) {
        (Some(here), Some(there)) => here - there < LEAST_EXCESS * (here - sun.background.min(star.background)),
        _ => false,
    }
}

/// Mean of the samples within a radius.
fn mean_near(plane: &Plane, x: f64, y: f64, radius: f64) -> Option<f64> {
    let columns = clipped(x, radius, plane.width())?;
    let (mut sum, mut n) = (0.0, 0.0);
    for row in clipped(y, radius, plane.height())? {
        let samples = plane.row(row);
        let dy = row as f64 - y;
        for column in columns.clone() {
            let value = f64::from(samples.at(column));
            let dx = column as f64 - x;
            if value.is_finite() && dx * dx + dy * dy <= radius * radius {
                sum += value;
                n += 1.0;
            }
        }
    }
    (n > 0.0).then(|| sum / n)
}
