//! This test frame: is focus on the stars, did the tripod hold, is it clipped, what should change?

mod advice;
mod aurora;
mod exposure;
mod facts;
mod layers;
mod lens;
mod names;
mod next;
mod opened;
mod pair;
mod parts;
pub(crate) mod preview;
mod report;
mod request;
mod scene;
mod series;
mod sky_light;

use frame::{
    AuroraFinding, BrightLights, Calibration, Focus, FocusReference, Frame, FrameError, ImageCircle, LensSolution,
    LightMap, Limits, Linearity, Metadata, Motion, MotionContext, MotionKind, Plane, SkyMask, Star, StarField,
    StarNote, StarSearch, StarsSeen, find_stars_in, image_circle, judge_focus, judge_motion, second_image,
};
use quantity::{Basis, Estimate};

pub use frame::{AuroraPresence, CloudMethod};

pub use self::aurora::{AuroraLines, CheckedAurora};
pub(crate) use self::facts::moon_lights;
pub use self::layers::FrameLayers;
pub use self::opened::{Crop, OpenedPicture, UnreadablePicture};
pub use self::pair::{SamePlace, same_place};
pub use self::parts::{FocusPart, FocusParts, PartsPicture};
pub use self::preview::Preview;
pub use self::report::{
    AdviceSubject, BodyInFrame, ChannelClipping, CheckAdvice, CheckReport, CheckedBody, CheckedChannel, CheckedFocus,
    CheckedLens, CheckedMotion, CheckedScene, CheckedSettings, CheckedSky, CheckedStars, CheckedTime, NextSettings,
    SkyElectrons, TimeSource, Urgency, WidthMap,
};
pub use self::request::CheckRequest;
pub use self::series::{FocusRun, FocusRunFrame, focus_run};
use crate::sort::{FrameMeasures, FrameSignature};

/// Bytes of a picture that are looked at, at most: a larger file gives a report that says so.
pub fn largest_frame_bytes() -> u64 {
    Limits::default().most_bytes
}

/// Looks at one frame and says what is wrong and what to change, the most urgent first.
///
/// Never fails: a file that cannot be read gives a report with the scene [`CheckedScene::Unreadable`] and what to do
/// about it. Nothing is stored. Method and limits: `docs/check.md`.
///
/// ```
/// use job::{CheckRequest, CheckedScene, check};
///
/// let report = check(&CheckRequest { name: "notes.txt".to_owned(), ..Default::default() }, b"not a picture");
/// assert_eq!(report.scene, CheckedScene::Unreadable);
/// assert!(report.summary.contains("notes.txt"));
/// ```
pub fn check(request: &CheckRequest, bytes: &[u8]) -> CheckReport {
    match look(request, bytes) {
        Ok(looked) => looked.report,
        Err(error) => unreadable(request, &error),
    }
}

/// A report with what was found, for drawing and for tables.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckedFrame {
    /// The same report that [`check`] gives.
    pub report: CheckReport,
    /// Every star found, the most significant first; pixel centres at whole numbers, the first pixel at (0, 0).
    pub stars: Vec<Star>,
    /// The picture made small, the way up it is shown; `None` for a file that cannot be read.
    pub preview: Option<Preview>,
    /// What was found where; `None` for a file that cannot be read.
    pub layers: Option<FrameLayers>,
}

impl CheckedFrame {
    /// Of a file of which nothing but a report can be had.
    pub fn unreadable(report: CheckReport) -> Self {
        Self { report, stars: Vec::new(), preview: None, layers: None }
    }
}

/// [`check`] with the stars and a small copy of the picture.
///
/// * `preview_px`: longest side of the copy, px.
pub fn check_with_picture(request: &CheckRequest, bytes: &[u8], preview_px: usize) -> CheckedFrame {
    match look(request, bytes) {
        Ok(looked) => {
            let preview = Preview::of(&looked.frame, &looked.stars, preview_px).ok();
            CheckedFrame { report: looked.report, stars: looked.stars, preview, layers: Some(looked.layers) }
        }
        Err(error) => CheckedFrame::unreadable(unreadable(request, &error)),
    }
}

/// [`check`] with the picture in 16 by 16 cells, for sorting; `None` for a file that cannot be read.
///
/// * `preview_first`: take the finished picture inside a raw file where it is large enough, which is many times faster.
pub fn check_with_signature(request: &CheckRequest, bytes: &[u8], preview_first: bool) -> FrameMeasures {
    let opened = if preview_first { frame::open_preview } else { open_whole };
    match look_with(request, bytes, opened) {
        Ok(looked) => {
            let signature = FrameSignature::of(&looked.cells, looked.frame.ceiling.is_some());
            FrameMeasures { report: looked.report, signature }
        }
        Err(error) => FrameMeasures { report: unreadable(request, &error), signature: None },
    }
}

