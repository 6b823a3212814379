//! Sequences by command: what is read, what is left out and why, and plain refusals.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

use crate::check::{DEMO_FRAME, DEMO_TRUTH, MIDDLE_DEG, TEST_FRAME};
use crate::house::House;
use crate::program::{quietarc, stderr, stdout};

/// A frame, the same again and a page: one is read, the others are named with the reason, and the code is 1.
#[test]
fn what_does_not_follow_on_is_left_out_with_the_reason() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["a.jpg", "b.jpg"] {
        std::fs::copy(TEST_FRAME, folder.path().join(name)).unwrap();
    }
    std::fs::write(folder.path().join("c.jpg"), "<html>").unwrap();
    let output = quietarc(&["read", "--json", "--utc-offset", "0", folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(report["frames"]["read"], 1);
    let skips = report["frames"]["skips"].as_array().unwrap();
    assert_eq!(skips.iter().map(|skip| skip["name"].as_str().unwrap()).collect::<Vec<_>>(), ["b.jpg", "c.jpg"]);
    assert!(skips[0]["reason"].as_str().unwrap().contains("its time is not after"), "{skips:?}");
}

#[test]
fn a_video_in_a_folder_of_pictures_is_named_and_not_passed_over() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::copy(TEST_FRAME, folder.path().join("a.jpg")).unwrap();
    std::fs::write(folder.path().join("night.mp4"), "a film").unwrap();
    let output = quietarc(&["read", "--json", "--utc-offset", "0", folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!((&report["frames"]["read"], &report["frames"]["skipped"]), (&1.into(), &1.into()));
    let skip = &report["frames"]["skips"][0];
    assert_eq!(skip["name"], "night.mp4", "{skip}");
    assert!(skip["reason"].as_str().unwrap().contains("read it by itself"), "{skip}");
}

#[test]
fn nothing_to_read_and_a_video_without_its_program_are_refused_with_a_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let output = quietarc(&["read", folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("there is no picture to read"), "{}", stderr(&output));
    let video = folder.path().join("night.mp4");
    std::fs::write(&video, "no video").unwrap();
    // no folder of programs: neither ffmpeg nor ffprobe can be found
    let output = Command::new(env!("CARGO_BIN_EXE_quietarc")).arg("read").arg(&video).env("PATH", "").output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(stderr(&output).contains("is not installed"), "{}", stderr(&output));
}

/// A film of the demo's rendered frame: the lens, the direction and the form of a still, though it says no settings.
#[test]
fn a_video_is_read_in_colour_through_its_lens() {
    if crate::tell_clip::is_without_ffmpeg() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let film = folder.path().join("film.avi");
    let film = film.to_str().unwrap();
    let made = Command::new("ffmpeg")
        .args(["-v", "error", "-loop", "1", "-i", DEMO_FRAME, "-t", "3", "-r", "8", "-c:v", "mjpeg", "-q:v", "2", film])
        .status()
        .unwrap();
    assert!(made.success());
    let asked = ["read", "--json", film, "--lat", "69.2", "--lon", "15.1", "--start", "2026-11-10T20:30:00Z"];
    let output = quietarc(&asked);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!((report["frames"]["read"].as_u64(), report["frames"]["skipped"].as_u64()), (Some(24), Some(0)));
    assert!((report["frames"]["interval_s"].as_f64().unwrap() - 0.125).abs() < 1e-6, "{}", report["frames"]);
    assert_eq!(report["lens"]["solved"], true, "{}", report["lens"]);
    let truth: Value = serde_json::from_str(DEMO_TRUTH).unwrap();
    for (told, drawn) in [("alt_deg", "altitude_deg"), ("az_deg", "azimuth_deg")] {
        let off = report["lens"][told].as_f64().unwrap() - truth["middle"][drawn].as_f64().unwrap();
        assert!(off.abs() < MIDDLE_DEG, "{told} is {off} degrees off");
    }
    assert!(report["aurora"]["yes"].as_u64().unwrap() > 0 && report["aurora"]["no"] == 0, "{}", report["aurora"]);
    let limits = report["limits"].as_array().unwrap();
    assert!(limits.iter().any(|limit| limit.as_str().unwrap().contains("A video says neither exposure nor gain")));
    // without a place the stars give no direction, and that is said
    let output = quietarc(&["read", "--json", film, "--start", "2026-11-10T20:30:00Z"]);
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!(report["lens"]["solved"], false);
    assert!(report["lens"]["why_not"].as_str().unwrap().contains("place"), "{}", report["lens"]);
}

/// The report goes with its outing, and `outing show` says so; an outing that is not there is said before anything is read.
#[test]
fn a_reading_is_kept_with_its_outing() {
    let house = House::new("");
    let run = |arguments: &[&str], code: i32| {
        let output = house.run(arguments);
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}{}", stdout(&output), stderr(&output));
        format!("{}{}", stdout(&output), stderr(&output))
    };
    run(&["site", "add", "Skerrow Bay", "--lat", "69.15", "--lon", "15.65", "--time-zone", "Europe/Oslo"], 0);
    run(
        &["outlook", "--site", "Skerrow Bay", "--night", "2026-03-14", "--kp", "4", "--no-feeds", "--save", "A test"],
        0,
    );
    let read = |outing: &str, code| run(&["read", "--utc-offset", "0", "--save", outing, TEST_FRAME], code);
    assert!(read("Another", 2).contains("outing list"));
    assert!(read("A test", 0).contains("kept with outing 1, A test"));
    let shown = run(&["outing", "show", "1"], 0);
    assert!(shown.contains(&format!("read: {TEST_FRAME}: 1 frames")), "{shown}");
}

/// Gillam, 10 March 2014, moonlit, 40 frames at 3 s by the imager's own description (`SOURCES.md` of the real pictures).
#[test]
#[expect(clippy::print_stdout, reason = "says why it tests nothing")]
fn a_moonlit_research_sequence_is_read_without_aurora_or_pulsation() {
    /// Interval of the imager, s, and how far its clock may be off it.
    const INTERVAL_S: [f64; 2] = [3.0, 0.05];
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from).join("allsky_mono");
    let files = ["20140310_0600_gill_themis19_full.pgm.gz", "20140310_0601_gill_themis19_full.pgm.gz"];
    let files = files.map(|name| folder.join(name));
    if !files.iter().all(|file| file.is_file()) {
        println!("skipped: the real pictures are not here");
        return;
    }
    let [first, second] = files.each_ref().map(|file| file.to_str().unwrap());
    let place = ["read", "--json", "--lat", "56.3539", "--lon", "-94.6557", "--all-sky"];
    let output = quietarc(&[&place[..], &[first, second]].concat());
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!((&report["frames"]["read"], &report["frames"]["skipped"]), (&40.into(), &0.into()));
    let interval_s = report["frames"]["interval_s"].as_f64().unwrap();
    assert!((interval_s - INTERVAL_S[0]).abs() < INTERVAL_S[1], "{interval_s}");
    // four stars: directions by the circle of sky and the moon, whose uncertainty is said
    let assumed = &report["lens"]["assumed"];
    assert!(assumed["words"].as_str().unwrap().contains("the moon"), "{}", report["lens"]);
    assert!(assumed["azimuth_sigma_deg"].as_f64().unwrap() > 1.0, "{assumed}");
    assert!(report["keogram"]["columns"].as_array().is_some_and(|columns| !columns.is_empty()));
    assert!(report["pulsation"]["cells_judged"].as_u64().unwrap() > 100, "{}", report["pulsation"]);
    assert_eq!((&report["aurora"]["yes"], &report["forms"]), (&0.into(), &serde_json::json!([])));
    let patches = report["pulsation"]["patches"].as_array().map_or(0, Vec::len);
    let brightenings = report["brightenings"].as_array().map_or(0, Vec::len);
    assert_eq!((patches, brightenings), (0, 0));
}

