//! Why a frame is a dud: each fault with its measure, against this night with this lens.

use frame::{AuroraPresence, CloudMethod, MotionKind};

use super::lens_night::LensNight;
use super::report::{DudKind, DudReason};
use super::request::MeasuredFrame;
use super::spread::{median, quantile};
use super::streams::Stream;
use super::{faint, measures};
use crate::{CheckReport, CheckedScene};

/// Width over this night's best from which a frame is soft: its stars cover 1.8 times the area, 0.65 magnitudes.
const SOFT_OVER_BEST: f64 = 1.35;
/// And at least so many times the scatter of widths from frame to frame.
const SOFT_SIGMA: f64 = 4.0;
/// Trail in widths of this night's best stars, where eight frames say what is usual: an even one makes stars 1.14 times as long
/// as wide (`L²/12` over the variance of a Gaussian star), from where on people see it (judgement).
const ODD_WIDTHS: f64 = 0.8;
/// The same among fewer frames, by a moved camera: drawn out to twice a star.
const SHAKEN_WIDTHS: f64 = 1.0;
/// And by the turning sky: longer, since it can be meant.
const TRAILED_WIDTHS: f64 = 2.0;
/// And in times of this night's median trail, and in scatters above it.
const TRAIL_OVER_MEDIAN: f64 = 2.0;
const TRAIL_SIGMA: f64 = 4.0;
/// Cloud (lower end of its range) from which a frame is a dud: half the sky, or so much more than in the night's clear frames.
const CLOUDED: f64 = 0.5;
const CLOUD_OVER_CLEAR: f64 = 0.3;
/// Place in order of the cloud that counts as the night's clear frames, and of the star count that counts as full.
const CLEAR_PLACE: f64 = 0.25;
const FULL_PLACE: f64 = 0.75;
/// Share of the stars that must be gone: three in four, 1.5 magnitudes less depth by counts of stars (from memory).
const STARS_LEFT: f64 = 0.25;
/// Stars and frames of one pointing that say how many there are.
const LEAST_STARS: f64 = 20.0;
const LEAST_FRAMES: usize = 8;
/// A sky so much brighter than in the frames around hides stars without a cloud, stops.
const BRIGHT_SKY_STOPS: f64 = 1.5;
/// Level under this night's median from which a frame is too dark, stops: a shutter or a cap, no choice of settings.
const UNDER_STOPS: f64 = 3.5;
/// Share of the sky that is burnt out, at least and in times of this night's median.
const BURNT: (f64, f64) = (0.01, 4.0);
/// Share of the frame in a passing light: five of the 256 cells.
const LAMP_SHARE: f64 = 0.02;
/// Share from which it is the whole frame that is lit.
const WHOLE_FRAME: f64 = 0.8;
/// Share of the frame in the moon's glare, at least, and in scatters of this night above its median.
const GLARE_SHARE: f64 = 0.04;
const GLARE_SIGMA: f64 = 3.0;
/// Share of the night's frames that are of the night, from which one by day is a stray.
const MOSTLY_NIGHT: f64 = 0.5;

/// What the night says beside each frame's own report.
pub(super) struct Night<'a> {
    pub(super) frames: &'a [&'a MeasuredFrame],
    pub(super) lenses: &'a [LensNight],
    /// Lens of each frame.
    pub(super) lens_of: &'a [usize],
    pub(super) lamps: &'a [Option<(f64, f64)>],
    pub(super) glare: &'a [Option<f64>],
    /// Full star count and usual level at the pointing of each frame.
    pub(super) pointings: Vec<Option<Pointing>>,
    /// How much greener than its pointing when empty each frame is, stops.
    greener: Vec<Option<f64>>,
    clear_cloud: Option<f64>,
    has_aurora: bool,
    is_mostly_dark: bool,
}

/// How the sky looks at one pointing in the frames that are well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pointing {
    pub(super) stars: f64,
    /// Level of the sky less what the settings let in, stops.
    sky_stops: Option<f64>,
}

