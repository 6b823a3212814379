//! Stars on a linear plane: where, how bright, how wide, which way drawn out.

#![expect(clippy::inline_always, reason = "what is not inlined into a pass is not compiled for the wide registers")]

mod bright;
mod field;
mod growth;
mod half_peaks;
mod level;
mod local_sky;
mod measure;
mod mesh;
mod moments;
mod peaks;
mod points;
mod response;
mod stamp;
mod template;
mod typical;

pub use field::{Star, StarField, StarNote, StarSearch, StarShape};
pub use mesh::Mesh;
pub use moments::Moments;
pub(crate) use points::points;

use crate::Plane;
use half_peaks::may_be_halved;
use level::{Level, change, first_pass};
use measure::{Measuring, Refusal};
use mesh::Sky;
use peaks::Peak;

/// Variance looked for where no shape is known, px²: stars about 2.5 px wide.
const DEFAULT_VARIANCE_PX2: f64 = 1.1;
/// A star is searched and measured on the level where it is at most this wide, px.
const WIDEST_FWHM_PX: f64 = 8.0;
/// Unlikeness of bright patches from which they are no stars. Stars of real lenses stay below 0.52, foreground and clouds
/// begin at 0.65 (measured on real frames, `docs/measuring.md`).
const MOST_UNLIKENESS: f64 = 0.58;
/// Width up to which a handful of patches alike are taken for stars, px: narrow ones are hard to imitate, wide ones are
/// believed only when there are enough to compare, for clouds have lumps too.
const SURELY_STARS_FWHM_PX: f64 = 8.0;
/// Narrowest shape the filter is matched to, px².
const LEAST_VARIANCE_PX2: f64 = 0.35;

/// Finds and measures the stars of a plane.
///
/// The plane must be linear in light. Patches of light are stars when they have the shape that most compact patches of
/// this plane share, stand above both flanks in every direction, and are more than a pixel. Method and measured
/// results: `docs/measuring.md`.
///
/// ```
/// use frame::{Plane, StarSearch, find_stars};
///
/// let dark = Plane::new(64, 64, vec![0.1; 64 * 64])?;
/// assert!(find_stars(&dark, &StarSearch::default()).stars.is_empty());
/// # Ok::<(), frame::FrameError>(())
/// ```
pub fn find_stars(plane: &Plane, options: &StarSearch) -> StarField {
    let mut look = Look::at(plane);
    let found = if look.dots.is_empty() {
        look.search(plane, options)
    } else {
        let mut clean = plane.clone();
        clean.exchange(&mut look.dots);
        look.search(&clean, options)
    };
    look.finish(plane, found, options)
}

/// [`find_stars`] without a copy of the plane: hot pixels are filled in while it works, and are back afterwards.
pub fn find_stars_in(plane: &mut Plane, options: &StarSearch) -> StarField {
    let mut look = Look::at(plane);
    plane.exchange(&mut look.dots);
    let found = look.search(plane, options);
    plane.exchange(&mut look.dots);
    look.finish(plane, found, options)
}

/// What a first look at a plane tells.
struct Look {
    sky: Sky,
    coarser: Vec<Level<'static>>,
    /// The shape that most stars have, or the one looked for where none is known.
    shape: Moments,
    is_learnt: bool,
    bright: Vec<(usize, Peak)>,
    /// Hot pixels and what fills them in.
    dots: Vec<(usize, f32)>,
    notes: Vec<StarNote>,
}

/// Stars of a plane without hot pixels, and what was none.
struct Found {
    stars: Vec<Star>,
    /// Where each was measured at first.
    places: Vec<[f64; 2]>,
    /// Of the level they were measured on.
    factor: usize,
    left_out: usize,
    ridges: usize,
    dots: usize,
    wide: usize,
}

