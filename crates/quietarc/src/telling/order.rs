//! Which frames a clip or a stack is made of, in which order, and what they are like.

use std::fs::File;
use std::io::Read;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use frame::{Frame, Limits, Metadata, TakenAt, open_preview, read_metadata};

use crate::failure::Failure;
use crate::frame_file;
use crate::sorting::pictures_below;

/// Begin of a file that holds what it says of itself, bytes: an Exif segment has 64 kB at most, makers' notes of raw files
/// seldom reach half a megabyte. What lies beyond is not known before the frame is opened.
const HEAD_BYTES: u64 = 512 << 10;

/// A frame's file.
#[derive(Debug, Clone)]
pub(crate) struct Item {
    pub(crate) path: PathBuf,
    pub(crate) name: String,
    /// When it was taken, by its own clock.
    pub(crate) taken: Option<TakenAt>,
    /// Exposure time times ISO over the square of the f-number.
    pub(crate) exposure: Option<f64>,
}

/// The frames in order.
pub(crate) struct Order {
    pub(crate) items: Vec<Item>,
    /// Whether by their times; by their names otherwise.
    pub(crate) by_time: bool,
}

/// Finds the frames of folders and files, and reads what each says of itself.
///
/// * `read`: told how many of how many are read.
///
/// # Errors
///
/// Something named is not there; no frame at all.
pub(crate) fn order(inputs: &[PathBuf], read: &dyn Fn(usize, usize)) -> Result<Order, Failure> {
    let mut paths = Vec::new();
    for input in inputs {
        if input.is_dir() {
            paths.extend(pictures_below(input)?.files.into_iter().map(|file| file.path));
        } else if input.is_file() {
            paths.push(input.clone());
        } else {
            return Err(Failure::new(
                format!("{} is not there", input.display()),
                "give a folder of frames, or the frames themselves",
            ));
        }
    }
    paths.sort();
    paths.dedup();
    if paths.is_empty() {
        return Err(Failure::new("there is no frame to show", "give a folder that holds the frames of a sequence"));
    }
    let all = paths.len();
    read(0, all);
    let mut items = Vec::with_capacity(all);
    for path in paths {
        items.push(item(path));
        read(items.len(), all);
    }
    let by_time = items.iter().all(|item| item.taken.is_some());
    if by_time {
        // the same clock gives no zone, or the same one: its own times order the frames
        items.sort_by_key(|item| item.taken.as_ref().map(|taken| taken.local));
    }
    Ok(Order { items, by_time })
}

fn item(path: PathBuf) -> Item {
    let metadata = head(&path).map(|bytes| read_metadata(&bytes)).unwrap_or_default();
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    Item { name, exposure: exposure(&metadata), taken: metadata.taken, path }
}

/// A lens that says no f-number (adapted, manual) keeps whatever was set: it counts as the same in every frame.
fn exposure(metadata: &Metadata) -> Option<f64> {
    let aperture = metadata.f_number.map_or(1.0, |number| number * number);
    metadata.exposure_s.zip(metadata.iso).map(|(exposure_s, iso)| exposure_s * iso / aperture)
}

/// A file that cannot be read is told when it is to be shown.
fn head(path: &Path) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path).ok()?.take(HEAD_BYTES).read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

/// Frames opened beforehand, spread evenly, that tell what most frames are like.
const PROBED: usize = 3;

/// Some frames of the size that most have, spread evenly.
///
/// # Errors
///
/// None opens.
pub(crate) fn probed(items: &[Item]) -> Result<Vec<Frame>, Failure> {
    let count = PROBED.min(items.len());
    let mut frames: Vec<Frame> = Vec::new();
    let mut last_fault = String::new();
    // the frames at the places asked for first, then whatever opens
    let spread = (0..count).map(|k| (2 * k + 1) * items.len() / (2 * count));
    for item in spread.chain(0..items.len()).filter_map(|index| items.get(index)) {
        match open(item) {
            Ok(frame) => frames.push(frame),
            Err(why) => last_fault = format!("{}: {why}", item.name),
        }
        if frames.len() >= count {
            break;
        }
    }
    let sizes: Vec<[usize; 2]> = frames.iter().map(Frame::displayed_size).collect();
    let most = sizes.iter().max_by_key(|size| sizes.iter().filter(|other| other == size).count());
    let size = *most.ok_or_else(|| {
        Failure::new(
            format!("no frame can be opened: {last_fault}"),
            "give a folder that holds the frames of a sequence",
        )
    })?;
    frames.retain(|frame| frame.displayed_size() == size);
    Ok(frames)
}

/// Whether a finished picture inside a raw file was taken.
pub(crate) fn is_inside_raw(frame: &Frame) -> bool {
    !frame.linearity.is_linear() && frame.kind == frame::FileKind::CameraRaw
}

/// Opens a frame as it is shown: the finished picture inside a raw file where there is one.
///
/// # Errors
///
/// One sentence on why it cannot be shown; a file that breaks off cannot either.
pub(crate) fn open(item: &Item) -> Result<Frame, String> {
    let bytes = frame_file::read(&item.path).map_err(|fault| fault.message)?;
    let frame = catch_unwind(AssertUnwindSafe(|| open_preview(&bytes, &Limits::default())))
        .map_err(|_panic| "opening it failed inside the program".to_owned())?
        .map_err(|error| error.to_string())?;
    if frame.cut_short {
        return Err("the file breaks off before its picture ends".to_owned());
    }
    Ok(frame)
}
