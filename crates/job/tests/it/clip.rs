//! Clips: what is cut, how it is shown, and what the caption owns up to.

#![expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "sides and bytes of small pictures")]

use frame::{Frame, Limits, Orientation, open};
use job::{
    ClipCodec, ClipColours, ClipEvenness, ClipFacts, ClipPicture, ClipRequest, ClipSize, SkippedFrame, clip_report,
};

fn request(size: ClipSize) -> ClipRequest {
    ClipRequest {
        codec: ClipCodec::H264,
        frames_per_s: 25.0,
        size,
        portrait: false,
        whole_frame: false,
        clock: false,
        even_exposure: false,
        credit: None,
        place: None,
    }
}

fn frame([width, height]: [usize; 2], pixel: impl Fn(usize, usize) -> [u8; 3]) -> Frame {
    let mut bytes = format!("P6\n{width} {height}\n255\n").into_bytes();
    (0..height).for_each(|y| (0..width).for_each(|x| bytes.extend(pixel(x, y))));
    open(&bytes, &Limits::default()).unwrap()
}

fn shown(frame: &Frame, request: &ClipRequest, gains: [f64; 3]) -> ([usize; 2], Vec<u8>) {
    let geometry = request.geometry(frame.displayed_size()).unwrap();
    let picture = ClipPicture::of(frame, &geometry, ClipColours::Finished { is_adobe_rgb: false }).unwrap();
    let mut rgb = Vec::new();
    picture.shown(&geometry, gains, &mut rgb);
    (geometry.clip_px, rgb)
}

/// Exif 2.32, tag 274, through [`Orientation::displayed`], which has its own test against the standard's figure: at the
/// frames' own size every byte comes out where it is to be seen, unchanged.
#[test]
fn every_orientation_is_shown_the_right_way_up_and_bytes_stay_as_they_are() {
    let mut frame = frame([32, 18], |x, y| [8 * x as u8, 14 * y as u8, (x * y % 256) as u8]);
    for number in 1..=8 {
        frame.orientation = Orientation::from_exif(number).unwrap();
        let (size, rgb) = shown(&frame, &request(ClipSize::Source), [1.0; 3]);
        assert_eq!(size, frame.displayed_size(), "orientation {number}");
        for y in 0..18 {
            for x in 0..32 {
                let [column, row] = frame.displayed([f64::from(x), f64::from(y)]).map(|px| px as usize);
                let at = 3 * (row * size[0] + column);
                let stored = [8 * x as u8, 14 * y as u8, (x * y % 256) as u8];
                assert_eq!(rgb[at..at + 3], stored, "orientation {number}, {x} {y}");
            }
        }
    }
}

/// A checkerboard of black and white is half the light: 188 of 255 under the sRGB curve (IEC 61966-2-1), not 128.
#[test]
fn a_picture_is_made_small_in_linear_light_and_factors_are_those_of_light() {
    let frame = frame([3840, 2160], |x, y| [if (x + y).is_multiple_of(2) { 255 } else { 0 }; 3]);
    let (size, rgb) = shown(&frame, &request(ClipSize::Lines1080), [1.0, 0.5, 2.0]);
    assert_eq!(size, [1920, 1080]);
    // light 0.5, 0.25 and 1: by the standard's formula 187.5, 136.96 and 255
    assert!(rgb.as_chunks::<3>().0.iter().all(|pixel| *pixel == [188, 137, 255]), "{:?}", &rgb[..3]);
}

/// Light is neither lost nor made by cuts that fall within pixels: the mean of a ramp is that of its cut.
#[test]
fn cuts_within_pixels_keep_the_light() {
    /// Rounding to 8 bits, evened out over many pixels; half a step at worst.
    const ROUNDING: f64 = 0.5;
    let frame =
        frame([1000, 700], |x, y| [if (x / 7 + y / 5).is_multiple_of(3) { 180 } else { 60 }, (x % 256) as u8, 90]);
    for portrait in [false, true] {
        let request = ClipRequest { portrait, ..request(ClipSize::Lines1080) };
        let (size, rgb) = shown(&frame, &request, [1.0; 3]);
        assert_eq!(size, if portrait { [1080, 1920] } else { [1920, 1080] });
        let blue =
            rgb.iter().skip(2).step_by(3).map(|value| f64::from(*value)).sum::<f64>() / (size[0] * size[1]) as f64;
        assert!((blue - 90.0).abs() < ROUNDING, "{blue}");
    }
}

