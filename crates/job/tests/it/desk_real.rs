//! Real pictures whose time and place are known: their true claim is never spoken against, and one far off is never spoken for
//! by the stars.

use job::{DeskCheckKind, DeskClaim, DeskReport, DeskRequest, DeskVerdict, desk};
use quantity::{GeoPosition, Timestamp};

/// Pictures of stations and of people, where somebody keeps them at hand; they are of too mixed a licence to lie here.
/// `QUIETARC_FRAMES` names the place. Says so where it is left out.
#[expect(clippy::print_stderr, reason = "a test that was left out must say so")]
#[expect(clippy::disallowed_methods, reason = "the crate takes bytes; its tests may read them from a file")]
pub(crate) fn bytes(file: &str) -> Option<Vec<u8>> {
    let beside = || std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, std::path::PathBuf::from);
    let bytes = std::fs::read(folder.join(file)).ok();
    if bytes.is_none() {
        eprintln!("left out: there is no {file} in {}; set QUIETARC_FRAMES", folder.display());
    }
    bytes
}

fn claimed(bytes: &[u8], at: Timestamp, position: GeoPosition) -> DeskReport {
    let claim = DeskClaim { at: Some(at), position: Some(position), ..DeskClaim::default() };
    desk(&DeskRequest { claim, ..DeskRequest::default() }, bytes)
}

/// Times and places by the makers of the pictures.
const STATIONS: [(&str, &str, f64, f64); 4] = [
    ("allsky_colour/LYR-Sony-111220_200933.jpg", "2020-12-11T20:09:33Z", 78.148, 16.043),
    ("starfield/20180817_0055.fits", "2018-08-17T00:55:00Z", 28.76, -17.89),
    ("starfield/starry.fits", "2017-05-03T03:12:04Z", -90.0, 0.0),
    ("aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg", "2024-08-20T01:07:18Z", 61.5, 24.0),
];

#[test]
fn stations_true_claims_stand_and_far_ones_are_not_believed() {
    for (file, at, latitude, longitude) in STATIONS {
        let Some(bytes) = bytes(file) else { continue };
        let at: Timestamp = at.parse().unwrap();
        let place = |latitude: f64, longitude: f64| GeoPosition::new(latitude, longitude, 0.0).unwrap();
        let truth = claimed(&bytes, at, place(latitude, longitude));
        for check in &truth.checks {
            assert_ne!(check.verdict, DeskVerdict::Inconsistent, "{file}: {check:?}");
        }
        let six_hours = jiff::SignedDuration::from_hours(6);
        // 27 degrees are 3,000 km
        let south = if latitude > 0.0 { latitude - 27.0 } else { latitude + 27.0 };
        for (at, place) in [(at + six_hours, place(latitude, longitude)), (at, place(south, longitude))] {
            let report = claimed(&bytes, at, place);
            let stars = report.checks.iter().find(|check| check.kind == DeskCheckKind::Stars).unwrap();
            assert_ne!(stars.verdict, DeskVerdict::Consistent, "{file}: {stars:?}");
        }
    }
}

/// Pictures of phones and cameras whose files say time and place: against the same claim nothing may speak, in whatever light.
const PHONES: [&str; 5] =
    ["DSCN0010.jpg", "DSCN0042.jpg", "HMD_Nokia_8.3_5G_hdr.heif", "IMG_2682.heic", "67-0_length_string.jpg"];

#[test]
fn the_files_own_word_is_never_spoken_against() {
    for file in PHONES {
        let Some(bytes) = bytes(&format!("raw_exif/{file}")) else { continue };
        let report = desk(&DeskRequest { name: file.to_owned(), ..DeskRequest::default() }, &bytes);
        for check in report.checks.iter().filter(|check| check.kind != DeskCheckKind::Editing) {
            assert_ne!(check.verdict, DeskVerdict::Inconsistent, "{file}: {check:?}");
        }
    }
}

/// Pictures of people's cameras with the time and place that the satellites gave them (their EXIF, read with `ExifTool` 12): the
/// clock of the first two was set a day late.
const BY_SATELLITE: [(&str, &str, f64, f64); 3] = [
    ("DSCN0010.jpg", "2008-10-23T14:27:07Z", 43.467_45, 11.885_13),
    ("DSCN0042.jpg", "2008-10-23T14:57:41Z", 43.464_46, 11.881_48),
    ("IMG_2682.heic", "2019-03-21T16:04:21Z", 41.220_30, -96.071_62),
];

#[test]
fn honest_senders_with_a_wrong_clock_are_not_spoken_against() {
    for (file, at, latitude, longitude) in BY_SATELLITE {
        let Some(bytes) = bytes(&format!("raw_exif/{file}")) else { continue };
        let report = claimed(&bytes, at.parse().unwrap(), GeoPosition::new(latitude, longitude, 0.0).unwrap());
        let verdict = |kind| report.checks.iter().find(|check| check.kind == kind).unwrap().verdict;
        for kind in [DeskCheckKind::FileTime, DeskCheckKind::FilePlace, DeskCheckKind::Sun] {
            assert_eq!(verdict(kind), DeskVerdict::Consistent, "{file}: {kind:?}");
        }
        for check in &report.checks {
            assert_ne!(check.verdict, DeskVerdict::Inconsistent, "{file}: {check:?}");
        }
        // another winter's night fits neither
        let later = "2009-02-01T03:00:00Z".parse().unwrap();
        let report = claimed(&bytes, later, GeoPosition::new(latitude, longitude, 0.0).unwrap());
        let time = report.checks.iter().find(|check| check.kind == DeskCheckKind::FileTime).unwrap();
        assert_eq!(time.verdict, DeskVerdict::Inconsistent, "{file}: {time:?}");
    }
}