/// A frame with all that was measured on it.
pub(crate) struct Looked {
    pub(crate) frame: Frame,
    pub(crate) cells: LightMap,
    pub(crate) report: CheckReport,
    pub(crate) stars: Vec<Star>,
    pub(crate) layers: FrameLayers,
    pub(crate) light: MeasuredLight,
    /// What the file says of itself, also where it was kept out of the report.
    pub(crate) metadata: Metadata,
}

/// The light of a frame, before it is told in words.
pub(crate) struct MeasuredLight {
    pub(crate) calibration: Option<Calibration>,
    pub(crate) finding: AuroraFinding,
    /// Cells that are sky, before the aurora was looked for.
    pub(crate) sky: Vec<bool>,
    /// The lens by the stars, where they say so.
    pub(crate) solution: Option<LensSolution>,
}

/// How the note on a file that breaks off begins.
pub(crate) const CUT_SHORT: &str = "the file breaks off";

/// Stars from which their surroundings are taken for the sky.
const LEAST_STARS_FOR_SKY: usize = 8;

/// Measures a frame as [`check`] does.
pub(crate) fn look(request: &CheckRequest, bytes: &[u8]) -> Result<Looked, FrameError> {
    look_with(request, bytes, open_whole)
}

/// A picture, or the mean of all that a research camera has written into one file.
fn open_whole(bytes: &[u8], limits: &Limits) -> Result<Frame, FrameError> {
    raw::open_stack(bytes, limits).map(|stack| stack.frame)
}

fn look_with(
    request: &CheckRequest,
    bytes: &[u8],
    opened: fn(&[u8], &Limits) -> Result<Frame, FrameError>,
) -> Result<Looked, FrameError> {
    let frame = opened(bytes, &Limits::default())?;
    let metadata = frame.metadata.clone();
    looked(request, frame, metadata)
}

fn looked(request: &CheckRequest, frame: Frame, metadata: Metadata) -> Result<Looked, FrameError> {
    let found = Found::of(request, frame)?;
    let Judged { report, layers, light, .. } = found.all_judged();
    Ok(Looked { frame: found.frame, cells: found.cells, report, stars: found.field.stars, layers, light, metadata })
}

/// Looks at a picture as if nothing said when and where it was taken: what it shows by itself can then speak for or against
/// a claim.
pub(crate) fn look_without_time_and_place(name: &str, bytes: &[u8]) -> Result<Looked, FrameError> {
    let mut frame = open_whole(bytes, &Limits::default())?;
    let metadata = frame.metadata.clone();
    (frame.metadata.taken, frame.metadata.gps_time, frame.metadata.position) = (None, None, None);
    let mut looked = looked(&CheckRequest::default(), frame, metadata)?;
    name.clone_into(&mut looked.report.file);
    Ok(looked)
}

/// A picture with the stars found in it, and nothing judged.
pub(crate) fn frame_and_stars(bytes: &[u8]) -> Result<(Frame, Vec<Star>), FrameError> {
    let frame = open_whole(bytes, &Limits::default())?;
    let mut plane = frame.luminance()?;
    let stars = find_stars_in(&mut plane, &StarSearch::default()).stars;
    Ok((frame, stars))
}

/// The report of bytes that cannot be opened.
pub(crate) fn unopened(name: &str, error: &FrameError) -> CheckReport {
    unreadable_frame(name, &error.to_string(), &error.hint())
}

/// A frame and all that was measured on it, for what reads many.
pub(crate) struct FrameSeen {
    pub(crate) frame: Frame,
    pub(crate) report: CheckReport,
    pub(crate) light: MeasuredLight,
    /// Where a fisheye's picture ends.
    pub(crate) circle: Option<ImageCircle>,
    /// What the search for stars said.
    pub(crate) stars: StarsSeen,
}

/// Looks at an opened frame as [`check`] does.
///
/// # Errors
///
/// None that an opened frame can cause.
pub(crate) fn seen(request: &CheckRequest, frame: Frame) -> Result<FrameSeen, FrameError> {
    let found = Found::of(request, frame)?;
    let circle = image_circle(&found.plane);
    let Judged { report, light, stars, .. } = found.all_judged();
    Ok(FrameSeen { frame: found.frame, report, light, circle, stars })
}

