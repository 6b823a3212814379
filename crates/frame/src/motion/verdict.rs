use optics::SIDEREAL_ARCSEC_S;
use quantity::{Basis, Estimate};
use serde::{Deserialize, Serialize};

use super::double::repeated_step;
use super::pattern::{Drawn, Pattern, PatternFit, STRONG_EVIDENCE, fit_all, moved, times};
use super::profile::{TrailKind, TrailProfile};
use super::sky_turn::{SkyTurn, StarTurn};
use super::words;
use crate::{Plane, StarField};

/// Whether things on the ground are sharp in the frame, as seen by a person or measured elsewhere.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Foreground {
    /// Sharp: the camera held.
    Sharp,
    /// Drawn out like the stars: the camera moved.
    DrawnOut,
    /// Nobody looked, or there is none.
    #[default]
    Unknown,
}

/// What is known beside the picture; each helps to tell the sky's turning from the camera's.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct MotionContext {
    /// How the sky turned over the camera, where its direction is known.
    pub sky: Option<SkyTurn>,
    /// The same by the stars of the frame itself; it goes before `sky`.
    pub by_stars: Option<StarTurn>,
    /// Shutter time, s.
    pub exposure_s: Option<f64>,
    /// Angle that one pixel sees, arcseconds.
    pub pixel_arcsec: Option<f64>,
    /// Foreground.
    pub foreground: Foreground,
    /// Step from each star's first image to its second, px, as [`second_image`] found it on the whole field, where the
    /// verdict rests on the stars of a catalogue alone: these leave second images out.
    pub second_image_px: Option<[f64; 2]>,
}

/// What moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MotionKind {
    /// Nothing to speak of.
    Held,
    /// The sky turned: the exposure is longer than this lens allows.
    Trailing,
    /// The camera moved the same way for all stars: shaken, knocked, or moved by wind.
    Shaken,
    /// The camera turned about a point in or near the frame: a leg slipped, the ring was turned.
    Turned,
    /// The lens draws stars out towards the corners; nothing moved.
    Lens,
    /// Stars are drawn out, but whether by the sky or by the camera cannot be told from this frame.
    SkyOrCamera,
    /// Too few stars, or none of the patterns.
    CannotTell,
}

/// What moved during a frame, and how far.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Motion {
    /// The verdict.
    pub kind: MotionKind,
    /// Length of the trails in the middle of the frame, px; without a movement its upper end says what would have gone unseen.
    pub length_px: Option<Estimate>,
    /// Longest trail towards the corners by the best pattern, px.
    pub longest_px: Option<f64>,
    /// Direction of the trail in the middle, from +x towards +y (down), degrees, -90 to 90.
    pub angle_deg: Option<f64>,
    /// Point that does not move, px, where the pattern has one.
    pub about_px: Option<[f64; 2]>,
    /// Turn about that point, degrees.
    pub turn_deg: Option<f64>,
    /// Longest trail that the turning sky makes in this frame, px, where exposure and scale are known.
    pub sky_px: Option<f64>,
    /// Stars it rests on.
    pub stars: usize,
    /// Mean drawing out `(xx - yy, 2 xy)`, px², and its error: for comparing frames.
    pub mean_vector_px2: Option<[Estimate; 2]>,
    /// Step from each star's first image to its second, px, where stars appear twice.
    pub second_image_px: Option<[f64; 2]>,
    /// How the light lies along the trails, where all are drawn out the same way.
    pub trail: Option<TrailProfile>,
    /// All patterns tried, the best first.
    pub fits: Vec<PatternFit>,
    /// The verdict and its reasons, a sentence each.
    pub words: Vec<String>,
}

