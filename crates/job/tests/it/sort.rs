//! Sorting by rule: sequences, duds against this night, keepers that differ, clocks; and laws that hold for any night.

use frame::{CloudMethod, MotionKind};
use job::{
    AuroraPresence, CheckReport, CheckedAurora, CheckedScene, ClockCorrection, ClockSource, DudKind, FrameVerdict,
    MeasuredFrame, PersonVerdict, SequenceKind, SortReport, SortRequest, sort,
};
use proptest::prelude::*;
use quantity::{Basis, Estimate, GeoPosition};

use crate::sort_frames::{good, scene, set_direction, set_motion, set_width};

fn lapse(count: u32, every_s: f64) -> Vec<MeasuredFrame> {
    (0..count).map(|number| good(number, every_s * f64::from(number))).collect()
}

fn sorted(frames: &[MeasuredFrame]) -> SortReport {
    sort(&SortRequest::default(), frames)
}

fn kinds(report: &SortReport) -> Vec<(SequenceKind, usize)> {
    report.sequences.iter().map(|sequence| (sequence.kind, sequence.frames.len())).collect()
}

fn reasons(report: &SortReport, name: &str) -> Vec<DudKind> {
    let frame = report.frames.iter().find(|frame| frame.name.contains(name)).unwrap();
    frame.reasons.iter().map(|reason| reason.kind).collect()
}

#[test]
fn an_even_interval_is_a_time_lapse_also_with_frames_missing() {
    let mut frames = lapse(40, 6.0);
    frames.remove(17);
    frames.remove(17);
    let report = sorted(&frames);
    assert_eq!(kinds(&report), [(SequenceKind::TimeLapse, 38)]);
    assert!(
        report.sequences[0].words.starts_with("time-lapse of 38 frames every 6 s, 22:00:00 to"),
        "{}",
        report.sequences[0].words
    );
}

#[test]
fn a_burst_a_lapse_and_single_frames_are_told_apart() {
    let mut frames = lapse(20, 10.0);
    // a burst an hour later: 4 s each, half a second between
    frames.extend((0..6).map(|number| good(100 + number, 4000.0 + 4.5 * f64::from(number))));
    // three of their own, minutes apart
    frames.extend([8000.0, 8200.0, 8500.0].iter().zip(200..).map(|(after_s, number)| good(number, *after_s)));
    let report = sorted(&frames);
    assert_eq!(kinds(&report), [(SequenceKind::TimeLapse, 20), (SequenceKind::Burst, 6), (SequenceKind::Loose, 3)]);
}

#[test]
fn a_panorama_is_told_by_steps_of_the_camera_and_not_by_the_turning_sky() {
    let mut frames = lapse(14, 10.0);
    for (number, frame) in frames.iter_mut().enumerate() {
        // a camera that stands still looks at ever greater right ascensions
        set_direction(&mut frame.report, 100.0 + number as f64 * 10.0 * 360.0 / 86_164.1, 40.0, 0.0);
    }
    for number in 0..5u32 {
        let mut frame = good(50 + number, 600.0 + 15.0 * f64::from(number));
        set_direction(&mut frame.report, 100.0 + 30.0 * f64::from(number), 40.0, 0.0);
        frames.push(frame);
    }
    let report = sorted(&frames);
    assert_eq!(kinds(&report), [(SequenceKind::TimeLapse, 14), (SequenceKind::Panorama, 5)]);
}

#[test]
fn cloud_is_said_of_what_it_was_measured_on() {
    let words = |method: Option<CloudMethod>| {
        let mut frames = lapse(12, 10.0);
        for frame in &mut frames {
            frame.report.cloud_fraction = Some(Estimate::symmetric(0.05, 0.02, Basis::Measured));
            frame.report.cloud_method = method;
        }
        frames[5].report.cloud_fraction = Some(Estimate::symmetric(0.8, 0.05, Basis::Measured));
        let report = sorted(&frames);
        let clouded = report.frames.iter().find(|frame| !frame.reasons.is_empty()).unwrap();
        assert_eq!(clouded.reasons[0].kind, DudKind::Cloud);
        assert_eq!(clouded.measures.cloud_method, method);
        clouded.why.clone()
    };
    assert_eq!(words(Some(CloudMethod::CatalogueStars)), "cloud over 80 % of the catalogue stars");
    assert_eq!(words(Some(CloudMethod::StarDensity)), "cloud over 80 % of the sky, by where its stars are missing");
    assert_eq!(words(Some(CloudMethod::Colour)), "cloud over 80 % of the sky, by its colour");
    assert_eq!(words(None), "cloud over 80 % of the sky");
}