/// What was judged of a frame.
struct Judged {
    report: CheckReport,
    layers: FrameLayers,
    light: MeasuredLight,
    stars: StarsSeen,
}

/// A frame with its light and its stars, before anything is judged.
struct Found {
    request: CheckRequest,
    frame: Frame,
    settings: CheckedSettings,
    taken: Option<CheckedTime>,
    bodies: Option<facts::Bodies>,
    plane: Plane,
    field: StarField,
    cells: LightMap,
    stars: CheckedStars,
}

/// What the stars say of lens, focus and movement.
struct ByStars {
    lens: CheckedLens,
    solution: Option<LensSolution>,
    stars: CheckedStars,
    judged: Option<(Focus, Motion)>,
}

impl Found {
    fn of(request: &CheckRequest, frame: Frame) -> Result<Self, FrameError> {
        let named = names::of(&request.name);
        let by_name = frame.metadata.position.is_none().then_some(named.as_ref()).flatten().map(|named| named.position);
        let request = CheckRequest { position: request.position.or(by_name), ..request.clone() };
        let settings = facts::settings(&request, &frame);
        let taken = facts::taken(&request, &frame.metadata, named.map(|named| named.utc));
        let bodies = facts::bodies(&request, &frame.metadata, taken.as_ref());
        let mut plane = frame.luminance()?;
        let field = find_stars_in(&mut plane, &StarSearch::default());
        let stars = checked_stars(&field);
        let cells = LightMap::of(&frame)?;
        Ok(Self { request, frame, settings, taken, bodies, plane, field, cells, stars })
    }

    /// Level of the sky and clipping.
    fn exposure(&self, not_measured: &mut Vec<String>) -> (Option<CheckedSky>, Vec<ChannelClipping>) {
        let are_enough = self.stars.alike && self.field.stars.len() >= LEAST_STARS_FOR_SKY;
        let sky_cells = self.cells.sky(if are_enough { &self.field.stars } else { &[] });
        let kit = self.request.kit.as_ref();
        let sky = exposure::sky(&self.frame, &self.cells, &sky_cells, &self.settings, kit);
        if self.frame.linearity == Linearity::LinearRelative && sky.as_ref().is_none_or(|sky| sky.electrons.is_none()) {
            not_measured
                .push("electrons: the numbers are light in no known unit; name the kit of this camera".to_owned());
        }
        if sky.is_none() {
            not_measured.push("level of the sky: the file's black level is not known".to_owned());
        }
        if self.frame.ceiling.is_some() {
            return (sky, exposure::clipping(&self.frame, &self.cells, &sky_cells));
        }
        not_measured.push("clipping: the file does not say where it is full".to_owned());
        (sky, Vec::new())
    }

    fn by_stars(&self, scene: &scene::Judged, sky: Option<&CheckedSky>) -> ByStars {
        let may_judge = scene::may_show_stars(scene.shows, sky);
        let asked = lens::Asked {
            request: &self.request,
            frame: &self.frame,
            plane: &self.plane,
            field: &self.field,
            taken: self.taken.as_ref(),
        };
        // stars that are too unlike each other to be measured may still be known by their places
        let asks = may_judge || scene::may_hide_stars(scene.shows, sky) || asked.may_be_dark_sky(scene.shows);
        let (lens, solution) =
            if asks { asked.lens(self.settings.pixel_arcsec) } else { (CheckedLens::not_asked(&scene.why), None) };
        // what the catalogue does not know may be a lamp
        let known = solution.as_ref().and_then(|solution| lens::known_stars(&self.field, solution));
        let all = count(self.field.stars.len());
        let stars = CheckedStars {
            matched: solution.as_ref().map(|solution| count(solution.matched)),
            ..known
                .as_ref()
                .map_or_else(|| self.stars.clone(), |known| CheckedStars { count: all, ..checked_stars(known) })
        };
        let field = known.as_ref().unwrap_or(&self.field);
        let may_judge = may_judge || solution.is_some();
        let judged = may_judge.then(|| self.judged(field, solution.as_ref()));
        ByStars { lens, solution, stars, judged }
    }

    /// Focus and movement by the stars of a field.
    fn judged(&self, field: &StarField, solution: Option<&LensSolution>) -> (Focus, Motion) {
        let context = MotionContext {
            exposure_s: self.settings.exposure_s,
            pixel_arcsec: self.settings.pixel_arcsec.map(|scale| scale.value),
            by_stars: self.settings.exposure_s.and_then(|exposure_s| Some(solution?.sky_turn(exposure_s))),
            // the catalogue knows each star once
            second_image_px: second_image(&self.field),
            ..MotionContext::default()
        };
        let of_kit = || self.request.kit.as_ref()?.lens.sharpest.as_ref()?.on(self.frame.stored_size);
        let reference = FocusReference { sharpest_hfd_px: self.request.sharpest_hfd_px.or_else(of_kit) };
        let focus = judge_focus(&self.plane, field, &reference);
        (focus, judge_motion(&self.plane, field, &context))
    }

