//! Bodies for fuzzing: the same run in `fuzz/` with random bytes for hours and in the tests with a bounded number.
//!
//! Each takes any bytes and panics only where a promise of this crate is broken.

use optics::Channel;

use std::ops::ControlFlow;

use crate::{
    Frame, FrameError, Layout, LightMap, Limits, Metadata, open, open_each, open_preview, open_stack, pixel_scale,
    read_metadata,
};

/// Small enough that a round takes milliseconds, large enough for the real pictures of the tests.
const LIMITS: Limits = Limits { most_pixels: 1_500_000, most_bytes: 64_000_000, longest_side: 20_000 };
/// More than any file gives rise to.
const MOST_WORDS: usize = 64;

/// Every way into a decoder, by name, with the first bytes that lead there.
pub const PATHS: [(&str, &[u8]); 14] = [
    ("jpeg", b"\xff\xd8\xff"),
    ("png", b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR"),
    ("tiff", b"II\x2a\0"),
    ("tiff_big", b"MM\0\x2b\0\x08\0\0"),
    ("raw", b"IIU\0"),
    ("raw_fuji", b"FUJIFILMCCD-RAW "),
    ("raw_boxes", b"\0\0\0\x18ftypcrx \0\0\0\x01"),
    ("gif", b"GIF89a"),
    ("webp", b"RIFF\0\x10\0\0WEBP"),
    ("bmp", b"BM\0\0\0\0\0\0\0\0"),
    ("heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"),
    ("fits", b"SIMPLE  =                    T"),
    ("netpbm", b"P6 "),
    ("gzip", b"\x1f\x8b\x08"),
];

/// [`fuzz_open`] of bytes that are led to one decoder, by its name in [`PATHS`]; as they are for any other name.
pub fn fuzz_path(name: &str, bytes: &[u8]) {
    let beginning = PATHS.iter().find(|(path, _)| *path == name).map_or(&[][..], |(_, beginning)| *beginning);
    fuzz_open(&[beginning, bytes].concat());
}

/// Opens a picture by every door and takes every plane there is.
pub fn fuzz_open(bytes: &[u8]) {
    let _is_picture = opened(open_preview(bytes, &LIMITS));
    let stack = open_stack(bytes, &LIMITS).map(|stack| {
        assert!(stack.count > 0, "a mean of nothing");
        stack.frame
    });
    let _is_picture = opened(stack);
    let mut pictures = 0;
    let ended = open_each(bytes, &LIMITS, &mut |picture| {
        pictures += 1;
        let _is_picture = opened(picture);
        if pictures < MOST_WORDS { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
    });
    assert!(ended.is_err() || pictures > 0 || bytes.is_empty(), "nothing said of a file");
    let Some(frame) = opened(open(bytes, &LIMITS)) else { return };
    let [width, height] = frame.stored_size;
    let is_whole = |plane: &crate::Plane| [plane.width(), plane.height()] == [width, height];
    for channel in Channel::ALL {
        assert!(frame.plane(channel).is_ok_and(|plane| is_whole(&plane)), "a plane of another size");
    }
    assert!(frame.luminance().is_ok_and(|plane| is_whole(&plane)), "a luminance of another size");
    if let Layout::Mosaic(_) = frame.layout {
        assert!(frame.mosaic().is_some_and(|(plane, _)| is_whole(&plane)), "a mosaic of another size");
    }
    assert!(frame.notes.len() < MOST_WORDS, "notes without end");
    assert!(frame.displayed_size() == [width, height] || frame.displayed_size() == [height, width], "a wrong turn");
    let map = LightMap::of(&frame);
    let is_full = |map: &LightMap| map.channels.iter().all(|channel| channel.medians.len() == map.columns * map.rows);
    assert!(map.is_ok_and(|map| is_full(&map)), "a light map with holes");
    check(&frame.metadata, frame.stored_size);
}

/// A picture, or an error that has words.
fn opened(result: Result<Frame, FrameError>) -> Option<Frame> {
    match result {
        Ok(frame) => {
            let [width, height] = frame.stored_size;
            assert!(width > 0 && height > 0, "a picture of nothing");
            Some(frame)
        }
        Err(error) => {
            assert!(!error.to_string().is_empty() && !error.hint().is_empty(), "an error without words");
            None
        }
    }
}

/// Reads metadata and what follows from them.
pub fn fuzz_metadata(bytes: &[u8]) {
    check(&read_metadata(bytes), [4_000, 3_000]);
}

fn check(metadata: &Metadata, size: [usize; 2]) {
    let positive = [
        metadata.exposure_s,
        metadata.iso,
        metadata.f_number,
        metadata.focal_mm,
        metadata.focal_35mm_equivalent_mm,
        metadata.pixel_um,
    ];
    assert!(positive.into_iter().flatten().all(|number| number.is_finite() && number > 0.0), "a setting that is none");
    assert!(metadata.doubts.len() < MOST_WORDS, "doubts without end");
    if let Some(scale) = pixel_scale(metadata, size) {
        let estimate = scale.arcsec_per_px;
        assert!(estimate.value.is_finite() && estimate.value > 0.0, "a scale that is none");
    }
}