#[test]
fn a_focus_series_goes_down_and_up() {
    let mut frames = Vec::new();
    for (number, width) in [6.0, 4.2, 2.8, 1.8, 2.3, 3.4].iter().enumerate() {
        let number = u32::try_from(number).unwrap();
        let mut frame = good(number, 20.0 * f64::from(number));
        set_width(&mut frame.report, *width);
        frames.push(frame);
    }
    frames.extend((0..12).map(|number| good(20 + number, 400.0 + 8.0 * f64::from(number))));
    let report = sorted(&frames);
    assert_eq!(kinds(&report), [(SequenceKind::FocusSeries, 6), (SequenceKind::TimeLapse, 12)]);
    let series: Vec<_> = report.frames.iter().filter(|frame| frame.sequence == 0).collect();
    // none of a series but the sharpest may be kept
    assert!(series.iter().all(|frame| frame.verdict != FrameVerdict::Keep || frame.name.contains("IMG_3.")));
}

#[test]
fn two_cameras_with_one_clock_an_hour_off_come_into_one_order() {
    let mut frames = lapse(12, 10.0);
    for number in 0..12u32 {
        let mut frame = good(100 + number, 3600.0 + 5.0 + 10.0 * f64::from(number));
        frame.report.settings.camera = Some("Other Z2".to_owned());
        frames.push(frame);
    }
    let request = SortRequest {
        clock: vec![ClockCorrection { camera: Some("other z2".to_owned()), seconds: -3600.0 }],
        ..SortRequest::default()
    };
    let report = sort(&request, &frames);
    assert_eq!(kinds(&report), [(SequenceKind::TimeLapse, 12), (SequenceKind::TimeLapse, 12)]);
    let numbers: Vec<bool> = report.frames.iter().map(|frame| frame.name.contains("IMG_1")).collect();
    assert_eq!(report.frames[1].name, "card/IMG_100.JPG");
    assert_eq!(numbers.len(), 24);
    assert_eq!(report.frames[1].utc.unwrap().to_string(), "2026-03-14T22:00:05Z");
    // what is said of times is said of the right ones
    assert_eq!(report.frames[1].local.as_deref(), Some("2026-03-14 23:00:05"));
    assert_eq!(report.frames[1].local_corrected.as_deref(), Some("2026-03-14 22:00:05"));
    assert!(report.sequences[0].words.ends_with(", 22:00:00 to 22:01:50"), "{}", report.sequences[0].words);
    assert!(report.sequences[1].words.ends_with(", 22:00:05 to 22:01:55"), "{}", report.sequences[1].words);
    let corrected: Vec<f64> = report.cameras.iter().map(|camera| camera.correction_s).collect();
    assert_eq!(corrected, [0.0, -3600.0]);
    let unknown = SortRequest {
        clock: vec![ClockCorrection { camera: Some("Nobody".to_owned()), seconds: 1.0 }],
        ..SortRequest::default()
    };
    assert!(sort(&unknown, &frames).notes.iter().any(|note| note.contains("nobody")));
}

#[test]
fn two_bodies_of_one_model_are_two_cameras() {
    let mut frames = lapse(12, 10.0);
    for number in 0..12u32 {
        let mut frame = good(number, 3.0 + 10.0 * f64::from(number));
        frame.name = format!("second/IMG_{number}.JPG");
        frame.content_hash = format!("{:064x}", 1000 + number);
        frames.push(frame);
    }
    let report = sorted(&frames);
    assert_eq!(kinds(&report), [(SequenceKind::TimeLapse, 12), (SequenceKind::TimeLapse, 12)]);
    assert_eq!(report.cameras.len(), 1);
    let said = |report: &SortReport| {
        report.notes.iter().any(|note| note.contains("2 bodies or clocks seem to be called Drawn D1"))
    };
    assert!(said(&report), "{:?}", report.notes);

    // in one folder, with serial numbers, each with a clock of its own
    for (index, frame) in frames.iter_mut().enumerate() {
        let number = if index < 12 { "3001417" } else { "3009998" };
        frame.report.settings.camera_serial = Some(number.to_owned());
        frame.name = format!("card/IMG_{index}.JPG");
    }
    let clock = vec![ClockCorrection { camera: Some("3009998".to_owned()), seconds: -3.0 }];
    let report = sort(&SortRequest { clock, ..SortRequest::default() }, &frames);
    assert_eq!(kinds(&report), [(SequenceKind::TimeLapse, 12), (SequenceKind::TimeLapse, 12)]);
    let cameras: Vec<(&str, f64)> =
        report.cameras.iter().map(|camera| (camera.name.as_str(), camera.correction_s)).collect();
    assert_eq!(cameras, [("Drawn D1, number 3001417", 0.0), ("Drawn D1, number 3009998", -3.0)]);
    assert!(!said(&report), "{:?}", report.notes);
    let second = report.frames.iter().find(|frame| frame.name == "card/IMG_12.JPG").unwrap();
    assert_eq!(second.utc.unwrap().to_string(), "2026-03-14T22:00:00Z");
}

