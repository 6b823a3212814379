//! A time-lapse of a sequence, packed by ffmpeg while its frames are opened.

pub(super) mod clock;
mod encoder;
mod maker;
mod progress;
mod small;
mod work;

use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use frame::Frame;
use job::{
    ClipColours, ClipEvenness, ClipFacts, ClipGeometry, ClipPicture, ClipReport, ClipRequest, SkippedFrame, clip_report,
};

use self::maker::Maker;
use self::progress::BeforePacking;
pub(crate) use self::progress::ClipNews;
use self::small::{Making, each_small};
use self::work::{Taken, Work};
use crate::failure::Failure;
use crate::out_file;
use crate::sorting::atomic;
use crate::telling::order::{Item, Order, is_inside_raw, order, probed};

/// What is to be made, of what, and where it goes.
pub(crate) struct ClipTask<'a> {
    pub(crate) inputs: &'a [PathBuf],
    pub(crate) out: &'a Path,
    /// Whether a clip of this name may go.
    pub(crate) replace: bool,
    pub(crate) request: &'a ClipRequest,
    /// How far the cameras' clock is ahead of UTC, s, where they do not say.
    pub(crate) utc_offset_s: Option<i32>,
    pub(crate) workers: usize,
    /// Becomes true when the person wants an end.
    pub(crate) stop: &'a AtomicBool,
    /// Time between two notes of how far it is.
    pub(crate) noted_every: Duration,
}

/// Whoever follows the work.
pub(crate) struct ClipFollower<'a> {
    /// One sentence each.
    pub(crate) note: &'a dyn Fn(&str),
    /// How far it is.
    pub(crate) packed: &'a dyn Fn(&ClipNews),
}

/// Makes a clip; `None` where it was stopped before its end.
///
/// Beside it stands its caption, as a text file of the same name.
///
/// # Errors
///
/// No frame that can be shown, no ffmpeg, a folder that cannot be written.
pub(crate) fn clip(task: &ClipTask<'_>, follower: &ClipFollower<'_>) -> Result<Option<ClipReport>, Failure> {
    task.request.check()?;
    check_out(task)?;
    encoder::check(task.request)?;
    let before = BeforePacking::new(task.noted_every, follower.packed);
    let Order { items, by_time } = order(task.inputs, &|done, of| before.at("looked at", done, of))?;
    out_file::is_no_input(task.out, items.iter().map(|item| item.path.as_path()))?;
    let probe = Probe::of(&items, task.request)?;
    let Some(work) = Work::open(task, &items, &|done| before.at("read through", done, items.len()))? else {
        return Ok(None);
    };
    let making = Making {
        items: &items,
        geometry: probe.geometry,
        colours: probe.colours,
        workers: task.workers,
        stop: task.stop,
    };
    let mut maker = Maker::new(&making, task, &work, probe.sky);
    let begun = maker.begun();
    if begun > 0 {
        (follower.note)(&format!("{begun} of {} frames are packed already; going on from there", items.len()));
    }
    each_small(&making, begun..items.len(), |number, small| maker.take(number, small, follower))?;
    if task.stop.load(Ordering::Relaxed) {
        maker.stop(follower)?;
        (follower.note)("stopped; what is packed is kept, and the same command goes on from there");
        return Ok(None);
    }
    let taken = maker.finish(follower)?;
    let facts = facts(&making, task, &taken, by_time, probe.inside_raw);
    if facts.shown == 0 {
        work.remove();
        let first =
            facts.left_out.first().map_or_else(String::new, |frame| format!(": {}: {}", frame.name, frame.reason));
        return Err(Failure::new(format!("no frame could be shown{first}"), "give frames that open, all of one shape"));
    }
    let report = clip_report(task.request, facts)?;
    join(task, &work, &report, items.len())?;
    work.remove();
    Ok(Some(report))
}

fn check_out(task: &ClipTask<'_>) -> Result<(), Failure> {
    let shown = task.out.display();
    if task.out.extension().is_none_or(|ending| !ending.eq_ignore_ascii_case("mp4")) {
        return Err(Failure::new(format!("{shown} does not end in .mp4"), "give --out a name that ends in .mp4"));
    }
    out_file::is_free(&[task.out, &caption_path(task.out)], task.replace)
}

