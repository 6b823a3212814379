use std::borrow::Cow;

use super::Star;
use super::level::Level;
use super::local_sky::{LocalSky, SHARP_STAR, SkyRing, neighbours};
use super::mesh::Sky;
use super::moments::Moments;
use super::peaks::{self, Peak};
use super::stamp::{Fit, Window, fit};

/// Shape looked for at each level: 2.4 pixels of that level wide.
const PROBE_VARIANCE_PX2: f64 = 1.0;
/// Variance from which the window begins on a patch, px² of its level.
const FIRST_VARIANCE_PX2: f64 = 1.5 * PROBE_VARIANCE_PX2;
/// Significance of the stars that the shape is learnt from: their width is known to about a tenth.
const PROBE_SIGMA: f32 = 7.0;
/// Significance from which a patch may be a star that fills its pixels.
const BRIGHT_SIGMA: f32 = 50.0;
/// Stars learnt from at one level, and peaks tried for them: enough for a mode, few enough to be quick.
const MOST_PROBES: usize = 250;
const MOST_TRIES: usize = 2500;
/// Widest patch accepted at one level, px² of its variance (FWHM 12 px): a wider one belongs to the next level.
const WIDEST_VARIANCE_PX2: f64 = 26.0;
/// A patch narrower than this (px² of the level's) is measured again at a finer level.
const NARROW_VARIANCE_PX2: f64 = 2.0;
/// Mean of the four neighbours over the pixel itself, least for a star in any noise: 0.19 for one of 1.3 px FWHM, 0 for a
/// hot pixel. Where the noise is small enough to tell, less will do.
const LEAST_NEIGHBOUR_SHARE: f64 = 0.12;
/// Ring of sky about what may be a hot pixel, px: outside the light of a star of a few pixels, within the sky's own change.
const DOT_RING_PX: [f64; 2] = [3.0, 6.0];
/// Likeness of two stars: width to 12 %, shape to 0.12 in `(xx - yy, 2 xy)/(xx + yy)`. The field of one lens varies by
/// about that much; blobs of foreground vary by several times it.
const LIKENESS: f64 = 0.15;
/// Distance from the mode, in units of likeness, at which stars are still alike.
const ALIKE: f64 = 2.5;
/// Stars that must be alike before they say what a star looks like.
const LEAST_ALIKE: usize = 4;

/// What a first look at all levels tells.
pub(crate) struct FirstLook {
    /// The shape that most bright, compact patches of light share, px² of the full plane, and how many share it.
    pub(crate) shape: Option<(Moments, usize)>,
    /// The brightest patches of the coarser levels, with the level they are on: a star that fills many pixels has a flat
    /// top there is no peak on in the finer ones.
    pub(crate) bright: Vec<(usize, Peak)>,
}

/// Looks over all levels for bright patches.
///
/// The finest level of a large plane is skipped: its stars show at the next one too, for a quarter of the work. So is the
/// next where it is large itself, unless the others show too few patches to learn from.
pub(crate) fn first_look(levels: &[Level], sky: &Sky) -> FirstLook {
    let mut look = Looking { levels, sky, rings: Rings::new(), probes: Vec::new(), bright: Vec::new() };
    let is_large = |level: &&Level| level.plane.width() * level.plane.height() > LARGE_PX;
    // two levels are left in any case
    let first = levels.iter().take(levels.len().saturating_sub(2)).take_while(is_large).count().min(LARGE_LEVELS);
    for index in first..levels.len() {
        look.at(index);
    }
    if first > 1 && look.probes.len() < ENOUGH_PROBES {
        look.at(first - 1);
    }
    FirstLook { shape: mode(&look.probes), bright: look.bright }
}

/// A first look under way.
struct Looking<'a> {
    levels: &'a [Level<'a>],
    sky: &'a Sky,
    rings: Rings,
    /// Patches measured so far, of the full plane.
    probes: Vec<Fit>,
    bright: Vec<(usize, Peak)>,
}