/// A long lens under a poor sky has wide stars all night: wide is what is wide for it, and only a shape without a core is out
/// of focus by itself.
#[test]
fn a_night_of_wide_stars_has_its_own_measure() {
    let mut frames = lapse(30, 6.0);
    for frame in &mut frames {
        set_width(&mut frame.report, 11.0);
        frame.report.focus.as_mut().unwrap().state = frame::FocusState::Defocused;
    }
    assert_eq!(sorted(&frames).duds, 0, "the check's word on a lens it does not know");
    set_width(&mut frames[4].report, 16.0);
    frames[9].report.focus.as_mut().unwrap().disc = true;
    let report = sorted(&frames);
    let of = |name: &str| report.frames.iter().find(|frame| frame.name.contains(name)).unwrap();
    assert_eq!(report.duds, 2);
    assert_eq!(of("IMG_4.").why, "stars 16.0 px wide against this night's best 11.0");
    assert_eq!(of("IMG_9.").why, "out of focus like the best of this night: stars 11.0 px wide, without a core");
    assert_eq!(of("IMG_9.").reasons[0].threshold, None);
}

#[test]
fn widths_and_trails_are_judged_against_this_night() {
    let mut frames = lapse(30, 6.0);
    set_width(&mut frames[4].report, 3.1);
    set_motion(&mut frames[9].report, MotionKind::Trailing, Some(6.0));
    set_motion(&mut frames[12].report, MotionKind::Shaken, Some(3.0));
    let report = sorted(&frames);
    assert_eq!(reasons(&report, "IMG_4."), [DudKind::Soft]);
    assert_eq!(reasons(&report, "IMG_9."), [DudKind::Trailed]);
    assert_eq!(reasons(&report, "IMG_12."), [DudKind::Shaken]);
    assert_eq!(report.duds, 3);
    let words: Vec<&str> =
        report.frames.iter().flat_map(|frame| frame.reasons.iter().map(|reason| reason.words.as_str())).collect();
    assert!(words.contains(&"stars 3.1 px wide against this night's best 1.7"), "{words:?}");
    assert!(words.iter().any(|words| words.starts_with("trailed 6 px along the sky's motion")), "{words:?}");

    // the same numbers with a softer lens, on a night of long exposures, are no faults of single frames
    let mut soft: Vec<MeasuredFrame> = lapse(30, 6.0);
    for frame in &mut soft {
        set_width(&mut frame.report, 3.1);
        set_motion(&mut frame.report, MotionKind::Trailing, Some(7.0));
    }
    let report = sorted(&soft);
    assert_eq!(report.duds, 0, "{}", report.summary);
    assert!(report.notes.iter().any(|note| note.contains("long for this lens")), "{:?}", report.notes);
}

/// A trail of 0.9 widths is seen among frames that held, and is none among frames that all trail a little in the wind.
#[test]
fn a_short_trail_and_a_knock_stand_out_from_a_steady_night() {
    let mut frames = lapse(30, 6.0);
    set_motion(&mut frames[4].report, MotionKind::Trailing, Some(1.6));
    set_motion(&mut frames[9].report, MotionKind::Shaken, Some(8.0));
    frames[9].report.motion.as_mut().unwrap().twice = true;
    set_motion(&mut frames[14].report, MotionKind::Trailing, Some(1.0));
    let report = sorted(&frames);
    assert_eq!(reasons(&report, "IMG_4."), [DudKind::Trailed]);
    assert_eq!(reasons(&report, "IMG_9."), [DudKind::Shaken]);
    assert!(reasons(&report, "IMG_14.").is_empty(), "nobody sees that");
    let knocked = report.frames.iter().find(|frame| frame.name.contains("IMG_9.")).unwrap();
    assert!(knocked.why.starts_with("knocked: stars appear twice, 8 px apart"), "{}", knocked.why);

    for (number, frame) in frames.iter_mut().enumerate() {
        set_motion(&mut frame.report, MotionKind::SkyOrCamera, Some(0.9 + 0.1 * (number % 9) as f64));
    }
    assert_eq!(sorted(&frames).duds, 0, "wind all night is no fault of single frames");
}

