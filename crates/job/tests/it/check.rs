//! Frames of known truth: what is wrong with them comes first, and what to change is right.

use frame::{FocusState, MotionKind};
use job::{
    AdviceSubject, AuroraPresence, CheckReport, CheckRequest, CheckedChannel, CheckedScene, Kit, Urgency, check,
    check_with_picture,
};

use crate::composed::{Drawn, SIZE};

fn checked(drawn: &Drawn) -> CheckReport {
    check(&CheckRequest { name: "drawn.tif".to_owned(), ..CheckRequest::default() }, &drawn.tiff())
}

/// The sky is drawn 1.5 stops under mid-grey; the noise is symmetric and the median of a cell of 16 samples good to 0.02.
const LEVEL_TOLERANCE_STOPS: f64 = 0.05;

#[test]
fn a_good_frame_is_called_good_and_its_settings_are_kept() {
    let report = checked(&Drawn::good());
    assert_eq!(report.scene, CheckedScene::NightSky, "{}", report.scene_why);
    assert_eq!(report.advice[0].urgency, Urgency::Good, "{:?}", report.advice);
    assert_eq!(report.summary, report.advice[0].text);
    assert!((60..=95).contains(&report.stars.count), "{:?}", report.stars);
    assert_eq!(report.focus.unwrap().state, FocusState::Sharp);
    assert_eq!(report.motion.unwrap().kind, MotionKind::Held);
    let sky = report.sky.unwrap();
    assert!((sky.mid_grey_stops.value + 1.5).abs() < LEVEL_TOLERANCE_STOPS, "{sky:?}");
    let next = report.next.unwrap();
    assert_eq!(next.dial, "4 s, f/1.8, ISO 1600");
    assert!(next.change_stops.value.abs() < 1e-9);
    assert_eq!(report.settings.focal_mm, Some(20.0));
    // grey: no colour tells an aurora
    assert_ne!(report.aurora.unwrap().present, AuroraPresence::Yes);
}

/// 10 N²/(0.65 S t) at 1.8, 1600 and 4 s is 0.00779 cd/m² at mid-grey, by hand; 1.5 stops under it 0.00275.
#[test]
fn the_light_of_the_sky_is_that_of_its_settings() {
    let sky = checked(&Drawn::good()).sky.unwrap();
    let luminance = sky.luminance_cd_m2.unwrap();
    assert!((luminance.value / 0.00275 - 1.0).abs() < 0.05, "{luminance:?}");
    assert!(luminance.low < luminance.value && luminance.value < luminance.high);
}

#[test]
fn discs_are_out_of_focus_and_that_comes_first() {
    let report = checked(&Drawn { disc_px: 7.0, ..Drawn::good() });
    assert_eq!(report.focus.as_ref().unwrap().state, FocusState::Defocused, "{:?}", report.focus);
    assert_eq!((report.advice[0].about, report.advice[0].urgency), (AdviceSubject::Focus, Urgency::Now));
}

#[test]
fn wider_than_the_sharpest_known_is_said_in_times() {
    let drawn = Drawn { sigma_px: 1.9, ..Drawn::good() };
    let request = CheckRequest { name: "soft.tif".to_owned(), sharpest_hfd_px: Some(2.5), ..CheckRequest::default() };
    let report = check(&request, &drawn.tiff());
    // a Gaussian's half-flux diameter is 2.355 sigma: 4.47 px, 1.79 times 2.5
    let over = report.focus.as_ref().unwrap().over_sharpest.unwrap().value;
    assert!((over - 1.79).abs() < 0.1, "{over}");
    assert!(report.summary.contains("1.8 times as wide"), "{}", report.summary);
}

/// The sky turns by 15 arcseconds a second: over 60 s and 61 arcseconds a pixel it makes 14.8 px at most, over 4 s less
/// than one. So the same trail is the sky's with one exposure, and the camera's with the other.
#[test]
fn the_same_trail_is_the_sky_or_the_tripod_by_its_time() {
    let kit = Kit { camera: job::CameraBody { width_px: 720, height_px: 480, ..Kit::plain().camera }, ..Kit::plain() };
    let trailed = |exposure_s: f64| {
        let drawn = Drawn { trail: (7.0, 30.0), exposure_s, ..Drawn::good() };
        let request = CheckRequest { name: "t.tif".to_owned(), kit: Some(kit.clone()), ..CheckRequest::default() };
        check(&request, &drawn.tiff())
    };
    let shaken = trailed(4.0);
    assert_eq!(shaken.motion.as_ref().unwrap().kind, MotionKind::Shaken, "{:?}", shaken.motion);
    assert_eq!((shaken.advice[0].about, shaken.advice[0].urgency), (AdviceSubject::Motion, Urgency::Now));
    let long = trailed(60.0);
    let motion = long.motion.as_ref().unwrap();
    assert!(matches!(motion.kind, MotionKind::Trailing | MotionKind::SkyOrCamera), "{motion:?}");
    let length = motion.length_px.unwrap().value;
    assert!((length - 7.0).abs() < 0.5, "{length}");
    assert!(long.advice.iter().any(|advice| advice.about == AdviceSubject::Motion && advice.urgency <= Urgency::Soon));
}