impl Looking<'_> {
    /// Looks over one level.
    fn at(&mut self, index: usize) {
        let Some(level) = self.levels.get(index) else { return };
        let found = peaks::find(&level.plane, self.sky, level.factor, &Moments::round(PROBE_VARIANCE_PX2), PROBE_SIGMA);
        // what a star looks like is learnt where nothing else has its size
        let found: Vec<Peak> = found.found.into_iter().filter(|peak| !peak.on_structure).collect();
        if index > 0 {
            self.bright.extend(found.iter().filter(|p| p.significance > BRIGHT_SIGMA).map(|p| (index, *p)));
        }
        let mut new = 0;
        for peak in found.iter().take(MOST_TRIES) {
            // a star seen on a finer level is seen on this one too: most peaks need not be measured again
            let [x, y] = [peak.x, peak.y].map(|value| level.full(value as f64));
            let half_px = 0.5 * level.factor as f64;
            if index > 0 && is_known(&self.probes, [x, y], |probe| 0.5 * probe.moments.fwhm_px() + half_px) {
                continue;
            }
            let Some(fit) = probe(self.levels, self.sky, &self.rings, index, peak) else { continue };
            let reach = 0.5 * fit.moments.fwhm_px() + 1.0;
            if !is_known(&self.probes, [fit.x, fit.y], |_| reach) {
                self.probes.push(fit);
                new += 1;
            }
            if new >= MOST_PROBES {
                break;
            }
        }
    }
}

/// Whether a patch lies within its reach of a place.
fn is_known(probes: &[Fit], [x, y]: [f64; 2], reach: impl Fn(&Fit) -> f64) -> bool {
    probes.iter().any(|probe| (probe.x - x).powi(2) + (probe.y - y).powi(2) < reach(probe).powi(2))
}

/// Size above which a fine level is not searched for the shape, px, and how many of the finest are left out so at most.
const LARGE_PX: usize = 1_000_000;
const LARGE_LEVELS: usize = 2;
/// Patches from which the shape is learnt without the second of them.
const ENOUGH_PROBES: usize = 100;

/// Rings of sky that many patches share.
struct Rings {
    /// Around a patch that is measured for the first time.
    first: SkyRing,
    /// Around what may be a hot pixel.
    of_dot: SkyRing,
}

impl Rings {
    fn new() -> Self {
        Self {
            first: ring_about(&Moments::round(FIRST_VARIANCE_PX2)),
            of_dot: SkyRing::new(DOT_RING_PX[0], DOT_RING_PX[1]),
        }
    }
}

/// The ring of sky around a patch.
fn ring_about(patch: &Moments) -> SkyRing {
    let radius = patch.fwhm_px().max(2.0);
    SkyRing::new(2.5 * radius, 4.0 * radius)
}

/// Measures a peak on the level where it is a few pixels wide; the answer is in pixels of the full plane.
fn probe(levels: &[Level], around: &Sky, rings: &Rings, mut index: usize, peak: &Peak) -> Option<Fit> {
    let mut level = levels.get(index)?;
    let is_dot = |level: &Level, place: [f64; 2]| is_dot(level, around, &rings.of_dot, place);
    if index == 0 && is_dot(level, [peak.x as f64, peak.y as f64]) {
        return None;
    }
    let mut place = [peak.x as f64, peak.y as f64];
    let mut first = Moments::round(FIRST_VARIANCE_PX2);
    let mut ring = Cow::Borrowed(&rings.first);
    loop {
        let sky = LocalSky::measure(&level.plane, place, &ring)?;
        let fit =
            fit(&level.plane, &sky, place, first, Window::Fitted, WIDEST_VARIANCE_PX2).filter(|fit| fit.settled)?;
        let [long, short] = fit.moments.axes_px2();
        if short < NARROW_VARIANCE_PX2 && index > 0 && long < 0.5 * WIDEST_VARIANCE_PX2 / 4.0 {
            let full = [level.full(fit.x), level.full(fit.y)];
            index -= 1;
            level = levels.get(index)?;
            place = full.map(|value| level.own(value));
            first = fit.moments.scaled(4.0);
            ring = Cow::Owned(ring_about(&first));
            continue;
        }
        let inside = |value: f64, n: usize| value > -0.5 && value < n as f64 - 0.5;
        if !inside(fit.x, level.plane.width())
            || !inside(fit.y, level.plane.height())
            || (index == 0 && is_dot(level, [fit.x, fit.y]))
        {
            return None;
        }
        let factor = level.factor as f64;
        let moments = fit.moments.scaled(factor * factor);
        return Some(Fit { x: level.full(fit.x), y: level.full(fit.y), moments, settled: true });
    }
}