fn set_aurora(report: &mut CheckReport, present: AuroraPresence, probability: f64) {
    report.aurora = Some(CheckedAurora {
        present,
        probability,
        brightest_kr: None,
        median_kr: None,
        is_least: false,
        extent: None,
        lines: None,
        form: None,
        words: Vec::new(),
    });
}

/// An even sky, with the top rows greener by so many steps of a sixteenth stop.
fn greenish(steps: u8) -> job::FrameSignature {
    let mut levels = vec![100u8; 768];
    for cell in 0..64 {
        levels[256 + cell] -= steps;
    }
    job::FrameSignature::from_levels(levels).unwrap()
}

/// The check says no of both; only the night tells the faint one from the empty one.
#[test]
fn an_aurora_too_faint_to_be_told_is_undecided_and_no_dud() {
    let mut frames = lapse(30, 6.0);
    for frame in &mut frames {
        set_aurora(&mut frame.report, AuroraPresence::Yes, 0.95);
        frame.signature = Some(greenish(9));
    }
    for (place, steps) in [(20, 3), (21, 0), (22, 0), (23, 0), (24, 0)] {
        set_aurora(&mut frames[place].report, AuroraPresence::No, 0.083);
        frames[place].signature = Some(greenish(steps));
    }
    let mut rounded = greenish(0).levels().to_vec();
    for cell in (0..256).step_by(2) {
        rounded[256 + cell] -= 1;
    }
    frames[24].signature = job::FrameSignature::from_levels(rounded);
    let report = sorted(&frames);
    let of = |name: &str| report.frames.iter().find(|frame| frame.name.contains(name)).unwrap();
    assert_eq!(of("IMG_20.").verdict, FrameVerdict::Undecided, "{:?}", of("IMG_20.").why);
    assert!(of("IMG_20.").why.starts_with("too faint to be told"), "{}", of("IMG_20.").why);
    assert_eq!(of("IMG_20.").rating, None);
    for empty in ["IMG_21.", "IMG_22.", "IMG_23.", "IMG_24."] {
        assert_eq!(reasons(&report, empty), [DudKind::NoAurora], "a step of rounding is no light");
    }

    // five frames of another pointing have nothing to be compared with
    for (number, frame) in frames.iter_mut().enumerate().skip(25) {
        set_direction(&mut frame.report, 250.0, -10.0, 0.0);
        set_aurora(&mut frame.report, AuroraPresence::No, if number == 29 { 0.01 } else { 0.083 });
    }
    for frame in &mut frames[..25] {
        set_direction(&mut frame.report, 100.0, 40.0, 0.0);
    }
    let report = sorted(&frames);
    let of = |name: &str| report.frames.iter().find(|frame| frame.name.contains(name)).unwrap();
    assert_eq!(of("IMG_26.").verdict, FrameVerdict::Undecided);
    assert_eq!(reasons(&report, "IMG_29."), [DudKind::NoAurora]);
}

/// Daylight hides any aurora: that none is seen is no fault of a frame by day.
#[test]
fn no_aurora_is_no_fault_by_day_nor_in_twilight_without_stars() {
    let mut frames = lapse(8, 6.0);
    for frame in &mut frames {
        set_aurora(&mut frame.report, AuroraPresence::Yes, 0.95);
    }
    // most frames are by day, so that none of these is a stray
    for number in 8..30u32 {
        let mut frame = good(number, 20_000.0 + 400.0 * f64::from(number));
        set_aurora(&mut frame.report, AuroraPresence::No, 0.0);
        frame.report.scene = CheckedScene::Day;
        frame.report.focus = None;
        frames.push(frame);
    }
    frames[28].report.scene = CheckedScene::Twilight;
    frames[29].report.scene = CheckedScene::NightSky;
    let report = sorted(&frames);
    let of = |name: &str| report.frames.iter().find(|frame| frame.name.contains(name)).unwrap();
    for other in ["IMG_8.", "IMG_27.", "IMG_28."] {
        assert_eq!(reasons(&report, other), [], "{other}");
        assert_eq!(of(other).verdict, FrameVerdict::Spare, "{other}: {}", of(other).why);
    }
    assert_eq!(of("IMG_27.").why, "by day");
    let empty = of("IMG_29.");
    assert_eq!(reasons(&report, "IMG_29."), [DudKind::NoAurora], "the same frame by night");
    assert_eq!((empty.reasons[0].value, empty.reasons[0].threshold), (Some(0.0), Some(0.05)));
    assert_eq!(empty.why, "no aurora above the error bar: 0 chances in 100 that there is one");
}

