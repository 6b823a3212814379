//! Real pictures of many makers: which open, and what the others say.

use frame::{FileKind, FrameError, Limits, open};
use optics::Channel;

use crate::pictures::{picture, pictures};

/// Sizes as the collection's own list gives them (read with another program).
const SIZES: [(&str, FileKind, [usize; 2]); 14] = [
    ("allsky_colour/20211030_060500_149606_gill_rgb-04_320ms_burst.png", FileKind::Png, [553, 480]),
    ("allsky_colour/LYR-Sony-111220_200933.jpg", FileKind::Jpeg, [2832, 2832]),
    ("allsky_mono/PKR_DASC_0558_20151007_082351.743.FITS", FileKind::Fits, [512, 512]),
    ("aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg", FileKind::Jpeg, [2173, 1076]),
    ("aurora_photo/Fig7b_SAR-LesLadbrook.jpg", FileKind::Jpeg, [2396, 834]),
    ("raw_exif/IMG_2682.heic", FileKind::Heic, [4032, 3024]),
    ("raw_exif/IMG_2927.HEIC", FileKind::Heic, [3024, 4032]),
    ("raw_exif/empty_gps.jpg", FileKind::Jpeg, [4640, 3472]),
    ("raw_exif/tif.tif", FileKind::Tiff, [640, 480]),
    ("starfield/20180817_0055.fits", FileKind::Fits, [1392, 1040]),
    ("starfield/2019-07-29T204726_Alt40_Azi-135_Try1.tiff", FileKind::Tiff, [1024, 768]),
    ("starfield/img_00000.bmp", FileKind::Bmp, [1024, 1024]),
    ("starfield/jan1_g90_e100ms.jpg", FileKind::Jpeg, [1280, 960]),
    ("trick_art/Ubuntu-Mate-Warm-no-logo.png", FileKind::Png, [1920, 1280]),
];

#[test]
fn real_pictures_open_at_their_size() {
    for (name, kind, size) in SIZES {
        let Some(bytes) = picture(name) else { continue };
        let frame = open(&bytes, &Limits::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!((frame.kind, frame.stored_size), (kind, size), "{name}");
        let plane = frame.plane(Channel::Green).unwrap();
        let ceiling = frame.ceiling.unwrap_or(f32::INFINITY);
        assert!(plane.samples().iter().all(|light| (0.0..=ceiling).contains(light)), "{name}");
    }
}

#[test]
fn what_is_no_picture_is_named() {
    for (name, says, hint) in [
        ("video/with-gps.mov", "a video cannot be read here", "one frame"),
        ("video/uuid540.mp4", "a video cannot be read here", "one frame"),
        ("raw_exif/canon-r6.cr3", "a Canon CR3 raw file cannot be read here", "DNG"),
        ("raw_exif/HMD_Nokia_8.3_5G_hdr.heif", "this HEIC file", "export it as JPEG"),
        ("raw_exif/Geotag.gpx", "this is no picture that can be read here", "give a JPEG"),
    ] {
        let Some(bytes) = picture(name) else { continue };
        let error = open(&bytes, &Limits::default()).unwrap_err();
        assert!(error.to_string().starts_with(says), "{name}: {error}");
        assert!(error.hint().contains(hint), "{name}: {}", error.hint());
    }
}

#[test]
fn broken_pictures_end_in_a_picture_or_in_words() {
    for (name, bytes) in pictures("corrupt") {
        match open(&bytes, &Limits::default()) {
            Ok(frame) => {
                assert!(frame.luminance().is_ok(), "{name}");
                println!("{name}: opened, {:?}", frame.stored_size);
            }
            Err(FrameError::DecoderFailed { kind }) => panic!("{name}: the {kind} decoder panicked"),
            Err(error) => {
                assert!(!error.hint().is_empty(), "{name}");
                println!("{name}: {error}");
            }
        }
    }
}

#[test]
fn a_picture_that_breaks_off_says_so() {
    let Some(bytes) = picture("corrupt/truncated_jpeg.jpg") else { return };
    let frame = open(&bytes, &Limits::default()).unwrap();
    assert!(frame.cut_short);
    assert!(frame.notes[0].contains("breaks off"), "{:?}", frame.notes);
    let Some(whole) = picture("aurora_photo/Fig7b_SAR-LesLadbrook.jpg") else { return };
    assert!(!open(&whole, &Limits::default()).unwrap().cut_short);
}

#[test]
fn packed_pictures_of_all_sky_cameras_open_with_their_comments() {
    // size, exposure, time: read in the head of each with a text editor
    for (name, size, exposure_s, time) in [
        ("20130205_0500_rabb_rainbow-08_full.pgm.gz", [512, 256], 5.0, "2013-02-05T05:00:00.012687"),
        ("20140310_0600_gill_themis19_full.pgm.gz", [256, 256], 0.999, "2014-03-10T06:00:00.063119"),
        ("20220307_0600_gill_nir-216_8446.pgm.gz", [256, 256], 5.0, "2022-03-07T06:00:00"),
    ] {
        let Some(bytes) = picture(&format!("allsky_mono/{name}")) else { continue };
        let frame = open(&bytes, &Limits::default()).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!((frame.kind, frame.stored_size, frame.bits), (FileKind::Netpbm, size, 16), "{name}");
        assert!(frame.linearity.is_linear());
        assert!(frame.notes.iter().any(|note| note.contains("more follows")), "{:?}", frame.notes);
        assert_eq!(frame.metadata.exposure_s, Some(exposure_s), "{name}");
        let taken = frame.metadata.taken.unwrap();
        assert_eq!((taken.local.to_string().as_str(), taken.utc_offset_s), (time, Some(0)), "{name}");
    }
    let Some(bytes) = picture("allsky_mono/20130205_0500_rabb_rainbow-08_full.pgm.gz") else { return };
    let position = frame::read_metadata(&bytes).position.unwrap();
    assert!((position.latitude_deg() - 58.17).abs() < 1e-9 && (position.longitude_deg() + 103.66).abs() < 1e-9);
}