/// Whether the light sits in one pixel, as a hot pixel's does.
fn is_dot(level: &Level, sky: &Sky, ring: &SkyRing, [x, y]: [f64; 2]) -> bool {
    let Some(around) = LocalSky::measure(&level.plane, [x, y], ring) else { return true };
    let noise = sky.noise.at(level.full(x), level.full(y));
    let place = [x, y].map(|value| crate::whole::index(value.round()));
    let found = neighbours(&level.plane, &around, place[0], place[1], noise);
    !found
        .is_some_and(|[share, sure]| share >= LEAST_NEIGHBOUR_SHARE || share >= SHARP_STAR[0] && sure >= SHARP_STAR[1])
}

/// Width and shape as a point in a space where likeness is a distance.
fn features(fit: &Fit) -> [f64; 3] {
    let m = &fit.moments;
    let sum = m.xx + m.yy;
    [m.fwhm_px().ln() / LIKENESS, (m.xx - m.yy) / sum / LIKENESS, 2.0 * m.xy / sum / LIKENESS]
}

/// The median shape of the patches around the place where they are densest.
fn mode(probes: &[Fit]) -> Option<(Moments, usize)> {
    let points: Vec<[f64; 3]> = probes.iter().map(features).collect();
    let distance2 = |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>();
    let density = |p: &[f64; 3]| points.iter().map(|q| (-0.5 * distance2(p, q)).exp()).sum::<f64>();
    let dense = points.iter().map(|point| (density(point), point));
    let (_, centre) = dense.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let alike: Vec<Moments> = probes
        .iter()
        .zip(&points)
        .filter(|(_, point)| distance2(point, centre) < ALIKE * ALIKE)
        .map(|(fit, _)| fit.moments)
        .collect();
    (alike.len() >= LEAST_ALIKE).then(|| (median(&alike), alike.len()))
}

/// Significance of the stars whose likeness is judged, and how many of them that takes, and how many are enough.
const JUDGED_SNR: f64 = 15.0;
const LEAST_JUDGED: usize = 10;
const MOST_JUDGED: usize = 400;

/// How unlike bright stars are: median of the difference in the logarithm of the width, plus median of the difference in
/// shape `(xx - yy, 2 xy)/(xx + yy)`. `None` with too few bright stars to say.
///
/// Each is compared with the typical star and with the nearest other one, and the kinder answer counts: a lens or a turn
/// of the camera changes stars over the frame but not from one to the next, and a sharpened picture from one to the next.
pub(crate) fn unlikeness(stars: &[Star], typical: &Moments) -> Option<f64> {
    let judged = stars.iter().filter(|star| star.shape_measured && !star.saturated && star.snr > JUDGED_SNR);
    let judged: Vec<&Star> = judged.take(MOST_JUDGED).collect();
    if judged.len() < LEAST_JUDGED {
        return None;
    }
    let distance2 = |a: &Star, b: &Star| (a.x_px - b.x_px).powi(2) + (a.y_px - b.y_px).powi(2);
    let nearest = |star: &Star| {
        let others = judged.iter().filter(|other| !std::ptr::eq(**other, star));
        others.min_by(|a, b| distance2(a, star).total_cmp(&distance2(b, star))).map_or(*typical, |other| other.moments)
    };
    let from_typical = judged.iter().map(|star| difference(&star.moments, typical)).unzip();
    let from_nearest = judged.iter().map(|star| difference(&star.moments, &nearest(star))).unzip();
    Some(sum_of_medians(from_typical).min(sum_of_medians(from_nearest)))
}

/// Differences of two patches: logarithm of the width, and shape.
fn difference(a: &Moments, b: &Moments) -> (f64, f64) {
    let shape = |m: &Moments| [(m.xx - m.yy) / (m.xx + m.yy), 2.0 * m.xy / (m.xx + m.yy)];
    let ([p, q], [u, v]) = (shape(a), shape(b));
    ((a.fwhm_px() / b.fwhm_px()).ln().abs(), (u - p).hypot(v - q))
}

fn sum_of_medians((mut widths, mut shapes): (Vec<f64>, Vec<f64>)) -> f64 {
    crate::focus::median(&mut widths) + crate::focus::median(&mut shapes)
}

/// The median of each moment by itself.
pub(crate) fn median(shapes: &[Moments]) -> Moments {
    let middle = |get: fn(&Moments) -> f64| {
        let mut values: Vec<f64> = shapes.iter().map(get).collect();
        values.sort_by(f64::total_cmp);
        values.get(values.len() / 2).copied().unwrap_or(0.0)
    };
    Moments { xx: middle(|m| m.xx), yy: middle(|m| m.yy), xy: middle(|m| m.xy) }
}