/// Red tops add red light too: more than half of the green's, as lamps do, but with green far above the mean of the others.
#[test]
fn rays_with_red_tops_that_flash_once_are_no_lamp() {
    let mut frames = lapse(30, 6.0);
    let calm = job::FrameSignature::from_levels(vec![110; 768]).unwrap();
    let lit = |added_steps: [u8; 3]| {
        let mut levels = calm.levels().to_vec();
        for cell in 0..80 {
            for (channel, steps) in added_steps.into_iter().enumerate() {
                levels[channel * 256 + cell] -= steps;
            }
        }
        job::FrameSignature::from_levels(levels).unwrap()
    };
    for frame in &mut frames {
        frame.signature = Some(calm.clone());
    }
    // light added over what was there: red 0.59, green 1, blue 0.30 of 1.83; and of a white lamp 1, 1, 1
    frames[10].signature = Some(lit([16, 24, 10]));
    frames[20].signature = Some(lit([24, 24, 24]));
    let report = sorted(&frames);
    assert!(reasons(&report, "IMG_10.").is_empty(), "{:?}", reasons(&report, "IMG_10."));
    assert_eq!(reasons(&report, "IMG_20."), [DudKind::LampSwept]);
}

#[test]
fn lost_stars_are_a_fault_but_not_under_a_brighter_sky() {
    let mut frames = lapse(30, 6.0);
    for place in [5, 6] {
        frames[place].report.stars.count = 12;
    }
    frames[7].report.stars.count = 12;
    frames[7].report.sky.as_mut().unwrap().mid_grey_stops.value = 0.5;
    let report = sorted(&frames);
    assert_eq!(reasons(&report, "IMG_5."), [DudKind::StarsLost]);
    assert_eq!(reasons(&report, "IMG_6."), [DudKind::StarsLost]);
    assert!(reasons(&report, "IMG_7.").is_empty());
}

/// A lamp lights the lower left in white and goes; an arc that breaks out is green and stays.
#[test]
fn a_lamp_is_told_from_an_arc_that_breaks_out() {
    let mut frames = lapse(30, 6.0);
    let calm = scene(0);
    for frame in &mut frames {
        frame.signature = Some(calm.clone());
    }
    let lit = |channels: &[usize]| {
        let mut levels = calm.levels().to_vec();
        for cell in (0..256).filter(|cell| cell / 16 > 8 && cell % 16 < 6) {
            for channel in channels {
                levels[channel * 256 + cell] -= 32;
            }
        }
        job::FrameSignature::from_levels(levels).unwrap()
    };
    frames[10].signature = Some(lit(&[0, 1, 2]));
    frames[20].signature = Some(lit(&[1]));
    let report = sorted(&frames);
    assert_eq!(reasons(&report, "IMG_10."), [DudKind::LampSwept]);
    assert!(report.frames.iter().any(|frame| frame.why.starts_with("lamp swept through: 16 % of the frame 2.0 stops")));
    assert!(reasons(&report, "IMG_20.").is_empty(), "green light is aurora");
    for frame in &mut frames[10..] {
        frame.signature = Some(lit(&[0, 1, 2]));
    }
    assert_eq!(sorted(&frames).duds, 0, "what stays is no passing light");
}