impl<'a> Night<'a> {
    pub(super) fn new(
        frames: &'a [&'a MeasuredFrame],
        streams: &[Stream],
        (lenses, lens_of): (&'a [LensNight], &'a [usize]),
        lamps: &'a [Option<(f64, f64)>],
        glare: &'a [Option<f64>],
    ) -> Self {
        let reports = || frames.iter().map(|frame| &frame.report);
        let told = reports().filter(|report| !matches!(report.scene, CheckedScene::Unreadable));
        let night = reports().filter(|report| measures::is_night(report)).count();
        Self {
            frames,
            lenses,
            lens_of,
            lamps,
            glare,
            pointings: pointings(frames, streams),
            greener: faint::greener(frames, streams),
            clear_cloud: quantile(reports().filter_map(measures::cloud).map(|cloud| cloud.0), CLEAR_PLACE),
            has_aurora: reports().filter_map(measures::aurora).any(|aurora| aurora.presence == AuroraPresence::Yes),
            is_mostly_dark: night as f64 >= MOSTLY_NIGHT * told.count() as f64 && night > 0,
        }
    }

    /// Whether aurora was looked for.
    pub(super) fn knows_aurora(&self) -> bool {
        self.frames.iter().any(|frame| measures::aurora(&frame.report).is_some())
    }

    /// Whether any frame shows some.
    pub(super) fn shows_aurora(&self) -> bool {
        self.has_aurora
    }

    /// Why a frame in which no aurora was found is not sure to hold none.
    pub(super) fn doubt(&self, index: usize) -> Option<String> {
        faint::doubt(self.frames[index], self.greener[index])
    }

    /// Every fault of a frame, the plainest first.
    ///
    /// * `copy_of`: name of another file with the same content.
    pub(super) fn reasons(&self, index: usize, copy_of: Option<&str>) -> Vec<DudReason> {
        let frame = &self.frames[index];
        let report = &frame.report;
        if report.scene == CheckedScene::Unreadable {
            return vec![said(DudKind::Unreadable, format!("cannot be read: {}", report.scene_why))];
        }
        if let Some(other) = copy_of {
            return vec![said(DudKind::Copy, format!("the same picture, byte for byte, as {other}"))];
        }
        match report.scene {
            CheckedScene::NotAPhotograph => {
                return vec![said(DudKind::NotAPhotograph, format!("not a photograph: {}", report.scene_why))];
            }
            CheckedScene::Dark => {
                return vec![said(DudKind::Dark, format!("nothing but dark: {}", report.scene_why))];
            }
            CheckedScene::Day if self.is_mostly_dark => {
                return vec![said(DudKind::Daylight, format!("by day: {}", report.scene_why))];
            }
            _ => {}
        }
        let lens = &self.lenses[self.lens_of[index]];
        let mut found = Vec::new();
        if measures::is_cut_short(report) {
            found.push(said(DudKind::CutShort, "the file breaks off before the picture ends"));
        }
        found.extend(burnt(report, lens));
        let is_burnt = found.iter().any(|reason| reason.kind == DudKind::BurntOut);
        let passing = lamp(self.lamps[index], is_burnt);
        // a light that goes again is no moon
        let moon = if passing.is_none() { flare(self.glare[index], lens) } else { None };
        found.extend(passing.or(moon));
        found.extend(motion(report, lens));
        // a moved camera widens stars by itself
        if !found.iter().any(|reason| matches!(reason.kind, DudKind::Shaken | DudKind::Trailed)) {
            found.extend(soft(report, lens));
        }
        found.extend(dark(report, lens));
        found.extend(self.cloud(report));
        if found.is_empty() {
            found.extend(self.stars_lost(index));
        }
        if found.is_empty() && self.has_aurora {
            found.extend(faint::none(frame, self.greener[index]));
        }
        found
    }

    fn cloud(&self, report: &CheckReport) -> Option<DudReason> {
        let (value, low, _high) = measures::cloud(report)?;
        let threshold = CLOUDED.max(self.clear_cloud? + CLOUD_OVER_CLEAR);
        (low > threshold && measures::is_dark_hour(report)).then(|| DudReason {
            kind: DudKind::Cloud,
            value: Some(value),
            threshold: Some(threshold),
            words: format!("cloud over {:.0} % {}", 100.0 * value, cloud_of(report.cloud_method)),
        })
    }

    fn stars_lost(&self, index: usize) -> Option<DudReason> {
        let report = &self.frames[index].report;
        let usual = self.pointings[index]?;
        if !measures::is_dark_hour(report) {
            return None;
        }
        let stars = if report.stars.alike { f64::from(report.stars.count) } else { 0.0 };
        let brighter = level(report).zip(usual.sky_stops).map_or(0.0, |(here, usual)| here - usual);
        let threshold = STARS_LEFT * usual.stars;
        let is_lost = usual.stars >= LEAST_STARS && stars < threshold && brighter < BRIGHT_SKY_STOPS;
        let found =
            if report.stars.alike { format!("{stars:.0} stars") } else { "no stars that can be told".to_owned() };
        is_lost.then(|| DudReason {
            kind: DudKind::StarsLost,
            value: Some(stars),
            threshold: Some(threshold),
            words: format!(
                "{found} against {:.0} at this pointing: cloud, dew or something before the lens",
                usual.stars
            ),
        })
    }
}

/// What a share under cloud is a share of.
fn cloud_of(method: Option<CloudMethod>) -> &'static str {
    match method {
        Some(CloudMethod::CatalogueStars) => "of the catalogue stars",
        Some(CloudMethod::StarDensity) => "of the sky, by where its stars are missing",
        Some(CloudMethod::Colour) => "of the sky, by its colour",
        None => "of the sky",
    }
}

fn said(kind: DudKind, words: impl Into<String>) -> DudReason {
    DudReason { kind, value: None, threshold: None, words: words.into() }
}

/// Level of the sky less what the settings let in, stops.
fn level(report: &CheckReport) -> Option<f64> {
    Some(measures::sky_stops(report)? - measures::setting_stops(report)?)
}

