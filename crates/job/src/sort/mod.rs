//! Of tonight's frames: which are worth keeping, and why is each dud a dud?

mod clock;
mod duds;
mod faint;
mod lens_night;
mod lights;
mod measures;
mod names;
mod pointing;
mod rank;
mod report;
mod request;
mod select;
mod sequences;
mod signature;
mod spread;
mod streams;
mod times;
mod verdicts;
mod words;

use std::collections::{BTreeMap, BTreeSet, HashMap};

use jiff::SignedDuration;
use jiff::civil::DateTime;
use quantity::{Estimate, Timestamp};

pub use self::names::{FrameFiles, is_picture_name, is_raw_name, pair_files};
pub use self::report::{
    ClockSource, DudKind, DudReason, FrameSequence, FrameVerdict, ReasonCount, SequenceKind, SortReport, SortedCamera,
    SortedFrame, SortedMeasures,
};
pub use self::request::{ClockCorrection, FrameMeasures, MeasuredFrame, PersonVerdict, SortRequest};
pub use self::signature::FrameSignature;
use self::streams::Stream;
use self::times::FrameTime;
use crate::check::moon_lights;

/// Version of what is measured on a frame for sorting. It goes up whenever a frame would be measured differently, so that
/// what was kept from before is measured anew.
pub const MEASURING_VERSION: u32 = 5;

/// Sorts a night's frames: sequences, duds with their reasons, and the keepers.
///
/// The answer does not depend on the order of `frames`. Method and limits: `docs/sort.md`.
///
/// ```
/// use job::{SortRequest, sort};
///
/// assert_eq!(sort(&SortRequest::default(), &[]).summary, "No frame was found.");
/// ```
pub fn sort(request: &SortRequest, frames: &[MeasuredFrame]) -> SortReport {
    // whatever order the files came in, equal questions get equal answers
    let mut ordered: Vec<&MeasuredFrame> = frames.iter().collect();
    ordered.sort_by(|a, b| names::natural(&a.name, &b.name).then_with(|| a.content_hash.cmp(&b.content_hash)));
    let night = Sorted::of(request, &ordered);
    verdicts::report(request, &night)
}

/// What is known of the night before any verdict.
struct Sorted<'a> {
    frames: &'a [&'a MeasuredFrame],
    times: Vec<Option<FrameTime>>,
    streams: Vec<Stream>,
    parts: Vec<sequences::Part>,
    /// Part of each frame.
    part_of: Vec<usize>,
    /// Places of the frames in the order of time.
    order: Vec<usize>,
    cameras: Vec<SortedCamera>,
    /// Camera of each frame.
    camera_of: Vec<Option<usize>>,
}

impl<'a> Sorted<'a> {
    fn of(request: &SortRequest, frames: &'a [&'a MeasuredFrame]) -> Self {
        let times = times::times(request, frames);
        let streams = streams::streams(frames, &times);
        let mut parts: Vec<sequences::Part> =
            streams.iter().flat_map(|stream| sequences::parts(frames, stream)).collect();
        let (cameras, camera_of) = cameras(request, frames, &times, &streams);
        let corrected = |index: usize| {
            let correction_s = camera_of[index].map_or(0.0, |camera: usize| cameras[camera].correction_s);
            times[index].map(|time| FrameTime { at_s: time.at_s + correction_s, ..time })
        };
        let times: Vec<Option<FrameTime>> = (0..frames.len()).map(corrected).collect();
        let at_s = |index: usize| times[index].map_or(f64::INFINITY, |time| time.at_s);
        let first_s = |part: &sequences::Part| part.frames.first().map_or(f64::INFINITY, |index| at_s(*index));
        parts.sort_by(|a, b| first_s(a).total_cmp(&first_s(b)).then_with(|| a.frames.cmp(&b.frames)));
        let mut part_of = vec![0; frames.len()];
        for (number, part) in parts.iter().enumerate() {
            for index in &part.frames {
                part_of[*index] = number;
            }
        }
        let mut order: Vec<usize> = (0..frames.len()).collect();
        order.sort_by(|a, b| at_s(*a).total_cmp(&at_s(*b)).then_with(|| a.cmp(b)));
        Self { frames, times, streams, parts, part_of, order, cameras, camera_of }
    }

    /// What a frame's camera clock would have shown had it been right; `None` where the file names no time of a clock.
    fn local(&self, index: usize) -> Option<String> {
        let local = self.frames[index].report.taken.as_ref()?.local.clone()?;
        let correction_s = self.correction_s(index);
        if correction_s == 0.0 {
            return Some(local);
        }
        let showed: DateTime = local.parse().ok()?;
        let right = showed.checked_add(SignedDuration::try_from_secs_f64(correction_s).ok()?).ok()?;
        Some(right.to_string().replace('T', " "))
    }

    /// What is added to the clock of a frame's camera, s.
    fn correction_s(&self, index: usize) -> f64 {
        self.camera_of[index].map_or(0.0, |camera| self.cameras[camera].correction_s)
    }

    /// Whether the moon lit the sky over a frame. Its report says so by the camera's own clock: where that is corrected, the
    /// moon is looked up anew, and without a place nothing is said.
    fn is_moonlit(&self, request: &SortRequest, index: usize) -> Option<bool> {
        if self.correction_s(index) == 0.0 {
            return measures::is_moonlit(&self.frames[index].report);
        }
        moon_lights(self.utc(index)?, request.position?)
    }

    /// UTC of a frame with its clock's correction.
    fn utc(&self, index: usize) -> Option<Timestamp> {
        let time = self.times[index].filter(|time| time.is_utc)?;
        #[expect(clippy::cast_possible_truncation, reason = "a date in milliseconds; out of range is refused")]
        Timestamp::from_millisecond((1000.0 * time.at_s).round() as i64).ok()
    }
}