#[test]
fn the_keepers_differ_and_the_rest_says_what_it_is_like() {
    // eight scenes, five alike of each
    let mut frames: Vec<MeasuredFrame> = Vec::new();
    for number in 0..40 {
        let mut frame = good(number, 6.0 * f64::from(number));
        frame.signature = Some(scene(number / 5));
        frames.push(frame);
    }
    let report = sorted(&frames);
    assert_eq!(report.keepers, 8, "{}", report.summary);
    let mut scenes: Vec<u32> = report.best.iter().map(|index| index / 5).collect();
    scenes.sort_unstable();
    assert_eq!(scenes, [0, 1, 2, 3, 4, 5, 6, 7]);
    for frame in report.frames.iter().filter(|frame| frame.verdict == FrameVerdict::Spare) {
        assert!(frame.why.starts_with("like card/IMG_"), "{}", frame.why);
        assert_eq!(frame.rating, Some(2));
    }
    let few = sort(&SortRequest { keep: Some(3), ..SortRequest::default() }, &frames);
    assert_eq!(few.keepers, 3);
}

#[test]
fn a_persons_word_stands() {
    let mut frames = lapse(30, 6.0);
    set_width(&mut frames[4].report, 5.0);
    frames[4].person = Some(PersonVerdict::Keep);
    frames[5].person = Some(PersonVerdict::Dud);
    frames[6].person = Some(PersonVerdict::Undecided);
    let report = sorted(&frames);
    let of = |name: &str| report.frames.iter().find(|frame| frame.name.contains(name)).unwrap();
    assert_eq!((of("IMG_4.").verdict, of("IMG_4.").rating), (FrameVerdict::Keep, Some(5)));
    assert_eq!((of("IMG_5.").verdict, of("IMG_5.").rating), (FrameVerdict::Dud, Some(-1)));
    assert_eq!((of("IMG_6.").verdict, of("IMG_6.").rating), (FrameVerdict::Undecided, None));
    let words = &report.summary;
    assert!(words.contains("1 dud (1 by your word)") && words.contains("1 left open by you"), "{words}");
}

#[test]
fn copies_strays_and_broken_files_are_duds() {
    let mut frames = lapse(20, 6.0);
    frames[3].content_hash = frames[2].content_hash.clone();
    frames[5].report.scene = CheckedScene::Day;
    frames[6].report.scene = CheckedScene::Dark;
    frames[7].report = job::unreadable_frame(&frames[7].name, "it breaks off", "copy it again");
    let report = sorted(&frames);
    assert_eq!(reasons(&report, "IMG_3."), [DudKind::Copy]);
    assert_eq!(reasons(&report, "IMG_5."), [DudKind::Daylight]);
    assert_eq!(reasons(&report, "IMG_6."), [DudKind::Dark]);
    assert_eq!(reasons(&report, "IMG_7."), [DudKind::Unreadable]);
    assert!(report.summary.contains("4 duds"), "{}", report.summary);
}

/// The moon was full on 3 March 2026 at 11:38 UTC and new on the 19th (NASA's tables of phases): high over Finland on the
/// evening of the 3rd, not up on that of the 14th.
#[test]
fn whether_the_moon_was_up_is_told_by_the_corrected_clock() {
    let place = GeoPosition::new(60.0, 20.0, 0.0).unwrap();
    let with = |moonlit: bool, seconds: f64, position: Option<GeoPosition>| {
        let mut frames = lapse(12, 10.0);
        for frame in &mut frames {
            frame.report.moonlit = Some(moonlit);
            frame.signature = Some(greenish(0));
        }
        let clock = vec![ClockCorrection { camera: None, seconds }];
        let report = sort(&SortRequest { clock, position, ..SortRequest::default() }, &frames);
        report.frames[0].measures.glare_share
    };
    let eleven_days_s = 11.0 * 86_400.0;
    assert_eq!(with(false, -eleven_days_s, Some(place)), Some(0.0), "looked for glare under a full moon");
    assert_eq!(with(true, 60.0, Some(place)), None, "no moon, no glare");
    assert_eq!(with(true, 60.0, None), None, "without a place nobody knows");
    assert_eq!(with(true, 0.0, None), Some(0.0), "a clock that is right is believed");
}