impl Look {
    fn at(plane: &Plane) -> Self {
        let sky = Sky::measure(plane);
        let pass = first_pass(plane, &sky);
        let look = typical::first_look(&Level::all(plane, &pass.coarser), &sky);
        let mut notes = Vec::new();
        let shape = look.shape.map_or_else(
            || {
                notes.push(StarNote::NoTypicalShape);
                Moments::round(DEFAULT_VARIANCE_PX2)
            },
            |(shape, _)| shape,
        );
        let hot = pass.dots.iter().filter(|dot| dot.is_hot(&shape));
        let dots = hot.map(|dot| (dot.place, dot.filling)).collect();
        Self { sky, coarser: pass.coarser, shape, is_learnt: look.shape.is_some(), bright: look.bright, dots, notes }
    }

    /// * `clean`: the plane with its hot pixels filled in.
    fn search(&mut self, clean: &Plane, options: &StarSearch) -> Found {
        change(&mut self.coarser, clean, self.dots.iter().map(|(place, _)| *place));
        let levels = Level::all(clean, &self.coarser);
        let level = level_for(&levels, &self.shape);
        let threshold = crate::whole::single(options.threshold_sigma.max(f64::MIN_POSITIVE));
        let halves = level.factor == 1 && self.coarser.first().is_some_and(|half| may_be_halved(half, &self.shape));
        let own = no_narrower(&self.shape.scaled(1.0 / (level.factor * level.factor) as f64));
        let peaks = match levels.get(1).filter(|_| halves) {
            Some(half) => half_peaks::find(&level.plane, half, &self.sky, &own, threshold),
            None => peaks::find(&level.plane, &self.sky, level.factor, &own, threshold),
        };
        let mut found = Found {
            stars: Vec::new(),
            places: Vec::new(),
            factor: level.factor,
            left_out: 0,
            ridges: peaks.ridges,
            dots: self.dots.len(),
            wide: 0,
        };
        let measuring = Measuring::new(level, &self.sky.noise, &self.shape);
        for peak in &peaks.found {
            if found.stars.len() >= options.most_stars {
                found.left_out += 1;
                continue;
            }
            match measuring.star(peak) {
                Ok(star) => found.stars.push(star),
                Err(Refusal::Dot) => found.dots += 1,
                Err(Refusal::Wide) => found.wide += 1,
                Err(Refusal::Unmeasurable) => {}
            }
        }
        found.places = found.stars.iter().map(|star| [star.x_px, star.y_px]).collect();
        recentre_discs(&mut found.stars, clean, &self.shape);
        found
    }

    /// Heights, full pixels and what bright stars do, on the plane as it was given.
    fn finish(self, plane: &Plane, found: Found, options: &StarSearch) -> StarField {
        let Self { sky, mut coarser, shape, is_learnt, bright, dots: hot, mut notes } = self;
        change(&mut coarser, plane, hot.iter().map(|(place, _)| *place));
        let Found { mut stars, places, factor, left_out, ridges, dots, wide } = found;
        for (star, place) in stars.iter_mut().zip(places) {
            star.peak = measure::height(plane, star, place, factor, &shape);
        }
        let saturation = options.saturation.or_else(|| bright::saturation(plane, &stars));
        for star in &mut stars {
            star.saturated = saturation.is_some_and(|full| star.peak + star.background >= full);
        }
        let wings = bright::drop_wings(plane, &mut stars);
        if is_learnt {
            add_blots(&mut stars, &Level::all(plane, &coarser), plane, &bright, &shape);
        }
        let counted = [
            (left_out, StarNote::NotAllMeasured { left_out }),
            (dots, StarNote::Dots { count: dots }),
            (ridges, StarNote::Ridges { count: ridges }),
            (wide, StarNote::Wide { count: wide }),
            (wings, StarNote::Wings { count: wings }),
        ];
        notes.extend(counted.into_iter().filter(|(count, _)| *count > 0).map(|(_, note)| note));
        let typical = is_learnt.then(|| typical_of(&stars)).flatten().filter(|typical| {
            let alike = typical::unlikeness(&stars, &typical.moments)
                .map_or(typical.fwhm_px < SURELY_STARS_FWHM_PX, |unlike| unlike < MOST_UNLIKENESS);
            if !alike {
                notes.push(StarNote::UnlikePatches);
            }
            alike
        });
        let size_px = [plane.width(), plane.height()];
        StarField { size_px, stars, background: sky.background, noise: sky.noise, typical, notes }
    }
}

