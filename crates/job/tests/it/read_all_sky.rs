//! Directions of an all-sky picture by its circle alone, against a camera whose every pixel is calibrated.

#![expect(clippy::print_stderr, reason = "a test that was left out must say so, and the spread is wanted")]

use std::path::PathBuf;

use frame::{Limits, Plane, open};
use job::{AssumedView, ReadRequest, SequenceLens};
use optics::Channel;

#[expect(clippy::disallowed_methods, reason = "the crate takes bytes; its tests may read them from a file")]
fn bytes(name: &str) -> Option<Vec<u8>> {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from);
    std::fs::read(folder.join("allsky_mono").join(name)).ok()
}

fn plane(name: &str) -> Option<Plane> {
    Some(open(&bytes(name)?, &Limits::default()).unwrap().plane(Channel::Green).unwrap())
}

/// Lowest altitude that is compared, degrees: the calibration's own edge.
const LEAST_ALTITUDE_DEG: f64 = 15.0;

/// Poker Flat, per-pixel azimuth and elevation of its makers (`SOURCES.md` of the real pictures). The azimuth of the top is
/// read off the same table, as a person who knows the camera would give it: the rest is the circle's and the law's error, and
/// three quarters of the pixels must lie within the deviation that the report states.
#[test]
fn directions_by_the_circle_keep_within_what_they_say() {
    let names = ["cal_PKR_DASC_0558_20150213_Az.FIT", "cal_PKR_DASC_0558_20150213_El.FIT"];
    let [Some(azimuths), Some(altitudes)] = names.map(plane) else {
        eprintln!("left out: no real pictures at hand; QUIETARC_FRAMES names their folder");
        return;
    };
    let picture = bytes("PKR_DASC_0558_20151007_082351.743.FITS").unwrap();
    let at = |plane: &Plane, x: usize, y: usize| f64::from(plane.row(y).at(x));
    let pixels = (0..altitudes.height()).flat_map(|y| (0..altitudes.width()).map(move |x| [x, y]));
    let zenith =
        pixels.clone().max_by(|a, b| at(&altitudes, a[0], a[1]).total_cmp(&at(&altitudes, b[0], b[1]))).unwrap();
    let top = at(&azimuths, zenith[0], zenith[1] - 100);
    let right = at(&azimuths, zenith[0] + 100, zenith[1]);
    // on one's back the right of north is west
    let mirrored = (right - top).rem_euclid(360.0) < 180.0;
    let assumed = AssumedView::AllSky { top_azimuth_deg: Some(top), mirrored, zenith_px: None, radius_px: None };
    let request = ReadRequest { assumed: Some(assumed), ..ReadRequest::default() };
    let frame = open(&picture, &Limits::default()).unwrap();
    let lens = SequenceLens::of(frame, "picture", None, None, &request);
    let mut off: Vec<[f64; 2]> = pixels
        .filter(|[x, y]| at(&altitudes, *x, *y) >= LEAST_ALTITUDE_DEG)
        .filter_map(|[x, y]| {
            let [altitude, azimuth] = [&altitudes, &azimuths].map(|plane| at(plane, x, y));
            let found = lens.direction_of([x as f64, y as f64])?;
            let turn = (found.azimuth_deg - azimuth + 540.0).rem_euclid(360.0) - 180.0;
            Some([(found.altitude_deg - altitude).abs(), turn.abs()])
        })
        .collect();
    assert!(off.len() > 50_000, "{} pixels; top {top}, mirrored {mirrored}", off.len());
    for (part, limit_deg) in [(0, 6.0), (1, 5.0)] {
        off.sort_by(|a, b| a[part].total_cmp(&b[part]));
        let place = |share: usize| off[off.len() * share / 100][part];
        eprintln!("part {part}: median {:.1}, 75 % {:.1}, 95 % {:.1} degrees", place(50), place(75), place(95));
        assert!(place(75) < limit_deg, "part {part}: {}", place(75));
    }
}