/// A level camera an hour off: the stars stand tilted by the clock's time, and level by the true one.
#[test]
fn the_stars_over_level_cameras_tell_an_hour() {
    let place = GeoPosition::new(60.0, 20.0, 0.0).unwrap();
    let start: quantity::Timestamp = "2026-03-14T22:00:00Z".parse().unwrap();
    let mut frames = lapse(12, 10.0);
    for (index, frame) in frames.iter_mut().enumerate() {
        // truly an hour later than the camera says
        let at = start.checked_add(jiff::SignedDuration::from_secs(3600 + 10 * i64::try_from(index).unwrap())).unwrap();
        let (ra, dec, roll) = level_pointing(at, place, 20.0, 35.0);
        set_direction(&mut frame.report, ra, dec, roll);
    }
    let request = SortRequest { position: Some(place), clock_from_stars: true, ..SortRequest::default() };
    let report = sort(&request, &frames);
    let camera = &report.cameras[0];
    let found = camera.by_stars_s.unwrap();
    assert!((found.value - 3600.0).abs() < 60.0, "{found:?}");
    assert!(found.high - found.value > 300.0, "a bubble level is no chronometer: {found:?}");
    assert_eq!(camera.correction_by, ClockSource::Stars);
    assert!(camera.words.as_deref().unwrap().contains("60 min slow"), "{:?}", camera.words);
    // a correction that is given is not overruled
    let given = SortRequest { clock: vec![ClockCorrection { camera: None, seconds: 5.0 }], ..request };
    let report = sort(&given, &frames);
    assert_eq!((report.cameras[0].correction_by, report.cameras[0].correction_s), (ClockSource::Given, 5.0));
}

/// Right ascension, declination and position angle of the zenith at a direction over a place, by spherical triangles alone
/// (mean sidereal time of Meeus, Astronomical Algorithms, 12.4; precession left out of the angle: 0.3 degrees).
fn level_pointing(at: quantity::Timestamp, place: GeoPosition, azimuth_deg: f64, altitude_deg: f64) -> (f64, f64, f64) {
    // the sky crate's own inverse is not used: the search must agree with another road
    let sky = sky::ObserverSky::new(at, place).unwrap();
    let (mut ra, mut dec) = (0.0, 0.0);
    let mut step = 40.0;
    let off = |ra: f64, dec: f64| {
        let seen = sky.icrs(ra, dec);
        let cosine = seen.altitude_deg.to_radians().sin() * altitude_deg.to_radians().sin()
            + seen.altitude_deg.to_radians().cos()
                * altitude_deg.to_radians().cos()
                * (seen.azimuth_deg - azimuth_deg).to_radians().cos();
        cosine.clamp(-1.0, 1.0).acos().to_degrees()
    };
    while step > 1e-4 {
        let here = off(ra, dec);
        let around = [(step, 0.0), (-step, 0.0), (0.0, step), (0.0, -step)];
        let next = around.map(|(a, b): (f64, f64)| (ra + a, (dec + b).clamp(-89.9, 89.9)));
        let best = next.into_iter().min_by(|a, b| off(a.0, a.1).total_cmp(&off(b.0, b.1))).unwrap();
        if off(best.0, best.1) < here {
            (ra, dec) = best;
        } else {
            step /= 2.0;
        }
    }
    // the zenith, seen from there: bearing of a point 0.1 degrees higher
    let higher = |roll: f64| {
        let (sin, cos) = f64::to_radians(roll).sin_cos();
        sky.icrs(ra + 0.1 * sin / dec.to_radians().cos(), dec + 0.1 * cos).altitude_deg
    };
    let roll = (0..3600).map(|tenth| f64::from(tenth) / 10.0).max_by(|a, b| higher(*a).total_cmp(&higher(*b))).unwrap();
    (ra.rem_euclid(360.0), dec, roll)
}