impl StarField {
    /// The field with some of its stars alone, and what a star looks like by them.
    ///
    /// For stars that are known to be some: found again in a catalogue, say.
    #[must_use]
    pub fn only(&self, keep: impl Fn(&Star) -> bool) -> Self {
        let stars: Vec<Star> = self.stars.iter().filter(|star| keep(star)).copied().collect();
        let typical = typical_of(&stars);
        Self { stars, typical, ..self.clone() }
    }
}

/// Half-flux diameter over FWHM below which stars are discs or rings: 1 for a Gaussian, more with wings, 0.9 for both.
const DISC_HFD_PER_FWHM: f64 = 0.95;
/// Most elongated typical star whose profile is read so: a trail changes the ratio too.
const DISC_ELONGATION: f64 = 0.3;

/// Finds the centres of discs and rings again, from all of their light: it lies at the rim, where a Gaussian window is low.
fn recentre_discs(stars: &mut [Star], plane: &Plane, shape: &Moments) {
    let mut ratios: Vec<f64> = stars.iter().filter(|s| s.shape_measured).map(|s| s.hfd_px / s.fwhm_px).collect();
    let ratio = crate::focus::median(&mut ratios);
    if ratios.is_empty() || ratio > DISC_HFD_PER_FWHM || shape.elongation() > DISC_ELONGATION {
        return;
    }
    for star in stars.iter_mut().filter(|star| star.shape_measured) {
        if let Some([x, y]) = measure::centre_of_disc(plane, star) {
            (star.x_px, star.y_px) = (x, y);
        }
    }
}

/// Adds the stars so bright that they have no peak, in place of what was found on their rims.
fn add_blots(stars: &mut Vec<Star>, levels: &[Level], plane: &Plane, bright: &[(usize, Peak)], shape: &Moments) {
    let mut blots: Vec<Star> = Vec::new();
    let near = |a: &Star, b: &Star, reach: f64| (a.x_px - b.x_px).hypot(a.y_px - b.y_px) < reach;
    for (index, peak) in bright {
        let Some(blot) = levels.get(*index).and_then(|level| bright::blot(level, plane, peak, shape)) else { continue };
        let known = |star: &Star| near(star, &blot, blot.fwhm_px) && (star.saturated || star.flux > 0.5 * blot.flux);
        if !stars.iter().any(known) && !blots.iter().any(|other| near(other, &blot, other.fwhm_px)) {
            blots.push(blot);
        }
    }
    stars.retain(|star| !blots.iter().any(|blot| near(star, blot, blot.fwhm_px)));
    stars.extend(blots);
    stars.sort_by(|a, b| b.snr.total_cmp(&a.snr));
}

/// The finest level on which a star of the shape is not too wide.
fn level_for<'a>(levels: &'a [Level<'a>], shape: &Moments) -> &'a Level<'a> {
    let fits = |level: &&Level| shape.fwhm_px() / level.factor as f64 <= WIDEST_FWHM_PX;
    levels.iter().find(fits).unwrap_or(&levels[levels.len() - 1])
}

fn no_narrower(shape: &Moments) -> Moments {
    let [long, short] = shape.axes_px2();
    Moments::ellipse(long.max(LEAST_VARIANCE_PX2), short.max(LEAST_VARIANCE_PX2), shape.angle_deg())
}

fn typical_of(stars: &[Star]) -> Option<StarShape> {
    let good: Vec<&Star> = stars.iter().filter(|star| star.shape_measured && !star.saturated).collect();
    let shapes: Vec<Moments> = good.iter().map(|star| star.moments).collect();
    let mut diameters: Vec<f64> = good.iter().map(|star| star.hfd_px).collect();
    diameters.sort_by(f64::total_cmp);
    let hfd_px = *diameters.get(diameters.len() / 2)?;
    let moments = typical::median(&shapes);
    Some(StarShape {
        moments,
        fwhm_px: moments.fwhm_px(),
        hfd_px,
        elongation: moments.elongation(),
        angle_deg: moments.angle_deg(),
        stars: good.len(),
    })
}
