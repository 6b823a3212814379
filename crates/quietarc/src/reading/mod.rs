//! A sequence from files to report: pictures one after another, one in memory.

mod files;
mod light_table;
mod order;
mod step;
mod video;

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use frame::{Frame, Limits, Metadata};
use job::{FrameLook, MagneticRecord, ReadFrame, ReadReport, ReadRequest, Reading, SequenceLens, SequenceLight};
use quantity::{GeoPosition, Timestamp};

pub(crate) use self::light_table::light_table;
pub(crate) use self::step::{FrameAt, ReadStep};
use crate::failure::Failure;
use crate::frame_file;

/// Frames on which the lens is looked for, spread evenly: each takes seconds, and clouds seldom cover all.
const LENS_TRIES: usize = 5;

/// Time between frames that are looked at for aurora and its forms, s: forms of the aurora keep their shape for some seconds.
const LOOK_EVERY_S: f64 = 10.0;

/// What is known of the frames beside what they say.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Told {
    /// How far the camera's clock is ahead of UTC, s.
    pub(crate) utc_offset_s: Option<i32>,
    /// Begin of a video.
    pub(crate) start: Option<Timestamp>,
}

/// Reads a sequence.
///
/// # Errors
///
/// Nothing there to read, a video without its program or its time, a request out of range.
pub(crate) fn read(
    inputs: &[PathBuf],
    request: ReadRequest,
    told: Told,
    magnetic: Option<&MagneticRecord>,
) -> Result<ReadReport, Failure> {
    read_watched(inputs, request, told, magnetic, &mut |_step| ControlFlow::Continue(()))
}

