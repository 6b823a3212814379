//! A sequence from files to report: pictures measured on all cores, taken in one after another, few in memory.

mod files;
mod kept;
mod light_table;
mod order;
mod pictures;
mod step;
mod table;
mod video;

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use feeds::magnetometer::Magnetogram;
use frame::{Limits, Metadata};
use job::{KpInterval, ReadRecords, ReadReport, ReadRequest, ReadSpace, Reading, SequenceLens};
use quantity::{GeoPosition, Timestamp};

use self::kept::{KeptRows, NotKept};
use self::pictures::{Measuring, Row, TimedFile};
use crate::failure::Failure;
use crate::{frame_file, output};

pub(crate) use self::light_table::light_table;
pub(crate) use self::step::{FrameAt, ReadStep};
pub(crate) use self::table::{periods_table, spectra_table, table};

/// Frames on which the lens is looked for, spread evenly: each takes seconds, and clouds seldom cover all.
const LENS_TRIES: usize = 5;

/// Fewest files whose measuring is kept for a reading that is stopped: fewer are measured anew in seconds.
const LEAST_KEPT: usize = 8;

/// What is known of the frames beside what they say.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Told {
    /// How far the camera's clock is ahead of UTC, s.
    pub(crate) utc_offset_s: Option<i32>,
    /// Begin of a video.
    pub(crate) start: Option<Timestamp>,
}

/// What others recorded of the night.
pub(crate) struct Recorded<'a> {
    /// A magnetogram.
    pub(crate) magnetogram: Option<&'a Magnetogram>,
    /// Kp and solar wind of a span of time; none where there is no store to ask.
    pub(crate) space: &'a dyn Fn((Timestamp, Timestamp)) -> Result<Option<ReadSpace>, Failure>,
}

impl Recorded<'_> {
    /// What stands beside the frames of a sequence.
    ///
    /// * `kp_taken`: the interval whose Kp was taken for the forms before anything was read.
    fn beside(&self, reading: &Reading, kp_taken: Option<KpInterval>) -> ReadRecords<'_> {
        let space = reading.span().and_then(|span| match (self.space)(span) {
            Ok(space) => space,
            Err(failure) => {
                // hours of reading are not given up for it
                output::note(&format!("Kp and solar wind are left out: {}; {}", failure.message, failure.hint));
                None
            }
        });
        ReadRecords {
            magnetic: self.magnetogram.map(|magnetogram| &magnetogram.record),
            rejected_rows: self.magnetogram.map_or(0, |found| found.rejected.len() + found.rejected_beyond),
            space: space.map(|space| ReadSpace { kp_taken, ..space }),
        }
    }
}

/// Folder beside a journal in which a reading keeps what it measured until it is done.
pub(crate) fn keeping_beside(journal: &Path) -> Option<PathBuf> {
    Some(journal.parent()?.join("reading"))
}

