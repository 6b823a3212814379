use super::growth::{Growth, growth};
use super::level::Level;
use super::local_sky::{LocalSky, SHARP_STAR, SkyRing, neighbours};
use super::mesh::Mesh;
use super::moments::{FWHM_PER_SIGMA, Moments};
use super::peaks::Peak;
use super::stamp::{Window, barycentre, fit};
use super::{Star, template};
use crate::Plane;
use crate::whole::{clipped, signed, step};

/// Ring in which the sky around a star is measured, in FWHM: beyond 99 % of the light, still near.
const RING_FWHM: [f64; 2] = [2.5, 4.0];
/// Narrowest star that rings and circles are laid out for, px.
const LEAST_FWHM_PX: f64 = 1.5;
/// Radius of the circle in which light is summed, in FWHM: holds 99.8 % of a Gaussian, 93 % of a Moffat with exponent 2.5.
const CIRCLE_FWHM: f64 = 2.0;
/// Smallest radius of that circle, px.
const LEAST_CIRCLE_PX: f64 = 3.0;
/// Significance from which a star's own shape is fitted; below it the window stays that of the typical star.
const OWN_SHAPE_SIGMA: f32 = 10.0;
/// Elongation beyond the typical one's of a bright patch that is a piece of a line.
const BENT_ELONGATION: f64 = 0.4;
/// A star may be this many times as wide as the typical one, in variance: coma, bloom, a planet.
const WIDEST_VARIANCE: f64 = 25.0;
/// What is left of a star's windowed light when its brightest pixel is replaced by the mean of the neighbours, over
/// what is expected; a hot pixel keeps next to nothing. 0.4 lies between them, three standard deviations of noise from
/// a star of significance 5.
const LEAST_LEFT_SHARE: f64 = 0.4;
/// Typical FWHM up to which a star may look almost like a hot pixel, px.
const SHARP_FWHM_PX: f64 = 1.8;
/// FWHM over the typical one below which a bright patch is no star: cosmic ray, hot pixel smeared by demosaicing.
/// The sharpest part of a field is about 0.7 of its middle.
const NARROWEST: f64 = 0.6;
/// FWHM over the typical one above which an unsaturated patch is no star: lamp, glow, cloud. Corners of fast lenses reach 2.5.
const WIDEST: f64 = 3.0;

/// Roughness of the sky around, over the star's height, from which the sky is not taken for a plane: it then moves the
/// star's centre by about this share of its width.
const ROUGH_SKY_SHARE: f64 = 0.04;
/// Heights over that roughness that a star on such a sky must have: less is one of its lumps.
const ROUGH_SKY_HEIGHT: f64 = 2.0;
/// Heights over their error that a star on such a sky must have.
const ROUGH_SKY_SIGMA: f64 = 5.0;

/// Heights over their error that a star must have where the sky has structure of a star's size: what is left of the
/// structure is not random, so that its own size is not a safe error.
const STRUCTURE_SIGMA: f64 = 8.0;

/// Why a peak is not taken for a star.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Refusal {
    /// One pixel or less than a star's width.
    Dot,
    /// Much wider than a star.
    Wide,
    /// Too near to the edge, no light, no rest.
    Unmeasurable,
}

/// Measures the stars of one shape on a level.
pub(crate) struct Measuring<'a> {
    level: &'a Level<'a>,
    noise: &'a Mesh,
    /// What most stars look like, px² of the level.
    shape: Moments,
    /// Widths of that shape, px: that of the round star of its area, and along it.
    fwhm: f64,
    long: f64,
    ring: SkyRing,
    /// `None` of a shape that no patch can have.
    brightest: Option<WithoutBrightest>,
}

impl<'a> Measuring<'a> {
    /// * `typical`: what most stars look like, px² of the full plane.
    pub(crate) fn new(level: &'a Level<'a>, noise: &'a Mesh, typical: &Moments) -> Self {
        let factor = level.factor as f64;
        let shape = typical.scaled(1.0 / (factor * factor));
        let fwhm = shape.fwhm_px().max(LEAST_FWHM_PX);
        let long = shape.axes_px2()[0].sqrt() * FWHM_PER_SIGMA;
        let [inner, outer] = RING_FWHM.map(|share| share * fwhm.max(0.5 * (fwhm + long)));
        let ring = SkyRing::new(inner, outer);
        Self { level, noise, shape, fwhm, long, ring, brightest: WithoutBrightest::new(&shape) }
    }

