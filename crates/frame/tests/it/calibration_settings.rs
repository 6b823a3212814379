//! Calibration without stars: the standard's scale, a kit's electrons, and what is refused.

use frame::{
    CalibrationBasis, CalibrationFailure, CalibrationHints, Frame, LightChannel, LightMap, Limits, NominalKit,
    calibrate_by_settings, open,
};
use optics::{Exposure, Lens, Projection, Sensor, Shot};
use quantity::{Basis, LineBrightness};

use crate::pictures::picture;

const SETTINGS: Exposure = Exposure { seconds: 5.0, iso: 3200.0, f_number: 1.8 };

fn hints() -> CalibrationHints {
    CalibrationHints {
        exposure_s: Some(SETTINGS.seconds),
        iso: Some(SETTINGS.iso),
        f_number: Some(SETTINGS.f_number),
        ..CalibrationHints::default()
    }
}

/// Green at mid-grey, 118 of 255; other numbers in red and blue, for three alike are a grey picture.
fn developed() -> Frame {
    open(&[b"P6\n32 32\n255\n".as_slice(), &[130, 118, 100].repeat(32 * 32)].concat(), &Limits::default()).unwrap()
}

#[test]
fn mid_grey_is_the_brightness_that_the_standard_puts_there() {
    let frame = developed();
    let calibration = calibrate_by_settings(&frame, None, &hints()).unwrap();
    assert_eq!(calibration.basis, CalibrationBasis::SettingsDeveloped);
    assert!(calibration.basis.is_estimate());
    let kr = calibration.green_kr(0.18, 0.0, [16.0, 16.0]).unwrap();
    // 0.84 of daylight's answer, and 0.272 mag of air at 1.4 airmasses; ISO 12232 by `optics::mid_grey_kr`
    let truth = optics::mid_grey_kr(SETTINGS) / 0.84 * 10f64.powf(0.4 * 0.272 * 1.4);
    println!("{kr:?} against {truth}");
    assert!((kr.value / truth - 1.0).abs() < 0.01, "{kr:?}");
    assert!((2.2..3.2).contains(&(kr.high / kr.value)) && kr.basis == Basis::Assumed, "{kr:?}");
    let mag = calibration.surface_brightness(LightChannel::Green, 0.18, [16.0, 16.0]).unwrap();
    let luminance = optics::mid_grey_luminance_cd_m2(SETTINGS);
    assert!((mag.value - sky::photometry::mag_from_luminance_cd_m2(luminance)).abs() < 0.01, "{mag:?}");
    assert!(calibration.surface_brightness(LightChannel::Red, 0.18, [16.0, 16.0]).is_none());
    let cells = calibration.cells(&LightMap::of(&frame).unwrap(), frame.ceiling, None);
    assert!(cells.mag_arcsec2.iter().all(|cell| (f64::from(*cell) - mag.value).abs() < 0.05));
}

#[test]
fn a_kit_is_surer_than_a_standard_and_gives_its_own_electrons_back() {
    let curve = frame::TransferCurve::Linear;
    let frame = developed().with_curve(curve);
    let sensor = Sensor::generic_full_frame();
    let lens = Lens {
        f_number: 1.8,
        focal_mm: 20.0,
        transmission: 0.88,
        projection: Projection::Rectilinear,
        corner_loss_stops: 1.0,
    };
    let kit = Some(NominalKit { sensor: sensor.clone(), lens: lens.clone() });
    let by_kit = calibrate_by_settings(&frame, None, &CalibrationHints { kit, ..hints() }).unwrap();
    let by_iso = calibrate_by_settings(&frame, None, &hints()).unwrap();
    let one_kr = LineBrightness { green_5577_kr: 1.0, ..LineBrightness::default() };
    let shot = Shot { sensor: &sensor, lens: &lens, exposure: SETTINGS };
    let level = 10.0 * shot.line_electrons(&one_kr)[1] / shot.saturation_e();
    let [kit_kr, iso_kr] = [&by_kit, &by_iso].map(|calibration| calibration.green_kr(level, 0.0, [9.0, 9.0]).unwrap());
    println!("{kit_kr:?} {iso_kr:?}");
    let truth = 10.0 * 10f64.powf(0.4 * 0.272 * 1.4);
    assert!((kit_kr.value / truth - 1.0).abs() < 0.01, "{kit_kr:?}");
    assert!((iso_kr.value / kit_kr.value).log2().abs() < 1.5, "two ways to the same sensor: {kit_kr:?} {iso_kr:?}");
    assert!(kit_kr.high / kit_kr.value < iso_kr.high / iso_kr.value);
}

#[test]
fn what_is_not_known_is_not_told() {
    let frame = developed();
    for missing in 0..3 {
        let mut hints = hints();
        match missing {
            0 => hints.exposure_s = None,
            1 => hints.iso = None,
            _ => hints.f_number = Some(0.0),
        }
        assert_eq!(calibrate_by_settings(&frame, None, &hints).unwrap_err(), CalibrationFailure::NoSettings);
    }
    let grey = open(&[b"P5\n16 16\n255\n".as_slice(), &[9; 256]].concat(), &Limits::default()).unwrap();
    assert_eq!(calibrate_by_settings(&grey, None, &hints()).unwrap_err(), CalibrationFailure::UnknownBand);
}

#[test]
fn a_real_aurora_is_as_bright_as_auroras_are() {
    let Some(bytes) = picture("aurora_photo/Fig13b_AuroraNLC_Eero_Karvinen.jpg") else { return };
    let frame = open(&bytes, &Limits::default()).unwrap();
    let hints = CalibrationHints::of(&frame.metadata);
    println!("{hints:?}");
    match calibrate_by_settings(&frame, None, &hints) {
        Ok(calibration) => {
            let cells = calibration.cells(&LightMap::of(&frame).unwrap(), frame.ceiling, None);
            let brightest = cells.green_kr.iter().copied().filter(|kr| kr.is_finite()).fold(0.0, f32::max);
            println!("brightest {brightest} kR over twilight, {:?}", calibration.notes);
            // seen in summer twilight: bright, but no lamp
            assert!((5.0..5000.0).contains(&brightest), "{brightest}");
        }
        Err(failure) => assert_eq!(failure, CalibrationFailure::NoSettings),
    }
}