/// Where the caption of a clip or a stack stands: beside it.
pub(super) fn caption_path(out: &Path) -> PathBuf {
    out.with_extension("txt")
}

/// What some frames tell of all.
struct Probe {
    geometry: ClipGeometry,
    colours: ClipColours,
    sky: Vec<bool>,
    inside_raw: bool,
}

impl Probe {
    fn of(items: &[Item], request: &ClipRequest) -> Result<Self, Failure> {
        let frames = probed(items)?;
        let size = frames.first().map(Frame::displayed_size).unwrap_or_default();
        let geometry = request.geometry(size)?;
        let middle = frames.get(frames.len() / 2);
        let sky = middle.and_then(|frame| ClipPicture::sky_cells(frame, &geometry).ok()).unwrap_or_default();
        let inside_raw = middle.is_some_and(is_inside_raw);
        Ok(Self { geometry, colours: ClipColours::of(&frames), sky, inside_raw })
    }
}

fn facts(making: &Making<'_>, task: &ClipTask<'_>, taken: &[Taken], by_time: bool, inside_raw: bool) -> ClipFacts {
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    let left_out: Vec<SkippedFrame> = taken
        .iter()
        .filter_map(|frame| frame.left_out.clone())
        .map(|(name, reason)| SkippedFrame { name, reason })
        .collect();
    let shown: Vec<&Item> =
        making.items.iter().zip(taken).filter(|(_, taken)| taken.left_out.is_none()).map(|(item, _)| item).collect();
    let times: Vec<_> = shown.iter().filter_map(|item| item.taken.as_ref()).collect();
    let ends = times.first().zip(times.last()).filter(|_| by_time);
    let factors = taken.iter().filter_map(|frame| frame.gains).flatten();
    let [low, high] = factors.fold([1.0_f64, 1.0], |[low, high], factor| [low.min(factor), high.max(factor)]);
    let exposures: Vec<Option<f64>> = shown.iter().map(|item| item.exposure).collect();
    let evenness = task.request.even_exposure.then(|| ClipEvenness {
        by_settings: exposures.iter().all(Option::is_some),
        steps: count(exposures.windows(2).filter(|pair| is_step(pair)).count()),
        factors: [low, high],
    });
    ClipFacts {
        asked: count(taken.len()),
        shown: count(shown.len()),
        left_out,
        geometry: making.geometry,
        colours: making.colours,
        inside_raw,
        by_time,
        timed: count(times.len()),
        first: ends.map(|(first, _)| clock::words(first, task.utc_offset_s)),
        last: ends.map(|(_, last)| clock::words(last, task.utc_offset_s)),
        span_s: ends.map(|(first, last)| last.local.duration_since(first.local).as_secs_f64()),
        evenness,
        encoder: encoder::words(task.request),
    }
}

/// A change of settings, as [`job::deflicker_gains`] counts it.
fn is_step(pair: &[Option<f64>]) -> bool {
    matches!(pair, [Some(before), Some(after)] if (after / before).ln().abs() > job::SAME_SETTINGS)
}

/// Puts the pieces together, with the caption in the clip's head and beside it.
fn join(task: &ClipTask<'_>, work: &Work, report: &ClipReport, frames: usize) -> Result<(), Failure> {
    let pieces = (0..maker::pieces(frames)).filter(|number| work.piece(*number).is_file());
    let mut list = String::new();
    for number in pieces {
        // writing to a String cannot fail
        let _written = writeln!(list, "file '{number:05}.mp4'");
    }
    let list = work.write("pieces.txt", list.as_bytes())?;
    let mut said = vec![("comment", report.caption.as_str())];
    if let Some(credit) = &task.request.credit {
        said.extend([("artist", credit.as_str()), ("copyright", credit.as_str())]);
    }
    encoder::join(&list, &work.whole(), &said)?;
    let fault = |error: std::io::Error| work::unwritable(task.out, &error);
    std::fs::rename(work.whole(), task.out).map_err(fault)?;
    let caption = format!("{}\n", report.caption);
    atomic::write(&caption_path(task.out), caption.as_bytes(), None, false).map_err(fault)
}
