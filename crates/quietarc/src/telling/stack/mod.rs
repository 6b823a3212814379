//! Frames laid over one another: opened one after another, as many times as the stack looks at them.

mod layers;
mod progress;

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use draw::{Palette, picture_png};
use frame::Frame;
use job::{
    ClipColours, ClipPicture, SAME_SETTINGS, SkippedFrame, StackFacts, StackReference, StackReport, StackRequest,
    StackedPicture, stack_report,
};
use sequence::StackMoments;

use self::layers::Layers;
pub(crate) use self::progress::StackNews;
use self::progress::{StackProgress, StackStep};
use super::clip::{caption_path, clock};
use super::credit::{CreditFields, DigitalSource, credited};
use super::order::{Item, Order, is_inside_raw, open, order, probed};
use super::picture_file::{PictureKind, jpeg, tiff};
use crate::failure::Failure;
use crate::out_file;

/// Frames asked, from the middle of the sequence outward, whether their stars are known: each takes seconds.
const CANDIDATES: usize = 8;
/// Frames whose stars are known that are asked whether their ground is told from their sky: in one it is, in the next not.
const GROUND_CANDIDATES: usize = 3;

/// What is to be made, of what, and where it goes.
pub(crate) struct StackTask<'a> {
    pub(crate) inputs: &'a [PathBuf],
    pub(crate) out: &'a Path,
    /// Whether a picture of this name may go.
    pub(crate) replace: bool,
    pub(crate) request: &'a StackRequest,
    /// How far the cameras' clock is ahead of UTC, s, where they do not say.
    pub(crate) utc_offset_s: Option<i32>,
    pub(crate) workers: usize,
    /// Becomes true when the person wants an end.
    pub(crate) stop: &'a AtomicBool,
    /// Time between two words of how far it is.
    pub(crate) noted_every: Duration,
}

/// Whoever follows the work.
pub(crate) struct Follower<'a> {
    /// One sentence each.
    pub(crate) note: &'a dyn Fn(&str),
    /// How far it is.
    pub(crate) step: &'a dyn Fn(&StackNews),
}

/// Makes a stack; `None` where it was stopped before its end.
///
/// Beside it stands its caption, as a text file of the same name.
///
/// # Errors
///
/// Fewer than two frames that can be taken, none whose stars are known, a folder that cannot be written.
pub(crate) fn stack(task: &StackTask<'_>, follower: &Follower<'_>) -> Result<Option<StackReport>, Failure> {
    task.request.check()?;
    let kind = check_out(task)?;
    let progress = StackProgress::new(task.request.kind, task.noted_every, follower.step);
    let Order { items, .. } = order(task.inputs, &|done, of| progress.step(StackStep::Read, done, of))?;
    out_file::is_no_input(task.out, items.iter().map(|item| item.path.as_path()))?;
    if items.len() > StackMoments::MOST_FRAMES {
        let most = StackMoments::MOST_FRAMES;
        return Err(Failure::new(
            format!("{} frames are given, and {most} are stacked at most", items.len()),
            "give fewer frames",
        ));
    }
    let base = Base::of(&items, task, &progress)?;
    let layers = Layers { task, items: &items, base: &base, follower, progress: &progress };
    let made = layers.put_together()?;
    if task.stop.load(Ordering::Relaxed) {
        (follower.note)("stopped; nothing is written");
        return Ok(None);
    }
    if made.taken.len() < 2 {
        let first = made.left_out.first().map_or_else(String::new, |out| format!(": {}: {}", out.name, out.reason));
        return Err(Failure::new(
            format!("no second frame can be stacked{first}"),
            "give at least two frames of one camera on one tripod, of one size and setting",
        ));
    }
    let facts = facts(task, &items, &base, &made);
    let report = stack_report(task.request, facts)?;
    write(task, kind, &made.picture, &report)?;
    Ok(Some(report))
}

fn check_out(task: &StackTask<'_>) -> Result<PictureKind, Failure> {
    let shown = task.out.display();
    let kind = PictureKind::of(task.out).ok_or_else(|| {
        Failure::new(
            format!("{shown} ends in none of .png, .jpg and .tif"),
            "give --out a name that ends in one of them",
        )
    })?;
    out_file::is_free(&[task.out, &caption_path(task.out)], task.replace)?;
    Ok(kind)
}

/// The frame that the others are laid on.
pub(super) struct Base {
    /// Its place among the frames.
    pub(super) number: usize,
    pub(super) geometry: job::ClipGeometry,
    pub(super) colours: ClipColours,
    inside_raw: bool,
    /// Its stars and its ground; `None` where frames are taken as they are.
    pub(super) sky: Option<StackReference>,
    pub(super) own: ClipPicture,
}