#[test]
fn a_burnt_sky_is_told_from_lamps() {
    let burnt = checked(&Drawn { burnt: 0.2, ..Drawn::good() });
    let green = burnt.clipping.iter().find(|channel| channel.channel == CheckedChannel::Green).unwrap();
    assert!((green.sky_share - 0.2).abs() < 0.01, "{green:?}");
    assert_eq!(burnt.advice[0].about, AdviceSubject::Clipping, "{:?}", burnt.advice);
    let next = burnt.next.unwrap();
    assert!(next.exposure_s * next.iso < 4.0 * 1600.0 / 2.0, "{next:?}");

    let lamps = checked(&Drawn { lamps: 8, ..Drawn::good() });
    let green = lamps.clipping.iter().find(|channel| channel.channel == CheckedChannel::Green).unwrap();
    // eight squares of six pixels
    let drawn = 8.0 * 36.0 / (SIZE[0] * SIZE[1]) as f64;
    assert!((green.lights_share / drawn - 1.0).abs() < 0.1 && green.sky_share.abs() < 1e-12, "{green:?}");
    assert!(lamps.advice.iter().all(|advice| advice.urgency != Urgency::Now), "{:?}", lamps.advice);
}

#[test]
fn a_dark_and_a_bright_sky_come_to_where_expose_puts_the_light() {
    for under in [5.0, 0.0] {
        let sky = 0.18 * 2f64.powf(-under);
        let report = checked(&Drawn { sky, ..Drawn::good() });
        let next = report.next.unwrap();
        let lands = -under + next.change_stops.value;
        // a third of a stop for the ladders
        assert!((lands + 1.5).abs() < 0.4, "{under} stops under: {next:?}");
        let by_hand = (next.exposure_s * next.iso / (4.0 * 1600.0)).log2();
        assert!((by_hand - next.change_stops.value).abs() < 1e-9);
    }
}

#[test]
fn a_cap_on_the_lens_is_named() {
    let dark = Drawn { sky: 0.0, sigma_px: 1.0, ..Drawn::good() };
    let black = b"P5\n64 48\n255\n".iter().copied().chain(std::iter::repeat_n(0u8, 64 * 48)).collect::<Vec<u8>>();
    let report = check(&CheckRequest { name: "cap.pgm".to_owned(), ..CheckRequest::default() }, &black);
    assert_eq!(report.scene, CheckedScene::Dark);
    assert!(report.summary.contains("cap off the lens"));
    // stars on black are no cap
    assert_ne!(checked(&dark).scene, CheckedScene::Dark);
}

#[test]
fn what_is_no_picture_gives_one_line_with_a_remedy() {
    for bytes in [&b""[..], b"<html>", b"\0\0\0\x14ftypqt  ", b"P6\n60000 60000\n255\n"] {
        let report = check(&CheckRequest { name: "x.dat".to_owned(), ..CheckRequest::default() }, bytes);
        assert_eq!(report.scene, CheckedScene::Unreadable);
        assert_eq!(report.advice.len(), 1);
        assert!(report.summary.starts_with("x.dat: ") && report.summary.lines().count() == 1, "{}", report.summary);
    }
}

/// Place and time against the light: a frame as dark as a night under a high sun has a wrong clock.
#[test]
fn a_clock_that_says_day_is_doubted() {
    let request = |at: &str| CheckRequest {
        name: "x.tif".to_owned(),
        position: Some(quantity::GeoPosition::new(69.0, 16.0, 0.0).unwrap()),
        at: Some(at.parse().unwrap()),
        ..CheckRequest::default()
    };
    let day = check(&request("2026-03-14T11:00:00Z"), &Drawn::good().tiff());
    assert!(day.doubts.iter().any(|doubt| doubt.contains("clock")), "{:?}", day.doubts);
    // full moon of 3 March 2026, high in the evening; new moon of 19 March
    let night = check(&request("2026-03-03T22:00:00Z"), &Drawn::good().tiff());
    assert_eq!((night.scene, night.moonlit, night.doubts.len()), (CheckedScene::Moonlit, Some(true), 0));
    let dark = check(&request("2026-03-19T23:00:00Z"), &Drawn::good().tiff());
    assert_eq!((dark.scene, dark.moonlit), (CheckedScene::NightSky, Some(false)));
}

/// Whichever way up it is shown, each star's place on the small picture is where the picture is bright.
#[test]
fn stars_lie_on_the_small_picture_however_it_is_turned() {
    for orientation in 1..=8 {
        let drawn = Drawn { orientation, ..Drawn::good() };
        let request = CheckRequest { name: "turned.tif".to_owned(), ..CheckRequest::default() };
        let checked = check_with_picture(&request, &drawn.tiff(), 720);
        let preview = checked.preview.unwrap();
        let upright = orientation < 5;
        assert_eq!([preview.width, preview.height], if upright { SIZE } else { [SIZE[1], SIZE[0]] });
        let green = |[x, y]: [f64; 2]| {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place on the picture")]
            let at = (y as usize * preview.width + x as usize) * 3 + 1;
            preview.rgb[at]
        };
        let mut sky: Vec<u8> = preview.rgb.iter().skip(1).step_by(3).copied().collect();
        sky.sort_unstable();
        let sky = sky[sky.len() / 2];
        for place in preview.stars.iter().take(30) {
            assert!(green(*place) > sky + 30, "{orientation}: {place:?} {} on {sky}", green(*place));
        }
    }
}

/// A frame cut anywhere gives a report.
#[test]
fn a_broken_frame_gives_a_report() {
    let whole = Drawn::good().tiff();
    for share in 0..40 {
        let cut = &whole[..whole.len() * share / 40];
        let report = check(&CheckRequest { name: "cut.tif".to_owned(), ..CheckRequest::default() }, cut);
        assert!(!report.advice.is_empty() && !report.summary.is_empty());
    }
}

#[test]
fn a_report_survives_json() {
    let report = checked(&Drawn::good());
    let text = serde_json::to_string(&report).unwrap();
    let back: CheckReport = serde_json::from_str(&text).unwrap();
    assert_eq!(serde_json::to_string(&back).unwrap(), text);
}
