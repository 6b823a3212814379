//! What files say about themselves, and what is not believed of it.

use frame::{CurveSource, Linearity, Metadata, Orientation, Subject, TransferCurve, pixel_scale, read_metadata};

use crate::exif_writer::{Entries, Field, block, jpeg};
use crate::pictures::{composed, picture};

/// Model, exposure (s), f-number, ISO, focal length (mm) as the collection's own list gives them, read with the Python
/// library exifread; 0 where it found none.
const REAL: [(&str, &str, f64, f64, f64, f64); 13] = [
    ("aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg", "NIKON D850", 5.0, 2.0, 400.0, 14.0),
    ("corrupt/broken_exif_dpi.jpg", "NIKON D800", 1.0 / 250.0, 8.0, 400.0, 14.0),
    ("corrupt/endless_loop.jpg", "Canon EOS 1000D", 1.0 / 3200.0, 6.3, 800.0, 23.0),
    ("raw_exif/Canon1DmkIII.jpg", "Canon EOS-1D Mark III", 1.0 / 125.0, 5.6, 3200.0, 35.0),
    ("raw_exif/CanonRaw.cr2", "Canon EOS 350D DIGITAL", 1.0 / 15.0, 8.0, 400.0, 55.0),
    ("raw_exif/DNG.dng", "Canon EOS 350D DIGITAL", 1.0 / 15.0, 8.0, 400.0, 55.0),
    ("raw_exif/IMG_2682.heic", "iPhone 7", 1.0 / 887.0, 1.8, 20.0, 3.99),
    ("raw_exif/IMG_2927.HEIC", "iPhone 11 Pro", 1.0 / 493.0, 1.8, 32.0, 4.25),
    ("raw_exif/Nikon.nef", "NIKON D70", 1.0 / 20.0, 3.5, 200.0, 18.0),
    ("raw_exif/Panasonic.rw2", "DMC-LX3", 1.0 / 250.0, 4.0, 0.0, 5.1),
    ("raw_exif/exif-no-tz.jpg", "vivo X90 Pro+", 9997e-6, 1.75, 454.0, 8.67),
    ("raw_exif/exif.png", "vivo X90 Pro+", 9997e-6, 1.75, 454.0, 8.67),
    ("reject/Storm.jpg", "Canon EOS 400D DIGITAL", 0.4, 3.5, 100.0, 18.0),
];
/// The list gives phones' shutter times as rounded reciprocals.
const LIST_ROUNDING: f64 = 1e-3;

#[test]
fn settings_of_real_files_are_those_another_reader_finds() {
    for (name, model, exposure_s, f_number, iso, focal_mm) in REAL {
        let Some(bytes) = picture(name) else { continue };
        let metadata = read_metadata(&bytes);
        assert_eq!(metadata.model.as_deref(), Some(model), "{name}");
        let found = [metadata.exposure_s, metadata.f_number, metadata.iso, metadata.focal_mm];
        for (found, listed) in found.into_iter().zip([exposure_s, f_number, iso, focal_mm]) {
            if listed > 0.0 {
                let found = found.unwrap_or_else(|| panic!("{name}: {listed} is missing"));
                assert!((found / listed - 1.0).abs() < LIST_ROUNDING, "{name}: {found}, not {listed}");
            }
        }
    }
}

#[test]
fn times_and_places_of_real_files() {
    for (name, local, offset_s) in [
        ("aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg", "2024-08-20T01:07:18.1", Some(0)),
        ("raw_exif/IMG_2927.HEIC", "2020-05-04T18:39:11.644", Some(-14_400)),
        ("raw_exif/exif.png", "2023-07-09T20:36:33.616", Some(28_800)),
        ("raw_exif/exif-no-tz.jpg", "2023-07-09T20:36:33.616", None),
        ("starfield/20180817_0055.fits", "2018-08-17T00:52:21", Some(0)),
        ("starfield/starry.fits", "2017-05-03T03:12:04.032518", Some(0)),
        ("allsky_mono/PKR_DASC_0558_20151007_082351.743.FITS", "2015-10-07T08:23:51.743", Some(0)),
    ] {
        let Some(bytes) = picture(name) else { continue };
        let taken = read_metadata(&bytes).taken.unwrap_or_else(|| panic!("{name} has no time"));
        assert_eq!((taken.local.to_string().as_str(), taken.utc_offset_s), (local, offset_s), "{name}");
    }
    // satellite time supplies the zone that the camera does not
    if let Some(bytes) = picture("raw_exif/exif-no-tz.jpg") {
        assert_eq!(read_metadata(&bytes).utc_offset_by_gps_s(), Some(28_800));
    }
    if let Some(bytes) = picture("raw_exif/DSCN0010.jpg") {
        let metadata = read_metadata(&bytes);
        let position = metadata.position.unwrap();
        assert!((position.latitude_deg() - (43.0 + 28.0 / 60.0 + 1407.0 / 500.0 / 3600.0)).abs() < 1e-9);
        // its clock is 22 hours from its own receiver
        assert!(metadata.doubts.iter().any(|doubt| doubt.subject == Subject::Time), "{:?}", metadata.doubts);
        assert_eq!(metadata.utc_offset_by_gps_s(), None);
    }
}