    fn all_judged(&self) -> Judged {
        let mut not_measured = Vec::new();
        let (sky, clipping) = self.exposure(&mut not_measured);
        let lights = BrightLights::of(&self.plane);
        let mask = SkyMask::of(&self.cells, &self.field, None, self.frame.orientation);
        let seen = scene::Seen {
            frame: &self.frame,
            cells: &self.cells,
            stars: &self.stars,
            sky: sky.as_ref(),
            bodies: self.bodies,
            plane: &self.plane,
            lights: &lights,
            mask: &mask,
        };
        let judged_scene = scene::scene(&seen);
        let may_show_stars = scene::may_show_stars(judged_scene.shows, sky.as_ref());
        let by_stars = self.by_stars(&judged_scene, sky.as_ref());
        if by_stars.judged.is_none() {
            not_measured.push("focus, movement and lens: no stars that can be trusted".to_owned());
        }
        let stars = stars_seen(&by_stars.stars, by_stars.solution.is_some(), may_show_stars);
        let clock_is_doubted = judged_scene.doubt.is_some()
            || by_stars.solution.as_ref().is_some_and(|solution| solution.contradicts_time);
        let measured = sky_light::Known {
            request: &self.request,
            frame: &self.frame,
            lights: &lights,
            field: &self.field,
            map: &self.cells,
            settings: &self.settings,
            sky: sky.as_ref(),
            bodies: self.bodies,
            clock_is_doubted,
            solution: by_stars.solution.as_ref(),
            utc: self.taken.as_ref().and_then(|taken| taken.utc),
            scene: judged_scene.shows,
            mask,
            stars,
        }
        .measured();
        not_measured.extend(measured.not_measured);
        let found = scene::with_the_sky(judged_scene, by_stars.stars.matched, &measured.aurora, sky.as_ref());

        let (focus, motion) = by_stars.judged.map_or((None, None), |(focus, motion)| (Some(focus), Some(motion)));
        let halo = focus.as_ref().is_some_and(|focus| focus.halo);
        let motion = motion.map(checked_motion);
        let is_night = matches!(found.shows, CheckedScene::NightSky | CheckedScene::Moonlit | CheckedScene::Twilight);
        let next = is_night
            .then(|| next::next(&self.settings, sky.as_ref(), &clipping, motion.as_ref(), self.request.kit.as_ref()))
            .flatten();
        if next.is_none() && is_night {
            not_measured.push("next settings: the file does not say exposure time and ISO".to_owned());
        }
        let mut doubts: Vec<String> = self.frame.metadata.doubts.iter().map(ToString::to_string).collect();
        doubts.extend(facts::doubt_of_time(&self.request, &self.frame.metadata, self.taken.as_ref()));
        doubts.extend(found.doubt);
        let mut report = CheckReport {
            file: self.request.name.clone(),
            summary: String::new(),
            advice: Vec::new(),
            next,
            scene: found.shows,
            scene_why: found.why,
            moonlit: self.bodies.filter(|_| !clock_is_doubted).map(|bodies| bodies.moonlit),
            kind: Some(self.frame.kind.to_string()),
            size_px: Some(self.frame.stored_size.map(count)),
            taken: self.taken.clone(),
            settings: self.settings.clone(),
            stars: by_stars.stars,
            focus: focus.map(checked_focus),
            motion,
            lens: Some(by_stars.lens),
            sky,
            sky_mag_arcsec2: measured.sky_mag_arcsec2,
            cloud_fraction: measured.cloud_fraction,
            cloud_method: measured.cloud_method,
            foreground_fraction: measured.foreground,
            body: measured.body,
            aurora: Some(measured.aurora),
            clipping,
            not_measured,
            doubts,
            notes: self.notes(measured.notes),
        };
        report.advice = advice::of(&report, halo);
        report.summary = report.advice.first().map_or_else(String::new, |first| first.text.clone());
        let light = MeasuredLight {
            calibration: measured.calibration,
            finding: measured.finding,
            sky: measured.sky,
            solution: by_stars.solution,
        };
        Judged { report, layers: measured.layers, light, stars }
    }