fn cameras(
    request: &SortRequest,
    frames: &[&MeasuredFrame],
    times: &[Option<FrameTime>],
    streams: &[Stream],
) -> (Vec<SortedCamera>, Vec<Option<usize>>) {
    let mut by_name: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, name) in bodies(frames).into_iter().enumerate() {
        if let Some(name) = name {
            by_name.entry(name).or_default().push(index);
        }
    }
    let mut camera_of = vec![None; frames.len()];
    let mut cameras = Vec::with_capacity(by_name.len());
    for (name, members) in by_name {
        for index in &members {
            camera_of[*index] = Some(cameras.len());
        }
        let setups = solved_setups(frames, streams, &members);
        let by_stars = request.position.and_then(|position| clock::by_stars(frames, times, &setups, position));
        cameras.push(camera(request, &name, members.len(), by_stars));
    }
    (cameras, camera_of)
}

/// What the body of each frame is called: by its maker and model, and by its serial number too where several have that name.
fn bodies(frames: &[&MeasuredFrame]) -> Vec<Option<String>> {
    let mut serials: HashMap<&str, BTreeSet<Option<&str>>> = HashMap::new();
    for settings in frames.iter().map(|frame| &frame.report.settings) {
        if let Some(name) = settings.camera.as_deref() {
            serials.entry(name).or_default().insert(settings.camera_serial.as_deref());
        }
    }
    let body = |frame: &&MeasuredFrame| {
        let settings = &frame.report.settings;
        let name = settings.camera.as_deref()?;
        let is_one = serials.get(name).is_none_or(|serials| serials.len() < 2);
        Some(match settings.camera_serial.as_deref().filter(|_serial| !is_one) {
            Some(serial) => format!("{name}, number {serial}"),
            None => name.to_owned(),
        })
    };
    frames.iter().map(body).collect()
}

/// One solved frame of each pointing of a camera.
fn solved_setups(frames: &[&MeasuredFrame], streams: &[Stream], members: &[usize]) -> Vec<usize> {
    let of_camera = |stream: &&Stream| stream.frames.first().is_some_and(|index| members.contains(index));
    let solved = |index: &&usize| frames[**index].report.lens.as_ref().is_some_and(|lens| lens.solved);
    let of_stream = |stream: &Stream| -> Vec<usize> {
        stream.setups().into_iter().filter_map(|setup| stream.frames[setup].iter().find(solved).copied()).collect()
    };
    streams.iter().filter(of_camera).flat_map(of_stream).collect()
}

fn camera(request: &SortRequest, name: &str, frames: usize, by_stars: Option<Estimate>) -> SortedCamera {
    let given = clock::given(&request.clock, name);
    let worth = by_stars.filter(|stars| stars.value.abs() > clock::WORTH_SIGMA * (stars.high - stars.value));
    let (correction_s, correction_by) = match (given, worth) {
        (Some(seconds), _) => (seconds, ClockSource::Given),
        (None, Some(stars)) if request.clock_from_stars => (stars.value, ClockSource::Stars),
        _ => (0.0, ClockSource::Camera),
    };
    let suggested = worth.filter(|_stars| given.is_none()).map(|stars| {
        let way = if stars.value > 0.0 { "slow" } else { "fast" };
        let done = if correction_by == ClockSource::Stars { "; corrected" } else { "" };
        format!(
            "its clock seems {} {way}, give or take {}, if it stood level{done}",
            words::span(stars.value),
            words::span(stars.high - stars.value)
        )
    });
    SortedCamera {
        name: name.to_owned(),
        frames: u32::try_from(frames).unwrap_or(u32::MAX),
        correction_s,
        correction_by,
        by_stars_s: by_stars,
        words: suggested,
        best_hfd_px: None,
    }
}

/// Names of files whose content is that of another, with the other's name: the first by name is the original.
fn copies<'a>(frames: &[&'a MeasuredFrame]) -> Vec<Option<&'a str>> {
    let mut first: HashMap<&str, &str> = HashMap::new();
    frames
        .iter()
        .map(|frame| {
            if let Some(original) = first.get(frame.content_hash.as_str()) {
                return Some(*original);
            }
            first.insert(&frame.content_hash, &frame.name);
            None
        })
        .collect()
}