/// Stars that a verdict needs.
const LEAST_STARS: usize = 8;
/// Variance a movement must add, over the star's own across it: 0.3 makes `1 - b/a` 0.12, which nobody sees.
const LEAST_ADDED_SHARE: f64 = 0.3;
/// Trail that a movement must make, px: shorter ones are within a pixel, where its grid and the lens count for as much.
const LEAST_TRAIL_PX: f64 = 1.2;
/// Measured over expected trail within which the sky explains it: focal lengths, exposure times and pixel windows are
/// known to about a tenth each, and more off the axis.
const SKY_LENGTH_RANGE: [f64; 2] = [0.7, 1.4];
/// Trail from which the light along it is looked at, px: a shorter one has no inside.
const LEAST_LOOKED_ALONG_PX: f64 = 1.5;
/// A point further away than this many half diagonals is no point: the movement is the same everywhere.
const FARTHEST_POINT: f64 = 6.0;

/// Step from each star's first image to its second, px, towards +x, where most stars of a field appear twice: the camera
/// was knocked and stood still before and after. `None` where they do not, or no typical star is known.
pub fn second_image(field: &StarField) -> Option<[f64; 2]> {
    field.typical.and_then(|typical| repeated_step(&field.stars, typical.fwhm_px))
}

/// Tells what moved from how the stars of a field are drawn out.
///
/// Each pattern that a movement leaves is fitted to the stars' shapes by least squares, and the simplest one that
/// explains them wins, if it wins clearly.
pub fn judge_motion(plane: &Plane, field: &StarField, context: &MotionContext) -> Motion {
    let stars = match (&context.by_stars, &context.sky) {
        (Some(turn), _) => Drawn::all(field, |pixel| turn.vector(pixel)),
        (None, Some(sky)) => Drawn::all(field, sky.vectors()),
        (None, None) => Drawn::all(field, |_| [0.0; 2]),
    };
    let fits = if stars.len() < LEAST_STARS { Vec::new() } else { fit_all(&stars) };
    let mut motion = Motion {
        kind: MotionKind::CannotTell,
        length_px: None,
        longest_px: None,
        angle_deg: None,
        about_px: None,
        turn_deg: None,
        sky_px: sky_px(context, &stars),
        stars: stars.len(),
        mean_vector_px2: None,
        second_image_px: second_image(field).or(context.second_image_px),
        trail: None,
        fits: Vec::new(),
        words: Vec::new(),
    };
    if let Some(facts) = Facts::of(field, &fits, &stars) {
        facts.fill(&mut motion);
        motion.trail = facts.trail(plane, field, &motion);
        motion.kind = kind(&motion, &facts, context);
        if motion.second_image_px.is_some() {
            motion.kind = MotionKind::Shaken;
        }
    }
    motion.fits = fits;
    motion.words = words::of(&motion, context);
    motion
}

/// Longest trail that the turning sky makes here, px.
fn sky_px(context: &MotionContext, stars: &[Drawn]) -> Option<f64> {
    let known = stars.iter().map(|star| trail_of(star.sky)).fold(0.0, f64::max);
    if known > 0.0 {
        return Some(known);
    }
    let (seconds, scale) = (context.exposure_s?, context.pixel_arcsec?);
    (seconds > 0.0 && scale > 0.0).then(|| seconds * SIDEREAL_ARCSEC_S / scale)
}

/// Trail that adds a vector, px: the `L²/12` law.
pub(crate) fn trail_of([p, q]: [f64; 2]) -> f64 {
    (12.0 * p.hypot(q)).sqrt()
}

/// What the fits say, before anything is decided.
struct Facts<'a> {
    best: &'a PatternFit,
    round: f64,
    sky: Option<&'a PatternFit>,
    mean: [Estimate; 2],
    /// What the best pattern does in the middle and where it does most, px².
    middle: [f64; 2],
    most: f64,
    /// What it does to a quarter of the stars at least, px².
    common: f64,
    own_px2: f64,
    half_diagonal_px: f64,
    size_px: [f64; 2],
}

