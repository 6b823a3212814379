//! Real sequences of all-sky imagers, where somebody keeps them at hand; they are not of this project and do not lie here.
//! `QUIETARC_FRAMES` names the folder that holds `allsky_mono/`.

use std::io::Read;
use std::path::PathBuf;

use quantity::{GeoPosition, Timestamp};
use sequence::{
    DriftOutcome, DriftWindow, Keogram, LightGrid, LightUnit, LitRule, PulsationSettings, PulsationStanding,
    PulsationWatch, SkyCells, SliceLine, SliceSampler, SliceSettings, brightenings, drift_along,
};

use crate::drawn::Fisheye;

struct Shot {
    at: Timestamp,
    width: usize,
    height: usize,
    samples: Vec<f32>,
}

/// The frames of a packed file of portable grey maps, one after another, each with its time in a comment.
#[expect(
    clippy::print_stderr,
    clippy::disallowed_methods,
    reason = "a test of real files, which says when it is left out"
)]
fn shots(name: &str) -> Vec<Shot> {
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let path = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from).join("allsky_mono").join(name);
    let Ok(packed) = std::fs::read(&path) else {
        eprintln!("left out: there is no {}; set QUIETARC_FRAMES", path.display());
        return Vec::new();
    };
    let mut bytes = Vec::new();
    flate2::read::MultiGzDecoder::new(&packed[..]).read_to_end(&mut bytes).unwrap();
    let mut found = Vec::new();
    let mut rest = &bytes[..];
    while rest.starts_with(b"P5") {
        let mut numbers = Vec::new();
        let mut at = None;
        while numbers.len() < 3 {
            let end = rest.iter().position(|byte| *byte == b'\n').unwrap();
            let line = String::from_utf8_lossy(&rest[..end]).into_owned();
            rest = &rest[end + 1..];
            if let Some(time) = line.strip_prefix("#\"Image request start\" ") {
                at = Some(time.trim_end_matches(" UTC").replace(' ', "T") + "Z");
            } else if !line.starts_with('#') {
                numbers.extend(
                    line.trim_start_matches("P5").split_whitespace().map(|word| word.parse::<usize>().unwrap()),
                );
            }
        }
        let (width, height) = (numbers[0], numbers[1]);
        let (picture, after) = rest.split_at(2 * width * height);
        rest = after;
        let samples = picture.chunks_exact(2).map(|pair| f32::from(u16::from_be_bytes([pair[0], pair[1]]))).collect();
        found.push(Shot { at: at.unwrap().parse().unwrap(), width, height, samples });
    }
    found
}

/// Forty frames at 3 s of a moonlit, veiled sky: nothing pulsates, nothing breaks up.
#[test]
fn a_moonlit_sky_does_not_pulsate() {
    let mut frames = shots("20140310_0600_gill_themis19_full.pgm.gz");
    frames.extend(shots("20140310_0601_gill_themis19_full.pgm.gz"));
    if frames.is_empty() {
        return;
    }
    assert_eq!(frames.len(), 40);
    let gillam = GeoPosition::new(56.3539, -94.6557, 0.0).unwrap();
    let eye = Fisheye { size: 256 };
    let grid = |shot: &Shot| -> Vec<f32> { shot.samples.clone() };
    let first = grid(&frames[0]);
    let like = LightGrid::new(256, 256, 1.0, &first).unwrap();
    let cells = SkyCells::new(&eye, &like, 5.0, 15.0).unwrap();
    let line = SliceLine::magnetic_meridian(gillam, frames[0].at, SliceSettings::default()).unwrap();
    let sampler = SliceSampler::new(&line, &eye, &like).unwrap();
    let mut keogram = Keogram::new(line, LightUnit::FileNumbers, 3.0, 500).unwrap();
    let settings = PulsationSettings { exposure_s: Some(1.0), ..PulsationSettings::default() };
    let mut watch = PulsationWatch::new(cells.clone(), settings);
    for shot in &frames {
        let picture = LightGrid::new(shot.width, shot.height, 1.0, &shot.samples).unwrap();
        watch.push(shot.at, &cells.sample(&picture).unwrap()).unwrap();
        keogram.push(shot.at, &sampler.sample(&picture).unwrap()).unwrap();
    }
    let blocks = watch.finish();
    assert_eq!(blocks.len(), 1);
    assert!(blocks[0].judged > 300, "{}", blocks[0].judged);
    let pulsating = blocks[0].found.iter().filter(|found| found.standing == PulsationStanding::Pulsating);
    let periods: Vec<(usize, f64, f64)> =
        pulsating.map(|found| (found.cell, found.period_s, found.relative_amplitude)).collect();
    assert!(periods.is_empty(), "{periods:?}");
    assert!(brightenings(&keogram, LitRule::AboveBackground).unwrap().is_empty());
    let drift = drift_along(&keogram, DriftWindow { from: 0, to: keogram.len() });
    if let DriftOutcome::Measured(drift) = drift {
        assert!(drift.km_per_s.value.abs() < 3.0 * (drift.km_per_s.high - drift.km_per_s.value) + 0.05, "{drift:?}");
    }
}

/// Twenty frames at 6 s with an arc at the rim and stars: too short for a period, and the arc stands.
#[test]
fn an_arc_at_rest_does_not_break_up() {
    let mut frames = shots("20130205_0500_rabb_rainbow-08_full.pgm.gz");
    frames.extend(shots("20130205_0501_rabb_rainbow-08_full.pgm.gz"));
    if frames.is_empty() {
        return;
    }
    assert_eq!(frames.len(), 20);
    let place = GeoPosition::new(58.17, -103.66, 0.0).unwrap();
    // the mosaic is twice as wide as high: two columns make one
    let eye = Fisheye { size: 256 };
    let line = SliceLine::magnetic_meridian(place, frames[0].at, SliceSettings::default()).unwrap();
    let square = |shot: &Shot| -> Vec<f32> { shot.samples.chunks_exact(2).map(|pair| pair[0] + pair[1]).collect() };
    let first = square(&frames[0]);
    let sampler = SliceSampler::new(&line, &eye, &eye.grid(&first)).unwrap();
    let mut keogram = Keogram::new(line, LightUnit::FileNumbers, 6.0, 500).unwrap();
    for shot in &frames {
        assert_eq!((shot.width, shot.height), (512, 256));
        keogram.push(shot.at, &sampler.sample(&eye.grid(&square(shot))).unwrap()).unwrap();
    }
    assert_eq!(keogram.len(), 20);
    assert!(brightenings(&keogram, LitRule::AboveBackground).unwrap().is_empty());
}