    /// Measures a peak as a star; its height above the sky is left to [`height`].
    pub(crate) fn star(&self, peak: &Peak) -> Result<Star, Refusal> {
        let Self { level, shape, fwhm, .. } = self;
        let factor = level.factor as f64;
        let start = [peak.x as f64, peak.y as f64];
        let sky = LocalSky::measure(&level.plane, start, &self.ring).ok_or(Refusal::Unmeasurable)?;
        // means of pixels have less noise, so much less that what is left of it here is small beside the structure sought
        let pixel_noise = self.noise.at(level.full(start[0]), level.full(start[1])) / factor;
        let sharp = *fwhm <= SHARP_FWHM_PX
            && neighbours(&level.plane, &sky, peak.x, peak.y, pixel_noise)
                .is_some_and(|[share, sure]| share >= SHARP_STAR[0] && sure >= SHARP_STAR[1]);
        let left = self.brightest.as_ref().map_or(1.0, |brightest| brightest.left(&level.plane, &sky, peak));
        if left < LEAST_LEFT_SHARE && !sharp {
            return Err(Refusal::Dot);
        }
        let roughness = sky.roughness_beyond(pixel_noise);
        let found = if peak.on_structure {
            on_structure(level, &sky, start, shape)?
        } else if roughness > ROUGH_SKY_SHARE * 2.0 * f64::from(peak.height) {
            on_rough_sky(level, &sky, start, shape, roughness)?
        } else {
            on_plain_sky(level, &sky, peak, shape, sharp)?
        };
        let own_long = found.moments.axes_px2()[0].sqrt() * FWHM_PER_SIGMA;
        let width = fwhm.max(self.long).max(own_long);
        let light = circle(level, &found.sky, [found.x, found.y], width).ok_or(Refusal::Unmeasurable)?;
        let moments = found.moments.scaled(factor * factor);
        Ok(Star {
            x_px: level.full(found.x),
            y_px: level.full(found.y),
            flux: light.flux * factor * factor,
            peak: 0.0,
            background: found.sky.level,
            moments,
            fwhm_px: moments.fwhm_px(),
            hfd_px: light.hfd_px * factor,
            elongation: moments.elongation(),
            angle_deg: moments.angle_deg(),
            snr: f64::from(peak.significance),
            saturated: false,
            shape_measured: found.own_shape,
        })
    }
}

/// Place and shape of a star in pixels of its level.
struct Found {
    x: f64,
    y: f64,
    moments: Moments,
    own_shape: bool,
    sky: LocalSky,
}

fn on_plain_sky(level: &Level, sky: &LocalSky, peak: &Peak, shape: &Moments, sharp: bool) -> Result<Found, Refusal> {
    let start = [peak.x as f64, peak.y as f64];
    let fixed = fit(&level.plane, sky, start, *shape, Window::Fixed, f64::INFINITY);
    let own = (peak.significance >= OWN_SHAPE_SIGMA || fixed.is_none())
        .then(|| fit(&level.plane, sky, start, *shape, Window::Fitted, WIDEST_VARIANCE * shape.axes_px2()[0]))
        .flatten()
        .filter(|fit| fit.settled);
    let Some(found) = own.or(fixed) else { return on_structure(level, sky, start, shape) };
    // bright, and yet no star's shape comes to rest on it: a piece of a line
    let bent = found.moments.elongation() > shape.elongation() + BENT_ELONGATION;
    if own.is_none() && peak.significance >= OWN_SHAPE_SIGMA && bent {
        return Err(Refusal::Wide);
    }
    let width = found.moments.fwhm_px() / shape.fwhm_px();
    if own.is_some() && width < NARROWEST && !sharp {
        return Err(Refusal::Dot);
    }
    if width > WIDEST {
        return Err(Refusal::Wide);
    }
    Ok(Found { x: found.x, y: found.y, moments: found.moments, own_shape: own.is_some(), sky: *sky })
}

/// A star on structure of its own size: it must fit the typical shape well above what is left of the structure.
fn on_structure(level: &Level, sky: &LocalSky, start: [f64; 2], shape: &Moments) -> Result<Found, Refusal> {
    let found = template::fit(&level.plane, start, shape).ok_or(Refusal::Wide)?;
    if found.height < STRUCTURE_SIGMA * found.height_sigma {
        return Err(Refusal::Wide);
    }
    let sky = sky.through_level(found.x, found.y, found.level);
    Ok(Found { x: found.x, y: found.y, moments: *shape, own_shape: false, sky })
}

/// A star on a sky that is no plane: its shape is taken as the typical one, the sky as a curved surface.
fn on_rough_sky(
    level: &Level,
    sky: &LocalSky,
    start: [f64; 2],
    shape: &Moments,
    roughness: f64,
) -> Result<Found, Refusal> {
    let found = template::fit(&level.plane, start, shape).ok_or(Refusal::Wide)?;
    if found.height < ROUGH_SKY_SIGMA * found.height_sigma || found.height < ROUGH_SKY_HEIGHT * roughness {
        return Err(Refusal::Wide);
    }
    let sky = sky.through_level(found.x, found.y, found.level);
    Ok(Found { x: found.x, y: found.y, moments: *shape, own_shape: false, sky })
}

/// Radius of the circle for the centre of a disc, over its half-flux diameter: a disc ends at 0.71, a ring before.
const DISC_RADIUS: f64 = 0.74;
/// Ring of sky around a disc, in half-flux diameters.
const DISC_RING: [f64; 2] = [1.1, 2.0];