/// [`read`] that tells each step; breaking off at one ends the sequence there, with what was read until then.
///
/// # Errors
///
/// As [`read`].
pub(crate) fn read_watched(
    inputs: &[PathBuf],
    mut request: ReadRequest,
    told: Told,
    magnetic: Option<&MagneticRecord>,
    each: &mut dyn FnMut(ReadStep<'_>) -> ControlFlow<()>,
) -> Result<ReadReport, Failure> {
    request.check()?;
    let [only] = inputs else { return read_pictures(inputs, request, told, magnetic, each) };
    if !video::is_video(only) {
        return read_pictures(inputs, request, told, magnetic, each);
    }
    // eight bits of a moving picture seldom hold stars, and its pixels are averages of many: no lens is looked for
    request.name = only.display().to_string();
    let lens = SequenceLens::unknown("a video: its stars are not looked for");
    let mut reading = Reading::new(request, lens)?;
    video::each_frame(only, told.start, &mut |frame| reading.push(frame))?;
    Ok(reading.finish(magnetic))
}

fn read_pictures(
    inputs: &[PathBuf],
    mut request: ReadRequest,
    told: Told,
    magnetic: Option<&MagneticRecord>,
    each: &mut dyn FnMut(ReadStep<'_>) -> ControlFlow<()>,
) -> Result<ReadReport, Failure> {
    let paths = order::by_time(files::pictures(inputs)?, told);
    request.name = inputs.iter().map(|path| path.display().to_string()).collect::<Vec<_>>().join(", ");
    let mut flow = each(ReadStep::Ordered(paths.len()));
    let (lens, position) = find_lens(&paths, &request, told);
    request.position = request.position.or(position);
    let mut reading = Reading::new(request.clone(), lens.clone())?;
    let mut looking = Looking { lens, request, last: None };
    for path in &paths {
        if flow.is_break() {
            break;
        }
        let name = name_of(path);
        let bytes = match frame_file::read(path) {
            Ok(bytes) => bytes,
            Err(fault) => {
                reading.skip(&name, fault.message);
                flow = each(ReadStep::FileDone);
                continue;
            }
        };
        let mut inner = 0_usize;
        let opened = raw::open_each(&bytes, &Limits::default(), &mut |found| {
            let taken = match &found {
                Ok(frame) => taken_in(&name, frame, told, &mut looking),
                Err(error) => Err(format!("{error}; {}", error.hint())),
            };
            match taken {
                Ok(frame) => {
                    flow = each(ReadStep::Frame(&FrameAt { path: path.clone(), inner, at: frame.at }));
                    reading.push(frame);
                }
                // a picture by itself needs no place in an order
                Err(why) => match found.ok().filter(|_| paths.len() == 1).and_then(|frame| looking.at(&frame, None)) {
                    Some(look) => reading.push_without_time(&look),
                    None => reading.skip(&name, why),
                },
            }
            inner += 1;
            flow
        });
        if let Err(error) = opened {
            reading.skip(&name, format!("{error}; {}", error.hint()));
        }
        if flow.is_continue() {
            flow = each(ReadStep::FileDone);
        }
    }
    Ok(reading.finish(magnetic))
}

/// Pictures of a folder that was read before, with their times: the first picture of each file.
///
/// # Errors
///
/// The folder is gone or holds no picture.
pub(crate) fn frames_of(inputs: &[PathBuf], told: Told) -> Result<Vec<FrameAt>, Failure> {
    let timed = order::timed(files::pictures(inputs)?, told).into_iter();
    Ok(timed.filter_map(|(at, path)| Some(FrameAt { path, inner: 0, at: at? })).collect())
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// The middle of the exposure.
fn middle(metadata: &Metadata, told: Told) -> Result<Timestamp, String> {
    let taken = metadata.taken.as_ref().ok_or("it says no time; frames without one cannot be put in order")?;
    let offset_s = taken.utc_offset_s.or(told.utc_offset_s).or_else(|| metadata.utc_offset_by_gps_s());
    let offset_s = offset_s.ok_or("its clock's distance from UTC is not known; give --utc-offset")?;
    let begin = taken.utc_with(offset_s).ok_or("its time is out of range")?;
    let half = jiff::SignedDuration::try_from_secs_f64(0.5 * metadata.exposure_s.unwrap_or(0.0)).unwrap_or_default();
    Ok(begin.saturating_add(half).unwrap_or(begin))
}

/// Which frames are looked at for aurora: all where that gives kilorayleighs, else one in [`LOOK_EVERY_S`].
struct Looking {
    lens: SequenceLens,
    request: ReadRequest,
    last: Option<Timestamp>,
}

impl Looking {
    fn at(&mut self, frame: &Frame, at: Option<Timestamp>) -> Option<FrameLook> {
        let is_near =
            self.last.zip(at).is_some_and(|(last, at)| at.duration_since(last).as_secs_f64().abs() < LOOK_EVERY_S);
        if is_near && !self.lens.is_calibrated() {
            return None;
        }
        self.last = at;
        FrameLook::of(frame, at, self.request.position, self.request.height_km, &self.lens).ok()
    }
}

fn taken_in(name: &str, frame: &Frame, told: Told, looking: &mut Looking) -> Result<ReadFrame, String> {
    let metadata = &frame.metadata;
    let at = middle(metadata, told)?;
    let light = SequenceLight::of(frame).map_err(|error| error.to_string())?;
    let (exposure_s, iso, f_number) = (metadata.exposure_s, metadata.iso, metadata.f_number);
    let look = looking.at(frame, Some(at));
    Ok(ReadFrame { name: name.to_owned(), at, exposure_s, iso, f_number, light, look })
}

/// The lens by the first of some frames whose stars show it, and the place that the frames name.
fn find_lens(paths: &[PathBuf], request: &ReadRequest, told: Told) -> (SequenceLens, Option<GeoPosition>) {
    let mut lens = SequenceLens::unknown("no frame could be opened");
    let mut position = None;
    let tries = LENS_TRIES.min(paths.len());
    for index in 0..tries {
        let Some(path) = paths.get(index * paths.len() / tries) else { continue };
        let Ok(bytes) = frame_file::read(path) else { continue };
        let Ok(stack) = raw::open_stack(&bytes, &Limits::default()) else { continue };
        let place = request.position.or(stack.frame.metadata.position);
        position = position.or(place);
        let at = middle(&stack.frame.metadata, told).ok();
        lens = SequenceLens::of(stack.frame, &name_of(path), at, place, request);
        if lens.is_solved() {
            break;
        }
    }
    (lens, position)
}
