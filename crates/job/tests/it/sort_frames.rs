//! Measured frames put together by hand, for the rules of sorting.

use job::{
    CheckReport, CheckedFocus, CheckedLens, CheckedMotion, CheckedScene, CheckedSettings, CheckedSky, CheckedStars,
    CheckedTime, FrameSignature, MeasuredFrame, TimeSource, WidthMap,
};
use quantity::{Basis, Estimate};

/// A good frame of the night: number, and seconds after 22:00:00 UTC on 14 March 2026.
pub(crate) fn good(number: u32, after_s: f64) -> MeasuredFrame {
    let name = format!("card/IMG_{number}.JPG");
    MeasuredFrame {
        content_hash: format!("{number:064x}"),
        companions: Vec::new(),
        bytes: 10_000_000 + u64::from(number),
        report: report(&name, after_s),
        signature: Some(scene(number)),
        person: None,
        name,
    }
}

/// An even sky over a dark land, with a band whose place depends on the number.
pub(crate) fn scene(number: u32) -> FrameSignature {
    let mut levels = Vec::with_capacity(768);
    for channel in 0..3u32 {
        for cell in 0..256u32 {
            let row = cell / 16;
            let band = if row == 2 + number % 8 && channel == 1 { 24 } else { 0 };
            let level: u32 = if row > 12 { 130 } else { 80 - band };
            levels.push(u8::try_from(level).unwrap());
        }
    }
    FrameSignature::from_levels(levels).unwrap()
}

pub(crate) fn report(name: &str, after_s: f64) -> CheckReport {
    let mut report = job::unreadable_frame(name, "", "");
    let start: quantity::Timestamp = "2026-03-14T22:00:00Z".parse().unwrap();
    let at = start.checked_add(jiff::SignedDuration::try_from_secs_f64(after_s).unwrap()).unwrap();
    report.scene = CheckedScene::NightSky;
    "by hand".clone_into(&mut report.scene_why);
    report.size_px = Some([6000, 4000]);
    report.taken = Some(CheckedTime {
        local: Some(at.to_string().replace('T', " ").replace('Z', "")),
        utc_offset_s: Some(0),
        utc: Some(at),
        source: TimeSource::Camera,
    });
    report.settings = CheckedSettings {
        exposure_s: Some(4.0),
        iso: Some(3200.0),
        f_number: Some(1.8),
        focal_mm: Some(20.0),
        camera: Some("Drawn D1".to_owned()),
        camera_serial: None,
        lens: Some("20 mm".to_owned()),
        pixel_arcsec: None,
    };
    report.stars = CheckedStars {
        matched: None,
        count: 240,
        alike: true,
        hfd_px: Some(1.7),
        fwhm_px: Some(1.7),
        elongation: Some(0.1),
        angle_deg: Some(0.0),
    };
    report.sky = Some(CheckedSky {
        electrons: None,
        level: 0.06,
        mid_grey_stops: Estimate::symmetric(-1.5, 0.8, Basis::Model),
        luminance_cd_m2: None,
        area_share: 0.8,
    });
    set_width(&mut report, 1.7);
    set_motion(&mut report, frame::MotionKind::Held, None);
    report
}

pub(crate) fn set_width(report: &mut CheckReport, hfd_px: f64) {
    report.focus = Some(CheckedFocus {
        state: frame::FocusState::Sharp,
        hfd_px: Some(Estimate::symmetric(hfd_px, 0.05, Basis::Measured)),
        over_sharpest: None,
        disc: false,
        words: Vec::new(),
        parts: None,
        map: WidthMap { columns: 0, rows: 0, hfd_px: Vec::new() },
    });
}

pub(crate) fn set_motion(report: &mut CheckReport, kind: frame::MotionKind, length_px: Option<f64>) {
    report.motion = Some(CheckedMotion {
        kind,
        length_px: length_px.map(|length| Estimate::symmetric(length, 0.2, Basis::Measured)),
        twice: false,
        angle_deg: None,
        sky_px: None,
        words: Vec::new(),
    });
}

/// A solved direction, degrees.
pub(crate) fn set_direction(report: &mut CheckReport, ra_deg: f64, dec_deg: f64, roll_deg: f64) {
    report.lens = Some(CheckedLens {
        solved: true,
        ra_deg: Some(ra_deg),
        dec_deg: Some(dec_deg),
        roll_deg: Some(roll_deg),
        mirrored: Some(false),
        field_deg: Some([84.0, 62.0]),
        ..CheckedLens::default()
    });
}