impl<'a> Facts<'a> {
    fn of(field: &StarField, fits: &'a [PatternFit], stars: &[Drawn]) -> Option<Self> {
        let find = |pattern| fits.iter().find(|fit| fit.pattern == pattern);
        let same = find(Pattern::Same)?;
        let best = fits.first()?;
        let estimate =
            |i: usize| Some(Estimate::symmetric(*same.values.get(i)?, *same.sigmas.get(i)?, Basis::Measured));
        let size_px = field.size_px.map(|n| n as f64);
        let at = |z: [f64; 2], sky: [f64; 2]| predicted(best, z, sky);
        // the sky's own movement is known at the stars only; the one nearest to the middle stands for it
        let nearest = stars.iter().min_by(|a, b| a.z[0].hypot(a.z[1]).total_cmp(&b.z[0].hypot(b.z[1])))?;
        let mut sizes: Vec<f64> = stars.iter().map(|s| at(s.z, s.sky)).map(|[p, q]| p.hypot(q)).collect();
        sizes.sort_by(f64::total_cmp);
        Some(Self {
            best,
            round: find(Pattern::Round)?.information,
            sky: [Pattern::Sky, Pattern::SkyAndLens]
                .into_iter()
                .filter_map(find)
                .min_by(|a, b| a.information.total_cmp(&b.information)),
            mean: [estimate(0)?, estimate(1)?],
            middle: at([0.0; 2], nearest.sky),
            most: sizes.last().copied()?,
            common: sizes.get(sizes.len() * 3 / 4).copied()?,
            own_px2: field.typical?.moments.axes_px2()[1],
            half_diagonal_px: 0.5 * size_px[0].hypot(size_px[1]),
            size_px,
        })
    }

    /// Along the common trail, where there is one long enough to look along.
    fn trail(&self, plane: &Plane, field: &StarField, motion: &Motion) -> Option<TrailProfile> {
        let common = matches!(self.best.pattern, Pattern::Same | Pattern::SameAndLens);
        let length_px = motion.length_px.filter(|length| common && length.value > LEAST_LOOKED_ALONG_PX)?.value;
        TrailProfile::of(plane, field, motion.angle_deg?, length_px, self.own_px2.sqrt())
    }

    fn fill(&self, motion: &mut Motion) {
        let [p, q] = self.middle;
        let length = trail_of(self.middle);
        // the error of L²/12 is L/6 times that of L; near zero the error itself is the square of what would go unseen
        let sigma_px2 = 0.5 * (self.mean[0].high - self.mean[0].low).hypot(self.mean[1].high - self.mean[1].low);
        let unseen = (12.0 * sigma_px2).sqrt();
        let sigma = if length > unseen { 6.0 * sigma_px2 / length } else { unseen };
        motion.length_px = Some(Estimate {
            value: length,
            low: (length - sigma).max(0.0),
            high: length + sigma,
            basis: Basis::Measured,
        });
        motion.longest_px = Some((12.0 * self.most).sqrt());
        motion.angle_deg = (length > 0.0).then(|| 0.5 * q.atan2(p).to_degrees());
        motion.mean_vector_px2 = Some(self.mean);
        if let (Pattern::Turn, &[ax, ay, b]) = (self.best.pattern, &self.best.values[..]) {
            // a + i b z = 0 at z = i a / b
            let z = [-ay / b, ax / b];
            if z[0].hypot(z[1]) < FARTHEST_POINT {
                let place = |i: usize| 0.5 * (self.size_px[i] - 1.0) + z[i] * self.half_diagonal_px;
                motion.about_px = Some([place(0), place(1)]);
                motion.turn_deg = Some((b.abs() / self.half_diagonal_px).to_degrees());
            }
        }
    }
}

