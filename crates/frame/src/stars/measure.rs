use super::growth::{Growth, growth};
use super::level::Level;
use super::local_sky::{LocalSky, SHARP_STAR, neighbours};
use super::mesh::Mesh;
use super::moments::{FWHM_PER_SIGMA, Moments};
use super::peaks::Peak;
use super::stamp::{Window, barycentre, fit};
use super::{Star, template};
use crate::Plane;
use crate::whole::clipped;

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

/// Measures a peak of a level as a star; its height above the sky is left to [`height`].
pub(crate) fn star(level: &Level, noise: &Mesh, peak: &Peak, typical: &Moments) -> Result<Star, Refusal> {
    let factor = level.factor as f64;
    let shape = typical.scaled(1.0 / (factor * factor));
    let fwhm = shape.fwhm_px().max(LEAST_FWHM_PX);
    let long = shape.axes_px2()[0].sqrt() * FWHM_PER_SIGMA;
    let ring = RING_FWHM.map(|share| share * fwhm.max(0.5 * (fwhm + long)));
    let start = [peak.x as f64, peak.y as f64];
    let sky = LocalSky::measure(&level.plane, start, ring[0], ring[1]).ok_or(Refusal::Unmeasurable)?;
    // means of pixels have less noise, so much less that what is left of it here is small beside the structure sought
    let pixel_noise = noise.at(level.full(start[0]), level.full(start[1])) / factor;
    let sharp = fwhm <= SHARP_FWHM_PX
        && neighbours(&level.plane, &sky, peak.x, peak.y, pixel_noise)
            .is_some_and(|[share, sure]| share >= SHARP_STAR[0] && sure >= SHARP_STAR[1]);
    if left_without_brightest(&level.plane, &sky, start, &shape) < LEAST_LEFT_SHARE && !sharp {
        return Err(Refusal::Dot);
    }
    let roughness = sky.roughness_beyond(pixel_noise);
    let found = if peak.on_structure {
        on_structure(level, &sky, start, &shape)?
    } else if roughness > ROUGH_SKY_SHARE * 2.0 * f64::from(peak.height) {
        on_rough_sky(level, &sky, start, &shape, roughness)?
    } else {
        on_plain_sky(level, &sky, peak, &shape, sharp)?
    };
    let own_long = found.moments.axes_px2()[0].sqrt() * FWHM_PER_SIGMA;
    let width = fwhm.max(long).max(own_long);
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
    let sky = LocalSky::measure(plane, place, inner, outer)?;
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

/// Windowed light with the brightest pixel replaced by the mean of its neighbours, over the same without replacing,
/// relative to what a star of the shape keeps.
fn left_without_brightest(plane: &Plane, sky: &LocalSky, [x, y]: [f64; 2], shape: &Moments) -> f64 {
    let at = |dx: f64, dy: f64| {
        let (x, y) = (x + dx, y + dy);
        let value = if x < 0.0 || y < 0.0 {
            None
        } else {
            plane.row(crate::whole::index(y)).get(crate::whole::index(x)).map(|v| f64::from(v) - sky.at(x, y))
        };
        value.filter(|v| v.is_finite()).unwrap_or(0.0)
    };
    let Some(inverse) = shape.inverse() else { return 1.0 };
    let weight = |dx: f64, dy: f64| (-0.5 * inverse.form(dx, dy)).exp();
    let reach = (2.5 * shape.axes_px2()[0].sqrt()).ceil();
    let offsets = (0..=crate::whole::index(2.0 * reach)).map(|i| i as f64 - reach);
    let grid = offsets.clone().flat_map(|dy| offsets.clone().map(move |dx| [dx, dy]));
    let near = |dx: f64, dy: f64| dx.abs() <= 1.0 && dy.abs() <= 1.0;
    let Some([bx, by]) =
        grid.clone().filter(|[dx, dy]| near(*dx, *dy)).max_by(|a, b| at(a[0], a[1]).total_cmp(&at(b[0], b[1])))
    else {
        return 1.0;
    };
    let around = |value: &dyn Fn(f64, f64) -> f64| {
        0.25 * (value(bx + 1.0, by) + value(bx - 1.0, by) + value(bx, by + 1.0) + value(bx, by - 1.0))
    };
    let kept = |value: &dyn Fn(f64, f64) -> f64| {
        let sum: f64 = grid.clone().map(|[dx, dy]| weight(dx, dy) * value(dx, dy)).sum();
        (sum - weight(bx, by) * (value(bx, by) - around(value))) / sum
    };
    let model = |dx: f64, dy: f64| (-0.5 * inverse.form(dx - bx, dy - by)).exp();
    kept(&at) / kept(&model)
}