/// 16:9 in the middle of 3:2 is 6000 x 3375 of 6000 x 4000; 9:16 is 2250 x 4000. A circle on black keeps its shape.
#[test]
fn the_middle_is_cut_in_the_shape_of_the_clip() {
    let near = |found: [f64; 4], wanted: [f64; 4]| found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-6);
    let wide = request(ClipSize::Lines2160).geometry([6000, 4000]).unwrap();
    assert!(near(wide.part_px, [0.0, 312.5, 6000.0, 3375.0]), "{wide:?}");
    assert_eq!((wide.clip_px, wide.placed_px), ([3840, 2160], [0, 0, 3840, 2160]));
    let upright = ClipRequest { portrait: true, ..request(ClipSize::Lines1080) }.geometry([6000, 4000]).unwrap();
    assert!(near(upright.part_px, [1875.0, 0.0, 2250.0, 4000.0]), "{upright:?}");
    let whole = ClipRequest { whole_frame: true, ..request(ClipSize::Lines1080) }.geometry([480, 480]).unwrap();
    assert_eq!((whole.clip_px, whole.placed_px), ([1920, 1080], [420, 0, 1080, 1080]));
    // half-sized colour needs even sides
    let odd = request(ClipSize::Source).geometry([553, 481]).unwrap();
    assert_eq!(odd.clip_px, [552, 480]);
    // a smaller export of the same shape fits, another shape does not
    assert_eq!(wide.on([3000, 2000]).map(|smaller| smaller.part_px[3]), Some(1687.5));
    assert_eq!(wide.on([4000, 3000]), None);
}

/// Research frames in 16 bits lie far below full scale: black and white are found, and named in the caption.
#[test]
fn numbers_in_proportion_to_light_are_shown_by_levels_that_are_named() {
    /// Levels are found on every eighth row: eight of 512 rows of a ramp over 1024 steps.
    const PASSED_OVER: f32 = 16.0;
    let mut bytes = b"P5\n512 512\n65535\n".to_vec();
    (0..512 * 512_u32).for_each(|i| bytes.extend(u16::try_from(2000 + i / 256).unwrap().to_be_bytes()));
    let frame = open(&bytes, &Limits::default()).unwrap();
    let ClipColours::Linear { black, white, .. } = ClipColours::of(std::slice::from_ref(&frame)) else {
        unreachable!("16 bits of grey are linear")
    };
    // 0.5 % and 99.8 % of 1024 steps
    for (found, wanted) in [(black, 2005.1), (white, 3021.9)] {
        assert!((found * 65_535.0 - wanted).abs() < PASSED_OVER, "{black} {white}");
    }
    assert_eq!(ClipColours::of(&[]), ClipColours::Finished { is_adobe_rgb: false });
}

#[test]
fn the_caption_owns_up_to_every_edit_asked_for() {
    let asked = ClipRequest {
        clock: true,
        even_exposure: true,
        credit: Some("Photo: Ida Berg".to_owned()),
        place: Some("near Skerrow Bay".to_owned()),
        ..request(ClipSize::Lines1080)
    };
    let facts = ClipFacts {
        asked: 301,
        shown: 300,
        left_out: vec![SkippedFrame { name: "IMG_0042.JPG".to_owned(), reason: "it breaks off".to_owned() }],
        geometry: asked.geometry([6000, 4000]).unwrap(),
        colours: ClipColours::Finished { is_adobe_rgb: false },
        inside_raw: false,
        by_time: true,
        timed: 300,
        first: Some("2026-03-14 22:00:00 UTC".to_owned()),
        last: Some("2026-03-14 22:59:48 UTC".to_owned()),
        span_s: Some(3588.0),
        evenness: Some(ClipEvenness { by_settings: true, steps: 2, factors: [0.52, 1.9] }),
        encoder: "H.264 by x264, constant quality 18".to_owned(),
    };
    let silent = clip_report(&asked, ClipFacts { timed: 0, ..facts.clone() }).unwrap();
    assert!(silent.caption.contains("No time is written") && !silent.caption.contains("time of each frame"));
    let report = clip_report(&asked, facts).unwrap();
    assert!((report.runs_s - 12.0).abs() < 1e-12);
    for wanted in [
        "near Skerrow Bay, 2026-03-14 22:00:00 UTC to 2026-03-14 22:59:48 UTC",
        "\nPhoto: Ida Berg\n",
        // 3588 s in 299 frames of 0.04 s
        "Time-lapse of 300 frames at 25 a second (12.0 s): 300 times faster than it was.",
        "1 of 301 frames left out: IMG_0042.JPG (it breaks off).",
        "The middle 6000 x 3375 of 6000 x 4000 px, made 3.12 times smaller by averaging light.",
        "times 0.52 to 1.90 (2 changes of settings",
        "The time of each frame is written into the picture.",
        "H.264 by x264",
    ] {
        assert!(report.caption.contains(wanted), "{wanted:?} in:\n{}", report.caption);
    }
    for (rate, credit) in [(0.0, 3), (f64::NAN, 3), (25.0, 201)] {
        let wrong = ClipRequest { frames_per_s: rate, credit: Some("x".repeat(credit)), ..asked.clone() };
        assert!(wrong.check().is_err(), "{rate} {credit}");
    }
    assert!(request(ClipSize::Source).geometry([20_000, 10_000]).is_err());
    assert!(request(ClipSize::Lines1080).geometry([4, 4]).is_err());
}