/// What a fitted pattern adds at a place, px².
fn predicted(fit: &PatternFit, z: [f64; 2], sky: [f64; 2]) -> [f64; 2] {
    let z2 = times(z, z);
    match (fit.pattern, &fit.values[..]) {
        (Pattern::Same, &[p, q]) => [p, q],
        (Pattern::Lens, &[k]) => z2.map(|part| k * part),
        (Pattern::SameAndLens, &[p, q, k]) => [p + k * z2[0], q + k * z2[1]],
        (Pattern::Turn, &[ax, ay, b]) => {
            let d = moved([ax, ay, b], z);
            times(d, d).map(|part| part / 12.0)
        }
        (Pattern::Sky, &[share]) => sky.map(|part| share * part),
        (Pattern::SkyAndLens, &[share, k]) => [share * sky[0] + k * z2[0], share * sky[1] + k * z2[1]],
        _ => [0.0; 2],
    }
}

fn kind(motion: &Motion, facts: &Facts, context: &MotionContext) -> MotionKind {
    let least = (LEAST_ADDED_SHARE * facts.own_px2).max(LEAST_TRAIL_PX * LEAST_TRAIL_PX / 12.0);
    let seen = facts.round - facts.best.information >= STRONG_EVIDENCE && facts.common >= least;
    if !seen {
        // a movement that would have been worth telling must also have been measurable
        let unseen = motion.length_px.map_or(f64::INFINITY, |length| length.high.powi(2) / 12.0);
        return if unseen < 2.0 * least { MotionKind::Held } else { MotionKind::CannotTell };
    }
    let camera = if motion.about_px.is_some() { MotionKind::Turned } else { MotionKind::Shaken };
    match facts.best.pattern {
        Pattern::Round => MotionKind::Held,
        Pattern::Lens => MotionKind::Lens,
        Pattern::Sky | Pattern::SkyAndLens => by_sky(facts.best),
        Pattern::SameAndLens if facts.middle[0].hypot(facts.middle[1]) < least => MotionKind::Lens,
        Pattern::Same | Pattern::SameAndLens | Pattern::Turn => match (facts.sky, context.foreground) {
            (_, Foreground::DrawnOut) => camera,
            // the sky moves evenly, whatever else is known
            _ if motion.trail.as_ref().is_some_and(|trail| trail.kind != TrailKind::Even) => camera,
            // where the sky's own pattern is known and does not fit, the sky is not it
            (Some(sky), _) if sky.information - facts.best.information >= STRONG_EVIDENCE => camera,
            (Some(sky), _) if by_sky(sky) == MotionKind::Trailing => MotionKind::Trailing,
            (_, Foreground::Sharp) => MotionKind::Trailing,
            _ => by_size(motion, camera, context),
        },
    }
}

/// The sky's own pattern fits: is the trail as long as it should be?
fn by_sky(fit: &PatternFit) -> MotionKind {
    let length_share = fit.values.first().copied().unwrap_or(0.0).max(0.0).sqrt();
    if (SKY_LENGTH_RANGE[0]..=SKY_LENGTH_RANGE[1]).contains(&length_share) {
        MotionKind::Trailing
    } else {
        MotionKind::SkyOrCamera
    }
}

/// Nothing known but how far the sky can have moved: longer trails are the camera's.
fn by_size(motion: &Motion, camera: MotionKind, context: &MotionContext) -> MotionKind {
    if let (Some(turn_deg), Some(seconds)) = (motion.turn_deg, context.exposure_s) {
        // about the pole the sky turns by the sidereal angle, whatever the lens
        let share = turn_deg / (seconds * SIDEREAL_ARCSEC_S / 3600.0);
        return match share {
            _ if share > SKY_LENGTH_RANGE[1] => camera,
            _ if share >= SKY_LENGTH_RANGE[0] => MotionKind::Trailing,
            _ => MotionKind::SkyOrCamera,
        };
    }
    let beyond = |longest: f64| motion.length_px.is_some_and(|length| length.low > SKY_LENGTH_RANGE[1] * longest);
    if motion.sky_px.is_some_and(beyond) { camera } else { MotionKind::SkyOrCamera }
}