impl Base {
    fn of(items: &[Item], task: &StackTask<'_>, progress: &StackProgress<'_>) -> Result<Self, Failure> {
        let most = if task.request.kind.is_aligned() { CANDIDATES.min(items.len()) } else { 1 };
        progress.step(StackStep::Reference, 0, most);
        let probed = probed(items)?;
        let size = probed.first().map(Frame::displayed_size).unwrap_or_default();
        let geometry = task.request.geometry(size);
        let colours = ClipColours::of(&probed);
        drop(probed);
        let middle = items.len() / 2;
        let outward = (0..=items.len()).flat_map(|step| [middle.checked_sub(step + 1), Some(middle + step)]);
        let mut why = None;
        let mut asked = 0;
        let (mut without_ground, mut best) = (0, None);
        for number in outward.flatten() {
            let Some(item) = items.get(number) else { continue };
            // what does not open or is of another size is told when its turn comes
            let Ok(frame) = open(item) else { continue };
            if frame.displayed_size() != size {
                continue;
            }
            let sky = if task.request.kind.is_aligned() {
                match StackReference::of(&frame, &geometry) {
                    Ok(sky) => Some(sky),
                    Err(fault) => {
                        asked += 1;
                        progress.step(StackStep::Reference, asked, most);
                        why = why.or(Some(format!("{}: {fault}", item.name)));
                        if asked >= CANDIDATES || task.stop.load(Ordering::Relaxed) {
                            break;
                        }
                        continue;
                    }
                }
            } else {
                None
            };
            let own = ClipPicture::of(&frame, &geometry, colours)
                .map_err(|error| Failure::new(format!("{}: {error}", item.name), "leave this frame out"))?;
            let lacks_ground = sky.as_ref().is_some_and(|sky| sky.ground_share().is_none_or(|share| share <= 0.0));
            let base = Self { number, geometry, colours, inside_raw: is_inside_raw(&frame), sky, own };
            if !lacks_ground {
                return Ok(base);
            }
            without_ground += 1;
            best.get_or_insert(base);
            if without_ground >= GROUND_CANDIDATES || task.stop.load(Ordering::Relaxed) {
                break;
            }
        }
        if let Some(base) = best {
            return Ok(base);
        }
        let why = why.unwrap_or_else(|| "none has the size of the others".to_owned());
        Err(Failure::new(
            format!("no frame's stars say where it looks: {why}"),
            "give frames of a starry sky, or --brightest for trails, which needs no stars",
        ))
    }
}

/// A stack before it is written.
pub(super) struct Made {
    pub(super) picture: StackedPicture,
    /// Frames taken, by number.
    pub(super) taken: Vec<usize>,
    pub(super) left_out: Vec<SkippedFrame>,
    pub(super) residuals_px: Vec<f64>,
    pub(super) clipped_share: Option<f64>,
}

/// One sentence where a frame was exposed otherwise than the reference.
pub(super) fn other_setting(item: &Item, own: &Item) -> Option<String> {
    let times = item.exposure? / own.exposure?;
    (times.ln().abs() > SAME_SETTINGS).then(|| {
        format!("it was exposed {times:.2} times as much as {}, by time, ISO and aperture: frames of one setting are stacked", own.name)
    })
}

fn facts(task: &StackTask<'_>, items: &[Item], base: &Base, made: &Made) -> StackFacts {
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    let times: Vec<_> = made.taken.iter().filter_map(|number| items.get(*number)?.taken.as_ref()).collect();
    let first = times.iter().min_by_key(|taken| taken.local);
    let last = times.iter().max_by_key(|taken| taken.local);
    // a frame without a time may be the first or the last
    let ends = first.zip(last).filter(|_| times.len() == made.taken.len());
    let mut residuals = made.residuals_px.clone();
    residuals.sort_by(f64::total_cmp);
    StackFacts {
        asked: count(items.len()),
        taken: count(made.taken.len()),
        left_out: made.left_out.clone(),
        frame_px: base.geometry.frame_px,
        stack_px: base.geometry.clip_px,
        colours: base.colours,
        inside_raw: base.inside_raw,
        reference: items.get(base.number).map(|item| item.name.clone()).unwrap_or_default(),
        residual_px: residuals.get(residuals.len() / 2).copied(),
        ground_share: base.sky.as_ref().and_then(StackReference::ground_share),
        clipped_share: made.clipped_share,
        first: ends.map(|(first, _)| clock::words(first, task.utc_offset_s)),
        last: ends.map(|(_, last)| clock::words(last, task.utc_offset_s)),
        span_s: ends.map(|(first, last)| last.local.duration_since(first.local).as_secs_f64()),
    }
}

fn write(
    task: &StackTask<'_>,
    kind: PictureKind,
    picture: &StackedPicture,
    report: &StackReport,
) -> Result<(), Failure> {
    let fields = CreditFields {
        creator: task.request.credit.as_deref().and_then(job::credited_name),
        credit_line: task.request.credit.clone(),
        caption: Some(report.caption.clone()),
        place: task.request.place.clone(),
        source: Some(DigitalSource::Composite),
        ..CreditFields::default()
    };
    let bytes = match kind {
        PictureKind::Png => credited(picture_png(picture.size_px, &picture.rgb_8_bits(), Palette::Day), &fields)?,
        PictureKind::Jpeg => credited(jpeg(picture.size_px, &picture.rgb_8_bits())?, &fields)?,
        PictureKind::Tiff => tiff(picture.size_px, &picture.rgb_16_bits(), &fields)?,
    };
    out_file::write(task.out, &bytes)?;
    out_file::write(&caption_path(task.out), format!("{}\n", report.caption).as_bytes())
}