fn pointings(frames: &[&MeasuredFrame], streams: &[Stream]) -> Vec<Option<Pointing>> {
    let mut found = vec![None; frames.len()];
    for stream in streams {
        for setup in stream.setups() {
            let members = &stream.frames[setup];
            if members.len() < LEAST_FRAMES {
                continue;
            }
            let reports = || members.iter().map(|index| &frames[*index].report);
            let counts = reports().filter(|report| report.stars.alike).map(|report| f64::from(report.stars.count));
            let Some(stars) = quantile(counts, FULL_PLACE) else { continue };
            let pointing = Pointing { stars, sky_stops: median(reports().filter_map(level)) };
            for index in members {
                found[*index] = Some(pointing);
            }
        }
    }
    found
}

fn soft(report: &CheckReport, lens: &LensNight) -> Option<DudReason> {
    let (width, best) = (measures::hfd_px(report)?, lens.best_hfd_px?);
    let threshold = best * SOFT_OVER_BEST.max(1.0 + SOFT_SIGMA * lens.hfd_scatter.min(0.25));
    let is_soft = width > threshold || measures::is_defocused(report);
    is_soft.then(|| DudReason {
        kind: DudKind::Soft,
        value: Some(width),
        // told by the shape alone it has none
        threshold: (width > threshold).then_some(threshold),
        words: if width > threshold {
            format!("stars {width:.1} px wide against this night's best {best:.1}")
        } else {
            format!("out of focus like the best of this night: stars {width:.1} px wide, without a core")
        },
    })
}

fn motion(report: &CheckReport, lens: &LensNight) -> Option<DudReason> {
    let motion = report.motion.as_ref()?;
    let length = measures::trail_px(report)?;
    let best = lens.best_hfd_px.or_else(|| measures::hfd_px(report))?;
    let (kind, widths, how) = match motion.kind {
        MotionKind::Shaken => (DudKind::Shaken, SHAKEN_WIDTHS, "one way: the camera moved"),
        MotionKind::Turned => (DudKind::Shaken, SHAKEN_WIDTHS, "about a point: the camera turned"),
        MotionKind::Trailing => (DudKind::Trailed, TRAILED_WIDTHS, "along the sky's motion"),
        MotionKind::SkyOrCamera => (DudKind::Trailed, TRAILED_WIDTHS, "by the sky or by the camera"),
        MotionKind::Held | MotionKind::Lens | MotionKind::CannotTell => return None,
    };
    let widths = if lens.frames >= LEAST_FRAMES { ODD_WIDTHS } else { widths };
    let usual = (TRAIL_OVER_MEDIAN * lens.trail_px).max(lens.trail_px + TRAIL_SIGMA * lens.trail_sigma_px);
    let threshold = (widths * best).max(usual);
    (length > threshold).then(|| DudReason {
        kind,
        value: Some(length),
        threshold: Some(threshold),
        words: if motion.twice {
            format!("knocked: stars appear twice, {length:.0} px apart; this night's are {best:.1} px wide")
        } else {
            format!("trailed {length:.0} px {how}; this night's stars are {best:.1} px wide")
        },
    })
}

fn burnt(report: &CheckReport, lens: &LensNight) -> Option<DudReason> {
    let share = measures::clipped_share(report)?;
    let threshold = BURNT.0.max(BURNT.1 * lens.clipped_share);
    (share > threshold).then(|| DudReason {
        kind: DudKind::BurntOut,
        value: Some(share),
        threshold: Some(threshold),
        words: format!(
            "burnt out over {:.0} % of the frame; usual this night {:.1} %",
            100.0 * share,
            100.0 * lens.clipped_share
        ),
    })
}

fn dark(report: &CheckReport, lens: &LensNight) -> Option<DudReason> {
    let (here, usual) = (measures::sky_stops(report)?, lens.sky_stops?);
    let under = usual - here;
    (under > UNDER_STOPS && lens.frames >= LEAST_FRAMES).then(|| DudReason {
        kind: DudKind::Underexposed,
        value: Some(under),
        threshold: Some(UNDER_STOPS),
        words: format!("{under:.1} stops darker than this night's frames"),
    })
}

/// * `is_burnt`: whether the sky is burnt out, so that light over the whole frame needs no second name.
fn lamp(lamp: Option<(f64, f64)>, is_burnt: bool) -> Option<DudReason> {
    let (share, stops) = lamp?;
    let is_lamp = share >= LAMP_SHARE && !(is_burnt && share > WHOLE_FRAME);
    is_lamp.then(|| DudReason {
        kind: DudKind::LampSwept,
        value: Some(share),
        threshold: Some(LAMP_SHARE),
        words: format!(
            "lamp swept through: {:.0} % of the frame {stops:.1} stops brighter than before and after",
            100.0 * share
        ),
    })
}

fn flare(glare: Option<f64>, lens: &LensNight) -> Option<DudReason> {
    let share = glare?;
    let threshold = GLARE_SHARE.max(lens.glare.0 + GLARE_SIGMA * lens.glare.1);
    (share > threshold).then(|| DudReason {
        kind: DudKind::MoonFlare,
        value: Some(share),
        threshold: Some(threshold),
        words: format!("moon flare: glare over {:.0} % of the frame", 100.0 * share),
    })
}