    fn notes(&self, of_the_sky: Vec<String>) -> Vec<String> {
        let cut = self.frame.cut_short.then(|| format!("{CUT_SHORT}: copy it from the card again"));
        let of_the_stars = self.field.notes.iter().filter_map(star_note);
        cut.into_iter().chain(self.frame.notes.iter().cloned()).chain(of_the_stars).chain(of_the_sky).collect()
    }
}

/// What the search for stars says to somebody who looks for aurora.
fn stars_seen(stars: &CheckedStars, is_solved: bool, may_be: bool) -> StarsSeen {
    match (stars.alike, is_solved || may_be) {
        (true, true) => StarsSeen::Sure,
        (true, false) => StarsSeen::Doubtful,
        (false, _) => StarsSeen::None,
    }
}

fn count(things: usize) -> u32 {
    u32::try_from(things).unwrap_or(u32::MAX)
}

fn checked_stars(field: &StarField) -> CheckedStars {
    let typical = field.typical;
    CheckedStars {
        count: count(field.stars.len()),
        matched: None,
        alike: typical.is_some(),
        hfd_px: typical.map(|typical| typical.hfd_px),
        fwhm_px: typical.map(|typical| typical.fwhm_px),
        elongation: typical.map(|typical| typical.elongation),
        angle_deg: typical.map(|typical| typical.angle_deg),
    }
}

fn checked_focus(focus: Focus) -> CheckedFocus {
    let map = WidthMap {
        columns: count(focus.map.columns),
        rows: count(focus.map.rows),
        hfd_px: focus.map.cells.iter().map(|cell| cell.hfd_px).collect(),
    };
    CheckedFocus {
        state: focus.state,
        hfd_px: focus.hfd_px,
        over_sharpest: focus.over_sharpest,
        disc: focus.disc,
        words: focus.words,
        parts: map.parts(),
        map,
    }
}

/// Error of the step between two images of the stars, px: how alike single steps must be.
const STEP_ERROR_PX: f64 = 0.7;

fn checked_motion(motion: Motion) -> CheckedMotion {
    let step = motion.second_image_px.filter(|_| motion.kind == MotionKind::Shaken);
    let step = step.map(|[dx, dy]| Estimate::symmetric(dx.hypot(dy), STEP_ERROR_PX, Basis::Measured));
    CheckedMotion {
        // the lens's own drawing out is no movement, and its length no trail
        length_px: step.or(motion.length_px.filter(|_| motion.kind != MotionKind::Lens)),
        kind: motion.kind,
        twice: step.is_some(),
        angle_deg: motion.angle_deg,
        sky_px: motion.sky_px,
        words: motion.words,
    }
}

fn star_note(note: &StarNote) -> Option<String> {
    Some(match note {
        StarNote::NoTypicalShape => "too few stars are alike to say what a star looks like here".to_owned(),
        StarNote::UnlikePatches => "the bright patches differ too much from each other to be stars".to_owned(),
        StarNote::NotAllMeasured { left_out } => format!("{left_out} faint stars were not measured"),
        StarNote::Ridges { count } => {
            format!("peaks on lines left out: {count} (satellites, aircraft, branches, edges)")
        }
        // hot pixels, wings of bright stars and lamps are everyday
        _ => return None,
    })
}

pub(crate) fn unreadable(request: &CheckRequest, error: &FrameError) -> CheckReport {
    unopened(&request.name, error)
}

/// The report of a file that could not even be handed over: missing, locked, too large.
pub fn unreadable_frame(name: &str, problem: &str, remedy: &str) -> CheckReport {
    let text = format!("{name}: {problem}; {remedy}.");
    CheckReport {
        file: name.to_owned(),
        summary: text.clone(),
        advice: vec![CheckAdvice { urgency: Urgency::Now, about: AdviceSubject::File, text }],
        next: None,
        scene: CheckedScene::Unreadable,
        scene_why: problem.to_owned(),
        moonlit: None,
        kind: None,
        size_px: None,
        taken: None,
        settings: CheckedSettings::default(),
        stars: CheckedStars::default(),
        focus: None,
        motion: None,
        lens: Some(CheckedLens::not_asked("the file cannot be read")),
        sky: None,
        sky_mag_arcsec2: None,
        cloud_fraction: None,
        cloud_method: None,
        foreground_fraction: None,
        body: None,
        aurora: None,
        clipping: Vec::new(),
        not_measured: vec!["anything: the file cannot be read".to_owned()],
        doubts: Vec::new(),
        notes: Vec::new(),
    }
}