#[test]
fn a_lens_without_contacts_is_told() {
    let Some(bytes) = picture("allsky_colour/LYR-Sony-111220_200933.jpg") else { return };
    let metadata = read_metadata(&bytes);
    assert_eq!((metadata.lens, metadata.focal_mm, metadata.f_number), (None, None, None));
    assert_eq!((metadata.exposure_s, metadata.iso), (Some(4.0), Some(16_000.0)));
    let subjects: Vec<Subject> = metadata.doubts.iter().map(|doubt| doubt.subject).collect();
    assert_eq!(subjects, [Subject::Lens, Subject::FNumber, Subject::FocalLength]);
    assert_eq!(
        metadata.doubts[2].to_string(),
        "focal length 0 mm: the camera did not know its lens: give the focal length by hand"
    );
}

/// Exif 2.32, tag 42033.
#[test]
fn a_body_says_its_serial_number() {
    let serial = |text: &'static str| {
        read(vec![(0x0110, Field::Text("Drawn D1"))], vec![(0xa431, Field::Text(text))], vec![]).serial
    };
    assert_eq!(serial("3001417 ").as_deref(), Some("3001417"));
    assert_eq!(serial("00000000"), None, "hidden");
    assert_eq!(serial(""), None);
}

#[test]
fn turned_pictures_of_real_files() {
    for (name, orientation) in [
        ("raw_exif/landscape_6.jpg", Orientation::TurnedClockwise),
        ("raw_exif/portrait_8.jpg", Orientation::TurnedAnticlockwise),
    ] {
        let Some(bytes) = picture(name) else { continue };
        let frame = frame::open(&bytes, &frame::Limits::default()).unwrap();
        assert_eq!(frame.orientation, orientation);
        assert_eq!(frame.displayed_size(), [frame.stored_size[1], frame.stored_size[0]]);
    }
}

#[expect(clippy::needless_pass_by_value, reason = "lists are written where they are read")]
fn read(picture: Entries, settings: Entries, place: Entries) -> Metadata {
    read_metadata(&jpeg(&block(picture, &settings, &place)))
}

fn only_doubt(metadata: &Metadata, subject: Subject) {
    let subjects: Vec<Subject> = metadata.doubts.iter().map(|doubt| doubt.subject).collect();
    assert_eq!(subjects, [subject], "{:?}", metadata.doubts);
}

fn one(numerator: u32, denominator: u32) -> Field {
    Field::Rationals(vec![[numerator, denominator]])
}

#[test]
fn clocks_never_set_are_kept_out() {
    for text in ["1980:01:01 00:00:12", "2000:01:01 03:00:00", "1970:01:01 00:00:00"] {
        let metadata = read(vec![], vec![(0x9003, Field::Text(text))], vec![]);
        assert_eq!(metadata.taken, None, "{text}");
        only_doubt(&metadata, Subject::Time);
    }
    // blanks are the standard's way to say nothing
    for text in ["    :  :     :  :  ", "0000:00:00 00:00:00"] {
        assert_eq!(read(vec![], vec![(0x9003, Field::Text(text))], vec![]), Metadata::default());
    }
}

#[test]
fn a_time_has_its_offset_and_fraction() {
    let settings = vec![
        (0x9003, Field::Text("2026:02:14 23:10:05")),
        (0x9011, Field::Text("+01:00")),
        (0x9291, Field::Text("25")),
    ];
    let taken = read(vec![], settings, vec![]).taken.unwrap();
    assert_eq!(taken.utc().unwrap().to_string(), "2026-02-14T22:10:05.25Z");
}

#[test]
fn a_clock_that_disagrees_with_the_satellites_is_told() {
    let settings = vec![(0x9003, Field::Text("2026:02:14 23:10:05")), (0x9011, Field::Text("+01:00"))];
    let time = Field::Rationals(vec![[22, 1], [0, 1], [5, 1]]);
    let place = vec![(7, time), (0x1d, Field::Text("2026:02:14"))];
    let metadata = read(vec![], settings, place);
    assert_eq!(metadata.clock_minus_gps_s(), Some(600.0));
    only_doubt(&metadata, Subject::Time);
}

#[test]
fn exposures_of_nothing_are_kept_out_and_the_rounded_one_stands_in() {
    let metadata = read(vec![], vec![(0x829a, one(0, 1))], vec![]);
    assert_eq!(metadata.exposure_s, None);
    only_doubt(&metadata, Subject::Exposure);
    for broken in [one(1, 0), one(0, 0), one(u32::MAX, 1)] {
        only_doubt(&read(vec![], vec![(0x829a, broken)], vec![]), Subject::Exposure);
    }
    let settings = vec![(0x9201, Field::SignedRational([-3, 1])), (0x9202, one(3, 1))];
    let metadata = read(vec![], settings, vec![]);
    assert_eq!(metadata.exposure_s, Some(8.0));
    assert!((metadata.f_number.unwrap() - 8f64.sqrt()).abs() < 1e-12);
}