/// Centre of a disc already measured, as the centre of all its light; `None` if that is not near the first one.
pub(crate) fn centre_of_disc(plane: &Plane, star: &Star) -> Option<[f64; 2]> {
    let place = [star.x_px, star.y_px];
    let [inner, outer] = DISC_RING.map(|share| share * star.hfd_px);
    let sky = LocalSky::measure(plane, place, &SkyRing::new(inner, outer))?;
    let found = barycentre(plane, &sky, place, DISC_RADIUS * star.hfd_px)?;
    ((found[0] - place[0]).hypot(found[1] - place[1]) < 0.1 * star.hfd_px).then_some(found)
}

fn circle(level: &Level, sky: &LocalSky, place: [f64; 2], fwhm: f64) -> Option<Growth> {
    growth(&level.plane, sky, place, (CIRCLE_FWHM * fwhm).max(LEAST_CIRCLE_PX))
}

/// Highest sample of the full plane within half a FWHM of where a star was measured, less its sky.
///
/// * `factor`: of the level it was measured on.
pub(crate) fn height(full: &Plane, star: &Star, [x, y]: [f64; 2], factor: usize, typical: &Moments) -> f64 {
    let factor = factor as f64;
    let fwhm = typical.scaled(1.0 / (factor * factor)).fwhm_px().max(LEAST_FWHM_PX);
    let reach = (0.5 * fwhm * factor).max(1.0);
    let rows = clipped(y, reach, full.height());
    let columns = clipped(x, reach, full.width());
    let (Some(rows), Some(columns)) = (rows, columns) else { return f64::NAN };
    let highest = rows.flat_map(|row| full.row(row).part(columns.clone())).fold(f32::NAN, f32::max);
    f64::from(highest) - star.background
}

/// Reach of the windowed light that is compared with itself, in standard deviations of the shape.
const BRIGHTEST_SIGMA: f64 = 2.5;

/// Tells a star from a hot pixel by its windowed light with the brightest pixel replaced by the mean of the four around it.
struct WithoutBrightest {
    /// Pixels from the middle to each side of the window.
    reach: isize,
    /// The window, row by row.
    weights: Vec<f64>,
    /// Share that a star of the shape keeps, by the place of its brightest pixel among the nine of the middle, row by row.
    kept_by_star: [f64; 9],
}

impl WithoutBrightest {
    fn new(shape: &Moments) -> Option<Self> {
        let inverse = shape.inverse()?;
        let window = |dx: f64, dy: f64| (-0.5 * inverse.form(dx, dy)).exp();
        let reach = step((BRIGHTEST_SIGMA * shape.axes_px2()[0].sqrt()).ceil());
        let weights = grid(reach).map(|[dx, dy]| window(dx as f64, dy as f64)).collect();
        let mut of = Self { reach, weights, kept_by_star: [1.0; 9] };
        for (place, [bx, by]) in grid(1).enumerate() {
            of.kept_by_star[place] = of.kept([bx, by], |dx, dy| window((dx - bx) as f64, (dy - by) as f64));
        }
        Some(of)
    }

    /// What is left of a peak's light, relative to what a star of the shape keeps.
    fn left(&self, plane: &Plane, sky: &LocalSky, peak: &Peak) -> f64 {
        let at = |dx: isize, dy: isize| {
            let place = peak.x.checked_add_signed(dx).zip(peak.y.checked_add_signed(dy));
            let value = place.and_then(|(x, y)| Some(f64::from(plane.row(y).get(x)?) - sky.at(x as f64, y as f64)));
            value.filter(|value| value.is_finite()).unwrap_or(0.0)
        };
        let heights = grid(1).map(|[dx, dy]| at(dx, dy)).enumerate();
        let Some((place, _)) = heights.max_by(|a, b| a.1.total_cmp(&b.1)) else { return 1.0 };
        let brightest = [place % 3, place / 3].map(|at| signed(at) - 1);
        self.kept(brightest, at) / self.kept_by_star[place]
    }

    /// Share of a patch's windowed light that is left.
    fn kept(&self, [bx, by]: [isize; 2], value: impl Fn(isize, isize) -> f64) -> f64 {
        let sum: f64 = grid(self.reach).zip(&self.weights).map(|([dx, dy], weight)| weight * value(dx, dy)).sum();
        let around = 0.25 * (value(bx + 1, by) + value(bx - 1, by) + value(bx, by + 1) + value(bx, by - 1));
        let in_row = (by + self.reach) * (2 * self.reach + 1) + bx + self.reach;
        let weight = self.weights.get(in_row.unsigned_abs()).copied().unwrap_or(0.0);
        (sum - weight * (value(bx, by) - around)) / sum
    }
}

/// The places within `reach` columns and rows of a middle, row by row.
fn grid(reach: isize) -> impl Iterator<Item = [isize; 2]> {
    (-reach..=reach).flat_map(move |dy| (-reach..=reach).map(move |dx| [dx, dy]))
}