fn any_frame() -> impl Strategy<Value = MeasuredFrame> {
    let numbers = (0..400u32, 0.0..20_000.0f64, proptest::option::of(0.3..20.0f64), 0..6usize, 0..300u32);
    (numbers, any::<bool>(), proptest::option::of(0.0..30.0f64), 0..7usize).prop_map(
        |((number, after_s, width, kind, stars), alike, trail, scene_index)| {
            let mut frame = good(number, after_s);
            frame.report.stars.count = stars;
            frame.report.stars.alike = alike;
            match width {
                Some(width) => set_width(&mut frame.report, width),
                None => frame.report.focus = None,
            }
            let kinds = [
                MotionKind::Held,
                MotionKind::Trailing,
                MotionKind::Shaken,
                MotionKind::Lens,
                MotionKind::SkyOrCamera,
                MotionKind::CannotTell,
            ];
            set_motion(&mut frame.report, kinds[kind], trail);
            let scenes = [
                CheckedScene::NightSky,
                CheckedScene::NightSky,
                CheckedScene::Twilight,
                CheckedScene::Day,
                CheckedScene::Dark,
                CheckedScene::Unreadable,
                CheckedScene::CannotTell,
            ];
            frame.report.scene = scenes[scene_index];
            if number % 7 == 0 {
                frame.signature = None;
            }
            if number % 11 == 0 {
                frame.report.taken = None;
            }
            frame
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Every frame comes out once, in exactly one sequence, with a verdict that its reasons and rating agree with.
    #[test]
    fn nothing_is_lost_or_doubled(frames in proptest::collection::vec(any_frame(), 0..60)) {
        let report = sorted(&frames);
        prop_assert_eq!(report.frames.len(), frames.len());
        let mut before: Vec<&str> = frames.iter().map(|frame| frame.name.as_str()).collect();
        let mut after: Vec<&str> = report.frames.iter().map(|frame| frame.name.as_str()).collect();
        before.sort_unstable();
        after.sort_unstable();
        prop_assert_eq!(before, after);
        let mut members: Vec<u32> = report.sequences.iter().flat_map(|sequence| sequence.frames.clone()).collect();
        members.sort_unstable();
        prop_assert_eq!(members, (0..u32::try_from(frames.len()).unwrap()).collect::<Vec<_>>());
        for (index, sequence) in report.sequences.iter().enumerate() {
            for frame in &sequence.frames {
                prop_assert_eq!(report.frames[usize::try_from(*frame).unwrap()].sequence, u32::try_from(index).unwrap());
            }
        }
        prop_assert_eq!(report.keepers + report.duds + report.spare + report.undecided, report.frames_total);
        for frame in &report.frames {
            match frame.verdict {
                FrameVerdict::Dud => prop_assert!(!frame.reasons.is_empty() && frame.rating == Some(-1)),
                FrameVerdict::Keep => prop_assert!(frame.reasons.is_empty() && frame.rating >= Some(4)),
                FrameVerdict::Spare => prop_assert!(frame.rating == Some(2) || frame.rating == Some(3)),
                FrameVerdict::Undecided => prop_assert!(frame.rating.is_none()),
            }
            prop_assert!(frame.score.is_none_or(|score| (0.0..=1.0).contains(&score)));
            prop_assert!(!frame.why.is_empty());
        }
    }

    /// The order in which files are listed changes nothing.
    #[test]
    fn the_order_of_the_files_is_no_matter(
        (frames, shuffled) in proptest::collection::vec(any_frame(), 0..40).prop_flat_map(|frames| {
            let mut named = frames;
            for (index, frame) in named.iter_mut().enumerate() {
                frame.name = format!("{index}-{}", frame.name);
            }
            (Just(named.clone()), Just(named).prop_shuffle())
        })
    ) {
        prop_assert_eq!(sorted(&frames), sorted(&shuffled));
    }

    /// A clock that is off by any time for all changes no verdict.
    #[test]
    fn one_clock_for_all_changes_no_verdict(
        frames in proptest::collection::vec(any_frame(), 0..40),
        seconds in -100_000i32..100_000,
    ) {
        let request = SortRequest {
            clock: vec![ClockCorrection { camera: None, seconds: f64::from(seconds) }],
            ..SortRequest::default()
        };
        let verdicts = |report: SortReport| report.frames.into_iter().map(|frame| (frame.name, frame.verdict, frame.reasons)).collect::<Vec<_>>();
        prop_assert_eq!(verdicts(sorted(&frames)), verdicts(sort(&request, &frames)));
    }

    /// A sharper frame is never a worse one: making one frame's stars sharper takes no fault onto it.
    #[test]
    fn sharpening_takes_no_fault_on(width in 1.7..8.0f64, sharper in 0.5..1.0f64) {
        let mut frames = lapse(30, 6.0);
        set_width(&mut frames[8].report, width);
        let before = reasons(&sorted(&frames), "IMG_8.");
        set_width(&mut frames[8].report, width * sharper);
        let after = reasons(&sorted(&frames), "IMG_8.");
        prop_assert!(after.len() <= before.len());
    }

    /// Every file is in one frame.
    #[test]
    fn pairs_hold_every_file_once(names in proptest::collection::vec("[ab]/[cd]{1,2}\\.(jpg|JPG|nef|NEF|dng|tif|xmp)", 0..20)) {
        let pairs = job::pair_files(&names, false);
        let mut all: Vec<usize> = pairs.iter().flat_map(|pair| pair.companions.iter().copied().chain([pair.main])).collect();
        all.sort_unstable();
        prop_assert_eq!(all, (0..names.len()).collect::<Vec<_>>());
    }
}