#[test]
fn an_iso_beyond_its_field_is_found_elsewhere() {
    let settings = vec![(0x8827, Field::Short(65_535)), (0x8832, Field::Long(102_400))];
    assert_eq!(read(vec![], settings, vec![]).iso, Some(102_400.0));
    let metadata = read(vec![], vec![(0x8827, Field::Short(65_535))], vec![]);
    assert_eq!(metadata.iso, None);
    only_doubt(&metadata, Subject::Iso);
    // TIFF/EP writes it to the first directory
    assert_eq!(read(vec![(0x8827, Field::Short(3_200))], vec![], vec![]).iso, Some(3_200.0));
}

#[test]
fn receivers_without_a_fix_and_impossible_places_are_kept_out() {
    let place = |latitude: [u32; 2], north: &'static str, longitude: [u32; 2]| {
        let angle = |degrees| Field::Rationals(vec![degrees, [0, 1], [0, 1]]);
        vec![(1, Field::Text(north)), (2, angle(latitude)), (3, Field::Text("E")), (4, angle(longitude))]
    };
    for (latitude, north, longitude) in
        [([0, 1], "N", [0, 1]), ([95, 1], "N", [10, 1]), ([69, 1], "X", [16, 1]), ([69, 1], "N", [400, 1])]
    {
        let metadata = read(vec![], vec![], place(latitude, north, longitude));
        assert_eq!(metadata.position, None);
        only_doubt(&metadata, Subject::Position);
    }
    let south = read(vec![], vec![], place([69, 2], "S", [33, 2])).position.unwrap();
    assert!((south.latitude_deg() + 34.5).abs() < 1e-12 && (south.longitude_deg() - 16.5).abs() < 1e-12);
    let angle = |degrees| Field::Rationals(vec![[degrees, 1], [30, 1], [3_600, 100]]);
    let fine = vec![(1, Field::Text("N")), (2, angle(69)), (3, Field::Text("W")), (4, angle(16))];
    let position = read(vec![], vec![], fine).position.unwrap();
    // 30 minutes and 36 seconds are 0.51 degrees
    assert!((position.latitude_deg() - 69.51).abs() < 1e-12 && (position.longitude_deg() + 16.51).abs() < 1e-12);
    // a denominator of zero is no place, and no reason to say anything
    assert_eq!(read(vec![], vec![], place([69, 0], "N", [16, 1])), Metadata::default());
}

#[test]
fn orientations_other_than_eight_are_kept_out() {
    for bad in [0, 9, 65_535] {
        let metadata = read(vec![(0x0112, Field::Short(bad)), (0x010f, Field::Text("x"))], vec![], vec![]);
        assert_eq!(metadata.orientation, None);
        only_doubt(&metadata, Subject::Orientation);
    }
}

#[test]
fn bodies_do_not_say_their_maker_twice() {
    let named = |make, model| read(vec![(0x010f, Field::Text(make)), (0x0110, Field::Text(model))], vec![], vec![]);
    assert_eq!(named("NIKON CORPORATION", "NIKON D850").camera().as_deref(), Some("NIKON D850"));
    assert_eq!(named("SONY", "ILCE-7S").camera().as_deref(), Some("SONY ILCE-7S"));
}

#[test]
fn a_camera_set_to_adobe_rgb_has_its_curve() {
    let plain = composed("baseline444.composed.jpg");
    let exif = jpeg(&block(vec![], &[(0xa001, Field::Short(2))], &[]));
    // the block, without the two marks that end it, in front of all else
    let marked = [&exif[..exif.len() - 2], &plain[2..]].concat();
    let frame = frame::open(&marked, &frame::Limits::default()).unwrap();
    let Linearity::DecodedTransfer { curve, source } = frame.linearity else { panic!("not a transfer curve") };
    assert_eq!((curve, source), (TransferCurve::Power(2.199_218_75), CurveSource::Tag));
}

#[test]
fn the_scale_of_real_files_is_that_of_their_sensors() {
    // makers' data: pixel pitch of the body's sensor, µm, and the focal length in use, mm
    for (name, size, pitch_um, focal_mm) in [
        ("raw_exif/IMG_2927.HEIC", [4032, 3024], 1.4, 4.25),
        ("raw_exif/Canon1DmkIII.jpg", [3888, 2592], 7.2, 35.0),
        ("corrupt/endless_loop.jpg", [2816, 1880], 22.2 / 2816.0 * 1e3, 23.0),
    ] {
        let Some(bytes) = picture(name) else { continue };
        let expected = 206.265 * pitch_um / focal_mm;
        let scale = pixel_scale(&read_metadata(&bytes), size).unwrap().arcsec_per_px;
        let sigma = (scale.high - scale.low) / 2.0;
        assert!((scale.value - expected).abs() < 2.0 * sigma, "{name}: {scale:?}, not {expected}");
    }
}
