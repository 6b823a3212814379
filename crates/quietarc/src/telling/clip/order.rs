//! Which frames a clip is made of, and in which order.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use frame::{Metadata, TakenAt, read_metadata};

use crate::failure::Failure;
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

/// Finds the frames of folders and files.
///
/// # Errors
///
/// Something named is not there; no frame at all.
pub(crate) fn order(inputs: &[PathBuf]) -> Result<Order, Failure> {
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
    let mut items: Vec<Item> = paths.into_iter().map(item).collect();
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
