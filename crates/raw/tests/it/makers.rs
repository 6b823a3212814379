//! The second decoder against the first, which is checked against a third (see `frame`).

#![expect(clippy::unwrap_used, reason = "a test fails by panicking, also in its helpers")]

use std::path::PathBuf;

use frame::{FileKind, FrameError, Layout, Limits, MosaicPattern, RawNumbers};
use optics::Channel;

const COMPOSED: [&str; 3] = ["rggb16", "gbrg16_area", "rggb14_ljpeg_strip"];

#[expect(clippy::disallowed_methods, reason = "a test may read files; the crate may not")]
fn composed(name: &str) -> Vec<u8> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../frame/tests/data/pictures");
    std::fs::read(folder.join(format!("{name}.composed.dng"))).unwrap()
}

#[test]
fn both_decoders_find_the_same_light_at_every_pixel() {
    for name in COMPOSED {
        let bytes = composed(name);
        let first = frame::open(&bytes, &Limits::default()).unwrap();
        let second = raw::unpack(&bytes, &Limits::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!((second.layout, second.stored_size), (first.layout, first.stored_size), "{name}");
        let (first_plane, _) = first.mosaic().unwrap();
        let (second_plane, _) = second.mosaic().unwrap();
        for (a, b) in first_plane.samples().iter().zip(second_plane.samples().iter()) {
            // the same whole numbers, black and white: the same single-precision arithmetic
            assert!((a - b).abs() < 1e-6, "{name}: {a} and {b}");
        }
        assert_eq!(second.metadata, first.metadata, "{name}");
    }
}

#[test]
fn limits_hold_before_pixels() {
    let small = Limits { most_pixels: 100, ..Limits::default() };
    assert!(matches!(raw::unpack(&composed("rggb16"), &small), Err(FrameError::TooLarge { .. })));
    let short = Limits { most_bytes: 100, ..Limits::default() };
    assert!(matches!(raw::unpack(&composed("rggb16"), &short), Err(FrameError::TooLarge { .. })));
}

#[test]
fn broken_files_end_in_words() {
    let bytes = composed("rggb14_ljpeg_strip");
    for place in (0..bytes.len()).step_by(5) {
        let mut copy = bytes.clone();
        copy[place] ^= 0xff;
        for harmed in [&bytes[..place], &copy] {
            raw::fuzz::fuzz_unpack(harmed);
        }
    }
}

#[test]
fn numbers_that_do_not_fit_are_refused() {
    let pattern = MosaicPattern::from_name("RGGB").unwrap();
    let good = RawNumbers {
        size: [2, 2],
        values: vec![100, 200, 300, 400],
        pattern,
        bits: 14,
        black: [100.0; 4],
        white: 500.0,
        neutral: None,
    };
    let frame = frame::Frame::from_raw(good.clone(), &[]).unwrap();
    assert_eq!((frame.kind, frame.layout), (FileKind::CameraRaw, Layout::Mosaic(pattern)));
    assert_eq!(frame.mosaic().unwrap().0.samples().as_ref(), [0.0, 0.25, 0.5, 0.75]);
    assert_eq!(frame.cells(Channel::Green).unwrap().samples().as_ref(), [0.375]);
    let wrong = [
        RawNumbers { size: [0, 2], ..good.clone() },
        RawNumbers { size: [3, 2], ..good.clone() },
        RawNumbers { white: 100.0, ..good.clone() },
        RawNumbers { white: f32::NAN, ..good },
    ];
    for numbers in wrong {
        assert!(frame::Frame::from_raw(numbers, &[]).is_err());
    }
}
