//! Camera raw files built on TIFF: DNG, open or packed as lossless JPEG, and the finished JPEG that every maker puts beside the rest.

mod directory;
mod huffman;
mod levels;
mod lossless_jpeg;
mod mosaic_file;
mod pieces;
mod preview;

use directory::{Directories, Directory, tag};
pub(crate) use preview::beside;

use crate::{FileKind, Frame, FrameError, Limits};

/// Photometric interpretations of raw pictures (TIFF/EP; DNG, chapter 4).
const COLOUR_FILTER_ARRAY: usize = 32_803;
const LINEAR_RAW: usize = 34_892;
/// Compressions that only raw files have, by maker (from memory, after lists of tags in common use): Sony, Samsung twice,
/// Kodak, Panasonic, Nikon, Panasonic three times, Kodak, Pentax.
const MAKERS_COMPRESSIONS: [usize; 11] =
    [32_767, 32_769, 32_770, 32_867, 34_316, 34_713, 34_826, 34_828, 34_830, 65_000, 65_535];

/// Numbers of 16 bits.
const BYTES_PER_NUMBER: u64 = 2;

/// Opens a raw file; `None` for a plain TIFF.
///
/// The mosaic itself where it lies open or is packed as lossless JPEG (most DNG), or else the largest JPEG beside it, with a note.
pub(crate) fn decode(bytes: &[u8], limits: &Limits) -> Option<Result<Frame, FrameError>> {
    let file = Directories::read(bytes)?;
    let (kind, is_raw) = kind(&file, bytes);
    if !is_raw {
        return None;
    }
    let failed = match mosaic_file::decode(&file, kind, limits) {
        Ok(frame) => return Some(Ok(frame)),
        Err(failed) => failed,
    };
    // a file that is too large or broken is not made better by its preview
    let FrameError::PackedRaw { what } = &failed else { return Some(Err(failed)) };
    let what = what.clone();
    Some(preview::decode(&file, kind, limits).map_or(Err(failed), |mut frame| {
        frame.notes.insert(0, format!("{what} is not unpacked here: the JPEG beside it is read in its place"));
        Ok(frame)
    }))
}

/// Pixels from which a finished picture inside a raw file stands for it: fewer are a thumbnail.
const LEAST_PREVIEW_PIXELS: usize = 1_000_000;

/// The finished picture inside a raw file; `None` for other files, and where it is but a thumbnail.
pub(crate) fn preview(bytes: &[u8], limits: &Limits) -> Option<Frame> {
    let file = Directories::read(bytes)?;
    let (kind, is_raw) = kind(&file, bytes);
    let mut frame = preview::decode(&file, kind, limits).filter(|_frame| is_raw)?;
    let [width, height] = frame.stored_size;
    if width * height < LEAST_PREVIEW_PIXELS {
        return None;
    }
    frame.notes.insert(0, "read from the finished picture inside the raw file, not from the raw picture".to_owned());
    Some(frame)
}

/// What a file built on TIFF is, and whether it is a raw file.
fn kind(file: &Directories<'_>, bytes: &[u8]) -> (FileKind, bool) {
    let is_dng = file.all.iter().any(|directory| !file.numbers(directory, tag::DNG_VERSION).is_empty());
    let has_makers_mark = !matches!(bytes.get(2..4), Some([0x2a, 0] | [0, 0x2a]));
    let is_raw = is_dng
        || has_makers_mark
        || bytes.get(8..10) == Some(b"CR")
        || file.all.iter().any(|directory| is_raw(file, directory));
    (if is_dng { FileKind::Dng } else { FileKind::CameraRaw }, is_raw)
}

fn is_raw(file: &Directories<'_>, directory: &Directory) -> bool {
    let photometric = file.whole(directory, tag::PHOTOMETRIC);
    let compression = file.whole(directory, tag::COMPRESSION);
    matches!(photometric, Some(COLOUR_FILTER_ARRAY | LINEAR_RAW))
        || compression.is_some_and(|way| MAKERS_COMPRESSIONS.contains(&way))
}

/// Judges what a file built on TIFF says about all its pictures, for a decoder that takes memory before it looks.
///
/// A file of another build passes: nothing is known about it here.
///
/// # Errors
///
/// A picture, strip or tile beyond the limits; a directory that points outside the file.
pub fn judge_directories(bytes: &[u8], limits: &Limits) -> Result<(), FrameError> {
    let Some(file) = Directories::read(bytes) else { return Ok(()) };
    for directory in &file.all {
        if !file.is_inside(directory) {
            return Err(FrameError::damaged(FileKind::CameraRaw, "a directory points outside the file"));
        }
        let count = file.whole(directory, tag::SAMPLES).unwrap_or(1).clamp(1, usize::from(u16::MAX));
        for (width, height) in [(tag::WIDTH, tag::HEIGHT), (tag::TILE_WIDTH, tag::TILE_HEIGHT)] {
            if let Some((width, height)) = file.whole(directory, width).zip(file.whole(directory, height)) {
                limits.judge(width.max(1) as u64, height.max(1) as u64, BYTES_PER_NUMBER * count as u64)?;
            }
        }
    }
    Ok(())
}

/// Size of the first picture of a TIFF, for judging it before a decoder sees the file.
pub(crate) fn tiff_size(bytes: &[u8]) -> Option<[u64; 2]> {
    let file = Directories::read(bytes)?;
    let first = file.all.first()?;
    let side = |tag| file.whole(first, tag).and_then(|side| u64::try_from(side).ok());
    Some([side(tag::WIDTH)?, side(tag::HEIGHT)?])
}

fn packed(what: &str) -> FrameError {
    FrameError::PackedRaw { what: what.to_owned() }
}