/// Reads a sequence.
///
/// * `keeping`: folder in which what was measured is kept until the reading is done, so that one that was stopped goes on.
///
/// # Errors
///
/// Nothing there to read, a video without its program or its time, a request out of range, stored feeds that cannot be asked.
pub(crate) fn read(
    inputs: &[PathBuf],
    request: ReadRequest,
    told: Told,
    recorded: &Recorded<'_>,
    keeping: Option<&Path>,
) -> Result<ReadReport, Failure> {
    read_watched(inputs, request, told, recorded, keeping, &mut |_step| ControlFlow::Continue(()))
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
    recorded: &Recorded<'_>,
    keeping: Option<&Path>,
    each: &mut dyn FnMut(ReadStep<'_>) -> ControlFlow<()>,
) -> Result<ReadReport, Failure> {
    request.check()?;
    request.name = inputs.iter().map(|path| path.display().to_string()).collect::<Vec<_>>().join(", ");
    // by these the frames are found again, from whatever folder the program is then run
    let whole = |path: &PathBuf| std::path::absolute(path).unwrap_or_else(|_cause| path.clone());
    request.inputs = inputs.iter().map(|path| whole(path).display().to_string()).collect();
    request.utc_offset_s = told.utc_offset_s;
    let [only] = inputs else { return read_pictures(inputs, request, told, recorded, keeping, each) };
    if !video::is_video(only) {
        return read_pictures(inputs, request, told, recorded, keeping, each);
    }
    read_video(only, request, told, recorded)
}

/// Said of every video: what its frames do not say is taken to be the same for all.
const VIDEO_LIMIT: &str = "A video says neither exposure nor gain: they are taken to be the same from its first frame to its last. A camera that changed them by itself makes steps that are none of the sky's.";

fn read_video(
    path: &Path,
    mut request: ReadRequest,
    told: Told,
    recorded: &Recorded<'_>,
) -> Result<ReadReport, Failure> {
    let about = video::about(path, told.start)?;
    let name = name_of(path);
    let lens = match video::still(path, &about)? {
        Some(still) => SequenceLens::of(still, &name, Some(about.start), request.position, &request),
        None => SequenceLens::unknown(format!("{name}: its first frames cannot be opened")),
    };
    let kp_taken = match request.kp {
        Some(_given) => None,
        None => (recorded.space)((about.start, about.start))?.and_then(|space| space.kp_for(about.start)),
    };
    request.kp = request.kp.or(kp_taken.map(|taken| taken.kp));
    let mut reading = Reading::new(request.clone(), lens.clone())?;
    let measuring = Measuring { lens: &lens, request: &request, told, is_single: false };
    let mut before = None;
    video::each_frame(path, &mut |number, frame| {
        let name = format!("frame {number}");
        let measured = about.at(number).ok_or_else(|| "its time is out of range".to_owned());
        match measured.and_then(|at| measuring.measured(&name, frame, at, &mut before)) {
            Ok(frame) => reading.push(frame),
            Err(reason) => reading.skip(&name, reason),
        }
    })?;
    let records = recorded.beside(&reading, kp_taken);
    let mut report = reading.finish(&records);
    report.limits.push(VIDEO_LIMIT.to_owned());
    Ok(report)
}

/// The Kp of the middle of some files' time, where nobody gave one.
fn kp_of(files: &[TimedFile], request: &ReadRequest, recorded: &Recorded<'_>) -> Result<Option<KpInterval>, Failure> {
    let times = || files.iter().filter_map(|file| file.at);
    let Some((first, last)) = times().min().zip(times().max()).filter(|_| request.kp.is_none()) else {
        return Ok(None);
    };
    let half = last.duration_since(first) / 2;
    let middle = first.saturating_add(half).unwrap_or(first);
    Ok((recorded.space)((first, last))?.and_then(|space| space.kp_for(middle)))
}

fn read_pictures(
    inputs: &[PathBuf],
    mut request: ReadRequest,
    told: Told,
    recorded: &Recorded<'_>,
    keeping: Option<&Path>,
    each: &mut dyn FnMut(ReadStep<'_>) -> ControlFlow<()>,
) -> Result<ReadReport, Failure> {
    let files = order::by_time(files::pictures(inputs)?, told);
    let goes_on = each(ReadStep::Ordered(files.len())).is_continue();
    let (lens, position) = find_lens(&files, &request, told);
    request.position = request.position.or(position);
    let kp_taken = kp_of(&files, &request, recorded)?;
    request.kp = request.kp.or(kp_taken.map(|taken| taken.kp));
    let mut reading = Reading::new(request.clone(), lens.clone())?;
    for video in files::videos(inputs) {
        reading.skip(&name_of(&video), "a video in a folder of pictures; read it by itself");
    }
    let kept = keeping.filter(|_| files.len() >= LEAST_KEPT).and_then(|folder| {
        let kept = match KeptRows::open(folder, &question(&request, &lens, told)?) {
            Ok(kept) => kept,
            Err(NotKept::InUse) => {
                output::note(
                    "another reading of these files runs: this one starts anew, and keeps nothing to go on from",
                );
                return None;
            }
            Err(NotKept::NoFile) => return None,
        };
        if kept.known() > 0 {
            output::note(&format!("{} files are known from a reading that was stopped", kept.known()));
        }
        Some(Mutex::new(kept))
    });
    let measuring = Measuring { lens: &lens, request: &request, told, is_single: files.len() == 1 };
    let ended = if goes_on {
        let mut inner = 0;
        pictures::each_row(&files, &measuring, kept.as_ref(), &mut |file, row| {
            let Some(row) = row else {
                inner = 0;
                return each(ReadStep::FileDone);
            };
            let mut flow = ControlFlow::Continue(());
            match row {
                Row::Frame(frame) => {
                    flow = each(ReadStep::Frame(&FrameAt { path: file.path.clone(), inner, at: frame.at }));
                    reading.push(*frame);
                }
                Row::WithoutTime(look) => reading.push_without_time(&look),
                Row::Skip { name, reason } => reading.skip(&name, reason),
            }
            inner += 1;
            flow
        })
    } else {
        ControlFlow::Break(())
    };
    // of a reading that was stopped the next one has its rows
    if ended.is_continue()
        && let Some(Ok(kept)) = kept.map(Mutex::into_inner)
    {
        kept.remove();
    }
    let records = recorded.beside(&reading, kp_taken);
    Ok(reading.finish(&records))
}

/// Pictures of a folder that was read before, with their times: the first picture of each file.
///
/// # Errors
///
/// The folder is gone or holds no picture.
pub(crate) fn frames_of(inputs: &[PathBuf], told: Told) -> Result<Vec<FrameAt>, Failure> {
    let timed = order::by_time(files::pictures(inputs)?, told).into_iter();
    Ok(timed.filter_map(|file| Some(FrameAt { path: file.path, inner: 0, at: file.at? })).collect())
}

/// What the pictures were measured for, in one line: another question measures anew.
fn question(request: &ReadRequest, lens: &SequenceLens, told: Told) -> Option<String> {
    let asked = serde_json::to_string(&(request, lens.about())).ok()?;
    Some(format!("{} {} {:?} {asked}", env!("CARGO_PKG_VERSION"), job::MEASURING_VERSION, told.utc_offset_s))
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

/// The lens by the first of some frames whose stars show it, and the place that the frames name.
fn find_lens(files: &[TimedFile], request: &ReadRequest, told: Told) -> (SequenceLens, Option<GeoPosition>) {
    let mut lens = SequenceLens::unknown("no frame could be opened");
    let mut position = None;
    let tries = LENS_TRIES.min(files.len());
    for index in 0..tries {
        let Some(TimedFile { path, .. }) = files.get(index * files.len() / tries) else { continue };
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