/// Rabbit Lake, 5 February 2013, 20 frames at 6 s through a mosaic of colours, dark and clear: a low arc and stars, by eye (75 %
/// sure) and by `SOURCES.md` of the real pictures. One arc over all of it, and not one that comes and goes from frame to frame.
#[test]
#[expect(clippy::print_stdout, reason = "says why it tests nothing")]
fn a_low_arc_of_a_research_sequence_is_told_once_over_all_of_it() {
    /// Part of the looks that show the arc by themselves, at least: it stands there in all of them.
    const LEAST_AGREEING: f64 = 0.75;
    let beside = || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/frames");
    let folder = std::env::var_os("QUIETARC_FRAMES").map_or_else(beside, PathBuf::from).join("allsky_mono");
    let files = ["20130205_0500_rabb_rainbow-08_full.pgm.gz", "20130205_0501_rabb_rainbow-08_full.pgm.gz"];
    let files = files.map(|name| folder.join(name));
    if !files.iter().all(|file| file.is_file()) {
        println!("skipped: the real pictures are not here");
        return;
    }
    let [first, second] = files.each_ref().map(|file| file.to_str().unwrap());
    let output = quietarc(&["read", "--json", "--kp", "2", first, second]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    assert_eq!((&report["frames"]["read"], &report["lens"]["solved"]), (&20.into(), &true.into()));
    assert_eq!(report["aurora"]["no"], 0, "{}", report["aurora"]);
    let forms = report["forms"].as_array().unwrap();
    // SOURCES.md: "arc along the top edge"
    assert_eq!(forms.len(), 1, "{forms:?}");
    let form = &forms[0];
    let reasons = form["reasons"].to_string();
    assert_eq!(form["name"], "arc", "{form}");
    assert!(reasons.contains("ridge of light") && reasons.contains("magnetic latitude"), "{reasons}");
    let [looks, agreeing] = ["looked_at", "frames"].map(|key| form[key].as_f64().unwrap());
    assert!(agreeing >= LEAST_AGREEING * looks && looks >= 10.0, "{agreeing} of {looks}");
    assert!(form["confidence"].as_f64().unwrap() < 0.7, "without colour nothing is surer");
    let brightenings = report["brightenings"].as_array().map_or(0, Vec::len);
    assert_eq!(brightenings, 0);
}

/// Pixels of a side of the small grey frames.
const SIDE: u32 = 256;

/// A grey frame of a research camera at a time of 14 November 2026, evenly lit (invented).
fn grey_frame(folder: &std::path::Path, clock: &str) {
    let head = format!(
        "P5\n#\"Image request start\" 2026-11-14 {clock}.000000 UTC\n#\"Exposure options\" MSEC=5000\n{SIDE} {SIDE}\n65535\n"
    );
    let pixels = (0..SIDE * SIDE).flat_map(|index| u16::try_from(2000 + index % 7).unwrap().to_be_bytes());
    let bytes: Vec<u8> = head.into_bytes().into_iter().chain(pixels).collect();
    std::fs::write(folder.join(format!("{}.pgm", clock.replace(':', ""))), bytes).unwrap();
}

/// The composed record: onsets 120 and 260 minutes after 18:00, the second bay alone deeper than 500 nT, minutes 200 to 211 gone.
fn beside_composed_bays(clocks: &[&str]) -> Value {
    let folder = tempfile::tempdir().unwrap();
    for clock in clocks {
        grey_frame(folder.path(), clock);
    }
    let bays = concat!(env!("CARGO_MANIFEST_DIR"), "/../feeds/tests/data/TST_negative-bays.iaga2002.composed.min");
    let house = House::new("");
    let output = house.run(&["read", "--json", "--magnetogram", bays, folder.path().to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}{}", stdout(&output), stderr(&output));
    serde_json::from_str(&stdout(&output)).unwrap()
}

#[test]
fn of_the_composed_bays_only_what_is_beside_the_frames_is_told() {
    let of_first = beside_composed_bays(&["20:00:00", "20:05:00", "20:10:00"]);
    let magnetic = &of_first["magnetic"];
    let onsets: Vec<&str> =
        magnetic["onsets"].as_array().unwrap().iter().map(|onset| onset["at"].as_str().unwrap()).collect();
    assert_eq!(onsets, ["2026-11-14T20:00:00Z"], "{magnetic}");
    assert_eq!((&magnetic["onsets_elsewhere"], &magnetic["bays_elsewhere"]), (&1.into(), &1.into()), "{magnetic}");
    assert_eq!((&magnetic["bays"], &magnetic["frames_covered"]), (&serde_json::json!([]), &1.0.into()), "{magnetic}");
    // an onset needs 30 minutes without the gap of twelve
    assert!(magnetic["untried_minutes"].as_u64().unwrap() >= 12, "{magnetic}");
    let account = of_first["account"].to_string();
    assert!(account.contains("1 bay and 1 onset more at other times of the record"), "{account}");
    assert!(account.contains("minutes not tried for an onset because of gaps"), "{account}");

    let of_second = beside_composed_bays(&["22:20:00", "22:25:00", "22:30:00"]);
    let magnetic = &of_second["magnetic"];
    assert_eq!(magnetic["onsets"][0]["at"], "2026-11-14T22:20:00Z", "{magnetic}");
    assert_eq!(magnetic["bays"].as_array().map(Vec::len), Some(1), "{magnetic}");
    assert_eq!((&magnetic["onsets_elsewhere"], &magnetic["bays_elsewhere"]), (&1.into(), &0.into()), "{magnetic}");
}

/// Frames of noon: the record begins at 18:00.
#[test]
fn a_record_that_does_not_reach_the_frames_is_said_not_to() {
    let report = beside_composed_bays(&["12:00:00", "12:05:00"]);
    let magnetic = &report["magnetic"];
    assert_eq!((&magnetic["frames_covered"], &magnetic["onsets"]), (&0.0.into(), &serde_json::json!([])), "{magnetic}");
    assert_eq!(magnetic["onsets_elsewhere"], 2, "{magnetic}");
    let account = report["account"].to_string();
    assert!(account.contains("the magnetogram of TST has no value of the frames' time"), "{account}");
    assert!(!account.contains("magnetogram of TST, from 30 min before"), "what is not known is not counted: {account}");
}

/// By what a report keeps its frames are found again: folders and files, whole, and what was said of the clock.
#[test]
fn a_report_remembers_its_files_and_what_was_said_of_their_clock() {
    let house = House::new("");
    let output = house.run(&["read", "--json", "--utc-offset", "1.5", TEST_FRAME]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let report: Value = serde_json::from_str(&stdout(&output)).unwrap();
    let whole = std::path::absolute(TEST_FRAME).unwrap().display().to_string();
    assert_eq!(report["request"]["inputs"], serde_json::json!([whole]));
    assert_eq!(report["request"]["utc_offset_s"], 5400);
    assert_eq!(report["space"], Value::Null, "without a journal nothing is stored");
}
